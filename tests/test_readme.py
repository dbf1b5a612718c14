"""The README says what is: made parts are current, commands are single lines, pictures exist, its example reads."""

from __future__ import annotations

import re
from pathlib import Path

from .books_of_text import MATERIALS, check, write_book
from .readme_parts import README, ROOT, with_parts

TEXT = README.read_text(encoding="utf-8")


def test_made_parts_are_current() -> None:
    """`python -m tests.readme_parts` writes them anew."""
    assert with_parts(TEXT) == TEXT


def test_both_commands_are_single_lines() -> None:
    for name in ("the demo", "the tests"):
        found = re.search(rf"^<!-- {name} -->\n```sh\n(.*?)```$", TEXT, re.DOTALL | re.MULTILINE)
        assert found, name
        assert found[1].count("\n") == 1
        assert found[1].startswith("apt-get update && ")
        assert "python3 -m venv .venv" in found[1]


def test_ci_runs_the_test_command_of_the_readme() -> None:
    script = (ROOT / ".ci" / "run").read_text(encoding="utf-8")
    assert "<!-- the tests -->" in script


def test_pictures_and_pages_linked_exist() -> None:
    for name in re.findall(r"\]\(([^)#:]+)\)", re.sub(r"```.*?```", "", TEXT, flags=re.DOTALL)):
        if "`" not in name:
            assert (ROOT / name).is_file(), name


def test_the_examples_read_without_a_finding(tmp_path: Path) -> None:
    formula, material = re.findall(r"```markdown\n(---\n.*?)```", TEXT, re.DOTALL)
    workroom = re.search(r"```yaml\n(title: .*?)```", TEXT, re.DOTALL)
    assert workroom
    water = (
        "---\ncode: W-01\ntitle: Cornflower water\nuse: intermediate\nstatus: approved\nstorage: refrigerator\n"
        "ingredients:\n  water: 100 g\n---\n"
    )
    materials = {
        **MATERIALS,
        "lactic-acid-80": "contains:\n  lactic acid: 80 %\nwater: 20 %",
        "sodium-hydroxide-10": "water: 90 %",
        "purified-water": "water: 100 %",
    }
    materials["oil"] = materials["oil"].replace("dropper:", "glass pipette:")
    book = write_book(tmp_path, {"S-02": formula, "W-01": water}, materials, workroom[1])
    (book / "formulas" / "materials" / "glycerol-85.md").write_text(material, encoding="utf-8")
    assert check(book) == []
