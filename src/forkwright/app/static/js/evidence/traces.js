// The Bench traces page: traces beside the model, a fit with what it can and cannot tell, leak-downs and ingress.
import { DayFields, dayNow } from "../day.js";
import { byId, element, listWords, offerFile } from "../dom.js";
import { JobBar } from "../job-watch.js";
import { getText } from "../link.js";
import { Rack } from "../rack.js";
import * as store from "../store.js";
import { TextFields } from "../text-fields.js";
import { Form, table } from "../tune/asking.js";
import * as units from "../units.js";
import { BringIn } from "./bring-in.js";
import { Leaks } from "./leaks.js";
import { TraceCharts, traceCsv } from "./trace-charts.js";

const READINGS = { oil_temperature: ["Oil (dynamometer)", "20 °C"], gauge_step: ["Gauge step", "0 psi"], hose: ["Hose, put on anew", "0 ml"], force_zero: ["Load cell's zero ±", "0 N"], travel_zero: ["Travel sensor's zero ±", "0 mm"] };
const SETTING = Object.entries({ pressure: "Main pressure", spacers: "Spacers", floating: "Secondary pressure", negative_pressure: "Negative chamber, own valve", preload: "Preload of the coil" }).map(([name, label]) => ({ name, label, usual: "", empty: "unchanged" }));
const TRACE_KINDS = ["pull", "pressure", "dyno"];
const LEAK_KINDS = ["leak-down", "rides"];
const KIND_WORDS = { pull: "slow pull", pressure: "pressure over travel", dyno: "force over speed", "leak-down": "leak-down", rides: "pressure after rides", log: "a ride log: see Ride logs" };
const form = new Form("traces", { chosen: [], moved: {}, setting: {}, loss: "plain", level: "0.95", ...Object.fromEntries(Object.entries(READINGS).map(([name, [, given]]) => [name, given])) });
const owner = () => store.forkAt("fork");
const page = document.querySelector(".evidence-page");
let files = [];
let looked = null;
let laying = null;
let fitted = null;

new Rack(byId("rack"), "fork", "Fork or shock", { files: false });
const day = new DayFields(byId("day"), "traces", again);
const setting = new TextFields(byId("setting"), "setting", SETTING, { read: (name) => form.state.setting[name], typed: (name, text) => {
  form.set({ setting: { ...form.state.setting, [name]: text } });
  titleSetting();
  again();
} });
function titleSetting() {
  const stated = SETTING.filter(({ name }) => setting.text(name)).map(({ name, label }) => `${label.toLowerCase()} ${setting.text(name)}`);
  byId("setting-title").textContent = `Setting during the trace: ${stated.join(", ") || "as on the bench"}`;
}
titleSetting();
byId("readings").append(...Object.entries(READINGS).map(([name, [label]]) => element("div", { class: "field", "data-for": name }, element("label", { for: `reading-${name}` }, label), element("input", { type: "text", id: `reading-${name}`, maxlength: "40" }))));
for (const name of Object.keys(READINGS)) form.tie(`reading-${name}`, name);
form.tie("loss", "loss");
form.tie("level", "level");
const charts = new TraceCharts({ model: byId("chart-model"), loop: byId("chart-loop"), residual: byId("chart-residual") });
const leaks = new Leaks(byId("leaks"), byId("chart-leak"));

// What is asked ------------------------------------------------------------------------------------------------
const chosen = (kinds) => files.filter((file) => form.state.chosen.includes(file.file) && kinds.includes(file.account.kind));
const traceQuestion = () => ({ fork: store.asked(owner()), files: chosen(TRACE_KINDS).map((file) => file.file), setting: Object.fromEntries(SETTING.map(({ name }) => [name, setting.text(name)])), day: dayNow(), oil_temperature: form.state.oil_temperature, units: units.chosenUnits() });
const fitQuestion = () => ({ ...traceQuestion(), parameters: ticked(), loss: form.state.loss, level: Number(form.state.level), force_zero: form.state.force_zero, travel_zero: form.state.travel_zero });
const leakQuestion = () => ({ fork: store.asked(owner()), file: chosen(LEAK_KINDS)[0]?.file ?? "", gauge_step: form.state.gauge_step, hose: form.state.hose, altitude: dayNow().altitude, level: Number(form.state.level) });

const failed = (error) => fault(error.message, error);
const bars = {
  traces: new JobBar(byId("job"), "traces.look", { found: (answer) => { looked = answer; fitted = null; showTraces(); }, failed }),
  fit: new JobBar(byId("job-fit"), "traces.fit", { found: (answer) => { fitted = answer; showTraces(); showFit(); }, failed, changed: mayFit }),
  leak: new JobBar(byId("job-leak"), "traces.leak", { found: (answer) => showLeak(answer), failed }),
};

// Another setting or day was typed: what is shown was for the one before.
function again() {
  if (!page.classList.contains("has-answer")) return;
  bars.fit.cancel();
  work();
}

