"""What does not go together: every row of the table, its figures at their edge, words of files, and silence."""

from __future__ import annotations

import json
from collections.abc import Mapping
from pathlib import Path

import pytest
from click.testing import CliRunner
from hypothesis import given
from hypothesis import strategies as some

from bookgen.cli import main
from bookgen.pipeline import check_book, publish
from bookgen.reckon.figures import reckon
from bookgen.reference import spelt
from bookgen.reference.dangers import dangers
from bookgen.reference.dissolving import dissolving
from bookgen.reference.incompatible import MEMORY, Medium, PairRow, incompatible
from bookgen.reference.limits import limits
from bookgen.review import review
from bookgen.source import book_from

from ..books_of_text import write_book

FRONTS = {
    "water": "water: 100 %",
    "talc": "kind: powder\nwater: 0 %",
    "corn starch": "kind: powder\nwater: 0 %",
    "sodium lactate 60 %": "contains:\n  sodium lactate: 60 %\nwater: 40 %",
    "cetearyl alcohol wax": "contains:\n  cetearyl alcohol: 90 %\n  sodium lauryl sulfate: 10 %\nwater: 0 %",
    "spirit 96 %": "contains:\n  ethanol: 93.8 %\nwater: 6.2 %",
}
"""Materials of which more is known than that they bring no water."""
HEAD = "kind: cosmetic\nuse: rinse-off, body\n"


def files_of(lines: str, head: str, fronts: Mapping[str, str], formulas: Mapping[str, str]) -> dict[str, bytes]:
    """Return the files of a book: a formula of these lines, and each name in any formula as a material."""
    texts = {"X": (lines, head)} | {code: (inner, "use: intermediate\n") for code, inner in formulas.items()}
    names = {line.split(": ")[0].strip() for inner, _ in texts.values() for line in inner.split(";")} - formulas.keys()
    known = {**FRONTS, **fronts}
    files = {"formulas/workroom.yaml": b"balances: [{name: fine, readability: 0.001 g, capacity: 2000 g}]\n"}
    for number, name in enumerate(sorted(names)):
        text = f"---\nname: {json.dumps(name)}\n{known.get(name, 'water: 0 %')}\n---\n"
        files[f"formulas/materials/m-{number}.md"] = text.encode()
    for code, (inner, keys) in texts.items():
        body = "\n".join(f"  {json.dumps(name.strip())}: {rest}" for name, _, rest in parted(inner))
        files[f"formulas/{code}.md"] = f"---\ncode: {code}\ntitle: {code}\n{keys}ingredients:\n{body}\n---\n".encode()
    return files


def parted(lines: str) -> list[tuple[str, str, str]]:
    return [line.partition(": ") for line in lines.split(";")]


def told(lines: str, head: str = HEAD, fronts: Mapping[str, str] = {}, **formulas: str) -> list[tuple[str, str, str]]:
    """Return code, severity and sentence of what is said to not go together."""
    found = review(reckon(book_from(files_of(lines, head, fronts, formulas)))).findings
    return [
        (one.place.path.removeprefix("formulas/").removesuffix(".md"), one.severity.value, one.message)
        for one in found
        if one.rule == "incompatible-pair"
    ]


# ── Every row of the table ────────────────────────────────────────────────────────────────────────────────────────────

ROWS = [pytest.param(row, id=f"{row.first} with {row.second}") for row in incompatible().pairs]
BASE = {Medium.ANYWHERE: "wax", Medium.WATER: "water", Medium.POWDER: "talc"}


def two_of(row: PairRow) -> tuple[str, str]:
    """Return a substance of each group; no row before it knows both."""
    groups = incompatible().groups
    for first in sorted(groups[row.first]):
        for second in sorted(groups[row.second] - {first}):
            before = incompatible().pairs[: incompatible().pairs.index(row)]
            if not any(first in groups[other.first] and second in groups[other.second] for other in before):
                return first, second
    raise AssertionError(row)


def amount(row: PairRow, percent: float) -> str:
    first, second = two_of(row)
    mine = 0.5 if row.first == row.second else 1
    return f"{first}: {mine} %; {second}: {percent} %; {BASE[row.medium]}: to 100 g"


