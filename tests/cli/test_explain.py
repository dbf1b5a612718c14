"""`bookgen check --explain CODE`: what was judged of one formula, and what was not."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest
from click.testing import CliRunner

from bookgen.cli import main
from bookgen.pipeline import check_book, publish

from ..books_of_text import write_book

HEAD = "---\ncode: X\ntitle: Ex\nkind: cosmetic\nuse: leave-on, face\nstorage: cupboard, 180 days\n"
MATERIALS = {
    "benzoate": "known as: Sodium benzoate\nwater: 0 %",
    "salicylic": "label: Salicylic Acid\nwater: 0 %",
    "wax": "kind: wax\nwater: 0 %",
    "water": "water: 100 %",
}
LINES = "  benzoate: 0.6 %\n  salicylic: 1 %\n  wax: to 100 g\n"


def book(folder: Path, head: str = HEAD, lines: str = LINES, workroom: str = "") -> Path:
    return write_book(folder / "book", {"X": f"{head}ingredients:\n{lines}---\n"}, MATERIALS, workroom or "title: B\n")


def explained(root: Path, *more: str) -> str:
    result = CliRunner().invoke(main, ["check", "--explain", "x", "--book", str(root), *more])
    assert result.exit_code == 0, result.output
    return result.stdout


def test_each_substance_with_its_entry_the_gravest_first(tmp_path):
    said = explained(book(tmp_path))
    assert "\n    not where it may be breathed in: no spray, no loose powder\n    purpose other than" in said
    assert " ".join(said.partition("\nFor a label:\n")[0].split()) == (
        "Whether it keeps Too little water for germs to grow: less than 1 % of free water (own choice, no source). "
        "Limits for cosmetics "
        "Sodium benzoate 0.5085 % as benzoic acid: beyond V/1 (0.5 % as benzoic acid, leave-on, CosIng of February "
        "2024). "
        "Salicylic acid 1 %: below III/98 (2 %, body, face, feet, hands, CosIng of February 2024). "
        "not where it may be breathed in: no spray, no loose powder "
        "purpose other than preservation must be apparent "
        "The law binds what is put on the market; for your own use it is a guide. Substances that no material lists, "
        "and entries that the table here lacks, were not judged."
    )


@pytest.mark.parametrize(
    ("head", "workroom", "says"),
    [
        (HEAD.replace("kind: cosmetic", "kind: medicine"), "", "Not judged: limits for cosmetics are not judged where"),
        (HEAD, "limits: none\n", "Not judged: the workroom says limits: none"),
        (HEAD.replace("leave-on, face", "intermediate"), "", "Not judged: an intermediate has no limits of its own"),
        (
            HEAD.replace("leave-on, face", "face"),
            "",
            "use: does not say leave-on or rinse-off, so the stricter limit is",
        ),
    ],
)
def test_what_is_not_judged_and_what_is_assumed_is_said(head, workroom, says, tmp_path):
    assert says in " ".join(explained(book(tmp_path, head, workroom=workroom)).split())


def test_a_formula_without_a_listed_substance(tmp_path):
    said = " ".join(explained(book(tmp_path, lines="  wax: to 100 g\n")).split())
    assert said.startswith("Whether it keeps Too little water for germs to grow")
    assert said.partition(" For a label: ")[0].endswith(
        "Nothing in it is in the tables of limits for its use, as far as its materials say what they are and what "
        "they contain."
    )


WATERY = "  water: 90 %\n  benzoate: 0.4 %, preservative\n  wax: to 100 g\n"
ACID = HEAD.replace("180 days\n", "35 days\npH: 4.2 to 5.0\n")


def test_what_keeps_it_from_spoiling_stands_first(tmp_path):
    said = " ".join(explained(book(tmp_path, ACID, WATERY)).split())
    assert said.startswith(
        "Whether it keeps "
        "Sodium benzoate 0.339 % as benzoic acid: reaches its usual share (0.1 % to 0.26 %) and is in its working pH "
        "(up to pH 5), here 4.2 to 5.0, of which at most 14 % to 50 % is undissociated, the part that works (help desk "
        "of Belgian pharmacists and Handbook of Pharmaceutical Excipients). Limits for cosmetics "
        "Sodium benzoate 0.339 % as benzoic acid: below V/1"
    )


def test_what_keeps_it_for_machines(tmp_path):
    keeping = json.loads(explained(book(tmp_path, ACID, WATERY), "--json"))["judged"]["keeping"]
    (benzoate,) = keeping["preservatives"]
    assert (keeping["preparation"], keeping["by"]) == ("contains water and a preservative", "preservative")
    assert (benzoate["effect"], benzoate["counted_as"], benzoate["usual_percent"]) == (
        "works",
        "Benzoic acid",
        ["0.1", "0.26"],
    )
    assert benzoate["undissociated_percent"] == ["13.680688860321", "50"]
    assert keeping["says"][0].startswith("sodium benzoate 0.339 % as benzoic acid: reaches")
    assert (keeping["by_word_of_formula"], keeping["by_word_of_book"], keeping["mistaken"]) == ([], [], [])


def test_the_pka_of_a_file_for_people_and_machines(tmp_path):
    """Shares of the forms at the lowest and the highest pH; what is told is the undissociated one, rounded up."""
    materials = MATERIALS | {
        "benzoate": "known as: Sodium benzoate\npKa: 4.3\nwater: 0 %",
        "fern": "pKa: [3.13, 4.76, 6.40]\nwater: 0 %",
    }
    lines = "  water: 90 %\n  benzoate: 0.4 %, preservative\n  fern: 1 %, preservative\n  wax: to 100 g\n"
    text = f"{ACID.replace('4.2 to 5.0', '4.5')}ingredients:\n{lines}---\n"
    root = write_book(tmp_path / "book", {"X": text}, materials, "title: B\n")
    said = " ".join(explained(root).split())
    assert (
        "here 4.5, of which at most 39 % is undissociated, the part that works, with pKa 4.3 of its file (help desk"
        in said
    )
    assert (
        "Fern: called a preservative, but no table of preservatives here lists it; at pH 4.5 at most 2.7 % of it is "
        "undissociated, with pKa 3.13, 4.76 and 6.4 of its file." in said
    )
    keeping = json.loads(explained(root, "--json"))["judged"]["keeping"]
    (benzoate,) = keeping["preservatives"]
    assert (benzoate["pKa"], benzoate["pKa_by"]) == (["4.3"], "file")
    fern = keeping["acids_by_word_of_book"]["fern"]
    assert (fern["pKa"], fern["pKa_by"]) == (["3.13", "4.76", "6.4"], "file")
    low, high = ([share[:5] for share in shares] for shares in fern["forms_percent"])
    assert low == high == ["2.667", "62.53", "34.36", "0.432"]
    publish(check_book(root), tmp_path / "site", binder=False)
    page = (tmp_path / "site" / "materials" / "fern.html").read_text("utf-8")
    assert "<dt>pKa<dd>3.13, 4.76 and 6.40</div>" in page.replace("\n", "")


def test_a_materials_page_says_as_what_the_tables_have_it(tmp_path):
    materials = MATERIALS | {
        "benzoate": "known as: E 211 of the shop, Sodium benzoate\nwater: 0 %",
        "lye": "also: caustic soda\nwater: 0 %",
        "blend": "contains:\n  sodium benzoate: 40 %\n  lye: 1 %\n  fern dust: 5 %\nwater: 0 %",
        "honey": "known as: nothing listed\nwater: 18 %",
    }
    root = write_book(tmp_path / "book", {"X": f"{HEAD}ingredients:\n{LINES}---\n"}, materials, "title: B\n")
    publish(check_book(root), tmp_path / "site", binder=False)
    pages = {key: (tmp_path / "site" / "materials" / f"{key}.html").read_text("utf-8") for key in materials}
    told = {key: re.findall(r"<dt>In the tables as<dd>(.*?)</div>", page) for key, page in pages.items()}
    assert told == {
        "benzoate": ["Sodium benzoate"],
        "salicylic": ["Salicylic acid"],
        "lye": ["Sodium hydroxide (by lye)"],
        "blend": ["Sodium benzoate and Sodium hydroxide (by lye)"],
        "honey": [],
        "wax": [],
        "water": [],
    }


def test_the_keepers_own_answer_is_printed_on_page_and_sheet(tmp_path):
    word = ACID.replace("pH: 4.2 to 5.0", "preserved by: {what: sugar, because: two years on the shelf}")
    root = book(tmp_path, word, "  water: 40 %\n  wax: to 100 g\n")
    assert explained(root).startswith("Whether it keeps\n  Kept by sugar, as the formula says: two years on the shelf.")
    checked = check_book(root)
    assert "preserved-by-word" in [finding.rule for finding in checked.review.findings]
    publish(checked, tmp_path / "site", binder=False)
    page = (tmp_path / "site" / "formulas" / "X.html").read_text("utf-8")
    assert "sugar, as the keeper has it: two years on the shelf<" in page


def test_for_machines_the_shares_are_exact(tmp_path):
    answer = json.loads(explained(book(tmp_path), "--json"))["judged"]
    first = answer["limits"][0]
    assert (first["entry"], first["outcome"], first["counted_as"], first["limit_percent"]) == (
        "V/1",
        "beyond",
        "benzoic acid",
        "0.5",
    )
    assert first["percent_high"] == "366366/720515"
    assert [(item["substance"], item["by"], item["percent"]) for item in answer["recognised"]] == [
        ("Salicylic acid", "Salicylic Acid", "1"),
        ("Sodium benzoate", "Sodium benzoate", "0.6"),
    ]


def test_a_code_that_no_formula_has(tmp_path):
    result = CliRunner().invoke(main, ["check", "--explain", "Y-9", "--book", str(book(tmp_path))])
    assert result.exit_code == 2
    assert "Y-9" in result.output


def test_the_page_has_it_folded_behind_the_figures(tmp_path):
    publish(check_book(book(tmp_path, lines=LINES.replace("0.6", "0.4"))), tmp_path / "site", binder=False)
    page = (tmp_path / "site" / "formulas" / "X.html").read_text("utf-8")
    fold = page[page.index("<details class=why>") :]
    assert "<h3>What was judged</h3>" in fold
    assert "<li>Sodium benzoate 0.339\u202f% as benzoic acid: below V/1" in fold
    assert "for your own use it is a guide" in fold


def test_what_is_dangerous_by_its_share_stands_with_what_it_is_asked_about_from(tmp_path):
    materials = {
        "koh": "known as: caustic potash\nwater: 0 %",
        "mint": "known as: menthol\nfunction: aroma\nwater: 0 %",
        "lemon": "known as: lemon oil\nfunction: aroma\nwater: 0 %",
        "wax": "kind: wax\nwater: 0 %",
    }
    lines = "  koh: 0.5 %\n  mint: 0.2 %\n  lemon: 0.3 %\n  wax: to 100 g\n"
    root = write_book(tmp_path / "book", {"X": f"{HEAD}ingredients:\n{lines}---\n"}, materials, "title: B\n")
    said = " ".join(explained(root).split())
    for told in (
        "Potassium hydroxide 0.5 %: burns skin from about 2 % (common practice)",
        "Menthol 0.2 %: asked about beyond 0.45 % for children under three (Afssaps, 2008, as reported)",
        "Lemon oil 0.3 %: asked about from 2 % left on skin, with others like it less (as others quote it)",
    ):
        assert told in said
    answer = json.loads(explained(root, "--json"))["judged"]
    assert answer["aromatic_percent"] == "0.5"
    assert {"substance": "Lemon oil", "material": "lemon", "is": ["burns in the sun"], "percent": "0.3"} in answer[
        "dangers"
    ]


def test_the_line_on_law_ends_it(tmp_path):
    result = CliRunner().invoke(main, ["check", "--explain", "x", "--book", str(book(tmp_path))])
    assert result.stdout.endswith(
        "\n\nLocal law and licensed practice decide whether it may be made, used or passed on.\n"
    )


def holding(folder: Path) -> Path:
    """Return a book of one rinse: a little citric acid, much soda, benzoate at a pH, oil that something carries."""
    materials = {
        "citric": "also: citric acid\nkind: crystals\nwater: 0 %",
        "salt": "also: sodium chloride\nkind: crystals\nwater: 0 %",
        "oil": "kind: liquid\nsoluble: oil\nwater: 0 %",
        "carrier": "kind: liquid\nwater: 0 %",
        "water": "kind: liquid\nwater: 100 %",
    }
    lines = "  citric: 4 g\n  salt: 4 g\n  oil: 1 g\n  carrier: 1 g, solubiliser\n  water: 10 g\n"
    text = f"---\ncode: X\ntitle: Ex\nkind: household\nuse: surfaces\ningredients:\n{lines}---\n"
    return write_book(folder / "book", {"X": text}, materials, "title: B\n")


def test_what_dissolves_and_what_is_carried(tmp_path):
    said = " ".join(explained(holding(tmp_path)).split())
    assert (
        "Whether it holds together "
        "Sodium chloride: 40 g to 100 g of water, of which only 36 g dissolves at 20 °C (table of inorganic "
        "salts). "
        "Citric acid: 40 g to 100 g of water; up to 147.8 g dissolves at 20 °C (property box of an "
        "encyclopedia). "
        "Oil and water: carrier carries the one into the other; whether that holds is not judged." in said
    )


def test_what_dissolves_for_machines_is_exact(tmp_path):
    answer = json.loads(explained(holding(tmp_path), "--json"))["judged"]
    salt, citric = answer["dissolving"]["found"]
    assert (salt["outcome"], salt["grams_low"], salt["dissolves_high"], salt["celsius"]) == (
        "more than dissolves",
        "40",
        "36",
        "20",
    )
    assert (citric["substances"], citric["materials"], citric["solvents"]) == (["Citric acid"], ["citric"], ["water"])
    assert (citric["outcome"], citric["from_memory"], citric["free_acid"]) == ("dissolves", False, None)
    assert answer["dissolving"]["water_wanted"] is None
    assert answer["carrying"] == {
        "oily": ["oil"],
        "watery": ["water"],
        "carriers": ["carrier"],
        "held_by": "called",
        "not_carried": [],
        "not_carried_percent": None,
        "says": "oil and water: carrier carries the one into the other; whether that holds is not judged",
    }


def test_what_is_not_carried_and_what_wants_water_for_machines(tmp_path):
    materials = {
        "salt": "also: sodium chloride\nkind: crystals\nwater: 0 %",
        "alum": "kind: crystals\nwater: 0 %",
        "oil": "kind: liquid\nsoluble: oil\nwater: 0 %",
        "unsure": "kind: powder\nwater: 0 %\ndissolves: {water: 1 g at 80 °C}",
        "water": "kind: liquid\nwater: 100 %",
    }
    lines = "  salt: 27 g\n  alum: 10 g\n  oil: 10 g\n  unsure: 1 g\n  water: 100 g\n"
    text = f"---\ncode: X\ntitle: Ex\nuse: surfaces\ningredients:\n{lines}---\n"
    root = write_book(tmp_path / "book", {"X": text}, materials, "title: B\n")
    answer = json.loads(explained(root, "--json"))["judged"]
    wanted = answer["dissolving"]["water_wanted"]
    assert wanted["substances"] == ["Potassium alum", "Sodium chloride"]
    assert str(wanted["says"]).startswith("potassium alum and sodium chloride would each dissolve alone, but together")
    unsure = answer["dissolving"]["found"][0]
    assert (unsure["outcome"], unsure["grams_low"], unsure["dissolves_high"]) == ("not judged", None, None)
    assert (answer["carrying"]["not_carried"], answer["carrying"]["held_by"]) == (["oil"], None)
    assert answer["carrying"]["not_carried_percent"] == "250/37"
