// The scores with their units, meanings and sources; the difference of two rides; the energy account.
import { BarChart } from "../bar-chart.js";
import { byId, element } from "../dom.js";
import { pageData } from "../page-data.js";
import * as units from "../units.js";

const { scores, groups, energy } = pageData;
const SMALL = 1e-9;

const unitOf = (score) => (score.kind ? units.symbol(score.kind) : score.unit);

// A score without its unit; a difference gets its sign.
function scoreNumber(score, value, signed = false) {
  const sign = signed && value > SMALL ? "+" : "";
  if (score.kind) return `${sign}${units.figure(score.kind, value)}`;
  return `${sign}${(value * score.factor).toFixed(score.digits).replace(/^-(0(\.0+)?)$/, "$1")}`;
}

export function scoreText(score, value) {
  const number = scoreNumber(score, value);
  return `${number} ${unitOf(score) === "times" && number === "1" ? "time" : unitOf(score)}`;
}

export function showScores(answer) {
  const { sides, difference } = answer;
  const heads = difference ? ["Score", "A", "B", "B less A"] : ["Score", sides[0].name];
  const rows = Object.entries(groups).flatMap(([group, words]) => [
    element("tr", { class: "score-group" }, element("th", { colspan: heads.length, scope: "rowgroup" }, words)),
    ...scores.filter((score) => score.group === group).flatMap((score) => rowsOf(score, sides, difference)),
  ]);
  byId("scores").replaceChildren(element("table", { class: "figures-table score-table" }, element("caption", { class: "word-hidden" }, "Scores of the ride"),
    element("thead", {}, element("tr", {}, heads.map((head) => element("th", { scope: "col" }, head)))), element("tbody", {}, rows)), difference ? element("p", { class: "quiet" }, "A difference of two shares is in percentage points.") : "");
}

// The numbers, and below them what they mean.
function rowsOf(score, sides, difference) {
  const by = difference?.[score.key];
  const cells = sides.map((side) => element("td", { class: "figures" }, scoreNumber(score, side.ride[score.key])));
  if (difference) cells.push(element("td", { class: "figures" }, Math.abs(by) < SMALL ? "alike" : scoreNumber(score, by, true)));
  return [
    element("tr", { "data-score": score.key }, element("th", { scope: "row" }, score.title, " ", element("span", { class: "score-unit" }, unitOf(score))), cells),
    element("tr", { class: "score-meaning", "data-meaning": score.key }, element("td", { colspan: cells.length + 1 }, `${score.meaning}. `, element("em", {}, `Source: ${score.source}.`))),
  ];
}

// Energy -------------------------------------------------------------------------------------------------------
const bars = new BarChart(byId("chart-energy"), { title: "Where the energy went", label: "Energy (J)", file: "ride-energy", digits: 0 });

export function showEnergy({ sides }) {
  const shown = energy.filter(({ key }) => sides.some(({ ride }) => Math.abs(ride.energy_J[key]) > 1e-6));
  const table = element("table", { class: "figures-table" }, element("caption", { class: "word-hidden" }, "Energy account"),
    element("thead", {}, element("tr", {}, ["What", ...sides.map((side) => (sides.length > 1 ? side.letter : side.name))].map((head) => element("th", { scope: "col" }, head)))),
    element("tbody", {}, shown.map(({ key, words }) => element("tr", {}, element("th", { scope: "row" }, words), sides.map(({ ride }) => element("td", { class: "figures" }, `${joules(ride.energy_J[key])} J`))))));
  byId("energy").replaceChildren(
    element("p", {}, sides.map((side) => `${sides.length > 1 ? `${side.letter}: ` : ""}What came in, what is stored and what was taken agree within ${parts(side.ride.energy_imbalance)} of what passed through. `).join(""), "Over 5 parts in 10 000, no ride would be shown."), table);
  const taken = shown.filter(({ key }) => key !== "residual");
  bars.show(taken.map(({ words }) => words), sides.map((side) => ({ name: sides.length > 1 ? `${side.letter}: ${side.name}` : side.name, values: taken.map(({ key }) => side.ride.energy_J[key]) })));
}

const joules = (value) => (Math.abs(value) < 10 ? value.toPrecision(2) : value.toFixed(0));
const parts = (share) => `${(share * 1e6).toPrecision(2)} parts in a million`;
