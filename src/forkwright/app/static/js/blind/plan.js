// The Blind test page: the plan as a form, its size and power beside it, and the links once it is drawn.
import { byId, element } from "../dom.js";
import { JobBar } from "../job-watch.js";
import { get, Latest, post } from "../link.js";
import { recall } from "../keep.js";
import { address, linkCard, reachNote } from "./links.js";
import { OptionCards } from "./option-cards.js";
import * as plan from "./plan-draft.js";
import { buildParts } from "./plan-parts.js";

const cards = new OptionCards(changed);
const sizes = new Latest("/api/blind/size", (answer, question) => (answer.job ? ranked(question) : showSize(answer)), refused);
let resting = null;
// What drawing the plan was refused for stays until something is changed; sizes come and go beside it.
let refusedPlan = false;
let sized = false;

// The form -------------------------------------------------------------------------------------------------------
function changed(rebuild = false) {
  plan.save();
  refusedPlan = false;
  if (rebuild) build();
  clearTimeout(resting);
  resting = setTimeout(askSize, 300);
}
const build = () => byId("plan-parts").replaceChildren(...buildParts(cards, changed));

// Size and power -------------------------------------------------------------------------------------------------
// Sizes of rankings are simulated: they are asked for as a job.
const barHolder = element("div", {});
const found = element("div", { id: "size-found" });
byId("size").replaceChildren(barHolder, found);
const bar = new JobBar(barHolder, "blind-size", { found: showSize, failed: refused });
const ranked = (question) => bar.ask("/api/blind/size", question);

function askSize() {
  const asked = plan.request(cards.settings());
  if (asked.riders.length === 0) {
    fault(null);
    found.replaceChildren(element("p", { class: "quiet" }, "Name the riders, and the size is worked out here."));
    return;
  }
  if (asked.leader === "" || asked.mechanic === "") Object.assign(asked, { leader: asked.leader || "the leader", mechanic: asked.mechanic || "the mechanic" });
  found.classList.add("stale");
  if (asked.design === "ranked") ranked({ request: asked });
  else {
    bar.cancel();
    sizes.ask({ request: asked });
  }
}

function showSize({ size, runs, others, names_told: told }) {
  sized = true;
  if (!refusedPlan) fault(null);
  found.classList.remove("stale");
  const wanted = Number(plan.draft.aim.power);
  const words = `${size.riders} riders, ${size.repeats} ${size.repeats === 1 ? "session" : "sessions"} each${plan.draft.design === "paired" && plan.draft.options.length > 2 ? " of every pair" : ""}: ${size.answers} answers, ${runs} runs.`;
  found.replaceChildren(...[element("p", { class: "size-words" }, words),
    element("div", { class: "power" }, element("meter", { min: "0", max: "1", optimum: "1", value: String(size.power), low: String(wanted), "aria-label": "Power" }), element("strong", { class: "figures" }, size.power.toFixed(2))),
    element("p", {}, size.power >= wanted ? `If the difference is as large as stated, it is found with a chance of ${size.power.toFixed(2)}.` : `Too small: the difference stated would be found with a chance of ${size.power.toFixed(2)} only, ${wanted.toFixed(2)} is asked for.`),
    element("p", { class: "quiet" }, `${size.how}; risk in each comparison ${Number(size.alpha_each.toPrecision(3))}.`),
    told.length ? element("p", { class: "notice warn" }, `Riders read the name, the question and the scales: there stands ${told.map((label) => `“${label}”`).join(" and ")}, which names an option.`) : null,
    others.length ? otherSizes(others) : null].filter(Boolean));
}

function otherSizes(others) {
  return element("details", {}, element("summary", {}, "Other ways to the same power"), element("table", { class: "figures-table" },
    element("thead", {}, element("tr", {}, ["Riders", "Sessions each", "Answers", "Power"].map((word) => element("th", { scope: "col" }, word)))),
    element("tbody", {}, others.map((one) => element("tr", {}, [one.riders, one.repeats, one.answers, one.power.toFixed(2)].map((value) => element("td", { class: "figures" }, String(value))))))),
  element("p", { class: "quiet" }, "One rider repeating n times is not n assessors: answers of few riders speak for these riders on these days."));
}

function refused(error) {
  found.classList.remove("stale");
  if (!refusedPlan) fault(error);
}

