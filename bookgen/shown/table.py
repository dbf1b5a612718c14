"""The table of ingredients: one shown row for each line, columns that line up, processing aids apart.

Enters: a weighing (or none, for a formula whose weights are not printed).  Leaves: `TableShown`.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import replace
from functools import lru_cache

from .. import show
from ..findings import Missing
from ..fraction import Fraction
from ..language import noted, spoken, turned_items, word
from ..model import Basis, Evaporates, Known, Percent, Phase, Workroom
from ..reckon.amounts import LineFigure
from ..reckon.batchline import (
    Aliquot,
    BatchLine,
    ByVolume,
    Counted,
    Exact,
    Nothing,
    OnlyCounted,
    UnknownAmount,
    Unshown,
    Weighed,
)
from ..reckon.densities import TWENTY, given_at, misleading_ml
from ..reckon.doubt import measuring_error
from ..reckon.dripping import USUAL_DROP, USUAL_WEIGHED, USUAL_WEIGHT, drips, drops_to_weigh, usual_count
from ..reckon.enough import WayOut
from ..reckon.figures import Figures
from ..reckon.known import add
from ..reckon.same import Same
from ..reckon.scale import ScaleRow
from ..reckon.soap import Soap
from ..reckon.soap_told import superfat_told
from ..reckon.weighing import Weighing
from .amounts import amount_said
from .blended import blend_note, blend_weights
from .figures import DASH, NOT_KNOWN, column, drops, off_by, percent, stated_percent, usual, volume, weight
from .phrases import NOTHING, Figure, Phrase, coded, phrase
from .plans import plan_of, ratio, stock_word
from .records import Cell, LineShown, MeasuredPart, PhaseShown, TableShown
from .sentences import SENTENCES, said
from .shelf import Shelf
from .verdict import doubts_of, listed, verdict_of


def table_of(figures: Figures, weighing: Weighing | None, shelf: Shelf, *, strengths: bool = True) -> TableShown:
    """Return the table of ingredients; without a weighing, what is written stands there and no weights.

    `strengths` says whether a doubtful strength of diluted ethanol is told.
    """
    lines = figures.amounts.lines
    taken: Sequence[BatchLine | None] = weighing.evaluation.lines if weighing else [None] * len(lines)
    shares = [_percent(line, shelf.signs) for line in lines]
    grams = [_grams(line, shelf.signs) for line in taken]
    volumes = [_volume(line, shelf.signs) for line in taken]
    total = _total(weighing, shelf.signs)
    whole = _whole(figures, shares)
    percent_cells = column([*shares, whole], [*(_percent_word(line) for line in lines), ""], shelf.signs)
    gram_cells = column([*grams, total], [*(_gram_word(line) for line in taken), ""], shelf.signs)
    ml_cells = column(volumes, [""] * len(lines), shelf.signs)
    bases = {line.percent_of for line in lines if line.counts}
    doubts = doubts_of(weighing.certainty, shelf.signs, strengths=strengths) if weighing else {}
    ways = weighing.certainty.ways_apart if weighing else {}
    doubtful = frozenset(line.index for line in weighing.certainty.doubtful) if weighing else frozenset()
    measured = [
        tuple(_measured(line, weighing, shelf.signs, line.index in doubtful)) if line and weighing else ()
        for line in taken
    ]
    common, on = _on_one(measured, [_on(balance.name) for balance in weighing.workroom.balances] if weighing else [])
    rows = [
        _row(
            line,
            taken[line.index],
            weighing,
            figures,
            shelf,
            percent_cells[line.index],
            gram_cells[line.index],
            ml_cells[line.index],
            doubts.get(line.index, NOTHING),
            ways.get(line.index),
            measured[line.index],
            basis=len(bases) > 1,
            common=common[line.index],
        )
        for line in lines
    ]
    return TableShown(
        weighed=weighing is not None,
        percent_head=f"% {next(iter(bases))}" if len(bases) == 1 else "%",
        mixed=len(bases) > 1,
        has_ml=any(volumes),
        phases=_phases(figures.formula.ingredients, rows, lines),
        aids=tuple(row for row, line in zip(rows, lines, strict=True) if not line.counts),
        percent_total=percent_cells[-1],
        total=gram_cells[-1],
        verdict=verdict_of(weighing, shelf.signs) if weighing else NOTHING,
        total_why=_total_why(weighing, shelf.signs) if weighing else "",
        on=on,
    )


def _on_one(lines: Sequence[Sequence[MeasuredPart]], balances: Sequence[str]) -> tuple[list[bool], str]:
    """Return which lines are weighed plainly on the balance that most are, by how each is measured, and a sentence that
    says so.

    Of two that weigh as many lines it is the first in the table; one line alone needs no sentence.
    """
    plain = [parts[0].words.parts if len(parts) == 1 else () for parts in lines]
    ways = [parts[0] if len(parts) == 1 and parts[0] in balances else "" for parts in plain]
    most, count = next(iter(Counter(way for way in ways if way).most_common(1)), ("", 0))
    if count < 2:
        return [False] * len(lines), ""
    told = said("all-on" if count == len(lines) else "most-on", balance=most)
    return [way == most for way in ways], told


def _phases(phases: Sequence[Phase], rows: Sequence[LineShown], lines: Sequence[LineFigure]) -> tuple[PhaseShown, ...]:
    """Return the rows that count, by phase; a phase of processing aids alone has none and is left out."""
    shown, start = [], 0
    for phase in phases:
        end = start + len(phase.lines)
        counted = tuple(rows[index] for index in range(start, end) if lines[index].counts)
        if counted:
            shown.append(PhaseShown(letter=phase.letter, instruction=phase.instruction, rows=counted))
        start = end
    return tuple(shown)


def _row(
    line: LineFigure,
    taken: BatchLine | None,
    weighing: Weighing | None,
    figures: Figures,
    shelf: Shelf,
    share: Cell,
    grams: Cell,
    ml: Cell,
    doubt: Phrase,
    way: WayOut | None,
    measured: tuple[MeasuredPart, ...],
    *,
    basis: bool,
    common: bool,
) -> LineShown:
    if basis and share.figure:
        share = replace(share, basis=str(line.percent_of))
    amount = line.line.amount
    notes: list[str | Phrase] = [doubt] if doubt else []
    notes += _notes(taken, way, figures, shelf) if taken else []
    return LineShown(
        index=line.index,
        letter=line.phase,
        link=shelf.link(line.key, line.name) if line.key else shelf.link(line.line.material, line.name),
        function=turned_items(line.line.function),
        written=amount_said(amount.text, shelf.signs) if not isinstance(amount, Missing) else word("not readable"),
        percent=share,
        grams=grams,
        ml=ml,
        measured=measured,
        common=common,
        plan=plan_of(taken, weighing.evaluation, weighing.certainty.table, shelf.signs) if taken and weighing else None,
        notes=(*notes, *_lasting_notes(line, taken, figures.soap, shelf)),
        following=len(notes),
        twice=taken is not None and share.figure is not None and _is_written(line),
    )


# ── Numbers ───────────────────────────────────────────────────────────────────────────────────────────────────────


def _percent(line: LineFigure, signs: show.Signs) -> Figure | None:
    """Return a line's percentage: the digits written where it is written as that share of the same basis."""
    if not line.counts or isinstance(line.percent, Missing):
        return None
    name, amount = f"line-{line.index}.percent", line.line.amount
    if isinstance(amount, Percent) and _is_written(line):
        return stated_percent(name, amount, signs, unit="")
    return percent(name, line.percent, signs, unit="")


