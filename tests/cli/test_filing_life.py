"""A life with the binder: whatever was edited, printed and filed, on record is what was printed and filed last."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest
import yaml
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from bookgen.press.render import Press
from tests.books_of_text import formula
from tests.pages.small_binder import FILES, listed, run, write

from .quick_press import print_quickly

LATER = "2026-12-01"
GEL = "creams/gel.md"


@pytest.fixture(autouse=True)
def quick(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(Press, "print", print_quickly)


EDITS = {
    "word": lambda book, n: rewrite(book, GEL, "slowly", f"slowly, {n} times"),
    "amount": lambda book, n: rewrite(book, GEL, "gly: 5.5 %", f"gly: {n % 9 + 1}.5 %"),
    "material": lambda book, n: rewrite(book, "materials/oil.md", "0.92 g/mL", f"0.9{n % 9} g/mL"),
    "new": lambda book, n: (book / "formulas" / "creams" / f"n{n}.md").write_text(formula(f"N-{n}", "water: 100 g")),
    "gone": lambda book, n: [one.unlink() for one in sorted((book / "formulas" / "creams").glob("n*.md"))[:1]],
    "withdrawn": lambda book, n: rewrite(book, "waters/rose.md", "status: approved", "status: withdrawn"),
    "order": lambda book, n: rewrite(book, "workroom.yaml", "[waters, creams]", "[creams, waters]"),
    "look": lambda book, n: rewrite(book, "workroom.yaml", "keeper:", "punch marks: yes\nkeeper:"),
    "title": lambda book, n: rewrite(book, "workroom.yaml", "The quick book", f"The quick book {n}"),
}
COMMANDS = ("whole", "changes", "appearance", "publish", "site", "no pages", "filed", "filed whole", "filed first")


def rewrite(book: Path, name: str, old: str, new: str) -> None:
    """Put the file back as it was first, or write it with the edit: whichever it is not."""
    path = book / "formulas" / name
    text = FILES[name].replace(old, new)
    path.write_text(text if path.read_text(encoding="utf-8") != text else FILES[name], encoding="utf-8")


@settings(max_examples=8, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(steps=st.lists(st.sampled_from((*EDITS, *COMMANDS, "filed", "changes", "changes")), min_size=4, max_size=14))
def test_the_record_is_always_what_was_printed_and_said_to_be_filed(tmp_path_factory, steps):
    """`filed` takes the only printed thing that may be meant, and asks where there are several; nothing is lost."""
    folder = tmp_path_factory.mktemp("life")
    book = write(folder / "book")
    site, kept, fine = book / "site", None, (0, 1)  # an ingredient that is withdrawn is an error of the book
    printed: list[object] = []
    copies: list[Path] = []

    def filed(*arguments: object) -> int:
        return run("filed", *arguments, "--book", book, "--today", LATER).exit_code

    for number, step in enumerate(steps):
        if step in EDITS:
            EDITS[step](book, number)
        elif step == "no pages":
            shutil.rmtree(site, ignore_errors=True)
        elif step == "filed first":
            if copies:  # whatever became of the PDF: a keeper has a copy of what was printed first
                assert filed(copies[0]) == 0
                kept, printed, copies = printed[0], [], []
        elif step == "filed whole" or (step == "filed" and kept is None):
            path = site / "binder.pdf"
            whole = listed(path.read_bytes())["leaves"] if path.exists() else None
            several = any(one != whole for one in printed) and whole != kept
            assert filed(*(["--whole"] if "whole" in step else [])) == (2 if whole is None or several else 0)
            if whole is not None and not several:
                printed, copies = (printed, copies) if whole == kept else ([], [])
                kept = whole
        elif step == "filed":
            path = site / "changes.pdf"
            last = listed(path.read_bytes())["leaves"] if path.exists() else None
            assert filed() == (0 if len(printed) == 1 or (not printed and last == kept) else 2)
            if len(printed) == 1:
                kept, printed, copies = printed[0], [], []
        else:
            arguments = {
                "whole": ["binder"],
                "changes": ["binder", "--changes"],
                "appearance": ["binder", "--changes", "--appearance"],
            }.get(step, [step])
            result = run(*arguments, "--book", book)
            assert result.exit_code == 2 if "--changes" in arguments and kept is None else result.exit_code in fine
            if "--changes" in arguments and "changes.pdf" in result.stdout:
                leaves = listed((site / "changes.pdf").read_bytes())["leaves"]
                if leaves not in printed:
                    printed.append(leaves)
                    copies.append(Path(shutil.copy(site / "changes.pdf", folder / f"{number}.pdf")))
        path = book / "formulas" / "filed.yaml"
        on_record = yaml.safe_load(path.read_text(encoding="utf-8"))["leaves"] if path.exists() else None
        assert on_record == kept
