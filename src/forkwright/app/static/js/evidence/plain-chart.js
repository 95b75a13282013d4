// A chart that is told everything at once: traces, axes, legend and the table behind. Bars, points, logarithms.
import { axisLook, CONFIG, sheetLayout } from "../chart-frame.js";
import { colour, lineStyle } from "../series-look.js";
import * as units from "../units.js";
import { WholeChart } from "../whole-chart.js";

export class PlainChart extends WholeChart {
  // `moved(from, to)` is told another stretch of the horizontal axis; double-clicked, the whole of it.
  constructor(holder, { title, file, moved = null, dragmode = "zoom" }) {
    super(holder, { title, file });
    Object.assign(this, { moved, dragmode, config: { ...CONFIG, showTips: false, doubleClick: moved ? false : "reset" } });
  }

  // `build()` gives {traces, x, y, more?, legend: [[sample, name]], columns: [{head, values (text)}], words?}; axes are layout entries.
  show(build) {
    this.frame.holder.hidden = build === null;
    this.take(build);
  }

  built() {
    const { traces, x, y, more = {}, legend, columns, words } = this.shown();
    const axis = ({ title, ...given }) => axisLook(title, { automargin: true, ...given });
    return {
      traces,
      layout: sheetLayout({ hovermode: "closest", dragmode: this.dragmode, ...more, xaxis: axis(x), yaxis: axis(y) }),
      legend: legend.length > 1 ? legend : [],
      words: words ?? legend.map(([, name]) => name).join(", "),
      columns: () => columns,
    };
  }

  begun(plot) {
    if (!this.moved) return;
    plot.on("plotly_relayout", (change) => {
      const range = change["xaxis.range"] ?? [change["xaxis.range[0]"], change["xaxis.range[1]"]];
      if (Number.isFinite(range[0]) && Number.isFinite(range[1])) this.moved(range[0], range[1]);
    });
    plot.on("plotly_doubleclick", () => this.moved(-Infinity, Infinity));
  }
}

// A line in SI; the axes' kinds turn it into the user's units.
export function lineTrace(name, place, x, y, kinds, more = {}) {
  const symbol = kinds.y ? units.symbol(kinds.y) : "";
  return {
    type: "scatter", mode: "lines", name, x: kinds.x ? units.toUnits(kinds.x, x) : x, y: kinds.y ? units.toUnits(kinds.y, y) : y,
    line: { color: colour(place), dash: lineStyle(place), width: 2.5, simplify: false }, hovertemplate: `%{y:.${kinds.y ? units.decimals(kinds.y) : 3}~f} ${symbol}<extra>${name}</extra>`, ...more,
  };
}

export function dotTrace(name, place, x, y, kinds, more = {}) {
  return { ...lineTrace(name, place, x, y, kinds), mode: "markers", line: undefined, marker: { color: colour(place), size: 4, opacity: 0.7 }, ...more };
}

// A column of the table behind; a number that stands for no quantity keeps six digits.
export const column = (head, kind, values) => ({ head: units.titled(head, kind), values: values.map((value) => (value === null ? "" : kind ? units.figure(kind, value, 1) : String(Number(value.toPrecision(6))))) });
