// The form of a file's measured parts, as the server describes it. A field is checked while one types and taken
// into the draft when one leaves it; fields that are being typed in are never overwritten.
import { element } from "./dom.js";
import { Latest } from "./link.js";
import * as store from "./store.js";

const ORIGINS = ["measured", "assumed", "fitted"];

export class PartsForm {
  #shape = "";
  #inputs = new Map();
  #open = new Set(["", "air_spring", "coil_spring"]);

  // Sections named in `elsewhere` have a place of their own on the page.
  constructor(holder, placed, owner, elsewhere = []) {
    Object.assign(this, { holder, placed, owner, elsewhere });
    this.check = new Latest("/api/form", (answer) => this.#show(answer), (error) => this.#refused(error));
  }

  refresh() {
    this.check.ask({ draft: store.asked(this.owner()) });
  }

  #tryOut(path, value) {
    const draft = store.asked(this.owner());
    const edits = { ...draft.edits };
    if (value === undefined) delete edits[path];
    else edits[path] = value;
    this.check.ask({ draft: { ...draft, edits } });
  }

  #show({ sections: all, problems }) {
    const sections = all.filter((section) => !this.elsewhere.includes(section.path));
    const shape = JSON.stringify([this.owner(), sections.map((section) => [section.path, section.present, section.fields.map((field) => field.path)])]);
    if (shape !== this.#shape) this.#build(sections);
    this.#shape = shape;
    const faults = new Map(problems.map((problem) => [problem.key ?? "", problem]));
    for (const section of sections.filter((one) => one.present)) for (const field of section.fields) this.#fill(field, faults);
    this.#general([...faults.values()].filter((problem) => !this.#inputs.has(problem.key)));
  }

