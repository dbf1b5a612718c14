/*
 * At the bench: the page, one step a screen, for one hand.
 *
 * All that is shown is taken from the page itself, again after each change of the batch, so the two cannot differ.
 * What is entered is kept on this device under the book's name and the code, for each batch by itself: a tick never
 * passes on to other weights.  Weights are added as whole billionths of a gram, never as floats.
 */
(() => {
  "use strict";
  const bench = document.getElementById("bench");
  if (!bench) return;
  const { book, code, title, issue } = bench.dataset;
  const HASTE = 400; // milliseconds within which a second tap is the first one's echo

  const sheet = self.sheet || document;  /* what stands behind the page is none of it */
  const one = (where, root = sheet) => root.querySelector(where);
  const all = (where, root = sheet) => [...root.querySelectorAll(where)];
  const text = (node) => node?.textContent.replace(/[ \n]+/g, " ").trim() || "";
  const make = (tag, traits, ...inside) => {
    const made = Object.assign(document.createElement(tag), traits);
    made.append(...inside.filter(Boolean));
    return made;
  };
  const law = text(one(".law")), warned = all(".caution > * > *");
  const p = (className, ...inside) => make("p", { className }, ...inside), div = (className, ...inside) => make("div", { className }, ...inside);
  const fine = (...inside) => p("fine", ...inside);
  const button = (said, onclick) => make("button", { type: "button", onclick }, said);
  // No line ends within a date or a code.
  const whole = (said) => said.split(/(\d{4}-\d\d-\d\d|\b[A-Z]+-\d+\b)/).map((part, at) => at % 2 ? make("span", { className: "whole" }, part) : part);
  const heading = (...inside) => make("h2", { tabIndex: -1 }, ...inside);
  // What a part of the page says, without its links: a wet finger must not leave, and no figure may stand there twice.
  const inner = (node) => {
    const copy = node.cloneNode(true);
    all(".letter, .function, .stamp", copy).forEach((gone) => gone.remove());
    for (const fold of all("a, summary, details", copy)) fold.replaceWith(...fold.childNodes);
    for (const figure of all("[data-figure]", copy)) figure.removeAttribute("data-figure");
    return [...copy.childNodes];
  };
  const two = (count) => String(count).padStart(2, "0");
  const iso = (at = Date.now()) => {
    const ahead = -new Date(at).getTimezoneOffset(), away = Math.abs(ahead);
    const local = new Date(at + ahead * 6e4).toISOString().slice(0, 19);
    return local + (ahead < 0 ? "-" : "+") + two(Math.floor(away / 60)) + ":" + two(away % 60);
  };

  // ── Weights ──
  // The book's decimal sign stands in its figures; the other one, or none known, leaves 1,000 two readings: refused.
  const sign = /\d([.,])\d/.exec(all("data").map(text).join(" "))?.[1];
  const weight = (typed, about = "") => {
    const [, whole, mark, part = ""] = /^(0|[1-9]\d{0,8})(?:([.,])(\d{1,9}))?\s*g?$/.exec(typed.trim()) || [];
    if (!whole || (mark && mark !== sign && /^[1-9]\d{0,2}$/.test(whole) && part.length === 3)) return null;
    return { nano: BigInt(whole + part.padEnd(9, "0")), places: part.length };
  };
  const plus = (sum, next) => sum && next && { nano: sum.nano + next.nano, places: Math.max(sum.places, next.places) };
  const decimal = ({ nano, places }) => {
    const digits = String(nano).padStart(10, "0");
    return digits.slice(0, -9) + (places ? (sign || ".") + digits.slice(-9).slice(0, places) : "");
  };
  const grams = (sum) => sum ? decimal(sum) + " g" : word("not known from here");
  // The page carries exact numbers as `=1/20`; a capacity and an accepted error have an end in billionths.
  const exact = (said) => {
    const [over, under = 1n] = said.slice(1).split("/").map(BigInt);
    return over * 1000000000n / under;
  };
  // A balance shows whole steps, whatever is on it: 100 g, not 100.27 g.
  const reading = (sum, balance) => {
    const step = sum && balance && exact(balance[0]), places = step && 9 - (String(step).match(/0*$/)[0].length);
    return step ? grams({ nano: (2n * sum.nano + step) / (2n * step) * step, places: Math.max(0, places) }) : grams(sum);
  };
  // The balance that is read at a weighing: its own, else that of the last one into the vessel, else of the next.
  const balanceAt = ({ mates, at }) => [...mates.slice(0, at + 1).reverse(), ...mates.slice(at + 1)]
    .map((line) => line.balance).find(Boolean);
  const short = (nano) => decimal({ nano, places: 9 }).replace(/0+$/, "").replace(/\D$/, "");
  // Diluted ethanol is two weights, and both have to be known.
  const actual = (line) => line.strong ? line.pairs.map(({ key }) => weight(got(key))).reduce(plus) : weight(got(line.key + ".actual"));
  // What the vessel weighs before a weighing, or after it.
  const gross = ({ mates, at, tare }, after) => mates.slice(0, at + after)
    .map((line) => actual(line) || line.weight).reduce(plus, weight(got(tare)) || weight("0"));
  const off = (line) => {
    const is = actual(line), plan = line.weight;
    if (!is || !plan?.nano || line.usual) return "";
    const more = is.nano - plan.nano, nano = more < 0n ? -more : more, places = Math.max(is.places, plan.places);
    if (nano * 1000000000n <= plan.nano * line.error) return "";
    const tenths = (nano * 2000n + plan.nano) / (plan.nano * 2n);
    return grams({ nano, places }) + (more < 0n ? word(" short, ") : word(" over, ")) + short(tenths * 100000000n) + " %";
  };

  // ── What the page says ──
  const carried = JSON.parse(one("#following").textContent);
  const own = carried.tables.find(([key]) => key === carried.own)[1].rows;
  const flat = (names) => `, ${names.replace(/\s+/g, " ").replace(/ ?\(in |\)/g, ", ")}, `;
  const unit = (data) => data && `${text(data)} ${text(data.nextElementSibling)}`;
  // What a batch of pieces comes to, as `12 suppositories`; empty where it is of no pieces.
  const inPieces = () => {
    const { one: single, several } = carried.pieces || {}, count = several && text(one("[data-figure=pieces]"));
    return count && `${count} ${count === "1" ? single : several}`;
  };
  const nameOf = (row) => text(make("i", {}, ...inner(one(".name", row))));
  // What is weighed of each material where a line is more than one: of diluted ethanol, and for a stock made beforehand.
  const pairsOf = (row, mine, how, strong, water) => {
    const pair = (end, of, plain, amount, lot) => ({ key: `${row.id}.${end}`, lot: `${row.id}.${lot}`, of, plain, name: how ? spoken`${plain} for the ${how}` : plain, amount, stock: Boolean(how) });
    if (strong) return [pair("strong", mine.takes[0][0], nameOf(row), strong, "lot"), pair("water", mine.takes.at(-1)[0], word("water"), water, "water-lot")];
    if (!how) return [];
    const thinner = own[mine.thins];
    return [pair("stock", mine.takes, nameOf(row), "", "lot"),
      ...(thinner ? [pair("thinner", thinner.takes, nameOf(document.getElementById("line-" + mine.thins)), "", "thinner-lot")] : [])];
  };
  const lineOf = (row) => {
    const number = Number(row.id.slice(5)), cell = (end) => unit(one(`.measured [data-figure$=".${end}"]`, row));
    const figure = one(".grams data", row), measured = text(one(".measured", row));
    const head = one(".phase", row.parentNode), aid = row.matches(".aids > *"), to = cell("to"), strong = cell("strong"), notes = [];
    for (let next = row.nextElementSibling; next?.matches(".note"); next = next.nextElementSibling) notes.push(next.cells?.[0] || next);
    const how = notes.some((note) => one(".plan", note)) ? measured.split(",")[0] : "", thinned = how && spoken`${how} of `;
    const plain = nameOf(row), name = thinned + plain, written = text(one(".written", row));
    const usual = one(".grams .about", row) || (!figure && /^q\.s\. (to|ad) pH/.test(written));
    const balance = carried.balances.filter(([, , words]) => measured.replace(/\s/g, " ").includes(words.replace(/\s/g, " ")))
      .sort((a, b) => b[2].length - a[2].length)[0];
    const printed = figure && `${usual ? "≈ " : ""}${text(figure)} g`, ml = one(".ml data", row);
    // What cannot be measured shows these words in the place of an amount, never a volume that nobody can meter.
    const volume = ml && measured.includes(word("by volume")) && text(ml) + " mL";
    const amount = cell("drops") || printed || (to && spoken`to ${to}`) || volume || measured || written;
    return {
      key: row.id, lot: row.id + ".lot", row, number, plain, aid, notes, name, amount, usual, balance, strong,
      pairs: pairsOf(row, own[number], how, strong, cell("water")),
      parts: strong ? [[strong, name], [cell("water"), word("water")]] : [[amount, name]],
      letter: text(one(".letter", row) || (head && one(".letter", head))),
      asks: aid || !head ? "" : text(one("i", head)), weight: figure && weight(text(figure)),
      never: !figure && measured.startsWith(word("cannot be measured")), unshown: measured.startsWith(word("less than the balance shows")),
      error: exact(own[number].error || carried.accepted), needs: own[number].made ? plain : thinned && spoken`the ${name}`,
      hazards: all(".hazard li").filter((item) => flat(text(one("b", item))).includes(flat(plain))),
      takes: usual ? word("This is only the usual amount: weigh it into a small vessel of its own, and let it in little by little.") : "",
      measured: amount === measured ? "" : (amount === printed || !figure ? "" : printed + "; ") + measured,
    };
  };
  // A weighing of the method: a line, or the portion of it that a link takes.
  const turnOf = ([number, link, vessel, portion]) => {
    const row = document.getElementById("line-" + number), line = lineOf(row), at = `[data-link="${link}"]`;
    const said = link !== null && one(".method " + at), cell = (end) => one(`[data-figure="link-${link}.${end}"]`, said);
    const taken = carried.links.flatMap(({ last, rows }, nth) => last !== undefined && rows.includes(number) ? [text(one(`[data-link="${nth}"]`))] : []).join(", ");
    const turn = { ...line, said, vessel, unnamed: link === null, mates: [] };
    if (!portion || !said)
      return taken && !line.usual ? { ...turn, takes: spoken`The method takes it in portions: ${taken}.` } : turn;
    const amount = (line.usual ? "≈ " : "") + (unit(cell("drops")) || unit(cell("metered")) || unit(cell("ml")) || text(said));
    const how = one(".measured", row).cloneNode(true);
    all("b", how).forEach((much) => much.remove());
    return { ...turn, key: `${line.key}-${link}`, parts: [[amount, line.name]], strong: null, weight: weight(text(cell("metered"))),
      measured: text(how).replace(/^[, ]+/, ""), asks: "", portion: spoken`portion of ${line.amount}`,
      takes: spoken`A portion of ${line.amount}.` + (line.usual ? " " + line.takes : "") };
  };
  const seconds = (period) => {
    const found = /^P(?:(\d+)D)?(?:T(?:(\d+)H)?(?:(\d+)M)?(?:(\d+)S)?)?$/.exec(period) || [];
    return [86400, 3600, 60, 1].reduce((sum, each, at) => sum + each * (found[at + 1] || 0), 0);
  };
  // The steps of the method: items of a list, other blocks; a heading goes with what follows it.
  const methodOf = () => {
    const found = [];
    let heads = [];
    for (const part of all(".method > :not(h2)")) {
      const items = part.matches("ol, ul") ? [...part.children] : [part];
      if (part.matches(".danger")) found.at(-1).dangers.push(part);
      else if (part.matches("h3, h4, h5, h6")) heads.push(make("h3", {}, ...inner(part)));
      else for (const [nth, item] of items.entries()) {
        found.push({ item, heads, dangers: [], head: part.start ? spoken`Step ${part.start + nth}` : word("Method"), turns: [] });
        heads = [];
      }
    }
    return found;
  };
  const withoutDanger = (item) => inner(item).filter((part) => part.className !== "danger");
  const methodStep = ({ item, heads, dangers, head, turns }, at) => {
    const timers = all(".duration", item).map((time, nth) => ({ id: at + "." + nth, words: text(time), said: `${text(time)}, ${head}`, seconds: seconds(time.dateTime) }));
    const draw = () => [heading(head), needs(turns), ...heads.map((node) => node.cloneNode(true)), div("told", ...inner(item), ...dangers.map((part) => p("danger", ...inner(part)))), ...timers.map(drawTimer)];
    return { key: "method-" + at, name: `${head}: ${text(make("i", {}, ...withoutDanger(item)))}`, group: head, tick: word("Done"), draw };
  };
  const weighing = (line, part, other) => ({ key: line.key, name: line.parts.map((each) => each.join(" ")).join(word(" and ")),
    group: part.head, tick: word("It is in"), line, draw: () => drawLine(line, part, other) });
  const listing = (className, items, word) => items.length &&
    make("ul", { className }, word && make("li", {}, make("strong", {}, word)), ...items.map((item) => make("li", {}, ...inner(item))));
  const listed = (key, name, tick, items, lot) => items.length ? [{ key, name, tick, lot, draw: () =>
    [heading(name), key === "needed" && fine(unscaled()), listing(key, items), lot && field(lot, word("Lot"))] }] : [];
  // Containers, vessels and counts stay as they are written: at another batch the page says for which.
  const unscaled = () => text(one(".unscaled:not([hidden])"));
  const facts = (key, name, tick, where) => {
    const found = all(where + " .facts > div").map((row, at) => ({ key: key + at, term: text(one("dt", row)), says: one("dd", row) }));
    const drawn = (fact) => [make("h3", {}, fact.term), p("", ...inner(fact.says)), key === "check" && field(fact.key, spoken`${fact.term}, as found`)];
    return found.length ? [{ key, name, tick, facts: found, draw: () =>
      [heading(name), key === "keep" && fine(unscaled()), ...found.flatMap(drawn), key === "keep" && p("", ...whole(useBy()))] }] : [];
  };
  // Until the batch is finished, today is the day of making.  A month's end stays one: 31 August and six months are 28 February.
  const useBy = () => {
    const [, months = 0, days = 0] = /^P(?:(\d+)M)?(?:(\d+)D)?$/.exec(one(".keeping [data-figure=period]")?.dateTime) || [];
    if (!months && !days) return "";
    const made = (got("record") || iso()).slice(0, 10), [year, month, day] = made.split("-").map(Number), at = month - 1 + +months;
    const last = new Date(Date.UTC(year, at + 1, 0)).getUTCDate(), end = new Date(Date.UTC(year, at, Math.min(day, last) + +days));
    return spoken`Use by: up to and including ${end.toISOString().slice(0, 10)}, made ${made}.`;
  };
  let steps, sought, stamp, batch, firsts, place = 0;
  const gather = () => {
    const parts = methodOf(), before = [], vessels = [], found = carried.turns.map(turnOf);
    for (const [at, turn] of found.entries()) {
      const part = parts.find(({ item }) => turn.said && item.contains(turn.said)), mates = (vessels[turn.vessel] ||= []);
      Object.assign(turn, { mates, first: found.findIndex(({ number }) => number === turn.number) === at, at: mates.push(turn) - 1, last: found[at - 1], tare: `vessel-${turn.vessel}.tare` });
      (part?.turns || before).push(turn);
    }
    // A line that no link names is told so, where others are named.
    for (const turn of found) turn.unnamed &&= before.length < found.length;
    const weighings = (turns, part) => turns.map((turn) => weighing(turn, part, turn.vessel !== turns[0].vessel));
    firsts = all(".first > li:not([hidden])").map((item, at) => ({ key: "first" + at, item, said: text(one("a", item)) }));
    sought = text(one(".batch dd"));
    stamp = text(one(".head .stamp"));
    steps = [
      ...listed("hazards", word("Hazards"), word("Read"), all(".hazard li")),
      ...listed("needed", word("What is needed"), word("All is ready"), all("main > .spread:not(.spread ~ *) > .margin > .plain > li")),
      ...firsts.flatMap(({ key, item, said }) => listed(key, spoken`Make first: ${said}`, word("Made"), [item], key + ".lot")),
      ...weighings(before, { head: parts.length ? word("Before the first step") : word("Ingredients") }),
      ...parts.flatMap((part, at) => [...weighings(part.turns, part), methodStep(part, at)]),
      ...facts("check", word("When it is right"), word("Checked"), ".margin"),
      ...facts("keep", word("Fill, label, keep"), word("Filled and labelled"), ".keeping"),
      ...listed("cautions", word("Cautions for use"), word("Read"), warned),
      { key: "record", name: word("The record"), tick: word("The batch is finished"), draw: drawRecord },
    ];
    const made = steps.findIndex((step) => step.group);
    steps.forEach((step, at) => step.group ||= made < 0 || at < made ? word("Beforehand") : word("Afterwards"));
    let sum = 0;
    for (const letter of all(".ingredients, .method, .hazard, .first").map(text).join()) sum = (Math.imul(sum, 31) + letter.codePointAt(0)) | 0;
    batch = `${sought}, issue ${issue}, ${sum}`;
  };

  // ── What was entered ──
  const shelf = `bookgen ${book} ${code}`;
  let kept, blocked = false;
  const load = () => {
    let was = null;
    try { was = localStorage.getItem(shelf); } catch { blocked = true; }
    try { was = JSON.parse(was); } catch { was = null; }
    kept = was?.batches && was.clocks ? was : { batches: {}, clocks: {} };
  };
  const save = () => {
    blocked = false;
    try { localStorage.setItem(shelf, JSON.stringify(kept)); } catch { blocked = true; }
    refresh();
  };
  const mine = () => kept.batches[batch];
  const got = (name) => mine()?.entered[name] || "";
  const put = (name, typed) => {
    const now = (kept.batches[batch] ||= { said: spoken`${sought}, issue ${issue}`, started: iso(), entered: {} });
    now.entered[name] = typed;
    now.text = record();
    save();
  };
  const forget = (mark) => {
    delete kept.batches[mark];
    for (const id in kept.clocks) if (kept.clocks[id].batch === mark) delete kept.clocks[id];
    save();
    go(0);
  };
  // ── The record as a file of the book: what was planned and what was weighed, in the book's own format ──
  const day = () => (got("record") || iso()).slice(0, 10);
  const numberOf = () => code + "-" + day();
  const quoted = (said) => (/^[!&*?|>@\x60%#[\]{},'"-]|: |:$| #/).test(said) ? JSON.stringify(said) : said;
  const spaced = (said) => said.replace(/\s+/g, " ").trim();
  // A stock, and diluted ethanol, are asked for by what was weighed of each material: `pairs`.
  const single = (line) => !line.strong && line.name === line.plain && typeof own[line.number].takes === "string";
  // Of a stock its weight is told with how it was thinned; its lot goes with what was weighed beforehand, if that is told.
  const thinned = ({ name, pairs: [made, thinner] }) => made?.stock && thinner ? ` of 1 in ${/\b1(?: in |:)(\d+)/.exec(spaced(name))[1]} with ${thinner.of}` : "";
  const planOf = (line) => {
    const plan = (single(line) || thinned(line)) && /^(?:≈ )?([\d.,]+) (\S+)$/.exec(spaced(line.amount));
    const unit = plan && (["g", "mL"].includes(plan[2]) ? plan[2] : plan[2] === word("drop") && plan[1] === "1" ? "drop" : plan[2] === word("drops") && "drops");
    return unit && `${plan[1]} ${unit}${thinned(line)}`;
  };
  const isOf = (line) => {
    const stock = thinned(line), is = (single(line) || stock) && actual(line);
    const lot = stock && weight(got(line.pairs[0].key)) ? "" : spaced(got(line.lot));
    return is && grams(is) + stock + (lot && ", lot " + lot);
  };
  const weighedOf = (stock) => (line) => line.pairs.filter((pair) => pair.stock === stock).map(({ key, lot, of }) => {
    const is = weight(got(key)), from = spaced(got(lot));
    return [line, is && grams(is) + (from && ", lot " + from), of];
  });
  const rowsBy = (head, items) => {
    const phases = new Map();
    for (const [line, said, name] of items.filter(([, said]) => said)) {
      const names = phases.get(line.letter) || new Map();
      phases.set(line.letter, names.set(name, [...(names.get(name) || []), said]));
    }
    const told = ([name, said]) => `  ${quoted(name)}: ` + (said[1] ? JSON.stringify(said) : quoted(said[0]));
    const rows = [...phases].flatMap(([letter, names]) => letter ? [`  ${letter}:`, ...[...names].map((each) => "  " + told(each))] : [...names].map(told));
    return rows.length ? [head + ":", ...rows] : [];
  };
  const frontOf = () => {
    const lines = steps.flatMap(({ line }) => line || []), whole = [...new Map(lines.map((line) => [line.number, line])).values()];
    const takes = (line) => own[line.number].takes;
    const asked = one("form.obtain input"), wish = asked.ariaInvalid !== "true" && spaced(asked.value);
    const ph = steps.flatMap(({ facts = [] }) => facts).find(({ key, term }) => term === "pH" && weight(got(key)));
    const { inEnglish: english, inRecord } = one("form.obtain"), said = [["came out", "out"], ["pH", ph?.key], ["filled", "filled"]].map(([key, name]) => [key, name && spaced(got(name))]);
    return [
      "---", "batch: " + numberOf(), `of: ${code}, issue ${parseInt(issue)}`, "made: " + day(), "obtain: " + quoted(inRecord(wish || spaced(sought))),
      ...rowsBy("planned", whole.flatMap((line) => [[line, planOf(line), takes(line)], ...line.pairs.map(({ amount, of }) => [line, spaced(amount), of])])),
      ...rowsBy("weighed", [...lines.map((line) => [line, isOf(line), takes(line)]), ...whole.flatMap(weighedOf(false))]),
      ...rowsBy("weighed beforehand", whole.flatMap(weighedOf(true))),
      ...said.flatMap(([key, typed]) => typed ? [`${key}: ${quoted(english(typed))}`] : []), "---",
    ];
  };
  const record = () => {
    const typed = (name) => got(name).trim() || word("not entered"), ticked = (step) => got(step.key) ? spoken`ticked ${got(step.key)}` : word("not ticked");
    const read = (key) => typed(key) + (weight(got(key)) ? " (g)" : "");
    const lots = (line) => !line.pairs.length ? [spoken`lot ${typed(line.lot)}`]
      : line.first ? line.pairs.map((pair) => spoken`${pair.name} ${read(pair.key)}, lot ${typed(pair.lot)}`) : [];
    const weighed = ({ name, line }) => "- " + [
      name, ...[line.letter && spoken`phase ${line.letter}`, line.portion, line.measured].filter(Boolean),
      ...(line.strong ? [] : [spoken`actual ${read(line.key + ".actual")}`]), ...[off(line)].filter(Boolean), ...lots(line), ticked(line),
    ].join(", ");
    const vessel = ({ line }) => !line.at && got(line.tare).trim() ? [spoken`- vessel: ${typed(line.tare)}`] : [];
    const rowsOf = (step) => step.line ? [...vessel(step), weighed(step)]
      : [`- ${step.name}: ` + (step.lot ? spoken`lot ${typed(step.lot)}, ` : "") + ticked(step)];
    const timed = (clock) => spoken`- ${clock.said}: started ${clock.started}, ` + (clock.over && Date.parse(clock.over) < clock.end
      ? spoken`stopped ${clock.over}, before its end ${iso(clock.end)}` : spoken`end ${iso(clock.end)}` + (clock.over && spoken`, heard ${clock.over}`));
    const asked = one("form.obtain input"), wish = asked.value.trim(), bare = (amount) => amount.replace(/\s/g, "");
    const open = openSteps(), part = (head, rows) => rows.length ? ["", head, ...rows] : [];
    const groups = [];
    for (const step of steps.slice(0, -1)) {
      if (groups.at(-1)?.head !== step.group) groups.push({ head: step.group, rows: [] });
      groups.at(-1).rows.push(...rowsOf(step));
    }
    return [
      ...frontOf(), "", "## Notes", "", ...(got("notes").trim() ? [got("notes").trim(), ""] : []), word("## At the bench"), "",
      spoken`Batch record: ${book}`, spoken`${code} ${title}, issue ${issue}` + (stamp && ", " + stamp),
      spoken`To obtain: ${sought}` + (bare(wish) !== bare(sought) && wish && asked.ariaInvalid !== "true" ? spoken`, asked for as ${wish}` : ""),
      spoken`Batch number: ${typed("number")}`, spoken`Made by: ${typed("maker")}`,
      spoken`Started: ${mine()?.started || word("not yet")}`, spoken`Finished: ${got("record") || word("not yet")}`,
      ...(got("record") && open.length ? [spoken`Not ticked: ${open.join("; ")}`] : []), ...[useBy()].filter(Boolean),
      ...groups.flatMap(({ head, rows }) => part(head, rows)),
      ...part(word("Countdowns"), clocksOf().filter((clock) => clock.batch === batch).map(timed)),
      ...part(word("Checks"), (steps.find((step) => step.key === "check")?.facts || []).map((fact) => `- ${fact.term}, ${text(fact.says)}: ${typed(fact.key)}`)),
      ...part(word("Cautions for use"), warned.map((item) => "- " + text(item))),
      "", law, "",
    ].join("\n");
  };
  const openSteps = () => steps.slice(0, -1).filter((step) => !got(step.key)).map((step) => step.name);

  // ── Countdowns: the instant of the end is kept, so a reload or a sleep takes nothing from them ──
  const clocksOf = () => Object.values(kept.clocks);
  const stateOf = (clock) => !clock || clock.over ? "" : Date.now() < clock.end ? "runs" : "rings";
  const left = (clock) => {
    const rest = Math.max(0, Math.ceil((clock.end - Date.now()) / 1000));
    if (clock.long) return spoken`ends ${iso(clock.end).slice(0, 16).replace("T", " ")}`;
    return `${Math.floor(rest / 3600)}:${two(Math.floor(rest / 60) % 60)}:${two(rest % 60)}`.replace(/^0:0?/, "");
  };
  const start = ({ id, said, seconds }) => {
    const end = new Date();
    // Whole days keep the hour of the day, also over the night when the clocks are changed.
    end.setDate(end.getDate() + Math.floor(seconds / 86400));
    const clock = { said, step: steps[place].key, batch, started: iso(), end: +end + (seconds % 86400) * 1000, long: seconds >= 86400 };
    kept.clocks[batch + id] = clock;
    mark(clock, "");
  };
  const mark = (clock, over) => {
    clock.over = over;
    put("timed", "yes");
    draw();
  };
  let sound, shown, beating;
  // A browser gives sound only after a touch: the start of a countdown is one, after a reload the next touch is.
  const listen = () => {
    try { (sound ||= new AudioContext()).resume(); } catch { sound = null; }
  };
  const beat = () => {
    const states = clocksOf().map(stateOf).join();
    if (states !== shown) draw();
    else refresh();
    if (!states.includes("rings") || sound?.state !== "running") return;
    const tone = sound.createOscillator();
    tone.frequency.value = 880;
    tone.connect(sound.destination);
    tone.start();
    tone.stop(sound.currentTime + 0.2);
  };

  // ── The screen ──
  // `live` holds what must follow without a new drawing, which would take the field from under a finger.
  let live = [];
  const refresh = () => live.forEach((again) => again());
  const follow = (node, say, trait = "textContent") => {
    const again = () => { if (node[trait] !== say()) node[trait] = say(); };
    live.push(again);
    again();
    return node;
  };
  const field = (name, label, tag = "input") => {
    const typed = make(tag, { id: "at-" + name, value: got(name), autocomplete: "off", oninput: () => put(name, typed.value) });
    return make("label", {}, label, typed);
  };
  const weighed = (name, label, told = () => "") => {
    const box = field(name, label), typed = box.lastChild, says = make("p", { id: typed.id + "-says", className: "unread" });
    const wrong = () => got(name).trim() && !weight(got(name)) ? word("Not read, so not counted: this is not one weight in grams.") : "";
    typed.inputMode = "decimal";
    typed.setAttribute("aria-describedby", says.id);
    follow(typed, () => String(Boolean(wrong())), "ariaInvalid");
    return div("", box, follow(says, () => wrong() || told()));
  };
  const asked = (said, yes, no, act, question = word("It will be gone.")) => {
    const box = div("asked"), back = () => { rest(); box.firstChild.focus(); };
    const rest = () => box.replaceChildren(button(said, () => {
      box.replaceChildren(p("", question), button(yes, act), button(no, back));
      box.lastChild.focus();
    }));
    rest();
    return box;
  };
  const asks = ({ letter, asks }, part) => p("asks", make("span", {}, part.head, letter ? ": " : ""), make("b", {}, letter), " ", asks);
  const enumerated = (names) => names.join("; ").replace(/; ([^;]*)$/, word(" and ") + "$1").replace(/;/g, ",");
  // What a step lets in that is made before it.
  const needs = (turns) => {
    const names = [...new Set(turns.map((turn) => turn.needs).filter(Boolean))];
    if (!names.length) return "";
    const open = (name) => firsts.some(({ key, said }) => said === name && !got(key)) ? word(" (not ticked yet)") : "";
    return follow(p("takes"), () => spoken`Have ready: ${enumerated(names.map((name) => name + open(name)))}.`);
  };
  const big = ([amount, name]) => {
    const [, digits, unit] = /^(\D*[\d.,]*)(.*)$/.exec(amount), made = make("span", { className: "big" }, digits, make("small", {}, unit));
    made.style.setProperty("--signs", Math.max(5, amount.length));
    return [made, " " + name];
  };
  // Nobody but the maker knows whether a weighing goes on in the vessel of the last one: a touch tells it.
  const drawVessel = (line) => {
    const sum = line.last && gross(line.last, 1), field = weighed(line.tare, word("Vessel before, g")), typed = one("input", field);
    const last = sum?.nano && button(spoken`The last vessel: ${grams(sum)}`, () => put(line.tare, typed.value = decimal(sum)));
    return [div("pair", field, last), fine(word("With what is in it. Leave it empty where the balance is set to zero."))];
  };
  const drawReading = (line) => {
    const [, capacity, words] = line.balance || [], over = () => capacity && gross(line, 1)?.nano > exact(capacity);
    const reads = () => {
      const sum = gross(line, 1);
      return sum ? spoken`${over() ? word("In the vessel") : word("Balance reads")} <b>${reading(sum, balanceAt(line))}</b> after this` : word("Balance: not known from here");
    };
    const before = () => {
      const sum = gross(line, 0), first = line.strong && !actual(line) && weight(line.strong.replace(/[^\d.,]/g, ""));
      const shown = (weight) => reading(weight, balanceAt(line));
      return spoken`Before: ${shown(sum)}` + (first ? spoken`, after the first ${shown(plus(sum, first))}` : "");
    };
    return [
      follow(p("reads"), reads, "innerHTML"), follow(fine(), before),
      follow(p("takes"), () => over() ? spoken`More than the ${words} holds (${short(exact(capacity))} g): weigh it apart and tip it in.` : ""),
    ];
  };
  const drawLine = (line, part, other) => [
    heading(...line.parts.flatMap(big)), listing("hazards", line.hazards, word("Hazards")), asks(line, part), part.turns?.[0] === line && needs(part.turns),
    p("takes", line.unnamed ? word("Not named in the method. ") : "", line.takes, other && !line.at && !line.usual ? word(" Into a vessel of its own.") : ""),
    ...drawReading(line), p("", line.measured),
    line.aid && fine(word("A processing aid, taken out again.")), ...line.notes.map((note) => div("fine", ...inner(note))),
    ...(line.at ? [] : drawVessel(line)),
    !line.strong && div("pair", weighed(line.key + ".actual", word("Actual weight, g"), () => off(line)), !line.pairs.length && field(line.lot, word("Lot"))),
    ...(line.first ? line.pairs : []).map(({ key, lot, name, plain }) =>
      div("pair", weighed(key, `${name}, g`, () => line.strong ? off(line) : ""), field(lot, spoken`Lot of the ${plain}`))),
    part.item && div("step", make("b", {}, part.head), " ", ...withoutDanger(part.item)),
  ];
  const drawTimer = (timer) => {
    const clock = kept.clocks[batch + timer.id], state = stateOf(clock), stop = () => mark(clock, iso());
    // Days are words, which stand there already, and not as large as a clock.
    const days = timer.seconds >= 86400, size = days ? "reads" : "left";
    const whole = days ? timer.words : left({ end: Date.now() + timer.seconds * 1000 });
    return div("timer", p("", timer.said), ...state === "runs"
      ? [follow(p(size), () => left(clock)), asked(word("Stop it"), word("Stop it"), word("Let it run"), stop, word("It still runs. Stop it and set it back?"))]
      : state ? [p(size, word("Time is up")), button(word("I have heard it"), stop)]
      : [...days ? [] : [p(size, whole)], button(spoken`Start ${whole}`, () => start(timer))]);
  };
  const others = () => Object.entries(kept.batches).filter(([mark]) => mark !== batch);
  const drawRecord = () => {
    const whole = follow(make("textarea", { id: "at-text", readOnly: true, rows: 12 }), record, "value"), says = make("p", { role: "status" });
    const copy = async () => {
      try {
        await navigator.clipboard.writeText(whole.value);
        says.textContent = word("The record is copied.");
      } catch {
        whole.select();
        says.textContent = word("The text is selected: copy it by hand.");
      }
    };
    const keep = () => {
      const href = URL.createObjectURL(new Blob([whole.value], { type: "text/markdown" }));
      make("a", { href, download: numberOf() + ".md" }).click();
      setTimeout(() => URL.revokeObjectURL(href), HASTE);
      says.textContent = word("Saved: hand the file to bookgen record --from.");
    };
    const example = inPieces() || "617 g", jars = carried.pieces ? `3 x 4 ${carried.pieces.several}` : "12 x 50 mL";
    const open = openSteps(), named = open.length < 6 ? open.map((name) => name.slice(0, 30)).join("; ") : spoken`${open.length} screens`;
    return [
      heading(word("The record")), p("", open.length ? spoken`Not ticked: ${named}.` : word("Every screen is ticked.")),
      div("pair", field("number", word("Batch number")), field("maker", word("Made by"))), div("pair", field("out", spoken`Came out, as in ${example}`), field("filled", spoken`Filled, as in ${jars}`)), field("notes", word("Notes"), "textarea"), make("label", {}, word("The record as text"), whole), button(word("Save the record"), keep), button(word("Copy the record"), copy), says, fine(law),
      asked(word("Clear what was entered"), word("Clear it"), word("Keep it"), () => forget(batch), word("All of this batch will be gone, its countdowns too.")),
      ...others().flatMap(([mark, was]) => [make("label", {}, spoken`Entered for ${was.said}`, make("textarea", { readOnly: true, value: was.text })),
        asked(word("Clear this record"), word("Clear it"), word("Keep it"), () => forget(mark))]),
    ];
  };
  const other = ({ said }) => said.startsWith(sought + ",") ? said : said.split(word(", issue"))[0];
  const says = () => [
    blocked && word("What is entered is not kept: the browser stores nothing. Leave the page open, and copy the record out."),
    !mine() && others().length && spoken`You have entries for another batch (${others().map(([, was]) => other(was)).join("; ")}). They are kept under The record; this batch starts empty.`,
    got("record") && word("This batch is finished. Clear what was entered before the next."),
  ].filter(Boolean).join(" ");

  const head = fine(), told = p("says"), up = make("p", { className: "up", role: "alert" }), clocks = make("ul", { className: "clocks" });
  const summary = make("summary"), list = make("ol"), steplist = make("details", { className: "steps" }, summary, list);
  const spoken = make("p", { className: "spoken", role: "status" }), stage = div("stage");
  // A tick turns the page, and the way back takes it back; the second tap of a hasty finger does nothing.
  let undo = null, turned = -HASTE;
  const ticked = () => {
    const at = place, now = performance.now(), hasty = tick.checked && now - turned < HASTE;
    if (hasty) return draw();
    put(steps[at].key, tick.checked ? iso() : "");
    if (!tick.checked || at === steps.length - 1) return draw();
    turned = now;
    go(at + 1, at);
  };
  const goBack = () => {
    if (undo !== null) put(steps[undo].key, "");
    go(undo ?? place - 1);
  };
  const tick = make("input", { type: "checkbox", id: "at-tick", onchange: ticked });
  const tickSaid = make("span"), before = button(word("Previous"), goBack), next = button(word("Next"), () => go(place + 1));
  bench.append(make("header", {}, make("h1", {}, `${code} ${title}`), button(word("Back to the page"), () => address(false)), head), told, up, clocks, spoken,
    steplist, stage, div("hand", make("label", {}, tick, tickSaid), before, next));
  const way = one(".to-bench"), wayIn = one("a", way);

  const drawClock = (clock) => {
    const goal = clock.batch === batch ? steps.findIndex((step) => step.key === clock.step) : -1;
    return make("li", {}, stateOf(clock) === "rings" ? button(spoken`I have heard it: ${clock.said}`, () => mark(clock, iso()))
      : follow(button("", () => goal < 0 || go(goal)), () => `${clock.said}: ${left(clock)}`));
  };
  const draw = () => {
    const focus = document.activeElement.id, step = steps[place], done = got(step.key), going = clocksOf().filter(stateOf);
    const ringing = going.filter((clock) => stateOf(clock) === "rings").map((clock) => clock.said).join("; ");
    shown = clocksOf().map(stateOf).join();
    clearInterval(beating);
    beating = going.length && setInterval(beat, 500);
    live = [];
    head.replaceChildren(...whole([inPieces(), spoken`${sought}, issue ${issue}`, stamp].filter(Boolean).join(", ")));
    follow(told, says);
    follow(up, () => ringing && spoken`Time is up: ${ringing}.` + (sound?.state === "running" ? "" : word(" Touch the page to hear it.")));
    wayIn.textContent = word("At the bench") + (ringing ? word(": time is up") : going.length ? word(": a countdown runs") : "");
    clocks.replaceChildren(...going.map(drawClock));
    stage.replaceChildren(...step.draw().filter(Boolean));
    const named = (which) => place ? [] : [...new Set(steps.filter((each) => each.line?.[which]).map((each) => each.line.plain))];
    for (const [which, says] of [["unshown", word("Less than the balance shows")], ["never", word("Cannot be measured")]])
      if (named(which).length) stage.firstChild.after(p("takes", spoken`${says} in this batch: ${named(which).join("; ")}.`));
    tick.checked = Boolean(done);
    follow(tick, () => Boolean((step.line?.never || step.line?.unshown) && !done && !actual(step.line)), "disabled");
    tickSaid.textContent = step.tick + (done && ", " + done.slice(11, 16));
    before.disabled = !place;
    before.textContent = undo === null ? word("Previous") : word("Take it back");
    next.disabled = step.key === "record";
    summary.textContent = screen() + word(". All screens");
    list.replaceChildren(...steps.map((each, at) => {
      const made = button(label(each), () => { steplist.open = false; go(at); one("h2", stage).focus(); });
      made.ariaCurrent = at === place && "step";
      return make("li", {}, made, got(each.key) && make("small", {}, spoken`done ${got(each.key).slice(11, 16)}`));
    }));
    document.getElementById(focus)?.focus();
  };
  const label = (step) => (step.line ? step.group + ", " : "") + step.name;
  const screen = () => spoken`Screen ${place + 1} of ${steps.length}`;
  const go = (to, from = null) => {
    place = Math.min(Math.max(to, 0), steps.length - 1);
    undo = from;
    kept.at = [batch, steps[place].key];
    if (mine()) mine().at = steps[place].key;
    save();
    draw();
    if (document.activeElement === document.body) one("h2", stage).focus();
    spoken.textContent = screen() + ": " + label(steps[place]);
    scrollTo(0, 0);
  };

  // ── Open or closed, as the address says ──
  const keys = () => new URLSearchParams(location.hash.slice(1));
  const address = (open) => {
    const now = keys();
    if (open) now.set("bench", "");
    else now.delete("bench");
    location.hash = now;
  };
  let lock;
  const stayAwake = async () => {
    try {
      await lock?.release();
      lock = !bench.hidden && !document.hidden && (await navigator.wakeLock.request("screen"));
    } catch { lock = null; }
  };
  const open = () => {
    const now = keys().has("bench");
    if (now !== bench.hidden) return;
    bench.hidden = !now;
    if (stale) renew();
    document.body.classList.toggle("at-bench", now);
    scrollTo(0, 0);
    (now ? one("h2", stage) : wayIn).focus();
    stayAwake();
  };
  let stale = false; // while the bench is closed, a new batch need not be laid out
  const renew = () => {
    if (stale = bench.hidden && batch) return;
    const was = batch;
    gather();
    if (was !== batch) {
      const key = mine()?.at || (kept.at?.[0] === batch && kept.at[1]);
      place = Math.max(0, steps.findIndex((step) => step.key === key));
      undo = null;
    }
    draw();
  };

  way.hidden = false;
  all("main > .batch, main > .obtain").at(-1)?.after(way);
  wayIn.onclick = () => { address(true); return false; };
  load();
  renew();
  open();
  addEventListener("hashchange", open);
  addEventListener("storage", (event) => {
    if (event.key && event.key !== shelf) return;
    load();
    draw();
  });
  document.addEventListener("batch", renew);
  document.addEventListener("visibilitychange", () => { beat(); stayAwake(); });
  for (const touch of ["pointerdown", "keydown"]) document.addEventListener(touch, listen);
  document.addEventListener("keydown", (event) => {
    const step = { ArrowLeft: -1, ArrowRight: 1 }[event.key];
    if (!step || bench.hidden || event.altKey || event.ctrlKey || event.metaKey || event.target.matches("textarea, .stage input")) return;
    go(place + step);
  });
})();
