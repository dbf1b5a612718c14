"""The commands for mixtures: dilute what is too strong, mix several strengths."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from .start import BOOK_ERRORS, common, main, say, say_json, width

if TYPE_CHECKING:
    from ..model import Mixing, Workroom
    from ..units import Complaint

_WORDS = {"ignore_unknown_options": True}
"""So that `-5%` is read as a strength and answered in a sentence."""

_at = click.option("--at", metavar="TEMP", help='Temperature of the volumes, for %vol: "25 °C" (default: 20 °C).')
_json = click.option("--json", "as_json", is_flag=True, help="Print the answer as JSON, with exact figures.")
_obtain = click.option("--obtain", metavar="AMOUNT", help='What must come out: "500 g", "500 mL", "12 x 50 mL + 5 %".')


@main.command(context_settings=_WORDS)
@click.argument("words", nargs=-1, required=True, metavar="HAVE to WANT")
@_obtain
@click.option("--from", "use_up", metavar="AMOUNT", help='Use up this much of the strong one: "200 g".')
@click.option("--with", "diluent", metavar="STRENGTH", help="Dilute with this instead of water: 20%vol.")
@_at
@_json
@common
def dilute(
    words: tuple[str, ...],
    obtain: str | None,
    use_up: str | None,
    diluent: str | None,
    at: str | None,
    as_json: bool,
    book: Path,
) -> int:
    """Reckon how much of something strong, and how much water, make the strength you want.

    \b
      bookgen dilute 96%vol to 70%vol --obtain "500 g"
      bookgen dilute 96%vol to 70%vol --from "200 g"     use up what there is
      bookgen dilute 40% to 5% --obtain "100 g"          bare % is by weight
      bookgen dilute "1 in 10 w/v" to "1.5 % w/v" --obtain "60 mL"

    Strengths: %vol (ethanol), % w/w, % w/v, % v/v, "1 in 2000", "1 + 39", ppm. In a book the answer is for its
    balances; anywhere else it is exact.
    """
    from ..source.mixing import read_dilution

    _no_options(words)
    room = _workroom(book, as_json)
    if isinstance(room, int):
        return room
    asked = read_dilution(words, obtain=obtain, use_up=use_up, diluent=diluent, at=at, decimal=room.decimal)
    return _answer(asked, room, as_json)


@main.command(context_settings=_WORDS)
@click.argument("words", nargs=-1, required=True, metavar="STRENGTH... [to WANT]")
@_obtain
@_at
@_json
@common
def mix(
    words: tuple[str, ...],
    obtain: str | None,
    at: str | None,
    as_json: bool,
    book: Path,
) -> int:
    """Reckon how much of each strength gives the one you want, or what given amounts result in.

    \b
      bookgen mix 2.5% 0.25% to 1% --obtain "100 g"
      bookgen mix 2.5% "240 g of 0.25%" to 1%        how much of the other
      bookgen mix "240 g of 0.25%" "120 g of 2.5%"   what strength results
      bookgen mix 50% 20% 5% to 10%                  one of many ways
    """
    from ..source.mixing import read_mixing

    _no_options(words)
    room = _workroom(book, as_json)
    if isinstance(room, int):
        return room
    return _answer(read_mixing(words, obtain=obtain, at=at, decimal=room.decimal), room, as_json)


def _no_options(words: tuple[str, ...]) -> None:
    """Refuse an option that is not known, since words that begin with a hyphen are let through."""
    for word in words:
        if word.startswith("--"):
            known = [name for param in click.get_current_context().command.params for name in param.opts]
            raise click.NoSuchOption(word, possibilities=sorted(name for name in known if name[2:4] == word[2:4]))


def _workroom(book: Path, as_json: bool) -> Workroom | int:
    """Return the workroom of the book, one without balances where there is no book, or the exit code."""
    from ..machine.mixture import unreadable_json
    from ..pipeline import NoBook, Unreadable, workroom_of
    from ..terminal.batch import findings_text

    given = click.get_current_context().get_parameter_source("book") is not click.core.ParameterSource.DEFAULT
    try:
        return workroom_of(book, must_be=given)
    except NoBook as missing:
        raise click.UsageError(str(missing)) from missing
    except Unreadable as unreadable:
        if as_json:
            say_json(unreadable_json(str(unreadable), unreadable.findings))
        else:
            say(f"{unreadable}.\n{findings_text(unreadable.findings, width())}", err=True)
        return BOOK_ERRORS


def _answer(asked: Mixing | Complaint, room: Workroom, as_json: bool) -> int:
    from ..findings import Missing
    from ..machine.mixture import mixture_json
    from ..reckon.mixing import mix as reckon_mixture
    from ..show import sentence, signs_of
    from ..terminal.mixture import mixture_text
    from ..units import Complaint

    signs = signs_of(room)
    if isinstance(asked, Complaint):
        raise click.UsageError(asked.says.words(signs))
    mixture = reckon_mixture(asked, room)
    if isinstance(mixture, Missing):
        raise click.UsageError(sentence(mixture.says.words(signs)))
    if as_json:
        say_json(mixture_json(mixture))
    else:
        say(mixture_text(mixture, signs, width()), nl=False)
    return 0
