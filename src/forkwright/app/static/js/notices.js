// Messages that stay until they are no longer true or are read and closed; one per key.
import { byId, element } from "./dom.js";

const shown = new Map();

export function tell(key, words, kind = "warn", closable = true) {
  clear(key);
  const close = closable
    ? element("button", { type: "button", class: "plain", onclick: () => clear(key) }, "Close")
    : null;
  const notice = element("div", { class: `notice ${kind}` }, element("p", {}, words), close);
  shown.set(key, notice);
  byId("notices").append(notice);
}

export function clear(key) {
  shown.get(key)?.remove();
  shown.delete(key);
}
