// What do the columns mean? A preview of each, a choice of meaning and unit, and every guess to be confirmed.
import { element, fileName, offerFile } from "../dom.js";
import { Latest, post } from "../link.js";
import * as units from "../units.js";
import { keepMapping } from "./kept-mappings.js";

const UNREAD = "";
const AS_THEY_COME = ["time", "rides"]; // never turned round or shifted, as sensors' readings may be
const KNOWN_KINDS = ["length", "pressure", "force", "temperature", "speed", "time"];

const option = (value, words) => element("option", { value }, words);

function rangeText({ dimension, low, high }) {
  if (!KNOWN_KINDS.includes(dimension)) return `${Number(low.toPrecision(4))} to ${Number(high.toPrecision(4))}`;
  return `${units.figure(dimension, low)} to ${units.text(dimension, high)}`;
}

// `agreed(looked, table)` is told the mapping once everything is confirmed, `other(looked, sheet)` another sheet.
export class Columns {
  constructor(holder, { agreed, other, left = () => {} }) {
    Object.assign(this, { holder, agreed, other, left });
    this.check = new Latest("/api/evidence/check", (answer) => this.#ranges(answer), (error) => this.#fault(error.message));
    holder.hidden = true;
    units.onUnits(() => this.looked && this.#changed());
  }

  // Ask about a file that was looked at; `table` is a mapping that was kept for its source, if there is one.
  ask(looked, table = null) {
    Object.assign(this, { looked, rows: [] });
    const mapping = table ?? looked.mapping;
    const guesses = table ? [] : looked.guesses;
    const uses = Object.entries(mapping.columns);
    this.rows = looked.columns.map((column, place) => {
      const [name, use] = uses.find(([, one]) => one.column === column.header) ?? [UNREAD, {}];
      return this.#row(column, place, name, use, guesses.filter((guess) => guess.channel === name));
    });
    this.source = element("input", { type: "text", id: "source-name", maxlength: "100", value: mapping.source ?? "" });
    this.rate = element("input", { type: "text", id: "sample-rate", maxlength: "40", placeholder: "500 Hz", value: mapping.sample_rate ?? "", oninput: () => this.#changed() });
    this.rateField = element("div", { class: "field" }, element("label", { for: "sample-rate" }, "Samples a second (there is no time column)"), this.rate);
    this.keep = element("input", { type: "checkbox", checked: true });
    this.fault = element("p", { class: "notice bad", role: "alert", hidden: true });
    this.go = element("button", { type: "button", class: "main-button", onclick: () => this.#agree() }, "Read it");
    this.holder.replaceChildren(
      element("h2", { id: "columns-title" }, `What the columns of ${looked.name} mean`),
      element("p", { class: "quiet" }, `${looked.rows.toLocaleString("en")} rows. Whatever is only guessed has to be confirmed.`),
      looked.notes.length ? element("ul", { class: "warnings" }, looked.notes.map((words) => element("li", {}, words))) : "",
      looked.sheets.length > 1 ? this.#sheets() : "",
      element("div", { class: "column-cards" }, this.rows.map((row) => row.card)), this.rateField,
      element("div", { class: "pair" }, element("div", { class: "field" }, element("label", { for: "source-name" }, "Source: the logger or bench"), this.source),
        element("label", { class: "tick" }, this.keep, element("span", {}, "Keep for the next file of this source"))),
      this.fault,
      element("p", { class: "row" }, this.go, element("button", { type: "button", class: "plain", onclick: () => this.#leave() }, "Not now"),
        element("button", { type: "button", class: "plain", onclick: () => this.#export() }, "Export mapping"), this.#importButton()));
    this.holder.hidden = false;
    this.#changed();
    this.holder.querySelector("select").focus({ preventScroll: true }); // the next thing to do, for the keyboard too
    this.holder.scrollIntoView({ block: "nearest" });
  }

  #sheets() {
    const select = element("select", { id: "sheet", onchange: () => this.other(this.looked, select.value) }, this.looked.sheets.map((name) => option(name, name)));
    select.value = this.looked.sheet || this.looked.sheets[0];
    return element("div", { class: "field" }, element("label", { for: "sheet" }, "Sheet"), select);
  }

  #row(column, place, name, use, guesses) {
    const id = `column-${place}`;
    const meaning = element("select", { id, onchange: () => { row.guesses = []; this.#refill(row); this.#changed(); } }, option(UNREAD, "not read"),
      this.looked.channels.filter((one) => column.number || one.quantity === "text" || one.name === "time").map((one) => option(one.name, one.words)));
    meaning.value = name;
    const unit = element("select", { "aria-label": `Unit of ${column.header}`, onchange: () => this.#settle(row, "unit") });
    const turned = element("input", { type: "checkbox", onchange: () => this.#settle(row, "way") });
    const absolute = element("input", { type: "checkbox", onchange: () => this.#changed() });
    const zero = element("input", { type: "text", inputmode: "decimal", "aria-label": `Reading of ${column.header} that means zero`, maxlength: "20", value: String(use.zero ?? 0), oninput: () => this.#settle(row, "way") });
    turned.checked = Boolean(use.reversed);
    absolute.checked = Boolean(use.absolute);
    const row = { column, meaning, unit, turned, absolute, zero, guesses: guesses.map((guess) => ({ ...guess, agreed: false })) };
    row.turnedField = element("div", { class: "row" }, element("label", { class: "tick" }, turned, element("span", {}, "counts the other way")), element("label", { class: "row zero-field" }, element("span", { class: "quiet" }, "zero at"), zero));
    row.absoluteField = element("label", { class: "tick" }, absolute, element("span", {}, "absolute, not gauge"));
    row.range = element("p", { class: "quiet column-range", role: "status" });
    row.questions = element("div", {});
    const missing = column.missing ? `, ${column.missing} missing` : "";
    row.card = element("div", { class: "column-card", role: "group", "aria-label": column.header },
      element("p", { class: "column-head" }, element("strong", {}, column.header), element("span", { class: "figures quiet column-first" }, `${column.first.slice(0, 5).join("  ")}${missing}`)),
      element("div", { class: "row meaning" }, element("label", { for: id, class: "word-hidden" }, `Meaning of ${column.header}`), meaning, unit), row.turnedField, row.absoluteField, row.range, row.questions);
    this.#refill(row, use.unit);
    return row;
  }

  // The units that fit the chosen meaning, and the questions that are still open.
  #refill(row, given = null) {
    const kind = this.#kind(row);
    const offered = this.looked.units[kind] ?? [];
    const now = given ?? row.unit.value;
    const list = now && kind && kind !== "text" && !offered.includes(now) && given ? [...offered, now] : offered;
    row.unit.replaceChildren(...list.map((symbol) => option(symbol, symbol || "plain number")));
    row.unit.value = list.includes(now) ? now : list[0] ?? "";
    row.unit.hidden = list.length < 2;
    row.turnedField.hidden = !kind || kind === "text" || AS_THEY_COME.includes(row.meaning.value);
    row.absoluteField.hidden = kind !== "pressure";
    row.questions.replaceChildren(...row.guesses.map((guess) => {
      const tick = element("input", { type: "checkbox", onchange: () => { guess.agreed = tick.checked; this.#changed(); } });
      tick.checked = guess.agreed;
      return element("label", { class: "tick guess" }, tick, element("span", {}, `That is right: ${guess.words}`));
    }));
    row.card.classList.toggle("unread", row.meaning.value === UNREAD);
  }

  // A choice of one's own settles the guess about it.
  #settle(row, which) {
    row.guesses = row.guesses.filter((guess) => guess.words.startsWith("the unit") !== (which === "unit"));
    this.#refill(row);
    this.#changed();
  }

  #kind = (row) => this.looked.channels.find((one) => one.name === row.meaning.value)?.quantity ?? "";

  table() {
    const columns = {};
    for (const row of this.rows) {
      const name = row.meaning.value;
      if (name === UNREAD) continue;
      if (columns[name]) throw new Error(`'${columns[name].column}' and '${row.column.header}' cannot both be the same thing: choose one of them.`);
      const kind = this.#kind(row);
      const zero = Number(row.zero.value.replace(",", "."));
      if (!Number.isFinite(zero)) throw new Error(`${row.column.header}: the reading that means zero is no number.`);
      columns[name] = { column: row.column.header, quantity: kind, ...(kind !== "text" && row.unit.value ? { unit: row.unit.value } : {}),
        ...(row.turned.checked && !row.turnedField.hidden ? { reversed: true } : {}), ...(zero && !row.turnedField.hidden ? { zero } : {}), ...(row.absolute.checked && kind === "pressure" ? { absolute: true } : {}) };
    }
    const rate = this.rate.value.trim();
    return { format: 1, source: this.source.value.trim() || this.looked.name, ...(rate && !columns.time ? { sample_rate: rate } : {}), columns };
  }

  #changed() {
    let table = null;
    try {
      table = this.table();
      this.#fault(Object.keys(table.columns).length ? null : "Choose what at least one column means.");
    } catch (error) {
      this.#fault(error.message);
    }
    this.rateField.hidden = !table || Boolean(table.columns.time) || Boolean(table.columns.rides);
    if (table && Object.keys(table.columns).length) this.check.ask({ file: this.looked.file, mapping: table });
  }

  #ranges({ channels }) {
    for (const row of this.rows) {
      const found = channels[row.meaning.value];
      row.range.textContent = found && found.dimension !== "text" ? `reads as ${rangeText(found)}` : "";
    }
    if (this.fault.dataset.from === "server") this.#fault(null);
  }

  #fault(words, from = "here") {
    const open = this.rows.flatMap((row) => row.guesses).filter((guess) => !guess.agreed).length;
    this.fault.textContent = words ?? "";
    this.fault.hidden = !words;
    this.fault.dataset.from = from;
    this.go.disabled = Boolean(words) || open > 0;
    this.go.textContent = open ? `Read it (${open} to confirm)` : "Read it";
  }

  #agree() {
    const table = this.table();
    if (this.keep.checked) keepMapping(table);
    this.holder.hidden = true;
    this.agreed(this.looked, table);
  }

  #leave() {
    this.holder.hidden = true;
    this.left();
  }

  async #export() {
    try {
      const { toml } = await post("/api/evidence/mapping/write", { mapping: this.table() });
      offerFile(`${fileName(this.table().source, "mapping")}.toml`, toml, "application/toml");
    } catch (error) {
      this.#fault(error.message, "server");
    }
  }

  #importButton() {
    const input = element("input", { type: "file", accept: ".toml,application/toml,text/plain", "aria-label": "Import a mapping", onchange: async () => {
      try {
        for (const file of input.files) this.ask(this.looked, await post("/api/evidence/mapping/read", { toml: await file.text(), name: file.name }));
      } catch (error) {
        this.#fault(error.message, "server");
      }
      input.value = "";
    } });
    return element("label", { class: "file-button" }, "Import mapping", input);
  }
}
