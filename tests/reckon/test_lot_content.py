"""What is weighed of a lot that holds more or less of a substance than its material says, before the batch."""

from __future__ import annotations

from datetime import date
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis.strategies import integers

from bookgen.findings import Missing
from bookgen.reckon.figures import reckon
from bookgen.reckon.from_shelf import LotTake
from bookgen.reckon.measure import half_up
from bookgen.reckon.weighing import weigh
from bookgen.show import POINT
from bookgen.shown.from_shelf import content_words, lots_in_short
from bookgen.source import book_from

DAY = date(2026, 11, 30)
ROOM = "balances:\n  - {name: bench, readability: STEP, capacity: 2000 g}\n"


def proposal(amount: str, lots: str, step: str = "0.01 g"):
    """The proposal for one line of lactic acid 80 % in 300 g."""
    acid = f"name: acid\ncontains: {{lactic acid: 80 %}}\nwater: 20 %\nlots:\n{lots}"
    texts = {
        "materials/acid": acid,
        "materials/water": "name: water\nwater: 100 %\n",
        "s": f"code: S-1\ntitle: S\nmakes: 300 g\ningredients:\n  acid: {amount}\n  water: to 300 g\n",
    }
    files = {f"formulas/{name}.md": f"---\n{text}---\n".encode() for name, text in texts.items()}
    files["formulas/workroom.yaml"] = ROOM.replace("STEP", step).encode()
    batch = weigh(reckon(book_from(files)), "s-1", today=DAY)
    assert not isinstance(batch, Missing)
    assert batch.from_shelf is not None
    ((found,),) = (batch.from_shelf.lines[0],)
    return found


def lot(code: str, content: str, more: str = "amount: 100 g") -> str:
    return f"  {code}: {{content: {content}, {more}}}\n"


# 0.904 g of lactic acid are 1.13 g of the 80 % one; of one of 88.5 % 1.0215 g carry as much.
@pytest.mark.parametrize(
    ("lots", "takes", "words"),
    [
        (lot("L-1", "88.5 %"), ["1.02"], ["L-1: lactic acid 88.5 %, planned 80 %: weigh 1.02 g instead of 1.13 g"]),
        (lot("L-1", "72 %"), ["1.26"], ["L-1: lactic acid 72 %, planned 80 %: weigh 1.26 g instead of 1.13 g"]),
        (lot("L-1", "80 %"), ["1.13"], []),
        (lot("L-1", "80.1 %"), ["1.13"], []),  # the balance shows no difference
        # 0.40 g of the strong one stand for 0.4425 g; the 0.6875 g that remain are taken of the usual one
        (
            lot("L-1", "88.5 %", "amount: 0.4 g, expires: 2027-01-31") + lot("L-2", "80 %"),
            ["0.4", "0.6875"],
            ["L-1: lactic acid 88.5 %, planned 80 %: weigh 0.40 g instead of 0.44 g"],
        ),
        (
            lot("L-1", "88.5 %", "expires: 2027-01-31"),
            [None],
            ["L-1: lactic acid 88.5 %, planned 80 %: weigh 1.02 g instead of 1.13 g"],
        ),
    ],
)
def test_what_is_weighed_of_a_lot_of_another_content(lots: str, takes: list[str | None], words: list[str]) -> None:
    found = proposal("0.904 g as lactic acid", lots)
    assert [None if isinstance(take.take, Missing) else take.take for take in found.takes] == [
        None if grams is None else Fraction(grams) for grams in takes
    ]
    told = [sentence.replace("\u202f", " ") for sentence in content_words(found, POINT)]
    assert told == words


def test_of_what_counts_the_material_itself_nothing_changes() -> None:
    found = proposal("1.13 g", lot("L-1", "88.5 %"))
    assert [(take.take, take.content) for take in found.takes] == [(Fraction("1.13"), None)]


def test_what_is_taken_through_a_stock_says_how_many_times_as_much() -> None:
    found = proposal("0.02 g as lactic acid", lot("L-1", "88.5 %"), step="0.1 g")
    told = [sentence.replace("\u202f", " ") for sentence in content_words(found, POINT)]
    assert told == ["L-1: lactic acid 88.5 %, planned 80 %: take 0.904 times as much"]


@given(integers(50, 100), integers(1, 500), integers(1, 100))
@settings(max_examples=15, deadline=None)
def test_what_is_taken_of_any_lots_carries_what_was_planned(percent: int, carried: int, there: int) -> None:
    """Content × weight is the same within half a step of the balance for each lot that is weighed."""
    lots = lot("L-1", f"{percent} %", f"amount: {there} g, expires: 2027-01-31") + lot("L-2", "90 %", "amount: 2 kg")
    found = proposal(f"{carried} g as lactic acid", lots, step="0.001 g")
    planned = half_up(Fraction(carried) * 100 / 80, Fraction(1, 1000))
    shares = {"L-1": Fraction(percent, 100), "L-2": Fraction(90, 100)}
    carries = sum(grams(take) * shares[take.lot.account.code] for take in found.takes)
    assert abs(carries - planned * Fraction(80, 100)) <= Fraction(1, 1000)


def grams(take: LotTake) -> Fraction:
    assert isinstance(take.take, Fraction)
    return take.take


def test_lots_in_short_name_each_with_its_date() -> None:
    lots = lot("L-1", "80 %", "amount: 0.5 g, expires: 2027-01-31") + lot("L-2", "80 %")
    found = proposal("0.904 g as lactic acid", lots)
    told = lots_in_short((found,), POINT).replace("\u202f", " ")
    assert told == "0.5 g L-1 until 2027-01-31, then 0.63 g L-2"
