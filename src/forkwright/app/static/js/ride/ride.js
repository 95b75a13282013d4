// The Ride page: a course and a setting, or two; the pictures move along the computed ride, the scores stand beside.
import { Adjusters } from "../adjusters.js";
import { DampingFile } from "../damping-file.js";
import { DayFields, dayNow } from "../day.js";
import { byId, element } from "../dom.js";
import { JobBar } from "../job-watch.js";
import { recall } from "../keep.js";
import { Latest, remove } from "../link.js";
import { Rack } from "../rack.js";
import * as store from "../store.js";
import { Form, people, sayPeople } from "../tune/asking.js";
import * as units from "../units.js";
import { CourseChoice } from "./course-choice.js";
import { showCurves } from "./curves.js";
import { Scene } from "./scene.js";
import { showEnergy, showScores } from "./scores.js";
import { SecondSetting } from "./second.js";
import { Sweep } from "./sweep.js";
import { Timeline } from "./timeline.js";
import { Ground, Track } from "./track.js";

const AT_REST_MS = 300;
const FIELDS = { "tyre-pressure": "tyre_pressure", "tyre-stiffness": "tyre_stiffness", "oil-temperature": "oil_temperature" };
const TICKS = { limbs: "limbs", isothermal: "isothermal", "oil-chambers": "oil_chambers", stiffening: "stiffening" };
const FRAMES = { one: { wide: 3.5, high: 1.75 }, two: { wide: 2.1, high: 1.66 } }; // m that are seen
const narrow = matchMedia("(max-width: 699px)");
const form = new Form("ride", {
  course: "demo:heather-traverse", second: null, always: true, from_s: 0,
  tyre_pressure: "24 psi", tyre_stiffness: "", limbs: false, isothermal: false, oil_chambers: false, stiffening: false, oil_temperature: "", check_step: false, damping: null,
});
const owner = () => store.forkAt("fork");
let scenes = [];
let answer = null;
let askedFor = "";
let resting = null;

// What is asked ------------------------------------------------------------------------------------------------
const options = () => Object.fromEntries([...Object.values(FIELDS), ...Object.values(TICKS)].map((entry) => [entry, form.state[entry]]));
const single = () => ({ fork: store.asked(owner()), ...people(), course: course.chosen.choice, ...options(), ...(form.state.damping ? { damping: form.state.damping } : {}), day: dayNow(), units: units.chosenUnits() });
function question() {
  const against = second.asked();
  return { ...single(), ...(against ? { against } : {}), from_s: form.state.from_s, ...(form.state.check_step ? { check_step: true } : {}) };
}
// A measured profile is too large to be kept beside its job, or to be compared as text.
const withoutProfile = (asked) => (asked.course.profile ? { ...asked, course: { ...asked.course, profile: { ...asked.course.profile, csv: asked.course.profile.csv.length } } } : asked);
const written = (asked) => JSON.stringify(withoutProfile(asked));

const bar = new JobBar(byId("job"), "ride", {
  found: show, failed: refused, kept: withoutProfile,
  changed: (busy) => { byId("player").setAttribute("aria-busy", String(busy)); },
});

function ride() {
  clearTimeout(resting);
  day.tell(null);
  fault(null);
  bar.ask("/api/ride", question());
}

// Something has changed: ride again once it has come to rest, or say that the picture is an older one.
function changed() {
  askBenches();
  age();
  clearTimeout(resting);
  if (form.state.always) resting = setTimeout(ride, AT_REST_MS);
}

function age() {
  const old = answer !== null && written(question()) !== askedFor;
  byId("stale").textContent = old && !form.state.always ? "Something has changed since: ride it again." : "";
  document.querySelector(".ride-page").classList.toggle("is-stale", old);
}

function refused(error) {
  day.tell(error);
  fault(error.message);
  age();
}

function fault(words) {
  byId("ride-fault").textContent = words ?? "";
  byId("ride-fault").hidden = !words;
}

// What is shown ------------------------------------------------------------------------------------------------
const timeline = new Timeline((time) => scenes.forEach((scene) => scene.draw(time)));

function show(found, asked) {
  answer = found;
  askedFor = written(asked);
  fault(null);
  const page = document.querySelector(".ride-page");
  page.classList.add("has-answer");
  page.classList.toggle("has-two", found.sides.length > 1);
  const tracks = found.sides.map((side) => new Track(side, found.trail));
  drawScenes(tracks);
  timeline.show(tracks);
  fillStretches(found);
  sayDrawn(found);
  byId("ride-words-list").replaceChildren(...found.sentences.map((words) => element("li", {}, words)));
  const list = byId("ride-warnings");
  list.replaceChildren(...found.warnings.map((words) => element("li", {}, words)));
  byId("ride-warnings-box").hidden = found.warnings.length === 0;
  byId("ride-warnings-count").textContent = found.warnings.length === 1 ? "1 thing to watch" : `${found.warnings.length} things to watch`;
  showScores(found);
  showEnergy(found);
  showCurves(found);
  age();
  document.dispatchEvent(new CustomEvent("bench:redrawn"));
}

