// The Match page: what to set on B so that it feels like A, what remains, why, and how flat it is.
import { Chart } from "../chart.js";
import { DayFields, dayNow } from "../day.js";
import { byId, element } from "../dom.js";
import { Rack } from "../rack.js";
import * as store from "../store.js";
import * as units from "../units.js";
import { Asking, Form, people, table, takeButton } from "./asking.js";
import { adjusterBands } from "./bands.js";
import { CourseTicks } from "./courses.js";
import { LogChoice } from "./log-choice.js";
import { PUMP_AS_USUAL, pumpAsked, tiePump } from "./ride-fields.js";

const TRAVEL = { kind: "length", label: "Travel" };
const SPEED = { kind: "speed", label: "Shaft speed, compression positive" };
const FORCE = { kind: "force", label: "Force" };
const KINDS = { even: "all alike", stated: "stated", courses: "as ridden", log: "as logged" };
const REVALVE = { none: "clicks alone", own: "B's own shims too", drawer: "the shop's shims too" };
const form = new Form("match", { kind: "even", used_from: "0 mm", used_to: "", fastest: "2 m/s", courses: ["demo:heather-traverse"], file: "", channel: "", oil: "20 °C", revalve: "none", shims: "", ...PUMP_AS_USUAL });
const owners = { a: () => store.forkAt("fork"), b: () => store.forkAt("other") };

new Rack(byId("rack-a"), "fork", "Fork or shock A", { files: false });
new Rack(byId("rack-b"), "other", "Fork or shock B", { files: false });
form.tie("oil", "oil");
tiePump(form);

// What counts ----------------------------------------------------------------------------------------------------
const ticks = element("div", { id: "use-courses" });
const stated = element("div", { class: "pair", id: "use-stated" });
const logged = element("div", { id: "use-log" });
const log = new LogChoice(logged, form, "A");
const courseTicks = new CourseTicks(ticks, form.state.courses, (picked) => form.set({ courses: picked }));
function choices(name, entry, offered, changed) {
  return element("div", { class: Object.keys(offered).length % 2 ? "use-kinds" : "use-kinds in-pairs" }, Object.entries(offered).map(([value, words]) => {
    const radio = element("input", { type: "radio", name, value, onchange: () => { form.set({ [entry]: value }); changed(); } });
    radio.checked = form.state[entry] === value;
    return element("label", {}, radio, element("span", {}, words));
  }));
}
function buildUse() {
  const kinds = choices("use-kind", "kind", KINDS, showUse);
  const field = (entry, label, help) => {
    const input = element("input", { type: "text", id: `use-${entry}`, maxlength: "40", value: form.state[entry], placeholder: help });
    return element("div", { class: "field" }, element("label", { for: input.id }, label), input);
  };
  stated.append(field("used_from", "Travel from", ""), field("used_to", "to", "the whole"), field("fastest", "Fastest shaft speed", ""));
  byId("use").append(kinds, stated, ticks, logged);
  for (const entry of ["used_from", "used_to", "fastest"]) form.tie(`use-${entry}`, entry);
  showUse();
}
function showUse() {
  stated.hidden = form.state.kind !== "stated";
  ticks.hidden = form.state.kind !== "courses";
  logged.hidden = form.state.kind !== "log";
  if (!logged.hidden) log.show();
}

// Which shims there are ------------------------------------------------------------------------------------------
const shims = element("textarea", { id: "shims", rows: "6", maxlength: "8000", placeholder: "3 of 19.0 x 0.20 mm\n17.0 x 0.15 mm" });
const drawer = element("div", { class: "field" }, element("label", { for: "shims" }, "Shims at hand, one size a line"), shims);
function buildRevalve() {
  byId("revalve").append(choices("revalve-kind", "revalve", REVALVE, showRevalve), drawer);
  form.tie("shims", "shims");
  showRevalve();
}
function showRevalve() {
  drawer.hidden = form.state.revalve !== "drawer";
}

function question() {
  const { kind, used_from, used_to, fastest } = form.state;
  const asked = { even: { kind }, stated: { kind, used_from, used_to, fastest }, courses: { kind, courses: courseTicks.chosen() }, log: { kind, ...log.chosen() } };
  const use = asked[kind];
  const revalve = { kind: form.state.revalve, ...(form.state.revalve === "drawer" ? { shims: form.state.shims } : {}) };
  return { a: store.asked(owners.a()), b: store.asked(owners.b()), ...people(), use, revalve, oil_temperature: form.state.oil, ...pumpAsked(form), day: dayNow(), units: units.chosenUnits() };
}

