// A shared workbench: signing out takes what was typed and not saved, and measured files, off this browser; a session that is over
// leads to the sign-in and back.
import { byId } from "./dom.js";
import { forgetAllFiles } from "./evidence/file-store.js";
import { forgetAll } from "./workshop/form-draft.js";

byId("sign-out")?.addEventListener("submit", () => {
  forgetAll();
  forgetAllFiles();
});
document.addEventListener("bench:signed-out", () =>
  location.assign(`/sign-in?next=${encodeURIComponent(location.pathname + location.search)}`));
