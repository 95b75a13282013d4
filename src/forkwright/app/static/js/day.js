// The day: how warm the gas is and how high one stands, now and when the chambers were filled. It holds for every unit
// on this browser's bench.
import { element, write } from "./dom.js";
import * as store from "./store.js";
import { TextFields } from "./text-fields.js";

const USUAL = { temperature: "20 °C", fill_temperature: "20 °C", altitude: "0 m", fill_altitude: "0 m" };
const NAMES = { temperature: "Gas temperature now", fill_temperature: "Gas temperature when filled", altitude: "Altitude now", fill_altitude: "Altitude where it was filled" };

export const dayNow = () => ({ ...USUAL, ...store.view("day", {}) });
export const usualDay = () => Object.entries(USUAL).every(([name, text]) => dayNow()[name] === text);

export class DayFields {
  // `changed()` is called when another day is typed.
  constructor(holder, placed, changed) {
    this.changed = changed;
    this.title = element("summary", {});
    const fields = element("div", { class: "day-fields" });
    this.fields = new TextFields(fields, `${placed}-day`, Object.entries(NAMES).map(([name, label]) => ({ name, label, usual: USUAL[name] })),
      { read: (name) => dayNow()[name], typed: (name, text) => this.#set({ ...dayNow(), [name]: text }) });
    holder.replaceChildren(element("details", { class: "day" }, this.title, fields, element("button", { type: "button", class: "plain", onclick: () => this.#set(USUAL) }, "Usual day")));
    this.show();
  }

  #set(day) {
    store.setView("day", day);
    this.show();
    this.changed();
  }

  // Show the day that is kept; another tab or page may have changed it.
  show() {
    const day = dayNow();
    this.fields.show();
    const filled = day.temperature === day.fill_temperature && day.altitude === day.fill_altitude ? "" : `, filled at ${day.fill_temperature} and ${day.fill_altitude}`;
    write(this.title, `Day: ${day.temperature}, ${day.altitude}${filled}`);
  }

  // Say that a field is wrong, or with null that none is; whether it was one of these.
  tell(error) {
    return this.fields.tell(error);
  }
}
