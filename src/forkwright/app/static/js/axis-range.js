// The range of an axis: it stays while the curves fit it, so that a moving curve is seen to move and the axis
// does not jump under it.
const PADDING = 0.06;
const LEAST_USED = 0.55;

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
  if (kept && low >= kept[0] && high <= kept[1] && high - low >= LEAST_USED * (kept[1] - kept[0])) return kept;
  const room = tight ? 0 : PADDING * (high - low || Math.abs(high) || 1);
  return [low - (tight ? 0 : room), high + (tight && high > low ? 0 : room || 1)];
}
