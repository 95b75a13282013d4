// A chart that is drawn whole each time: when it is told something new, comes into sight, units turn or light turns dark.
import { ChartFrame, CONFIG, withLibrary } from "./chart-frame.js";
import { csvOf } from "./number-table.js";
import * as units from "./units.js";

// A kind of chart has `built(saved)`, what is drawn of `shown` now: {traces, layout, columns() (text), legend: [[sample, name]],
// words}; `saved` for an image that stands alone.
export class WholeChart {
  #stale = false;
  #begun = false;
  shown = null;
  config = CONFIG;

  constructor(holder, { title, file }) {
    const columns = () => (this.shown === null ? [] : this.built(false).columns());
    this.frame = new ChartFrame(holder, title, file, { columns, csv: () => csvOf(columns()), picture: () => this.#picture() });
    this.frame.onSight(() => this.#stale && this.draw());
    units.onUnits(() => this.draw());
    document.addEventListener("bench:theme", () => this.draw());
  }

  // Take what is to be shown; null for nothing.
  take(shown) {
    this.shown = shown;
    this.draw();
  }

  draw() {
    if (this.shown === null) return;
    this.#stale = !this.frame.seen;
    if (!this.#stale) withLibrary(this, () => this.shown !== null && this.#redraw());
  }

  #redraw() {
    const { traces, layout, legend, words } = this.built(false);
    window.Plotly.react(this.frame.plot, traces, layout, this.config);
    if (!this.#begun) this.begun(this.frame.plot);
    this.#begun = true;
    this.frame.showLegend(legend);
    this.frame.describe(words);
    this.frame.fillTable();
  }

  // Called after the first drawing, for whoever listens to the plot.
  begun() {}

  #picture() {
    const { traces, layout, legend } = this.built(true);
    return { data: traces, layout: { ...layout, showlegend: legend.length > 0 } };
  }
}
