// The Stages page: the race in order, what the day may bring, one build, and what to turn before each stage.
import { BarChart } from "../bar-chart.js";
import { byId, element, offerSent } from "../dom.js";
import { Rack } from "../rack.js";
import { ScatterChart, symbolOf } from "../scatter-chart.js";
import * as store from "../store.js";
import * as units from "../units.js";
import { Asking, Form, number, people, sayPeople, table, takeButton } from "./asking.js";
import { courses, importButton, lengthText } from "./courses.js";
import { RIDE_AS_USUAL, rideAsked, tieRide } from "./ride-fields.js";
import { wishFields } from "./wishes.js";

const DAY = { speed_spread: ["Speed may be off by (%)", "10"], expected: ["Expected", "15 °C"], coldest: ["Coldest", ""], warmest: ["Warmest", ""], fill_temperature: ["Pressures set at", "20 °C"], fill_altitude: ["Set at altitude", "0 m"] };
const form = new Form("stages", {
  race: [{ name: "One", course: "demo:heather-traverse", altitude: "300 m" }, { name: "Two", course: "demo:peat-hag-descent", altitude: "450 m" }], pressures_too: false, wishes: [], ...RIDE_AS_USUAL, title: "Race",
  ...Object.fromEntries(Object.entries(DAY).map(([name, [, given]]) => [name, given])),
});
const owner = () => store.forkAt("fork");
let known = [];

new Rack(byId("rack"), "fork", "Fork or shock", { files: false });
sayPeople();
tieRide(form);
form.tie("card-title-text", "title");
form.tie("pressures-too", "pressures_too");
wishFields(byId("wishes"), form.state.wishes, (wishes) => form.set({ wishes }));
byId("day").append(element("div", { class: "pair" }, Object.entries(DAY).map(([name, [label]]) => element("div", { class: "field" }, element("label", { for: `day-${name}` }, label),
  element("input", { type: "text", id: `day-${name}`, maxlength: "40", placeholder: name === "coldest" || name === "warmest" ? "as expected" : null })))));
for (const name of Object.keys(DAY)) form.tie(`day-${name}`, name);

// The race -------------------------------------------------------------------------------------------------------
const raceRows = element("div", {});
byId("race").append(raceRows, element("div", { class: "row" }, element("button", { type: "button", class: "plain", onclick: () => changeRace([...form.state.race, { ...form.state.race.at(-1), name: `Stage ${form.state.race.length + 1}` }]) }, "Add a stage"),
  importButton(async (id) => {
    if (!id) return;
    known = await courses();
    buildRace();
  })));

function changeRace(race) {
  form.set({ race });
  buildRace();
  byId("ask").dispatchEvent(new Event("change"));
}

function buildRace() {
  const { race } = form.state;
  raceRows.replaceChildren(...race.map((stage, place) => {
    const field = (entry, label, most) => {
      const input = element("input", { type: "text", id: `stage-${place}-${entry}`, maxlength: most, value: stage[entry], oninput: () => { stage[entry] = input.value; form.set({ race }); } });
      return element("div", { class: "field" }, element("label", { for: input.id }, label), input);
    };
    const select = element("select", { id: `stage-${place}-course`, onchange: () => { stage.course = select.value; form.set({ race }); } }, known.map((course) => element("option", { value: course.id }, `${course.account.name} (${lengthText(course.account)})`)));
    if (!known.some((course) => course.id === stage.course)) stage.course = known[0].id;
    select.value = stage.course;
    const move = (word, sign, to) => element("button", { type: "button", class: "plain nudge", "aria-label": `Stage ${place + 1}: ${word}`, disabled: to < 0 || to >= race.length, onclick: () => {
      const moved = [...race];
      moved.splice(to, 0, ...moved.splice(place, 1));
      changeRace(moved);
    } }, sign);
    return element("div", { class: "stage-row", role: "group", "aria-label": `Place ${place + 1} in the race` }, field("name", `Stage ${place + 1}`, "60"), element("div", { class: "field" }, element("label", { for: select.id }, "Course"), select), field("altitude", "Altitude", "20"),
      element("div", { class: "row" }, move("earlier", "↑", place - 1), move("later", "↓", place + 1), element("button", { type: "button", class: "plain", "aria-label": `Stage ${place + 1}: take out`, disabled: race.length === 1, onclick: () => changeRace(race.filter((_, at) => at !== place)) }, "Take out")));
  }));
}

function question() {
  const { race, pressures_too, wishes, margin, title, speed_spread, expected, coldest, warmest, fill_temperature, fill_altitude } = form.state;
  return {
    fork: store.asked(owner()), ...people(), race: race.map((stage) => ({ name: stage.name, course: known.find((course) => course.id === stage.course)?.choice ?? {}, altitude: stage.altitude })), pressures_too, wishes,
    margin_percent: number(margin), ...rideAsked(form), bands: form.state.bands, speed_spread_percent: number(speed_spread), expected, coldest, warmest, fill_temperature, fill_altitude, title: title || "Race", units: units.chosenUnits(),
  };
}

// Showing ------------------------------------------------------------------------------------------------------
const deepest = new ScatterChart(byId("chart-deepest"), { title: "Deepest travel, whatever the day brings", file: "stages-deepest" });
const gain = new BarChart(byId("chart-gain"), { title: "Cost by the wishes, lower is better", label: "Cost (1 is the whole trade-off)", file: "stages-gain", digits: 3 });

function show(answer, asked) {
  const rows = answer.stages.map((stage) => element("tr", {}, element("th", { scope: "row" }, stage.name), element("td", {}, stage.words), element("td", {}, stage.turn || "–"), element("td", { class: "figures" }, `${(100 * stage.deepest_travel_share).toFixed(0)} %`), element("td", {}, takeButton(`Set the ${store.kindOf(asked.fork)}`, owner, stage.edits, asked.fork))));
  byId("plan").replaceChildren(element("h3", {}, "Fixed for the day"), element("ul", {}, answer.fixed_words.map((words) => element("li", {}, words))),
    table(["Stage", "Setting", "Turn before it", "Deepest", "On the bench"], rows, { caption: "Stages with their settings" }));
  byId("offers").replaceChildren(element("button", { type: "button", class: "main-button", onclick: () => offerSent(answer.card) }, "Card for the top tube"));
  const names = answer.stages.map((stage) => stage.name);
  deepest.show({ x: { label: "Stage", names }, y: { label: "Deepest", digits: 0, unit: "% of travel" }, groups: answer.cases.map((one, place) => ({
    name: one.name, place, symbol: symbolOf(place), points: answer.stages.map((stage, at) => ({ x: at, y: 100 * stage.by_case[place].deepest_travel_share, name: `${stage.name}, ${one.name}` })).filter((point) => Number.isFinite(point.y)),
  })) });
  const bars = [{ name: "its own setting", values: answer.stages.map((stage) => stage.cost) }];
  if (answer.stages.every((stage) => stage.one_for_all_cost !== null)) bars.push({ name: "one setting for all", values: answer.stages.map((stage) => stage.one_for_all_cost) });
  gain.show(names, bars);
}

const asking = new Asking("stages", "/api/stages", question, show);
courses().then((found) => {
  known = found;
  buildRace();
  return asking.resume();
});