def _is_written(line: LineFigure) -> bool:
    """Tell whether a line's percentage is what is written: that share of the same basis."""
    amount = line.line.amount
    return (
        isinstance(amount, Percent)
        and not amount.substance
        and amount.share == line.percent
        and (amount.basis or Basis.WW) is line.percent_of
    )


def _percent_word(line: LineFigure) -> str:
    return DASH if not line.counts else word(NOT_KNOWN)


def _grams(line: BatchLine | None, signs: show.Signs) -> Figure | None:
    """Return the printed weight; in its place the exact one of what is less than the balance shows."""
    if line is None:
        return None
    if line.is_unshown and isinstance(line.grams, Fraction):
        exact = weight(f"line-{line.index}.grams", line.grams, None, signs, unit="")
        return replace(exact, unshown=True, about=line.figure.is_about)
    if isinstance(line.printed, Missing):
        return None
    return usual(weight(f"line-{line.index}.metered", line.printed, line.step, signs, unit=""), line.figure.is_about)


def _gram_word(line: BatchLine | None) -> str:
    if line is None:
        return ""
    return DASH if isinstance(line.ml, Fraction) or line.figure.is_fill else word(NOT_KNOWN)


def _volume(line: BatchLine | None, signs: show.Signs) -> Figure | None:
    if line is None or not isinstance(line.ml, Fraction):
        return None
    return usual(volume(f"line-{line.index}.ml", line.ml, signs, unit=""), line.figure.is_about)


