// Folds of the Fork page: what connecting a pump takes from each chamber, and what the bushings carry over the travel.
import { AskedWhenOpen } from "./asked-when-open.js";
import { Chart } from "./chart.js";
import { byId, listWords } from "./dom.js";
import { NumberTable } from "./number-table.js";
import * as store from "./store.js";
import { TextFields } from "./text-fields.js";

const TRAVEL = { kind: "length", label: "Travel" };
const HOSE = { name: "hose volume", label: "Hose and pump head hold", usual: "10 ml" };
const AXLE = { name: "axle force", label: "Force at the axle, fore-aft", usual: "300 N" };

// One field that is kept in this browser under its name.
function keptField(holder, placed, field, changed) {
  return new TextFields(holder, placed, [field], {
    read: (name) => store.view(name) ?? undefined,
    typed: (name, text) => {
      store.setView(name, text);
      changed();
    },
  });
}

export class PumpFold {
  // `question()` is the unit on its day.
  constructor(question) {
    this.table = new NumberTable(byId("pump-table"), "What connecting a pump takes", "pump");
    const field = keptField(byId("pump-fields"), "pump", HOSE, () => this.asking.changed(0));
    this.asking = new AskedWhenOpen(byId("pump"), "/api/fork/hose", () => ({ ...question(), hose_volume: field.text(HOSE.name) }), (found) => this.#show(found));
  }

  changed() {
    this.asking.changed();
  }

  #show(found) {
    const of = (label, kind, key) => ({ label, kind, values: found.chambers.map((chamber) => chamber[key]) });
    this.table.show(found ? [of("Chamber", null, "chamber"), of("Volume", "volume", "volume_m3"), of("Set to", "pressure", "before_gauge_Pa"),
      of("With the pump on", "pressure", "after_gauge_Pa"), of("To keep it, pump back to", "pressure", "to_keep_gauge_Pa")] : []);
  }
}

export class ChassisFold {
  constructor(question) {
    this.loads = new Chart(byId("chart-bushings"), { title: "Bushing loads and their friction", x: TRAVEL, y: { kind: "force", label: "Force", fromZero: true }, file: "bushings" });
    this.stiffness = new Chart(byId("chart-stiffness"), { title: "Stiffness at the axle", x: TRAVEL, y: { kind: "stiffness", label: "Stiffness", fromZero: true }, file: "chassis-stiffness" });
    const field = keptField(byId("chassis-fields"), "chassis", AXLE, () => this.asking.changed(0));
    this.asking = new AskedWhenOpen(byId("chassis"), "/api/fork/chassis", () => ({ fork: question().fork, axle_force: field.text(AXLE.name) }), (found) => this.#show(found));
  }

  changed() {
    this.asking.changed();
  }

  #show(found) {
    byId("chassis-charts").hidden = !found;
    listWords(byId("chassis-warnings"), found?.warnings ?? []);
    if (!found) return;
    const x = found.travel_m;
    this.loads.show([{ name: "Lower bushings", x, y: found.lower_bushings_N, place: 0 }, { name: "Upper bushings", x, y: found.upper_bushings_N, place: 1 },
      { name: "Friction of both", x, y: found.friction_N, place: 2 }]);
    this.stiffness.show([{ name: "Stiffness at the axle", x, y: found.axle_stiffness_N_m, place: 0 }]);
  }
}
