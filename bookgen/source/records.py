"""Front matter into a formula, a material or the workroom, without its body.

The nested forms that the types of `model.py` do not tell by themselves (the change log, storage in short, contents,
label names, droppers, balances) have their readers here.
"""

from __future__ import annotations

import re
from typing import Any, NamedTuple

from ..findings import nearest
from ..fraction import Fraction
from ..model import (
    PAPER_MM,
    PUNCHED,
    Balance,
    Change,
    Content,
    Displaces,
    DropperLine,
    DropperWeighing,
    Formula,
    Holes,
    Incompatible,
    LabelName,
    LabelSheet,
    Material,
    Paper,
    Preserved,
    RequiredHlb,
    Status,
    Storage,
    Workroom,
)
from ..units import Complaint
from ..wording.saying import Saying, says
from . import values
from .amounts import tidy
from .desk import Desk
from .ingredients import read_ingredients, refuse_departing, require_bases
from .lots import read_lots
from .pieces import read_displaces, require_pieces
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
    read_names,
    read_record,
    read_texts,
    wrong_shape,
)
from .tree import Branch, ListBranch, Node, TextLeaf, is_empty


def _storage(node: Node, desk: Desk, key: str) -> Any:
    at = desk.place(node.line, node.column)
    if isinstance(node, TextLeaf):
        if node.broken or not fits(node, desk, key):
            return UNREAD
        short = values.read_storage(node.text, desk.comma)
        if isinstance(short, Complaint):
            return complain(desk, key, short, node)
        return Storage(place=short.place, container=short.container, period=short.period, at=at)
    if isinstance(node, Branch):
        read = read_fields(node, keys_of(Storage), desk, says("the-key", key="storage"), "storage, ")
        return UNREAD if read.unread else Storage(at=at, **read.values)
    return wrong_shape(desk, key, says("storage-wanted"), node)


def _preserved(node: Node, desk: Desk, key: str) -> Any:
    at = desk.place(node.line, node.column)
    if isinstance(node, Branch):
        read = read_fields(node, keys_of(Preserved), desk, says("the-key", key=key), f"{key}, ")
        return UNREAD if read.unread else Preserved(at=at, **read.values)
    what = keys_of(Preserved)["what"].read(node, desk, key)
    return UNREAD if what is UNREAD else Preserved(what=what, at=at)


_CHANGE = re.compile(r"(\S+?)\s*(?:,\s*|\s+)(\S.*)")


def _changes(node: Node, desk: Desk, key: str) -> Any:
    if not isinstance(node, Branch):
        return wrong_shape(desk, key, says("changes-wanted"), node)
    found: list[Change] = []
    for leaf, value in node.entries:
        if not fits(leaf, desk, key):
            return UNREAD
        match = _CHANGE.fullmatch(leaf.text.strip())
        issue = values.read_whole(match[1] if match else leaf.text, desk.comma)
        if isinstance(issue, Complaint):
            is_date = not isinstance(values.read_date(match[1] if match else leaf.text), Complaint)
            told = Complaint(says=says("change-without-issue")) if is_date else issue
            complain(desk, f"{key}, {leaf.text[:30]}", told, leaf)
            continue
        on = values.read_date(match[2]) if match else ""
        if isinstance(on, Complaint):
            assert match is not None
            complain(desk, key, on, leaf, leaf.text.find(match[2]))
            on = ""
        if any(change.issue == issue for change in found):
            desk.report("repeated-key", says("issue-twice", key=key, issue=issue), leaf.line, leaf.column)
            continue
        texts = read_texts(value, desk, key)
        text = "; ".join(texts) if isinstance(texts, tuple) else ""
        found.append(Change(issue=issue, on=on, text=text, place=desk.place(leaf.line, leaf.column)))
    return tuple(found)


def _named(node: Node, desk: Desk, key: str, wanted: Saying) -> list[tuple[TextLeaf, str, Node]] | None:
    """Return (key, name, value) of a mapping with free names, repeated names reported; None when it is no mapping."""
    if not isinstance(node, Branch):
        wrong_shape(desk, key, wanted, node)
        return None
    found: list[tuple[TextLeaf, str, Node]] = []
    for leaf, value in node.entries:
        if not fits(leaf, desk, key, LONGEST_NAME) or not (
            isinstance(value, ListBranch | Branch) or fits(value, desk, key)
        ):
            return None
        name = tidy(leaf.text)
        if any(name.casefold() == other.casefold() for _, other, _ in found):
            desk.report("repeated-key", says("name-twice", key=key, name=name), leaf.line, leaf.column)
            continue
        found.append((leaf, name, value))
    return found


