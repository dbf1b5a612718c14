"""A trial says which lines differ from its base; everything else is its base's and follows it."""

from __future__ import annotations

from dataclasses import replace

import pytest

from bookgen.model import Book, Status
from bookgen.reckon.figures import reckon
from bookgen.review import review
from bookgen.source import book_from
from bookgen.source.memory import Memory
from bookgen.source.renaming import renamed

BASE = """---
code: S-02
title: Splash
kind: cosmetic
status: draft
use: intermediate
ingredients:
  A, warm to 40 °C:
    water: to 100 g
    gly: 4 %, humectant
  B:
    gum: {amount: 1 %, because: thick on purpose}
pH: 4.5 to 5.5
---

## Method

1. Weigh [water](amount:water) and [gly](amount:gly).

## Notes

Of the base.
"""
HEAD = "---\ncode: T-01\ntitle: Trial\nbased on: S-02\ningredients:\n"
MATERIALS = {
    f"formulas/materials/{key}.md": f"---\nname: {name}\nalso: [{also}]\n---\n".encode()
    for key, name, also in (("water", "Water", "aqua"), ("gly", "Glycerol", "glycerine"), ("gum", "Gum", "gummi"))
}


def files(lines: str, base: str = BASE, more: str = "", body: str = "") -> dict[str, bytes]:
    trial = f"{HEAD}{lines}{more}---\n{body}"
    return {**MATERIALS, "formulas/s.md": base.encode(), "formulas/t.md": trial.encode()}


def book(lines: str, base: str = BASE, more: str = "", body: str = "") -> Book:
    return book_from(files(lines, base, more, body))


def told(of: Book) -> list[str]:
    return [str(finding) for finding in review(reckon(of)).findings if finding.severity == "error"]


def amounts(of: Book, key: str = "t-01") -> list[tuple[str, str, str, str]]:
    return [
        (phase.letter, line.material, getattr(line.amount, "text", "q.s."), line.function)
        for phase in of.formulas[key].ingredients
        for line in phase.lines
    ]


def test_only_the_line_that_differs_differs():
    read = book("  gly: 6 %\n")
    trial, base = read.formulas["t-01"], read.formulas["s-02"]
    assert amounts(read)[1] == ("A", "gly", "6 %", "humectant")
    assert trial.status is Status.TRIAL
    changed = base.lines[1]
    lines = tuple(replace(phase, lines=tuple(
        replace(line, amount=changed.amount) if line.material == "gly" else line for line in phase.lines
    )) for phase in trial.ingredients)  # fmt: skip
    same = {name: getattr(base, name) for name in ("code", "title", "status", "based_on", "path")}
    assert replace(trial, ingredients=lines, **same) == base
    assert (trial.lines[1].place.path, trial.lines[1].place.line) == ("formulas/t.md", 6)
    assert trial.lines[0].place.path == "formulas/s.md"
    assert told(read) == []


def test_fill_follows_what_differs():
    figures = reckon(book("  gly: 6 %\n  gum: out\n")).figures["t-01"]
    assert [line.grams for line in figures.amounts.lines] == [94, 6]


@pytest.mark.parametrize(
    ("lines", "wanted"),
    [
        ("  sorb: instead of gly\n", [("A", "water"), ("A", "sorb"), ("B", "gum")]),
        ("  sorb: 3 % instead of glycerine, sweet\n", [("A", "water"), ("A", "sorb"), ("B", "gum")]),
        ("  salt: 1 %\n", [("A", "water"), ("A", "gly"), ("B", "gum"), ("B", "salt")]),
        ("  A:\n    salt: 1 %\n", [("A", "water"), ("A", "gly"), ("A", "salt"), ("B", "gum")]),
        ("  C, cold:\n    salt: 1 %\n", [("A", "water"), ("A", "gly"), ("B", "gum"), ("C", "salt")]),
        ("  A:\n    gum: 1 %\n  B:\n    gum: out\n", [("A", "water"), ("A", "gly"), ("A", "gum")]),
    ],
)
def test_lines_come_in_where_they_are_written(lines, wanted):
    assert [found[:2] for found in amounts(book(lines))] == wanted


def test_instead_of_keeps_amount_and_function_unless_written():
    assert amounts(book("  sorb: instead of gly\n"))[1] == ("A", "sorb", "4 %", "humectant")
    assert amounts(book("  sorb: 3 % instead of gly, sweet\n"))[1] == ("A", "sorb", "3 %", "sweet")
    assert amounts(book("  sorb: {amount: instead of gly, note: from the tin}\n"))[1][2:] == ("4 %", "humectant")


