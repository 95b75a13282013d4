// A quantity over two axes as filled contours, with its zero line drawn out. The colours are a published scale
// made for every eye (cividis); the line at zero and the read-out carry the meaning without them.
import { axisLook, sheetLayout, token } from "./chart-frame.js";
import * as units from "./units.js";
import { WholeChart } from "./whole-chart.js";

const converted = (axis, values) => (axis.kind ? units.toUnits(axis.kind, values) : values);

export class MapChart extends WholeChart {
  // `x`, `y` and `z` are {kind, label}; a kind of null is a plain count.
  constructor(holder, { title, x, y, z, file }) {
    super(holder, { title, file });
    Object.assign(this, { x, y, z });
  }

  // `z` is a list of rows, one for each y.
  show(x, y, z, yLabel = this.y.label) {
    this.y = { ...this.y, label: yLabel };
    this.take({ x, y, z });
  }

  built() {
    const named = ({ label, kind }) => units.titled(label, kind);
    const axis = (which) => axisLook(named(which), { zeroline: false, showgrid: false });
    return {
      traces: this.#traces(),
      layout: sheetLayout({ margin: { l: 60, r: 8, t: 8, b: 46 }, xaxis: axis(this.x), yaxis: axis(this.y) }),
      legend: [],
      words: `${named(this.z)} over ${named(this.x)} and ${named(this.y)}`,
      columns: () => this.#columns(),
    };
  }

  #traces() {
    const { x, y, z } = this.shown;
    const place = { type: "contour", x: converted(this.x, x), y: converted(this.y, y), z: z.map((row) => converted(this.z, row)) };
    const unit = units.symbol(this.z.kind);
    const zero = token("--vermillion");
    return [
      { ...place, colorscale: "Cividis", contours: { coloring: "fill", showlines: false }, ncontours: 14,
        colorbar: { title: { text: unit }, thickness: 14, outlinewidth: 0, tickfont: { color: token("--ink") } },
        hovertemplate: `%{x:.2f} ${this.x.kind ? units.symbol(this.x.kind) : ""}, ${this.y.label} %{y}: %{z:.${units.decimals(this.z.kind)}f} ${unit}<extra></extra>` },
      { ...place, showscale: false, hoverinfo: "skip", autocontour: false, colorscale: [[0, zero], [1, zero]],
        contours: { type: "levels", start: 0, end: 0, size: 1, coloring: "none" }, line: { color: zero, width: 4, dash: "dash" } },
    ];
  }

  #columns() {
    const { x, y, z } = this.shown;
    return [{ head: units.titled(this.x.label, this.x.kind), values: x.map((value) => units.figure(this.x.kind, value)) },
      ...y.map((value, row) => ({ head: units.titled(`${this.y.label} ${value}`, this.z.kind), values: z[row].map((one) => units.figure(this.z.kind, one)) }))];
  }
}
