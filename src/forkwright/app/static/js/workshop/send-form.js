// Sending a form once. Nothing is sent again by itself: the server may have saved it before the link broke.
import { byId } from "../dom.js";
import { once, Refused } from "../link.js";
import { clear, tell } from "../notices.js";
import { forget, keepNow } from "./form-draft.js";
import { valuesOf } from "./form-values.js";
import { merge } from "./merge.js";

const LOST = "The server did not answer. What you typed is kept in this browser. Look whether it was saved before you send it again.";

function bodyOf(form) {
  const body = valuesOf(form);
  if (form.dataset.version) body.read_version = Number(form.dataset.version);
  return body;
}

function fault(form, words) {
  const place = form.querySelector("[data-fault]");
  if (place) place.textContent = words;
  else if (words) tell("send", words, "bad");
}

function pointAt(form, key) {
  for (const field of form.elements) field.removeAttribute?.("aria-invalid");
  const field = key && form.elements[key.split(".").at(-1)];
  if (field instanceof HTMLElement) {
    field.setAttribute("aria-invalid", "true");
    field.focus();
  }
}

// Returns the answer, or undefined when it was refused and said so.
export async function send(form) {
  if (form.dataset.busy) return undefined;
  form.dataset.busy = "yes";
  clear("send");
  fault(form, "");
  keepNow(form); // until the server says that it has it
  try {
    const [method, path] = form.dataset.send.split(" ");
    for (;;) {
      try {
        const answer = await once(method, path, bodyOf(form));
        forget(form);
        pointAt(form, null);
        return answer;
      } catch (error) {
        if (!(error instanceof Refused)) return void fault(form, LOST);
        if (error.status === 409) {
          if (await merge(form, error.body)) continue;
          if ((error.body.fields ?? []).length === 0) location.reload();
          return undefined;
        }
        pointAt(form, error.body.key);
        return void fault(form, error.message);
      }
    }
  } finally {
    delete form.dataset.busy;
  }
}

// After a saved change the page is read anew; the finger stays at the form it was at.
const AT = "forkwright.at";
export function readAgain(form) {
  if (form?.id && "again" in form.dataset) sessionStorage.setItem(AT, form.id);
  location.reload();
}

export function backToForm() {
  const id = sessionStorage.getItem(AT);
  sessionStorage.removeItem(AT);
  const form = id && byId(id);
  const first = form && [...form.elements].find((field) => field.name && field.type !== "hidden" && field.tagName !== "FIELDSET" && field.tagName !== "SELECT");
  first?.focus();
}
