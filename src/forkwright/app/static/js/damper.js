// The Damper page: clicks and oil temperature set the curves; a shaft speed sets the bent stacks and the paths.
import { Adjusters } from "./adjusters.js";
import { Chart } from "./chart.js";
import { byId, element } from "./dom.js";
import { Latest } from "./link.js";
import { MapChart } from "./map-chart.js";
import { Rack } from "./rack.js";
import { StackBuilder } from "./stack-builder.js";
import * as store from "./store.js";
import * as units from "./units.js";

const SPEED = { kind: "speed", label: "Shaft speed" };
const ADJUSTERS = { low_speed: "Low-speed compression", high_speed: "High-speed compression", rebound: "Rebound" };
const PATHS = { bleed: "bleed", leak: "leakage gap", port: "port", shims: "shims or check" };
const owner = () => store.forkAt("fork");
const builders = new Map();
let answer = null;
let bands = null;

new Rack(byId("rack"), "fork", "Fork on the bench");
const adjusters = new Adjusters(byId("adjusters"), "set", owner);
const damping = new Chart(byId("chart-damping"), { title: "Damping force", x: SPEED, y: { kind: "force", label: "Force" }, file: "damping" });
const chambers = new Chart(byId("chart-chambers"), { title: "Chamber pressures and cavitation margin", x: SPEED, y: { kind: "pressure", label: "Pressure, absolute" }, file: "damper-pressures" });
const map = new MapChart(byId("chart-map"), { title: "Cavitation margin", x: SPEED, y: { kind: null, label: "Clicks from closed" }, z: { kind: "pressure", label: "Margin" }, file: "cavitation" });

// Asking -------------------------------------------------------------------------------------------------------
const question = () => ({ fork: store.asked(owner()), oil_temperature: store.view("oil", "20 °C") });
const bench = new Latest("/api/damper", show, refused);
const speedBench = new Latest("/api/damper/speed", showSpeed, () => {});
const stackBench = new Latest("/api/damper/stacks", showStacks, () => {});
const mapBench = new Latest("/api/damper/map", showMap, () => {});
const bandBench = new Latest("/api/damper/bands", (found, asked) => {
  bands = { ...found, of: JSON.stringify(asked) };
  if (answer) showForce();
}, () => {});

const askSpeed = () => speedBench.ask({ ...question(), speed_m_s: store.view("speed", 1), units: units.chosenUnits() });
const askMap = () => byId("map-of").value && mapBench.ask({ ...question(), adjuster: byId("map-of").value });
let resting = null;
function ask(parts = true) {
  bench.ask(question());
  if (parts) stackBench.ask(question());
  clearTimeout(resting);
  resting = setTimeout(() => {
    askMap();
    bandBench.ask(question());
  }, 300);
}

// Showing ------------------------------------------------------------------------------------------------------
function show(found) {
  answer = found;
  byId("damper-fault").hidden = true;
  byId("oil-fault").textContent = "";
  for (const part of document.querySelectorAll(".curves, .at-speed")) part.classList.remove("stale");
  if (!bench.overtaken) adjusters.show(found.adjusters);
  refreshMapChoice(found.adjusters);
  const list = byId("damper-warnings");
  list.hidden = found.damping.warnings.length === 0;
  list.replaceChildren(...found.damping.warnings.map((word) => element("li", {}, word)));
  showForce();
  const { damping: d } = found;
  chambers.show([
    { name: "Compression chamber", x: d.speed_m_s, y: d.compression_chamber_Pa, place: 0 },
    { name: "Shaft side", x: d.speed_m_s, y: d.shaft_chamber_Pa, place: 1 },
    { name: "Reservoir", x: d.speed_m_s, y: d.reservoir_Pa, place: 2 },
    { name: "Cavitation margin", x: d.speed_m_s, y: d.cavitation_margin_Pa, place: 3 },
  ]);
  if (!bench.overtaken) askSpeed();
  document.dispatchEvent(new CustomEvent("bench:redrawn"));
}

function showForce() {
  const { damping: d } = answer;
  const series = { name: "Damping force", x: d.speed_m_s, y: d.force_N, place: 0 };
  if (bands) series.band = { x: bands.speed_m_s, low: bands.force_low_N, high: bands.force_high_N, stale: bands.of !== JSON.stringify(question()) };
  const speed = store.view("speed", 1);
  const at = d.speed_m_s.findIndex((value) => value >= speed);
  damping.show([series], at < 0 ? [] : [{ x: d.speed_m_s[at], y: d.force_N[at], name: "Shaft speed", place: 1 }]);
}

function refused(error) {
  const fault = byId("damper-fault");
  fault.textContent = error.message;
  fault.hidden = false;
  if (error.body.key === "oil temperature") byId("oil-fault").textContent = error.message;
  for (const part of document.querySelectorAll(".curves, .at-speed")) part.classList.add("stale");
}

function showSpeed(found) {
  const drawn = byId("damper-cutaway");
  drawn.innerHTML = found.cutaway ?? "";
  for (const stack of found.stacks) builders.get(stack.table)?.draw(stack.svg);
  const rows = Object.entries(found.by_path_N).filter(([, force]) => Math.abs(force) > 0.05);
  const most = Math.max(...rows.map(([, force]) => Math.abs(force)), 1);
  byId("speed-words").textContent = sentence(found);
  byId("paths").replaceChildren(element("h3", {}, "Where the force comes from"), element("table", { class: "path-table" },
    element("thead", {}, element("tr", {}, ["Path", "Flow", "Force", ""].map((head) => element("th", { scope: "col" }, head || element("span", { class: "word-hidden" }, "Share"))))),
    element("tbody", {}, rows.map(([name, force]) => element("tr", {}, element("th", { scope: "row" }, pathWords(name)),
      element("td", { class: "number" }, flowOf(found, name)), element("td", { class: "number" }, units.text("force", force)),
      element("td", { class: "bar-cell" }, element("span", { class: "bar", style: { width: `${(100 * Math.abs(force)) / most}%` } })))))));
}

const pathWords = (name) => {
  const [where, path] = name.split("_");
  if (!path) return where === "gas" ? "Reservoir pressure" : "Seal friction";
  return `${where === "base" ? "Base valve" : "Piston"}, ${PATHS[path]}`;
};

function flowOf(found, name) {
  const [where, path] = name.split("_");
  const flow = found.flows[where];
  if (!flow || path === "shims") return "";
  const value = { bleed: flow.bleed_m3_s, leak: flow.leak_m3_s, port: flow.main_m3_s }[path];
  return units.text("flow", value);
}

function sentence(found) {
  const total = (flow) => flow.bleed_m3_s + flow.leak_m3_s + flow.main_m3_s;
  const { base, piston } = found.flows;
  const way = found.speed_m_s >= 0 ? ["compression", "the base valve", "the piston"] : ["rebound", "the base valve's way back", "the piston"];
  if (found.speed_m_s === 0) return "Standing still, no oil flows; what is left is the reservoir's pressure on the shaft.";
  return `In ${way[0]} at ${units.text("speed", Math.abs(found.speed_m_s))}, ${units.text("flow", total(base))} pass ${way[1]} and ${units.text("flow", total(piston))} ${way[2]}; the damper pushes with ${units.text("force", found.force_N)}.`;
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
byId("oil").value = store.view("oil", "20 °C");
byId("oil").addEventListener("change", () => {
  store.setView("oil", byId("oil").value.trim() || "20 °C");
  ask(false);
});
let shownFork = owner();
store.onDraft((cause, paths) => {
  const turned = shownFork !== owner();
  shownFork = owner();
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
