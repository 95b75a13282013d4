// What is typed and not yet saved is kept in this browser, with the version it was begun on top of, so that
// a reload or a lost server loses nothing, and a change made elsewhere meanwhile still comes to light.
import { element } from "../dom.js";
import { keep } from "../keep.js";
import { fill, valuesOf } from "./form-values.js";

const PREFIX = "forkwright.desk.";
const keyOf = (form) => `${PREFIX}${form.dataset.send}`;

export function forget(form) {
  localStorage.removeItem(keyOf(form));
  form.querySelector(".unsaved")?.remove();
}

export function forgetAll() {
  for (const key of Object.keys(localStorage)) if (key.startsWith(PREFIX)) localStorage.removeItem(key);
}

function mark(form) {
  if (form.querySelector(".unsaved")) return;
  const away = element("button", { type: "button", class: "plain", onclick: () => { forget(form); form.reset(); form.dataset.version = form.dataset.first ?? ""; } }, "Discard");
  form.append(element("p", { class: "unsaved row", role: "status" }, element("span", {}, "Not saved yet; kept in this browser."), away));
}

export function keepDraft(form) {
  form.dataset.first = form.dataset.version ?? "";
  try {
    const kept = JSON.parse(localStorage.getItem(keyOf(form)));
    if (kept && JSON.stringify(kept.values) !== JSON.stringify(valuesOf(form))) {
      fill(form, kept.values);
      if (kept.version !== "") form.dataset.version = kept.version;
      mark(form);
    } else if (kept) localStorage.removeItem(keyOf(form));
  } catch { /* no storage, or not ours: nothing to bring back */ }
  form.addEventListener("input", () => {
    keepNow(form);
    mark(form);
  });
}

export function keepNow(form) {
  if ("draft" in form.dataset) keep(keyOf(form), { values: valuesOf(form), version: form.dataset.version ?? "" });
}
