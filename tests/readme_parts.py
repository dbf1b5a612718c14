"""The parts of the README that are made: key tables, closed lists, the commands, a batch as printed.

`python -m tests.readme_parts` writes them anew between their marks; `test_readme.py` holds the README to them.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from enum import StrEnum
from pathlib import Path

from click.testing import CliRunner

from bookgen import model
from bookgen.cli import main
from bookgen.cli.start import ORDER
from bookgen.source.editor import key_tables

ROOT = Path(__file__).parent.parent
README = ROOT / "README.md"
BATCH = ["weigh", "B-01", "--obtain", "12 x 30 g + 5 %", "--today", "2026-11-25"]
SPIRIT = ["dilute", "96%vol", "to", "70%vol", "--obtain", "500 g"]
ALLIGATION = ["mix", "2.5%", "240 g of 0.25%", "to", "1%"]
DROPS = ["drops", "neroli-oil", "20 drops 0.50 g", "20 drops 0.52 g", "20 drops 0.49 g", "--dropper", "bottle insert"]
NEEDS = ["needs", "W-02: 250 g", "B-02: 12 x 5 g", "--have", "N-06: 10 g", "--have", "castor-oil: 5 g"]
TOO_LITTLE = ["weigh", "P-02", "--today", "2026-11-25"]
LISTS: dict[str, type[StrEnum]] = {
    "`kind` of a formula": model.Kind,
    "`status`": model.Status,
    "`use`: how": model.Contact,
    "`use`: where": model.Site,
    "`use`: for whom": model.Person,
    "`storage`: place": model.StoragePlace,
    "`removed`": model.Removal,
    "`kind` of a material": model.MaterialKind,
    "`soluble`": model.Solvent,
}


def table(head: tuple[str, str], rows: list[tuple[str, str]]) -> str:
    lines = [f"| {head[0]} | {head[1]} |", "| --- | --- |", *(f"| {left} | {right} |" for left, right in rows)]
    return "\n".join(lines)


def keys(name: str) -> str:
    return table(("key", "meaning"), [(f"`{key}`", meaning) for key, meaning in key_tables()[name]])


def lists() -> str:
    return table(("what", "words"), [(what, ", ".join(words)) for what, words in LISTS.items()])


def commands() -> str:
    return table(
        ("command", "does"),
        [(f"`bookgen {name}`", main.commands[name].get_short_help_str(200)) for name in ORDER],
    )


def printed(command: list[str]) -> str:
    """Return a command as typed and what it answers from the demo book."""
    answer = CliRunner(env={"COLUMNS": ""}).invoke(main, [*command, "--book", str(ROOT)])
    assert answer.exit_code == 0, answer.output
    words = " ".join(f'"{word}"' if " " in word else word for word in command)
    return f"$ bookgen {words}\n{answer.stdout.rstrip()}"


def shown(command: list[str]) -> str:
    return f"```text\n{printed(command)}\n```"


def too_little() -> str:
    """Return the lines of a batch from the heads of the columns to the verdict, hazards and keeping left out."""
    heading, *parts = printed(TOO_LITTLE).split("\n\n")
    table = next(part for part in parts if "printed total" in part)
    verdict = parts[parts.index(table) + 1]
    return f"```text\n{heading}\n  …\n\n{table}\n\n{verdict}\n  …\n```"


PARTS: dict[str, Callable[[], str]] = {
    "a batch": lambda: shown(BATCH),
    "too little to weigh": too_little,
    "spirit": lambda: shown(SPIRIT),
    "alligation": lambda: shown(ALLIGATION),
    "a dropper": lambda: shown(DROPS),
    "a shopping list": lambda: shown(NEEDS),
    "keys of a formula": lambda: keys("formula"),
    "keys of a line": lambda: keys("line"),
    "keys of storage": lambda: keys("storage"),
    "keys of a material": lambda: keys("material"),
    "keys of the workroom": lambda: keys("workroom"),
    "keys of a balance": lambda: keys("balance"),
    "closed lists": lists,
    "commands": commands,
}


def with_parts(text: str) -> str:
    """Return the README's text with every made part put between its marks."""
    for name, make in PARTS.items():
        between = re.compile(rf"(<!-- made: {name} -->\n).*?(<!-- end -->)", re.DOTALL)
        part = make()
        text, count = between.subn(lambda found, part=part: f"{found[1]}{part}\n{found[2]}", text)  # type: ignore[misc]
        assert count == 1, f"the README has {count} places for {name}"
    return text


if __name__ == "__main__":
    README.write_text(with_parts(README.read_text(encoding="utf-8")), encoding="utf-8")
