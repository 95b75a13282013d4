// The Uncertainty page: every answer with its band, which measure brings it, and a verdict on a second fork.
import { BarChart } from "../bar-chart.js";
import { Chart } from "../chart.js";
import { DayFields, dayNow } from "../day.js";
import { byId, element, shape } from "../dom.js";
import { Rack } from "../rack.js";
import * as store from "../store.js";
import * as units from "../units.js";
import { Asking, Form, people, sayPeople, table } from "./asking.js";

const KIND = { m: "length", N: "force", Pa: "pressure", J: "energy", 1: "dimensionless" };
const ITSELF = "itself";
const form = new Form("uncertainty", { against: "", samples: "512", answer: "sag", load: "", side_load: "0 N", oil: "20 °C" });
const owner = () => store.forkAt("fork");
let found = null;

new Rack(byId("rack"), "fork", "Fork or shock", { files: false });
sayPeople();
for (const id of ["samples", "load", "side_load", "oil"]) form.tie(id.replace("_", "-"), id);
function fillAgainst() {
  byId("against").replaceChildren(element("option", { value: "" }, "nothing"), element("option", { value: ITSELF }, "itself as it was in its file"), ...store.rack().map((fork) => element("option", { value: fork.id }, fork.name)));
  byId("against").value = form.state.against === ITSELF || store.sheetOf(form.state.against) ? form.state.against : "";
}
fillAgainst();
byId("against").addEventListener("change", () => form.set({ against: byId("against").value }));
store.onDraft((cause) => cause !== "change" && fillAgainst());

const against = () => {
  if (form.state.against === ITSELF) return { ...store.asked(owner()), edits: {} };
  return form.state.against && store.sheetOf(form.state.against) ? store.asked(form.state.against) : null;
};
const question = () => ({ fork: store.asked(owner()), against: against(), ...people(), samples: Number(form.state.samples), load: form.state.load, side_load: form.state.side_load, oil_temperature: form.state.oil, day: dayNow(), units: units.chosenUnits() });

// Showing ------------------------------------------------------------------------------------------------------
const shares = new BarChart(byId("chart-shares"), { title: "Share of the variance by measure", label: "Share", file: "variance-shares" });
const apart = new Chart(byId("chart-apart"), { title: "Damping, the other less this one", x: { kind: "speed", label: "Shaft speed, compression positive" }, y: { kind: "force", label: "Difference of force" }, file: "damping-difference" });
const text = (answer, value) => (answer.unit === "1" ? value.toFixed(3) : units.text(KIND[answer.unit], value - answer.zero));

function show(answer) {
  found = answer;
  const select = byId("answer");
  select.replaceChildren(...answer.answers.map((one) => element("option", { value: one.name }, one.name)));
  if (answer.answers.some((one) => one.name === form.state.answer)) select.value = form.state.answer;
  showBands();
  showShares();
  showApart(answer.damping_verdict);
}

// What the tolerances make of the difference, and the line up to which friction can hide it.
function showApart(judged) {
  byId("apart").hidden = !judged;
  if (!judged) return;
  const flat = (force) => judged.speed_m_s.map(() => force);
  apart.show([{ name: "difference", place: 1, x: judged.speed_m_s, y: judged.difference_N, band: { x: judged.speed_m_s, low: judged.difference_low_N, high: judged.difference_high_N } },
    { name: "friction of both", place: 2, x: judged.speed_m_s, y: flat(judged.friction_N), faint: true }, { name: "friction of both, the other way", place: 2, x: judged.speed_m_s, y: flat(-judged.friction_N), faint: true }]);
}

function showBands() {
  const widest = Math.max(...found.answers.map((one) => half(one)));
  const rows = found.answers.map((one) => element("tr", {}, element("th", { scope: "row" }, one.name), element("td", { class: "figures" }, text(one, one.nominal)), element("td", { class: "figures" }, `${text(one, one.low)} to ${text(one, one.high)}`),
    element("td", { class: "band-cell" }, bandPicture(one, widest)), element("td", {}, one.repeat ? one.shares[one.repeat].words : "none stands out")));
  const first = found.repeat_first_words ? element("p", {}, "First to measure again: ", element("strong", {}, found.repeat_first_words), ".") : "";
  byId("bands").replaceChildren(first, table(["Answer", "As measured", "Nine times in ten", "Band, share of the answer", "Measure again"], rows, { caption: "Answers with their bands" }));
}

const relative = (one, value) => (value - one.nominal) / (Math.abs(one.nominal - one.zero) || 1);
const half = (one) => Math.max(Math.abs(relative(one, one.low)), Math.abs(relative(one, one.high)));

// All bands on one scale: the share of the answer itself.
function bandPicture(one, widest) {
  const at = (value) => 100 + (90 * relative(one, value)) / (widest || 1);
  const percent = (value) => `${(100 * relative(one, value)).toFixed(1)} %`;
  return shape("svg", { viewBox: "0 0 200 20", role: "img", "aria-label": `from ${percent(one.low)} to ${percent(one.high)} of the answer` }, shape("path", { d: "M0 10H200", class: "band-axis" }),
    shape("path", { d: `M${at(one.low)} 10H${at(one.high)}`, class: "band-line" }), shape("circle", { cx: 100, cy: 10, r: 4, class: "band-dot" }));
}

function showShares() {
  const answer = found.answers.find((one) => one.name === byId("answer").value) ?? found.answers[0];
  if (!answer) return;
  const rows = Object.values(answer.shares).sort((a, b) => b.total - a.total).filter((one) => one.total > 0.002);
  shares.show(rows.map((one) => one.words), [{ name: "alone", values: rows.map((one) => one.first), errors: rows.map((one) => one.first_confidence) }, { name: "with all it acts through", values: rows.map((one) => one.total), errors: rows.map((one) => one.total_confidence) }]);
}

byId("answer").addEventListener("change", () => {
  form.set({ answer: byId("answer").value });
  if (found) showShares();
});
units.onUnits(() => found && showBands());
const asking = new Asking("uncertainty", "/api/uncertainty", question, show, new DayFields(byId("day"), "uncertainty", () => {}));
asking.resume().then((there) => there || asking.ask());
