// The Fork page: one question per change, the newest wins, and everything on the page follows its answer.
import { Adjusters } from "./adjusters.js";
import { BandsAtRest } from "./bands-at-rest.js";
import { Chart } from "./chart.js";
import { byId, listReadings, listWords, write } from "./dom.js";
import { DayFields, dayNow } from "./day.js";
import { Drawing } from "./drawing.js";
import { LeverageEditor } from "./leverage-editor.js";
import { Latest } from "./link.js";
import { LoadFold } from "./load-fold.js";
import { pageData } from "./page-data.js";
import { PapersFold } from "./papers-fold.js";
import { PartsForm } from "./parts-form.js";
import { ChassisFold, PumpFold } from "./pump-and-chassis.js";
import { Rack } from "./rack.js";
import * as store from "./store.js";
import * as units from "./units.js";
import { WheelCharts, wheelReadings } from "./wheel-charts.js";

const TRAVEL = { kind: "length", label: "Travel" };
const owner = () => store.forkAt("fork");
let answer = null;

new Rack(byId("rack"), "fork", "Fork or shock on the bench");
const adjusters = new Adjusters(byId("adjusters"), "set", owner);
const force = new Chart(byId("chart-force"), { title: "Force", x: TRAVEL, y: { kind: "force", label: "Force" }, file: "force" });
const pressure = new Chart(byId("chart-pressure"), { title: "Chamber pressures", x: TRAVEL, y: { kind: "pressure", label: "Gauge pressure" }, file: "pressures" });
const rate = new Chart(byId("chart-rate"), { title: "Rate", x: TRAVEL, y: { kind: "stiffness", label: "Spring rate" }, file: "rate" });
const drawing = new Drawing(byId("drawing"), () => answer && showReadings());
const forms = [new PartsForm(byId("parts"), "part", owner), new PartsForm(byId("rider-form"), "rider", () => "rider"), new PartsForm(byId("bike-form"), "bike", () => "bike", ["leverage"])];
const wheel = new WheelCharts(byId("wheel-charts"));
const day = new DayFields(byId("day"), "fork", askAll);
const leverage = new LeverageEditor(byId("leverage-form"));
forms.push(leverage);

// Asking -------------------------------------------------------------------------------------------------------
const bench = new Latest("/api/fork", show, refused, { ahead: 2 });
const pace = () => Number(store.view("pace", "1"));
const bands = new BandsAtRest("/api/fork/bands", () => ({ ...unit(), exponent: pace() }), () => answer && showForce(),
  { drawn: "units", draws: pageData.draws, from: "forkwright compare" });

function ask() {
  bench.ask({ fork: store.asked(owner()), rider: store.asked("rider"), bike: store.asked("bike"),
    view: store.view("drawn", "spring"), drawn: drawing.key, units: units.chosenUnits(), day: dayNow(), exponent: pace() });
}

const unit = () => ({ fork: store.asked(owner()), day: dayNow() });
const papers = new PapersFold(unit, () => ({ name: answer?.name ?? "", travel: drawing.travel }));
const folds = [new LoadFold(() => ({ ...unit(), bike: store.asked("bike") }), () => store.kindOf(store.sheetOf(owner()))), new PumpFold(unit), new ChassisFold(unit)];

function askAll() {
  ask();
  bands.restart();
  folds.forEach((fold) => fold.changed());
}

// Showing ------------------------------------------------------------------------------------------------------
function show(found, asked) {
  answer = found;
  byId("fork-fault").hidden = true;
  document.querySelector(".curves").classList.remove("stale");
  day.tell(null);
  // Clicks belong to the damper: they do not move the spring, and stand on its own page.
  if (!bench.overtaken) adjusters.show(found.adjusters.filter((adjuster) => adjuster.kind !== "clicks"));
  showKind(found.kind);
  drawing.show(found.drawing);
  listWords(byId("drawing-notes"), found.drawing.notes);
  listWords(byId("fork-warnings"), found.warnings);
  showForce();
  showOthers();
  wheel.show(found.wheel, found.wheel_sag);
  store.renameFork(owner(), found.name);
  document.dispatchEvent(new CustomEvent("bench:redrawn", { detail: asked }));
}

