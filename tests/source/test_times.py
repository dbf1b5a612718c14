"""How long a link of the method may be: to a hundred years, in whole seconds."""

from __future__ import annotations

import pytest

from bookgen.findings import Place
from bookgen.source.links import read_time_link
from bookgen.units import Complaint


@pytest.mark.parametrize(("address", "seconds"), [("time:1h", 3600), ("time:878400h", 878400 * 3600)])
def test_a_duration_is_read_in_seconds(address: str, seconds: int) -> None:
    found = read_time_link(address, "so long", Place(path="a.md", line=1, column=1), comma=False)
    assert not isinstance(found, Complaint)
    assert found.seconds == seconds


@pytest.mark.parametrize("address", ["time:878401h", "time:0h", "time:0.5s"])
def test_more_than_a_hundred_years_nothing_and_parts_of_a_second_are_refused(address: str) -> None:
    found = read_time_link(address, "so long", Place(path="a.md", line=1, column=1), comma=False)
    assert isinstance(found, Complaint)
    assert found.rule == "bad-time-link"
