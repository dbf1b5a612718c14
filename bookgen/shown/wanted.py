"""Examples of what may be wanted of a formula, for the field that takes it."""

from __future__ import annotations

from .. import show
from ..fraction import Fraction
from ..language import word
from ..model import Formula, Obtain
from ..reckon.figures import Figures
from .shelf import Shelf


def batch_in_words(figures: Figures, obtain: Fraction, signs: show.Signs) -> str:
    """Return the batch as written in the words that ask for it: `250 g`, `12 suppositories`."""
    pieces = figures.pieces
    if pieces is not None and pieces.whole_in(obtain) == pieces.count:
        return f"{pieces.count} {word(pieces.form.of(pieces.count))}"
    return f"{show.plain(obtain, signs)} {figures.scale.unit}"


def asked_in_words(asked: Obtain, signs: show.Signs) -> str:
    """Return a batch as it was asked for, in the book's language: `12 + 2 suppositories`, `1.5 × as written`."""
    if asked.times is not None:
        text = word("{times} × as written", times=show.plain(asked.times))
    elif asked.form is not None:
        counts = (asked.pieces - asked.spare, asked.spare) if asked.spare else (asked.pieces,)
        text = (
            f"{' + '.join(map(str, counts))} {word(asked.form.value if asked.spare else asked.form.of(asked.pieces))}"
        )
    elif asked.supplies:
        supplies = ((supply.quantity.text, supply.material) for supply in asked.supplies)
        text = f" {word('and')} ".join(word("{amount} of {name}", amount=much, name=name) for much, name in supplies)
    else:
        text = asked.text
    return show.written(text, signs)


def wishes(figures: Figures, shelf: Shelf) -> str:
    """Return examples of batches that the field of this formula takes, in its own unit and of its own lines."""
    unit = "mL" if figures.formula.density is not None or figures.scale.unit == "mL" else "g"
    known = [
        row.figure
        for row in figures.scale.rows
        if row.figure.key and not row.figure.is_fill and isinstance(row.per, Fraction) and row.per
    ]
    names = [line.key for line in sorted(known, key=lambda line: not line.is_formula)]
    item = shelf.book.at(names[0]) if names else None
    supply = item.code if isinstance(item, Formula) else item.key if item else ""
    amounts = (
        *(() if figures.pieces is None else ("12 + 2",)),
        *(f"250 {figures.scale.unit}", f"12 x 50 {unit} + 5 %"),
        *((word("{amount} of {name}", amount="20 g", name=supply),) if supply else ()),
    )
    return word(
        "For example {amounts}, twice, half or {more}",
        amounts=", ".join(amounts),
        more=show.stated("1.5 x", shelf.signs),
    )
