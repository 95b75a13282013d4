// Pictures go up as they are; the server looks at their content and writes them anew.
import { byId } from "../dom.js";
import { Refused, upload } from "../link.js";
import { clear, tell } from "../notices.js";

const LARGEST = 20_000_000;
const input = byId("picture");

async function take(file) {
  clear("picture");
  if (file.size > LARGEST) throw new Error(`${file.name}: the picture is too large; got ${(file.size / 1e6).toFixed(1)} MB; allowed: up to 20 MB`);
  tell("picture", `Sending ${file.name} …`, "warn", false);
  const asked = new URLSearchParams({ job: byId("picture-form").dataset.job, caption: byId("caption").value.trim() });
  await upload(`/api/workshop/pictures?${asked}`, file);
}

input?.addEventListener("change", async () => {
  try {
    for (const file of input.files) await take(file);
    location.reload();
  } catch (error) {
    const words = error instanceof Refused || error.message ? error.message : "The server did not answer; the picture was not sent.";
    tell("picture", words, "bad");
  }
  input.value = "";
});
