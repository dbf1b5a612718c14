/* What can be made of what is at hand.  The table that Python wrote is the only source: a supply is known by the
   address of its page, and so is a formula that others use. */
(() => {
"use strict";
const at = id => document.getElementById(id);
const form = at("supplies"), part = at("part"), ask = at("ask"), more = at("more"), table = document.querySelector(".takes");
if (!table) return;
const PAGE = 50;
const boxes = [...form.querySelectorAll("input[type=checkbox]")];
const fold = text => text.normalize("NFKD").replace(/\p{M}/gu, "").toLowerCase();
const labels = boxes.map(box => ({ box, label: box.parentNode, name: fold(box.parentNode.textContent) }));
const formulas = [...table.tBodies[0].rows].map(row => ({
  row, own: row.cells[0].querySelector("a").getAttribute("href"), cell: row.cells[1],
  takes: [...row.cells[1].querySelectorAll("a")].map(link => link.getAttribute("href")),
}));
const madeHere = new Map(formulas.map(one => [one.own, one]));
const names = new Map([...table.querySelectorAll("a")].map(link => [link.getAttribute("href"), link.textContent]));

// ── Kept on this device ──
const PLACE = `at hand in ${form.dataset.book}`;
const kept = () => {
  try {
    const ticked = JSON.parse(localStorage.getItem(PLACE) || "[]");
    return Array.isArray(ticked) ? ticked : [];
  } catch {
    return [];
  }
};
const keep = () => {
  try {
    localStorage.setItem(PLACE, JSON.stringify(boxes.filter(box => box.checked).map(box => box.value)));
    at("unkept").hidden = true;
  } catch {
    at("unkept").hidden = false;
  }
};

// What is missing for a formula: address → the address of the intermediate that takes it, or of the formula itself.
const missing = (formula, there) => {
  const found = new Map(), seen = new Set([formula.own]), waiting = [formula];
  for (const one of waiting) {
    for (const taken of one.takes) {
      if (there.has(taken)) continue;
      const inner = madeHere.get(taken);
      if (!inner) {
        if (!found.has(taken)) found.set(taken, one.own);
      } else if (!seen.has(taken)) {
        seen.add(taken);
        waiting.push(inner);
      }
    }
  }
  return found;
};
const lead = address => {
  const link = document.createElement("a");
  link.href = address;
  link.textContent = names.get(address);
  return link;
};
const say = formula => {
  formula.cell.replaceChildren(...[...formula.lacks].flatMap(([address, taker], number) => [
    number ? "; " : "", lead(address), ...(taker === formula.own ? [] : [word(" for "), lead(taker)]),
  ]), formula.lacks.size ? "" : word("nothing"));
};
// The formulas for which as many things are missing, under a row that says how many.
const group = (number, some) => {
  const rows = document.createElement("tbody"), head = rows.insertRow(), cell = document.createElement("th");
  head.className = "lacking";
  cell.colSpan = 2;
  cell.scope = "rowgroup";
  cell.textContent = number ? spoken`${number} missing` : word("Can be made");
  head.append(cell);
  for (const one of some) say(one);
  rows.append(...some.map(one => one.row));
  return rows;
};
let pages = 1;
const show = () => {
  const there = new Set(boxes.filter(box => box.checked).map(box => box.value)), groups = [];
  for (const one of formulas) {
    one.lacks = missing(one, there);
    (groups[one.lacks.size] = groups[one.lacks.size] || []).push(one);
  }
  for (const old of [...table.tBodies]) old.remove();
  // Groups come in the order of their number, and formulas stand in each as in the table: by code.
  let room = pages * PAGE;
  for (const [number, all] of Object.entries(groups)) {
    const some = all.slice(0, room);
    if (some.length) table.append(group(Number(number), some));
    room -= some.length;
  }
  const left = formulas.length - pages * PAGE;
  more.hidden = left <= 0;
  more.textContent = spoken`list ${Math.min(left, PAGE)} more`;
  const ready = (groups[0] || []).length;
  at("count").textContent = spoken`${there.size} of ${boxes.length} at hand: ` +
    (ready === 1 ? spoken`${ready} formula can be made.` : spoken`${ready} formulas can be made.`);
};
more.addEventListener("click", () => {
  pages += 1;
  show();
  table.querySelectorAll("tr:not(.lacking) th a")[(pages - 1) * PAGE].focus();
});

// ── By hand ──
const listed = () => labels.filter(one => !one.label.hidden).map(one => one.box);
const list = () => {
  const words = fold(part.value).split(/\s+/).filter(Boolean);
  for (const one of labels) one.label.hidden = !words.every(word => one.name.includes(word));
  for (const group of form.querySelectorAll("fieldset")) group.hidden = !group.querySelector("label:not([hidden])");
  at("tick").textContent = words.length ? word("tick all listed") : word("tick all");
  at("untick").textContent = words.length ? word("untick all listed") : word("untick all");
  ask.hidden = true;
};
// What would be lost is asked for first, in the page; nothing is lost where nothing is ticked.
const setAll = (button, checked) => {
  const some = listed(), ticked = some.filter(box => box.checked).length;
  const change = () => {
    for (const box of some) box.checked = checked;
    ask.hidden = true;
    keep();
    show();
    button.focus();
  };
  if (!ticked || ticked === some.length && checked) return change();
  at("question").textContent = checked ? spoken`${ticked} of ${some.length} are ticked. Tick the others too?`
    : ticked === 1 ? word("One is ticked. Untick it?") : spoken`${ticked} are ticked. Untick them all?`;
  at("yes").textContent = checked ? word("tick the others") : ticked === 1 ? word("untick it") : word("untick them");
  at("yes").onclick = change;
  at("no").onclick = () => {
    ask.hidden = true;
    button.focus();
  };
  ask.hidden = false;
  at("yes").focus();
};
at("tick").addEventListener("click", () => setAll(at("tick"), true));
at("untick").addEventListener("click", () => setAll(at("untick"), false));
part.addEventListener("input", list);
form.addEventListener("submit", event => event.preventDefault());
form.addEventListener("change", event => {
  if (event.target.type !== "checkbox") return;
  ask.hidden = true;
  keep();
  show();
});

const before = new Set(kept());
for (const box of boxes) box.checked = before.has(box.value);
at("without").hidden = true;
form.hidden = false;
document.querySelector("#formulas h2").textContent = word("What is missing");
at("takes").textContent = word("Missing");
keep();
show();
})();
