"""Front matter into a batch record: what was planned, what was weighed of which lot, what came of it.

A batch number is the formula's code and the day of making, `S-02-2026-11-29`, with `-b` behind it for a second batch of
that day; the file bears it as its name.
"""

from __future__ import annotations

import re
from dataclasses import replace
from typing import Any, NamedTuple

from ..findings import Missing
from ..model import BatchRecord, BenchLine, Drops, Filling, Mass, Number, Observation, Obtain, Volume
from ..units import Complaint
from ..wording.saying import says
from .acidity import read_acidity
from .amounts import read_amount, tidy
from .desk import Desk
from .lots import read_day
from .obtain import read_to_obtain
from .pieces import read_portion
from .records import FromFile
from .schema import (
    BY_FIELD,
    LONGEST_NAME,
    UNREAD,
    Fields,
    complain,
    fits,
    keys_of,
    lacks_space,
    one_text,
    read_fields,
    read_texts,
    wrong_shape,
)
from .tree import Branch, ListBranch, Node, TextLeaf
from .values import read_whole

EXAMPLE_WEIGHED = ("25.2 g", "2 mL", "6 drops (0.15 g)")
"""Amounts as they may be written in a record, for advice."""

_NUMBER = re.compile(r"([A-Za-z0-9-]{1,40})-([0-9]{4}-[0-9]{2}-[0-9]{2})(?:-([b-z]))?")
_PHASE = re.compile(r"([A-Z])(?:\s*,.*)?", re.DOTALL)
_LOT = re.compile(r"(.*?)(?:\s*,\s*|\s+)lot(?:\s*:\s*|\s+)(\S.*)", re.IGNORECASE)
_ONE_IN = re.compile(r"(?<!\S)1\s+in\s", re.IGNORECASE)
_STOCK = re.compile(r"(\S.*?) of 1 in ([0-9]+) with (\S.*)", re.IGNORECASE)
_FILLING = re.compile(r"(?:([^\s×*x]+) ?[x×*] ?)?(.*)", re.IGNORECASE)
_BARE_COUNT = re.compile(r"[0-9]+ ?\+ ?[0-9]+")
_PARTED = re.compile(r",\s+|\s+and\s+|;\s*")


class BatchNumber(NamedTuple):
    """A batch number, taken apart."""

    code: str
    """The formula's code."""
    day: str
    """The day of making, as written."""
    letter: str
    """`b` for a second batch of that day; empty for the first."""


def split_number(number: str) -> BatchNumber | None:
    """Return the parts of a batch number; None for what is none.

    >>> split_number("S-02-2026-11-29-b")
    BatchNumber(code='S-02', day='2026-11-29', letter='b')
    """
    match = _NUMBER.fullmatch(number)
    return None if match is None else BatchNumber(match[1], match[2], match[3] or "")


def split_lot(text: str) -> tuple[str, str]:
    """Return an amount and the lot written behind it; an empty lot where there is none.

    >>> split_lot("25.2 g, lot GL-2211"), split_lot("2 mL")
    (('25.2 g', 'GL-2211'), ('2 mL', ''))
    """
    match = _LOT.fullmatch(text)
    return (match[1], tidy(match[2])) if match else (text, "")


def _number(text: str, comma: bool) -> str | Complaint:
    number = tidy(text)
    parts = split_number(number)
    if parts is None:
        return Complaint(says=says("no-batch-number", text=number))
    day = read_day(parts.day)
    return day.behind(len(parts.code) + 1) if isinstance(day, Complaint) else number


def read_asked_for(text: str, comma: bool) -> Obtain | Complaint:
    """Return what was to come out, of pieces with their name."""
    read = read_to_obtain(tidy(text), comma)
    if isinstance(read, Complaint) and _BARE_COUNT.fullmatch(tidy(text)):
        return Complaint(says=says("count-form", text=tidy(text)))
    return read


def _ph(text: str, comma: bool) -> Number | Complaint:
    """Return one pH."""
    measured = read_acidity(tidy(text), comma)
    if isinstance(measured, Complaint):
        return measured
    if measured.low != measured.high:
        return Complaint(says=says("one-ph-wanted"), rule="wrong-value")
    return measured.low


def read_filling(text: str, comma: bool) -> Filling | Complaint:
    """Return `12 x 50 mL`; `10 mL` is one container, and `11 suppositories` are in one.

    >>> read_filling("12x50 mL", False).text
    '12 × 50 mL'
    """
    words = tidy(text)
    match = _FILLING.match(words)
    assert match is not None, "it matches any text"
    count = 1 if match[1] is None else read_whole(match[1], comma)
    if isinstance(count, Complaint):
        return count
    each = read_portion(match[2], comma, ("12 x 50 mL", "12 x 50 g"))
    if isinstance(each, Complaint):
        return each.behind(match.start(2))
    return Filling(count=count, each=each, text=f"{count} × {each.text}")


