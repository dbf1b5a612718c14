/* The scale table that Python wrote, evaluated at a batch: the same arithmetic as bookgen/reckon, step for step.
   `page` is what bookgen/pages/following.py wrote; a line's `way` is the piece that holds its weight. */

const page = JSON.parse(document.getElementById("following").textContent, (_, value) =>
  typeof value !== "string" || value[0] !== "=" ? value : value[1] === "=" ? value.slice(1) : exactly(value.slice(1)));
const tables = new Map(page.tables), kind = at => ({...page.kinds[at], ...page.masses[page.kinds[at].of]});

const pieces = page.ways.map(([corners, flat]) => {
  const ends = corners.split(" ").map(exactly), found = [];
  for (let at = 0; at < flat.length; at += 3)
    found.push({from: ends[flat[at]], to: flat[at + 1] < 0 ? null : ends[flat[at + 1]], ...kind(flat[at + 2])});
  return found;
});
const holds = (piece, exact) => order(piece.from, exact) <= 0 && (!piece.to || order(exact, piece.to) <= 0);
const wayOf = (list, exact) => list.length === 1 || !exact ? list[0] : list.find(piece => holds(piece, exact));

const inPortions = (grams, {portion}) => portion ? most(ONE, whole(ceil(over(grams, portion))))[0] : 1n;

/* Beyond the accepted error; at it exactly a line is within: full portions may be, of which a little more is not. */
const isCoarse = ({row, way, grams, metered, portions}) => way.coarse && (row.strong || !grams || order(
  add(most(less(metered, grams), less(grams, metered)), times(way.step, whole(portions))),
  times(row.error || page.accepted, grams)) > 0);

const meter = (row, obtain) => {
  const grams = times(row.per, obtain), count = "drops" in row ? times(row.drops, obtain) : null;
  const way = wayOf(pieces[row.ways], "drops" in row ? count : grams), plan = page.plans[way.plan];
  const line = {row, way, plan, grams, metered: grams, step: way.step || null, portions: 1n, drops: null, off: null,
    ml: row.ml ? times(row.ml, obtain) : null, loss: row.loss ? times(row.loss, obtain) : null,
    why: row.why, spared: ZERO, spare: [ZERO, ZERO], coarse: way.coarse || false, beside: null};
  if (grams) {
    const taken = plan ? times(grams, plan.factor) : grams;
    line.metered = way.step && (plan || way.is === "weigh") ? halfUp(taken, way.step) : taken;
    if (way.is === "weigh") line.portions = inPortions(line.metered, way);
    if (way.is === "weigh" && way.step) line.coarse = isCoarse(line);
  }
  if (way.is === "drops" && (count || grams)) {
    const exact = count || over(grams, way.drop), drops = halfUp(exact, ONE);
    line.drops = Number(drops[0]);
    line.off = over(less(drops, exact), exact);
    if (!count) {
      const weighs = times(drops, way.drop);
      line.step = way.step ? dropStep(weighs, way.step) : null;
      line.metered = line.step ? halfUp(weighs, line.step) : weighs;
    }
  } else if (way.is === "none" && !count && grams && grams[0]) {
    line.metered = null;
    line.why = common.said["too-little"];
    line.unshown = true;
    line.coarse = !row.out;
  } else if (way.beside) line.beside = Number(halfUp(over(grams, way.drop), ONE)[0]);
  return line;
};

/* The diluent's line is weighed with so much less as an aliquot brings of it. */
const spare = (line, aliquot, plan) => {
  const brings = less(aliquot, over(aliquot, plan.factor));
  line.spare = [
    add(line.spare[0], less(brings, times(less(aliquot, plan.step), less(ONE, plan.high)))),
    add(line.spare[1], less(times(add(aliquot, plan.step), less(ONE, plan.low)), brings))];
  line.spared = add(line.spared, brings);
  if (line.grams && line.way.is === "weigh" && line.step) line.metered = halfUp(less(line.grams, line.spared), line.step);
};

const fill = (line, rest) => {
  if (!rest) return void (line.metered = null);
  const weight = most(rest, ZERO), metered = line.step ? halfUp(weight, line.step) : weight;
  line.metered = metered[0] || line.grams && !line.grams[0] ? metered : null;
  if (!line.metered) [line.why, line.unshown, line.coarse] = [common.said["too-small"], true, true];
  else {
    line.portions = inPortions(metered, line.way);
    if (line.step) line.coarse = isCoarse(line);
  }
};

