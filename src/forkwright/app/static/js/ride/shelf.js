// Courses to ride: demonstration stages, course files (shared with the other pages), and measured profiles.
// Profiles are large: they lie in the browser's database, and on this page alone.
import { post } from "../link.js";
import { pageData } from "../page-data.js";
import { courses, forgetCourse, keepCourse, LARGEST_COURSE } from "../tune/courses.js";

const DATABASE = "forkwright.profiles";
const NAMES_PROFILE = /^\s*\[\s*profile\s*\]/m;
const memory = new Map(); // where the browser has no database, until the page is left

function database() {
  return new Promise((opened) => {
    if (!window.indexedDB) return opened(null);
    const request = indexedDB.open(DATABASE, 1);
    request.onupgradeneeded = () => request.result.createObjectStore("profiles", { keyPath: "name" });
    request.onsuccess = () => opened(request.result);
    request.onerror = () => opened(null);
    return undefined;
  });
}

async function inStore(mode, work) {
  const base = await database().catch(() => null);
  if (!base) return null;
  return new Promise((done) => {
    const request = work(base.transaction("profiles", mode).objectStore("profiles"));
    request.onsuccess = () => { base.close(); done(request.result ?? true); };
    request.onerror = () => { base.close(); done(null); };
  });
}

async function profiles() {
  const stored = (await inStore("readonly", (store) => store.getAll())) ?? [];
  const all = new Map([...memory, ...(Array.isArray(stored) ? stored : []).map((one) => [one.name, one])]);
  return [...all.values()];
}

async function putProfile(entry) {
  memory.set(entry.name, entry);
  return (await inStore("readwrite", (store) => store.put(entry))) !== null;
}

const choiceOf = ({ name, toml, csv, file, speed, smoothing }) => ({ toml, name, profile: { csv, file, speed, smoothing } });

// Everything there is to ride, as {id, name, choice, own, profile?}.
export async function shelf() {
  const shared = (await courses()).map((one) => ({ id: one.id, name: one.account.name, choice: one.choice, own: Boolean(one.own), file: one.choice.name }));
  const measured = (await profiles()).map((one) => ({ id: `profile:${one.name}`, name: one.title, choice: choiceOf(one), own: true, profile: one }));
  return [...shared, ...measured];
}

// Read dropped files: course files, profiles, or a course file together with the profile it names.
export async function take(files) {
  const read = await Promise.all([...files].map(async (file) => {
    const limit = /\.csv$/i.test(file.name) ? pageData.largest_csv : LARGEST_COURSE;
    if (file.size > limit) throw new Error(`${file.name}: the file is too large for this page; got ${file.size} bytes, allowed ${limit}`);
    return { name: file.name, text: await file.text() };
  }));
  const tables = read.filter(({ name }) => /\.csv$/i.test(name));
  const plans = read.filter(({ name }) => !/\.csv$/i.test(name));
  let last = null;
  for (const plan of plans) last = NAMES_PROFILE.test(plan.text) ? await takeBoth(plan, tables) : (await keepCourse(plan.name, plan.text)).id;
  for (const table of tables) last = await takeProfile({ name: table.name, toml: "", csv: table.text, file: table.name, speed: "6 m/s", smoothing: "20 m" });
  return last;
}

async function takeBoth(plan, tables) {
  const at = tables.findIndex(({ name }) => plan.text.includes(name));
  if (at < 0) throw new Error(`${plan.name}: it rides over a measured profile; drop the course file and its CSV together`);
  const [table] = tables.splice(at, 1);
  return takeProfile({ name: plan.name, toml: plan.text, csv: table.text, file: table.name, speed: "6 m/s", smoothing: "20 m" });
}

// Check a profile on the server and keep it.
export async function takeProfile(entry) {
  const account = await post("/api/ride/course", choiceOf(entry));
  const kept = await putProfile({ ...entry, title: account.course });
  if (!kept) document.dispatchEvent(new CustomEvent("bench:cannot-keep"));
  return `profile:${entry.name}`;
}

export async function remove(course) {
  if (course.profile) {
    memory.delete(course.profile.name);
    await inStore("readwrite", (store) => store.delete(course.profile.name));
  } else forgetCourse(course.file);
}
