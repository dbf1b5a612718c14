"""The command for droppers: what counted drops weighed at the bench come to."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import click

from .start import checked_book, common, main, say, say_json, width

if TYPE_CHECKING:
    from ..pipeline import Checked

EXAMPLE = "20 drops 0.52 g"


@main.command()
@click.argument("material")
@click.argument("weighings", nargs=-1, metavar="[WEIGHING]...")
@click.option("--dropper", metavar="NAME", help="The dropper that was used (default: the first that the book names).")
@click.option("--json", "as_json", is_flag=True, help="Print the answer as JSON.")
@common
def drops(material: str, weighings: tuple[str, ...], dropper: str | None, as_json: bool, book: Path) -> int:
    """Turn counted drops of MATERIAL, weighed at the bench, into a drop mass with its range.

    A WEIGHING is a count and what all of these drops weigh together. Without any, one is read from each line typed, up
    to an empty line. Says what is doubtful, how the formulas are counted with this dropper, and what to paste.

    \b
      bookgen drops rose-oil "20 drops 0.52 g" "20 drops 0.48 g" "20 drops 0.50 g"
      bookgen drops rose-oil --dropper pipette          asks for one weighing after another
    """
    from ..bench import Unknown, calibrate
    from ..machine.calibration import calibration_json
    from ..show import signs_of
    from ..terminal.calibration import calibration_text

    checked = checked_book(book, filed=False)
    try:
        found = calibrate(checked, material, weighings or _typed(checked, material), dropper)
    except Unknown as unknown:
        raise click.UsageError(str(unknown)) from unknown
    if as_json:
        say_json(calibration_json(found))
    else:
        say(calibration_text(found, signs_of(checked.book.workroom), width()), nl=False)
    return 0


def _typed(checked: Checked, material: str) -> tuple[str, ...]:
    """Return the weighings typed line after line, up to an empty line or the end.

    At a terminal a slip is told at once, and the line is asked for again.  From a pipe all slips are told together, and
    the lines that were read are given back, to be typed once only.
    """
    from ..bench import Unknown, check_weighing, known_material
    from ..wording.saying import told

    known_material(checked, material)  # an unknown name is told before anything is weighed
    asks = sys.stdin.isatty()
    found: list[str] = []
    slips: list[str] = []
    try:
        for number, line in enumerate(_lines(asks, found), 1):
            try:
                check_weighing(checked, line)
            except Unknown as slip:
                if asks:
                    say(str(slip), err=True)
                else:
                    slips.append(f"Line {number}: {slip}")
            else:
                found.append(line)
    except KeyboardInterrupt:
        raise KeyboardInterrupt(f"what was typed: {_quoted(found)}" if found else "nothing was typed") from None
    if slips:
        raise Unknown(told(" ".join((*slips, *([f"The others were read: {_quoted(found)}."] if found else [])))))
    return tuple(found)


def _quoted(weighings: list[str]) -> str:
    """Return weighings as they are given to the command."""
    return " ".join(f'"{weighing}"' for weighing in weighings)


def _lines(asks: bool, found: list[str]) -> Iterator[str]:
    while True:
        if asks:
            end = "; an empty line ends" if found else f", such as {EXAMPLE}"
            say(f"Weighing {len(found) + 1}{end}: ", nl=False, err=True)
        line = sys.stdin.readline()
        if not line.strip():
            return
        yield line.strip()
