// The inspection: a letter in a line sets its result, saves it and goes to the next line.
import { send } from "./send-form.js";

const lines = () => [...document.querySelectorAll("form.check")];

function show(form, job) {
  const item = form.dataset.item;
  const found = job.findings.find((row) => row.item === item);
  form.dataset.version = job.finding_versions[item];
  const standing = form.querySelector("[data-standing]");
  standing.textContent = found.result;
  standing.className = `standing standing-${found.result.replace(" ", "-")}`;
  for (const radio of form.querySelectorAll("[name=result]")) radio.checked = radio.value === found.result;
}

export async function saveLine(form) {
  const job = await send(form);
  if (job) show(form, job);
  return job;
}

function next(form) {
  const all = lines();
  const after = all[all.indexOf(form) + 1];
  after?.querySelector("[name=result]:checked, [name=result]")?.focus();
}

for (const form of lines()) {
  for (const radio of form.querySelectorAll("[name=result]")) radio.addEventListener("click", (event) => event.detail > 0 && saveLine(form));
  for (const field of form.querySelectorAll("input[type=text]")) {
    field.addEventListener("change", () => {
      // A new measurement is judged anew against the limit.
      if (field.name === "measured") for (const radio of form.querySelectorAll("[name=result]")) radio.checked = false;
      const decided = form.querySelector("[name=result]:checked") || form.elements.measured.value.trim();
      if (decided) saveLine(form);
    });
  }
  form.addEventListener("keydown", (event) => {
    if (event.ctrlKey || event.metaKey || event.altKey || event.target.matches("input[type=text]")) return;
    const radio = form.querySelector(`[data-key="${CSS.escape(event.key.toLowerCase())}"]`);
    if (!radio) return;
    event.preventDefault();
    event.stopPropagation();
    radio.checked = true;
    saveLine(form).then((job) => job && next(form));
  });
}
