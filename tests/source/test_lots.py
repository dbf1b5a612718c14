"""Lots and batch records are read exactly as they are written, and nothing of them reaches a page."""

from __future__ import annotations

from datetime import date
from fractions import Fraction

import pytest

from bookgen.model import BatchOutcome, Book, Mass
from bookgen.source import book_from
from bookgen.source.lots import read_day_or_month, read_price, read_recount
from bookgen.units import Complaint

MATERIAL = """---
name: glycerol
contains: {glycerol: 85 %}
lots:
  GL-2211: {received: 2026-01-10, amount: 1 kg, expires: 2028-02, opened: 2026-02-01,
    good after opening: 12 months, content: 86.1 %, price: 7.20 EUR/kg, supplier: the mill}
  "0412":
    received: 2026-06-02
    amount: 1 kg
    retest: 2027-06
    counted:
      - 640 g on 2026-11-01
      - 0 g on 2026-12-01
    discarded: 2026-12-02
---
"""
RECORD = """---
batch: S-02-2026-11-29-b
of: S-02, issue 3
made: 2026-11-29
obtain: 12 x 50 mL + 5 %
planned: {gly: 25.20 g, oil: 6 drops (0.15 g)}
weighed:
  A, warm:
    gly:
      - 10 g, lot GL-2211
      - 15.2 g, lot 0412
  B:
    oil: 6 drops (0.15 g), lot "O 12, blue"
    water: 308.0 g
came out: 617 g
pH: 4.7
filled: 11 x 50 mL, 2 x 20 mL
kept sample: 10 mL
outcome: reworked
observed:
  2026-12-06: clear, scent softer
next time: a little less glycerol
---

## Notes

Stirred longer.
"""


def book(record: str = RECORD, name: str = "S-02-2026-11-29-b", material: str = MATERIAL) -> Book:
    return book_from({
        "formulas/materials/gly.md": material.encode(),
        f"formulas/batches/{name}.md": record.encode(),
    })  # fmt: skip


def test_a_lot_is_what_its_jar_says() -> None:
    first, second = book().materials["gly"].lots
    assert (first.key, second.key) == ("GL-2211", "0412")
    assert first.expires is not None
    assert first.expires.on == date(2028, 2, 29)
    assert first.amount is not None
    assert first.amount.value == 1000
    assert first.content[0].share == Fraction("0.861")
    assert first.price is not None
    assert (first.price.number, first.price.currency) == (Fraction("7.2"), "EUR")
    assert second.expires is None
    assert second.retest is not None
    assert second.retest.on == date(2027, 6, 30)
    assert [count.quantity and count.quantity.value for count in second.counted] == [640, None]
    assert second.discarded is not None


def test_a_record_is_what_was_done() -> None:
    made = book()
    assert made.findings == ()
    record = made.batches["s-02-2026-11-29-b"]
    assert [(line.phase, line.material, line.lot) for line in record.weighed] == [
        ("A", "gly", "GL-2211"),
        ("A", "gly", "0412"),
        ("B", "oil", '"O 12, blue"'),
        ("B", "water", ""),
    ]
    assert [line.amount.grams for line in record.weighed if isinstance(line.amount, Mass)] == [
        10, Fraction("15.2"), 308
    ]  # fmt: skip
    assert record.obtain is not None
    assert record.obtain.containers == 12
    assert [(filling.count, filling.each.value) for filling in record.filled] == [(11, 50), (2, 20)]
    assert [(filling.count, filling.each.value) for filling in record.kept_sample] == [(1, 10)]
    assert record.outcome is BatchOutcome.REWORKED
    assert [seen.text for seen in record.observed] == ["clear, scent softer"]
    assert record.body.sections[0].title == "Notes"


@pytest.mark.parametrize("code", ["0123", "1E5", "2024-11", "2024-11-03", "12:30", "1_000", "0x1F", ".5", "yes", "~"])
def test_a_code_that_looks_like_a_number_has_to_stand_in_quotes(code: str) -> None:
    bare = book(material=f"---\nname: glycerol\nlots:\n  {code}: {{amount: 1 kg}}\n---\n")
    quoted = book(material=f'---\nname: glycerol\nlots:\n  "{code}": {{amount: 1 kg}}\n---\n')
    assert [finding.rule for finding in bare.findings] == ["lot-unquoted"]
    assert quoted.findings == ()
    assert bare.materials["gly"].lots[0].key == quoted.materials["gly"].lots[0].key == code


def test_a_mistake_loses_nothing_else_of_the_record() -> None:
    broken = RECORD.replace("made: 2026-11-29", "made: 29.11.2026").replace("308.0 g", "308,0,0 g")
    read = book(broken)
    assert [(finding.rule, finding.place.line) for finding in read.findings] == [
        ("unreadable-date", 4),
        ("unreadable-number", 14),
    ]
    record = read.batches["s-02-2026-11-29-b"]
    assert record.made is None
    assert len(record.weighed) == 4
    assert record.came_out is not None