// A shock is drawn whole: there are no legs to choose from.
function showKind(kind) {
  const shock = kind === "shock";
  write(byId("fork-title"), shock ? "Shock" : "Fork");
  byId("views").hidden = shock;
  byId("chassis").hidden = shock;
  papers.showKind(shock);
}

function refused(error) {
  const fault = byId("fork-fault");
  fault.textContent = error.message;
  fault.hidden = false;
  day.tell(error);
  document.querySelector(".curves").classList.add("stale");
}

function showForce() {
  const { travel_m: x, force_N: y, friction_N: friction } = answer.spring;
  const series = [{ name: "Force", x, y, place: 0 }];
  const band = bands.over("travel_m");
  if (band?.x.at(-1) === x.at(-1)) series[0].band = band;
  series.push({ name: "Pushing in, with friction", x, y: y.map((at, index) => at + friction[index]), place: 3, dash: "dot", faint: true });
  series.push({ name: "Coming back", x, y: y.map((at, index) => at - friction[index]), place: 2, dash: "dash", faint: true });
  const { sag } = answer;
  force.show(series, sag ? [{ x: sag.sag_m, y: sag.load_N, name: "Sag", place: 1 }] : [], bands.words);
}

function showOthers() {
  const { spring, drawing: { motion } } = answer;
  const x = spring.travel_m;
  const named = { positive: "Positive", negative: "Negative", secondary: "Secondary", lower_leg: "Lower leg, spring side", lower_leg_damper: "Lower leg, damper side" };
  // A chamber that the unit does not have stands at ambient pressure all the way.
  const there = Object.entries(motion.pressures).filter(([, y]) => y.some((value) => Math.abs(value) > 1));
  byId("chart-pressure").hidden = there.length === 0;
  pressure.show(there.map(([role, y], place) => ({ name: named[role] ?? role, x, y, place })));
  rate.show([{ name: "Rate", x, y: spring.rate_N_m, place: 0 }]);
}

const at = (list, x, travel) => {
  const high = Math.max(1, x.findIndex((value) => value >= travel));
  const share = (travel - x[high - 1]) / (x[high] - x[high - 1]);
  return list[high - 1] + share * (list[high] - list[high - 1]);
};

function showReadings() {
  const { spring, sag } = answer;
  const full = spring.travel_m.at(-1);
  const share = (value) => `${((100 * value) / full).toFixed(0)} %`;
  const rows = [];
  if (sag) {
    rows.push([answer.kind === "shock" ? "Sag of the shock" : "Sag", `${units.text("length", sag.sag_m)} (${share(sag.sag_m)})`]);
    rows.push(["Sag band from friction", `${units.figure("length", sag.sag_low_m)} to ${units.text("length", sag.sag_high_m)}`]);
    if (sag.rest_m > 0) rows.push(["Travel lost unloaded", units.text("length", sag.rest_m)]);
  }
  rows.push(...wheelReadings(answer));
  rows.push(["Force at the travel shown", units.text("force", at(spring.force_N, spring.travel_m, drawing.travel))]);
  rows.push(["Force at full travel", units.text("force", spring.force_N.at(-1))]);
  listReadings(byId("readings"), rows);
}

// What sets it off --------------------------------------------------------------------------------------------
for (const radio of byId("views").querySelectorAll("input")) {
  radio.checked = radio.value === store.view("drawn", "spring");
  radio.addEventListener("change", () => {
    store.setView("drawn", radio.value);
    ask();
  });
}
for (const radio of byId("paces").querySelectorAll("input")) {
  radio.checked = radio.value === store.view("pace", "1");
  radio.addEventListener("change", () => {
    store.setView("pace", radio.value);
    askAll();
  });
}
let shownFork = owner();
store.onDraft((cause, paths) => {
  const turned = shownFork !== owner();
  shownFork = owner();
  if (cause === "elsewhere") {
    day.show();
    papers.changed();
  }
  if (cause === "view" && !turned) return;
  askAll();
  if (!store.settingOnly(paths)) forms.forEach((form) => form.refresh());
});
units.onUnits(() => {
  ask();
  folds[0].refresh();
  if (answer) showReadings();
});
askAll();
forms.forEach((form) => form.refresh());