@pytest.mark.parametrize("row", ROWS)
def test_a_row_of_the_table(row):
    """Its sentence at its figure, or at any share where it has none; below the figure nothing by this row."""
    least = float(row.least * 100)
    enough = least - 0.5 if row.first == row.second else least or 1
    found = [sentence for _, _, sentence in told(amount(row, enough))]
    assert [sentence for sentence in found if f"{row.reason} ({row.known}); {row.todo}." in sentence], found
    if row.least:
        assert told(amount(row, enough - 0.01)) == []


@pytest.mark.parametrize("row", ROWS)
def test_one_side_alone_is_silent(row):
    first, second = two_of(row)
    for name in (first, second):
        assert told(f"{name}: 50 %; {BASE[row.medium]}: to 100 g") == []


@pytest.mark.parametrize("row", ROWS)
def test_where_alone_a_row_is_asked(row):
    first, second = two_of(row)
    little = {Medium.WATER: "water: 4.99 %; wax: to 100 g", Medium.POWDER: "talc: 89.99 %; wax: to 100 g"}
    some_more = {Medium.WATER: "water: 5 %; wax: to 100 g", Medium.POWDER: "talc: 90 %; wax: to 100 g"}
    if row.medium is Medium.ANYWHERE:
        return
    assert told(f"{first}: 1 %; {second}: 1 %; {little[row.medium]}") == []
    assert told(f"{first}: 1 %; {second}: 1 %; {some_more[row.medium]}") != []


@pytest.mark.parametrize("row", [param for param in ROWS if param.values[0].unless])
def test_what_prevents_it(row):
    first, second = two_of(row)
    for chelator in incompatible().groups[row.unless]:
        assert told(f"{first}: 1 %; {second}: 1 %; {chelator}: 0.1 %; water: to 100 g") == []


def test_what_burns_bars_unless_a_line_says_why():
    lines = "potassium permanganate: 1 %; glycerol: {0}; wax: to 100 g"
    ((_, severity, sentence),) = told(lines.format("10 %"))
    assert (severity, sentence) == (
        "error",
        (
            "X, line 8: potassium permanganate with glycerol: they can catch fire or explode (Thomas, 1907); dissolve "
            "the oxidiser alone in much water, in a formula of its own."
        ),
    )
    ((_, severity, sentence),) = told(lines.format("{amount: 10 %, because: two vessels}"))
    assert severity == "query"
    assert sentence.endswith("they can catch fire or explode (Thomas, 1907); the reason written: two vessels.")
    ((_, severity, _),) = told("nitric acid: 1 %; sucrose: 1 %; wax: to 100 g")
    assert severity == "error"


# ── How it meets ──────────────────────────────────────────────────────────────────────────────────────────────────────


def test_a_content_counts_and_is_named():
    ((_, severity, sentence),) = told("behentrimonium chloride: 2 %; cetearyl alcohol wax: 5 %; water: to 100 g")
    assert (severity, sentence) == (
        "query",
        (
            "X, line 8: behentrimonium chloride with cetearyl alcohol wax (Sodium lauryl sulfate): they precipitate "
            "and both lose their effect (from memory); keep to one charge, or take one without charge."
        ),
    )


def test_what_one_bottle_holds_together_is_its_makers_affair():
    gel = {"gel": "contains:\n  carbomer: 1 %\n  sodium chloride: 1 %\nwater: 98 %"}
    assert told("gel: 100 %", fronts=gel) == []
    assert len(told("gel: 50 %; sodium chloride: 0.5 %; water: to 100 g", fronts=gel)) == 1


def test_it_is_told_where_they_first_meet():
    base = "cetrimonium chloride: 10 %; water: to 100 g"
    soap = "sodium stearate: 10 %; water: to 100 g"
    lines = "N: 10 %; M: 10 %; water: to 100 g"
    assert [code for code, _, _ in told(lines, N=base, M=soap)] == ["X"]
    both = "cetrimonium chloride: 10 %; sodium stearate: 1 %; water: to 100 g"
    assert [code for code, _, _ in told(lines, N=both, M="wax: 100 %")] == ["N"]
    # a third one comes to them
    again = told("N: 10 %; sodium oleate: 1 %; water: to 100 g", N=both)
    assert [code for code, _, _ in again] == ["N", "X"]
    assert "cetrimonium chloride with sodium oleate and sodium stearate: they" in again[1][2]


