// The Match page: what to set on B so that it feels like A, what remains, why, and how flat it is.
import { Chart } from "../chart.js";
import { byId, element } from "../dom.js";
import { Rack } from "../rack.js";
import * as store from "../store.js";
import * as units from "../units.js";
import { Asking, Form, people, table, takeButton } from "./asking.js";
import { CourseTicks } from "./courses.js";

const TRAVEL = { kind: "length", label: "Travel" };
const SPEED = { kind: "speed", label: "Shaft speed, compression positive" };
const FORCE = { kind: "force", label: "Force" };
const KINDS = { even: "all alike", stated: "stated", courses: "as ridden" };
const form = new Form("match", { kind: "even", used_from: "0 mm", used_to: "", fastest: "2 m/s", courses: ["demo:heather-traverse"], oil: "20 °C" });
const owners = { a: () => store.forkAt("fork"), b: () => store.forkAt("other") };

new Rack(byId("rack-a"), "fork", "Fork or shock A", { files: false });
new Rack(byId("rack-b"), "other", "Fork or shock B", { files: false });
form.tie("oil", "oil");

// What counts ----------------------------------------------------------------------------------------------------
const ticks = element("div", { id: "use-courses" });
const stated = element("div", { class: "pair", id: "use-stated" });
const courseTicks = new CourseTicks(ticks, form.state.courses, (picked) => form.set({ courses: picked }));
function buildUse() {
  const kinds = element("div", { class: "use-kinds" }, Object.entries(KINDS).map(([kind, words]) => {
    const radio = element("input", { type: "radio", name: "use-kind", value: kind, onchange: () => { form.set({ kind }); showUse(); } });
    radio.checked = form.state.kind === kind;
    return element("label", {}, radio, element("span", {}, words));
  }));
  const field = (entry, label, help) => {
    const input = element("input", { type: "text", id: `use-${entry}`, maxlength: "40", value: form.state[entry], placeholder: help });
    return element("div", { class: "field" }, element("label", { for: input.id }, label), input);
  };
  stated.append(field("used_from", "Travel from", ""), field("used_to", "to", "the whole"), field("fastest", "Fastest shaft speed", ""));
  byId("use").append(kinds, stated, ticks);
  for (const entry of ["used_from", "used_to", "fastest"]) form.tie(`use-${entry}`, entry);
  showUse();
}
function showUse() {
  stated.hidden = form.state.kind !== "stated";
  ticks.hidden = form.state.kind !== "courses";
}

function question() {
  const { kind, used_from, used_to, fastest } = form.state;
  const use = kind === "even" ? { kind } : kind === "stated" ? { kind, used_from, used_to, fastest } : { kind, courses: courseTicks.chosen() };
  return { a: store.asked(owners.a()), b: store.asked(owners.b()), ...people(), use, oil_temperature: form.state.oil, units: units.chosenUnits() };
}

// Showing ------------------------------------------------------------------------------------------------------
const springs = new Chart(byId("chart-springs"), { title: "Spring force", x: TRAVEL, y: FORCE, file: "match-springs" });
const left = new Chart(byId("chart-left"), { title: "What remains of the spring, B less A", x: TRAVEL, y: { kind: "force", label: "Force of B less A" }, file: "match-remainder" });
const damping = new Chart(byId("chart-damping"), { title: "Damping force, wanted and reached", x: SPEED, y: FORCE, file: "match-damping" });
const use = new Chart(byId("chart-use"), { title: "How much each travel counts", x: TRAVEL, y: { kind: "dimensionless", label: "Weight" }, file: "match-use" });

function show(answer) {
  const { springs: curves, spring, damping: damped } = answer;
  const line = (name, place, curve) => ({ name, place, x: curve.travel_m, y: curve.force_N });
  springs.show([line(`A: ${answer.a}`, 0, curves.a), ...(curves.nearest ? [line(`B nearest: ${answer.b}`, 1, curves.nearest)] : []), line("B as it is", 2, curves.b)]);
  for (const [id, there] of [["chart-left", spring ?? answer.coil], ["chart-damping", damped]]) byId(id).hidden = !there;
  const remains = spring ?? answer.coil;
  if (remains) left.show([{ name: "B at its nearest less A", place: 1, x: remains.travel_m, y: remains.remainder_N }]);
  if (damped) damping.show([{ name: `A: ${answer.a}`, place: 0, x: damped.speed_m_s, y: damped.wanted_N }, { name: `B nearest: ${answer.b}`, place: 1, x: damped.speed_m_s, y: damped.reached_N }]);
  const most = Math.max(...answer.use.travel_weight);
  use.show([{ name: answer.use.words, place: 3, x: answer.use.travel_m, y: answer.use.travel_weight.map((weight) => weight / most) }]);
  byId("offers").replaceChildren(takeButton(answer.edits?.["coil_spring.rate"] ? "Give B this coil and setting" : "Give B this setting", owners.b, answer.edits, true));
  const rows = answer.neighbours.map((one) => element("tr", {}, element("th", { scope: "row" }, one.words), element("td", { class: "figures" }, units.text("force", one.rms_N))));
  byId("neighbours").replaceChildren(table(["Step away", "What it leaves (rms)"], rows, { caption: "Neighbours of the match" }));
}

const asking = new Asking("match", "/api/match", question, show);
buildUse();
courseTicks.build().then(() => asking.resume()).then((found) => found || asking.ask());
