/* Which of the book's terms hold the words typed, best first.  Leaves one constant for the page's own script.

   What is exactly a code with a digit in it means that formula: it comes first, then what it goes into, and no more.
   Otherwise every word has to occur.  A result ranks by its weakest word: the title before synonyms, those before what it is made
   with and what that contains, purpose and function, those before the text, that before the cautions and hazards that it inherits;
   within a word after all that begin with it. */
const matching = terms => {
"use strict";
const TITLE = 2, ALSO = 3, USES = 4, PURPOSE = 5, TEXT = 6, CARRIED = 7, WITHIN = 7, NONE = 15, SHORTEST = 5;
const LETTERS = { ß: "ss", æ: "ae", œ: "oe", ø: "o", þ: "th", ð: "d", ł: "l", đ: "d", ı: "i" };

// Folded: small letters without accents, words apart by one space each.
const fold = text => (/[^\x00-\x7f]/.test(text) ? text.normalize("NFKD").replace(/\p{M}/gu, "") : text)
  .toLowerCase().replace(/[ßæœøþðłđı]/g, letter => LETTERS[letter]).replace(/['’]/g, "")
  .replace(/[^\p{L}\p{N}]+/gu, " ").trim();

// The other number of an English word: creams finds cream, berry finds berries.
const otherNumber = word => word.length < 4 ? "" : /[^aeiou]y$/.test(word) ? word.slice(0, -1) + "ies"
  : /ies$/.test(word) ? word.slice(0, -3) + "y" : /(s|x|z|ch|sh)es$/.test(word) ? word.slice(0, -2)
  : /[^su]s$/.test(word) ? word.slice(0, -1) : "";

// 2 where a folded word begins with the one typed or is its other number, 1 where that stands within it, else 0.
const occurs = (folded, typed, other) => folded.startsWith(typed) || folded === other ? 2
  : typed.length > 2 && folded.includes(typed) ? 1 : 0;

// What of an ingredient is in the finished product: all of it, what was drawn from it, nothing.
const STAYS = { whole: 0, drawn: 1, nothing: 2 };
const values = terms.facets.flatMap(([, names]) => names);
const facetOf = terms.facets.flatMap(([name, names]) => names.map(() => name));
const entries = terms.entries.map(([title, code, stem, facets, functions, holds, also, contains, hazards, cautions, text]) => ({
  title, code, facets, also, contains, hazards, cautions, text,
  // What it is made with: the number of an entry, what of it stays (STAYS), the numbers of the intermediates that bring it.
  holds: holds.map(each => (each.length ? each : [each, 0])).map(([of, stays, ...through]) => ({ of, stays, through })),
  href: (code ? "formulas/" : "materials/") + (stem || code) + ".html",
  named: fold(title), short: fold(code).replaceAll(" ", ""),
  does: functions.map(number => terms.functions[number]),
  ofFacet: name => facets.filter(value => facetOf[value] === name).map(value => values[value]),
}));
const purposeOf = one => one.ofFacet("purpose").join(", ");
// A code without its hyphen → the one entry that it means.
const coded = new Map();
entries.forEach((one, entry) => {
  if (/\p{N}/u.test(one.short)) coded.set(one.short, coded.has(one.short) ? -1 : entry);
});
const meant = words => coded.get(words.join("")) ?? -1;

// ── The index: every folded word of the book with the entries that hold it, each at the best rank it has there ──
const WRITTEN = /[\p{L}\p{M}\p{N}'’]+/gu;
const vocabulary = [], places = [], lastSeen = [], numberOf = new Map(), numbersOf = new Map();
const numbered = folded => {
  if (!numberOf.has(folded)) {
    numberOf.set(folded, vocabulary.length);
    vocabulary.push(folded);
    places.push([]);
    lastSeen.push(-1);
  }
  return numberOf.get(folded);
};
// A word is folded once, however often the book has it; 5½ folds into several.
const numbers = written => {
  let found = numbersOf.get(written);
  if (!found) numbersOf.set(written, found = fold(written).split(" ").filter(Boolean).map(numbered));
  return found;
};
// The words of each entry in the order of their ranks, read once: many formulas are made with it.
const within = text => [...new Set((text.match(WRITTEN) || []).flatMap(numbers))];
const read = entries.map(one => ({
  names: within([one.title, one.code, ...one.also].join(" ")),
  contains: within(one.contains.join(" ")),
  hazards: within(one.hazards),
  cautions: within(one.cautions),
}));
entries.forEach((one, entry) => {
  const enter = (words, rank) => {
    for (const number of words) {
      if (lastSeen[number] === entry) continue;
      lastSeen[number] = entry;
      places[number].push(entry * 16 + rank);
    }
  };
  enter(within(`${one.title} ${one.code} ${one.short}`), TITLE);
  enter(read[entry].names, ALSO);
  enter(read[entry].contains, ALSO);
  for (const { of } of one.holds) enter(read[of].names, USES);
  for (const { of, stays } of one.holds) if (stays !== STAYS.nothing) enter(read[of].contains, USES);
  enter(within([purposeOf(one), ...one.does].join(" ")), PURPOSE);
  enter(within(`${one.text}\n${one.hazards}\n${one.cautions}`), TEXT);
  for (const { of, stays } of one.holds) {
    if (stays !== STAYS.nothing) enter(read[of].cautions, CARRIED);
    if (!entries[of].code) enter(read[of].hazards, CARRIED);
  }
});
// The words typed, each with how every word of the book answers to it; to the parts of a code only what is the same.
const wordsOf = text => {
  const words = fold(text).split(" ").filter(Boolean), own = meant(words);
  return own < 0 ? words.map(typed => {
    const other = otherNumber(typed);
    return { typed, own, answers: Uint8Array.from(vocabulary, folded => occurs(folded, typed, other)) };
  }) : fold(entries[own].code).split(" ").map(typed => (
    { typed, own, answers: Uint8Array.from(vocabulary, folded => (folded === typed ? 2 : 0)) }));
};
const ranks = ({ answers }) => {
  const best = new Uint8Array(entries.length).fill(NONE);
  answers.forEach((answer, number) => {
    if (!answer) return;
    for (const place of places[number]) {
      const rank = (place & 15) + (answer === 1 ? WITHIN : 0), entry = place >> 4;
      if (rank < best[entry]) best[entry] = rank;
    }
  });
  return best;
};

// Every entry that holds all the words; among equals formulas stand by code, then materials by name.
const find = words => {
  if (!words.length) return entries.map(one => ({ one, where: [] }));
  const all = words.map(ranks), typed = words.map(word => word.typed), whole = typed.join(" "), code = typed.join("");
  const found = [], own = meant(typed);
  entries.forEach((one, entry) => {
    if (own >= 0 && entry !== own && !one.holds.some(({ of }) => of === own)) return;
    const where = all.map(best => best[entry]), worst = Math.max(...where);
    if (worst === NONE) return;
    const first = worst > TITLE ? worst : one.short === code ? 0 : one.named.startsWith(whole) ? 1 : TITLE;
    found.push({ one, where, rank: first * 1000 + where.reduce((sum, rank) => sum + rank, 0) });
  });
  return found.sort((a, b) => a.rank - b.rank);
};

// ── What is nearly a word ──
// How many letters to put in, leave out, change or swap with the next turn one word into another; none beyond a limit.
const apart = (one, other, limit) => {
  let before = [], last = Array.from({ length: other.length + 1 }, (_, end) => end);
  for (let at = 1; at <= one.length; at++) {
    const row = [at];
    for (let end = 1; end <= other.length; end++) {
      const same = one[at - 1] === other[end - 1];
      row[end] = Math.min(last[end] + 1, row[end - 1] + 1, last[end - 1] + (same ? 0 : 1));
      if (one[at - 1] === other[end - 2] && one[at - 2] === other[end - 1]) row[end] = Math.min(row[end], before[end - 2] + 1);
    }
    if (Math.min(...row) > limit && Math.min(...last) > limit) return NONE;
    before = last;
    last = row;
  }
  return last[other.length];
};
const nearest = typed => {
  let limit = typed.length < SHORTEST ? 0 : typed.length < 8 ? 1 : 2, best = -1;
  vocabulary.forEach((folded, number) => {
    if (folded.length < SHORTEST || Math.abs(folded.length - typed.length) > limit) return;
    const far = apart(typed, folded, limit);
    if (far > limit || far === limit && best >= 0 && places[number].length <= places[best].length) return;
    best = number;
    limit = far;
  });
  return best;
};
// The first word of a text that nothing answers to, a word of the book that is near it, and the text with that word.
const near = text => {
  for (const { 0: written, index } of text.matchAll(WRITTEN)) {
    const words = wordsOf(written), best = words.some(one => one.answers.some(Boolean)) ? -1 : nearest(fold(written));
    if (best < 0) continue;
    const word = [...numbersOf].find(([, numbers]) => numbers.length === 1 && numbers[0] === best)[0].toLowerCase();
    return { written, word, mended: text.slice(0, index) + word + text.slice(index + written.length) };
  }
  return null;
};

// ── In context ──
const isMeant = (written, words) => numbers(written).some(number => words.some(word => word.answers[number]));
const holds = (text, word) => (text.match(WRITTEN) || []).some(written => isMeant(written, [word]));
// The text in pieces, every second one a word that was looked for.
const pieces = (text, words) => {
  const cut = [""];
  let done = 0;
  for (const { 0: written, index } of text.matchAll(WRITTEN)) {
    if (!isMeant(written, words)) continue;
    cut[cut.length - 1] = text.slice(done, index);
    cut.push(written, "");
    done = index + written.length;
  }
  cut[cut.length - 1] = text.slice(done);
  return cut;
};
// The part of a line of the text around the first word that is found, cut between words.
const around = (text, word) => {
  for (const { 0: written, index } of text.matchAll(WRITTEN)) {
    if (!isMeant(written, [word])) continue;
    const start = text.lastIndexOf("\n", index) + 1, line = text.slice(start).split("\n", 1)[0];
    const at = index - start, end = at + written.length, from = at < 50 ? 0 : line.indexOf(" ", at - 45) + 1;
    const to = line.length < end + 60 ? line.length : Math.max(line.lastIndexOf(" ", end + 50), end);
    return (from ? "… " : "") + line.slice(from, to) + (to < line.length ? " …" : "");
  }
  return "";
};
// An ingredient, in words: `with lanolin`, `in sweet orange oil, by N-04`, `made with clay, none of which stays in it`.
const made = ({ of, stays, through }, how, called = "") =>
  `${stays === STAYS.whole ? how : word("made with")} ${entries[of].title}${called}` +
  (stays === STAYS.drawn ? word(", taken out again") : stays === STAYS.nothing ? word(", none of which stays in it") : "") +
  (through.length ? word(", by ") + through.map(number => entries[number].code).join(word(" and ")) : "");
// Where a word stands, in words of the book; what contains it or warns of it is told whole, through whatever it comes.
const context = (one, word, where) => {
  const first = texts => texts.find(text => holds(text, word)) || "", rank = where > WITHIN ? where - WITHIN : where;
  if (rank === ALSO) return first(one.also) ? spoken`also ${first(one.also)}` : spoken`contains ${first(one.contains)}`;
  if (rank === USES) {
    const carriers = one.holds.filter(({ of, stays }) => stays !== STAYS.nothing && first([...entries[of].contains, entries[of].cautions]));
    const substance = first(carriers.flatMap(({ of }) => entries[of].contains));
    const said = substance && carriers.map(each => made(each, word("in"))).join("; ");
    const known = one.holds.find(({ of }) => first([entries[of].title, entries[of].code, ...entries[of].also]));
    const { title, code, also } = known ? entries[known.of] : {};
    return [
      known && made(known, word("with"), holds(title, word) ? "" : ` (${first([code, ...also])})`),
      said && `${substance}: ${said}`,
    ].filter(Boolean).join("; ");
  }
  if (rank === CARRIED) {
    const warning = ({ of, stays }) => first([
      stays === STAYS.nothing ? "" : entries[of].cautions, entries[of].code ? "" : entries[of].hazards,
    ]);
    const carriers = one.holds.filter(warning);
    return `${carriers.map(each => made(each, word("in"))).join("; ")}: ${around(warning(carriers[0]), word)}`;
  }
  return rank === PURPOSE ? first([purposeOf(one), ...one.does])
    : rank === TEXT ? around(first([one.text, one.hazards, one.cautions]), word) : "";
};
// Where the words stand beside the title; what the thing is for, where the title holds them all.
const contexts = ({ one, where }, words) => {
  const said = [], coded = words.length && one.holds.find(({ of }) => of === words[0].own);
  if (coded) return made(coded, word("with"), ` (${entries[coded.of].code})`);
  words.forEach((word, number) => {
    if (!said.some(text => holds(text, word))) said.push(context(one, word, where[number]));
  });
  return said.filter(Boolean).join(" · ") || purposeOf(one) || (one.code ? "" : one.does.join(", "));
};
// True where an answer is whole only if every ingredient says what it contains: nothing is found, what is found comes from what an
// ingredient contains or cautions of, or the words are those of a fragrance allergen.
const scents = terms.allergens.map(fold);
const tells = ({ one, where }, words) => words.some((word, number) => {
  const rank = where[number] > WITHIN ? where[number] - WITHIN : where[number];
  const told = rank === USES ? ({ contains }) => contains : rank === CARRIED ? ({ cautions }) => [cautions] : () => [];
  const named = rank === USES && one.holds.some(({ of }) => holds(`${entries[of].title} ${entries[of].also.join(" ")}`, word));
  return !named && one.holds.some(({ of, stays }) => stays !== STAYS.nothing && told(entries[of]).some(text => holds(text, word)));
});
const rests = (text, hits, words) => {
  const asked = fold(text), coded = words.length > 0 && words[0].own >= 0;
  return asked.length >= 3 && !coded
    && (!hits.length || scents.some(name => name.startsWith(asked)) || hits.some(hit => tells(hit, words)));
};
return { facets: terms.facets, rests, wordsOf, find, near, pieces, contexts };
};
