// Curves over an axis, redrawn in place. Data come in SI; axes, read-out, table and files are in the user's units.
import { rangeFor } from "./axis-range.js";
import { ChartFrame, csvOf, shade, token, withLibrary } from "./chart-frame.js";
import { element, shape as shapeOf } from "./dom.js";
import { moveCurves } from "./fast-redraw.js";
import { benchData } from "./page-data.js";
import * as units from "./units.js";

const { palette } = benchData;
const DASHES = { solid: "", dash: "9 5", dot: "2 4", dashdot: "9 4 2 4", longdash: "15 5", longdashdot: "15 4 2 4" };
const AT_REST_MS = 160;
const CONFIG = { displayModeBar: false, responsive: true, doubleClick: "reset" };

const washed = (hex, share) => `rgba(${[1, 3, 5].map((at) => parseInt(hex.slice(at, at + 2), 16)).join(",")},${share})`;
const axisTitle = (axis) => (units.symbol(axis.kind) ? `${axis.label} (${units.symbol(axis.kind)})` : axis.label);
export const lineStyle = (place) => palette.styles[place % palette.styles.length];
export const colour = (place) => palette[shade()][place % palette[shade()].length];

// The values of `y` over `x` at other places, both ascending.
function readAt(places, x, y) {
  let at = 1;
  return places.map((place) => {
    while (at < x.length - 1 && x[at] < place) at += 1;
    return y[at - 1] + ((y[at] - y[at - 1]) * (place - x[at - 1])) / (x[at] - x[at - 1]);
  });
}

// A band that belongs to an earlier curve is folded onto the curve until the new one comes: the band stays a part
// of the drawing, so that the curves can go on moving.
function folded({ x, y, band }) {
  const on = readAt(band.x, x, y);
  return { x: band.x, low: on, high: on };
}

// `x` and `y` are {kind, label}. Series are {name, x, y, place, band?: {x, low, high, stale?}, dash?, faint?}; marks
// are {x, y, name, place, symbol?}. All numbers are SI; null leaves a gap.
export class Chart {
  #series = [];
  #marks = [];
  #stale = false;
  #legendOf = "";
  #looks = "";
  #ranges = { x: null, y: null };
  #resting = null;

  constructor(holder, { title, x, y, file = "curves" }) {
    Object.assign(this, { title, x, y, file });
    this.frame = new ChartFrame(holder, title, file, {
      columns: () => this.#columns((kind, value) => units.figure(kind, value)),
      csv: () => csvOf(this.#columns((kind, value) => (value === null ? "" : units.toUnit(kind, value).toPrecision(8)))),
      picture: (format) => this.#picture(format),
    });
    this.frame.onSight(() => this.#stale && this.#draw());
    units.onUnits(() => this.#draw());
    document.addEventListener("bench:theme", () => {
      this.#legendOf = "";
      this.#draw();
    });
  }

  // `note` is said below the plot.
  show(series, marks = [], note = "") {
    this.#series = series;
    this.#marks = marks;
    this.frame.say(note);
    this.#draw();
  }

  #draw() {
    if (this.#series.length === 0) return;
    this.#stale = !this.frame.seen;
    if (!this.#stale) withLibrary(this, () => this.#drawInSight());
  }

  // The library may have come when the chart is out of sight.
  #drawInSight() {
    this.#stale = !this.frame.seen;
    if (!this.#stale) this.#redraw();
  }

  // A move of curves is drawn at once; the library follows when things rest, so that its read-out is right too.
  #redraw() {
    const traces = this.#traces();
    const looks = this.#looksOf(traces);
    clearTimeout(this.#resting);
    if (looks === this.#looks && moveCurves(this.frame.plot, traces)) {
      this.#resting = setTimeout(() => this.#plot(traces), AT_REST_MS);
    } else {
      this.#looks = looks;
      this.#drawLegend();
      this.#plot(traces);
      this.#describe();
    }
    this.frame.fillTable();
  }

  // Whatever makes a redraw more than a move of curves: ranges, units, names, point counts, light or dark.
  #looksOf(traces) {
    const lines = traces.filter((trace) => trace.mode === "lines");
    this.#ranges.x = rangeFor(lines.map((trace) => trace.x), this.#ranges.x, true);
    this.#ranges.y = rangeFor(traces.map((trace) => trace.y), this.#ranges.y);
    const looks = traces.map((trace) => [trace.name, trace.line?.color, trace.line?.dash, trace.x.length]);
    return JSON.stringify([this.#ranges, shade(), units.chosenUnits(), looks]);
  }

  #plot(traces) {
    window.Plotly.react(this.frame.plot, traces, this.#layout(), CONFIG);
  }

  #describe() {
    const names = this.#series.map((one) => one.name).join(", ");
    this.frame.plot.setAttribute("aria-label",
      `${this.title}: ${names}; ${axisTitle(this.y)} over ${axisTitle(this.x)}. The numbers are in the table below.`);
  }

  // Our own legend: it is text on the page, and costs nothing while a slider moves.
  #drawLegend() {
    const wanted = JSON.stringify(this.#series.map((one) => [one.name, one.place, one.dash]));
    if (wanted === this.#legendOf) return;
    this.#legendOf = wanted;
    const sample = (one) => shapeOf("svg", { viewBox: "0 0 40 10", "aria-hidden": "true" }, shapeOf("path", {
      d: "M0 5H40", stroke: colour(one.place), "stroke-width": one.faint ? 2 : 3.5, "stroke-dasharray": DASHES[one.dash ?? lineStyle(one.place)] }));
    const named = this.#series.length > 1 ? this.#series : [];
    this.frame.legend.replaceChildren(...named.map((one) => element("li", {}, sample(one), one.name)));
  }

  #traces() {
    const bands = this.#series.filter((one) => one.band).map((one) => this.#band(one));
    return [...bands, ...this.#series.map((one) => this.#line(one)), ...this.#marks.map((mark) => this.#mark(mark))];
  }

  #line(one) {
    const band = one.band && !one.band.stale && one.band.x.length > 1 ? this.#bandWords(one) : null;
    return {
      type: "scatter", mode: "lines", name: one.name, x: units.toUnits(this.x.kind, one.x), y: units.toUnits(this.y.kind, one.y),
      line: { color: colour(one.place), dash: one.dash ?? lineStyle(one.place), width: one.faint ? 1.5 : 2.5, simplify: false },
      ...(band ? { customdata: band } : {}),
      hovertemplate: `${this.#reading("y")}${band ? ", %{customdata}" : ""}<extra>${one.name}</extra>`,
    };
  }

  // How the read-out writes a value of an axis.
  #reading(which) {
    return `%{${which}:.${units.decimals(this[which].kind)}f} ${units.symbol(this[which].kind)}`.trim();
  }

  #bandWords({ x, band }) {
    const [low, high] = [band.low, band.high].map((edge) => readAt(x, band.x, edge));
    return low.map((from, at) => `band ${units.figure(this.y.kind, from)} to ${units.text(this.y.kind, high[at])}`);
  }

  #band(one) {
    const { x, low, high } = one.band.stale ? folded(one) : one.band;
    return {
      type: "scatter", mode: "lines", hoverinfo: "skip", showlegend: false, fill: "toself", fillcolor: washed(colour(one.place), 0.18),
      x: units.toUnits(this.x.kind, [...x, ...[...x].reverse()]),
      y: units.toUnits(this.y.kind, [...low, ...[...high].reverse()]),
      line: { width: 0, simplify: false },
    };
  }

  #mark(mark) {
    return {
      type: "scatter", mode: "markers", name: mark.name, showlegend: false,
      hovertemplate: `${this.#reading("y")} at ${this.#reading("x")}<extra>${mark.name}</extra>`,
      x: units.toUnits(this.x.kind, [mark.x]), y: units.toUnits(this.y.kind, [mark.y]),
      marker: { size: 12, color: colour(mark.place), symbol: mark.symbol ?? "circle-open", line: { width: 2.5, color: token("--ink") } },
    };
  }

