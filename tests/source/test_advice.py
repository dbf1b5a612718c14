"""No advice leads to a text that is refused in its turn: every "write X" of every refusal is fed back.

A refusal of a value says what to write instead.  What is quoted there, or begins with a figure, is written in place of
what was refused, or of the part of it that the sentence names, and has to be read then.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Callable, Iterator
from fractions import Fraction
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bookgen.findings import Finding
from bookgen.model import DecimalSign
from bookgen.refused import REFUSED_UNITS
from bookgen.show import COMMA, POINT
from bookgen.source import book_from, read_container, read_obtain
from bookgen.source.acidity import read_acidity
from bookgen.source.amounts import read_amount, read_evaporates, read_left, read_percent, read_quantity, tidy
from bookgen.source.asked import read_have, read_todays_drop, read_weighings
from bookgen.source.densities import read_density
from bookgen.source.ingredients import _read_line
from bookgen.source.strengths import read_strength
from bookgen.source.values import (
    read_content,
    read_date,
    read_dropper,
    read_makes,
    read_part,
    read_period,
    read_share,
    read_storage,
    read_use,
    read_whole,
)
from bookgen.units import Complaint
from bookgen.wording.saying import told

from .test_figures_kept import written

Reader = Callable[[str, bool], Any]


def sign(comma: bool) -> DecimalSign:
    return DecimalSign.COMMA if comma else DecimalSign.POINT


READERS: dict[str, Reader] = {
    "amount": read_amount,
    "line": lambda text, comma: _read_line(text, comma)[0],
    "quantity": read_quantity,
    "percent": read_percent,
    "left": read_left,
    "evaporates": read_evaporates,
    "makes": read_makes,
    "part": read_part,
    "period": read_period,
    "share": read_share,
    "storage": read_storage,
    "use": read_use,
    "issue": read_whole,
    "date": lambda text, comma: read_date(text),
    "density": read_density,
    "pH": read_acidity,
    "dropper": lambda text, comma: read_dropper("pipette", text, comma),
    "content": lambda text, comma: read_content("ethanol", text, comma),
    "obtain": lambda text, comma: read_obtain(text, sign(comma)),
    "into": lambda text, comma: read_container(text, sign(comma)),
    "have": lambda text, comma: read_have(text, sign(comma)),
    "drop": lambda text, comma: read_todays_drop(text, sign(comma)),
    "weighings": lambda text, comma: read_weighings((text,), sign(comma)),
    "strength": lambda text, comma: read_strength(text, sign(comma)),
}

_ADVICE = re.compile(r"\b(?:[Ww]rite|type|Did you mean|as in) (.*)", re.DOTALL)
_QUOTED = re.compile(r"`([^`]+)`|\"([^\"]+)\"")
_FIGURES = re.compile(r"(?:[\w-]+: )?(?:to |at most |about |q\.s\. )?[0-9][^`\"]*")
_NAMED = re.compile(r"`([^`]+)`|^([^ ]+?)(?=:? (?:can be|is|has|begins|lacks|ends|after|cannot))")


_OTHER_SIGN = {True: re.compile(r"[0-9]+\.[0-9]+"), False: re.compile(r"[0-9]+,[0-9]+")}
"""A figure with the decimal sign that the book does not have."""

IMPOSSIBLE = ("impossible-value", "impossible-date", "zero-amount")
"""Rules by which a figure is read and cannot be meant: 1,000 % is 1 % or more than the whole."""


def refused(found: object, comma: bool = False) -> str:
    """Return why a text is refused; empty when it is read."""
    return found.says.words(COMMA if comma else POINT) if isinstance(found, Complaint | Finding) else ""


def follows(found: object) -> bool:
    """Return whether what is advised is read, or is a figure that cannot be meant here."""
    message = refused(found)
    return not message or "is nothing" in message or (isinstance(found, Complaint) and found.rule in IMPOSSIBLE)


def advised(message: str) -> Iterator[str]:
    """Yield every text that a refusal says to write."""
    match = _ADVICE.search(message.removeprefix("To obtain: "))
    if match is None:
        return
    rest = re.sub(r" \(`about` belongs[^)]*\)", "", match[1]).removesuffix(".")
    quoted = [one or other for one, other in _QUOTED.findall(rest)]
    yield from (one for one in quoted if "…" not in one)
    plain = re.sub(r" \((?:a |[0-9]+ )[^()]*\)", "", _QUOTED.sub("", rest))
    for part in re.split(r"; |, (?=[0-9toq])|, a | or | and (?=[0-9])|\. |\? | \(|\)|, not ", plain):
        part = (
            part.removesuffix(" if that is meant")
            .removesuffix(" alone")
            .removeprefix("it as in ")
            .removeprefix("as in ")
            .removeprefix("such as ")
            .strip()
        )
        part = re.sub(r"^(?:one such as|a \w+(?: \w+)?, such as|it as|one,? such as|.*\bsuch as) ", "", part)
        if _FIGURES.fullmatch(part):
            yield part


def places(text: str, message: str, advice: str) -> Iterator[str]:
    """Yield the texts that follow the advice: it alone, or in place of what the message names."""
    text = tidy(text)
    yield advice
    yield f"{text.partition(':')[0]}: {advice}"  # a name stands before it
    yield advice.partition(": ")[2]
    for one, other in _NAMED.findall(message.removeprefix("To obtain: ")):
        named = (one or other).rstrip("…")
        if named and named in text:
            yield text.replace(named, advice, 1)
            yield advice.join(text.rsplit(named, 1))
    yield re.sub(r"[0-9½¼¾⅓⅔⅛][0-9.,·٫．，'’_ \u00a0\u202f\u2009]*(?<! )", advice, text, count=1)


def followed(read: Reader, text: str, comma: bool) -> list[tuple[str, str, str]]:
    """Return what is advised and refused in its turn, or is ours in the other decimal sign: text, message, advice."""
    message = refused(read(text, comma), comma)
    typed = unicodedata.normalize("NFKC", text)
    return [
        (text, message, advice)
        for advice in advised(message)
        if any(figure not in typed for figure in _OTHER_SIGN[comma].findall(advice))
        or not any(follows(read(one, comma)) for one in places(text, message, advice))
    ]


# fmt: off
NUMBERS = (
    "1,000", "1.000", "2,125", "2.125", "12,345", "123,456", "1 000", "10 000", "1'000", "1_000", "1,000,000",
    "1.000.000",
    "1,000.5", "1.000,5", "10 000,5", "007", "012,345", "01.500", "00", "½", "1½", "⅓", "2 ¼", "1·250", "1٫250",
    "1，5", "1\xa0000，0", "1 000，5", "-5", "+5",
    "~5", "about 5", "ca. 5", "<5", "at most 5", "5-6", "5 to 6", "5–6", "1e3", "1.5E-2", "5x10", "1/2", "1 1/2",
    "1.2.3", ".5", ",5",
    "5.", "5,", "1234567890123456", "0.1234567890123456", "５", "٥", "２", "1 2", "", "five", "3/4/2026", "5\u00ad",
    "5\u200b",
)  # fmt: skip
"""Numbers that people write; half of them are refused."""
UNITS = ("g", "%", "mL", "kg", "parts", "min", "days", "")
TAILS = (
    "", " please", " as", " w/x", " of", " to", " q.s.", " max", " or so", " per 100 g", " in 100 mL", "; base", " aa",
    ", 3 g", ", as lactic acid", ", w/v", " w/v as urea", " as urea w/v", " of pipette", " from pipette", " (0.05 g)",
    " of 70 %", " of 70 % w/w", " of 70 %vol", "vol", " (about 2 g)", " + 5 %", " and 3 g", "/L", " - 6 g", ":2",
    " in 20",
    " + 39", " (w/v", " °C", " (0.02 to 0.03 g)",
)  # fmt: skip
HEADS = (
    "",
    "to ",
    "q.s. ",
    "q.s. to ",
    "q.s. of ",
    "q.s., to ",
    "to pH ",
    "q.s. to pH ",
    "about ",
    "12 x ",
    "glycerol: ",
    "20 drops ",
    "at most ",
)
OTHERS = {
    "amount": ("a pinch", "some", "the rest", "aa", "q.s", "q.s. to", "to", "to the mark", "1 1/2 g", "1:2",
            "1 : 2", "1 in",
               "5 drips", "2,5 drops", "to 100", "to 50 %", "q.s. 100 %"),
    "line": ("5 %, as lactic acid", "q.s., to 1000 mL", "5 g, 3 g", "5 %, w/v", ", base", ",5 g, base",
            "q.s., to pH 4"),
    "obtain": ("twice of it", "x", "double of it", "40 g of", "of W-01", "12 x", "12 x 50", "half a kilo",
            "5 g + 5 %", "250",
               "2.5 x 50 g", "12 x 50 mL + 5", "40 g of W-01 and", "40 g of a and 12 g", "3 drops", "5 % of W-01", ""),
    "date": ("03/04/2026", "3.4.2026", "2026-4-3", "2026-13-01", "2026-02-30", "soon", "13/04/2026", "31.12.2025"),
    "period": ("two weeks", "a year", "14", "2 weks", "2 hours", "1.5 days", "0 days"),
    "storage": ("fridge", "cupboard, 6 weeks, jar", "refrigerator; jar; 2 weeks", "refrigerater, 14 days",
            "cupboard, jar, soon"),
    "density": ("1.026", "density 1", "1,026", "0.95 kg", "1.036 at 25/25", "1 1/2", "one", "0.95 g/mL at 68 °F"),
    "pH": ("15", "7 to 5", "pH 5", "4.6-5.0", "4,6 to 5", "acid"),
    "use": ("leave on", "leave-on, fase", "intermediate, face", "adult", "leave-on, rinse-off"),
    "dropper": ("0.025 g (0.02 - 0.04 g)", "0.025 g (0.03 to 0.04 g)", "0,025 g (0,020 to 0,030)", "20 drops",
            "0.025", "25"),
    "weighings": ("20 drops", "0.5 g 20 drops", "0.5 g", "20 drips 1 g", "20 drops 0.5", "20 drops = 0.5",
            "20.5 drops 1 g", ""),
    "content": ("96", "96 % v/v as ethanol", "96 %vol of dried", "96 % w/v", "1:2000", "70% proof"),
    "strength": ("96", "1:2000", "1 : 2", "1 in", "70% proof", "5 % w/x", "10 mg/mL", "1,026 %"),
}  # fmt: skip
"""Other slips, by what is to be read."""


WRONG_UNITS = (
    *REFUSED_UNITS, "pint", "pints", "minim", "minims", "quart", "gramms", "mililitre", "perc", "GR", "foo", "ml.",
    "°C",
)  # fmt: skip


def sound(read: Reader, comma: bool) -> list[tuple[str, str]]:
    """Return what may stand before and after a number for it to be read."""
    return [(head, unit) for head in HEADS for unit in UNITS if not refused(read(f"{head}5 {unit}".rstrip(), comma))]


@pytest.mark.parametrize("comma", [False, True], ids=["point book", "comma book"])
@pytest.mark.parametrize("name", READERS)
def test_what_is_advised_is_read(name: str, comma: bool) -> None:
    """One mistake in each text: a number, a unit, what follows; the rest of it is read with `5 g`, or the like."""
    read = READERS[name]
    around = sound(read, comma)
    texts = [f"{head}{number} {unit}".rstrip() for head, unit in around for number in NUMBERS]
    glued = [(head, unit) for head, unit in around if not refused(read(f"{head}5{unit}", comma))]
    texts += [f"{head}{number}{unit}" for head, unit in glued for number in NUMBERS]
    texts += [f"{head}5 {unit}{tail}" for head, unit in around for tail in TAILS]
    texts += [f"{head}5 {unit}" for head in {head for head, _ in around} for unit in WRONG_UNITS]
    texts += OTHERS.get(name, ())
    wrong = [one for text in dict.fromkeys(texts) for one in followed(read, text, comma)]
    assert not wrong, "\n".join(map(str, wrong[:40])) + f"\n{len(wrong)} in all"


@settings(deadline=None, max_examples=800)
@given(st.data(), st.sampled_from(sorted(READERS)), written(), st.booleans())
def test_what_is_advised_is_read_however_a_number_is_written(
    data: st.DataObject, name: str, number: tuple[str, set[Fraction]], comma: bool
) -> None:
    around = sound(READERS[name], comma)
    if around:
        head, unit = data.draw(st.sampled_from(around))
        assert followed(READERS[name], f"{head}{number[0]} {unit}".rstrip(), comma) == []


BRACES = (
    "0,2 g", "1,296 g", "12,345 g", "2,5 %, humectant", "1,296 g, base, thickener", "5 %, humectant",
    "2 drops (0,05 g)", "2 drops (1,005 g), scent", "1,5 g, 2,5 g or so", "0,125 g", "1234,567 g",
)  # fmt: skip
_VALUES = re.compile(r"\"[^\"]*\"|'[^']*'|(?<=write )[0-9][^,:\"']*|(?<=, or )[0-9][^,:\"']*")


@pytest.mark.parametrize("comma", [False, True], ids=["point book", "comma book"])
@pytest.mark.parametrize("value", BRACES)
def test_what_is_advised_inside_braces_is_read(value: str, comma: bool) -> None:
    """One finding at the first comma for the whole value; what it says to write is read there."""

    def findings(written: str) -> list[str]:
        workroom = f"decimal: {sign(comma).value}\nbalances: [{{name: a, readability: 0.1 g}}]\n"
        lines = f"  a: {{amount: {written}, note: as it is}}\n  b: 1 g\n"
        front = f"code: F\ntitle: F\nuse: intermediate\ningredients:\n{lines}"
        files = {"formulas/workroom.yaml": workroom.encode(), "formulas/f.md": f"---\n{front}---\n".encode()}
        return [one.message for one in book_from(files).findings]

    (told,) = findings(value)
    assert told.startswith("F, line 6: Inside { } a comma ends the value: "), told
    advice = [one.removesuffix(".") for one in _VALUES.findall(told.partition("value: ")[2])]
    assert advice, told
    second = "g or so" in value  # that is no amount, whatever the comma
    assert [one for one in advice if findings(one) and not second] == [], told


def test_a_key_without_a_value_inside_braces_is_told_as_such() -> None:
    front = b"code: F\ntitle: F\ningredients:\n  a: {amount: 1 g, removed: , note: x}\n"
    files = {"formulas/f.md": b"---\n" + front + b"---\n"}
    assert [one.message for one in book_from(files).findings] == [
        "F, line 5: `removed` has no value: write `removed: …`."
    ]


def test_the_harness_finds_advice() -> None:
    message = "1,250 can be read as 1.250 or as 1250: write 1.250 or 1250."
    assert list(advised(message)) == ["1.250", "1250"]
    assert list(advised("`x` is no y: write `to 5 g`, 12 x 50 mL + 5 % or 40 g of W-01.")) == [
        "to 5 g", "12 x 50 mL + 5 %", "40 g of W-01",
    ]  # fmt: skip
    assert followed(lambda text, comma: Complaint(says=told("`1` is no y: write 2.")), "1 g", False) == [
        ("1 g", "`1` is no y: write 2.", "2")
    ]
