"""Links of the method to an ingredient whose name has spaces: what the sentence says to write is taken."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.books_of_text import check, formula, weigh, write_book

LINES = "rose water: 60 g; a: to 100 g"


def with_link(folder: Path, address: str, materials: dict[str, str]) -> Path:
    """Return a book of one formula whose method has one link to `rose water`."""
    text = formula("F", LINES) + f"\n## Method\n\n1. Weigh [the water]({address}).\n"
    return write_book(folder, {"F": text}, {"a": "water: 0 %", **materials})


def about_links(book: Path) -> list[str]:
    return [one["message"] for one in check(book) if "amount" in one["rule"]]


@pytest.mark.parametrize("materials", [{}, {"rose-water": "also: [rose water]\nwater: 100 %"}], ids=["bare", "filed"])
@pytest.mark.parametrize(
    ("typed", "write"),
    [
        ("amount:rose water", "amount:rose-water"),
        ("amount: rose water", "amount:rose-water"),
        ("amount:rose  water * 1/2", "amount:rose-water*1/2"),
    ],
)
def test_a_space_in_a_link_is_answered_with_what_works(tmp_path, materials, typed, write):
    (told,) = about_links(with_link(tmp_path / "typed", typed, materials))
    assert told == f"Formula F, line 12: This is not a link, because of the space in it: write {write}."
    book = with_link(tmp_path / "advised", write, materials)
    assert [one for one in check(book) if one["severity"] == "error"] == []
    assert weigh(book, "F")["lines"][0]["metered_g"] == "60.00"


def test_a_slip_in_a_name_with_spaces_gets_a_name_that_a_link_may_have(tmp_path):
    (told,) = about_links(with_link(tmp_path, "amount:rosewater", {}))
    assert told.endswith("no line is called rosewater. Did you mean rose-water?")


def test_a_space_in_a_duration(tmp_path):
    text = formula("F", "a: 100 g") + "\n## Method\n\n1. Wait [a while](time:5 min).\n"
    said = [one["message"] for one in check(write_book(tmp_path, {"F": text}))]
    assert any("because of the space in it: write time:5min." in one for one in said), said


def test_every_space_in_a_link_of_a_step_is_told_at_its_place(tmp_path):
    step = "1. Stir [the water](amount:rose water) into [a](amount: a) and wait [a while](time:5 min).\n"
    said = check(write_book(tmp_path, {"F": formula("F", LINES) + "\n## Method\n\n" + step}))
    told = {one["column"]: one["message"].rpartition(" ")[2] for one in said if one["rule"].endswith("-link")}
    ends = [step.index(f"]({start}") + 3 for start in ("amount:rose", "amount: a", "time")]
    assert told == dict(zip(ends, ["amount:rose-water.", "amount:a.", "time:5min."], strict=True))
