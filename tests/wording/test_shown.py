"""Every sentence stands word for word in a table of a test; those that none shows are named here."""

from __future__ import annotations

import shlex
from collections.abc import Iterator
from fractions import Fraction
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from bookgen.findings import Finding, Missing
from bookgen.model import Workroom
from bookgen.reckon.mixing import mix
from bookgen.show import POINT
from bookgen.source import book_from
from bookgen.source.mixing import read_dilution, read_mixing
from bookgen.units import Complaint
from bookgen.wording.saying import Fact, Saying
from bookgen.wording.table import FAMILIES, SENTENCES

from ..review.test_findings import ROWS, files_of, reviewed
from ..tables import table
from ..traps.test_traps import CASES, findings
from .readers import READERS

HERE = Path(__file__).parent


MIXTURES = HERE.parent / "cli" / "refused_dilutions.yaml"
SAID, FILES = table(HERE / "said.yaml"), table(HERE / "files.yaml")
FACTS = [*table(HERE / "facts.yaml"), *table(HERE / "reckoned.yaml")]


@pytest.mark.parametrize(("reader", "typed", "says"), SAID, ids=[f"{who}: {typed}" for who, typed, _ in SAID])
def test_what_is_said_of_a_typed_text(reader: str, typed: str, says: str) -> None:
    assert refusal(reader, typed).words(POINT) == says


def refusal(reader: str, typed: str) -> Saying:
    found = READERS[reader](typed, False)
    assert isinstance(found, Complaint | Finding), found
    return found.says


@pytest.mark.parametrize(("path", "holds", "says"), FILES, ids=[says[:60] for _, _, says in FILES])
def test_what_is_said_of_a_file(path: str, holds: str, says: str) -> None:
    assert says in [one.message for one in book_from({path: holds.encode()}).findings]


@pytest.mark.parametrize("row", FACTS, ids=[f"{number} {row['sentence']}" for number, row in enumerate(FACTS)])
def test_what_is_said_of_facts(row: dict[str, Any]) -> None:
    assert said(row).words(POINT) == row["says"]


def said(row: dict[str, Any]) -> Saying:
    return Saying(row["sentence"], tuple((name, fact(one)) for name, one in row["facts"].items()))


def fact(written: Any) -> Fact:
    """Return a fact of the table: a mapping is a saying, a list a list, a broken number exact."""
    if isinstance(written, dict):
        return Saying(written["is"], tuple((name, fact(one)) for name, one in written.items() if name != "is"))
    if isinstance(written, list):
        return tuple(map(fact, written))
    if isinstance(written, float):
        return Fraction(str(written))
    assert written is None or isinstance(written, str | int)
    return written


def keys_in(one: Fact) -> Iterator[str]:
    """Yield the names of the sentences that a saying is made of."""
    if isinstance(one, Saying):
        yield one.key
        for _, inner in one.facts:
            yield from keys_in(inner)
    elif isinstance(one, tuple):
        for inner in one:
            yield from keys_in(inner)


def of_a_mixture(command: str) -> Saying | None:
    """Return what is said of a dilution or a mixture that cannot be; None for a slip in the command itself."""
    first, *words = shlex.split(command)
    options = {word: words[number + 1] for number, word in enumerate(words) if word.startswith("--")}
    plain = [word for number, word in enumerate(words) if not (word in options or words[number - 1] in options)]
    obtain, at = options.get("--obtain"), options.get("--at")
    if first == "mix":
        asked = read_mixing(plain, obtain=obtain, at=at)
    else:
        asked = read_dilution(plain, obtain=obtain, at=at, use_up=options.get("--from"), diluent=options.get("--with"))
    if isinstance(asked, Complaint):
        return asked.says
    mixture = mix(asked, Workroom())
    return mixture.says if isinstance(mixture, Missing) else None


@cache
def shown_in_the_tables() -> frozenset[str]:
    """Return the sentences that traps, rules and the tables of this room show, each with its exact words."""
    sayings = [one.told for case in CASES for one in findings(case, "broken")]
    sayings += [refusal(reader, typed) for reader, typed, _ in SAID]
    sayings += [one.told for path, holds, _ in FILES for one in book_from({path: holds.encode()}).findings]
    sayings += [said(row) for row in FACTS]
    mixtures = (of_a_mixture(command) for command in table(MIXTURES))
    sayings += [one for one in mixtures if one is not None]
    return frozenset(key for one in sayings for key in keys_in(one))


@pytest.fixture(scope="session")
def shown(tmp_path_factory: pytest.TempPathFactory) -> frozenset[str]:
    found = [one for row in ROWS for one in reviewed(files_of(row), tmp_path_factory.mktemp("row")).findings]
    return shown_in_the_tables() | {key for one in found for key in keys_in(one.told)}


UNSHOWN: frozenset[str] = frozenset()
"""Sentences that no table shows: none, and so it should stay."""


@pytest.mark.parametrize("family", FAMILIES, ids=lambda family: family.__name__.rpartition(".")[2])
def test_every_sentence_is_shown(family: Any, shown: frozenset[str]) -> None:
    assert sorted(set(family.SENTENCES) - shown) == sorted(UNSHOWN & set(family.SENTENCES))


def test_no_sentence_is_named_that_is_no_more(shown: frozenset[str]) -> None:
    assert sorted((shown | UNSHOWN) - set(SENTENCES)) == []
