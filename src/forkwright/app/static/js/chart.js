// Curves over an axis, redrawn in place. Data come in SI; axes, read-out, table and files are in the user's units.
import { rangeFor } from "./axis-range.js";
import { axisLook, ChartFrame, CONFIG, sheetLayout, token, withLibrary } from "./chart-frame.js";
import { moveCurves } from "./fast-redraw.js";
import { csvOf, filedColumns, shownColumns } from "./number-table.js";
import { colour, lineSample, lineStyle, shade, washed } from "./series-look.js";
import * as units from "./units.js";

const AT_REST_MS = 160;
const CURVE_CONFIG = { ...CONFIG, doubleClick: "reset" };
const axisTitle = ({ label, kind }) => units.titled(label, kind);
const digits = ({ kind, extra = 0 }) => Math.max(0, units.decimals(kind) + extra);

const alike = (a, b) => a === b || (a.length === b.length && a.every((value, at) => value === b[at]));

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

// `x` and `y` are {kind, label, extra?}, `extra` more digits than the kind is usually read with; a `y` with `fromZero` shows
// small changes small. Series are {name, x, y, place, band?: {x, low, high, stale?}, dash?, faint?}; marks are {x, y, name,
// place, symbol?}. All numbers are SI; null leaves a gap. The curves of a `loop` pass a place of the axis more than once, so
// that its points are read one by one.
export class Chart {
  #series = [];
  #marks = [];
  #stale = false;
  #legendOf = "";
  #looks = "";
  #ranges = { x: null, y: null };
  #resting = null;

  constructor(holder, { title, x, y, file = "curves", loop = false }) {
    Object.assign(this, { x, y, loop });
    this.frame = new ChartFrame(holder, title, file, {
      columns: () => shownColumns(this.#columns()),
      csv: () => csvOf(filedColumns(this.#columns())),
      picture: () => ({ data: this.#traces(), layout: { ...this.#layout(), showlegend: this.#series.length > 1 } }),
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
    this.#ranges.y = rangeFor([...traces.map((trace) => trace.y), ...(this.y.fromZero ? [[0]] : [])], this.#ranges.y);
    const looks = traces.map((trace) => [trace.name, trace.line?.color, trace.line?.dash, trace.x.length]);
    return JSON.stringify([this.#ranges, shade(), units.chosenUnits(), looks]);
  }

  #plot(traces) {
    window.Plotly.react(this.frame.plot, traces, this.#layout(), CURVE_CONFIG);
  }

  #describe() {
    const names = this.#series.map((one) => one.name).join(", ");
    this.frame.describe(`${names}; ${axisTitle(this.y)} over ${axisTitle(this.x)}`);
  }

  // Our own legend: it is text on the page, and costs nothing while a slider moves.
  #drawLegend() {
    const wanted = JSON.stringify(this.#series.map((one) => [one.name, one.place, one.dash]));
    if (wanted === this.#legendOf) return;
    this.#legendOf = wanted;
    const named = this.#series.length > 1 ? this.#series : [];
    this.frame.showLegend(named.map((one) => [lineSample(one.place, one), one.name]));
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
      hovertemplate: `${this.#reading("y")}${this.loop ? ` at ${this.#reading("x")}` : ""}${band ? ", %{customdata}" : ""}<extra>${one.name}</extra>`,
    };
  }

  // How the read-out writes a value of an axis.
  #reading(which) {
    return `%{${which}:.${digits(this[which])}f} ${units.symbol(this[which].kind)}`.trim();
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
    const axis = (which, range, more = {}) => axisLook(axisTitle(which), { range, automargin: false, hoverformat: `.${digits(which)}f`, ...more });
    return sheetLayout({
      margin: { l: 68, r: 14, t: 8, b: 46 }, hovermode: this.loop ? "closest" : "x unified", uirevision: Object.values(units.chosenUnits()).join(),
      xaxis: axis(this.x, this.#ranges.x, { unifiedhovertitle: { text: `${this.x.label} ${this.#reading("x")}` } }), yaxis: axis(this.y, this.#ranges.y),
    });
  }

  // The table: the axis once, then a column per curve; curves, bands and marks on other points bring their own axis.
  #columns() {
    if (this.#series.length === 0) return [];
    const along = (of, values) => ({ ...this.x, label: of ? `${this.x.label}, ${of}` : this.x.label, values });
    const read = (label, values) => ({ ...this.y, label, values });
    const first = this.#series[0];
    const columns = [along("", first.x)];
    for (const { name, x, y, band } of this.#series) {
      if (!alike(x, first.x)) columns.push(along(name, x));
      columns.push(read(name, y));
      if (!band || band.stale) continue;
      columns.push(along("band", band.x), read(`${name}, band from`, band.low), read(`${name}, band to`, band.high));
    }
    for (const name of new Set(this.#marks.map((mark) => mark.name))) {
      const marks = this.#marks.filter((mark) => mark.name === name);
      columns.push(along(name, marks.map((mark) => mark.x)), read(name, marks.map((mark) => mark.y)));
    }
    return columns;
  }
}
