"""What a batch came to: what was weighed against what was planned, what came out, until when it may be used.

Enters: a reckoned book and one of its batch records.  Leaves: `BatchResult`.  Everything is reckoned anew from what the
record says was weighed and from the lots it names; a record holds no computed figure.  Where the formula has gone on
since to another issue, its lines, losses and periods are those of the issue that was made where that is kept, else
those of today; `BatchResult.same_issue` says that it has gone on.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from ..findings import Missing
from ..fraction import Fraction
from ..model import BatchRecord, BenchLine, Known, Material
from ..wording.saying import Saying, says
from .counted import in_unit_of
from .densities import is_water
from .figures import Figures, Reckoning
from .first import in_unit
from .known import ONE, ZERO, add, less, over, times
from .lastdays import LastDays, LotAge, figures_of, last_days_of, old_lots
from .lot_content import content_of_lot, nominal_content, substance_counted, weigh_instead
from .lots import taken_grams
from .weighing import batch_wanted

YIELD_SEEN = (Fraction(90, 100), Fraction(110, 100))
"""Shares of what was planned between which a yield is common (T13-09: USP <795> of 2014 and monographs of compounded
preparations, from memory)."""


class Loss(StrEnum):
    """Which loss of the formula explains what is missing."""

    NONE = "nothing was lost"
    YIELD = "yield"
    EVAPORATION = "evaporation"
    BOTH = "yield and evaporation"
    OTHER = "neither"


@dataclass(frozen=True, slots=True, kw_only=True)
class AchievedLine:
    """One ingredient of a batch: planned, weighed, and its share."""

    key: str
    """Key of the ingredient; its written name in lower case where the book has none of that name."""
    name: str
    """The ingredient as the record calls it."""
    phase: str
    """The letter of its phase, where the record tells its lines apart by it."""
    lots: tuple[str, ...]
    """The lots that it was taken of, as written."""
    planned: Known | None
    """Grams that were planned; None where none are written."""
    weighed: Known
    """Grams that were weighed."""
    deviation: Known | None
    """(weighed − planned) ÷ planned; None where nothing was planned."""
    counts: bool
    """False for a processing aid, which is taken out again."""
    share: Known | None
    """Share of all that was weighed and counts, 1 = all; None for a processing aid."""
    share_if_water: Known | None
    """The same of what came out, if all that was lost was water; None where that is not known or cannot have been."""
    first: BenchLine
    """The line of the record where it was weighed first."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Yielded:
    """What came out of a batch, in grams and as shares."""

    went_in: Known
    """Grams that were weighed and count."""
    out: Known | None
    """Grams that came out; None where it is not written."""
    planned: Known
    """Grams that were to come out."""
    of_plan: Known | None
    """What came out ÷ what was to come out."""
    of_what_went_in: Known | None
    """What came out ÷ what was weighed."""
    loss: Loss | None
    """Which loss of the formula explains the difference; None where it is not known."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LotContent:
    """What the content of a lot did to a line that counts a substance, `0.4 % as lactic acid`."""

    substance: str
    """The substance that the formula counts."""
    lot: str
    """The lot, as written."""
    name: str
    """The material."""
    nominal: Fraction
    """Share of the substance in the material by its file."""
    actual: Fraction
    """Share of it in the lot."""
    planned: Known | None
    """Grams of the material that were planned, by its nominal content."""
    instead: Known | None
    """Grams of this lot that carry the same."""
    weighed: Known
    """Grams of this lot that were weighed."""
    carried: Known
    """Grams of the substance in them."""
    line: BenchLine
    """The line of the record."""


@dataclass(frozen=True, slots=True, kw_only=True)
class BatchResult:
    """What one batch came to."""

    batch: str
    """Its key."""
    same_issue: bool
    """True where the formula is still at the issue that was followed."""
    lines: tuple[AchievedLine, ...]
    """Its ingredients, in the order of the record."""
    yielded: Yielded
    """What came out."""
    contents: tuple[LotContent, ...]
    """What the lots' contents did."""
    old: tuple[LotAge, ...]
    """Lots that were past one of their dates."""
    use_by: date | Missing
    """The last day of use, up to and including."""
    use_by_why: Saying
    """Why that day."""
    ph_within: bool | None
    """Whether the pH measured is within what the formula expects; None where either is not written."""

    @property
    def furthest(self) -> AchievedLine | None:
        """The line that was furthest off its plan, in shares of it; None where every known line was as planned."""
        off = [(abs(line.deviation), line) for line in self.lines if isinstance(line.deviation, Fraction)]
        share, line = max(off, key=lambda found: found[0], default=(ZERO, None))
        return line if share else None


