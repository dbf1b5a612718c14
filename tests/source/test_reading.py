"""Reading a book from files in memory: it never raises, loses nothing, and says the same with either YAML parser."""

from __future__ import annotations

import pickle
from fractions import Fraction

import pytest
import yaml
from hypothesis import given, settings
from hypothesis import strategies as st

from bookgen.findings import Missing, Place, Places, Severity
from bookgen.model import (
    Book,
    DecimalSign,
    Fill,
    Formula,
    Holes,
    Mass,
    Material,
    Paper,
    Percent,
    Removal,
    StoragePlace,
)
from bookgen.source import book_from, tree
from tests.traps.test_traps import CASES, SHELF, expected

SPLASH = """\
---
code: S-02
title: Cornflower shaving splash
kind: cosmetic                     # cosmetic | medicine | scent | household
status: approved                   # draft | trial | approved | withdrawn
issue: 3
use: leave-on, face, adults
purpose: after-shave, cooling
makes: 100 g
ingredients:
  A, warm to 40 °C:
    W-01: 45 %, base
    glycerol-85: 4 %, humectant
    lactic-acid-80: 0.4 % as lactic acid, buffer
    talc: {amount: 15 g, removed: filtered}
  B, at room temperature:
    sodium-hydroxide-10: q.s. to pH 4.8 (about 1.6 g), buffer
    peppermint-oil:
      amount: 2 mL
      function: aroma
      left: at most 0.05 % v/v     # what stays in the product once the excess is filtered off
    purified-water: to 100 g
pH: 4.6 to 5.0
appearance: clear, faintly blue
hazards:
  - The lye burns the skin.
storage: refrigerator, amber glass, 14 days
changes:
  3, 2026-03-02: buffered; peppermint oil out
  2, 2025-11-20: glycerol 6 % to 4 %
---

## Method

1. Weigh [the cornflower water](amount:W-01) and warm it to 40 °C in a 250 mL beaker.
2. Add [half of the *glycerol*](amount:glycerol-85*1/2), stir for [five minutes](time:5min).
3. Add 4 % of glycerol 85 and the [rest](amount:glycerol-85*rest); see [the material](materials/glycerol-85.md#use).

## Cautions

<b>Not</b> for the eyes.
"""
GLYCEROL = "---\nname: Glycerol 85 %\nalso: glycerin, 1,2,3-propanetriol\nwater: 15 %\n---\n"


def read(text: str, path: str = "formulas/waters/splash.md") -> Book:
    return book_from({path: text.encode(), "formulas/materials/glycerol-85.md": GLYCEROL.encode()})


def splash() -> Formula:
    book = read(SPLASH, "formulas/splash.md")
    assert [str(one) for one in book.findings] == []
    return book.formulas["s-02"]


def test_every_key_is_read() -> None:
    formula = splash()
    assert (formula.code, formula.title, formula.issue) == ("S-02", "Cornflower shaving splash", 3)
    assert [(phase.letter, phase.instruction, phase.temperature_c) for phase in formula.ingredients] == [
        ("A", "warm to 40 °C", Fraction(40)),
        ("B", "at room temperature", None),
    ]
    lines = {line.material: line for line in formula.lines}
    assert lines["glycerol-85"].amount == Percent(share=Fraction(1, 25), text="4 %")
    assert lines["glycerol-85"].function == "humectant"
    assert lines["talc"].amount == Mass(grams=Fraction(15), text="15 g")
    assert lines["talc"].removed is Removal.FILTERED
    left = lines["peppermint-oil"].left
    assert left is not None
    assert left.at_most
    assert isinstance(lines["purified-water"].amount, Fill)
    assert formula.storage is not None
    assert formula.storage.place is StoragePlace.REFRIGERATOR
    assert formula.storage.container == "amber glass"
    assert formula.storage.period is not None
    assert formula.storage.period.days == 14
    assert [(change.issue, str(change.on)) for change in formula.changes] == [(3, "2026-03-02"), (2, "2025-11-20")]
    assert formula.hazards == ("The lye burns the skin.",)
    assert formula.readable
    assert formula.unread == ()


