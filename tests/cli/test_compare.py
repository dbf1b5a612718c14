"""Two formulas side by side, against an arithmetic of its own; an issue and what came of it show exactly the edit."""

from __future__ import annotations

import json
from fractions import Fraction

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from bookgen.pipeline import check_book
from bookgen.reckon.compared import compared
from bookgen.reckon.figures import reckon
from bookgen.source.book import book_from
from tests.books_of_text import MATERIALS, formula, write_book

from .test_new import run

NAMES = ("a", "b", "c", "d")
AMOUNTS = st.dictionaries(st.sampled_from(NAMES), st.integers(1, 999), min_size=1)
HOLDS = {"a": {"salt": 10}, "b": {"salt": 25, "sugar": 50}, "c": {"sugar": 5}, "d": {}}
"""Material → substance → % of it."""
FILES = {
    f"formulas/materials/{name}.md": (
        f"---\nname: {name}\n" + "contains:\n" * bool(holds)
        + "".join(f"  {substance}: {much} %\n" for substance, much in holds.items()) + "---\n"
    ).encode()
    for name, holds in HOLDS.items()
}  # fmt: skip


@given(AMOUNTS, AMOUNTS)
@settings(max_examples=12, deadline=None)
def test_shares_and_differences_by_own_arithmetic(first, second):
    files = dict(FILES)
    for code, grams in (("X", first), ("Y", second)):
        text = formula(code, "; ".join(f"{name}: {much} g" for name, much in grams.items()))
        files[f"formulas/{code}.md"] = text.encode()
    figures = reckon(book_from(files)).figures
    found = compared(figures["x"], figures["y"])
    assert {line.name for line in found.lines} == first.keys() | second.keys()
    for line in found.lines:
        ours = Fraction(first.get(line.name, 0), sum(first.values()))
        theirs = Fraction(second.get(line.name, 0), sum(second.values()))
        assert (line.first or 0, line.second or 0, line.difference) == (ours, theirs, theirs - ours)
        assert (line.first is None, line.second is None) == (line.name not in first, line.name not in second)
    carried = [
        {
            substance: sum(Fraction(much * HOLDS[name].get(substance, 0), 100) for name, much in grams.items())
            / sum(grams.values())
            for substance in ("salt", "sugar")
            if any(substance in HOLDS[name] for name in grams)
        }
        for grams in (first, second)
    ]
    assert {line.name: (line.first, line.second) for line in found.carried} == {
        name: tuple(side.get(name) for side in carried) for name in carried[0].keys() | carried[1].keys()
    }
    assert {line.name: line.difference for line in found.carried} == {
        name: carried[1].get(name, 0) - carried[0].get(name, 0) for name in carried[0].keys() | carried[1].keys()
    }
    turned = {line.name: line.difference for line in compared(figures["y"], figures["x"]).lines}
    assert turned == {line.name: -line.difference for line in found.lines}


METHOD = "\n## Method\n\n1. Weigh [the acid](amount:lactic-80).\n2. Stir well.\n"


@pytest.fixture
def book(tmp_path):
    text = formula("S-02", "lactic-80: 0.5 %; gly: 6 %; water: to 100 g", "pH: 4.6 to 5.0", "issue: 2") + METHOD
    other = formula("W-07", "oil: {amount: 1 g, removed: filtered}; gly: 10 %; water: to 100 g")
    return write_book(tmp_path, {"s": text, "w": other}, MATERIALS)