def result_of(reckoning: Reckoning, batch: str, last_days: LastDays | None = None) -> BatchResult:
    """Return what a batch came to; `last_days` are those of `last_days_of`, where they are known already."""
    record = reckoning.book.batches[batch]
    present = reckoning.book.formulas.get(reckoning.book.key_made(record))
    last_days = last_days_of(reckoning) if last_days is None else last_days
    last, why = last_days[batch]
    issue = record.of.issue if record.of is not None else None
    lines = lines_of(reckoning, record)
    return BatchResult(
        batch=batch,
        same_issue=present is not None and present.issue == issue,
        lines=lines,
        yielded=yielded(reckoning, record, lines),
        contents=tuple(contents_of(reckoning, record)),
        old=tuple(old_lots(reckoning, batch, last_days)),
        use_by=last,
        use_by_why=why,
        ph_within=ph_within(reckoning, record),
    )


# ── Lines ─────────────────────────────────────────────────────────────────────────────────────────────────────────


def lines_of(reckoning: Reckoning, record: BatchRecord) -> tuple[AchievedLine, ...]:
    """Return what was weighed of each ingredient, by how much it was off, and its share of all that was weighed.

    Deviation = (weighed − planned) ÷ planned.  Share = weighed ÷ all that was weighed, processing aids aside.  If all
    that was lost was water, the others are their grams ÷ what came out, and the water is what is left of it.  Lines of
    one ingredient are told apart by their phase where planned and weighed lines both name it, else taken together.

    Source: own arithmetic.
    """
    book, figures = reckoning.book, figures_of(reckoning, record)
    aids = frozenset[str]()
    if figures is not None:
        aids = frozenset(line.key for line in figures.amounts.lines if not line.counts)
        aids -= {line.key for line in figures.amounts.lines if line.counts}
    apart = _apart(record, reckoning)
    planned, weighed = _grouped(record.planned, reckoning, apart), _grouped(record.weighed, reckoning, apart)
    sums = {name: _sum(lines, reckoning) for name, lines in weighed.items()}
    went_in = add(grams for (key, _), grams in sums.items() if key not in aids)
    counted = record.came_out is not None and record.came_out.form is not None
    out = None if counted else _grams_out(record, figures)  # pieces that broke are no water that was lost
    found = []
    for (key, phase), lines in weighed.items():
        grams = sums[key, phase]
        wanted = _sum(planned[key, phase], reckoning) if (key, phase) in planned else None
        counts = key not in aids
        item = book.at(key)
        water = isinstance(item, Material) and is_water(item)
        share = _share(grams, went_in) if counts else None
        found.append(
            AchievedLine(
                key=key,
                name=lines[0].material,
                phase=phase,
                lots=tuple(line.lot for line in lines if line.lot),
                planned=wanted,
                weighed=grams,
                deviation=None if wanted is None else over(less(grams, wanted), wanted),
                counts=counts,
                share=share,
                share_if_water=_if_water(grams, went_in, out, sums, reckoning, water=water) if counts else None,
                first=lines[0],
            )
        )
    return tuple(found)


def _apart(record: BatchRecord, reckoning: Reckoning) -> frozenset[str]:
    """Return the ingredients whose lines all name a phase, planned as well as weighed."""
    lines = [(_key(line, reckoning), line.phase) for line in (*record.planned, *record.weighed)]
    return frozenset(key for key, _ in lines) - {key for key, phase in lines if not phase}


def _key(line: BenchLine, reckoning: Reckoning) -> str:
    return reckoning.book.key_of(line.material) or line.material.casefold()


def _grouped(
    lines: Iterable[BenchLine], reckoning: Reckoning, apart: frozenset[str]
) -> dict[tuple[str, str], list[BenchLine]]:
    found: dict[tuple[str, str], list[BenchLine]] = {}
    for line in lines:
        key = _key(line, reckoning)
        found.setdefault((key, line.phase if key in apart else ""), []).append(line)
    return found


def _sum(lines: Iterable[BenchLine], reckoning: Reckoning) -> Known:
    book = reckoning.book
    return add(taken_grams(line, book.at(_key(line, reckoning)), book) for line in lines)


def _share(grams: Known, went_in: Known) -> Known:
    return over(grams, went_in) if isinstance(went_in, Missing) or went_in else ZERO


def _if_water(
    grams: Known,
    went_in: Known,
    out: Known | None,
    sums: Mapping[tuple[str, str], Known],
    reckoning: Reckoning,
    *,
    water: bool,
) -> Known | None:
    """Return the share of one ingredient if all that was lost was water; None where that cannot have been."""
    if out is None or isinstance(out, Missing) or isinstance(went_in, Missing) or out > went_in:
        return None
    materials = reckoning.book.materials
    waters = add(amount for (key, _), amount in sums.items() if key in materials and is_water(materials[key]))
    lost = went_in - out
    if isinstance(waters, Missing) or waters < lost or not waters:
        return None
    return over(times(grams, ONE - lost / waters) if water else grams, out)


# ── What came out ─────────────────────────────────────────────────────────────────────────────────────────────────