def test_places_are_a_mapping_as_any_other() -> None:
    at = {"code": (2, 7), "ingredients": (70_000, 3), "makes": (0, 130_000)}
    places = Places("formulas/a.md", at)
    whole = {key: Place(path="formulas/a.md", line=line, column=column) for key, (line, column) in at.items()}
    assert places == whole
    assert (list(places), len(places), {**places}) == (list(at), 3, whole)
    assert ("code" in places, "title" in places, places.get("title")) == (True, False, None)
    with pytest.raises(KeyError, match="title"):
        places["title"]
    assert not Places("formulas/a.md", {})
    assert eval(repr(places), {"Places": dict, "Place": Place}) == whole
    assert pickle.loads(pickle.dumps(places)) == places


def test_every_value_knows_its_place() -> None:
    formula = splash()
    lines = SPLASH.split("\n")
    for key, place in formula.places.items():
        line = lines[place.line - 1]
        if key in {"ingredients", "hazards", "changes"}:
            assert lines[place.line - 2].startswith(f"{key}:")
        else:
            assert line.startswith(f"{key}: ")
            assert place.column == len(key) + 3
    for one in formula.lines:
        assert lines[one.place.line - 1][one.place.column - 1 :].startswith(one.material)
        written = lines[one.amount_place.line - 1][one.amount_place.column - 1 :]
        assert isinstance(one.amount, Missing) or written.startswith(one.amount.text)
    for link in formula.body.amounts:
        assert lines[link.place.line - 1][link.place.column - 1] == "["


def test_the_body_is_taken_apart() -> None:
    body = splash().body
    assert [section.title for section in body.sections] == ["Method", "Cautions"]
    assert [(link.material, link.portion, link.rest, link.words) for link in body.amounts] == [
        ("W-01", None, False, "the cornflower water"),
        ("glycerol-85", Fraction(1, 2), False, "half of the glycerol"),
        ("glycerol-85", None, True, "rest"),
    ]
    assert [(link.seconds, link.words) for link in body.times] == [(300, "five minutes")]
    assert dict(body.page_links) == {"materials/glycerol-85.md#use": "glycerol-85"}
    (typed,) = body.typed
    assert (typed.quantity.text, typed.material) == ("4 %", "glycerol-85")
    assert SPLASH.split("\n")[typed.place.line - 1][typed.place.column - 1 :].startswith("4 % of glycerol 85")


def test_what_stands_on_the_first_line_under_the_front_matter_is_found_there() -> None:
    """What was looked for before it on that line does not move where an amount is found."""
    start = SPLASH.index("\n---\n", 4) + 5
    text = (
        SPLASH[:start] + "2 % of glycerol 85, see [this]( other.md), and 4 % of glycerol 85.\n## Method\n\n1. Pour.\n"
    )
    body = read(text).formulas["s-02"].body
    line = text[:start].count("\n") + 1
    assert [(typed.place.line, typed.place.column) for typed in body.typed] == [(line, 1), (line, 48)]
    assert [(section.place.line, section.place.column) for section in body.sections] == [(line, 0), (line + 1, 0)]


def test_a_material_is_read() -> None:
    material = read(SPLASH, "formulas/splash.md").find("Glycerol-85")
    assert isinstance(material, Material)
    assert material.also == ("glycerin", "1,2,3-propanetriol")


def test_a_mistake_hides_only_the_rest_of_its_front_matter() -> None:
    book = read(SPLASH.replace("pH: 4.6", 'pH: "4.6').replace("(time:5min)", "(time:soon)"))
    formula = book.formulas["s-02"]
    assert not formula.readable
    assert len(formula.lines) == 7
    assert [one.rule for one in book.findings] == ["unclosed-quote", "bad-time-link", "dead-link"]


def test_a_line_that_cannot_be_read_stays_in_the_formula() -> None:
    book = read(SPLASH.replace("4 %, humectant", "½ tsp, humectant"), "formulas/splash.md")
    (finding,) = book.findings
    line = book.formulas["s-02"].lines[1]
    assert isinstance(line.amount, Missing)
    assert line.amount.reported
    assert line.function == "humectant"
    assert line.amount.place == finding.place
    assert finding.concerns == "S-02"


def test_all_problems_are_found_in_one_run() -> None:
    text = SPLASH.replace("kind: cosmetic", "kind: cosmetics").replace("issue: 3", "issue: three")
    text = text.replace("45 %", "45 ‰").replace("4 %, hum", "4 oz, hum").replace("14 days", "14 dayz")
    assert len(read(text, "formulas/splash.md").findings) == 5


