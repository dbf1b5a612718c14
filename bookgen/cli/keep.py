"""The command that makes a trial the next issue of its base."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import click

from .start import CANNOT_WRITE, checked_book, common, day_option, main, say, today_or


@main.command()
@click.argument("code")
@click.argument("words", required=False, default="")
@common
@day_option("The day of the new issue")
def keep(code: str, words: str, book: Path, today: date | None) -> int:
    """Make the trial CODE the next issue of the formula it is based on.

    The formula as it stands is kept in formulas/earlier/; the trial's lines, figures, method and cautions are set into
    its file, and the change is entered with today's date: WORDS, or the lines that differ. The trial stays in its own
    file with its notes, withdrawn, based on the issue it was tried on. Three files change together or none does.

    \b
      bookgen keep T-01
      bookgen keep T-01 "less greasy"
    """
    from ..beginning import Declined
    from ..bench import Unknown
    from ..keeping import keep_trial
    from ..show import listing
    from ..source.writing import CannotAdd, CannotRecord

    checked = checked_book(book)
    try:
        kept = keep_trial(checked, code, words, today_or(today))
    except (Unknown, Declined) as reason:
        raise click.UsageError(str(reason)) from reason
    except (CannotAdd, CannotRecord) as reason:
        say(str(reason), err=True)
        return CANNOT_WRITE
    say(f"Kept: {book / kept.earlier}")
    say(f"Begun: issue {kept.issue} in {book / kept.path}: {kept.change}.")
    stays = f"; what is under {listing(kept.stays)} stays there" if kept.stays else ""
    say(f"Withdrawn: {book / kept.trial}{stays}.")
    if kept.outdated:
        say(
            f"{code} was made last on {kept.outdated}, before {kept.code} came to issue {kept.issue - 1}: what was "
            "tried is not quite what is kept."
        )
    if kept.follow:
        says = "follows" if len(kept.follow) == 1 else "follow"
        say(f"{listing(kept.follow)} {says} {kept.code} to issue {kept.issue}: look whether that is meant.")
    if kept.behind:
        says = "is" if len(kept.behind) == 1 else "are"
        say(
            f"{listing(kept.behind)} {says} based on {code}, which is withdrawn now: to go on from {kept.code}, write "
            f"`based on: {kept.code}` there."
        )
    return 0
