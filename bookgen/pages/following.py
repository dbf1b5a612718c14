"""What a formula's page carries for its script: the scale table, exactly, and the words it is printed with.

Enters: a weighing of the batch as written.  Leaves: JSON in which a text that begins with `=` is an exact number.
The page's scripts are a second evaluator of that table, held to `reckon/` by a test, and print with the same sentences.
"""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from functools import lru_cache
from typing import Any

from .. import show
from ..findings import Missing
from ..fraction import Fraction
from ..language import spoken, word
from ..language.typed import typed_pattern, typed_words
from ..look.markup import LONGEST_WORD, html_of
from ..model import Known, Naming
from ..reckon.amounts import LineFigure
from ..reckon.blends import Blend, shrinking
from ..reckon.certainty import kept_share
from ..reckon.densities import density_of, grams_per_ml
from ..reckon.dripping import USUAL_DROP, drips
from ..reckon.enough import FARTHEST
from ..reckon.figures import Figures
from ..reckon.first import with_below
from ..reckon.known import add, less
from ..reckon.label import LEAST_CONTENT
from ..reckon.links import LinkAmount, takes_rest
from ..reckon.measure import LARGEST_DROP_COUNT, finest_first
from ..reckon.pieces import Pieces
from ..reckon.plans import Plan
from ..reckon.same import Same
from ..reckon.scale import Measure, ScaleRow, ScaleTable
from ..reckon.ways import Piece
from ..reckon.weighing import Weighing
from ..shown.accounts.anchors import PAGE, anchor_for
from ..shown.blended import TENTH, blend_notes
from ..shown.phrases import Data, coded
from ..shown.records import FormulaShown
from ..shown.sentences import SENTENCES
from ..shown.shelf import Shelf
from ..shown.table import balance_words, drops_to_weigh_words, one_ml
from ..shown.verdict import OTHERWISE
from ..shown.wanted import batch_in_words
from ..source.pieces import MOST, NAMES, PATTERN
from ..units import UNITS, Dimension
from ..wording.saying import says

_ANCHORED = (
    "line-#.grams", "line-#.plan.aliquot", "line-#.plan.error", "line-#.blend.strong", "line-#.percent-low",
    "line-#.spared", "line-#.one-ml", "line-#.next", "line-#.few", "line-#.many", "accepted-error",
)  # fmt: skip
"""Figures that sentences below a row begin with: each sentence leads to how its first figure is found."""


def followed(page: FormulaShown, weighing: Weighing | Missing, shelf: Shelf) -> FormulaShown:
    """Return a formula's page with what its script needs, where weights are printed for the batch as written."""
    if not page.batch or isinstance(weighing, Missing) or weighing.obtain is not None:
        return page
    return replace(page, following=following(weighing, shelf))


def following(weighing: Weighing, shelf: Shelf) -> Data:
    """Return what the script of a formula's page needs to follow the batch, as JSON."""
    figures, room = weighing.figures, weighing.workroom
    below = with_below(shelf.reckoning, (figures.key,))
    shelves = _Shelves()
    answer = {
        "own": figures.key,
        "written": exactly(weighing.evaluation.obtain),
        "labelled": figures.label.entries != (),
        **({} if figures.pieces is None else {"pieces": _pieces(figures.pieces)}),
        "text": batch_in_words(figures, weighing.evaluation.obtain, shelf.signs),
        "decimal": shelf.signs.decimal,
        "accepted": exactly(room.accepted_error.share),
        "drips": html_of(drops_to_weigh_words(shelf)),
        "balances": [
            [exactly(balance.readability_g), exactly(balance.capacity_g), _balance(balance.name)]
            for balance in finest_first(room.balances)
        ],
        "tables": [[key, _table(shelf.reckoning.figures[key], shelf, shelves)] for key in below],
        "links": list(_links(weighing.links)),
        "turns": [
            [turn.row, turn.link, turn.vessel, *((1,) if turn.portion else ())]
            for turn in weighing.turns
        ],
        "supplies": _supplies(figures, below, shelf),
        "ways": shelves.ways,
        "kinds": shelves.kinds,
        "masses": shelves.masses,
        "plans": shelves.plans,
    }  # fmt: skip
    return Data(json.dumps(answer, ensure_ascii=False, separators=(",", ":")))