async function work() {
  fault(null);
  const [traces, leak] = [chosen(TRACE_KINDS), chosen(LEAK_KINDS)];
  Object.assign(page.dataset, { traces: traces.length > 0, leak: leak.length > 0 });
  byId("nothing-yet").hidden = traces.length + leak.length > 0;
  if (traces.length) await (laying = bars.traces.ask("/api/evidence/traces", traceQuestion()));
  if (leak.length) await bars.leak.ask("/api/evidence/leak", leakQuestion());
}

function mayFit(on = bars.fit.busy) {
  byId("fit").disabled = on || !looked || ticked().length === 0;
}

byId("ask").addEventListener("submit", (event) => {
  event.preventDefault();
  work();
});
// Whoever presses Fit right behind a field has just set off the traces anew: their answer would take the fit's away.
byId("fit").addEventListener("click", async () => {
  await laying;
  fault(null);
  bars.fit.ask("/api/evidence/fit", fitQuestion());
});

// An error is said below the figures and at its field, whichever of the two names of the setting it bears.
function fault(words, error = null) {
  byId("fault").textContent = words ?? "";
  byId("fault").hidden = !words;
  day.tell(error);
  setting.tell(error?.body ? { message: error.message, body: { key: error.body.key?.replace(/^setting\./, "") } } : null);
}
store.onDraft((cause) => cause === "elsewhere" && day.show());

// Files --------------------------------------------------------------------------------------------------------
const bring = new BringIn({ page: "traces", drop: byId("drop"), list: byId("files"), columns: byId("columns"), changed: filesChanged });

function filesChanged(read, fresh) {
  files = read;
  if (fresh) {
    const kinds = LEAK_KINDS.includes(fresh.account.kind) ? LEAK_KINDS : [];
    const others = form.state.chosen.filter((key) => !kinds.includes(files.find((file) => file.file === key)?.account.kind));
    form.set({ chosen: [...new Set([...others, fresh.file])] });
  }
  form.set({ chosen: form.state.chosen.filter((key) => files.some((file) => file.file === key)) });
  showChoices();
  if (fresh) work();
}
document.addEventListener("evidence:moved", ({ detail: { from, to } }) => form.set({ chosen: form.state.chosen.map((key) => (key === from ? to : key)) }));

function showChoices() {
  byId("traces").replaceChildren(element("legend", {}, "Which of them"), ...(files.length ? files.map((file) => {
    const kind = file.account.kind;
    const tick = element("input", { type: "checkbox", disabled: kind === "log", onchange: () => {
      const rest = form.state.chosen.filter((key) => key !== file.file && !(LEAK_KINDS.includes(kind) && chosen(LEAK_KINDS).some((one) => one.file === key)));
      form.set({ chosen: tick.checked ? [...rest, file.file] : rest });
      showChoices();
    } });
    tick.checked = form.state.chosen.includes(file.file);
    return element("label", { class: "tick" }, tick, element("span", {}, file.name, " ", element("span", { class: "quiet" }, KIND_WORDS[kind])));
  }) : [element("p", { class: "quiet" }, "Nothing brought in yet.")]));
  const leak = chosen(LEAK_KINDS).length > 0;
  const traced = chosen(TRACE_KINDS).length > 0;
  for (const [name, there] of [["gauge_step", leak], ["hose", leak], ["oil_temperature", chosen(["dyno"]).length > 0], ["force_zero", traced], ["travel_zero", traced]]) document.querySelector(`[data-for="${name}"]`).hidden = !there;
  byId("setting").closest("details").hidden = leak && !traced;
  byId("go").disabled = !leak && !traced;
}

// Showing ------------------------------------------------------------------------------------------------------
function warn(list) {
  listWords(byId("warnings"), [...new Set(list)]);
}

function showTraces() {
  const answer = fitted ?? looked;
  if (!answer) return;
  page.classList.add("has-answer");
  byId("nothing-yet").hidden = true;
  byId("unit-name").textContent = answer.unit;
  warn(answer.warnings);
  charts.show(looked, fitted);
  const loop = answer.loop;
  const reading = (words, value) => element("div", {}, element("dt", {}, words), element("dd", { class: "figures" }, value));
  byId("loop").replaceChildren(...(loop ? [reading("Friction, mean over the loop", `${units.text("force", loop.friction_mean_N, 1)} ± ${units.text("force", loop.friction_error_N, 1)}`), reading("Energy of the loop", units.text("energy", loop.energy_J, 1)), reading("Strokes", String(loop.strokes))] : []));
  showParameters();
  byId("fitted").hidden = !fitted;
}

// What may move: as usual for these traces, but for what was ticked or unticked by hand.
const isOn = (one) => form.state.moved[one.path] ?? one.on;
const ticked = () => looked.parameters.filter(isOn).map((one) => one.path);

