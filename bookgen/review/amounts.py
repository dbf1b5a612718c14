"""Amounts: fills, totals, parts, and what is not known about a line.

Enters: a formula's amounts.  Leaves: findings on amounts that contradict each other or cannot be reckoned.
"""

from __future__ import annotations

from collections.abc import Iterator

from ..findings import Missing, Place, Severity
from ..fraction import Fraction
from ..model import Basis, Fill, Parts, Percent
from ..reckon.dripping import USUAL_WEIGHED, drops_to_weigh
from ..wording.saying import Saying, says
from .rule import Case, Said, known

# ── The fill ──────────────────────────────────────────────────────────────────────────────────────────────────────


def two_fills(case: Case) -> Iterator[Said]:
    """Only one ingredient can be made up to the total; error at the second.

    Source: common practice, no source.
    """
    if len(case.fills) > 1:
        first, second = case.fills[0].line, case.fills[1].line
        yield Said(
            place=second.amount_place,
            says=says("two-fills", first=first.material, line=first.amount_place.line, second=second.material),
        )


def removed_fill(case: Case) -> Iterator[Said]:
    """A processing aid is outside the total, so it cannot be made up to it; error.

    Source: common practice, no source.
    """
    for figure in case.lines:
        if figure.line.removed and isinstance(figure.line.amount, Fill):
            yield Said(
                place=figure.line.amount_place,
                says=says("removed-fill", name=figure.line.material, removed=figure.line.removed),
            )


def fill_and_makes_differ(case: Case) -> Iterator[Said]:
    """What the fill is made up to and what the formula makes are the same figure; error when they differ.

    Source: common practice, no source.
    """
    makes = case.formula.makes
    if makes is None or makes.about or makes.form is not None or len(case.fills) != 1:
        return
    amount = case.fills[0].line.amount
    if not isinstance(amount, Fill) or amount.to is None:
        return
    if (amount.to.value, amount.to.unit) != (makes.quantity.value, makes.quantity.unit):
        name, to, whole = case.fills[0].line.material, amount.to.text, makes.quantity.text
        yield Said(
            place=case.fills[0].line.amount_place,
            says=says("fill-and-makes-differ", name=name, to=to, makes=whole),
        )


def about_beside_fill(case: Case) -> Iterator[Said]:
    """`makes: about …` lets the sum count, a fill makes it exact; error when both are written.

    Source: common practice, no source.
    """
    makes = case.formula.makes
    if makes is not None and makes.about and case.fills:
        whole, fill = makes.quantity.text, case.fills[0].line
        yield Said(
            place=case.place_of("makes"),
            says=says("about-beside-fill", whole=whole, name=fill.material, line=fill.amount_place.line),
        )


def fill_beside_parts(case: Case) -> Iterator[Said]:
    """Lines in parts share what the other lines leave, and so would a fill; error unless `part:` fixes their weight.

    Source: common practice, no source.
    """
    if case.formula.part is not None or not case.fills:
        return
    shared = next((figure for figure in case.lines if isinstance(figure.line.amount, Parts)), None)
    if shared is not None:
        fill = case.fills[0].line
        yield Said(place=fill.amount_place, says=says("fill-beside-parts", name=fill.material))


def fill_beyond_total(case: Case) -> Iterator[Said]:
    """The other lines must leave room for the fill; error that says by how much they go beyond the total.

    Source: common practice, no source.
    """
    short, total = known(case.makes.short), known(case.makes.grams)
    if len(case.fills) != 1 or short is None or total is None or short >= 0:
        return
    fill = case.fills[0].line
    yield Said(
        place=fill.amount_place,
        says=says("fill-beyond-total", over=-short, total=total, name=fill.material),
    )


# ── The total ─────────────────────────────────────────────────────────────────────────────────────────────────────


def total_misses(case: Case) -> Iterator[Said]:
    """Without a fill, the lines add up to what the formula makes; error that says by how much they are short or over.

    Source: common practice, no source.  Exact, so a miss of any size counts; `about` is the way to allow one.
    """
    makes = case.makes
    short, total, grams = known(makes.short), known(makes.total), known(makes.grams)
    if case.fills or not short or total is None or grams is None:
        return
    share = says("of-the-total", share=total / grams) if grams and grams != 100 else None
    if short > 0:
        told = says("total-short", total=total, share=share, short=short, wanted=grams)
    else:
        told = says("total-over", total=total, share=share, over=-short, wanted=grams)
    yield Said(place=_last(case), says=told)


def _last(case: Case) -> Place:
    """Return where the amount of the last line that counts is written."""
    for figure in reversed(case.lines):
        if figure.counts:
            return figure.line.amount_place
    return case.place_of("ingredients")


