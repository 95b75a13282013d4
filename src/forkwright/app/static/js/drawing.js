// The cut-away: drawn by the server, moved here from the computed positions, by the slider or by dragging it.
import { element, write } from "./dom.js";
import { DrawnFigure, readingUnit } from "./drawn-figure.js";
import * as store from "./store.js";
import * as units from "./units.js";

const KEY_STEPS = { ArrowUp: 1, ArrowRight: 1, ArrowDown: -1, ArrowLeft: -1, PageUp: 10, PageDown: -10 };

export class Drawing {
  #motion = null;
  #frame = 0;

  // `moved(travel_m)` is told every new travel. `remembered` is where the travel is kept between visits.
  constructor(holder, moved = () => {}, remembered = "travel") {
    Object.assign(this, { holder, moved, remembered });
    this.share = store.view(remembered, 0);
    this.figure = element("div", { class: "figure" });
    this.drawn = new DrawnFigure(this.figure);
    this.slider = element("input", { type: "range", min: "0", max: "1", step: "0.001", "aria-label": "Travel" });
    this.read = element("output", { class: "travel-read" });
    holder.replaceChildren(this.figure, element("div", { class: "travel" }, element("span", { class: "quiet" }, "Travel"), this.slider, this.read));
    this.slider.addEventListener("input", () => this.moveTo(Number(this.slider.value) * this.full));
    this.slider.addEventListener("keydown", (event) => this.#keys(event));
    this.figure.addEventListener("pointerdown", (event) => this.#grab(event));
    units.onUnits(() => this.#motion && this.moveTo(this.travel));
  }

  get key() { return this.drawn.key; }
  get full() { return this.#motion ? this.#motion.travel_mm.at(-1) / 1000 : 0; }
  get travel() { return this.share * this.full; }

  // Take the answer of the server: positions always, the drawing itself only when it has changed.
  show({ key, svg, motion }) {
    this.#motion = motion;
    if (this.drawn.show({ key, svg })) this.svg = this.drawn.svg;
    this.#render();
  }

  // Move to a travel in metres; drawn with the next frame, however often it is called before.
  moveTo(travel, keep = true) {
    if (!this.full) return; // nothing is drawn yet, so there is nothing to move
    this.share = Math.min(Math.max(travel / this.full, 0), 1);
    if (keep) store.setView(this.remembered, this.share);
    this.#frame ||= requestAnimationFrame(() => {
      this.#frame = 0;
      this.#render();
    });
  }

  #render() {
    if (!this.svg || !this.#motion) return;
    window.forkwrightCutaway.show(this.svg, { ...this.#motion, unit: readingUnit() }, this.travel * 1000);
    this.slider.value = this.share;
    write(this.read, units.text("length", this.travel));
    this.slider.setAttribute("aria-valuetext", `${this.read.textContent} of ${units.text("length", this.full)}`);
    this.moved(this.travel);
  }

  #keys(event) {
    const steps = event.key === "Home" ? -Infinity : event.key === "End" ? Infinity : KEY_STEPS[event.key];
    if (steps === undefined || event.altKey) return;
    event.preventDefault();
    this.moveTo(Number.isFinite(steps) ? this.travel + steps / 1000 : steps > 0 ? this.full : 0);
  }

  // Drag the lower legs: one millimetre on the drawing is one millimetre of travel.
  #grab(event) {
    if (!this.svg || event.button !== 0) return;
    const scale = this.svg.viewBox.baseVal.height / this.svg.getBoundingClientRect().height / 1000;
    const from = { y: event.clientY, travel: this.travel };
    const follow = (move) => this.moveTo(from.travel + (from.y - move.clientY) * scale);
    const release = () => {
      this.figure.removeEventListener("pointermove", follow);
      this.figure.classList.remove("held");
    };
    this.figure.setPointerCapture(event.pointerId);
    this.figure.classList.add("held");
    this.figure.addEventListener("pointermove", follow);
    this.figure.addEventListener("pointerup", release, { once: true });
    this.figure.addEventListener("pointercancel", release, { once: true });
  }
}
