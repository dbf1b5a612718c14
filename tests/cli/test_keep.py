"""A trial becomes the next issue of its base: what it changed and nothing else, and neither file is lost."""

from __future__ import annotations

import json
import os
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from bookgen.pipeline import check_book
from bookgen.source import writing
from tests.books_of_text import write_book

from .test_new import files_of, run

BASE = """---
# kept as it is
code: S-02
title:   Splash
status: approved
use: intermediate
issue: 3    # the third
ingredients:
  A, warm to 40 °C:
    water: to 100 g   # boiled
    gly: 4 %, humectant   # from the tin
  B:
    a: {amount: 1 %, because: thick on purpose}
    # below it stands the last
    b: 2 %
pH: 4.5 to 5.5
changes:
  3, 2026-03-02: buffered
  2, 2004: first written down
---

Some *words*.

## Method

1. Weigh [water](amount:water), [gly](amount:gly), [a](amount:a) and [b](amount:b).

## Notes

Of the base.
"""
TRIAL = "---\ncode: T-01\ntitle: Less sticky\nbased on: S-02   # the splash\ningredients:\n{lines}{more}---\n{body}"
NOTES = "\n## Notes\n\nSummer of 2004: too greasy.\n"
PATH, OWN, KEPT = "formulas/s.md", "formulas/t.md", "formulas/earlier/S-02-issue-3.md"
ENTRY = "  3, 2026-03-02: buffered"


def a_book(root: Path, lines: str, more: str = "", body: str = NOTES, base: str = BASE) -> Path:
    trial = TRIAL.format(lines="".join(f"  {line}\n" for line in lines.split("; ")), more=more, body=body)
    return write_book(root, {"s": base, "t": trial})


def keep(book: Path, code: str = "T-01", *words: str):
    return run("keep", code, *words, "--book", book, "--today", "2026-11-30")


def next_of(text: str, entry: str) -> str:
    """Return the base with its number counted up and the entry on top."""
    return text.replace("issue: 3 ", "issue: 4 ").replace(ENTRY, f"  4, 2026-11-30: as tried in T-01, {entry}\n{ENTRY}")


@pytest.mark.parametrize(
    ("lines", "edits", "entry"),
    [
        ("gly: 6 %", [("gly: 4 %,", "gly: 6 %,")], "gly 6 %"),
        ("gly: 6 %, sweet", [("gly: 4 %, humectant", "gly: 6 %, sweet")], "gly 6 %"),
        ("gly: out", [("    gly: 4 %, humectant   # from the tin\n", "")], "gly out"),
        ("c: instead of gly", [("gly: 4 %", "c: 4 %")], "c instead of gly"),
        ("c: 3 % instead of gly, mild", [("gly: 4 %, humectant", "c: 3 %, mild")], "c 3 % instead of gly"),
        ("c: 1 %", [("    b: 2 %\n", "    b: 2 %\n    c: 1 %\n")], "c 1 %"),
        ("A:;     c: 1 %", [("the tin\n", "the tin\n    c: 1 %\n")], "c 1 %"),
        ("C, cold:;     c: 1 %   # new", [("    b: 2 %\n", "    b: 2 %\n  C, cold:\n    c: 1 %   # new\n")], "c 1 %"),
        ("a: 2 %", [("    a: {amount: 1 %, because: thick on purpose}\n", "    a:\n      amount: 2 %\n")], "a 2 %"),
        ("b: {amount: 3 %, note: slowly}",
         [("    b: 2 %\n", "    b:\n      amount: 3 %\n      note: slowly\n")], "b 3 %"),
        ("a: out; b: out", [(BASE[BASE.index("  B:") : BASE.index("pH:")], "")], "a out and b out"),
    ],
)  # fmt: skip
def test_the_base_has_the_lines_of_the_trial_and_no_other_byte(tmp_path, lines, edits, entry):
    body = "## Method\n\n1. Weigh all.\n" + NOTES if "out" in lines or "instead" in lines else NOTES
    wanted = BASE
    for before, after in edits:
        assert before in wanted
        wanted = wanted.replace(before, after)
    if body is not NOTES:
        wanted = wanted.replace(
            "1. Weigh [water](amount:water), [gly](amount:gly), [a](amount:a) and [b](amount:b).", "1. Weigh all."
        )
    book = a_book(tmp_path, lines.replace(";     ", ";   "), body=body)
    done = keep(book)
    assert (done.exit_code, done.stderr) == (0, "")
    assert (book / PATH).read_text() == next_of(wanted, entry)
    assert (book / KEPT).read_text() == BASE
    assert f"Begun: issue 4 in {book / PATH}: as tried in T-01, {entry}." in done.stdout


