"""What a name on a line or in a command stands for, and what was meant where nothing in the book is called so.

A material is called by its file, or by a name or synonym that no other has; a formula by its code alone.  Enters: the
records of a book and what was filed.  Leaves: `Naming`.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from pathlib import PurePosixPath

from ..model import Book, Filed, Formula, Likeness, Material, Meant, Naming
from ..wording.saying import Saying, says
from .amounts import tidy

SHORTEST_LIKE = 3
"""Letters and digits of the shortest name that another can be a slip of."""
LONG = 8
"""From so many letters and digits on two slips still are one name misspelt, below it one (own choice, no source)."""

_PARTS = re.compile(r"[^\W_]+")
_PIECES = re.compile(r"[0-9]+|[^\W_0-9]+")


def naming_of(formulas: Mapping[str, Formula], materials: Mapping[str, Material], filed: Filed) -> Naming:
    """Return what the names mean that the lines of these formulas use, and those that their materials have."""
    bearers: dict[str, dict[str, None]] = {}
    for key, material in materials.items():
        for name in (material.name, *material.also):
            bearers.setdefault(_folded(name), {})[key] = None
    names = {name: next(iter(keys)) for name, keys in bearers.items() if len(keys) == 1}
    shared = {name: tuple(materials[key].key for key in keys) for name, keys in bearers.items() if len(keys) > 1}
    former = _former(formulas, materials, {*names, *shared})
    known = Naming(names=names, former=former, shared=shared)
    written: dict[str, str] = {}
    for text in dict.fromkeys(line.material for formula in formulas.values() for line in formula.lines):
        name = text.casefold()
        if name and not (name in formulas or name in materials or name in names or name in shared or name in former):
            written.setdefault(name, text)
    found = {name: meant(formulas, materials, known, filed, text) for name, text in written.items()}
    return Naming(
        names=names,
        former=former,
        shared=shared,
        unfiled={
            name: written[name] for name, likely in found.items() if likely is None or _own(name, likely, formulas)
        },
        meant={
            name: likely for name, likely in found.items() if likely is not None and not _own(name, likely, formulas)
        },
    )


def _former(formulas: Mapping[str, Formula], materials: Mapping[str, Material], taken: Iterable[str]) -> dict[str, str]:
    """Return former code or file name → key, where one alone had it and nothing is called so now."""
    had: dict[str, set[str]] = {}
    records: Mapping[str, Formula | Material] = {**materials, **formulas}
    for key, record in records.items():
        for name in record.formerly:
            had.setdefault(_folded(name), set()).add(key)
    return {
        name: next(iter(keys))
        for name, keys in had.items()
        if len(keys) == 1 and name not in records and name not in taken
    }


def _own(name: str, likely: Meant, formulas: Mapping[str, Formula]) -> bool:
    """Tell whether a formula whose file or title bears the name has a line of that name itself.

    `urea` in the formula of `urea.md` is no word for that formula, there or elsewhere.
    """
    if likely.how not in (Likeness.FILE, Likeness.TITLE):
        return False
    lines = (line for code in likely.write for line in formulas[code.casefold()].lines)
    return any(line.material.casefold() == name for line in lines)


def meant_in(book: Book, name: str) -> Meant | None:
    """Return what was probably meant by a name that nothing in the book has; None when nothing resembles it."""
    return book.naming.meant.get(name.casefold()) or meant(
        book.formulas, book.materials, book.naming, book.filed, tidy(name)
    )


def hint_in(book: Book, name: str) -> Saying | None:
    """Return what was probably meant, to stand behind a sentence; None when nothing resembles the name."""
    likely = meant_in(book, name)
    if likely is None:
        return None
    if likely.how is Likeness.SPELLING:
        return says("mean", name=likely.write[0])
    return says("name-is", name=name, what=said_of(likely))


def clause_in(book: Book, name: str) -> Saying | None:
    """Return the same as the end of a clause."""
    likely = meant_in(book, name)
    if likely is None:
        return None
    if likely.how is Likeness.SPELLING:
        return says("perhaps-mean", name=likely.write[0])
    return says("and-name-is", name=name, what=said_of(likely))


def said_of(likely: Meant) -> Saying:
    """Return what a name is that is no name of a line, as the rest of a sentence."""
    called = says("so-called", name=likely.called) if likely.called else None
    if likely.how is Likeness.RENAMED:
        return says("is-now", codes=likely.write, called=called)
    return says("is-title-of" if likely.how is Likeness.TITLE else "is-file-of", codes=likely.write, called=called)


def meant(
    formulas: Mapping[str, Formula], materials: Mapping[str, Material], naming: Naming, filed: Filed, typed: str
) -> Meant | None:
    """Return what was probably meant by a name that nothing has; None when nothing resembles it.

    A code that was filed under a title which another formula has now; a formula's title or file; a slip of the pen in
    the name of a material.  Codes are not likened to each other: one letter makes another preparation.
    """
    wanted = _folded(typed)
    now = next((leaf for leaf in filed.leaves if leaf.code.casefold() == wanted and leaf.title), None)
    if now is not None:
        same = [formula for formula in formulas.values() if _folded(formula.title) == _folded(now.title)]
        if same:
            return _formulas(Likeness.RENAMED, same, now.title)
    written_otherwise = [formula for formula in formulas.values() if _same_code(formula.code, typed)]
    if written_otherwise:
        return _formulas(Likeness.SPELLING, written_otherwise)
    titled = [formula for formula in formulas.values() if _folded(formula.title) == wanted]
    if titled:
        return _formulas(Likeness.TITLE, titled)
    filed_so = [formula for formula in formulas.values() if PurePosixPath(formula.path).stem.casefold() == wanted]
    if filed_so:
        return _formulas(Likeness.FILE, filed_so, filed_so[0].title if len(filed_so) == 1 else "")
    near = nearest_name(typed, materials) or nearest_name(typed, naming.names)
    if near is None:
        return None
    key = naming.names.get(near, near)
    material = materials[key]
    called = "" if near == key else next(name for name in (material.name, *material.also) if _folded(name) == near)
    return Meant(how=Likeness.SPELLING, write=(material.key,), called=called)


def _formulas(how: Likeness, found: Iterable[Formula], called: str = "") -> Meant:
    return Meant(how=how, write=tuple(sorted(formula.code for formula in found)), called=called)


def nearest_name(typed: str, known: Iterable[str]) -> str | None:
    """Return the known name, in lower case, of which the typed one is a slip of the pen; None when there is none.

    One letter too many, too few, wrong or changed about; two of them in a longer name; a strength left out or another
    (`glycerol` for `glycerol-85`); the same words in another order.

    >>> nearest_name("glycerl", ["glycerol-85", "glycerol"]), nearest_name("clove-oil", ["olive-oil-2", "castor-oil"])
    ('glycerol', None)
    """
    plain, parts = _plain(typed), _PARTS.findall(typed.casefold())
    if len(plain) < SHORTEST_LIKE:
        return None
    words = _words(parts)
    allowed = 2 if len(plain) >= LONG else 1
    best: tuple[int, int, str] | None = None
    for name in known:
        its_parts = _PARTS.findall(name.casefold())
        other = "".join(its_parts)
        if len("".join(words)) >= SHORTEST_LIKE and (words == _words(its_parts) or sorted(parts) == sorted(its_parts)):
            far = 0
        elif abs(len(plain) - len(other)) > allowed or len(other) < SHORTEST_LIKE:
            continue
        else:
            far = slips(plain, other, allowed)
            if far > allowed:
                continue
        rank = (far, abs(len(plain) - len(other)), name.casefold())
        if best is None or rank < best:
            best = rank
    return None if best is None else best[2]


def slips(one: str, other: str, most: int) -> int:
    """Return by how many letters added, left out, wrong or changed about two texts differ; `most` + 1 for any more.

    >>> slips("lanoiln", "lanolin", 2), slips("borax", "boric", 2)
    (1, 2)
    """
    before: list[int] = []
    row = list(range(len(other) + 1))
    for number, letter in enumerate(one, 1):
        earlier, before, row = before, row, [number]
        for place, its in enumerate(other, 1):
            cost = min(before[place] + 1, row[place - 1] + 1, before[place - 1] + (letter != its))
            if number > 1 and place > 1 and letter == other[place - 2] and one[number - 2] == its:
                cost = min(cost, earlier[place - 2] + 1)
            row.append(cost)
        if min(row) > most:
            return most + 1
    return row[-1]


def _folded(name: str) -> str:
    return tidy(name).casefold()


def _plain(name: str) -> str:
    """Return the letters and digits alone, in lower case."""
    return "".join(_PARTS.findall(name.casefold()))


def _same_code(code: str, typed: str) -> bool:
    """Tell whether a code is written otherwise, with the same letters and numbers: `w 1` for W-01."""
    one, other = ([part.lstrip("0") for part in _PIECES.findall(name.casefold())] for name in (code, typed))
    return one == other


def _words(parts: Iterable[str]) -> list[str]:
    """Return the parts that are no figures: what stays of a name without its strength."""
    return [part for part in parts if not part.isdecimal()]
