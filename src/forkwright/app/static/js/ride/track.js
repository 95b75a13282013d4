// What one ride was like at any moment: the sent history between its points, and the ground beside it.
const CAMERA_S = 0.2; // the camera follows the wheel's height smoothed over so long to each side, twice

export class Track {
  constructor(side, trail) {
    Object.assign(this, { side, trail });
    this.history = side.history;
    let deepest = -Infinity;
    this.deepest = this.history.travel_m.map((travel) => (deepest = Math.max(deepest, travel)));
    const reach = CAMERA_S * this.history.points_per_s;
    this.camera = smoothed(smoothed(this.history.wheel_height_m, reach), reach);
  }

  get from() { return this.history.from_s; }
  get to() { return this.history.to_s; }

  // Straight lines between the points that were sent, which lie evenly in time.
  at(time) {
    const { time_s: times, points_per_s: rate } = this.history;
    const place = Math.min(Math.max((time - times[0]) * rate, 0), times.length - 1);
    const low = Math.min(Math.floor(place), times.length - 2);
    const share = place - low;
    const between = (list) => list[low] + (list[low + 1] - list[low]) * share;
    const h = this.history;
    return {
      time, distance: between(h.distance_m), ground: between(h.ground_m), wheel: between(h.wheel_height_m), body: between(h.sprung_height_m),
      travel: between(h.travel_m), speed: between(h.travel_speed_m_s), tyre: h.tyre_force_N[share < 0.5 ? low : low + 1], rider: between(h.rider_height_m), deepest: this.deepest[low], camera: between(this.camera),
    };
  }
}

// The ground as heights over the distance, with a smoothed line of its level.
export class Ground {
  #smooth;

  constructor(trail) {
    this.trail = trail;
    this.#smooth = smoothed(smoothed(trail.height_m, 1.2 / trail.spacing_m), 1.2 / trail.spacing_m);
  }

  #between(list, distance) {
    const { from_m: from, spacing_m: spacing } = this.trail;
    const place = Math.min(Math.max((distance - from) / spacing, 0), list.length - 1);
    const low = Math.min(Math.floor(place), list.length - 2);
    return list[low] + (list[low + 1] - list[low]) * (place - low);
  }

  height = (distance) => this.#between(this.trail.height_m, distance);
  level = (distance) => this.#between(this.#smooth, distance);
  gradient = (distance) => this.#between(this.trail.gradient, distance);
  load = (distance) => this.#between(this.trail.load_factor, distance);
  pace = (distance) => this.#between(this.trail.speed_m_s, distance);

  // Points of the ground between two distances, at most about `most` of them.
  points(low, high, most) {
    const { from_m: from, spacing_m: spacing, height_m: heights } = this.trail;
    const first = Math.max(Math.floor((low - from) / spacing), 0);
    const last = Math.min(Math.ceil((high - from) / spacing), heights.length - 1);
    const every = Math.max(Math.floor((last - first) / most), 1);
    const found = [[low, heights[first]]];
    for (let index = first - (first % every) + every; index <= last; index += every) found.push([from + index * spacing, heights[index]]);
    found.push([high, heights[last]]);
    return found;
  }
}

// Mean over a window of so many points to each side.
function smoothed(list, reach) {
  const half = Math.max(Math.round(reach), 1);
  const sums = [0];
  for (const value of list) sums.push(sums.at(-1) + value);
  return list.map((_, index) => {
    const low = Math.max(index - half, 0);
    const high = Math.min(index + half + 1, list.length);
    return (sums[high] - sums[low]) / (high - low);
  });
}
