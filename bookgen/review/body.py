"""The body: amount links and quantities typed as words.

Enters: a formula's body and lines.  Leaves: findings where the method and the table part ways.
"""

from __future__ import annotations

from collections.abc import Iterator

from ..findings import Missing
from ..fraction import Fraction
from ..model import Adjust, AmountLink, Drops, Known, Material, Percent, Status, TypedQuantity
from ..reckon.amounts import LineFigure
from ..reckon.known import ZERO, add
from ..reckon.links import linked_name, rows_of
from ..reckon.turns import turns_of
from ..source.naming import nearest_name
from ..wording.saying import says
from .rule import Case, Said, known


def amount_link_to_nothing(case: Case) -> Iterator[Said]:
    """An amount link names an ingredient or a phase of its formula; error, with the nearest name.

    Source: common practice, no source.
    """
    book = case.reckoning.book
    plain = {figure.line.material for figure in case.lines}
    slips = {book.key_of(meant.write[0]) for name in plain if (meant := book.naming.meant.get(name.casefold()))}
    for link, rows in zip(case.formula.body.amounts, case.linked, strict=True):
        if rows:
            continue
        if link.material and book.key_of(link.material) in slips:
            continue  # the line is misspelt, and that is told at the line
        name, phase = link.material, link.phase
        target = says("amount-link-in-phase", name=name, phase=phase) if phase else says("amount-link", name=name)
        everywhere = _lines(case, link.material) if link.material else []
        if link.phase and all(phase.letter != link.phase for phase in case.formula.ingredients):
            told = says("link-without-phase", link=target, phase=phase)
        elif case.formula.based_on and link.material and link.place.path != case.formula.path:
            base, code = case.formula.based_on, case.formula.code
            told = says("link-out-in-trial", base=base, name=name, code=code)
        elif everywhere:
            where = tuple(sorted({figure.phase for figure in everywhere}))
            told = says("link-in-other-phase", link=target, name=name, phases=where)
        else:
            near = nearest_name(
                link.material, (linked_name(line.line.material) for line in case.lines if not line.is_formula)
            )
            hint = says("mean", name=near) if near else says("name-ingredient")
            told = says("link-without-line", link=target, name=name, hint=hint)
        yield Said(place=link.place, says=told)


def portions_beyond_whole(case: Case) -> Iterator[Said]:
    """The portions of an ingredient do not exceed the whole; error at the link that goes beyond it.

    Source: conservation of mass, no source needed.
    """
    used: dict[tuple[int, ...], Fraction] = {}
    for link, target in zip(case.formula.body.amounts, case.linked, strict=True):
        if not link.rest and link.portion is None:
            continue
        if not target:
            continue  # a link to nothing has its own finding
        before = used.get(target, ZERO)
        name = link.material or says("whole-phase", letter=link.phase)
        if link.rest:
            if before >= 1:
                yield Said(place=link.place, says=says("portion-of-nothing", name=name))
            used[target] = max(before, Fraction(1))
            continue
        portion = link.portion or ZERO
        used[target] = before + portion
        if before >= 1:
            if before == 1:
                yield Said(place=link.place, says=says("portion-of-nothing", name=name))
        elif before + portion > 1:
            yield Said(place=link.place, says=says("portions-beyond-whole", name=name, share=before + portion))


def method_forgets(case: Case) -> Iterator[Said]:
    """The method of an approved formula that names some lines names them all; query, at the first that it forgets.

    A method that names no line says its amounts in another way.  A line without an amount to print is passed over.

    Source: common practice, no source.
    """
    if case.formula.status is not Status.APPROVED:
        return
    links = zip(case.formula.body.amounts, case.linked, strict=True)
    named = {row for link, rows in links if link.step is not None for row in rows}
    if not named or all(line.index in named for line in case.lines):
        return  # before the turns are found: nearly every formula
    turns = turns_of(case.formula.body.amounts, case.linked, case.lines)
    forgotten = [case.lines[turn.row] for turn in turns if turn.link is None and _has_amount(case.lines[turn.row])]
    if forgotten:
        names, first = tuple(figure.name for figure in forgotten), forgotten[0]
        name = linked_name(first.line.material)
        twice = any(figure.key == first.key and figure.phase != first.phase for figure in case.lines)
        link = says("amount-link", name=name)
        if twice and first.phase:
            link = says("amount-link-in-phase", name=name, phase=first.phase)
        told = says("method-forgets", names=names, name=first.name, link=link)
        yield Said(place=first.line.place, says=told)


def _has_amount(figure: LineFigure) -> bool:
    amount = figure.line.amount
    return not isinstance(amount, Missing) and not (isinstance(amount, Adjust) and amount.about is None)


