"""The official book: published formulas in, published figures out.

`books/official/formulas/` is real input that nobody here wrote; `books/official/expected.yaml` says what each batch
must come to and which published source says so.  The whole path is taken, from the files to the JSON of `weigh`.
"""

from __future__ import annotations

import json
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest
import yaml
from click.testing import CliRunner

from bookgen.cli import main
from tests.books_of_text import ON_THAT_DAY

from .tables import table

HERE = Path(__file__).parent
BOOK = HERE / "books" / "official"
EXACT_LINE_FIELDS = {"grams", "ml", "percent"}


EXPECTED: dict[str, list[dict[str, Any]]] = table(BOOK / "expected.yaml")
BATCHES = [
    pytest.param(code, batch, id=f"{code}, {batch.get('obtain', 'as written')}")
    for code, batches in EXPECTED.items()
    for batch in batches
]
CHECK_VALUES = {item["id"]: item for path in sorted((HERE / "check_values").glob("*.yaml")) for item in table(path)}
MEANT: list[dict[str, str]] = table(BOOK / "meant.yaml")


def run(*arguments: str) -> tuple[int, dict[str, Any]]:
    """Run a command on the official book; return its exit code and the JSON it printed on stdout."""
    result = CliRunner(env=ON_THAT_DAY).invoke(main, [*arguments, "--json", "--book", str(BOOK)])
    assert result.exception is None or isinstance(result.exception, SystemExit), result.exception
    return result.exit_code, json.loads(result.stdout)


def weigh(code: str, obtain: str | None) -> tuple[int, dict[str, Any]]:
    """Weigh one batch of the official book; without `obtain` the batch as written."""
    return run("weigh", code, *(["--obtain", obtain] if obtain else []))


def same(actual: Any, wanted: Any, tolerance: Any, figure: str) -> None:
    """Hold one figure to the table: the exact text where it is rational, else within the absolute tolerance."""
    if wanted is None or tolerance == "exact":
        assert actual == wanted, figure
    else:
        assert isinstance(actual, str), figure
        assert abs(Fraction(actual) - Fraction(wanted)) <= Fraction(tolerance), figure


def by_name(rows: list[dict[str, Any]], key: str) -> dict[str, dict[str, Any]]:
    """Return rows by name; the official formulas name no material twice."""
    named = {row[key]: row for row in rows}
    assert len(named) == len(rows)
    return named


@pytest.mark.parametrize(("code", "batch"), BATCHES)
def test_published_figures(code: str, batch: dict[str, Any]) -> None:
    """Every figure of the table comes out, to the last digit where it is rational."""
    status, answer = weigh(code, batch.get("obtain"))
    assert answer["code"] == code
    if batch.get("refused"):
        assert status == 1
        assert answer["lines"] == []
        assert answer["findings"], "a refusal says why"
        return
    assert status == 0, answer["findings"]
    tolerance = batch["tolerance"]
    for name, key in (("made", "obtain"), ("makes", "makes")):
        for unit, wanted in batch.get(name, {}).items():
            same(answer[key][unit], wanted, tolerance, f"{key} {unit}")
    for unit, wanted in batch.get("start", {}).items():
        same(answer[f"start_{unit}"], wanted, tolerance, f"start_{unit}")
    if "use_by" in batch:
        assert answer["use_by"] == batch["use_by"]
    lines = by_name(answer["lines"], "material")
    for material, fields in batch.get("lines", {}).items():
        for field, wanted in fields.items():
            rule = tolerance if field in EXACT_LINE_FIELDS else "exact"
            same(lines[material][field], wanted, rule, f"{material} {field}")
    for material, text in batch.get("shown", {}).items():
        assert text in lines[material]["shown"], material
    if "make_first" in batch:
        first = by_name(answer["make_first"], "code")
        assert first.keys() == batch["make_first"].keys()
        for name, fields in batch["make_first"].items():
            for field, wanted in fields.items():
                same(first[name][field], wanted, tolerance, f"make first {name} {field}")
    if "composition" in batch:
        wanted_parts = batch["composition"]
        if wanted_parts is None:
            assert all(row["percent"] is None for row in answer["composition"] or ())
        else:
            parts = by_name(answer["composition"], "material")
            assert parts.keys() == wanted_parts.keys()
            for material, wanted in wanted_parts.items():
                same(parts[material]["percent"], wanted, tolerance, f"composition {material}")
            if tolerance == "exact":
                assert sum(Fraction(row["percent"]) for row in parts.values()) == 100


