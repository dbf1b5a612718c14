"""A year with a binder: each change is printed, its instructions are carried out on paper, and the paper is compared.

The paper is a row of leaves, each as it came out of the printer.  Whoever does what the printed instructions say, word
by word, holds after each change the binder that would be printed whole from the same book, side by side, foot and all.
"""

from __future__ import annotations

import re
import subprocess
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest

from .small_binder import FILES, Sides, codes_of, differ, leaves_of, run, words_of, write

_MARK = re.compile(r"([0-9A-Z]{3}-[0-9A-Z]{3}) *$", re.MULTILINE)
_CHECK = r"\(check (\S{7})\)"
_STATE = rf"(\S+)(?: issue \d+)?(?:, barred)?, sheets? [\d–]+ {_CHECK}"
_WHERE = r"after (\S+)|in front of all others"
_STEPS = re.compile(
    rf"Take out {_STATE}\. Put in {_STATE}(?:, (?:{_WHERE}))?(?:, the same in the new look)?\."
    rf"|New: put in {_STATE}, (?:{_WHERE})\."
    rf"|Withdraw: take out {_STATE}\."
    rf"|Withdraw: take out all that stands from (\S+) {_CHECK} to (\S+) {_CHECK}:"
    rf"|Move ([^.]+?), as (?:it is|they are), (?:{_WHERE})\."
    r"|(Put all leaves into the order of the list)"
)


@dataclass(frozen=True, slots=True, kw_only=True)
class OnPaper:
    """One leaf on paper."""

    code: str
    check: str
    sides: Sides


def on_paper(pdf: bytes, folder: Path) -> list[OnPaper]:
    """Return the leaves of a printed PDF, by what their feet say."""
    done = subprocess.run(["pdftotext", "-layout", "-", "-"], input=pdf, capture_output=True, check=True, timeout=120)
    pages = done.stdout.decode().replace("\u2010", "-").replace("\u2011", "-").split("\f")[:-1]
    checks = dict(zip(codes_of(pdf), ([*_MARK.findall(page), ""][-2] for page in pages), strict=True))
    return [OnPaper(code=code, check=checks[code], sides=sides) for code, sides in leaves_of(pdf, folder).items()]


def carried_out(told: str, printed: list[OnPaper], binder: list[OnPaper]) -> list[OnPaper]:
    """Return the binder after somebody did what the instructions say, with the leaves that were printed."""
    binder, at_hand = list(binder), {leaf.code: leaf for leaf in printed}

    def at(code: str, check: str = "") -> int:
        (found,) = [number for number, leaf in enumerate(binder) if leaf.code == code]
        assert check in ("", binder[found].check), f"the {code} in the binder is another one"
        return found

    def behind(where: str) -> int:
        return at(where) + 1 if where else 0

    def taken_up(code: str, check: str) -> OnPaper:
        assert at_hand[code].check == check
        return at_hand.pop(code)

    told = re.sub(r"(?<=\w)- (?=\w)", "-", told)  # a code that runs over the end of a line
    assert _STEPS.search(told)
    for step in _STEPS.findall(told):
        (out, was, into, is_now, where, new, new_check, new_where, gone, gone_check,
         first, first_check, last, last_check, moved, moved_where, sort) = step  # fmt: skip
        if out:
            place = at(out, was)
            del binder[place]
            binder.insert(behind(where) if where else place, taken_up(into, is_now))
        elif new:
            binder.insert(behind(new_where), taken_up(new, new_check))
        elif gone:
            del binder[at(gone, gone_check)]
        elif first:
            del binder[at(first, first_check) : at(last, last_check) + 1]
        elif moved:
            for code in re.split(r", | and ", moved):
                leaf = binder.pop(at(code))
                binder.insert(behind(moved_where), leaf)
                moved_where = code
        else:
            assert not sort, "so small a binder is put in order step by step"
    assert not at_hand, "what was printed has gone in"
    return binder


def put(name: str, old: str, new: str) -> Callable[[Path], None]:
    def edit(book: Path) -> None:
        path = book / "formulas" / name
        text = path.read_text(encoding="utf-8")
        assert old in text
        path.write_text(text.replace(old, new), encoding="utf-8")

    return edit


def together(*edits: Callable[[Path], None]) -> Callable[[Path], None]:
    def edit(book: Path) -> None:
        for part in edits:
            part(book)

    return edit


def note(sentences: int) -> str:
    return "\n" + "It is kept behind the door, where the sun does not reach it in the afternoon. " * sentences + "\n"


