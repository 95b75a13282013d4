// The rider's page at the trailhead: own codes only. It works without a network from what this phone keeps.
import { byId, element } from "../dom.js";
import { secondsText } from "./answer-forms.js";
import { countNote } from "./links.js";
import { Outbox } from "./outbox.js";
import { remarkForms } from "./remark-forms.js";
import { halfTyped, list, refusedSheet, safetySheet, showOutbox, showStop } from "./seat-parts.js";
import { every, fault, firstLook, keptView, lookUp, token } from "./seat.js";
import { answerForm, ratingForm } from "./session-forms.js";

let view = keptView();
let outbox = null;
let shown = "";
const changing = new Set();

const today = (at) => new Date(at).toDateString() === new Date().toDateString();

// What is known: the server's view, and what this phone has recorded since -------------------------------------
const standing = (kind) => outbox.standing().map((entry) => entry.record).filter((record) => record.kind === kind);
const valuesOf = (code) => Object.assign({}, ...[...standing("rating"), ...standing("time")].filter((record) => record.code === code).map((record) => record.values));
const measured = (code) => view.rated.includes(code) || Object.keys(valuesOf(code)).length > 0;
const answerOf = (session) => [...standing("choice"), ...standing("ranking")].findLast((record) => record.session === session.session);
const asksRatings = () => view.scales.length + view.times.length > 0;
const warmedUp = () => view.warm_ups.some(today) || standing("warm_up").some((record) => today(record.at));

function done(session) {
  if (view.design === "rated") return session.answered || session.codes.every((code) => measured(code) || view.skipped.includes(code));
  return session.answered || answerOf(session) !== undefined;
}

// Showing ------------------------------------------------------------------------------------------------------
function show() {
  if (!view) return;
  byId("seat-name").textContent = `${view.person}: ${view.name}`;
  showOutbox(outbox);
  showStop(view, "The trial is stopped. Do not ride until the leader says that it goes on.");
  const now = view.sessions.find((session) => changing.has(session.session)) ?? view.sessions.find((session) => !done(session));
  const state = JSON.stringify([view.state, view.made_ready, view.skipped, view.rated, warmedUp(), now, view.sessions.map(done), outbox.entries().map((entry) => [entry.record.id, entry.status]), [...changing]]);
  if (state === shown) return;
  if (shown !== "" && busyTyping()) return;
  shown = state;
  byId("seat").replaceChildren(...[warmUp(), endBanner(), warmedUp() && view.state === "running" ? sessionSheet(now) : null,
    view.state === "running" ? remarkForms(view.sessions.flatMap((session) => session.codes), (record) => outbox.add(record)) : null, past(), refusedSheet(outbox, "These were kept aside with the reason; tell the leader."), safetySheet(view), countNote(view.link_count)].filter(Boolean));
}

// A page that is redrawn under a finger loses what is being typed: it waits. Forms that are filled in and not kept, by code.
const unsaved = new Set();
const typing = (form) => (on) => (on ? unsaved.add(form) : unsaved.delete(form));
const busyTyping = () => document.activeElement?.matches?.("textarea, input[type=text], input[type=range]") || halfTyped() || unsaved.size > 0;

// One of several forms has been kept: the page is drawn anew once none is half filled in.
function keptOne(session) {
  if (unsaved.size > 0) return;
  changing.delete(session.session);
  shown = "";
}

function endBanner() {
  if (view.state === "running") return null;
  return element("section", { class: "sheet" }, element("h2", {}, "The records are closed"), element("p", {}, "Thank you. Ask the leader for the result."));
}

function warmUp() {
  if (view.state !== "running" || warmedUp()) return null;
  return element("section", { class: "sheet" }, element("h2", {}, "First a warm-up run"), list(view.safety),
    element("button", { type: "button", class: "main-button wide", onclick: () => outbox.add({ kind: "warm_up", rider: view.person }) }, "I have done my warm-up run today"));
}

