"""The records of `model.py` as the schema: which keys a mapping may hold, and the reader of each.

The readers are chosen by the type of the field, so a new field of a known type needs nothing here.  A key that
cannot be read is reported at its place and left at its default; the rest of the file is read all the same.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import MISSING, fields, is_dataclass
from enum import StrEnum
from functools import cache
from itertools import pairwise
from sys import intern
from types import NoneType, UnionType
from typing import Any, NamedTuple, Union, get_args, get_origin, get_type_hints

from .. import model
from ..findings import Missing, Place, Places, did_you_mean, nearest
from ..units import Complaint
from ..wording.saying import Saying, says
from . import amounts, codes, values
from .acidity import read_acidity, read_pka
from .densities import read_density
from .desk import Desk
from .doses import read_dose
from .pieces import read_capsule, read_mould
from .quotes import in_quotes
from .saponification import read_saponification
from .solubilities import read_solubility
from .tree import Branch, ListBranch, Node, TextLeaf, is_empty


class Unread:
    """Stands for a value that could not be read and is reported."""


UNREAD = Unread()

Reader = Callable[[Node, Desk, str], Any]
"""(what is written, the desk, the key as the reader of a message knows it) → value, or UNREAD when reported."""

WRITTEN_AS = {
    "yield_": "yield",
    "ph": "pH",
    "pka": "pKa",
    "hlb": "HLB",
    "required_hlb": "required HLB",
    "oil_in_water": "o/w",
    "water_in_oil": "w/o",
    "readability_g": "readability",
    "capacity_g": "capacity",
    "bears_c": "bears",
    "width_mm": "width",
    "height_mm": "height",
    "left_mm": "left",
    "top_mm": "top",
    "gap_mm": "gap",
    "gap_down_mm": "gap down",
}
"""Fields whose key is not the field's name with spaces for underscores."""

NOT_KEYS = {"chapter", "path", "key", "readable", "unread", "at", "amount_place", "departs"}
"""Fields that say where a record comes from."""


class Key(NamedTuple):
    """One key of a mapping."""

    field: str
    read: Reader
    compulsory: bool


def written_as(field: str) -> str:
    """Return the key of a field: `made_up` is written `made up`."""
    return WRITTEN_AS.get(field) or field.replace("_", " ")


@cache
def key_fields(record: type) -> dict[str, tuple[str, Any, bool]]:
    """Return key → (field, type, compulsory) of a record, in its order."""
    hints = get_type_hints(record)
    found: dict[str, tuple[str, Any, bool]] = {}
    for field in fields(record):
        hint = hints[field.name]
        if field.name in NOT_KEYS or hint in {Place, model.Body} or get_origin(hint) is Mapping:
            continue
        compulsory = field.default is MISSING and field.default_factory is MISSING
        found[written_as(field.name)] = (field.name, hint, compulsory)
    return found


# ── Readers ───────────────────────────────────────────────────────────────────────────────────────────────────────


def complain(desk: Desk, key: str, complaint: Complaint, leaf: TextLeaf, offset: int = 0) -> Unread:
    """Report a complaint about a text at its place."""
    at = complaint.at + offset + (not leaf.plain)
    column = leaf.column if leaf.spans else leaf.column + at  # folded lines are counted from where the text begins
    desk.report(complaint.rule, says("of-key", key=key, says=complaint.says), leaf.line, column)
    return UNREAD


_NO_SPACE = re.compile(r"([^\s:]+):([^\s/].*)", re.DOTALL)


def wrong_shape(desk: Desk, key: str, wanted: Saying, node: Node) -> Unread:
    """Report that a list, a text or keys stand where another form is expected; `wanted` says which."""
    if not node.broken and not (isinstance(node, TextLeaf) and lacks_space(node, desk)):
        desk.report("wrong-shape", says("of-key", key=key, says=wanted), node.line, node.column)
    return UNREAD


def lacks_space(leaf: TextLeaf, desk: Desk) -> bool:
    """Return whether a text would be a key and its value, were there a space after the colon; report it then."""
    match = _NO_SPACE.match(leaf.text) if leaf.plain else None
    if match is None:
        return False
    told = says("space-missing", text=leaf.text, key=match[1], value=match[2])
    desk.report("missing-space", told, leaf.line, leaf.column + len(match[1]))
    return True


