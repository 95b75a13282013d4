// The moving picture of one ride, to scale: ground, wheel, unit and the mass that stands on it. Every position comes
// from the computed history; nothing is made to look livelier than it was.
import { element, shape } from "../dom.js";
import * as units from "../units.js";
import { ForkPicture, ShockPicture, pair, set } from "./unit-picture.js";

const WIDE = 1000; // drawing units across the picture
const SPOKES = 6;
const FORCE_SCALE = 0.00025; // m of arrow for a newton
const LOOK_DOWN = 0.06; // in flight the camera stays a little below the wheel, towards the ground

// `wide` and `high` are the metres that are seen, `under` how many of them lie below the wheel.
export class Scene {
  constructor(holder, { place, wide, high, under = 0.32 }) {
    Object.assign(this, { place, wide, high, under, scale: WIDE / wide });
    this.svg = shape("svg", { viewBox: `0 0 ${WIDE} ${high * this.scale}`, class: `trail-picture side-${place}`, role: "img" });
    // Letters keep their size on the screen, however small the picture is.
    new ResizeObserver(([entry]) => this.svg.style.setProperty("--unit", WIDE / Math.max(entry.contentRect.width, 120))).observe(this.svg);
    this.title = element("h3", {});
    this.setting = element("span", { class: "quiet" });
    this.readings = element("dl", { class: "trail-readings" });
    holder.replaceChildren(element("div", { class: "trail-head" }, this.title, this.setting), this.svg, this.readings);
  }

  show(track, ground, two) {
    Object.assign(this, { track, ground });
    const { side } = track;
    this.figure = side.figure;
    this.title.textContent = two ? `${side.letter}: ${side.name}` : side.name;
    this.setting.textContent = side.setting;
    this.svg.setAttribute("aria-label", `${side.name} on the trail; its numbers at this moment stand below, and every curve has a table.`);
    this.#build();
  }

  // Fixed parts ------------------------------------------------------------------------------------------------
  #build() {
    const { figure, scale } = this;
    const r = figure.wheel_radius_m * scale;
    this.spokes = shape("g", { class: "wheel-spokes" }, Array.from({ length: SPOKES }, (_, index) => {
      const angle = (index * Math.PI) / SPOKES;
      return shape("line", { x1: -0.8 * r * Math.cos(angle), y1: -0.8 * r * Math.sin(angle), x2: 0.8 * r * Math.cos(angle), y2: 0.8 * r * Math.sin(angle) });
    }));
    this.wheel = shape("g", {}, shape("circle", { class: "wheel-tyre", r: 0.925 * r, "stroke-width": 0.15 * r }), shape("circle", { class: "wheel-rim", r: 0.82 * r, "stroke-width": 0.05 * r }), this.spokes, shape("circle", { class: "wheel-hub", r: 0.09 * r }));
    this.earth = shape("path", { class: "earth" });
    this.flags = shape("g", { class: "flags" });
    this.flagged = null;
    this.posts = shape("path", { class: "posts" });
    this.post = shape("text", { class: "post-words", "text-anchor": "middle" });
    this.trace = shape("path", { class: "mass-trace" });
    this.unit = figure.kind === "fork" ? new ForkPicture(figure, scale) : new ShockPicture(scale, this.track.history.travel_m[0]);
    const ballRadius = Math.cbrt((figure.rider_kg || figure.sprung_kg) / 45) * 0.105 * scale;
    this.massWords = shape("text", { class: "mass-words", x: ballRadius + 10, "dominant-baseline": "middle" }, units.text("mass", figure.rider_kg || figure.sprung_kg));
    this.ball = shape("g", { class: "mass" }, shape("circle", { r: ballRadius }), this.massWords);
    this.limbs = shape("path", { class: "limbs" });
    this.arrow = shape("path", { class: "tyre-arrow" });
    this.world = shape("g", {}, this.trace, this.wheel, this.unit.node, this.limbs, this.ball, this.earth, this.posts, this.post, this.flags, this.arrow);
    this.air = shape("text", { class: "air-words", x: WIDE - 24, y: 24, "text-anchor": "end", "dominant-baseline": "hanging" });
    this.svg.replaceChildren(this.world, this.#gauge(), this.air);
  }

