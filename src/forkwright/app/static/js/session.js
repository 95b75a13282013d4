// A shared workbench: signing out takes what was typed and not saved off this browser; a session that is over
// leads to the sign-in and back.
import { byId } from "./dom.js";
import { forgetAll } from "./workshop/form-draft.js";

byId("sign-out")?.addEventListener("submit", forgetAll);
document.addEventListener("bench:signed-out", () =>
  location.assign(`/sign-in?next=${encodeURIComponent(location.pathname + location.search)}`));