def test_a_processing_aid_meets_what_is_made_with_it_and_no_more():
    aid = "iodine: 1 %; starch: {amount: 5 g, removed: filtered, function: filter aid}; wax: to 100 g"
    assert [code for code, _, _ in told(aid)] == ["X"]
    inner = "starch: {amount: 5 g, removed: filtered, function: filter aid}; wax: to 100 g"
    assert told("iodine: 1 %; N: 50 %; wax: to 100 g", N=inner) == []
    # what was drawn out of a drug stays in the product
    bark = "oak bark: {amount: 5 g, removed: strained}; water: to 100 g"
    assert [code for code, _, _ in told("N: 50 %; ferrous sulfate: 1 %; water: to 100 g", N=bark)] == ["X"]


def test_shares_of_a_group_add_up_at_their_high_end():
    lines = "carbomer: 0.5 %; sodium chloride: 0.2 %; magnesium sulfate: {0} %; water: to 100 g"
    assert told(lines.format("0.29")) == []
    assert len(told(lines.format("0.3"))) == 1
    brine = {"brine": "contains:\n  sodium chloride: 1 to {0} %\nwater: 80 %"}
    for high, count in (("9.9", 0), ("10", 1)):
        fronts = {"brine": brine["brine"].replace("{0}", high)}
        assert len(told("carbomer: 0.5 %; brine: 5 %; water: to 100 g", fronts=fronts)) == count


def test_a_share_that_is_not_known_is_not_judged_by_a_figure():
    assert told("carbomer: 0.5 %; sodium chloride: q.s. to a thin gel; water: 99 g") == []
    assert len(told("cetrimonium chloride: 0.5 %; sodium stearate: q.s. to a thin gel; water: 99 g")) == 1


def test_what_has_no_file_yet_is_told_by_its_name():
    files = files_of("iodine: 1 %; wax: to 100 g", HEAD, {}, {})
    files["formulas/X.md"] = files["formulas/X.md"].replace(b"ingredients:\n", b"ingredients:\n  starch: 5 %\n")
    found = [one.message for one in review(reckon(book_from(files))).findings if one.rule == "incompatible-pair"]
    (sentence,) = found
    assert sentence.startswith(
        "X, line 8: iodine with starch: the starch turns blue and binds the iodine (from memory);"
    )


def test_what_is_told_of_a_preservative_that_is_taken_up_is_not_told_twice():
    lines = "benzalkonium chloride: 0.01 %, preservative; sodium lauryl sulfate: 5 %; water: to 100 g"
    head = "kind: cosmetic\nuse: rinse-off, body\npH: 5\n"
    assert told(lines, head) == []
    assert len(told(lines.replace(", preservative", ""), head)) == 1


# ── Where silence is right ────────────────────────────────────────────────────────────────────────────────────────────