def _grams_out(record: BatchRecord, figures: Figures | None) -> Known | None:
    quantity = record.came_out
    if quantity is None:
        return None
    if quantity.unit == "g":
        return quantity.value
    if figures is None:
        return Missing(says=says("no-product-density"))
    return in_unit_of(figures, quantity, "g")


def yielded(reckoning: Reckoning, record: BatchRecord, lines: Iterable[AchievedLine]) -> Yielded:
    """Return what came out, against the plan and against what was weighed, and which loss of the formula explains it.

    `lines` are those of `lines_of`.

    Yield = what came out ÷ what was to come out; and ÷ what was weighed, processing aids aside.  The formula's yield
    and evaporation each say what share of what was weighed should have come out: nothing lost, one of them, or both.
    The nearest of these explains the batch where it is within the accepted error; else neither does.

    Source: own arithmetic (T13-08); 5 % as the accepted error T13-10; that the nearest explains it is own choice, no
    source.
    """
    figures = figures_of(reckoning, record)
    went_in = add(line.weighed for line in lines if line.counts)
    out = _grams_out(record, figures)
    planned: Known = Missing(says=says("not-planned"))
    if figures is not None and record.obtain is not None:
        size = batch_wanted(figures, record.obtain)
        planned = size if figures.amounts.makes.unit == "g" else in_unit(figures.formula, size, "g")
    of_what_went_in = None if out is None else _part(out, went_in)
    loss = None
    if figures is not None and isinstance(of_what_went_in, Fraction):
        loss = loss_that_explains(
            of_what_went_in,
            figures.flow.yield_,
            figures.flow.evaporated,
            reckoning.book.workroom.accepted_error.share,
        )
    return Yielded(
        went_in=went_in,
        out=out,
        planned=planned,
        of_plan=None if out is None else _part(out, planned),
        of_what_went_in=of_what_went_in,
        loss=loss,
    )


def _part(out: Known, of: Known) -> Known | None:
    return None if of == 0 else over(out, of)


def loss_that_explains(out: Fraction, yield_: Fraction, evaporated: Known, accepted: Fraction) -> Loss | None:
    """Return which loss explains the share that came out of what was weighed; None where evaporation is not known.

    Source: as `yielded`.

    >>> loss_that_explains(Fraction("0.951"), Fraction("0.95"), Fraction(0), Fraction("0.05")).value
    'yield'
    """
    if isinstance(evaporated, Missing):
        return None
    ways = {Loss.NONE: ONE}
    if yield_ < 1:
        ways[Loss.YIELD] = yield_
    if evaporated:
        ways[Loss.EVAPORATION] = ONE - evaporated
    if len(ways) == 3:
        ways[Loss.BOTH] = yield_ * (ONE - evaporated)
    nearest = min(ways, key=lambda way: abs(ways[way] - out))
    return nearest if abs(ways[nearest] - out) <= accepted * ways[nearest] else Loss.OTHER


def ph_within(reckoning: Reckoning, record: BatchRecord) -> bool | None:
    """Return whether the pH measured is within what the formula expects; None where either is not written.

    One expected value is read as its last digit allows: 4.6 is 4.55 to 4.65.

    Source: common practice, no source.
    """
    figures = figures_of(reckoning, record)
    expected = None if figures is None else figures.formula.ph
    if record.ph is None or expected is None:
        return None
    slack = ZERO
    if expected.low.value == expected.high.value:
        slack = Fraction(1, 2 * 10 ** len(expected.low.text.partition(".")[2]))
    return expected.low.value - slack <= record.ph.value <= expected.high.value + slack


# ── Lots ──────────────────────────────────────────────────────────────────────────────────────────────────────────


def contents_of(reckoning: Reckoning, record: BatchRecord) -> Iterator[LotContent]:
    """Yield what the content of a lot did to each line that counts a substance, by weight.

    Only where the lot tells its own content and the material its nominal one.
    """
    figures = figures_of(reckoning, record)
    if figures is None:
        return
    planned = _grouped(record.planned, reckoning, frozenset())
    materials = reckoning.book.materials
    counted = {line.key: substance_counted(line.line, materials.get(line.key)) for line in figures.amounts.lines}
    for line in record.weighed:
        key = _key(line, reckoning)
        material, substance = materials.get(key), counted.get(key)
        account = reckoning.lots.accounts.get((key, line.lot.casefold()))
        if material is None or substance is None or account is None or account.lot is None:
            continue
        nominal, actual = nominal_content(material, substance), content_of_lot(material, account.lot, substance)
        if nominal is None or actual is None:
            continue
        grams = taken_grams(line, material, reckoning.book)
        wanted = _sum(planned[key, ""], reckoning) if (key, "") in planned else None
        yield LotContent(
            substance=substance,
            lot=line.lot,
            name=material.name,
            nominal=nominal,
            actual=actual,
            planned=wanted,
            instead=weigh_instead(wanted, nominal, actual) if isinstance(wanted, Fraction) else wanted,
            weighed=grams,
            carried=times(grams, actual),
            line=line,
        )
