// The mechanic's page: the setting of the next code, the checks before it may be ridden, and nothing further.
import { byId, element } from "../dom.js";
import { post } from "../link.js";
import { countNote } from "./links.js";
import { Outbox } from "./outbox.js";
import { remarkForms } from "./remark-forms.js";
import { halfTyped, list, refusedSheet, safetySheet, showOutbox, showStop } from "./seat-parts.js";
import { every, fault, firstLook, keptView, lookUp, token } from "./seat.js";

let view = keptView();
let outbox = null;
let card = null;
let asking = false;
let shown = "";
let whose = "";

const KEY_WORDS = { low_speed: "low-speed compression, clicks from closed", high_speed: "high-speed compression, clicks from closed", rebound: "rebound, clicks from closed", floating: "secondary pressure", negative_pressure: "negative pressure", spacers: "volume spacers" };

function show(mayWait = false) {
  if (!view) return;
  byId("seat-name").textContent = `Mechanic: ${view.name}`;
  showOutbox(outbox);
  showStop(view, "The trial is stopped: hand over no bike until the leader says that it goes on.");
  if (mayWait && (card || halfTyped())) return; // ticks and words stay as they are
  const state = JSON.stringify([view, card?.code, whose, outbox.waiting().length > 0, asking, outbox.refused().length]);
  if (state === shown) return;
  shown = state;
  byId("seat").replaceChildren(...[banner(), view.state === "running" ? (card ? cardSheet() : askSheet()) : null, refusedSheet(outbox),
    view.state === "running" ? remarkForms(card ? [card.code] : [], (record) => outbox.add(record)) : null, safetySheet(view), countNote(view.mechanic_links)].filter(Boolean));
}

function banner() {
  if (view.stopped) return element("section", { class: "notice bad" }, element("p", {}, `The trial is stopped: ${view.stopped}. The leader must resume it before another card.`));
  if (view.state !== "running") return element("section", { class: "sheet" }, element("h2", {}, "No more runs"), element("p", {}, `The trial is ${view.state}.`));
  return null;
}

// Asking for the card --------------------------------------------------------------------------------------------
function askSheet() {
  const select = element("select", { id: "whose", onchange: () => { whose = select.value; } }, element("option", { value: "" }, "whoever is next"), view.riders.map((rider) => element("option", { value: rider }, rider)));
  select.value = whose;
  return element("section", { class: "sheet" }, element("h2", {}, "Next card"), element("p", {}, `${view.runs_done} of ${view.runs} runs are done or skipped.`),
    element("p", { class: "quiet" }, "Only when rider and leader are out of sight. Each card shown is logged."),
    element("div", { class: "field" }, element("label", { for: "whose" }, "For"), select),
    element("button", { type: "button", class: "main-button wide", disabled: asking || outbox.waiting().length > 0, onclick: askCard }, outbox.waiting().length > 0 ? "Sending the last run first …" : "Show the next card"));
}

async function askCard() {
  asking = true;
  fault(null);
  show();
  try {
    card = await post(`/api/blind/seat/${token}/card`, { rider: whose });
  } catch (error) {
    fault(error.message);
  }
  asking = false;
  show();
  byId("card-title")?.focus();
}

function hide() {
  card = null;
  show();
}

// The card -------------------------------------------------------------------------------------------------------
function cardSheet() {
  const ticked = new Set();
  const shownCard = card;
  const safe = Object.keys(card.safety_checks);
  const masks = Object.keys(card.mask_checks);
  const said = element("p", { class: "quiet", role: "status" });
  const ready = element("button", { type: "button", class: "main-button", disabled: true, onclick: () => {
    outbox.add({ kind: "ready", code: shownCard.code, checks: [...ticked] });
    hide();
  } }, "Ready to ride");
  const refresh = () => {
    const masked = masks.every((key) => ticked.has(key));
    ready.disabled = !safe.every((key) => ticked.has(key));
    said.textContent = ready.disabled ? "Not to be ridden before every safety check is ticked." : masked ? "Safe and masked: this run counts." : "Safe, but not masked: it may be ridden and will not count.";
  };
  const ticks = (checks) => Object.entries(checks).map(([key, words]) => element("label", { class: "tick check" }, element("input", { type: "checkbox", onchange: (event) => {
    if (event.target.checked) ticked.add(key);
    else ticked.delete(key);
    refresh();
  } }), element("span", {}, words)));
  refresh();
  return element("section", { class: "sheet card", "aria-labelledby": "card-title" },
    element("h2", { id: "card-title", tabindex: "-1" }, "Code ", element("span", { class: "code figures" }, card.code)),
    element("p", {}, `For ${card.rider}: run ${card.place} of ${card.of} in session ${card.session}.`),
    element("dl", { class: "setting" }, element("div", {}, element("dt", {}, "Set"), element("dd", {}, card.label)),
      Object.entries(card.setting).map(([key, value]) => element("div", {}, element("dt", {}, KEY_WORDS[key] ?? key.replaceAll("_", " ")), element("dd", { class: "figures" }, String(value))))),
    element("p", { class: "quiet" }, "Let the air out before anything is unscrewed; stay within the maker's manual and the pressure on the label."),
    element("fieldset", { class: "checks" }, element("legend", {}, "Safe"), ticks(card.safety_checks)),
    element("fieldset", { class: "checks" }, element("legend", {}, "Blind"), ticks(card.mask_checks)),
    element("details", {}, element("summary", {}, "The same on every run"), list(card.same_on_every_run)),
    said, element("div", { class: "row" }, ready, element("button", { type: "button", class: "plain", onclick: hide }, "Hide the card")), skipForm(shownCard));
}

function skipForm(shownCard) {
  const reason = element("input", { type: "text", id: "skip-reason", maxlength: "300", autocomplete: "off" });
  const form = element("form", { onsubmit: (event) => {
    event.preventDefault();
    if (!reason.value.trim()) return reason.focus();
    outbox.add({ kind: "skip", code: shownCard.code, text: reason.value.trim() });
    return hide();
  } }, element("div", { class: "field" }, element("label", { for: "skip-reason" }, "Why it is not ridden (do not name the setting)"), reason), element("button", { type: "submit", class: "plain" }, "Skip this run"));
  return element("details", {}, element("summary", {}, "This run is not ridden"), form);
}

// What sets it off ---------------------------------------------------------------------------------------------
async function refresh() {
  const found = await lookUp();
  if (!found) return false;
  view = found;
  outbox ??= new Outbox(token, view.person, (sent) => (sent ? refresh() : show(true)));
  show(true);
  return true;
}

// A card never stays on a screen that somebody else may pick up.
document.addEventListener("visibilitychange", () => document.hidden && card && hide());

if (!token) fault("This page needs the mechanic's own link.");
else {
  firstLook(refresh).then(() => outbox?.flush());
  every(15, () => refresh());
}