SILENT = {
    "gum and a nonionic": "xanthan gum: 0.5 %; polysorbate 20: 2 %; decyl glucoside: 3 %; water: to 100 g",
    "shampoo with an amphoteric": "sodium laureth sulfate: 10 %; cocamidopropyl betaine: 5 %; sodium chloride: 1 %; "
    "water: to 100 g",
    "hair conditioner": "behentrimonium methosulfate: 2 %; cetearyl alcohol: 5 %; glycerol: 3 %; "
    "hydroxyethylcellulose: 0.5 %; water: to 100 g",
    "cationic rinse": "cetrimonium chloride: 1 %; cetearyl alcohol: 3 %; citric acid: 0.1 %; water: to 100 g",
    "conditioning shampoo": "sodium lauryl sulfate: 8 %; polyquaternium-10: 0.3 %; water: to 100 g",
    "acid preservation": "sodium benzoate: 0.4 %; potassium sorbate: 0.2 %; citric acid: 0.3 %; water: to 100 g",
    "zinc paste": "zinc oxide: 25 %; starch: 25 %; stearic acid: 2 %; white soft paraffin: to 100 g",
    "salicylic zinc paste": "zinc oxide: 24 %; starch: 24 %; salicylic acid: 2 %; soft paraffin: to 100 g",
    "carbomer gel": "carbomer: 0.5 %; triethanolamine: 0.5 %; glycerol: 5 %; phenoxyethanol: 0.9 %; "
    "sodium benzoate: 0.4 %; water: to 100 g",
    "vanishing cream": "stearic acid: 15 %; potassium hydroxide: 0.7 %; glycerol: 8 %; water: to 100 g",
    "cold cream": "beeswax: 12 %; borax: 0.5 %; almond oil: 60 %; water: to 100 g",
    "bath bomb": "sodium bicarbonate: 50 %; citric acid: 25 %; corn starch: 20 %; oil: to 100 g",
    "bath salts": "magnesium sulfate: 70 %; sodium bicarbonate: 28 %; oil: to 100 g",
    "rub": "camphor: 5 %; menthol: 3 %; soft paraffin: to 100 g",
    "dusting powder": "menthol: 0.25 %; camphor: 0.5 %; zinc oxide: 20 %; talc: to 100 g",
    "honey and borax in a mouth paint": "borax: 10 %; glycerol: 14.9 %; water: to 100 g",
    "vitamin C with a chelator": "ascorbic acid: 5 %; sodium benzoate: 0.4 %; disodium EDTA: 0.1 %; water: to 100 g",
    "vitamin C and iron oxide": "ascorbic acid: 1 %; iron oxide: 5 %; wax: to 100 g",
    "distilled witch hazel": "hamamelis water: 50 %; ferrous sulfate: 0.1 %; water: to 100 g",
    "alginate mask, dry": "algin: 20 %; calcium sulfate: 40 %; talc: to 100 g",
    "calamine lotion": "calamine: 15 %; zinc oxide: 5 %; bentonite: 3 %; sodium citrate: 0.5 %; glycerol: 5 %; "
    "liquefied phenol: 0.5 %; water: to 100 g",
    "hard water soap": "sodium stearate: 10 %; sodium chloride: 1 %; water: to 100 g",
    "emulsified gum": "acacia: 10 %; spirit 96 %: 20 %; almond oil: 20 %; water: to 100 g",
    "names that only look alike": "tea: 5 %; starch glycolate: 5 %; iodine-free salt: 1 %; black iron oxide: 1 %; "
    "soap bark: 2 %; water: to 100 g",
    "magnesium carbonate in a powder": "magnesium carbonate: 5 %; boric acid: 1 %; talc: to 100 g",
    "tannins alone": "green tea: {amount: 5 g, removed: strained}; sodium bicarbonate: 0.1 %; water: to 100 g",
}


@pytest.mark.parametrize("case", SILENT)
def test_silence_is_right(case):
    assert told(SILENT[case]) == []


# ── Words of files ────────────────────────────────────────────────────────────────────────────────────────────────────


@pytest.mark.parametrize(
    ("word", "other", "front"),
    [
        ("resin", "resin", ""),
        ("Resin", "pitch", "also: resin"),
        ("pine resin", "pitch", "label: Pine Resin"),
        ("pine resin", "pitch", "known as: pine resin"),
        ("rosin", "pitch", "contains:\n  rosin: 10 %"),
        ("pinene", "pitch", "label:\n  Pinene: 10 %"),
        ("sodium tetraborate", "borax", ""),
        ("borates", "sodium borate", ""),
        ("iron salts", "pitch", "contains:\n  green vitriol: 10 %"),
        ("zinc sulphate", "zinc sulfate", ""),
        ("copper salts", "pitch", "contains:\n  citric acid: 5 %\n  blue vitriol: 10 %"),
        ("caustic soda", "pitch", "label: sodium hydroxide"),
    ],
)
def test_a_word_stands_for_whole_names(word, other, front):
    fronts = {"gum": f"incompatible with: {word}\nwater: 0 %", other: f"{front}\nwater: 0 %".strip()}
    found = told(f"gum: 1 %; {other}: 1 %; wax: to 100 g", fronts=fronts)
    ((code, severity, sentence),) = found
    assert (code, severity) == ("X", "query")
    assert sentence.startswith(f"X, line 8: gum with {other}: incompatible, as the file of gum says; leave one of them")


@pytest.mark.parametrize("name", ["resinous balsam", "resin-free pitch", "oil of resin"])
def test_a_part_of_a_name_never_counts(name):
    fronts = {"gum": "incompatible with: resin\nwater: 0 %"}
    assert told(f"gum: 1 %; {name}: 1 %; wax: to 100 g", fronts=fronts) == []


