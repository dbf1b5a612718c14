"""The command that shows the book while it is written."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import click

from .start import INTERRUPTED, common, day_option, main, say, today_or

PORT_NOT_FREE = 2


@main.command()
@common
@click.option("--port", type=click.IntRange(1, 65535), metavar="N", help="The port (default: one that is free).")
@day_option("The day of the page of the shelf")
def preview(book: Path, port: int | None, today: date | None) -> int:
    """Show the pages in the browser while you write.

    Prints an address on this machine, which nobody else can reach. A page reloads when what it shows has changed, and
    says beside each line what was found there. Nothing is written; Ctrl-C ends it.
    """
    import signal
    from threading import Event

    from ..pipeline import NoBook
    from ..preview import CannotServe, Preview

    stop = Event()
    signal.signal(signal.SIGTERM, lambda *_: stop.set())
    try:
        serving = Preview(book, port, today_or(today))
    except NoBook as missing:
        raise click.UsageError(str(missing)) from missing
    except CannotServe as reason:
        say(str(reason), err=True)
        return PORT_NOT_FREE
    try:
        serving.start()
        say(serving.address)
        serving.watch(stop)
    except KeyboardInterrupt:
        say("The preview is closed.", err=True)
        return INTERRUPTED
    finally:
        serving.close()
    return 0
