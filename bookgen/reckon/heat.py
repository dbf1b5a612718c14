"""Heat: how hot the phases of a formula become, against what their materials bear.

Enters: a formula, its amounts, and what its materials and intermediates bear.  Leaves: `Heat`.
"""

from __future__ import annotations

from collections.abc import Container, Iterable, Iterator, Mapping
from dataclasses import dataclass, replace

from ..findings import Missing
from ..fraction import Fraction
from ..model import Book, Formula, Known, Material
from ..reference import spelt
from ..reference.dangers import Peril, figure
from ..reference.heat import HeatRow, heat_limits
from ..wording.saying import Saying, says
from .amounts import Amounts, LineFigure
from .dangers import Dangers, goes_on_body, scent_of
from .functions import items_of
from .recognised import Recognised


@dataclass(frozen=True, slots=True, kw_only=True)
class Bears:
    """The heat that something bears."""

    celsius: Fraction
    """Degrees Celsius."""
    of: str
    """Key of the material that bears no more; empty where it is the thing as a whole."""
    known: Saying
    """How that is known."""
    beyond: Saying | None
    """What happens beyond; None where that is not told."""
    row: HeatRow | None = None
    """The row of the table; None for what the keeper wrote and for the figures of the dangers."""


@dataclass(frozen=True, slots=True, kw_only=True)
class HeatedLine:
    """A line in a phase of a known temperature, of which it is known what it bears."""

    line: LineFigure
    """The line."""
    celsius: Fraction
    """Degrees Celsius of its phase."""
    bears: Bears
    """What it bears."""

    @property
    def too_hot(self) -> bool:
        """Whether the phase is hotter than that."""
        return self.celsius > self.bears.celsius


@dataclass(frozen=True, slots=True, kw_only=True)
class Heat:
    """The topic's figures for one formula."""

    lines: tuple[HeatedLine, ...]
    """Its lines of which something is known, in order."""
    passed_on: tuple[Bears, ...]
    """What bears little in it and has not been made too hot already, so that it counts where this is an ingredient."""
    as_whole: Bears | None
    """What it bears as an ingredient for its ethanol or its scent; None where it has little of both."""


def bears_of(material: Material, found: Iterable[Recognised]) -> tuple[Bears, ...]:
    """Return what a material bears: by the keeper's word alone where that is written, else by the table.

    `found` is what it was recognised as by the names of the table.

    Source: `heat.yaml`, row by row.
    """
    if material.bears_c is not None:
        told = says("its-file-says")
        return (Bears(celsius=material.bears_c, of=material.key.casefold(), known=told, beyond=None),)
    return tuple(_by_row(told.substance, material.key.casefold()) for told in found)


def heat_of(
    formula: Formula,
    book: Book,
    amounts: Amounts,
    dangers: Dangers,
    alcohol: Known,
    bearing: Mapping[str, tuple[Bears, ...]],
    inner: Mapping[str, Heat],
) -> Heat:
    """Return the lines of a formula that stand in a phase of a known temperature, and what each bears.

    `bearing` has what the materials bear, `inner` the heat of the intermediates.  What the keeper writes of a material
    stands before the tables.  Of several figures the lowest counts, also of what is in an intermediate; what was made
    too hot there has its finding there and is not told again.

    Source: `heat.yaml` and `dangers.yaml`; common practice, no source, where a row does not say otherwise.
    """
    heated: list[HeatedLine] = []
    passed_on: list[Bears] = []
    lines = iter(amounts.lines)
    burning = figure("alcohol that burns")
    alcohols = {met.material for met in dangers.of(Peril.ALCOHOL) if met.strength >= burning}
    peroxides = {met.material for met in dangers.of(Peril.PEROXIDE)}
    sensitive = {*alcohols, *peroxides, *dangers.aromatic_keys}
    for phase in formula.ingredients:
        for _, line in zip(phase.lines, lines, strict=False):  # the shorter one first: none is lost
            key = line.key
            if not (key in bearing or key in inner or key in sensitive or key in book.naming.unfiled):
                continue  # nearly every line
            own = tuple(_of_line(line, book, dangers, bearing, inner, alcohols, peroxides))
            here = [bears for bears in own if _asks(bears, formula)]
            if not here or phase.temperature_c is None:
                passed_on += _passed_on(own, line)
                continue
            least = min(here, key=lambda bears: bears.celsius)
            heated.append(HeatedLine(line=line, celsius=phase.temperature_c, bears=least))
            passed_on += _passed_on((bears for bears in own if bears.celsius >= phase.temperature_c), line)
    passed_on.sort(key=lambda bears: bears.celsius, reverse=True)
    return Heat(
        lines=tuple(heated),
        passed_on=tuple({bears.of: bears for bears in passed_on}.values()),
        as_whole=_as_whole(dangers, alcohol),
    )


