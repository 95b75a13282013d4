// Links as text, as a square for a phone's camera, and as something to copy.
import { element } from "../dom.js";

export const address = (role, token) => `${location.origin}/blind/${role === "leader" ? "lead" : role}#${token}`;

export function linkCard(role, person, token, note = "") {
  const url = address(role, token);
  const said = element("span", { class: "quiet", role: "status" });
  const field = element("input", { type: "text", readonly: true, value: url, "aria-label": `Link for ${person}`, onfocus: (event) => event.target.select() });
  const copy = element("button", { type: "button", class: "plain", onclick: async () => {
    field.select();
    try {
      await navigator.clipboard.writeText(url);
      said.textContent = "Copied.";
    } catch {
      said.textContent = "Marked: copy it by hand.";
    }
  } }, "Copy");
  return element("div", { class: "link-card" }, element("h3", {}, `${person}, ${role}`),
    element("img", { src: `/api/blind/square.svg?text=${encodeURIComponent(url)}`, alt: `Square code of the link for ${person}`, width: "180", height: "180", loading: "lazy" }),
    field, element("div", { class: "row" }, copy, element("a", { class: "plain-link", href: url }, "Open here"), said), note ? element("p", { class: "quiet" }, note) : null);
}

// Said to whom a link was given in the place of another: anybody can see that it happened.
export const countNote = (count) => (count > 1 ? element("p", { class: "quiet" }, `Links given to you so far: ${count}; all but this one are dead.`) : null);

export const reachNote = () => (["127.0.0.1", "localhost", "[::1]"].includes(location.hostname)
  ? "These links work on this machine only. Phones reach it when the workbench is started with --host and this machine's address, and this page is opened under that address."
  : "Phones on this network open these links with their camera.");