def test_a_reason_goes_with_the_amount_it_was_given_for():
    assert book("  gum: 3 %\n").formulas["t-01"].lines[2].because == ""
    assert book("  gly: 3 %\n").formulas["t-01"].lines[2].because == "thick on purpose"


def test_own_text_stands_beside_the_base_method():
    read = book("  gly: 6 %\n", body="## Notes\n\nSummer of 2004: thicker.\n").formulas["t-01"].body
    assert [(section.title, section.place.path) for section in read.sections] == [
        ("Method", "formulas/s.md"),
        ("Notes", "formulas/t.md"),
    ]
    assert [link.material for link in read.amounts] == ["water", "gly"]
    own = book("  gly: 6 %\n", body="## Method\n\n1. Weigh [all](amount:gly).\n").formulas["t-01"].body
    assert [(link.material, link.place.path) for link in own.amounts] == [("gly", "formulas/t.md")]


def test_a_trial_of_a_trial_and_what_follows_the_base():
    second = HEAD.replace("T-01", "T-02").replace("S-02", "T-01") + "  gum: out\n---\n"
    every, memory = files("  gly: 6 %\n"), Memory()
    every["formulas/u.md"] = second.encode()
    read = book_from(every, memory=memory)
    assert [line[1:3] for line in amounts(read, "t-02")] == [("water", "to 100 g"), ("gly", "6 %")]
    every["formulas/s.md"] = BASE.replace("to 100 g", "to 200 g").encode()
    again = book_from(every, memory=memory)
    assert again == book_from(every)
    assert amounts(again, "t-02")[0][2] == "to 200 g"


@pytest.mark.parametrize(
    ("lines", "more", "wanted"),
    [
        ("  glx: out\n", "", "t.md:6:8: error: Trial, line 6: S-02 has no line glx; name one that it has. Did you"),
        ("  salt: instead of sorb\n", "", "t.md:6:9: error: Trial, line 6: S-02 has no line sorb; name one that it"),
        ("  gum: 2 %\n", "use: leave-on, face, adults\n", "in a trial `use` follows S-02; leave it out here."),
        ("  gly: out\n", "", "the method of S-02 names gly, which this trial has out; write a `## Method` of"),
    ],
)  # fmt: skip
def test_what_does_not_fit_the_base_is_one_finding(lines, more, wanted):
    found = told(book(lines, more=more))
    assert len(found) == 1
    assert wanted in found[0]


def test_a_base_that_is_gone_or_barred_and_a_circle():
    gone = files("  gly: 6 %\n")
    gone["formulas/t.md"] = gone["formulas/t.md"].replace(b"on: S-02", b"on: S-03")
    found = told(book_from(gone))
    assert len(found) == 1
    assert (
        "there is no formula S-03 to base a trial on; write the code of one that is here. Did you mean S-02?"
        in found[0]
    )
    gone["formulas/t.md"] = gone["formulas/t.md"].replace(b"on: S-03", b"on: T-01")
    found = told(book_from(gone))
    assert len(found) == 1
    assert "T-01 is based on itself; write the code of another formula." in found[0]
    gone["formulas/t.md"] = gone["formulas/t.md"].replace(b"on: T-01", b"on: T-02")
    gone["formulas/u.md"] = HEAD.replace("T-01", "T-02").replace("S-02", "T-01").encode() + b"  gum: out\n---\n"
    found = told(book_from(gone))
    assert len(found) == 1
    assert "T-01 and T-02 are based on one another in a circle; base one of them on a formula" in found[0]
    for wrong in (BASE.replace("4 %", "4 x"), BASE.replace("use:", "usex:"), BASE.replace("gum: {", "gumx: [")):
        barred = review(reckon(book("  gum: 2 %\n", base=wrong)))
        assert {finding.concerns for finding in barred.findings if finding.severity == "error"} == {"S-02"}
        assert barred.barred["t-01"].root == "S-02"
        assert str(barred.barred["t-01"].says) == "It is based on Splash (S-02), which has an error."


def test_a_line_that_departs_needs_a_base():
    found = told(book_from({**MATERIALS, "formulas/s.md": BASE.replace("4 %, humectant", "out").encode()}))
    assert len(found) == 1
    assert "gly is out or stands instead of another, but this formula is based on none" in found[0]


