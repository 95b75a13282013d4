// What has been filled in on the plan form, kept in this browser, and the request that is made of it.
import { keep, recall } from "../keep.js";
import * as store from "../store.js";

const KEY = "forkwright.blind.plan";
export const DESIGNS = {
  paired: ["Two at a time: which one is better?", "Every pair is ridden; exact binomial test."],
  triangle: ["Three runs, one is odd: which one?", "Tells whether a difference can be felt at all. Two options."],
  "duo-trio": ["A reference, then two: which one is the same?", "Tells whether a difference can be felt at all. Two options."],
  ranked: ["All of them, put in order", "Friedman's test, then pairs."],
  rated: ["All of them, rated or timed", "Points on anchored scales, or seconds."],
};
export const AIMS = {
  paired: ["preferred_share"], ranked: ["preferred_share"], triangle: ["discriminators"], "duo-trio": ["discriminators"],
  rated: ["difference", "run_spread", "rider_spread"],
};

function begin() {
  const fork = store.forkAt("fork");
  return {
    name: "", design: "paired", question: "Which one would you rather race on?", riders: "", leader: "", mechanic: "",
    options: [{ label: "as set", fork, setting: {} }, { label: "one spacer more", fork, setting: {}, start: "spacers" }],
    scales: [], times: "", primary: "", repeats: "", same: "",
    aim: { alpha: "0.05", power: "0.9", preferred_share: "0.75", discriminators: "0.4", difference: "1", run_spread: "0.8", rider_spread: "0.5" },
    day: { runs_per_rider: "9", run_minutes: "6", changeover_minutes: "10", minutes: "300", bikes: "1" },
    limits: { load: "", full_travel_force: "" },
  };
}

const sound = (found) => found && Array.isArray(found.options) && found.options.length >= 2 && found.aim && found.day && found.limits && DESIGNS[found.design];
export let draft = sound(recall(KEY)) ? recall(KEY) : begin();
export const save = () => keep(KEY, draft);
export function clearDraft() {
  draft = begin();
  save();
}

const lines = (text) => text.split(/[\n,;]/).map((line) => line.trim()).filter(Boolean);
const number = (text) => (Number.isFinite(Number(String(text).replace(",", "."))) && String(text).trim() !== "" ? Number(String(text).replace(",", ".")) : text);
const filled = (table) => Object.fromEntries(Object.entries(table).filter(([, value]) => String(value).trim() !== "").map(([key, value]) => [key, number(value)]));

// "pressure = 85 psi" on each line, for an option whose fork is not on the bench.
export function settingFromLines(text) {
  return Object.fromEntries(text.split("\n").map((line) => line.split("=")).filter(([key, value]) => key?.trim() && value !== undefined).map(([key, ...value]) => [key.trim(), value.join("=").trim()]));
}

// `settings[i]` is the whole setting of option i, as its fields have it.
export function request(settings) {
  const { design } = draft;
  const aim = filled({ alpha: draft.aim.alpha, power: draft.aim.power, ...Object.fromEntries(AIMS[design].map((key) => [key, draft.aim[key]])) });
  const asks = design === "triangle" || design === "duo-trio" ? {} : { scales: draft.scales.map((scale) => ({ ...scale, points: number(scale.points) })), times: lines(draft.times) };
  return {
    format: 1, name: draft.name.trim() || "Blind test", design, question: draft.question, riders: lines(draft.riders), leader: draft.leader.trim(), mechanic: draft.mechanic.trim(),
    options: draft.options.map((option, place) => ({ label: option.label, setting: settings[place], ...(option.fork ? {} : { checked_by_hand: option.signed ?? "" }) })),
    ...(String(draft.repeats).trim() ? { repeats: number(draft.repeats) } : {}), aim, ...asks, ...(design === "rated" ? { primary: draft.primary || measures()[0] || "" } : {}),
    day: filled(draft.day), same_on_every_run: draft.same.split("\n").map((line) => line.trim()).filter(Boolean),
    limits: draft.options.some((option) => option.fork) ? Object.fromEntries(Object.entries(draft.limits).filter(([, value]) => value.trim())) : {},
  };
}

export const measures = () => [...draft.scales.map((scale) => scale.name.trim()), ...lines(draft.times)].filter(Boolean);
export const forks = () => draft.options.map((option) => (option.fork ? store.asked(option.fork) : null));
