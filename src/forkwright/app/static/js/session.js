// A shared workbench: signing out takes what was typed and not saved, and measured files, off this browser; a session that is over
// leads to the sign-in and back.
import { byId } from "./dom.js";
import { forgetAllFiles } from "./evidence/file-store.js";
import { keep, recall } from "./keep.js";
import { forgetAll } from "./workshop/form-draft.js";

const PERSON = "forkwright.person";
const person = document.querySelector('meta[name="signed-in"]').content;

function forgetEverything() {
  forgetAll();
  forgetAllFiles();
}

// A session may also end by itself; what was left then is kept for the same person, and for nobody else.
if (recall(PERSON, person) !== person) forgetEverything();
keep(PERSON, person);
byId("sign-out")?.addEventListener("submit", forgetEverything);
document.addEventListener("bench:signed-out", () =>
  location.assign(`/sign-in?next=${encodeURIComponent(location.pathname + location.search)}`));