def test_the_trial_stays_as_it_was_tried_with_its_notes(tmp_path):
    book = a_book(tmp_path, "gly: 6 %; b: out", body=f"## Method\n\n1. Weigh [gly](amount:gly).\n{NOTES}")
    before = (book / OWN).read_text()
    was = check_book(book).book.formulas["t-01"]
    done = keep(book)
    assert f"Withdrawn: {book / OWN}; what is under Notes stays there." in done.stdout
    assert (book / OWN).read_text() == before.replace(
        "on: S-02   # the splash\n", "on: S-02@3   # the splash\nkept as: S-02, issue 4\nstatus: withdrawn\n"
    )
    now = check_book(book).book.formulas["t-01"]
    assert now.ingredients == was.ingredients
    assert "Notes" in [section.title for section in now.body.sections]
    again = keep(book)
    assert again.exit_code == 2
    assert "T-01 was kept already, as issue 4 of S-02." in again.stderr


def test_figures_and_sections_of_the_trial_are_taken_over(tmp_path):
    more = "status: trial  # still\npH: 5\ndensity: 1.01\npreserved by:\n  what: sugar\n  because: so much\n"
    body = "## Cautions\n\nNot for the eyes.\n" + NOTES
    book = a_book(tmp_path, "gly: 6 %", more, body, BASE.replace("\n", "\r\n"))
    keep(book, "T-01", "softer: much")
    wanted = next_of(BASE, "x").replace("as tried in T-01, x", '"as tried in T-01, softer: much"')
    wanted = wanted.replace("gly: 4", "gly: 6").replace(
        "pH: 4.5 to 5.5\n", "density: 1.01\npH: 5\npreserved by:\n  what: sugar\n  because: so much\n"
    )  # fmt: skip
    wanted += "\n## Cautions\n\nNot for the eyes.\n"
    assert (book / PATH).read_bytes() == wanted.replace("\n", "\r\n").encode()
    assert "kept as: S-02, issue 4\n" in (book / OWN).read_text()
    assert "status: withdrawn  # still\n" in (book / OWN).read_text()


GIVEN = {"gly": 4, "a": 1, "b": 2}
CHANGES = st.fixed_dictionaries(
    {},
    optional={
        **{name: st.one_of(st.integers(1, 9), st.just("out")) for name in GIVEN},
        "c": st.integers(1, 9),
        "d": st.just("instead of b"),
    },
).filter(lambda changes: changes and not {"b", "d"} <= changes.keys())


