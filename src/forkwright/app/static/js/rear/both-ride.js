// Both ends over a course: ridden on demand as a job, told in words, scores and curves over the distance.
import { Chart } from "../chart.js";
import { byId, element, listWords } from "../dom.js";
import { JobBar } from "../job-watch.js";
import { courses, importButton, lengthText } from "../tune/courses.js";
import * as units from "../units.js";

// What a ride depends on: not the advice, nor what is held at rest.
const ridden = (asked) => JSON.stringify(asked && { ...asked, change: 0, sag_lead_percent: 0, gradient: 0, speed_change_m_s2: 0, units: 0 });

export class BothRide {
  #asked = null;
  #answer = null;

  // `form` keeps the course; `question()` is what is asked, without it. `told` are warnings that the page says already.
  constructor(form, question) {
    Object.assign(this, { form, question, known: [], told: [] });
    const along = (unit) => ({ x: { kind: "distance", label: "Distance of the front wheel" }, ...unit });
    this.travel = new Chart(byId("chart-travel"), { title: "Travel of both wheels", ...along({ y: { kind: "length", label: "Travel" } }), file: "balance-travel" });
    this.pitch = new Chart(byId("chart-pitch"), { title: "Pitch, nose up", ...along({ y: { kind: "angle", label: "Pitch from the start" } }), file: "balance-pitch" });
    this.bar = new JobBar(byId("job"), "balance", {
      found: (answer, asked) => this.#show(answer, asked),
      failed: (error) => { byId("ride-words").textContent = error.message; },
      changed: (busy) => { byId("go").disabled = busy; },
      kept: () => ({}),
    });
    byId("ride-form").addEventListener("submit", (event) => {
      event.preventDefault();
      const asked = this.#whole();
      if (asked) this.bar.ask("/api/balance/ride", asked);
    });
    byId("course").addEventListener("change", () => {
      form.set({ course: byId("course").value });
      this.age();
    });
    byId("own-course").append(importButton(async (id) => id && this.#build(id)));
    this.#build();
    this.bar.resume();
  }

  // A ride of another setting says so.
  age() {
    if (!this.#answer) return;
    const old = this.#asked !== ridden(this.#whole());
    byId("ride-charts").classList.toggle("stale", old);
    byId("ride-words").textContent = `${old ? "Something has changed since this ride. " : ""}${this.#answer.sentences.join(" ")}`;
  }

  async #build(id = this.form.state.course) {
    this.known = await courses();
    const select = byId("course");
    select.replaceChildren(...this.known.map((course) => element("option", { value: course.id }, `${course.account.name} (${lengthText(course.account)})`)));
    select.value = this.known.some((course) => course.id === id) ? id : this.known[0].id;
    this.form.set({ course: select.value });
    this.age();
  }

  #whole() {
    const asked = this.question();
    const course = this.known.find((one) => one.id === this.form.state.course)?.choice;
    return asked && course ? { ...asked, course } : null;
  }

  #show(answer, asked) {
    this.#answer = answer;
    this.#asked = ridden(asked);
    byId("ride-charts").hidden = false;
    const { series, ride } = answer;
    const line = (name, place, y) => ({ name, place, x: series.distance_m, y });
    this.travel.show([line("Fork", 0, series.front_travel_m), line("Rear wheel", 1, series.rear_travel_m)]);
    this.pitch.show([line("Pitch", 2, series.pitch_rad)]);
    listWords(byId("ride-warnings"), answer.warnings.filter((word) => !this.told.includes(word)));
    this.#figures(ride);
    this.age();
  }

  #figures(ride) {
    const percent = (share) => `${(100 * share).toFixed(1)} %`;
    const rows = [
      ["At rest", (end) => units.text("length", end.static_m)],
      ["Riding, on average", (end) => units.text("length", end.riding_m)],
      ["Drift of the ride height", (end) => units.text("length", end.drift_m)],
      ["Deepest", (end) => units.text("length", end.greatest_m)],
      ["Bottomed out", (end) => `${end.bottom_outs} times`],
      ["Off the ground", (end) => percent(end.contact_lost_share)],
      ["Tyre load varies by", (end) => `${percent(end.tyre_load_variation)} of its mean`],
    ];
    byId("ride-figures").replaceChildren(element("table", { class: "figures-table" }, element("caption", { class: "word-hidden" }, "Scores of both ends, wheel travel"),
      element("thead", {}, element("tr", {}, element("td", {}), element("th", { scope: "col" }, "Front wheel"), element("th", { scope: "col" }, "Rear wheel"))),
      element("tbody", {}, rows.map(([head, value]) => element("tr", {}, element("th", { scope: "row" }, head), element("td", { class: "figures" }, value(ride.front)), element("td", { class: "figures" }, value(ride.rear)))))));
  }
}
