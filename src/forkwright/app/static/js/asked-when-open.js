// What lies behind a fold is asked for when the fold is open and the sliders have come to rest; closed, it costs nothing.
import { write } from "./dom.js";
import { JobBar } from "./job-watch.js";
import { Latest } from "./link.js";

const AFTER_MS = 300;

export class AskedWhenOpen {
  #timer = null;
  #asked = "";

  // `question()` is what is asked, null for nothing; `show(answer)` is told the answer, null for none. What may take its
  // time says how far it is in `bar`, an element of the fold.
  constructor(details, path, question, show, bar = null) {
    Object.assign(this, { details, question, show, fault: details.querySelector("[role=alert]") });
    const found = (answer) => this.#tell(answer, "");
    const failed = (error) => this.#tell(null, error.message);
    const job = bar && new JobBar(bar, details.id, { found, failed, kept: () => null });
    this.bench = bar ? { ask: (question) => job.ask(path, question) } : new Latest(path, found, failed);
    details.addEventListener("toggle", () => this.changed(0));
  }

  // Something may have moved: ask anew, where it is looked at.
  changed(after = AFTER_MS) {
    if (!this.details.open) return;
    clearTimeout(this.#timer);
    this.#timer = setTimeout(() => this.#ask(), after);
  }

  #ask() {
    const question = this.question();
    const written = JSON.stringify(question);
    if (written === this.#asked) return;
    this.#asked = written;
    if (question === null) this.#tell(null, "");
    else this.bench.ask(question);
  }

  #tell(answer, words) {
    this.fault.hidden = !words;
    write(this.fault, words);
    this.show(answer);
  }
}
