"""The commands, and the only room that prints.

Output goes to stdout, everything else to stderr.  Exit: 0 done, 1 the book has errors, 2 wrong use, 3 cannot write,
130 interrupted.  Only click is imported here; a command's file is loaded with the command, and imports what it needs.
"""

from .start import main

__all__ = ["main"]
