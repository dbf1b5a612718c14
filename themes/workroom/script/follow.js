/* The page follows the batch: every figure that depends on it is printed anew, with the sentences that Python uses, into
   the holes that the templates left and the fragments that they made. */

const escaped = text => text.replace(/[&<>"']/g, sign => `&#${sign.charCodeAt()};`);
const breakable = text => text.length > common.most.letters
  ? text.split(" ").map(word => (word.match(new RegExp(`.{1,${common.most.letters}}`, "g")) || []).map(escaped).join("<wbr>")).join(" ")
  : escaped(text);
const coded = text => escaped(text).replace(/`([^`]+)`/g, "<code>$1</code>");
const say = (name, parts) => common.said[name].replace(/\{(\w+)\}/g, (_, part) => parts[part]);

const ABOUT = '<span class="about">≈\u00a0</span>';
const figure = (name, text, value, unit = "", about = false) =>
  (about ? ABOUT : "")
  + `<data data-figure="${name}" value="${value}">${text}</data>`
  + (unit && (unit.startsWith(word("drop")) ? "\u00a0" : "\u202f") + `<span class="unit">${unit}</span>`);
const weight = (name, grams, step, unit = "g", about = false) => figure(name, onStep(grams, step), machine(grams), unit, about);
const unshown = (name, grams, about) => `${about ? ABOUT : ""}(${weight(name, grams, null, "")})`;
const volume = (name, ml, unit = "mL", about = false) => figure(name, millilitres(ml), machine(ml), unit, about);
const drops = (name, count, about) => figure(name, count, count, count === 1 ? word("drop") : word("drops"), about);
const enough = (name, batch, unit) => figure(name, plain(batch), machine(batch), unit);
const percent = (name, share, digits, side, unit = "%") => {
  const hundredfold = times(share, whole(100));
  return figure(name, side && !share[0] ? "0" : significant(hundredfold, digits, side), machine(hundredfold), unit);
};

/* A sentence leads to how its first figure is found. */
const to = (html, goal) => goal ? `<a href="${goal}">${html}</a>` : html;
const lead = html => {
  const name = html.match(/data-figure="([^"]+)"/), goal = name && common.found[name[1].replace(/\d+/, "#")];
  return to(html, goal);
};

const own = tables.get(page.own);
const thinness = factor => say("ratio", {factor});

/* ── One line ── */

const coarsely = (name, one) => say("coarse", {within: percent(name + ".within", mayBeOff(one), 2, UP)});

const measured = (one, at, evaluation) => {
  const {way, row} = one, name = `line-${at}`, parts = [];
  const count = one.drops === null ? one.beside : one.drops;
  if (count !== null) parts.push(filled("much", {words: drops(name + ".drops", count, row.about)}));
  if (one.strong && one.water[0]) parts.push(filled("much", {words: lead(say("blend", {
    strong: weight(name + ".blend.strong", one.strong, one.step),
    water: weight(name + ".blend.water", one.water, one.step)}))}));
  let words = "no-balance";
  if (way.is === "none" || way.is === "volume") words = way.is;
  else if (way.is === "fill" && (one.ml || !one.grams)) words = "up-to";
  let text = one.unshown ? say("unshown") : one.plan ? `${say(way.is)} ${thinness(one.plan.factor[0])}, ${way.says}` : way.says || (way.is === "drops" ? "" : say(words));
  text = breakable(text);
  if (one.plan) text = to(text, common.found["line-#.plan.aliquot"]);
  if (way.is === "fill" && !one.metered && !one.unshown && own.unit === "mL" && evaluation.start)
    text += " " + volume(name + ".to", evaluation.start);
  if (one.portions > 1) text += " in " + figure(name + ".portions", one.portions, one.portions, word("portions"));
  const how = [text];
  const beyond = evaluation.doubts.includes(one) && mayBeOff(one);
  if (one.off && (one.off[0] || !beyond)) {
    const side = one.off[0] > 0n ? "over" : one.off[0] ? "under" : "exact", hundredfold = times(one.off, whole(100));
    const error = figure(name + ".error", significant([size(hundredfold[0]), hundredfold[1]], 2), machine(hundredfold), "%");
    how.push(one.off[0] ? `${error} ${say(side)}` : say(side));
  }
  if (beyond) how.push(coarsely(name, one));
  return [...parts, ...how.filter(Boolean).map(words => filled("how", {words}))].join(", ");
};

const doubled = (weigh, diluent) => {
  const steps = [];
  for (let there = weigh, left = diluent; left[0] > 0n;) {
    const more = least(there, left);
    steps.push(more);
    there = add(there, more);
    left = less(left, more);
  }
  return steps;
};

const planned = (one, at, {lines, obtain}) => {
  const {plan, row, metered} = one, is = one.way.is, name = `line-${at}.plan.`;
  const put = (what, grams, step = plan.step) => weight(name + what, grams, step);
  const stock = say(is), words = {stock, name: escaped(row.name), diluent: escaped(lines[row.thins].row.name)};
  let what = words.name, factor = 1;
  const steps = plan.stages.map(([weigh, diluent, times], stage) => {
    factor *= times;
    const number = stage + 1, its = {...words, what, weigh: put(`weigh-${number}`, weigh),
      more: put(`diluent-${number}`, diluent), makes: put(`stock-${number}`, add(weigh, diluent)), thin: thinness(factor),
      listed: doubled(weigh, diluent).map((one, step) => put(`portion-${number}-${step + 1}`, one)).join(", ")};
    what = say("that", words);
    return say("stage-" + is, its);
  });
  const brings = over(metered, plan.factor), [weigh, diluent] = plan.stages[plan.stages.length - 1];
  steps.push(say("taking", {...words, aliquot: put("taken", metered), brings: put("brings", brings, null),
    comes: put("spared", less(metered, brings), null)}));
  const batch = smallest(own, obtain, [at], true);
  const summary = say("plan", {...words, ratio: thinness(plan.factor[0]), aliquot: put("aliquot", metered)});
  const error = lead(say("off-" + is, {figure: percent(name + "error", mayBeOff(one), 2, UP)}));
  const left = say("left", {rest: put("left", less(add(weigh, diluent), metered))});
  const direct = batch ? say("direct", {figure: enough(name + "direct", batch, own.unit)}) : "";
  return {summary, steps, error, left, direct};
};

const between = (name, interval) => {
  const text = digits => interval.map(end => significant(times(end, whole(100)), digits));
  let digits = 2;
  while (digits < common.most.digits && new Set(text(digits)).size < 2) digits++;
  return say("between", {low: percent(name + "-low", interval[0], digits, DOWN, ""), high: percent(name + "-high", interval[1], digits, UP)});
};

const waysOut = ({grams, row}, name, next) => {
  const found = [], [light, heavy] = common.most.drip.map(exactly);
  const [few, many] = row.drips && grams ? [heavy, light].map(each => halfUp(over(grams, each), ONE)[0]) : [0n, 0n];
  if (few >= 1n && few <= common.most.drops) {
    const all = drops(name + "many", Number(many));
    found.push(say("drips", {weigh: page.drips, light: plain(light), heavy: plain(heavy),
      many: few === many ? all : say("some", {few: figure(name + "few", few, few), many: all})}));
  }
  if (next) {
    const how = next.says.replace(" ", "\u00a0");
    found.push(say("way-out", {batch: enough(name + "next", next.batch, own.unit),
      way: say(next.drops === null ? "way-else" : next.unsure ? "way-unsure" : "way-drops", {way: how})}));
  }
  return found;
};

const notes = (one, at, doubt, next) => {
  const {way, row} = one, name = `line-${at}.`, found = [];
  if (doubt) found.push(between(name + "percent", doubt));
  if (one.coarse && !row.out && !row.about) found.push(...waysOut(one, name, next));
  if (!one.metered && !one.unshown && !one.ml && (way.is !== "fill" || own.unit === "g"))
    found.push(say("weight-unknown", {reason: coded(one.why)}));
  if (row.blend) {
    const shrinks = one.strong && row.shrinks ? times(row.shrinks, add(one.strong, one.water)) : ZERO;
    const much = figure(name + "blend.shrinks", significant(shrinks, 2), machine(shrinks), "mL");
    const more = order(shrinks, exactly(common.most.unsaid)) < 0 ? "" : say("shrinks", {shrinks: much});
    found.push(one.strong ? row.blend[0] + more + "." : row.blend[1]);
  }
  if (one.spared[0]) found.push(say("spared", {spared: weight(name + "spared", one.spared, null)}));
  if (row.oneMl && way.is === "weigh") found.push(row.oneMl);
  return found.map(lead);
};

/* ── The batch as a whole ── */

const listed = names => {
  const told = [...names], mark = names.some(one => one.includes(", ")) ? ";" : ",", beyond = names.length - common.most.names;
  if (beyond > 1) told.splice(common.most.names, beyond, spoken`${beyond} others`);
  const last = told.pop();
  return told.length ? `${told.join(mark + " ")}${mark === ";" ? ";" : ""} ${word("and")} ${last}` : last;
};
const leftOut = out => say("left-out", {left: weight("left-out", sum(out.map(one => one.grams)), null),
  names: listed(out.map(one => escaped(one.row.name)))});

const verdict = (evaluation, {batch, served}, made) => {
  const hundredfold = times(page.accepted, whole(100));
  const accepted = figure("accepted-error", hundredfold[1] === 1n ? plain(hundredfold) : significant(hundredfold, 3), machine(hundredfold), "%");
  const {doubts} = evaluation, nameOf = one => escaped(one.row.name);
  const words = say("within", {accepted}) + (own.errors ? say("own-error") : "");
  const inner = made.map(one => ({...one, doubts: one.inner ? doubtful(one.inner.lines) : []})).filter(one => one.doubts.length);
  const inside = inner.flatMap(({table, doubts: its}) =>
    its.map(one => escaped(say("inside", {name: one.row.name, title: table.title}))));
  const names = [...doubts.map(nameOf), ...inside];
  if (!names.length) return say("sure", {words});
  let text = say("doubtful", {words, names: listed(names)});
  if (doubts.length === own.rows.filter(row => !row.out).length)
    text = say("none-sure", {words}) + (inside.length ? say("likewise", {names: listed(inside)}) : "");
  if (batch && served.length === doubts.length) text += say("smallest", {smallest: enough("smallest-batch", batch, own.unit)});
  else if (batch) text += say("partly", {smallest: enough("enough-batch", batch, own.unit), names: listed(served.map(nameOf))});
  for (const {key, table, inner: its} of inner) {
    const batch = smallest(table, its.obtain);
    if (batch) text += say("enough", {first: enough(`first-${key}.enough`, batch, table.unit), title: escaped(table.title)});
  }
  if (doubts.some(one => one.coarse && one.drops === null && !served.includes(one))) text += say("finer");
  if (evaluation.out.length) text += say("open", {names: listed(evaluation.out.map(nameOf))});
  return text;
};

const first = one => {
  const name = `first-${one.key}.`, bold = html => `<b>${html}</b>`, facts = [];
  const obtain = one.grams ? weight(name + "obtain", one.grams, one.step) : volume(name + "obtain_ml", one.ml);
  facts.push(`${say("obtain")} ${bold(obtain)}`);
  const balance = one.startG && balanceFor(one.startG);
  if (one.startG) facts.push(`${say("weigh-in")} ${bold(weight(name + "start", one.startG, balance && balance[0]))}`);
  else if (one.startMl) facts.push(`${say("up-to")} ${bold(volume(name + "start_ml", one.startMl))}`);
  return facts.map(fact => ", " + fact).join("");
};

const inText = (amount, number, evaluation) => {
  const {only, grams, ml} = amount, name = `link-${number}.`, about = amount.link.rows.some(at => own.rows[at].about);
  let inner = grams ? weight(name + "metered", grams, amount.step, "g", about) : "";
  if (only && only.plan) inner += say("of-stock", {stock: say(only.way.is), ratio: thinness(only.plan.factor[0])});
  if (only && only.strong && only.water[0] && !("last" in amount.link)) inner += say("both",
    {strong: weight(name + "strong", only.strong, only.step), water: weight(name + "water", only.water, only.step)});
  const told = amount.drops === null && only && !("last" in amount.link) ? only.beside : amount.drops;
  if (told !== null) {
    const counted = drops(name + "drops", told, about);
    inner = !inner ? counted : amount.drops === null ? `${inner} (${counted})` : `${counted} (${inner})`;
  } else if (ml) {
    const much = volume(name + "ml", ml, "mL", about);
    inner = inner ? `${inner} (${much})` : much;
  } else if (!inner && only && !("last" in amount.link) && only.way.is === "fill" && !only.metered && own.unit === "mL" && evaluation.start)
    inner = say("fill-to", {volume: volume(name + "to", evaluation.start)});
  const beyond = only && (only.coarse || only.drops === null && evaluation.doubts.includes(only));
  if (inner && beyond && !about && !("last" in amount.link)) {
    if (only.unshown) inner += ", " + say("unshown");
    else if (mayBeOff(only) && !only.strong) inner += ", " + coarsely(`link-${number}`, only);
  }
  return inner ? `<b class="amount" data-link="${number}">${inner}</b>`
    : `<span class="amount unknown" data-link="${number}">${say("no-amount", {reason: escaped(amount.why)})}</span>`;
};

/* ── The page ── */

/* What stands behind the page in a file that is handed on is not of this batch. */
const sheet = self.sheet || document;
const all = (where, root = sheet) => [...root.querySelectorAll(where)];
const hole = (name, root = sheet) => root.querySelector(`[data-hole="${name}"]`);
const rows = own.rows.map((_, at) => document.getElementById(`line-${at}`));
const byVolume = rows[0] && hole("ml", rows[0]);
const heads = firsts(evaluate(own, page.written), []).reverse().map(({key}, at) => ({key, hole: all('[data-hole="first"]')[at]}));
/* Without its holes a page of a book's own cannot be printed anew: it stays as it is written. */
const followed = rows.every(row => row && hole("grams", row) && hole("measured", row) && !byVolume === !hole("ml", row))
  && heads.every(one => one.hole);

/* Returns what a template made, with its holes filled.  Of a list it made two: as much as is not around both is repeated. */
const SLOT = /<slot name="(\w+)">[^>]*>/g;
const repeated = (html, name, count) => {
  const made = document.createElement("template"), {content} = made;
  made.innerHTML = html;
  const two = all(`slot[name="${name}"]`, content);
  let around = two[0].parentNode;
  while (!around.contains(two[1])) around = around.parentNode;
  const [each, other] = two.map(one => [...around.childNodes].find(node => node.contains(one)));
  each.after(...Array.from({length: count - 1}, () => each.cloneNode(true)));
  other.remove();
  return made.innerHTML;
};
const filled = (name, parts) => {
  let html = common.fragments[name][byVolume ? 1 : 0];
  const given = {...parts}, list = Object.keys(parts).find(part => Array.isArray(parts[part]));
  if (list) html = repeated(html, list, parts[list].length), given[list] = [...parts[list]];
  return html.replace(SLOT, (_, part) => list === part ? given[part].shift() : given[part]);
};
/* What is said below a row stands right after it, or after what the template has for it. */
const place = at => document.querySelector(`[data-notes="${at}"]`) || rows[at];
const after = at => {
  const found = [];
  for (let next = place(at).nextElementSibling; next && next.matches(".follows"); next = next.nextElementSibling) found.push(next);
  return found;
};
/* What is made first keeps its words; one of which nothing is known keeps all. */
if (followed) for (const one of heads) one.words = one.hole.innerHTML;
const asWritten = followed && rows.map((_, at) => after(at).map(one => one.outerHTML).join(""));

const put = (name, text, value = text) => all(`[data-figure="${name}"]`).forEach(one => {
  one.textContent = text;
  one.value = value;
});

const column = cells => {
  const most = Math.max(0, ...cells.map(([, text]) => text ? decimals(text) : 0));
  for (const [cell, text, figure, word] of cells) {
    const lacks = text ? most - decimals(text) : 0, pad = "\u2007".repeat(lacks) + (lacks && lacks === most ? "\u2008" : "");
    cell.innerHTML = text ? filled(pad ? "padded" : "number", {figure, pad}) : word && filled("word", {word});
  }
};

/* A phone says once on which balance most lines are weighed, and at a line only where it is another. */
const onOne = () => {
  const cells = rows.map(row => hole("measured", row)), names = page.balances.map(([, , words]) => words), counts = new Map();
  const ways = cells.map(({textContent}) => names.includes(textContent) ? textContent : "");
  for (const way of ways) if (way) counts.set(way, (counts.get(way) || 0) + 1);
  const [most, count] = [...counts].reduce((first, next) => next[1] > first[1] ? next : first, ["", 1]), spot = hole("on");
  cells.forEach((cell, at) => cell.matches(".measured") && cell.classList.toggle("common", count > 1 && ways[at] === most));
  if (spot) spot.innerHTML = count > 1 ? say(count === rows.length ? "all-on" : "most-on", {balance: escaped(most)}) : "";
};

const print = (evaluation, ready, written) => {
  const {lines} = evaluation, doubts = evaluation.doubts = doubtful(lines);
  const sure = doubts.length ? intervals(own, lines) : new Map(), serves = enoughFor(own, evaluation);
  const made = firsts(evaluation, ready), unit = own.unit;
  const other = unit === "g" ? over(evaluation.obtain, own.density) : times(evaluation.obtain, own.density);
  for (const [name, amount] of [["g", unit === "g" ? evaluation.obtain : other], ["mL", unit === "g" ? other : evaluation.obtain]])
    if (amount) put("obtain." + name.toLowerCase(), ofBatch(amount, name, evaluation.read), machine(amount));
  if (page.pieces) put("pieces", floor(over(evaluation.obtain, page.pieces.each)));
  if (evaluation.grams) put("start.g", onStep(evaluation.grams, evaluation.read), machine(evaluation.grams));
  if (evaluation.start) put("start", ofBatch(evaluation.start, unit, evaluation.read), machine(evaluation.start));
  const cells = lines.map((one, at) => {
    const word = one.ml || one.way.is === "fill" ? "–" : say("unknown"), cell = hole("grams", rows[at]);
    if (one.unshown) return [cell, plain(one.grams), unshown(`line-${at}.grams`, one.grams, one.row.about), ""];
    return [cell, one.metered && onStep(one.metered, one.step),
      one.metered && weight(`line-${at}.metered`, one.metered, one.step, "", one.row.about), word];
  });
  const total = hole("total"), why = hole("why");
  if (total) cells.push([total, evaluation.total && onStep(evaluation.total, evaluation.step),
    evaluation.total && weight("printed-total", evaluation.total, evaluation.step, ""), ""]);
  if (why) why.innerHTML = !evaluation.total ? escaped(say("total", {reason: evaluation.why}))
    : evaluation.out.length ? leftOut(evaluation.out) : "";
  column(cells);
  if (byVolume) column(lines.map((one, at) => [hole("ml", rows[at]),
    one.ml && millilitres(one.ml), one.ml && volume(`line-${at}.ml`, one.ml, "", one.row.about), ""]));
  lines.forEach((one, at) => {
    hole("measured", rows[at]).innerHTML = measured(one, at, evaluation);
    if (one.loss) put(`line-${at}.loss`, plain(one.loss), machine(one.loss));
    after(at).forEach(old => old.remove());
    const strength = one.row.shrinks && one.strong && one.step;
    const doubt = doubts.includes(one) && mayBeOff(one) && one.metered && !strength ? sure.get(one) : null;
    const next = serves.served.length > 1 && serves.served.includes(one) ? null : wayOut(own, evaluation, at);
    const said = one.plan && "thins" in one.row && one.metered ? [filled("plan", planned(one, at, evaluation)).replace(" </p>", "</p>")] : [];
    said.push(...notes(one, at, doubt, next).map(words => filled("note", {words})));
    place(at).insertAdjacentHTML("afterend", written ? asWritten[at] : said.join(""));
  });
  onOne();
  const sentence = hole("verdict");
  if (sentence) sentence.innerHTML = lead(verdict(evaluation, serves, made));
  for (const one of heads) {
    const now = made.find(other => other.key === one.key);
    one.hole.parentNode.hidden = !now;
    one.hole.innerHTML = !now ? "" : now.grams || now.ml ? first(now) : one.words;
    const link = now && now.grams && one.hole.parentNode.querySelector("a");
    if (link && link.pathname !== location.pathname) link.hash = "obtain=" + encodeURIComponent(onStep(now.grams, now.step) + " g");
  }
  const section = heads[0] && heads[0].hole.closest("section");
  if (section) section.hidden = !made.length;
  linked(lines).forEach((amount, number) => all(`[data-link="${number}"]`).forEach(one => {
    one.outerHTML = inText(amount, number, evaluation);
  }));
  all(".range").forEach(one => { one.hidden = !written; });
  all(".unscaled").forEach(one => { one.hidden = written; });
};
