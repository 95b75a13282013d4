// What lies behind a fold is asked for when the fold is open and the sliders have come to rest; closed, it costs nothing.
import { write } from "./dom.js";
import { Latest } from "./link.js";

const AFTER_MS = 300;

export class AskedWhenOpen {
  #timer = null;
  #asked = "";

  // `question()` is what is asked, null for nothing; `show(answer)` is told the answer, null for none.
  constructor(details, path, question, show) {
    Object.assign(this, { details, question, show, fault: details.querySelector("[role=alert]") });
    this.bench = new Latest(path, (answer) => this.#tell(answer, ""), (error) => this.#tell(null, error.message));
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
