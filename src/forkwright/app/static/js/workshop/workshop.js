// What the workshop's pages share: forms that are sent once, drafts, deleting, keys, papers in the chosen units.
import { byId } from "../dom.js";
import { recall, keep } from "../keep.js";
import { getText, once, Refused } from "../link.js";
import { tell } from "../notices.js";
import * as store from "../store.js";
import * as units from "../units.js";
import { saveLine } from "./check-list.js";
import { keepDraft } from "./form-draft.js";
import { backToForm, readAgain, send } from "./send-form.js";
import "./pictures.js";

// Forms --------------------------------------------------------------------------------------------------------
const AFTER = {
  job: (answer) => location.assign(`/jobs/${answer.number}`),
  next: (answer) => location.assign(`/jobs/${answer.number}/next`),
};

async function submit(form) {
  if (form.matches(".check")) return void saveLine(form);
  const answer = await send(form);
  if (answer === undefined) return undefined;
  const after = AFTER[form.dataset.then];
  return after ? after(answer) : readAgain(form);
}

for (const form of document.querySelectorAll("form[data-send]")) {
  form.noValidate = false;
  form.addEventListener("submit", (event) => {
    event.preventDefault();
    submit(form);
  });
  form.addEventListener("keydown", (event) => {
    if (event.key === "Enter" && (event.ctrlKey || event.metaKey)) form.requestSubmit();
  });
  if ("draft" in form.dataset) keepDraft(form);
}
for (const input of document.querySelectorAll("[data-text-into]")) {
  input.addEventListener("change", async () => {
    const form = input.form;
    form.elements[input.dataset.textInto].value = input.files[0] ? await input.files[0].text() : "";
    input.parentElement.querySelector("span").textContent = input.files[0]?.name ?? "Choose a file";
  });
}
backToForm();
for (const here of document.querySelectorAll("nav [aria-current]")) here.scrollIntoView({ block: "nearest", inline: "nearest" });

// Deleting asks first; the audit trail keeps what was deleted. -------------------------------------------------
for (const button of document.querySelectorAll("[data-delete]")) {
  button.addEventListener("click", async () => {
    if (!confirm(`${button.getAttribute("aria-label")}? The audit trail keeps it.`)) return;
    try {
      await once("DELETE", button.dataset.delete);
      location.reload();
    } catch (error) {
      tell("send", error instanceof Refused ? error.message : "The server did not answer; look whether it was deleted.", "bad");
    }
  });
}

// A kept version of a unit's file onto the bench of this browser. ------------------------------------------------
for (const button of document.querySelectorAll("[data-to-bench]")) {
  button.addEventListener("click", async () => {
    const toml = await getText(button.dataset.toBench);
    store.addFork(document.querySelector("h1").textContent.trim(), toml);
    location.assign("/fork");
  });
}

// Papers in the units chosen for the screens. --------------------------------------------------------------------
function paperAddresses() {
  for (const link of document.querySelectorAll("a[data-units]")) {
    const address = new URL(link.href);
    for (const kind of ["pressure", "length", "temperature"]) address.searchParams.set(kind, units.symbol(kind));
    link.href = address;
  }
}
paperAddresses();
units.onUnits(paperAddresses);

// Ticks on the step cards: kept for this job in this browser, as a help to memory and no record. -----------------
const job = document.querySelector("[data-job]")?.dataset.job;
const TICKS = `forkwright.desk.ticks.${job}`;
for (const tick of document.querySelectorAll("[data-step]")) {
  tick.checked = Boolean(recall(TICKS, {})[tick.dataset.step]);
  tick.addEventListener("change", () => keep(TICKS, { ...recall(TICKS, {}), [tick.dataset.step]: tick.checked }));
}

// Keys -----------------------------------------------------------------------------------------------------------
document.addEventListener("keydown", (event) => {
  if (!event.altKey || event.ctrlKey || event.metaKey) return;
  const goal = { n: "/jobs/new", b: "/jobs" }[event.key.toLowerCase()];
  if (goal) location.assign(goal);
  else if (event.key.toLowerCase() === "s") {
    if (byId("find")) byId("find").focus();
    else location.assign("/jobs/search");
  } else return;
  event.preventDefault();
});
const cards = [...document.querySelectorAll(".board .job-card")];
for (const [place, card] of cards.entries()) {
  card.addEventListener("keydown", (event) => {
    const step = { ArrowDown: 1, ArrowRight: 1, ArrowUp: -1, ArrowLeft: -1 }[event.key];
    if (!step || event.altKey) return;
    event.preventDefault();
    cards[place + step]?.focus();
  });
}
