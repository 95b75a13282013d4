// The Damper page: clicks, oil and place set the curves; a shaft speed sets the bent stacks and the paths. What takes longer
// or is seldom wanted (the dynamometer, tables) waits until it is asked for.
import { Adjusters } from "./adjusters.js";
import { BandsAtRest } from "./bands-at-rest.js";
import { Chart } from "./chart.js";
import { AtSpeed } from "./damper-speed.js";
import { ClickTable, SpeedTable, StackOpenings } from "./damper-tables.js";
import { dayNow } from "./day.js";
import { byId, element, listWords } from "./dom.js";
import { Dynamometer } from "./dynamometer.js";
import { Latest } from "./link.js";
import { LooseStack } from "./loose-stack.js";
import { MapChart } from "./map-chart.js";
import { pageData } from "./page-data.js";
import { Rack } from "./rack.js";
import { Revalve } from "./revalve.js";
import { StackBuilder } from "./stack-builder.js";
import * as store from "./store.js";
import { TextFields } from "./text-fields.js";
import * as units from "./units.js";
import { WheelDamping } from "./wheel-damping.js";

const SPEED = { kind: "speed", label: "Shaft speed" };
const PLACE = [
  { name: "oil temperature", label: "Oil temperature", usual: "20 °C" },
  { name: "position", label: "Reservoir stands at a compression of", usual: "", empty: "mid-travel" },
  { name: "altitude", label: "Altitude", usual: "0 m" },
];
const ADJUSTERS = { low_speed: "Low-speed compression", high_speed: "High-speed compression", rebound: "Rebound" };
const NO_BAND = "No band is drawn while the shims stretch: each of its dampers would take as long as this one. The stacks below are drawn bent, not stretched.";
const AT_REST_MS = 450;
const owner = () => store.forkAt("fork");
const builders = new Map();
const atSpeed = new AtSpeed(builders);
let answer = null;

new Rack(byId("rack"), "fork", "Fork or shock on the bench");
const adjusters = new Adjusters(byId("adjusters"), "set", owner);
const damping = new Chart(byId("chart-damping"), { title: "Damping force", x: SPEED, y: { kind: "force", label: "Force" }, file: "damping" });
const chambers = new Chart(byId("chart-chambers"), { title: "Chamber pressures and cavitation margin", x: SPEED, y: { kind: "pressure", label: "Pressure, absolute" }, file: "damper-pressures" });
const map = new MapChart(byId("chart-map"), { title: "Cavitation margin", x: SPEED, y: { kind: null, label: "Clicks from closed" }, z: { kind: "pressure", label: "Margin" }, file: "cavitation" });

const wheel = new WheelDamping(byId("wheel-damping"), () => bench.ask(benchQuestion()));

// Asking -------------------------------------------------------------------------------------------------------
const stretching = () => store.view("stretching", false);
const place = () => ({ oil_temperature: store.view("oil", "20 °C"), altitude: dayNow().altitude });
const still = () => ({ fork: store.asked(owner()), ...place(), position: store.view("position", "") || null });
const question = () => ({ ...still(), stiffening: stretching() });
const speedQuestion = () => ({ ...question(), speed_m_s: store.view("speed", 1), units: units.chosenUnits(), drawn: atSpeed.drawn });
const benchQuestion = () => ({ ...speedQuestion(), ...atWheel() });
const bench = new Latest("/api/damper", show, refused, { ahead: 2 });
const speedBench = new Latest("/api/damper/speed", (found) => atSpeed.show(found), () => {}, { ahead: 2 });
const stackBench = new Latest("/api/damper/stacks", showStacks, () => {});
const mapBench = new Latest("/api/damper/map", showMap, () => {});
const bands = new BandsAtRest("/api/damper/bands", question, () => answer && showForce(),
  { drawn: "dampers", draws: pageData.draws, from: "forkwright compare" });

const atWheel = () => ({ bike: store.asked("bike"), wheel_share: wheel.share });
const folds = [new SpeedTable(() => ({ ...question(), ...atWheel() })), new ClickTable(question, ADJUSTERS), new StackOpenings(still)];
const dynamometer = new Dynamometer(() => ({ fork: store.asked(owner()), ...place() }));

new LooseStack();
const revalve = new Revalve(() => ({ fork: store.asked(owner()), ...place() }), owner);

const askSpeed = () => speedBench.ask(speedQuestion());
const askMap = () => byId("map-of").value && mapBench.ask({ ...question(), adjuster: byId("map-of").value });
let resting = null;
function askAtRest() {
  askMap();
  folds.forEach((fold) => fold.changed());
  dynamometer.age();
  revalve.age();
}
function ask(parts = true) {
  bench.ask(benchQuestion());
  if (parts) stackBench.ask(question());
  clearTimeout(resting);
  resting = setTimeout(askAtRest, AT_REST_MS);
  if (!stretching()) bands.restart();
}

