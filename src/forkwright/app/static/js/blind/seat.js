// What every page behind a link does: find its token, load what this person may see, keep it for lost networks.
import { byId } from "../dom.js";
import { keep, recall } from "../keep.js";
import { clear, tell } from "../notices.js";

export const token = decodeURIComponent(location.hash.slice(1));
addEventListener("hashchange", () => location.reload());
const PATIENCE_MS = 10_000;
const AGAIN_MS = 1500;
const KEY = `forkwright.blind.${token}.view`;

export function fault(words) {
  const place = byId("seat-fault");
  place.textContent = words ?? "";
  place.hidden = !words;
}

// The links opened in this browser, for the list of trials.
export function remember(view) {
  const seats = recall("forkwright.blind.seats", {});
  if (seats[token]?.name === view.name) return;
  keep("forkwright.blind.seats", { ...seats, [token]: { name: view.name, role: view.role, person: view.person } });
}

export const keptView = () => recall(KEY);

// The latest view, or the one kept on this phone while the server cannot be reached.
export async function lookUp() {
  let response;
  try {
    response = await fetch(`/api/blind/seat/${token}`, { signal: AbortSignal.timeout(PATIENCE_MS) });
  } catch {
    tell("link", "No connection: this is what was known before.", "warn", false);
    return keptView();
  }
  clear("link");
  const body = await response.json().catch(() => ({ error: "the server's answer cannot be read" }));
  if (!response.ok) {
    fault(body.error);
    return [401, 422].includes(response.status) ? null : keptView();
  }
  fault(null);
  keep(KEY, body);
  remember(body);
  return body;
}

// The first look of a page: tried again soon while nothing at all is known and nobody has refused.
export async function firstLook(refresh) {
  while (!(await refresh())) {
    if (!byId("seat-fault").hidden) return;
    await new Promise((done) => setTimeout(done, AGAIN_MS));
  }
}

export function every(seconds, what) {
  setInterval(() => !document.hidden && what(), seconds * 1000);
  document.addEventListener("visibilitychange", () => !document.hidden && what());
}
