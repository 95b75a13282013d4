// Quantities and words typed as text, each with its fault below it: {name, label, usual, empty?, longest?}. `usual` stands
// in a field that was never typed in; where `empty` says what an empty field means, it may be left empty.
import { element, write } from "./dom.js";

export class TextFields {
  #inputs = new Map();

  // `read(name)` gives what was typed, or undefined; `typed(name, text)` takes what is typed now.
  constructor(holder, placed, fields, { read, typed }) {
    Object.assign(this, { fields, read });
    holder.append(...fields.map((field) => this.#field(field, `${placed}-${field.name.replaceAll(" ", "-")}`, typed)));
    this.show();
  }

  #field({ name, label, usual, empty = null, longest = 40 }, id, typed) {
    const fault = element("p", { class: "fault", id: `${id}-fault`, role: "status" });
    const input = element("input", { type: "text", id, maxlength: String(longest), autocomplete: "off", spellcheck: "false", placeholder: empty, "aria-describedby": fault.id });
    input.addEventListener("change", () => {
      typed(name, input.value.trim() || usual);
      this.show();
    });
    this.#inputs.set(name, { input, fault });
    return element("div", { class: "field", "data-field": name }, element("label", { for: id }, label), input, fault);
  }

  text(name) {
    return this.read(name) ?? this.fields.find((field) => field.name === name).usual;
  }

  // Show what is kept; another page may have changed it.
  show() {
    for (const [name, { input }] of this.#inputs) if (document.activeElement !== input) input.value = this.text(name);
  }

  // Say of which field an error speaks, or with null that none is wrong; whether it was one of these.
  tell(error) {
    for (const [name, { input, fault }] of this.#inputs) {
      const wrong = error?.body?.key === name;
      write(fault, wrong ? error.message : "");
      if (wrong) input.setAttribute("aria-invalid", "true");
      else input.removeAttribute("aria-invalid");
    }
    return this.#inputs.has(error?.body?.key);
  }
}
