// SI numbers to and from the units the user reads. The factors come from the server's units room.
import { benchData } from "./page-data.js";
import { keep, recall } from "./keep.js";

const KEY = "forkwright.units";
const table = benchData.units;
const listeners = new Set();
let chosen = recall(KEY, {});

const entry = (kind) => table[kind].find((unit) => unit.symbol === chosen[kind]) ?? table[kind][0];

export const switchable = () => Object.keys(table).filter((kind) => table[kind].length > 1);
export const offered = (kind) => table[kind].map((unit) => unit.symbol);
export const symbol = (kind) => entry(kind).symbol;
export const decimals = (kind) => entry(kind).decimals;
export const chosenUnits = () => Object.fromEntries(switchable().map((kind) => [kind, symbol(kind)]));
export const toUnit = (kind, si) => (si - entry(kind).offset) / entry(kind).factor;
export const fromUnit = (kind, number) => number * entry(kind).factor + entry(kind).offset;
export const toUnits = (kind, list) => {
  const { factor, offset } = entry(kind);
  return list.map((si) => (si === null ? null : (si - offset) / factor));
};

// A number without its unit; a rate or a difference uses `extra` more digits where asked for.
export function figure(kind, si, extra = 0) {
  if (si === null || si === undefined || !Number.isFinite(si)) return "not known";
  const text = toUnit(kind, si).toFixed(Math.max(0, decimals(kind) + extra));
  return Number(text) === 0 ? text.replace("-", "") : text;
}

export const text = (kind, si, extra = 0) => {
  const number = figure(kind, si, extra);
  return number === "not known" ? number : `${number} ${symbol(kind)}`.trim();
};

// A heading with its unit; a kind of null is a plain count.
export const titled = (label, kind) => (kind && symbol(kind) ? `${label} (${symbol(kind)})` : label);

export function choose(kind, unit) {
  chosen = { ...chosen, [kind]: unit };
  keep(KEY, chosen);
  listeners.forEach((listener) => listener());
}

export function onUnits(listener) {
  listeners.add(listener);
}

// Another tab has switched: follow it.
addEventListener("storage", (event) => {
  if (event.key !== KEY) return;
  chosen = recall(KEY, {});
  listeners.forEach((listener) => listener());
});