LONGEST_VALUE = 300
"""Characters of the longest value that is read as figures, names or words of a list."""

LONGEST_NAME = 100
"""Characters of the longest name of an ingredient, a substance or a dropper."""


def fits(leaf: TextLeaf, desk: Desk, key: str, most: int = LONGEST_VALUE) -> bool:
    """Return whether a value is short enough to be read; report it where it is not."""
    if len(leaf.text) <= most:
        return True
    told = says("value-too-long", key=key, length=len(leaf.text), most=most)
    desk.report("value-too-long", told, leaf.line, leaf.column)
    return False


def one_text(reader: Callable[[str, bool], Any], *, prose: bool = False) -> Reader:
    """Return the reader of a value that is written as one text; `prose` may be longer than a line or two."""

    def read(node: Node, desk: Desk, key: str) -> Any:
        if not isinstance(node, TextLeaf):
            return wrong_shape(desk, key, says("one-value-wanted"), node)
        if node.broken or not (prose or fits(node, desk, key)):
            return UNREAD
        _look_for_link(node, desk, key)
        value = reader(node.text, desk.comma)
        return complain(desk, key, value, node) if isinstance(value, Complaint) else value

    return read


_LINK = re.compile(r"\]\((?:[a-z]+:|[^()\s]*\.md)[^()\s]*\)")


def _look_for_link(leaf: TextLeaf, desk: Desk, key: str) -> None:
    """Ask about a link in the front matter, where it would be printed as it is typed."""
    if "](" in leaf.text and _LINK.search(leaf.text):
        desk.query("refused-link", says("link-up-here", key=key), leaf.line, leaf.column)


def _text(text: str, comma: bool) -> str:
    return amounts.tidy(text)


def read_texts(node: Node, desk: Desk, key: str) -> Any:
    """Read one text or a list of texts."""
    if isinstance(node, TextLeaf):
        _look_for_link(node, desk, key)
        return UNREAD if node.broken else (_text(node.text, False),)
    if isinstance(node, Branch):
        return wrong_shape(desk, key, says("text-or-list-wanted"), node)
    found: list[str] = []
    for item in node.items:
        if isinstance(item, TextLeaf):
            if item.broken:
                return UNREAD
            _look_for_link(item, desk, key)
            if item.text.strip():
                found.append(_text(item.text, False))
        elif isinstance(item, Branch) and item.entries:
            first = item.entries[0][0]
            told = says("text-as-key", key=key, text=first.text)
            desk.report("colon-in-value", told, first.line, first.column + len(first.text))
            return UNREAD
        else:
            return wrong_shape(desk, key, says("text-wanted"), item)
    return tuple(found)


NONE_KNOWN = "none known"
"""What stands for hazards where there are none to tell."""


def read_sentences(node: Node, desk: Desk, key: str) -> Any:
    """Read sentences, and ask about one that was cut at its commas: `[Hot, so never touch]` is two items.

    It was where a piece begins with a small letter after one that begins a sentence and does not end it.
    """
    if isinstance(node, ListBranch) and node.flow:
        items = [item for item in node.items if isinstance(item, TextLeaf) and item.plain]
        if len(items) == len(node.items):
            cut = next(
                (after for before, after in pairwise(items) if _goes_on(before.text.strip(), after.text.strip())), None
            )
            if cut is not None:
                whole = ", ".join(item.text.strip() for item in items)
                told = says("cut-in-brackets", key=key, quotes=in_quotes(whole))
                desk.query("cut-at-comma", told, cut.line, cut.column)
    texts = read_texts(node, desk, key)
    if (
        key == "hazards"
        and isinstance(texts, tuple)
        and [text.casefold().strip(" .") for text in texts] == [NONE_KNOWN]
    ):
        return ()  # nothing to print; that the key is there says that the keeper has looked
    return texts


def _goes_on(before: str, after: str) -> bool:
    """Tell whether the second piece goes on with the sentence that the first one begins; `pH 5` does not."""
    return before[:1].isupper() and before[-1:] not in ".!?…" and after[:2].islower()


_NAME_COMMA = re.compile(r",\s+")


def read_names(node: Node, desk: Desk, key: str) -> Any:
    """Read names: a list, or one text parted by a comma and a space."""
    found = read_texts(node, desk, key)
    if isinstance(node, TextLeaf) and isinstance(found, tuple):
        return tuple(name for name in _NAME_COMMA.split(found[0]) if name)
    return found


