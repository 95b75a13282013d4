// The parts of the plan form, each a group of fields that write into the draft.
import { element } from "../dom.js";
import * as plan from "./plan-draft.js";

const AIM_WORDS = {
  preferred_share: ["How often the better one is put first, of two", "0.75: three times out of four"],
  discriminators: ["Share of answers given by really telling them apart", "0.4: four of ten"],
  difference: ["Difference worth finding (points or seconds)", ""],
  run_spread: ["Spread of one run: same rider, same option", "standard deviation, points or seconds"],
  rider_spread: ["Spread between riders of the true difference", "standard deviation; 0 if alike"],
};
const DAY_WORDS = { runs_per_rider: "Runs a rider rides in a day, at most", run_minutes: "Minutes for a run", changeover_minutes: "Minutes for a change", minutes: "Minutes in a day", bikes: "Bikes" };

export function buildParts(cards, changed) {
  return [group("What is compared", cards.build()), group("What is asked", asked(changed)), group("Who", people(changed)), group("How sure", sure(changed)), group("The day", day(changed)), group("Limits of every setting", limits(cards, changed))];
}

const group = (title, inside) => element("section", { class: "plan-part" }, element("h3", {}, title), inside);

function field(label, table, name, changed, { key = name, help = "", rows = 0, rebuild = false, most = 200 } = {}) {
  const id = `plan-${key.replaceAll(".", "-")}`;
  const input = rows ? element("textarea", { id, rows: String(rows), maxlength: String(most), "data-key": key }) : element("input", { type: "text", id, maxlength: String(most), autocomplete: "off", "data-key": key });
  input.value = table[name] ?? "";
  input.addEventListener("input", () => {
    table[name] = input.value;
    changed();
  });
  if (rebuild) input.addEventListener("change", () => changed(true));
  return element("div", { class: "field" }, element("label", { for: id }, label), input, help ? element("p", { class: "quiet help" }, help) : null);
}

function asked(changed) {
  const { draft } = plan;
  const kinds = Object.entries(plan.DESIGNS).map(([design, [words, more]]) => {
    const radio = element("input", { type: "radio", name: "design", value: design, onchange: () => { draft.design = design; changed(true); document.querySelector(`input[name=design][value="${design}"]`)?.focus(); } });
    radio.checked = draft.design === design;
    return element("label", { class: "kind" }, radio, element("span", {}, element("strong", {}, words), element("span", { class: "quiet" }, more)));
  });
  const plain = draft.design === "triangle" || draft.design === "duo-trio";
  return element("div", {}, field("Name of the trial (riders see it)", draft, "name", changed, { most: 60 }),
    element("fieldset", { class: "kinds" }, element("legend", {}, "Kind"), kinds),
    field("Question (riders see it)", draft, "question", changed), plain ? null : scales(changed), plain ? null : field("Times taken, one on each line", draft, "times", changed, { rows: 2, rebuild: true, help: "For example: section 2. In seconds." }),
    draft.design === "rated" ? primary(changed) : null);
}

function primary(changed) {
  const names = plan.measures();
  const select = element("select", { id: "plan-primary", "data-key": "primary", onchange: () => { plan.draft.primary = select.value; changed(); } }, names.map((name) => element("option", { value: name }, name)));
  if (!names.includes(plan.draft.primary)) plan.draft.primary = names[0] ?? "";
  select.value = plan.draft.primary;
  return element("div", { class: "field" }, element("label", { for: "plan-primary" }, "Scale or time that decides"), select);
}

function scales(changed) {
  const { draft } = plan;
  const rows = draft.scales.map((scale, place) => {
    const key = (name) => `scales.${place}.${name}`;
    const better = element("select", { id: `plan-scales-${place}-better`, onchange: () => { scale.better = better.value; changed(); } }, element("option", { value: "high" }, "high is better"), element("option", { value: "low" }, "low is better"));
    better.value = scale.better;
    return element("fieldset", { class: "scale-row" }, element("legend", {}, `Scale ${place + 1}`), field("Name", scale, "name", changed, { key: key("name"), rebuild: true, most: 60 }), field("1 means", scale, "low", changed, { key: key("low"), most: 60 }), field("The last point means", scale, "high", changed, { key: key("high"), most: 60 }),
      field("Points", scale, "points", changed, { key: key("points"), most: 3 }), element("div", { class: "field" }, element("label", { for: better.id }, "Which way"), better),
      element("button", { type: "button", class: "plain", "aria-label": `Take out scale ${place + 1}`, onclick: () => { draft.scales.splice(place, 1); changed(true); } }, "Take out"));
  });
  return element("div", {}, rows, element("button", { type: "button", class: "plain", onclick: () => { draft.scales.push({ name: draft.scales.length ? "" : "grip", low: draft.scales.length ? "" : "none", high: draft.scales.length ? "" : "all I could ask", points: "9", better: "high" }); changed(true); } }, "Add a rating scale"));
}

function people(changed) {
  const { draft } = plan;
  return element("div", {}, field("Riders, one on each line", draft, "riders", changed, { rows: 3, most: 3000 }), field("Leader", draft, "leader", changed, { most: 60 }), field("Mechanic", draft, "mechanic", changed, { most: 60, help: "Sees settings, so may neither ride nor lead, and keeps out of sight of the riders during the change." }));
}

function sure(changed) {
  const { draft } = plan;
  const aims = plan.AIMS[draft.design].map((name) => field(AIM_WORDS[name][0], draft.aim, name, changed, { key: `aim.${name}`, help: AIM_WORDS[name][1], most: 12 }));
  return element("div", {}, aims, field("Risk of reporting a difference that is not there", draft.aim, "alpha", changed, { key: "aim.alpha", most: 12 }), field("Chance wanted of finding the difference", draft.aim, "power", changed, { key: "aim.power", most: 12 }),
    field("Sessions of each rider (worked out, if left empty)", draft, "repeats", changed, { most: 3 }));
}

function day(changed) {
  const { draft } = plan;
  return element("div", {}, Object.entries(DAY_WORDS).map(([name, words]) => field(words, draft.day, name, changed, { key: `day.${name}`, most: 6 })), field("Kept the same on every run, beside tyres, line and rest", draft, "same", changed, { rows: 2, most: 2000 }));
}

function limits(cards, changed) {
  const { draft } = plan;
  const benches = [...new Set(draft.options.map((option) => option.fork).filter(Boolean))].map((id) => cards.bench(id)).filter((bench) => bench?.spring);
  const now = benches.map((bench) => `${bench.name} has ${Math.round(bench.spring.force_N.at(-1))} N as it is set on the bench`).join("; ");
  return element("div", {}, element("p", { class: "quiet" }, "Every setting is held against the pressure limit of its file, the sag under this load (10 to 40 % of the travel), and the force left at full travel: now, and again before each card."),
    field("Rider and bike at rest, along the leg", draft.limits, "load", changed, { key: "limits.load", most: 30, help: "From rider and bike on the bench; change it for the heaviest rider." }),
    field("Least force at full travel", draft.limits, "full_travel_force", changed, { key: "limits.full_travel_force", most: 30, help: now ? `${now}.` : "" }));
}
