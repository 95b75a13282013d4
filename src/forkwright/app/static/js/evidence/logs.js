// The Ride logs page: a log brought in and read, its stretches, two runs compared, a simulated ride beside it.
import { byId, element, fileName, listWords, offerSent } from "../dom.js";
import { JobBar } from "../job-watch.js";
import { getText, once } from "../link.js";
import { Rack } from "../rack.js";
import * as store from "../store.js";
import { Form, people, sayPeople, table } from "../tune/asking.js";
import { courses, importButton } from "../tune/courses.js";
import * as units from "../units.js";
import { BringIn } from "./bring-in.js";
import { Histogram, SpectrumChart } from "./histograms.js";
import { LongCharts } from "./long-charts.js";

const form = new Form("logs", { first: "", second: "", channel: "travel", travel: "", cutoff: "", sections: [], course: "demo:peat-hag-descent" });
const owner = () => store.forkAt("fork");
const page = document.querySelector(".evidence-page");
const found = { first: null, second: null, comparison: null, overlay: null };
let files = [];
let known = [];
let asked = null;

new Rack(byId("rack"), "fork", "Fork or shock", { files: false });
sayPeople();
for (const entry of ["travel", "cutoff"]) form.tie(entry, entry);
const charts = { travel: new Histogram(byId("chart-travel"), "travel"), speed: new Histogram(byId("chart-speed"), "speed"), spectrum: new SpectrumChart(byId("chart-spectrum")) };
const long = new LongCharts(byId("long"), { failed: (error) => fault(error.message), stretch: addSection });

// What is asked ------------------------------------------------------------------------------------------------
const nameOf = (key) => files.find((file) => file.file === key)?.name ?? "";
const sections = () => form.state.sections.map(({ name, start, stop }) => ({ name, start: Number(start), stop: Number(stop) })).filter((one) => one.name && Number.isFinite(one.start) && Number.isFinite(one.stop));
const ride = (file) => ({ file, fork: store.asked(owner()), channel: form.state.channel, travel: form.state.travel, cutoff: form.state.cutoff, sections: file === form.state.first ? sections() : [] });
const question = () => ({ first: ride(form.state.first), second: form.state.second ? ride(form.state.second) : null });

const bars = {
  first: new JobBar(byId("job"), "logs.first", { found: (answer, of) => { found.first = answer; show(of); second(); }, failed: (error) => fault(error.message), changed: busy }),
  second: new JobBar(byId("job-second"), "logs.second", { found: (answer) => { found.second = answer; show(); compare(); }, failed: (error) => fault(error.message), changed: busy }),
  compare: new JobBar(byId("job-compare"), "logs.compare", { found: (answer) => { found.comparison = answer; show(); }, failed: (error) => fault(error.message), changed: busy }),
  overlay: new JobBar(byId("job-overlay"), "logs.overlay", { found: (answer) => { found.overlay = answer; showOverlay(); long.redraw(); }, failed: (error) => fault(error.message), changed: (on) => { byId("simulate").disabled = on; } }),
};

function busy(on) {
  byId("go").disabled = on || !form.state.first;
}

async function work() {
  if (!form.state.first) return;
  fault(null);
  Object.assign(found, { first: null, second: null, comparison: null, overlay: null });
  asked = question();
  for (const bar of [bars.second, bars.compare]) await bar.cancel();
  await bars.first.ask("/api/evidence/ride", asked.first);
}
const second = () => asked?.second && bars.second.ask("/api/evidence/ride", asked.second);
const compare = () => asked?.second && bars.compare.ask("/api/evidence/compare", asked);

byId("ask").addEventListener("submit", (event) => {
  event.preventDefault();
  work();
});
for (const event of ["input", "change"]) byId("ask").addEventListener(event, () => setTimeout(age));
store.onDraft(age);

function age() {
  const old = asked !== null && found.first && JSON.stringify(question()) !== JSON.stringify(asked);
  byId("stale").textContent = old ? "Something has changed since: read it again." : "";
  page.classList.toggle("is-stale", Boolean(old));
}

function fault(words) {
  byId("fault").textContent = words ?? "";
  byId("fault").hidden = !words;
}

// Files, channels, stretches ------------------------------------------------------------------------------------
const bring = new BringIn({ page: "logs", drop: byId("drop"), list: byId("files"), columns: byId("columns"), changed: filesChanged });

function filesChanged(read, fresh) {
  files = read;
  if (fresh && (!nameOf(form.state.first) || files.length === 1)) form.set({ first: fresh.file, sections: [] });
  else if (fresh && !nameOf(form.state.second) && fresh.file !== form.state.first) form.set({ second: fresh.file });
  if (!nameOf(form.state.first)) form.set({ first: files[0]?.file ?? "" });
  if (!nameOf(form.state.second)) form.set({ second: "" });
  fillChoices();
  if (fresh && [form.state.first, form.state.second].includes(fresh.file)) work();
}