def test_what_was_weighed_beforehand_is_read_as_what_was_weighed() -> None:
    added = RECORD.replace("came out:", "weighed beforehand:\n  A:\n    gly: 1 g, lot GL-2211\ncame out:")
    read = book(added)
    assert read.findings == ()
    record = read.batches["s-02-2026-11-29-b"]
    [line] = record.weighed_beforehand
    assert (line.phase, line.material, line.amount.grams, line.lot) == ("A", "gly", 1, "GL-2211")
    assert record.taken == (*record.weighed, line)


@pytest.mark.parametrize(
    ("written", "rule"),
    [("1 g", "wrong-shape"), ("{gly: 5 %}", "unreadable-amount"), ("{gly: {a: 1 g}}", "wrong-shape"),
     ("{gly: 1 g, Gly: 2 g}", "material-twice")],
)  # fmt: skip
def test_what_was_weighed_beforehand_has_the_mistakes_of_what_was_weighed(written: str, rule: str) -> None:
    read = book(RECORD.replace("came out:", f"weighed beforehand: {written}\ncame out:"))
    assert [(finding.rule, finding.place.line) for finding in read.findings] == [(rule, 15)]


STOCK = "gly: 1.00 g of 1 in 20 with kaolin"


def test_what_was_weighed_of_a_stock_is_what_it_brings() -> None:
    """1.00 g of 1 in 20 are 0.05 g and 0.95 g of what thins it, which stands in a line of its own as well."""
    added = RECORD.replace("    water: 308.0 g", f"    {STOCK}\n    kaolin: 19 g, lot K-1")
    record = book(added).batches["s-02-2026-11-29-b"]
    brought = [(line.material, line.amount.grams, line.stock_of, line.lot) for line in record.weighed[-3:]]
    assert brought == [
        ("gly", Fraction(1, 20), "gly", ""), ("kaolin", Fraction(19, 20), "gly", ""), ("kaolin", 19, "", "K-1"),
    ]  # fmt: skip
    assert record.taken == record.weighed, "nothing tells of what was weighed for the stock"
    made = added.replace("came out:", "weighed beforehand: {gly: 1 g, kaolin: 19 g}\ncame out:")
    record = book(made).batches["s-02-2026-11-29-b"]
    assert [line.stock_of for line in record.taken if line.stock_of] == []
    assert len(record.taken) == len(record.weighed) - 2 + 2


@pytest.mark.parametrize(
    "typed",
    ["1.00 g of 1 in 20", "1 in 20 with kaolin", "6 drops of 1 in 20 with kaolin", "1 g of 1 in 1 with kaolin",
     "1 g of 1 in x with kaolin"],
)  # fmt: skip
def test_a_stock_that_is_not_told_whole_says_how(typed: str) -> None:
    (finding,) = book(RECORD.replace("water: 308.0 g", f"water: {typed}")).findings
    assert (finding.rule, finding.place.line) == ("unreadable-amount", 14)
    assert finding.message.endswith(
        "does not say what was weighed of a stock: write its weight, how it was thinned and with what, as in "
        "water: 1.00 g of 1 in 20 with kaolin."
    )


def test_of_two_records_of_one_number_the_second_is_told() -> None:
    read = book_from({
        "formulas/batches/2026/S-1-2026-11-29.md": RECORD.replace("S-02-2026-11-29-b", "S-1-2026-11-29")
        .replace("S-02,", "S-1,").encode(),
        "formulas/batches/S-1-2026-11-29.md": RECORD.replace("S-02-2026-11-29-b", "S-1-2026-11-29")
        .replace("S-02,", "S-1,").encode(),
    })  # fmt: skip
    assert [(finding.rule, finding.place.path) for finding in read.findings] == [
        ("duplicate-name", "formulas/batches/S-1-2026-11-29.md")
    ]
    assert [record.path for record in read.batches.values()] == ["formulas/batches/2026/S-1-2026-11-29.md"]


@pytest.mark.parametrize(
    ("text", "number", "currency", "per"),
    [
        ("7.20 EUR/kg", "7.2", "EUR", 1000),
        ("€ 3.10 per 100 mL", "3.1", "€", 100),
        ("12 EUR", "12", "EUR", None),
        ("EUR 0.5/g", "0.5", "EUR", 1),
    ],
)
def test_a_price_is_read_in_its_currency(text: str, number: str, currency: str, per: int | None) -> None:
    price = read_price(text, False)
    assert not isinstance(price, Complaint)
    assert (price.number, price.currency, price.per and price.per.value) == (Fraction(number), currency, per)


@pytest.mark.parametrize("text", ["7.20", "EUR", "7.20 EUR EUR", "0 EUR", "1,000 EUR", "7.20 EUR/pinch"])
def test_what_is_no_price_is_refused(text: str) -> None:
    assert isinstance(read_price(text, False), Complaint)


def test_a_month_runs_to_its_last_day_and_a_count_has_a_day() -> None:
    month = read_day_or_month("2027-02")
    assert not isinstance(month, Complaint)
    assert month.on == date(2027, 2, 28)
    assert isinstance(read_recount("640 g on 2026-11", False), Complaint)
