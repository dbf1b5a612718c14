"""Amounts: fills, totals, parts, and what is not known about a line.

Enters: a formula's amounts.  Leaves: findings on amounts that contradict each other or cannot be reckoned.
"""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from ..findings import Missing, Place, Severity
from ..model import Basis, Fill, Parts, Percent
from ..reckon.dripping import USUAL_WEIGHED, drops_to_weigh
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
            words=f"{first.material} in line {first.amount_place.line} is already made up to the total; "
            f"write how much {second.material} is taken",
        )


def removed_fill(case: Case) -> Iterator[Said]:
    """A processing aid is outside the total, so it cannot be made up to it; error.

    Source: common practice, no source.
    """
    for figure in case.lines:
        if figure.line.removed and isinstance(figure.line.amount, Fill):
            yield Said(
                place=figure.line.amount_place,
                words=f"{figure.line.material} is {figure.line.removed} out again and does not count to the total; "
                "write how much of it is taken",
            )


def fill_and_makes_differ(case: Case) -> Iterator[Said]:
    """What the fill is made up to and what the formula makes are the same figure; error when they differ.

    Source: common practice, no source.
    """
    makes = case.formula.makes
    if makes is None or makes.about or len(case.fills) != 1:
        return
    amount = case.fills[0].line.amount
    if not isinstance(amount, Fill) or amount.to is None:
        return
    if (amount.to.value, amount.to.unit) != (makes.quantity.value, makes.quantity.unit):
        yield Said(
            place=case.fills[0].line.amount_place,
            words=f"{case.fills[0].line.material} is made up to {case.stated(amount.to.text)}, but the formula makes "
            f"{case.stated(makes.quantity.text)}; write the same in both, or leave `makes:` out",
        )


