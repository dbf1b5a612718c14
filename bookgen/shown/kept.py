"""The earlier issues of a formula: on its page beside the present one, and each on a page of its own.

A page of an earlier issue has neither weights nor a field for a batch, as it is no longer made.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from itertools import pairwise

from .. import show
from ..findings import Missing
from ..fraction import Fraction
from ..language import noted, word
from ..model import Known
from ..reckon.compared import Compared, ComparedLine, LineOver, compared, lines_over, moved
from ..reckon.figures import Figures
from ..reckon.kept import figures_kept, issues_kept, reckoned_with
from ..wording.saying import says
from .figures import DASH, NOT_KNOWN
from .formula import formula_shown, keep_in
from .kept_records import IssueBar, IssueBars, IssueMove, KeptShown, OverRow
from .made_records import linked
from .phrases import Phrase, phrase
from .records import FormulaShown, LineagePicture
from .shelf import Pair, Shelf, Way

MOST_COLUMNS = 4
"""Issues that have a column: a phone has room for no more.  Drawn are all."""


def kept_shown(key: str, shelf: Shelf) -> KeptShown | None:
    """Return the earlier issues of a formula beside the present one; None where none is kept."""
    present = shelf.reckoning.figures[key]
    kept = issues_kept(shelf.book, key)
    found = [figures_kept(shelf.reckoning, key, formula.issue) for formula in kept]
    before = [figures for figures in found if figures is not None]
    if not before:
        return None
    issues = [*before, present]
    links = [_issue_link(key, figures, shelf) for figures in issues]
    over = lines_over(issues)
    return KeptShown(
        issues=tuple(linked(str(formula.issue), shelf.beside_way(Pair(key, formula.issue, key))) for formula in kept),
        heads=tuple(links[-MOST_COLUMNS:]),
        rows=tuple(_row(line, issues, shelf) for line in over if not _same(line)),
        same=show.listing(
            [f"{line.name}: {with_percent(share_text(line.shares[0], shelf.signs))}" for line in over if _same(line)]
        ),
        moves=tuple(_move(compared(first, second), shelf) for first, second in reversed(list(pairwise(issues)))),
        note=word(
            "Earlier issues are reckoned as they were written, with the materials of today. "
            "Each row is drawn to its own scale; the present issue is filled."
        ),
    )


def _issue_link(key: str, figures: Figures, shelf: Shelf) -> Phrase:
    number = figures.formula.issue
    return linked(str(number), shelf.issue_way(key, number))


def _same(line: LineOver) -> bool:
    """Tell whether every issue has the same known share of it; such a row would draw nothing but equal bars."""
    return isinstance(line.shares[0], Fraction) and len(set(line.shares)) == 1


def _row(line: LineOver, issues: list[Figures], shelf: Shelf) -> OverRow:
    texts = [share_text(share, shelf.signs) for share in line.shares]
    return OverRow(
        name=linked(line.name, shelf.way(line.key)),
        shares=tuple(texts[-MOST_COLUMNS:]),
        bars=IssueBars(
            name=line.name,
            bars=tuple(
                IssueBar(
                    issue=str(figures.formula.issue),
                    text=word("none") if share is None else with_percent(text),
                    value=show.exact(share * 100) if isinstance(share, Fraction) else "",
                )
                for figures, share, text in zip(issues, line.shares, texts, strict=True)
            ),
        ),
    )


def share_text(share: Known | None, signs: show.Signs) -> str:
    """Return a share in percent without its sign; a dash where there is none."""
    if share is None:
        return DASH
    return word(NOT_KNOWN) if isinstance(share, Missing) else show.significant(share * 100, signs=signs)


def _move(found: Compared, shelf: Shelf) -> IssueMove:
    first, second = found.first.formula, found.second.formula
    change = next((change for change in second.changes if change.issue == second.issue), None)
    return IssueMove(
        title=word("Issue {first} to {second}", first=first.issue, second=second.issue),
        on=change.on if change else "",
        figures=tuple(_moves(found, shelf.signs)) or (word("No figure changed."),),
        words="" if change is None else show.written(change.text, shelf.signs),
    )


def _moves(found: Compared, signs: show.Signs) -> Iterator[str]:
    for line in found.lines:
        if moved(line):
            yield _moved_line(line, signs)
    for name, read in FACTS:
        term, first, second = word(name), read(found.first), read(found.second)
        if first != second:
            told = word(
                "{term}: {first}, now {second}",
                term=term,
                first=first or word("not written"),
                second=second or word("not written"),
            )
            yield show.written(told, signs)
    if found.steps:
        yield word("{places} of the method", places=show.counted(len(found.steps), "place"))


def _moved_line(line: ComparedLine, signs: show.Signs) -> str:
    if line.removed:
        end = (
            word("no longer used")
            if line.second is None
            else word("new")
            if line.first is None
            else word("another amount")
        )
        return word("{name}, taken out again: {end}", name=line.name, end=end)
    first, second = (share_text(share, signs) for share in (line.first, line.second))
    if line.first is None:
        return word("{name}: new, {share}", name=line.name, share=with_percent(second))
    if line.second is None:
        return word("{name}: out, was {share}", name=line.name, share=with_percent(first))
    if isinstance(line.difference, Missing):
        return word(
            "{name}: {first}, now {second}, {why}",
            name=line.name,
            first=with_percent(first),
            second=with_percent(second),
            why=line.difference.says.words(signs),
        )
    return word(
        "{name}: {first}, now {second} ({difference})",
        name=line.name,
        first=with_percent(first),
        second=with_percent(second),
        difference=difference_text(line.difference, signs),
    )


def difference_text(much: Fraction, signs: show.Signs) -> str:
    """Return a difference in percentage points with its sign: `+0.50`."""
    sign = "+" if much > 0 else "\u2212"
    return f"{sign}{show.significant(abs(much) * 100, signs=signs)}"


def with_percent(text: str) -> str:
    """Return such a text with the sign of percent, unless it is not known."""
    return text if text == word(NOT_KNOWN) else show.with_unit(text, "%")


def _ph(figures: Figures) -> str:
    ph = figures.formula.ph
    if ph is None:
        return ""
    return ph.low.text if ph.low.value == ph.high.value else word("{low} to {high}", low=ph.low.text, high=ph.high.text)


def _yield(figures: Figures) -> str:
    return show.with_unit(show.significant(figures.flow.yield_ * 100), "%")


def _evaporates(figures: Figures) -> str:
    lost = figures.flow.evaporated
    if lost == 0:
        return word("nothing")
    return word("not known") if isinstance(lost, Missing) else show.with_unit(show.significant(lost * 100), "%")


def _keeps(figures: Figures) -> str:
    period = figures.storage.period
    return "" if isinstance(period, Missing) else show.period(period.days, period.months)


def _makes(figures: Figures) -> str:
    makes = figures.formula.makes
    if makes is None or makes.form is None:
        return ""
    count = int(makes.quantity.value)
    return f"{count} {word(makes.form.of(count))}"


def _one_piece(figures: Figures) -> str:
    """Return what one piece weighs, and what it holds of each line but the base."""
    pieces = figures.pieces
    if pieces is None:
        return ""
    if isinstance(pieces.grams, Missing):
        return word("weight not known")
    return _with(show.small_weight(pieces.grams), [(grams, name) for _, name, grams in pieces.holds])


def _one_dose(figures: Figures) -> str:
    """Return what one dose is, and what it holds of each active."""
    dose = figures.dose
    if dose is None:
        return ""
    known = [(held.grams, held.name) for held in dose.holds if isinstance(held.grams, Fraction)]
    return _with(dose.dose.text, known if len(known) == len(dose.holds) else [])


def _with(text: str, holds: list[tuple[Fraction, str]]) -> str:
    parts = [word("{much} of {what}", much=show.small_weight(grams), what=name) for grams, name in holds]
    return f"{text} ({', '.join(parts)})" if parts else text


def _mould(figures: Figures) -> str:
    return "" if figures.formula.mould is None else figures.formula.mould.text


def _capsule(figures: Figures) -> str:
    return "" if figures.formula.capsule is None else word(figures.formula.capsule.value)


PIECE_FACTS: tuple[tuple[str, Callable[[Figures], str]], ...] = (
    (noted("makes"), _makes),
    (noted("one piece"), _one_piece),
    (noted("mould"), _mould),
    (noted("capsule"), _capsule),
    (noted("one dose"), _one_dose),
)
"""What is told of what is made in pieces or taken in doses."""
FACTS: tuple[tuple[str, Callable[[Figures], str]], ...] = (
    *PIECE_FACTS,
    ("pH", _ph),
    (noted("yield"), _yield),
    (noted("evaporates"), _evaporates),
    (noted("kept in"), keep_in),
    (noted("keeps"), _keeps),
)
"""What is told of both where it differs; empty where nothing is written."""


def earlier_shown(key: str, issue: int, shelf: Shelf, picture: Way) -> FormulaShown:
    """Return the page of an earlier issue: as a formula's, stamped, without weights and without what is judged."""
    formula = next(formula for formula in issues_kept(shelf.book, key) if formula.issue == issue)
    present = shelf.book.formulas[key]
    # It stands in the chapter of the present one, whatever folder keeps it.
    reckoning = reckoned_with(shelf.reckoning, key, replace(formula, chapter=present.chapter))
    as_then = replace(shelf, book=reckoning.book, reckoning=reckoning)
    barred: Missing = Missing(says=says("earlier-not-made", name=f"{formula.code}@{issue}", code=present.code))
    shown = formula_shown(reckoning.figures[key], barred, as_then, picture)
    return replace(
        shown,
        stamp=noted("earlier issue"),
        stamp_says=phrase(
            "Kept as it was written and reckoned with the materials of today; no longer made. Made is issue {present}.",
            present=linked(str(present.issue), shelf.way(key)),
        ),
        stamp_root=None,
        following=None,
        used_in=(),
        standing=LineagePicture(),
        judged=None,
        label=None,
        made=None,
        kept=None,
    )
