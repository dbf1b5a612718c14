/* How sure a batch is: which lines are not measured within their accepted error, and what a percentage may really be.
   The same arithmetic as bookgen/reckon/certainty.py. */

/* The least and the most that is really taken of a line. */
const range = one => {
  const {way, plan, metered, grams, step} = one;
  if (one.drops !== null) return way.low ? [times(whole(one.drops), way.low), times(whole(one.drops), way.high)] : [grams, grams];
  if (!metered || !step) return [grams, grams];
  if (plan) return [times(less(metered, step), plan.low), times(add(metered, step), plan.high)];
  if (way.is !== "weigh" && way.is !== "fill") return [grams, grams];
  const off = times(step, whole(one.portions)), all = add(metered, one.spared);
  return [most(less(all, add(off, one.spare[0])), ZERO), most(add(all, add(off, one.spare[1])), ZERO)];
};

/* What measuring may be off at the worst, as a share; null where that is not known. */
const mayBeOff = one => {
  const {way, grams, step, row} = one;
  if (!grams || grams[0] <= 0n) return null;
  if (way.is === "drops") return way.drop ? over(most(less(way.high, way.drop), less(way.drop, way.low)), way.drop) : null;
  if (one.plan) {
    const [low, high] = range(one);
    return over(most(less(high, grams), less(grams, low)), grams);
  }
  if (!step || way.is !== "weigh" && way.is !== "fill") return null;
  return over(times(step, whole(one.portions)), times(grams, row.strong || ONE));
};

const doubtful = lines => lines.filter(one => {
  const {way, grams, row} = one;
  if (row.about || way.is === "weigh" && one.portions === 1n && !row.strong) return false;
  if (way.is === "volume" || !grams || grams[0] <= 0n) return false;
  if (way.is !== "drops" && way.is !== "none" && !one.step) return false;
  const off = mayBeOff(one);
  return !off || order(off, row.error || page.accepted) > 0;
});

/* Least and most of every percentage, by line: its least weight beside the most of all others, and the reverse. */
const intervals = (table, lines) => {
  const found = new Map();
  if (table.mixed) return found;
  const ranges = lines.filter(one => !one.row.out).map(one => {
    const [low, high] = range(one), kept = one.row.kept || ONE;
    return [one, times(low, kept), times(high, kept)];
  });
  if (ranges.some(([, low, high]) => !low || !high)) return found;
  const lowest = sum(ranges.map(one => one[1])), highest = sum(ranges.map(one => one[2]));
  for (const [one, low, high] of ranges)
    found.set(one, [low[0] ? over(low, less(add(low, highest), high)) : ZERO, high[0] ? over(high, less(add(high, lowest), low)) : ZERO]);
  return found;
};
