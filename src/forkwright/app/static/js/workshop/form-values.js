// A form's fields as the server wants them, and back.
const emptyIs = { number: null, count: null, date: null };

function valueOf(field) {
  const { kind } = field.dataset;
  const text = field.value.trim();
  if (kind in emptyIs && text === "") return emptyIs[kind];
  if (kind === "number" || kind === "count") {
    const number = Number(text.replace(",", "."));
    return Number.isFinite(number) ? number : text;
  }
  return field.tagName === "TEXTAREA" ? field.value : text;
}

const fieldsOf = (form) => [...form.elements].filter((field) => field.name && field.type !== "submit");

export function valuesOf(form) {
  const values = {};
  for (const field of fieldsOf(form)) {
    if (field.type === "radio") {
      values[field.name] ??= "";
      if (field.checked) values[field.name] = field.value;
    } else values[field.name] = valueOf(field);
  }
  return values;
}

export function fill(form, values) {
  for (const field of fieldsOf(form)) {
    if (!(field.name in values)) continue;
    const value = values[field.name];
    if (field.type === "radio") field.checked = field.value === value;
    else field.value = value === null || value === undefined ? "" : String(value);
  }
}

// What a field is called on the page, for the merge screen.
export function nameOf(form, name) {
  const field = form.elements[name];
  const single = field instanceof RadioNodeList ? null : field;
  const words = single?.labels?.[0]?.firstChild?.textContent.trim();
  return words || name.replaceAll("_", " ").replace(/^./, (letter) => letter.toUpperCase());
}
