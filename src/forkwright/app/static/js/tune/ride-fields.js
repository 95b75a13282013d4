// How a ride is simulated and in which steps the pump sets pressures: the fields that Recommend and Stages share;
// Match has the pump's alone. An empty field leaves its option out.
import { DampingFile } from "../damping-file.js";
import { byId } from "../dom.js";

const PUMP = { "pump-step": "pump_step", "secondary-step": "secondary_step" };
const RIDE = { tyre: "tyre", "tyre-stiffness": "tyre_stiffness", "oil-temperature": "oil_temperature", limbs: "limbs", isothermal: "isothermal", "oil-chambers": "oil_chambers", stiffening: "stiffening" };
const SEARCH = { margin: "margin", "with-bands": "bands" };

export const PUMP_AS_USUAL = { pump_step: "", secondary_step: "" };
export const RIDE_AS_USUAL = { tyre: "24 psi", tyre_stiffness: "", oil_temperature: "", limbs: false, isothermal: false, oil_chambers: false, stiffening: false, damping: null, margin: "0", bands: true, ...PUMP_AS_USUAL };

const tie = (form, fields) => Object.entries(fields).forEach(([id, entry]) => form.tie(id, entry));
export const tiePump = (form) => tie(form, PUMP);
export function tieRide(form) {
  tie(form, { ...RIDE, ...SEARCH, ...PUMP });
  new DampingFile(form, () => byId("ask").dispatchEvent(new Event("change"))); // as a field that is changed by hand
}

export const pumpAsked = ({ state: { pump_step, secondary_step } }) => ({ pump_step, secondary_step });
export function rideAsked(form) {
  const { tyre, tyre_stiffness, oil_temperature, limbs, isothermal, oil_chambers, stiffening, damping } = form.state;
  return { tyre_pressure: tyre, tyre_stiffness, oil_temperature, limbs, isothermal, oil_chambers, stiffening, ...(damping ? { damping } : {}), ...pumpAsked(form) };
}