def _fillings(node: Node, desk: Desk, key: str) -> Any:
    found: list[Filling] = []
    for leaf in node.items if isinstance(node, ListBranch) else [node]:
        if not isinstance(leaf, TextLeaf):
            return wrong_shape(desk, key, says("filling-wanted"), leaf)
        if leaf.broken or not fits(leaf, desk, key):
            return UNREAD
        at = 0
        for part in _PARTED.split(leaf.text):
            filling = read_filling(part, desk.comma)
            if isinstance(filling, Complaint):
                return complain(desk, key, filling, leaf, at)
            found.append(filling)
            at = leaf.text.find(part, at) + len(part)
    return tuple(found)


def _observed(node: Node, desk: Desk, key: str) -> Any:
    if not isinstance(node, Branch):
        return wrong_shape(desk, key, says("observed-wanted"), node)
    found: list[Observation] = []
    for leaf, value in node.entries:
        day = read_day(leaf.text)
        if isinstance(day, Complaint):
            complain(desk, key, day, leaf)
            continue
        if any(day.on == seen.day.on for seen in found):
            desk.report("repeated-key", says("observed-twice", day=day.text), leaf.line, leaf.column)
        texts = read_texts(value, desk, key)
        if isinstance(texts, tuple):
            place = desk.place(leaf.line, leaf.column)
            found.append(Observation(day=day, text="; ".join(texts), place=place))
    return tuple(found)


# ── What was planned and what was weighed ─────────────────────────────────────────────────────────────────────────


def _bench_lines(node: Node, desk: Desk, key: str) -> Any:
    """Read `ingredient: amount, lot CODE`, by phase or not; what has a mistake stays with a Missing amount."""
    if not isinstance(node, Branch):
        return wrong_shape(desk, key, says("bench-lines-wanted"), node)
    found: list[BenchLine] = []
    for leaf, value in node.entries:
        phase = _PHASE.fullmatch(tidy(leaf.text))
        if phase is None or not isinstance(value, Branch):
            found += _of_one(leaf, value, "", found, desk, key)
            continue
        for name, amount in value.entries:
            found += _of_one(name, amount, phase[1], found, desk, key)
    return tuple(found)


def _of_one(name: TextLeaf, value: Node, phase: str, before: list[BenchLine], desk: Desk, key: str) -> list[BenchLine]:
    """Read what was taken of one ingredient: one amount, or a list of amounts with their lots."""
    if not fits(name, desk, key, LONGEST_NAME):
        return []
    material = tidy(name.text)
    if any(
        (line.material.casefold(), line.phase) == (material.casefold(), phase)
        and line.stock_of in ("", line.material)  # what thins a stock has its own line
        for line in before
    ):
        desk.report("material-twice", says("weighed-twice", key=key, name=material), name.line, name.column)
    found: list[BenchLine] = []
    for leaf in value.items if isinstance(value, ListBranch) else [value]:
        if isinstance(leaf, TextLeaf):
            found += _bench_line(material, name, leaf, phase, desk, key)
        else:
            wrong_shape(desk, f"{key}, {material}", says("bench-line-wanted"), leaf)
            at = desk.place(name.line, name.column)
            found.append(BenchLine(material=material, phase=phase, amount=_unread(desk, leaf), place=at))
    return found


def _unread(desk: Desk, node: Node) -> Missing:
    return Missing(says=says("amount-unread"), place=desk.place(node.line, node.column), reported=True)


def _bench_line(
    material: str, name: TextLeaf, leaf: TextLeaf, phase: str, desk: Desk, key: str
) -> tuple[BenchLine, ...]:
    """Read one amount with its lot; of a stock it is two lines, what it brings of the material and of what thins it."""
    place, at = desk.place(name.line, name.column), desk.place(leaf.line, leaf.column)
    label = f"{key}, {material}"
    if leaf.broken or not fits(leaf, desk, label):
        unread = _unread(desk, leaf)
        return (BenchLine(material=material, phase=phase, amount=unread, place=place, amount_place=at),)
    written, lot = split_lot(leaf.text)
    read = _of_stock(written, material, desk.comma) if _ONE_IN.search(written) else _measured(written, desk.comma)
    if isinstance(read, Complaint) and not lacks_space(leaf, desk):
        complain(desk, label, read, leaf)
    match = _LOT.fullmatch(leaf.text)
    column = leaf.column if leaf.spans or match is None else leaf.column + match.start(2) + (not leaf.plain)
    line = BenchLine(
        material=material,
        phase=phase,
        amount=_unread(desk, leaf) if isinstance(read, Complaint | _OfStock) else read,
        lot=lot,
        place=place,
        amount_place=at,
        lot_place=desk.place(leaf.line, column) if lot else place,
    )
    if not isinstance(read, _OfStock):
        return (line,)
    thinner = replace(line, material=read.thinner, amount=read.of_thinner, stock_of=material, lot="", lot_place=place)
    return (replace(line, amount=read.of_material, stock_of=material), thinner)