def _shares_text(leaf: TextLeaf, name: str, value: Node, desk: Desk, key: str) -> TextLeaf | None:
    """Return the text of one share; report when it is none."""
    if isinstance(value, TextLeaf) and not is_empty(value):
        return None if value.broken else value
    if isinstance(value, TextLeaf):
        desk.report("empty-value", says("share-missing", key=key, name=name), leaf.line, leaf.column)
    else:
        wrong_shape(desk, key, says("share-wanted"), value)
    return None


def _contains(node: Node, desk: Desk, key: str) -> Any:
    entries = _named(node, desk, key, says("contents-wanted"))
    if entries is None:
        return UNREAD
    found: list[Content] = []
    broken = False
    for leaf, name, value in entries:
        text = _shares_text(leaf, name, value, desk, key)
        if text is None:
            broken = True
            continue
        content = values.read_content(name, text.text, desk.comma)
        if isinstance(content, Complaint):
            complain(desk, f"{key}, {name}", content, text)
            broken = True
        else:
            found.append(content)
    return UNREAD if broken else tuple(found)


def _label(node: Node, desk: Desk, key: str) -> Any:
    if isinstance(node, TextLeaf):
        return UNREAD if node.broken else (LabelName(name=tidy(node.text)),)
    entries = _named(node, desk, key, says("label-wanted"))
    if entries is None:
        return UNREAD
    if len(entries) == 1 and is_empty(entries[0][2]):
        return (LabelName(name=entries[0][1]),)
    found: list[LabelName] = []
    broken = False
    for leaf, name, value in entries:
        text = _shares_text(leaf, name, value, desk, key)
        if text is None:
            broken = True
            continue
        share = values.read_share(text.text, desk.comma)
        if isinstance(share, Complaint):
            complain(desk, f"{key}, {name}", share, text)
            broken = True
        else:
            found.append(LabelName(name=name, share=share.share))
    return UNREAD if broken else tuple(found)


def _incompatible(node: Node, desk: Desk, key: str) -> Any:
    """Read names, in one text or a list, each alone or as `name: what happens`."""
    if isinstance(node, TextLeaf):
        names = read_names(node, desk, key) if fits(node, desk, key) and not lacks_space(node, desk) else ()
        return tuple(Incompatible(name=name) for name in names) if isinstance(names, tuple) and names else UNREAD
    found: list[Incompatible] = []
    for item in node.items if isinstance(node, ListBranch) else (node,):
        pairs = item.entries if isinstance(item, Branch) else ((item, None),)
        for leaf, value in pairs:
            if not isinstance(leaf, TextLeaf) or not (value is None or isinstance(value, TextLeaf)):
                return wrong_shape(desk, key, says("incompatible-wanted"), leaf if value is None else value)
            if leaf.broken or lacks_space(leaf, desk) or not fits(leaf, desk, key, LONGEST_NAME):
                return UNREAD
            name = tidy(leaf.text)
            if any(name.casefold() == other.name.casefold() for other in found):
                desk.report("repeated-key", says("name-twice", key=key, name=name), leaf.line, leaf.column)
            elif name:
                found.append(Incompatible(name=name, because=tidy(value.text) if value is not None else ""))
    return tuple(found)


def _required_hlb(node: Node, desk: Desk, key: str) -> Any:
    """Read what an oil requires: one figure for oil in water, or `o/w` and `w/o`."""
    if isinstance(node, Branch):
        return read_record(RequiredHlb, node, desk, key)
    value = keys_of(RequiredHlb)["o/w"].read(node, desk, key)
    return UNREAD if value is UNREAD else RequiredHlb(oil_in_water=value)


def _displaces(node: Node, desk: Desk, key: str) -> Any:
    """Read how much of a base a material takes the place of: one text, or a list for several bases."""
    found: list[Displaces] = []
    for item in node.items if isinstance(node, ListBranch) else (node,):
        read = one_text(read_displaces)(item, desk, key)
        if read is UNREAD:
            return UNREAD
        if any(read.base.casefold() == other.base.casefold() for other in found):
            desk.report("repeated-key", says("name-twice", key=key, name=read.base), item.line, item.column)
            return UNREAD
        found.append(read)
    return tuple(found)


def _drops(node: Node, desk: Desk, key: str) -> Any:
    entries = _named(node, desk, key, says("drops-wanted"))
    if entries is None:
        return UNREAD
    found: list[DropperLine] = []
    broken = False
    for leaf, name, value in entries:
        line = _dropper(leaf, name, value, desk, key)
        if line is None:
            broken = True
        else:
            found.append(line)
    return UNREAD if broken else tuple(found)


