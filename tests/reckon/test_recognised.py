"""By which names a substance is known: those of the tables, and those of the trade in German and in Latin."""

from __future__ import annotations

from pathlib import Path

import pytest

from bookgen.pipeline import check_book
from bookgen.reference import spelt

from ..books_of_text import write_book

SKIN = "kind: cosmetic\nuse: leave-on, face\nstorage: refrigerator, 10 days\n"
HOME = "kind: household\nuse: surfaces\n"
TODDLER = "kind: cosmetic\nuse: leave-on, body, small children\nstorage: cupboard, 30 days\n"


def findings(folder: Path, head: str, names: dict[str, str], lines: str) -> dict[str, str]:
    """Return rule → message of a formula with materials of these names, each with `water: 0 %` or what follows a |."""
    materials = {key: f"also: ['{name.partition('|')[0]}']\n{name.partition('|')[2] or 'water: 0 %'}"
                 for key, name in names.items()} | {"water": "water: 100 %"}  # fmt: skip
    body = "\n".join(f"  {line.strip()}" for line in lines.split(";"))
    text = f"---\ncode: X\ntitle: X\n{head}ingredients:\n{body}\n---\n"
    root = write_book(folder / "book", {"X": text}, materials)
    return {finding.rule: finding.message for finding in check_book(root).review.findings}


# head, materials' names, lines, rule, what it says of them
MET = (
    (SKIN, {"a": "Natriumhydroxid"}, "a: 10 %; water: to 100 g", "burns-skin", "Sodium hydroxide 10 %"),
    (SKIN, {"a": "Natronlauge 30 %|water: 70 %"}, "a: 10 %; water: to 100 g", "burns-skin", "Sodium hydroxide 3 %"),
    (SKIN, {"a": "Kalii hydroxidum"}, "a: 10 %; water: to 100 g", "burns-skin", "Potassium hydroxide 10 %"),
    (SKIN, {"a": "Glykolsäure"}, "a: 12 %; water: to 100 g", "fruit-acids", "12 % of Glycolic acid"),
    (SKIN, {"a": "Natriumbenzoat"}, "a: 1 %; water: to 100 g", "beyond-limit", "Sodium benzoate 0.8475 %"),
    (SKIN, {"a": "Hydrochinon"}, "a: 1 %; water: to 100 g", "prohibited", "Hydroquinone"),
    (SKIN, {"a": "Sodium hydroxide pellets Ph. Eur."}, "a: 5 %; water: to 100 g", "burns-skin", "Sodium hydroxide 5 %"),
    (SKIN, {"a": "Concentrated sulphuric acid"}, "a: 5 %; water: to 100 g", "burns-skin", "Sulfuric acid 5 %"),
    (SKIN, {"a": "Dilute hydrochloric acid"}, "a: 25 %; water: to 100 g", "burns-skin", "hydrochloric acid 25 %"),
    (SKIN, {"a": "potassium hydroxide, flakes"}, "a: 5 %; water: to 100 g", "burns-skin", "Potassium hydroxide 5 %"),
    (SKIN, {"a": "sodium hydroxide solution|water: 67 %"}, "a: 9 %; water: to 100 g", "burns-skin", "hydroxide 2.97 %"),
    (SKIN, {"a": "Resorcinol USP"}, "a: 1 %; water: to 100 g", "limit-for-other-use", "Resorcinol: III/22"),
    (SKIN, {"a": "TCA"}, "a: 6 %; water: to 100 g", "burns-skin", "Trichloroacetic acid 6 %"),
    (SKIN, {"a": "bergamot essential oil"}, "a: 1 %; water: to 100 g", "burns-in-the-sun", "Bergamot oil 1 %"),
    (HOME, {"a": "Chlorbleiche", "b": "Essigessenz"}, "a: 50 %; b: 2 %; water: to 100 g", "never-together", "chlorine"),
    (HOME, {"a": "cleaner|contains: {active chlorine: 5 %}", "b": "Acidum citricum"}, "a: 5 %; b: 2 %; water: to 100 g",
     "never-together", "Sodium hypochlorite and Citric acid"),
    (TODDLER, {"a": "Menthae piperitae aetheroleum"}, "a: 1 g; b: to 100 g", "airways-of-small-children", "Peppermint"),
    (TODDLER, {"a": "Eucalyptus essential oil"}, "a: 1 g; b: to 100 g", "airways-of-small-children", "Eucalyptus oil"),
    (TODDLER, {"a": "Salicylsaeure"}, "a: 1 g; b: to 100 g", "limit-for-other-use", "III/98"),
)  # fmt: skip


@pytest.mark.parametrize(("head", "names", "lines", "rule", "told"), MET)
def test_a_name_of_the_trade_in_another_language_is_the_substance(head, names, lines, rule, told, tmp_path):
    found = findings(tmp_path, head, {"b": "wax", **names}, lines)
    assert told in found.get(rule, ""), found


def test_what_is_mistaken_for_a_preservative_is_so_in_german_too(tmp_path):
    lines = "a: 40 g, preservative; water: to 100 g"
    found = findings(tmp_path, SKIN.replace("refrigerator, 10", "cupboard, 30"), {"a": "Honig|water: 18 %"}, lines)
    assert "only undiluted does it keep" in found["unpreserved-in-cupboard"]


@pytest.mark.parametrize(
    "name", ["pellets", "Soda crystals", "sodium hydroxide free pellets", "pellets of sodium hydroxide", "milk powder"]
)
def test_what_stands_behind_a_name_is_cut_off_as_a_whole_or_not_at_all(name):
    assert spelt(name) in {name.casefold(), "sodium hydroxide free"}


def test_tea_is_no_triethanolamine():
    assert (spelt("TEA"), spelt("tea"), spelt("Tea")) == ("triethanolamine", "tea", "tea")