def about_misses(case: Case) -> Iterator[Said]:
    """`makes: about …` may miss the sum a little, as official formulas do; note beyond 1 %.

    Source: common practice, no source (T01-11: an official formula of about 1000 g adds up to 1000.2 g).
    """
    unit = case.makes.unit
    about, total = case.makes.about, known(case.makes.total if unit == "g" else case.makes.ml)
    if about is None or total is None or not about or abs(total - about) * 100 <= about:
        return
    yield Said(
        place=case.place_of("makes"),
        says=says(
            "sum-above-about" if total > about else "sum-below-about",
            total=total,
            unit=unit,
            share=abs(total - about) / about,
            about=about,
        ),
    )


CONTRACTION = Fraction(1, 20)
"""How far volumes may go beyond the volume they mix to.  Ethanol and water, which shrink most, lose at most about 4 %
(from memory of OIML R 22)."""


def volumes_beyond_whole(case: Case) -> Iterator[Said]:
    """Written volumes (mL, % v/v) go into the volume that the formula makes; error when they are over 5 % beyond it.

    Source: common practice, no source; the 5 % leave room for liquids that shrink when mixed (from memory of OIML R 22:
    ethanol and water at most about 4 %).
    """
    whole = known(case.makes.ml)
    if case.makes.unit != "mL" or whole is None:
        return
    measured = [line for line in case.lines if line.counts and not line.is_fill and known(line.ml) is not None]
    total = sum((known(line.ml) or Fraction(0) for line in measured), Fraction(0))
    if total > whole * (1 + CONTRACTION):
        yield Said(
            place=measured[-1].line.amount_place,
            says=says("volumes-beyond-whole", total=total, over=total - whole, whole=whole),
        )


def nothing_left_for_parts(case: Case) -> Iterator[Said]:
    """The other lines must leave something for the lines in parts; error.

    Source: common practice, no source.
    """
    part, grams = case.figures.amounts.part_g, known(case.makes.grams)
    if not isinstance(part, Missing) or part.cause != "nothing-left-for-parts" or grams is None:
        return
    others = sum(
        (
            known(figure.grams) or Fraction(0)
            for figure in case.lines
            if figure.counts and not isinstance(figure.line.amount, Parts)
        ),
        Fraction(0),
    )
    if others > grams:
        told = says("others-beyond-whole", others=others, over=others - grams, whole=grams)
    else:
        told = says("nothing-left-for-parts", others=others)
    yield Said(place=part.place, says=told)


# ── What is not known ─────────────────────────────────────────────────────────────────────────────────────────────


def gaps_of_cause(
    case: Case, cause: str, way: Saying, by_volume: Severity | None = None, of_formula: Saying | None = None
) -> Iterator[Said]:
    """Yield the gaps of one cause with the way out, at the line, or in the material's file where the cause stands.

    `of_formula` is the way out where the ingredient is an intermediate, whose file has other keys than a material's.
    """
    for gap in case.gaps:
        if gap.missing.cause != cause:
            continue
        severity = by_volume if case.makes.unit == "mL" else None
        place = gap.missing.place
        if place.path in ("", case.formula.path):
            place = place if place.line else gap.figure.line.amount_place
            out = of_formula if of_formula and gap.figure.is_formula else way
            yield Said(place=place, says=says("lacking", why=gap.missing.says, way=out), severity=severity)
            continue
        owner = next(
            (material for material in case.reckoning.book.materials.values() if material.path == place.path), None
        )
        if owner is not None:
            told = says("clause", says=gap.missing.says)
            yield Said(place=place, says=told, severity=severity, title=owner.name, concerns=owner.key)


def missing_density(case: Case) -> Iterator[Said]:
    """A line by volume in a formula by weight needs its ingredient's density; error (no density of 1 is ever assumed).

    Source: mass = volume × density, common practice, no source.
    """
    return gaps_of_cause(case, "missing-density", says("write-density"))


def missing_product_density(case: Case) -> Iterator[Said]:
    """A share by volume in a formula by weight, or by weight in one by volume, needs the product's density; error.

    Source: mass = volume × density, common practice, no source.
    """
    yield from gaps_of_cause(case, "missing-product-density", says("write-product-density"))
    flow = case.figures.flow
    for lost in (flow.evaporated, flow.added):
        if isinstance(lost, Missing) and lost.cause == "missing-product-density" and not lost.reported:
            told = says("lacking", why=lost.says, way=says("write-it"))
            yield Said(place=case.place_of("makes", "ingredients"), says=told)
            return