@given(st.integers(1, 90))
@settings(max_examples=2, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_an_issue_and_what_came_of_it_show_exactly_the_edit(tmp_path_factory, percent):
    text = formula("S-02", "lactic-80: 0.5 %; gly: 6 %; water: to 100 g", "issue: 2") + METHOD
    root = write_book(tmp_path_factory.mktemp("edit"), {"s": text}, MATERIALS)
    assert run("issue", "S-02", "glycerol", "--book", root).exit_code == 0
    path = root / "formulas" / "s.md"
    path.write_text(path.read_text().replace("gly: 6 %", f"gly: {percent} %").replace("Stir well", "Stir gently"))
    done = json.loads(run("compare", "S-02@2", "S-02", "--json", "--book", root).stdout)
    differs = {line["name"]: line["difference"] for line in done["lines"] if line["difference"] != "0"}
    by = percent - 6
    assert differs == ({"gly": str(by), "water": str(-by)} if by else {})
    assert [line for line in done["carried"] if line["difference"] != "0"] == []
    assert done["steps"] == [{"first": ["Stir well."], "second": ["Stir gently."]}]
    assert (done["first"]["issue"], done["second"]["issue"]) == (2, 3)


@pytest.mark.parametrize(
    ("ours", "theirs", "told"),
    [
        ("Add [](amount:gly).", "Add [](amount:gly) slowly.", ("Add gly.", "Add gly slowly.")),
        ("Stir [](time:5min).", "Stir [](time:6min).", ("Stir 5min.", "Stir 6min.")),
        ("Stir [a while](time:5min).", "Stir [a while](time:6min).", ("Stir a while (5min).", "Stir a while (6min).")),
        ("Add [gum](amount:a*1/2).", "Add [gum](amount:a*1/3).", ("Add gum (a*1/2).", "Add gum (a*1/3).")),
        ("Add [gum](amount:a).", "Add [it all](amount:a).", ("Add gum.", "Add it all.")),
        ("| a | b |\n| --- | --- |\n| 1 | 2 |", "| a | b |\n| --- | --- |\n| 1 | 3 |", ("1 | 2", "1 | 3")),
    ],
)
def test_steps_are_told_in_words_and_in_links_where_these_alone_differ(ours, theirs, told):
    files = dict(FILES)
    for code, method in (("X", ours), ("Y", theirs)):
        files[f"formulas/{code}.md"] = f"{formula(code, 'a: 5 g; gly: 5 g')}\n## Method\n\n{method}\n".encode()
    figures = reckon(book_from(files)).figures
    (step,) = compared(figures["x"], figures["y"]).steps
    assert (step.first, step.second) == ((told[0],), (told[1],))


def test_side_by_side_on_the_terminal(book):
    lines = run("compare", "S-02", "W-07", "--book", book).stdout.splitlines()
    rows = {line.split("  ")[1]: line.split()[1:] for line in lines if line.startswith("  ")}
    assert rows["gly"] == ["6.00", "10.0", "+4.00"]
    assert rows["lactic-80"] == ["0.500", "–", "−0.500"]
    assert rows["water"] == ["93.5", "90.0", "−3.50"]
    assert "  oil, taken out again      –   yes" in "\n".join(lines)
    assert rows["lactic acid"] == ["acid", "0.400", "–", "−0.400"]
    assert "  S-02  Weigh the acid." in lines


@pytest.mark.parametrize(
    ("asked", "told"),
    [
        ("S-02@7", "Issue 7 of S-02 is not kept. No earlier issue of it is."),
        ("S-02@x", "`S-02@x` is not an issue: write it as in S-02@2."),
        ("gly", "gly is a material, not a formula."),
    ],
)
def test_what_is_not_kept_is_told(book, asked, told):
    done = run("compare", asked, "W-07", "--book", book)
    assert done.exit_code == 2
    assert told in done.stderr


def test_an_earlier_issue_bars_nothing(book):
    folder = book / "formulas" / "earlier"
    folder.mkdir()
    (folder / "S-02-issue-1.md").write_text(formula("S-02", "gone: 5 %; water: to 90 g") + "[x](amount:gone)\n")
    checked = check_book(book)
    assert not checked.has_errors
    assert run("compare", "S-02@1", "S-02", "--book", book).exit_code == 0


def test_what_both_cost_by_the_last_prices(tmp_path):
    texts = {code: formula(code, f"oil: {much} g; water: {100 - much} g") for code, much in (("X", 10), ("Y", 30))}
    root = write_book(tmp_path, texts, MATERIALS)
    (root / "formulas" / "materials" / "oil.md").write_text(
        "---\nname: oil\nlots:\n  A:\n    received: 2026-01-02\n    amount: 500 g\n    price: 5 EUR\n---\n"
    )
    done = json.loads(run("compare", "X", "Y", "--json", "--today", "2026-02-01", "--book", root).stdout)
    sides = [done[side]["cost"] for side in ("first", "second")]
    assert [Fraction(side["per_gram"]["EUR"]) for side in sides] == [Fraction(1, 1000), Fraction(3, 1000)]
    assert all(side["without_price"] == ["water"] for side in sides)
    said = run("compare", "X", "Y", "--today", "2026-02-01", "--book", root).stdout
    assert "100 g cost" in said
    assert "differs" in said


def test_active_content_is_told_of_both(tmp_path):
    texts = {code: formula(code, f"{line}; water: to 100 g") for code, line in (
        ("X", "lactic-80: 2 % as lactic acid, active"), ("Y", "a: 3 %, active"))}  # fmt: skip
    root = write_book(tmp_path, texts, MATERIALS)
    done = json.loads(run("compare", "X", "Y", "--json", "--book", root).stdout)
    assert {line["name"]: (line["first"], line["second"], line["difference"]) for line in done["actives"]} == {
        "lactic acid": ("2", None, "-2"), "a": (None, "3", "3"),
    }  # fmt: skip
    said = run("compare", "X", "Y", "--book", root).stdout
    active = said[said.index("Active content, %") : said.index("Substances, %")]
    assert [line.split() for line in active.splitlines()[1:3]] == [
        ["lactic", "acid", "2.00", "–", "−2.00"],
        ["a", "–", "3.00", "+3.00"],
    ]


def test_pieces_doses_and_moulds_stand_side_by_side(tmp_path):
    """Of 250 mg each two are 500 mg; a mould takes 2 g of wax, of which 0.25 g of `a` leave 1.95 (0.2 g each gram)."""
    texts = {
        "X": formula("X", "a: 250 mg each; gly: to 2 g each", "makes: 12 pastilles", "dose: 2 pastilles"),
        "Y": formula("Y", "a: 250 mg each; wax: q.s.", "makes: 10 suppositories", "mould: 2 g of wax"),
    }
    materials = {**MATERIALS, "a": f"{MATERIALS['a']}\ndisplaces: 0.2 g of wax per g", "wax": "name: wax\nkind: wax"}
    root = write_book(tmp_path, texts, materials)
    done = json.loads(run("compare", "X", "Y", "--json", "--book", root).stdout)
    first, second = done["first"], done["second"]
    assert [side["pieces"]["each_g"] for side in (first, second)] == ["2", "2.2"]
    assert (first["dose"]["holds"][0]["g"], second["dose"]) == ("0.5", None)
    assert [(side["pieces"]["form"], side["mould"]) for side in (first, second)] == [
        ("pastilles", None), ("suppositories", "2 g of wax")
    ]  # fmt: skip
    said = " ".join(run("compare", "X", "Y", "--book", root).stdout.split())
    assert "makes 12 pastilles 10 suppositories differs" in said
    assert "one piece 2.00 g (250 mg of a) 2.20 g (250 mg of a) differs" in said
    assert "mould not written 2 g of wax differs" in said
    assert "one dose 2 pastilles (500 mg of a) not written differs" in said
