// One chart: curves over an axis, redrawn in place, with the table behind it and the downloads.
// Data come in SI; the axes, the read-out, the table and the files are in the user's units.
import { element, offerFile, shape as shapeOf } from "./dom.js";
import { rangeFor } from "./axis-range.js";
import { moveCurves } from "./fast-redraw.js";
import { benchData } from "./page-data.js";
import * as units from "./units.js";

const { palette } = benchData;
const shade = () => (document.documentElement.dataset.shade === "dark" ? "dark" : "light");

// Reading a style makes the browser work out the page anew, so each token is read once for light and for dark.
const tokens = { light: new Map(), dark: new Map() };
function token(name) {
  const known = tokens[shade()];
  if (!known.has(name)) known.set(name, getComputedStyle(document.documentElement).getPropertyValue(name).trim());
  return known.get(name);
}

// A chart out of sight is drawn when it comes into sight.
const inSight = new IntersectionObserver((entries) => entries.forEach((entry) => entry.target.dispatchEvent(
  new CustomEvent("chart:sight", { detail: entry.isIntersecting }))), { rootMargin: "80px" });

const DASHES = { solid: "", dash: "9 5", dot: "2 4", dashdot: "9 4 2 4", longdash: "15 5", longdashdot: "15 4 2 4" };
const washed = (hex, share) => `rgba(${[1, 3, 5].map((at) => parseInt(hex.slice(at, at + 2), 16)).join(",")},${share})`;
const axisTitle = (axis) => (units.symbol(axis.kind) ? `${axis.label} (${units.symbol(axis.kind)})` : axis.label);

export const lineStyle = (place) => palette.styles[place % palette.styles.length];
export const colour = (place) => palette[shade()][place % palette[shade()].length];

// `x` and `y` are {kind, label}. Series are {name, x, y, place, band?: {x, low, high}, dash?, faint?}; marks are {x, y, name, place}.
export class Chart {
  #series = [];
  #marks = [];
  #seen = true;
  #stale = false;
  #legendOf = "";
  #looks = "";
  #ranges = { x: null, y: null };
  #resting = null;

