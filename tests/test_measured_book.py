"""The books that are measured are sound: a barred formula has no weights, and its page would be measured too light."""

from __future__ import annotations

from bookgen.pipeline import check_book

from .benchmarks.large_book import write_chain, write_large_book


def test_the_check_has_nothing_to_say_of_the_books_that_are_measured(tmp_path):
    for folder in (write_large_book(tmp_path / "large", 48), write_chain(tmp_path / "chain", 5)):
        assert check_book(folder).review.findings == ()
