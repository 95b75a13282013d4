// The result of an opened trial: the verdict first, then each comparison as an interval, then the raw data.
import { element, shape } from "../dom.js";

const WIDTH = 300;
const UNITS = { share: "", points: " points", s: " s" };
const figure = (value, unit) => (unit === "share" ? value.toFixed(2) : `${value.toFixed(2)}${UNITS[unit]}`);

export function showOutcome(holder, found, offer) {
  const { analysis } = found;
  const parts = [
    element("p", { class: "verdict" }, analysis.verdict), element("p", {}, analysis.beside_p),
    element("ul", { class: "sentences" }, [...analysis.explanation, ...analysis.trends.map((trend) => trend.sentence)].map((words) => element("li", {}, words))),
    analysis.warnings.length ? element("ul", { class: "warnings", "aria-label": "What to watch" }, analysis.warnings.map((words) => element("li", {}, words))) : null,
    element("div", { class: "row" }, element("button", { type: "button", class: "main-button", onclick: offer }, "Download the two-page report")),
    comparisons("The main question", analysis.main), ...analysis.measures.map((measure) => comparisons(`${measure.name}${measure.primary ? " (decides)" : ""}`, measure.comparisons, measure.means)),
    leftOut(analysis.left_out), raw(found.raw), remarks(found.remarks)];
  holder.replaceChildren(...parts.filter(Boolean));
}

function comparisons(title, all, means = []) {
  if (all.length === 0) return null;
  const low = Math.min(...all.flatMap((one) => [one.low, one.null, one.null - one.worthwhile, one.unit === "share" ? 0 : one.low]));
  const high = Math.max(...all.flatMap((one) => [one.high, one.null, one.unit === "share" ? 1 : one.high, one.unit === "share" ? one.worthwhile : one.worthwhile]));
  const scale = (value) => ((value - low) / (high - low || 1)) * WIDTH;
  const rows = all.map((one) => element("tr", {}, element("th", { scope: "row" }, `${one.first} / ${one.second}`), element("td", {}, bar(one, scale)),
    element("td", { class: "figures" }, `${figure(one.estimate, one.unit)} (${figure(one.low, one.unit)} to ${figure(one.high, one.unit)})`), element("td", { class: "figures" }, one.adjusted_p < 0.001 ? "< 0.001" : one.adjusted_p.toFixed(4)),
    element("td", {}, one.finding, one.better ? `: ${one.better}` : "", one.more ? `; ${one.more} more would tell` : "")));
  return element("section", {}, element("h3", {}, title), means.length ? element("p", { class: "quiet" }, `Means: ${means.map(([label, mean, count]) => `${label} ${mean.toFixed(2)} (${count})`).join("; ")}`) : null,
    element("div", { class: "behind", tabindex: "0", role: "region", "aria-label": `Table: ${title}` }, element("table", { class: "figures-table" }, element("thead", {}, element("tr", {}, ["Pair", "Interval", `Seen (${Math.round(all[0].confidence * 100)} % interval)`, "p, corrected", "Finding"].map((word) => element("th", { scope: "col" }, word)))), element("tbody", {}, rows))));
}

// Line: no difference; bar: interval; dot: what was seen.
function bar(one, scale) {
  const path = (d, more) => shape("path", { d, fill: "none", ...more });
  return shape("svg", { viewBox: `-6 0 ${WIDTH + 12} 24`, class: "interval", role: "img", "aria-label": `seen ${figure(one.estimate, one.unit)}, interval ${figure(one.low, one.unit)} to ${figure(one.high, one.unit)}, no difference is ${figure(one.null, one.unit)}` },
    path(`M0 12H${WIDTH}`, { class: "interval-axis" }), path(`M${scale(one.null)} 2V22`, { class: "interval-null" }),
    path(`M${scale(one.low)} 12H${scale(one.high)}`, { class: "interval-bar" }), shape("circle", { cx: scale(one.estimate), cy: 12, r: 5, class: "interval-dot" }));
}

const folded = (title, ...inside) => element("details", {}, element("summary", {}, title), ...inside);

function leftOut(rows) {
  return rows.length ? folded(`Not counted: ${rows.length}`, element("ul", {}, rows.map(([what, why]) => element("li", {}, `${what}: ${why}`)))) : null;
}

function raw({ head, rows, note }) {
  return folded("Raw data", note ? element("p", { class: "quiet" }, note) : null, element("div", { class: "behind", tabindex: "0", role: "region", "aria-label": "Raw data" },
    element("table", { class: "figures-table" }, element("thead", {}, element("tr", {}, head.map((word) => element("th", { scope: "col" }, word)))), element("tbody", {}, rows.map((row) => element("tr", {}, row.map((cell) => element("td", {}, cell))))))));
}

function remarks(all) {
  return all.length ? folded(`Remarks and incidents: ${all.length}`, element("ul", {}, all.map((one) => element("li", {}, `${one.at} ${one.by}${one.code ? `, code ${one.code}` : ""}: ${one.text}`)))) : null;
}