function fillChoices() {
  const options = files.map((file) => element("option", { value: file.file }, file.name));
  byId("first").replaceChildren(...options);
  byId("second").replaceChildren(element("option", { value: "" }, "nothing"), ...files.filter((file) => file.file !== form.state.first).map((file) => element("option", { value: file.file }, file.name)));
  byId("first").value = form.state.first;
  byId("second").value = form.state.second;
  const channels = (files.find((file) => file.file === form.state.first)?.account.channels ?? []).filter((one) => one.dimension === "length");
  byId("channel").replaceChildren(...channels.map((one) => element("option", { value: one.name }, one.name.replaceAll("_", " "))));
  if (!channels.some((one) => one.name === form.state.channel) && channels.length) form.set({ channel: channels[0].name });
  byId("channel").value = form.state.channel;
  byId("go").disabled = !form.state.first;
}
byId("first").addEventListener("change", () => {
  form.set({ first: byId("first").value, ...(byId("first").value === form.state.second ? { second: "" } : {}) });
  fillChoices();
});
byId("second").addEventListener("change", () => form.set({ second: byId("second").value }));
byId("channel").addEventListener("change", () => form.set({ channel: byId("channel").value }));
document.addEventListener("evidence:moved", ({ detail: { from, to } }) => {
  for (const place of ["first", "second"]) if (form.state[place] === from) form.set({ [place]: to });
});

function addSection(start, stop) {
  form.set({ sections: [...form.state.sections, { name: `Stretch ${form.state.sections.length + 1}`, start: start.toFixed(2), stop: stop.toFixed(2) }] });
  buildSections();
  age();
  byId(`section-${form.state.sections.length - 1}-name`).focus();
}

function buildSections() {
  const field = (at, entry, label, most) => {
    const id = `section-${at}-${entry}`;
    const input = element("input", { type: "text", id, maxlength: most, value: form.state.sections[at][entry], oninput: () => { form.state.sections[at][entry] = input.value; form.set({ sections: form.state.sections }); } });
    return element("div", { class: "field" }, element("label", { for: id }, label), input);
  };
  byId("sections").replaceChildren(element("legend", {}, "Stretches of the course"), element("p", { class: "quiet" }, "From a column of sections, or named here; zoom in on the log and name what you see."),
    ...form.state.sections.map((one, at) => element("div", { class: "section-row" }, field(at, "name", "Name", "60"), field(at, "start", "from (s)", "20"), field(at, "stop", "to (s)", "20"),
      element("button", { type: "button", class: "plain", "aria-label": `Take ${one.name} out`, onclick: () => { form.set({ sections: form.state.sections.filter((_, place) => place !== at) }); buildSections(); age(); } }, "Take out"))));
}

// Showing ------------------------------------------------------------------------------------------------------
const percent = (share, digits = 1) => `${(100 * share).toFixed(digits)} %`;
const FIGURES = [
  ["Riding", (use) => `${use.riding_s.toFixed(0)} s`],
  ["Riding sag", (use, full) => `${units.text("length", use.riding_sag_m)} (${percent(use.riding_sag_m / full, 0)})`],
  ["Nine tenths of the time", (use) => `${units.figure("length", use.usual_low_m)} to ${units.text("length", use.usual_high_m)}`],
  ["Deepest", (use, full) => `${units.text("length", use.deepest_m)} (${percent(use.deepest_m / full, 0)})`],
  ["Bottom-outs", (use) => String(use.bottom_outs)],
  ["Top-outs", (use) => String(use.top_outs)],
  ["Deep in the travel (beyond 80 %)", (use) => percent(use.deep_share)],
  ["Compressing fast (above 0.5 m/s)", (use) => percent(use.fast_compression_share)],
  ["Rebounding fast", (use) => percent(use.fast_rebound_share)],
  ["One hundredth compresses faster than", (use) => units.text("speed", use.compression_speed_m_s, 1)],
  ["One hundredth rebounds faster than", (use) => units.text("speed", use.rebound_speed_m_s, 1)],
];

function show(of = null) {
  if (of && asked === null) asked = { first: of, second: null };
  if (!found.first) return;
  page.classList.add("has-answer");
  byId("nothing-yet").hidden = true;
  const both = [found.first, found.second].filter(Boolean);
  const uses = both.flatMap((log) => [{ ...log.whole, name: both.length > 1 ? log.source : log.whole.name, log }, ...log.sections.map((use) => ({ ...use, log }))]);
  byId("figures").replaceChildren(table(["Figure", ...uses.map((use) => use.name)], FIGURES.map(([words, text]) => element("tr", {}, element("th", { scope: "row" }, words), uses.map((use) => element("td", { class: "figures" }, text(use, use.log.full_travel_m))))), { caption: `What was used of ${units.text("length", found.first.full_travel_m)} of travel` }));
  const warnings = [...new Set(both.flatMap((log) => log.warnings.map((words) => (both.length > 1 ? `${log.source}: ${words}` : words))))];
  listWords(byId("warnings"), warnings);
  byId("offers").replaceChildren(handOver(), useTable("csv", "Use by section as CSV"), useTable("xlsx", "Use by section as XLSX"));
  long.show(asked.first, found.first);
  showShares();
  showComparison();
  showOverlay();
  age();
}