def typed_quantity(case: Case) -> Iterator[Said]:
    """A computed quantity typed as words will be wrong at the next batch size; query, make it a link.

    The link's words are the ingredient's name: a figure among them would stand beside the printed one and go stale.

    Source: common practice, no source.
    """
    for typed in case.formula.body.typed:
        if _compare(case, typed):
            share, text = isinstance(typed.quantity, Percent), typed.quantity.text
            told = says("typed-share" if share else "typed-amount", text=text, name=typed.material)
            yield Said(place=typed.place, says=told)


def typed_quantity_differs(case: Case) -> Iterator[Said]:
    """A quantity typed beside an ingredient that is none of its figures is worth a look; note (not below Notes).

    Source: common practice, no source.
    """
    for typed in case.formula.body.typed:
        if _compare(case, typed) is False and not _own_strength(case, typed) and not _in_notes(case, typed):
            told = says("typed-otherwise", text=typed.quantity.text, name=typed.material)
            yield Said(place=typed.place, says=told)


def _in_notes(case: Case, typed: TypedQuantity) -> bool:
    """Tell whether it stands below the heading Notes, where old amounts are remembered on purpose."""
    above = [section for section in case.formula.body.sections if section.place.line <= typed.place.line]
    return bool(above) and above[-1].title.casefold() == "notes"


def _lines(case: Case, material: str) -> list[LineFigure]:
    """Return the lines of that name, in all phases."""
    rows = rows_of(AmountLink(material=material), case.lines, case.reckoning.book)
    return [case.lines[row] for row in rows]


def _compare(case: Case, typed: TypedQuantity) -> bool | None:
    """Tell whether what was typed is one of the ingredient's figures; None when too little is known to tell.

    A typed figure equals a computed one that rounds to it at the digits typed.
    """
    lines = _lines(case, typed.material)
    if not lines:
        return None
    quantity = typed.quantity
    figures: list[Known] = []
    if isinstance(quantity, Drops):
        figures = [figure.line.amount.count for figure in lines if isinstance(figure.line.amount, Drops)]
        figures += _counted(case, lines)
        return any(figure == quantity.count for figure in figures)
    if isinstance(quantity, Percent):
        value, half = quantity.share, _half(quantity.text, quantity.share)
        figures = [figure.percent for figure in lines if figure.counts]
        figures += [figure.line.amount.share for figure in lines if isinstance(figure.line.amount, Percent)]
    else:
        value, half = quantity.value, _half(quantity.text, quantity.value)
        by_weight = quantity.unit == "g"
        figures = [
            exact
            for figure in lines
            for exact in ((figure.grams, figure.weighed) if by_weight else (figure.ml,))
            if exact is not None
        ]
        if len(lines) > 1:
            figures.append(add(figures[::2] if by_weight else figures))
        if by_weight:
            figures += _metered(case, lines)
    if any(abs(figure - value) <= half for figure in map(known, figures) if figure is not None):
        return True
    return None if any(isinstance(figure, Missing) for figure in figures) else False


def _half(text: str, value: Fraction) -> Fraction:
    """Return half a step of the last digit typed, in the unit of the value."""
    digits = ""
    for sign in text.strip():
        if not (sign.isdigit() or sign in ".,"):
            break
        digits += "." if sign == "," else sign
    digits = digits.rstrip(".")
    if not digits or not Fraction(digits):
        return ZERO
    decimals = len(digits.partition(".")[2])
    # With no decimals a whole number is meant as such: "5 g" is not 5.4 g.
    step = Fraction(1, 10**decimals) if decimals else ZERO
    return step / 2 * (value / Fraction(digits))


def _metered(case: Case, lines: list[LineFigure]) -> list[Known]:
    if isinstance(case.evaluation, Missing):
        return []
    every = case.evaluation.lines
    return [grams for figure in lines if isinstance(grams := every[figure.index].printed, Fraction)]


def _counted(case: Case, lines: list[LineFigure]) -> list[Known]:
    if isinstance(case.evaluation, Missing):
        return []
    every = case.evaluation.lines
    return [Fraction(count) for figure in lines if (count := every[figure.index].drops) is not None]


def _own_strength(case: Case, typed: TypedQuantity) -> bool:
    """Tell whether a typed percentage is the material's own strength, which no batch changes."""
    if not isinstance(typed.quantity, Percent):
        return False
    item = case.reckoning.book.find(typed.material)
    if not isinstance(item, Material):
        return False
    shares = [content.share for content in item.contains]
    shares += [share.share for share in (item.water, item.drying) if share is not None]
    shares += [part.share for part in item.label if part.share is not None]
    digits = typed.quantity.text.removesuffix("%").strip()
    return typed.quantity.share in shares or digits in item.name.split()