// Showing ------------------------------------------------------------------------------------------------------
function show(found, asked) {
  answer = found;
  byId("damper-fault").hidden = true;
  placeFields.tell(null);
  for (const part of document.querySelectorAll(".curves, .at-speed")) part.classList.remove("stale");
  if (!bench.overtaken) adjusters.show(found.adjusters);
  refreshMapChoice(found.adjusters);
  listWords(byId("damper-warnings"), found.damping.warnings);
  showForce();
  wheel.show(found.wheel, found.kind);
  const { damping: d } = found;
  chambers.show([
    { name: "Compression chamber", x: d.speed_m_s, y: d.compression_chamber_Pa, place: 0 },
    { name: "Shaft side", x: d.speed_m_s, y: d.shaft_chamber_Pa, place: 1 },
    { name: "Reservoir", x: d.speed_m_s, y: d.reservoir_Pa, place: 2 },
    { name: "Cavitation margin", x: d.speed_m_s, y: d.cavitation_margin_Pa, place: 3 },
  ]);
  if (found.at_speed && asked.speed_m_s === store.view("speed", 1)) atSpeed.show(found.at_speed);
  document.dispatchEvent(new CustomEvent("bench:redrawn", { detail: asked }));
}

function showForce() {
  const { damping: d } = answer;
  const series = { name: "Damping force", x: d.speed_m_s, y: d.force_N, place: 0 };
  if (!stretching()) series.band = bands.over("speed_m_s");
  const speed = store.view("speed", 1);
  const at = d.speed_m_s.findIndex((value) => value >= speed);
  damping.show([series], at < 0 ? [] : [{ x: d.speed_m_s[at], y: d.force_N[at], name: "Shaft speed", place: 1 }], stretching() ? NO_BAND : bands.words);
}

function refused(error) {
  const fault = byId("damper-fault");
  fault.textContent = error.message;
  fault.hidden = false;
  placeFields.tell(error);
  for (const part of document.querySelectorAll(".curves, .at-speed")) part.classList.add("stale");
}

function showStacks(found) {
  if (stackBench.overtaken) return;
  const tables = found.stacks.map((stack) => stack.table).join();
  if (tables !== [...builders.keys()].join()) {
    builders.clear();
    byId("stacks").replaceChildren(...found.stacks.map((stack) => {
      const holder = element("div", { class: "stack-holder" });
      builders.set(stack.table, new StackBuilder(holder, stack, owner));
      return holder;
    }));
    askSpeed();
  }
  for (const stack of found.stacks) builders.get(stack.table).show(stack.shims);
}

function refreshMapChoice(found) {
  const select = byId("map-of");
  const names = found.map((adjuster) => adjuster.path.replace("setting.", ""));
  if ([...select.options].map((option) => option.value).join() === names.join()) return;
  select.replaceChildren(...names.map((name) => element("option", { value: name }, ADJUSTERS[name] ?? name)));
  select.value = names.includes(store.view("map-of")) ? store.view("map-of") : names.at(-1) ?? "";
}

function showMap(found) {
  map.show(found.speed_m_s, found.clicks, found.margin_Pa, `${ADJUSTERS[found.adjuster] ?? found.adjuster}, clicks from closed`);
}

// What sets it off ---------------------------------------------------------------------------------------------
const speed = byId("speed");
function readSpeed() {
  speed.value = store.view("speed", 1);
  byId("speed-read").textContent = units.text("speed", Number(speed.value));
  speed.setAttribute("aria-valuetext", byId("speed-read").textContent);
}
speed.addEventListener("input", () => {
  store.setView("speed", Number(speed.value));
  readSpeed();
  askSpeed();
  if (answer) showForce();
});
byId("map-of").addEventListener("change", () => {
  store.setView("map-of", byId("map-of").value);
  askMap();
});
const PLACE_KEPT = {
  "oil temperature": { read: () => store.view("oil"), keep: (text) => store.setView("oil", text) },
  position: { read: () => store.view("position"), keep: (text) => store.setView("position", text) },
  // The height is the day's: it holds for the gas on the Fork page as well.
  altitude: { read: () => dayNow().altitude, keep: (text) => store.setView("day", { ...dayNow(), altitude: text }) },
};
const placeFields = new TextFields(byId("place"), "damper", PLACE, {
  read: (name) => PLACE_KEPT[name].read() ?? undefined,
  typed: (name, text) => {
    PLACE_KEPT[name].keep(text);
    ask(false);
  },
});
byId("stretching").checked = stretching();
byId("stretching").addEventListener("change", () => {
  store.setView("stretching", byId("stretching").checked);
  ask(false);
});
let shownFork = owner();
store.onDraft((cause, paths) => {
  const turned = shownFork !== owner();
  shownFork = owner();
  if (cause === "elsewhere") {
    placeFields.show();
    dynamometer.refresh();
  }
  if (cause === "view" && !turned) return;
  if (turned) builders.clear();
  ask(!store.settingOnly(paths));
});
units.onUnits(() => {
  readSpeed();
  askSpeed();
});
readSpeed();
ask();