def test_table_covers_the_book() -> None:
    """No formula of the book is left without a batch, and each kind of batch occurs."""
    codes = {
        line.split(":", 1)[1].strip()
        for path in sorted((BOOK / "formulas").glob("*/*.md"))
        for line in path.read_text(encoding="utf-8").splitlines()
        if line.startswith("code:")
    }
    assert codes == EXPECTED.keys()
    asked = [batch.get("obtain", "") for batches in EXPECTED.values() for batch in batches]
    for form in ("", "250 mL", "20 g", "1 kg", "0.5 L", "2 x 15 g + 5 %", "12 x 50 mL + 5 %", "10 g of EO"):
        assert form in asked, form


def test_table_names_its_sources() -> None:
    """A row that cites a check value cites one that exists, and a check value's formula is really held to it."""
    for code, batches in EXPECTED.items():
        for batch in batches:
            assert batch["class"] in {1, 2, 3}
            cited = batch["source"].removeprefix("own arithmetic on ").split(",")[0]
            assert cited in CHECK_VALUES or not cited.startswith("T"), f"{code}: {cited}"
            assert batch["source"].startswith("own arithmetic") == (batch["class"] == 3), f"{code}: {cited}"
    for name, item in CHECK_VALUES.items():
        if "official" in item:
            rows = EXPECTED[item["official"]]
            assert any(row["source"].split(",")[0] == name for row in rows), name


def figures(value: Any) -> set[str]:
    """Return every text in a nest of tables."""
    if isinstance(value, dict):
        return set().union(*map(figures, value.values()))
    if isinstance(value, list):
        return set().union(*map(figures, value))
    return {value} if isinstance(value, str) else set()


def test_table_repeats_the_published_values() -> None:
    """The rows that cite a check value hold each of its figures: the table did not wander from its sources."""
    held = 0
    for name, item in CHECK_VALUES.items():
        if "official" not in item or item["checks"] in {"dilution", "reference"}:
            continue
        cited = [row for row in EXPECTED[item["official"]] if row["source"].split(",")[0] == name]
        assert figures({"all": item["expected"]}) <= figures(cited), name
        held += 1
    assert held >= 12


def test_the_book_publishes() -> None:
    """No finding of severity error; what the check does say is meant, and all that is meant is said."""
    status, answer = run("check")
    assert [finding for finding in answer["findings"] if finding["severity"] == "error"] == []
    assert status == 0
    said = sorted({(finding["severity"], finding["rule"], finding["path"]) for finding in answer["findings"]})
    assert said == sorted((row["severity"], row["rule"], row["path"]) for row in MEANT), answer["findings"]


def test_a_water_marks_what_its_source_does_not_say() -> None:
    """Boiling, cooling and shaking that no source gives stand under `source:` as common practice.

    The Dispensatory of 1918 grinds with talc, adds recently boiled water by degrees and filters (T11-01).
    """
    for path in sorted((BOOK / "formulas" / "waters").glob("*.md")):
        front, _, body = path.read_text(encoding="utf-8").removeprefix("---\n").partition("\n---\n")
        practice = [one for one in yaml.load(front, yaml.BaseLoader)["source"] if "common practice, no source" in one]
        method = body.split("## Notes")[0].casefold()
        for done, words in (("cool", "cooling"), ("shak", "shaking")):
            if done in method:
                assert any(words in one for one in practice), (path.name, words)