function sessionSheet(session) {
  if (!session) return element("section", { class: "sheet" }, element("h2", {}, "All answered"), element("p", {}, "You have answered everything. Keep this page open until it says “all sent”."));
  const place = view.sessions.indexOf(session) + 1;
  const parts = session.codes.map((code, run) => runPart(session, code, run));
  const again = changing.has(session.session);
  return element("section", { class: "sheet session", "aria-labelledby": "session-title" },
    element("h2", { id: "session-title" }, `${again ? "Change: session" : "Session"} ${place} of ${view.sessions.length}`), element("p", { class: "quiet" }, `Day ${session.day}. Ride the codes in this order.`),
    element("ol", { class: "runs" }, parts), view.design === "rated" ? null : answer(session),
    again ? element("button", { type: "button", class: "plain", onclick: () => { changing.delete(session.session); unsaved.clear(); shown = ""; show(); } }, "Leave it as it was") : null);
}

function stateOf(code) {
  if (view.skipped.includes(code)) return "skipped by the mechanic";
  if (view.made_ready.includes(code)) return "ready to ride";
  return "wait until the mechanic hands you the bike";
}

function runPart(session, code, run) {
  const words = measured(code) ? `kept: ${Object.entries(valuesOf(code)).map(([name, value]) => `${name} ${view.times.includes(name) ? secondsText(value) : value}`).join(", ") || "rated"}` : stateOf(code);
  const open = asksRatings() && (!measured(code) || changing.has(session.session)) && !view.skipped.includes(code);
  return element("li", { class: "run" }, element("p", { class: "run-head" }, element("span", { class: "quiet" }, `Run ${run + 1}`), element("strong", { class: "code figures" }, code), element("span", { class: "quiet" }, words)), open ? rate(session, code) : null);
}

function rate(session, code) {
  return ratingForm(view, code, valuesOf(code), { typing: typing(code), kept: (ratings, times) => {
    const earlier = (kind) => standing(kind).findLast((record) => record.code === code)?.id;
    const replaced = (kind) => (earlier(kind) ? { replaces: earlier(kind) } : {});
    keptOne(session);
    if (Object.keys(ratings).length) outbox.add({ kind: "rating", code, values: ratings, ...replaced("rating") });
    if (Object.keys(times).length) outbox.add({ kind: "time", code, values: times, ...replaced("time") });
  } });
}

function answer(session) {
  const before = answerOf(session);
  return answerForm(view, session.codes, { typing: typing("answer"), kept: (kind, given) => {
    keptOne(session);
    outbox.add({ kind, session: session.session, [kind]: given, ...(before ? { replaces: before.id } : {}) });
  } });
}

function past() {
  const answered = view.sessions.filter((session) => done(session));
  if (answered.length === 0) return null;
  return element("section", { class: "sheet" }, element("details", {}, element("summary", {}, `Answered: ${answered.length} of ${view.sessions.length}`),
    element("ul", { class: "plain-list past" }, answered.map((session) => pastRow(session)))));
}

function pastRow(session) {
  const answer = answerOf(session);
  const words = answer ? answer.choice ?? answer.ranking.join(" › ") : session.codes.filter((code) => Object.keys(valuesOf(code)).length).map((code) => `${code}: ${Object.values(valuesOf(code)).join(", ")}`).join("; ");
  const own = view.state === "running" && (answer || session.codes.some((code) => Object.keys(valuesOf(code)).length));
  return element("li", { class: "row spread" }, element("span", {}, `Session ${view.sessions.indexOf(session) + 1} (${session.codes.join(", ")}): ${words || "answered"}`),
    own ? element("button", { type: "button", class: "plain", "aria-label": `Change session ${view.sessions.indexOf(session) + 1}`, onclick: () => { changing.add(session.session); shown = ""; show(); byId("session-title")?.scrollIntoView({ block: "start" }); } }, "Change") : null);
}

// What sets it off ---------------------------------------------------------------------------------------------
async function refresh() {
  const found = await lookUp();
  if (!found) return false;
  view = found;
  outbox ??= new Outbox(token, view.person, (sent) => (sent ? refresh() : show()));
  show();
  return true;
}

if (!token) fault("This page needs the rider's own link.");
else {
  if (view) {
    outbox = new Outbox(token, view.person, (sent) => (sent ? refresh() : show()));
    show();
  }
  firstLook(refresh).then(() => outbox?.flush());
  every(12, () => refresh());
}