// The pictures are made anew only when there is another number of them.
function drawScenes(tracks) {
  const ground = new Ground(answer.trail);
  if (scenes.length !== tracks.length) {
    const frame = tracks.length > 1 || narrow.matches ? FRAMES.two : FRAMES.one;
    const holders = tracks.map(() => element("div", { class: "scene" }));
    byId("scenes").replaceChildren(...holders);
    scenes = tracks.map((track, place) => new Scene(holders[place], { place, ...frame }));
  }
  scenes.forEach((scene, place) => scene.show(tracks[place], ground, tracks.length > 1));
}

// A long ride is shown in stretches; the scores are always those of the whole.
function fillStretches({ trail, shown_s: shown }) {
  const starts = [];
  for (let start = 0; start < trail.duration_s; start += shown) starts.push(start);
  byId("stretch-field").hidden = starts.length < 2;
  byId("stretch").replaceChildren(...starts.map((start) => element("option", { value: start }, `${start} to ${Math.round(Math.min(start + shown, trail.duration_s))} s`)));
  byId("stretch").value = starts.includes(form.state.from_s) ? form.state.from_s : 0;
}
byId("stretch").addEventListener("change", () => {
  form.set({ from_s: Number(byId("stretch").value) });
  ride();
});

function sayDrawn({ sides, trail }) {
  const { history, ride: scored, figure } = sides[0];
  const ground = trail.every > 1 ? `every ${ordinal(trail.every)} point of the course (${units.text("length", trail.spacing_m)} apart)` : `every point of the course (${units.text("length", trail.spacing_m)} apart)`;
  const assumed = sides.flatMap((side) => side.figure.assumed.map((part) => `${part} of ${side.name}`));
  byId("drawn").textContent = `Drawn to scale from the computed ride: every ${ordinal(history.every_steps)} step (${Math.round(history.points_per_s)} a second), straight lines between; the ground from ${ground}. Scores and hits come from every step of ${(1000 * scored.step_s).toFixed(2)} ms. `
    + `${figure.kind === "fork" ? "Handlebar and frame are only hinted at; the ball is the mass that stands on this wheel." : "Swingarm and frame are only hinted at; the ball is the mass that stands on this wheel."} The line behind the ball is the way it has come, the arrow the tyre's force. At the left edge: travel now, the deepest so far (line), the static sag (dashed).${assumed.length ? ` Assumed for the drawing: ${assumed.join(", ")}.` : ""}`;
}
const ordinal = (number) => `${number}${number % 100 > 10 && number % 100 < 14 ? "th" : ["th", "st", "nd", "rd"][number % 10] ?? "th"}`;

// The sliders --------------------------------------------------------------------------------------------------
const first = new Adjusters(byId("adjusters-a"), "a", owner);
const second = new SecondSetting(form, owner, changed);
const benches = { a: new Latest("/api/ride/bench", (found) => showBench(found), () => {}), b: new Latest("/api/ride/bench", (found) => !benches.b.overtaken && second.adjusters.show(found.adjusters), () => {}) };
const benchAsked = { a: "", b: "" };

function askBench(side, draft) {
  const asked = { fork: draft, units: units.chosenUnits() };
  const text = JSON.stringify(asked);
  if (!draft || text === benchAsked[side]) return;
  benchAsked[side] = text;
  benches[side].ask(asked);
}
function askBenches() {
  askBench("a", store.asked(owner()));
  askBench("b", second.asked());
}
function showBench(found) {
  store.renameFork(owner(), found.name);
  if (benches.a.overtaken) return;
  first.show(found.adjusters);
  sweep.fill(found.adjusters);
}

// After a reload: a long ride that is under way for the same question is found again, another one is given up.
async function begin() {
  const kept = recall("forkwright.job.ride");
  if (kept && JSON.stringify(kept.question) === written(question()) && (await bar.resume())) return;
  if (kept) await remove(`/api/jobs/${kept.key}`).catch(() => {});
  ride();
}

// What sets it off ---------------------------------------------------------------------------------------------
const course = new CourseChoice(form, () => {
  form.set({ from_s: 0 });
  changed();
});
const sweep = new Sweep({ form, question: single, owner, second, kept: withoutProfile });
new Rack(byId("rack"), "fork", "Unit", { files: false });
new DampingFile(form, changed);
const day = new DayFields(byId("day"), "ride", changed);
sayPeople();
for (const [id, entry] of Object.entries({ ...FIELDS, ...TICKS, "check-step": "check_step", always: "always" })) {
  form.tie(id, entry);
  byId(id).addEventListener("change", changed);
}
byId("ask").addEventListener("submit", (event) => {
  event.preventDefault();
  ride();
  if (matchMedia("(max-width: 899px)").matches) byId("player").scrollIntoView({ block: "start" });
});
let shownFork = owner();
store.onDraft((cause) => {
  if (cause === "elsewhere") day.show();
  if (cause === "view" && owner() === shownFork) return;
  shownFork = owner();
  if (cause !== "rack") changed();
});
units.onUnits(() => {
  scenes.forEach((scene) => scene.draw(timeline.time));
  changed();
});
byId("full-screen").addEventListener("click", () => (document.fullscreenElement ? document.exitFullscreen() : byId("player").requestFullscreen?.()));
document.addEventListener("fullscreenchange", () => { byId("full-screen").textContent = document.fullscreenElement ? "Leave full screen" : "Full screen"; });
document.addEventListener("bench:theme", () => scenes.forEach((scene) => scene.draw(timeline.time)));

course.build().then(async () => {
  askBenches();
  await begin();
  await sweep.resume();
});