def read_pkas(node: Node, desk: Desk, key: str) -> Any:
    """Read the pKa of one acid, from the lowest on: a list, or one text parted by a comma and a space."""
    found: list[model.Number] = []
    for leaf in node.items if isinstance(node, ListBranch) else [node]:
        if not isinstance(leaf, TextLeaf):
            return wrong_shape(desk, key, says("value-or-list-wanted"), leaf)
        if leaf.broken or not fits(leaf, desk, key):
            return UNREAD
        at = 0
        for part in _NAME_COMMA.split(leaf.text):
            pka = read_pka(part, desk.comma, found[-1] if found else None)
            if isinstance(pka, Complaint):
                return complain(desk, key, pka, leaf, at)
            found.append(pka)
            at = leaf.text.find(part, at) + len(part) + 1
    return tuple(found)


def _choice(choices: type[StrEnum]) -> Reader:
    return one_text(lambda text, comma: values.read_choice(text, choices))


def _choices(choices: type[StrEnum]) -> Reader:
    def read(node: Node, desk: Desk, key: str) -> Any:
        found: list[StrEnum] = []
        leaves = node.items if isinstance(node, ListBranch) else [node]
        for leaf in leaves:
            if not isinstance(leaf, TextLeaf):
                return wrong_shape(desk, key, says("value-or-list-wanted"), leaf)
            if leaf.broken or not fits(leaf, desk, key):
                return UNREAD
            at = 0
            for part in leaf.text.split(","):
                choice = values.read_choice(part.strip(), choices)
                at = leaf.text.find(part.strip(), at)
                if isinstance(choice, Complaint):
                    return complain(desk, key, choice, leaf, at)
                found.append(choice)
        return tuple(found)

    return read


SCALARS: dict[Any, Reader] = {
    str: one_text(_text, prose=True),
    int: one_text(values.read_whole),
    bool: one_text(values.read_yes_no),
    model.Makes: one_text(values.read_makes),
    model.Quantity: one_text(values.read_part),
    model.Mould: one_text(read_mould),
    model.CapsuleSize: one_text(read_capsule),
    model.Dose: one_text(read_dose),
    model.Percent: one_text(values.read_share),
    model.Density: one_text(read_density),
    model.Use: one_text(values.read_use),
    model.FormulaIssue: one_text(codes.read_issue_of),
    model.AcidityRange: one_text(lambda text, comma: read_acidity(amounts.tidy(text), comma)),
    model.Period: one_text(values.read_period),
    model.Solubility: one_text(read_solubility),
    model.Saponification: one_text(read_saponification),
    model.Left: one_text(amounts.read_left),
    model.Evaporates: one_text(amounts.read_evaporates),
}
"""Readers by the type of the field."""

BY_FIELD: dict[tuple[type, str], Reader] = {
    (model.Formula, "code"): one_text(codes.read_code),
    (model.Formula, "based_on"): one_text(codes.read_base),
    (model.Formula, "hazards"): read_sentences,
    (model.Formula, "cautions"): read_sentences,
    (model.Material, "hazards"): read_sentences,
    (model.Material, "cautions"): read_sentences,
    (model.Material, "also"): read_names,
    (model.Material, "known_as"): read_names,
    (model.Material, "formerly"): read_names,
    (model.Formula, "formerly"): read_names,
    (model.Material, "pka"): read_pkas,
    (model.Material, "water"): one_text(values.read_share_or_none),
    (model.Material, "drying"): one_text(values.read_share_or_none),
    (model.Material, "bears_c"): one_text(values.read_heat),
    (model.Material, "hlb"): one_text(values.read_hlb),
    (model.RequiredHlb, "oil_in_water"): one_text(values.read_hlb),
    (model.RequiredHlb, "water_in_oil"): one_text(values.read_hlb),
    (model.Balance, "readability_g"): one_text(values.read_mass),
    (model.Balance, "capacity_g"): one_text(values.read_capacity),
    (model.LabelSheet, "width_mm"): one_text(values.read_length),
    (model.LabelSheet, "height_mm"): one_text(values.read_length),
    (model.LabelSheet, "left_mm"): one_text(values.read_length_or_none),
    (model.LabelSheet, "top_mm"): one_text(values.read_length_or_none),
    (model.LabelSheet, "gap_mm"): one_text(values.read_length_or_none),
    (model.LabelSheet, "gap_down_mm"): one_text(values.read_length_or_none),
    (model.Workroom, "language"): one_text(values.read_language),
    (model.Workroom, "chapters"): read_names,
}
"""Readers of single fields, where the type does not say enough; `records.py` adds those of nested records."""


