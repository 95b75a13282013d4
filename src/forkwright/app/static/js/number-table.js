// Numbers in columns: on the page as many digits as one reads, in a file as many as one computes with.
import { element, offerFile } from "./dom.js";
import * as units from "./units.js";

const FILED_DIGITS = 8;

// Columns {label, kind, values (SI), extra?} as a table takes them; a kind of null holds whole numbers.
export const shownColumns = (columns) => columns.map(({ label, kind, values, extra = 0 }) => ({
  head: units.titled(label, kind), values: values.map((value) => (kind ? units.figure(kind, value, extra) : String(value))) }));

export const filedColumns = (columns) => columns.map(({ label, kind, values }) => ({
  head: units.titled(label, kind), values: values.map((value) => filed(kind, value)) }));

const filed = (kind, value) => {
  if (value === null) return "";
  return kind ? units.toUnit(kind, value).toPrecision(FILED_DIGITS) : String(value);
};

// A table of columns {head, values (text)}; short columns end in empty cells.
export function tableOf(caption, columns) {
  const rows = Math.max(0, ...columns.map((column) => column.values.length));
  const row = (index) => element("tr", {}, columns.map((column) => element("td", { class: "number" }, column.values[index] ?? "")));
  return element("table", {}, element("caption", { class: "word-hidden" }, caption),
    element("thead", {}, element("tr", {}, columns.map((column) => element("th", { scope: "col" }, column.head)))),
    element("tbody", {}, Array.from({ length: rows }, (_, index) => row(index))));
}

// Text that a spreadsheet would take for a formula gets an apostrophe before it; numbers stay numbers.
const harmless = (text) => (/^[ \ufeff]*[=+\-@\t\r\n＝＋－＠]/.test(text) ? `'${text}` : text);
const quoted = (text) => `"${harmless(String(text)).replaceAll('"', '""')}"`;
const cell = (value) => (value === "" || Number.isFinite(Number(value)) ? value : quoted(value));

export function csvOf(columns) {
  const rows = Math.max(0, ...columns.map((column) => column.values.length));
  const lines = [columns.map((column) => quoted(column.head)).join(",")];
  for (let index = 0; index < rows; index += 1) lines.push(columns.map((column) => cell(column.values[index] ?? "")).join(","));
  return `${lines.join("\r\n")}\r\n`;
}

// A table that stands on the page by itself, with its file.
export class NumberTable {
  #columns = [];

  constructor(holder, title, file) {
    Object.assign(this, { holder, title });
    this.table = element("div", { class: "behind", tabindex: "0", role: "region", "aria-label": `Table: ${title}` });
    holder.replaceChildren(this.table, element("div", { class: "row downloads" }, element("button", { type: "button", class: "plain", "aria-label": `${title}: CSV`,
      onclick: () => offerFile(`${file}.csv`, csvOf(filedColumns(this.#columns)), "text/csv") }, "CSV")));
    holder.hidden = true;
    units.onUnits(() => this.show(this.#columns));
  }

  show(columns) {
    this.#columns = columns;
    this.holder.hidden = columns.length === 0;
    this.table.replaceChildren(tableOf(this.title, shownColumns(columns)));
  }
}