def _pieces(pieces: Pieces) -> dict[str, str | int | dict[str, str] | None]:
    """Return how pieces may be asked for, what they are called, what each weighs, and what is said of other words."""
    several = word(pieces.form.value)
    return {
        "pattern": f"^{PATTERN}$",
        "forms": {name: word(form.value) for name, form in NAMES.items()} | {several.lower(): several},
        "form": pieces.form.value,
        "one": word(pieces.form.one_piece),
        "several": several,
        "each": exactly(pieces.grams),
        "most": MOST,
        "none": says("count-pieces", most=MOST).words(),
        "wrong": says("only-these-pieces", form=pieces.form.value).words(),
    }


def exactly(value: Known | None) -> str | None:
    """Return an exact number as the script reads it: `=3/5`; None where it is not known.

    >>> exactly(Fraction(3, 5)), exactly(Fraction(250))
    ('=3/5', '=250')
    """
    return None if value is None or isinstance(value, Missing) else f"={value}"


def common() -> dict[str, object]:
    """Return what is the same on every page: sentences, words that may be typed in the book's language, by dimension
    and factor every name that a unit may be written by, and where it is said how a figure is found."""
    return {
        "said": {name: html_of(coded(word(sentence))) for name, sentence in SENTENCES.items()},
        **({"typed": [typed_pattern(spoken()), typed_words(spoken())]} if typed_words(spoken()) else {}),
        "units": {
            f"{unit.dimension} {exactly(unit.factor)}": " ".join(name for name, other in UNITS.items() if other is unit)
            for unit in dict.fromkeys(UNITS.values())
            if unit.dimension in (Dimension.MASS, Dimension.VOLUME)
        },
        "most": {
            "drops": LARGEST_DROP_COUNT,
            "names": OTHERWISE,
            "digits": show.Fine.RANGE,
            "letters": LONGEST_WORD,
            "unsaid": str(TENTH),
            "batches": str(FARTHEST),
            "small": str(LEAST_CONTENT),
            "drip": [str(end) for end in USUAL_DROP],
        },
        "found": {name: f"../{PAGE}#{anchor_for(name.replace('#', '0'))}" for name in _ANCHORED},
    }


def plainly(text: str) -> str:
    """Return a text as the script reads it: one that begins with `=` has that sign twice, as it is not a number.

    >>> plainly("=3"), plainly("oil")
    ('==3', 'oil')
    """
    return f"={text}" if text.startswith("=") else text


_Kind = tuple[tuple[str, object], ...]
"""A way of measuring without its corners and its plan: what the script is told of it, by name."""


class _Shelves:
    """Ways of measuring, drop masses and plans, each written once however many lines share it."""

    def __init__(self) -> None:
        self.ways: list[list[Any]] = []
        self.kinds: list[dict[str, Any]] = []
        self.plans: list[dict[str, Any]] = []
        self.masses: list[dict[str, Any]] = []
        self._ways: dict[int, int] = {}
        self._kinds: dict[tuple[_Kind, int], int] = {}

    def way(self, pieces: tuple[Piece, ...]) -> int:
        """Return the number of a line's pieces."""
        found = self._ways.get(id(pieces))
        if found is None:
            points, spans, kinds = _corners(Same(pieces))
            numbers = [self._kind(*kind) for kind in kinds]
            flat = [part for from_, to, kind in spans for part in (from_, to, numbers[kind])]
            found = self._ways[id(pieces)] = len(self.ways)
            self.ways.append([points, flat])
        return found

    def _kind(self, kind: _Kind, plan: Plan | None) -> int:
        found = self._kinds.get((kind, id(plan)))
        if found is None:
            found = self._kinds[kind, id(plan)] = len(self.kinds)
            written = dict(kind)
            mass: dict[str, Any] = {name: written.pop(name) for name in ("drop", "low", "high") if name in written}
            if mass:
                if mass not in self.masses:
                    self.masses.append(mass)
                written["of"] = self.masses.index(mass)
            if plan is not None:
                written["plan"] = self._plan(plan)
            self.kinds.append(written)
        return found

    def _plan(self, plan: Plan) -> int:
        written = _written(Same(plan))
        if written not in self.plans:
            self.plans.append(written)
        return self.plans.index(written)


