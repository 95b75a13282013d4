// Courses to ride: the demonstration stages and files of one's own, kept in this browser.
import { element } from "../dom.js";
import { keep, recall } from "../keep.js";
import { get, post } from "../link.js";
import { clear, tell } from "../notices.js";

const KEY = "forkwright.courses";
export const LARGEST_COURSE = 200_000;
let demos = null;

// Everything there is to ride, as {id, account, choice}.
export async function courses() {
  demos ??= (await get("/api/courses")).courses.map((one) => ({ id: `demo:${one.demo}`, account: one, choice: { demo: one.demo } }));
  return [...demos, ...recall(KEY, []).map((one) => ({ id: `own:${one.name}`, account: one.account, choice: { toml: one.toml, name: one.name }, own: true }))];
}

export const lengthText = ({ length_m: length, duration_s: time }) => `${Math.round(length)} m, ${Math.round(time)} s`;

// Have the server look at a course file and keep it; a fault in it is thrown.
export async function keepCourse(name, toml) {
  const account = await post("/api/courses/check", { toml, name });
  keep(KEY, [...recall(KEY, []).filter((one) => one.name !== name), { name, toml, account }]);
  return { id: `own:${name}`, account };
}

export function forgetCourse(name) {
  keep(KEY, recall(KEY, []).filter((one) => one.name !== name));
}

async function importCourse(file) {
  clear("course");
  try {
    if (file.size > LARGEST_COURSE) throw new Error(`${file.name}: too large to be a course file`);
    const { id, account } = await keepCourse(file.name, await file.text());
    if (account.warnings.length) tell("course", account.warnings.join(" "));
    return id;
  } catch (error) {
    tell("course", error.message, "bad");
    return null;
  }
}

export function importButton(done) {
  const input = element("input", { type: "file", accept: ".toml,application/toml,text/plain", "aria-label": "Import a course file" });
  input.addEventListener("change", async () => {
    for (const file of input.files) await done(await importCourse(file));
    input.value = "";
  });
  return element("label", { class: "file-button" }, "Import a course", input);
}

// Ticks for several courses; `picked` holds their ids.
export class CourseTicks {
  constructor(holder, picked, changed) {
    Object.assign(this, { holder, picked, changed, all: [] });
    this.list = element("div", {});
    holder.append(this.list, importButton(async (id) => {
      if (!id) return;
      this.picked = [...new Set([...this.picked, id])];
      this.changed(this.picked);
      await this.build();
    }));
  }

  async build() {
    this.all = await courses();
    this.list.replaceChildren(...this.all.map((course) => this.#row(course)));
    this.changed(this.picked);
  }

  chosen = () => this.all.filter((course) => this.picked.includes(course.id)).map((course) => course.choice);

  #row(course) {
    const tick = element("input", { type: "checkbox", onchange: () => {
      this.picked = tick.checked ? [...this.picked, course.id] : this.picked.filter((id) => id !== course.id);
      this.changed(this.picked);
    } });
    tick.checked = this.picked.includes(course.id);
    return element("div", { class: "course" }, element("label", { class: "tick" }, tick, element("span", {}, course.account.name)), element("span", { class: "quiet" }, lengthText(course.account)));
  }
}
