// A drawing made by the server, named by a key. The server leaves out what the page has by now; since a second question
// may be on its way before the first is drawn, the last few drawings are kept.
import * as units from "./units.js";

const KEPT = 4;

// How the readings in a drawing are written: the browser's pressure unit.
export const readingUnit = () => ({ symbol: units.symbol("pressure"), pascal: units.fromUnit("pressure", 1), digits: units.decimals("pressure") });

export class DrawnFigure {
  #kept = new Map();
  key = null;

  constructor(holder) {
    this.holder = holder;
  }

  get svg() {
    return this.holder.querySelector("svg");
  }

  // Take `{key, svg}`, svg null where the page has it; true when another drawing stands there now.
  show({ key, svg }) {
    if (svg) {
      this.#kept.delete(key);
      this.#kept.set(key, svg);
      if (this.#kept.size > KEPT) this.#kept.delete(this.#kept.keys().next().value);
    }
    if (key === this.key || !this.#kept.has(key)) return false;
    this.holder.innerHTML = this.#kept.get(key);
    this.key = key;
    return true;
  }

  clear() {
    this.holder.replaceChildren();
    this.key = null;
  }
}
