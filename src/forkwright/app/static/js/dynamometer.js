// The virtual dynamometer: a sine or a step test of the damper on the bench, run when asked for. Nothing here follows a
// slider: a run stands as it was made, and says so once the damper or the test is another one.
import { Chart } from "./chart.js";
import { byId, element, listReadings, listWords } from "./dom.js";
import { JobBar } from "./job-watch.js";
import { NumberTable } from "./number-table.js";
import * as store from "./store.js";
import { TextFields } from "./text-fields.js";
import * as units from "./units.js";

const KEPT = "dyno";
const FIELDS = {
  sine: [
    { name: "amplitude", label: "Half the stroke", usual: "25 mm" },
    { name: "frequency", label: "Frequency", usual: "1.6 Hz" },
    { name: "duration", label: "For how long", usual: "10 s" },
  ],
  step: [
    { name: "stroke", label: "Stroke", usual: "50 mm" },
    { name: "speed", label: "Speed both ways", usual: "1 m/s" },
    { name: "hold", label: "Rest at both ends", usual: "0.1 s" },
    { name: "cycles", label: "How often", usual: "2" },
  ],
};
const ALWAYS = [
  { name: "centre", label: "Compression at mid-stroke", usual: "", empty: "mid-travel" },
  { name: "air temperature", label: "Air around the damper", usual: "20 °C" },
];
const FEWEST_TO_FADE = 3;
// A step test rests most of its cycle: it takes more points for its strokes to have corners.
const POINTS = { sine: 250, step: 750 };
const TIME = { kind: "time", label: "Time", extra: 2 };
const FORCE = { kind: "force", label: "Force" };
const kept = () => store.view(KEPT, {});

export class Dynamometer {
  #answer = null;
  #of = "";

