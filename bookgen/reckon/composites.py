"""Preparations that a label names by words of their own, in place of their materials.

Enters: a formula's lines, its composition, those of its intermediates.  Leaves: `Composites`.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

from ..findings import Missing
from ..fraction import Fraction
from ..model import Formula, LabelName
from .amounts import Amounts, LineFigure
from .composition import Composition
from .keysets import key_set
from .known import ONE, ZERO


@dataclass(frozen=True, slots=True, kw_only=True)
class Composite:
    """A preparation with label names of its own in a product."""

    title: str
    """The preparation."""
    label: tuple[LabelName, ...]
    """Its label names."""
    share: Fraction
    """Its share of the finished product."""
    at_most: bool
    """True when that is an upper limit."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Composites:
    """The topic's figures for one formula."""

    parts: Mapping[str, Composite]
    """Key of a formula → what there is of it, at any depth."""
    brought: Mapping[str, Fraction]
    """Material key → how much of the finished product comes with them, which they name."""
    drawn: frozenset[str]
    """Materials that were drawn out in making them alone."""


NO_COMPOSITES = Composites(parts={}, brought={}, drawn=frozenset())
"""What is said of a formula in which nothing but materials has label names of its own."""


def composites(
    key: str,
    formula: Formula,
    amounts: Amounts,
    composition: Composition,
    compositions: Mapping[str, Composition],
    done: Mapping[str, Composites],
) -> Composites:
    """Return which preparations in a product have label names of their own, the product itself included, and how much.

    `compositions` and `done` have those of the formulas among its ingredients.

    Source: own arithmetic.
    """
    if formula.label:
        whole = Composite(title=formula.title, label=formula.label, share=ONE, at_most=False)
        shares = {} if isinstance(composition.shares, Missing) else composition.shares
        return Composites(parts={key: whole}, brought=shares, drawn=key_set(composition.extracted))
    inside = [line for line in amounts.lines if line.counts and line.key in done and done[line.key].parts]
    if not inside:
        return NO_COMPOSITES
    parts: dict[str, Composite] = {}
    brought: dict[str, Fraction] = {}
    for line in inside:
        inner, share = done[line.key], composition.by_line.get(line.index, ZERO)
        limited = line.line.left is not None and line.line.left.at_most
        for name, part in inner.parts.items():
            before = parts[name] if name in parts else replace(part, share=ZERO)
            parts[name] = replace(
                before,
                share=before.share + share * part.share,
                at_most=before.at_most or part.at_most or limited,
            )
        for name, amount in inner.brought.items():
            brought[name] = brought.get(name, ZERO) + share * amount
    drawn = {name for line in inside for name in done[line.key].drawn}
    for line in amounts.lines:
        drawn -= _drawn_besides(line, compositions, done)
    return Composites(parts=parts, brought=brought, drawn=key_set(drawn))


def _drawn_besides(
    line: LineFigure, compositions: Mapping[str, Composition], done: Mapping[str, Composites]
) -> frozenset[str]:
    """Return the materials that were drawn out by a line and that no label names of a preparation cover."""
    inner = compositions.get(line.key)
    if not line.gives:
        return frozenset()
    if line.line.removed:
        return frozenset({line.key}) if inner is None else inner.materials
    return frozenset() if inner is None else frozenset(inner.extracted) - done[line.key].drawn
