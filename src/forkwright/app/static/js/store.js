// The draft: every fork on this browser's rack with what was changed on it, and the history to undo it.
// It lives in the browser alone, so that two browsers never disturb each other and a lost server loses nothing.
import { keep, recall } from "./keep.js";
import { tell } from "./notices.js";
import { benchData } from "./page-data.js";

const KEY = "forkwright.draft.1";
const LONGEST_HISTORY = 200;
const listeners = new Set();
let draft = sound(recall(KEY)) ?? begin();
let pending = null;

function begin() {
  const forks = Object.fromEntries(benchData.demo.units.map((unit) => [unit.id, { ...unit, edits: {} }]));
  const order = Object.keys(forks);
  const { rider, bike } = benchData.demo;
  return { forks, order, rider: { ...rider, edits: {} }, bike: { ...bike, edits: {} },
    view: { fork: order[0], other: order[1] ?? order[0] }, done: [], undone: [] };
}

function sound(found) {
  const good = found && found.forks && Array.isArray(found.order) && found.order.length > 0 && found.view
    && found.order.every((id) => typeof found.forks[id]?.toml === "string" && found.forks[id].edits);
  if (found && !good) keep("forkwright.draft.unreadable", found);
  return good ? found : null;
}

function write() {
  clearTimeout(pending);
  pending = null;
  if (!keep(KEY, draft)) tell("storage", "This browser keeps nothing (storage is off or full): export what you want to keep before you leave.");
}

// A drag changes many times a second: write at rest, and always before the page can go away.
function writeSoon() {
  pending ??= setTimeout(write, 120);
}
addEventListener("pagehide", () => pending !== null && write());
document.addEventListener("visibilitychange", () => document.hidden && pending !== null && write());

addEventListener("storage", (event) => {
  if (event.key !== KEY || event.newValue === null) return;
  draft = sound(recall(KEY)) ?? draft;
  announce("elsewhere");
});

// Listeners are told the cause ("change", "view", "rack", "elsewhere") and, for a change, which keys it touched.
const announce = (cause, paths = null) => listeners.forEach((listener) => listener(cause, paths));

export const onDraft = (listener) => listeners.add(listener);
export const view = (name, otherwise = null) => draft.view[name] ?? otherwise;
export const rack = () => draft.order.map((id) => ({ id, ...draft.forks[id] }));
export const forkAt = (place = "fork") => (draft.forks[draft.view[place]] ? draft.view[place] : draft.order[place === "other" ? draft.order.length - 1 : 0]);
export const sheetOf = (owner) => (owner === "rider" || owner === "bike" ? draft[owner] : draft.forks[owner]);
// "fork" or "shock", as a unit's file says.
export const kindOf = ({ toml }) => /^\s*kind\s*=\s*["'](\w+)["']/m.exec(toml)?.[1];
// Whether a change touched the setting alone, so that the measured parts are as they were.
export const settingOnly = (paths) => paths !== null && paths.every((path) => path.startsWith("setting."));
export const canUndo = () => draft.done.length > 0;
export const canRedo = () => draft.undone.length > 0;

// What the server wants to know about a fork, a rider or a bike, as it is at this moment.
export const asked = (owner) => {
  const { toml, edits, name } = sheetOf(owner);
  return { toml, edits: { ...edits }, name };
};

export function setView(name, value) {
  draft.view[name] = value;
  writeSoon();
  announce("view");
}

// Change entries of one sheet, {path: value}; `undefined` gives back what the file says, null takes the key out of
// it. Changes of one gesture (a drag) are one step of the history.
export function change(owner, entries, gesture = null) {
  const { edits } = sheetOf(owner);
  const differs = ([path, value]) => JSON.stringify(edits[path]) !== JSON.stringify(value);
  const changed = Object.entries(entries).filter(differs);
  if (changed.length === 0) return;
  const before = Object.fromEntries(changed.map(([path]) => [path, boxed(edits[path])]));
  const after = Object.fromEntries(changed.map(([path, value]) => [path, boxed(value)]));
  apply(owner, after);
  const last = draft.done.at(-1);
  const goesOn = gesture !== null && last?.gesture === gesture && last.owner === owner;
  if (goesOn) {
    last.before = { ...before, ...last.before };
    last.after = { ...last.after, ...after };
  } else draft.done.push({ owner, before, after, gesture });
  draft.done.splice(0, draft.done.length - LONGEST_HISTORY);
  draft.undone = [];
  writeSoon();
  announce("change", Object.keys(after));
}

// JSON has no "undefined": a missing entry is kept as an empty box.
const boxed = (value) => (value === undefined ? {} : { value });

function apply(owner, boxes) {
  const { edits } = sheetOf(owner);
  for (const [path, box] of Object.entries(boxes)) {
    if ("value" in box) edits[path] = box.value;
    else delete edits[path];
  }
}

function step(from, to, which) {
  const entry = from.pop();
  if (!entry) return;
  if (sheetOf(entry.owner)) apply(entry.owner, entry[which]);
  to.push({ ...entry, gesture: null });
  write();
  announce("change", Object.keys(entry[which]));
}
export const undo = () => step(draft.done, draft.undone, "before");
export const redo = () => step(draft.undone, draft.done, "after");

export function addFork(name, toml, place = "fork") {
  const id = `u${Date.now().toString(36)}${Math.floor(Math.random() * 1296).toString(36)}`;
  draft.forks[id] = { id, name, toml, edits: {} };
  draft.order.push(id);
  draft.view[place] = id;
  write();
  announce("rack");
  return id;
}

export function removeFork(id) {
  if (draft.order.length < 2) return;
  draft.order = draft.order.filter((other) => other !== id);
  delete draft.forks[id];
  draft.done = draft.done.filter((entry) => entry.owner !== id);
  draft.undone = draft.undone.filter((entry) => entry.owner !== id);
  write();
  announce("rack");
}

export function renameFork(id, name) {
  if (draft.forks[id].name === name) return;
  draft.forks[id].name = name;
  writeSoon();
  announce("rack");
}

export function replaceSheet(owner, name, toml) {
  draft[owner] = { name, toml, edits: {} };
  draft.done = draft.done.filter((entry) => entry.owner !== owner);
  draft.undone = draft.undone.filter((entry) => entry.owner !== owner);
  write();
  announce("rack");
}
