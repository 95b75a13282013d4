// A shock's damper as the rear wheel feels it, at one place of the wheel's travel.
import { Chart } from "./chart.js";
import { element } from "./dom.js";
import * as store from "./store.js";
import * as units from "./units.js";

export class WheelDamping {
  #full = 0;

  // `asked()` is called when another place is chosen.
  constructor(holder, asked) {
    this.holder = holder;
    const place = element("div");
    this.slider = element("input", { type: "range", id: "wheel-place", min: "0", max: "1", step: "0.01", value: this.share });
    this.read = element("output", { for: "wheel-place" });
    this.ratioTold = element("p", { class: "quiet" });
    this.missing = element("p", { class: "quiet", hidden: true }, "The bike has no leverage curve, so the wheel's side cannot be shown: give it one on the ", element("a", { href: "/fork" }, "Fork page"), ".");
    this.parts = element("div", {}, place, element("div", { class: "travel" }, element("label", { for: "wheel-place", class: "quiet" }, "Wheel travel"), this.slider, this.read), this.ratioTold);
    holder.append(this.missing, this.parts);
    this.chart = new Chart(place, { title: "Damping force at the wheel", x: { kind: "speed", label: "Vertical wheel speed" }, y: { kind: "force", label: "Vertical force" }, file: "wheel-damping" });
    this.slider.addEventListener("input", () => {
      store.setView("wheel-place", Number(this.slider.value));
      this.#tell();
      asked();
    });
    units.onUnits(() => this.#tell());
  }

  get share() {
    return store.view("wheel-place", 0.3);
  }

  show(wheel, kind) {
    this.holder.hidden = kind !== "shock";
    this.missing.hidden = Boolean(wheel);
    this.parts.hidden = !wheel;
    if (!wheel) return;
    this.#full = wheel.wheel_travel_full_m;
    this.ratio = wheel.leverage_ratio;
    this.#tell();
    this.chart.show([{ name: "Damping force at the wheel", x: wheel.wheel_speed_m_s, y: wheel.wheel_damping_N, place: 0 }]);
  }

  #tell() {
    this.slider.value = this.share;
    this.read.textContent = units.text("length", this.share * this.#full);
    this.ratioTold.textContent = this.ratio ? `Leverage ratio there: ${this.ratio.toFixed(2)}. Speeds grow by it on the way to the wheel, forces shrink by it.` : "";
    this.slider.setAttribute("aria-valuetext", this.read.textContent);
  }
}
