"""Where a lot went, and what went into a batch, as text."""

from __future__ import annotations

from collections.abc import Sequence

from .. import show
from ..findings import Missing
from ..fraction import Fraction
from ..model import BatchRecord, BenchLine, Book, Filling
from ..reckon.lots import Drawn, LotAccount
from ..reckon.trace import Sources, Takers, Traced
from ..shown.batches import gone_words
from ..shown.shelf import LAW_SHORT
from .columns import WIDEST, doubted, side_by_side, wrapped


def trace_text(traced: Traced, book: Book, width: int = WIDEST) -> str:
    """Return first what went into a batch, then where the lot went, then what is not sure."""
    signs = show.signs_of(book.workroom)
    parts: list[list[str]] = []
    if traced.sources is not None:
        parts += _sources(traced.sources, book, signs, width)
    for takers in traced.takers:
        parts += _takers(takers, book, signs, width)
    if traced.doubts:
        parts.append(["What records have wrong, so that this may not be all", *doubted(traced.doubts, width)])
    parts.append(wrapped(LAW_SHORT, 0, width))
    return "\n\n".join("\n".join(lines) for lines in parts if lines) + "\n"


def _sources(sources: Sources, book: Book, signs: show.Signs, width: int) -> list[list[str]]:
    record = book.batches[sources.batch]
    rows = [
        (source.lot.code, source.lot.name, _amounts(source.drawn, signs), _ways(source.drawn, sources.batch, book))
        for source in sources.lots
    ]
    listed = ["Lots in it", *side_by_side(rows, (0, 1, 2, 3))] if rows else ["No lot is written for anything in it."]
    return [_heading(record, book), listed, _without(sources.without, "No lot is known of", book, signs, width)]


def _heading(record: BatchRecord, book: Book) -> list[str]:
    """Return batch number, title, day, what came out and what was filled."""
    parts = [record.key, *([] if record.of is None else [book.name_of(record.of.code)])]
    lines = [" ".join(parts)]
    told = [f"made {record.made.text}"] if record.made is not None else []
    if record.of is not None:
        told.append(f"issue {record.of.issue}")
    if record.came_out is not None:
        told.append(f"{record.came_out.text} came out")
    if record.filled:
        told.append(f"filled {fillings_words(record.filled)}")
    if record.outcome is not None:
        told.append(record.outcome.value)
    return [*lines, "  " + ", ".join(told)] if told else lines


def fillings_words(fillings: Sequence[Filling]) -> str:
    """Return what was filled: `12 × 50 mL and 2 × 20 mL`."""
    return show.listing([filling.text for filling in fillings])


def _takers(takers: Takers, book: Book, signs: show.Signs, width: int) -> list[list[str]]:
    head = [f"{takers.lot.code}, {_what(takers.lot, book)}", *_life(takers.lot, signs)]
    rows = []
    jars = 0
    for taking in takers.batches:
        record = book.batches[taking.batch]
        jars += sum(filling.count for filling in (*record.filled, *record.kept_sample))
        made = record.made.text if record.made is not None else ""
        title = book.name_of(record.of.code) if record.of is not None else ""
        filled = fillings_words((*record.filled, *record.kept_sample))
        outcome = "" if record.outcome is None else record.outcome.value
        rows.append((record.key, title, made, _took(taking.took, takers.lot, signs), filled, outcome))
    if rows:
        count = show.counted(len(rows), "batch", "batches")
        listed = [
            f"It went into {count}, {show.counted(jars, 'container')} filled or kept",
            *side_by_side(rows, (0, 1, 2, 3, 4, 5)),
        ]
    else:
        listed = ["No batch is written to have taken it."]
    return [head, listed, _without(takers.perhaps, "May hold it too, as no lot is known of", book, signs, width)]


def _what(lot: LotAccount, book: Book) -> str:
    if lot.batch is not None:
        return f"a batch of {book.formulas[lot.of].code} {lot.name}"
    return f"a lot of {lot.name}"


def _life(account: LotAccount, signs: show.Signs) -> list[str]:
    """Return when the lot came, its dates, and what is left of it."""
    told: list[str] = []
    lot = account.lot
    if lot is not None:
        if lot.received is not None:
            told.append(f"came {lot.received.text}")
        if lot.amount is not None:
            told.append(lot.amount.text)
        if lot.supplier:
            told.append(f"from {lot.supplier}")
        if lot.expires is not None:
            told.append(f"expires {lot.expires.text}")
        if lot.retest is not None:
            told.append(f"to be tested again {lot.retest.text}")
    gone = account.gone
    if gone is not None:
        told.append(gone_words(gone))
    elif isinstance(account.left, Fraction) and account.left >= 0:
        told.append(f"{show.with_unit(show.plain(account.left, signs), account.unit)} left by the records")
    return ["  " + ", ".join(told)] if told else []


def _took(took: Sequence[Drawn], lot: LotAccount, signs: show.Signs) -> str:
    """Return what was taken: of the lot itself its amount alone, of others with their codes."""
    parts: dict[str, list[Drawn]] = {}
    for drawn in took:
        parts.setdefault(drawn.line.lot, []).append(drawn)
    told = []
    for code, lines in parts.items():
        words = _amounts(lines, signs)
        own = lines[0].lot == (lot.of, lot.code.casefold())
        told.append(words if own else f"{words} of {code}")
    return " and ".join(told)


def _amounts(drawn: Sequence[Drawn], signs: show.Signs) -> str:
    return " + ".join(_amount(line.line, signs) for line in drawn)


def _amount(line: BenchLine, signs: show.Signs) -> str:
    return "amount not known" if isinstance(line.amount, Missing) else show.stated(line.amount.text, signs)


def _ways(drawn: Sequence[Drawn], batch: str, book: Book) -> str:
    """Return in which intermediates a lot came; nothing where the batch took it itself."""
    others = [book.batches[line.batch].key for line in drawn if line.batch != batch]
    words = show.listing(list(dict.fromkeys(others)))
    if not words:
        return ""
    return f"also in {words}" if len(others) < len(drawn) else f"in {words}"


def _without(drawn: Sequence[Drawn], lead: str, book: Book, signs: show.Signs, width: int) -> list[str]:
    if not drawn:
        return []
    told = [f"{_amount(line.line, signs)} of {line.line.material} in {book.batches[line.batch].key}" for line in drawn]
    return wrapped(f"{lead}: {'; '.join(told)}.", 2, width)
