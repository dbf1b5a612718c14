"""What the shelf has of everything that a day's work takes, for its shopping list.

Enters: the list without the shelf, and what is there on the day.  Leaves: what `needs` takes off the list.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace

from ..findings import Missing
from ..fraction import Fraction
from ..model import Known, Obtain
from .figures import Reckoning
from .first import batch_of
from .known import ZERO
from .needs import Needs, needs
from .on_shelf import LotState, OnShelf, ShelfLot
from .supplies import grams_of


def less_the_shelf(
    reckoning: Reckoning,
    wanted: Sequence[tuple[str, Obtain | None]],
    have: Mapping[str, tuple[Fraction, str]],
    without: Needs,
    shelf: OnShelf,
) -> Needs | Missing:
    """Return the shopping list of a day less what stands on the shelf.

    What `have` tells of something goes before what the shelf has of it.  `without` is the list without the shelf.

    Source: own arithmetic.
    """
    there, uncounted = there_for(reckoning, shelf, without)
    found = needs(reckoning, wanted, {**there, **have})
    if isinstance(found, Missing):
        return found
    asked = {order.key for order in found.orders}
    return replace(
        found,
        unused=tuple(key for key in found.unused if key in have or key in asked),
        uncounted=tuple(lot for lot in uncounted if lot.account.of not in have),
    )


def there_for(
    reckoning: Reckoning, shelf: OnShelf, wanted: Needs
) -> tuple[dict[str, tuple[Fraction, str]], tuple[ShelfLot, ...]]:
    """Return what is there of everything that a day's work takes, by key as an amount with its unit; and the lots of it
    that are not counted.

    Not counted is what is past its date, what is to be tested again, and what nobody can say how much of it is there.

    `wanted` is the list without the shelf.

    Source: own arithmetic.
    """
    needed = {need.key: need for need in wanted.materials}
    keys = [*needed, *(intermediate.key for intermediate in wanted.make_first)]
    there: dict[str, tuple[Fraction, str]] = {}
    uncounted: list[ShelfLot] = []
    for key in dict.fromkeys(keys):
        need = needed.get(key)
        unit = "mL" if need is not None and need.by_volume_ml and not need.grams else "g"
        both = need is not None and bool(need.by_volume_ml) and bool(need.grams)
        lots = shelf.of(key)
        counted = [] if both else [lot for lot in lots if _counts(lot, unit)]
        total = _total(counted)
        if total and need is None and isinstance(_as_batch(reckoning, key, total, unit), Missing):
            counted = []
        if counted:
            there[key] = (total, unit)
        uncounted += (lot for lot in lots if lot not in counted)
    return there, tuple(uncounted)


def _counts(lot: ShelfLot, unit: str) -> bool:
    return lot.state is LotState.GOOD and isinstance(lot.left, Fraction) and lot.account.unit == unit


def _total(lots: Iterable[ShelfLot]) -> Fraction:
    return sum((lot.left for lot in lots if isinstance(lot.left, Fraction)), ZERO)


def _as_batch(reckoning: Reckoning, key: str, value: Fraction, unit: str) -> Known:
    return batch_of(reckoning, key, grams_of(reckoning.book, key, value, unit), value if unit == "mL" else None)
