"""The commands, and the only room that prints.

Output goes to stdout, everything else to stderr.  Exit: 0 done, 1 the book has errors, 2 wrong use, 3 cannot write,
130 interrupted.  Only click is imported here; each command imports what it needs.
"""

from . import bench as bench
from . import book as book
from . import dilution as dilution
from . import drops as drops
from . import needs as needs
from .start import main

__all__ = ["bench", "book", "dilution", "drops", "main", "needs"]