def test_two_with_one_name_are_reported_and_the_second_is_left_out() -> None:
    one, two = "---\ncode: A-1\ntitle: One\n---\n", "---\ncode: a-1\ntitle: Two\n---\n"
    book = book_from({"formulas/a.md": one.encode(), "formulas/b.md": two.encode()})
    (finding,) = [one for one in book.findings if one.rule == "duplicate-name"]
    assert str(finding.place) == "formulas/b.md:2:7"
    assert book.formulas["a-1"].title == "One"
    assert finding.concerns.casefold() == "a-1"


def test_codes_and_material_files_share_their_names() -> None:
    formula = "---\ncode: Glycerol-85\ntitle: One\ningredients:\n  x: to 1 g\n---\n"
    book = read(formula)
    (finding,) = book.findings
    assert (finding.rule, str(finding.place)) == ("duplicate-name", "formulas/waters/splash.md:2:7")


def test_the_workroom_decides_about_the_decimal_sign() -> None:
    files = {"formulas/workroom.yaml": b"decimal: comma\nbalances: [{name: a, readability: 0.100 g}]\n"}
    book = book_from({**files, "formulas/s.md": SPLASH.replace("100 g", "1.000 g").encode()})
    assert book.workroom.decimal is DecimalSign.COMMA
    assert [one.place.line for one in book.findings if one.rule == "ambiguous-number"] == [9, 22]


def test_in_a_comma_book_a_comma_is_the_decimal_sign_in_text_and_links_too() -> None:
    """What is typed beside an ingredient's name, and a duration."""
    text = (
        "---\ncode: S\ntitle: One\ningredients:\n  salt: 2,125 g\n---\n\nAdd 2,125 g of salt, [wait](time:1,500min).\n"
    )
    book = book_from({"formulas/workroom.yaml": b"decimal: comma\n", "formulas/s.md": text.encode()})
    body = book.formulas["s"].body
    assert [one.quantity.value for one in body.typed] == [Fraction(17, 8)]
    assert [one.seconds for one in body.times] == [90]
    assert book.findings == ()
    points = book_from({"formulas/s.md": text.encode()})
    assert [one.rule for one in points.findings] == ["ambiguous-number", "bad-time-link"]


def test_depth_is_refused_without_recursion() -> None:
    for deep in ("[" * 900 + "]" * 900, "{a: " * 900 + "}" * 900, "- " * 900 + "x"):
        book = read(SPLASH.replace("after-shave, cooling", f"\n  {deep}" if deep[0] == "-" else deep))
        assert [one.rule for one in book.findings if one.severity is Severity.ERROR] == ["nested-too-deep"]


def test_deep_markdown_is_refused_without_recursion() -> None:
    for deep in (">" * 900 + " x", "- " * 900 + "x", "[" * 900 + "]" * 900, "*" * 900, "![" * 900, "`" * 901):
        read(f"{SPLASH}\n{deep}\n")


def test_later_folders_are_no_formulas() -> None:
    assert read("no front matter", "formulas/procedures/1.md").findings == ()


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.name)
def test_the_slower_yaml_parser_finds_the_same(case: object, monkeypatch: pytest.MonkeyPatch) -> None:
    at = expected(case)["at"]  # type: ignore[arg-type]
    files = {at: (case / f"broken{at[at.rindex('.') :]}").read_bytes()}  # type: ignore[operator]
    fast = [(one.rule, one.place) for one in book_from(files).findings]
    monkeypatch.setattr(tree, "_LOADER", yaml.SafeLoader)
    assert [(one.rule, one.place) for one in book_from(files).findings] == fast


def test_the_slower_yaml_parser_reads_the_shelf_of_the_traps(monkeypatch: pytest.MonkeyPatch) -> None:
    fast = book_from(SHELF)
    monkeypatch.setattr(tree, "_LOADER", yaml.SafeLoader)
    assert book_from(SHELF) == fast


def check_nothing_is_lost(book: Book) -> None:
    for one in book.findings:
        assert one.message
        assert str(one).encode()
        assert one.place.path