  // A ruler of the travel at the left edge: now, the deepest so far, the static sag.
  #gauge() {
    const { figure } = this;
    const tall = 0.62 * this.high * this.scale;
    const top = 60;
    const y = (travel) => top + (tall * travel) / figure.travel_m;
    this.gauge = { y, now: shape("rect", { class: "gauge-now", x: 26, y: top, width: 20, height: 0 }), deepest: shape("line", { class: "gauge-deepest", x1: 18, x2: 54 }), words: shape("text", { class: "gauge-words", x: 62 }) };
    const sag = Math.min(Math.max(this.track.side.ride.static_sag_m, 0), figure.travel_m);
    const ticks = Array.from({ length: 11 }, (_, index) => shape("line", { class: "gauge-tick", x1: index % 5 ? 40 : 34, x2: 46, y1: y((index / 10) * figure.travel_m), y2: y((index / 10) * figure.travel_m) }));
    return shape("g", { class: "gauge" }, shape("rect", { class: "gauge-frame", x: 26, y: top, width: 20, height: tall }), this.gauge.now, ticks,
      shape("line", { class: "gauge-sag", x1: 14, x2: 46, y1: y(sag), y2: y(sag) }), shape("text", { class: "gauge-small", x: 26, y: top - 14 }, "travel"), this.gauge.deepest, this.gauge.words);
  }

  // One moment ---------------------------------------------------------------------------------------------------
  draw(time) {
    if (!this.track) return;
    const now = this.track.at(time);
    const { figure, scale, ground } = this;
    const middle = 0.56 * WIDE;
    const base = now.camera - LOOK_DOWN * Math.max(now.camera - ground.level(now.distance), 0);
    const floor = this.high * scale * (1 - this.under / this.high);
    const X = (distance) => middle + (distance - now.distance) * scale;
    const Y = (height) => floor - (height - base) * scale;
    const axle = [X(now.distance), Y(now.wheel + figure.wheel_radius_m - figure.tyre_sink_m)];
    const slope = (-Math.atan(ground.gradient(now.distance)) * 180) / Math.PI;
    this.world.setAttribute("transform", `rotate(${slope.toFixed(3)} ${middle} ${Y(now.ground).toFixed(2)})`);
    this.wheel.setAttribute("transform", `translate(${axle[0].toFixed(2)} ${axle[1].toFixed(2)})`);
    this.spokes.setAttribute("transform", `rotate(${((now.distance / figure.wheel_radius_m) * 180) / Math.PI})`);
    this.#drawTrace(now, this.#drawMass(now, this.unit.draw(now, axle)));
    this.massWords.setAttribute("transform", `rotate(${(-slope).toFixed(3)})`);
    this.#drawGround(now, X, Y, slope);
    this.#drawForce(now, axle[0], Y(now.ground));
    this.#drawGauge(now);
    this.#read(now, slope);
  }

  #drawMass(now, seat) {
    const { figure, scale } = this;
    if (!figure.rider_kg) {
      this.limbs.setAttribute("d", `M${pair(seat)}l${((figure.kind === "fork" ? 0.12 : 0) * scale).toFixed(2)},${(0.16 * scale).toFixed(2)}`);
      this.ball.setAttribute("transform", `translate(${seat[0].toFixed(2)} ${seat[1].toFixed(2)})`);
      return seat;
    }
    const lift = 0.2 * scale + (now.rider - now.body) * scale;
    const head = [seat[0], seat[1] - lift];
    const turns = 7;
    const zigzag = Array.from({ length: turns + 1 }, (_, index) => pair([seat[0] + (index % 2 ? 10 : -10) * (index > 0 && index < turns), seat[1] + 0.1 * scale - ((lift + 0.1 * scale) * index) / turns]));
    this.limbs.setAttribute("d", `M${zigzag.join("L")}`);
    this.ball.setAttribute("transform", `translate(${head[0].toFixed(2)} ${head[1].toFixed(2)})`);
    return head;
  }

  // The way the mass has come: flat where the unit takes the ground up.
  #drawTrace(now, ball) {
    const heights = this.figure.rider_kg ? this.track.history.rider_height_m : this.track.history.sprung_height_m;
    const height = this.figure.rider_kg ? now.rider : now.body;
    const { distance_m: distances, time_s: times, points_per_s: rate } = this.track.history;
    const points = [pair(ball)];
    for (let index = Math.floor((now.time - times[0]) * rate); index >= 0 && now.distance - distances[index] < this.wide; index -= 1) {
      points.push(pair([ball[0] - (now.distance - distances[index]) * this.scale, ball[1] + (height - heights[index]) * this.scale]));
    }
    this.trace.setAttribute("d", `M${points.join("L")}`);
  }

  #drawGround(now, X, Y, slope) {
    const reach = 0.9 * this.wide;
    const points = this.ground.points(now.distance - reach, now.distance + reach, 420);
    const bottom = (this.high + 1) * this.scale + 400;
    const line = points.map(([distance, height]) => `${X(distance).toFixed(1)},${Y(height).toFixed(1)}`).join("L");
    this.earth.setAttribute("d", `M${X(now.distance - reach).toFixed(1)},${bottom}L${line}L${X(now.distance + reach).toFixed(1)},${bottom}Z`);
    this.#drawPosts(now, X, Y, slope);
    const { event_m: places, event_kind: kinds } = this.track.trail;
    const seen = places.map((at, index) => [at, kinds[index]]).filter(([at]) => Math.abs(at - now.distance) < reach);
    const wanted = seen.map(([at]) => at).join();
    if (wanted !== this.flagged) {
      this.flagged = wanted;
      this.flags.replaceChildren(...seen.map(([, kind]) => shape("g", {}, shape("path", { d: "M0,0V-150H70L56,-135L70,-120H0" }), shape("text", { x: 10, y: -150, "dominant-baseline": "text-after-edge" }, kind.replaceAll("_", " ")))));
    }
    seen.forEach(([at], index) => {
      const height = this.ground.height(at);
      this.flags.children[index].setAttribute("transform", `translate(${X(at).toFixed(1)} ${(Y(height) - 2).toFixed(1)})`);
    });
  }

  // Every metre a notch in the ground, and the next fifth one by its number.
  #drawPosts(now, X, Y, slope) {
    const half = 0.8 * this.wide;
    let d = "";
    for (let metre = Math.ceil(Math.max(now.distance - half, 0)); metre < now.distance + half; metre += 1) {
      const y = Y(this.ground.height(metre));
      d += `M${X(metre).toFixed(1)},${(y + 3).toFixed(1)}v${metre % 5 ? 12 : 26}`;
    }
    this.posts.setAttribute("d", d);
    const named = Math.round(now.distance / 5) * 5;
    const [x, y] = [X(named).toFixed(1), (Y(this.ground.height(named)) + 34).toFixed(1)];
    set(this.post, { x, y, transform: `rotate(${(-slope).toFixed(3)} ${x} ${y})` });
    this.post.textContent = `${named} m`;
  }

  #drawForce(now, x, y) {
    const long = now.tyre * FORCE_SCALE * this.scale;
    this.arrow.setAttribute("d", long > 3 ? `M${x.toFixed(1)},${(y + 6 + long).toFixed(1)}V${(y + 18).toFixed(1)}M${x - 9},${(y + 20).toFixed(1)}L${x},${(y + 6).toFixed(1)}L${x + 9},${(y + 20).toFixed(1)}` : "");
    this.air.textContent = now.tyre > 0 ? "" : `off the ground by ${units.text("length", Math.max(now.wheel - now.ground - this.figure.tyre_sink_m, 0))}`;
  }

  #drawGauge(now) {
    const { y, now: bar, deepest, words } = this.gauge;
    const { travel_m: full } = this.figure;
    const shown = Math.min(Math.max(now.travel, 0), full);
    set(bar, { height: (y(shown) - y(0)).toFixed(1) });
    set(deepest, { y1: y(Math.min(Math.max(now.deepest, 0), full)), y2: y(Math.min(Math.max(now.deepest, 0), full)) });
    set(words, { y: (y(shown) + 8).toFixed(1) });
    words.textContent = units.text("length", now.travel);
  }

  #read(now, slope) {
    const { figure } = this;
    const load = this.ground.load(now.distance);
    const rows = [
      ["Travel", units.text("length", now.travel)], ["Of its travel", `${Math.round((100 * now.travel) / figure.travel_m)} %`],
      [now.speed < 0 ? "Coming out at" : "Going in at", units.text("speed", Math.abs(now.speed))],
      ["Tyre force", now.tyre > 0 ? units.text("force", now.tyre) : "none"],
      ["Place", `${now.distance.toFixed(1)} m`], ["Riding at", units.text("speed", this.ground.pace(now.distance))],
      ["Slope", `${(-Math.tan((slope * Math.PI) / 180) * 100).toFixed(0).replace(/^-0$/, "0")} %`], ["Load factor", load.toFixed(2)],
    ];
    if (this.readings.children.length !== rows.length) this.readings.replaceChildren(...rows.map(() => element("div", {}, element("dt"), element("dd", { class: "figures" }))));
    rows.forEach(([name, value], index) => {
      const [head, number] = this.readings.children[index].children;
      if (head.textContent !== name) head.textContent = name;
      number.textContent = value;
    });
  }
}
