// The Balance page: both ends follow their sliders at once; what to change follows at rest; a course is ridden on demand.
import { Adjusters } from "../adjusters.js";
import { Chart } from "../chart.js";
import { DayFields, dayNow } from "../day.js";
import { byId, element, listWords } from "../dom.js";
import { Latest } from "../link.js";
import * as store from "../store.js";
import { Form, number, people, sayPeople, takeButton } from "../tune/asking.js";
import * as units from "../units.js";
import { BothRide } from "./both-ride.js";
import { AS_USUAL, HoldSliders } from "./hold-sliders.js";
import { KindRack } from "./kind-rack.js";

const AT_REST_MS = 400;
const form = new Form("balance", { ...AS_USUAL, front_brake_percent: 70, change: "rear", sag_lead: "4", tyre: "24 psi", course: "demo:heather-traverse" });
const racks = { front: new KindRack(byId("rack-front"), "balance-front", "fork", "Fork in front"), rear: new KindRack(byId("rack-rear"), "balance-rear", "shock", "Shock in the rear") };
const owners = { front: () => racks.front.chosen, rear: () => racks.rear.chosen };
const adjusters = { front: new Adjusters(byId("adjusters-front"), "front", owners.front), rear: new Adjusters(byId("adjusters-rear"), "rear", owners.rear) };
const force = new Chart(byId("chart-force"), { title: "Force at both wheels", x: { kind: "length", label: "Vertical wheel travel" }, y: { kind: "force", label: "Vertical force" }, file: "balance-force" });
const damping = new Chart(byId("chart-damping"), { title: "Damping at both wheels, at the sag", x: { kind: "speed", label: "Vertical wheel speed" }, y: { kind: "force", label: "Vertical force" }, file: "balance-damping" });
let answer = null;
let advice = null;

sayPeople();
form.tie("sag-lead", "sag_lead");
form.tie("tyre", "tyre");
const day = new DayFields(byId("day"), "balance", () => ask());
const holds = new HoldSliders(byId("holds"), form, () => ask());

// Asking -------------------------------------------------------------------------------------------------------
function question() {
  const { gradient, speed_change_m_s2, rider_shift_m, front_brake_percent, change, sag_lead, tyre } = form.state;
  return { fork: store.asked(owners.front()), shock: store.asked(owners.rear()), ...people(), change, sag_lead_percent: number(sag_lead), front_brake_percent,
    gradient, speed_change_m_s2, rider_shift_m, tyre_pressure: tyre, day: dayNow(), units: units.chosenUnits() };
}
const both = () => owners.front() !== null && owners.rear() !== null;
const bench = new Latest("/api/balance", show, refused);
const adviser = new Latest("/api/balance/advice", showAdvice, (error) => { byId("working").textContent = error.message; });
const ride = new BothRide(form, () => both() && question());
let resting = null;

function ask() {
  if (!both()) return;
  bench.ask(question());
  byId("working").textContent = "Working it out …";
  clearTimeout(resting);
  resting = setTimeout(() => adviser.ask(question()), AT_REST_MS);
  ride.age();
}

// Showing ------------------------------------------------------------------------------------------------------
function show(found) {
  answer = found;
  byId("balance-fault").hidden = true;
  day.tell(null);
  if (!bench.overtaken) {
    adjusters.front.show(found.adjusters.fork);
    adjusters.rear.show(found.adjusters.shock);
  }
  for (const end of ["front", "rear"]) store.renameFork(owners[end](), found[end].name);
  if (found.drawing) byId("side").innerHTML = found.drawing;
  byId("side").classList.toggle("stale", !found.drawing);
  showAttitude(found);
  byId("sentences").replaceChildren(...found.sentences.map((words) => element("li", {}, words)));
  listWords(byId("balance-warnings"), found.warnings);
  ride.told = found.warnings;
  showFigures();
  showCurves(found);
  document.dispatchEvent(new CustomEvent("bench:redrawn"));
}

function showAttitude({ level, held }) {
  const shown = held ?? level;
  if (shown.lifts) {
    byId("attitude").textContent = `The ${shown.lifts} wheel would lift: nobody holds that.`;
    return;
  }
  const travel = (value) => units.text("length", Math.max(0, value));
  const turned = held ? `, turned ${units.text("angle", Math.abs(held.pitch_rad - level.pitch_rad))} nose ${held.pitch_rad > level.pitch_rad ? "up" : "down"} by the suspension` : "";
  byId("attitude").textContent = `Wheels deep by ${travel(shown.front_wheel_travel_m)} in front and ${travel(shown.rear_wheel_travel_m)} in the rear${turned}.${held ? " Dashed: at rest on level ground." : ""}`;
}