@settings(deadline=None, max_examples=300)
@given(st.binary(max_size=300))
def test_no_bytes_make_reading_raise(content: bytes) -> None:
    for path in ("formulas/a.md", "formulas/materials/b.md", "formulas/workroom.yaml"):
        check_nothing_is_lost(book_from({path: content}))
        check_nothing_is_lost(book_from({path: b"---\n" + content + b"\n---\n" + content}))


PIECES = st.sampled_from(
    [*"\n\n\n  :-#,{}[]\"'&*!|>%@`\t\\()", ": ", "- ", "A:", "  ", "    ", "---\n", "code: ", "title: ", "makes: ",
     "1,000 g",
     "ingredients:\n", "5 %", "q.s.", "to 100 g", "amount: ", "left: ", "storage: ", "changes:\n", "2, 2026-02-30: ",
     "contains: ", "drops: ", "label: ", "name: ", "½", "é", "\x85", "\u2028", "\ufeff", "\0", "\x1b", "[x](amount:",
     "![x](", "](time:5min)", "> ", "|a|b|\n|-|-|\n", "https://", "balances: ", "droppers: ", "<b>", "&amp;", "~~~"]
)  # fmt: skip


@settings(deadline=None, max_examples=500)
@given(st.lists(PIECES, max_size=40), st.lists(PIECES, max_size=20))
def test_no_mixture_of_what_people_type_makes_reading_raise(front: list[str], body: list[str]) -> None:
    text = f"---\n{''.join(front)}\n---\n{''.join(body)}".encode()
    book = book_from({"formulas/a.md": text, "formulas/materials/b.md": text})
    check_nothing_is_lost(book)
    check_nothing_is_lost(book_from({"formulas/workroom.yaml": "".join(front).encode()}))


@settings(deadline=None, max_examples=200)
@given(st.integers(0, len(SPLASH) - 1), st.integers(1, 30), st.text(max_size=3))
def test_no_cut_in_a_good_formula_makes_reading_raise(start: int, length: int, instead: str) -> None:
    text = SPLASH[:start] + instead + SPLASH[start + length :]
    check_nothing_is_lost(read(text.encode("utf-8", "replace").decode("utf-8")))


@pytest.mark.parametrize(
    "front",
    ["water: 100", "watr: 100 %", "contains: 5 %", "contains:\n  menthol: 96 % v/v", "density: x", "kind: liqid"],
)
def test_what_cannot_be_read_is_named_as_unread(front: str) -> None:
    book = book_from({"formulas/materials/m.md": f"---\nname: M\n{front}\n---\n".encode()})
    assert len(book.findings) == 1
    key = "water" if front.startswith("watr") else front.partition(":")[0]
    assert book.materials["m"].unread == (key,)


def test_a_link_leads_to_a_file_with_errors_from_any_folder() -> None:
    other = b"---\ncode: N-1\ntitle: O: x\n---\n"
    for path, address in (("waters/s.md", "n1.md"), ("creams/s.md", "../waters/n1.md"), ("s.md", "waters/n1.md#x")):
        text = SPLASH.partition("## Cautions")[0] + f"\nSee [other]({address}).\n"
        book = book_from({f"formulas/{path}": text.encode(), "formulas/waters/n1.md": other})
        assert book.formulas["s-02"].body.page_links[address] == "n-1"


@pytest.mark.parametrize("paper", Paper)
@pytest.mark.parametrize("holes", Holes)
def test_holes_that_do_not_fit_the_paper_are_left_at_its_usual_number(paper: Paper, holes: Holes) -> None:
    book = book_from({"formulas/workroom.yaml": f"title: x\npaper: {paper}\nholes: {holes}\n".encode()})
    fits = (paper, holes) not in {(Paper.A4, Holes.THREE), (Paper.A5, Holes.THREE), (Paper.A5, Holes.FOUR)}
    assert book.workroom.holes == (holes if fits else None)
    assert [(one.rule, one.place.line, one.place.column) for one in book.findings] == (
        [] if fits else [("impossible-value", 3, 8)]
    )


def test_unreadable_paper_is_one_mistake_and_leaves_no_hole_on_another() -> None:
    book = book_from({"formulas/workroom.yaml": b"title: x\npaper: A3\nholes: 3\n"})
    assert (book.workroom.paper, book.workroom.holes) == (Paper.A4, None)
    assert [one.rule for one in book.findings] == ["wrong-value"]
