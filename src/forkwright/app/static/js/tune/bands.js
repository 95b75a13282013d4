// How far the tolerances of the parts move a setting: one row an adjuster.
import { element } from "../dom.js";
import { table } from "./asking.js";

export function adjusterBands(adjusters) {
  const rows = adjusters.map((one) => element("tr", {}, element("td", {}, one.words), element("td", { class: "figures" }, `${Math.round(100 * one.stays_share)} %`)));
  return table(["Would be best, nine times in ten", "Stays as it is"], rows, { caption: "How far the tolerances move the setting" });
}
