"""Two formulas side by side, as text."""

from __future__ import annotations

from collections.abc import Iterator

from .. import show
from ..findings import Missing
from ..model import Known
from ..reckon.compared import Compared, ComparedLine, moved
from ..reckon.cost import Cost
from ..reckon.figures import Figures
from ..shown.cost import hundred_grams
from ..shown.kept import PIECE_FACTS
from ..shown.shelf import LAW_SHORT
from .columns import WIDEST, side_by_side, wrapped


def compared_text(
    compared: Compared,
    names: tuple[str, str],
    costs: tuple[Cost | Missing, Cost | Missing],
    signs: show.Signs,
    width: int = WIDEST,
) -> str:
    """Return both side by side: percentages and their difference, substances, facts, and the steps that differ."""
    heads = ("", *names, "difference")
    parts = [
        [line for name, figures in zip(names, (compared.first, compared.second), strict=True)
         for line in wrapped(f"{name}  {figures.formula.title}  ·  issue {figures.formula.issue}", 2, width)],
        side_by_side([heads, *_facts(compared, signs), *_costs(costs, signs)], (0,)),
        side_by_side([("Ingredients, %", *names, "difference"), *(_row(line, signs) for line in compared.lines)], (0,)),
    ]  # fmt: skip
    for head, lines in (("Active content, %", compared.actives), ("Substances, %", compared.carried)):
        if lines:
            rows = [_row(line, signs) for line in lines]
            parts.append(side_by_side([(head, *names, "difference"), *rows], (0,)))
    parts.append(list(_steps(compared, names, width)))
    if not any(map(moved, compared.lines)):
        parts.append(["No line differs."])
    parts.append(wrapped(LAW_SHORT, 0, width))
    return "\n\n".join("\n".join(lines) for lines in parts if lines) + "\n"


def _row(line: ComparedLine, signs: show.Signs) -> tuple[str, ...]:
    name = f"{line.name}, taken out again" if line.removed else line.name
    if line.removed:
        return name, *("–" if share is None else "yes" for share in (line.first, line.second)), ""
    return name, _share(line.first, signs), _share(line.second, signs), _difference(line, signs)


def _share(share: Known | None, signs: show.Signs) -> str:
    if share is None:
        return "–"
    return "not known" if isinstance(share, Missing) else show.significant(share * 100, signs=signs)


def _difference(line: ComparedLine, signs: show.Signs) -> str:
    much = line.difference
    if isinstance(much, Missing):
        return "not known"
    if not much:
        return "same"
    return f"{'+' if much > 0 else '−'}{show.significant(abs(much) * 100, signs=signs)}"


def _facts(compared: Compared, signs: show.Signs) -> Iterator[tuple[str, ...]]:
    """Yield what is written of both; where neither says it, it is left out."""
    pieces = ((name, lambda figures, read=read: show.written(read(figures), signs)) for name, read in PIECE_FACTS)
    for term, read in (*pieces, ("pH", _ph), ("storage", _storage), ("keeps", _period)):
        pair = read(compared.first), read(compared.second)
        if any(pair):
            yield term, *(text or "not written" for text in pair), "same" if pair[0] == pair[1] else "differs"


def _costs(costs: tuple[Cost | Missing, Cost | Missing], signs: show.Signs) -> Iterator[tuple[str, ...]]:
    """Yield what 100 g cost, as a least sum where something has no price; nothing where neither has any."""
    pair = [hundred_grams(cost, signs) for cost in costs]
    if any(pair):
        texts = [text or "not known" for text in pair]
        yield "100 g cost", *texts, "same" if texts[0] == texts[1] else "differs"


def _ph(figures: Figures) -> str:
    ph = figures.formula.ph
    if ph is None:
        return ""
    return ph.low.text if ph.low == ph.high else f"{ph.low.text} to {ph.high.text}"


def _storage(figures: Figures) -> str:
    storage = figures.formula.storage
    return storage.place.value if storage and storage.place else ""


def _period(figures: Figures) -> str:
    period = figures.storage.period
    return "" if isinstance(period, Missing) else show.period(period.days, period.months)


def _steps(compared: Compared, names: tuple[str, str], width: int) -> Iterator[str]:
    if not compared.steps:
        return
    yield "Method, where it differs"
    for step in compared.steps:
        for name, texts in zip(names, (step.first, step.second), strict=True):
            for text in texts or ("–",):
                yield from wrapped(f"  {name}  {text}", len(name) + 4, width)
