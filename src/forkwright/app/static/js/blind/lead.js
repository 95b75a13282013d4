// The leader's page: how far the trial is, links, stop and resume, closing, opening, and the result. Codes only.
import { byId, element, offerSent } from "../dom.js";
import { JobBar } from "../job-watch.js";
import { post } from "../link.js";
import { linkCard, reachNote } from "./links.js";
import { showOutcome } from "./outcome.js";
import { Outbox } from "./outbox.js";
import { PaperForms } from "./paper-forms.js";
import { remarkForms } from "./remark-forms.js";
import { halfTyped, list } from "./seat-parts.js";
import { every, fault, firstLook, keptView, lookUp, token } from "./seat.js";

let view = keptView();
let outbox = null;
let paper = null;
let shown = "";
let opened = null;
let asked = null;

const call = (what, body) => post(`/api/blind/seat/${token}/${what}`, body);

async function act(what, body) {
  fault(null);
  try {
    const answer = await call(what, body);
    await refresh(true);
    return answer;
  } catch (error) {
    fault(error.message);
    byId("seat-fault").scrollIntoView({ block: "center" });
    return null;
  }
}

// Showing ------------------------------------------------------------------------------------------------------
function show(force = false) {
  if (!view || !outbox) return;
  document.title = `${view.name} – leader – forkwright`;
  const state = JSON.stringify([view, outbox.entries().map((entry) => entry.status)]);
  const typing = halfTyped(".paper") || (byId("seat").contains(document.activeElement) && document.activeElement.matches("input, textarea, select"));
  if (!force && (state === shown || typing)) return;
  shown = state;
  byId("seat").replaceChildren(...[head(), stopSheet(), progressSheet(), paper.sheet(view), view.state === "running" ? linksSheet() : null, endSheet(), keySheet(), planSheet(),
    view.state === "running" ? remarkForms(view.sessions.flatMap((session) => session.codes), (record) => outbox.add(record)) : null].filter(Boolean));
  showOutcomeSheet();
}

const STATES = { running: "Records are being taken", closed: "Records closed, key sealed", open: "Key open" };

function head() {
  const answered = view.sessions.length - view.missing.length;
  return element("section", { class: "sheet lead-head", "aria-labelledby": "lead-title" }, element("div", { class: "row spread" }, element("h1", { id: "lead-title" }, view.name), element("strong", { class: "state", "data-state": view.state }, STATES[view.state])),
    element("p", {}, view.question),
    element("dl", { class: "readings" }, [["Answered sessions", `${answered} of ${view.sessions.length}`], ["Runs made ready", `${view.made_ready.length} of ${view.runs}`],
      ["Compared", view.labels.join(" · ")], ["Design", view.design], ["Power", view.power.toFixed(2)], ["Mechanic", view.mechanic]].map(([head_, value]) => element("div", {}, element("dt", {}, head_), element("dd", {}, value)))),
    element("dl", { class: "promise" }, element("div", {}, element("dt", {}, "Seed"), element("dd", { class: "figures" }, String(view.seed))), element("div", {}, element("dt", {}, "Commitment (SHA-256)"), element("dd", { class: "figures" }, view.commitment))),
    element("p", { class: "quiet" }, "Print or write down seed and commitment before the first run: they are held against the key when it is opened. ", element("button", { type: "button", class: "plain", onclick: () => window.print() }, "Print this page")),
    view.warnings.length ? element("ul", { class: "warnings", "aria-label": "What to watch" }, view.warnings.map((words) => element("li", {}, words))) : null);
}

function stopSheet() {
  if (!view.stopped || view.state !== "running") return null;
  const why = element("input", { type: "text", id: "resume-why", maxlength: "500" });
  return element("section", { class: "sheet stopped" }, element("h2", {}, "The trial is stopped"), element("p", {}, view.stopped),
    element("form", { onsubmit: (event) => {
      event.preventDefault();
      if (!why.value.trim()) return why.focus();
      why.blur();
      return outbox.add({ kind: "resume", text: why.value.trim() });
    } }, element("div", { class: "field" }, element("label", { for: "resume-why" }, "Why it may go on (what was inspected, what was found)"), why), element("button", { type: "submit", class: "main-button" }, "Go on")));
}

