"""The shopping list of a day: as text for the terminal, as JSON and CSV for machines."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from typing import Any

from .. import show
from ..findings import Finding, Missing
from ..model import Book, Formula, Known
from ..reckon.first import MakeFirst
from ..reckon.needs import Need, Needs, Order
from .lines import WIDEST, side_by_side, wrapped
from .machine import csv_text, findings_json, made_json, value, whys
from .shelf import LAW_SHORT
from .terminal import made_words

CSV_COLUMNS = ("material", "name", "grams", "ml", "by_volume_ml", "have_g", "have_ml", "missing_g", "missing_ml",
               "asked_by", "why")  # fmt: skip
"""Columns of `--csv`: a row for each material, then one for each that is not known, with its reason."""


# ── Text ──────────────────────────────────────────────────────────────────────────────────────────────────────────


def needs_text(found: Needs, book: Book, width: int = WIDEST) -> str:
    """Return the list: what is made, what is made first in the order of work, what is weighed in, what is not known."""
    signs = show.signs_of(book.workroom)
    listed = [one for one in found.materials if not one.is_there]
    enough = [one for one in found.materials if one.is_there]
    parts = [
        ["To be made", *side_by_side([_order(one, book, signs) for one in found.orders], (0, 1, 2))],
        _first(found.make_first, book, signs, width),
        _list(listed, book, signs, any(one.have_g or one.have_ml for one in found.materials)),
        _enough(enough, signs, width),
        _not_known(found, book, width),
        wrapped(_unused(found, book), 2, width) if found.unused else [],
        wrapped(LAW_SHORT, 0, width),
    ]
    return "\n\n".join("\n".join(lines) for lines in parts if lines) + "\n"


def _order(one: Order, book: Book, signs: show.Signs) -> tuple[str, ...]:
    formula = book.formulas[one.key]
    batch = _amount(one.obtain_g, one.obtain_ml, signs)
    words = show.written(_asked(one), signs)
    if len(one.asked) > 1 or any(asked is None or asked.containers or asked.times for asked in one.asked):
        words = f"{words} = {batch}"
    return formula.code, formula.title, words


def _asked(one: Order) -> str:
    return " and ".join("as written" if asked is None else asked.text for asked in one.asked)


def _amount(grams: Known, ml: Known, signs: show.Signs) -> str:
    if isinstance(grams, Fraction):
        return show.weight(grams, None, signs)
    return show.volume(ml, signs) if isinstance(ml, Fraction) else f"not known: {grams.reason}"


def _first(made: Sequence[MakeFirst], book: Book, signs: show.Signs, width: int) -> list[str]:
    """Return what is made first, used before users, so that one can work down the list."""
    if not made:
        return []
    lines = ["Make first, in this order"]
    for one in reversed(made):
        formula = book.formulas[one.key]
        words = (
            f"{formula.code} {formula.title}: {made_words(one, signs, ',')}; for {_codes(one.users, book, own=one.key)}"
        )
        lines += wrapped("  " + words, 6, width)
    return lines


def _codes(users: Sequence[str], book: Book, own: str = "") -> str:
    return ", ".join("itself" if key == own else book.formulas[key].code for key in users)


def _list(listed: Sequence[Need], book: Book, signs: show.Signs, with_have: bool) -> list[str]:
    """Return the materials in columns, decimal signs below each other; with what is there, only what is missing."""
    if not listed:
        return ["Nothing is missing."] if with_have else []
    names = [one.name for one in listed]
    grams = _column([one.missing_g for one in listed], signs)
    ml = _column([_missing_ml(one) for one in listed], signs, 3)
    there = _column([one.have_g or None for one in listed], signs) if with_have else [""] * len(listed)
    users = [_codes(one.users, book) for one in listed]
    rows = [
        ("", "g", "mL", "on hand, g" if with_have else "", "for"),
        *zip(names, grams, ml, there, users, strict=True),
    ]
    columns = [column for column in range(5) if any(row[column] for row in rows[1:])]
    title = "Missing" if with_have else "To be weighed in"
    return [title, *side_by_side([tuple(row[column] for column in columns) for row in rows], (0, len(columns) - 1))]


def _missing_ml(one: Need) -> Fraction | None:
    """Return what is missing in mL: what is measured by volume, else the weight through the density."""
    if one.by_volume_ml:
        return one.missing_ml or None
    if isinstance(one.ml, Missing) or not one.grams:
        return None
    return one.ml * one.missing_g / one.grams


def _column(values: Sequence[Fraction | None], signs: show.Signs, figures: int = 4) -> list[str]:
    """Return figures of one column, padded so that their decimal signs stand below each other."""
    texts = ["" if one is None or not one else show.plain(one, signs, figures) for one in values]
    most = max((show.decimals(one, signs) for one in texts if one), default=0)
    return [one + " " * (len(show.padding(one, most, signs))) if one else "" for one in texts]


def _enough(enough: Sequence[Need], signs: show.Signs, width: int) -> list[str]:
    if not enough:
        return []
    words = []
    for one in enough:
        unit, taken, have = ("g", one.grams, one.have_g) if one.grams else ("mL", one.by_volume_ml, one.have_ml)
        part = show.with_unit(show.plain(taken, signs), unit)
        words.append(f"{one.name} ({part} of {show.with_unit(show.plain(have, signs), unit)})")
    return wrapped(f"Enough is on hand: {', '.join(words)}.", 2, width)


def _not_known(found: Needs, book: Book, width: int) -> list[str]:
    if not found.unknown:
        return []
    lines = ["Not known, look at the formula"]
    for one in found.unknown:
        words = f"{one.name} for {book.formulas[one.user].code}: {one.why.reason}"
        lines += wrapped("  " + words, 6, width)
    return lines


def _unused(found: Needs, book: Book) -> str:
    asked = {one.key for one in found.orders}
    kept = [book.name_of(key) for key in found.unused if key in asked]
    names = [book.name_of(key) for key in found.unused if key not in asked]
    said = [f"To be made as asked, whatever of it is on hand: {', '.join(kept)}."] if kept else []
    said += [f"On hand and not needed: {', '.join(names)}."] if names else []
    return " ".join(said)


# ── Machines ──────────────────────────────────────────────────────────────────────────────────────────────────────


def needs_json(found: Needs, book: Book) -> dict[str, Any]:
    """Return the list by the rules of `weigh --json`: exact strings, null with its reason."""
    return {
        "orders": [_order_json(one, book) for one in found.orders],
        "make_first": [_made_json(one, book) for one in found.make_first],
        "materials": [_need_json(one, book) for one in found.materials],
        "unknown": [
            {
                "material": _called(book, one.key, one.name),
                "name": one.name,
                "asked_by": book.formulas[one.user].code,
                "why": one.why.reason,
            }
            for one in found.unknown
        ],
        "unused": [_called(book, key, key) for key in found.unused],
        "why": {},
        "findings": [],
    }


def refused_needs_json(reason: str, findings: Sequence[Finding]) -> dict[str, Any]:
    """Return the answer for a day that is refused: the same shape, nothing in it, the reason."""
    shape: dict[str, Any] = {name: [] for name in ("orders", "make_first", "materials", "unknown", "unused")}
    return {**shape, "why": {"materials": reason}, "findings": findings_json(findings)}


def needs_csv(answer: dict[str, Any]) -> str:
    """Return the materials as comma-separated values, as `csv_text` writes them; what is not known has its reason."""
    told = (
        {**row, "asked_by": " ".join(row["asked_by"]), "why": "; ".join(row["why"].values())}
        for row in answer["materials"]
    )
    return csv_text(CSV_COLUMNS, (*told, *answer["unknown"]))


def _order_json(one: Order, book: Book) -> dict[str, Any]:
    formula = book.formulas[one.key]
    fields: dict[str, Known | None] = {
        "obtain_g": one.obtain_g,
        "obtain_ml": one.obtain_ml,
        "start_g": one.evaluation.start_g,
    }
    return {
        "code": formula.code,
        "title": formula.title,
        "text": _asked(one),
        **{name: value(known) for name, known in fields.items()},
        "why": whys(fields),
    }


def _made_json(one: MakeFirst, book: Book) -> dict[str, Any]:
    formula = book.formulas[one.key]
    users = [book.formulas[key].code for key in one.users]
    return made_json(one, formula.code, formula.title, asked_by=users)


def _need_json(one: Need, book: Book) -> dict[str, Any]:
    return {
        "material": _called(book, one.key, one.key),
        "name": one.name,
        "grams": show.exact(one.grams),
        "ml": value(one.ml),
        "by_volume_ml": show.exact(one.by_volume_ml),
        "have_g": show.exact(one.have_g),
        "have_ml": show.exact(one.have_ml),
        "missing_g": show.exact(one.missing_g),
        "missing_ml": show.exact(one.missing_ml),
        "asked_by": [book.formulas[key].code for key in one.users],
        "why": whys({"ml": one.ml}),
    }


def _called(book: Book, key: str, otherwise: str) -> str:
    """Return what lines call a material or formula: its file name or code, as written."""
    item = book.find(key)
    return otherwise if item is None else item.code if isinstance(item, Formula) else item.key
