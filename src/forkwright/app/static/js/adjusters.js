// The sliders: everything that can be pumped, turned or swapped. A slider writes text with a unit into the draft,
// the same text one would type behind an option of the command line.
import { element, write } from "./dom.js";
import * as store from "./store.js";
import * as units from "./units.js";

// What one key press or one tap on − and + changes, in each unit.
const STEPS = { psi: 1, bar: 0.1, kPa: 5, mm: 1, in: 0.05 };
let gestures = 0;

const whole = (adjuster) => adjuster.kind === "count" || adjuster.kind === "clicks";
const stepOf = (adjuster) => (whole(adjuster) ? 1 : STEPS[units.symbol(adjuster.kind)] ?? 1);
const toSlider = (adjuster, value) => (whole(adjuster) ? value : units.toUnit(adjuster.kind, value));
const digitsOf = (step) => (step >= 1 ? 0 : Math.ceil(-Math.log10(step)));

export function valueText(adjuster, value) {
  if (adjuster.kind === "count") return String(value);
  if (adjuster.kind === "clicks") return value === 1 ? "1 click" : `${value} clicks`;
  return units.text(adjuster.kind, value);
}

export class Adjusters {
  #rows = new Map();
  #shape = "";

  // `placed` names where it stands, for ids; `owner` returns the fork whose draft is changed, `change` changes it.
  constructor(holder, placed, owner, change = store.change) {
    Object.assign(this, { holder, placed, owner, change });
    this.adjusters = [];
    units.onUnits(() => this.show(this.adjusters));
  }

  show(adjusters) {
    this.adjusters = adjusters;
    const shape = JSON.stringify(adjusters.map(({ path, label, kind, low, high }) => [path, label, kind, low, high]));
    if (shape !== this.#shape) this.#build(adjusters);
    this.#shape = shape;
    for (const adjuster of adjusters) this.#refresh(adjuster);
  }

  #build(adjusters) {
    this.#rows.clear();
    this.holder.replaceChildren(...adjusters.map((adjuster) => this.#row(adjuster)));
  }

  #row(adjuster) {
    const id = `${this.placed}-${adjuster.path.replaceAll(".", "-")}`;
    const slider = element("input", { type: "range", id });
    const read = element("output", { for: id });
    const nudge = (sign, sized) => this.#nudge(adjuster.path, sign * sized);
    const button = (sign, word) => element("button", {
      type: "button", class: "plain nudge", tabindex: "-1", "aria-label": `${adjuster.label}: one step ${word}`, onclick: () => nudge(sign, 1),
    }, sign < 0 ? "−" : "+");
    slider.addEventListener("pointerdown", () => { this.gesture = `drag-${Date.now()}-${gestures += 1}`; });
    slider.addEventListener("keydown", (event) => {
      const jumps = { PageUp: 10, PageDown: -10 };
      if (event.key in jumps) {
        event.preventDefault();
        nudge(Math.sign(jumps[event.key]), 10);
      } else this.gesture = null;
    });
    slider.addEventListener("input", () => this.#set(adjuster.path, Number(slider.value), this.gesture));
    slider.addEventListener("change", () => { this.gesture = null; });
    this.#rows.set(adjuster.path, { slider, read });
    return element("div", { class: "adjuster" },
      element("label", { for: id }, adjuster.label), read,
      element("div", { class: "slide" }, button(-1, "less"), slider, button(1, "more")));
  }

  #refresh(adjuster) {
    const { slider, read } = this.#rows.get(adjuster.path);
    const step = stepOf(adjuster);
    slider.min = toSlider(adjuster, adjuster.low);
    slider.max = toSlider(adjuster, adjuster.high) + 1e-9;
    slider.step = step;
    // While a finger holds the slider its own position is the truth; the answer may be one step behind.
    if (this.gesture == null) slider.value = toSlider(adjuster, adjuster.value);
    write(read, valueText(adjuster, adjuster.value));
    slider.setAttribute("aria-valuetext", adjuster.kind === "clicks" ? `${read.textContent} from closed` : read.textContent);
  }

  #set(path, number, gesture) {
    const adjuster = this.adjusters.find((one) => one.path === path);
    const step = stepOf(adjuster);
    const limited = Math.min(Math.max(number, toSlider(adjuster, adjuster.low)), toSlider(adjuster, adjuster.high));
    const digits = digitsOf(step);
    let value = Number(limited.toFixed(digits));
    if (value > limited) value = Number((limited - step / 2).toFixed(digits));
    adjuster.value = whole(adjuster) ? value : units.fromUnit(adjuster.kind, value);
    this.#refresh(adjuster);
    const entry = whole(adjuster) ? value : `${value} ${units.symbol(adjuster.kind)}`;
    this.change(this.owner(), { [path]: entry }, gesture);
  }

  #nudge(path, steps) {
    const adjuster = this.adjusters.find((one) => one.path === path);
    const step = stepOf(adjuster);
    const from = Math.round((toSlider(adjuster, adjuster.value) / step) * 1e6) / 1e6;
    const on = steps > 0 ? Math.floor(from) : Math.ceil(from);
    this.gesture = null;
    this.#set(path, (on + steps) * step, null);
  }
}
