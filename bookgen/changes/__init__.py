"""Print once, then file changes: what `binder --changes` prints, and what `filed` puts on record.

What was printed is what is recorded: the printed PDF carries the list of all that the binder holds once it is filed,
and that list goes on record as it stands.
"""

from .filing import Recorded, file_printed
from .printing import Changes, CodeUnknown, print_changes
from .waiting import BrokenRecord, Choice, NothingFiled, SeveralWait

__all__ = [
    "BrokenRecord", "Changes", "Choice", "CodeUnknown", "NothingFiled", "Recorded", "SeveralWait", "file_printed",
    "print_changes",
]  # fmt: skip