def test_a_line_in_two_phases_is_asked_for_by_its_phase():
    twice = BASE.replace("  B:\n", "  B:\n    gly: 1 %\n").replace("[gly](amount:gly)", "[gly](amount:gly@A)")
    found = told(book("  gly: 2 %\n", base=twice))
    assert len(found) == 1
    assert "S-02 has gly in the phases A and B; write this line below its phase." in found[0]
    assert amounts(book("  B:\n    gly: 2 %\n", base=twice))[2] == ("B", "gly", "2 %", "")


def test_what_keeps_the_base_is_said_anew():
    base = BASE.replace("pH:", "preserved by: {what: sugar, because: more than 65 %}\npH:")
    assert book("  gly: 3 %\n", base=base).formulas["t-01"].preserved_by is None


def test_a_new_name_is_written_in_a_trial_too():
    lines = "  gly: 6 %\n  sorb: 1 % instead of gum\n"
    read, contents = book(lines), files(lines)
    for name, new, wanted in (
        ("S-02", "S-03", "based on: S-03\n"), ("gum", "gumma", "instead of gumma\n"), ("gly", "gl", "  gl: 6 %\n"),
    ):  # fmt: skip
        changed = {change.path: change.after for change in renamed(read, contents, name, new)}
        assert wanted.encode() in changed["formulas/t.md"]
        assert len(changed["formulas/t.md"].splitlines()) == len(contents["formulas/t.md"].splitlines())


OLD = "formulas/earlier/S-02-issue-1.md"


def test_an_issue_of_a_formula_is_a_base_that_stays():
    every = files("  gum: out\n", base=BASE.replace("draft", "draft\nissue: 2"), body="## Notes\n\nThinner.\n")
    every["formulas/t.md"] = every["formulas/t.md"].replace(b"on: S-02", b"on: S-02@1")
    every[OLD] = BASE.replace("4 %, humectant", "5 %, humectant").encode()
    memory = Memory()
    read = book_from(every, memory=memory)
    assert told(read) == []
    assert [line[1:3] for line in amounts(read)] == [("water", "to 100 g"), ("gly", "5 %")]
    assert [section.title for section in read.formulas["t-01"].body.sections] == ["Method", "Notes"]
    # The number of the present issue means that one, as long as it is the present one.
    every["formulas/t.md"] = every["formulas/t.md"].replace(b"on: S-02@1", b"on: S-02@2")
    again = book_from(every, memory=memory)
    assert again == book_from(every)
    assert amounts(again)[1][2] == "4 %"
    every["formulas/t.md"] = every["formulas/t.md"].replace(b"on: S-02@2", b"on: S-02@7")
    found = told(book_from(every))
    assert len(found) == 1
    assert "issue 7 of S-02 is not kept, so nothing can be based on it; write `based on: S-02`." in found[0]


def test_an_earlier_issue_of_a_trial_has_its_base_and_the_method_of_it():
    every = files("  gum: out\n", more="issue: 2\n")
    every["formulas/earlier/T-01-issue-1.md"] = f"{HEAD}  gly: 6 %\n---\n".encode()
    old = book_from(every).earlier["t-01@1"]
    assert [line.material for line in old.lines] == ["water", "gly", "gum"]
    assert [section.title for section in old.body.sections] == ["Method", "Notes"]
    every["formulas/earlier/T-01-issue-1.md"] = f"{HEAD}  gly: 6 %\n---\n".replace("on: S-02", "on: T-01").encode()
    every["formulas/t.md"] = every["formulas/t.md"].replace(b"on: S-02", b"on: T-01@1")
    found = told(book_from(every))
    assert len(found) == 1
    assert "T-01 is based on itself; write the code of another formula." in found[0]


def test_a_new_name_is_written_where_an_issue_is_the_base():
    every = files("  gum: out\n")
    every["formulas/t.md"] = every["formulas/t.md"].replace(b"on: S-02", b"on: S-02@1")
    every[OLD] = BASE.encode()
    changed = {change.path: change.after for change in renamed(book_from(every), every, "S-02", "S-03")}
    assert b"based on: S-03@1\n" in changed["formulas/t.md"]
    after = book_from({**every, **changed})
    assert told(after) == []
    assert [line[1] for line in amounts(after)] == ["water", "gly"]