@lru_cache(maxsize=4096)
def _written(same: Same[Plan]) -> dict[str, Any]:
    plan = same.record
    return {
        "factor": exactly(Fraction(plan.factor)),
        "step": exactly(plan.step),
        "low": exactly(plan.low),
        "high": exactly(plan.high),
        "stages": [[exactly(stage.weigh_g), exactly(stage.diluent_g), stage.factor] for stage in plan.stages],
    }


@lru_cache(maxsize=4096)
def _corners(
    same: Same[tuple[Piece, ...]],
) -> tuple[str, tuple[tuple[int, int, int], ...], tuple[tuple[_Kind, Plan | None], ...]]:
    """Return the corners of a line's pieces, each written once; by piece the numbers of its own (−1 without end) and
    of its kind; and the kinds, of which many pieces share few."""
    pieces = same.record
    points = sorted({end for piece in pieces for end in (piece.from_, piece.to) if end is not None})
    number = {point: at for at, point in enumerate(points)}
    kinds: dict[tuple[_Kind, int], tuple[int, Plan | None]] = {}
    spans = tuple(
        (
            number[piece.from_],
            -1 if piece.to is None else number[piece.to],
            kinds.setdefault((_kind_of(piece), id(piece.plan)), (len(kinds), piece.plan))[0],
        )
        for piece in pieces
    )
    return " ".join(map(str, points)), spans, tuple((kind, plan) for (kind, _), (_, plan) in kinds.items())


def _kind_of(piece: Piece) -> _Kind:
    says = plainly(piece.with_) if piece.measure is Measure.DROPS else _balance(piece.with_)
    numbers = {
        "step": piece.step,
        "portion": piece.portion,
        "drop": piece.drop,
        "low": piece.low,
        "high": piece.high,
    }
    kept = [(name, exactly(value)) for name, value in numbers.items() if value is not None]
    marks = [(name, True) for name, holds in (("coarse", piece.coarse), ("beside", piece.beside)) if holds]
    return ("is", piece.measure), ("says", says), *kept, *marks


def _balance(name: str) -> str:
    return plainly(balance_words(name).replace(" ", show.NBSP))


def _table(figures: Figures, shelf: Shelf, shelves: _Shelves) -> dict[str, Any]:
    """Return one formula's scale table."""
    table, formula = figures.scale, figures.formula
    usual = shelf.book.workroom.accepted_error.share
    rows = [_row(row, figures, shelf, shelves, usual) for row in table.rows]
    return {
        "unit": table.unit,
        "title": plainly(show.bound(formula.title or formula.code or figures.key)),
        "start": exactly(table.start),
        "grams": exactly(table.start_g),
        "density": None if formula.density is None else exactly(grams_per_ml(formula.density)),
        "mixed": len({line.percent_of for line in figures.amounts.lines if line.counts}) != 1
        or any(isinstance(line.percent, Missing) for line in figures.amounts.lines if line.counts),
        "errors": table.has_own_errors,
        "rows": rows,
    }