function progressSheet() {
  const missing = new Set(view.missing);
  const ready = new Set(view.made_ready);
  const skipped = new Set(view.skipped);
  const mark = (code) => (skipped.has(code) ? "skipped" : ready.has(code) ? "ridden or ready" : "to come");
  const rows = view.sessions.map((session) => element("tr", {}, element("th", { scope: "row" }, String(session.number)), element("td", {}, session.rider), element("td", {}, String(session.day)),
    element("td", { class: "figures" }, session.codes.map((code) => element("span", { class: "code-chip", "data-state": mark(code).split(" ")[0], title: mark(code) }, code, element("span", { class: "word-hidden" }, ` (${mark(code)})`)))),
    element("td", {}, missing.has(`session ${session.number} (${session.rider})`) ? "–" : "answered", view.typed.includes(session.number) ? `, typed in by ${view.leader}` : "")));
  return element("section", { class: "sheet" }, element("h2", {}, "How far it is"),
    element("p", { class: "quiet" }, view.warmed_up.length ? `Warm-up recorded: ${view.warmed_up.join(", ")}.` : "Nobody has recorded a warm-up run yet: without one there is no card."),
    element("div", { class: "behind", tabindex: "0", role: "region", "aria-label": "Sessions" }, element("table", { class: "figures-table" }, element("thead", {}, element("tr", {}, ["Session", "Rider", "Day", "Codes in order", "Answer"].map((word) => element("th", { scope: "col" }, word)))), element("tbody", {}, rows))),
    view.set_aside.length ? element("details", {}, element("summary", {}, `Kept aside, not counted: ${view.set_aside.length}`), list(view.set_aside)) : null);
}

function linksSheet() {
  const holder = element("div", { class: "link-cards" });
  const renew = element("button", { type: "button", class: "plain", onclick: async () => {
    if (!confirm("Make a new link for the mechanic? The one in use stops working, and the number of links given is shown on your page and the mechanic's. Do not open it yourself: it shows settings.")) return;
    const made = await act("mechanic-link", {});
    if (made) byId("new-mechanic").replaceChildren(linkCard("mechanic", view.mechanic, made.mechanic, "Hand it over unread: it is shown once."));
  } }, "New link for the mechanic");
  const details = element("details", { id: "rider-links", ontoggle: () => {
    if (details.open && !holder.childNodes.length) holder.append(...Object.entries(view.rider_links).map(([rider, one]) => riderLink(rider, one)));
  } }, element("summary", {}, "Riders' links"), element("p", { class: "quiet" }, reachNote()), holder);
  return element("section", { class: "sheet" }, element("h2", {}, "Links"), details,
    element("p", { class: "quiet" }, `Links given to the mechanic so far: ${view.mechanic_links}.`), renew, element("div", { id: "new-mechanic" }));
}

function riderLink(rider, link) {
  const given = view.rider_link_counts[rider];
  const card = linkCard("rider", rider, link, given > 1 ? `Links given to ${rider} so far: ${given}; all but this one are dead.` : "");
  card.append(element("button", { type: "button", class: "plain", onclick: async () => {
    if (!confirm(`Make a new link for ${rider}? The one in use stops working, and ${rider} is shown the number of links given. If the phone is at hand, let it send what it has kept first: it cannot afterwards.`)) return;
    if (await act("rider-link", { rider })) byId("rider-links").open = true;
  } }, `New link for ${rider}`));
  return card;
}

// The end ------------------------------------------------------------------------------------------------------
function endSheet() {
  if (view.state === "running") return element("section", { class: "sheet" }, element("h2", {}, "The end"), closeForm(), breakForm());
  if (view.state === "closed") return element("section", { class: "sheet" }, element("h2", {}, "Open the key"), openForm());
  return null;
}

function closeForm() {
  const why = element("input", { type: "text", id: "close-why", maxlength: "500" });
  const open = view.missing.length;
  return element("form", { onsubmit: (event) => {
    event.preventDefault();
    if (confirm("Close the records for good? What comes later does not count.")) act("close", { reason: why.value.trim() });
  } }, element("p", {}, open ? `${open} sessions have no complete answer. Closing is final.` : "Every session is answered."),
  open ? element("div", { class: "field" }, element("label", { for: "close-why" }, "Why it closes with answers missing"), why) : null,
  element("button", { type: "submit", class: "main-button" }, "Close the records"));
}