GEL, COLD, OIL = "creams/gel.md", "creams/cold.md", "materials/oil.md"
MORE = {
    f"materials/{key}.md": f"---\nname: {name}\nwater: 0 %\nkind: powder\n---\n{note(6)}"
    for key, name in (
        ("alum", "alum"), ("borax", "borax"), ("chalk", "chalk"), ("dry", "dry clay"), ("salt", "salt"),
        ("silica", "silica"), ("talc", "talc"), ("umber", "umber"), ("zinc", "zinc oxide"),
    )
}  # fmt: skip
FOOT = FILES[GEL].replace("C-02", "C-03").replace("Hand gel", "Foot gel")
YEAR: dict[str, Callable[[Path], None]] = {
    "an amount, and a material that grows": together(
        put(GEL, "gly: 5.5 %", "gly: 6.5 %"),
        put(GEL, "issue: 3", "issue: 4"),
        put("materials/salt.md", note(6), note(75)),
    ),
    "a density, and a material less": together(
        put(OIL, "0.92", "0.95"),
        put(COLD, "issue: 1", "issue: 2"),
        lambda book: (book / "formulas" / "materials" / "umber.md").unlink(),
    ),
    "new": lambda book: (book / "formulas" / "creams" / "foot.md").write_text(FOOT, encoding="utf-8") and None,
    "withdrawn": put(GEL, "status: approved", "status: withdrawn"),
    "renamed, and another code": together(
        put(COLD, "title: Cold cream", "title: Winter cream"),
        put(OIL, "almond oil", "zest oil"),
        put("creams/foot.md", "code: C-03", "code: C-00"),
    ),
    "chapters swapped": put("workroom.yaml", "[waters, creams]", "[creams, waters]"),
}


@pytest.fixture(scope="module")
def book(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Path]:
    folder = tmp_path_factory.mktemp("year")
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("XDG_CACHE_HOME", str(folder / "cache"))
        yield write(folder / "book", {**FILES, **MORE})


def whole(book: Path, folder: Path) -> list[OnPaper]:
    assert run("binder", "--book", book, "--out", folder / "out").exit_code == 0
    return on_paper((folder / "out" / "binder.pdf").read_bytes(), folder / "whole")


def test_a_year_of_changes_ends_each_time_in_the_binder_that_would_be_printed_whole(book: Path, tmp_path: Path) -> None:
    assert run("binder", "--book", book).exit_code == 0
    assert run("filed", "--book", book, "--today", "2026-01-01").exit_code == 0
    paper = on_paper((book / "site" / "binder.pdf").read_bytes(), tmp_path / "first")
    letters = {leaf.code for leaf in paper if leaf.code.startswith("materials-")}
    assert len(letters) > 2
    for month, (name, edit) in enumerate(YEAR.items(), 2):
        edit(book)
        result = run("binder", "--changes", "--book", book)
        assert result.exit_code == 0, (name, result.output)
        pdf = (book / "site" / "changes.pdf").read_bytes()
        printed = [leaf for leaf in on_paper(pdf, tmp_path / f"{month}") if leaf.code != "filing"]
        paper = carried_out(words_of(pdf, "filing"), printed, paper)
        fresh = whole(book, tmp_path / f"{month}")
        assert [(leaf.code, leaf.check) for leaf in paper] == [(leaf.code, leaf.check) for leaf in fresh], name
        assert not [
            leaf.code for leaf, new in zip(paper, fresh, strict=True) if differ(leaf.sides, new.sides, foot=True)
        ]
        if name.endswith("grows"):
            put_in = {leaf.code for leaf in printed if leaf.code.startswith("materials-")}
            assert put_in & letters == {"materials-s"}, "that sheet was parted, and no other printed"
            assert len(put_in) > 1
        assert run("filed", "--book", book, "--today", f"2026-{month:02}-01").exit_code == 0

    put("workroom.yaml", "paper: A5", "paper: A4")(book)
    last = (book / "site" / "changes.pdf").read_bytes()
    result = run("binder", "--changes", "--book", book)
    assert "The whole binder is to be printed anew" in result.stdout
    assert (book / "site" / "changes.pdf").read_bytes() == last, "it is on record, and nothing came in its place"
    assert run("binder", "--book", book).exit_code == 0
    assert run("filed", "--whole", "--book", book, "--today", "2026-12-01").exit_code == 0
    assert "Nothing to print" in run("binder", "--changes", "--book", book).stdout
    paper = on_paper((book / "site" / "binder.pdf").read_bytes(), tmp_path / "last")
    assert paper == whole(book, tmp_path / "anew")