// Showing ------------------------------------------------------------------------------------------------------
const springs = new Chart(byId("chart-springs"), { title: "Spring force", x: TRAVEL, y: FORCE, file: "match-springs" });
const left = new Chart(byId("chart-left"), { title: "What remains of the spring, B less A", x: TRAVEL, y: { kind: "force", label: "Force of B less A" }, file: "match-remainder" });
const damping = new Chart(byId("chart-damping"), { title: "Damping force, wanted and reached", x: SPEED, y: FORCE, file: "match-damping" });
const use = new Chart(byId("chart-use"), { title: "How much each travel counts", x: TRAVEL, y: { kind: "dimensionless", label: "Weight" }, file: "match-use" });

function show(answer, asked) {
  const { springs: curves, spring, damping: damped } = answer;
  const line = (name, place, curve) => ({ name, place, x: curve.travel_m, y: curve.force_N });
  springs.show([line(`A: ${answer.a}`, 0, curves.a), ...(curves.nearest ? [line(`B nearest: ${answer.b}`, 1, curves.nearest)] : []), line("B as it is", 2, curves.b)]);
  for (const [id, there] of [["chart-left", spring ?? answer.coil], ["chart-damping", damped]]) byId(id).hidden = !there;
  const remains = spring ?? answer.coil;
  const { bands } = answer;
  if (remains) left.show([{ name: "B at its nearest less A", place: 1, x: remains.travel_m, y: remains.remainder_N, ...(bands?.spring ? { band: { x: bands.spring.travel_m, low: bands.spring.remainder_low_N, high: bands.spring.remainder_high_N } } : {}) }]);
  const about = (forces) => forces.map((force, at) => damped.wanted_N[at] + force);
  const tolerance = bands?.damping ? { band: { x: damped.speed_m_s, low: about(bands.damping.remainder_low_N), high: about(bands.damping.remainder_high_N) } } : {};
  if (damped) damping.show([{ name: `A: ${answer.a}`, place: 0, x: damped.speed_m_s, y: damped.wanted_N }, { name: `B nearest: ${answer.b}`, place: 1, x: damped.speed_m_s, y: damped.reached_N, ...tolerance }]);
  const most = Math.max(...answer.use.travel_weight);
  use.show([{ name: answer.use.words, place: 3, x: answer.use.travel_m, y: answer.use.travel_weight.map((weight) => weight / most) }]);
  byId("offers").replaceChildren(takeButton(answer.edits?.["coil_spring.rate"] ? "Give B this coil and setting" : "Give B this setting", owners.b, answer.edits, asked.b, true));
  const rows = answer.neighbours.map((one) => element("tr", {}, element("th", { scope: "row" }, one.words), element("td", { class: "figures" }, units.text("force", one.rms_N))));
  showStacks(answer.revalve);
  byId("sureness").replaceChildren(...sureness(answer));
  byId("neighbours").replaceChildren(table(["Step away", "What it leaves (rms)"], rows, { caption: "Neighbours of the match" }));
}

const sureness = ({ bands }) => (bands ? [element("p", { class: "quiet" }, `${bands.draws} pairs of springs and ${bands.damper_draws} of dampers were drawn from the tolerances.`), adjusterBands(bands.adjusters)] : []);

function showStacks(stacks) {
  byId("stacks").hidden = !stacks;
  if (!stacks) return;
  const standing = (found) => [["in it now", found.present], ...found.proposals.map((one, at) => [at === 0 ? "nearest" : `${at + 1}. nearest`, one])];
  const rows = Object.entries(stacks).flatMap(([valve, found]) => standing(found).map(([label, one]) => element("tr", {}, element("th", { scope: "row" }, `${valve.replace("_", " ")}, ${label}`),
    element("td", {}, one.shims.map((shim) => element("div", {}, shim))), element("td", { class: "figures" }, `${(100 * one.error).toFixed(1)} %`), element("td", { class: "figures" }, `${(one.stress_Pa / 1e6).toFixed(0)} of ${(one.yield_stress_Pa / 1e6).toFixed(0)}`))));
  const looked = Object.entries(stacks).map(([valve, found]) => `${valve.replace("_", " ")}: ${found.searched} of ${found.possible} possible stacks solved${found.exhaustive ? "" : ", better ones may exist"}`).join("; ");
  byId("stack-list").replaceChildren(table(["Valve", "From the valve face to the clamp", "Off the wanted force", "Stress of yield (MPa)"], rows, { caption: "Stacks nearest to the damping wanted" }), element("p", { class: "quiet" }, `${looked}.`));
}

const asking = new Asking("match", "/api/match", question, show, new DayFields(byId("day"), "match", () => {}));
buildUse();
buildRevalve();
courseTicks.build().then(() => asking.resume()).then((found) => found || asking.ask());
