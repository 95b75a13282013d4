// The Show page: the drawings move through a stroke; what has just happened is said beside them.
import { usualDay } from "./day.js";
import { byId, element } from "./dom.js";
import { readingUnit } from "./drawn-figure.js";
import { FlowArrows } from "./flow-arrows.js";
import { Latest } from "./link.js";
import { Rack } from "./rack.js";
import * as store from "./store.js";
import * as units from "./units.js";

const SPEEDS = [0.2, 0.5, 1, 2, 3];
const IN_SECONDS = 7;
const OUT_SECONDS = 3;
const DWELL_SECONDS = 3.2;
const calm = matchMedia("(prefers-reduced-motion: reduce)");
let answer = null;
let figures = [];
const now = { share: 0, phase: "rest", playing: false, dwell: 0, last: 0, way: 1 };

new Rack(byId("rack-a"), "fork", "Fork or shock shown", { files: false });
const bench = new Latest("/api/show", show, refused);
const second = () => (store.rack().some((fork) => fork.id === store.view("beside")) ? store.view("beside") : "");
const legs = () => store.view("legs", "both");
const speed = () => store.view("stroke", 1);

function ask() {
  const forks = [store.asked(store.forkAt("fork"))];
  if (second()) forks.push(store.asked(second()));
  bench.ask({ forks, rider: store.asked("rider"), bike: store.asked("bike"), speed_m_s: speed(), units: units.chosenUnits() });
}

function refused(error) {
  byId("show-fault").textContent = error.message;
  byId("show-fault").hidden = false;
}

// Drawing ------------------------------------------------------------------------------------------------------
function show(found) {
  answer = found;
  byId("show-fault").hidden = true;
  figures = [];
  byId("figures").replaceChildren(...found.sides.map((side, place) => {
    const wanted = side.drawings.filter((drawing) => legs() === "both" || drawing.view === legs());
    const drawn = (wanted.length ? wanted : side.drawings.slice(0, 1)).map((drawing) => {
      const holder = element("div", { class: "show-drawing" });
      holder.innerHTML = drawing.svg;
      const svg = holder.querySelector("svg");
      figures.push({ side, place, drawing, svg, arrows: drawing.view === "damper" ? new FlowArrows(svg) : null });
      return holder;
    });
    return element("section", { class: "sheet show-figure", "aria-label": side.name }, element("h2", {}, side.name), element("div", { class: "show-legs" }, drawn));
  }));
  byId("stories").replaceChildren(...found.sides.map((side) => element("div", { class: "story" },
    found.sides.length > 1 ? element("p", { class: "quiet" }, side.name) : null, element("h3"), element("p", { class: "story-words" }))));
  fillSteps(found.sides[0]);
  byId("slowed").textContent = `Shown slowed down. Air pressures are for a slow stroke; oil pressures and flows for a shaft moving at ${units.text("speed", found.speed_m_s)}.${usualDay() ? "" : " The day is the usual one, 20 °C at sea level, not the one set on the Fork page."}`;
  draw(0);
}

function fillSteps(side) {
  byId("steps").replaceChildren(...side.steps.map((step) => element("li", {},
    element("button", { type: "button", class: "plain", onclick: () => jump(step, side) }, step.title))));
}

function jump(step, side) {
  play(false);
  now.way = step.phase === "in" ? 1 : -1;
  now.phase = step.phase;
  now.share = step.travel / side.travel_m;
  draw(0.02);
}

const travelOf = (side) => now.share * side.travel_m;

function draw(seconds) {
  if (!answer) return;
  const unit = readingUnit();
  for (const { side, drawing, svg, arrows } of figures) {
    const damper = side.damper?.[now.phase];
    const fixed = Object.fromEntries(Object.entries(damper?.pressures ?? {}).map(([role, value]) => [role, [value]]));
    window.forkwrightCutaway.show(svg, { ...drawing.motion, pressures: { ...drawing.motion.pressures, ...fixed }, unit }, travelOf(side) * 1000);
    if (arrows && damper) arrows.show(damper.flows, now.phase === "in", seconds);
    light(svg, stepNow(side)?.parts ?? []);
  }
  answer.sides.forEach((side, place) => tellStep(byId("stories").children[place], stepNow(side)));
  const told = answer.sides[0].steps.indexOf(stepNow(answer.sides[0]));
  [...byId("steps").children].forEach((item, place) => item.firstElementChild.setAttribute("aria-current", place === told ? "step" : "false"));
  byId("travel").value = now.share;
  const read = answer.sides.map((side) => units.text("length", travelOf(side)));
  byId("travel-read").textContent = [...new Set(read)].join(" / ");
  byId("travel").setAttribute("aria-valuetext", byId("travel-read").textContent);
}

function stepNow(side) {
  const travel = travelOf(side) + 1e-6;
  if (now.way < 0) return side.steps.filter((step) => step.phase === "out").at(-1);
  return side.steps.filter((step) => step.phase === "in" && step.travel <= travel).at(-1) ?? side.steps[0];
}

