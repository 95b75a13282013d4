// The Recommend page: the setting to start with, the trade-off as points and as a table, and steps around it.
import { DayFields, dayNow } from "../day.js";
import { byId, element } from "../dom.js";
import { Rack } from "../rack.js";
import { ScatterChart } from "../scatter-chart.js";
import * as store from "../store.js";
import * as units from "../units.js";
import { Asking, Form, number, people, sayPeople, table, takeButton } from "./asking.js";
import { adjusterBands } from "./bands.js";
import { CourseTicks } from "./courses.js";
import { LogChoice } from "./log-choice.js";
import { RIDE_AS_USUAL, rideAsked, tieRide } from "./ride-fields.js";
import { wishFields } from "./wishes.js";

const AXES = {
  grip: { label: "Tyre load varies by", digits: 1, unit: "% of its mean", of: (one) => 100 * one.tyre_load_variation },
  comfort: { label: "Hands feel", digits: 2, unit: "m/s² rms", of: (one) => one.hand_acceleration_m_s2 },
  support: { label: "Rides at", kind: "length", of: (one, travel) => one.riding_travel_share * travel },
  margin: { label: "Biggest event uses", digits: 1, unit: "% of travel", of: (one) => 100 * one.deepest_travel_share },
};
const form = new Form("recommend", { courses: ["demo:heather-traverse"], wishes: [], ...RIDE_AS_USUAL, weighed: false, file: "", channel: "", x: "grip", y: "support" });
const owner = () => store.forkAt("fork");
let unit = null; // that was asked about
let kind = "fork"; // it is
let answer = null;
let picked = null;

new Rack(byId("rack"), "fork", "Fork or shock", { files: false });
sayPeople();
tieRide(form);
wishFields(byId("wishes"), form.state.wishes, (wishes) => form.set({ wishes }));
const ticks = new CourseTicks(byId("courses"), form.state.courses, (courses) => form.set({ courses }));
const log = new LogChoice(byId("log"), form, "it as it is set now");
const showLog = () => {
  byId("log").hidden = !form.state.weighed;
  if (form.state.weighed) log.show();
};
form.tie("weighed", "weighed");
byId("weighed").addEventListener("change", showLog);
showLog();
for (const way of ["x", "y"]) {
  const select = byId(`axis-${way}`);
  select.replaceChildren(...Object.entries(AXES).map(([aim, axis]) => element("option", { value: aim }, `${aim}: ${axis.label.toLowerCase()}`)));
  select.value = form.state[way];
  select.addEventListener("change", (event) => {
    event.stopPropagation();
    form.set({ [way]: select.value });
    drawFront();
  });
}

const question = () => ({ fork: store.asked(owner()), ...people(), courses: ticks.chosen(), wishes: form.state.wishes, margin_percent: number(form.state.margin), ...rideAsked(form), bands: form.state.bands, day: dayNow(), ...(form.state.weighed ? { log: log.chosen() } : {}), units: units.chosenUnits() });

// Showing ------------------------------------------------------------------------------------------------------
const front = new ScatterChart(byId("chart-front"), { title: "Settings that no other beats", file: "trade-off", picked: (key) => key !== null && pick(key) });
const all = () => [answer.best, ...answer.trade_off.filter((one) => one.words !== answer.best.words)];

function show(found, asked) {
  answer = found;
  unit = asked.fork;
  kind = store.kindOf(unit);
  picked = 0;
  byId("offers").replaceChildren(takeButton("Give it this setting", owner, found.best.edits, unit, true));
  drawFront();
  showOptions();
  showSteps();
  showSureness();
}

