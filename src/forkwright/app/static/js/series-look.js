// How a series looks, everywhere alike: its colour and line style by its place, and samples of them for legends.
import { element, shape } from "./dom.js";
import { benchData } from "./page-data.js";

const { palette } = benchData;
const DASHES = { solid: "", dash: "9 5", dot: "2 4", dashdot: "9 4 2 4", longdash: "15 5", longdashdot: "15 4 2 4" };
const PATTERNS = ["", "/", "x", "."];

export const shade = () => (document.documentElement.dataset.shade === "dark" ? "dark" : "light");
export const colour = (place) => palette[shade()][place % palette[shade()].length];
export const lineStyle = (place) => palette.styles[place % palette.styles.length];
export const pattern = (place) => PATTERNS[place % PATTERNS.length];
export const washed = (hex, share) => `rgba(${[1, 3, 5].map((at) => parseInt(hex.slice(at, at + 2), 16)).join(",")},${share})`;

export const lineSample = (place, { dash = lineStyle(place), faint = false } = {}) => shape("svg", { viewBox: "0 0 40 10", "aria-hidden": "true" },
  shape("path", { d: "M0 5H40", stroke: colour(place), "stroke-width": faint ? 2 : 3.5, "stroke-dasharray": DASHES[dash] }));
const signSample = (place, sign) => element("span", { style: { color: colour(place) }, "aria-hidden": "true" }, `${sign} `);
export const barSample = (place) => signSample(place, place ? "▨" : "■");
export const dotSample = (place, sign = "●") => signSample(place, sign);
