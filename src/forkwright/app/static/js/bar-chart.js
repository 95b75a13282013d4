// Lying bars with whiskers, one row for each name, up to a few bars a row.
import { colour } from "./chart.js";
import { ChartFrame, csvOf, token, withLibrary } from "./chart-frame.js";
import { element } from "./dom.js";

const PATTERNS = ["", "/", "x", "."];

export class BarChart {
  #shown = null;
  #stale = false;

  constructor(holder, { title, file, label, digits = 2 }) {
    Object.assign(this, { title, file, label, digits });
    this.frame = new ChartFrame(holder, title, file, { columns: () => this.#columns(), csv: () => csvOf(this.#columns()), picture: (format) => this.#picture(format) });
    this.frame.onSight(() => this.#stale && this.#draw());
    document.addEventListener("bench:theme", () => this.#draw());
  }

  // `names` in the order from top to bottom; bars are {name, values, errors?}.
  show(names, bars) {
    this.#shown = { names, bars };
    this.#draw();
  }

  #draw() {
    if (!this.#shown) return;
    this.#stale = !this.frame.seen;
    if (this.#stale) return;
    withLibrary(this, () => {
      const { names, bars } = this.#shown;
      this.frame.plot.style.height = `${Math.max(180, 70 + names.length * (14 + 14 * bars.length))}px`;
      window.Plotly.react(this.frame.plot, this.#traces(), this.#layout(), { displayModeBar: false, responsive: true });
      this.frame.legend.replaceChildren(...(bars.length > 1 ? bars.map((bar, place) => element("li", {}, element("span", { style: { color: colour(place) }, "aria-hidden": "true" }, place ? "▨ " : "■ "), bar.name)) : []));
      this.frame.plot.setAttribute("aria-label", `${this.title}: ${this.label} of ${names.join(", ")}. The numbers are in the table below.`);
      this.frame.fillTable();
    });
  }

  #traces() {
    const { names, bars } = this.#shown;
    return bars.map((bar, place) => ({
      type: "bar", orientation: "h", name: bar.name, y: names, x: bar.values, marker: { color: colour(place), pattern: { shape: PATTERNS[place % PATTERNS.length] } },
      error_x: bar.errors ? { type: "data", array: bar.errors, color: token("--ink"), thickness: 1.5, width: 4 } : undefined,
      hovertemplate: `%{y}<br>${this.label}: %{x:.${this.digits}f}<extra>${bar.name}</extra>`,
    }));
  }

  #layout() {
    const ink = token("--ink");
    return {
      autosize: true, barmode: "group", bargap: 0.3, margin: { l: 20, r: 14, t: 8, b: 46 }, paper_bgcolor: token("--sheet"), plot_bgcolor: token("--sheet"), showlegend: false,
      font: { family: token("--body"), size: 13, color: ink }, hoverlabel: { bgcolor: token("--sheet"), bordercolor: ink, font: { color: ink } },
      xaxis: { title: { text: this.label, standoff: 6 }, gridcolor: token("--rule"), linecolor: ink, zerolinecolor: ink }, yaxis: { autorange: "reversed", automargin: true, linecolor: ink },
    };
  }

  #columns() {
    if (!this.#shown) return [];
    const { names, bars } = this.#shown;
    return [{ head: "", values: names }, ...bars.flatMap((bar) => [{ head: `${bar.name}: ${this.label}`, values: bar.values.map((value) => value.toFixed(this.digits + 1)) },
      ...(bar.errors ? [{ head: `${bar.name}, ±`, values: bar.errors.map((value) => value.toFixed(this.digits + 1)) }] : [])])];
  }

  #picture(format) {
    const layout = { ...this.#layout(), title: { text: this.title }, showlegend: this.#shown.bars.length > 1, margin: { l: 20, r: 14, t: 44, b: 60 } };
    return this.frame.save({ data: this.#traces(), layout }, format, this.file);
  }
}