function drawFront() {
  if (!answer) return;
  const axis = (way) => AXES[form.state[way]];
  const place = (one, name, key = null) => ({ x: axis("x").of(one, answer.travel_m), y: axis("y").of(one, answer.travel_m), name, key });
  const ridden = answer.now && answer.now.tyre_load_variation !== null;
  front.show({ x: axis("x"), y: axis("y"), groups: [
    { name: "trade-off", place: 0, symbol: "circle", points: all().slice(1).map((one, index) => place(one, one.words, index + 1)) },
    { name: "recommended", place: 1, symbol: "star", points: [place(answer.best, answer.best.words, 0)] },
    { name: `as the ${kind} is set`, place: 2, symbol: "x", points: ridden ? [place(answer.now, answer.now.words)] : [] },
  ] });
  showPicked();
}

function pick(index) {
  picked = index;
  showPicked();
  showOptions();
}

const cells = (one) => Object.values(AXES).map((axis) => {
  const value = axis.of(one, answer.travel_m);
  if (!Number.isFinite(value)) return "not to be ridden";
  return axis.kind ? units.text(axis.kind, value) : `${value.toFixed(axis.digits)} ${axis.unit.split(" ")[0]}`;
});

function showPicked() {
  if (!answer || picked === null) return;
  const one = all()[picked];
  const [grip, comfort, support, margin] = cells(one);
  byId("picked").replaceChildren(element("div", { class: "picked-card" }, element("p", {}, element("strong", {}, picked === 0 ? "Recommended: " : "Chosen: "), one.words),
    element("p", { class: "quiet" }, `Tyre load varies by ${grip}, hands feel ${comfort} (rms), rides at ${support}, biggest event uses ${margin}.`), picked === 0 ? null : takeButton(`Set the ${kind} to this one`, owner, one.edits, unit)));
}

function showOptions() {
  const rows = all().map((one, index) => element("tr", { "aria-current": index === picked ? "true" : null }, element("td", {}, element("button", { type: "button", class: "plain", "aria-label": `Choose ${one.words}`, onclick: () => pick(index) }, index === 0 ? "★" : "Choose"), ` ${one.words}`),
    cells(one).map((text) => element("td", { class: "figures" }, text))));
  byId("options").replaceChildren(table(["Setting", "Tyre load varies", "Hands", "Rides at", "Biggest event"], rows, { caption: "Settings of the trade-off, the best by the wishes first", kind: "figures-table option-table" }));
}

function showSteps() {
  const names = Object.fromEntries(answer.adjusters.map((one) => [one.name, one.words]));
  const rows = answer.steps.map((step) => element("tr", { class: step.allowed ? null : "refused-step" }, element("th", { scope: "row" }, names[step.adjuster] ?? step.adjuster), element("td", {}, step.value_words), element("td", {}, step.words)));
  byId("steps").replaceChildren(element("p", {}, `Order of the tests on the trail: ${answer.order.map((name) => names[name] ?? name).join(", ")}.`), table(["Adjuster", "To", "What it does"], rows, { caption: "Steps and what they do" }));
}

function showSureness() {
  const { bands } = answer;
  if (!bands) return byId("sureness").replaceChildren(element("p", { class: "quiet" }, "Not asked for: tick it beside the question."));
  const [low, high] = [cells(bands.low), cells(bands.high)];
  const rows = Object.values(AXES).map((axis, at) => element("tr", {}, element("th", { scope: "row" }, axis.label), element("td", { class: "figures" }, cells(answer.best)[at]), element("td", { class: "figures" }, `${low[at]} to ${high[at]}`)));
  byId("sureness").replaceChildren(element("p", { class: "quiet" }, `${bands.draws} forks or shocks, riders and bikes were drawn from their tolerances and ridden; the setting keeps its limits in ${Math.round(100 * bands.holds_share)} % of them.`),
    table(["Aim", "As measured", "Nine times in ten"], rows, { caption: "Aims with their bands" }), adjusterBands(bands.adjusters));
}

units.onUnits(() => {
  if (!answer) return;
  showSureness();
  showOptions();
  showPicked();
});
const asking = new Asking("recommend", "/api/recommend", question, show, new DayFields(byId("day"), "recommend", () => {}));
ticks.build().then(() => asking.resume());
