"""Another name for a formula or a material: what follows, what stays, and what is refused."""

from __future__ import annotations

import os
from pathlib import Path

import pytest
from click.testing import CliRunner

from bookgen.cli import main
from bookgen.issuing import issues_kept
from bookgen.pipeline import check_book
from bookgen.renaming import rename
from bookgen.source import read_book
from bookgen.source.renaming import CannotRename

BASE = b"---\r\ncode: C-01   # the old code\r\ntitle: Base\r\nmakes: 100 g\r\n"
BASE += b"ingredients:\r\n  wax: 20 %\r\n  oil: to 100 g\r\n---\r\n"
USER = """---
code: S-02
title: Salve
ingredients:
  A:
    C-01: 40 %
  B:
    "C-01": 10 %
    oil: to 100 g
---
## Method

1. Melt [the base](amount:C-01@A*1/2) and [the rest](amount:C-01@A*rest); see
   [C-01](base.md) and [wax](materials/wax.md#x).
2. Add [it](amount:C-01@B) to C-01 and [the oil](amount:oil).

    [as code](amount:C-01)
"""
RECORD = """---
batch: C-01-2026-11-20
of: C-01, issue 1
made: 2026-11-20
obtain: 100 g
weighed:
  wax: 20 g
  oil: 80 g
came out: 99 g
---
"""


@pytest.fixture
def book(tmp_path) -> Path:
    files = {
        "base.md": BASE,
        "salve.md": USER.encode(),
        "batches/C-01-2026-11-20.md": RECORD.encode(),
        "materials/wax.md": b"---\nname: beeswax\nwater: 0 %\n---\n",
        "materials/oil.md": b"---\nname: oil\nwater: 0 %\n---\n",
    }
    for path, content in files.items():
        file = tmp_path / "formulas" / path
        file.parent.mkdir(parents=True, exist_ok=True)
        file.write_bytes(content)
    return tmp_path


def held(book: Path) -> dict[str, bytes]:
    return {str(path.relative_to(book)): path.read_bytes() for path in book.rglob("*") if path.is_file()}


def run(book: Path, *words: str):
    return CliRunner().invoke(main, [*words, "--book", str(book)])


def test_lines_and_links_follow_and_the_rest_stays(book):
    before = held(book)
    assert set(rename(book, "c-01", "C-10").written) == {"formulas/base.md", "formulas/salve.md"}
    after = held(book)
    assert after["formulas/base.md"] == BASE.replace(b"C-01   # the old code", b"C-10   # the old code").replace(
        b"title", b"formerly: [C-01]\r\ntitle"
    )
    wanted = before["formulas/salve.md"].replace(b"amount:C-01", b"amount:C-10").replace(b"C-01: ", b"C-10: ")
    wanted = wanted.replace(b'"C-01"', b'"C-10"').replace(b"[as code](amount:C-10)", b"[as code](amount:C-01)")
    assert after["formulas/salve.md"] == wanted
    same = set(before) - {"formulas/base.md", "formulas/salve.md"}
    assert {path: after[path] for path in same} == {path: before[path] for path in same}
    assert set(after) == set(before)


def test_the_jar_with_the_old_number_is_found(book):
    rename(book, "C-01", "C-10")
    checked = check_book(book)
    record = checked.book.batches["c-01-2026-11-20"]
    assert checked.book.key_made(record) == "c-10"
    weighed = run(book, "weigh", "C-01")
    assert weighed.exit_code == 0
    assert "C-01 is C-10 now." in weighed.output
    assert run(book, "trace", "C-01-2026-11-20").exit_code == 0


def test_an_issue_kept_under_the_old_code_is_found(book):
    kept = book / "formulas" / "earlier" / "C-01-issue-1.md"
    kept.parent.mkdir()
    kept.write_bytes(BASE.replace(b"title", b"issue: 1\r\ntitle"))
    (book / "formulas" / "base.md").write_bytes(BASE.replace(b"title", b"issue: 2\r\ntitle"))
    rename(book, "C-01", "C-10")
    assert [issue.issue for issue in issues_kept(check_book(book).book, "c-10")] == [1]
    assert kept.read_bytes() == BASE.replace(b"title", b"issue: 1\r\ntitle")


@pytest.mark.parametrize(("name", "new"), [("C-01", "C-10"), ("wax", "beeswax-white"), ("S-02", "S-3")])
def test_there_and_back_is_the_same_bytes(book, name, new):
    before = held(book)
    rename(book, name, new)
    assert held(book) != before
    rename(book, new, name)
    assert held(book) == before


