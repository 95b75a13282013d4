// A small sweep: ranges of the fork's adjusters, every combination ridden, the scores as a table and as points.
import { byId, element } from "../dom.js";
import { JobBar } from "../job-watch.js";
import { pageData } from "../page-data.js";
import { ScatterChart } from "../scatter-chart.js";
import * as store from "../store.js";
import { table } from "../tune/asking.js";
import * as units from "../units.js";
import { scoreText } from "./scores.js";

const SHOWN = ["riding_sag_m", "greatest_travel_m", "bottom_outs", "tyre_load_variation", "hand_acceleration_m_s2", "contact_lost_share", "pack_down_m"];
const AXES = { x: "tyre_load_variation", y: "hand_acceleration_m_s2" };
const SPAN = { psi: [10, 5], bar: [0.8, 0.4], kPa: [80, 40], mm: [2, 1], in: [0.1, 0.05] };
const CLICKS = [2, 2];
const score = (key) => pageData.scores.find((one) => one.key === key);
const whole = (adjuster) => adjuster.kind === "count" || adjuster.kind === "clicks";
const entryOf = (adjuster) => adjuster.path.replace("setting.", "");

export class Sweep {
  #adjusters = [];
  #shape = "";
  #answer = null;
  #key = null;
  #sorted = { key: null, way: 1 };

