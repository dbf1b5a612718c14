"""Sentences of bringing a table into a book."""

from __future__ import annotations

from collections.abc import Mapping

SENTENCES: Mapping[str, str] = {
    # the whole table is refused
    "table-too-long": "The table is longer than {most} rows: bring it in parts.",
    "table-not-text": "The table is no text in UTF-8, UTF-16 or Windows-1252: save it as CSV in UTF-8.",
    "table-empty": "The table has heads and no rows, or nothing at all.",
    "table-one-column": "The table has one column: its cells have to be parted by commas, semicolons, tabs or bars.",
    "table-parted-twice": "The heads can be parted by {signs:and}: save the table with one of them.",
    "table-cut-off": "The table ends inside a quoted cell: it was cut off, or a quotation mark is missing.",
    "table-heads-twice": "Two columns are headed {head:typed}: give each a head of its own.",
    "table-heads-same": "The columns {heads:and} both say {key}: leave one of them out.",
    "table-no-name": 'No column is headed as one of names: say which it is, such as --take "Description=name".',
    "no-such-head": "No column is headed {head:typed}.",
    "no-such-key": "{key:typed} is nothing that a column can be taken for: {keys:or}.",
    "table-decimal": "{cell:typed} may have a decimal comma or parted thousands: say --decimal comma or "
    "--decimal point.",
    # a row or a cell is not understood
    "row-cells": "Row {row}: {cells:cell/cells} where {heads} belong. The row is left out.",
    "cell-puzzling": "Row {row}, column {column}, {head:typed}: {cell:typed}. {why}",
    "cell-empty": "It has to say something; the row is left out.",
    "cell-formula": "A sum of a spreadsheet is no value: save the table with values.",
    "cell-no-unit": "Its unit stands neither in the cell nor in the head.",
    "row-name-there": "{what:whole} is called so already; the row is left out.",
    "row-name-twice": "Row {row} is called so already; the row is left out.",
    # a table of amounts
    "table-lacks-column": "A table of amounts needs a column of the key {key}: say which it is with --take.",
    "row-lacks-code": "Row {row} says no code: a formula would lack a line, so nothing is brought in.",
    "formula-left-out": "{code:typed} is not written. {why:capital}",
    "line-not-understood": "A line of it was not understood.",
    "phases-missing": "Some of its lines have a phase and others have none.",
    "titles-differ": "It has several titles: {titles:and}.",
    "cell-missing": "It has to say something.",
    "old-unit": "One {unit} is {us:6 figures} {metric} in the United States and {imperial:6 figures} {metric} in "
    "Britain: say --measures us or --measures imperial to have it turned.",
    "old-unit-same": "One {unit} is {factor:6 figures} {metric}: say --measures us or --measures imperial to have it "
    "turned.",
    "old-weight": "One {unit} is {avoirdupois:6 figures} g avoirdupois and {apothecaries:6 figures} g apothecaries': "
    "say --weights avoirdupois or --weights apothecaries to have it turned.{liquid}",
    "perhaps-fluid-ounce": " Where a liquid was measured, write `fl oz`.",
    "unit-turned": "{cell:typed} taken as {amount}, at {factor:6 figures} {metric} each ({source}).",
    "fraction-turned": "{cell:typed} taken as {amount}.",
    "row-turned": "Row {row}: {how}",
}
