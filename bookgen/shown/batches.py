"""What was made, in rows: a batch in a list, the batches of a formula, the lots of a material."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import date

from .. import show
from ..fraction import Fraction
from ..language import noted, word
from ..model import BatchOutcome, BatchRecord, Content, Known, Lot
from ..reckon.lastdays import LotDate, good_until
from ..reckon.lots import LotAccount, LotEntry, Movement
from ..reckon.made import AchievedLine, BatchResult
from ..reckon.trace import takers_of
from .made_records import BatchRow, LotRow, MadeShown, OffPicture, linked
from .matter.passages import BATCHES
from .phrases import Phrase
from .shelf import Shelf

MOST_LISTED = 6
"""Batches on the page of their formula, which has to stay light; the page of all batches lists the others."""


def newest_first(numbers: Iterable[str], shelf: Shelf) -> tuple[str, ...]:
    """Return batches by day and number, the last first; those without a day come last."""

    def when(number: str) -> tuple[date, str]:
        made = shelf.book.batches[number].made
        return (date.min if made is None else made.on, number)

    return tuple(sorted(numbers, key=when, reverse=True))


def batch_link(number: str, shelf: Shelf, words: str = "") -> Phrase:
    """Return a batch number, or other words, leading to the page of the batch."""
    return linked(words or shelf.book.batches[number].key, shelf.batch_way(number))


def formula_link(record: BatchRecord, shelf: Shelf) -> Phrase:
    """Return code and title of what was made, leading to its page; the code as written where the book has none."""
    if record.of is None:
        return Phrase()
    link = shelf.link(record.of.code)
    return linked(f"{link.code} {link.words}" if link.code else link.words, link.href)


def batch_row(number: str, shelf: Shelf, *, of: bool = True) -> BatchRow:
    """Return a batch in a list; on the page of its formula (`of` false) it goes by its day, without what came later."""
    record, result, signs = shelf.book.batches[number], shelf.result(number), shelf.signs
    day = "" if of or record.made is None else record.made.text
    last = result.use_by if record.outcome is not BatchOutcome.DISCARDED else None
    return BatchRow(
        batch=batch_link(number, shelf, day),
        of=formula_link(record, shelf) if of else Phrase(),
        came_out="" if record.came_out is None else show.written(record.came_out.text, signs),
        yield_=percent_words(result.yielded.of_plan, signs),
        ph="" if record.ph is None else show.written(record.ph.text, signs),
        furthest=furthest_words(result, shelf),
        use_by=show.day(last) if isinstance(last, date) else "",
        outcome=outcome_words(number, shelf) if of else str(record.outcome or ""),
        next_time=show.sentence(show.written(record.next_time, signs)),
    )


def outcome_words(number: str, shelf: Shelf) -> str:
    """Return what became of a batch, and when its rest was thrown away: what was good may have been taken back."""
    record = shelf.book.batches[number]
    key = shelf.book.key_made(record)
    account = shelf.reckoning.lots.accounts.get((key, number))
    told = [] if record.outcome is None else [word(str(record.outcome))]
    if account is not None and account.gone is not None and record.outcome is not BatchOutcome.DISCARDED:
        told.append(left_words(account, shelf.signs))
    return ", ".join(told)


def percent_words(share: Known | None, signs: show.Signs) -> str:
    """Return a share as a percentage of three figures; empty where it is not known."""
    return show.percent(share, signs) if isinstance(share, Fraction) else ""


def off_words(line: AchievedLine, signs: show.Signs) -> str:
    """Return by how much a line was off its plan: `2.4 % over`; empty where nothing was planned."""
    return show.off(line.deviation, signs) if isinstance(line.deviation, Fraction) else ""


def furthest_words(result: BatchResult, shelf: Shelf) -> str:
    """Return the line that was furthest off its plan, and by how much; empty where every line was as planned."""
    line = result.furthest
    return "" if line is None else f"{shelf.name(line.key)}: {off_words(line, shelf.signs)}"


FEWEST_DRAWN = 3
"""Batches from which on a picture tells more than their list."""


def _off_picture(numbers: Sequence[str], shelf: Shelf) -> OffPicture | None:
    """Return how far batches were off, newest first given; None for too few of which anything is known."""
    offs = [_furthest_off(shelf.result(number)) for number in reversed(numbers)]
    known = [abs(off) for off in offs if off is not None]
    if len(known) < FEWEST_DRAWN:
        return None
    accepted = shelf.book.workroom.accepted_error.share
    days = [made.text if (made := shelf.book.batches[number].made) else "" for number in reversed(numbers)]
    scale = max(*known, accepted)
    return OffPicture(
        offs=tuple(offs),
        accepted=accepted,
        scale=scale,
        edge=show.off(scale, shelf.signs),
        first=days[0],
        last=days[-1],
        label=word("What was furthest off its plan, batch by batch"),
        caption=word(
            "Furthest off, oldest first: over above the rule, under below; shaded: {accepted} accepted.",
            accepted=show.with_unit(show.plain(accepted * 100, shelf.signs), "%"),
        ),
    )


def _furthest_off(result: BatchResult) -> Fraction | None:
    """Return how far the line furthest off was off; None where nothing was planned."""
    offs = [line.deviation for line in result.lines if isinstance(line.deviation, Fraction)]
    return max(offs, key=abs, default=None)


def made_shown(key: str, shelf: Shelf) -> MadeShown | None:
    """Return the batches of a formula for its page; None without any and on paper."""
    numbers = newest_first(shelf.made_of(key), shelf) if shelf.pages else ()
    listed = numbers[:MOST_LISTED]
    if not numbers:
        return None
    advised = next((number for number in numbers if shelf.book.batches[number].next_time), "")
    return MadeShown(
        next_time=show.sentence(show.written(shelf.book.batches[advised].next_time, shelf.signs)) if advised else "",
        next_from=batch_link(advised, shelf) if advised else Phrase(),
        rows=tuple(batch_row(number, shelf, of=False) for number in listed),
        href=shelf.root + BATCHES,
        picture=_off_picture(listed, shelf),
    )


# ── Lots ──────────────────────────────────────────────────────────────────────────────────────────────────────────


def lots_shown(key: str, shelf: Shelf) -> tuple[LotRow, ...]:
    """Return what came of a material for its page, newest first; nothing on paper."""
    if not shelf.pages:
        return ()
    accounts = [account for account in shelf.reckoning.lots.accounts.values() if account.of == key]
    accounts.sort(key=_came, reverse=True)
    return tuple(_lot_row(account, shelf) for account in accounts)


def _came(account: LotAccount) -> tuple[date, str]:
    return next((entry.day for entry in account.entries if entry.kind is Movement.CAME), date.min), account.code


def _lot_row(account: LotAccount, shelf: Shelf) -> LotRow:
    signs, lot = shelf.signs, account.lot or Lot()
    takers = takers_of(shelf.reckoning.lots, shelf.book, (account.of, account.code.casefold()))
    return LotRow(
        code=account.code,
        came="" if lot.received is None else lot.received.text,
        opened="" if lot.opened is None else lot.opened.text,
        until=until_words(lot),
        amount="" if lot.amount is None else show.written(lot.amount.text, signs),
        left=left_words(account, signs),
        said=_said_of(lot, signs),
        batches=tuple(batch_link(taking.batch, shelf) for taking in takers.batches),
    )


def until_words(lot: Lot) -> str:
    """Return until when a lot may be used, and when it is to be tested again, which is no expiry."""
    told, end = [], good_until(lot)
    if end is not None:
        day = show.day(end[0])
        told.append(word("{day}, opened", day=day) if end[1] is LotDate.OPENED else day)
    if lot.retest is not None:
        told.append(word("test again {day}", day=lot.retest.text))
    return "; ".join(told)


def gone_words(gone: LotEntry) -> str:
    """Return the end of a lot: `used up 2026-02-01`."""
    what = noted("used up {day}") if gone.kind is Movement.USED_UP else noted("thrown away {day}")
    return word(what, day=show.day(gone.day))


def left_words(account: LotAccount, signs: show.Signs) -> str:
    """Return what is left of a lot by the records, or when it was used up or thrown away."""
    gone, left = account.gone, account.left
    if gone is not None:
        return gone_words(gone)
    if isinstance(left, Fraction):
        return show.with_unit(show.plain(left, signs), account.unit)
    return word("not known")


def _said_of(lot: Lot, signs: show.Signs) -> str:
    """Return what else is written of a lot."""
    told = [_content_words(content, signs) for content in lot.content]
    told += [lot.supplier, "" if lot.price is None else show.written(lot.price.text, signs)]
    return show.written("; ".join([*filter(None, told), *filter(None, [lot.note])]), signs)


def _content_words(content: Content, signs: show.Signs) -> str:
    unit = "%vol" if content.by_volume else "%"
    return " ".join(filter(None, (show.with_unit(show.plain(content.share * 100, signs), unit), content.substance)))
