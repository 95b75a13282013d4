// A chart that is told everything at once: traces, axes, legend and the table behind. Bars, points, logarithms.
import { ChartFrame, csvOf, token, withLibrary } from "../chart-frame.js";
import { colour, lineStyle } from "../chart.js";
import { element, shape } from "../dom.js";
import * as units from "../units.js";

const DASHES = { solid: "", dash: "9 5", dot: "2 4", dashdot: "9 4 2 4", longdash: "15 5", longdashdot: "15 4 2 4" };
export const PATTERNS = ["", "/", "x", "."];

export const lineSample = (place) => shape("svg", { viewBox: "0 0 40 10", "aria-hidden": "true" }, shape("path", { d: "M0 5H40", stroke: colour(place), "stroke-width": 3.5, "stroke-dasharray": DASHES[lineStyle(place)] }));
export const barSample = (place) => element("span", { style: { color: colour(place) }, "aria-hidden": "true" }, place ? "▨ " : "■ ");
export const dotSample = (place) => element("span", { style: { color: colour(place) }, "aria-hidden": "true" }, "● ");

export const titled = (label, kind) => (kind && units.symbol(kind) ? `${label} (${units.symbol(kind)})` : label);
export const washed = (hex, share) => `rgba(${[1, 3, 5].map((at) => parseInt(hex.slice(at, at + 2), 16)).join(",")},${share})`;

// `build()` gives {traces, x, y, legend: [[sample, name]], columns: [{head, values (text)}], words}; axes are layout entries.
export class PlainChart {
  #build = null;
  #stale = false;
  #listening = false;

  constructor(holder, { title, file, moved = null, dragmode = "zoom" }) {
    Object.assign(this, { title, file, moved, dragmode });
    this.frame = new ChartFrame(holder, title, file, { columns: () => this.#build?.().columns ?? [], csv: () => csvOf(this.#build?.().columns ?? []), picture: (format) => this.#picture(format) });
    this.frame.onSight(() => this.#stale && this.#draw());
    units.onUnits(() => this.#draw());
    document.addEventListener("bench:theme", () => this.#draw());
  }

  show(build) {
    this.#build = build;
    this.frame.holder.hidden = build === null;
    this.#draw();
  }

  #draw() {
    if (!this.#build) return;
    this.#stale = !this.frame.seen;
    if (this.#stale) return;
    withLibrary(this, () => {
      const built = this.#build();
      window.Plotly.react(this.frame.plot, built.traces, this.#layout(built), { displayModeBar: false, showTips: false, responsive: true, doubleClick: this.moved ? false : "reset" });
      this.#listen();
      this.frame.legend.replaceChildren(...(built.legend.length > 1 ? built.legend.map(([sample, name]) => element("li", {}, sample, name)) : []));
      this.frame.plot.setAttribute("aria-label", `${this.title}: ${built.words ?? built.legend.map(([, name]) => name).join(", ")}. The numbers are in the table below.`);
      this.frame.fillTable();
    });
  }

  #listen() {
    if (!this.moved || this.#listening) return;
    this.#listening = true;
    this.frame.plot.on("plotly_relayout", (change) => {
      const range = change["xaxis.range"] ?? [change["xaxis.range[0]"], change["xaxis.range[1]"]];
      if (Number.isFinite(range[0]) && Number.isFinite(range[1])) this.moved(range[0], range[1]);
    });
    this.frame.plot.on("plotly_doubleclick", () => this.moved(-Infinity, Infinity));
  }

  #layout({ x, y, more = {} }) {
    const ink = token("--ink");
    const axis = (given) => ({ gridcolor: token("--rule"), linecolor: ink, tickcolor: ink, ticks: "outside", zerolinecolor: token("--rule-2"), automargin: true, ...given, title: { text: given.title, standoff: 6 } });
    return {
      autosize: true, margin: { l: 64, r: 14, t: 8, b: 46 }, paper_bgcolor: token("--sheet"), plot_bgcolor: token("--sheet"), showlegend: false, hovermode: "closest", dragmode: this.dragmode,
      font: { family: token("--body"), size: 13, color: ink }, hoverlabel: { bgcolor: token("--sheet"), bordercolor: ink, font: { color: ink } }, ...more, xaxis: axis(x), yaxis: axis(y),
    };
  }

  #picture(format) {
    const built = this.#build();
    const layout = { ...this.#layout(built), title: { text: this.title }, margin: { l: 70, r: 14, t: 44, b: 60 }, showlegend: built.legend.length > 1, legend: { orientation: "h", y: -0.2 } };
    return this.frame.save({ data: built.traces, layout }, format, this.file);
  }
}

// A line with its band, in SI; the axes' kinds turn it into the user's units.
export function lineTrace(name, place, x, y, kinds, more = {}) {
  const symbol = kinds.y ? units.symbol(kinds.y) : "";
  return {
    type: "scatter", mode: "lines", name, x: kinds.x ? units.toUnits(kinds.x, x) : x, y: kinds.y ? units.toUnits(kinds.y, y) : y,
    line: { color: colour(place), dash: lineStyle(place), width: 2.5, simplify: false }, hovertemplate: `%{y:.${kinds.y ? units.decimals(kinds.y) : 3}~f} ${symbol}<extra>${name}</extra>`, ...more,
  };
}

export function dotTrace(name, place, x, y, kinds, more = {}) {
  return { ...lineTrace(name, place, x, y, kinds), mode: "markers", line: undefined, marker: { color: colour(place), size: 4, opacity: 0.7 }, ...more };
}

export const column = (head, kind, values) => ({ head: titled(head, kind), values: values.map((value) => (value === null ? "" : kind ? units.figure(kind, value, 1) : String(Number(value.toPrecision(6))))) });