def missing_drop_mass(case: Case) -> Iterator[Said]:
    """A line in drops needs to know what a drop weighs; error by weight, query by volume, where the count still stands.

    Source: T03-09 (drops of essential oils differ by a third and more).
    """
    room = case.workroom
    number = drops_to_weigh(room.balances, room.accepted_error.share)
    onto = says("the-balance" if number else "a-finer-balance")
    drops = number or USUAL_WEIGHED
    return gaps_of_cause(
        case,
        "missing-drop-mass",
        says("count-drops", drops=drops, onto=onto),
        Severity.QUERY,
        says("count-drops-of-formula", drops=drops, onto=onto),
    )


def missing_content(case: Case) -> Iterator[Said]:
    """`as SUBSTANCE` needs to know how much of it the ingredient carries; error.

    Source: common practice, no source (weight of raw material = weight of substance ÷ content).
    """
    return gaps_of_cause(case, "missing-content", says("write-content"))


def parts_without_weight(case: Case) -> Iterator[Said]:
    """Lines in parts need a rest to share, or a weight of one part; error.

    Source: common practice, no source.
    """
    return gaps_of_cause(case, "parts-without-weight", says("write-part"))


def amount_not_known(case: Case) -> Iterator[Said]:
    """`q.s. to` a pH, colour or scent without a usual amount leaves the total and the composition unknown; query.

    Source: common practice, no source.
    """
    for gap in case.gaps:
        if gap.missing.cause == "amount-not-known":
            yield Said(
                place=gap.missing.place,
                says=says("usual-amount-missing", name=gap.figure.name),
            )


TOLD = frozenset(
    {
        "missing-density",
        "missing-product-density",
        "missing-drop-mass",
        "missing-content",
        "parts-without-weight",
        "amount-not-known",
        "nothing-left-for-parts",
        "parts-beside-fill",
        "two-fills",
        "beyond-total",
        "no-fat-for-lye",
        "other-lye-enough",
        "missing-saponification",
        "missing-lye-strength",
    }
)
"""Causes that have a rule of their own."""


def not_known(case: Case) -> Iterator[Said]:
    """Any other figure that a line needs and that is not known is told once, at its place; error by weight, else query.

    Source: common practice, no source.
    """
    for gap in case.gaps:
        if gap.missing.cause not in TOLD:
            place = gap.missing.place if gap.missing.place.line else gap.figure.line.amount_place
            yield Said(
                place=place,
                says=says("amount-unknown", name=gap.figure.name, why=gap.missing.says),
                severity=Severity.QUERY if case.makes.unit == "mL" else None,
            )


# ── What stays in ─────────────────────────────────────────────────────────────────────────────────────────────────


def left_beyond_amount(case: Case) -> Iterator[Said]:
    """No more of an ingredient can stay in the product than was put in; error.

    Source: conservation of mass, no source needed.
    """
    for figure in case.lines:
        left = figure.line.left
        if left is None:
            continue
        percent = left.percent
        by_volume = percent.basis is Basis.VV
        stays, taken = _left(case, percent), known(figure.ml if by_volume else figure.grams)
        if stays is not None and taken is not None and stays > taken:
            yield Said(
                place=figure.line.place,
                says=says(
                    "left-beyond-amount",
                    left=percent.text,
                    stays=stays,
                    taken=taken,
                    unit="mL" if by_volume else "g",
                    name=figure.name,
                ),
            )


def _left(case: Case, percent: Percent) -> Fraction | None:
    """Return what stays, in mL for v/v, else in grams; None when not known."""
    by_volume = percent.basis in (Basis.VV, Basis.WV)
    whole = known(case.makes.ml if by_volume else case.makes.grams)
    return None if whole is None else percent.share * whole


# ── Something must be made ────────────────────────────────────────────────────────────────────────────────────────


def makes_nothing(case: Case) -> Iterator[Said]:
    """A formula has ingredients, and makes something once its processing aids are taken out; error.

    Source: common practice, no source.
    """
    amount = known(case.makes.amount)
    if not case.lines:
        yield Said(
            place=case.place_of("ingredients", "code"),
            says=says("no-ingredient"),
        )
    elif amount is not None and amount <= 0:
        yield Said(
            place=case.place_of("ingredients"),
            says=says("all-removed"),
        )


def nothing_for_the_fill(case: Case) -> Iterator[Said]:
    """The other lines leave something for the fill; query when they are exactly the total.

    Source: common practice, no source.
    """
    if len(case.fills) == 1 and known(case.fills[0].grams) == 0:
        fill = case.fills[0].line
        yield Said(
            place=fill.amount_place,
            says=says("nothing-for-the-fill", name=fill.material),
        )
