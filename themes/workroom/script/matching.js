/* Which of the book's terms hold the words typed, best first.  Leaves one constant for the page's own script.

   Every word has to occur.  A result ranks by its weakest word: the title before synonyms, those before materials used,
   purpose and function, those before the text; within a word after all that begin with it. */
const matching = (terms => {
"use strict";
const TITLE = 2, ALSO = 3, USES = 4, PURPOSE = 5, TEXT = 6, WITHIN = 6;
const LETTERS = { ß: "ss", æ: "ae", œ: "oe", ø: "o", þ: "th", ð: "d", ł: "l", đ: "d", ı: "i" };

// Folded: small letters without accents, words apart by one space each, a space at both ends.
const fold = text => " " + (/[^\x00-\x7f]/.test(text) ? text.normalize("NFKD").replace(/\p{M}/gu, "") : text)
  .toLowerCase().replace(/[ßæœøþðłđı]/g, letter => LETTERS[letter]).replace(/['’]/g, "")
  .replace(/[^\p{L}\p{N}]+/gu, " ").trim() + " ";

// The other number of an English word: creams finds cream, berry finds berries.
const otherNumber = word => word.length < 4 ? "" : /[^aeiou]y$/.test(word) ? word.slice(0, -1) + "ies"
  : /ies$/.test(word) ? word.slice(0, -3) + "y" : /(s|x|z|ch|sh)es$/.test(word) ? word.slice(0, -2)
  : /[^su]s$/.test(word) ? word.slice(0, -1) : "";
const wordsOf = typed => fold(typed).trim().split(" ").filter(Boolean).map(word => {
  const other = otherNumber(word);
  return { typed: word, start: ` ${word}`, other: other && ` ${other} ` };
});

// 2 where a word of the folded text begins with it, 1 where it stands within a word, else 0.
const occurs = (folded, word) => folded.includes(word.start) || (word.other && folded.includes(word.other)) ? 2
  : word.typed.length > 2 && folded.includes(word.typed) ? 1 : 0;

const values = terms.facets.flatMap(([, names]) => names);
const facetOf = terms.facets.flatMap(([, names], facet) => names.map(() => facet));
const foldedValues = values.map(fold), foldedFunctions = terms.functions.map(fold);
const entries = terms.entries.map(([title, code, stem, facets, functions, uses, also, text]) => ({
  title, code, facets, functions, uses, also, text,
  href: (code ? "formulas/" : "materials/") + (stem || code) + ".html",
  ofFacet: facet => facets.filter(value => facetOf[value] === facet).map(value => values[value]),
  named: fold(`${title} ${code}`), known: fold(also.join(" ")), read: fold(text), short: fold(code).replaceAll(" ", ""),
}));

// Where the word stands in each entry, as its rank; 0 where it does not occur.
const ranks = word => {
  const named = entries.map(one => occurs(one.named, word)), known = entries.map(one => occurs(one.known, word));
  const value = foldedValues.map(text => occurs(text, word)), does = foldedFunctions.map(text => occurs(text, word));
  return entries.map((one, number) => {
    let within = 0;
    const begins = (found, rank) => {
      if (found === 1 && !within) within = rank + WITHIN;
      return found === 2;
    };
    if (begins(named[number], TITLE)) return TITLE;
    if (begins(known[number], ALSO)) return ALSO;
    for (const used of one.uses) if (begins(Math.max(named[used], known[used]), USES)) return USES;
    for (const facet of one.facets) if (!facetOf[facet] && begins(value[facet], PURPOSE)) return PURPOSE;
    for (const what of one.functions) if (begins(does[what], PURPOSE)) return PURPOSE;
    return begins(occurs(one.read, word), TEXT) ? TEXT : within;
  });
};

// Every entry that holds all the words; among equals formulas stand by code, then materials by name.
const find = words => {
  if (!words.length) return entries.map(one => ({ one, where: [] }));
  const all = words.map(ranks), whole = words.map(word => word.start).join(""), code = whole.replaceAll(" ", "");
  const found = [];
  entries.forEach((one, number) => {
    const where = all.map(rank => rank[number]);
    if (where.includes(0)) return;
    const best = one.short === code ? 0 : one.named.startsWith(whole) ? 1 : Math.max(...where);
    found.push({ one, where, rank: best * 1000 + where.reduce((sum, rank) => sum + rank, 0) });
  });
  return found.sort((a, b) => a.rank - b.rank);
};

// ── In context ──
const WRITTEN = /[\p{L}\p{M}\p{N}'’]+/gu;
const holds = (text, word) => occurs(fold(text), word) > 0;
// The text in pieces, every second one a word that was looked for.
const pieces = (text, words) => {
  const cut = [""];
  let done = 0;
  for (const { 0: written, index } of text.matchAll(WRITTEN)) {
    if (!words.some(word => holds(written, word))) continue;
    cut[cut.length - 1] = text.slice(done, index);
    cut.push(written, "");
    done = index + written.length;
  }
  cut[cut.length - 1] = text.slice(done);
  return cut;
};
// The part of a line of the text around the first word that is found, cut between words.
const around = (text, word) => {
  for (const line of text.split("\n")) {
    for (const { 0: written, index } of line.matchAll(WRITTEN)) {
      if (!holds(written, word)) continue;
      const from = index < 50 ? 0 : line.indexOf(" ", index - 45) + 1, end = index + written.length;
      const to = line.length < end + 60 ? line.length : Math.max(line.lastIndexOf(" ", end + 50), end);
      return (from ? "… " : "") + line.slice(from, to) + (to < line.length ? " …" : "");
    }
  }
  return "";
};
// Where a word stands, in words of the book; what the thing is for, where its title holds the word already.
const context = (one, word, where) => {
  const first = texts => texts.find(text => holds(text, word)) || "";
  const rank = where > WITHIN ? where - WITHIN : where, does = one.functions.map(what => terms.functions[what]);
  const purpose = one.ofFacet(0).join(", ");
  if (rank === ALSO) return `also ${first(one.also)}`;
  if (rank === USES) {
    const known = one.uses.map(number => entries[number]).find(each => first([each.title, each.code, ...each.also]));
    return `with ${known.title}${first([known.title]) ? "" : ` (${first([known.code, ...known.also])})`}`;
  }
  if (rank === PURPOSE) return first([purpose, ...does]);
  return rank === TEXT ? around(one.text, word) : purpose || (one.code ? "" : does.join(", "));
};
const contexts = ({ one, where }, words) => words.length
  ? [...new Set(words.map((word, number) => context(one, word, where[number])))].filter(Boolean).join(" · ")
  : one.ofFacet(0).join(", ") || (one.code ? "" : one.functions.map(what => terms.functions[what]).join(", "));
return { entries, facets: terms.facets, wordsOf, find, pieces, contexts };
});