function showParameters() {
  if (!looked) return;
  byId("parameters").replaceChildren(element("legend", {}, "What may move"), ...looked.parameters.map((one) => {
    const tick = element("input", { type: "checkbox", onchange: () => {
      form.set({ moved: { ...form.state.moved, [one.path]: tick.checked } });
      mayFit();
    } });
    tick.checked = isOn(one);
    return element("label", { class: "tick" }, tick, element("span", {}, one.words, " ", element("span", { class: "quiet figures" }, one.measured)));
  }));
  if (looked.parameters.length === 0) byId("parameters").append(element("p", { class: "quiet" }, "No measure that these traces speak about has a tolerance: give some on the Fork page."));
  mayFit();
}

function showFit() {
  const take = new Set(fitted.proposal.filter((row) => row.entry).map((row) => row.path));
  const said = element("span", { class: "quiet", role: "status" });
  const give = element("button", { type: "button", class: "main-button", onclick: () => {
    store.change(owner(), changes(fitted.proposal.filter((row) => take.has(row.path))));
    said.textContent = "On the bench, with what was measured in the note; Undo takes it back.";
  } }, "Put the ticked values on the bench");
  const refresh = () => { give.disabled = take.size === 0; };
  const rows = fitted.proposal.map((row) => {
    const tick = element("input", { type: "checkbox", "aria-label": `Take ${row.words}`, disabled: !row.entry, onchange: () => { take[tick.checked ? "add" : "delete"](row.path); refresh(); } });
    tick.checked = Boolean(row.entry);
    return element("tr", {}, element("td", {}, row.entry ? element("label", { class: "tick" }, tick) : element("span", { class: "quiet" }, "stays")), element("th", { scope: "row" }, row.words), ...[row.measured, row.fitted, `± ${row.interval}`].map((text) => element("td", { class: "figures" }, text)), element("td", { class: "figures" }, `${Math.round(100 * row.learned)} %`));
  });
  refresh();
  const level = `${Math.round(100 * fitted.level)} % interval`;
  const noise = fitted.traces.map((trace) => `one sample scatters by ${noiseText(trace)} (${trace.name})`);
  byId("fit-words").replaceChildren(...(fitted.converged ? [] : [element("p", { class: "notice bad" }, "The search stopped before it settled: do not trust these values.")]),
    element("ul", { class: "sentences" }, [...fitted.advice, ...noise].map((words) => element("li", {}, words))));
  byId("values").replaceChildren(table(["Take", "Value", "Measured", "Fitted", level, "Learned"], rows, { caption: "Fitted values" }),
    element("p", { class: "quiet" }, "Learned: how much of the callipers' uncertainty the trace took away. A value below 19 % stays as it was measured."), element("p", { class: "row" }, give, said));
  byId("correlations").replaceChildren(correlations());
  byId("residual-file").replaceChildren(element("button", { type: "button", class: "plain", onclick: () => offerFile("residuals.csv", traceCsv(fitted), "text/csv") }, "Residuals as CSV"));
}

// A value that stands in a list of the file (a shim in its stack) changes the list as a whole.
function changes(rows) {
  const entries = {};
  for (const row of rows) {
    if (!row.list) entries[row.path] = row.entry;
    else (entries[row.list] ??= [...fitted.lists[row.list]])[row.index] = row.entry;
  }
  return entries;
}

const noiseText = (trace) => (trace.noise_N === undefined ? units.text("pressure", trace.noise_Pa, 1) : units.text("force", trace.noise_N, 1));

// Pairs that hang together, the closest first; beyond 0.95 the trace cannot tell them apart.
function correlations() {
  const names = fitted.proposal.map((row) => row.words);
  const pairs = names.flatMap((first, i) => names.slice(i + 1).map((other, j) => ({ first, other, r: fitted.correlation[i][i + 1 + j] }))).sort((a, b) => Math.abs(b.r) - Math.abs(a.r)).slice(0, 12);
  const alike = new Set(fitted.alike.map((pair) => `${pair.first}|${pair.second}`));
  const path = (words) => fitted.proposal.find((row) => row.words === words).path;
  return table(["Two values", "Correlation", "Verdict"], pairs.map(({ first, other, r }) => element("tr", {}, element("th", { scope: "row" }, `${first} and ${other}`), element("td", { class: "figures" }, r.toFixed(3)), element("td", {}, alike.has(`${path(first)}|${path(other)}`) ? element("strong", {}, "cannot be told apart") : ""))), { caption: "Correlation of the fitted values" });
}

function showLeak(answer) {
  page.classList.add("has-answer");
  byId("nothing-yet").hidden = true;
  leaks.show(answer);
}

units.onUnits(() => {
  showTraces();
  leaks.redraw();
});
byId("demo").addEventListener("click", async () => {
  for (const name of ["dunlin-slow-pull.csv", "dunlin-leak-down.csv"]) bring.take([new File([await getText(`/api/evidence/demo/${name}`)], name)]);
});

showChoices();
bring.restore().then(async () => {
  if (!files.length) return;
  showChoices();
  Object.assign(page.dataset, { traces: chosen(TRACE_KINDS).length > 0, leak: chosen(LEAK_KINDS).length > 0 });
  await bars.traces.resume();
  await Promise.all([bars.fit.resume(), bars.leak.resume()]);
});
