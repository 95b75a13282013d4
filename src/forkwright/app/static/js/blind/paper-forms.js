// Answers that a rider gave on paper, typed in by the leader: the record is in the leader's name and says so.
import { element } from "../dom.js";
import { answerForm, ratingForm } from "./session-forms.js";

const FROM_PAPER = "typed in from paper";

// What this leader has typed and what stands: by kind and by session or code.
const typedBefore = (outbox, fits) => outbox.standing().map((entry) => entry.record).filter((record) => record.text === FROM_PAPER && fits(record));

export class PaperForms {
  #session = 0;
  #begun = new Set();
  #typing = (form) => (on) => (on ? this.#begun.add(form) : this.#begun.delete(form));

  constructor(outbox) {
    this.outbox = outbox;
    this.open = false;
  }

  sheet(view) {
    if (view.state !== "running") return null;
    if (this.#begun.size > 0) return this.node; // half filled in: it stays as it is while the page is drawn anew around it
    const rest = element("div", {});
    const missing = new Set(view.missing);
    const open = (session) => missing.has(`session ${session.number} (${session.rider})`);
    const ordered = [...view.sessions.filter(open), ...view.sessions.filter((session) => !open(session))];
    if (!ordered.some((session) => session.number === this.#session)) this.#session = ordered[0].number;
    const select = element("select", { id: "paper-session", onchange: () => { this.#session = Number(select.value); fill(); } },
      ordered.map((session) => element("option", { value: String(session.number) }, `${session.number}: ${session.rider}, day ${session.day}, ${session.codes.join(" ")}${open(session) ? "" : " (answered)"}`)));
    select.value = String(this.#session);
    const fill = () => {
      this.#begun.clear();
      rest.replaceChildren(...this.#forms(view, view.sessions.find((session) => session.number === this.#session)).filter(Boolean));
    };
    fill();
    const details = element("details", { ontoggle: () => { this.open = details.open; } }, element("summary", {}, "Type in an answer from paper"),
      element("p", { class: "quiet" }, "For a rider whose phone failed. It is recorded in your name, and the report says that you typed it. Where the rider's phone has sent an answer too, the one that came in first counts."),
      element("div", { class: "field" }, element("label", { for: "paper-session" }, "Session"), select), rest);
    details.open = this.open;
    this.node = element("section", { class: "sheet paper", "aria-label": "Answers from paper" }, element("h2", {}, "From paper"), details);
    return this.node;
  }

  #forms(view, session) {
    return [this.#warmUp(view, session.rider), ...session.codes.map((code) => this.#run(view, code)), view.design === "rated" ? null : this.#answer(view, session)];
  }

  #keep(record, fits) {
    const before = typedBefore(this.outbox, (one) => one.kind === record.kind && fits(one)).at(-1);
    this.outbox.add({ ...record, text: FROM_PAPER, ...(before ? { replaces: before.id } : {}) });
  }

  #warmUp(view, rider) {
    if (view.warmed_up_today.includes(rider)) return null;
    return element("p", { class: "row spread" }, element("span", {}, `No warm-up run of ${rider} is recorded today.`),
      element("button", { type: "button", class: "plain", onclick: () => this.outbox.add({ kind: "warm_up", rider, text: FROM_PAPER }) }, `${rider} has done it`));
  }

  #run(view, code) {
    if (view.scales.length + view.times.length === 0) return null;
    const typed = typedBefore(this.outbox, (record) => record.code === code);
    const head = element("h3", { class: "figures" }, `Code ${code}`);
    if (view.skipped.includes(code)) return element("div", {}, head, element("p", { class: "quiet" }, "Skipped by the mechanic."));
    if (view.rated.includes(code) && typed.length === 0) return element("div", {}, head, element("p", { class: "quiet" }, "Rated by the rider."));
    const before = Object.assign({}, ...typed.map((record) => record.values));
    return element("div", {}, head, ratingForm(view, code, before, { typing: this.#typing(code), words: typed.length ? `Change for ${code}` : `Keep for ${code}`, kept: (ratings, times) => {
      if (Object.keys(ratings).length) this.#keep({ kind: "rating", code, values: ratings }, (one) => one.code === code);
      if (Object.keys(times).length) this.#keep({ kind: "time", code, values: times }, (one) => one.code === code);
    } }));
  }

  #answer(view, session) {
    const own = (record) => record.session === session.number;
    const typed = typedBefore(this.outbox, own).at(-1);
    const answered = !view.missing.includes(`session ${session.number} (${session.rider})`);
    if (answered && !typed) return element("p", { class: "quiet" }, `${session.rider} has answered this session.`);
    const given = typed ? element("p", {}, `Typed in: ${typed.choice || typed.ranking.join(" › ")}.`) : null;
    const form = answerForm(view, session.codes, { typing: this.#typing("answer"), heading: typed ? "Change it" : `${session.rider}'s answer`, words: "Keep the rider's answer", kept: (kind, answer) => this.#keep({ kind, session: session.number, [kind]: answer }, own) });
    return element("div", {}, given, form);
  }
}
