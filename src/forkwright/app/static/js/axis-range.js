// The range of an axis: it stays while the curves fit it, so that a moving curve is seen to move and the axis
// does not jump under it. Where a curve grows out of it, it gets room to grow on.
const PADDING = 0.06;
const ROOM_TO_GROW = 0.3;
const LEAST_USED = 0.5;

function extent(lists) {
  let low = Infinity;
  let high = -Infinity;
  for (const list of lists) {
    for (const value of list) {
      if (value === null) continue;
      if (value < low) low = value;
      if (value > high) high = value;
    }
  }
  return low <= high ? [low, high] : [0, 1];
}

// The kept range where it still serves, a new one otherwise. `tight` axes end where the data end.
export function rangeFor(lists, kept, tight = false) {
  const [low, high] = extent(lists);
  const span = high - low || Math.abs(high) || 1;
  if (kept && low >= kept[0] && high <= kept[1] && span >= LEAST_USED * (kept[1] - kept[0])) return kept;
  if (tight) return [low, high > low ? high : low + 1];
  const grown = (end, past) => (kept && past ? ROOM_TO_GROW : PADDING) * span * end;
  return [low + grown(-1, kept && low < kept[0]), high + grown(1, kept && high > kept[1])];
}
