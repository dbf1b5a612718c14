"""What may be typed of a batch in a German book: German words beside the English ones, whole and of a closed list."""

from __future__ import annotations

import re
from datetime import date
from fractions import Fraction
from itertools import chain

import pytest

from bookgen.bench import weigh_batch
from bookgen.findings import Finding
from bookgen.language import TABLES, read_table, speaking, table
from bookgen.language.typed import in_english, typed_words
from bookgen.model import DecimalSign, PieceForm
from bookgen.show import COMMA
from bookgen.shown.shelf import shelf_of
from bookgen.shown.wanted import asked_in_words, wishes
from bookgen.source import read_obtain
from bookgen.wording.saying import says

from ..shared import checked

TYPED = [
    ("doppelt", "twice"),
    ("Die Hälfte", "half"),
    ("1,5-fach", "1,5 x"),
    ("3 mal", "3 x"),
    ("12 mal 50 Milliliter + 5 Prozent", "12 x 50 mL + 5 %"),
    ("250 Gramm", "250 g"),
    ("0,5 Kilogramm", "0,5 kg"),
    ("40 g von Z-01 und 12 g von halb", "40 g of Z-01 and 12 g of halb"),
    ("24 Zäpfchen", "24 suppositories"),
    ("12 + 2 Zäpfchen", "12 + 2 suppositories"),
    ("twice", "twice"),
]
REFUSED = ("halbe", "verdoppelt", "doppelt-halb", "250 Grämmchen", "5 g vonZ-01", "40 g Zäpfchen-Masse")


@pytest.mark.parametrize(("german", "english"), TYPED)
def test_a_batch_typed_in_german_is_the_one_that_english_words_ask_for(german: str, english: str) -> None:
    read = [
        read_obtain(text, DecimalSign.COMMA, form=PieceForm.SUPPOSITORIES, language=language)
        for text, language in ((german, "de-AT"), (english, "en"))
    ]
    assert not isinstance(read[0], Finding)
    assert read[0] == read[1]


@pytest.mark.parametrize("text", REFUSED)
def test_parts_of_words_are_not_read(text: str) -> None:
    assert in_english(text, "de") == text
    assert isinstance(read_obtain(text, DecimalSign.COMMA, language="de"), Finding)


@pytest.mark.parametrize("text", [german for german, _ in TYPED[:10]])
def test_an_english_book_reads_english_alone(text: str) -> None:
    assert isinstance(read_obtain(text, DecimalSign.COMMA), Finding)


@pytest.mark.parametrize("language", TABLES)
def test_no_word_that_may_be_typed_stands_for_two(language: str) -> None:
    words = [*chain.from_iterable(read_table(language, "batch").values())]
    assert len(typed_words(language)) == len(words)
    for form in PieceForm:
        assert {typed_words(language)[table(language)[name].lower()] for name in (form, form.one_piece)} == {form.value}


def test_examples_beside_the_field_are_german_and_read() -> None:
    shelf = shelf_of(checked("german").reckoning, checked("german").review)
    with speaking("de"):
        said = wishes(shelf.reckoning.figures["h-01"], shelf)
    examples = re.split(r", (?![0-9] )| oder ", said.removeprefix("Zum Beispiel "))
    assert examples == ["250 g", "12 x 50 g + 5 %", "20 g von Z-01", "doppelt", "halb", "1,5 x"]
    for text in examples:
        assert not isinstance(read_obtain(text, DecimalSign.COMMA, language="de"), Finding)


def test_the_command_takes_what_the_field_takes() -> None:
    weighing = weigh_batch(checked("german"), "H-01", "doppelt", today=date(2026, 5, 4))
    assert weighing.evaluation.obtain == Fraction(190)


@pytest.mark.parametrize(
    ("typed", "german", "english"),
    [
        ("1,5 x", "1,5 × wie angegeben", "1,5 × as written"),
        ("12 + 2 suppositories", "12 + 2 Zäpfchen", "12 + 2 suppositories"),
        ("1 capsule", "1 Kapsel", "1 capsule"),
        ("40,5 g of Z-01 and 2 g of b", "40,5 g von Z-01 und 2 g von b", "40,5 g of Z-01 and 2 g of b"),
        ("12 x 50 g + 5 %", "12 × 50 g + 5 %", "12 × 50 g + 5 %"),
    ],
)
def test_what_was_asked_for_is_told_in_the_language_of_the_book(typed: str, german: str, english: str) -> None:
    asked = read_obtain(typed, DecimalSign.COMMA)
    assert not isinstance(asked, Finding)
    assert plain_spaces(asked_in_words(asked, COMMA)) == english
    with speaking("de"):
        assert plain_spaces(asked_in_words(asked, COMMA)) == german


def plain_spaces(text: str) -> str:
    return re.sub(r"\s", " ", text)


def test_what_a_page_says_of_pieces_is_german() -> None:
    with speaking("de"):
        counted, others = says("count-pieces", most=5).words(), says("only-these-pieces", form="capsules").words()
    assert counted == "Gezählt wird in ganzen Stück, von 1 bis 5: die Anzahl schreiben."
    assert others == "Diese Rezeptur ergibt Kapseln: nur deren Zahl schreiben."


def test_a_refused_number_has_the_sign_of_the_book() -> None:
    def refused(text: str, form: PieceForm | None = None) -> str:
        found = read_obtain(text, DecimalSign.COMMA, form=form)
        assert isinstance(found, Finding)
        return found.message

    assert refused("0,5", PieceForm.CAPSULES).startswith("To obtain: 0,5 is not a number of pieces")
    assert refused("0,5 x 50 g").startswith("To obtain: 0,5 is not a number of containers")