function fault(error) {
  const place = byId("plan-fault");
  place.textContent = error?.message ?? "";
  place.hidden = !error;
  document.querySelectorAll("#plan-form [aria-invalid=true]").forEach((field) => field.removeAttribute("aria-invalid"));
  const key = error?.body?.key;
  if (key) document.querySelector(`#plan-form [data-key="${CSS.escape(key)}"]`)?.setAttribute("aria-invalid", "true");
}

// Drawing --------------------------------------------------------------------------------------------------------
byId("plan-form").addEventListener("submit", async (event) => {
  event.preventDefault();
  const seed = byId("seed").value.trim();
  const body = { request: plan.request(cards.settings()), forks: plan.forks() };
  // A ranking's size is simulated: first as a job that can be watched and cancelled, then the plan has it at hand.
  if (body.request.design === "ranked" && !(await sizeIsKnown(body.request))) return;
  if (seed) body.seed = /^\d+$/.test(seed) ? Number(seed) : seed;
  try {
    const made = await post("/api/blind/plan", body);
    fault(null);
    handOut(made);
  } catch (error) {
    refusedPlan = true;
    fault(error);
    byId("plan-fault").scrollIntoView({ block: "center" });
  }
});

async function sizeIsKnown(request) {
  clearTimeout(resting);
  refusedPlan = sized = false;
  await ranked({ request });
  return sized;
}

// Each link is shown; the mechanic's only this once.
function handOut({ links, plan: view }) {
  const holder = byId("handed");
  holder.hidden = false;
  holder.replaceChildren(element("h2", { id: "handed-title", tabindex: "-1" }, `Planned: ${view.name}`),
    element("p", {}, `${view.answers} answers, ${view.runs} runs, ${view.days} ${view.days === 1 ? "day" : "days"}, power ${view.power.toFixed(2)}.`),
    element("dl", { class: "promise" }, element("div", {}, element("dt", {}, "Seed"), element("dd", { class: "figures" }, String(view.seed))), element("div", {}, element("dt", {}, "Commitment (SHA-256)"), element("dd", { class: "figures" }, view.commitment))),
    element("p", {}, "Print or write down seed and commitment now: they are held against the key when it is opened. ", element("button", { type: "button", class: "plain", onclick: () => window.print() }, "Print")),
    element("p", { class: "notice warn" }, "The mechanic's link is shown this once. Whoever opens it can see settings: let the mechanic take it now, on a phone of their own."),
    element("p", { class: "quiet" }, reachNote()),
    element("div", { class: "link-cards" }, linkCard("mechanic", view.mechanic, links.mechanic, "Shown once."), linkCard("leader", view.leader, links.leader), Object.entries(links.riders).map(([rider, token]) => linkCard("rider", rider, token))));
  holder.scrollIntoView({ block: "start" });
  byId("handed-title").focus();
  showTrials();
}

// The list -------------------------------------------------------------------------------------------------------
const STATES = { running: "records are being taken", closed: "closed, key sealed", open: "open" };
async function showTrials() {
  const { trials } = await get("/api/blind");
  const mine = Object.entries(recall("forkwright.blind.seats", {}));
  const none = element("li", { class: "quiet" }, "None yet.");
  byId("trials").replaceChildren(...(trials.length ? trials.map((trial) => trialRow(trial, mine)) : [none]));
}

function trialRow(trial, mine) {
  const seats = mine.filter(([token]) => token.split(".")[0] === trial.trial);
  const links = seats.map(([token, seat]) => element("a", { class: "plain-link", href: address(seat.role, token) }, `Open as ${seat.person}, ${seat.role}`));
  const lead = trial.links_out ? null : element("button", { type: "button", class: "plain", onclick: async () => {
    try {
      handOut(await post(`/api/blind/trials/${trial.trial}/lead`, {}));
    } catch (error) {
      fault(error);
    }
  } }, "Hand out its links");
  return element("li", { class: "row spread" }, element("span", {}, element("strong", {}, trial.name), ` – ${trial.planned_at.slice(0, 10)}, ${STATES[trial.state]}`),
    element("span", { class: "row" }, links, lead, links.length || lead ? null : element("span", { class: "quiet" }, "opens by link")));
}

build();
cards.refresh().then(() => {
  build();
  askSize();
});
showTrials();
