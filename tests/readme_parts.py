"""The parts of the README and its pages that are made: key tables, closed lists, the commands, answers as printed.

`python -m tests.readme_parts` writes them anew between their marks; `test_readme.py` holds the pages to them.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from enum import StrEnum
from functools import partial
from pathlib import Path
from tempfile import TemporaryDirectory

from click.testing import CliRunner

from bookgen import model
from bookgen.cli import main
from bookgen.cli.start import COMMANDS
from bookgen.source.blank import first_files, workroom_text
from bookgen.source.editor import key_tables
from bookgen.source.writing import write_book

ROOT = Path(__file__).parent.parent
README = ROOT / "README.md"
KEYS = ROOT / ".readme" / "keys.md"
BENCH = ROOT / ".readme" / "bench.md"
FIRST_ROOM = workroom_text(
    "My formula book",
    [("fine balance", "0.001 g", "20 g"), ("bench scale", "0.1 g", "2000 g")],
    ["glass pipette"],
    "A5",
)
"""The workroom of the book that the README begins with; the other two files are those of `bookgen start`."""
FIRST_WEIGHING = ["weigh", "N-01", "--obtain", "250 g", "--today", "2026-11-25"]
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
    "`preserved by`": model.Preserver,
    "`emulsion`": model.Emulsion,
    "`removed`": model.Removal,
    "`kind` of a material": model.MaterialKind,
    "`soluble`": model.Solvent,
    "`outcome` of a batch": model.BatchOutcome,
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
        [(f"`bookgen {name}`", words) for name, (_, words) in COMMANDS.items()],
    )


def printed(command: list[str], book: Path = ROOT) -> str:
    """Return a command as typed and what it answers, from the demo book if no other is named."""
    answer = CliRunner(env={"COLUMNS": ""}).invoke(main, [*command, "--book", str(book)])
    assert answer.exit_code == 0, answer.output
    words = " ".join(f'"{word}"' if " " in word else word for word in command)
    return f"$ bookgen {words}\n{answer.stdout.rstrip()}"


def shown(command: list[str]) -> str:
    return f"```text\n{printed(command)}\n```"


def first_file(path: str) -> str:
    """Return a file of the book that the README begins with, under its path."""
    kind = "yaml" if path.endswith(".yaml") else "markdown"
    return f"`{path}`:\n\n```{kind}\n{first_files(FIRST_ROOM)[path]}```"


def first_weighing() -> str:
    """Return the first batch of that book."""
    with TemporaryDirectory() as folder:
        write_book(Path(folder), first_files(FIRST_ROOM))
        return f"```text\n{printed(FIRST_WEIGHING, Path(folder))}\n```"


def too_little() -> str:
    """Return the lines of a batch from the heads of the columns to the verdict, hazards and keeping left out."""
    heading, *parts = printed(TOO_LITTLE).split("\n\n")
    table = next(part for part in parts if "printed total" in part)
    verdict = parts[parts.index(table) + 1]
    return f"```text\n{heading}\n  …\n\n{table}\n\n{verdict}\n  …\n```"


FILE = re.compile(r"^(?:[^\n]* )?`(formulas/[^`]+)`:\n\n```(?:markdown|yaml)\n(.*?)^```$", re.DOTALL | re.MULTILINE)
"""A file to paste: its path at the end of a line, then what is in it."""


def pasted(folder: Path, *, first: bool = False) -> Path:
    """Return a book of the README's files, pasted into a fresh folder: all of them, or the three first."""
    for path, text in FILE.findall(README.read_text(encoding="utf-8"))[: 3 if first else None]:
        place = folder / path
        place.parent.mkdir(parents=True, exist_ok=True)
        place.write_text(text, encoding="utf-8")
    return folder


PARTS: dict[Path, dict[str, Callable[[], str]]] = {
    README: {
        **{path: partial(first_file, path) for path in first_files(FIRST_ROOM)},
        "the first weighing": first_weighing,
        "a batch": partial(shown, BATCH),
        "commands": commands,
    },
    BENCH: {
        "too little to weigh": too_little,
        "spirit": partial(shown, SPIRIT),
        "alligation": partial(shown, ALLIGATION),
        "a dropper": partial(shown, DROPS),
        "a shopping list": partial(shown, NEEDS),
    },
    KEYS: {
        "keys of a formula": partial(keys, "formula"),
        "keys of a line": partial(keys, "line"),
        "keys of storage": partial(keys, "storage"),
        "keys of preserved by": partial(keys, "preserved by"),
        "keys of a material": partial(keys, "material"),
        "keys of a lot": partial(keys, "lot"),
        "keys of a batch record": partial(keys, "batch"),
        "keys of the workroom": partial(keys, "workroom"),
        "keys of a balance": partial(keys, "balance"),
        "keys of a label sheet": partial(keys, "label sheet"),
        "closed lists": lists,
    },
}
"""Page → name between its marks → what makes that part."""


def with_parts(page: Path) -> str:
    """Return a page's text with every made part put between its marks."""
    text = page.read_text(encoding="utf-8")
    for name, make in PARTS[page].items():
        between = re.compile(rf"(<!-- made: {re.escape(name)} -->\n).*?(<!-- end -->)", re.DOTALL)
        part = make()
        text, count = between.subn(lambda found, part=part: f"{found[1]}{part}\n{found[2]}", text)  # type: ignore[misc]
        assert count == 1, f"{page.name} has {count} places for {name}"
    return text


if __name__ == "__main__":
    for one in PARTS:
        one.write_text(with_parts(one), encoding="utf-8")
