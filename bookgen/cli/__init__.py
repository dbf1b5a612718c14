"""The commands, and the only room that prints.

Output goes to stdout, everything else to stderr.  Exit: 0 done, 1 the book has errors, 2 wrong use, 3 cannot write,
130 interrupted.  Only click is imported here; each command imports what it needs.
"""

from . import book as book
from . import drops as drops
from . import filing as filing
from . import mixing as mixing
from . import needs as needs
from . import new as new
from . import preview as preview
from . import weigh as weigh
from .start import main

__all__ = ["book", "drops", "filing", "main", "mixing", "needs", "new", "preview", "weigh"]
