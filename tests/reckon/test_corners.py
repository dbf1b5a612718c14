"""Corners where a figure was once wrong or silently 0: each is one mistake found by trial."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest

from bookgen.findings import Missing
from bookgen.reckon.doubt import measuring_error
from bookgen.reckon.figures import reckon
from bookgen.reckon.weighed import taken_grams
from bookgen.reckon.weighing import Weighing
from bookgen.reckon.weighing import weigh as weigh_batch
from bookgen.show import exact
from bookgen.source import read_book, read_obtain

from ..books_of_text import MATERIALS, check, column, formula, run, weigh, write_book

BY_VOLUME = "a: 10 g; water: to 1000 mL"


def one(folder: Path, ingredients: str, *keys: str, **more: Any) -> Path:
    return write_book(folder / "book", {"F": formula("F", ingredients, *keys)}, **more)


def several(folder: Path, **formulas: str) -> Path:
    return write_book(folder / "book", formulas)


def made_first(answer: dict[str, Any], code: str) -> dict[str, Any]:
    return next(made for made in answer["make_first"] if made["code"] == code)


def test_a_usual_amount_in_drops_is_counted(tmp_path: Path) -> None:
    line = weigh(one(tmp_path, "a: 10 g; oil: q.s. to scent (about 30 drops); b: to 100 g"), "F")["lines"][1]
    assert (line["measure"], line["drops"], line["grams"]) == ("weigh", 30, "0.75")  # the balance is surer


def test_a_usual_amount_names_its_dropper(tmp_path: Path) -> None:
    two = {**MATERIALS, "oil": "drops:\n  first: 0.025 g\n  second: 0.05 g"}
    text = "a: 10 g; oil: q.s. to scent (about 3 drops of second); b: to 100 g"
    line = weigh(one(tmp_path, text, materials=two), "F")["lines"][1]
    assert (line["with"], line["drops"], line["grams"]) == ("second", 3, "0.15")


def test_drops_of_fixed_weight_vary_by_a_third_too(tmp_path: Path) -> None:
    line = weigh(one(tmp_path, "a: 3 drops (0.06 g); b: to 100 g"), "F")["lines"][0]
    assert (line["drops"], line["grams_low"], line["grams_high"]) == (3, "0.04", "0.08")
    figure = reckon(read_book(tmp_path / "book")).figures["f"].amounts.lines[0]
    assert (str(figure.low), str(figure.high)) == ("1/25", "2/25")


def test_a_part_may_be_a_volume(tmp_path: Path) -> None:
    answer = weigh(one(tmp_path, "water: 2 parts; gly: 1 part", "part: 5 mL"), "F")
    assert column(answer, "grams") == ["10", "6.3"]
    assert column(answer, "ml") == ["10", "5"]


@pytest.mark.parametrize(("loss", "ml"), [("20 %", "100"), ("20 g", "100")])
def test_a_volume_allows_for_the_added_loss(tmp_path: Path, loss: str, ml: str) -> None:
    text = f"water: {{amount: 80 mL, evaporates: {loss}, added: yes}}; gly: 20 g"
    line = weigh(one(tmp_path, text), "F")["lines"][0]
    assert (line["grams"], line["ml"]) == ("100", ml)


def test_an_intermediate_asked_for_in_g_and_ml_is_not_half_made(tmp_path: Path) -> None:
    book = several(
        tmp_path,
        I1=formula("I1", BY_VOLUME),
        I2=formula("I2", "I1: 60 g; b: to 100 g"),
        F=formula("F", "I1: 10 mL; I2: 20 g; water: to 1000 mL"),
    )
    made = made_first(weigh(book, "F"), "I1")
    assert (made["obtain_g"], made["start_ml"]) == (None, None)


def test_an_intermediate_made_up_to_a_volume_is_not_0(tmp_path: Path) -> None:
    book = several(tmp_path, I1=formula("I1", BY_VOLUME), F=formula("F", "a: 10 g; I1: to 1000 mL"))
    made = made_first(weigh(book, "F", "500 mL"), "I1")
    assert (made["obtain_g"], made["start_ml"]) == (None, None)
    assert made["why"]["start_ml"]


def test_an_intermediate_in_ml_alone_is_made_by_volume(tmp_path: Path) -> None:
    book = several(tmp_path, I1=formula("I1", BY_VOLUME, "yield: 80 %"), F=formula("F", "I1: 10 mL; water: to 100 mL"))
    assert made_first(weigh(book, "F", "400 mL"), "I1")["start_ml"] == "50"


def test_an_intermediate_taken_by_drops_is_not_0_on_a_coarse_balance(tmp_path: Path) -> None:
    book = write_book(
        tmp_path / "book",
        {"I1": formula("I1", "a: 50 %; b: to 100 g"), "F": formula("F", "I1: 6 drops (0.3 g); b: to 100 g")},
        workroom="balances:\n  - {name: kitchen, readability: 1 g}\n",
    )
    made = made_first(weigh(book, "F"), "I1")
    assert (made["needed_g"], made["obtain_g"]) == ("0.3", "1")


def test_a_fill_too_small_to_weigh_is_not_0(tmp_path: Path) -> None:
    answer = weigh(one(tmp_path, "a: 99.99 %; b: to 100 g"), "F", "20 g")
    assert column(answer, "metered_g") == ["20.00", None]
    assert column(answer, "grams") == ["19.998", "0.002"]
    assert "less than the balance shows" in answer["lines"][1]["why"]["metered_g"]
    assert answer["printed_total_g"] == "20"
    assert "0.002 g of b" in answer["why"]["printed_total_g"].replace("\u202f", " ")


def test_a_fill_of_nothing_is_nothing(tmp_path: Path) -> None:
    answer = weigh(one(tmp_path, "a: 50 %; c: 50 %; b: to 100 g"), "F", "1.01 g")
    assert column(answer, "metered_g") == ["0.51", "0.51", "0.00"]
    assert answer["printed_total_g"] == "1.02"


def test_drops_by_volume_count_without_a_weight(tmp_path: Path) -> None:
    book = one(tmp_path, "c: 3 drops; water: to 100 mL")
    line = weigh(book, "F", "200 mL")["lines"][0]
    assert (line["measure"], line["drops"], line["grams"], line["metered_g"]) == ("drops", 6, None, None)
    line = weigh(book, "F", "125 mL")["lines"][0]
    assert (line["drops_exact"], line["drops"], line["drop_error_percent"]) == ("3.75", 4, "20/3")
    line = weigh(book, "F", "130 mL")["lines"][0]
    assert (line["drops"], line["drop_error_percent"]) == (4, "100/39")
    assert weigh(book, "F", "2 L")["lines"][0]["drops"] == 60
    assert weigh(book, "F", "10 mL")["lines"][0]["drops"] is None  # less than half a drop


def test_a_weight_that_just_fits_is_one_portion(tmp_path: Path) -> None:
    book = one(tmp_path, "a: 50 %; b: to 100 g")
    reckoning = reckon(read_book(book))
    for grams, portions in (("4000.008 g", 1), ("4000.02 g", 2), ("8000 g", 2), ("8000.02 g", 3)):
        batch = weigh_batch(reckoning, "f", obtain=obtained(grams))
        assert isinstance(batch, Weighing)
        assert batch.evaluation.lines[0].portions == portions, grams


def obtained(text: str) -> Any:
    return read_obtain(text)


def link_weights(folder: Path, ingredients: str, links: str, batch: str) -> list[str]:
    text = formula("F", ingredients) + f"\n## Method\n\n{links}\n"
    reckoning = reckon(read_book(write_book(folder / "book", {"F": text})))
    found = weigh_batch(reckoning, "f", obtain=obtained(batch))
    assert isinstance(found, Weighing)
    return [exact(link.grams) if not hasattr(link.grams, "reason") else "" for link in found.links]


def test_many_small_portions_never_go_below_nothing(tmp_path: Path) -> None:
    sixths = " ".join("[some](amount:a*1/6)" for _ in range(6))
    weights = link_weights(tmp_path, "a: 0.3 g; b: to 100 g", sixths, "100 g")
    assert weights == ["0.05"] * 6
    weights = link_weights(tmp_path / "small", "a: 2.1 g; b: to 1000 g", sixths, "100 g")
    assert weights == ["0.04", "0.04", "0.04", "0.04", "0.04", "0.01"]


def test_thirds_complete_the_whole_where_the_whole_is_named_too(tmp_path: Path) -> None:
    links = f"[all](amount:a) {' '.join(['[a third](amount:a*1/3)'] * 3)} [all of it](amount:a)"
    assert link_weights(tmp_path, "a: 10 g; b: to 100 g", links, "100 g") == ["10", "3.33", "3.33", "3.34", "10"]


def test_portions_in_drops_are_whole_and_complete(tmp_path: Path) -> None:
    halves = "[half](amount:oil*1/2) [half](amount:oil*1/2)"
    text = formula("F", "oil: 3 drops; b: to 100 g") + f"\n## Method\n\n{halves}\n"
    found = weigh_batch(reckon(read_book(write_book(tmp_path / "book", {"F": text}))), "f")
    assert isinstance(found, Weighing)
    assert [link.drops for link in found.links] == [2, 1]


def test_another_dropper_counts_in_intermediates_too(tmp_path: Path) -> None:
    two = {**MATERIALS, "oil": "drops:\n  first: 0.025 g\n  second: 0.05 g"}
    book = write_book(
        tmp_path / "book",
        {"I1": formula("I1", "oil: 4 drops; b: to 100 g"), "F": formula("F", "I1: 50 %; b: to 200 g")},
        two,
    )
    reckoning = reckon(read_book(book))
    for dropper, drops in ((None, 4), ("second", 2)):
        found = weigh_batch(reckoning, "f", dropper=dropper)
        assert isinstance(found, Weighing)
        evaluation = found.make_first[0].evaluation
        assert evaluation is not None
        assert evaluation.lines[0].drops == drops


def test_about_by_volume_lets_the_sum_count(tmp_path: Path) -> None:
    book = one(tmp_path, "a: 50 % w/v; water: 500 mL", "makes: about 1000 mL", "density: 1.1")
    answer = weigh(book, "F")
    assert (answer["makes"]["g"], answer["makes"]["ml"]) == ("1000", "10000/11")
    assert answer["lines"][0]["percent"] == "55"
    assert "909.1 mL" in check(book)[0]["message"]


def test_lines_that_all_say_what_is_left_make_no_known_product(tmp_path: Path) -> None:
    status, answer = run(one(tmp_path, "a: {amount: 5 g, left: 5 %}"), "weigh", "F")
    assert (status, answer["composition"]) == (0, None)
    assert answer["why"]["composition"] == (
        "every line says what is left of it, and together that is not the whole product"
    )
    whole = weigh(one(tmp_path / "whole", "a: {amount: 5 g, left: 100 %}"), "F")
    assert whole["composition"] == [{"material": "a", "percent": "100"}]


def test_a_formula_without_ingredients_is_not_weighed(tmp_path: Path) -> None:
    empty = "---\ncode: E1\ntitle: Nothing yet\nuse: intermediate\ningredients:\n---\n"
    book = several(tmp_path, E1=empty, F=formula("F", "E1: 5 g; a: to 100 g"))
    (finding,) = check(book)
    assert (finding["severity"], finding["line"]) == ("error", 2)
    for code in ("E1", "F"):
        status, answer = run(book, "weigh", code)
        assert (status, answer["barred"], answer["lines"]) == (1, True, [])


def test_content_of_the_dried_material_allows_for_its_moisture(tmp_path: Path) -> None:
    """98.4 % of what is dried with a loss of 6.5 % is 92.004 % (own arithmetic)."""
    salt = {**MATERIALS, "salt": "contains:\n  citrate: 98.4 % of dried\ndrying: 6.5 %"}
    line = weigh(one(tmp_path, "salt: 9.2004 g as citrate; b: to 100 g", materials=salt), "F")["lines"][0]
    assert line["grams"] == "10"


def test_of_two_balances_with_one_step_the_larger_weighs(tmp_path: Path) -> None:
    room = "".join(f"  - {{name: {name}, readability: 0.01 g{most}}}\n"
                   for name, most in (("small", ", capacity: 200 g"), ("free", "")))  # fmt: skip
    line = weigh(one(tmp_path, "a: 10 g; b: to 100 g", workroom=f"balances:\n{room}"), "F")["lines"][0]
    assert line["with"] == "free"


@pytest.mark.parametrize(("batch", "drops", "way"), [("20 g", None, "50 g: 1 drop"), ("50 g", 1, None)])
def test_one_drop_is_the_least(tmp_path: Path, batch: str, drops: int | None, way: str | None) -> None:
    line = weigh(one(tmp_path, "oil: 2 drops; b: to 100 g"), "F", batch)["lines"][0]
    assert (line["drops"], line["why"].get("measure")) == (drops, way)


def test_a_fill_that_fits_leaves_nothing_short(tmp_path: Path) -> None:
    makes = reckon(read_book(one(tmp_path, "a: 10 g; b: to 100 g"))).figures["f"].amounts.makes
    assert (makes.short, makes.total) == (0, 100)


def test_less_than_a_gram_is_made_like_any_other_amount(tmp_path: Path) -> None:
    fine = "balances:\n  - {name: fine, readability: 0.0001 g, capacity: 20 g}\n"
    answer = weigh(one(tmp_path, "a: 40 %; b: to 0.5 g", "yield: 80 %", workroom=fine), "F")
    assert column(answer, "grams") == ["0.2", "0.3"]
    assert answer["start_g"] == "0.5"


def test_what_the_parts_share_may_be_less_than_a_gram(tmp_path: Path) -> None:
    answer = weigh(one(tmp_path, "a: 99.5 %; b: 2 parts; c: 3 parts"), "F")
    assert column(answer, "grams") == ["99.5", "0.2", "0.3"]


@pytest.mark.parametrize(("grams", "taken"), [("0.051 g", "0.05"), ("0.049 g", "0.05"), ("0.05 g", "0.05")])
def test_drops_leave_the_shelf_as_they_fall(tmp_path: Path, grams: str, taken: str) -> None:
    """Two drops of 0.025 g, whatever the weight that they stand for."""
    figures = reckon(read_book(one(tmp_path, f"oil: {grams}; a: 100 g"))).figures["f"]
    assert not isinstance(figures.written, Missing)
    assert taken_grams(figures.written.lines[0]) == Fraction(taken)


def test_drops_never_take_more_than_is_there_as_printed(tmp_path: Path) -> None:
    """39 drops of 0.03 g are 1.17 g, printed 1.2 g: of 1.19 g only 38 are counted, printed 1.1 g (own arithmetic)."""
    kitchen = "accepted error: 10 %\nbalances:\n  - {name: kitchen scale, readability: 1 g}\n"
    drops = {**MATERIALS, "oil": "water: 0 %\ndrops:\n  pipette: 0.03 g"}
    book = one(tmp_path, "oil: 1 %; a: to 100 g", materials=drops, workroom=kitchen)
    answer = run(book, "weigh", "F", "--obtain", "1.19 g of oil")[1]
    assert (answer["lines"][0]["drops"], answer["lines"][0]["metered_g"]) == (38, "1.1")
    assert answer["supplies"][0]["used_g"] == "1.14"


@pytest.mark.parametrize(
    ("fill", "printed", "held"), [("to 111.1 g", "21.10", "fine"), ("to 391.1 g", "301", "kitchen")]
)
def test_a_fill_heavier_than_its_balance_holds_is_weighed_in_portions(
    tmp_path: Path, fill: str, printed: str, held: str
) -> None:
    """It takes up what the others are rounded by: 19.9 g exactly, 21.10 g printed on a balance that holds 20 g."""
    bench = "accepted error: 10 %\nbalances:\n  - {name: fine, readability: 0.01 g, capacity: 20 g}\n"
    bench += "  - {name: kitchen, readability: 1 g, capacity: 300 g}\n"
    book = one(tmp_path, f"a: 30.4 g; b: 30.4 g; c: 30.4 g; gly: {fill}", workroom=bench)
    weighing = weigh_batch(reckon(read_book(book)), "f")
    assert isinstance(weighing, Weighing)
    line = weighing.evaluation.lines[3]
    assert (line.with_, line.printed, line.portions) == (held, Fraction(printed), 2)
    assert isinstance(line.grams, Fraction)
    assert line.step is not None
    off = max(line.printed + 2 * line.step - line.grams, line.grams - line.printed + 2 * line.step) / line.grams
    assert measuring_error(line) == off


def test_full_portions_exactly_at_the_accepted_error(tmp_path: Path) -> None:
    """Each 2 g on a balance that shows 0.1 g are 5 % off, and so is any number of them."""
    bench = "balances:\n  - {name: small, readability: 0.1 g, capacity: 2 g}\n"
    bench += "  - {name: kitchen, readability: 1 g, capacity: 300 g}\n"
    answer = weigh(one(tmp_path, "a: 4 g; b: to 100 g", workroom=bench), "F")
    line = answer["lines"][0]
    assert (line["with"], line["shown"], line["error_percent"]) == ("small", "4.0 g", "5")


def test_full_portions_within_the_accepted_error_are_nothing_to_ask_about(tmp_path: Path) -> None:
    """Two portions on a balance that shows 0.05 g and holds 2 g are 2.5 % off for 4 g."""
    bench = "balances:\n  - {name: small, readability: 0.05 g, capacity: 2 g}\n"
    bench += "  - {name: kitchen, readability: 1 g, capacity: 300 g}\n"
    book = one(tmp_path, "a: 4 g; b: to 100 g", workroom=bench)
    assert [found["rule"] for found in check(book) if found["rule"] == "below-least-weighable"] == []
    line = weigh(book, "F")["lines"][0]
    assert (line["with"], line["error_percent"]) == ("small", "2.5")
