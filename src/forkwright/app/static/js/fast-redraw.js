// Moving curves without asking the plotting library to work out the whole chart again: while axes, names and
// point counts stay, only the drawn paths change. Whoever calls this has the library redraw once things rest, so
// that its own read-out is right too.

// From a value to a place on the screen; a vertical axis runs upwards.
function mapping(axis, upwards) {
  const [from, to] = axis.range;
  const scale = axis._length / (to - from);
  return upwards ? (value) => axis._length - (value - from) * scale : (value) => (value - from) * scale;
}

function path(xs, ys, toX, toY, closed) {
  let d = "";
  for (let index = 0; index < xs.length; index += 1) {
    if (xs[index] === null || ys[index] === null) return null;
    d += `${index === 0 ? "M" : "L"}${toX(xs[index]).toFixed(2)},${toY(ys[index]).toFixed(2)}`;
  }
  return closed ? `${d}Z` : d;
}

// Move the curves of `plot` to `traces`; true when every one of them was found and moved.
export function moveCurves(plot, traces) {
  const { xaxis, yaxis } = plot._fullLayout ?? {};
  const groups = [...plot.querySelectorAll(".cartesianlayer .scatterlayer > .trace")];
  if (!xaxis || !yaxis || groups.length !== traces.length) return false;
  const toX = mapping(xaxis, false);
  const toY = mapping(yaxis, true);
  const moves = [];
  for (const [index, trace] of traces.entries()) {
    const group = groups[index];
    if (trace.mode === "markers") {
      const points = [...group.querySelectorAll(".point")];
      if (points.length !== trace.x.length) return false;
      points.forEach((point, at) => moves.push([point, "transform",
        `translate(${toX(trace.x[at])},${toY(trace.y[at])})`]));
      continue;
    }
    const node = trace.fill ? group.querySelector("path.js-fill") : group.querySelector("path.js-line");
    const d = path(trace.x, trace.y, toX, toY, Boolean(trace.fill));
    if (!node || d === null) return false;
    moves.push([node, "d", d]);
  }
  for (const [node, name, value] of moves) node.setAttribute(name, value);
  return true;
}