def about_beside_fill(case: Case) -> Iterator[Said]:
    """`makes: about …` lets the sum count, a fill makes it exact; error when both are written.

    Source: common practice, no source.
    """
    makes = case.formula.makes
    if makes is not None and makes.about and case.fills:
        whole, fill = case.stated(makes.quantity.text), case.fills[0].line
        yield Said(
            place=case.place_of("makes"),
            words=f"`makes: about {whole}` stands beside a fill ({fill.material} in line {fill.amount_place.line}), "
            f"which makes it exact; write `makes: {whole}`",
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
        yield Said(
            place=fill.amount_place,
            words=f"{fill.material} is made up to the total, and the lines in parts would share the same rest; "
            "write `part: 1 g` (or what a part weighs), or give this line parts too",
        )


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
        words=f"the other lines are {case.grams(-short)} over the {case.grams(total)} that {fill.material} should make "
        "up; correct a line or the total",
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
    side = "short of" if short > 0 else "over"
    found, wanted = case.against(total, grams)
    of_all = f" ({case.against(total / grams * 100, Fraction(100))[0]} %)" if grams and grams != 100 else ""
    way = f'make one up with "to {case.grams(grams)}"' if short > 0 else f'write "makes: about {case.grams(grams)}"'
    yield Said(
        place=_last(case),
        words=f"the total is {found} g{of_all}, {case.grams(abs(short))} {side} {wanted} g; correct a line, or {way}",
    )


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
    found, wanted = case.against(total, about)
    yield Said(
        place=case.place_of("makes"),
        words=f"the lines add up to {found} {unit}, which is {case.rough(abs(total - about) / about)} "
        f"{'more' if total > about else 'less'} than about {wanted} {unit}; {found} {unit} is what the formula makes",
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
    measured = [one for one in case.lines if one.counts and not one.is_fill and known(one.ml) is not None]
    total = sum((known(one.ml) or Fraction(0) for one in measured), Fraction(0))
    if total > whole * (1 + CONTRACTION):
        yield Said(
            place=measured[-1].line.amount_place,
            words=f"the lines by volume come to {case.amount(total)}, {case.amount(total - whole)} beyond the "
            f"{case.amount(whole)} that the formula makes; correct a line or what it makes",
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
    beyond = ""
    if others > grams:
        beyond = f", {case.grams(others - grams)} over the {case.grams(grams)} that the formula makes"
    yield Said(
        place=part.place,
        words=f"the other lines take {case.grams(others)}{beyond} and leave nothing for the lines in parts; correct a "
        "line or what the formula makes",
    )


# ── What is not known ─────────────────────────────────────────────────────────────────────────────────────────────


def _gaps(case: Case, cause: str, way: str, by_volume: Severity | None = None, of_formula: str = "") -> Iterator[Said]:
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
            yield Said(place=place, words=f"{gap.missing.reason}; {out}", severity=severity)
            continue
        owner = next((one for one in case.reckoning.book.materials.values() if one.path == place.path), None)
        if owner is not None:
            yield Said(place=place, words=gap.missing.reason, severity=severity, title=owner.name, concerns=owner.key)


def missing_density(case: Case) -> Iterator[Said]:
    """A line by volume in a formula by weight needs its ingredient's density; error (no density of 1 is ever assumed).

    Source: mass = volume × density, common practice, no source.
    """
    return _gaps(case, "missing-density", "write `density:` in its file, or the amount in grams")


def missing_product_density(case: Case) -> Iterator[Said]:
    """A share by volume in a formula by weight, or by weight in one by volume, needs the product's density; error.

    Source: mass = volume × density, common practice, no source.
    """
    yield from _gaps(case, "missing-product-density", "write it, or the amount so that none is needed")
    flow = case.figures.flow
    for lost in (flow.evaporated, flow.added):
        if isinstance(lost, Missing) and lost.cause == "missing-product-density" and not lost.reported:
            yield Said(place=case.place_of("makes", "ingredients"), words=f"{lost.reason}; write it")
            return


def missing_drop_mass(case: Case) -> Iterator[Said]:
    """A line in drops needs to know what a drop weighs; error by weight, query by volume, where the count still stands.

    Source: T03-09 (drops of essential oils differ by a third and more).
    """
    room = case.workroom
    number = drops_to_weigh(room.balances, room.accepted_error.share)
    count = f"count {number} drops onto the balance" if number else f"count {USUAL_WEIGHED} drops onto a finer balance"
    return _gaps(
        case,
        "missing-drop-mass",
        f"{count} and write `drops:` in its file, or the weight as `2 drops (0.05 g)`",
        Severity.QUERY,
        f"{count} and write the weight after them, as in `2 drops (0.05 g)`",
    )


def missing_content(case: Case) -> Iterator[Said]:
    """`as SUBSTANCE` needs to know how much of it the ingredient carries; error.

    Source: common practice, no source (weight of raw material = weight of substance ÷ content).
    """
    return _gaps(case, "missing-content", "write it under `contains:` in its file, or the amount of the raw material")


def parts_without_weight(case: Case) -> Iterator[Said]:
    """Lines in parts need a rest to share, or a weight of one part; error.

    Source: common practice, no source.
    """
    return _gaps(case, "parts-without-weight", "write what one part weighs, such as `part: 1 g`")


def amount_not_known(case: Case) -> Iterator[Said]:
    """`q.s. to` a pH, colour or scent without a usual amount leaves the total and the composition unknown; query.

    Source: common practice, no source.
    """
    for gap in case.gaps:
        if gap.missing.cause == "amount-not-known":
            yield Said(
                place=gap.missing.place,
                words=f"how much {gap.figure.name} is usually needed is not written, so the total is not known; "
                "write it after that, such as `(about 1.6 g)`",
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
                words=f"how much {gap.figure.name} is taken is not known: {gap.missing.reason}",
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
        taken, unit, most = _left(case, percent), "mL" if percent.basis is Basis.VV else "g", figure.grams
        if percent.basis is Basis.VV:
            most = Missing(says="no volume") if figure.ml is None else figure.ml
        amount = known(most)
        if taken is not None and amount is not None and taken > amount:
            stays, given = case.against(taken, amount)
            yield Said(
                place=figure.line.place,
                words=f"{case.stated(percent.text)} left in the product is {stays} {unit} of {figure.name}, more than "
                f"the {given} {unit} that goes in; correct `left:` or the amount",
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
            words="it has no ingredient, so it makes nothing; write what goes in, a line for each",
        )
    elif amount is not None and amount <= 0:
        yield Said(
            place=case.place_of("ingredients"),
            words="every line is taken out again, so it makes nothing; write what stays in the product",
        )


def nothing_for_the_fill(case: Case) -> Iterator[Said]:
    """The other lines leave something for the fill; query when they are exactly the total.

    Source: common practice, no source.
    """
    if len(case.fills) == 1 and known(case.fills[0].grams) == 0:
        fill = case.fills[0].line
        yield Said(
            place=fill.amount_place,
            words=f"the other lines are the whole total and leave no {fill.material} to make it up; correct a line, "
            "or take this one out",
        )
