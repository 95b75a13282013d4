// What is compared: each option a setting of a fork on the bench, or a setting that somebody signs for.
import { element } from "../dom.js";
import { post } from "../link.js";
import * as store from "../store.js";
import * as units from "../units.js";
import * as plan from "./plan-draft.js";

const whole = (adjuster) => adjuster.kind === "count" || adjuster.kind === "clicks";
const nameOf = (adjuster) => adjuster.path.replace("setting.", "");
const FEWEST = 2;
const MOST = 6;

export class OptionCards {
  #benches = new Map();

  constructor(changed) {
    this.changed = changed;
    this.holder = element("div", { class: "options" });
  }

  // What the spring bench says about every fork that is used: its adjusters, its load, its force at full travel.
  async refresh() {
    for (const id of new Set(plan.draft.options.map((option) => option.fork).filter(Boolean))) {
      if (!store.sheetOf(id) || this.#benches.has(id)) continue;
      const asked = { fork: store.asked(id), rider: store.asked("rider"), bike: store.asked("bike") };
      try {
        this.#benches.set(id, await post("/api/fork", asked));
      } catch (error) {
        this.#benches.set(id, { adjusters: [], name: store.sheetOf(id).name, fault: error.message });
      }
    }
    this.#start();
    this.build();
  }

  bench = (id) => this.#benches.get(id);

  settings() {
    return plan.draft.options.map((option) => {
      if (!option.fork) return plan.settingFromLines(option.lines ?? "");
      const adjusters = this.bench(option.fork)?.adjusters ?? [];
      return Object.fromEntries(adjusters.map((adjuster) => [nameOf(adjuster), this.#entry(option, adjuster)]));
    });
  }

  build() {
    const { options } = plan.draft;
    this.holder.replaceChildren(...options.map((option, place) => this.#card(option, place)),
      options.length < MOST ? element("button", { type: "button", class: "plain", onclick: () => this.#add() }, "Add an option") : "");
    return this.holder;
  }

  #start() {
    for (const option of plan.draft.options) {
      const adjuster = option.start && this.bench(option.fork)?.adjusters.find((one) => nameOf(one) === option.start);
      if (adjuster && adjuster.value < adjuster.high) option.setting[option.start] = String(adjuster.value + 1);
      if (this.bench(option.fork)) delete option.start;
    }
    const first = plan.draft.options.map((option) => this.bench(option.fork)).find((bench) => bench?.sag);
    if (first && !plan.draft.limits.load) plan.draft.limits.load = `${Math.round(first.sag.load_N)} N`;
    plan.save();
  }

  #shown(option, adjuster) {
    const given = option.setting[nameOf(adjuster)];
    if (given !== undefined) return String(given);
    return whole(adjuster) ? String(adjuster.value) : units.text(adjuster.kind, adjuster.value);
  }

  #entry(option, adjuster) {
    const text = this.#shown(option, adjuster).trim();
    return whole(adjuster) && /^\d+$/.test(text) ? Number(text) : text;
  }

  #card(option, place) {
    const id = `option-${place}`;
    const label = element("input", { type: "text", id: `${id}-label`, maxlength: "60", value: option.label, "data-key": `options.${place}.label`, oninput: () => { option.label = label.value; this.changed(); } });
    const fork = element("select", { id: `${id}-fork`, onchange: () => { option.fork = fork.value; option.setting = {}; this.changed(); this.refresh(); } },
      store.rack().map((one) => element("option", { value: one.id }, one.name)), element("option", { value: "" }, "not on the bench: checked by hand"));
    if (option.fork && !store.sheetOf(option.fork)) option.fork = store.forkAt("fork");
    fork.value = option.fork;
    const away = element("button", { type: "button", class: "plain", hidden: plan.draft.options.length <= FEWEST, "aria-label": `Take out option ${place + 1}`, onclick: () => { plan.draft.options.splice(place, 1); this.changed(); this.build(); } }, "Take out");
    return element("fieldset", { class: "option" }, element("legend", {}, `Option ${place + 1}`),
      element("div", { class: "row spread" }, element("div", { class: "field grow" }, element("label", { for: `${id}-label` }, "Label (riders never see it)"), label), away),
      element("div", { class: "field" }, element("label", { for: `${id}-fork` }, "A setting of"), fork),
      option.fork ? this.#adjusters(option, id) : this.#byHand(option, id));
  }

  #adjusters(option, id) {
    const bench = this.bench(option.fork);
    if (!bench) return element("p", { class: "quiet" }, "Reading the fork …");
    if (bench.fault) return element("p", { class: "fault" }, bench.fault);
    return element("div", { class: "setting-fields" }, bench.adjusters.map((adjuster) => {
      const input = element("input", { type: "text", id: `${id}-${nameOf(adjuster)}`, maxlength: "40", autocomplete: "off", value: this.#shown(option, adjuster), oninput: () => { option.setting[nameOf(adjuster)] = input.value; this.changed(); } });
      const unit = adjuster.kind === "clicks" ? ", clicks from closed" : "";
      return element("div", { class: "field" }, element("label", { for: input.id }, adjuster.label + unit), input);
    }));
  }

  #byHand(option, id) {
    const lines = element("textarea", { id: `${id}-lines`, rows: "3", maxlength: "1000", placeholder: "pressure = 85 psi", oninput: () => { option.lines = lines.value; this.changed(); } });
    lines.value = option.lines ?? "";
    const signed = element("input", { type: "text", id: `${id}-signed`, maxlength: "200", value: option.signed ?? "", oninput: () => { option.signed = signed.value; this.changed(); } });
    return element("div", {}, element("div", { class: "field" }, element("label", { for: `${id}-lines` }, "Setting, one entry on each line"), lines),
      element("div", { class: "field" }, element("label", { for: `${id}-signed` }, "Who checked its limits, and how"), signed));
  }

  #add() {
    plan.draft.options.push({ label: `option ${plan.draft.options.length + 1}`, fork: plan.draft.options[0].fork, setting: {} });
    this.changed();
    this.refresh();
  }
}
