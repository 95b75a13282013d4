// What the four pages share: a form kept in this browser, a job with its bar, words, warnings, and staleness.
import { byId, element, listWords } from "../dom.js";
import { JobBar } from "../job-watch.js";
import { keep, recall } from "../keep.js";
import * as store from "../store.js";
import * as units from "../units.js";

export class Form {
  constructor(name, begin) {
    this.key = `forkwright.tune.${name}`;
    this.state = { ...begin, ...recall(this.key, {}) };
  }

  set(entries) {
    Object.assign(this.state, entries);
    keep(this.key, this.state);
  }

  // Tie a field or a tick of the page to an entry.
  tie(id, entry) {
    const field = byId(id);
    const tick = field.type === "checkbox";
    if (tick) field.checked = this.state[entry];
    else field.value = this.state[entry];
    field.addEventListener(tick ? "change" : "input", () => this.set({ [entry]: tick ? field.checked : field.value }));
  }
}

// `question()` is what is asked now; `show(answer, question)` draws an answer; `day` are the day's fields, where a page
// has them.
export class Asking {
  constructor(name, path, question, show, day = null) {
    Object.assign(this, { path, question, show, day, answer: null, asked: null });
    const go = byId("go");
    this.bar = new JobBar(byId("job"), name, {
      found: (answer, asked) => this.#found(answer, asked),
      failed: (error) => this.#fault(error),
      changed: (busy) => {
        if (busy && !go.disabled) document.querySelector(".tune-words").scrollIntoView({ block: "nearest" });
        go.disabled = busy;
      },
    });
    byId("ask").addEventListener("submit", (event) => {
      event.preventDefault();
      this.ask();
    });
    store.onDraft((cause) => {
      if (cause === "elsewhere") day?.show();
      this.#age();
    });
    byId("ask").addEventListener("input", () => setTimeout(() => this.#age()));
    byId("ask").addEventListener("change", () => setTimeout(() => this.#age()));
    units.onUnits(() => this.#age());
  }

  ask() {
    this.#fault(null);
    return this.bar.ask(this.path, this.question());
  }

  resume() {
    return this.bar.resume();
  }

  #found(answer, asked) {
    Object.assign(this, { answer, asked: JSON.stringify(asked) });
    this.#fault(null);
    byId("nothing-yet").hidden = true;
    document.querySelector(".tune-page").classList.add("has-answer");
    const [first, ...others] = answer.sentences;
    byId("first-sentence").textContent = first ?? "";
    byId("sentences").replaceChildren(...others.map((words) => element("li", {}, words)));
    listWords(byId("tune-warnings"), answer.warnings);
    this.show(answer, asked);
    this.#age();
  }

  // An answer to an older question says so.
  #age() {
    if (!this.answer) return;
    const old = JSON.stringify(this.question()) !== this.asked;
    byId("stale").textContent = old ? "Something has changed since: work it out again." : "";
    document.querySelector(".tune-page").classList.toggle("is-stale", old);
  }

  #fault(error) {
    const place = byId("tune-fault");
    place.textContent = error?.message ?? "";
    place.hidden = !error;
    this.day?.tell(error);
  }
}

export const people = () => ({ rider: store.asked("rider"), bike: store.asked("bike") });
export function sayPeople() {
  byId("people").replaceChildren(`For ${store.sheetOf("rider").name} on ${store.sheetOf("bike").name}; both are changed on the `, element("a", { href: "/fork" }, "Fork page"), ".");
}

// Give a unit a setting that was found for it, `unit` as it was asked about; undo takes it back. Another unit that
// has come to stand in its place since is left alone.
export function takeButton(words, owner, edits, unit, main = false) {
  const said = element("span", { class: "quiet", role: "status" });
  const button = element("button", { type: "button", class: main ? "main-button" : "plain", disabled: !edits || Object.keys(edits).length === 0, onclick: () => {
    if (store.asked(owner()).toml !== unit.toml) {
      said.textContent = "This was found for another unit than the one that stands here now: work it out again.";
      return;
    }
    store.change(owner(), edits);
    said.textContent = "Set on the bench; Undo takes it back.";
  } }, words);
  return element("span", { class: "row" }, button, said);
}

export const number = (text) => (String(text).trim() === "" ? 0 : Number.isFinite(Number(String(text).replace(",", "."))) ? Number(String(text).replace(",", ".")) : text);

export function table(heads, rows, { caption, kind = "figures-table" }) {
  return element("div", { class: "behind", tabindex: "0", role: "region", "aria-label": caption }, element("table", { class: kind }, element("caption", { class: "word-hidden" }, caption),
    element("thead", {}, element("tr", {}, heads.map((head) => element("th", { scope: "col" }, head)))), element("tbody", {}, rows)));
}
