"""Lots of materials: days and contents that do not go together.

Enters: the materials of a book.  Leaves: queries at the lot; none of them bars a formula.
"""

from __future__ import annotations

from collections.abc import Iterator

from ..findings import Place
from ..model import Lot, Material
from ..reckon.figures import Reckoning
from ..wording.saying import Saying, says
from .rule import Said


def _lots(reckoning: Reckoning) -> Iterator[tuple[Material, Lot]]:
    for material in reckoning.book.materials.values():
        for lot in material.lots:
            yield material, lot


def _said(material: Material, place: Place, told: Saying) -> Said:
    return Said(place=place, says=told, concerns=material.key, title=material.name)


def lot_days(reckoning: Reckoning) -> Iterator[Said]:
    """A lot is opened, counted, used up or thrown away after it came, and not counted after its end; query, as a day is
    a slip of the pen.

    Source: common practice, no source.
    """
    for material, lot in _lots(reckoning):
        opened = [("opened", says("lot-opened"), lot.opened)]
        ends = [
            ("used up", says("lot-used-up"), lot.used_up),
            ("discarded", says("lot-thrown-away"), lot.discarded),
        ]
        for key, what, day in (*opened, *ends):
            if lot.received is not None and day is not None and day.on < lot.received.on:
                early = says("lot-day-early", code=lot.key, what=what, day=day.text, received=lot.received.text)
                yield _said(material, lot.places[key], early)
        for count in lot.counted:
            if lot.received is not None and count.day.on < lot.received.on:
                counted = says("lot-counted")
                early = says(
                    "lot-day-early", code=lot.key, what=counted, day=count.day.text, received=lot.received.text
                )
                yield _said(material, count.place, early)
            for _, what, day in ends:
                if day is not None and day.on < count.day.on:
                    later = says("lot-counted-later", code=lot.key, day=count.day.text, what=what, gone=day.text)
                    yield _said(material, count.place, later)


def lot_old_at_once(reckoning: Reckoning) -> Iterator[Said]:
    """A lot comes before its expiry and its retest; query, as one of the days is a slip of the pen.

    Source: common practice, no source.
    """
    for material, lot in _lots(reckoning):
        for key, what, day in (
            ("expires", says("lot-expired"), lot.expires),
            ("retest", says("lot-to-be-retested"), lot.retest),
        ):
            if lot.received is not None and day is not None and day.on < lot.received.on:
                told = says("lot-old-at-once", code=lot.key, what=what, day=day.text, received=lot.received.text)
                yield _said(material, lot.places[key], told)


def lot_content_of_what(reckoning: Reckoning) -> Iterator[Said]:
    """A lot's content is that of a substance which the material lists; query, as it stands for nothing else.

    One figure alone is that of the only substance that the material lists.

    Source: common practice, no source.
    """
    for material, lot in _lots(reckoning):
        listed = {content.substance.casefold() for content in material.contains}
        for content in lot.content:
            if content.substance.casefold() in listed or (not content.substance and len(listed) == 1):
                continue
            told = says("lot-content-of-what", code=lot.key, name=material.name)
            yield _said(material, lot.places["content"], told)
            break
