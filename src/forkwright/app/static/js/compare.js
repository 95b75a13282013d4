// The Compare page: both forks follow their sliders at once; bands, sentences and nearest settings follow at rest.
import { Adjusters } from "./adjusters.js";
import { Chart } from "./chart.js";
import { DayFields, dayNow } from "./day.js";
import { byId, element, fileName, listWords, offerSent, write } from "./dom.js";
import { JobBar } from "./job-watch.js";
import { Latest } from "./link.js";
import { Rack } from "./rack.js";
import * as store from "./store.js";
import { TextFields } from "./text-fields.js";
import * as units from "./units.js";

const TRAVEL = { kind: "length", label: "Travel" };
const FORCE = { kind: "force", label: "Force" };
// Bands and nearest settings take a second or two of work: a short pause in a drag does not set them off.
const AT_REST_MS = 450;
const owners = { a: () => store.forkAt("fork"), b: () => store.forkAt("other") };
const sides = { a: null, b: null };
let whole = null;

new Rack(byId("rack-a"), "fork", "Fork or shock A", { files: false });
new Rack(byId("rack-b"), "other", "Fork or shock B", { files: false });
const adjusters = { a: new Adjusters(byId("adjusters-a"), "a", owners.a), b: new Adjusters(byId("adjusters-b"), "b", owners.b) };
const force = new Chart(byId("chart-force"), { title: "Force", x: TRAVEL, y: FORCE, file: "compare-force" });
const difference = new Chart(byId("chart-difference"), { title: "Difference, B less A", x: TRAVEL, y: { kind: "force", label: "Force of B less A" }, file: "compare-difference" });
const rate = new Chart(byId("chart-rate"), { title: "Rate", x: TRAVEL, y: { kind: "stiffness", label: "Spring rate" }, file: "compare-rate" });
const wheel = new Chart(byId("chart-wheel"), { title: "Force at the wheel", x: { kind: "length", label: "Wheel travel" }, y: { kind: "force", label: "Vertical force" }, file: "compare-wheel" });
const damping = new Chart(byId("chart-damping"), { title: "Damping force", x: { kind: "speed", label: "Shaft speed" }, y: FORCE, file: "compare-damping" });

const day = new DayFields(byId("day"), "compare", ask);
const PUMP = [{ name: "pump step", label: "Smallest step of the pump", usual: "", empty: "the bike's" },
  { name: "secondary step", label: "Smallest step at the secondary valve", usual: "", empty: "0.5 psi" }];
const pumpKept = () => store.view("compare-pump", {});
const pump = new TextFields(byId("pump"), "compare", PUMP, {
  read: (name) => pumpKept()[name],
  typed: (name, text) => {
    store.setView("compare-pump", { ...pumpKept(), [name]: text });
    ask();
  },
});

// Asking -------------------------------------------------------------------------------------------------------
const question = () => ({ a: store.asked(owners.a()), b: store.asked(owners.b()), rider: store.asked("rider"), bike: store.asked("bike"), units: units.chosenUnits(), day: dayNow(),
  pump_step: pump.text("pump step"), secondary_step: pump.text("secondary step") });
const benches = Object.fromEntries(["a", "b"].map((side) => [side, new Latest("/api/compare/side", (found, of) => showSide(side, found, of), refused, { ahead: 2 })]));
const asked = { a: "", b: "" };
const words = new JobBar(byId("job"), "compare", { found: showWhole, failed: refused, kept: () => null });
const report = new JobBar(byId("report-job"), "compare-report", { found: offerReport, failed: refused, changed: (on) => { byId("report").disabled = on; }, kept: () => null });
let resting = null;

// A side is read again only when something of its own has changed.
function askSide(side) {
  const one = { fork: store.asked(owners[side]()), rider: store.asked("rider"), bike: store.asked("bike"), day: dayNow() };
  const written = JSON.stringify(one);
  if (written === asked[side]) return;
  asked[side] = written;
  benches[side].ask(one);
}

