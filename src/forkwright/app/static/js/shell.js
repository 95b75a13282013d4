// What every page has: undo and redo, units, light and dark, keys, help.
import { byId, element } from "./dom.js";
import { keep, recall } from "./keep.js";
import { tell } from "./notices.js";
import * as store from "./store.js";
import * as units from "./units.js";

const KIND_WORDS = {
  pressure: "Pressure", length: "Length", force: "Force", stiffness: "Spring rate", volume: "Volume",
  temperature: "Temperature", mass: "Mass", speed: "Speed",
};

// Undo and redo ------------------------------------------------------------------------------------------------
function refreshHistory() {
  byId("undo").disabled = !store.canUndo();
  byId("redo").disabled = !store.canRedo();
}
byId("undo").addEventListener("click", store.undo);
byId("redo").addEventListener("click", store.redo);
store.onDraft(refreshHistory);
refreshHistory();

// Units --------------------------------------------------------------------------------------------------------
function unitRow(kind) {
  const row = element("fieldset", { class: "segments" }, element("legend", {}, KIND_WORDS[kind] ?? kind));
  for (const symbol of units.offered(kind)) {
    const radio = element("input", {
      type: "radio", name: `unit-${kind}`, value: symbol, onchange: () => units.choose(kind, symbol),
    });
    radio.checked = units.symbol(kind) === symbol;
    row.append(element("label", {}, radio, element("span", {}, symbol)));
  }
  return row;
}
function refreshUnits() {
  byId("units-now").textContent = ["pressure", "length", "force"].map(units.symbol).join(" · ");
  byId("units-choices").replaceChildren(...units.switchable().map(unitRow));
}
byId("open-units").addEventListener("click", () => byId("units-dialog").showModal());
units.onUnits(() => {
  const focused = document.activeElement?.closest("#units-choices") && document.activeElement;
  refreshUnits();
  if (focused) document.querySelector(`input[name="${focused.name}"][value="${CSS.escape(focused.value)}"]`)?.focus();
});
refreshUnits();

// Light and dark -----------------------------------------------------------------------------------------------
const THEMES = { auto: "As the system", light: "Light", dark: "Dark" };
function refreshTheme(theme) {
  const dark = theme === "dark" || (theme === "auto" && matchMedia("(prefers-color-scheme: dark)").matches);
  document.documentElement.dataset.theme = theme;
  document.documentElement.dataset.shade = dark ? "dark" : "light";
  byId("theme-now").textContent = THEMES[theme];
  document.dispatchEvent(new CustomEvent("bench:theme"));
}
const themeNow = () => document.documentElement.dataset.theme;
byId("turn-theme").addEventListener("click", () => {
  const names = Object.keys(THEMES);
  const next = names[(names.indexOf(themeNow()) + 1) % names.length];
  keep("forkwright.theme", next);
  refreshTheme(next);
});
matchMedia("(prefers-color-scheme: dark)").addEventListener("change", () => refreshTheme(themeNow()));
addEventListener("storage", (event) => event.key === "forkwright.theme" && refreshTheme(recall(event.key, "auto")));
refreshTheme(themeNow());

// The groups of pages in the heading: one open at a time; Escape, a press elsewhere or leaving it closes it ------
const groups = [...document.querySelectorAll("details.group")];
const closeGroups = (except = null) => groups.forEach((group) => group !== except && group.removeAttribute("open"));
document.addEventListener("pointerdown", (event) => closeGroups(event.target.closest("details.group")));
for (const group of groups) {
  group.addEventListener("focusout", (event) => event.relatedTarget && !group.contains(event.relatedTarget) && closeGroups());
  group.addEventListener("keydown", (event) => {
    const places = [group.querySelector("summary"), ...group.querySelectorAll("a")];
    const moves = { ArrowDown: 1, ArrowUp: -1 };
    if (event.key === "Escape" && group.open) places[0].focus();
    else if (!(event.key in moves) || event.altKey) return;
    event.preventDefault();
    if (event.key === "Escape") return closeGroups();
    group.open = true;
    places[Math.max(0, Math.min(places.length - 1, places.indexOf(document.activeElement) + moves[event.key]))].focus();
  });
}

// Keys ---------------------------------------------------------------------------------------------------------
const typing = (target) => target.matches?.("input[type=text], textarea, [contenteditable]");
const pagesInOrder = () => [...document.querySelectorAll(".pages a")];

document.addEventListener("keydown", (event) => {
  if (typing(event.target)) return;
  const command = event.ctrlKey || event.metaKey;
  const key = event.key.toLowerCase();
  if (command && key === "z" && !event.shiftKey) store.undo();
  else if (command && (key === "y" || (key === "z" && event.shiftKey))) store.redo();
  else if (event.altKey && /^[1-9]$/.test(key) && pagesInOrder()[key - 1]) pagesInOrder()[key - 1].click();
  else if (key === "?" && !command && !document.querySelector("dialog[open]")) byId("help-dialog").showModal();
  else return;
  event.preventDefault();
});
byId("open-help").addEventListener("click", () => byId("help-dialog").showModal());

document.addEventListener("bench:cannot-keep", () =>
  tell("storage", "This browser keeps nothing (storage is off or full): export what you want to keep before you leave."));
