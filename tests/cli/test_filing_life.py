"""A life with the binder: whatever was edited, printed and filed, on record is what was printed and filed last."""

from __future__ import annotations

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
COMMANDS = ("whole", "changes", "appearance", "publish", "site", "filed", "filed whole")


def rewrite(book: Path, name: str, old: str, new: str) -> None:
    """Put the file back as it was first, or write it with the edit: whichever it is not."""
    path = book / "formulas" / name
    text = FILES[name].replace(old, new)
    path.write_text(text if path.read_text(encoding="utf-8") != text else FILES[name], encoding="utf-8")


@settings(max_examples=8, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(steps=st.lists(st.sampled_from((*EDITS, *COMMANDS, "filed", "changes")), min_size=4, max_size=12))
def test_the_record_is_always_the_list_of_the_last_pdf_that_was_filed(tmp_path_factory, steps):
    book = write(tmp_path_factory.mktemp("life") / "book")
    site, kept, fine = book / "site", None, (0, 1)  # an ingredient that is withdrawn is an error of the book
    for number, step in enumerate(steps):
        if step in EDITS:
            EDITS[step](book, number)
        elif step.startswith("filed"):
            whole = step == "filed whole" or kept is None
            path = site / ("binder.pdf" if whole else "changes.pdf")
            printed = listed(path.read_bytes()) if path.exists() else None
            code = run("filed", *(["--whole"] if "whole" in step else []), "--book", book, "--today", LATER).exit_code
            assert code == (2 if printed is None else 0)
            kept = printed["leaves"] if printed is not None else kept
        else:
            arguments = {
                "whole": ["binder"],
                "changes": ["binder", "--changes"],
                "appearance": ["binder", "--changes", "--appearance"],
            }.get(step, [step])
            code = run(*arguments, "--book", book).exit_code
            assert code == 2 if "--changes" in arguments and kept is None else code in fine
        path = book / "formulas" / "filed.yaml"
        on_record = yaml.safe_load(path.read_text(encoding="utf-8"))["leaves"] if path.exists() else None
        assert on_record == kept
