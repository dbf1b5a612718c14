"""The command that follows a lot into every batch, or a batch back to every lot."""

from __future__ import annotations

from pathlib import Path

import click

from .start import checked_book, common, main, say, say_json, width


@main.command()
@click.argument("code")
@click.option("--json", "as_json", is_flag=True, help="Print the answer as JSON.")
@common
def trace(code: str, as_json: bool, book: Path) -> int:
    """Follow the lot CODE into every batch that took it, or the batch CODE back to every lot that went into it.

    Intermediates are followed to any depth. Batches that took the material without naming a lot are listed separately.

    \b
      bookgen trace GL-2211             every batch with this lot in it, and its jars
      bookgen trace S-02-2026-11-29     every lot that went into this batch
    """
    from ..bench import Unknown, trace_of
    from ..machine import trace as machine
    from ..terminal import trace as terminal

    checked = checked_book(book, filed=False)
    try:
        traced = trace_of(checked, code)
    except Unknown as unknown:
        raise click.UsageError(str(unknown)) from unknown
    if as_json:
        say_json(machine.trace_json(traced, checked.book))
    else:
        say(terminal.trace_text(traced, checked.book, width()), nl=False)
    return 0