  // `damper()` is what is asked of the damper on the bench: fork, oil_temperature, altitude.
  constructor(damper) {
    this.damper = damper;
    const fields = (id, list) => new TextFields(byId(id), "dyno", list, { read: (name) => kept()[name], typed: (name, text) => this.#keep({ [name]: text }) });
    this.fields = { sine: fields("dyno-sine", FIELDS.sine), step: fields("dyno-step", FIELDS.step), always: fields("dyno-always", ALWAYS) };
    const chart = (name, title, x, y, loop) => new Chart(byId(`chart-dyno-${name}`), { title, x, y, file: `dyno-${name}`, loop });
    this.charts = {
      speed: chart("speed", "Force over speed", { kind: "speed", label: "Shaft speed" }, FORCE, true),
      travel: chart("travel", "Force over travel", { kind: "length", label: "Travel" }, FORCE, true),
      pressures: chart("pressures", "Chamber pressures and cavitation margin, last cycle", { ...TIME, label: "Time in the cycle", extra: 3 }, { kind: "pressure", label: "Pressure, absolute" }),
      energy: chart("energy", "Energy of each cycle", TIME, { kind: "energy", label: "Energy", extra: 1, fromZero: true }),
      heat: chart("heat", "Oil temperature, mean of each cycle", TIME, { kind: "temperature", label: "Oil temperature" }),
    };
    this.cycles = new NumberTable(byId("dyno-cycles"), "Cycle by cycle", "dyno-cycles");
    this.bar = new JobBar(byId("dyno-job"), "dyno", {
      found: (answer, asked) => this.#found(answer, asked), failed: (error) => this.#refused(error),
      changed: (busy) => { byId("dyno-go").disabled = busy; },
    });
    byId("dyno-form").addEventListener("submit", (event) => {
      event.preventDefault();
      this.#run();
    });
    for (const radio of this.#radios) radio.addEventListener("change", () => this.#keep({ test: radio.value }));
    units.onUnits(() => this.#answer && this.#readings());
    this.refresh();
    this.bar.resume();
  }

  // Show the test that is kept; another page may have changed it.
  refresh() {
    for (const radio of this.#radios) radio.checked = radio.value === this.#test;
    for (const test of Object.keys(FIELDS)) byId(`dyno-${test}`).hidden = test !== this.#test;
    for (const fields of Object.values(this.fields)) fields.show();
    this.age();
  }

  // A run of another damper or another test says so.
  age() {
    if (!this.#answer) return;
    const old = JSON.stringify(this.#question()) !== this.#of;
    byId("dyno-stale").hidden = !old;
    byId("dyno-run").classList.toggle("is-old", old);
  }

  get #radios() {
    return [...byId("dyno-tests").querySelectorAll("input")];
  }

  get #test() {
    return kept().test ?? "sine";
  }

  #keep(entries) {
    store.setView(KEPT, { ...kept(), ...entries });
    this.refresh();
  }

  #question() {
    const { always } = this.fields;
    const own = this.fields[this.#test];
    const given = Object.fromEntries(own.fields.map(({ name }) => [name, own.text(name)]));
    if (this.#test === "step") given.cycles = Number.isInteger(Number(given.cycles)) ? Number(given.cycles) : given.cycles;
    return { ...this.damper(), test: this.#test, points: POINTS[this.#test], ...given, centre: always.text("centre") || null, air_temperature: always.text("air temperature") };
  }

  #run() {
    this.#fault(null);
    this.bar.ask("/api/damper/dyno", this.#question());
  }

  #refused(error) {
    this.#fault(error);
  }

  #fault(error) {
    const told = Object.values(this.fields).map((fields) => fields.tell(error)).some(Boolean);
    byId("dyno-fault").hidden = !error || told;
    byId("dyno-fault").textContent = error?.message ?? "";
  }

  // Showing ----------------------------------------------------------------------------------------------------
  #found(answer, asked) {
    this.#fault(null);
    this.#answer = answer;
    this.#of = JSON.stringify(asked);
    byId("dyno-run").hidden = false;
    listWords(byId("dyno-warnings"), answer.warnings);
    this.#readings();
    this.#loops();
    this.#pressures();
    this.#byCycle();
    this.age();
  }

  #readings() {
    const { cycle_energy_J: energy, cycle_temperature_K: warm, cycle_peak_compression_N: inwards, cycle_peak_rebound_N: outwards, loops, ...run } = this.#answer;
    const rows = [
      ["Peak in compression", units.text("force", inwards.at(-1))], ["Peak in rebound", units.text("force", outwards.at(-1))],
      ["Greatest speed", units.text("speed", Math.max(...loops.at(-1).speed_m_s))],
      ["Energy of a cycle", units.text("energy", energy.at(-1), 1)],
      ["Area of the force-speed loop", `${run.hysteresis_N_m_s.toFixed(2)} N m/s`], ["Loop at its widest", units.text("force", run.widest_N, 1)],
      ["Oil at the end", units.text("temperature", warm.at(-1))],
      ["Lowest cavitation margin", units.text("pressure", run.margin_lowest_Pa)],
    ];
    if (energy.length >= FEWEST_TO_FADE) rows.push(["Fade since the second cycle", `${(100 * run.fade).toFixed(2)} %`]);
    listReadings(byId("dyno-readings"), rows);
  }

  #loops() {
    const look = (place, count) => (place === count - 1 ? { place: 0 } : { place: place + 1, faint: true });
    const lines = (along) => this.#answer.loops.map((loop, at, all) => ({ name: `Cycle ${loop.cycle}`, x: loop[along], y: loop.force_N, ...look(at, all.length) }));
    this.charts.speed.show(lines("speed_m_s"));
    this.charts.travel.show(lines("travel_m"));
  }

  #pressures() {
    const last = this.#answer.loops.at(-1);
    const began = (last.cycle - 1) * this.#answer.cycle_s;
    const x = last.time_s.map((time) => time - began);
    this.charts.pressures.show([
      { name: "Compression chamber", x, y: last.compression_chamber_Pa, place: 0 },
      { name: "Shaft side", x, y: last.shaft_chamber_Pa, place: 1 },
      { name: "Reservoir", x, y: last.reservoir_Pa, place: 2 },
      { name: "Cavitation margin", x, y: last.cavitation_margin_Pa, place: 3 },
    ]);
  }

  #byCycle() {
    const { cycle_energy_J: energy, cycle_temperature_K: warm, cycle_peak_compression_N: inwards, cycle_peak_rebound_N: outwards, cycle_s: length } = this.#answer;
    const numbers = energy.map((_, at) => at + 1);
    const ends = numbers.map((number) => number * length);
    byId("dyno-fading").hidden = energy.length < FEWEST_TO_FADE;
    if (energy.length >= FEWEST_TO_FADE) {
      this.charts.energy.show([{ name: "Energy of each cycle", x: ends, y: energy, place: 0 }]);
      this.charts.heat.show([{ name: "Oil temperature", x: ends, y: warm, place: 1 }]);
    }
    this.cycles.show([
      { label: "Cycle", kind: null, values: numbers }, { label: "Energy", kind: "energy", values: energy, extra: 1 }, { label: "Oil", kind: "temperature", values: warm },
      { label: "Peak compression", kind: "force", values: inwards }, { label: "Peak rebound", kind: "force", values: outwards },
    ]);
  }
}
