/* The batch asked for: `250 g`, `12 x 50 mL + 5 %`, `40 g of W-01`, `twice`.  What is not clear is refused in a
   sentence, as bookgen/source/obtain.py does, and nothing is guessed. */

const EXAMPLE = document.querySelector("form.obtain small").textContent.replace(word("For example "), "");

const UNITS = new Map();
for (const [kind, names] of Object.entries(common.units))
  for (const name of names.split(" ")) UNITS.set(name, [kind.startsWith("mass") ? "g" : "mL", exactly(kind.split("=")[1])]);
const unitOf = name => UNITS.get(name) || (name.length > 2 && UNITS.get(name.toLowerCase())) || null;

class Refusal extends Error {}
const refuse = text => { throw new Refusal(text); };

const SIGNS = [
  [/^[-−–+±] ?[0-9.,]/, word("has a plus or minus sign: write the number alone.")],
  [/^[0-9.,]+ ?[eE] ?[-+−]?[0-9]/, word("is written with a power of ten: write the digits in full.")],
  [/^[0-9]+ ?\/ ?[0-9]/, word("is a fraction: write a decimal.")],
  [/^[0-9.,]+ ?(?:-|–|—|…|\.\.+|to|or) ?[0-9]/, word("is a range: write one number.")],
  [/^[0-9]*[.,][.,0-9]*[.,]/, word("has more than one decimal sign.")],
  [/^[.,][0-9]/, word("lacks the zero before the decimal sign.")],
];