function showShares() {
  const laid = found.overlay ? [{ name: `${found.overlay.unit} over ${found.overlay.course}, simulated`, used: found.overlay.simulated_use }] : [];
  const logs = [found.first, found.second].filter(Boolean);
  const rides = [...logs.map((log) => ({ name: log.source, used: log.whole.used })), ...laid];
  charts.travel.show(rides);
  charts.speed.show(rides);
  charts.spectrum.show(logs.map((log) => ({ name: log.source, spectrum: log.spectrum })));
}

// The ride's histograms weigh travel and speeds when another fork is matched to this one.
function handOver() {
  return element("button", { type: "button", class: "plain", onclick: () => {
    new Form("match", {}).set({ kind: "log", file: form.state.first, channel: form.state.channel });
    location.assign("/match");
  } }, "Match another fork by this ride");
}

// What is shown as figures, as the command line's table of the use; the server writes it.
function useTable(kind, words) {
  const button = element("button", { type: "button", class: "plain", onclick: async () => {
    fault(null);
    button.disabled = true;
    try {
      const sent = await once("POST", "/api/evidence/use", { rides: [asked.first, ...(found.second ? [asked.second] : [])], kind });
      offerSent(sent, `${fileName(found.first.source.replace(/\.[^.]*$/, ""), "ride")}-${sent.name}`);
    } catch (error) {
      fault(error.message);
    }
    button.disabled = false;
  } }, words);
  return button;
}

const NUMBER = { m: (value) => units.figure("length", value, 1), "m/s": (value) => units.figure("speed", value, 1), "": (value) => (100 * value).toFixed(2) };
const UNIT = { m: () => units.symbol("length"), "m/s": () => units.symbol("speed"), "": () => "%" };

function showComparison() {
  const answer = found.comparison;
  byId("comparison").hidden = !answer;
  if (!answer) return;
  const rows = answer.differences.map((one) => {
    const [number, unit] = [NUMBER[one.si_unit], UNIT[one.si_unit]()];
    const signed = (value) => `${value > 0 ? "+" : ""}${number(value)}`;
    return element("tr", {}, element("th", { scope: "row" }, one.name), [`${number(one.first)} ${unit}`, `${number(one.second)} ${unit}`, `${signed(one.change.value)} ${unit}`, `${signed(one.change.low)} to ${signed(one.change.high)}`].map((text) => element("td", { class: "figures" }, text)), element("td", {}, one.shown ? element("strong", {}, "differs") : "within chance"));
  });
  byId("differences").replaceChildren(table(["Figure", answer.first, answer.second, "Change", `${percent(answer.level, 0)} interval`, "Verdict"], rows, { caption: "Second ride less first, with block-bootstrap intervals" }),
    element("p", { class: "quiet" }, `Stretches of ${answer.block_s.toFixed(1)} s of both rides were drawn anew 2,000 times.`), element("ul", { class: "warnings" }, answer.warnings.map((words) => element("li", {}, words))));
}

function showOverlay() {
  const laid = found.overlay;
  byId("overlay-words").replaceChildren(...(laid ? [`${laid.unit} over ${laid.course}, moved by ${laid.shift_s.toFixed(2)} s: correlation ${laid.correlation.toFixed(2)}, ${units.text("length", laid.rms_m, 1)} apart (rms). It is drawn over the log above and in the histograms below.`, element("ul", { class: "warnings" }, laid.warnings.map((words) => element("li", {}, words)))] : []));
  if (found.first) showShares();
}

units.onUnits(() => {
  show();
  showOverlay();
});

// A simulated ride, and the demonstration -----------------------------------------------------------------------
async function fillCourses(pick = form.state.course) {
  known = await courses();
  byId("course").replaceChildren(...known.map((one) => element("option", { value: one.id }, one.account.name)));
  byId("course").value = known.some((one) => one.id === pick) ? pick : known[0].id;
}
byId("course").addEventListener("change", () => form.set({ course: byId("course").value }));
byId("import-course").append(importButton((id) => id && fillCourses(id)));
byId("simulate").addEventListener("click", () => {
  fault(null);
  bars.overlay.ask("/api/evidence/overlay", { ride: asked.first, ...people(), course: known.find((one) => one.id === byId("course").value).choice });
});
byId("demo").addEventListener("click", async () => {
  for (const name of ["moor-ride-a.csv", "moor-ride-b.csv"]) bring.take([new File([await getText(`/api/evidence/demo/${name}`)], name)]);
});

buildSections();
fillChoices();
fillCourses().then(() => bring.restore()).then(async () => {
  if (files.length && (await bars.first.resume()) && asked) asked = question();
  if (found.first) await Promise.all([bars.second.resume(), bars.compare.resume(), bars.overlay.resume()]);
  age();
});