def _total(weighing: Weighing | None, signs: show.Signs) -> Figure | None:
    total = weighing.evaluation.printed_total if weighing else None
    if weighing is None or total is None or isinstance(total, Missing):
        return None
    return weight("printed-total", total, weighing.evaluation.finest_step, signs, unit="")


def _total_why(weighing: Weighing, signs: show.Signs) -> str | Phrase:
    """Return why there is no printed total, or what it leaves out."""
    total = weighing.evaluation.printed_total
    if isinstance(total, Missing):
        return said("total", reason=total.says.words(signs))
    left = left_out(weighing)
    if isinstance(left, Missing) or not left:
        return ""
    names = listed([line.figure.name for line in weighing.evaluation.left_out])
    return phrase(SENTENCES["left-out"], left=weight("left-out", left, None, signs), names=names)


def left_out(weighing: Weighing) -> Known:
    """Return the grams that the printed total leaves out, as they are less than the balance shows."""
    return add(line.grams for line in weighing.evaluation.left_out)


def _whole(figures: Figures, shares: Sequence[Figure | None]) -> Figure | None:
    """Return 100 when every line that counts has its percentage and nothing is missing to the whole."""
    makes = figures.amounts.makes
    known = all(share is not None for share, line in zip(shares, figures.amounts.lines, strict=True) if line.counts)
    if not known or makes.unit != "g" or makes.short != 0:
        return None
    return Figure(text="100", value="100", name="percent-total")


# ── Words ─────────────────────────────────────────────────────────────────────────────────────────────────────────


def _measured(line: BatchLine, weighing: Weighing, signs: show.Signs, doubtful: bool) -> Iterator[MeasuredPart]:
    """Yield how a line is measured: how much, with what, and, where that is in doubt, how far off it may be."""
    name, off, within = f"line-{line.index}", _counted_off(line), _within(line, signs) if doubtful else None
    if line.drops_told is not None:
        counted = usual(drops(f"{name}.drops", line.drops_told), line.figure.is_about)
        yield MeasuredPart(words=Phrase((counted,)), much=True)
    blend = blend_weights(line, signs)
    if blend:
        yield MeasuredPart(words=blend, much=True, stands_for="line-0.blend.strong")
    measure = _measure(line)
    words = Phrase((measure,)) if measure else NOTHING
    volume = up_to(f"{name}.to", line.index, weighing, signs)
    if volume is not None:
        words += phrase(" {volume}", volume=volume)
    if line.portions > 1:
        count = str(line.portions)
        words += phrase(
            " in {portions}", portions=Figure(text=count, value=count, name=f"{name}.portions", unit=word("portions"))
        )
    if words:
        stands_for = "line-0.plan.aliquot" if isinstance(line.metered, Aliquot) else ""
        yield MeasuredPart(words=words, stands_for=stands_for)
    if off:
        yield MeasuredPart(words=off_by(f"{name}.error", off, signs))
    elif off is not None and within is None:  # drops that differ among themselves are never exact
        yield MeasuredPart(words=phrase(SENTENCES["exact"]))
    if within is not None:
        yield MeasuredPart(words=phrase(SENTENCES["coarse"], within=within))


