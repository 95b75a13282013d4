// Building pages without markup in strings: element("button", {type: "button", class: "plain"}, "Text", child…)
const SVG = "http://www.w3.org/2000/svg";

function filled(node, attributes, children) {
  for (const [name, value] of Object.entries(attributes)) {
    if (value === null || value === undefined || value === false) continue;
    if (name.startsWith("on")) node.addEventListener(name.slice(2), value);
    else if (name === "style") Object.assign(node.style, value);
    else node.setAttribute(name, value === true ? "" : value);
  }
  node.append(...children.flat().filter((child) => child !== null && child !== undefined));
  return node;
}

export const element = (tag, attributes = {}, ...children) => filled(document.createElement(tag), attributes, children);
export const shape = (tag, attributes = {}, ...children) => filled(document.createElementNS(SVG, tag), attributes, children);
export const byId = (id) => document.getElementById(id);

// What follows a slider is written only where it differs: writing makes the browser lay out the page anew.
export function write(node, text) {
  if (node.textContent !== text) node.textContent = text;
}

const listed = new WeakMap();

// Sentences as the entries of a list, which is hidden while there are none.
export function listWords(list, words) {
  const written = JSON.stringify(words);
  if (listed.get(list) === written) return;
  listed.set(list, written);
  list.hidden = words.length === 0;
  list.replaceChildren(...words.map((word) => element("li", {}, word)));
}

// Rows of [name, value] in a `dl`.
export function listReadings(holder, rows) {
  const names = JSON.stringify(rows.map(([name]) => name));
  if (listed.get(holder)?.names !== names) {
    const values = rows.map(() => element("dd", { class: "figures" }));
    listed.set(holder, { names, values });
    holder.replaceChildren(...rows.map(([name], at) => element("div", {}, element("dt", {}, name), values[at])));
  }
  rows.forEach(([, value], at) => write(listed.get(holder).values[at], value));
}

// Take files that are dropped on a part of the page.
export function onFiles(target, take) {
  const carries = (event) => event.dataTransfer?.types.includes("Files");
  target.addEventListener("dragover", (event) => carries(event) && event.preventDefault());
  target.addEventListener("drop", (event) => {
    if (!carries(event) || event.defaultPrevented) return;
    event.preventDefault();
    take([...event.dataTransfer.files]);
  });
}

// A name as a file may carry it: small letters and hyphens.
export const fileName = (name, otherwise) => name.toLowerCase().replace(/[^a-z0-9]+/g, "-").replace(/^-|-$/g, "") || otherwise;

// A file that came as part of an answer, under its own name or another.
export const offerSent = ({ name, base64, type }, named = name) => offerFile(named, Uint8Array.from(atob(base64), (letter) => letter.charCodeAt(0)), type);

export function offerFile(name, content, type) {
  const address = URL.createObjectURL(new Blob([content], { type }));
  const link = element("a", { href: address, download: name });
  document.body.append(link);
  link.click();
  link.remove();
  setTimeout(() => URL.revokeObjectURL(address), 10_000);
}
