// Wishes in plain words: for each aim less, as it is, or more.
import { element } from "../dom.js";

const AIMS = { grip: "Grip", comfort: "Comfort", support: "Support", margin: "Margin" };
const STEPS = [["less", "less"], ["", "alike"], ["more", "more"]];

export function wishFields(holder, wishes, changed) {
  const now = Object.fromEntries(Object.keys(AIMS).map((aim) => [aim, wishes.find((wish) => wish.endsWith(` ${aim}`))?.split(" ")[0] ?? ""]));
  holder.append(...Object.entries(AIMS).map(([aim, words]) => element("fieldset", { class: "wish" }, element("legend", {}, words), element("div", { class: "segments-row" }, STEPS.map(([step, said]) => {
    const radio = element("input", { type: "radio", name: `wish-${aim}`, value: step, "aria-label": `${words}: ${said}`, onchange: () => {
      now[aim] = step;
      changed(Object.entries(now).filter(([, how]) => how).map(([which, how]) => `${how} ${which}`));
    } });
    radio.checked = now[aim] === step;
    return element("label", {}, radio, element("span", {}, said));
  })))));
}