  #layout() {
    const ink = token("--ink");
    const axis = (which, range) => ({
      range, title: { text: axisTitle(which), standoff: 6 }, gridcolor: token("--rule"), linecolor: ink, zerolinecolor: token("--rule-2"),
      tickcolor: ink, ticks: "outside", automargin: false, hoverformat: `.${units.decimals(which.kind)}f`,
    });
    return {
      autosize: true, margin: { l: 68, r: 14, t: 8, b: 46 }, paper_bgcolor: token("--sheet"), plot_bgcolor: token("--sheet"),
      font: { family: token("--body"), size: 13, color: ink }, hovermode: "x unified", dragmode: "zoom",
      uirevision: Object.values(units.chosenUnits()).join(), showlegend: false,
      hoverlabel: { bgcolor: token("--sheet"), bordercolor: ink, font: { color: ink } },
      xaxis: { ...axis(this.x, this.#ranges.x), unifiedhovertitle: { text: `${this.x.label} ${this.#reading("x")}` } }, yaxis: axis(this.y, this.#ranges.y),
    };
  }

  // The table: the axis once, then a column per curve; curves, bands and marks on other points bring their own axis.
  #columns(written) {
    if (this.#series.length === 0) return [];
    const first = this.#series[0];
    const column = (head, kind, values) => ({ head, values: values.map((value) => written(kind, value)) });
    const named = (name) => axisTitle({ kind: this.y.kind, label: name });
    const columns = [column(axisTitle(this.x), this.x.kind, first.x)];
    for (const one of this.#series) {
      if (one.x.length !== first.x.length) columns.push(column(`${axisTitle(this.x)}, ${one.name}`, this.x.kind, one.x));
      columns.push(column(named(one.name), this.y.kind, one.y));
      if (!one.band || one.band.stale) continue;
      columns.push(column(`${axisTitle(this.x)}, band`, this.x.kind, one.band.x));
      columns.push(column(named(`${one.name}, band from`), this.y.kind, one.band.low));
      columns.push(column(named(`${one.name}, band to`), this.y.kind, one.band.high));
    }
    for (const name of new Set(this.#marks.map((mark) => mark.name))) {
      const marks = this.#marks.filter((mark) => mark.name === name);
      columns.push(column(`${axisTitle(this.x)}, ${name}`, this.x.kind, marks.map((mark) => mark.x)), column(named(name), this.y.kind, marks.map((mark) => mark.y)));
    }
    return columns;
  }

  #picture(format) {
    const layout = this.#layout();
    const shown = { title: { text: this.title }, showlegend: this.#series.length > 1, legend: { orientation: "h", y: -0.2 }, margin: { l: 68, r: 14, t: 44, b: 90 } };
    return this.frame.save({ data: this.#traces(), layout: { ...layout, ...shown } }, format, this.file);
  }
}
