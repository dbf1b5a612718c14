"""Batch records: what cannot have been, and what was probably forgotten.

Enters: the batch records of a book and what they took of its lots.  Leaves: findings at the record; none of them bars a
formula, because a record tells what was and not what is to be made.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from datetime import date

from ..findings import Place, Severity, did_you_mean
from ..fraction import Fraction
from ..model import BatchRecord, BenchLine, Book, Formula, Known, Material, PieceForm, Quantity
from ..reckon.counted import as_made, in_unit_of, is_made
from ..reckon.figures import Figures, Reckoning
from ..reckon.graph import circles
from ..reckon.known import add
from ..reckon.lastdays import figures_of
from ..reckon.lots import Drawn, Movement, taken_grams
from ..source.naming import hint_in
from ..wording.saying import Saying, says
from .rule import Said, known

FAR_OFF = 5
"""From so many times what was planned on, or so many times less, a decimal sign is probably misplaced (own choice, no
source)."""


def _said(record: BatchRecord, place: Place, told: Saying, severity: Severity | None = None) -> Said:
    return Said(place=place, says=told, concerns=record.key, title=record.key, severity=severity)


def _at(record: BatchRecord, *keys: str) -> Place:
    for key in keys:
        if key in record.places:
            return record.places[key]
    return Place(path=record.path)


def _formula(record: BatchRecord, book: Book) -> Formula | None:
    """Return the formula that was made; None where the book has none of that code."""
    return book.formulas.get(book.key_made(record))


def _made(record: BatchRecord, reckoning: Reckoning) -> Formula | None:
    """Return the formula in the issue that was made where it is kept, else as it is now; None where there is none."""
    figures = figures_of(reckoning, record)
    return None if figures is None else figures.formula


def batch_of_nothing(reckoning: Reckoning) -> Iterator[Said]:
    """A batch is of a formula that the book has; error, with what was probably meant.

    Source: common practice, no source.
    """
    book = reckoning.book
    if book.unread:
        return  # its file may be one that could not be read
    for record in book.batches.values():
        if record.of is not None and _formula(record, book) is None:
            told = says("batch-of-nothing", code=record.of.code, hint=hint_in(book, record.of.code))
            yield _said(record, _at(record, "of"), told)


def batch_of_later_issue(reckoning: Reckoning) -> Iterator[Said]:
    """The issue that was followed is not later than the one the formula is at; error.

    Source: common practice, no source.
    """
    for record in reckoning.book.batches.values():
        formula = _formula(record, reckoning.book)
        if formula is None or record.of is None or "issue" in formula.unread or record.of.issue <= formula.issue:
            continue
        told = says("batch-of-later-issue", code=formula.code, current=formula.issue, issue=record.of.issue)
        yield _said(record, _at(record, "of"), told)


def batch_before_issue(reckoning: Reckoning) -> Iterator[Said]:
    """A batch is made on or after the day of the issue that was followed, where the change log has it; query.

    Source: common practice, no source.
    """
    for record in reckoning.book.batches.values():
        formula = _formula(record, reckoning.book)
        if formula is None or record.of is None or record.made is None:
            continue
        for change in formula.changes:
            whole = len(change.on) == len("2026-03-02")
            if change.issue == record.of.issue and whole and date.fromisoformat(change.on) > record.made.on:
                told = says("batch-before-issue", code=formula.code, issue=record.of.issue, day=change.on)
                yield _said(record, _at(record, "of"), told)


def batch_days(reckoning: Reckoning) -> Iterator[Said]:
    """A batch is looked at, counted, used up or thrown away on or after the day it was made; error.

    Source: common practice, no source.
    """
    for record in reckoning.book.batches.values():
        made = record.made
        if made is None:
            continue
        for seen in record.observed:
            if seen.day.on < made.on:
                yield _said(record, seen.place, says("observed-early", day=seen.day.text, made=made.text))
        events = [(count.place, says("lot-counted"), count.day) for count in record.counted]
        if record.used_up is not None:
            events.append((_at(record, "used up"), says("lot-used-up"), record.used_up))
        if record.discarded is not None:
            events.append((_at(record, "discarded"), says("lot-thrown-away"), record.discarded))
        for place, what, day in events:
            if day.on < made.on:
                yield _said(record, place, says("batch-day-early", what=what, day=day.text, made=made.text))


# ── Lines ─────────────────────────────────────────────────────────────────────────────────────────────────────────


def bench_line_of_nothing(reckoning: Reckoning) -> Iterator[Said]:
    """What was planned or weighed is a material or formula of the book; error, with what was probably meant.

    Source: common practice, no source.
    """
    book = reckoning.book
    if book.unread:
        return
    for record in book.batches.values():
        for lines, what in (
            (record.planned, says("what-planned")),
            ((*record.weighed, *record.weighed_beforehand), says("what-weighed")),
        ):
            for line in lines:
                if not book.key_of(line.material):
                    hint = hint_in(book, line.material)
                    told = says("bench-line-of-nothing", name=line.material, what=what, hint=hint)
                    yield _said(record, line.place, told)


def _lines_of(formula: Formula, book: Book) -> set[str]:
    """Return the keys of what a formula weighs; of ethanol that is diluted also the water."""
    return {book.key_of(line.material) for line in formula.lines}


def bench_line_besides(reckoning: Reckoning) -> Iterator[Said]:
    """What was weighed is a line of the formula, where that issue is the present one or kept; query.

    Source: common practice, no source (a deviation is written down with its reason).
    """
    book = reckoning.book
    for record in book.batches.values():
        figures = figures_of(reckoning, record)
        if figures is None or record.of is None or record.of.issue != figures.formula.issue:
            continue
        formula = figures.formula
        if not formula.readable:
            continue
        its = {key for line in figures.amounts.lines for key, _ in line.takes} | _lines_of(formula, book)
        if "ingredients" in formula.unread or "" in its:
            continue
        told_of: set[str] = set()
        for line in record.taken:
            key = book.key_of(line.material)
            if key and key not in its and key not in told_of:
                told_of.add(key)
                told = says("bench-line-besides", issue=record.of.issue, code=formula.code, name=line.material)
                yield _said(record, line.place, told)


def bench_line_forgotten(reckoning: Reckoning) -> Iterator[Said]:
    """What was planned is also written as weighed; query, once a record, as a line was forgotten in making or writing.

    Source: common practice, no source.
    """
    book = reckoning.book
    for record in book.batches.values():
        if not record.readable or {"weighed", "weighed beforehand"} & set(record.unread):
            continue
        weighed = {_key(line, book) for line in (*record.weighed, *record.weighed_beforehand)}
        left = {
            line.material: None
            for line in record.planned
            if book.key_of(line.material) and _key(line, book) not in weighed
        }
        if left:
            told = says("bench-line-forgotten", names=tuple(left), count=len(left))
            yield _said(record, _at(record, "weighed", "planned"), told)


def _key(line: BenchLine, book: Book) -> str:
    return book.key_of(line.material) or line.material.casefold()


def weighed_far_off(reckoning: Reckoning) -> Iterator[Said]:
    """What was weighed of an ingredient is less than five times what was planned and more than a fifth of it; query.

    Source: own choice, no source.
    """
    book = reckoning.book
    for record in book.batches.values():
        planned, weighed = _sums(record.planned, book), _sums(record.weighed, book)
        for key, was in weighed.items():
            amount, wanted = known(was), known(planned.get(key))
            if amount is None or wanted is None or wanted / FAR_OFF < amount < wanted * FAR_OFF:
                continue
            line = next(line for line in record.weighed if _key(line, book) == key)
            told = says("weighed-far-off", weighed=amount, planned=wanted, name=line.material)
            yield _said(record, line.amount_place, told)


def _sums(lines: Iterable[BenchLine], book: Book) -> dict[str, Known]:
    """Return the grams of each ingredient, all its lines together."""
    found: dict[str, list[Known]] = {}
    for line in lines:
        key = _key(line, book)
        found.setdefault(key, []).append(taken_grams(line, book.at(key), book))
    return {key: add(parts) for key, parts in found.items()}


# ── Lots ──────────────────────────────────────────────────────────────────────────────────────────────────────────


def _drawn(reckoning: Reckoning) -> Iterator[tuple[BatchRecord, Drawn]]:
    for number, all_drawn in reckoning.lots.drawn.items():
        for drawn in all_drawn:
            yield reckoning.book.batches[number], drawn


def lot_unknown(reckoning: Reckoning) -> Iterator[Said]:
    """A lot that was taken is one that the material lists, or a batch of the intermediate; error, with the nearest.

    Source: common practice, no source (a lot that was never received cannot be traced).
    """
    book = reckoning.book
    for record, drawn in _drawn(reckoning):
        line, item = drawn.line, book.at(drawn.key)
        if not line.lot or drawn.lot is not None or item is None:
            continue
        if isinstance(item, Material):
            if item.readable and "lots" not in item.unread:
                hint = did_you_mean(line.lot, [lot.key for lot in item.lots])
                told = says("lot-unknown", name=item.name, lot=line.lot, path=item.path, hint=hint)
                yield _said(record, line.lot_place, told)
            continue
        other = book.batches.get(line.lot.casefold())
        if other is not None and other.of is not None:
            told = says("lot-of-other-batch", lot=other.key, other=other.of.code, name=item.code)
        elif other is not None or book.unread:
            continue
        else:
            own = [batch.key for batch in book.batches.values() if _formula(batch, book) is item]
            told = says("lot-of-no-batch", lot=line.lot, name=item.code, hint=did_you_mean(line.lot, own))
        yield _said(record, line.lot_place, told)


def lot_missing(reckoning: Reckoning) -> Iterator[Said]:
    """A line names its lot where the book lists one that was there; query, once a record.

    Source: record-keeping of USP <795> (lot of each component), from memory.
    """
    came: dict[str, date] = {}
    for account in reckoning.lots.accounts.values():
        first = date.min if account.came is None else account.came
        came[account.of] = min(first, came.get(account.of, date.max))
    for number, record in reckoning.book.batches.items():
        made = record.made
        if made is None:
            continue
        names = {
            drawn.line.material: None
            for drawn in reckoning.lots.drawn[number]
            if not drawn.line.lot and came.get(drawn.key, date.max) <= made.on
        }
        if names:
            yield _said(record, _at(record, "weighed"), says("lot-missing", names=tuple(names)))


def lot_out_of_time(reckoning: Reckoning) -> Iterator[Said]:
    """A lot is taken between the day it came and the day it was used up or thrown away; error.

    Source: common practice, no source.
    """
    for record, drawn in _drawn(reckoning):
        if drawn.lot is None or record.made is None:
            continue
        account = reckoning.lots.accounts[drawn.lot]
        came, gone = account.came, account.gone
        if came is not None and came > record.made.on:
            day = came.isoformat()
            told = says("lot-came-later" if account.batch is None else "lot-made-later", lot=account.code, day=day)
            yield _said(record, drawn.line.lot_place, told)
        elif gone is not None and gone.day < record.made.on:
            what = says("lot-used-up" if gone.kind is Movement.USED_UP else "lot-thrown-away")
            told = says("lot-gone", lot=account.code, what=what, day=gone.day.isoformat())
            yield _said(record, drawn.line.lot_place, told)


def lot_of_itself(reckoning: Reckoning) -> Iterator[Said]:
    """A batch is no ingredient of itself, nor by way of others; error, once for each circle of one day.

    Source: common practice, no source (a circle over several days takes a batch before it was made).
    """
    batches, accounts = reckoning.book.batches, reckoning.lots.accounts
    uses = {
        number: tuple(
            dict.fromkeys(
                lot[1] for drawn in all_drawn if (lot := drawn.lot) is not None and accounts[lot].batch is not None
            )
        )
        for number, all_drawn in reckoning.lots.drawn.items()
    }
    for path in circles(uses):
        days = {made.on for number in path if (made := batches[number].made) is not None}
        if len(days) != 1:
            continue
        record = batches[path[0]]
        after = path[1] if len(path) > 1 else path[0]
        line = next(
            drawn.line for drawn in reckoning.lots.drawn[path[0]] if drawn.lot is not None and drawn.lot[1] == after
        )
        others = tuple(batches[number].key for number in path[1:])
        through = says("lot-through", batches=others) if others else None
        yield _said(record, line.lot_place, says("lot-of-itself", lot=record.key, through=through))


def lot_overdrawn(reckoning: Reckoning) -> Iterator[Said]:
    """What batches took of a lot is no more than was there when it came or was last counted; error, at the first line
    beyond it.

    Source: own arithmetic.
    """
    for account in reckoning.lots.accounts.values():
        beyond = account.overdrawn
        if beyond is None:
            continue
        entry, used, there = beyond
        assert entry.drawn is not None, "what was taken was taken by a line"
        told = says("lot-overdrawn", used=used, unit=account.unit, lot=account.code, there=there)
        yield _said(reckoning.book.batches[entry.drawn.batch], entry.drawn.line.amount_place, told)


# ── What came out ─────────────────────────────────────────────────────────────────────────────────────────────────


def other_pieces(reckoning: Reckoning) -> Iterator[Said]:
    """What a record counts in pieces is what the issue makes that was made; error.

    Source: common practice, no source.
    """
    for record in reckoning.book.batches.values():
        formula = _made(record, reckoning)
        if formula is None or "makes" in formula.unread:
            continue
        made = None if formula.makes is None else formula.makes.form
        asked = None if record.obtain is None else record.obtain.form
        if asked is not None and asked not in (made, PieceForm.PIECES if made else made):
            yield _said(record, _at(record, "obtain"), _not_made(asked, made, formula))
        for key, quantities in (
            ("came out", () if record.came_out is None else (record.came_out,)),
            ("filled", [filling.each for filling in record.filled]),
            ("kept sample", [filling.each for filling in record.kept_sample]),
        ):
            wrong = next((quantity for quantity in quantities if not is_made(quantity, formula)), None)
            if wrong is not None and wrong.form is not None:
                yield _said(record, _at(record, key), _not_made(wrong.form, made, formula))


def _not_made(said: PieceForm, made: PieceForm | None, formula: Formula) -> Saying:
    if made is None:
        return says("counts-no-pieces", said=said.value, code=formula.code)
    return says("counts-other-pieces", said=said.value, code=formula.code, form=made.value)


def more_than_went_in(reckoning: Reckoning) -> Iterator[Said]:
    """No more comes out of a batch than was weighed in, where every line of the issue that was made is written; error.

    Source: conservation of mass.
    """
    for number, record in reckoning.book.batches.items():
        if record.came_out is None or record.came_out.form is not None:
            continue  # pieces are counted: where there are a few more, each may be a little lighter
        weighed = out_and_in(reckoning, number, record)
        if weighed is not None and weighed[0] > weighed[1]:
            out, went_in = weighed
            yield _said(record, _at(record, "came out"), says("more-than-went-in", out=out, went_in=went_in))


def out_and_in(reckoning: Reckoning, number: str, record: BatchRecord) -> tuple[Fraction, Fraction] | None:
    """Return the grams that came out, pieces as heavy as they are written, and those that were weighed in; None where
    either is not known, or a line of the issue that was made is not written."""
    book, formula = reckoning.book, _made(record, reckoning)
    if formula is None or record.of is None or record.came_out is None or "weighed" in record.unread:
        return None
    weighed = {_key(line, book) for line in record.taken}
    wanted = {_key(line, book) for line in record.planned}
    if record.of.issue == formula.issue:
        wanted |= _lines_of(formula, book)
    out = _as_grams(record.came_out, figures_of(reckoning, record))
    went_in = known(add(drawn.grams for drawn in reckoning.lots.drawn[number]))
    return None if out is None or went_in is None or not wanted or not wanted <= weighed else (out, went_in)


def _as_grams(quantity: Quantity, figures: Figures | None) -> Fraction | None:
    if quantity.unit == "g":
        return quantity.value
    return None if figures is None else known(in_unit_of(figures, quantity, "g"))


def filled_beyond(reckoning: Reckoning) -> Iterator[Said]:
    """No more is filled and kept back than came out; error, or query where one is by weight and the other by volume or
    in pieces, as what a jar holds is a round figure and pieces differ a little.

    Source: conservation of mass.
    """
    for record in reckoning.book.batches.values():
        fillings = (*record.filled, *record.kept_sample)
        if record.came_out is None or not fillings:
            continue
        figures = figures_of(reckoning, record)
        formula = None if figures is None else figures.formula
        out, sizes = as_made(record.came_out, formula), [as_made(filling.each, formula) for filling in fillings]
        alike = all(size.unit == out.unit for size in sizes)
        came = out.value if alike else _as_grams(out, figures)
        filled = [
            (filling.count, size.value if alike else _as_grams(size, figures))
            for filling, size in zip(fillings, sizes, strict=True)
        ]
        total = sum((count * each for count, each in filled if each is not None), Fraction(0))
        if came is None or any(each is None for _, each in filled) or total <= came:
            continue
        told = says("filled-beyond", filled=total, unit=out.unit if alike else "g", out=came)
        yield _said(record, _at(record, "filled", "kept sample"), told, None if alike else Severity.QUERY)
