// The merge screen: who was faster, and field by field what both started from, what is mine, what stands now.
import { element } from "../dom.js";
import { fill, nameOf } from "./form-values.js";

const shown = (value) => (value === null || value === undefined || value === "" ? "nothing" : String(value));

function choice(field, side, words, value, chosen) {
  const radio = element("input", { type: "radio", name: `merge-${field.name}`, value: side });
  radio.checked = chosen;
  return element("label", { class: "merge-choice" }, radio,
    element("span", {}, element("span", { class: "quiet" }, words), element("span", { class: "merge-value" }, shown(value))));
}

function row(form, field) {
  // Where only one side changed a field, that change is taken; where both did, mine is offered first.
  const mineChanged = JSON.stringify(field.mine) !== JSON.stringify(field.base);
  const note = field.clash ? "both changed it" : mineChanged ? "you changed it" : "they changed it";
  return element("fieldset", { class: field.clash ? "merge-row clash" : "merge-row" },
    element("legend", {}, nameOf(form, field.name), " ", element("span", { class: "mark" }, note)),
    element("p", { class: "quiet merge-base" }, `Both started from: ${shown(field.base)}`),
    choice(field, "mine", "Yours", field.mine, mineChanged),
    choice(field, "theirs", "Stands now", field.theirs, !mineChanged));
}

// Resolves to true when the form holds the merged values and the version to save on top of; false to leave it.
export function merge(form, conflict) {
  const fields = conflict.fields.filter((field) => form.elements[field.name]);
  const others = conflict.fields.filter((field) => !form.elements[field.name] && field.base !== null && field.mine === field.base);
  const dialog = element("dialog", { class: "merge", "aria-labelledby": "merge-title" });
  const body = element("form", { method: "dialog" },
    element("h2", { id: "merge-title" }, "Someone else was faster"),
    element("p", {}, conflict.error),
    ...fields.map((field) => row(form, field)),
    others.length > 0 ? element("p", { class: "quiet" }, `Also changed meanwhile, and kept: ${others.map((field) => field.name.replaceAll("_", " ")).join(", ")}.`) : null,
    element("p", { class: "row" },
      fields.length > 0 ? element("button", { class: "main-button", value: "save" }, "Save the merge") : null,
      element("button", { class: "plain", value: "look" }, fields.length > 0 ? "Not now" : "Look again")));
  dialog.append(body);
  document.body.append(dialog);
  dialog.showModal();
  return new Promise((done) => {
    dialog.addEventListener("close", () => {
      const saving = dialog.returnValue === "save";
      if (saving) {
        const side = (field) => body.elements[`merge-${field.name}`].value;
        fill(form, Object.fromEntries(fields.map((field) => [field.name, field[side(field)]])));
        form.dataset.version = conflict.current_version;
      }
      dialog.remove();
      done(saving);
    });
  });
}
