// A fold of the Fork page: the set-up card, the pressures by temperature and the cut-away, as files to take along.
import { byId, fileName, listWords, offerSent, write } from "./dom.js";
import { once } from "./link.js";
import * as store from "./store.js";
import { TextFields } from "./text-fields.js";
import * as units from "./units.js";

const KEPT = "papers";
const FIELDS = [
  { name: "owner", label: "Whose it is", longest: 80 },
  { name: "bike_name", label: "The bike, in words", longest: 80 },
  { name: "shop", label: "Set by", longest: 80 },
  { name: "date", label: "Set on", longest: 80 },
  { name: "job", label: "Job", longest: 80 },
  { name: "temperatures", label: "Temperatures of the table", empty: "-10 °C to 40 °C", longest: 200 },
  { name: "altitudes", label: "Altitudes of the table", empty: "0 m to 3000 m", longest: 200 },
].map((field) => ({ usual: "", ...field }));
const CHOICES = { paper: "a5", leg: "spring" };

export class PapersFold {
  // `unit()` is the unit on its day; `shown()` its name and the travel (m) its drawing stands at.
  constructor(unit, shown) {
    Object.assign(this, { unit, shown });
    this.fields = new TextFields(byId("papers-fields"), "papers", FIELDS, { read: (name) => this.#kept[name], typed: (name, text) => this.#keep(name, text) });
    this.services = byId("papers-services");
    this.services.addEventListener("change", () => this.#keep("services", this.services.value));
    for (const name of Object.keys(CHOICES)) byId(`papers-${name}`).addEventListener("change", (event) => this.#keep(name, event.target.value));
    byId("papers-card").addEventListener("click", () => this.#write("/api/fork/card", this.#card()));
    byId("papers-pressures").addEventListener("click", () => this.#write("/api/fork/pressures", this.#tables()));
    byId("papers-cutaway").addEventListener("click", () => this.#write("/api/fork/cutaway", { ...this.#one(), travel: `${(this.shown().travel * 1000).toFixed(4)} mm`, leg: this.#choice("leg") }));
    this.changed();
  }

  // Another page or tab may have changed what is kept.
  changed() {
    this.fields.show();
    if (document.activeElement !== this.services) this.services.value = this.#kept.services ?? "";
    for (const name of Object.keys(CHOICES)) for (const radio of byId(`papers-${name}`).querySelectorAll("input")) radio.checked = radio.value === this.#choice(name);
  }

  // A shock is drawn whole.
  showKind(shock) {
    byId("papers-leg").hidden = shock;
  }

  get #kept() { return store.view(KEPT, {}); }
  #keep(name, text) { store.setView(KEPT, { ...this.#kept, [name]: text }); }
  #choice(name) { return this.#kept[name] ?? CHOICES[name]; }
  #one() { return { ...this.unit(), units: units.chosenUnits() }; }
  #tables() { return { ...this.#one(), temperatures: this.fields.text("temperatures"), altitudes: this.fields.text("altitudes") }; }

  #card() {
    const words = Object.fromEntries(["owner", "bike_name", "shop", "date", "job"].map((name) => [name, this.fields.text(name)]));
    const services = (this.#kept.services ?? "").split("\n").map((line) => line.trim()).filter(Boolean);
    return { ...this.#tables(), ...words, services, paper: this.#choice("paper"), rider: store.asked("rider"), bike: store.asked("bike") };
  }

  async #write(path, question) {
    const buttons = byId("papers").querySelectorAll("button");
    this.#tell(null, "Writing it …", []);
    for (const button of buttons) button.disabled = true;
    try {
      const sent = await once("POST", path, question);
      const name = [fileName(this.shown().name, ""), sent.name].filter(Boolean).join("-");
      offerSent(sent, name);
      this.#tell(null, `Written: ${name}`, sent.warnings);
    } catch (error) {
      this.#tell(error, "", []);
    } finally {
      for (const button of buttons) button.disabled = false;
    }
  }

  #tell(error, said, warnings) {
    const fault = byId("papers-fault");
    const placed = this.fields.tell(error);
    fault.hidden = !error || placed;
    write(fault, error?.body ? error.message : error ? "The server does not answer. What you typed is kept; try again." : "");
    write(byId("papers-said"), said);
    listWords(byId("papers-warnings"), warnings);
  }
}
