// What the damper does at one shaft speed: in words, by path, in the tinted leg and in the bent stacks.
import { byId, element, write } from "./dom.js";
import { DrawnFigure, readingUnit } from "./drawn-figure.js";
import * as units from "./units.js";

const PATHS = { bleed: "bleed", leak: "leakage gap", port: "port", shims: "shims or check" };
const LEAST_SHOWN = 0.05; // N

export class AtSpeed {
  #rows = new Map();

  // `builders` are the stack builders by table, each of which shows its own drawing.
  constructor(builders) {
    this.builders = builders;
    this.leg = new DrawnFigure(byId("damper-cutaway"));
  }

  // The drawings that stand here, for the next question.
  get drawn() {
    const named = [...this.builders].map(([table, builder]) => [table, builder.key]).filter(([, key]) => key);
    return Object.fromEntries(this.leg.key ? [...named, ["cutaway", this.leg.key]] : named);
  }

  show(found) {
    this.#showLeg(found.cutaway);
    for (const stack of found.stacks) this.builders.get(stack.table)?.draw(stack);
    write(byId("speed-words"), sentence(found));
    this.#showPaths(found);
  }

  #showLeg(cutaway) {
    if (!cutaway) return this.leg.clear();
    this.leg.show(cutaway);
    const { motion } = cutaway;
    window.forkwrightCutaway.show(this.leg.svg, { ...motion, unit: readingUnit() }, motion.travel_mm[0]);
  }

  #showPaths(found) {
    const shown = Object.entries(found.by_path_N).filter(([, force]) => Math.abs(force) > LEAST_SHOWN);
    if (shown.map(([name]) => name).join() !== [...this.#rows.keys()].join()) this.#build(shown.map(([name]) => name));
    const most = Math.max(...shown.map(([, force]) => Math.abs(force)), 1);
    for (const [name, force] of shown) {
      const { flow, push, bar } = this.#rows.get(name);
      write(flow, flowOf(found, name));
      write(push, units.text("force", force));
      bar.style.width = `${(100 * Math.abs(force)) / most}%`;
    }
  }

  #build(names) {
    this.#rows = new Map(names.map((name) => [name, { flow: element("td", { class: "number" }), push: element("td", { class: "number" }), bar: element("span", { class: "bar" }) }]));
    const head = (word) => element("th", { scope: "col" }, word);
    byId("paths").replaceChildren(element("h3", {}, "Where the force comes from"), element("table", { class: "path-table" },
      element("thead", {}, element("tr", {}, ["Path", "Flow", "Force"].map(head), head(element("span", { class: "word-hidden" }, "Share")))),
      element("tbody", {}, [...this.#rows].map(([name, { flow, push, bar }]) => element("tr", {},
        element("th", { scope: "row" }, pathWords(name)), flow, push, element("td", { class: "bar-cell" }, bar))))));
  }
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
  return units.text("flow", { bleed: flow.bleed_m3_s, leak: flow.leak_m3_s, port: flow.main_m3_s }[path]);
}

function sentence(found) {
  const total = (flow) => flow.bleed_m3_s + flow.leak_m3_s + flow.main_m3_s;
  const { base, piston } = found.flows;
  const way = found.speed_m_s >= 0 ? ["compression", "the base valve", "the piston"] : ["rebound", "the base valve's way back", "the piston"];
  if (found.speed_m_s === 0) return "Standing still, no oil flows; what is left is the reservoir's pressure on the shaft.";
  return `In ${way[0]} at ${units.text("speed", Math.abs(found.speed_m_s))}, ${units.text("flow", total(base))} pass ${way[1]} and ${units.text("flow", total(piston))} ${way[2]}; the damper pushes with ${units.text("force", found.force_N)}.`;
}
