// Bench traces beside the model: what was measured, what the virtual bench reads, the friction loop, what is left.
import { element } from "../dom.js";
import { csvOf } from "../number-table.js";
import { dotSample, lineSample } from "../series-look.js";
import * as units from "../units.js";
import { column, dotTrace, lineTrace, PlainChart } from "./plain-chart.js";

const KINDS = { spring: { axis: "travel_m", along: ["length", "Travel"], of: ["force", "Spring force", "N"] }, pressure: { axis: "travel_m", along: ["length", "Travel"], of: ["pressure", "Pressure, gauge", "Pa"] }, damping: { axis: "speed_m_s", along: ["speed", "Shaft speed, compression positive"], of: ["force", "Damping force", "N"] } };
const zeroLine = { zeroline: true };

// One pair of charts for each kind of trace; those of which there is none stay hidden.
export class TraceCharts {
  constructor({ model, loop, residual }) {
    const charts = (holder, title, file) => Object.fromEntries(Object.entries(KINDS).map(([kind, { of: [, label] }]) => {
      const place = element("div", { id: `${holder.id}-${kind}` });
      holder.append(place);
      return [kind, new PlainChart(place, { title: `${title}: ${label.toLowerCase()}`, file: `${file}-${kind}` })];
    }));
    this.model = charts(model, "Measured, and the model", "trace-and-model");
    this.residual = charts(residual, "What the fit leaves", "residuals");
    this.loop = new PlainChart(loop, { title: "Friction over the travel", file: "friction-loop" });
  }

  show(looked, fitted) {
    const { traces, loop } = fitted ?? looked;
    for (const [name, kind] of Object.entries(KINDS)) {
      const alike = traces.filter((trace) => trace.kind === name);
      this.model[name].show(alike.length ? () => this.#model(alike, kind, looked, fitted) : null);
      this.residual[name].show(alike.length && fitted ? () => this.#residual(alike, kind) : null);
    }
    this.loop.show(loop ? () => this.#loop(loop) : null);
  }

  #model(traces, { axis, along: [x, xLabel], of: [y, yLabel, unit] }, looked, fitted) {
    const kinds = { x, y };
    const before = fitted ? (looked?.traces ?? []).filter((trace) => traces.some((one) => one.name === trace.name)) : [];
    const measured = traces.map((trace, place) => dotTrace(`${trace.name}, measured`, place, trace[axis], trace[`measured_${unit}`], kinds));
    const model = (list, words, place) => list.map((trace) => lineTrace(`${words}`, place, trace[axis], trace[`predicted_${unit}`], kinds));
    const now = fitted ? "model as fitted" : "model as measured";
    return {
      traces: [...measured, ...model(before, "model as measured", 3), ...model(traces, now, 2)], x: { title: units.titled(xLabel, x) }, y: { title: units.titled(yLabel, y) },
      legend: [...traces.map((trace, place) => [dotSample(place), `${trace.name}, measured`]), [lineSample(2), now], ...(before.length ? [[lineSample(3), "model as measured"]] : [])],
      columns: traces.flatMap((trace) => [column(`${xLabel}, ${trace.name}`, x, trace[axis]), column("measured", y, trace[`measured_${unit}`]), column(now, y, trace[`predicted_${unit}`])]),
    };
  }

  #loop({ travel_m: travel, friction_N: friction }) {
    return {
      traces: [lineTrace("half the difference of both ways", 0, travel, friction, { x: "length", y: "force" })], x: { title: units.titled("Travel", "length") }, y: { title: units.titled("Friction", "force"), rangemode: "tozero" },
      legend: [[lineSample(0), "half the difference of both ways"]], columns: [column("Travel", "length", travel), column("Friction", "force", friction)],
    };
  }

  #residual(traces, { axis, along: [x, xLabel], of: [y, , unit] }) {
    return {
      traces: traces.map((trace, place) => dotTrace(trace.name, place, trace[axis], trace[`residual_${unit}`], { x, y })), x: { title: units.titled(xLabel, x) }, y: { title: units.titled("Measured less model", y), ...zeroLine },
      legend: traces.map((trace, place) => [dotSample(place), trace.name]), columns: traces.flatMap((trace) => [column(`${xLabel}, ${trace.name}`, x, trace[axis]), column("Measured less model", y, trace[`residual_${unit}`])]),
    };
  }
}

// The same columns and SI numbers as the command line's residual file.
export function traceCsv({ traces }) {
  const rows = traces.flatMap((trace) => {
    const { axis, of: [, , unit] } = KINDS[trace.kind];
    return trace[axis].map((along, at) => [trace.name, axis, along, trace[`measured_${unit}`][at], trace[`predicted_${unit}`][at], trace[`residual_${unit}`][at]]);
  });
  const heads = ["trace", "axis", "along", "measured", "predicted", "residual"];
  return csvOf(heads.map((head, at) => ({ head, values: rows.map((row) => row[at]) })));
}