const evaluate = (table, obtain) => {
  const lines = table.rows.map(row => meter(row, obtain)), counted = lines.filter(one => !one.row.out);
  const grams = times(table.grams, obtain);
  for (const one of lines)
    if (one.plan && "thins" in one.row && one.metered) spare(lines[one.row.thins], one.metered, one.plan);
  for (const one of lines)
    if (one.row.fill)
      fill(one, less(grams, sum(counted.filter(other => !other.row.fill).map(other => other.metered || other.grams))));
  for (const one of lines)
    if (one.row.strong && one.metered) {
      const strong = times(one.metered, one.row.strong);
      one.strong = one.step ? halfUp(strong, one.step) : strong;
      one.water = less(one.metered, one.strong);
    }
  const shown = counted.filter(one => !one.unshown), unknown = shown.find(one => !one.metered);
  const finest = some => some.map(one => one.step).filter(Boolean).reduce((a, b) => a ? least(a, b) : b, null);
  return {obtain, lines, grams, start: times(table.start, obtain), out: counted.filter(one => one.unshown),
    why: unknown ? unknown.why : common.said["nothing-shows"],
    total: unknown || counted.length && !shown.length ? null : sum(shown.map(one => one.metered)),
    step: finest(counted), read: finest(counted.filter(one => one.way.is !== "drops")) || finest(counted)};
};

/* What each line takes off the shelf: of one that is thinned the whole stock, and its diluent in addition. */
const taken = lines => {
  const found = lines.map(one =>
    one.plan && one.metered ? one.plan.stages[0][0]
      : one.off ? one.grams && most(times(one.grams, add(ONE, one.off)), one.metered)
        : one.way.is === "none" || !one.metered ? one.grams : one.metered);
  for (const one of lines)
    if (one.plan && "thins" in one.row && one.metered)
      found[one.row.thins] = add(found[one.row.thins], sum(one.plan.stages.map(stage => stage[1])));
  return found;
};

const inUnit = (table, grams, ml) => table.unit === "g"
  ? grams || times(ml, table.density) : ml || over(grams, table.density);
const balanceFor = grams => page.balances.find(([, holds]) => !holds || order(grams, holds) <= 0)
  || page.balances.reduce((a, b) => a && order(a[1], b[1]) >= 0 ? a : b, null);

/* Intermediates, users before used: to obtain is what the metered lines take, rounded up to the balance's step. */
const firsts = (evaluation, ready) => {
  const asked = new Map(), made = [];
  const ask = (table, exact, own, took) => table.rows.forEach((row, at) => {
    if (!row.made || ready.includes(row.takes)) return;
    const inner = tables.get(row.takes), need = asked.get(row.takes) || {needed: ZERO, grams: ZERO, own: ZERO};
    const ml = row.ml ? times(row.ml, exact) : null, its = own && own.lines[at].ml;
    asked.set(row.takes, {needed: add(need.needed, inUnit(inner, times(row.per, exact), ml)),
      grams: add(need.grams, took && took[at]), own: add(need.own, took && inUnit(inner, took[at], its))});
  });
  for (const [key, table] of tables) {
    if (key === page.own) ask(table, evaluation.obtain, evaluation, taken(evaluation.lines));
    const need = asked.get(key);
    if (!need) continue;
    const balance = need.grams && balanceFor(need.grams);
    const grams = balance ? times(whole(ceil(over(need.grams, balance[0]))), balance[0]) : need.grams;
    const batch = grams ? inUnit(table, grams, null) : need.own, inner = batch && evaluate(table, batch);
    const start = inner && inner.start, converted = table.unit === "g" ? over(start, table.density) : times(start, table.density);
    made.push({key, table, inner, grams, step: balance && balance[0],
      ml: table.unit === "g" ? over(batch, table.density) : batch,
      startG: table.unit === "g" ? start : converted, startMl: table.unit === "g" ? converted : start});
    ask(table, need.needed, inner, inner && taken(inner.lines));
  }
  return made;
};
