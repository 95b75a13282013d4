// A quantity over two axes as filled contours, with its zero line drawn out. The colours are a published scale
// made for every eye (cividis); the line at zero and the read-out carry the meaning without them.
import { ChartFrame, csvOf, token, withLibrary } from "./chart-frame.js";
import * as units from "./units.js";

// `x`, `y` and `z` are {kind, label}; a kind of null is a plain count.
export class MapChart {
  #shown = null;
  #stale = false;

  constructor(holder, { title, x, y, z, file }) {
    Object.assign(this, { title, x, y, z, file });
    this.frame = new ChartFrame(holder, title, file, {
      columns: () => this.#columns(),
      csv: () => csvOf(this.#columns()),
      picture: (format) => this.#picture(format),
    });
    this.frame.onSight(() => this.#stale && this.#draw());
    units.onUnits(() => this.#draw());
    document.addEventListener("bench:theme", () => this.#draw());
  }

  // `z` is a list of rows, one for each y.
  show(x, y, z, yLabel) {
    this.#shown = { x, y, z };
    this.y = { ...this.y, label: yLabel ?? this.y.label };
    this.#draw();
  }

  #draw() {
    if (!this.#shown) return;
    this.#stale = !this.frame.seen;
    if (this.#stale) return;
    withLibrary(this, () => {
      window.Plotly.react(this.frame.plot, this.#traces(), this.#layout(), { displayModeBar: false, responsive: true });
      this.frame.plot.setAttribute("aria-label", `${this.title}: ${this.#named(this.z)} over ${this.#named(this.x)} and ${this.#named(this.y)}. The numbers are in the table below.`);
      this.frame.fillTable();
    });
  }

  #convert(axis, values) {
    return axis.kind ? units.toUnits(axis.kind, values) : values;
  }

  #named(axis) {
    return axis.kind ? `${axis.label} (${units.symbol(axis.kind)})` : axis.label;
  }

  #traces() {
    const { x, y, z } = this.#shown;
    const place = { x: this.#convert(this.x, x), y: this.#convert(this.y, y), z: z.map((row) => this.#convert(this.z, row)) };
    const unit = units.symbol(this.z.kind);
    return [
      { ...place, type: "contour", colorscale: "Cividis", contours: { coloring: "fill", showlines: false }, ncontours: 14,
        colorbar: { title: { text: unit }, thickness: 14, outlinewidth: 0, tickfont: { color: token("--ink") } },
        hovertemplate: `%{x:.2f} ${this.x.kind ? units.symbol(this.x.kind) : ""}, ${this.y.label} %{y}: %{z:.${units.decimals(this.z.kind)}f} ${unit}<extra></extra>` },
      { ...place, type: "contour", showscale: false, hoverinfo: "skip", autocontour: false, colorscale: [[0, token("--vermillion")], [1, token("--vermillion")]],
        contours: { type: "levels", start: 0, end: 0, size: 1, coloring: "none" }, line: { color: token("--vermillion"), width: 4, dash: "dash" } },
    ];
  }

  #layout() {
    const ink = token("--ink");
    const axis = (which) => ({ title: { text: this.#named(which), standoff: 6 }, linecolor: ink, tickcolor: ink, ticks: "outside", zeroline: false });
    return {
      autosize: true, margin: { l: 60, r: 8, t: 8, b: 46 }, paper_bgcolor: token("--sheet"), plot_bgcolor: token("--sheet"),
      font: { family: token("--body"), size: 13, color: ink }, dragmode: "zoom", xaxis: axis(this.x), yaxis: axis(this.y),
      hoverlabel: { bgcolor: token("--sheet"), bordercolor: ink, font: { color: ink } },
    };
  }

  #columns() {
    if (!this.#shown) return [];
    const { x, y, z } = this.#shown;
    const flat = x.map((value) => units.figure(this.x.kind, value));
    return [{ head: this.#named(this.x), values: flat },
      ...y.map((value, row) => ({ head: `${this.y.label} ${value} (${units.symbol(this.z.kind)})`, values: z[row].map((one) => units.figure(this.z.kind, one)) }))];
  }

  #picture(format) {
    const layout = { ...this.#layout(), title: { text: this.title }, margin: { l: 60, r: 8, t: 44, b: 46 } };
    return this.frame.save({ data: this.#traces(), layout }, format, this.file);
  }
}