@given(CHANGES)
@settings(max_examples=10, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_compared_with_the_issue_before_it_shows_exactly_what_the_trial_changed(tmp_path_factory, changes):
    lines = [f"{name}: {much} %" if isinstance(much, int) else f"{name}: {much}" for name, much in changes.items()]
    book = a_book(tmp_path_factory.mktemp("kept"), "; ".join(lines), body="## Method\n\n1. Weigh all.\n")

    def compared(first: str, second: str) -> dict[str, object]:
        done = json.loads(run("compare", first, second, "--json", "--book", book).stdout)
        return {key: done[key] for key in ("lines", "carried", "steps")}

    tried = compared("S-02", "T-01")
    done = keep(book)
    assert done.exit_code == 0, done.stderr
    assert compared("S-02@3", "S-02") == tried
    assert [line for line in compared("T-01", "S-02")["lines"] if line["difference"] != "0"] == []
    wanted = dict(GIVEN)
    for name, much in changes.items():
        if much == "out":
            del wanted[name]
        else:
            wanted[name] = much if isinstance(much, int) else wanted.pop("b")
    by = {name: wanted.get(name, 0) - GIVEN.get(name, 0) for name in {*wanted, *GIVEN}}
    by["water"] = -sum(by.values())
    found = {line["name"]: line["difference"] for line in tried["lines"] if line["difference"] != "0"}
    assert found == {name: str(much) for name, much in by.items() if much}


@pytest.mark.parametrize(
    ("code", "change", "told"),
    [
        ("S-02", [], "S-02 is no trial, as it is based on no formula."),
        ("gly", [], "gly is a material, not a formula."),
        ("T-02", [], "T-02 is based on T-01, which is a trial itself. Write all lines that differ from S-02"),
        ("T-01", [("t", "gly: 6 %", "glx: out")], "T-01 has an error, or its base has: put that right first"),
        ("T-01", [("s", "gly: 4 %", "gly: 4 x")], "T-01 has an error, or its base has: put that right first"),
        ("T-01", [("t", "on: S-02 ", "on: S-09 ")], "T-01 has an error, or its base has: put that right first"),
        ("T-01", [("t", "on: S-02 ", "on: S-02@2 ")],
         "T-01 is based on issue 2 of S-02, which is at issue 3 now: what changed since would be lost."),
        ("T-01", [("s", "pH:", "preserved by: {what: sugar, because: so much}\npH:")],
         "S-02 says what preserves it, and that was said of other lines."),
        ("T-01", [("t", "gly: 6 %", "gly: 4 %"), ("t", "## Method\n\n1. Weigh all.\n", "")],
         "T-01 differs from S-02 in nothing that could be kept."),
        ("T-01", [("s", "2026-03-02", "2027-03-02")], "Issue 3 of S-02 is of 2027-03-02, later than 2026-11-30"),
        ("T-01", [("s", "{amount: 1 %, because: thick on purpose}", "{amount: 1 %}  # why"), ("t", "gly: 6", "a: 6")],
         "What T-01 changes cannot be set into formulas/s.md surely, so nothing was written."),
        ("T-01", [("u", "on: T-01", "on: S-02"), ("u", "b: 3 %", "b: out"), ("t", "gly: 6 %", "b: out")],
         "With T-01 kept there would be an error in formulas/u.md: "),
    ],
)  # fmt: skip
def test_where_something_would_be_lost_nothing_is_written(tmp_path, code, change, told):
    book = a_book(tmp_path, "gly: 6 %", body="## Method\n\n1. Weigh all.\n")
    (book / "formulas" / "u.md").write_text(
        TRIAL.format(lines="  b: 3 %\n", more="", body="## Method\n\n1. All.\n").replace("T-01", "T-02")
        .replace("on: S-02", "on: T-01")
    )  # fmt: skip
    (book / "formulas" / "earlier").mkdir()
    (book / "formulas" / "earlier" / "S-02-issue-2.md").write_text(BASE.replace("issue: 3", "issue: 2"))
    for name, before, after in change:
        path = book / "formulas" / f"{name}.md"
        assert before in path.read_text()
        path.write_text(path.read_text().replace(before, after, 1))
    before = files_of(book)
    done = keep(book, code)
    assert done.exit_code == 2
    assert told in " ".join(done.stderr.split())
    assert files_of(book) == before


def test_other_trials_follow_and_are_named(tmp_path):
    book = a_book(tmp_path, "gly: 6 %")
    (book / "formulas" / "u.md").write_text((book / OWN).read_text().replace("T-01", "T-02").replace("6 %", "5 %"))
    assert "T-02 follows S-02 to issue 4: look whether that is meant." in keep(book).stdout


def test_a_trial_of_the_trial_is_named_and_goes_on_from_what_was_kept(tmp_path):
    book = a_book(tmp_path, "gly: 6 %")
    other = book / "formulas" / "u.md"
    other.write_text(
        (book / OWN).read_text().replace("T-01", "T-02").replace("S-02 ", "T-01 ").replace("gly: 6", "b: 3")
    )
    said = "T-02 is based on T-01, which is withdrawn now: to go on from S-02, write `based on: S-02` there."
    assert said in keep(book).stdout
    declined = "T-02 is based on T-01, which was kept as issue 4 of S-02. Write `based on: S-02` in T-02, then keep it."
    assert declined in " ".join(keep(book, "T-02").stderr.split())
    other.write_text(other.read_text().replace("based on: T-01", "based on: S-02"))
    assert keep(book, "T-02").exit_code == 0
    assert ("gly: 6 %" in (book / PATH).read_text(), "b: 3 %" in (book / PATH).read_text()) == (True, True)


@pytest.mark.parametrize(("made", "told"), [("2026-03-01", True), ("2026-03-02", False)])
def test_a_trial_that_was_made_of_an_issue_before_is_told(tmp_path, made, told):
    book = a_book(tmp_path, "gly: 6 %")
    (book / "formulas" / "batches").mkdir()
    (book / "formulas" / "batches" / f"T-01-{made}.md").write_text(
        f"---\nbatch: T-01-{made}\nof: T-01, issue 1\nmade: {made}\nobtain: 100 g\n---\n"
    )
    said = f"T-01 was made last on {made}, before S-02 came to issue 3: what was tried is not quite what is kept."
    assert (said in keep(book).stdout) is told
    assert not check_book(book).has_errors


def test_a_run_killed_in_the_middle_is_brought_to_its_end(tmp_path):
    book = a_book(tmp_path, "gly: 6 %")
    child = os.fork()
    if not child:
        replace, calls = os.replace, []

        def killed(*paths):
            calls.append(paths)
            if len(calls) == 2:
                os._exit(9)
            replace(*paths)

        writing.os.replace = killed
        keep(book)
        os._exit(0)
    assert os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]) == 9
    assert not check_book(book).has_errors
    assert (book / KEPT).read_text() == BASE
    assert (book / PATH).read_text() == next_of(BASE.replace("gly: 4", "gly: 6"), "gly 6 %")
    assert "kept as: S-02, issue 4" in (book / OWN).read_text()
    assert [path.name for path in (book / "formulas").iterdir() if path.name.startswith(".")] == []


def test_what_an_ended_run_of_issue_left_is_gone_on_from_and_another_text_is_left(tmp_path):
    book = a_book(tmp_path, "gly: 6 %")
    (book / KEPT).parent.mkdir()
    (book / KEPT).write_text(BASE.replace("words", "other words"))
    before = files_of(book)
    done = keep(book)
    assert done.exit_code == 3
    assert f"{KEPT} is there already and holds something else" in done.stderr
    assert files_of(book) == before
    (book / KEPT).write_text(BASE)
    assert keep(book).exit_code == 0
