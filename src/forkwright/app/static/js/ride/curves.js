// The curves of one ride or two on one time line, and how the time is shared out over travel and speed.
import { BarChart } from "../bar-chart.js";
import { Chart } from "../chart.js";
import { csvOf } from "../number-table.js";
import { byId, element, offerFile } from "../dom.js";
import { keep, recall } from "../keep.js";
import { pageData } from "../page-data.js";
import * as units from "../units.js";

const TIME = { kind: "time", label: "Time" };
const KEY = "forkwright.ride.curve";
const CURVES = {
  travel_m: { title: "Travel", kind: "length", label: "Travel" },
  travel_speed_m_s: { title: "Speed of the unit", kind: "speed", label: "Speed, compression positive" },
  tyre_force_N: { title: "Force on the tyre", kind: "force", label: "Tyre force" },
  positive_Pa: { title: "Air pressure, absolute", kind: "pressure", label: "Positive chamber, absolute" },
};

let answer = null;
let chart = null;
const travelShare = new Chart(byId("chart-travel-share"), { title: "Time spent at each travel", x: { kind: "length", label: "Travel" }, y: { kind: "dimensionless", label: "Share of the time per twentieth" }, file: "ride-travel-share" });
const speedShare = new BarChart(byId("chart-speed-share"), { title: "Time spent at each speed of the unit", label: "Share of the time (%)", file: "ride-speed-share", digits: 1 });

const select = byId("curve");
select.replaceChildren(...Object.entries(CURVES).map(([key, { title }]) => element("option", { value: key }, title)));
select.value = recall(KEY, "travel_m");
if (select.selectedIndex < 0) select.value = "travel_m";
select.addEventListener("change", () => {
  keep(KEY, select.value);
  drawCurve();
});

const named = (side) => (answer.sides.length > 1 ? `${side.letter}: ${side.name}` : side.name);

// Another quantity or course has other axes: the chart is made anew then.
function drawCurve() {
  if (!answer) return;
  const { title, kind, label } = CURVES[select.value];
  const shown = [select.value, answer.course, answer.sides[0].history.from_s].join();
  if (!chart || chart.shown !== shown) {
    chart = new Chart(byId("chart-curve"), { title: `${title} over the ride`, x: TIME, y: { kind, label }, file: `ride-${title.toLowerCase().replaceAll(/[^a-z]+/g, "-")}` });
    chart.shown = shown;
  }
  chart.show(answer.sides.map((side, place) => ({ name: named(side), place, x: side.history.time_s, y: side.history[select.value] })));
}

export function showCurves(found) {
  answer = found;
  drawCurve();
  travelShare.show(answer.sides.map((side, place) => ({ name: named(side), place, ...stepped(side) })));
  showSpeeds();
}

// Files in SI, under the keys of the command line.
byId("history-csv").addEventListener("click", () => answer && offerFile("ride-history.csv", csvOf(answer.sides.flatMap((side) => Object.entries(side.history)
  .filter(([, values]) => Array.isArray(values)).map(([key, values]) => ({ head: answer.sides.length > 1 ? `${side.letter} ${key}` : key, values })))), "text/csv"));
byId("scores-csv").addEventListener("click", () => answer && offerFile("ride-scores.csv", csvOf([{ head: "score", values: pageData.scores.map(({ key }) => key) },
  ...answer.sides.map((side) => ({ head: answer.sides.length > 1 ? `${side.letter}: ${side.name}` : side.name, values: pageData.scores.map(({ key }) => side.ride[key]) }))]), "text/csv"));

// A histogram as a line of steps.
function stepped({ ride, figure }) {
  const edges = ride.travel_edges_share.map((share) => share * figure.travel_m);
  const x = [];
  const y = [];
  ride.travel_share.forEach((share, bin) => {
    x.push(edges[bin], edges[bin + 1]);
    y.push(share, share);
  });
  return { x, y };
}

function showSpeeds() {
  const edges = answer.sides[0].ride.speed_edges_m_s.map((speed) => units.toUnit("speed", speed));
  const written = (speed) => Number(speed.toFixed(2)).toString().replace("-", "−");
  const names = [`under ${written(edges[0])}`, ...edges.slice(1).map((edge, place) => `${written(edges[place])} to ${written(edge)}`), `over ${written(edges.at(-1))}`].map((name) => `${name} ${units.symbol("speed")}`);
  speedShare.show(names, answer.sides.map((side) => ({ name: named(side), values: side.ride.speed_share.map((share) => 100 * share) })));
}
units.onUnits(() => answer && showSpeeds());
