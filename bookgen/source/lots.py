"""Lots of a material: the days, prices and counts that its jars and bills tell.

Text in, a record of `model.py` or a `Complaint` out; and the reader of the key `lots`.  A code is kept as it is typed;
one that another program would read as a number or a date has to stand in quotes.
"""

from __future__ import annotations

import re
from calendar import monthrange
from dataclasses import replace
from datetime import date
from typing import Any

from ..model import BatchRecord, Content, Day, Formula, Lot, LotCount, Material, Price, Quantity
from ..units import Complaint, read_number
from ..wording.saying import says
from .amounts import read_quantity, tidy
from .desk import Desk
from .quotes import quoted
from .schema import (
    BY_FIELD,
    LONGEST_NAME,
    SCALARS,
    UNREAD,
    complain,
    fits,
    keys_of,
    one_text,
    read_fields,
    wrong_shape,
)
from .tree import Branch, ListBranch, Node, TextLeaf, is_empty
from .values import read_content, read_date

_LIKE_A_NUMBER = re.compile(
    r"[-+]?(?:0b[01_]+|0o?[0-7_]+|0x[0-9a-f_]+|(?:[0-9][0-9_]*\.?[0-9_]*|\.[0-9_]+)(?:e[-+]?[0-9]+)?"
    r"|[0-9][0-9_]*(?::[0-5]?[0-9])+(?:\.[0-9_]*)?|\.inf|\.nan)",
    re.IGNORECASE,
)
_LIKE_A_DATE = re.compile(r"[0-9]{4}-[0-9]{1,2}(?:-[0-9]{1,2}(?:[Tt ].*)?)?")
_LIKE_A_WORD = frozenset({"yes", "no", "y", "n", "on", "off", "true", "false", "null", "~"})
"""What some reader of YAML takes for a number, a date, or yes and no (YAML 1.1 and 1.2, core schema)."""

_ON = re.compile(r"(.+?)\s+on\s+(\S.*)", re.IGNORECASE)
_NOTHING = re.compile(r"0(?:[.,]0+)? ?(?:g|kg|mg|mL|L)", re.IGNORECASE)
_PRICE = re.compile(
    r"(?:(?P<before>[A-Za-z]{2,4}|[€$£¥]) ?)?(?P<number>[0-9][0-9.,]*) ?(?P<after>[A-Za-z]{2,4}|[€$£¥])?"
    r"(?:(?: ?/ ?| per )(?P<per>.+))?",
    re.IGNORECASE,
)
_UNIT_ALONE = re.compile(r"[^\W\d]+")


def read_day(text: str, comma: bool = False) -> Day | Complaint:
    """Return a whole day: `2026-11-29`."""
    day = read_day_or_month(text)
    if isinstance(day, Day) and len(day.text) < len("2026-11-29"):
        return Complaint(says=says("day-wanted", text=day.text), rule="unreadable-date")
    return day


def read_day_or_month(text: str, comma: bool = False) -> Day | Complaint:
    """Return a day, or a month by its last day.

    >>> read_day_or_month("2028-02").on
    datetime.date(2028, 2, 29)
    """
    written = read_date(text)
    if isinstance(written, Complaint):
        return written
    year, *rest = map(int, written.split("-"))
    if not rest:
        return Complaint(says=says("month-wanted", text=written), rule="unreadable-date")
    day = rest[1] if len(rest) > 1 else monthrange(year, rest[0])[1]
    return Day(on=date(year, rest[0], day), text=written)


def read_price(text: str, comma: bool) -> Price | Complaint:
    """Return `7.20 EUR/kg`, `3.10 EUR per 100 mL`, `EUR 12`."""
    words = tidy(text)
    match = _PRICE.fullmatch(words)
    if match is None or bool(match["before"]) == bool(match["after"]):
        return Complaint(says=says("no-price", text=words))
    number = read_number(match["number"], comma=comma)
    if isinstance(number, Complaint):
        return number.behind(match.start("number"))
    if not number.value:
        return Complaint(says=says("figure-zero", said=words), rule="impossible-value")
    per: Quantity | None = None
    if match["per"]:
        what = match["per"].strip()
        read = read_quantity(f"1 {what}" if _UNIT_ALONE.fullmatch(what) else what, comma, ("kg", "100 mL"))
        if isinstance(read, Complaint):
            return replace(read, at=match.start("per"))
        per = read
    return Price(number=number.value, currency=match["before"] or match["after"], per=per, text=words)