def test_a_word_of_a_file_stands_before_the_table_and_is_told_once():
    fronts = {
        "xanthan gum": "incompatible with: [borax: thickens to lumps.]\nwater: 0 %",
        "borax": "incompatible with: xanthan gum\nwater: 0 %",
    }
    found = told("xanthan gum: 1 %; borax: 1 %; water: to 100 g", fronts=fronts)
    assert len(found) == 1
    # the first by its file name speaks
    assert "borax with xanthan gum: incompatible, as the file of borax says; leave one" in found[0][2]
    del fronts["borax"]
    ((_, _, sentence),) = told("xanthan gum: 1 %; borax: 1 %; water: to 100 g", fronts=fronts)
    assert sentence == (
        "X, line 8: xanthan gum with borax: incompatible, as the file of xanthan gum says: thickens to lumps; leave "
        "one of them out, or keep them apart."
    )


def test_a_word_of_a_file_reaches_through_intermediates_and_is_not_told_again():
    fronts = {"gum": "incompatible with: resin\nwater: 0 %"}
    inner = "gum: 1 %; wax: to 100 g"
    assert [code for code, _, _ in told("N: 50 %; resin: 1 %; wax: to 100 g", fronts=fronts, N=inner)] == ["X"]
    both = "gum: 1 %; resin: 1 %; wax: to 100 g"
    assert [code for code, _, _ in told("N: 50 %; wax: to 100 g", fronts=fronts, N=both)] == ["N"]


@given(some.permutations(["gum: 1 %", "resin: 2 %", "pitch: 3 %", "wax: to 100 g"]))
def test_the_order_of_the_lines_changes_nothing_but_the_place(lines):
    fronts = {"gum": "incompatible with: [resin, pitch]\nwater: 0 %"}
    found = {sentence for _, _, sentence in told(";".join(lines), fronts=fronts)}
    numbers = {line.partition(":")[0]: number for number, line in enumerate(lines, 7)}
    assert found == {
        f"X, line {max(numbers['gum'], numbers[other])}: gum with {other}: incompatible, as the file of gum says; "
        "leave one of them out, or keep them apart."
        for other in ("resin", "pitch")
    }


# ── Where it is shown ─────────────────────────────────────────────────────────────────────────────────────────────────


def test_it_is_told_with_what_was_judged(tmp_path: Path):
    materials = {
        "gum": "incompatible with: [borax: thickens to lumps, resin]\nwater: 0 %",
        "borax": "water: 0 %",
        "soap": "also: soft soap\nwater: 0 %",
        "quat": "label: Cetrimonium Chloride\nwater: 0 %",
    }
    lines = "".join(f"  {name}: 25 g\n" for name in materials)
    root = write_book(tmp_path / "book", {"X": f"---\ncode: X\ntitle: X\n{HEAD}ingredients:\n{lines}---\n"}, materials)
    sentences = [
        "Gum with borax: incompatible, as the file of gum says: thickens to lumps.",
        "Quat with soap: they precipitate and both lose their effect (from memory).",
    ]
    command = ["check", "--explain", "X", "--book", str(root)]
    said = " ".join(CliRunner().invoke(main, command).stdout.split())
    for sentence in sentences:
        assert sentence in said
    answer = json.loads(CliRunner().invoke(main, [*command, "--json"]).stdout)["judged"]["incompatible"]
    assert answer == [
        {
            "first": [{"material": "gum", "substance": None}],
            "second": [{"material": "borax", "substance": None}],
            "reason": "thickens to lumps", "known": None, "declared": True, "told_in_intermediate": False,
        },
        {
            "first": [{"material": "quat", "substance": None}],
            "second": [{"material": "soap", "substance": None}],
            "reason": "they precipitate and both lose their effect", "known": "from memory", "declared": False,
            "told_in_intermediate": False,
        },
    ]  # fmt: skip
    publish(check_book(root), tmp_path / "site", binder=False)
    page = (tmp_path / "site" / "formulas" / "X.html").read_text("utf-8")
    for sentence in sentences:
        assert f"<li>{sentence}<" in page
    own = (tmp_path / "site" / "materials" / "gum.html").read_text("utf-8")
    assert "borax (thickens to lumps), resin" in own


# ── The table ─────────────────────────────────────────────────────────────────────────────────────────────────────────


