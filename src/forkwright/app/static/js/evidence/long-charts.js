// A log of any length on the screen: the server sends lowest and highest of every column of the visible stretch,
// so that zooming and shifting cost the same for a minute as for an hour. Travel and speed share their time axis.
import { token } from "../chart-frame.js";
import { element } from "../dom.js";
import { Latest } from "../link.js";
import { colour, lineSample } from "../series-look.js";
import * as units from "../units.js";
import { column, lineTrace, PlainChart } from "./plain-chart.js";

const COLUMNS_MOST = 1600;
const LEAST_S = 0.05;
const KEYS = { "+": ["zoom", 0.5], "=": ["zoom", 0.5], "-": ["zoom", 2], ArrowLeft: ["shift", -0.25], ArrowRight: ["shift", 0.25], PageUp: ["shift", -1], PageDown: ["shift", 1], Home: ["whole"] };

export class LongCharts {
  constructor(holder, { failed, stretch }) {
    Object.assign(this, { failed, ride: null, begin: 0, end: 1, from: 0, to: 1, marks: [], shown: {} });
    const button = (words, sign, act) => element("button", { type: "button", class: "plain", "aria-label": words, title: words, onclick: act }, sign);
    this.told = element("output", { class: "quiet", "aria-live": "polite" });
    const bar = element("div", { class: "row long-bar", role: "group", "aria-label": "Stretch of the log", tabindex: "0", onkeydown: (event) => this.#key(event) },
      button("Closer", "+", () => this.zoom(0.5)), button("Wider", "−", () => this.zoom(2)), button("Earlier", "←", () => this.shift(-0.5)), button("Later", "→", () => this.shift(0.5)), button("The whole log", "Whole", () => this.whole()),
      this.told, element("button", { type: "button", class: "plain", onclick: () => stretch(this.from, this.to) }, "Name this stretch"));
    const [travel, speed] = [element("div", { id: "chart-log-travel" }), element("div", { id: "chart-log-speed" })];
    holder.replaceChildren(bar, travel, speed);
    const moved = (from, to) => this.#go(from, to);
    const dragmode = matchMedia("(pointer: coarse)").matches ? "pan" : "zoom";
    this.travel = new PlainChart(travel, { title: "Travel", file: "log-travel", moved, dragmode });
    this.speed = new PlainChart(speed, { title: "Shaft speed, compression positive", file: "log-speed", moved, dragmode });
    this.latest = new Latest("/api/evidence/window", (answer) => this.#answered(answer), (error) => this.failed(error));
  }

  // Another log, or the same read anew; the stretch that is looked at stays where it can.
  show(ride, { begin_s: begin, end_s: end, bottom_out_times_s: marks }) {
    const same = this.ride?.file === ride.file && this.begin === begin && this.end === end;
    Object.assign(this, { ride, begin, end, marks });
    this.#go(same ? this.from : begin, same ? this.to : end);
  }

  redraw() {
    if (this.ride) this.#go(this.from, this.to);
  }

  zoom(factor) {
    const middle = (this.from + this.to) / 2;
    const half = (factor * (this.to - this.from)) / 2;
    this.#go(middle - half, middle + half);
  }

  shift(share) {
    const by = share * (this.to - this.from);
    const kept = Math.min(Math.max(by, this.begin - this.from), this.end - this.to);
    this.#go(this.from + kept, this.to + kept);
  }

  whole() {
    this.#go(this.begin, this.end);
  }

  #key(event) {
    const act = KEYS[event.key];
    if (!act || event.target.tagName === "BUTTON") return;
    event.preventDefault();
    this[act[0]](act[1]);
  }

  #go(from, to) {
    this.from = Math.max(this.begin, from);
    this.to = Math.min(this.end, Math.max(to, this.from + LEAST_S));
    if (this.to - this.from < LEAST_S) this.from = Math.max(this.begin, this.to - LEAST_S);
    const width = this.travel.frame.plot.clientWidth || 800;
    this.latest.ask({ ride: this.ride, start: this.from, stop: this.to, columns: Math.min(COLUMNS_MOST, Math.max(200, Math.round(width))), shown: ["travel", "speed", "simulated"] });
  }

  #answered({ start_s: start, stop_s: stop, shown }) {
    this.shown = shown;
    const length = stop - start;
    const words = shown.travel.whole ? "every sample is drawn" : `lowest and highest of ${shown.travel.samples.toLocaleString("en")} samples are drawn`;
    this.told.textContent = `${start.toFixed(length < 20 ? 2 : 0)} to ${stop.toFixed(length < 20 ? 2 : 0)} s: ${words}`;
    const lines = [["travel", "as logged", 0, "travel_m"], ["simulated", "simulated", 1, "simulated_m"]].filter(([name]) => shown[name]);
    this.travel.show(() => this.#built(lines, "length", "Travel", start, stop));
    this.speed.show(() => this.#built([["speed", "as logged", 0, "speed_m_s"]], "speed", "Shaft speed", start, stop));
    document.dispatchEvent(new CustomEvent("bench:redrawn"));
  }

  #built(lines, kind, label, start, stop) {
    const traces = lines.map(([name, words, place, key]) => lineTrace(words, place, shown(this, name).time_s, shown(this, name)[key], { y: kind }, { line: { color: colour(place), width: 1.3, dash: place ? "dot" : "solid", simplify: false }, connectgaps: false }));
    const hits = kind === "length" ? this.marks.filter((time) => time >= start && time <= stop) : [];
    const most = kind === "length" ? Math.max(...lines.flatMap(([name, , , key]) => shown(this, name)[key].filter((value) => value !== null)), 0) : 0;
    if (hits.length) traces.push({ type: "scatter", mode: "markers", name: "bottom-out", x: hits, y: hits.map(() => units.toUnit(kind, most)), marker: { symbol: "triangle-down", size: 12, color: token("--bad-ink") }, hovertemplate: "bottom-out<extra></extra>" });
    return {
      traces, x: { title: "Time (s)", range: [start, stop] }, y: { title: units.titled(label, kind), fixedrange: true }, legend: lines.map(([, words, place]) => [lineSample(place), words]),
      columns: lines.flatMap(([name, words, , key]) => [{ head: `Time (s), ${words}`, values: shown(this, name).time_s.map((time) => time.toFixed(4)) }, column(`${label}, ${words}`, kind, shown(this, name)[key])]),
      words: `${label} over time from ${start.toFixed(1)} to ${stop.toFixed(1)} s`,
    };
  }
}

const shown = (charts, name) => charts.shown[name];
