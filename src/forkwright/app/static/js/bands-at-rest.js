// Bands take longer than a curve: they are asked for when the sliders have come to rest, first from a few draws of the
// tolerances, then from as many as the command line takes. What is shaded says from how many.
import { Latest } from "./link.js";

const FEW_AFTER_MS = 250;
const ALL_AFTER_MS = 650;

export class BandsAtRest {
  #timer = null;
  #bands = null;

  // `question()` is what is asked, without `draws`; `shown(band)` is called when a band has come. `drawn` says of what
  // the draws are ("forks"); `draws` is {few, all}.
  constructor(path, question, shown, { drawn, draws, from }) {
    Object.assign(this, { question, drawn, draws, from });
    this.bench = new Latest(path, (found, { draws: asked, ...of }) => {
      this.#bands = { ...found, of: JSON.stringify(of) };
      if (asked < draws.all && !this.stale) this.#askLater(draws.all, ALL_AFTER_MS);
      shown();
    });
  }

  // Something has moved: begin anew. What is being drawn now is for a place that was left.
  restart() {
    this.bench.drop();
    this.#askLater(this.draws.few, FEW_AFTER_MS);
  }

  #askLater(draws, wait) {
    clearTimeout(this.#timer);
    this.#timer = setTimeout(() => this.bench.ask({ ...this.question(), draws }), wait);
  }

  // Whether the band there is belongs to an earlier question.
  get stale() {
    return this.#bands === null || this.#bands.of !== JSON.stringify(this.question());
  }

  // The band as a chart takes it, over the axis named `along`.
  over(along) {
    if (this.#bands === null) return undefined;
    const { force_low_N: low, force_high_N: high } = this.#bands;
    return { x: this.#bands[along], low, high, stale: this.stale };
  }

  get words() {
    if (this.stale) return "The band is worked out when the sliders rest.";
    const { draws } = this.#bands;
    const some = `Shaded: nine of ten of ${draws.toLocaleString("en")} ${this.drawn} drawn from the tolerances lie within`;
    return draws < this.draws.all ? `${some}; ${this.draws.all.toLocaleString("en")} are being drawn.` : `${some}, as many as ${this.from} draws.`;
  }
}
