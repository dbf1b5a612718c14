"""What belongs to the book and cannot be read stops publishing: it is never printed or recorded as withdrawn.

Rights are those of a user without special ones, in this process; leaves are printed by a stand-in for the engine.
"""

from __future__ import annotations

import os
import shutil
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from bookgen.pipeline import check_again, check_book
from bookgen.press.render import Press
from bookgen.source import Memory
from bookgen.source.front import LARGEST
from tests.pages.small_binder import FILES, run, write
from tests.plain_user import without_rights

from .quick_press import print_quickly

ROSE = "waters/rose.md"


@pytest.fixture(scope="module")
def model(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A book whose binder was printed and filed; every command was used on it once."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(Press, "print", print_quickly)
        book = write(tmp_path_factory.mktemp("model") / "book")
        assert run("publish", "--book", book).exit_code == 0
        assert run("filed", "--book", book, "--today", "2026-11-25").exit_code == 0
        kept = (book / "formulas" / ROSE).read_text(encoding="utf-8")
        (book / "formulas" / ROSE).write_text(kept.replace("code: W-01", "code: W 1"), encoding="utf-8")
        run("check", "--book", book)
        run("binder", "--changes", "--book", book)
        (book / "formulas" / ROSE).write_text(kept, encoding="utf-8")
        run("publish", "--book", book)
        run("weigh", "W-01", "--book", book)
        run("add", "--missing", "--book", book)
    return book


@pytest.fixture
def filed(model: Path, open_ground: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Path]:
    """The same of a user without special rights, who runs what follows."""
    monkeypatch.setattr(Press, "print", print_quickly)
    monkeypatch.setenv("XDG_CACHE_HOME", str(open_ground / "cache"))
    book = open_ground / "book"
    shutil.copytree(model, book)
    with without_rights(open_ground):
        yield book


def shut_folder(top: Path) -> None:
    (top / "waters").chmod(0)


def folder_without_entry(top: Path) -> None:
    (top / "waters").chmod(0o600)


def shut_file(top: Path) -> None:
    (top / ROSE).chmod(0)


def dead_link(top: Path) -> None:
    (top / ROSE).rename(top / "waters" / "kept.txt")
    (top / ROSE).symlink_to("nowhere.md")


def looping_link(top: Path) -> None:
    (top / ROSE).unlink()
    (top / ROSE).symlink_to("rose.md")


def link_out(top: Path) -> None:
    (top / ROSE).rename(top.parent.parent / "rose.md")
    (top / ROSE).symlink_to(top.parent.parent / "rose.md")


def too_long(top: Path) -> None:
    with open(top / ROSE, "a", encoding="utf-8") as file:
        file.write("word " * (LARGEST // 5))


def other_ending(top: Path) -> None:
    (top / ROSE).rename(top / "waters" / "rose.MD")


def long_ending(top: Path) -> None:
    (top / ROSE).rename(top / "waters" / "rose.markdown")


def linked_chapter(top: Path) -> None:
    (top / "waters").rename(top.parent / "waters")
    (top / "waters").symlink_to("../waters")


def pipe(top: Path) -> None:
    (top / ROSE).unlink()
    os.mkfifo(top / ROSE)


def no_listing(top: Path) -> None:
    top.chmod(0o300)


def other_record(top: Path) -> None:
    (top / "filed.yaml").rename(top / "filed.yml")


def other_workroom(top: Path) -> None:
    (top / "workroom.yaml").rename(top / "Workroom.yaml")


@pytest.mark.parametrize(
    ("spoil", "path", "told"),
    [
        (shut_folder, "formulas/waters", "The folder cannot be opened: Permission denied."),
        (folder_without_entry, f"formulas/{ROSE}", "The file cannot be opened: Permission denied."),
        (shut_file, f"formulas/{ROSE}", "The file cannot be opened: Permission denied."),
        (dead_link, f"formulas/{ROSE}", "The file is a link that leads nowhere: put the file itself here."),
        (looping_link, f"formulas/{ROSE}", "The file is a link that leads back to itself: put the file itself here."),
        (link_out, f"formulas/{ROSE}", "The file is a link that leads out of the book: put the file itself here."),
        (too_long, f"formulas/{ROSE}", "The file is 128 kB long; more than 128 kB is not read."),
        (other_ending, "formulas/waters/rose.MD", "The file is not read under this name: call it rose.md."),
        (long_ending, "formulas/waters/rose.markdown", "The file is not read under this name: call it rose.md."),
        (linked_chapter, "formulas/waters", "The folder is a link and is not read: put the folder itself here."),
        (pipe, f"formulas/{ROSE}", "This is not an ordinary file: put a file here, or rename it."),
        (no_listing, "formulas", "The folder cannot be opened: Permission denied."),
        (other_workroom, "formulas/Workroom.yaml", "The file is not read under this name: call it workroom.yaml."),
    ],
    ids=lambda one: one.__name__ if callable(one) else "",
)
def test_what_cannot_be_read_stops_publishing_and_is_named(filed, spoil: Callable[[Path], None], path, told):
    spoil(filed / "formulas")
    record = (filed / "formulas" / "filed.yaml").read_bytes()
    pages = sorted(one.name for one in (filed / "site" / "formulas").iterdir())
    result = run("check", "--book", filed)
    assert result.exit_code == 1
    assert f"{path}: {told}" in " ".join(result.stdout.split())
    assert "no file yet" not in result.stdout, "nobody knows"
    assert "no formula lies in the chapter" not in result.stdout
    for command in (["binder", "--changes"], ["binder"], ["site"]):
        result = run(*command, "--book", filed)
        assert (result.exit_code, result.stdout) == (1, "")
        told_last = " ".join(result.stderr.split()).rpartition("Nothing is ")[2]
        assert told_last in (
            f"printed: {path} cannot be read; put that right first.",
            f"published: {path} cannot be read; put that right first.",
        )
    assert sorted(one.name for one in (filed / "site" / "formulas").iterdir()) == pages
    assert run("filed", "--book", filed).exit_code == 2
    assert (filed / "formulas" / "filed.yaml").read_bytes() == record


def test_several_that_cannot_be_read_are_listed_in_words(filed):
    for name in ("a", "b", "c"):
        (filed / "formulas" / f"{name}.MD").write_text("---\n", encoding="utf-8")
    stderr = " ".join(run("site", "--book", filed).stderr.split())
    listed = "formulas/a.MD, formulas/b.MD and formulas/c.MD cannot be read; put them right first."
    assert f"Nothing is published: {listed}" in stderr


@pytest.mark.parametrize("spoil", [no_listing, other_record], ids=lambda one: one.__name__)
def test_a_record_that_is_there_is_not_replaced_by_an_older_binder(filed, spoil):
    text = (filed / "formulas" / ROSE).read_text(encoding="utf-8")
    (filed / "formulas" / ROSE).write_text(text.replace("Stir", "Shake"), encoding="utf-8")
    assert run("binder", "--changes", "--book", filed).exit_code == 0
    assert run("filed", "--book", filed, "--today", "2026-11-26").exit_code == 0
    (filed / "site" / "changes.pdf").unlink()
    spoil(filed / "formulas")
    assert run("filed", "--book", filed).exit_code in (1, 2)
    (filed / "formulas").chmod(0o700)
    assert sum(one.name.startswith("filed.") for one in (filed / "formulas").iterdir()) == 1
    (left,) = (filed / "formulas").glob("filed.*")
    assert "filed: 2026-11-26" in left.read_text(encoding="utf-8")


@pytest.mark.parametrize("name", ["formulas/notes.txt", "themes/workroom/style/own.css"])
def test_a_reading_that_fails_is_called_so(filed, name):
    """Not the writing of the site, which was never begun."""
    path = filed / name
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text("", encoding="utf-8")
    path.chmod(0)
    before = sorted((filed / "site").rglob("*"))
    result = run("site", "--book", filed)
    assert (result.exit_code, result.stdout) == (3, "")
    assert result.stderr.splitlines()[-1] == f"Cannot read {path}: Permission denied."
    assert sorted((filed / "site").rglob("*")) == before


def test_a_book_that_nobody_may_enter_is_told(filed):
    filed.chmod(0)
    result = run("check", "--book", filed)
    assert result.exit_code == 2
    assert f"{filed / 'formulas'} cannot be opened: Permission denied." in " ".join(result.stderr.split())
    filed.chmod(0o700)


def test_at_the_bench_it_is_told_where_it_may_matter(filed):
    shut_folder(filed / "formulas")
    result = run("weigh", "W-01", "--book", filed)
    assert (result.exit_code, result.stdout) == (2, "")
    assert "W-01 is not a formula of this book. formulas/waters cannot be read." in " ".join(result.stderr.split())
    assert "formulas/waters" not in run("weigh", "C-02", "--book", filed).output, "it needs nothing from there"
    (filed / "formulas" / "materials" / "gly.md").chmod(0)
    result = run("weigh", "C-02", "--book", filed)
    told = " ".join(result.output.split())
    assert "formulas/materials/gly.md: The file cannot be opened: Permission denied." in told
    result = run("add", "--missing", "--book", filed)
    assert result.exit_code == 2
    told = " ".join(result.stderr.split())
    assert "cannot be read and may hold what is to be added: put that right first." in told


def test_reading_again_says_the_same_as_reading_afresh(tmp_path):
    """Whether an ingredient has no file is not known while something cannot be read, and known again afterwards."""
    text = FILES[ROSE].replace("gly: 2.5 %", "gly: 2.5 %\n  moonmilk: 1 %")
    book = write(tmp_path / "book", {**FILES, ROSE: text})
    memory, checked = Memory(), None
    said = []
    for name in ("waters/rose.md", "waters/extra.MD", "waters/rose.md"):
        if name.endswith("MD"):
            (book / "formulas" / name).write_text("---\n---\n", encoding="utf-8")
        else:
            (book / "formulas" / "waters" / "extra.MD").unlink(missing_ok=True)
        checked = check_again(book, memory, checked)
        assert checked.review.findings == check_book(book).review.findings
        said.append([one.rule for one in checked.review.findings if one.rule in ("no-file-yet", "wrong-file-name")])
    assert said == [["no-file-yet"], ["wrong-file-name"], ["no-file-yet"]]


@pytest.mark.parametrize(
    ("old", "new"),
    [("code: W-01", "code:\n  - W-01"), ("---\ncode", "code"), ("code: W-01\n", ""), ("title: R", "title: \xff")],
    ids=["a code that is no text", "no front matter", "no code", "not UTF-8"],
)
def test_a_leaf_whose_source_does_not_say_its_code_is_not_withdrawn(filed, old, new):
    path = filed / "formulas" / ROSE
    text = path.read_text(encoding="utf-8")
    assert old in text
    path.write_bytes(text.replace(old, new, 1).encode("latin-1"))
    result = run("binder", "--changes", "--book", filed)
    assert (result.exit_code, result.stdout) == (1, "")
    assert result.stderr.endswith(
        f"Nothing is printed: W-01 is in the binder and the code in formulas/{ROSE} cannot be read; put that right "
        "first.\n"
    )
    assert not (filed / "site" / "changes.pdf").exists()
    path.unlink()
    assert run("binder", "--changes", "--book", filed).exit_code in (0, 1)
    assert (filed / "site" / "changes.pdf").exists(), "what was deleted is withdrawn"
