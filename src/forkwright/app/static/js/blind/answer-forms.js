// The forms a rider fills in: anchored scales, times, one of several codes, an order of codes.
import { element } from "../dom.js";

const MOST_BUTTONS = 11;
let groups = 0;

// A scale of whole points between two words; `value` is null until a point is chosen.
export function scaleField(scale, chosen, given = null) {
  const name = `scale-${groups += 1}`;
  const points = Array.from({ length: scale.points }, (_, index) => index + 1);
  const anchors = element("div", { class: "anchors", "aria-hidden": "true" },
    element("span", {}, `1 = ${scale.low}`), element("span", {}, `${scale.points} = ${scale.high}`));
  const legend = element("legend", {}, scale.name, element("span", { class: "word-hidden" }, `, from 1, ${scale.low}, to ${scale.points}, ${scale.high}`));
  if (scale.points > MOST_BUTTONS) {
    const read = element("output", {}, given === null ? "not set" : String(given));
    const slider = element("input", { type: "range", min: "1", max: String(scale.points), step: "1", "aria-label": scale.name, value: String(given ?? Math.ceil(scale.points / 2)) });
    const take = () => {
      read.textContent = slider.value;
      chosen(Number(slider.value));
    };
    slider.addEventListener("input", take);
    slider.addEventListener("pointerup", take);
    return element("fieldset", { class: "scale" }, legend, anchors, element("div", { class: "scale-slide" }, slider, read));
  }
  const buttons = points.map((point) => {
    const radio = element("input", { type: "radio", name, value: String(point), "aria-label": `${scale.name}: ${point}`, onchange: () => chosen(point) });
    radio.checked = point === given;
    return element("label", {}, radio, element("span", {}, String(point)));
  });
  return element("fieldset", { class: "scale" }, legend, anchors, element("div", { class: "points", "data-points": String(scale.points) }, buttons));
}

// Seconds from "83.4", "1:23.4" or "1:23,4"; null for anything else.
export function secondsOf(text) {
  const found = /^(?:(\d{1,3}):)?(\d{1,5})(?:[.,](\d{1,3}))?$/.exec(text.trim());
  if (!found || (found[1] !== undefined && Number(found[2]) >= 60)) return null;
  return Number(found[1] ?? 0) * 60 + Number(`${found[2]}.${found[3] ?? 0}`);
}

export const secondsText = (seconds) => (seconds >= 60 ? `${Math.floor(seconds / 60)}:${(seconds % 60).toFixed(1).padStart(4, "0")}` : seconds.toFixed(1));

export function timeField(name, typed, given = null) {
  const id = `time-${groups += 1}`;
  const fault = element("p", { class: "fault" });
  const input = element("input", { type: "text", id, inputmode: "text", placeholder: "1:23.4", maxlength: "12", autocomplete: "off", value: given === null ? null : secondsText(given) });
  input.addEventListener("input", () => {
    const seconds = input.value.trim() === "" ? undefined : secondsOf(input.value);
    fault.textContent = seconds === null ? "minutes:seconds, as in 1:23.4, or seconds" : "";
    input.setAttribute("aria-invalid", seconds === null ? "true" : "false");
    typed(seconds);
  });
  return element("div", { class: "field" }, element("label", { for: id }, `${name} (time)`), input, fault);
}

// One of the codes, as large buttons.
export function codeChoice(question, codes, chosen, given = null) {
  const name = `choice-${groups += 1}`;
  return element("fieldset", { class: "code-choice" }, element("legend", {}, question), element("div", { class: "codes" }, codes.map((code) => {
    const radio = element("input", { type: "radio", name, value: code, "aria-label": `Code ${code}`, onchange: () => chosen(code) });
    radio.checked = code === given;
    return element("label", {}, radio, element("span", { class: "figures" }, code));
  })));
}

// All codes in order, the best first, by tapping them one after the other.
export function codeOrder(question, codes, ordered) {
  let order = [];
  const said = element("p", { class: "quiet", role: "status" });
  const buttons = codes.map((code) => element("button", { type: "button", class: "plain code-button figures", "aria-pressed": "false", onclick: () => {
    order = order.includes(code) ? order.filter((other) => other !== code) : [...order, code];
    refresh();
  } }, code));
  function refresh() {
    buttons.forEach((button, place) => {
      const rank = order.indexOf(codes[place]) + 1;
      button.setAttribute("aria-pressed", String(rank > 0));
      button.setAttribute("aria-label", rank ? `Code ${codes[place]}, place ${rank}` : `Code ${codes[place]}, no place yet`);
      button.replaceChildren(codes[place], element("span", { class: "rank" }, rank ? `${rank}.` : "–"));
    });
    said.textContent = order.length ? `Best first: ${order.join(", ")}` : "Tap the best first, then the next one.";
    ordered(order.length === codes.length ? order : null);
  }
  refresh();
  return element("fieldset", { class: "code-choice" }, element("legend", {}, question), element("div", { class: "codes" }, buttons), said);
}
