// Choosing the fork that lies on the bench; importing, exporting and removing.
import { element, fileName, offerFile, onFiles } from "./dom.js";
import { post } from "./link.js";
import { clear, tell } from "./notices.js";
import * as store from "./store.js";

const LARGEST = 500_000;

async function importFile(file, place) {
  clear("import");
  try {
    if (file.size > LARGEST) throw new Error(`${file.name}: the file is too large to be one of ours; got ${file.size} bytes`);
    const found = await post("/api/import", { text: await file.text(), name: file.name });
    if (found.kind === "fork" || found.kind === "shock") store.addFork(found.name, found.toml, place);
    else store.replaceSheet(found.kind, found.name, found.toml);
  } catch (error) {
    tell("import", error.message, "bad");
  }
}

export async function exportFile(owner) {
  clear("export");
  try {
    const found = await post("/api/export", { draft: store.asked(owner) });
    offerFile(`${fileName(found.name, "unit")}.toml`, found.toml, "application/toml");
  } catch (error) {
    tell("export", error.message, "bad");
  }
}

// `place` says which of the page's forks this chooses: "fork", or "other" for the second one of a comparison.
export class Rack {
  constructor(holder, place, label, { files = true } = {}) {
    Object.assign(this, { holder, place, label, files });
    this.#build();
    store.onDraft((cause) => cause !== "change" && this.refresh());
  }

  #build() {
    this.select = element("select", { "aria-label": this.label });
    this.select.addEventListener("change", () => store.setView(this.place, this.select.value));
    const parts = [this.select];
    if (this.files) {
      const input = element("input", { type: "file", accept: ".toml,application/toml,text/plain", "aria-label": "Import a file" });
      const take = async (files) => {
        for (const file of files) await importFile(file, this.place);
      };
      input.addEventListener("change", async () => {
        await take([...input.files]);
        input.value = "";
      });
      onFiles(document, take);
      this.away = element("button", { type: "button", class: "plain", onclick: () => this.#remove() }, "Remove");
      parts.push(element("label", { class: "file-button" }, "Import", input),
        element("button", { type: "button", class: "plain", onclick: () => exportFile(store.forkAt(this.place)) }, "Export"), this.away);
    }
    this.holder.replaceChildren(...parts);
    this.refresh();
  }

  refresh() {
    const rack = store.rack();
    this.select.replaceChildren(...rack.map((fork) => element("option", { value: fork.id }, fork.name)));
    this.select.value = store.forkAt(this.place);
    if (this.away) this.away.disabled = rack.length < 2;
  }

  #remove() {
    const fork = store.rack().find((one) => one.id === store.forkAt(this.place));
    if (confirm(`Remove ${fork.name} from this browser's bench? Export it first if you want to keep it.`)) store.removeFork(fork.id);
  }
}
