"""The preview: the book's pages on this machine while it is written, each made when it is asked for.

`watching` notices changes, `current` holds the book as it is and makes its pages, `remarks` sets findings into them and
writes pages in words where there is no other, `renewing` brings what is new into the browser, `serving`
speaks HTTP.  Nothing is written anywhere.
"""

from .serving import CannotServe, Preview

__all__ = ["CannotServe", "Preview"]
