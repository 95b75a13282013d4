// Remarks and incidents: the same two forms for riders, mechanic and leader.
import { element } from "../dom.js";

let forms = 0;

// `codes` are those the remark may be about; `add(record)` keeps it.
export function remarkForms(codes, add, who = {}) {
  return element("section", { class: "sheet", "aria-label": "Remarks and incidents" },
    element("details", {}, element("summary", {}, "Remark"), remarkForm(codes, add, who)),
    element("details", {}, element("summary", {}, "Incident"), incidentForm(codes, add, who)));
}

function aboutField(codes, id) {
  return element("div", { class: "field" }, element("label", { for: id }, "About"),
    element("select", { id }, element("option", { value: "" }, "no run in particular"), codes.map((code) => element("option", { value: code }, `code ${code}`))));
}

function textField(id, label) {
  return element("div", { class: "field" }, element("label", { for: id }, label), element("textarea", { id, rows: "3", maxlength: "2000" }));
}

function kept(form, said) {
  form.querySelector("textarea").value = "";
  said.textContent = "Kept.";
  setTimeout(() => { said.textContent = ""; }, 4000);
}

const about = (code) => (code ? { code } : {});

function remarkForm(codes, add, who) {
  const id = `remark-${forms += 1}`;
  const said = element("span", { class: "quiet", role: "status" });
  const form = element("form", { onsubmit: (event) => {
    event.preventDefault();
    const text = form.querySelector("textarea").value.trim();
    if (!text) return;
    add({ kind: "remark", text, ...about(form.querySelector("select").value), ...who });
    kept(form, said);
  } }, aboutField(codes, `${id}-code`), textField(id, "What you noticed"), element("p", { class: "row" }, element("button", { type: "submit", class: "plain" }, "Keep the remark"), said));
  return form;
}

function incidentForm(codes, add, who) {
  const id = `incident-${forms += 1}`;
  const said = element("span", { class: "quiet", role: "status" });
  const keepIt = (severity) => {
    const text = form.querySelector("textarea").value.trim();
    if (!text) {
      said.textContent = "Say in a few words what happened.";
      form.querySelector("textarea").focus();
      return;
    }
    add({ kind: "incident", severity, text, ...about(form.querySelector("select").value), ...who });
    kept(form, said);
  };
  const form = element("form", { onsubmit: (event) => event.preventDefault() },
    element("p", {}, "A crash or a near miss, a knock, leak, loose part or hard bottoming: stop, record it, inspect."),
    aboutField(codes, `${id}-code`), textField(id, "What happened"),
    element("div", { class: "row" },
      element("button", { type: "button", class: "main-button stop-button", onclick: () => keepIt("stop") }, "Stop the trial"),
      element("button", { type: "button", class: "plain", onclick: () => keepIt("note") }, "Note it, go on"), said));
  return form;
}
