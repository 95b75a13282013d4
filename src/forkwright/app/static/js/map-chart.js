// A quantity over two axes as filled contours, with its zero line drawn out. The colours are a published scale
// made for every eye (cividis); the line at zero and the read-out carry the meaning without them.
import { axisLook, sheetLayout, token } from "./chart-frame.js";
import { shape } from "./dom.js";
import * as units from "./units.js";
import { WholeChart } from "./whole-chart.js";

const CIVIDIS = ["#00224e", "#35456c", "#666970", "#948e77", "#c8b866", "#fee838"];
const SCALE = CIVIDIS.map((colour, at) => [at / (CIVIDIS.length - 1), colour]);
const swatch = (colour) => shape("svg", { viewBox: "0 0 40 10", "aria-hidden": "true" }, shape("rect", { width: 40, height: 10, fill: colour }));

const converted = (axis, values) => (axis.kind ? units.toUnits(axis.kind, values) : values);

export class MapChart extends WholeChart {
  // `x`, `y` and `z` are {kind, label}; a kind of null is a plain count.
  constructor(holder, { title, x, y, z, file }) {
    super(holder, { title, file });
    Object.assign(this, { x, y, z });
  }

  // `z` is a list of rows, one for each y; `rows` says in full what the rows are, where the axis has no room for it.
  show(x, y, z, rows = this.y.label) {
    this.take({ x, y, z, rows });
  }

  built(saved) {
    const named = ({ label, kind }) => units.titled(label, kind);
    const axis = (which) => axisLook(named(which), { zeroline: false, showgrid: false });
    return {
      traces: this.#traces(saved),
      layout: sheetLayout({ margin: { l: 60, r: 8, t: 8, b: 46 }, xaxis: axis(this.x), yaxis: axis(this.y) }),
      legend: saved ? [] : this.#scale(),
      words: `${named(this.z)} over ${named(this.x)} and ${this.shown.rows}`,
      columns: () => this.#columns(),
    };
  }

  get #ends() {
    const all = this.shown.z.flat();
    return [Math.min(...all), Math.max(...all)];
  }

  // The library's own scale would write styles into the page, which the page's policy refuses: swatches with their values
  // stand for it; an image that is saved has it.
  #scale() {
    const [low, high] = this.#ends;
    return SCALE.map(([share, colour]) => [swatch(colour), units.text(this.z.kind, low + share * (high - low))]);
  }

  #traces(saved) {
    const { x, y, z, rows } = this.shown;
    const [zmin, zmax] = converted(this.z, this.#ends);
    const place = { type: "contour", x: converted(this.x, x), y: converted(this.y, y), z: z.map((row) => converted(this.z, row)) };
    const unit = units.symbol(this.z.kind);
    const zero = token("--vermillion");
    return [
      { ...place, colorscale: SCALE, zmin, zmax, contours: { coloring: "fill", showlines: false }, ncontours: 14, showscale: saved,
        colorbar: { title: { text: unit }, thickness: 14, outlinewidth: 0, tickfont: { color: token("--ink") } },
        hovertemplate: `%{x:.2f} ${this.x.kind ? units.symbol(this.x.kind) : ""}, ${rows} %{y}: %{z:.${units.decimals(this.z.kind)}f} ${unit}<extra></extra>` },
      { ...place, showscale: false, hoverinfo: "skip", autocontour: false, colorscale: [[0, zero], [1, zero]],
        contours: { type: "levels", start: 0, end: 0, size: 1, coloring: "none" }, line: { color: zero, width: 4, dash: "dash" } },
    ];
  }

  #columns() {
    const { x, y, z, rows } = this.shown;
    return [{ head: units.titled(this.x.label, this.x.kind), values: x.map((value) => units.figure(this.x.kind, value)) },
      ...y.map((value, row) => ({ head: units.titled(`${rows} ${value}`, this.z.kind), values: z[row].map((one) => units.figure(this.z.kind, one)) }))];
  }
}