function showFigures() {
  if (!answer) return;
  const columns = [["Front", answer.front], ["Rear", answer.rear]];
  const changed = advice && advice.of === JSON.stringify(question()) && advice.advice.changes.length > 0 ? advice.advice : null;
  if (changed) columns.push([`${changed.end === "rear" ? "Rear" : "Front"}, changed`, changed.after[changed.end]]);
  const percent = (share) => `${(100 * share).toFixed(0)} %`;
  const rows = [
    ["Sag of the unit", (end) => units.text("length", end.sag_m)],
    ["Rests between", (end) => `${units.figure("length", end.sag_low_m)} and ${units.text("length", end.sag_high_m)}`],
    ["Sag at the wheel", (end) => `${units.text("length", end.wheel_sag_m)} (${percent(end.sag_share)})`],
    ["Carries", (end) => units.text("mass", end.carried_mass_kg)],
    ["Rate at the wheel", (end) => units.text("stiffness", end.wheel_rate_N_m)],
    ["Frequency alone", (end) => `${end.frequency_Hz.toFixed(2)} Hz`],
    ["Compression, of critical", (end) => end.compression_damping_ratio.toFixed(2)],
    ["Rebound, of critical", (end) => end.rebound_damping_ratio.toFixed(2)],
  ];
  byId("figures").replaceChildren(element("div", { class: "behind wide", tabindex: "0", role: "region", "aria-label": "Figures of both ends" }, element("table", { class: "figures-table" },
    element("caption", { class: "word-hidden" }, "Figures of both ends"),
    element("thead", {}, element("tr", {}, element("td", {}), columns.map(([head]) => element("th", { scope: "col" }, head)))),
    element("tbody", {}, rows.map(([head, value]) => element("tr", {}, element("th", { scope: "row" }, head), columns.map(([, end]) => element("td", { class: "figures" }, value(end)))))))));
}

function showCurves({ curves, front, rear }) {
  const named = [["front", front.name, 0], ["rear", rear.name, 1]];
  force.show(named.map(([end, name, place]) => ({ name, place, x: curves[end].wheel_travel_m, y: curves[end].wheel_force_N })),
    named.map(([end, , place]) => ({ name: "Sag", place, x: { front, rear }[end].wheel_sag_m, y: forceAt(curves[end], { front, rear }[end].wheel_sag_m) })));
  damping.show(named.map(([end, name, place]) => ({ name, place, x: curves[end].wheel_speed_m_s, y: curves[end].wheel_damping_N })));
}

// The drawn point nearest to a travel.
function forceAt({ wheel_travel_m: x, wheel_force_N: y }, travel) {
  const at = x.findIndex((value) => value >= travel);
  return y[at < 0 ? y.length - 1 : at];
}

function showAdvice(found, asked) {
  advice = { ...found, of: JSON.stringify(asked) };
  if (advice.of !== JSON.stringify(question())) return;
  byId("working").textContent = "";
  byId("advice-sentences").replaceChildren(...found.sentences.map((words) => element("li", {}, words)));
  const owner = owners[found.advice.end];
  byId("offers").replaceChildren(takeButton(`Give the ${found.advice.end} this`, owner, found.edits, store.asked(owner()), true));
  listWords(byId("advice-warnings"), found.warnings);
  showFigures();
}

function refused(error) {
  byId("balance-fault").textContent = error.message;
  byId("balance-fault").hidden = false;
  day.tell(error);
  byId("working").textContent = "";
}

// What sets it off ---------------------------------------------------------------------------------------------
for (const radio of byId("change").querySelectorAll("input")) {
  radio.checked = radio.value === form.state.change;
  radio.addEventListener("change", () => {
    form.set({ change: radio.value });
    ask();
  });
}
for (const id of ["sag-lead", "tyre"]) byId(id).addEventListener("change", ask);
byId("let-go").addEventListener("click", () => {
  form.set(AS_USUAL);
  holds.refresh();
  ask();
});
let shown = `${owners.front()} ${owners.rear()}`;
store.onDraft((cause) => {
  const now = `${owners.front()} ${owners.rear()}`;
  if (cause === "elsewhere") day.show();
  if (cause === "view" && now === shown) return;
  shown = now;
  ask();
});
units.onUnits(ask);
ask();
