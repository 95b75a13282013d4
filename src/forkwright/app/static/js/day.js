// The day: how warm the gas is and how high one stands, now and when the chambers were filled. It holds for every unit
// on this browser's bench.
import { element, write } from "./dom.js";
import * as store from "./store.js";

const USUAL = { temperature: "20 °C", fill_temperature: "20 °C", altitude: "0 m", fill_altitude: "0 m" };
const NAMES = { temperature: "Gas temperature now", fill_temperature: "Gas temperature when filled", altitude: "Altitude now", fill_altitude: "Altitude where it was filled" };

export const dayNow = () => ({ ...USUAL, ...store.view("day", {}) });
export const usualDay = () => Object.entries(USUAL).every(([name, text]) => dayNow()[name] === text);

export class DayFields {
  #inputs = new Map();

  // `changed()` is called when another day is typed.
  constructor(holder, placed, changed) {
    this.changed = changed;
    this.title = element("summary", {});
    this.fault = element("p", { class: "fault", role: "status" });
    holder.replaceChildren(element("details", { class: "day" }, this.title,
      element("div", { class: "day-fields" }, Object.keys(NAMES).map((name) => this.#field(name, `${placed}-day-${name}`))),
      this.fault, element("button", { type: "button", class: "plain", onclick: () => this.#set(USUAL) }, "Usual day")));
    this.show();
  }

  #field(name, id) {
    const input = element("input", { type: "text", id, maxlength: "40", autocomplete: "off", spellcheck: "false" });
    input.addEventListener("change", () => this.#set({ ...dayNow(), [name]: input.value.trim() || USUAL[name] }));
    this.#inputs.set(name, input);
    return element("div", { class: "field" }, element("label", { for: id }, NAMES[name]), input);
  }

  #set(day) {
    store.setView("day", day);
    this.show();
    this.changed();
  }

  // Show the day that is kept; another tab or page may have changed it.
  show() {
    const day = dayNow();
    for (const [name, input] of this.#inputs) if (document.activeElement !== input) input.value = day[name];
    const filled = day.temperature === day.fill_temperature && day.altitude === day.fill_altitude ? "" : `, filled at ${day.fill_temperature} and ${day.fill_altitude}`;
    write(this.title, `Day: ${day.temperature}, ${day.altitude}${filled}`);
  }

  // Say that a field is wrong, or with null that none is; whether it was one of these.
  tell(error) {
    const input = this.#inputs.get(error?.body?.key);
    for (const one of this.#inputs.values()) one.toggleAttribute("aria-invalid", false);
    input?.setAttribute("aria-invalid", "true");
    write(this.fault, input ? error.message : "");
    return Boolean(input);
  }
}
