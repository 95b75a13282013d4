// What every kind of chart has around it: heading, table behind, downloads, and theme tokens.
import { element, offerFile, write } from "./dom.js";

export const shade = () => (document.documentElement.dataset.shade === "dark" ? "dark" : "light");

// Reading a style makes the browser work out the page anew, so each token is read once for light and for dark.
const tokens = { light: new Map(), dark: new Map() };
export function token(name) {
  const known = tokens[shade()];
  if (!known.has(name)) known.set(name, getComputedStyle(document.documentElement).getPropertyValue(name).trim());
  return known.get(name);
}

// A chart out of sight is drawn when it comes into sight.
const inSight = new IntersectionObserver((entries) => entries.forEach((entry) => entry.target.dispatchEvent(
  new CustomEvent("chart:sight", { detail: entry.isIntersecting }))), { rootMargin: "80px" });

// `columns()` gives the table, [{head, values (text)}]; `csv()` the file; `picture(format)` saves an image.
export class ChartFrame {
  constructor(holder, title, file, { columns, csv, picture }) {
    Object.assign(this, { holder, title, columns });
    this.plot = element("div", { class: "plot", role: "img", "aria-label": title });
    this.legend = element("ul", { class: "legend" });
    this.note = element("p", { class: "quiet chart-note", hidden: true });
    this.table = element("div", { class: "behind", tabindex: "0", role: "region", "aria-label": `Table: ${title}` });
    this.details = element("details", { ontoggle: () => this.fillTable() }, element("summary", {}, "Table"), this.table);
    const download = (word, how) => element("button", { type: "button", class: "plain", onclick: how, "aria-label": `${title}: ${word}` }, word);
    holder.classList.add("chart");
    holder.replaceChildren(
      element("div", { class: "chart-head" }, element("h3", {}, title), this.legend), this.plot, this.note,
      element("div", { class: "chart-foot" }, this.details, element("div", { class: "row downloads" },
        download("PNG", () => picture("png")), download("SVG", () => picture("svg")),
        download("CSV", () => offerFile(`${file}.csv`, csv(), "text/csv")))));
    this.seen = true;
    inSight.observe(holder);
  }

  onSight(drawn) {
    this.holder.addEventListener("chart:sight", (event) => {
      this.seen = event.detail;
      if (this.seen) drawn();
    });
  }

  // What has to be said of the plot, in a line below it.
  say(words) {
    this.note.hidden = !words;
    write(this.note, words);
  }

  fillTable() {
    if (!this.details.open) return;
    const columns = this.columns();
    const rows = Math.max(0, ...columns.map((column) => column.values.length));
    const row = (index) => element("tr", {}, columns.map((column) => element("td", { class: "number" }, column.values[index] ?? "")));
    this.table.replaceChildren(element("table", {}, element("caption", { class: "word-hidden" }, this.title),
      element("thead", {}, element("tr", {}, columns.map((column) => element("th", { scope: "col" }, column.head)))),
      element("tbody", {}, Array.from({ length: rows }, (_, index) => row(index)))));
  }

  save(figure, format, file) {
    const { clientWidth: width, clientHeight: height } = this.plot;
    return window.Plotly.downloadImage(figure, { format, filename: file, width: Math.max(width, 760), height: Math.max(height, 460), scale: format === "png" ? 2 : 1 });
  }
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

// The plotting library is large: it is fetched beside the page and run once the page shows what it has without it.
const waiting = new Map();

function load() {
  const script = element("script", { src: document.getElementById("plotting-library").href, async: true });
  script.addEventListener("load", () => setTimeout(drawNext));
  document.head.append(script);
}

// One chart at a time, so that a hand on a slider never waits for all of them.
function drawNext() {
  const [first] = waiting;
  if (first === undefined) return;
  const [chart, drawn] = first;
  waiting.delete(chart);
  drawn();
  setTimeout(drawNext);
}

// Run `drawn` now, or as soon as the library is there; a chart's later wish takes the place of its earlier one.
export function withLibrary(chart, drawn) {
  if (window.Plotly) {
    waiting.delete(chart);
    drawn();
  } else {
    if (waiting.size === 0) requestAnimationFrame(() => setTimeout(load));
    waiting.set(chart, drawn);
  }
}
