// A shock at the rear wheel: force and rate over the wheel's travel, as the leverage passes them on.
import { Chart } from "./chart.js";
import { element } from "./dom.js";
import * as units from "./units.js";

const WHEEL = { kind: "length", label: "Wheel travel" };

// What the pages say of a shock's rest, spring and coil, as [name, value] rows.
export function wheelReadings({ wheel_sag: sag, coil }) {
  const rows = [];
  if (sag) {
    const share = ((100 * sag.wheel_sag_m) / sag.wheel_travel_full_m).toFixed(0);
    rows.push(["Sag at the wheel", `${units.text("length", sag.wheel_sag_m)} (${share} %)`]);
    rows.push(["Wheel rests between", `${units.figure("length", sag.wheel_sag_low_m)} and ${units.text("length", sag.wheel_sag_high_m)}`]);
    rows.push(["Leverage ratio there", sag.leverage_ratio.toFixed(2)]);
  }
  if (coil?.rate_from_wire_N_m) rows.push(["Coil's rate from its wire", units.text("stiffness", coil.rate_from_wire_N_m)]);
  if (coil?.stress_Pa) rows.push(["Stress in its wire at full travel", units.text("stress", coil.stress_Pa)]);
  if (coil?.left_before_solid_m !== undefined) rows.push(["Left there before its turns touch", units.text("length", coil.left_before_solid_m)]);
  return rows;
}

export class WheelCharts {
  constructor(holder) {
    const places = [0, 1].map(() => element("div"));
    this.holder = holder;
    holder.append(...places);
    this.force = new Chart(places[0], { title: "Force at the wheel", x: WHEEL, y: { kind: "force", label: "Vertical force" }, file: "wheel-force" });
    this.rate = new Chart(places[1], { title: "Rate at the wheel", x: WHEEL, y: { kind: "stiffness", label: "Rate" }, file: "wheel-rate" });
  }

  // Beyond the linkage's end there is nothing at the wheel.
  show(wheel, sag) {
    this.holder.hidden = !wheel;
    if (!wheel) return;
    const end = wheel.wheel_travel_m.indexOf(null);
    const cut = (list) => (end < 0 ? list : list.slice(0, end));
    const [x, force, friction, rate] = [wheel.wheel_travel_m, wheel.wheel_force_N, wheel.wheel_friction_N, wheel.wheel_rate_N_m].map(cut);
    const with_ = (sign) => force.map((value, at) => value + sign * friction[at]);
    this.force.show([
      { name: "Force at the wheel", x, y: force, place: 0 },
      { name: "Pushing in, with friction", x, y: with_(1), place: 3, dash: "dot", faint: true },
      { name: "Coming back", x, y: with_(-1), place: 2, dash: "dash", faint: true },
    ], sag ? [{ x: sag.wheel_sag_m, y: sag.wheel_load_N, name: "Sag", place: 1 }] : []);
    this.rate.show([{ name: "Rate at the wheel", x, y: rate, place: 0 }]);
  }
}
