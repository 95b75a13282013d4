// The unit in the moving picture: a fork from axle to bar, or a shock over a swingarm. `draw(now, axle)` places every
// part for one moment and returns where the mass stands. Travel is to scale; frame and bar are only hinted at.
import { shape } from "../dom.js";

const HEAD_TUBE = 0.12; // m
const STEM = [0.05, 0.045]; // m forward and up
const SHOCK_EYE = 0.23; // m from eye to eye of a rear unit, as drawn
const ARM = 0.43; // m from axle to pivot, as drawn
const ROUND = { "stroke-linecap": "round" };

const line = (name, width, extra = {}) => shape("line", { class: name, "stroke-width": width, ...extra });
const dot = (name, radius) => shape("circle", { class: name, r: radius });
const place = (node, from, to) => set(node, { x1: from[0].toFixed(2), y1: from[1].toFixed(2), x2: to[0].toFixed(2), y2: to[1].toFixed(2) });
export const pair = (point) => `${point[0].toFixed(2)},${point[1].toFixed(2)}`;
export function set(node, attributes) {
  for (const [name, value] of Object.entries(attributes)) node.setAttribute(name, value);
}

export class ForkPicture {
  constructor(figure, scale) {
    Object.assign(this, { figure, scale });
    const thick = figure.stanchion_m * scale;
    this.frame = shape("path", { class: "frame", "stroke-width": thick * 1.1 });
    this.stanchion = line("stanchion", thick);
    this.ring = line("foam-ring", thick * 0.28);
    this.lowers = line("lowers", thick * 1.34, ROUND);
    this.tube = line("head-tube", thick * 1.3);
    this.crown = line("crown", thick * 1.7, ROUND);
    this.stem = line("stem", thick * 0.75, ROUND);
    this.bar = dot("bar-end", thick * 0.55);
    this.axle = dot("axle", thick * 0.5);
    this.node = shape("g", {}, this.frame, this.stanchion, this.ring, this.lowers, this.tube, this.crown, this.stem, this.bar, this.axle);
    this.along = [-Math.cos(figure.head_angle_rad), -Math.sin(figure.head_angle_rad)];
  }

  // A place so many metres up the steering axis.
  #up(from, metres) {
    return [from[0] + this.along[0] * metres * this.scale, from[1] + this.along[1] * metres * this.scale];
  }

  draw(now, axle) {
    const { figure, scale } = this;
    const crown = this.#up(axle, figure.axle_to_crown_m - now.travel);
    const top = this.#up(crown, HEAD_TUBE);
    const bar = [top[0] + STEM[0] * scale, top[1] - STEM[1] * scale];
    place(this.stanchion, this.#up(axle, 0.5 * figure.lowers_m), crown);
    place(this.lowers, axle, this.#up(axle, figure.lowers_m));
    this.#placeRing(crown, now.deepest);
    place(this.crown, this.#up(crown, -0.012), this.#up(crown, 0.012));
    place(this.tube, crown, top);
    place(this.stem, top, bar);
    set(this.bar, { cx: bar[0], cy: bar[1] });
    set(this.axle, { cx: axle[0], cy: axle[1] });
    const low = this.#up(crown, 0.03);
    const tubes = [[this.#up(crown, HEAD_TUBE - 0.02), [top[0] - 0.5 * scale, top[1] + 0.1 * scale]], [low, [low[0] - 0.52 * scale, low[1] + 0.34 * scale]]];
    set(this.frame, { d: tubes.map(([from, to]) => `M${pair(from)}L${pair(to)}`).join("") });
    return [top[0] - 0.12 * scale, top[1] - 0.16 * scale];
  }

  // The foam ring stays where the deepest stroke so far has pushed it.
  #placeRing(crown, deepest) {
    const { figure, along } = this;
    const ring = this.#up(crown, -(figure.axle_to_crown_m - Math.max(deepest, 0) - figure.lowers_m));
    const half = figure.stanchion_m * 0.85 * this.scale;
    place(this.ring, [ring[0] - along[1] * half, ring[1] + along[0] * half], [ring[0] + along[1] * half, ring[1] - along[0] * half]);
  }
}

export class ShockPicture {
  // `begin` is the stroke (m) at the start, where the swingarm lies level.
  constructor(scale, begin) {
    Object.assign(this, { scale, begin });
    const thick = 0.04 * scale;
    this.frame = shape("path", { class: "frame", "stroke-width": thick * 0.9 });
    this.arm = line("swingarm", thick * 0.8, ROUND);
    this.shaft = line("stanchion", thick * 0.5);
    this.body = line("lowers", thick * 1.2, ROUND);
    this.seat = line("crown", thick * 0.8, ROUND);
    this.axle = dot("axle", thick * 0.5);
    this.node = shape("g", {}, this.frame, this.arm, this.shaft, this.body, this.seat, this.axle);
  }

  // The shock stands where the swingarm has about the unit's own movement.
  draw(now, axle) {
    const { scale, begin } = this;
    const pivot = [axle[0] + ARM * scale, axle[1] + (now.wheel - now.body) * scale];
    const at = (x, y) => [pivot[0] + x * scale, pivot[1] - y * scale];
    const mount = at(-0.4 * ARM, SHOCK_EYE - begin);
    const under = (metres) => [mount[0], mount[1] + metres * scale];
    place(this.arm, axle, pivot);
    place(this.body, under(0.02), under(0.12));
    place(this.shaft, under(0.1), under(SHOCK_EYE - now.travel));
    const tubes = [[pivot, at(-0.1, 0.46)], [mount, at(-0.06, SHOCK_EYE - begin + 0.02)], [pivot, at(0.6, 0.34)], [at(-0.07, 0.34), at(0.6, 0.42)]];
    set(this.frame, { d: tubes.map(([from, to]) => `M${pair(from)}L${pair(to)}`).join("") });
    place(this.seat, at(-0.2, 0.47), at(0.02, 0.47));
    set(this.axle, { cx: axle[0], cy: axle[1] });
    return at(-0.09, 0.62);
  }
}
