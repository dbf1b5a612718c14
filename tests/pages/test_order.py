"""Names with raised and lowered figures, long runs of digits and signs of any script: put in order, and published."""

from __future__ import annotations

from html import escape
from pathlib import Path
from random import Random

from hypothesis import given
from hypothesis import strategies as st

from bookgen.look import load_theme
from bookgen.pages import site_files
from bookgen.pipeline import check_book
from bookgen.shown.matter.order import by_letter, in_index_order
from bookgen.shown.shelf import in_natural_order
from tests.books_of_text import MATERIALS, ONE_BALANCE, formula, write_book

from .conftest import leaves

SIGNS = st.sampled_from([*"0129aZ -²₂½٣", "Ⅷ", "③", "TiO₂"]) | st.characters(categories=["N", "L", "P", "S"])
NAMES = st.lists(SIGNS, max_size=12).map("".join)


@given(st.lists(NAMES, max_size=8), st.randoms(use_true_random=False))
def test_any_names_can_be_put_in_order(names: list[str], chance: Random) -> None:
    shuffled = chance.sample(names, len(names))
    assert [in_natural_order(one) for one in sorted(names, key=in_natural_order)] == [
        in_natural_order(one) for one in sorted(shuffled, key=in_natural_order)
    ]
    assert sorted(names, key=in_index_order) == sorted(shuffled, key=in_index_order)
    assert [one for part in by_letter(shuffled, str) for one in part.entries] == sorted(names, key=in_index_order)


@given(NAMES, st.integers(0, 10**40), st.integers(0, 10**40))
def test_numbers_go_by_their_size(name: str, first: int, second: int) -> None:
    texts = [f"{name}-{first}", f"{name}-{second}"]
    assert sorted(texts, key=in_natural_order) == [f"{name}-{one}" for one in sorted((first, second))]


def test_more_digits_than_a_number_may_have() -> None:
    assert in_natural_order("9" * 5000) < in_natural_order("1" + "0" * 5000)


def test_such_names_in_every_place_of_a_book(tmp_path: Path) -> None:
    """As the names of materials, titles, purposes and chapters, two chapters differing in no letter of an address."""
    names = ["tocopherol 10²", "TiO₂", "10₂ and ½", "²", "lot " + "7" * 95, "٣ of ٤"]
    chapters = ["shelf-2²", "shelf-2", "水", "火", "", "²"]
    book = write_book(tmp_path / "book", {}, {"water": MATERIALS["water"]}, ONE_BALANCE)
    for number, (name, chapter) in enumerate(zip(names, chapters, strict=True)):
        text = formula(f"F-{number}", f"m{number}: 5 %; water: to 100 g", f'purpose: "{name}"')
        folder = book / "formulas" / chapter
        folder.mkdir(exist_ok=True)
        (folder / f"f{number}.md").write_text(text.replace(f"Formula F-{number}", f'"{name}"'), "utf-8")
        material = book / "formulas" / "materials" / f"m{number}.md"
        material.write_text(f'---\nname: "{name}"\nalso: ["also {name}"]\n---\n', "utf-8")
    checked, theme = check_book(book), load_theme(book)
    assert not checked.has_errors
    pages = dict(site_files(checked.reckoning, checked.review, theme))
    assert all(escape(name).encode() in pages["index.html"] for name in names)
    codes = [one.code for one in leaves(checked.reckoning, checked.review, theme)]
    assert len({one.casefold() for one in codes}) == len(codes)
