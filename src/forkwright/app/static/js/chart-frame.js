// What every kind of chart has around it: heading, table behind, downloads, and theme tokens.
import { element, offerFile, write } from "./dom.js";
import { tableOf } from "./number-table.js";
import { shade } from "./series-look.js";

// Reading a style makes the browser work out the page anew, so each token is read once for light and for dark.
const tokens = { light: new Map(), dark: new Map() };
export function token(name) {
  const known = tokens[shade()];
  if (!known.has(name)) known.set(name, getComputedStyle(document.documentElement).getPropertyValue(name).trim());
  return known.get(name);
}

export const CONFIG = { displayModeBar: false, responsive: true };

// What the library is told of paper and ink; `more` adds to it or takes the place of it.
export const sheetLayout = (more) => ({
  autosize: true, margin: { l: 64, r: 14, t: 8, b: 46 }, paper_bgcolor: token("--sheet"), plot_bgcolor: token("--sheet"), showlegend: false, dragmode: "zoom",
  font: { family: token("--body"), size: 13, color: token("--ink") }, hoverlabel: { bgcolor: token("--sheet"), bordercolor: token("--ink"), font: { color: token("--ink") } }, ...more,
});

export const axisLook = (title, more = {}) => ({
  title: { text: title, standoff: 6 }, gridcolor: token("--rule"), linecolor: token("--ink"), zerolinecolor: token("--rule-2"), tickcolor: token("--ink"), ticks: "outside", ...more,
});

// A chart out of sight is drawn when it comes into sight.
const inSight = new IntersectionObserver((entries) => entries.forEach((entry) => entry.target.dispatchEvent(
  new CustomEvent("chart:sight", { detail: entry.isIntersecting }))), { rootMargin: "80px" });

// `columns()` gives the table, [{head, values (text)}]; `csv()` the file; `picture()` the figure that is saved.
export class ChartFrame {
  constructor(holder, title, file, { columns, csv, picture }) {
    Object.assign(this, { holder, title, file, columns, picture });
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
        download("PNG", () => this.#save("png")), download("SVG", () => this.#save("svg")),
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

  // Entries are [sample, name].
  showLegend(entries) {
    this.legend.replaceChildren(...entries.map(([sample, name]) => element("li", {}, sample, name)));
  }

  describe(words) {
    this.plot.setAttribute("aria-label", `${this.title}: ${words}. The numbers are in the table below.`);
  }

  fillTable() {
    if (this.details.open) this.table.replaceChildren(tableOf(this.title, this.columns()));
  }

  #save(format) {
    const { clientWidth: width, clientHeight: height } = this.plot;
    const { data, layout } = this.picture();
    const { margin, showlegend } = layout;
    const titled = { ...layout, title: { text: this.title }, margin: { ...margin, t: 44, b: showlegend ? 90 : margin.b }, legend: { orientation: "h", y: -0.2 } };
    return window.Plotly.downloadImage({ data, layout: titled }, { format, filename: this.file, width: Math.max(width, 760), height: Math.max(height, 460), scale: format === "png" ? 2 : 1 });
  }
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
