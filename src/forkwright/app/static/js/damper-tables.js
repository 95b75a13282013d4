// Folds of the Damper page: the numbers at chosen speeds, what one click changes, and how far the shim stacks open.
import { AskedWhenOpen } from "./asked-when-open.js";
import { Chart } from "./chart.js";
import { byId, listWords } from "./dom.js";
import { NumberTable } from "./number-table.js";
import * as store from "./store.js";

const SPEED = { label: "Shaft speed", kind: "speed" };
const PRESSURE = { kind: "pressure", label: "Pressure across the stack" };

export class SpeedTable {
  // `question()` is the page's own, with the bike.
  constructor(question) {
    this.table = new NumberTable(byId("speeds-table"), "The damper at chosen speeds", "damper-at-speeds");
    this.asking = new AskedWhenOpen(byId("at-speeds"), "/api/damper/speeds", () => (this.#text ? { ...question(), speeds: this.#text } : null), (found) => this.#show(found));
    const field = byId("speeds");
    field.value = this.#text;
    field.addEventListener("change", () => {
      store.setView("speeds", field.value.trim());
      this.asking.changed(0);
    });
  }

  changed() {
    this.asking.changed();
  }

  get #text() {
    return store.view("speeds", "");
  }

  #show(found) {
    if (!found) return this.table.show([]);
    const { damping: d, wheel } = found;
    const column = (label, kind, values) => ({ label, kind, values });
    this.table.show([{ ...SPEED, values: d.speed_m_s }, column("Force", "force", d.force_N), column("Compression chamber", "pressure", d.compression_chamber_Pa),
      column("Shaft side", "pressure", d.shaft_chamber_Pa), column("Reservoir", "pressure", d.reservoir_Pa), column("Cavitation margin", "pressure", d.cavitation_margin_Pa),
      ...(wheel ? [column("Vertical wheel speed", "speed", wheel.wheel_speed_m_s), column("Force at the wheel", "force", wheel.wheel_damping_N)] : [])]);
  }
}

export class ClickTable {
  // `names` are the adjusters' own.
  constructor(question, names) {
    this.names = names;
    this.table = new NumberTable(byId("clicks-table"), "What one click changes", "damper-clicks");
    this.asking = new AskedWhenOpen(byId("one-click"), "/api/damper/clicks", question, (found) => this.#show(found), byId("clicks-job"));
  }

  changed() {
    this.asking.changed();
  }

  #show(found) {
    const { effects } = found ?? { effects: [] };
    const words = ({ adjuster, clicks, step }) => `${this.names[adjuster] ?? adjuster}, ${clicks} to ${clicks + step}`;
    this.table.show(effects.length === 0 ? [] : [{ ...SPEED, values: effects[0].speed_m_s },
      ...effects.map((effect) => ({ label: words(effect), kind: "force", values: effect.force_change_N, extra: 1 }))]);
  }
}

export class StackOpenings {
  constructor(question) {
    this.opening = new Chart(byId("chart-opening"), { title: "Opening at the seat", x: PRESSURE, y: { kind: "length", label: "Opening", extra: 3 }, file: "stack-opening" });
    this.stress = new Chart(byId("chart-stress"), { title: "Peak stress of the shims", x: PRESSURE, y: { kind: "stress", label: "Peak stress" }, file: "stack-stress" });
    this.asking = new AskedWhenOpen(byId("openings"), "/api/damper/openings", question, (found) => this.#show(found));
  }

  changed() {
    this.asking.changed();
  }

  #show(found) {
    byId("opening-charts").hidden = !found;
    if (!found) return;
    const lines = (of) => found.stacks.map((stack, place) => ({ name: stack.title, x: stack.pressure_Pa, y: stack[of], place }));
    this.opening.show(lines("opening_m"));
    this.stress.show([...lines("stress_Pa"), ...yieldLines(found.stacks)]);
    listWords(byId("opening-warnings"), found.stacks.flatMap(({ title, warnings }) => warnings.map((words) => `${title}: ${words}`)));
  }
}

// Where a stack comes near its yield stress, that is drawn too.
const NEAR = 0.5;
const yieldLines = (stacks) => stacks.filter((stack) => Math.max(...stack.stress_Pa) > NEAR * stack.yield_stress_Pa).map((stack) => {
  const x = [stack.pressure_Pa[0], stack.pressure_Pa.at(-1)];
  return { name: `Yield stress, ${stack.title}`, x, y: x.map(() => stack.yield_stress_Pa), place: stacks.indexOf(stack), dash: "dot", faint: true };
});