def _measure(line: BatchLine) -> str:
    """Return with what a line is measured, in words."""
    match line.metered:
        case Unshown():
            return said("unshown")
        case Counted(dropper=dropper) | OnlyCounted(dropper=dropper):
            return dropper
        case Weighed(balance=balance) if balance:
            return _on(balance)
        case Aliquot(plan=plan, thinned=measure):
            return f"{stock_word(measure)} {ratio(plan.factor)}, {_on(plan.with_)}"
        case ByVolume():
            return said("volume")
        case UnknownAmount() | Exact() if line.figure.is_fill and (
            isinstance(line.ml, Fraction) or isinstance(line.grams, Missing)
        ):
            return said("up-to")
        case UnknownAmount() | Nothing():
            return said("none")
        case _:
            return said("no-balance")


def _on(balance: str) -> str:
    return balance_words(balance).replace(" ", show.NBSP)


_SORTS = ("balance", "scale", "waage")
"""What the name of a balance says where it needs no such word behind it."""


def balance_words(name: str) -> str:
    """Return a balance's name as words: `fine balance`; empty where there is none."""
    named = any(sort in name.casefold() for sort in _SORTS)
    return name if not name or named else word("{name} balance", name=name)


def up_to(name: str, number: int, weighing: Weighing, signs: show.Signs) -> Figure | None:
    """Return the volume that a line fills up to, in a formula by volume whose fill has no known weight."""
    line, start = weighing.evaluation.lines[number], weighing.evaluation.start
    unknown = line.figure.is_fill and isinstance(line.metered, UnknownAmount)
    if not unknown or weighing.figures.scale.unit != "mL" or isinstance(start, Missing):
        return None
    return volume(name, start, signs)


def _counted_off(line: BatchLine) -> Fraction | None:
    """Return the error of counting whole drops, as a share; None where nothing is counted."""
    return line.metered.off if isinstance(line.metered, Counted | OnlyCounted) else None


def _within(line: BatchLine, signs: show.Signs) -> Figure | None:
    """Return how far off a line may be that is in doubt; None where it is not known."""
    off = measuring_error(line)
    return None if off is None else within_figure(f"line-{line.index}.within", off, signs)


def within_figure(name: str, off: Fraction, signs: show.Signs) -> Figure:
    """Return an error at the worst as a percentage of two significant figures, rounded up."""
    return Figure(
        text=show.significant(off * 100, show.Fine.ERROR, signs, show.UP),
        value=show.exact(off * 100),
        name=name,
        unit="%",
    )


def _loss(written: Evaporates, taken: BatchLine | None, signs: show.Signs) -> str | Phrase:
    """Return what evaporates: a share as written; grams as they follow the batch."""
    if written.grams is None or taken is None or not isinstance(taken.loss, Fraction):
        return show.written(written.text, signs)
    return phrase("{loss}", loss=weight(f"line-{taken.index}.loss", taken.loss, None, signs))


def one_ml(row: ScaleRow, shelf: Shelf) -> list[Phrase]:
    """Return what 1 mL weighs, where a line in mL is weighed and mL read as grams would be too far off."""
    line = row.figure
    grams = misleading_ml(line.grams, line.ml, row.error)
    item = None if grams is None else shelf.book.find(line.line.material)
    if grams is None or item is None:
        return []
    at_c = given_at(item) if line.blend is None else TWENTY  # diluted ethanol has its own density
    figure = Figure(
        text=show.significant(grams, signs=shelf.signs),
        value=show.exact(grams),
        name=f"line-{line.index}.one-ml",
        unit="g",
    )
    if at_c is None:
        return [phrase("1\u00a0mL weighs {figure}.", figure=figure)]
    return [
        phrase("1\u00a0mL weighs {figure} at {celsius}\u00a0°C.", figure=figure, celsius=show.plain(at_c, shelf.signs))
    ]


def _notes(line: BatchLine, way: WayOut | None, figures: Figures, shelf: Shelf) -> list[str | Phrase]:
    """Return what has to be said below a row at this batch, most pressing first."""
    notes: list[str | Phrase] = []
    if line.is_coarse and line.figure.counts and not line.figure.is_about:
        notes += _ways_out(line, way, figures, shelf)
    if (
        isinstance(line.metered, UnknownAmount | OnlyCounted | ByVolume)
        and not isinstance(line.ml, Fraction)
        and (not line.figure.is_fill or figures.scale.unit == "g")
    ):
        notes.append(coded(said("weight-unknown", reason=line.metered.printed.says.words(shelf.signs))))
    notes += blend_note(line, shelf)
    if line.spared is not None:
        spared = weight(f"line-{line.index}.spared", line.spared.grams, None, shelf.signs)
        notes.append(phrase(SENTENCES["spared"], spared=spared))
    if isinstance(line.metered, Weighed | Exact) and not line.figure.is_fill:
        notes += one_ml(line.row, shelf)
    return notes


