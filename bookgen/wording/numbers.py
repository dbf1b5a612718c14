"""Numbers and units: what cannot be read, and what to write instead."""

from __future__ import annotations

from collections.abc import Mapping

SENTENCES: Mapping[str, str] = {
    # numbers
    "digits-too-many": "{text:typed} has more than {most} digits.",
    "zero-first": "{text:typed} begins with a zero: write {plain}.",
    "zero-first-or-lost": "{text:typed} begins with a zero: write {plain}, or {small} if it lost its {sign}.",
    "thousand-or-not": "{text:typed} can be read as {small} or as {large}: write {small} or {large}.",
    "fraction-sign": "{sign} is not a number here: write {value}{unit}.",
    "fraction-sign-behind": "`{text:typed}` is not a number here: write {value}{unit}.",
    "and-unit": "; and `{name:typed}` {why}",
    "number-refused": "`{text:typed}` {why}",
    "sign": "has a plus or minus sign: write the number alone.",
    "rough": "is not a fixed number: write the number alone (`about` belongs to `makes` and to q.s.).",
    "limit": "is a limit: write the number alone.",
    "product": "is a product: write what it comes to.",
    "date-like": "looks like a date: dates are written as 2026-04-03.",
    "range": "is a range: write one number.",
    "power-of-ten": "is written with a power of ten: write the digits in full.",
    "two-signs": "has more than one decimal sign.",
    "underscore": "has an underscore in it: write the digits alone.",
    "number-rewritten": "`{text:typed}` {why}: write {number:typed}.",
    "fraction-endless": "`{text:typed}` is a fraction: write a decimal.",
    "grouped": "has its digits in groups",
    "fraction": "is a fraction",
    "zero-lacking": "lacks the zero before the decimal sign",
    "sign-last": "ends with a decimal sign",
    "invisible": "An invisible character (U+{code}) stands here: delete it.",
    "sign-of-others": "`{text:typed}` has {sign} in it, which is not a decimal sign here: write {number:typed}.",
    "full-width": "`{text:typed}` holds {sign}, a full-width character: type {number:typed}.",
    "full-width-text": "`{text:typed}` holds {sign}, a full-width character: type it in ordinary characters.",
    "digits-of-others": "`{text:typed}` has digits that are not 0 to 9: type them as 0 to 9.",
    "no-number": "`{text:typed}` is not a number: write it in digits.",
    # a number with its unit
    "nothing-here": "Nothing is written here: write {wanted:such}.",
    "unit-missing": "{text:typed} lacks a unit: write it as in {wanted:such}.",
    "of-each": "`aa` (of each) is not read: write the amount for each ingredient.",
    "no-measure": "`{text:typed}` {why}.",
    "temperature": "`{text:typed}` is a temperature: write {wanted:such}.",
    "number-missing": "`{text:typed}` lacks a number: write {wanted:such}.",
    "unreadable": "`{text:typed}` cannot be read: write it as in {wanted:such}.",
    # units
    "unknown-unit": "`{name:typed}` is not a unit of this book.{mean}{write}",
    "write-units": " Write %, mg, g, kg, mL, L, drops or parts.",
    "refused-unit": "`{name:typed}` {why}.",
    "unit-instead": "is refused: write {instead}",
    "unit-instead-as": "is refused: write {instead} ({one} is {others})",
    "gram-or-grain": "may mean gram or grain (0.0648 g): write g for grams",
    "grain": "is 0.06479891 g: write the amount in mg or g",
    "weight-or-volume": "may be a weight or a volume: write g or mL",
    "activity": "is refused: write the weight, and give the activity in a note",
    "no-fixed-weight": "has no fixed weight: weigh it once and write grams",
}
"""Name → sentence."""
