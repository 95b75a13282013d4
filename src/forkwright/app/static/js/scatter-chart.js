// Points over two axes, in groups told apart by symbol and colour. A point can be picked.
import { axisLook, sheetLayout, token } from "./chart-frame.js";
import { colour, dotSample } from "./series-look.js";
import * as units from "./units.js";
import { WholeChart } from "./whole-chart.js";

const SIGNS = { circle: "●", "star": "★", x: "✕", square: "■", diamond: "◆", "triangle-up": "▲" };
const SYMBOLS = Object.keys(SIGNS);
export const symbolOf = (place) => SYMBOLS[[0, 3, 4, 5, 2][place % 5]];

const unitOf = (axis) => (axis.kind ? units.symbol(axis.kind) : axis.unit ?? "");
const titled = (axis) => (unitOf(axis) ? `${axis.label} (${unitOf(axis)})` : axis.label);
const LONGEST_UPRIGHT = 28; // letters along the upright axis before the unit goes on a line of its own
const upright = (title) => (title.length > LONGEST_UPRIGHT ? title.replace(" (", "<br>(") : title);
const placed = (axis, value) => (axis.names ? axis.names[value] : axis.kind ? units.toUnit(axis.kind, value) : value);
const written = (axis, value) => (axis.names ? axis.names[value] : axis.kind ? units.figure(axis.kind, value) : value.toFixed(axis.digits ?? 2));

export class ScatterChart extends WholeChart {
  constructor(holder, { title, file, picked = null }) {
    super(holder, { title, file });
    this.picked = picked;
  }

  // `shown` is {x, y, groups}. Axes are {label, kind} (SI in), {label, digits, unit} (numbers as they are) or {label, names} (words
  // in order); groups are {name, place, symbol, points: [{x, y, name, key?}]}.
  show(shown) {
    this.take(shown);
  }

  begun(plot) {
    if (this.picked) plot.on("plotly_click", ({ points }) => this.picked(points[0].customdata));
  }

  built() {
    const { x, y, groups } = this.shown;
    const axis = (which, title = titled(which)) => axisLook(title, { zeroline: false, automargin: true, ...(which.names ? { type: "category", categoryorder: "array", categoryarray: which.names } : {}) });
    return {
      traces: groups.map((group) => this.#trace(group)),
      layout: sheetLayout({ margin: { l: 64, r: 14, t: 10, b: 50 }, hovermode: "closest", xaxis: axis(x), yaxis: axis(y, upright(titled(y))) }),
      legend: groups.filter((group) => group.points.length).map((group) => [dotSample(group.place, SIGNS[group.symbol]), group.name]),
      words: `${titled(y)} over ${titled(x)}`,
      columns: () => this.#columns(),
    };
  }

  #trace({ name, place, symbol, points }) {
    const { x, y } = this.shown;
    const reading = (axis, value) => `${written(axis, value)} ${unitOf(axis)}`;
    return {
      type: "scatter", mode: "markers", name, customdata: points.map((point) => point.key ?? null),
      x: points.map((point) => placed(x, point.x)), y: points.map((point) => placed(y, point.y)),
      text: points.map((point) => `${point.name}<br>${reading(x, point.x)}, ${reading(y, point.y)}`), hovertemplate: "%{text}<extra></extra>",
      marker: { symbol, size: symbol === "circle" ? 10 : 15, color: colour(place), line: { width: 1, color: token("--ink") } },
    };
  }

  #columns() {
    const { x, y, groups } = this.shown;
    const all = groups.flatMap((group) => group.points.map((point) => ({ ...point, group: group.name })));
    return [{ head: "Which", values: all.map((point) => point.name) }, { head: "Group", values: all.map((point) => point.group) },
      { head: titled(x), values: all.map((point) => written(x, point.x)) }, { head: titled(y), values: all.map((point) => written(y, point.y)) }];
  }
}