function ask() {
  askSide("a");
  askSide("b");
  write(byId("working"), "Bands and nearest settings follow when the sliders rest.");
  clearTimeout(resting);
  if (words.busy) words.cancel();
  resting = setTimeout(() => words.ask("/api/compare/job", question()), AT_REST_MS);
}
const current = () => whole !== null && whole.of === JSON.stringify(question());

// Showing ------------------------------------------------------------------------------------------------------
function showSide(side, found, of) {
  sides[side] = found;
  byId("compare-fault").hidden = true;
  day.tell(null);
  if (!benches[side].overtaken) adjusters[side].show(found.adjusters);
  byId(`title-${side}`).textContent = `${found.kind === "shock" ? "Shock" : "Fork"} ${side.toUpperCase()}`;
  store.renameFork(owners[side](), found.name);
  if (!sides.a || !sides.b) return;
  drawCurves();
  document.dispatchEvent(new CustomEvent("bench:redrawn", { detail: of }));
}

function showWhole(found, of) {
  whole = { ...found, of: JSON.stringify(of) };
  pump.tell(null);
  if (!current()) return;
  write(byId("working"), "As forkwright compare tells it.");
  byId("sentences").replaceChildren(...found.sentences.map((sentence) => element("li", {}, sentence)));
  offer("take-nearest", found.nearest_edits);
  offer("take-sag", found.equal_sag_edits);
  showFigures(found);
  listWords(byId("compare-warnings"), found.warnings);
  if (sides.a && sides.b) drawCurves();
}

function offerReport(sent) {
  const both = sides.a && sides.b ? fileName(`${sides.a.name} and ${sides.b.name}`, "") : "";
  offerSent(sent, [both, sent.name].filter(Boolean).join("-"));
}

function offer(id, edits) {
  const button = byId(id);
  button.hidden = !edits || Object.keys(edits).length === 0;
  button.onclick = () => store.change(owners.b(), edits);
}

function refused(error) {
  const fault = byId("compare-fault");
  fault.textContent = error.message;
  fault.hidden = false;
  day.tell(error);
  pump.tell(error);
  write(byId("working"), "");
}

const banded = (side, low, high) => (whole && whole[side].spring.travel_m.at(-1) === sides[side].spring.travel_m.at(-1)
  ? { x: whole[side].spring.travel_m, low: whole[side].spring[low], high: whole[side].spring[high], stale: !current() } : undefined);

function dampingBand(side) {
  const found = whole?.damper?.difference;
  return found && { x: found.speed_m_s, low: found[`${side}_force_low_N`], high: found[`${side}_force_high_N`], stale: !current() };
}

const drawnFrom = (draws) => `Shaded: nine of ten of ${draws.toLocaleString("en")} drawn from the tolerances lie within.`;

function drawCurves() {
  const both = ["a", "b"].map((side, place) => ({ ...sides[side], side, place, name: name(side) }));
  const marks = both.filter(({ sag }) => sag).map(({ sag, place }) => ({ x: sag.sag_m, y: sag.load_N, name: "Sag", place }));
  force.show(both.map(({ side, place, name: called, spring }) => ({ name: called, place, x: spring.travel_m, y: spring.force_N, band: banded(side, "force_low_N", "force_high_N") })), marks,
    current() ? drawnFrom(whole.draws) : "");
  rate.show(both.map(({ side, place, name: called, spring }) => ({ name: called, place, x: spring.travel_m, y: spring.rate_N_m, band: banded(side, "rate_low_N_m", "rate_high_N_m") })));
  byId("chart-difference").classList.toggle("stale", !current());
  if (current()) {
    const { difference: d } = whole;
    const series = [{ name: "B less A", place: 0, x: d.travel_m, y: d.force_N, band: { x: d.travel_m, low: d.force_low_N, high: d.force_high_N } }];
    if (whole.nearest) series.push({ name: "With B at its nearest setting", place: 1, x: whole.nearest.travel_m, y: whole.nearest.remainder_N });
    difference.show(series, [], drawnFrom(whole.draws));
  }
  drawWheel(both.filter((one) => one.wheel));
  const damped = both.filter(({ damping: d }) => d);
  byId("chart-damping").hidden = damped.length === 0;
  if (damped.length) damping.show(damped.map(({ side, place, name: called, damping: d }) => ({ name: called, place, x: d.speed_m_s, y: d.force_N, band: dampingBand(side) })),
    [], current() && whole.damper ? drawnFrom(whole.damper_draws) : "");
}

