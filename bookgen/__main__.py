"""The two ways to start the commands: `bookgen`, and `python -m bookgen`."""

from __future__ import annotations

import sys


def run() -> None:
    """Load the commands and run the one that is typed.

    Loading takes a moment, in which Ctrl-C would end in a list of this program's own lines.
    """
    try:
        from .cli import main
    except KeyboardInterrupt:
        print("\nInterrupted; nothing was begun.", file=sys.stderr)
        sys.exit(130)
    main()


if __name__ == "__main__":
    run()