function openForm() {
  const printed = element("input", { type: "text", id: "printed", maxlength: "100", autocomplete: "off", spellcheck: "false" });
  return element("form", { onsubmit: async (event) => {
    event.preventDefault();
    opened = (await act("open", { commitment: printed.value.trim() })) ?? opened;
    show(true);
  } }, element("p", {}, "Opening is logged and final. The key is held against its commitment; type the one from the paper to hold that against it too."),
  element("div", { class: "field" }, element("label", { for: "printed" }, "Commitment from the paper (optional)"), printed), element("button", { type: "submit", class: "main-button" }, "Open the key"));
}

function breakForm() {
  const why = element("input", { type: "text", id: "break-why", maxlength: "500" });
  return element("details", {}, element("summary", {}, "Break the blind for safety"), element("form", { onsubmit: async (event) => {
    event.preventDefault();
    if (!why.value.trim()) return why.focus();
    if (!confirm("Break the blind? It stays on record, and later answers do not count.")) return null;
    opened = (await act("open", { break_blind: true, reason: why.value.trim() })) ?? opened;
    return show(true);
  } }, element("p", {}, "If safety needs to know a setting, break the blind at once: no result is worth more."),
  element("div", { class: "field" }, element("label", { for: "break-why" }, "Why"), why), element("button", { type: "submit", class: "plain" }, "Break the blind")));
}

function keySheet() {
  const key = view.opened ?? opened;
  if (!key) return null;
  const setting = (option) => Object.entries(option.setting).map(([name, value]) => `${name.replaceAll("_", " ")} ${value}`).join(", ");
  const checked = opened ?? {};
  return element("section", { class: "sheet", "aria-labelledby": "key-title" }, element("h2", { id: "key-title" }, "The key"),
    element("p", { class: "verified" }, `The key fits its commitment ${view.commitment}.`),
    checked.draw_repeats === undefined ? null : element("p", {}, checked.draw_repeats ? "Seed and salt give the same order again: nobody chose it." : "Seed and salt do NOT give this order again: it was not drawn by this program."),
    view.broken_blind || checked.broken_blind ? element("p", { class: "notice warn" }, "The blind was broken before the records were closed: later answers do not count.") : null,
    element("ul", {}, key.options.map((option) => element("li", {}, element("strong", {}, option.label), setting(option) ? `: ${setting(option)}` : ""))),
    element("details", {}, element("summary", {}, "Every code"), element("table", { class: "figures-table" }, element("thead", {}, element("tr", {}, element("th", { scope: "col" }, "Code"), element("th", { scope: "col" }, "Option"))),
      element("tbody", {}, Object.entries(key.allocation).map(([code, label]) => element("tr", {}, element("td", { class: "figures" }, code), element("td", {}, label)))))));
}

function planSheet() {
  const part = (head_, items) => [element("h3", {}, head_), list(items)];
  return element("section", { class: "sheet" }, element("details", {}, element("summary", {}, "The plan: rules, safety, when to stop"), ...part("Rules", view.rules), ...part("Safety", view.safety), ...part("Stop rules", view.stop_rules), ...part("The same on every run", view.same_on_every_run)));
}

// The result -----------------------------------------------------------------------------------------------------
let bar = null;
function showOutcomeSheet() {
  const sheet = byId("outcome");
  if (view.state !== "open" || bar) return;
  sheet.hidden = false;
  const holder = element("div", {});
  const found = element("div", { id: "found" });
  const believe = element("input", { type: "checkbox", id: "believe" });
  const ask = () => bar.ask(`/api/blind/seat/${token}/outcome`, { believe: believe.checked });
  believe.addEventListener("change", ask);
  sheet.replaceChildren(element("h2", { id: "outcome-title" }, "Result"), holder, found,
    element("label", { class: "tick" }, believe, element("span", {}, "Add the Bayesian update (from one right and one wrong answer)")));
  bar = new JobBar(holder, `outcome.${token}`, {
    found: (answer) => showOutcome(found, answer, () => offerSent(answer.report)),
    failed: (error) => fault(error.message),
  });
  asked ??= ask();
}

// What sets it off ---------------------------------------------------------------------------------------------
async function refresh(force = false) {
  const found = await lookUp();
  if (!found) return false;
  view = found;
  outbox ??= new Outbox(token, view.person, (sent) => (sent ? refresh(true) : show()));
  paper ??= new PaperForms(outbox);
  show(force);
  return true;
}

if (!token) fault("This page needs the leader's own link.");
else {
  firstLook(refresh).then(() => outbox?.flush());
  every(10, () => refresh());
}
