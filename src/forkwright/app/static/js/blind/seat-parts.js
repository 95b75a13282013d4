// What riders, mechanic and leader are shown alike: lists, what is still to be sent, what did not count, when to stop.
import { byId, element } from "../dom.js";
import { clear, tell } from "../notices.js";

export const list = (items) => element("ul", {}, items.map((item) => element("li", {}, item)));

export function showOutbox(outbox) {
  const waiting = outbox.waiting().length;
  byId("outbox").textContent = waiting ? `${waiting} to send` : "all sent";
  byId("outbox").dataset.state = waiting ? "waiting" : "sent";
}

// Whether words stand in a field that nobody has kept yet: a page that is drawn anew would lose them. Fields within
// `except` look after themselves.
export const halfTyped = (except = ":not(*)") => [...document.querySelectorAll("#seat textarea, #seat input[type=text]")]
  .some((field) => field.value !== field.defaultValue && !field.closest(except));

// Said at once, whatever is being typed or ticked.
export function showStop(view, words) {
  if (view.stopped) tell("stopped", words, "bad", false);
  else clear("stopped");
}

// `words` are said above the list.
export function refusedSheet(outbox, words = null) {
  const refused = outbox.refused();
  if (refused.length === 0) return null;
  return element("section", { class: "sheet" }, element("h2", {}, "Not counted"), words ? element("p", { class: "quiet" }, words) : null,
    list(refused.map((entry) => `${entry.record.kind.replace("_", " ")} ${entry.record.code ?? ""}: ${entry.reason}`)));
}

export const safetySheet = (view) => element("section", { class: "sheet" },
  element("details", {}, element("summary", {}, "Safety, and when to stop"), list(view.safety), list(view.stop_rules)));