/* Digits in groups, by a sign that is not the decimal sign of the same number, and how they are written instead. */
const GROUPED = /^([0-9]{1,3}(?:([ '’_.,])[0-9]{3})(?:\2[0-9]{3})*)(?:([.,])([0-9]+))?(?![0-9])/;
const regrouped = text => {
  const [all, whole, mark, sign, decimals] = text.match(GROUPED) || [];
  if (!all || mark === sign || ".,".includes(mark) && !sign && whole.split(mark).length < 3) return null;
  const plainly = whole.replace(/[^0-9]/g, "") + (sign ? page.decimal + decimals : "");
  return spoken`“${all}” has its digits in groups: write ${plainly}.`;
};

const numberIn = text => {
  const [, digits, sign, decimals = ""] = text.match(/^([0-9]+)(?:([.,])([0-9]+))?$/) || refuse(spoken`“${text}” is not a number.`);
  if (digits.length + decimals.length > 15) refuse(spoken`${text.slice(0, 20)}… has more than 15 digits.`);
  if (digits.length > 1 && digits[0] === "0") refuse(spoken`${text} begins with a zero: leave it out.`);
  const small = digits + page.decimal + decimals, large = digits + decimals;
  if (sign && sign !== page.decimal && decimals.length === 3 && digits.length < 4 && digits !== "0")
    refuse(spoken`${text} can be read as ${small} or as ${large}: write ${small} or ${large}.`);
  return ratio(BigInt(digits + decimals), power(decimals.length));
};

const quantity = text => {
  const found = text.match(/^([0-9]+(?:[.,][0-9]+)?) ?([A-Za-zµμÀ-ÖØ-öø-ÿ]+)\.?(?![0-9.,])(.*)$/);
  if (!found) {
    const part = text.match(/[½¼¾⅓⅔⅛⅕⅙]/);
    if (part) refuse(spoken`${part[0]} is not a number here: write a decimal.`);
    if (regrouped(text)) refuse(regrouped(text));
    const wrong = SIGNS.find(([pattern]) => pattern.test(text));
    if (wrong) refuse(spoken`“${text}” ${wrong[1]}`);
    if (/^[0-9]+(?:[.,][0-9]+)?$/.test(text)) refuse(spoken`${text} lacks a unit: write it as in ${EXAMPLE}.`);
    refuse(spoken`“${text}” is not a batch: write ${EXAMPLE}.`);
  }
  const wrong = SIGNS.find(([pattern]) => pattern.test(text)), unit = unitOf(found[2]);
  if (!unit) refuse(wrong ? spoken`“${text}” ${wrong[1]}` : spoken`“${found[2]}” is not a unit here: write g or mL.`);
  const number = numberIn(found[1]);
  if (!number[0]) refuse(spoken`${found[1]} ${found[2]} is nothing: write a figure above zero.`);
  if (found[3].trim()) refuse(spoken`“${found[3].trim()}” after ${found[1]} ${found[2]} is not understood.`);
  return {value: times(number, unit[1]), unit: unit[0], text: `${found[1]} ${found[2]}`};
};

/* In the formula's own unit; grams and millilitres are turned into each other only through its density. */
const inOwn = ({value, unit}) => {
  if (unit === own.unit) return value;
  return inUnit(own, unit === "g" ? value : null, unit === "mL" ? value : null)
    || refuse(spoken`${unit} cannot be turned into ${own.unit}: ${own.title} states no density.`);
};

/* How much of a supply one unit of the batch takes, also inside what is made first; what is there is not made. */
const usedOf = (key, ready, unit, density) => {
  const needed = new Map([[page.own, ONE]]);
  let used = ZERO;
  for (const [name, table] of tables) {
    if (!needed.has(name) || ready.includes(name)) continue;
    for (const row of table.rows) {
      const grams = times(row.per, needed.get(name)), ml = row.ml ? times(row.ml, needed.get(name)) : null;
      if (row.made && !ready.includes(row.takes)) {
        needed.set(row.takes, add(needed.has(row.takes) ? needed.get(row.takes) : ZERO, inUnit(tables.get(row.takes), grams, ml)));
        continue;
      }
      const parts = typeof row.takes === "string" ? [[row.takes, ONE]] : row.takes;
      for (const [material, share] of parts)
        if (material === key)
          used = add(used, unit === "g" ? times(grams, share) : parts.length === 1 && ml || over(times(grams, share), density));
    }
  }
  return used;
};

/* The same as it is metered, in a batch and in what is made first for it, stocks and all, null where not known; and
   whether all of it can be measured. */
const takenOf = (key, unit, density, own, made) => {
  let used = ZERO, sound = true;
  for (const lines of [own.lines, ...made.filter(one => one.inner).map(one => one.inner.lines)]) {
    const all = taken(lines);
    lines.forEach((line, at) => {
      const {takes} = line.row, parts = typeof takes === "string" ? [[takes, ONE]] : takes;
      parts.forEach(([material, share], part) => {
        if (material !== key) return;
        if (line.way.is === "none") sound = false;
        const grams = parts.length > 1 && line.strong ? [line.strong, line.water][part] : times(all[at], share);
        used = add(used, unit === "g" ? grams : grams ? over(grams, density) : parts.length === 1 ? line.ml : null);
      });
    });
  }
  return {used, sound};
};

const fromSupplies = text => {
  const asked = text.replace(/[; ]+$/, "").split(/ ?; ?|,? and /i).map(part => {
    const [, much, name] = part.match(/^(.+?) of (\S+)$/i) || refuse(spoken`“${part}” is not a supply: write it as in ${EXAMPLE}.`);
    const found = Object.hasOwn(page.supplies, name.toLowerCase()) && page.supplies[name.toLowerCase()];
    return {...quantity(much), name, found: found || refuse(spoken`${name} is not weighed in anywhere here.`)};
  });
  const ready = asked.map(one => one.found[0]);
  if (new Set(ready).size < ready.length) refuse(word("One supply is named twice: write all that there is of it in one figure."));
  const batches = asked.map(one => {
    const used = usedOf(one.found[0], ready, one.unit, one.found[1]);
    if (!used) refuse(spoken`How much of ${one.name} a batch takes is not known in ${one.unit}.`);
    if (!used[0]) refuse(spoken`${one.name} is not weighed in anywhere here, as what else is there is not made.`);
    one.per = used;
    return over(one.value, used);
  });
  let batch = batches.reduce(least), limit = asked[batches.findIndex(one => !order(one, batch))];
  const all = times(own.grams, batch), balance = all && balanceFor(all);
  const grid = balance ? balance[0] : [1n, 100n];
  /* Half of what is too much is taken off at once, as what is weighed moves in jumps; the rest in single steps. */
  for (let lessened = false;; lessened = true) {
    const now = evaluate(own, batch), made = firsts(now, ready), short = asked.map(one => {
      const {used, sound} = takenOf(one.found[0], one.unit, one.found[1], now, made);
      if (used && order(used, one.value) > 0) return [one, over(less(used, one.value), times(one.per, whole(2)))];
      return lessened && !sound ? [one, over(batch, whole(100))] : null;
    }).filter(Boolean);
    if (!short.length) break;
    const stride = floor(over(short.map(one => one[1]).reduce(most), grid));
    limit = short[0][0];
    batch = times([ceil(over(batch, grid)) - (stride > 1n ? stride : 1n), 1n], grid);
    if (batch[0] <= 0n) refuse(spoken`${limit.text} of ${limit.name} is too little to measure a batch from.`);
  }
  return {batch, ready, says: asked.length > 1 ? spoken`${limit.name} limits the batch.` : undefined};
};

/* So many times the batch as written, which is so many times each written amount. */
const inTimes = (typed, number) => {
  if (!number[0]) refuse(spoken`${typed} is nothing: write a figure above zero.`);
  const batch = times(page.written, number);
  return {batch, ready: [], says: `${plain(batch)}\u202f${own.unit}: ` + spoken`${plain(number)} × as written.`};
};
const WORDS = new Map([["twice", whole(2)], ["double", whole(2)], ["triple", whole(3)], ["half", HALF]]);

/* What a label says of how much a container holds; nothing where it is no cosmetic. */
const contentTold = ({value, unit}) => !page.labelled ? ""
  : " " + (order(value, exactly(common.most.small)) < 0 ? say("content-small") : say("content", {content: `${plain(value)}\u202f${unit}`}));

/* So many pieces, those made in addition among them; a page that makes none has no pattern for them. */
const inPieces = ([, first, name, second, other], {each, forms, one, several, most, none, wrong}) => {
  const form = forms[(name || other || several).toLowerCase()];
  if (form !== several && form !== forms.pieces) refuse(wrong);
  const counts = [first, second].filter(Boolean).map(numberIn), count = counts.reduce(add);
  if (counts.some(([number, parts]) => parts !== 1n || !number) || count[0] > BigInt(most)) refuse(none);
  return {batch: times(count, each), ready: [], says: `${plain(count)} ${count[0] === 1n ? one : several}.`};
};

const inContainers = (count, content, more) => {
  const number = numberIn(count), one = quantity(content);
  if (number[1] !== 1n || !number[0]) refuse(spoken`${count} is not a number of containers: write a whole number.`);
  let surplus = ZERO;
  if (more) {
    const found = more.match(/^(\S+?) ?(?:%|percent|pct)$/i) || refuse(spoken`“${more}” is not a percentage: write 5 %.`);
    surplus = over(numberIn(found[1]), whole(100));
    if (!surplus[0] || order(surplus, ONE) > 0) refuse(spoken`“${more}” is not a surplus: write one above 0 and up to 100 %.`);
  }
  const total = times(times(number, one.value), add(ONE, surplus)), batch = inOwn({value: total, unit: one.unit});
  const left = less(total, times(number, one.value));
  return {batch, ready: [], says: `${plain(total)}\u202f${one.unit}: ` + spoken`${number[0]} ${number[0] === 1n ? word("container") : word("containers")} of ${plain(one.value)}\u202f${one.unit}`
    + (left[0] ? spoken`, ${plain(left)}\u202f${one.unit} left over.` : ".") + contentTold(one)};
};

/* What is typed in the language of the book, in the English of the grammar, as bookgen/language/typed.py has it. */
const inEnglish = text => common.typed ? text.replace(new RegExp(common.typed[0], "gi"), (all, before, of, name, other) =>
  before + (of ? "of" + name : common.typed[1][other.toLowerCase()])) : text;

/* What a text counts in pieces; nothing on a page that makes none. */
const piecesIn = text => page.pieces && text.match(new RegExp(page.pieces.pattern, "i"));

/* The same as a record has it, which names the pieces that are counted. */
const inRecord = text => {
  const english = inEnglish(text), counted = piecesIn(english);
  return counted && !counted[2] && !counted[4] ? `${english} ${page.pieces.form}` : english;
};

/* Returns the batch in the formula's own unit, what of it is there already, and what has to be said; or throws. */
const read = typed => {
  const text = inEnglish(typed.replace(/[^\S\uFEFF]+/g, " ").replace(/^ | $/g, ""));
  if (!text) refuse(spoken`Nothing is written: write ${EXAMPLE}.`);
  if (text.length > 300) refuse(spoken`This is ${text.length} characters long: write ${EXAMPLE}.`);
  let asked;
  const so = text.match(/^(?:([0-9][^\s×*xt]*) ?(?:[x×*]|times)|[x×*] ?([0-9]\S*))$/i), word = WORDS.get(text.toLowerCase());
  const boxes = /^[0-9]/.test(text) && text.match(/^([^\s×*x]+) ?[x×*] ?([^+]+?) ?(?:\+ ?(.+))?$/i);
  const pieces = piecesIn(text);
  if (pieces) asked = inPieces(pieces, page.pieces);
  else if (/^.+? of \S+/i.test(text)) asked = fromSupplies(text);
  else if (so || word) asked = inTimes(text, word || numberIn(so[1] || so[2]));
  else if (boxes && piecesIn(boxes[2]))
    refuse(spoken`“${typed}” counts containers: write the number of pieces.`);
  else if (boxes) asked = inContainers(boxes[1], boxes[2], boxes[3]);
  else asked = {batch: inOwn(quantity(text)), ready: []};
  const grams = times(own.grams, asked.batch), finest = page.balances[0];
  if (grams && finest && order(grams, finest[0]) < 0)
    refuse(spoken`${plain(grams)}\u202fg in all is less than the balance reads (${plain(finest[0])}\u202fg).`);
  return asked;
};