def _ways_out(line: BatchLine, way: WayOut | None, figures: Figures, shelf: Shelf) -> list[str | Phrase]:
    """Return how a line that is measured coarsely can be measured better: drops, a larger batch, a finer balance."""
    notes: list[str | Phrase] = []
    signs, name = shelf.signs, f"line-{line.index}"
    if drips(line.figure, shelf.book) and isinstance(line.grams, Fraction) and (counts := usual_count(line.grams)):
        few, many = counts
        told: Figure | Phrase = drops(f"{name}.many", many)
        if few != many:
            least = Figure(text=str(few), value=str(few), name=f"{name}.few")
            told = phrase(SENTENCES["some"], few=least, many=told)
        light, heavy = (show.plain(each, signs) for each in USUAL_DROP)
        weigh = drops_to_weigh_words(shelf)
        notes.append(phrase(SENTENCES["drips"], weigh=weigh, many=told, light=light, heavy=heavy))
    if way is not None:
        batch = Figure(
            text=show.plain(way.batch, signs),
            value=show.exact(way.batch),
            name=f"{name}.next",
            unit=figures.scale.unit,
        )
        kind = "way-else" if way.drops is None else "way-unsure" if way.doubtful else "way-drops"
        words = show.written(said(kind, way=str(way.how)), signs)
        notes.append(phrase(SENTENCES["way-out"], batch=batch, way=words))
    return notes


def drops_to_weigh_words(shelf: Shelf) -> Phrase:
    """Return how a liquid's drops are weighed once for their mass, on a finer balance where this one shows too few."""
    return _drops_to_weigh_words(Same(shelf.book.workroom), shelf.signs, spoken())


@lru_cache(maxsize=4)
def _drops_to_weigh_words(same: Same[Workroom], signs: show.Signs, language: str) -> Phrase:
    room = same.record
    count = drops_to_weigh(room.balances, room.accepted_error.share)
    if count is not None:
        return phrase(SENTENCES["weigh-drops"], count=str(count))
    grams = show.with_unit(show.plain(USUAL_WEIGHT, signs), "g")
    return phrase(SENTENCES["weigh-drops-finer"], count=str(USUAL_WEIGHED), grams=grams)


def _lasting_notes(figure: LineFigure, taken: BatchLine | None, soap: Soap, shelf: Shelf) -> list[str | Phrase]:
    """Return what has to be said below a row at every batch; of it only what evaporates follows the batch."""
    notes: list[str | Phrase] = []
    signs, line = shelf.signs, figure.line
    if isinstance(figure.percent, Missing) and figure.counts and isinstance(line.amount, Missing):
        notes.append(coded(word("Not known: {why}.", why=line.amount.says.words(signs))))
    made = soap.made
    if made is not None and made.is_sound and figure.key in made.lyes:
        notes.append(coded(show.sentence(superfat_told(made).words(signs))))
    if line.removed is not None:
        notes.append(word("Taken out again: {how}. Not part of the total.", how=word(str(line.removed))))
    if line.left is not None:
        much = show.written(line.left.percent.text, signs)
        notes.append(
            word("At most {much} stays in the product.", much=much)
            if line.left.at_most
            else word("About {much} stays in the product.", much=much)
        )
    if line.evaporates is not None:
        if line.added:
            fate = noted("{much} of it evaporates; the weight allows for that.")
        elif line.made_up:
            fate = noted("{much} evaporates: make it up to weight at the end.")
        else:
            fate = noted("{much} evaporates and is not replaced.")
        notes.append(phrase(fate, much=_loss(line.evaporates, taken, signs)))
    elif line.made_up:
        notes.append(word("What evaporates is made up to weight at the end."))
    if line.note:
        notes.append(show.sentence(show.written(line.note, signs)))
    return notes
