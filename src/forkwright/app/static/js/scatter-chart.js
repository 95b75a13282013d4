// Points over two axes, in groups told apart by symbol and colour. A point can be picked.
import { colour } from "./chart.js";
import { ChartFrame, csvOf, token, withLibrary } from "./chart-frame.js";
import { element } from "./dom.js";
import * as units from "./units.js";

const SIGNS = { circle: "●", "star": "★", x: "✕", square: "■", diamond: "◆", "triangle-up": "▲" };
const SYMBOLS = Object.keys(SIGNS);
export const symbolOf = (place) => SYMBOLS[[0, 3, 4, 5, 2][place % 5]];

// Axes are {label, kind} (SI in), {label, digits, unit} (numbers as they are) or {label, names} (words in order).
// Groups are {name, place, symbol, points: [{x, y, name}]}.
export class ScatterChart {
  #shown = null;
  #stale = false;

  constructor(holder, { title, file, picked = null }) {
    Object.assign(this, { title, file, picked });
    this.frame = new ChartFrame(holder, title, file, { columns: () => this.#columns(), csv: () => csvOf(this.#columns()), picture: (format) => this.#picture(format) });
    this.frame.onSight(() => this.#stale && this.#draw());
    units.onUnits(() => this.#draw());
    document.addEventListener("bench:theme", () => this.#draw());
  }

  show(shown) {
    this.#shown = shown;
    this.#draw();
  }

  #draw() {
    if (!this.#shown) return;
    this.#stale = !this.frame.seen;
    if (this.#stale) return;
    withLibrary(this, () => {
      window.Plotly.react(this.frame.plot, this.#traces(), this.#layout(), { displayModeBar: false, responsive: true });
      if (this.picked && !this.listening) this.frame.plot.on("plotly_click", ({ points }) => this.picked(points[0].customdata));
      this.listening = true;
      this.#legend();
      this.frame.plot.setAttribute("aria-label", `${this.title}: ${this.#named(this.#shown.y)} over ${this.#named(this.#shown.x)}. The numbers are in the table below.`);
      this.frame.fillTable();
    });
  }

  #legend() {
    const groups = this.#shown.groups.filter((group) => group.points.length);
    this.frame.legend.replaceChildren(...groups.map((group) => element("li", {}, element("span", { style: { color: colour(group.place) }, "aria-hidden": "true" }, `${SIGNS[group.symbol]} `), group.name)));
  }

  #unit = (axis) => (axis.kind ? units.symbol(axis.kind) : axis.unit ?? "");
  #named = (axis) => (this.#unit(axis) ? `${axis.label} (${this.#unit(axis)})` : axis.label);
  #number = (axis, value) => (axis.names ? axis.names[value] : axis.kind ? units.toUnit(axis.kind, value) : value);
  #text = (axis, value) => (axis.names ? axis.names[value] : axis.kind ? units.figure(axis.kind, value) : value.toFixed(axis.digits ?? 2));

  #traces() {
    const { x, y, groups } = this.#shown;
    return groups.map((group) => ({
      type: "scatter", mode: "markers", name: group.name, showlegend: false, customdata: group.points.map((point) => point.key ?? null),
      x: group.points.map((point) => this.#number(x, point.x)), y: group.points.map((point) => this.#number(y, point.y)),
      text: group.points.map((point) => `${point.name}<br>${this.#text(x, point.x)} ${this.#unit(x)}, ${this.#text(y, point.y)} ${this.#unit(y)}`), hovertemplate: "%{text}<extra></extra>",
      marker: { symbol: group.symbol, size: group.symbol === "circle" ? 10 : 15, color: colour(group.place), line: { width: 1, color: token("--ink") } },
    }));
  }

  #layout() {
    const ink = token("--ink");
    const axis = (which) => ({ title: { text: this.#named(which), standoff: 8 }, linecolor: ink, tickcolor: ink, ticks: "outside", gridcolor: token("--rule"), zeroline: false, automargin: true, ...(which.names ? { type: "category", categoryorder: "array", categoryarray: which.names } : {}) });
    return {
      autosize: true, margin: { l: 64, r: 14, t: 10, b: 50 }, paper_bgcolor: token("--sheet"), plot_bgcolor: token("--sheet"), hovermode: "closest", dragmode: "zoom", showlegend: false,
      font: { family: token("--body"), size: 13, color: ink }, hoverlabel: { bgcolor: token("--sheet"), bordercolor: ink, font: { color: ink } }, xaxis: axis(this.#shown.x), yaxis: axis(this.#shown.y),
    };
  }

  #columns() {
    if (!this.#shown) return [];
    const { x, y, groups } = this.#shown;
    const all = groups.flatMap((group) => group.points.map((point) => ({ ...point, group: group.name })));
    return [{ head: "Which", values: all.map((point) => point.name) }, { head: "Group", values: all.map((point) => point.group) },
      { head: this.#named(x), values: all.map((point) => this.#text(x, point.x)) }, { head: this.#named(y), values: all.map((point) => this.#text(y, point.y)) }];
  }

  #picture(format) {
    const layout = { ...this.#layout(), title: { text: this.title }, showlegend: true, margin: { l: 64, r: 14, t: 44, b: 60 } };
    return this.frame.save({ data: this.#traces().map((trace) => ({ ...trace, showlegend: true })), layout }, format, this.file);
  }
}
