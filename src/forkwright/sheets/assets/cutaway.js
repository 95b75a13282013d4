// Moves a cut-away drawing to another travel. The drawing was written elsewhere; here edges are only shifted.
// Works as a plain script (the offline report) and, through the global it sets, from a module.
(function (root) {
  "use strict";

  const between = (list, place) => {
    const low = Math.min(Math.floor(place), list.length - 1);
    const high = Math.min(low + 1, list.length - 1);
    return list[low] + (place - low) * (list[high] - list[low]);
  };

  // Place on the travel samples, as a fractional index.
  const placeOf = (travels, travel) => {
    let high = travels.findIndex((value) => value >= travel);
    if (high < 0) return travels.length - 1;
    if (high === 0) return 0;
    const step = travels[high] - travels[high - 1];
    return high - 1 + (step > 0 ? (travel - travels[high - 1]) / step : 0);
  };

  const tint = (gauge, data) => {
    if (gauge < 0) return "#ffffff";
    const share = Math.min(gauge / data.full_scale, 1);
    for (let i = 1; i < data.ramp.length; i += 1) {
      const [low, from] = data.ramp[i - 1];
      const [high, to] = data.ramp[i];
      if (share <= high) {
        const part = (share - low) / (high - low);
        return `rgb(${from.map((v, k) => Math.round(v + part * (to[k] - v))).join(",")})`;
      }
    }
    return `rgb(${data.ramp[data.ramp.length - 1][1].join(",")})`;
  };

  const readout = (gauge, unit) => {
    const text = (gauge / unit.pascal).toFixed(unit.digits);
    return `${Number(text) === 0 ? text.replace("-", "") : text} ${unit.symbol}`;
  };

  // Setting what is set already would make the browser paint the drawing anew.
  const set = (node, name, value) => {
    const text = String(value);
    if (node.getAttribute(name) !== text) node.setAttribute(name, text);
  };

  const edges = (node, shift) => {
    const top = Number(node.dataset.y) + shift[node.dataset.top];
    const bottom = Number(node.dataset.b) + shift[node.dataset.bottom];
    return [top, bottom];
  };

  const coil = (node, top, bottom) => {
    const turns = 2 * Number(node.dataset.coil);
    const points = [];
    for (let i = 0; i <= turns; i += 1) {
      points.push(`${i % 2 ? node.dataset.right : node.dataset.left},${top + (i * (bottom - top)) / turns}`);
    }
    set(node, "points", points.join(" "));
  };

  // Show `svg` at `travel` (mm), from the positions and pressures in `data`.
  const show = (svg, data, travel) => {
    const place = placeOf(data.travel_mm, travel);
    const shift = {
      still: 0,
      lowers: -between(data.lowers, place),
      floating: -between(data.floating, place),
      reservoir: -between(data.reservoir, place),
    };
    svg.querySelectorAll("rect[data-top]").forEach((node) => {
      const [top, bottom] = edges(node, shift);
      set(node, "y", top);
      set(node, "height", Math.max(bottom - top, 0));
    });
    svg.querySelectorAll("[data-coil]").forEach((node) => coil(node, ...edges(node, shift)));
    svg.querySelectorAll("[data-shift]").forEach((node) => {
      set(node, "transform", `translate(0 ${shift[node.dataset.shift]})`);
    });
    svg.querySelectorAll("[data-leader][data-top]").forEach((node) => {
      const [start, level, knee, target] = node.dataset.leader.split(" ");
      const [top, bottom] = edges(node, shift);
      const middle = (top + bottom) / 2;
      set(node, "points", `${start},${level} ${knee},${middle} ${target},${middle}`);
    });
    Object.entries(data.pressures).forEach(([chamber, values]) => {
      const gauge = between(values, place);
      svg.querySelectorAll(`[data-chamber="${chamber}"]`).forEach((node) => {
        set(node, "fill", tint(gauge, data));
      });
      svg.querySelectorAll(`[data-reads="${chamber}"]`).forEach((node) => {
        const text = readout(gauge, data.unit);
        if (node.textContent !== text) node.textContent = text;
      });
    });
  };

  root.forkwrightCutaway = { show };
})(typeof globalThis === "undefined" ? window : globalThis);
