// Choosing one unit of a kind: a fork for the front, a shock for the rear.
import { element } from "../dom.js";
import * as store from "../store.js";

export class KindRack {
  // `place` names what is chosen here; `kind` is "fork" or "shock".
  constructor(holder, place, kind, label) {
    Object.assign(this, { place, kind });
    this.select = element("select", { "aria-label": label });
    this.none = element("p", { class: "quiet", hidden: true }, `No ${kind} on the rack: import one on the `, element("a", { href: "/fork" }, "Fork page"), ".");
    this.select.addEventListener("change", () => store.setView(place, this.select.value));
    holder.replaceChildren(this.select, this.none);
    store.onDraft((cause) => cause !== "change" && this.refresh());
    this.refresh();
  }

  // The one that is chosen, or null where there is none of its kind.
  get chosen() {
    const there = this.#all();
    return (there.find((unit) => unit.id === store.view(this.place)) ?? there[0])?.id ?? null;
  }

  refresh() {
    const there = this.#all();
    this.select.replaceChildren(...there.map((unit) => element("option", { value: unit.id }, unit.name)));
    this.select.hidden = there.length === 0;
    this.none.hidden = there.length > 0;
    if (there.length) this.select.value = this.chosen;
  }

  #all() {
    return store.rack().filter((unit) => store.kindOf(unit) === this.kind);
  }
}
