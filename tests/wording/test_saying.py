"""What goes into the holes of a sentence: numbers, names, lists, plurals, what was typed."""

from __future__ import annotations

import pickle
from fractions import Fraction

import pytest

from bookgen.show import COMMA, POINT
from bookgen.wording import saying
from bookgen.wording.saying import Fact, Saying, says, told

TENTH = Fraction(1, 10)


def written(monkeypatch: pytest.MonkeyPatch, sentence: str, comma: bool = False, **facts: Fact) -> str:
    """Return a sentence of these facts that no table has."""
    monkeypatch.setattr(saying, "SENTENCES", {"trial": sentence, "inner": "{n} g of it"})
    try:
        return Saying("trial", tuple(facts.items())).words(COMMA if comma else POINT)
    finally:
        monkeypatch.undo()


@pytest.mark.parametrize(
    ("sentence", "facts", "words"),
    [
        ("{a} and {b} g", {"a": "wax", "b": Fraction("2.5")}, "wax and 2.5 g"),
        ("{a}", {"a": 12}, "12"),
        ("{a}", {"a": Fraction(2, 3)}, "0.6667"),
        ("it{a}", {"a": None}, "it"),
        ("{a}", {"a": "x" * 60}, "x" * 60),
        ("{a}", {"a": "x" * 61}, "x" * 59 + "…"),
        ("{a:typed}", {"a": "x" * 40}, "x" * 40),
        ("`{a:typed}`", {"a": "x" * 41}, f"`{'x' * 40}…`"),
        ("{a:whole}", {"a": "x" * 400}, "x" * 400),
        ("{a:stated}", {"a": "to 0.5 L"}, "to 0.5 L"),
        ("{a:and}", {"a": ("a", "b", "c")}, "a, b and c"),
        ("{a:and}", {"a": ("a", "b")}, "a and b"),
        ("{a:and}", {"a": ("oil, sweet", "b")}, "oil, sweet; and b"),
        ("{a:and 2}", {"a": ("a", "b", "c", "d")}, "a, b and 2 others"),
        ("{a:and 2}", {"a": ("a", "b", "c")}, "a, b and c"),
        ("{a:or}", {"a": ("a", "b", "c")}, "a, b or c"),
        ("{a:or}", {"a": ("a",)}, "a"),
        ("{a:or}", {"a": "a"}, "a"),
        ("{a:list}", {"a": ("a", "b", "c")}, "a, b, c"),
        ("{a:either}", {"a": ("a", "b", "c")}, "a; b; or c"),
        ("{a:either}", {"a": ("a",)}, "a"),
        ("{a:within}", {"a": Fraction("0.3301")}, "34 %"),
        ("{a:drop/drops}", {"a": 1}, "1 drop"),
        ("{a:drop/drops}", {"a": 3}, "3 drops"),
        ("{a:~is/are}", {"a": 1}, "is"),
        ("{a:~is/are}", {"a": 2}, "are"),
        ("{a:percent}", {"a": Fraction(1, 8)}, "12.5 %"),
        ("{a:percent}", {"a": Fraction(1, 3)}, "33.3 %"),
        ("{a:rough}", {"a": Fraction(1, 3)}, "33 %"),
        ("{a:least}", {"a": Fraction(25000, 39)}, "641.1"),
        ("{a:beside b} {b:beside a}", {"a": Fraction("99.5"), "b": Fraction(100)}, "99.5 100"),
        ("{a:beside b} {b:beside a}", {"a": Fraction("1.000004"), "b": Fraction(1)}, "1.000004 1.000000"),
        ("{a:2 decimals}", {"a": Fraction(2, 3)}, "0.67"),
        ("{a:3 figures}", {"a": Fraction(2, 3)}, "0.667"),
        ("{a:apart b} {b:apart a}", {"a": Fraction("15.04"), "b": Fraction(15)}, "15.04 15.00"),
        ("{a:percent 2 decimals}", {"a": Fraction(2, 3)}, "66.67 %"),
        ("{a:percent 3 figures}", {"a": Fraction(2, 3)}, "66.7 %"),
        ("{a:percent beside all}", {"a": Fraction("0.9999999")}, "99.99999 %"),
        ("{a:percent apart b}", {"a": Fraction("0.1504"), "b": Fraction("0.15")}, "15.04 %"),
        ("{a}, and {{b}}", {"a": Saying("inner", (("n", 5),))}, "5 g of it, and {b}"),
    ],
)
def test_a_hole_is_filled(monkeypatch: pytest.MonkeyPatch, sentence: str, facts: dict[str, Fact], words: str) -> None:
    assert written(monkeypatch, sentence, **facts) == words


def test_a_book_has_its_own_decimal_sign_throughout(monkeypatch: pytest.MonkeyPatch) -> None:
    within = Saying("inner", (("n", TENTH),))
    sentence = "{a} {a:percent} {a:rough} {a:beside b} {b:stated} {c}, {d:and}"
    facts: dict[str, Fact] = {"a": TENTH / 4, "b": "0.5 L", "c": within, "d": (TENTH, within)}
    assert written(monkeypatch, sentence.replace("{a:beside b} ", ""), comma=True, **facts) == (
        "0,025 2,5 % 2,5 % 0,5 L 0,1 g of it, 0,1 and 0,1 g of it"
    )


def test_a_saying_is_data() -> None:
    one = says("mean", name="wax")
    assert one == says("mean", name="wax") != says("mean", name="tar")
    assert len({one, says("mean", name="wax")}) == 1
    assert pickle.loads(pickle.dumps(one)) == one
    assert one.fact("name") == "wax"
    assert one.but(name="tar") == says("mean", name="tar")
    assert str(one) == " Did you mean wax?"
    assert str(told("The disk is full.")) == "The disk is full."


def test_a_hole_without_its_fact_and_a_fact_of_the_wrong_kind_are_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    with pytest.raises(KeyError):
        written(monkeypatch, "{a}", b="x")
    with pytest.raises(AssertionError):
        written(monkeypatch, "{a:percent}", a="x")
    with pytest.raises(KeyError):
        says("there-is-no-such-sentence").words()


def test_a_name_keeps_the_signs_it_was_typed_with():
    said = says("no-phase", name="oils 1.2", wanted="A, oils 1.2")
    assert said.words(COMMA) == "`oils 1.2` is not a phase: a phase is one capital letter, write `A, oils 1.2:`."


@pytest.mark.parametrize(
    ("said", "words"),
    [
        (
            says("supply-too-little", amount="2.5 g", name="urea"),
            "2,5 g of urea is too little to measure a batch from",
        ),
        (
            says("all-are-one", strength="2.5 %", wanted="1.5 %"),
            "all of them are 2,5 %, and so is every mixture of them; 1,5 % is wanted",
        ),
    ],
)
def test_an_amount_is_said_again_with_the_sign_of_the_book(said: Saying, words: str) -> None:
    assert said.words(COMMA) == words


@pytest.mark.parametrize(
    ("name", "facts", "stands"),
    [
        ("strength-either-way", {"digits": "70.5", "amount": "60.5 g"}, ["of 70,5 %` can", "60,5 g of 70,5 %vol"]),
        ("evaporates-beyond-all", {"lost": "20.5 g", "name": "water"}, ["20,5 g cannot"]),
    ],
)
def test_figures_as_written_are_told_with_the_sign_of_the_book(name, facts, stands):
    words = Saying(name, tuple(facts.items())).words(COMMA).replace("\u202f", " ")
    assert [part for part in stands if part not in words] == [], words