def _reader(record: type, field: str, hint: Any) -> Reader:
    found = BY_FIELD.get((record, field))
    if found:
        return found
    if get_origin(hint) in {Union, UnionType}:
        hint = next(part for part in get_args(hint) if part not in {NoneType, Missing})
    if hint in SCALARS:
        return SCALARS[hint]
    if get_origin(hint) is tuple:
        inner = get_args(hint)[0]
        if inner is str:
            return read_texts
        if issubclass(inner, StrEnum):
            return _choices(inner)
    elif issubclass(hint, StrEnum):
        return _choice(hint)
    elif is_dataclass(hint) and isinstance(hint, type):
        return lambda node, desk, key: read_record(hint, node, desk, key)
    raise TypeError(f"no reader for {record.__name__}.{field}: {hint}")


@cache
def keys_of(record: type) -> dict[str, Key]:
    """Return the keys of a record with their readers."""
    return {
        key: Key(field, _reader(record, field, hint), compulsory)
        for key, (field, hint, compulsory) in key_fields(record).items()
    }


class Fields(NamedTuple):
    """What a mapping held."""

    values: dict[str, Any]
    """Field → value, for what could be read."""
    places: Mapping[str, Place]
    """Key as written → where its value stands."""
    unread: tuple[str, ...]
    """Keys whose value is reported and left at its default."""


def read_fields(
    branch: Branch, keys: Mapping[str, Key], desk: Desk, owner: Saying, label: str = "", *, whole: bool = True
) -> Fields:
    """Read the keys of one mapping; `owner` is what it is (a formula), `label` goes before the keys in messages.

    When the mapping was not read to its end (`whole` is false), what is missing may stand below and is not reported.
    """
    found: dict[str, Any] = {}
    places: dict[str, tuple[int, int]] = {}
    unread: list[str] = []
    seen: set[str] = set()
    meant: set[str] = set()
    for leaf, node in branch.entries:
        name = leaf.text
        key = keys.get(name)
        if key is None:
            hint = did_you_mean(name, keys) or (says("its-keys", keys=tuple(keys)) if len(keys) < 12 else None)
            desk.report("unknown-key", says("unknown-key", name=name, owner=owner, hint=hint), leaf.line, leaf.column)
            near = nearest(name, keys)
            if near:  # its value is in doubt, and nothing more is said about it
                meant.add(near)
            continue
        if name in seen:
            desk.report("repeated-key", says("key-twice", name=name), leaf.line, leaf.column)
            unread.append(name)
            continue
        seen.add(name)
        if is_empty(node):
            if key.compulsory:
                desk.report("empty-value", says("value-empty", name=name), leaf.line, leaf.column)
                unread.append(name)
            continue
        places[intern(name)] = node.line, node.column
        value = key.read(node, desk, f"{label}{name}")
        if isinstance(value, Unread):
            unread.append(name)
        else:
            found[key.field] = value
    unread.extend(sorted(meant.difference(unread, seen)))
    if whole and not branch.broken:
        for name, key in keys.items():
            if not key.compulsory or name in seen:
                continue
            if name not in meant:  # a misspelt key is one mistake, not two
                unread.append(name)
                desk.report("missing-key", says("key-lacking", name=name, owner=owner), branch.line, 0)
    return Fields(found, Places(desk.path, places), tuple(unread))


def read_record(record: type, node: Node, desk: Desk, key: str) -> Any:
    """Read a nested record that is written as keys, such as the keeper's periods."""
    if not isinstance(node, Branch):
        return wrong_shape(desk, key, says("these-keys-wanted", keys=tuple(keys_of(record))), node)
    read = read_fields(node, keys_of(record), desk, says("the-key", key=key), f"{key}, ")
    if node.broken:
        return UNREAD
    names = {keys_of(record)[name].field for name in read.unread if name in keys_of(record)}
    compulsory = {key.field for key in keys_of(record).values() if key.compulsory}
    return UNREAD if names & compulsory else record(**read.values)
