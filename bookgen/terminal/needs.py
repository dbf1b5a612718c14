"""The shopping list of a day as text."""

from __future__ import annotations

from collections.abc import Sequence

from .. import show
from ..findings import Missing
from ..fraction import Fraction
from ..model import Book, Known
from ..reckon.first import MakeFirst
from ..reckon.needs import Need, Needs, Order
from ..reckon.on_shelf import LotState, ShelfLot
from ..shown.shelf import LAW_SHORT
from .batch import made_words
from .columns import WIDEST, side_by_side, wrapped


def needs_text(found: Needs, book: Book, width: int = WIDEST) -> str:
    """Return the list: what is made, what is made first in the order of work, what is weighed in, what is not known."""
    signs = show.signs_of(book.workroom)
    listed = [need for need in found.materials if not need.is_there]
    enough = [need for need in found.materials if need.is_there]
    parts = [
        ["To be made", *side_by_side([_order(order, book, signs) for order in found.orders], (0, 1, 2))],
        _first(found.make_first, book, signs, width),
        _list(listed, book, signs, any(need.have_g or need.have_ml for need in found.materials)),
        _enough(enough, signs, width),
        _uncounted(found.uncounted or (), book, signs, width),
        _not_known(found, book, signs, width),
        wrapped(_unused(found, book), 2, width) if found.unused else [],
        wrapped(LAW_SHORT, 0, width),
    ]
    return "\n\n".join("\n".join(lines) for lines in parts if lines) + "\n"


def _order(order: Order, book: Book, signs: show.Signs) -> tuple[str, ...]:
    formula = book.formulas[order.key]
    batch = _amount(order.obtain_g, order.obtain_ml, signs)
    words = show.written(asked_words(order), signs)
    if len(order.asked) > 1 or any(asked is None or asked.containers or asked.times for asked in order.asked):
        words = f"{words} = {batch}"
    return formula.code, formula.title, words


def asked_words(order: Order) -> str:
    """Return what was asked of one formula."""
    return " and ".join("as written" if asked is None else asked.text for asked in order.asked)


def _amount(grams: Known, ml: Known, signs: show.Signs) -> str:
    if isinstance(grams, Fraction):
        return show.weight(grams, None, signs)
    return show.volume(ml, signs) if isinstance(ml, Fraction) else f"not known: {grams.says.words(signs)}"


def _first(made: Sequence[MakeFirst], book: Book, signs: show.Signs, width: int) -> list[str]:
    """Return what is made first, used before users, so that one can work down the list."""
    if not made:
        return []
    lines = ["Make first, in this order"]
    for first in reversed(made):
        formula = book.formulas[first.key]
        users = _codes(first.users, book, own=first.key)
        words = f"{formula.code} {formula.title}: {made_words(first, signs, ',')}; for {users}"
        lines += wrapped("  " + words, 6, width)
    return lines


def _codes(users: Sequence[str], book: Book, own: str = "") -> str:
    return ", ".join("itself" if key == own else book.formulas[key].code for key in users)


def _list(listed: Sequence[Need], book: Book, signs: show.Signs, with_have: bool) -> list[str]:
    """Return the materials in columns, decimal signs below each other; with what is there, only what is missing."""
    if not listed:
        return ["Nothing is missing."] if with_have else []
    names = [need.name for need in listed]
    grams = _column([need.missing_g for need in listed], signs)
    ml = _column([_missing_ml(need) for need in listed], signs, show.Fine.COMPUTED)
    there = _column([need.have_g or None for need in listed], signs) if with_have else [""] * len(listed)
    users = [_codes(need.users, book) for need in listed]
    rows = [
        ("", "g", "mL", "on hand, g" if with_have else "", "for"),
        *zip(names, grams, ml, there, users, strict=True),
    ]
    columns = [column for column in range(5) if any(row[column] for row in rows[1:])]
    title = "Missing" if with_have else "To be weighed in"
    return [title, *side_by_side([tuple(row[column] for column in columns) for row in rows], (0, len(columns) - 1))]


def _missing_ml(need: Need) -> Fraction | None:
    """Return what is missing in mL: what is measured by volume, else the weight through the density."""
    if need.by_volume_ml:
        return need.missing_ml or None
    if isinstance(need.ml, Missing) or not need.grams:
        return None
    return need.ml * need.missing_g / need.grams


def _column(values: Sequence[Fraction | None], signs: show.Signs, figures: int = show.Fine.PLAIN) -> list[str]:
    """Return figures of one column, padded so that their decimal signs stand below each other."""
    texts = ["" if value is None or not value else show.plain(value, signs, figures) for value in values]
    most = max((show.decimals(text, signs) for text in texts if text), default=0)
    return [text + " " * (len(show.padding(text, most, signs))) if text else "" for text in texts]


def _enough(enough: Sequence[Need], signs: show.Signs, width: int) -> list[str]:
    if not enough:
        return []
    words = []
    for need in enough:
        unit, taken, have = ("g", need.grams, need.have_g) if need.grams else ("mL", need.by_volume_ml, need.have_ml)
        part = show.with_unit(show.plain(taken, signs), unit)
        words.append(f"{need.name} ({part} of {show.with_unit(show.plain(have, signs), unit)})")
    return wrapped(f"Enough is on hand: {', '.join(words)}.", 2, width)


def _uncounted(lots: Sequence[ShelfLot], book: Book, signs: show.Signs, width: int) -> list[str]:
    """Return the lots on the shelf that were not counted, and why."""
    if not lots:
        return []
    told = []
    for lot in lots:
        why = lot.state.value
        if lot.state is LotState.GOOD:
            why = lot.left.says.words(signs) if isinstance(lot.left, Missing) else f"in {lot.account.unit} alone"
        told.append(f"{lot.account.code} of {book.name_of(lot.account.of)} ({why})")
    return wrapped(f"On the shelf and not counted: {'; '.join(told)}.", 2, width)


def _not_known(found: Needs, book: Book, signs: show.Signs, width: int) -> list[str]:
    if not found.unknown:
        return []
    lines = ["Not known, look at the formula"]
    for unweighed in found.unknown:
        words = f"{unweighed.name} for {book.formulas[unweighed.user].code}: {unweighed.why.says.words(signs)}"
        lines += wrapped("  " + words, 6, width)
    return lines


def _unused(found: Needs, book: Book) -> str:
    asked = {order.key for order in found.orders}
    kept = [book.name_of(key) for key in found.unused if key in asked]
    names = [book.name_of(key) for key in found.unused if key not in asked]
    said = [f"To be made as asked, whatever of it is on hand: {', '.join(kept)}."] if kept else []
    said += [f"On hand and not needed: {', '.join(names)}."] if names else []
    return " ".join(said)
