// The forms of one session: ratings and times of a run, and the answer when all have been ridden. The rider fills
// them in on the phone; the leader types them from paper.
import { element } from "../dom.js";
import { codeChoice, codeOrder, scaleField, timeField } from "./answer-forms.js";

const ASKED = { triangle: "Two of these runs were the same. Which one was the odd one out?", "duo-trio": (codes) => `The first run, ${codes[0]}, was the reference. Which of the others was the same as it?` };

// `before` holds what is known by name; `typing(on)` is told while something is filled in and not kept;
// `kept(ratings, times)` gets both tables, of which one may be empty.
export function ratingForm(view, code, before, { typing, kept, words = `Keep for ${code}` }) {
  const ratings = {};
  const times = {};
  const refresh = () => {
    typing(true);
    const scales = view.scales.every((scale) => ratings[scale.name] !== undefined);
    const clocks = Object.values(times).every((seconds) => seconds !== null);
    button.disabled = !(scales && clocks && (view.scales.length > 0 || Object.values(times).some((seconds) => seconds > 0)));
  };
  for (const scale of view.scales) if (before[scale.name] !== undefined) ratings[scale.name] = before[scale.name];
  const button = element("button", { type: "button", class: "main-button", disabled: true, onclick: () => {
    typing(false);
    kept(ratings, Object.fromEntries(Object.entries(times).filter(([, seconds]) => seconds > 0)));
  } }, words);
  const scales = view.scales.map((scale) => scaleField(scale, (point) => { ratings[scale.name] = point; refresh(); }, before[scale.name] ?? null));
  const clocks = view.times.map((name) => timeField(name, (seconds) => {
    if (seconds === undefined) delete times[name];
    else times[name] = seconds;
    refresh();
  }, before[name] ?? null));
  return element("div", { class: "rating" }, scales, clocks, element("p", { class: "row" }, button));
}

// `kept(kind, answer)` gets "choice" and a code, or "ranking" and all codes, the best first.
export function answerForm(view, codes, { typing, kept, words = "Keep my answer", heading = "When all have been ridden" }) {
  const kind = view.design === "ranked" ? "ranking" : "choice";
  let answer = null;
  const button = element("button", { type: "button", class: "main-button", disabled: true, onclick: () => {
    typing(false);
    kept(kind, answer);
  } }, words);
  const take = (value) => {
    typing(value !== null);
    answer = value;
    button.disabled = value === null;
  };
  const asked = ASKED[view.design];
  const question = typeof asked === "function" ? asked(codes) : asked ?? view.question;
  const field = kind === "ranking" ? codeOrder(question, codes, take) : codeChoice(question, view.design === "duo-trio" ? codes.slice(1) : codes, take);
  typing(false);
  return element("div", { class: "answer" }, element("h3", {}, heading), field, element("p", { class: "row" }, button));
}
