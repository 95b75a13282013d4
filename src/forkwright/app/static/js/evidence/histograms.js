// Shares of the riding time over travel and over speed, one set of bars for each ride.
import { barSample, colour, pattern } from "../series-look.js";
import * as units from "../units.js";
import { PlainChart } from "./plain-chart.js";

const binNames = (edges, kind) => edges.slice(1).map((edge, at) => `${number(kind, edges[at])} to ${number(kind, edge)}`);
const number = (kind, si) => String(Number(units.toUnit(kind, si).toPrecision(3)));

// Speed has an open bin at either end.
function speedNames(edges) {
  return [`below ${number("speed", edges[0])}`, ...binNames(edges, "speed"), `above ${number("speed", edges.at(-1))}`];
}

const KINDS = {
  travel: { title: "Use of the travel", kind: "length", label: "Travel", names: (used) => binNames(used.travel_edges_m, "length"), shares: (used) => used.travel_share },
  speed: { title: "Use of the speeds, compression positive", kind: "speed", label: "Shaft speed", names: (used) => speedNames(used.speed_edges_m_s), shares: (used) => used.speed_share },
};

export class Histogram {
  constructor(holder, which) {
    this.of = KINDS[which];
    this.chart = new PlainChart(holder, { title: this.of.title, file: `use-of-${which}` });
  }

  // `rides` are [{name, used}]; their bins are alike when the full travel is.
  show(rides) {
    this.chart.show(rides.length ? () => this.#built(rides) : null);
  }

  #built(rides) {
    const { kind, label, names, shares } = this.of;
    return {
      traces: rides.map(({ name, used }, place) => ({ type: "bar", name, x: names(used), y: shares(used).map((share) => 100 * share), marker: { color: colour(place), pattern: { shape: pattern(place) } }, hovertemplate: `%{x} ${units.symbol(kind)}: %{y:.2f} %<extra>${name}</extra>` })),
      x: { title: units.titled(label, kind), type: "category", tickangle: -45 }, y: { title: "Share of time (%)", rangemode: "tozero" }, more: { barmode: "group", bargap: 0.15 },
      legend: rides.map(({ name }, place) => [barSample(place), name]),
      columns: [{ head: units.titled(label, kind), values: names(rides[0].used) }, ...rides.map(({ name, used }) => ({ head: `${name} (%)`, values: shares(used).map((share) => (100 * share).toFixed(3)) }))],
    };
  }
}

export class SpectrumChart {
  constructor(holder) {
    this.chart = new PlainChart(holder, { title: "Spectrum of the travel", file: "spectrum" });
  }

  show(rides) {
    this.chart.show(rides.length ? () => this.#built(rides) : null);
  }

  #built(rides) {
    const scale = units.toUnit("length", 1) ** 2;
    const symbol = `${units.symbol("length")}²/Hz`;
    const of = ({ spectrum }, key) => spectrum[key].slice(1).map((value) => value * scale); // no logarithm at 0 Hz
    const at = ({ spectrum }) => spectrum.frequency_Hz.slice(1);
    const first = rides[0];
    const band = { type: "scatter", mode: "lines", hoverinfo: "skip", showlegend: false, line: { width: 0 }, fill: "toself", fillcolor: "rgba(128,128,128,0.18)", x: [...at(first), ...at(first).reverse()], y: [...of(first, "low_m2_Hz"), ...of(first, "high_m2_Hz").reverse()] };
    return {
      traces: [band, ...rides.map((ride, place) => ({ type: "scatter", mode: "lines", name: ride.name, x: at(ride), y: of(ride, "travel_density_m2_Hz"), line: { color: colour(place), width: 2, dash: place ? "dot" : "solid", simplify: false }, hovertemplate: `%{x:.2f} Hz: %{y:.3g} ${symbol}<extra>${ride.name}</extra>` }))],
      x: { title: "Frequency (Hz)", type: "log" }, y: { title: `Density (${symbol})`, type: "log", exponentformat: "power" }, legend: rides.map((ride, place) => [barSample(place), ride.name]),
      columns: rides.flatMap((ride) => [{ head: `Frequency (Hz), ${ride.name}`, values: at(ride).map((value) => value.toFixed(3)) }, { head: `Density (${symbol}), ${ride.name}`, values: of(ride, "travel_density_m2_Hz").map((value) => value.toPrecision(5)) }]),
      words: `density over frequency, both by logarithms, of ${rides.map((ride) => ride.name).join(" and ")}; the grey band is the 95 % interval of the first`,
    };
  }
}
