// Heavy work: handed in, watched with a bar and a time left, cancelled by a button, found again after a reload.
import { element } from "./dom.js";
import { keep, recall } from "./keep.js";
import { get, post, remove } from "./link.js";

const EVERY_MS = 200;
const pause = (ms) => new Promise((done) => setTimeout(done, ms));
const ENDED = ["done", "failed", "cancelled"];

function leftText(seconds) {
  if (seconds === null || seconds < 1.5) return "";
  return seconds < 90 ? `about ${Math.round(seconds)} s left` : `about ${Math.round(seconds / 60)} min left`;
}

// `name` keeps the job's key for a reload; `found(result, question)` and `failed(error, question)` are told the end.
// `kept(question)` is what is kept of a question that is too large for the browser's storage.
export class JobBar {
  #watched = null;
  #turn = 0;

  constructor(holder, name, { found, failed, changed = () => {}, kept = (question) => question }) {
    Object.assign(this, { name: `forkwright.job.${name}`, found, failed, changed, kept });
    this.bar = element("progress", { max: "1", value: "0", "aria-label": "How far it is" });
    this.words = element("span", { class: "quiet", role: "status" });
    this.stop = element("button", { type: "button", class: "plain", onclick: () => this.cancel() }, "Cancel");
    this.holder = holder;
    holder.classList.add("job-bar");
    holder.hidden = true;
    holder.replaceChildren(this.bar, this.words, this.stop);
  }

  get busy() {
    return this.#watched !== null;
  }

  // Hand in a question; the newest one wins, the one before is cancelled.
  async ask(path, question) {
    const before = this.cancel();
    const turn = this.#turn;
    await before;
    if (turn !== this.#turn) return;
    this.#show(true, "handing it in");
    try {
      const answer = await post(path, question);
      if (turn !== this.#turn) { // cancelled, or asked anew, while it was being handed in
        if (answer.job !== undefined) await remove(`/api/jobs/${answer.job}`).catch(() => {});
        return;
      }
      if (answer.job === undefined) {
        this.#show(false);
        this.found(answer, question);
        return;
      }
      keep(this.name, { key: answer.job, question: this.kept(question) });
      await this.#watch(answer.job, question);
    } catch (error) {
      if (turn !== this.#turn) return;
      this.#show(false);
      this.failed(error, question);
    }
  }

  // After a reload: go on watching, or show what has been found meanwhile.
  async resume() {
    const kept = recall(this.name);
    if (!kept) return false;
    try {
      await this.#watch(kept.key, kept.question);
      return true;
    } catch {
      keep(this.name, null);
      this.#show(false);
      return false;
    }
  }

  async cancel() {
    const key = this.#watched;
    this.#turn += 1;
    this.#watched = null;
    this.#show(false);
    if (key === null) return;
    keep(this.name, null);
    await remove(`/api/jobs/${key}`).catch(() => {});
  }

  async #watch(key, question) {
    this.#watched = this.last = key;
    this.#show(true, "waiting for its turn");
    for (;;) {
      const account = await get(`/api/jobs/${key}`);
      if (this.#watched !== key) return;
      this.bar.value = account.share;
      this.words.textContent = [account.words || "waiting for its turn", leftText(account.left_s)].filter(Boolean).join(", ");
      if (ENDED.includes(account.state)) {
        const result = account.state === "done" ? await get(`/api/jobs/${key}/result`) : null;
        if (this.#watched !== key) return;
        this.#watched = null;
        this.#show(false);
        if (account.state === "done") this.found(result, question);
        else {
          keep(this.name, null);
          // The parts of the error say which field is wrong, as those of a refused question do.
          if (account.state === "failed") this.failed(Object.assign(new Error(account.failure.error), { body: account.failure }), question);
        }
        return;
      }
      await pause(EVERY_MS);
    }
  }

  #show(on, words = "") {
    this.holder.hidden = !on;
    this.bar.value = on ? this.bar.value : 0;
    if (on) this.words.textContent = words;
    this.changed(on);
  }
}
