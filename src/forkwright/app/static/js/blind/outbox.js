// Records of one person: written to this phone first, then sent until each has its receipt. Every record has its
// own place in the storage, so that two tabs cannot overwrite each other; sending one twice keeps it once.
import { keep, recall } from "../keep.js";
import { Refused, once } from "../link.js";
import { clear, tell } from "../notices.js";

const FIRST_WAIT_MS = 1000;
const LONGEST_WAIT_MS = 20_000;
const AT_A_TIME = 100;
// A request that hangs on a weak network is given up and sent again: records have ids, so twice is once.
const PATIENCE_MS = 15_000;
const givenUp = () => new Promise((_, give) => setTimeout(() => give(new TypeError("no answer")), PATIENCE_MS));

// Not every phone offers a ready-made one without a secure address.
export const newId = () => [...crypto.getRandomValues(new Uint8Array(16))].map((byte) => byte.toString(16).padStart(2, "0")).join("");
const counts = ({ status }) => status !== "refused" && status !== "set aside";

export class Outbox {
  #unkept = new Map();
  #sending = false;
  #wait = FIRST_WAIT_MS;
  #timer = null;

  constructor(token, person, changed) {
    Object.assign(this, { token, person, changed, prefix: `forkwright.blind.${token}.record.` });
    addEventListener("online", () => this.flush());
    document.addEventListener("visibilitychange", () => !document.hidden && this.flush());
    addEventListener("storage", (event) => event.key?.startsWith(this.prefix) && this.changed());
  }

  // Everything recorded with this link on this phone, the earliest first.
  entries() {
    const kept = [];
    for (let place = 0; place < this.#length(); place += 1) {
      const key = localStorage.key(place);
      const entry = key?.startsWith(this.prefix) ? recall(key) : null;
      if (entry?.record?.id) kept.push(entry);
    }
    const known = new Set(kept.map((entry) => entry.record.id));
    kept.push(...[...this.#unkept.values()].filter((entry) => !known.has(entry.record.id)));
    return kept.sort((a, b) => a.record.at.localeCompare(b.record.at));
  }

  // Those that stand: neither refused nor replaced by a later correction.
  standing() {
    const good = this.entries().filter(counts);
    const replaced = new Set(good.map((entry) => entry.record.replaces).filter(Boolean));
    return good.filter((entry) => !replaced.has(entry.record.id));
  }

  waiting = () => this.entries().filter((entry) => entry.status === "waiting");
  refused = () => this.entries().filter((entry) => !counts(entry));

  add(content) {
    const record = { id: newId(), at: new Date().toISOString(), by: this.person, ...content };
    this.#write({ record, status: "waiting", reason: "" });
    this.changed();
    this.flush();
    return record;
  }

  async flush() {
    if (this.#sending) return;
    this.#sending = true;
    clearTimeout(this.#timer);
    let sent = 0;
    try {
      for (let batch = this.waiting(); batch.length > 0; batch = this.waiting()) {
        const going = batch.slice(0, AT_A_TIME);
        this.#receive(going, await this.#send(going.map((entry) => entry.record)));
        sent += going.length;
      }
      this.#wait = FIRST_WAIT_MS;
      clear("outbox");
    } catch (error) {
      this.#later(error);
    }
    this.#sending = false;
    this.changed(sent > 0);
  }

  async #send(records) {
    return (await Promise.race([once("POST", `/api/blind/seat/${this.token}/records`, { records }), givenUp()])).receipts;
  }

  #receive(going, receipts) {
    const byId = new Map(receipts.map((receipt) => [receipt.id, receipt]));
    let any = false;
    for (const entry of going) {
      const receipt = byId.get(entry.record.id);
      if (!receipt) continue;
      any = true;
      this.#write({ ...entry, status: receipt.status, reason: receipt.reason });
    }
    if (!any) throw new Refused({ error: "the server sent no receipts" }, 200);
  }

  #later(error) {
    const answered = error instanceof Refused;
    tell("outbox", !answered ? "No connection. Everything you keep is stored on this phone and sent when there is one."
      : `Not taken yet: ${error.message}. It stays on this phone and is sent again.`, "warn", false);
    this.#timer = setTimeout(() => this.flush(), this.#wait);
    this.#wait = Math.min(2 * this.#wait, LONGEST_WAIT_MS);
  }

  #write(entry) {
    if (keep(this.prefix + entry.record.id, entry)) this.#unkept.delete(entry.record.id);
    else {
      this.#unkept.set(entry.record.id, entry);
      tell("storage", "This phone stores nothing (private window, or full): stay on this page until all is sent.", "bad");
    }
  }

  #length() {
    try {
      return localStorage.length;
    } catch {
      return 0;
    }
  }
}
