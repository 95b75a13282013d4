// Stacks that come nearest to target forces, searched for when asked: valve, targets and shims in, proposals out. A
// proposal goes into the stack builder at a press.
import { byId, element, listWords } from "./dom.js";
import { JobBar } from "./job-watch.js";
import * as store from "./store.js";
import { TextFields } from "./text-fields.js";
import { table } from "./tune/asking.js";
import * as units from "./units.js";

const MOST_TARGETS = 5;
const TARGETS = Array.from({ length: MOST_TARGETS }, (_, at) => at + 1);
const FIELDS = TARGETS.flatMap((at) => [
  { name: `speed ${at}`, label: `Speed ${at}`, usual: "", empty: at === 1 ? "0.5 m/s" : "none" },
  { name: `force ${at}`, label: `Force ${at}`, usual: "", empty: at === 1 ? "180 N" : "none" },
]);
const kept = () => ({ valve: "base", shims: "", ...store.view("revalve", {}) });
const keep = (entries) => store.setView("revalve", { ...kept(), ...entries });
const written = (shim) => {
  const several = /^(\d+) of (.+)$/.exec(shim);
  return several ? { size: several[2], count: Number(several[1]) } : shim;
};

export class Revalve {
  #found = null;
  #asked = null;

  // `damper()` is what is asked of the damper on the bench: fork, oil_temperature; `owner()` is its draft.
  constructor(damper, owner) {
    Object.assign(this, { damper, owner });
    this.fields = new TextFields(byId("revalve-targets"), "revalve", FIELDS, { read: (name) => kept()[name], typed: (name, text) => this.#keep({ [name]: text }) });
    for (const name of ["valve", "shims"]) {
      byId(`revalve-${name}`).value = kept()[name];
      byId(`revalve-${name}`).addEventListener("change", (event) => this.#keep({ [name]: event.target.value }));
    }
    this.bar = new JobBar(byId("revalve-job"), "revalve", {
      found: (found, asked) => this.#show(found, asked), failed: (error) => this.#refused(error.message),
      changed: (busy) => { byId("revalve-go").disabled = busy; },
    });
    byId("revalve-form").addEventListener("submit", (event) => {
      event.preventDefault();
      this.#refused("");
      this.bar.ask("/api/damper/revalve", this.#question());
    });
    units.onUnits(() => this.#found && this.#show(this.#found, this.#asked));
    this.bar.resume();
  }

  // Proposals for another damper or other targets say so.
  age() {
    byId("revalve-stale").hidden = !this.#found || JSON.stringify(this.#question()) === JSON.stringify(this.#asked);
  }

  #keep(entries) {
    keep(entries);
    this.age();
  }

  #question() {
    const text = (name, at) => (kept()[`${name} ${at}`] ?? "").trim();
    const targets = TARGETS.map((at) => ({ speed: text("speed", at), force: text("force", at) })).filter(({ speed, force }) => speed || force);
    const { fork, oil_temperature } = this.damper();
    return { fork, valve: kept().valve, targets, shims: kept().shims, oil_temperature };
  }

  #refused(words) {
    byId("revalve-fault").textContent = words;
    byId("revalve-fault").hidden = !words;
  }

  #show(found, asked) {
    this.#found = found;
    this.#asked = asked;
    this.#refused("");
    const standing = [["In it now", found.present], ...found.proposals.map((one, at) => [at === 0 ? "Nearest" : `${at + 1}. nearest`, one])];
    const rows = standing.map(([label, one], at) => element("tr", {}, element("th", { scope: "row" }, label, at > 0 ? this.#take(label, one, asked.valve) : ""),
      element("td", {}, one.shims.map((shim) => element("div", { class: "shim" }, shim))),
      element("td", { class: "figures" }, one.force_N.map((force) => element("div", {}, units.text("force", force)))),
      element("td", { class: "figures" }, `${(100 * one.error).toFixed(1)} %`),
      element("td", { class: "figures" }, `${(one.stress_Pa / 1e6).toFixed(0)} of ${(one.yield_stress_Pa / 1e6).toFixed(0)}`)));
    const looked = `${found.searched} of ${found.possible} possible stacks solved${found.exhaustive ? "" : ", better ones may exist"}.`;
    const left = found.overstressed ? ` ${found.overstressed} nearer stacks were left out: a shim would pass its yield stress.` : "";
    byId("revalve-list").replaceChildren(table(["Stack", "From the valve face to the clamp", "Force", "Off the wanted force", "Stress of yield (MPa)"], rows, { caption: "Stacks nearest to the target forces" }),
      element("p", { class: "quiet" }, looked + left), element("p", { class: "quiet" }, `A possible stack: ${found.rules.join("; ")}.`));
    listWords(byId("revalve-warnings"), found.warnings);
    byId("revalve-found").hidden = false;
    this.age();
  }

  #take(label, { shims }, valve) {
    return element("button", { type: "button", class: "plain", "aria-label": `${label}: build it in`, onclick: () => store.change(this.owner(), { [`damper.${valve}_valve.shims`]: shims.map(written) }) }, "Build it in");
  }
}