def test_a_material_takes_its_file_and_the_links_to_it_along(book):
    done = rename(book, "wax", "beeswax-white")
    assert done.gone == "formulas/materials/wax.md"
    after = held(book)
    assert after["formulas/materials/beeswax-white.md"] == b"---\nformerly: [wax]\nname: beeswax\nwater: 0 %\n---\n"
    assert b"[wax](materials/beeswax-white.md#x)" in after["formulas/salve.md"]
    assert b"  beeswax-white: 20 %\r\n" in after["formulas/base.md"]
    assert b"wax: 20 g" in after["formulas/batches/C-01-2026-11-20.md"]


def test_a_name_that_a_record_calls_stays_among_the_former_ones_on_the_way_back(book):
    rename(book, "C-01", "C-10")
    made = book / "formulas" / "batches" / "C-10-2026-11-28.md"
    made.write_text(RECORD.replace("C-01", "C-10").replace("11-20", "11-28"))
    rename(book, "C-10", "C-01")
    assert b"formerly: [C-10]\r\n" in (book / "formulas" / "base.md").read_bytes()


@pytest.mark.parametrize(
    ("name", "new", "told"),
    [
        ("C-02", "C-10", "Nothing is called C-02."),
        ("C-01", "S-02", "S-02 is taken: it is the name of formulas/salve.md."),
        ("C-01", "Beeswax", "Beeswax is taken: it is the name of formulas/materials/wax.md."),
        ("C-01", "A", "A single letter is the name of a phase: `A` cannot be that of anything else."),
        ("C-01", "c-01", "C-01 is its name already."),
    ],
)
def test_what_is_refused(book, name, new, told):
    before = held(book)
    with pytest.raises(CannotRename) as refused:
        rename(book, name, new)
    assert str(refused.value) == told
    assert held(book) == before


def test_a_file_that_cannot_be_read_to_its_end_is_mended_first(book):
    (book / "formulas" / "other.md").write_text("---\ncode: X-1\ntitle: X\ningredients:\n  C-01: 4 %\n  - oil\n---\n")
    before = held(book)
    with pytest.raises(CannotRename) as refused:
        rename(book, "C-01", "C-10")
    assert str(refused.value) == (
        "formulas/other.md cannot be read to its end, and C-01 may stand in it: mend it first."
    )
    assert held(book) == before


def test_a_run_that_is_ended_anywhere_leaves_the_old_or_the_new(book, monkeypatch):
    """Each step on the disk in turn is the last: after the next start the book is what it was, or what it is to be."""
    old = held(book)
    rename(book, "C-01", "C-10")
    new = held(book)
    rename(book, "C-10", "C-01")
    steps = {"mkdir": Path.mkdir, "fsync": os.fsync, "rename": os.rename, "replace": os.replace}
    seen = set()
    for last in range(40):
        count = 0

        def counted(step, last=last):
            def go(*given, **named):
                nonlocal count
                count += 1
                if count > last:
                    raise KeyboardInterrupt
                return step(*given, **named)

            return go

        with monkeypatch.context() as patch:
            patch.setattr(Path, "mkdir", counted(steps["mkdir"]))
            for name in ("fsync", "rename", "replace"):
                patch.setattr(os, name, counted(steps[name]))
            try:
                rename(book, "C-01", "C-10")
                ended = False
            except KeyboardInterrupt:
                ended = True
        check_book(book)
        standing = {path: content for path, content in held(book).items() if "/." not in path}
        assert standing in (old, new), last
        seen.add(standing == new)
        if standing == new:
            rename(book, "C-10", "C-01")
        if not ended:
            break
    assert not ended
    assert seen == {False, True}
    assert held(book) == old


def test_an_earlier_issue_keeps_every_byte_even_where_something_is_wrong_with_it(book):
    earlier = book / "formulas" / "earlier" / "S-02@1.md"
    earlier.parent.mkdir()
    earlier.write_text(USER.replace("title: Salve", "title: Salve\nissue: 1\nnonsense: 4"), encoding="utf-8")
    before = earlier.read_bytes()
    assert any(finding.place.path.startswith("formulas/earlier/") for finding in read_book(book).findings)
    rename(book, "wax", "white-wax")
    assert earlier.read_bytes() == before


def test_a_record_keeps_its_number_and_lines_and_a_link_in_its_remarks_follows(book):
    record = book / "formulas" / "batches" / "C-01-2026-11-20.md"
    record.write_text(RECORD + "\nSee [the wax](../materials/wax.md).\n", encoding="utf-8")
    rename(book, "wax", "white-wax")
    assert record.read_text(encoding="utf-8") == RECORD + "\nSee [the wax](../materials/white-wax.md).\n"
