/* The page to search with: results follow every letter; the words and what narrows them stand in the address. */
(() => {
"use strict";
if (typeof bookTerms === "undefined") return;
const { facets, rests, wordsOf, find, near, pieces, contexts } = matching(bookTerms);
const at = id => document.getElementById(id);
const form = at("search"), field = at("words"), narrow = at("narrow"), list = at("found"), more = at("more");
const selects = [...narrow.querySelectorAll("select")];
const PAGE = 50;
let found = [], words = [], listed = 0, pending = 0;

// The numbers of the chosen values, through all facets; -1 where any will do.
const before = facets.map((_, facet) => facets.slice(0, facet).reduce((sum, [, names]) => sum + names.length, 0));
const chosen = () => selects.map((select, facet) => (select.value ? before[facet] + select.selectedIndex - 1 : -1));
const passes = (one, wanted, but) =>
  wanted.every((value, facet) => value < 0 || facet === but || one.facets.includes(value));

// ── One result ──
const element = (name, className, text) => {
  const made = document.createElement(name);
  if (className) made.className = className;
  if (text) made.textContent = text;
  return made;
};
const marked = (into, text) => {
  into.append(...pieces(text, words).map((piece, number) => (number % 2 ? element("mark", "", piece) : piece)));
  return into;
};
// What a formula may be stamped with, and what the style calls it.
const STAMPS = {
  [word("draft")]: "draft", [word("trial")]: "trial", [word("withdrawn")]: "withdrawn", [word("barred")]: "barred",
};
const result = hit => {
  const { one } = hit, item = element("li"), link = element("a"), leader = element("span", "leader");
  const status = one.ofFacet("status").at(-1), said = contexts(hit, words);
  link.href = one.href;
  link.append(marked(element("span", "title"), one.title));
  if (status in STAMPS) link.append(element("span", `stamp ${STAMPS[status]}`, status));
  leader.setAttribute("aria-hidden", "true");
  link.append(leader, one.code ? marked(element("b", "code"), one.code) : element("span", "what", word("material")));
  item.append(link);
  if (said) item.append(marked(element("small"), said));
  return item;
};
const listMore = () => {
  list.append(...found.slice(listed, listed + PAGE).map(result));
  listed = Math.min(listed + PAGE, found.length);
  more.hidden = listed === found.length;
  more.textContent = spoken`list ${Math.min(PAGE, found.length - listed)} more`;
};

// ── All results ──
const counted = (number, one, many) => `${number} ${number === 1 ? one : many}`;
const inWords = hits => {
  const formulas = hits.filter(({ one }) => one.code).length, materials = hits.length - formulas;
  return [formulas && counted(formulas, word("formula"), word("formulas")), materials && counted(materials, word("material"), word("materials"))]
    .filter(Boolean).join(word(" and "));
};
const showCounts = (hits, wanted) => selects.forEach((select, facet) => {
  const counts = new Map();
  for (const { one } of hits) {
    if (passes(one, wanted, facet)) for (const value of one.facets) counts.set(value, (counts.get(value) || 0) + 1);
  }
  facets[facet][1].forEach((name, number) => {
    select.options[number + 1].textContent = `${name} (${counts.get(before[facet] + number) || 0})`;
  });
});
// Nothing is called so, but a word of the book is near: it is offered, and taken with a press.
const offer = ({ written, word, mended }) => {
  const button = element("button", "words", word);
  button.type = "button";
  button.addEventListener("click", () => {
    field.value = mended;
    narrowTo();
    field.focus();
  });
  at("count").replaceChildren(spoken`Nothing is called ${written}. Near it: `, button, ".");
};
const show = () => {
  const typed = field.value.trim(), wanted = chosen(), narrowed = selects.filter(select => select.value);
  words = wordsOf(typed);
  const hits = typed && !words.length ? [] : find(words), asked = typed || narrowed.length;
  found = asked ? hits.filter(({ one }) => passes(one, wanted)) : [];
  listed = 0;
  list.replaceChildren();
  listMore();
  at("narrowed").textContent = narrowed.map(select => select.value).join(", ");
  at("wide").hidden = !narrowed.length;
  at("nothing").hidden = !asked || found.length > 0;
  at("count").textContent = !asked ? spoken`${inWords(hits)} can be searched.`
    : found.length > PAGE ? spoken`${inWords(found)}; the first ${PAGE} are listed.` : found.length ? `${inWords(found)}.`
    : word("Nothing found") + (typed && spoken` for “${typed}”`) + (narrowed.length ? spoken`, narrowed to ${at("narrowed").textContent}` : "") + ".";
  const other = hits.length ? null : near(typed);
  if (other && find(wordsOf(other.mended)).some(({ one }) => passes(one, wanted))) offer(other);
  if (at("incomplete")) at("incomplete").hidden = !rests(typed, found, words);
  if (narrow.open) showCounts(hits, wanted);
};

// ── The address ──
const address = () => {
  const kept = new URLSearchParams();
  if (field.value.trim()) kept.set("find", field.value.trim());
  for (const select of selects) if (select.value) kept.set(select.name, select.value);
  return "#" + kept;
};
const go = how => {
  if (address() === (location.hash || "#")) return;
  try {
    history[how](null, "", address());
  } catch {
    location.hash = address(); // where the address of a file may not be changed
  }
};
const write = () => {
  clearTimeout(pending);
  pending = 0;
  go("replaceState");
};
const narrowTo = () => {
  show();
  go("pushState");
};
const read = () => {
  // The field of the contents page asks in the address, as a form does; what is asked here stands behind the #.
  const kept = new URLSearchParams(location.hash.slice(1) || location.search.slice(1));
  if (field.value.trim() !== (kept.get("find") || "")) field.value = kept.get("find") || "";
  for (const select of selects) {
    select.value = kept.get(select.name) || "";
    if (select.selectedIndex < 0) select.value = "";
  }
  show();
};

// ── By hand ──
field.addEventListener("input", () => {
  show();
  // Browsers slow a page down that writes its address with every letter.
  pending = pending || setTimeout(write, 300);
});
narrow.addEventListener("change", narrowTo);
narrow.addEventListener("toggle", show);
at("wide").addEventListener("click", () => {
  for (const select of selects) select.value = "";
  narrowTo();
  field.focus();
});
more.addEventListener("click", () => {
  const next = listed;
  listMore();
  list.children[next].firstChild.focus();
});
list.addEventListener("click", write);
form.addEventListener("submit", event => {
  event.preventDefault();
  write();
  if (found.length) location.href = found[0].one.href;
});
// Arrow keys lead from the field through the results and back.
document.addEventListener("keydown", event => {
  const step = { ArrowDown: 1, ArrowUp: -1 }[event.key], links = [...list.querySelectorAll("a")];
  const here = links.indexOf(document.activeElement);
  if (!step || event.altKey || event.ctrlKey || event.metaKey || (here < 0 && document.activeElement !== field)) return;
  const next = here + step < 0 ? field : links[here + step];
  if (!next || next === document.activeElement) return;
  event.preventDefault();
  next.focus();
});
addEventListener("popstate", read);

selects.forEach((select, facet) => select.append(...facets[facet][1].map(name => new Option(name, name))));
at("without").hidden = true;
form.hidden = false;
narrow.open = new URLSearchParams(location.hash.slice(1)).size > 1;
read();
if (!location.hash) field.focus({ preventScroll: true });
})();
