// Oil on its way through the valves, laid over a drawn damper leg: one arrow per port, as wide as the flow is large,
// its dashes running as fast. Where the ports are is read off the drawing itself.
import { shape } from "./dom.js";

const PORTS = { base: "base-valve-port", piston: "damper-piston-port" };
const REACH = 16; // mm beyond the port on either side
const WIDEST = 5; // mm
const LARGEST = 6e-4; // m3/s drawn with the widest arrow

const ports = (svg, valve) => [...svg.querySelectorAll(`[data-part^="${PORTS[valve]}"]`)];

export class FlowArrows {
  #run = 0;

  constructor(svg) {
    this.svg = svg;
    this.layer = shape("g", { class: "flows", "aria-hidden": "true" });
    this.arrows = Object.keys(PORTS).flatMap((valve) => ports(svg, valve).map((port) => {
      const line = shape("path", { class: "flow-line", fill: "none" });
      const head = shape("path", { class: "flow-head" });
      this.layer.append(line, head);
      return { valve, port, line, head };
    }));
    svg.append(this.layer);
  }

  // `flows` in m3/s by valve; `inwards` tells the way. Oil leaves upwards through the base valve on the way in,
  // and passes the piston the other way; on the way back both turn round.
  show(flows, inwards, seconds) {
    this.layer.style.display = flows.base > 0 || flows.piston > 0 ? "" : "none";
    for (const { valve, port, line, head } of this.arrows) {
      const upwards = (valve === "base") === inwards;
      const flow = flows[valve];
      const box = ["x", "y", "width", "height"].map((name) => Number(port.getAttribute(name)));
      const x = box[0] + box[2] / 2;
      const [from, to] = upwards ? [box[1] + box[3] + REACH, box[1] - REACH] : [box[1] - REACH, box[1] + box[3] + REACH];
      const width = Math.max(1, WIDEST * Math.sqrt(Math.min(flow / LARGEST, 1)));
      const tip = upwards ? -1 : 1;
      line.setAttribute("d", `M${x} ${from}V${to}`);
      line.setAttribute("stroke-width", width);
      head.setAttribute("d", `M${x - width - 2} ${to}L${x} ${to + tip * (width + 5)}L${x + width + 2} ${to}Z`);
      line.setAttribute("stroke-dasharray", "7 4");
      line.setAttribute("stroke-dashoffset", -(this.#run % 11));
    }
    this.#run += seconds * 40;
  }
}
