"""The page of one batch: what was planned beside what was weighed, what came of it, what was seen later.

Also the page that lists all batches by year.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import date

from .. import show
from ..findings import Missing
from ..fraction import Fraction
from ..language import noted, word
from ..model import BatchOutcome, BatchRecord, Filling, Known
from ..reckon.lastdays import LotAge, LotDate
from ..reckon.lots import LotAccount
from ..reckon.made import AchievedLine, BatchResult, Loss, LotContent
from ..reckon.trace import takers_of
from .batch_records import AchievedRow, BatchesShown, BatchShown, BeforehandRow, SeenShown, YearShown
from .batches import batch_link, batch_row, formula_link, gone_words, newest_first
from .body import pen_for, prose_of
from .cost import cost_facts, no_price_words
from .figures import NOT_KNOWN, known, off_by, percent
from .made_records import linked
from .matter.passages import BATCHES, title_of
from .phrases import Phrase, joined, phrase
from .records import Fact, TextPart
from .shelf import Shelf, Way, at_root
from .wanted import asked_in_words

_LOSSES = {
    Loss.NONE: noted("nothing was lost beyond what handling takes"),
    Loss.YIELD: noted("as the yield of the formula has it"),
    Loss.EVAPORATION: noted("as the evaporation of the formula has it"),
    Loss.BOTH: noted("as yield and evaporation of the formula have it"),
    Loss.OTHER: noted("none of the formula’s losses explains it"),
}
_PAST = {
    LotDate.EXPIRY: noted("Lot {lot} of {name}: it had expired on {day}."),
    LotDate.OPENED: noted("Lot {lot} of {name}: its time after opening had ended on {day}."),
    LotDate.USE_BY: noted("Lot {lot} of {name}: its last day of use was {day}."),
    LotDate.RETEST: noted("Lot {lot} of {name}: it was to be tested again by {day}."),
}


def batch_shown(number: str, shelf: Shelf, picture: Way) -> BatchShown:
    """Return the page of a batch."""
    record, result, signs = shelf.book.batches[number], shelf.result(number), shelf.signs
    pen = pen_for(record.body, (), shelf.way, picture, signs)
    parts = (TextPart(title=section.title, text=prose_of(section, pen)) for section in record.body.sections)
    cost = shelf.cost(number)
    return BatchShown(
        frame=shelf.batch_frame(),
        batch=record.key,
        of=formula_link(record, shelf),
        issue=_issue(record, result, shelf),
        outcome="" if record.outcome is None else str(record.outcome),
        facts=tuple(_facts(record, result, shelf)),
        rows=_rows(result, shelf),
        beforehand=tuple(_beforehand(record, shelf)),
        went_in=Phrase(known("went-in", result.yielded.went_in, "", signs)),
        asked=(*(_old(age) for age in result.old), *(_carried(content, signs) for content in result.contents)),
        cost=tuple(cost_facts(cost, signs)) if cost.total else (),
        no_price=no_price_words(cost) if cost.total else "",
        observed=tuple(
            SeenShown(day=seen.day.text, text=show.sentence(show.written(seen.text, signs))) for seen in record.observed
        ),
        next_time=show.sentence(show.written(record.next_time, signs)),
        parts=tuple(part for part in parts if part.text),
        taken_by=tuple(batch_link(taking, shelf) for taking in _takers(number, record, shelf)),
    )


def _issue(record: BatchRecord, result: BatchResult, shelf: Shelf) -> Phrase:
    """Return the issue that was made, leading to its page where it is an earlier one that is kept."""
    if record.of is None:
        return Phrase()
    words = word("Issue {issue}", issue=record.of.issue)
    if result.same_issue:
        return Phrase((words,))
    return linked(words, shelf.issue_way(shelf.book.key_made(record), record.of.issue)) + word(", not the present one")


def _takers(number: str, record: BatchRecord, shelf: Shelf) -> Iterator[str]:
    """Yield the batches that took of this one."""
    name = shelf.book.key_made(record), number
    if name in shelf.reckoning.lots.accounts:
        yield from (taking.batch for taking in takers_of(shelf.reckoning.lots, shelf.book, name).batches)


def _facts(record: BatchRecord, result: BatchResult, shelf: Shelf) -> Iterator[Fact]:
    signs = shelf.signs
    if record.made is not None:
        yield Fact(term=word("Made"), text=record.made.text)
    if record.obtain is not None:
        yield Fact(term=word("To obtain"), text=asked_in_words(record.obtain, signs))
    if record.came_out is not None:
        told = result.yielded
        of_plan = _share("of-plan", told.of_plan, signs)
        of_all = _share("of-what-went-in", told.of_what_went_in, signs)
        words = [Phrase((show.written(record.came_out.text, signs),))]
        words += [phrase("{share} of the plan", share=of_plan)] if of_plan else []
        words += [phrase("{share} of what went in", share=of_all)] if of_all else []
        yield Fact(
            term=word("Came out"),
            text=joined(", ", words),
            note="" if told.loss is None else show.sentence(word(_LOSSES[told.loss])),
        )
    if record.filled:
        yield Fact(term=word("Filled"), text=_fillings(record.filled, signs))
    if record.kept_sample:
        yield Fact(term=word("Kept sample"), text=_fillings(record.kept_sample, signs))
    if record.ph is not None:
        within = {True: word("as expected"), False: word("not as expected"), None: ""}[result.ph_within]
        yield Fact(term=word("pH"), text=show.written(record.ph.text, signs), note=show.sentence(within))
    if record.outcome is not BatchOutcome.DISCARDED:
        yield _use_by(result, signs)
    name = shelf.book.key_made(record), record.key.casefold()
    account = shelf.reckoning.lots.accounts.get(name)
    if account is not None and (account.gone is not None or shelf.reckoning.graph.used_by.get(name[0])):
        yield _left(account, signs)


def _left(account: LotAccount, signs: show.Signs) -> Fact:
    if account.gone is not None:
        return Fact(term=word("Left"), text=gone_words(account.gone), stands_for="left")
    left = known("left", account.left, account.unit, signs)
    return Fact(term=word("Left"), figures=left, text="" if left else word(NOT_KNOWN), stands_for="left")


def _share(name: str, share: Known | None, signs: show.Signs) -> Phrase:
    """Return a share as a percentage; empty where it is not known."""
    return Phrase((percent(name, share, signs),)) if isinstance(share, Fraction) else Phrase()


def _use_by(result: BatchResult, signs: show.Signs) -> Fact:
    if not isinstance(result.use_by, date):
        return Fact(
            term=word("Use by"),
            text=word("not known: {why}.", why=result.use_by.says.words(signs)),
            stands_for="last-day",
        )
    why = show.sentence(result.use_by_why.words(signs))
    return Fact(
        term=word("Use by"),
        text=word("up to and including {day}", day=show.day(result.use_by)),
        note=why,
        stands_for="last-day",
    )


def _fillings(fillings: tuple[Filling, ...], signs: show.Signs) -> str:
    return show.written(show.listing([filling.text for filling in fillings]), signs)


def _grams(grams: Known, signs: show.Signs) -> str:
    return show.plain(grams, signs) if isinstance(grams, Fraction) else ""


def _rows(result: BatchResult, shelf: Shelf) -> tuple[AchievedRow, ...]:
    """Return the ingredients; in the columns of weights the decimal signs stand below each other."""
    rows, signs = [_row(f"made-{number}", line, shelf) for number, line in enumerate(result.lines)], shelf.signs
    most = max((show.decimals(text, signs) for row in rows for text in (row.planned, row.weighed)), default=0)

    def padded(text: str) -> str:
        return text + show.padding(text, most, signs) if text and text != word(NOT_KNOWN) else text

    return tuple(replace(row, planned=padded(row.planned), weighed=padded(row.weighed)) for row in rows)


def _beforehand(record: BatchRecord, shelf: Shelf) -> Iterator[BeforehandRow]:
    """Yield what was weighed for what was made first, with its lots."""
    for line in record.weighed_beforehand:
        key = shelf.book.key_of(line.material) or line.material.casefold()
        name, amount = _name(key, shelf), line.amount
        yield BeforehandRow(
            name=name,
            amount=word(NOT_KNOWN) if isinstance(amount, Missing) else show.written(amount.text, shelf.signs),
            lots=(_lot_link(line.lot, key, shelf),) if line.lot else (),
        )


def _name(key: str, shelf: Shelf) -> Phrase:
    link = shelf.link(key)
    return linked(f"{link.code} {link.words}" if link.code else link.words, link.href)


def _row(name: str, line: AchievedLine, shelf: Shelf) -> AchievedRow:
    """Return one ingredient as planned and as weighed, with its lots."""
    signs = shelf.signs
    return AchievedRow(
        phase=line.phase,
        name=_name(line.key, shelf),
        aid=not line.counts,
        planned="" if line.planned is None else _grams(line.planned, signs),
        weighed=_grams(line.weighed, signs) or word(NOT_KNOWN),
        off=_off(f"{name}.off", line, signs),
        share=_share(f"{name}.share", line.share, signs),
        share_if_water=_share(f"{name}.share-if-water", line.share_if_water, signs),
        lots=tuple(_lot_link(code, line.key, shelf) for code in line.lots),
    )


def _off(name: str, line: AchievedLine, signs: show.Signs) -> Phrase:
    """Return by how much a line was off its plan; empty where nothing was planned."""
    if not isinstance(line.deviation, Fraction):
        return Phrase()
    return off_by(name, line.deviation, signs) if line.deviation else Phrase((show.off(line.deviation, signs),))


def _lot_link(code: str, key: str, shelf: Shelf) -> Phrase:
    """Return the code of a lot; that of an intermediate's batch leads to its page, another to its material's lots."""
    if (key, code.casefold()) not in shelf.reckoning.lots.accounts:
        return Phrase((code,))
    if code.casefold() in shelf.book.batches:
        return batch_link(code.casefold(), shelf)
    return linked(code, f"{shelf.way(key)}#lots" if shelf.pages else "")  # no sheet of the binder lists them


def _old(age: LotAge) -> str:
    return word(_PAST[age.which], lot=age.lot.code, name=age.lot.name, day=show.day(age.last))


def _carried(content: LotContent, signs: show.Signs) -> Phrase:
    """Return what the content of a lot did to a line, and what was to be weighed of it."""
    told = phrase(
        "Lot {lot} of {name} holds {actual} {substance}, not {nominal}",
        lot=content.lot,
        name=content.name,
        actual=show.percent(content.actual, signs),
        substance=content.substance,
        nominal=show.percent(content.nominal, signs),
    )
    if not isinstance(content.instead, Fraction) or not isinstance(content.planned, Fraction):
        return phrase("{told}.", told=told)
    return phrase(
        "{told}: {instead} g of it give what {planned} g were to give; {weighed} g were weighed.",
        told=told,
        instead=show.significant(content.instead, signs=signs),
        planned=show.plain(content.planned, signs),
        weighed=_grams(content.weighed, signs) or word("not known how many"),
    )


def batches_shown(shelf: Shelf) -> BatchesShown:
    """Return the page of all batches, by year, newest first."""
    root = at_root(shelf)
    years: dict[str, list[str]] = {}
    for number in newest_first(shelf.book.batches, shelf):
        made = shelf.book.batches[number].made
        years.setdefault(word("Without a day") if made is None else str(made.on.year), []).append(number)
    return BatchesShown(
        frame=root.frame(),
        title=title_of(BATCHES),
        years=tuple(
            YearShown(
                title=year,
                counts=show.counted(len(numbers), "batch", "batches"),
                rows=tuple(batch_row(number, root) for number in numbers),
            )
            for year, numbers in years.items()
        ),
    )
