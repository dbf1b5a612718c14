/* How sure a batch is: which lines are not measured within their accepted error, and what a percentage may really be.
   The same arithmetic as bookgen/reckon/certainty.py. */

/* The least and the most that is really taken of a line, the exact weight between them; not known of what shows on no
   balance. */
const range = one => {
  if (one.unshown) return [null, null];
  const [low, high] = reallyTaken(one);
  return one.grams && low && high ? [least(low, one.grams), most(high, one.grams)] : [low, high];
};
const reallyTaken = one => {
  const {way, plan, metered, grams, step} = one;
  if (one.drops !== null) return way.low ? [times(whole(one.drops), way.low), times(whole(one.drops), way.high)] : [grams, grams];
  if (!metered || !step) return [grams, grams];
  if (plan) return [times(less(metered, step), plan.low), times(add(metered, step), plan.high)];
  if (way.is !== "weigh" && way.is !== "fill") return [grams, grams];
  const off = times(step, whole(one.portions)), all = add(metered, one.spared);
  return [most(less(all, add(off, one.spare[0])), ZERO), most(add(all, add(off, one.spare[1])), ZERO)];
};

/* What a line may be off at the worst, as a share of its exact weight; null where that is not known. */
const mayBeOff = one => {
  const {way, grams, step, row} = one;
  let exact = grams, [low, high] = grams ? range(one) : [null, null];
  if (!grams || grams[0] <= 0n || !low || !high) return null;
  if (row.strong && one.strong && step) {
    const off = times(step, whole(one.portions));
    [exact, low, high] = [times(grams, row.strong), most(less(one.strong, off), ZERO), add(one.strong, off)];
  } else if (!one.plan && way.is !== "drops" && (!step || way.is !== "weigh" && way.is !== "fill")) return null;
  return over(most(less(high, exact), less(exact, low)), exact);
};

const doubtful = lines => lines.filter(one => {
  const {way, grams, row} = one;
  if (row.about || row.out) return false;
  const judged = way.is !== "volume" && grams && grams[0] > 0n && (way.is === "drops" || way.is === "none" || one.step);
  if (!judged && !one.coarse) return false;
  const off = mayBeOff(one);
  return !off || order(off, row.error || page.accepted) > 0;
});