def read_price_of_one(text: str, comma: bool) -> Price | Complaint:
    """Return what one costs: `0.85 EUR`."""
    price = read_price(text, comma)
    if isinstance(price, Price) and price.per is not None:
        return Complaint(says=says("price-of-one", text=price.text))
    return price


def read_recount(text: str, comma: bool) -> LotCount | Complaint:
    """Return `640 g on 2026-11-01`; `0 g on 2026-11-01` where nothing was there."""
    words = tidy(text)
    match = _ON.fullmatch(words)
    if match is None:
        return Complaint(says=says("no-recount", text=words))
    quantity: Quantity | None = None
    if not _NOTHING.fullmatch(match[1]):
        read = read_quantity(match[1], comma, "640 g")
        if isinstance(read, Complaint):
            return read
        quantity = read
    day = read_day(match[2])
    return day.behind(match.start(2)) if isinstance(day, Complaint) else LotCount(quantity=quantity, day=day)


def _recounts(node: Node, desk: Desk, key: str) -> Any:
    found: list[LotCount] = []
    for item in node.items if isinstance(node, ListBranch) else [node]:
        if not isinstance(item, TextLeaf):
            return wrong_shape(desk, key, says("recount-wanted"), item)
        if item.broken or not fits(item, desk, key):
            return UNREAD
        recount = read_recount(item.text, desk.comma)
        if isinstance(recount, Complaint):
            return complain(desk, key, recount, item)
        found.append(replace(recount, place=desk.place(item.line, item.column)))
    return tuple(found)


def _bare_content(text: str, comma: bool) -> tuple[Content, ...] | Complaint:
    """Read the content of a material's one substance; of ethanol it may be by volume."""
    content = read_content("ethanol", text, comma)
    return content if isinstance(content, Complaint) else (replace(content, substance=""),)


def _content(node: Node, desk: Desk, key: str) -> Any:
    """Read one figure, or `substance: %` as a material's `contains`."""
    if isinstance(node, Branch):
        return keys_of(Material)["contains"].read(node, desk, key)
    return one_text(_bare_content)(node, desk, key)


def read_lots(node: Node, desk: Desk, key: str) -> Any:
    """Read lots by their codes; one that has a mistake stays with what could be read."""
    if not isinstance(node, Branch):
        return wrong_shape(desk, key, says("lots-wanted"), node)
    found: dict[str, Lot] = {}
    for leaf, value in node.entries:
        code = tidy(leaf.text)
        if not fits(leaf, desk, key, LONGEST_NAME):
            continue
        if not code:
            desk.report("empty-value", says("lot-nameless"), leaf.line, leaf.column)
            continue
        if leaf.plain and looks_otherwise(code):
            told = says("lot-unquoted", code=code, quoted=quoted(code))
            desk.report("lot-unquoted", told, leaf.line, leaf.column)
        if code.casefold() in found:
            desk.report("repeated-key", says("lot-twice", code=code), leaf.line, leaf.column)
            continue
        place = desk.place(leaf.line, leaf.column)
        if is_empty(value):
            found[code.casefold()] = Lot(key=code, at=place)
        elif isinstance(value, Branch):
            read = read_fields(value, keys_of(Lot), desk, says("a-lot"), f"{key}, {code}, ")
            unread = (*read.unread, *keys_of(Lot)) if value.broken else read.unread
            found[code.casefold()] = Lot(**read.values, key=code, at=place, places=read.places, unread=unread)
        else:
            wrong_shape(desk, f"{key}, {code}", says("lot-wanted"), value)
            found[code.casefold()] = Lot(key=code, at=place, unread=tuple(keys_of(Lot)))
    return tuple(found.values())


def looks_otherwise(code: str) -> bool:
    """Tell whether some reader of YAML would take a code without quotes for something else than text.

    >>> [looks_otherwise(code) for code in ("0123", "1E5", "2024-11", "12:30", "GL-2211", "24-11A")]
    [True, True, True, True, False, False]
    """
    return bool(_LIKE_A_NUMBER.fullmatch(code) or _LIKE_A_DATE.fullmatch(code) or code.casefold() in _LIKE_A_WORD)


SCALARS.update({
    Day: one_text(read_day),
    Price: one_text(read_price),
})  # fmt: skip
BY_FIELD.update({
    (Formula, "container_price"): one_text(read_price_of_one),
    (Lot, "expires"): one_text(read_day_or_month),
    (Lot, "retest"): one_text(read_day_or_month),
    (Lot, "counted"): _recounts,
    (Lot, "content"): _content,
    (BatchRecord, "counted"): _recounts,
})  # fmt: skip
