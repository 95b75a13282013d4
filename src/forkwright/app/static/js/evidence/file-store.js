// The files themselves, kept in this browser, so that a server that was started anew gets them again by itself.
const NAME = "forkwright-evidence";
const PLACE = "files";

function opened() {
  return new Promise((done, failed) => {
    const request = indexedDB.open(NAME, 1);
    request.addEventListener("upgradeneeded", () => request.result.createObjectStore(PLACE));
    request.addEventListener("success", () => done(request.result));
    request.addEventListener("error", () => failed(request.error));
  });
}

async function on(mode, work) {
  try {
    const base = await opened();
    return await new Promise((done, failed) => {
      const step = base.transaction(PLACE, mode);
      const request = work(step.objectStore(PLACE));
      step.addEventListener("complete", () => { base.close(); done(request.result); });
      step.addEventListener("abort", () => { base.close(); failed(step.error); });
    });
  } catch {
    return undefined; // no room, or storage is off: then the user brings the file in again
  }
}

export const keepFile = (key, file) => on("readwrite", (place) => place.put(file, key));
export const keptFile = (key) => on("readonly", (place) => place.get(key));
export const forgetFile = (key) => on("readwrite", (place) => place.delete(key));

// Signing out of a shared workbench: measured files and what is known about them leave this browser.
export function forgetAllFiles() {
  indexedDB.deleteDatabase(NAME);
  for (const key of Object.keys(localStorage)) if (key.startsWith("forkwright.evidence.")) localStorage.removeItem(key);
}
