// Files brought in: dropped, or chosen with a finger or the keyboard; sent, looked at, read, kept in a list.
import { element } from "../dom.js";
import { JobBar } from "../job-watch.js";
import { keep, recall } from "../keep.js";
import { get, remove } from "../link.js";
import { pageData } from "../page-data.js";
import { Columns } from "./columns.js";
import { forgetFile, keepFile, keptFile } from "./file-store.js";
import { mappingFor } from "./kept-mappings.js";
import { Sending } from "./send-file.js";

const FILES = "/api/evidence/files";
const TYPES = ".csv,.tsv,.txt,.xlsx,.parquet";
const MEBIBYTE = 1024 * 1024;

export class BringIn {
  #queue = [];
  #busy = false;
  #after = null;

  // `changed(files, fresh)` is told the files that are read, and which one has just come.
  constructor({ page, drop, list, columns, changed }) {
    Object.assign(this, { key: `forkwright.evidence.${page}`, changed });
    this.files = recall(this.key, []);
    this.fault = element("p", { class: "notice bad", role: "alert", hidden: true });
    const [sending, looking, reading] = [element("div", {}), element("div", {}), element("div", {})];
    this.input = element("input", { type: "file", accept: TYPES, multiple: true, "aria-label": "Choose files to bring in", onchange: () => {
      this.take([...this.input.files]);
      this.input.value = "";
    } });
    this.place = element("label", { class: "drop-place" }, element("span", {}, element("strong", {}, "Drop a file here"), ", or choose one"), element("span", { class: "quiet" }, "CSV, TSV, XLSX or Parquet"), this.input);
    this.list = element("ul", { class: "file-list" });
    drop.replaceChildren(this.place, sending, looking, reading, this.fault);
    list.replaceChildren(this.list);
    this.sending = new Sending(sending);
    this.looking = new JobBar(looking, `${page}.look`, { found: (looked) => this.#looked(looked), failed: (error) => this.#fail(error) });
    this.reading = new JobBar(reading, `${page}.read`, { found: (account, asked) => this.#read(account, asked), failed: (error) => this.#fail(error) });
    for (const bar of [this.looking, this.reading]) bar.stop.addEventListener("click", () => this.#next());
    this.columns = new Columns(columns, { agreed: (looked, table) => this.#readAs(looked.file, table, looked.sheet), other: (looked, sheet) => this.#look(looked.file, null, sheet), left: () => this.#next() });
    // The first call gives a new browser its token; two at once would give it two.
    this.there = get(FILES);
    this.#catchDrops();
    this.#showList();
  }

  get read() {
    return this.files.filter((file) => file.account);
  }

  take(files) {
    this.#queue.push(...files);
    if (!this.#busy) this.#next();
  }

  // After a reload: what the server has still, and what it has to be sent again.
  async restore() {
    const { files } = await this.there;
    const there = new Set(files.filter((one) => one.read).map((one) => one.file));
    for (const file of [...this.files]) if (!there.has(file.file)) await this.#sendAgain(file);
    this.#save();
    if (this.read.length) this.changed(this.read, null);
  }

  #catchDrops() {
    const over = (on) => (event) => {
      event.preventDefault();
      this.place.classList.toggle("over", on);
    };
    for (const kind of ["dragenter", "dragover"]) document.addEventListener(kind, over(true));
    document.addEventListener("dragleave", (event) => event.relatedTarget === null && this.place.classList.remove("over"));
    document.addEventListener("drop", (event) => {
      over(false)(event);
      this.take([...event.dataTransfer.files]);
    });
  }

  async #next() {
    const file = this.#queue.shift();
    this.#busy = Boolean(file);
    if (!file) return;
    this.#say(null);
    await this.there;
    try {
      if (file.size > pageData.largest) throw new Error(`${file.name}: the file is too large to bring in (${Math.round(file.size / MEBIBYTE)} MiB); cut it into shorter rides. Allowed: up to ${pageData.largest / MEBIBYTE} MiB.`);
      const account = await this.sending.send(FILES, file, file.name);
      if (account === null) return this.#next();
      keepFile(account.file, file);
      await this.#look(account.file, null);
    } catch (error) {
      this.#fail(error);
    }
  }

  #look(key, table, sheet = "") {
    this.#after = table;
    return this.looking.ask("/api/evidence/look", { file: key, sheet });
  }

  #looked(looked) {
    const known = this.#after ?? mappingFor(looked.columns.map((column) => column.header));
    if (known && this.#after === null) this.#readAs(looked.file, known, looked.sheet);
    else this.columns.ask(looked, known);
    this.#after = null;
  }

  #readAs(key, table, sheet = "") {
    return this.reading.ask("/api/evidence/read", { file: key, mapping: table, sheet });
  }

  #read(account, asked) {
    const entry = { file: account.file, name: account.name, account, mapping: asked.mapping, sheet: asked.sheet };
    const at = this.files.findIndex((file) => file.file === entry.file);
    if (at < 0) this.files.push(entry);
    else this.files[at] = entry;
    this.#save();
    this.changed(this.read, entry);
    this.#next();
  }

  async #sendAgain(file) {
    const content = await keptFile(file.file);
    try {
      if (!content) throw new Error(`${file.name} is no longer on the server: bring it in again.`);
      const account = await this.sending.send(FILES, content, file.name);
      if (account === null) throw new Error(`${file.name} was not sent again.`);
      await keepFile(account.file, content);
      await forgetFile(file.file);
      const old = file.file;
      file.file = account.file;
      this.#save();
      document.dispatchEvent(new CustomEvent("evidence:moved", { detail: { from: old, to: file.file } }));
      await this.#readAs(account.file, file.mapping, file.sheet);
    } catch (error) {
      this.#forget(file);
      this.#fail(error);
    }
  }

  #forget(file) {
    this.files = this.files.filter((other) => other !== file);
    forgetFile(file.file);
    this.#save();
  }

  async takeAway(file) {
    this.#forget(file);
    await remove(`${FILES}/${file.file}`).catch(() => {});
    this.changed(this.read, null);
  }

  #save() {
    keep(this.key, this.files);
    this.#showList();
  }

  #showList() {
    this.list.replaceChildren(...this.files.map((file) => element("li", {}, element("span", { class: "file-name" }, file.name),
      element("span", { class: "row" }, element("button", { type: "button", class: "plain", "aria-label": `${file.name}: columns`, onclick: () => this.#look(file.file, file.mapping, file.sheet) }, "Columns"),
        element("button", { type: "button", class: "plain", "aria-label": `${file.name}: take away`, onclick: () => this.takeAway(file) }, "Take away")))));
  }

  #fail(error) {
    this.#say(error.message);
    this.#next();
  }

  #say(words) {
    if (words) this.fault.textContent = words;
    this.fault.hidden = !words;
  }
}
