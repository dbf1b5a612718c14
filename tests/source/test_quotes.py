"""Advice about quotes is YAML that reads as the text that was meant."""

from __future__ import annotations

import pytest
import yaml
from hypothesis import given
from hypothesis import strategies as st

from bookgen.source import book_from
from bookgen.source.quotes import quoted

FORMULA = "---\ncode: A-1\ntitle: {}\ningredients:\n  x: to 1 g\n---\n"


@given(st.text(st.characters(codec="ascii", min_codepoint=32, max_codepoint=126), max_size=40))
def test_a_quoted_text_is_read_as_it_was(text: str) -> None:
    assert yaml.load(f"key: {quoted(text)}", Loader=yaml.BaseLoader) == {"key": text}


@pytest.mark.parametrize(
    "title",
    ['Blend "citrus: #3"', "Rose: the third", 'It\'s: a "test"', '"Winter" balm', "@home", '@home "x"', "a\\b: c"],
)
def test_advice_fed_back_is_read_without_a_finding(title: str) -> None:
    (finding,) = book_from({"formulas/a.md": FORMULA.format(title).encode()}).findings
    advice = finding.message.rpartition("in quotes, ")[2].removesuffix(".")
    book = book_from({"formulas/a.md": FORMULA.format(advice).encode()})
    assert book.findings == ()
    assert book.formulas["a-1"].title == title


def test_advice_about_a_long_value_does_not_repeat_it() -> None:
    title = 'it\'s "long": ' + "x" * 200
    (finding,) = book_from({"formulas/a.md": FORMULA.format(title).encode()}).findings
    assert len(finding.message) < 350
    assert finding.message.endswith("in single quotes, '…', and write each ' inside of it twice.")