def test_the_figures_are_these():
    """Salt in a carbomer gel and what a powder takes up are from memory; water and powder own choice.

    Source: ethanol of 50 % by volume has 42.4 % by weight (own arithmetic by the alcohol tables); borax with 10 % of
    glycerol is at pH 7.5 and with less than 15 % keeps its carbonate, help desk of Belgian pharmacists, 2013.
    """
    assert {(row.first, row.second): str(row.least * 100) for row in incompatible().pairs if row.least} == {
        ("carbomers", "soluble salts"): "1/2",
        ("acacia", "ethanol"): "212/5",
        ("borates", "polyols"): "15",
        ("what liquefies together", "what liquefies together"): "1",
    }
    figures = {name: str(value * 100) for name, value in incompatible().figures.items()}
    assert figures == {"incompatible in water from": "5", "incompatible in powder from": "90"}


@pytest.mark.parametrize("acid", ["vinegar essence", "dilute acetic acid", "hydrochloric acid, diluted"])
def test_acids_that_are_sold_dilute_foam_too(acid):
    ((_, severity, sentence),) = told(f"{acid}: 10 %; sodium bicarbonate: 5 %; water: to 100 g")
    assert (severity, "they foam and can burst a closed bottle" in sentence) == ("query", True)


def test_what_was_read_is_marked_so_and_alone_may_bar():
    """Thomas 1907, Petersen 1905, Potter, the notes on acacia, the help desk and the manual were read; no other row."""
    read = {(row.first, row.second): row.known for row in incompatible().pairs if MEMORY not in row.known}
    assert sorted(set(read.values())) == [
        "Manual of Pharmacology", "Petersen, 1905", "Potter", "Thomas, 1907", "help desk of Belgian pharmacists",
        "notes on acacia",
    ]  # fmt: skip
    assert len(read) == 16
    assert [row.first for row in incompatible().pairs if row.bars] == ["strong oxidisers", "nitric and chromic acid"]


def test_each_name_is_whole_and_means_what_it_does_in_the_other_tables():
    table = incompatible()
    assert all(spelt(name) == name for name in table.names)
    for other in (limits().names, dangers().names):
        assert {
            table.names[name] for name in table.names.keys() & other.keys() if table.names[name] != other[name]
        } <= {"Ammonia", "Zinc sulfate"}  # the limits count its hydrate by a molar mass of its own


def test_whoever_is_charged_is_in_one_group():
    groups = incompatible().groups
    assert not groups["cationic substances"] & (groups["anionic surfactants"] | groups["anionic gums"])
    assert groups["soaps"] <= groups["anionic surfactants"]
    assert groups["carbomers"] <= groups["anionic gums"]


def test_what_another_table_has_by_one_name_is_told_by_its_other_names_too():
    """Sea salt thins a gel as sodium chloride does: no name of a row in other tables is missed here."""
    names, told = incompatible().names, dict[tuple[str, str], set[str]]()
    for table, rows in (("dangers", dangers().names), ("dissolving", dissolving().names)):
        for name, first in rows.items():
            if table == "dangers" or first in dissolving().rows:
                told.setdefault((table, first), set()).add(names.get(name, ""))
    assert [row for row, found in told.items() if len(found) > 1] == []


@pytest.mark.parametrize(
    ("first", "second"),
    [
        ("carbomer", "sea salt"),
        ("carbomer", "magnesium sulfate heptahydrate"),
        ("citric acid, anhydrous", "sodium carbonate decahydrate"),
        ("potassium permanganate", "cane sugar"),
        ("tannic acid", "zinc sulfate heptahydrate"),
        ("vitamin c", "copper sulfate pentahydrate"),
    ],
)
def test_a_pair_is_told_by_the_names_of_hydrates_and_of_the_kitchen(first, second, tmp_path):
    materials = {name.replace(" ", "-").replace(",", ""): f"also: {name!r}\nwater: 0 %" for name in (first, second)}
    one_line, other = (f"  {key}: 5 %" for key in materials)
    head = "code: X\ntitle: X\nkind: household\nmakes: 100 g\ningredients:"
    text = f"---\n{head}\n{one_line}\n{other}\n  water: to 100 g\n---\n"
    book = write_book(tmp_path / "book", {"X": text}, {**materials, "water": "water: 100 %"})
    assert "incompatible-pair" in {finding.rule for finding in check_book(book).review.findings}
