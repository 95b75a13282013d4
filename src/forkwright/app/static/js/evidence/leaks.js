// A leak-down: how fast each chamber loses gas at one temperature, which way it goes; or air drawn in over rides.
import { element } from "../dom.js";
import { dotSample, lineSample } from "../series-look.js";
import { table } from "../tune/asking.js";
import * as units from "../units.js";
import { column, dotTrace, lineTrace, PlainChart } from "./plain-chart.js";

const DAY_S = 86_400;
const HOUR_S = 3600;
const named = (chamber) => chamber.replaceAll("_", " ");
// A difference of pressures has no zero to shift.
const change = (pascal, digits = 3) => Number((units.toUnit("pressure", pascal) - units.toUnit("pressure", 0)).toPrecision(digits)).toString();

export class Leaks {
  #answer = null;

  constructor(words, chart) {
    this.words = words;
    this.chart = new PlainChart(chart, { title: "Pressure at the first reading's temperature", file: "leak-down" });
    this.chart.show(null);
  }

  show(answer) {
    this.#answer = answer;
    this.redraw();
  }

  redraw() {
    if (!this.#answer) return;
    if (this.#answer.ingress) this.#rides(this.#answer);
    else this.#leaks(this.#answer);
  }

  #leaks({ chambers, path, warnings, name }) {
    const unit = units.symbol("pressure");
    const rows = chambers.map((leak) => element("tr", {}, element("th", { scope: "row" }, named(leak.chamber)), ...[change(leak.rate_Pa_s * DAY_S), `${change(leak.low_Pa_s * DAY_S)} to ${change(leak.high_Pa_s * DAY_S)}`].map((text) => element("td", { class: "figures" }, text)), element("td", {}, when(leak))));
    this.words.replaceChildren(element("p", { class: "verdict" }, (path?.sentences ?? ["Which way the gas went needs the unit's volumes."]).join(" ")),
      table(["Chamber", `Lost, ${unit} a day`, `${Math.round(100 * chambers[0].level)} % interval`, "Half gone after"], rows, { caption: `Leak rates of ${name}` }),
      element("ul", { class: "warnings" }, [...warnings, ...chambers.flatMap((leak) => leak.warnings.map((words) => `${named(leak.chamber)}: ${words}`)),
        "Let the air out before any seal is touched; a chamber that leaked into the lower leg may hold pressure where none is expected. The maker's manual comes first."].map((words) => element("li", {}, words))));
    const hours = (leak) => leak.time_s.map((time) => time / HOUR_S);
    const since = (leak, list) => list.map((value) => value - leak.start_Pa);
    this.chart.show(() => ({
      traces: chambers.flatMap((leak, place) => [dotTrace(`${named(leak.chamber)}, read`, place, hours(leak), since(leak, leak.corrected_Pa), { y: "pressure" }, { marker: { size: 6 } }), lineTrace(`${named(leak.chamber)}, fitted`, place, hours(leak), since(leak, leak.predicted_Pa), { y: "pressure" })]),
      x: { title: "Hours" }, y: { title: units.titled("Change since the start", "pressure") }, legend: chambers.map((leak, place) => [lineSample(place), named(leak.chamber)]),
      columns: chambers.flatMap((leak) => [{ head: `Hours, ${named(leak.chamber)}`, values: hours(leak).map((value) => value.toFixed(3)) }, column("read", "pressure", since(leak, leak.corrected_Pa)), column("fitted", "pressure", since(leak, leak.predicted_Pa))]),
    }));
  }

  #rides({ ingress: found, warnings, name }) {
    const unit = units.symbol("pressure");
    const until = found.rides_to_limit === null ? "No gain can be shown yet." : `Open the vent ports after about ${Math.floor(found.rides_to_limit)} rides (${units.text("pressure", 20_000)} in the leg), or as the maker's manual says.`;
    this.words.replaceChildren(element("p", { class: "verdict" }, `The lower legs gain ${change(found.per_ride_Pa)} ${unit} a ride (${change(found.low_Pa)} to ${change(found.high_Pa)}). ${until}`),
      element("p", { class: "quiet" }, `${name}. Air drawn in a ride: ${found.air_per_ride_m3 ? units.text("volume", found.air_per_ride_m3, 1) : "needs the leg's volume"}.`), warnings.length ? element("ul", { class: "warnings" }, warnings.map((words) => element("li", {}, words))) : "");
    this.chart.show(() => ({
      traces: [dotTrace("read", 0, found.rides, found.gauge_Pa, { y: "pressure" }, { marker: { size: 8 } }), lineTrace("fitted", 1, found.rides, found.predicted_Pa, { y: "pressure" })],
      x: { title: "Rides since the ports were opened" }, y: { title: units.titled("Gauge pressure in the lower leg", "pressure") }, legend: [[dotSample(0), "read"], [lineSample(1), "fitted"]],
      columns: [{ head: "Rides", values: found.rides.map(String) }, column("read", "pressure", found.gauge_Pa), column("fitted", "pressure", found.predicted_Pa)],
    }));
  }
}

function when(leak) {
  if (leak.shown && leak.half_life_s !== null) return `${Number((leak.half_life_s / DAY_S).toPrecision(3))} days`;
  return leak.high_Pa_s < 0 ? "gains gas" : "no leak can be shown";
}
