"""What stands around the figures of a batch: digits of its head, what is refused, what is left out of a sum."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import pytest
from click.testing import CliRunner

from bookgen.cli import main
from tests.books_of_text import MATERIALS, formula, run, weigh, write_book


def text(book: Path, *arguments: str) -> str:
    result = CliRunner().invoke(main, [*arguments, "--book", str(book)])
    return result.output.replace("\u202f", " ").replace("\u00a0", " ")


@pytest.fixture
def book(tmp_path: Path) -> Path:
    return write_book(
        tmp_path / "book",
        {
            "f": formula("F", "a: 10 %; b: to 100 g", "yield: 90 %"),
            "v": formula("V", "a: 10 %; b: to 100 g", "density: 0.948"),
            "aid": formula("AID", "a: {amount: 3.2 g, removed: filtered}; b: to 100 g"),
        },
    )


def test_a_batch_of_less_than_a_step_is_refused(book: Path):
    status, answer = run(book, "weigh", "F", "--obtain", "0.001 g")
    assert (status, answer["lines"]) == (1, [])
    assert "0.001111 g in all is less than the balance reads (0.01 g)" in answer["why"]["lines"]
    assert run(book, "weigh", "F", "--obtain", "0.009 g")[0] == 0  # 0.01 g in all


def test_the_head_has_the_digits_of_the_balance_or_those_that_are_asked(book: Path):
    # own arithmetic: 33.333 g ÷ 0.948 g/mL is 35.16 mL; 250 g ÷ 0.9 is 277.78 g
    assert "To obtain 33.333 g  ·  weigh in all 33.33 g" in text(book, "weigh", "V", "--obtain", "33.333 g")
    assert "To obtain 250 g  ·  weigh in all 277.78 g" in text(book, "weigh", "F", "--obtain", "250 g")
    assert "To obtain 33 g of b = 33 g  ·" in text(book, "weigh", "F", "--obtain", "33 g of b")


def test_a_batch_from_what_is_there_takes_no_more_than_is_there(tmp_path: Path):
    kitchen = "balances:\n  - {name: kitchen scale, readability: 1 g, capacity: 5000 g}\n"
    texts = {"f": formula("F", "a: 60 %; b: to 100 g"), "g": formula("G", "F: 50 %; b: to 100 g")}
    book = write_book(tmp_path / "kitchen", texts, workroom=kitchen)
    answer = weigh(book, "F", "250.6 g of a")
    # own arithmetic: 250.6 ÷ 0.6 is 417.67 g, of which 250.6 g are weighed as 251; of 417 g 250 g are
    assert (answer["obtain"]["g"], answer["lines"][0]["metered_g"]) == ("417", "250")
    (supply,) = answer["supplies"]
    assert (supply["used_g"], supply["left_g"], supply["limits"]) == ("250", "0.6", True)
    assert "Of a 250 g are used, 0.6 g of 250.6 g are left." in text(book, "weigh", "F", "--obtain", "250.6 g of a")
    # 250.6 g of a make 835.3 g by way of F, which is made in whole grams: 417 g of it hold 250 g
    answer = weigh(book, "G", "250.6 g of a")
    first = weigh(book, "F", f"{answer['make_first'][0]['obtain_g']} g")
    assert first["lines"][0]["metered_g"] == answer["supplies"][0]["used_g"] == "250"


def test_no_weight_is_rounded_to_more_than_the_balance_holds(tmp_path: Path):
    """19.9996 g would be printed as 20.000 on a balance that holds 19.9997 g, so the next one takes it."""
    balances = "balances:\n  - {name: fine, readability: 0.001 g, capacity: 19.9997 g}\n"
    balances += "  - {name: bench, readability: 0.1 g, capacity: 2000 g}\n"
    book = write_book(tmp_path / "held", {"f": formula("F", "a: 19.9996 g; c: 19.999 g; b: to 100 g")}, {
        name: MATERIALS[name] for name in "abc"
    }, balances)  # fmt: skip
    a, c, _ = weigh(book, "F")["lines"]
    assert (a["with"], a["metered_g"]) == ("bench", "20.0")
    assert (c["with"], c["metered_g"]) == ("fine", "19.999")


def test_what_is_taken_out_again_is_not_in_the_weight_in_all(book: Path):
    assert "weigh in all 100.00 g (without what is taken out again)" in text(book, "weigh", "AID")
    assert "without what is taken out again" not in text(book, "weigh", "F")


def test_a_line_that_cannot_be_measured_is_not_shown_as_a_volume(tmp_path: Path):
    book = write_book(tmp_path / "book", {"f": formula("F", "water: 0.003 mL; a: to 100 g")})
    line = weigh(book, "F")["lines"][0]
    assert (line["measure"], line["ml"]) == ("none", "0.003")
    assert line["shown"].replace("\u202f", " ") == "0.003 g, less than the balance shows"


def test_a_surplus_without_containers_names_an_example(book: Path):
    for typed in ("+ 5 %", "5 g. + 5 %"):
        said = run(book, "weigh", "F", "--obtain", typed)[1]["why"]["lines"]
        assert "write  or" not in said
        assert ".," not in said
        assert "250 g" in said


def test_json_says_of_volumes_what_the_sentence_says(tmp_path: Path):
    def diluted(*arguments: str) -> dict[str, object]:
        status, answer = run(write_book(tmp_path / str(len(list(tmp_path.iterdir()))), {}), *arguments)
        assert status == 0
        return answer

    marked = diluted("dilute", "10% v/v", "to", "1% v/v", "--obtain", "100 mL")
    assert any("make up to the mark" in one for one in marked["remarks"])
    assert "add up" not in marked["why"]["contraction_ml"]
    added = diluted("mix", "10 mL of 10% v/v", "10 mL of 1% v/v")
    assert any("taken to add up" in one for one in added["remarks"])
    assert added["why"]["contraction_ml"] == "the volumes are taken to add up"


def test_a_spirit_shows_its_strength_by_volume(tmp_path: Path):
    spirit = {"spirit": "density: 0.8074\nkind: liquid\ncontains:\n  ethanol: 96 %vol", **MATERIALS}
    book = write_book(
        tmp_path / "book",
        {
            "rub": formula("RUB", "spirit: 833.3 mL; gly: 14.5 mL; water: to 1000 mL", "density: 0.8615"),
            "warm": formula("WARM", "spirit: 833.3 mL; water: to 1000 mL", "density: 0.86 g/mL at 25 °C"),
            "bare": formula("BARE", "spirit: 60 %; water: to 100 g"),
        },
        spirit,
    )
    # own arithmetic: 833.3 mL of 96 %vol hold 799.97 mL of ethanol in 1000 mL
    (ethanol,) = (one for one in weigh(book, "RUB")["carries"] if one["substance"] == "ethanol")
    assert round(float(ethanol["percent_vol"]), 1) == 80.0
    assert (Fraction(ethanol["percent_vol"]) * 10**7).denominator == 1, "to the billionth of the whole"
    assert (Fraction(ethanol["percent_vol"]) * 10**7).numerator % 2 == 1, "and no coarser"
    for code, reason in (("WARM", "is not given at 20 °C"), ("BARE", "is not written")):
        answer = weigh(book, code)
        assert [one["percent_vol"] for one in answer["carries"]] == [None]
        assert answer["why"]["carries.percent_vol"].endswith(reason)


def test_diluted_ethanol_is_as_sure_as_its_strong_part_everywhere(tmp_path: Path):
    """0.4 g of it and 0.9 g of water on 0.1 g: 0.447 g exactly, 0.3 g at the least (own arithmetic); 2 g are enough."""
    spirit = "density: 0.8074\nsoluble: water\nkind: liquid\ncontains:\n  ethanol: 96 %vol\nwater: 6.16 %"
    bench = "balances:\n  - {name: bench, readability: 0.1 g, capacity: 500 g}\n"
    book = write_book(tmp_path / "book", {"F": formula("F", "spirit: 3 g of 40 %vol; b: to 50 g")},
        {**MATERIALS, "spirit": spirit}, bench)  # fmt: skip
    answer, said = run(book, "weigh", "F", "--obtain", "21 g")[1], text(book, "weigh", "F", "--obtain", "21 g")
    line = answer["lines"][0]
    off = Fraction(line["error_percent"])
    within = line["shown"].partition("to within ")[2].replace("\u202f", " ")
    assert f"to within {within}" in said
    assert off <= Fraction(within.removesuffix(" %")) < off + 1
    batch, way = line["why"]["measure"].split(" g: ")
    assert way == "weighed"
    strong = run(book, "weigh", "F", "--obtain", f"{batch} g")[1]["lines"][0]["blend"]["strong_g"]
    assert Fraction(strong) >= 2


def test_the_least_that_a_share_can_be_is_0_not_a_figure_of_it(tmp_path: Path):
    book = write_book(tmp_path / "book", {"F": formula("F", "a: 0.01 g; b: to 0.7 g")})
    assert "It may really be 0 to " in text(book, "weigh", "F")


def test_a_fill_that_shows_on_no_balance_is_not_less_than_the_balance_shows_so_many_ml(tmp_path: Path):
    scale = "balances:\n  - {name: kitchen scale, readability: 1 g}\n"
    book = write_book(
        tmp_path / "book", {"F": formula("F", "a: 60 g; water: to 100 mL", "density: 1.1")}, workroom=scale
    )
    said = text(book, "weigh", "F", "--obtain", "0.95 mL")
    assert "(0.475)  less than the balance shows\n" in said