  #refused(error) {
    this.#general([error.body]);
  }

  #general(problems) {
    this.problems.replaceChildren(...problems.map((problem) => element("li", {}, problem.error)));
    this.problems.hidden = problems.length === 0;
  }

  #build(sections) {
    this.#inputs.clear();
    this.absentRow = null;
    this.problems = element("ul", { class: "warnings", "aria-label": "What is wrong in the file", hidden: true });
    const bodies = new Map();
    const tops = [];
    for (const section of sections) {
      const parent = bodies.get(section.path.split(".").slice(0, -1).join("."));
      if (!section.present) (parent?.absent ?? this.#topAbsent()).append(this.#adder(section));
      else {
        const made = this.#section(section);
        bodies.set(section.path, made);
        if (section.path.includes(".") && parent) parent.inner.append(made.details);
        else tops.push(made.details);
      }
    }
    this.holder.replaceChildren(this.problems, ...tops, ...(this.absentRow ? [this.absentRow] : []));
  }

  // Parts of the unit itself that the file does not have are offered in one row below all others.
  #topAbsent() {
    this.absentRow ??= element("div", { class: "row absent" });
    return this.absentRow;
  }

  #adder(section) {
    const add = () => store.change(this.owner(), { [section.path]: {} });
    return element("button", { type: "button", class: "plain", title: section.about, onclick: add }, `Add ${section.title.toLowerCase()}`);
  }

  #section(section) {
    const takeOut = () => store.change(this.owner(), { ...this.#clearedUnder(section.path), [section.path]: null });
    const inner = element("div", { class: "inner" });
    const absent = element("div", { class: "row absent" });
    const details = element("details", { class: "section", ontoggle: () => this.#remember(section.path, details.open) },
      element("summary", {}, section.title),
      section.about ? element("p", { class: "quiet" }, section.about) : null,
      element("div", { class: "fields" }, section.fields.map((field) => this.#field(field))), inner, absent,
      section.optional ? element("p", {}, element("button", { type: "button", class: "plain", onclick: takeOut }, `Take out ${section.title.toLowerCase()}`)) : null);
    details.open = this.#open.has(section.path);
    return { details, inner, absent };
  }

  #remember(path, open) {
    if (open) this.#open.add(path);
    else this.#open.delete(path);
  }

  #clearedUnder(path) {
    const under = Object.keys(store.asked(this.owner()).edits).filter((key) => key.startsWith(`${path}.`));
    return Object.fromEntries(under.map((key) => [key, undefined]));
  }

  #field(field) {
    const id = `${this.placed}-${field.path.replaceAll(".", "-")}`;
    const fault = element("p", { class: "fault", id: `${id}-fault` });
    const input = this.#input(field, id);
    input.setAttribute("aria-describedby", fault.id);
    const parts = { input, fault };
    const body = [element("label", { for: id }, field.label, field.required ? "" : element("span", { class: "quiet" }, " (optional)")),
      element("div", { class: "entry" }, input, field.kind === "quantity" ? this.#origin(field, id, parts) : null), fault];
    if (field.kind === "quantity") {
      parts.note = element("input", { type: "text", id: `${id}-note`, maxlength: "300" });
      parts.note.addEventListener("change", () => this.#commit(field.path));
      parts.noteRow = element("div", { class: "note" }, element("label", { for: `${id}-note`, class: "quiet" }, "Note"), parts.note);
      body.push(parts.noteRow);
    }
    this.#inputs.set(field.path, { ...parts, field });
    return element("div", { class: "field" }, body);
  }

  #input(field, id) {
    if (field.kind === "choice") {
      const select = element("select", { id }, (field.required ? [] : [""]).concat(field.options).map((word) => element("option", { value: word }, word || "as usual")));
      select.addEventListener("change", () => this.#commit(field.path));
      return select;
    }
    if (field.kind === "tick") {
      const tick = element("input", { type: "checkbox", id });
      tick.addEventListener("change", () => this.#commit(field.path));
      return tick;
    }
    const input = element("input", { type: "text", id, autocomplete: "off", spellcheck: "false", placeholder: field.example, maxlength: "4000" });
    input.addEventListener("input", () => this.#tryOut(field.path, this.#valueOf(field.path)));
    input.addEventListener("change", () => this.#commit(field.path));
    input.addEventListener("keydown", (event) => event.key === "Escape" && this.refresh());
    return input;
  }

  #origin(field, id, parts) {
    const select = element("select", { id: `${id}-origin`, class: "origin", "aria-label": `${field.label}: where the number is from` },
      ORIGINS.map((word) => element("option", { value: word }, word)));
    select.addEventListener("change", () => this.#commit(field.path));
    parts.origin = select;
    return select;
  }

  // What the file would hold for the field as it stands on the screen.
  #valueOf(path) {
    const { input, origin, note, field } = this.#inputs.get(path);
    if (field.kind === "tick") return input.checked;
    const text = input.value.trim();
    if (text === "") return null;
    if (field.kind === "count") return /^[+-]?\d+$/.test(text) ? Number(text) : text;
    if (field.kind === "list") return listed(text);
    if (field.kind !== "quantity" || (origin.value === "measured" && note.value.trim() === "")) return text;
    return { value: text, origin: origin.value, ...(note.value.trim() ? { note: note.value.trim() } : {}) };
  }

  #commit(path) {
    store.change(this.owner(), { [path]: this.#valueOf(path) });
    this.refresh();
  }

  #fill(field, faults) {
    const parts = this.#inputs.get(field.path);
    const { input, origin, note, noteRow, fault } = parts;
    const problem = faults.get(field.path);
    const words = problem ? [problem.message ?? problem.error, problem.allowed ? `allowed: ${problem.allowed}` : ""].filter(Boolean).join("; ") : "";
    if (fault.textContent !== words) fault.textContent = words;
    input.setAttribute("aria-invalid", problem ? "true" : "false");
    if (field.kind === "tick") input.checked = field.value === true;
    else if (input !== document.activeElement) input.value = shown(field.value);
    if (!origin) return;
    if (origin !== document.activeElement) origin.value = field.origin || "measured";
    origin.dataset.origin = field.value === null ? "none" : origin.value;
    if (note !== document.activeElement) note.value = field.note;
    noteRow.hidden = origin.value === "measured" && !field.note && note !== document.activeElement;
  }
}

const shown = (value) => (value === null || value === undefined ? "" : typeof value === "object" ? JSON.stringify(value) : String(value));

function listed(text) {
  try {
    return JSON.parse(text);
  } catch {
    return text;
  }
}