def _row(row: ScaleRow, figures: Figures, shelf: Shelf, shelves: _Shelves, usual: Fraction) -> dict[str, Any]:
    """Return one line's row; what is the rule is left out."""
    line, takes, shown = row.figure, row.figure.takes, one_ml(row, shelf)
    blend = line.blend if isinstance(line.blend, Blend) else None
    found: dict[str, Any] = {
        "name": plainly(show.bound(line.name)),
        "per": exactly(row.per),
        "ways": shelves.way(row.by_weight),
        "takes": [[key, exactly(share)] for key, share in takes] if len(takes) != 1 else takes[0][0],
    }
    optional = {
        "made": line.is_formula or None,
        "ml": exactly(row.ml_per),
        "unknownMl": (row.ml_per is not None and isinstance(row.ml_per, Missing)) or None,
        "loss": exactly(row.loss_per),
        "out": not line.counts or None,
        "fill": line.is_fill or None,
        "about": line.is_about or None,
        "error": None if row.error == usual else exactly(row.error),
        "thins": row.diluent,
        "drips": drips(line, shelf.book) or None,
        "strong": exactly(row.strong),
        "kept": _kept(line),
        "why": _why(figures.scale, row, shelf.signs),
        "oneMl": "".join(map(html_of, shown)) or None,
        "blend": [html_of(note) for note in blend_notes(line, shelf) or ()] or None,
        "shrinks": exactly(shrinking(blend)) if blend is not None and blend.water else None,
    }
    found |= {name: value for name, value in optional.items() if value is not None}
    if row.drops_per is not None:
        found["drops"] = exactly(row.drops_per)
    return found


def _kept(figure: LineFigure) -> str | None:
    """Return which part of a line's weight its percentage is of, where it is weighed in with what evaporates."""
    kept = kept_share(figure)
    return None if kept == 1 else exactly(kept)


def _why(table: ScaleTable, row: ScaleRow, signs: show.Signs) -> str | None:
    """Return why a line's weight is not known, where that is so at every batch."""
    weight = row.per
    if row.figure.is_fill:
        others = (row.per for row in table.rows if row.figure.counts and not row.figure.is_fill)
        weight = less(table.start_g, add(others))
    return plainly(show.bound(weight.says.words(signs))) if isinstance(weight, Missing) else None


def _links(amounts: Sequence[LinkAmount]) -> Iterator[dict[str, Any]]:
    """Yield the amounts in the text: which lines each one sums, which portion of them."""
    links, rows = [amount.link for amount in amounts], [amount.rows for amount in amounts]
    for number, (link, its) in enumerate(zip(links, rows, strict=True)):
        found: dict[str, Any] = {"rows": list(its)}
        if link.portion is not None:
            found["portion"] = exactly(link.portion)
        if link.portion is not None or link.rest:
            found["last"] = takes_rest(number, links, rows)
        yield found


def _supplies(figures: Figures, below: Sequence[str], shelf: Shelf) -> dict[str, list[str | None]]:
    """Return, by every name that a supply may be called, its key and its density in g/mL."""
    inside = dict.fromkeys(below[1:])
    for key in below:
        for line in shelf.reckoning.figures[key].amounts.lines:
            inside |= dict.fromkeys([name for name, _ in line.takes])
    found: dict[str, list[str | None]] = {}
    book = shelf.book
    also = _also_called(Same(book.naming))
    for key in inside:
        item = book.at(key)
        if key in book.naming.unfiled or (item is not None and key != figures.key):
            entry = [key, None if item is None else exactly(density_of(item))]
            found |= dict.fromkeys([key, *also.get(key, ())] if " " not in key else also.get(key, ()), entry)
    return found


@lru_cache(maxsize=2)
def _also_called(same: Same[Naming]) -> Mapping[str, Sequence[str]]:
    """Return by key the other names, and those of before, that a supply may be called: once for all pages."""
    also: dict[str, list[str]] = {}
    for name, key in (*same.record.names.items(), *same.record.former.items()):
        if " " not in name:
            also.setdefault(key, []).append(name)
    return also
