// What is held: a slope, a change of speed, the rider's place, and who brakes. Each slider reads out in its own words.
import { element } from "../dom.js";
import * as units from "../units.js";

const signed = (value, text) => `${value > 0 ? "+" : value < 0 ? "−" : ""}${text}`;
const HELD = {
  gradient: { label: "Slope", least: -0.5, most: 0.5, step: 0.01, say: (value) => (value === 0 ? "level" : `${Math.abs(Math.round(100 * value))} % ${value > 0 ? "uphill" : "downhill"}`) },
  speed_change_m_s2: { label: "Change of speed", least: -8, most: 4, step: 0.1, say: (value) => (value === 0 ? "steady" : `${value < 0 ? "braking" : "gaining"} ${Math.abs(value).toFixed(1)} m/s²`) },
  rider_shift_m: { label: "Rider ahead of the usual place", least: -0.3, most: 0.3, step: 0.01, say: (value) => signed(value, units.text("length", Math.abs(value))) },
  front_brake_percent: { label: "Front brake's share of braking", least: 0, most: 100, step: 5, say: (value) => `${value} %` },
};
export const AS_USUAL = { gradient: 0, speed_change_m_s2: 0, rider_shift_m: 0 };

export class HoldSliders {
  #rows = new Map();

  // `form` keeps what is set; `changed()` is called after every move.
  constructor(holder, form, changed) {
    Object.assign(this, { form, changed });
    holder.replaceChildren(...Object.entries(HELD).map(([name, held]) => this.#row(name, held)));
    units.onUnits(() => this.refresh());
    this.refresh();
  }

  refresh() {
    for (const [name, { slider, read }] of this.#rows) {
      const value = this.form.state[name];
      slider.value = value;
      read.textContent = HELD[name].say(value);
      slider.setAttribute("aria-valuetext", read.textContent);
    }
  }

  #row(name, { label, least, most, step }) {
    const id = `hold-${name}`;
    const slider = element("input", { type: "range", id, min: least, max: most, step });
    const read = element("output", { for: id });
    const set = (value) => {
      this.form.set({ [name]: Number(Math.min(most, Math.max(least, value)).toFixed(3)) });
      this.refresh();
      this.changed();
    };
    const nudge = (sign, word) => element("button", { type: "button", class: "plain nudge", tabindex: "-1", "aria-label": `${label}: one step ${word}`, onclick: () => set(this.form.state[name] + sign * step) }, sign < 0 ? "−" : "+");
    slider.addEventListener("keydown", (event) => {
      const steps = { PageUp: 10, PageDown: -10 }[event.key];
      if (steps === undefined) return;
      event.preventDefault();
      set(this.form.state[name] + steps * step);
    });
    slider.addEventListener("input", () => set(Number(slider.value)));
    this.#rows.set(name, { slider, read });
    return element("div", { class: "adjuster" }, element("label", { for: id }, label), read, element("div", { class: "slide" }, nudge(-1, "less"), slider, nudge(1, "more")));
  }
}
