// A fold of the Fork page: where a unit rests under a load that is stated instead of the rider's, on the spring's curve.
import { AskedWhenOpen } from "./asked-when-open.js";
import { Chart } from "./chart.js";
import { byId, listReadings, listWords } from "./dom.js";
import * as store from "./store.js";
import { TextFields } from "./text-fields.js";
import * as units from "./units.js";

const ALONG = "load";
const AT_WHEEL = "wheel load";
const ACROSS = "side load";
const FIELDS = [{ name: ALONG, label: "Load along its axis", usual: "600 N" }, { name: ACROSS, label: "Force at the axle across it", usual: "0 N" }, { name: AT_WHEEL, label: "Load at the rear wheel instead", usual: "", empty: "along its axis" }];

export class LoadFold {
  #found = null;

  // `question()` is the unit on its day with the bike; `kind()` is "fork" or "shock".
  constructor(question, kind) {
    Object.assign(this, { question, kind });
    this.chart = new Chart(byId("chart-load"), { title: "Force, and where it rests", x: { kind: "length", label: "Travel" }, y: { kind: "force", label: "Force" }, file: "stated-load" });
    this.fields = new TextFields(byId("load-fields"), "rests-under", FIELDS, { read: (name) => store.view(name) ?? undefined, typed: (name, text) => {
      store.setView(name, text);
      this.asking.changed(0);
    } });
    this.asking = new AskedWhenOpen(byId("stated-load"), "/api/fork/sag", () => this.#asked(), (found) => this.#show(found));
  }

  changed() {
    this.#showFields();
    this.asking.changed();
  }

  // Other units of measure: the answer stays.
  refresh() {
    this.#showReadings();
  }

  #showFields() {
    const shock = this.kind() === "shock";
    for (const [name, there] of [[AT_WHEEL, shock], [ACROSS, !shock]]) byId("load-fields").querySelector(`[data-field="${name}"]`).hidden = !there;
  }

  #asked() {
    this.#showFields();
    const shock = this.kind() === "shock";
    const atWheel = shock ? this.fields.text(AT_WHEEL) : "";
    const { bike, ...unit } = this.question();
    return { ...unit, ...(shock ? { bike } : {}), ...(atWheel ? { wheel_load: atWheel } : { load: this.fields.text(ALONG), side_load: shock ? "" : this.fields.text(ACROSS) }) };
  }

  #show(found) {
    this.#found = found;
    byId("chart-load").hidden = !found;
    listWords(byId("load-warnings"), found ? [...new Set([...found.sag.warnings, ...(found.wheel_sag?.warnings ?? [])])] : []);
    this.#showReadings();
    if (!found) return;
    const { travel_m: x, force_N: y, friction_N: friction } = found.spring;
    this.chart.show([{ name: "Force", x, y, place: 0 }, { name: "Pushing in, with friction", x, y: y.map((force, at) => force + friction[at]), place: 3, dash: "dot", faint: true },
      { name: "Coming back", x, y: y.map((force, at) => force - friction[at]), place: 2, dash: "dash", faint: true }], [{ x: found.sag.sag_m, y: found.sag.load_N, name: "Rests", place: 1 }]);
  }

  #showReadings() {
    const rows = [];
    if (this.#found) {
      const { sag, wheel_sag: wheel, spring } = this.#found;
      const share = (value, full) => `${((100 * value) / full).toFixed(0)} %`;
      const between = (low, high) => `${units.figure("length", low)} to ${units.text("length", high)}`;
      rows.push(["Load along its axis", units.text("force", sag.load_N)], ["Rests at", `${units.text("length", sag.sag_m)} (${share(sag.sag_m, spring.travel_m.at(-1))})`], ["Rests anywhere from", between(sag.sag_low_m, sag.sag_high_m)]);
      if (wheel) {
        rows.push(["Load at the wheel", units.text("force", wheel.wheel_load_N)], ["The wheel rests at", `${units.text("length", wheel.wheel_sag_m)} (${share(wheel.wheel_sag_m, wheel.wheel_travel_full_m)})`],
          ["The wheel anywhere from", between(wheel.wheel_sag_low_m, wheel.wheel_sag_high_m)], ["Leverage ratio there", wheel.leverage_ratio.toFixed(2)]);
      }
    }
    listReadings(byId("load-readings"), rows);
  }
}