function tellStep(story, step) {
  if (!step || story.dataset.title === step.title + step.sentence) return;
  story.dataset.title = step.title + step.sentence;
  story.querySelector("h3").textContent = step.title;
  story.querySelector(".story-words").textContent = step.sentence;
}

function light(svg, parts) {
  svg.querySelectorAll(".lit").forEach((node) => node.classList.remove("lit"));
  for (const part of parts) svg.querySelectorAll(`[data-part="${part}"]`).forEach((node) => node.classList.add("lit"));
}

// Moving -------------------------------------------------------------------------------------------------------
const stops = () => [...new Set([0, ...answer.sides.flatMap((side) => side.steps.filter((step) => step.phase === "in").map((step) => step.travel / side.travel_m)), 1])].sort((a, b) => a - b);

function tick(time) {
  if (!now.playing) return;
  const seconds = Math.min((time - now.last) / 1000, 0.1);
  now.last = time;
  if (now.dwell > 0) {
    now.dwell -= seconds;
    now.phase = "rest";
  } else move(seconds);
  draw(seconds);
  requestAnimationFrame(tick);
}

function move(seconds) {
  const before = now.share;
  now.phase = now.way > 0 ? "in" : "out";
  now.share = Math.min(1, Math.max(0, before + (now.way * seconds) / (now.way > 0 ? IN_SECONDS : OUT_SECONDS)));
  if (now.way > 0) {
    const passed = stops().find((stop) => stop > before + 1e-6 && stop <= now.share);
    if (passed !== undefined) {
      now.share = passed;
      now.dwell = DWELL_SECONDS;
    }
    if (now.share >= 1) now.way = -1;
  } else if (now.share <= 0) {
    now.way = 1;
    now.dwell = DWELL_SECONDS;
  }
}

function play(on) {
  now.playing = on;
  now.last = performance.now();
  now.phase = on ? now.phase : "rest";
  byId("play").textContent = on ? "Pause" : "Play";
  byId("play").setAttribute("aria-pressed", String(on));
  if (on) requestAnimationFrame(tick);
  else draw(0);
}

function step(way) {
  play(false);
  if (!answer) return;
  const all = stops();
  now.way = 1;
  now.share = way > 0 ? all.find((stop) => stop > now.share + 1e-6) ?? 0 : all.filter((stop) => stop < now.share - 1e-6).at(-1) ?? 1;
  if (!calm.matches) now.phase = "in";
  draw(0);
}

// What sets it off ---------------------------------------------------------------------------------------------
byId("play").addEventListener("click", () => play(!now.playing));
byId("next-step").addEventListener("click", () => step(1));
byId("back-step").addEventListener("click", () => step(-1));
byId("travel").addEventListener("input", () => {
  const share = Number(byId("travel").value);
  if (now.playing) play(false);
  now.way = share >= now.share ? 1 : -1;
  now.phase = now.way > 0 ? "in" : "out";
  now.share = share;
  draw(0.02);
});
byId("full-screen").addEventListener("click", () => (document.fullscreenElement ? document.exitFullscreen() : byId("stage").requestFullscreen?.()));
document.addEventListener("fullscreenchange", () => { byId("full-screen").textContent = document.fullscreenElement ? "Leave full screen" : "Full screen"; });
document.addEventListener("keydown", (event) => {
  const plain = event.target === document.body || event.target.id === "stage" || event.target.id === "main";
  if (event.key === " " && plain) {
    event.preventDefault();
    play(!now.playing);
  } else if (plain && event.key === "ArrowRight") step(1);
  else if (plain && event.key === "ArrowLeft") step(-1);
});

for (const radio of byId("legs").querySelectorAll("input")) {
  radio.checked = radio.value === legs();
  radio.addEventListener("change", () => {
    store.setView("legs", radio.value);
    if (answer) show(answer);
  });
}
function fillSecond() {
  byId("second").replaceChildren(element("option", { value: "" }, "nothing"), ...store.rack().map((fork) => element("option", { value: fork.id }, fork.name)));
  byId("second").value = second();
}
byId("second").addEventListener("change", () => store.setView("beside", byId("second").value));
byId("stroke-speed").addEventListener("change", () => store.setView("stroke", Number(byId("stroke-speed").value)));
function fillSpeeds() {
  byId("stroke-speed").replaceChildren(...SPEEDS.map((value) => element("option", { value }, units.text("speed", value))));
  byId("stroke-speed").value = speed();
}
let shown = "";
store.onDraft((cause) => {
  const wanted = `${store.forkAt("fork")} ${second()} ${speed()}`;
  if (cause === "rack" || cause === "elsewhere") fillSecond();
  if (cause === "view" && wanted === shown) return;
  shown = wanted;
  ask();
});
units.onUnits(() => {
  fillSpeeds();
  ask();
});
fillSecond();
fillSpeeds();
ask();