def of_what(heated: HeatedLine, book: Book) -> Saying | None:
    """Return the material for which a line bears no more, where that is not the line's own."""
    key = heated.bears.of
    return says("too-hot-of", name=book.name_of(key)) if key and key != heated.line.key else None


def where_asked(bears: Bears) -> Saying | None:
    """Return where alone a figure counts; None where it does everywhere."""
    if bears.row is None:
        return None
    if bears.row.on_body:
        return says("heat-on-body")
    return says("heat-only-in", forms=tuple(bears.row.only_in)) if bears.row.only_in else None


def heat_told(heat: Heat, book: Book) -> Iterator[Saying]:
    """Yield how hot each line becomes and what it bears, as far as that is known."""
    for heated in heat.lines:
        yield says(
            "heat-not-borne" if heated.too_hot else "heat-borne",
            name=heated.line.name,
            celsius=heated.celsius,
            most=heated.bears.celsius,
            of=of_what(heated, book),
            known=heated.bears.known,
        )


def _passed_on(own: Iterable[Bears], line: LineFigure) -> Iterator[Bears]:
    """Yield what goes on to where the formula is an ingredient: what stays in it, and is not thinned to nothing."""
    return (bears for bears in own if bears.of and line.counts)


def _of_line(
    line: LineFigure,
    book: Book,
    dangers: Dangers,
    bearing: Mapping[str, tuple[Bears, ...]],
    inner: Mapping[str, Heat],
    alcohols: Container[str],
    peroxides: Container[str],
) -> Iterator[Bears]:
    """Yield what is known of the heat that a line bears; alcohols are the materials that burn."""
    if line.key in inner:
        yield from inner[line.key].passed_on
        if (whole := inner[line.key].as_whole) is not None:
            yield whole
        return
    material = book.materials.get(line.key)
    yield from bearing.get(line.key, ())
    if material is not None and material.bears_c is not None:
        return
    if name := heat_limits().names.get(spelt(book.naming.unfiled.get(line.key, ""))):
        yield _by_row(name, "")
    if line.key in alcohols:
        yield _alcohol()
    if line.key in peroxides:
        yield _practice(figure("peroxide bears heat to"))
    if material is None or line.key not in dangers.aromatic_keys:
        return
    if scent_of(material) >= figure("undiluted aromatic"):
        yield _practice(figure("aromatic bears heat to"))


def _as_whole(dangers: Dangers, alcohol: Known) -> Bears | None:
    if not isinstance(alcohol, Missing) and alcohol >= figure("alcohol that burns"):
        return _alcohol()
    return _practice(figure("aromatic bears heat to")) if dangers.aromatic >= figure("undiluted aromatic") else None


def _asks(bears: Bears, formula: Formula) -> bool:
    """Tell whether a figure concerns a formula of that purpose and use."""
    row = bears.row
    if row is None:
        return True
    if row.on_body and not goes_on_body(formula):
        return False
    return not row.only_in or not {*row.only_in, *row.only_in.values()}.isdisjoint(items_of(formula.purpose))


def _by_row(substance: str, key: str) -> Bears:
    row = heat_limits().by_substance[substance]
    why = says("too-hot-why", why=row.beyond)
    return Bears(celsius=row.celsius, of=key, known=says("known-so", known=row.known), beyond=why, row=row)


def _alcohol() -> Bears:
    return replace(_practice(figure("alcohol bears heat to")), beyond=says("too-hot-burns"))


def _practice(celsius: Fraction) -> Bears:
    return Bears(celsius=celsius, of="", known=says("heat-practice"), beyond=None)
