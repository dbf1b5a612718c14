"""What the program says in the language of a book: every word that a table has to have, by the place that says it."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from functools import cache
from pathlib import Path

from bookgen.findings import Severity
from bookgen.look.said import words_in
from bookgen.model import (
    BatchOutcome,
    CapsuleSize,
    Contact,
    Kind,
    MaterialKind,
    Person,
    PieceForm,
    Removal,
    Site,
    Solvent,
    Status,
    StoragePlace,
)
from bookgen.reckon.functions import (
    ACTIVE,
    AROMATIC,
    CARRIERS,
    COLOURANT,
    FILTER_AIDS,
    GELLING,
    PRESERVATIVE,
    UNDISSOLVED,
)
from bookgen.reckon.storage import Preparation
from bookgen.reference import storage_periods, table_in
from bookgen.shown.amounts import AMOUNT_WORDS
from bookgen.shown.sentences import SENTENCES

CHECKOUT = Path(__file__).parents[1]
PACKAGE = CHECKOUT / "bookgen"
THEME = CHECKOUT / "themes" / "workroom"
TURNING = ("word", "noted", "phrase", "counted")
"""Functions whose first words are turned, wherever they are called; of `counted` the two nouns."""
TOLD_OF_TABLES = {
    "short": ("allergens", "dissolving", "limits", "preservatives", "storage"),
    "known": ("dangers", "heat", "hlb", "incompatible"),
    "as": ("limits",),
    "acid": ("dissolving", "preservatives"),
    "products": ("limits",),
    "only in": ("heat",),
    "told": ("limits",),
    "when": ("limits",),
    "words": ("limits",),
    "reason": ("incompatible",),
    "why": ("preservatives",),
    "sets free": ("dangers",),
    "harm": ("dangers",),
}
"""What pages print of published tables: the key, and the files in which it holds words of ours."""
NAMES_OF_SOURCES = frozenset({
    "Beuchat, 1981", "Food Additives Data Book", "Handbook of Pharmaceutical Excipients", "Int. J. Dent. 2010",
    "J. Cosmet. Sci. 73 (2022)", "Manual of Pharmacology", "OCL, 2022", "Petersen, 1905", "Pharmazie 54 (1999)",
    "Potter", "Thomas, 1907", "USP 32", "aquasol 1.8.2",
})  # fmt: skip
"""Sources that are a name in every language."""
_REGULATION = re.compile(r"\(EU\) \d{4}/\d+")
ELSEWHERE = ("language", "accounts", "machine", "terminal", "cli")
"""Rooms that say nothing on a page or a sheet, or say it in English alone."""


def constants(node: ast.expr) -> Iterator[str]:
    """Yield what an argument can be: words, or one of two."""
    if isinstance(node, ast.IfExp):
        yield from constants(node.body)
        yield from constants(node.orelse)
    elif isinstance(node, ast.Constant) and isinstance(node.value, str):
        yield node.value
    elif isinstance(node, ast.JoinedStr):
        raise AssertionError(f"{ast.unparse(node)}: a sentence has named holes and is not put together")


@cache
def said_in_python() -> dict[str, str]:
    """Return words → where Python says them."""
    found: dict[str, str] = {}
    for path in sorted(PACKAGE.rglob("*.py")):
        if set(path.relative_to(PACKAGE).parts) & set(ELSEWHERE):
            continue
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if not isinstance(node, ast.Call) or not node.args:
                continue
            name = getattr(node.func, "id", "") or getattr(node.func, "attr", "")
            if name not in TURNING:
                continue
            where = f"{path.relative_to(CHECKOUT)}:{node.lineno}"
            if name == "counted":
                for one in node.args[1:2]:
                    for noun in constants(one):
                        many = [*constants(node.args[2])] if len(node.args) > 2 else [f"{noun}s"]
                        found |= dict.fromkeys((noun, *many), where)
            elif name == "word" and len(node.args) > 1:
                about = [*constants(node.args[1])]
                found |= {f"{text} [{about[0]}]": where for text in constants(node.args[0])}
            else:
                found |= dict.fromkeys(constants(node.args[0]), where)
    return {text: where for text, where in found.items() if text}


@cache
def said_in_theme() -> dict[str, str]:
    """Return words → which template, style or script says them."""
    found: dict[str, str] = {}
    for path in sorted(THEME.glob("*/*")):
        if path.suffix in (".html", ".css", ".js"):
            said = words_in(path.read_text(encoding="utf-8"), script=path.suffix == ".js")
            found |= dict.fromkeys(said, str(path.relative_to(CHECKOUT)))
    return found


CLOSED = (
    BatchOutcome, CapsuleSize, Contact, Kind, MaterialKind, Person, PieceForm, Preparation, Removal, Severity, Site,
    Solvent, Status, StoragePlace,
)  # fmt: skip
"""Closed lists of the files that pages show."""


def told_of(table: object, key: str) -> Iterator[str]:
    """Yield the words that a table has under a key, wherever it stands."""
    if isinstance(table, dict):
        for name, value in table.items():
            if name == key:
                yield from (str(word) for word in ([value] if isinstance(value, str) else value))
            else:
                yield from told_of(value, key)
    elif isinstance(table, list):
        for part in table:
            yield from told_of(part, key)


def said_in_tables() -> dict[str, str]:
    """Return the words of published tables that pages print; substances in small letters, as sentences have them."""
    return {
        (word.lower() if key in ("as", "acid") else word): f"{file}.yaml"
        for key, files in TOLD_OF_TABLES.items()
        for file in files
        for word in told_of(table_in(f"{file}.yaml"), key)
        if word not in NAMES_OF_SOURCES and not _REGULATION.fullmatch(word)
    }


def said_in_lists() -> dict[str, str]:
    """Return the words of closed lists."""
    found = {str(entry): kind.__name__ for kind in CLOSED for entry in kind}
    found |= dict.fromkeys(("errors", "queries", "notes"), "Severity") | dict.fromkeys(("hours", "minutes"), "show.py")
    found |= dict.fromkeys((f"{amount} [amount]" for amount in AMOUNT_WORDS), "amounts.py")
    functions = ({PRESERVATIVE}, AROMATIC, COLOURANT, ACTIVE, CARRIERS, GELLING, UNDISSOLVED, FILTER_AIDS)
    found |= dict.fromkeys((item for items in functions for item in items), "functions.py")
    found |= dict.fromkeys((period.words for period in storage_periods().values()), "storage.yaml")
    return found | dict.fromkeys((form.one_piece for form in PieceForm), "PieceForm")


@cache
def said() -> dict[str, str]:
    """Return all that is said, and where."""
    shared = dict.fromkeys(SENTENCES.values(), "bookgen/shown/sentences.py")
    return shared | said_in_lists() | said_in_tables() | said_in_python() | said_in_theme()
