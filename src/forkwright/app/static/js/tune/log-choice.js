// Choosing a log that was brought in on the Ride logs page, with what its columns mean, and its channel of travel.
import { element } from "../dom.js";
import { recall } from "../keep.js";

const LOGS = "forkwright.evidence.logs";
const isTravel = (channel) => channel.dimension === "length" && channel.name.endsWith("travel");
const rides = () => recall(LOGS, []).filter((one) => one.account?.channels?.some(isTravel));

// The entries `file` and `channel` of `form` hold the choice; `whose` says what was logged, such as "A".
export class LogChoice {
  constructor(holder, form, whose) {
    Object.assign(this, { holder, form, whose });
  }

  show() {
    const link = element("a", { href: "/logs" }, "Ride logs page");
    if (rides().length === 0) {
      this.holder.replaceChildren(element("p", { class: "quiet" }, `Bring in a log of ${this.whose} on the `, link, " first; there its columns are given their meaning."));
      return;
    }
    const file = this.#select("use-file", `Log of ${this.whose}`, "file", rides().map((one) => [one.file, one.name]), () => this.show());
    const channels = rides().find((one) => one.file === this.form.state.file).account.channels.filter(isTravel);
    const channel = this.#select("use-channel", "Its travel", "channel", channels.map((one) => [one.name, one.name.replaceAll("_", " ")]));
    this.holder.replaceChildren(element("div", { class: "pair" }, file, channel), element("p", { class: "quiet" }, "More logs are brought in on the ", link, "."));
  }

  chosen() {
    return { file: this.form.state.file, channel: this.form.state.channel || "travel" };
  }

  #select(id, label, entry, offered, changed = () => {}) {
    const field = element("select", { id, onchange: () => { this.form.set({ [entry]: field.value }); changed(); } }, offered.map(([value, words]) => element("option", { value }, words)));
    const known = offered.some(([value]) => value === this.form.state[entry]);
    if (!known) this.form.set({ [entry]: offered[0][0] });
    field.value = this.form.state[entry];
    return element("div", { class: "field" }, element("label", { for: id }, label), field);
  }
}
