"""Strengths as they are written at the bench: read as they are meant, or refused with what to write."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bookgen.model import DecimalSign, Strength, StrengthBasis
from bookgen.source.strengths import read_strength
from bookgen.units import Complaint

VOL, WW, WV, VV = StrengthBasis.VOL, StrengthBasis.WW, StrengthBasis.WV, StrengthBasis.VV
READ = {
    "96%vol": ("0.96", VOL, "96 %vol"),
    "96 % vol.": ("0.96", VOL, "96 %vol"),
    "96\u202f%\u00a0vol": ("0.96", VOL, "96 %vol"),
    "40 % ABV": ("0.40", VOL, "40 %vol"),
    "40 % w/w": ("0.40", WW, "40 % w/w"),
    "40%(m/m)": ("0.40", WW, "40 % w/w"),
    "40 % by weight": ("0.40", WW, "40 % w/w"),
    "40% w/v": ("0.40", WV, "40 % w/v"),
    "40 % m / v": ("0.40", WV, "40 % w/v"),
    "40 % v/v": ("0.40", VV, "40 % v/v"),
    "40%": ("0.40", None, "40 %"),
    "0,25 percent": ("0.0025", None, "0.25 %"),
    "0 %": ("0", None, "0 %"),
    "100 %": ("1", None, "100 %"),
    "1 in 2000": ("0.0005", None, "1 in 2000"),
    "1 in 2000 w/v": ("0.0005", WV, "1 in 2000 w/v"),
    "1 + 39": ("0.025", None, "1 + 39"),
    "1+39 v/v": ("0.025", VV, "1 + 39 v/v"),
    "50 ppm": ("0.00005", WW, "50 ppm"),
    "40 ppm w/v": ("0.00004", WV, "40 ppm w/v"),
    "water": ("0", None, "water"),
    "Purified water": ("0", None, "water"),
}
REFUSED = {
    "": "No strength is written: write it as in 96 %vol, 40 % w/w, 1 in 2000 or 50 ppm.",
    "101 %": "101 % is more than the whole.",
    "110 %vol": "110 %vol is more than the whole.",
    "2000000 ppm": "2000000 ppm is more than the whole.",
    "3 in 2": "3 in 2 is more than the whole.",
    "1 in 0": "1 in 0 is nothing: write figures above zero, or `water`.",
    "0 + 3": "0 + 3 is nothing: write figures above zero, or `water`.",
    "½ %": "½ is not a number here: write 0.5.",
    "1:2000": "1:2000 can be read as 1 in 2000 or as 1 and 2000 parts: write `1 in 2000` or `1 + 2000`.",
    "1,000 %": "1,000 can be read as 1.000 or as 1000: write 1.000 or 1000.",
    "1e2 %": "`1e2 %` is written with a power of ten: write the digits in full.",
    "5-10 %": "`5-10 %` is a range: write one number.",
    "about 5 %": "`about 5 %` is not a fixed number: write the number alone (`about` belongs to `makes` and to q.s.).",
    "-5 %": "`-5 %` has a plus or minus sign: write the number alone.",
    "12345678901234567 %": "12345678901234567 has more than 15 digits.",
    "40": "40 lacks its unit: write 40 %vol, 40 % w/w or 40 %.",
    "40 % weird": "`weird` after 40 % is not known: write w/w, w/v, v/v or vol.",
    "40 % by volume": "`40 % by volume`: write 40 %vol for ethanol, 40 % v/v for another liquid.",
    "40 % as lactic acid": "`as lactic acid` after 40 % is left out here: a strength is written alone, as in 96 %vol, "
    "40 % w/w, 1 in 2000 or 50 ppm.",
    "1 in 20 vol": "`1 in 20 vol` is written as a percentage: such as 70 %vol.",
    "96°": "`96°`: degrees of alcohol had several scales: write 96 %vol if that is meant.",
    "140 proof": "`140 proof`: proof differs from country to country: write %vol.",
    "5 ‰": "`‰` is not read: write % (1 ‰ is 0.1 %) or ppm (1 ppm is 0.0001 %).",
    "10 mg/mL": "`10 mg/mL`: write it as % w/v (10 mg/mL is 1 % w/v) or % w/w.",
    "0.1 M": "`0.1 M` counts moles: write it as % w/v or % w/w.",
    "spirit": "`spirit` is not a strength: write it as in 96 %vol, 40 % w/w, 1 in 2000 or 50 ppm.",
}


@pytest.mark.parametrize("text", READ)
def test_it_is_read(text):
    share, basis, tidied = READ[text]
    assert read_strength(text) == Strength(share=Fraction(share), basis=basis, text=tidied)


@pytest.mark.parametrize("text", READ)
def test_what_is_tidied_is_read_again(text):
    found = read_strength(text)
    assert isinstance(found, Strength)
    assert read_strength(found.text) == found


@pytest.mark.parametrize("text", REFUSED)
def test_it_is_refused_in_a_sentence(text):
    found = read_strength(text)
    assert isinstance(found, Complaint)
    assert str(found.says) == REFUSED[text]


def test_the_decimal_sign_is_that_of_the_book():
    assert isinstance(read_strength("2.500 %"), Strength)
    found = read_strength("2.500 %", DecimalSign.COMMA)
    assert isinstance(found, Complaint)
    assert str(found.says) == "2.500 can be read as 2,500 or as 2500: write 2,500 or 2500."


@given(text=st.text(alphabet="0123456789.,%:+-½ inwatervol/wpm()°", max_size=14))
def test_any_text_is_a_strength_of_the_whole_or_less_or_a_sentence(text):
    found = read_strength(text)
    if isinstance(found, Complaint):
        assert str(found.says).endswith((".", "!"))
    else:
        assert 0 <= found.share <= 1
        assert read_strength(found.text) == found


def test_what_cannot_be_read_in_a_ratio_is_told_of_either_figure():
    for text in ("1,000 + 9", "1 + 9,000", "1 in 9,000"):
        found = read_strength(text)
        assert isinstance(found, Complaint), text
        assert found.rule == "ambiguous-number", text
