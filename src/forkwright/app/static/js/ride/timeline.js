// The one time line of all pictures: play, pause, slow motion, scrub by strip, slider and keys, jump to the big hits.
import { byId, element, shape } from "../dom.js";
import { keep, recall } from "../keep.js";
import * as units from "../units.js";

const SPEEDS = [[1, "as ridden"], [0.5, "at half speed"], [0.25, "at a quarter"], [0.1, "at a tenth"], [0.05, "at a twentieth"]];
const KEY = "forkwright.ride.pace";
const JUMPS = { PageUp: 1, PageDown: -1 };
const STILL_MS = 500; // between two stills where the system asks for less motion
const STRIP = { wide: 1000, high: 120 };
const calm = matchMedia("(prefers-reduced-motion: reduce)");

export class Timeline {
  #tracks = [];
  #last = 0;
  #asked = 0;
  time = 0;
  playing = false;

  // `drawn(time)` is called with every new moment.
  constructor(drawn) {
    this.drawn = drawn;
    this.slider = byId("moment");
    this.read = byId("moment-read");
    this.pace = byId("pace");
    this.pace.replaceChildren(...SPEEDS.map(([value, words]) => element("option", { value }, words)));
    this.pace.value = String(recall(KEY, 0.25));
    if (this.pace.selectedIndex < 0) this.pace.value = "0.25";
    this.pace.addEventListener("change", () => keep(KEY, Number(this.pace.value)));
    byId("play").addEventListener("click", () => this.play(!this.playing));
    byId("earlier-hit").addEventListener("click", () => this.#toHit(-1));
    byId("later-hit").addEventListener("click", () => this.#toHit(1));
    this.slider.addEventListener("input", () => this.#scrub(Number(this.slider.value)));
    this.slider.addEventListener("keydown", (event) => this.#keys(event));
    document.addEventListener("keydown", (event) => this.#pageKeys(event));
    this.#buildStrip();
    calm.addEventListener("change", () => this.#sayCalm());
    this.#sayCalm();
    document.addEventListener("visibilitychange", () => document.hidden && this.play(false));
  }

  // Take the tracks of the rides; the moment stays where it was as long as it is the same course.
  show(tracks) {
    const same = this.#tracks[0]?.side.ride.course_fingerprint === tracks[0].side.ride.course_fingerprint;
    this.#tracks = tracks;
    const { from, to } = tracks[0];
    Object.assign(this.slider, { min: from, max: to, step: 0.01 });
    if (!same || !(this.time >= from && this.time <= to)) this.time = from;
    this.#drawStrip();
    this.#fillHits();
    this.moveTo(this.time);
  }

  get hits() {
    const all = this.#tracks.flatMap((track) => track.side.hits.map((hit) => ({ ...hit, letter: track.side.letter })));
    return all.filter((hit) => hit.time_s >= this.#tracks[0].from && hit.time_s <= this.#tracks[0].to).sort((a, b) => a.time_s - b.time_s);
  }

  moveTo(time) {
    if (!this.#tracks.length) return;
    const { from, to } = this.#tracks[0];
    this.time = Math.min(Math.max(time, from), to);
    this.#asked ||= requestAnimationFrame(() => {
      this.#asked = 0;
      this.#render();
    });
  }

  #render() {
    this.drawn(this.time);
    this.slider.value = this.time;
    const words = `${this.time.toFixed(2)} s`;
    this.read.textContent = words;
    const travels = this.#tracks.map((track) => units.text("length", track.at(this.time).travel)).join(" and ");
    this.slider.setAttribute("aria-valuetext", `${words}, travel ${travels}`);
    this.cursor.setAttribute("transform", `translate(${this.#stripX(this.time).toFixed(1)} 0)`);
  }

  // Playing --------------------------------------------------------------------------------------------------
  play(on) {
    if (on === this.playing || !this.#tracks.length) return;
    this.playing = on;
    byId("play").textContent = on ? "Pause" : "Play";
    if (!on) return;
    if (this.time >= this.#tracks[0].to - 1e-6) this.time = this.#tracks[0].from;
    this.#last = performance.now();
    if (calm.matches) this.#still();
    else requestAnimationFrame((now) => this.#tick(now));
  }

  #tick(now) {
    if (!this.playing) return;
    const seconds = Math.min((now - this.#last) / 1000, 0.1);
    this.#last = now;
    this.#advance(seconds);
    if (this.playing) requestAnimationFrame((next) => this.#tick(next));
  }

  #still() {
    setTimeout(() => {
      if (!this.playing) return;
      this.#advance(STILL_MS / 1000);
      this.#still();
    }, STILL_MS);
  }

  #advance(seconds) {
    this.moveTo(this.time + seconds * Number(this.pace.value));
    if (this.time >= this.#tracks[0].to) this.play(false);
  }

  #sayCalm() {
    byId("calm").hidden = !calm.matches;
  }

  // Scrubbing ------------------------------------------------------------------------------------------------
  #scrub(time) {
    this.play(false);
    this.moveTo(time);
  }

  #keys(event) {
    if (event.key in JUMPS) {
      event.preventDefault();
      this.#scrub(this.time + JUMPS[event.key]);
    } else if (event.key === "ArrowLeft" || event.key === "ArrowRight") {
      event.preventDefault();
      this.#scrub(this.time + (event.key === "ArrowRight" ? 1 : -1) * (event.shiftKey ? 0.1 : 0.01));
    }
  }

  #pageKeys(event) {
    const free = [document.body, byId("main"), this.slider].includes(event.target) || event.target.closest?.("#player .trail-picture");
    if (event.key !== " " || !free) return;
    event.preventDefault();
    this.play(!this.playing);
  }

  #toHit(way) {
    const hits = this.hits.map((hit) => hit.time_s);
    const next = way > 0 ? hits.find((time) => time > this.time + 0.015) : hits.filter((time) => time < this.time - 0.015).at(-1);
    this.#scrub(next ?? (way > 0 ? hits[0] : hits.at(-1)) ?? this.time);
  }

  #fillHits() {
    const two = this.#tracks.length > 1;
    const deepest = [...this.hits].sort((a, b) => b.travel_m - a.travel_m).slice(0, 8);
    byId("hits").replaceChildren(...deepest.map((hit) => element("li", {},
      element("button", { type: "button", class: "plain", onclick: () => this.#scrub(hit.time_s) }, two ? element("strong", {}, `${hit.letter} `) : null, `${units.text("length", hit.travel_m)} at ${Math.round(hit.distance_m)} m${hit.event ? `, ${hit.event.replaceAll("_", " ")}` : ""}`))));
    byId("no-hits").hidden = deepest.length > 0;
    for (const id of ["earlier-hit", "later-hit"]) byId(id).disabled = deepest.length === 0;
  }

  // The strip: travel over the time, the deepest at the bottom as on the fork -----------------------------------
  #buildStrip() {
    this.lines = shape("g", {});
    this.marks = shape("g", { class: "strip-marks" });
    this.cursor = shape("path", { class: "strip-cursor", d: `M0,0V${STRIP.high}M-7,0H7L0,9Z` });
    const svg = shape("svg", { viewBox: `0 0 ${STRIP.wide} ${STRIP.high}`, preserveAspectRatio: "none", class: "strip", "aria-hidden": "true" }, this.lines, this.marks, this.cursor);
    byId("strip").replaceChildren(svg);
    const follow = (event) => {
      const box = svg.getBoundingClientRect();
      const share = (event.clientX - box.left) / box.width;
      if (this.#tracks.length) this.#scrub(this.#tracks[0].from + share * (this.#tracks[0].to - this.#tracks[0].from));
    };
    svg.addEventListener("pointerdown", (event) => {
      svg.setPointerCapture(event.pointerId);
      follow(event);
      svg.addEventListener("pointermove", follow);
    });
    for (const end of ["pointerup", "pointercancel"]) svg.addEventListener(end, () => svg.removeEventListener("pointermove", follow));
  }

  #stripX(time) {
    const { from, to } = this.#tracks[0];
    return (STRIP.wide * (time - from)) / (to - from);
  }

  #drawStrip() {
    const full = Math.max(...this.#tracks.map((track) => track.side.figure.travel_m));
    const y = (travel) => 6 + ((STRIP.high - 12) * Math.max(travel, 0)) / full;
    this.lines.replaceChildren(
      ...[0, 0.5, 1].map((share) => shape("line", { class: "strip-rule", x1: 0, x2: STRIP.wide, y1: y(share * full), y2: y(share * full) })),
      ...this.#tracks.map((track, place) => shape("path", { class: `strip-line side-${place}`, d: this.#outline(track, y) })));
    this.marks.replaceChildren(...this.hits.map((hit) => shape("path", { d: `M${this.#stripX(hit.time_s).toFixed(1)},${(y(hit.travel_m) + 3).toFixed(1)}v9` })));
  }

  // For every column of the strip the lowest and the highest travel in it: no stroke is lost by drawing few points.
  #outline(track, y) {
    const { time_s: times, travel_m: travels } = track.history;
    const columns = 800;
    let d = "";
    let start = 0;
    for (let column = 0; column < columns && start < times.length; column += 1) {
      const end = Math.min(Math.floor(((column + 1) * times.length) / columns), times.length);
      if (end <= start) continue;
      const part = travels.slice(start, end);
      const x = this.#stripX(times[start]).toFixed(1);
      d += `${d ? "L" : "M"}${x},${y(Math.min(...part)).toFixed(1)}L${x},${y(Math.max(...part)).toFixed(1)}`;
      start = end;
    }
    return d;
  }
}