  // `question()` is what a ride asks, without the second setting; `owner()` the fork; `second` takes a setting as B.
  constructor({ form, question, owner, second, kept }) {
    Object.assign(this, { form, question, owner, second });
    this.bar = new JobBar(byId("sweep-job"), "sweep", {
      found: (answer) => this.#found(answer), failed: (error) => this.#fault(error.message), kept,
      changed: (busy) => { byId("sweep-go").disabled = busy; },
    });
    this.points = new ScatterChart(byId("chart-sweep"), { title: "The settings that were ridden", file: "ride-sweep", picked: (row) => row !== null && this.#pick(row) });
    byId("sweep-form").addEventListener("submit", (event) => {
      event.preventDefault();
      this.#ask();
    });
    this.#ways();
    for (const way of ["x", "y"]) {
      const select = byId(`sweep-${way}`);
      select.addEventListener("change", () => {
        this.form.set({ [`sweep_${way}`]: select.value });
        this.#draw();
      });
    }
    units.onUnits(() => {
      this.#shape = "";
      this.fill(this.#adjusters);
      this.#showTable();
    });
  }

  resume = () => this.bar.resume();

  // Every combination, or as many as are wanted, spread evenly over the ranges.
  #ways() {
    const { state } = this.form;
    for (const radio of byId("sweep-ways").querySelectorAll("input")) {
      radio.checked = radio.value === (state.sweep_way ?? "all");
      radio.addEventListener("change", () => this.#way({ sweep_way: radio.value }));
    }
    for (const [id, entry, usual] of [["sweep-many", "sweep_many", 40], ["sweep-seed", "sweep_seed", 0]]) {
      byId(id).value = state[entry] ?? usual;
      byId(id).addEventListener("input", () => this.#way({ [entry]: byId(id).value }));
    }
    this.#way({});
  }

  #way(entries) {
    this.form.set(entries);
    byId("sweep-spread").hidden = this.form.state.sweep_way !== "spread";
    this.#count();
  }

  // What is typed, as far as it is a number; the server says what is wrong with it.
  #spread() {
    if (this.form.state.sweep_way !== "spread") return {};
    const [count, seed] = ["sweep-many", "sweep-seed"].map((id) => byId(id).value.trim());
    return { count, seed };
  }

  // The ranges that are offered: around what the fork is set to.
  fill(adjusters) {
    this.#adjusters = adjusters;
    const shape = JSON.stringify(adjusters.map(({ path, value }) => [path, value]));
    if (shape === this.#shape) return;
    this.#shape = shape;
    const chosen = this.form.state.sweep_vary ?? adjusters.slice(0, 1).map(entryOf);
    byId("sweep-ranges").replaceChildren(...adjusters.map((adjuster) => this.#range(adjuster, chosen.includes(entryOf(adjuster)))));
    this.#count();
  }

  #range(adjuster, on) {
    const [span, step] = whole(adjuster) ? CLICKS : SPAN[units.symbol(adjuster.kind)] ?? [1, 1];
    const unit = whole(adjuster) ? "" : ` ${units.symbol(adjuster.kind)}`;
    const [now, low, high] = [adjuster.value, adjuster.low, adjuster.high].map((value) => (whole(adjuster) ? value : units.toUnit(adjuster.kind, value)));
    const digits = step < 1 ? 2 : 0;
    const written = (value) => `${Number(Math.min(Math.max(value, low), high - (whole(adjuster) ? 0 : 10 ** -digits / 2)).toFixed(digits))}${unit}`;
    const tick = element("input", { type: "checkbox", onchange: () => this.#ranged() });
    tick.checked = on;
    const field = (name, words, value) => {
      const input = element("input", { type: "text", maxlength: "30", value, "data-part": name, oninput: () => this.#ranged(), "aria-label": `${adjuster.label}: ${words}` });
      return element("label", { class: "range-part" }, element("span", { class: "quiet", "aria-hidden": "true" }, words), input);
    };
    return element("div", { class: "sweep-range", "data-entry": entryOf(adjuster) }, element("label", { class: "tick" }, tick, element("span", {}, adjuster.label)),
      field("from", "from", written(now - span)), field("to", "to", written(now + span)), field("step", "step", `${step}${unit}`));
  }

  #ranged() {
    this.form.set({ sweep_vary: this.#ticked().map((row) => row.dataset.entry) });
    this.#count();
  }

  #ticked = () => [...byId("sweep-ranges").children].filter((row) => row.querySelector("input[type=checkbox]").checked);
  #part = (row, name) => row.querySelector(`[data-part=${name}]`).value.trim();

  vary() {
    return this.#ticked().map((row) => `${row.dataset.entry}=${this.#part(row, "from")}..${this.#part(row, "to")}:${this.#part(row, "step")}`);
  }

  // How many settings that makes, as far as it can be read from the fields; the server counts for itself.
  #count() {
    const counts = this.#ticked().map((row) => {
      const [from, to, step] = ["from", "to", "step"].map((name) => parseFloat(this.#part(row, name)));
      return Math.floor((to - from) / step + 1 + 1e-9);
    });
    const every = counts.reduce((product, count) => product * count, counts.length ? 1 : 0);
    const all = Number(this.#spread().count ?? every);
    byId("sweep-count").textContent = Number.isFinite(all) && all >= 0 ? `${all} settings; up to ${pageData.most_settings} here, more on the command line` : "";
  }

  #ask() {
    this.#fault(null);
    this.asked = this.owner();
    this.bar.ask("/api/ride/sweep", { ...this.question(), vary: this.vary(), ...this.#spread() });
  }

  #fault(words) {
    byId("sweep-fault").textContent = words ?? "";
    byId("sweep-fault").hidden = !words;
  }

  #found(answer) {
    this.#fault(null);
    this.#answer = answer;
    this.#key = this.bar.last;
    this.#sorted = { key: null, way: 1 };
    byId("sweep-answer").hidden = false;
    const faults = answer.columns.fault.filter(Boolean).length;
    byId("sweep-said").textContent = `${answer.words.length} settings of ${answer.name} over ${answer.course}, every score from every step.${faults ? ` ${faults} could not be ridden; the table says why.` : ""}`;
    byId("sweep-warnings").replaceChildren(...answer.warnings.map((words) => element("li", {}, words)));
    byId("sweep-more").hidden = answer.warnings.length === 0;
    for (const kind of ["csv", "parquet"]) {
      byId(`sweep-${kind}`).href = `/api/ride/sweep/${this.#key}/scores.${kind}`;
      byId(`sweep-${kind}`).hidden = !this.#key;
    }
    for (const way of ["x", "y"]) {
      const select = byId(`sweep-${way}`);
      select.replaceChildren(...pageData.scores.map((one) => element("option", { value: one.key }, one.title)));
      select.value = this.form.state[`sweep_${way}`] ?? AXES[way];
      if (select.selectedIndex < 0) select.value = AXES[way];
    }
    this.#draw();
    this.#showTable();
  }

  #axis(way) {
    const one = score(byId(`sweep-${way}`).value);
    return { one, axis: one.kind ? { label: one.title, kind: one.kind } : { label: one.title, digits: one.digits, unit: one.unit } };
  }

  #draw() {
    if (!this.#answer) return;
    const { columns, words } = this.#answer;
    const [x, y] = [this.#axis("x"), this.#axis("y")];
    const value = ({ one }, row) => columns[one.key][row] * (one.kind ? 1 : one.factor);
    const rows = words.map((_, row) => row).filter((row) => columns[x.one.key][row] !== null);
    this.points.show({ x: x.axis, y: y.axis, groups: [{ name: "ridden", place: 0, symbol: "circle", points: rows.map((row) => ({ x: value(x, row), y: value(y, row), name: words[row], key: row })) },
      ...(this.picked === undefined ? [] : [{ name: "chosen", place: 1, symbol: "star", points: [{ x: value(x, this.picked), y: value(y, this.picked), name: words[this.picked], key: this.picked }] }])] });
  }

  #pick(row) {
    this.picked = row;
    this.#draw();
    this.#showTable();
    byId("sweep-table").querySelector("[aria-current=true]")?.scrollIntoView({ block: "nearest" });
  }

  #showTable() {
    if (!this.#answer) return;
    const { columns, words, edits } = this.#answer;
    const order = words.map((_, row) => row);
    const { key, way } = this.#sorted;
    if (key) order.sort((a, b) => way * ((columns[key][a] ?? Infinity) - (columns[key][b] ?? Infinity)));
    const rows = order.map((row) => element("tr", { "aria-current": row === this.picked ? "true" : null },
      element("td", {}, element("button", { type: "button", class: "plain", "aria-label": `Set against A: ${words[row]}`, onclick: () => this.#against(row, edits[row]) }, "As B")),
      element("th", { scope: "row" }, words[row]),
      columns.fault[row] ? element("td", { colspan: SHOWN.length }, columns.fault[row]) : SHOWN.map((one) => element("td", { class: "figures" }, scoreText(score(one), columns[one][row])))));
    const sort = (one) => element("button", { type: "button", class: "plain sorter", onclick: () => this.#sort(one) }, score(one).title, key === one ? (way > 0 ? " ↑" : " ↓") : "");
    const holder = table(["Watch it", "Setting", ...SHOWN.map(sort)], rows, { caption: "Scores of the settings", kind: "figures-table sweep-table" });
    byId("sweep-table").replaceChildren(holder);
  }

  #sort(key) {
    this.#sorted = { key, way: this.#sorted.key === key ? -this.#sorted.way : 1 };
    this.#showTable();
  }

  #against(row, edits) {
    this.picked = row;
    this.#draw();
    this.#showTable();
    this.second.give(this.asked && store.rack().some((fork) => fork.id === this.asked) ? this.asked : this.owner(), edits);
    byId("player").scrollIntoView({ block: "start" });
  }
}
