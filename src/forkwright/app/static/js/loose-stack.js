// A fold of the Damper page: a shim stack from a file of its own, against pressure and drawn under one. What was opened is
// kept in this browser until it is put away.
import { Chart } from "./chart.js";
import { byId, fileName, listWords, offerFile, write } from "./dom.js";
import { JobBar } from "./job-watch.js";
import { NumberTable } from "./number-table.js";
import * as store from "./store.js";
import { TextFields } from "./text-fields.js";
import * as units from "./units.js";

const PRESSURE = { kind: "pressure", label: "Pressure across the stack" };
const FIELDS = [{ name: "pressures", label: "Pressures, separated by commas", usual: "", empty: "0 to 20 bar", longest: 1000 }, { name: "pressure", label: "Drawn under", usual: "10 bar" }];
const KEPT = "loose-stack";
const kept = () => store.view(KEPT, {});

export class LooseStack {
  #answer = null;
  #asked = "";

  constructor() {
    this.fold = byId("loose-stack");
    this.opening = new Chart(byId("chart-loose-opening"), { title: "Opening of the stack from the file", x: PRESSURE, y: { kind: "length", label: "Opening", extra: 3 }, file: "loose-stack-opening" });
    this.stress = new Chart(byId("chart-loose-stress"), { title: "Peak stress of the stack from the file", x: PRESSURE, y: { kind: "stress", label: "Peak stress" }, file: "loose-stack-stress" });
    this.table = new NumberTable(byId("loose-table"), "The stack from the file", "loose-stack");
    this.bar = new JobBar(byId("loose-job"), "loose-stack", { found: (answer) => this.#show(answer), failed: (error) => this.#refused(error), kept: () => null });
    this.fields = new TextFields(byId("loose-fields"), "loose", FIELDS, { read: (name) => kept()[name], typed: (name, text) => this.#keep({ [name]: text }) });
    const stretching = byId("loose-stretching");
    stretching.checked = kept().stiffening ?? false;
    stretching.addEventListener("change", () => this.#keep({ stiffening: stretching.checked }));
    byId("loose-file").addEventListener("change", async (event) => {
      const [file] = event.target.files;
      if (file) this.#keep({ name: file.name.slice(0, 200), toml: await file.text() });
      event.target.value = "";
    });
    byId("loose-away").addEventListener("click", () => this.#keep({ name: null, toml: null }));
    byId("loose-svg").addEventListener("click", () => offerFile(`${fileName(this.#answer.name, "stack")}.svg`, this.#answer.svg, "image/svg+xml"));
    this.fold.addEventListener("toggle", () => this.#ask());
    units.onUnits(() => this.#ask());
    this.#ask();
  }

  #keep(entries) {
    store.setView(KEPT, { ...kept(), ...entries });
    this.#ask();
  }

  // Asked where it is looked at, and not again for the same.
  #ask() {
    const { name, toml, stiffening = false } = kept();
    byId("loose-away").hidden = !toml;
    write(byId("loose-name"), toml ? name : "");
    if (!toml) this.#clear();
    if (!toml || !this.fold.open) return;
    const question = { name, toml, stiffening, pressures: this.fields.text("pressures"), pressure: this.fields.text("pressure"), units: units.chosenUnits() };
    const text = JSON.stringify(question);
    if (text === this.#asked) return;
    this.#asked = text;
    this.bar.ask("/api/damper/loose-stack", question);
  }

  #clear() {
    this.bar.cancel();
    this.#asked = "";
    this.#refused(null);
  }

  // With null nothing is wrong, and nothing is shown.
  #refused(error) {
    byId("loose-found").hidden = true;
    const fault = byId("loose-fault");
    fault.hidden = !error || this.fields.tell(error);
    if (!error) this.fields.tell(null);
    write(fault, error?.message ?? "");
  }

  #show(answer) {
    this.#answer = answer;
    this.#refused(null);
    byId("loose-found").hidden = false;
    byId("loose-drawing").innerHTML = answer.svg; // names in it are escaped where it is drawn
    const { pressure_Pa: x } = answer;
    this.opening.show([{ name: "Opening", x, y: answer.opening_m, place: 0 }]);
    this.stress.show([{ name: "Peak stress", x, y: answer.stress_Pa, place: 1 }]);
    const column = (label, kind, values, extra = 0) => ({ label, kind, values, extra });
    this.table.show([column("Pressure", "pressure", x), column("Opening", "length", answer.opening_m, 3), column("Peak stress", "stress", answer.stress_Pa), column("On the seat", "force", answer.seat_reaction_N)]);
    listWords(byId("loose-warnings"), answer.warnings);
  }
}
