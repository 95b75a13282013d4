// A shim stack as a list that is put together by dragging, by buttons or by keys. The file's own way of writing a
// shim is kept: text for one, a table where there are several of a size or where it is dished.
import { element } from "./dom.js";
import { DrawnFigure } from "./drawn-figure.js";
import * as store from "./store.js";

const asTable = (shim) => (typeof shim === "string" ? { size: shim, count: 1 } : { count: 1, ...shim });
const asWritten = ({ size, count, ...rest }) =>
  (count === 1 && Object.keys(rest).length === 0 ? size : { size, ...(count === 1 ? {} : { count }), ...rest });

export class StackBuilder {
  constructor(holder, stack, owner) {
    Object.assign(this, { holder, owner, path: stack.path, title: stack.title });
    this.list = element("ol", { class: "stack", "aria-label": `${stack.title}: shims from the valve face to the clamp` });
    this.picture = element("div", { class: "stack-picture" });
    this.drawn = new DrawnFigure(this.picture);
    this.holder.replaceChildren(element("h3", {}, stack.title), element("div", { class: "stack-parts" },
      element("div", {}, this.list, element("button", { type: "button", class: "plain", onclick: () => this.#add() }, "Add a shim")), this.picture));
    this.show(stack.shims);
  }

  show(shims) {
    const written = JSON.stringify(shims);
    if (written === this.written) return;
    this.written = written;
    this.shims = shims.map(asTable);
    this.list.replaceChildren(...this.shims.map((shim, place) => this.#row(shim, place)));
  }

  // The key of the drawing that stands here, for the next question.
  get key() { return this.drawn.key; }

  draw(stack) {
    this.drawn.show(stack);
  }

  #row(shim, place) {
    const name = `${this.title}, shim ${place + 1}`;
    const size = element("input", { type: "text", "aria-label": `${name}: size`, maxlength: "120", spellcheck: "false", value: shim.size });
    const count = element("input", { type: "number", min: "1", max: "100", "aria-label": `${name}: how many`, value: String(shim.count) });
    const { origin: _from, note: _why, ...bare } = shim; // another size is the user's own
    size.addEventListener("change", () => this.#replace(place, { ...bare, size: size.value.trim() }));
    count.addEventListener("change", () => this.#replace(place, { ...shim, count: Math.max(1, Math.round(Number(count.value)) || 1) }));
    const handle = element("button", { type: "button", class: "handle", "aria-label": `${name}: move with Alt and arrow keys` }, "⠿");
    const button = (word, sign, off, how) => element("button", { type: "button", class: "plain nudge", "aria-label": `${name}: ${word}`, disabled: off, onclick: how }, sign);
    const row = element("li", {}, handle, size, element("span", { class: "quiet", "aria-hidden": "true" }, "×"), count,
      element("span", { class: "moves" }, button("towards the valve face", "↑", place === 0, () => this.#move(place, place - 1)),
        button("towards the clamp", "↓", place === this.shims.length - 1, () => this.#move(place, place + 1)),
        button("take out", "✕", this.shims.length === 1, () => this.#takeOut(place))));
    row.addEventListener("keydown", (event) => this.#keys(event, place, event.target === handle));
    handle.addEventListener("pointerdown", (event) => this.#drag(event, row, place));
    return row;
  }

  #keys(event, place, onHandle) {
    if (event.altKey && event.key === "ArrowUp") this.#move(place, place - 1);
    else if (event.altKey && event.key === "ArrowDown") this.#move(place, place + 1);
    else if (onHandle && event.key === "Delete") this.#takeOut(place);
    else return;
    event.preventDefault();
    event.stopPropagation();
  }

  #drag(event, row, place) {
    if (event.button !== 0) return;
    event.preventDefault();
    const handle = event.currentTarget;
    handle.setPointerCapture(event.pointerId);
    row.classList.add("held");
    const placeUnder = (y) => {
      const rows = [...this.list.children];
      const found = rows.findIndex((other) => y < other.getBoundingClientRect().bottom);
      return found < 0 ? rows.length - 1 : found;
    };
    let goal = place;
    const follow = (move) => {
      goal = placeUnder(move.clientY);
      [...this.list.children].forEach((other, at) => other.classList.toggle("goal", at === goal && goal !== place));
    };
    const release = () => {
      handle.removeEventListener("pointermove", follow);
      row.classList.remove("held");
      this.#move(place, goal);
    };
    handle.addEventListener("pointermove", follow);
    handle.addEventListener("pointerup", release, { once: true });
    handle.addEventListener("pointercancel", () => handle.removeEventListener("pointermove", follow), { once: true });
  }

  #move(from, to) {
    if (to < 0 || to >= this.shims.length || from === to) return;
    const shims = [...this.shims];
    shims.splice(to, 0, ...shims.splice(from, 1));
    this.#write(shims);
    this.list.children[to].querySelector(".handle").focus();
  }

  #takeOut(place) {
    if (this.shims.length === 1) return;
    this.#write(this.shims.filter((_, at) => at !== place));
    this.list.children[Math.min(place, this.shims.length - 1)].querySelector(".handle").focus();
  }

  #add() {
    this.#write([...this.shims, { ...this.shims.at(-1), count: 1 }]);
    this.list.lastElementChild.querySelector("input").select();
  }

  #replace(place, shim) {
    this.#write(this.shims.map((other, at) => (at === place ? shim : other)));
  }

  #write(shims) {
    const written = shims.map(asWritten);
    this.show(written);
    store.change(this.owner(), { [this.path]: written });
  }
}