/* The smallest batch from the one asked on at which every line is within its accepted error; null where there is none. */
const covered = (low, high, count, each, error, exact) => {
  const start = [over(high, add(ONE, error)), times(less(count, HALF), each)].reduce(most, exact);
  return order(times(start, less(ONE, error)), low) <= 0 && order(start, times(add(count, HALF), each)) < 0 ? start : null;
};
const weighedWithin = ({step, portion}, error, exact) => {
  for (let reading = over(halfUp(exact, step), step);;) {
    const portions = portion ? most(ONE, whole(ceil(over(times(reading, step), portion)))) : ONE;
    const found = covered(times(less(reading, portions), step), times(add(reading, portions), step), reading, step, error, exact);
    if (found) return found;
    if (portion && order(times(reading, step), add(exact, add(portion, portion))) > 0) return null;
    reading = most(add(reading, ONE), whole(ceil(over(portions, error))));
  }
};
const withinFrom = (way, error, exact) => {
  if (way.is === "dilute" || way.is === "triturate") return exact;
  if (way.is === "weigh" && way.step) return weighedWithin(way, error, exact);
  if (way.is !== "drops" || !way.drop) return null;
  for (let count = halfUp(over(exact, way.drop), ONE); count[0] <= common.most.drops; count = add(count, ONE)) {
    const found = covered(times(count, way.low), times(count, way.high), count, way.drop, error, exact);
    if (found) return found;
  }
  return null;
};
const nextWithin = (row, batch, alone, weighed) => {
  const error = row.error || page.accepted, per = "drops" in row ? row.drops : row.per, exact = times(per, batch);
  if (row.fill || row.strong || !alone)
    return most(batch, over(over(over(page.balances[0][0], error), row.strong || ONE), per));
  for (const way of [...pieces[row.ways]].sort((a, b) => order(a.from, b.from))) {
    if (weighed && way.is !== "weigh") continue;
    let start = withinFrom(way, error, most(exact, way.from));
    if (start && wayOf(pieces[row.ways], start) !== way)
      start = times(ratio(floor(times(over(start, per), whole(100))) + 1n, 100n), per);
    if (start && (!way.to || order(start, way.to) <= 0)) return over(start, per);
  }
  return null;
};
/* A batch as a person would write it: three figures, and never less. */
const roundedUp = a => {
  const ten = whole(10);
  let place = ONE;
  while (order(a, times(place, whole(1000))) >= 0) place = times(place, ten);
  while (order(a, times(place, whole(100))) < 0) place = over(place, ten);
  return times(whole(ceil(over(a, place))), place);
};
/* For the lines of these numbers alone where there are any; weighed, where that is asked for. */
const smallest = (table, asked, only = null, weighed = false) => {
  const meant = at => !only || only.includes(at);
  const judged = table.rows.filter((row, at) => {
    const per = "drops" in row ? row.drops : row.per;
    return meant(at) && !row.about && !row.out && pieces[row.ways][0].is !== "volume" && per && per[0] > 0n;
  });
  if (!judged.length || !page.balances.length) return null;
  const thinners = table.rows.map(row => row.thins), last = times(asked, exactly(common.most.batches));
  for (let batch = asked; order(batch, last) <= 0;) {
    const starts = judged.map(row => nextWithin(row, batch, !thinners.includes(table.rows.indexOf(row)), weighed));
    if (starts.includes(null)) return null;
    const found = starts.reduce(most);
    if (order(found, batch)) {
      batch = roundedUp(found);
      continue;
    }
    const {lines} = evaluate(table, batch), doubts = doubtful(lines);
    const served = !weighed || lines.every(one => !judged.includes(one.row) || one.way.is === "weigh");
    if (served && !doubts.some(one => meant(lines.indexOf(one)))) return batch;
    batch = roundedUp(times(batch, [101n, 100n]));
  }
  return null;
};

/* The batch that serves every line in doubt, else as many as a batch serves. */
const enoughFor = (table, {obtain, lines, doubts}) => {
  const all = doubts.length ? smallest(table, obtain) : null;
  if (all) return {batch: all, served: doubts};
  const served = doubts.filter(one => smallest(table, obtain, [lines.indexOf(one)]));
  const batch = served.length ? smallest(table, obtain, served.map(one => lines.indexOf(one))) : null;
  return {batch, served: batch ? served : []};
};

/* The next larger batch at which a line that is measured coarsely is not, and how it is measured there. */
const wholeCount = ({row, way, grams}, obtain) => {
  if (!way.drop) return null;
  const exact = over(grams, way.drop), count = most(ONE, whole(ceil(exact)));
  const batch = roundedUp(times(over(obtain, exact), count));
  if (order(batch, times(obtain, exactly(common.most.batches))) > 0 || count[0] > common.most.drops) return null;
  const then = wayOf(pieces[row.ways], times(row.per, batch));
  return then.is === "drops" && !then.coarse ? batch : null;
};
const wayOut = (table, {obtain, lines}, at) => {
  const one = lines[at];
  if (!one.coarse || !one.grams || one.row.about) return null;
  const found = [wholeCount(one, obtain), smallest(table, obtain, [at])].filter(Boolean);
  if (!found.length) return null;
  const batch = found.reduce(least), there = evaluate(table, batch).lines, {drops, way} = there[at];
  const says = drops !== null ? `${drops} ${drops === 1 ? word("drop") : word("drops")}`
    : {dilute: word("diluted"), triturate: word("triturated")}[way.is] || word("weighed");
  return {batch, drops, says, unsure: doubtful(there).includes(there[at])};
};

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
