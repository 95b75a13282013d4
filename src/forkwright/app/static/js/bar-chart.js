// Lying bars with whiskers, one row for each name, up to a few bars a row.
import { axisLook, sheetLayout, token } from "./chart-frame.js";
import { barSample, colour, pattern } from "./series-look.js";
import { WholeChart } from "./whole-chart.js";

export class BarChart extends WholeChart {
  constructor(holder, { title, file, label, digits = 2 }) {
    super(holder, { title, file });
    Object.assign(this, { label, digits });
  }

  // `names` in the order from top to bottom; bars are {name, values, errors?}.
  show(names, bars) {
    this.frame.plot.style.height = `${Math.max(180, 70 + names.length * (14 + 14 * bars.length))}px`;
    this.take({ names, bars });
  }

  built() {
    const { names, bars } = this.shown;
    return {
      traces: bars.map((bar, place) => this.#trace(names, bar, place)),
      layout: sheetLayout({ barmode: "group", bargap: 0.3, margin: { l: 20, r: 14, t: 8, b: 46 }, xaxis: axisLook(this.label, { ticks: "" }), yaxis: axisLook("", { ticks: "", autorange: "reversed", automargin: true }) }),
      legend: bars.length > 1 ? bars.map((bar, place) => [barSample(place), bar.name]) : [],
      words: `${this.label} of ${names.join(", ")}`,
      columns: () => [{ head: "Name", values: names }, ...bars.flatMap((bar) => this.#columns(bar))],
    };
  }

  #trace(names, { name, values, errors }, place) {
    return {
      type: "bar", orientation: "h", name, y: names, x: values, marker: { color: colour(place), pattern: { shape: pattern(place) } },
      error_x: errors ? { type: "data", array: errors, color: token("--ink"), thickness: 1.5, width: 4 } : undefined,
      hovertemplate: `%{y}<br>${this.label}: %{x:.${this.digits}f}<extra>${name}</extra>`,
    };
  }

  #columns({ name, values, errors }) {
    const column = (head, numbers) => ({ head, values: numbers.map((value) => value.toFixed(this.digits + 1)) });
    return [column(`${name}: ${this.label}`, values), ...(errors ? [column(`${name}, ±`, errors)] : [])];
  }
}