def _dropper(leaf: TextLeaf, name: str, value: Node, desk: Desk, key: str) -> DropperLine | None:
    place = desk.place(leaf.line, leaf.column)
    label = f"{key}, {name}"
    if isinstance(value, TextLeaf):
        if value.broken:
            return None
        line = values.read_dropper(name, value.text, desk.comma)
        if isinstance(line, Complaint):
            complain(desk, label, line, value)
            return None
        return DropperLine(
            dropper=name,
            stated_g=line.stated_g,
            low_g=line.low_g,
            high_g=line.high_g,
            weighings=line.weighings,
            text=line.text,
            place=place,
        )
    if not isinstance(value, ListBranch):
        wrong_shape(desk, label, says("drop-wanted"), value)
        return None
    weighings: list[DropperWeighing] = []
    for item in value.items:
        if not isinstance(item, TextLeaf):
            wrong_shape(desk, label, says("weighing-wanted"), item)
            return None
        if not fits(item, desk, label):
            return None
        weighing = values.read_weighing(item.text, desk.comma)
        if isinstance(weighing, Complaint):
            complain(desk, label, weighing, item)
            return None
        weighings.append(weighing)
    text = ", ".join(tidy(item.text) for item in value.items if isinstance(item, TextLeaf))
    return DropperLine(dropper=name, weighings=tuple(weighings), text=text, place=place)


def _balances(node: Node, desk: Desk, key: str) -> Any:
    items = node.items if isinstance(node, ListBranch) else [node]
    found: list[Balance] = []
    for item in items:
        if not _is_balance(item):
            if not item.broken:
                name = item.entries[0][0].text if isinstance(item, Branch) and item.entries else "fine"
                name = tidy(name) if re.fullmatch(r"[\w -]+", name) else "fine"
                desk.report("wrong-shape", says("balance-wanted", key=key, name=name), item.line, item.column)
            return UNREAD
        balance = read_record(Balance, item, desk, "balances")
        if isinstance(balance, Balance):
            if any(balance.name.casefold() == other.name.casefold() for other in found):
                told = says("balance-twice", key=key, name=balance.name)
                desk.report("repeated-key", told, item.line, item.column)
                continue
            found.append(balance)
    return tuple(found)


def _is_balance(node: Node) -> bool:
    """Tell whether the keys of a balance are meant there, and not names of balances."""
    return isinstance(node, Branch) and any(nearest(leaf.text, keys_of(Balance)) for leaf, _ in node.entries)


def _label_sheet(node: Node, desk: Desk, key: str) -> Any:
    """Read a sheet of labels, and see whether they stand on its paper."""
    sheet = read_record(LabelSheet, node, desk, key)
    if not isinstance(sheet, LabelSheet):
        return sheet
    wide, high = PAPER_MM[sheet.paper]
    across = sheet.left_mm + sheet.across * sheet.width_mm + (sheet.across - 1) * sheet.gap_mm
    down = sheet.top_mm + sheet.down * sheet.height_mm + (sheet.down - 1) * sheet.gap_down_mm
    told = None
    if across > wide:
        told = says("labels-too-wide", count=sheet.across, takes=across, most=wide, paper=sheet.paper.value)
    elif down > high:
        told = says("labels-too-high", count=sheet.down, takes=down, most=high, paper=sheet.paper.value)
    if told is not None:
        desk.report("impossible-value", says("of-key", key=key, says=told), node.line, node.column)
        return UNREAD
    return sheet


def _droppers(node: Node, desk: Desk, key: str) -> Any:
    """Read the names of the droppers; what a drop weighs stands with the material."""
    items = node.items if isinstance(node, ListBranch) else [node]
    for item in items:
        if isinstance(item, Branch) and item.entries and not item.broken:
            leaf, value = item.entries[0]
            name = value.text if leaf.text == "name" and isinstance(value, TextLeaf) else leaf.text
            told = says("dropper-wanted", key=key, name=tidy(name))
            desk.report("wrong-shape", told, item.line, item.column)
            return UNREAD
    return read_names(node, desk, key)


BY_FIELD.update({
    (Formula, "ingredients"): read_ingredients,
    (Formula, "storage"): _storage,
    (Formula, "preserved_by"): _preserved,
    (Formula, "label"): _label,
    (Formula, "changes"): _changes,
    (Material, "contains"): _contains,
    (Material, "label"): _label,
    (Material, "drops"): _drops,
    (Material, "displaces"): _displaces,
    (Material, "incompatible_with"): _incompatible,
    (Material, "required_hlb"): _required_hlb,
    (Material, "lots"): read_lots,
    (Material, "issued"): one_text(lambda text, _: values.read_date(text)),
    (Workroom, "balances"): _balances,
    (Workroom, "label_sheet"): _label_sheet,
    (Workroom, "droppers"): _droppers,
})  # fmt: skip


