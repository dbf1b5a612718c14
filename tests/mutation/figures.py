"""Each number of the table of limits changed once: `python -m tests.mutation.figures` says which check notices it.

A figure, a molar mass or a count is doubled, and made one more in its last digit but one; a whole one in its last.  The
checks are those of `tests/review/test_limits.py` on the table itself.
"""

from __future__ import annotations

import re
import sys
from collections import Counter
from collections.abc import Iterator
from decimal import Decimal
from importlib.resources import files
from unittest.mock import Mock, patch

import yaml

from bookgen.reference.limits import limits

from ..review import test_limits as checks

NUMBER = re.compile(r"\b(most|pH most|molar mass|weighs|times): (\d+(?:\.\d+)?)")
CHECKS = (
    checks.test_every_figure_is_that_of_the_second_copy,
    checks.test_how_often_a_form_holds_what_is_counted,
    checks.test_factors_are_those_of_an_independent_library,
    checks.test_molar_masses_are_those_of_an_independent_library,
)


def main() -> int:
    """Print the counts, and each change that no check notices; 1 if there is one."""
    text = files("bookgen.reference").joinpath("limits.yaml").read_text(encoding="utf-8")
    assert noticed_by(text) == "", "the table as it is"
    counts = Counter[tuple[str, str]]()
    for number in NUMBER.finditer(text, text.index("\nturns:")):
        for other in changed(number[2]):
            by = noticed_by(f"{text[: number.start(2)]}{other}{text[number.end(2) :]}")
            counts[number[1], by] += 1
            if not by:
                print(f"limits.yaml:{text.count(chr(10), 0, number.start()) + 1}  {number[0]} becomes {other}")
    print(*(f"{count:5}  {key}: {by or 'not noticed'}" for (key, by), count in counts.items()), sep="\n")
    return 1 if any(not by for _, by in counts) else 0


def changed(number: str) -> Iterator[str]:
    """Yield other numbers.

    >>> list(changed("2.5")), list(changed("106.42")), list(changed("2"))
    (['5.0', '3.5'], ['212.84', '106.52'], ['4', '3'])
    """
    value = Decimal(number)
    exponent = value.as_tuple().exponent
    assert isinstance(exponent, int)
    yield str(value * 2)
    yield str(value + Decimal(10) ** min(exponent + 1, 0) if exponent else value + 1)


def noticed_by(text: str) -> str:
    """Return the first check that fails with this text as the table, or nothing."""
    (folder := Mock()).joinpath.return_value.read_text.return_value = text
    with (
        patch("bookgen.reference.limits.table_in", return_value=yaml.load(text, Loader=yaml.CBaseLoader)),
        patch.object(checks, "files", return_value=folder),
        patch.object(yaml, "safe_load", lambda table: yaml.load(table, Loader=yaml.CSafeLoader)),  # a tenth of the time
    ):
        limits.cache_clear()
        try:
            for check in CHECKS:
                try:
                    check()
                except AssertionError:
                    return check.__name__
        finally:
            limits.cache_clear()
    return ""


if __name__ == "__main__":
    sys.exit(main())
