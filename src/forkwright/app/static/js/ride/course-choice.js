// Choosing the course: the list, files dropped anywhere on the form, what the course is like, a profile's speed.
import { byId, element } from "../dom.js";
import { Latest } from "../link.js";
import { clear, tell } from "../notices.js";
import * as units from "../units.js";
import { remove, shelf, take, takeProfile } from "./shelf.js";

export class CourseChoice {
  #all = [];
  #account = null;

  // `form` keeps what is chosen; `changed()` is told of every other course.
  constructor(form, changed) {
    Object.assign(this, { form, changed });
    this.select = byId("course");
    this.select.addEventListener("change", () => this.choose(this.select.value));
    this.reader = new Latest("/api/ride/course", (account) => this.#describe(account), (error) => this.#describe(null, error.message));
    byId("course-files").addEventListener("change", async (event) => {
      await this.#take(event.target.files);
      event.target.value = "";
    });
    byId("course-away").addEventListener("click", () => this.#remove());
    for (const entry of ["speed", "smoothing"]) byId(`profile-${entry}`).addEventListener("change", () => this.#profileChanged());
    this.#drops(byId("ask"));
    units.onUnits(() => this.#describe(this.#account));
  }

  get chosen() {
    return this.#all.find((one) => one.id === this.form.state.course) ?? this.#all[0];
  }

  async build() {
    this.#all = await shelf();
    const group = (label, own) => {
      const options = this.#all.filter((one) => one.own === own).map((one) => element("option", { value: one.id }, one.name));
      return options.length ? [element("optgroup", { label }, options)] : [];
    };
    this.select.replaceChildren(...group("Demonstration stages, invented", false), ...group("Your own", true));
    this.#show();
  }

  choose(id) {
    this.form.set({ course: id });
    this.#show();
    this.changed();
  }

  #show() {
    const course = this.chosen;
    this.select.value = course.id;
    byId("course-away").hidden = !course.own;
    byId("profile-fields").hidden = !course.profile || course.profile.toml !== "";
    if (course.profile) for (const entry of ["speed", "smoothing"]) byId(`profile-${entry}`).value = course.profile[entry];
    this.reader.ask(course.choice);
  }

  #describe(account, fault = "") {
    this.#account = account;
    byId("course-facts").textContent = account ? facts(account) : fault;
  }

  async #take(files) {
    clear("course");
    try {
      const id = await take(files);
      if (!id) return;
      await this.build();
      this.choose(id);
    } catch (error) {
      tell("course", error.message, "bad");
    }
  }

  async #profileChanged() {
    clear("course");
    const { profile } = this.chosen;
    try {
      await takeProfile({ ...profile, speed: byId("profile-speed").value, smoothing: byId("profile-smoothing").value });
      await this.build();
      this.changed();
    } catch (error) {
      tell("course", error.message, "bad");
    }
  }

  async #remove() {
    const course = this.chosen;
    if (!confirm(`Remove ${course.name} from this browser?`)) return;
    await remove(course);
    this.form.set({ course: "" });
    await this.build();
    this.choose(this.chosen.id);
  }

  #drops(holder) {
    const over = (on) => (event) => {
      if (![...event.dataTransfer.types].includes("Files")) return;
      event.preventDefault();
      holder.classList.toggle("is-over", on);
    };
    holder.addEventListener("dragover", over(true));
    holder.addEventListener("dragleave", over(false));
    holder.addEventListener("drop", (event) => {
      over(false)(event);
      if (event.dataTransfer.files.length) this.#take(event.dataTransfer.files);
    });
  }
}

function facts(account) {
  const { length_m: length, duration_s: time, slowest_m_s: slow, fastest_m_s: fast, rms_height_m: height, event_m: places, event_kind: kinds } = account;
  const pace = slow === fast ? units.text("speed", slow) : `${units.figure("speed", slow)} to ${units.text("speed", fast)}`;
  const events = places.map((place, index) => `${kinds[index].replaceAll("_", " ")} at ${Math.round(place)} m`).join(", ");
  return [`${Math.round(length)} m in ${time.toFixed(1)} s at ${pace}; the ground's rms height is ${units.text("length", height)}.`, events ? `On it: ${events}.` : "", ...account.warnings].filter(Boolean).join(" ");
}