class FromFile(NamedTuple):
    """Where a record comes from."""

    path: str
    """The file, relative to the book's folder."""
    stem: str
    """Its name without ending."""
    chapter: str = ""
    """Its folder relative to `formulas/`."""


def read_formula(branch: Branch, whole: bool, source: FromFile, desk: Desk) -> Formula:
    """Return the formula, without its body."""
    read = read_fields(branch, keys_of(Formula), desk, says("a-formula"), whole=whole)
    found = read.values
    _look_at_title(branch, "title", desk)
    phases = found.get("ingredients", ())
    is_trial = "based on" in read.places
    if not is_trial:
        refuse_departing(phases, desk)
    if not is_trial and "makes" not in read.unread and phases:
        found["ingredients"] = require_pieces(
            require_bases(phases, found.get("makes"), desk),
            found.get("makes"),
            read.places.get("mould") if "mould" in found else None,
            read.places.get("capsule") if "capsule" in found else None,
            desk,
        )
    found.setdefault("code", source.stem)
    found.setdefault("title", source.stem)
    # A formula whose status cannot be read must not look approved; draft is the default and is stamped.
    found.setdefault("status", Status.DRAFT)
    formula = Formula(
        **found, chapter=source.chapter, path=source.path, places=read.places, readable=whole, unread=read.unread
    )
    _require_whole("label", _named_share(formula.label), read, desk)
    return formula


def read_material(branch: Branch, whole: bool, source: FromFile, desk: Desk) -> Material:
    """Return the material, without its body."""
    read = read_fields(branch, keys_of(Material), desk, says("a-material"), whole=whole)
    found = read.values
    _look_at_title(branch, "name", desk)
    found.setdefault("name", source.stem)
    material = Material(
        **found, key=source.stem, path=source.path, places=read.places, readable=whole, unread=read.unread
    )
    listed = (content for content in material.contains if not (content.of_dried or content.by_volume))
    contained = sum((content.share if content.low is None else content.low for content in listed), Fraction(0))
    contained += material.water.share if material.water and material.contains else 0
    _require_whole("contains", contained, read, desk, wet=material.water is not None)
    _require_whole("label", _named_share(material.label), read, desk)
    return material


def _named_share(label: tuple[LabelName, ...]) -> Fraction:
    return sum((part.share for part in label if part.share is not None), Fraction(0))


def _require_whole(key: str, total: Fraction, read: Fields, desk: Desk, *, wet: bool = False) -> None:
    """Report contents or label shares that add up to more than the whole."""
    if total > 1:
        place = read.places[key]
        told = says("shares-and-water-beyond-whole" if wet else "shares-beyond-whole", key=key)
        desk.report("impossible-value", told, place.line, place.column)


def _look_at_title(branch: Branch, key: str, desk: Desk) -> None:
    """Ask about a remark behind a title: a title with a # in it would be cut without a word."""
    for leaf, node in branch.entries:
        if leaf.text != key or not isinstance(node, TextLeaf) or not node.remark:
            continue
        line, column = node.remark
        if any(f.rule == "swallowed-comment" and f.place.line == line for f in desk.findings):
            return
        desk.query("swallowed-comment", says("remark-behind-title", key=key), line, column)


def read_workroom(branch: Branch, path: str, desk: Desk) -> Workroom:
    """Return the workroom; what cannot be read is reported and left at its default."""
    read = read_fields(branch, keys_of(Workroom), desk, says("the-workroom"))
    _require_room_for_holes(read, desk)
    return Workroom(**read.values, path=path, places=read.places)


def _require_room_for_holes(read: Fields, desk: Desk) -> None:
    """Report holes that the paper is not punched with, and leave them at the paper's usual number."""
    paper, holes = read.values.get("paper", Workroom().paper), read.values.get("holes")
    if holes is None or holes in PUNCHED[paper]:
        return
    del read.values["holes"]
    if "paper" in read.unread:
        return
    other = Paper.LETTER if holes is Holes.THREE else Paper.A4
    place = read.places["holes"]
    told = says(
        "three-holes" if holes is Holes.THREE else "four-holes",
        paper=paper,
        holes=tuple(map(str, PUNCHED[paper])),
        other=other,
    )
    desk.report("impossible-value", told, place.line, place.column)