  constructor(holder, { title, x, y, file = "curves" }) {
    Object.assign(this, { holder, title, x, y, file });
    this.plot = element("div", { class: "plot", role: "img" });
    this.table = element("div", { class: "behind", tabindex: "0", role: "region", "aria-label": `Table: ${title}` });
    this.details = element("details", { ontoggle: () => this.#fillTable() }, element("summary", {}, "Table"), this.table);
    const download = (word, how) => element("button", { type: "button", class: "plain", onclick: how, "aria-label": `${title}: ${word}` }, word);
    this.legend = element("ul", { class: "legend" });
    holder.classList.add("chart");
    holder.replaceChildren(
      element("div", { class: "chart-head" }, element("h3", {}, title), this.legend),
      this.plot,
      element("div", { class: "chart-foot" }, this.details,
        element("div", { class: "row downloads" },
          download("PNG", () => this.#picture("png")),
          download("SVG", () => this.#picture("svg")),
          download("CSV", () => offerFile(`${this.file}.csv`, this.#csv(), "text/csv")))),
    );
    holder.addEventListener("chart:sight", (event) => {
      this.#seen = event.detail;
      if (this.#seen && this.#stale) this.#draw();
    });
    inSight.observe(holder);
    units.onUnits(() => this.#draw());
    document.addEventListener("bench:theme", () => {
      this.#legendOf = "";
      this.#draw();
    });
  }

  show(series, marks = []) {
    this.#series = series;
    this.#marks = marks;
    this.#draw();
  }

  #draw() {
    if (!window.Plotly) {
      addEventListener("DOMContentLoaded", () => this.#draw(), { once: true });
      return;
    }
    if (this.#series.length === 0) return;
    this.#stale = !this.#seen;
    if (this.#stale) return;
    const traces = this.#traces();
    const looks = this.#looksOf(traces);
    clearTimeout(this.#resting);
    if (looks === this.#looks && moveCurves(this.plot, traces)) {
      this.#resting = setTimeout(() => this.#plot(traces), 160);
    } else {
      this.#looks = looks;
      this.#drawLegend();
      this.#plot(traces);
      this.#describe();
    }
    if (this.details.open) this.#fillTable();
  }

  // Whatever makes a redraw more than a move of curves: ranges, units, names, point counts, light or dark.
  #looksOf(traces) {
    const solid = traces.filter((trace) => trace.mode === "lines");
    this.#ranges.x = rangeFor(solid.map((trace) => trace.x), this.#ranges.x, true);
    this.#ranges.y = rangeFor(traces.map((trace) => trace.y), this.#ranges.y);
    return JSON.stringify([this.#ranges, shade(), units.chosenUnits(), traces.map((trace) => [trace.name, trace.line?.color, trace.line?.dash, trace.x.length])]);
  }

  #plot(traces) {
    window.Plotly.react(this.plot, traces, this.#layout(), { displayModeBar: false, responsive: true, doubleClick: "reset" });
  }

  #describe() {
    const names = this.#series.map((one) => one.name).join(", ");
    this.plot.setAttribute("aria-label", `${this.title}: ${names}; ${axisTitle(this.y)} over ${axisTitle(this.x)}. The numbers are in the table below.`);
  }

  // Our own legend: it is text on the page, and costs nothing while a slider moves.
  #drawLegend() {
    const shape = JSON.stringify(this.#series.map((one) => [one.name, one.place, one.dash]));
    if (shape === this.#legendOf) return;
    this.#legendOf = shape;
    const sample = (one) => shapeOf("svg", { viewBox: "0 0 40 10", "aria-hidden": "true" }, shapeOf("path", {
      d: "M0 5H40", stroke: colour(one.place), "stroke-width": one.faint ? 2 : 3.5, "stroke-dasharray": DASHES[one.dash ?? lineStyle(one.place)] }));
    this.legend.replaceChildren(...(this.#series.length > 1 ? this.#series : []).map((one) => element("li", {}, sample(one), one.name)));
  }

  #traces() {
    const bands = this.#series.filter((one) => one.band).map((one) => this.#band(one));
    const lines = this.#series.map((one) => this.#line(one));
    return [...bands, ...lines, ...this.#marks.map((mark) => this.#mark(mark))];
  }

  #line(one) {
    const unit = units.symbol(this.y.kind);
    return {
      type: "scatter", mode: "lines", name: one.name, x: units.toUnits(this.x.kind, one.x), y: units.toUnits(this.y.kind, one.y),
      line: { color: colour(one.place), dash: one.dash ?? lineStyle(one.place), width: one.faint ? 1.5 : 2.5, simplify: false },
      hovertemplate: `%{y:.${units.decimals(this.y.kind)}f} ${unit}<extra>${one.name}</extra>`,
    };
  }

  #band(one) {
    return {
      type: "scatter", mode: "lines", hoverinfo: "skip", showlegend: false, fill: "toself", fillcolor: washed(colour(one.place), 0.18),
      x: units.toUnits(this.x.kind, [...one.band.x, ...[...one.band.x].reverse()]),
      y: units.toUnits(this.y.kind, [...one.band.low, ...[...one.band.high].reverse()]),
      line: { width: 0, simplify: false },
    };
  }

  #mark(mark) {
    return {
      type: "scatter", mode: "markers", name: mark.name, showlegend: false, hoverinfo: "skip",
      x: units.toUnits(this.x.kind, [mark.x]), y: units.toUnits(this.y.kind, [mark.y]),
      marker: { size: 12, color: colour(mark.place), symbol: mark.symbol ?? "circle-open", line: { width: 2.5, color: token("--ink") } },
    };
  }

  #layout() {
    const ink = token("--ink");
    const axis = (which, range) => ({
      range,
      title: { text: axisTitle(which), standoff: 6 }, gridcolor: token("--rule"), linecolor: ink, zerolinecolor: token("--rule-2"),
      tickcolor: ink, ticks: "outside", automargin: false, hoverformat: `.${units.decimals(which.kind)}f`,
    });
    return {
      autosize: true, margin: { l: 68, r: 14, t: 8, b: 46 }, paper_bgcolor: token("--sheet"), plot_bgcolor: token("--sheet"),
      font: { family: token("--body"), size: 13, color: ink }, hovermode: "x unified", dragmode: "zoom", uirevision: Object.values(units.chosenUnits()).join(),
      hoverlabel: { bgcolor: token("--sheet"), bordercolor: ink, font: { color: ink } },
      showlegend: false,
      xaxis: axis(this.x, this.#ranges.x), yaxis: axis(this.y, this.#ranges.y),
    };
  }

  // The table: one column per curve, on the points of the first; other curves are on the same points.
  #columns() {
    const first = this.#series[0];
    const columns = [{ head: axisTitle(this.x), kind: this.x.kind, values: first.x }];
    for (const one of this.#series) {
      if (one.x.length !== first.x.length) columns.push({ head: `${axisTitle(this.x)}, ${one.name}`, kind: this.x.kind, values: one.x });
      columns.push({ head: `${one.name} (${units.symbol(this.y.kind)})`, kind: this.y.kind, values: one.y });
      if (one.band) {
        columns.push({ head: `${axisTitle(this.x)}, band`, kind: this.x.kind, values: one.band.x });
        columns.push({ head: `${one.name}, band from (${units.symbol(this.y.kind)})`, kind: this.y.kind, values: one.band.low });
        columns.push({ head: `${one.name}, band to (${units.symbol(this.y.kind)})`, kind: this.y.kind, values: one.band.high });
      }
    }
    return columns;
  }

  #fillTable() {
    if (!this.details.open || this.#series.length === 0) return;
    const columns = this.#columns();
    const rows = Math.max(...columns.map((column) => column.values.length));
    const row = (index) => element("tr", {}, columns.map((column) =>
      element("td", { class: "number" }, index < column.values.length ? units.figure(column.kind, column.values[index]) : "")));
    this.table.replaceChildren(element("table", {}, element("caption", { class: "word-hidden" }, this.title),
      element("thead", {}, element("tr", {}, columns.map((column) => element("th", { scope: "col" }, column.head)))),
      element("tbody", {}, Array.from({ length: rows }, (_, index) => row(index)))));
  }

  #csv() {
    const columns = this.#columns();
    const rows = Math.max(...columns.map((column) => column.values.length));
    const quoted = (text) => `"${String(text).replaceAll('"', '""')}"`;
    const lines = [columns.map((column) => quoted(column.head)).join(",")];
    for (let index = 0; index < rows; index += 1) {
      lines.push(columns.map((column) => (index < column.values.length && column.values[index] !== null
        ? units.toUnit(column.kind, column.values[index]).toPrecision(8) : "")).join(","));
    }
    return `${lines.join("\r\n")}\r\n`;
  }

  #picture(format) {
    const { clientWidth: width, clientHeight: height } = this.plot;
    const layout = { ...this.#layout(), title: { text: this.title }, showlegend: this.#series.length > 1, legend: { orientation: "h", y: -0.2 } };
    const figure = { data: this.#traces(), layout: { ...layout, margin: { ...layout.margin, t: 40, b: 90 } } };
    return window.Plotly.downloadImage(figure, { format, filename: this.file, width: Math.max(width, 700), height: Math.max(height, 420), scale: format === "png" ? 2 : 1 });
  }
}
