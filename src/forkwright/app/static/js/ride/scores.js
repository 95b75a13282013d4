// The scores with their units, meanings and sources; the difference of two rides; the energy account.
import { BarChart } from "../bar-chart.js";
import { byId, element } from "../dom.js";
import { pageData } from "../page-data.js";
import * as units from "../units.js";

const { scores, groups, energy } = pageData;
const SMALL = 1e-9;

// A score as text; a difference gets its sign.
export function scoreText(score, value, signed = false) {
  const sign = signed && value > SMALL ? "+" : "";
  if (score.kind) return `${sign}${units.text(score.kind, value)}`;
  const number = (value * score.factor).toFixed(score.digits).replace(/^-(0(\.0+)?)$/, "$1");
  return `${sign}${number} ${unitText(score, number, signed)}`;
}

function unitText({ unit }, number, signed) {
  if (unit === "times") return Math.abs(number) === 1 ? "time" : unit;
  return unit === "%" && signed ? "%-points" : unit;
}

export function showScores(answer) {
  const { sides, difference } = answer;
  const heads = difference ? ["Score", "A", "B", "B less A"] : ["Score", sides[0].name];
  const rows = Object.entries(groups).flatMap(([group, words]) => [
    element("tr", { class: "score-group" }, element("th", { colspan: heads.length, scope: "rowgroup" }, words)),
    ...scores.filter((score) => score.group === group).map((score) => row(score, sides, difference)),
  ]);
  byId("scores").replaceChildren(element("table", { class: "figures-table score-table" }, element("caption", { class: "word-hidden" }, "Scores of the ride"),
    element("thead", {}, element("tr", {}, heads.map((head) => element("th", { scope: "col" }, head)))), element("tbody", {}, rows)));
}

function row(score, sides, difference) {
  const by = difference?.[score.key];
  return element("tr", { "data-score": score.key },
    element("th", { scope: "row" }, element("span", { class: "score-title" }, score.title), element("span", { class: "score-meaning" }, `${score.meaning}. `, element("span", { class: "score-source" }, `Source: ${score.source}.`))),
    sides.map((side) => element("td", { class: "figures" }, scoreText(score, side.ride[score.key]))),
    difference ? element("td", { class: "figures" }, Math.abs(by) < SMALL ? "alike" : scoreText(score, by, true)) : null);
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