// Beyond the linkage's end there is nothing at the wheel.
function drawWheel(both) {
  byId("chart-wheel").hidden = both.length === 0;
  if (both.length === 0) return;
  const known = (list) => list.filter((value) => value !== null);
  wheel.show(both.map(({ place, name: called, wheel: { wheel_travel_m: x, wheel_force_N: y } }) => ({ name: called, place, x: known(x), y: known(y) })),
    both.map(({ place, wheel_sag: sag }) => ({ x: sag.wheel_sag_m, y: sag.wheel_load_N, name: "Sag", place })));
}

const name = (side) => `${side.toUpperCase()}: ${sides[side].name}`;

function showFigures(found) {
  const columns = [["A", found.a], ["B", found.b]];
  const rows = [
    ["Setting", (side, key) => found.settings[key]],
    ["Sag", (side) => units.text("length", side.sag.sag_m)],
    ["Rests between", (side) => `${units.figure("length", side.sag.sag_low_m)} and ${units.text("length", side.sag.sag_high_m)}`],
    ["Travel lost unloaded", (side) => units.text("length", side.sag.rest_m)],
    ["Force at full travel", (side) => units.text("force", side.end_force_N)],
    ["End pressure, absolute", (side) => units.text("pressure", side.end_pressure_Pa)],
    ["Energy to bottom out, slowly", (side) => units.text("energy", side.energy_J)],
    ["Energy to bottom out, fast", (side) => units.text("energy", side.energy_fast_J)],
    ["Midstroke support", (side) => side.midstroke_support.toFixed(3)],
  ];
  const atWheel = (letter) => sides[letter]?.wheel_sag;
  if (atWheel("a") && atWheel("b")) {
    rows.splice(2, 0, ["Sag at the wheel", (side, letter) => `${units.text("length", atWheel(letter).wheel_sag_m)} (${((100 * atWheel(letter).wheel_sag_m) / atWheel(letter).wheel_travel_full_m).toFixed(0)} %)`],
      ["Leverage ratio there", (side, letter) => atWheel(letter).leverage_ratio.toFixed(2)]);
  }
  const steps = [...new Set(columns.flatMap(([, side]) => side.steps.map((step) => step.what)))];
  for (const what of steps) {
    rows.push([`One step of ${what}: sag`, (side) => stepText(side, what)]);
  }
  byId("figures").replaceChildren(element("table", { class: "figures-table" },
    element("caption", { class: "word-hidden" }, "Figures of both forks"),
    element("thead", {}, element("tr", {}, element("td", {}), columns.map(([letter, side]) => element("th", { scope: "col" }, `${letter}: ${side.name}`)))),
    element("tbody", {}, rows.map(([head, value]) => element("tr", {}, element("th", { scope: "row" }, head),
      columns.map(([letter, side]) => element("td", { class: "figures" }, value(side, letter.toLowerCase()))))))));
}

function stepText(side, what) {
  const step = side.steps.find((one) => one.what === what);
  if (!step) return "–";
  const sign = (value, text) => (value > 0 ? `+${text}` : text);
  return `${sign(step.sag_m, units.text("length", step.sag_m))}; full travel ${sign(step.end_force_N, units.text("force", step.end_force_N))}`;
}

// What sets it off ---------------------------------------------------------------------------------------------
byId("report").onclick = () => report.ask("/api/compare/report", question());
let shown = `${owners.a()} ${owners.b()}`;
store.onDraft((cause) => {
  const now = `${owners.a()} ${owners.b()}`;
  if (cause === "elsewhere") day.show();
  if (cause === "view" && now === shown) return;
  shown = now;
  ask();
});
units.onUnits(() => {
  ask();
  if (whole) showFigures(whole);
});
ask();
