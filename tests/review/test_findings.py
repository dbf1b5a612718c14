"""Each rule of the review says exactly one thing, at one place, and nothing about a book that is in order."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from bookgen.binder.printed import printed_by
from bookgen.reckon.figures import reckon
from bookgen.review import RULES, Review, review
from bookgen.source import read_book

from ..tables import table

ROWS: list[dict[str, Any]] = table(Path(__file__).with_name("findings.yaml"))

PLAIN = "ingredients:\n  wax: 100 g\n"
"""The formula of a row that names none."""
WORKROOM = "balances: [{name: bench, readability: 0.01 g, capacity: 2000 g}]\n"
MATERIALS = {
    "wax": "name: wax\nkind: wax\nwater: 0 %\n",
    "tar": "name: tar\nkind: powder\nwater: 0 %\n",
    "gly": "name: glycerol\nalso: glycerin\nkind: liquid\nwater: 0 %\ndensity: 1.26 g/mL\n",
    "lactic-80": "name: lactic acid 80 %\nkind: liquid\ncontains:\n  lactic acid: 80 %\nwater: 20 %\n"
    "known as: nothing listed\n",
    "oil": "name: oil\nkind: liquid\nwater: 0 %\ndensity: 0.9 g/mL\ndrops:\n  glass: 0.025 g\n",
    "water": "name: water\nkind: liquid\nwater: 100 %\ndensity: 1 g/mL\n",
}


def files_of(row: dict[str, Any]) -> dict[str, str]:
    """Return the files of a row's book, by their path below formulas/."""
    files = {"workroom.yaml": row.get("workroom", WORKROOM)}
    files |= {f"materials/{key}.md": f"---\n{text}---\n" for key, text in MATERIALS.items()}
    files |= row.get("files", {})
    formula = row.get("formula", PLAIN)
    if formula:
        text = f"---\ncode: T-1\ntitle: Trial\n{formula}"
        files["t.md"] = text if "\n---\n" in text[4:] else f"{text}---\n"
    return files


def reviewed(files: dict[str, str], folder: Path) -> Review:
    """Write a book into the folder, read it, reckon it, review it."""
    for name, text in files.items():
        path = folder / "formulas" / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="utf-8")
    reckoning = reckon(read_book(folder))
    return review(reckoning, printed=printed_by(reckoning))


@pytest.mark.parametrize("row", ROWS, ids=[f"{row['rule']}-{number}" for number, row in enumerate(ROWS)])
def test_a_rule_says_one_thing_at_its_place(row: dict[str, Any], tmp_path: Path) -> None:
    found = reviewed(files_of(row), tmp_path)
    mine = [one for one in found.findings if one.rule not in row.get("besides", ())]
    assert [(one.rule, str(one.severity), str(one.place), one.message) for one in mine] == [
        (row["rule"], row["severity"], row["at"], row["says"])
    ]
    if "bars" in row or row["severity"] != "error":
        assert {key: barred.root for key, barred in found.barred.items()} == row.get("bars", {})


@pytest.mark.parametrize("row", ROWS, ids=[f"{row['rule']}-{number}" for number, row in enumerate(ROWS)])
def test_its_twin_in_order_has_no_finding(row: dict[str, Any], tmp_path: Path) -> None:
    old, new = row.get("twin", ("", ""))
    files = files_of(row)
    changed = {name: text.replace(old, new) for name, text in files.items()} | row.get("twin files", {})
    assert changed != files
    found = reviewed(changed, tmp_path)
    assert [str(one) for one in found.findings] == []
    assert found.barred == {}


def test_every_rule_has_a_row() -> None:
    assert {row["rule"] for row in ROWS} == {rule.name for rule in RULES} - {"not-known"}


def test_every_rule_explains_itself_and_its_source() -> None:
    for rule in RULES:
        assert rule.explains.endswith("."), rule.name
        assert str(rule.severity) in rule.explains, rule.name
        assert "source" in (rule.judge.__doc__ or "").lower(), rule.name
