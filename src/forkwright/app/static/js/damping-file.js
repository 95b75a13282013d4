// A damper's measured curve in place of the one that the file describes: kept in this browser until it is taken away.
import { byId } from "./dom.js";
import { pageData } from "./page-data.js";

export class DampingFile {
  // `form` keeps it under `damping`; `changed()` is told of every other one.
  constructor(form, changed) {
    Object.assign(this, { form, changed, about: byId("damping-said").textContent });
    byId("damping-file").addEventListener("change", async (event) => {
      const [file] = event.target.files;
      if (file) await this.#take(file);
      event.target.value = "";
    });
    byId("damping-away").addEventListener("click", () => this.#set(null));
    this.#say();
  }

  async #take(file) {
    const csv = await file.text();
    if (csv.length <= pageData.largest_damping) this.#set({ name: file.name.slice(0, 200), csv });
    else this.#say(`${file.name} is too long for a damping table: up to ${pageData.largest_damping} characters.`);
  }

  #set(damping) {
    this.form.set({ damping });
    this.#say();
    this.changed();
  }

  #say(fault = "") {
    const { damping } = this.form.state;
    byId("damping-away").hidden = !damping;
    byId("damping-said").textContent = fault || (damping ? `Damping from ${damping.name}: clicks and oil change nothing.` : this.about);
  }
}