class _OfStock(NamedTuple):
    """What was weighed of a stock, taken apart."""

    of_material: Mass
    """What it brings of the material."""
    thinner: str
    """What it was thinned with."""
    of_thinner: Mass
    """What it brings of that."""


def _of_stock(text: str, material: str, comma: bool) -> _OfStock | Complaint:
    """Return what `1.00 g of 1 in 20 with kaolin` brings: 1 part of the material and 19 of the kaolin."""
    match = _STOCK.fullmatch(tidy(text))
    if match is None:
        return Complaint(says=says("stock-how", text=tidy(text), name=material), rule="unreadable-amount")
    taken, whole = _measured(match[1], comma), read_whole(match[2], comma)
    for part in (taken, whole):
        if isinstance(part, Complaint):
            return part
    if not isinstance(taken, Mass) or not isinstance(whole, int) or whole < 2:
        return Complaint(says=says("stock-how", text=tidy(text), name=material), rule="unreadable-amount")
    brings = taken.grams / whole
    return _OfStock(
        Mass(grams=brings, text=tidy(text)), tidy(match[3]), Mass(grams=taken.grams - brings, text=tidy(text))
    )


def _measured(text: str, comma: bool) -> Mass | Volume | Drops | Complaint:
    """Return what was weighed, measured or counted; a share or `q.s.` is none of these."""
    amount = read_amount(text, comma)
    if isinstance(amount, Complaint):
        much, mark, lot = tidy(text).partition(", ")
        if mark and not isinstance(_measured(much, comma), Complaint):
            return Complaint(says=says("lot-word", amount=much, lot=lot), rule="unreadable-amount")
        return amount
    measured = isinstance(amount, Drops) or (
        isinstance(amount, Mass | Volume) and amount.alcohol is None and getattr(amount, "substance", None) is None
    )
    if measured:
        assert isinstance(amount, Mass | Volume | Drops)
        return amount
    return Complaint(says=says("not-measured", text=tidy(text), wanted=EXAMPLE_WEIGHED), rule="unreadable-amount")


BY_FIELD.update({
    (BatchRecord, "batch"): one_text(_number),
    (BatchRecord, "obtain"): one_text(read_asked_for),
    (BatchRecord, "planned"): _bench_lines,
    (BatchRecord, "weighed"): _bench_lines,
    (BatchRecord, "weighed_beforehand"): _bench_lines,
    (BatchRecord, "came_out"): one_text(lambda text, comma: read_portion(text, comma, "617 g")),
    (BatchRecord, "ph"): one_text(_ph),
    (BatchRecord, "filled"): _fillings,
    (BatchRecord, "kept_sample"): _fillings,
    (BatchRecord, "observed"): _observed,
})  # fmt: skip


def read_batch(branch: Branch, whole: bool, source: FromFile, desk: Desk) -> BatchRecord:
    """Return the batch record, without its body."""
    read = read_fields(branch, keys_of(BatchRecord), desk, says("a-batch"), whole=whole)
    found = read.values
    number = found.setdefault("batch", source.stem)
    for key in ("of", "made", "obtain"):
        found.setdefault(key, None)
    record = BatchRecord(**found, key=number, path=source.path, places=read.places, readable=whole, unread=read.unread)
    _hold_to_its_number(record, read, source, desk)
    return record


def _hold_to_its_number(record: BatchRecord, read: Fields, source: FromFile, desk: Desk) -> None:
    """Report where the batch number is another than that of the file, the formula or the day."""
    parts = split_number(record.batch)
    if "batch" in read.unread or parts is None:
        return
    if record.batch != source.stem:
        place = read.places["batch"]
        told = says("batch-file-differs", batch=record.batch, name=source.stem)
        desk.report("batch-name", told, place.line, place.column)
    if record.of is not None and record.of.code.casefold() != parts.code.casefold():
        place = read.places["of"]
        told = says("batch-code-differs", batch=record.batch, code=record.of.code)
        desk.report("batch-name", told, place.line, place.column)
    if record.made is not None and record.made.text != parts.day:
        place = read.places["made"]
        told = says("batch-day-differs", batch=record.batch, day=record.made.text)
        desk.report("batch-name", told, place.line, place.column)
