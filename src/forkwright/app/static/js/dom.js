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

export function offerFile(name, content, type) {
  const address = URL.createObjectURL(new Blob([content], { type }));
  const link = element("a", { href: address, download: name });
  document.body.append(link);
  link.click();
  link.remove();
  setTimeout(() => URL.revokeObjectURL(address), 10_000);
}
