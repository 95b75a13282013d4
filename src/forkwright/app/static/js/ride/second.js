// The second setting: it begins as a copy of the first, has sliders of its own, and leaves the bench alone until it
// is put on it.
import { Adjusters } from "../adjusters.js";
import { byId, element } from "../dom.js";
import * as store from "../store.js";

const settingOnly = (edits) => Object.fromEntries(Object.entries(edits).filter(([path]) => path.startsWith("setting.")));
const partsOnly = (edits) => Object.fromEntries(Object.entries(edits).filter(([path]) => !path.startsWith("setting.")));

export class SecondSetting {
  // `form.state.second` is null, or {fork, edits}: which unit, and its whole setting as changed from the file.
  constructor(form, first, changed) {
    Object.assign(this, { form, first, changed });
    this.tick = byId("second-on");
    this.select = byId("second-fork");
    this.adjusters = new Adjusters(byId("adjusters-b"), "b", () => this.form.state.second?.fork, (_, entries) => this.#change(entries));
    this.tick.addEventListener("change", () => this.#turn(this.tick.checked ? this.#copy(this.first()) : null));
    this.select.addEventListener("change", () => this.#turn(this.#copy(this.select.value)));
    byId("second-copy").addEventListener("click", () => this.#turn(this.#copy(this.first())));
    byId("second-take").addEventListener("click", () => this.#take());
    store.onDraft((cause) => (cause === "rack" || cause === "elsewhere") && this.refresh());
    this.refresh();
  }

  get on() {
    return Boolean(this.form.state.second);
  }

  // What the server is asked: the unit's parts as they are now, with the second setting.
  asked() {
    if (!this.on) return null;
    const { fork, edits } = this.form.state.second;
    const { toml, name, edits: own } = store.sheetOf(fork);
    return { toml, name, edits: { ...partsOnly(own), ...edits } };
  }

  // Make the second setting `entries` of a unit (from the sweep's table).
  give(fork, entries) {
    this.#turn({ fork, edits: entries });
  }

  refresh() {
    const rack = store.rack();
    if (this.on && !rack.some((fork) => fork.id === this.form.state.second.fork)) this.form.set({ second: null });
    this.tick.checked = this.on;
    byId("second-parts").hidden = !this.on;
    this.select.replaceChildren(...rack.map((fork) => element("option", { value: fork.id }, fork.name)));
    if (this.on) this.select.value = this.form.state.second.fork;
  }

  #copy(fork) {
    return { fork, edits: settingOnly(store.sheetOf(fork).edits) };
  }

  #turn(second) {
    this.form.set({ second });
    byId("second-said").textContent = "";
    this.refresh();
    this.changed();
  }

  #change(entries) {
    const { second } = this.form.state;
    this.form.set({ second: { ...second, edits: { ...second.edits, ...entries } } });
    byId("second-said").textContent = "";
    this.changed();
  }

  #take() {
    const { fork, edits } = this.form.state.second;
    const before = settingOnly(store.sheetOf(fork).edits);
    const undone = Object.fromEntries(Object.keys(before).filter((path) => !(path in edits)).map((path) => [path, undefined]));
    store.setView("fork", fork);
    store.change(fork, { ...undone, ...edits });
    byId("second-said").textContent = "Set on the bench; Undo takes it back.";
  }
}
