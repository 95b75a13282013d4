// The bike's leverage: points typed or read from a table, smoothed by a stated length, and the curve through them.
// What is typed is tried out first and goes into the draft only when it makes a leverage curve.
import { Chart } from "./chart.js";
import { element, onFiles } from "./dom.js";
import { Latest, post } from "./link.js";
import { exportFile } from "./rack.js";
import * as store from "./store.js";

const LARGEST = 500_000;
const WHEEL = { kind: "length", label: "Wheel travel" };

export class LeverageEditor {
  #points = [];
  #smoothing = "";

  constructor(holder) {
    this.bench = new Latest("/api/leverage", (found) => this.#show(found), () => {});
    this.trial = new Latest("/api/leverage", (found, asked) => this.#take(asked), (error) => this.#fault(error.message));
    this.fault = element("p", { class: "fault", role: "alert" });
    this.rows = element("tbody");
    this.method = element("p", { class: "quiet" });
    this.smoothing = element("input", { type: "text", id: "leverage-smoothing", maxlength: "40", placeholder: "none", autocomplete: "off" });
    this.smoothing.addEventListener("change", () => this.#tryOut());
    const charts = [element("div"), element("div")];
    this.charts = element("div", { class: "leverage-charts", hidden: true }, charts);
    this.ratio = new Chart(charts[0], { title: "Leverage ratio", x: WHEEL, y: { kind: "dimensionless", label: "Wheel travel over stroke" }, file: "leverage-ratio" });
    this.stroke = new Chart(charts[1], { title: "Stroke of the shock", x: WHEEL, y: { kind: "length", label: "Stroke" }, file: "leverage" });
    this.away = element("button", { type: "button", class: "plain", onclick: () => this.#clear() }, "Take out leverage");
    holder.replaceChildren(element("details", { class: "section leverage", open: true }, element("summary", {}, "Leverage"),
      element("p", { class: "quiet" }, "How far the shock goes in as the rear wheel rises. Move the wheel in even steps with the spring out and measure the shock between its eyes; both begin at zero. A table has two columns, wheel travel and stroke."),
      element("div", { class: "leverage-parts" },
        element("div", {},
          element("table", { class: "points-table" }, element("caption", { class: "word-hidden" }, "Points of the leverage curve"),
            element("thead", {}, element("tr", {}, element("th", { scope: "col" }, "Wheel travel"), element("th", { scope: "col" }, "Stroke"), element("td", {}))), this.rows),
          this.fault,
          element("p", { class: "row" }, element("button", { type: "button", class: "plain", onclick: () => this.#add() }, "Add a point"), this.#importer(), this.away,
            element("button", { type: "button", class: "plain", onclick: () => exportFile("bike") }, "Save the bike as a file")),
          element("div", { class: "field" }, element("label", { for: "leverage-smoothing" }, "Smoothing length of wheel travel", element("span", { class: "quiet" }, " (optional)")), this.smoothing)),
        element("div", {}, this.charts, this.method))));
    onFiles(holder, ([file]) => this.#read(file));
  }

  refresh() {
    this.bench.ask({ bike: store.asked("bike") });
  }

  #show({ points, smoothing, curve }) {
    this.#points = points.map((point) => ({ ...point }));
    this.#smoothing = smoothing ?? "";
    if (document.activeElement !== this.smoothing) this.smoothing.value = this.#smoothing;
    if (!this.rows.contains(document.activeElement) || this.rows.children.length !== points.length) this.#build();
    this.#fault("");
    this.away.hidden = points.length === 0;
    this.charts.hidden = !curve;
    this.method.textContent = curve ? `Joined by a ${curve.method}.` : "No leverage curve yet: a shock's answers at the wheel need one.";
    if (!curve) return;
    this.ratio.show([{ name: "Leverage ratio", x: curve.wheel_travel_m, y: curve.leverage_ratio, place: 0 }]);
    const marks = curve.measured_wheel_m.map((x, at) => ({ x, y: curve.measured_stroke_m[at], name: "Measured", place: 1 }));
    this.stroke.show([{ name: "Stroke", x: curve.wheel_travel_m, y: curve.stroke_m, place: 0 }], marks);
  }

  #build() {
    this.rows.replaceChildren(...this.#points.map((point, at) => element("tr", {},
      element("td", {}, this.#cell(point, at, "wheel", "Wheel travel")), element("td", {}, this.#cell(point, at, "stroke", "Stroke")),
      element("td", {}, element("button", { type: "button", class: "plain", "aria-label": `Take out point ${at + 1}`, onclick: () => this.#remove(at) }, "×")))));
  }

  #cell(point, at, name, words) {
    const input = element("input", { type: "text", value: point[name], maxlength: "40", autocomplete: "off", "aria-label": `${words}, point ${at + 1}` });
    input.addEventListener("change", () => {
      this.#points[at] = { ...this.#points[at], [name]: input.value.trim() };
      this.#tryOut();
    });
    return input;
  }

  #add() {
    this.#points.push(this.#points.length ? { wheel: "", stroke: "" } : { wheel: "0 mm", stroke: "0 mm" });
    this.#build();
    this.rows.lastElementChild.querySelector("input").focus();
  }

  #remove(at) {
    this.#points.splice(at, 1);
    this.#build();
    this.#tryOut();
  }

  #clear() {
    store.change("bike", { "leverage.points": undefined, "leverage.smoothing": undefined, leverage: null });
  }

  #importer() {
    const input = element("input", { type: "file", accept: ".csv,.txt,text/csv,text/plain", "aria-label": "Import a leverage table" });
    input.addEventListener("change", async () => {
      await this.#read(input.files[0]);
      input.value = "";
    });
    return element("label", { class: "file-button" }, "Import a table", input);
  }

  async #read(file) {
    if (!file) return;
    try {
      if (file.size > LARGEST) throw new Error(`${file.name}: too large to be a leverage curve`);
      this.#points = (await post("/api/leverage/table", { text: await file.text(), name: file.name })).points;
      this.#build();
      this.#tryOut();
    } catch (error) {
      this.#fault(error.message);
    }
  }

  // Rows that are still empty wait; everything else has to make a curve.
  #tryOut() {
    if (this.#points.some((point) => !point.wheel || !point.stroke)) return;
    const smoothing = this.smoothing.value.trim();
    const entries = { "leverage.points": this.#points, "leverage.smoothing": smoothing || (this.#smoothing ? null : undefined) };
    const { toml, edits, name } = store.asked("bike");
    const tried = { ...edits, ...entries };
    for (const [path, value] of Object.entries(tried)) if (value === undefined || (path === "leverage" && value === null)) delete tried[path];
    this.trial.ask({ bike: { toml, edits: tried, name } });
  }

  #take(asked) {
    const { edits } = asked.bike;
    store.change("bike", { leverage: undefined, "leverage.points": edits["leverage.points"], "leverage.smoothing": edits["leverage.smoothing"] });
  }

  #fault(words) {
    this.fault.textContent = words;
  }
}
