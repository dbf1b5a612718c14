"""Pictures that the build draws as SVG: what a product is made of, which formula goes into which, acids over pH,
how far batches were off.

Enters: shown records of what is to be drawn.  Leaves: SVG for a page.  Geometry is whole numbers; sizes
follow the type (em) and the width of the column (%), so letters keep their size on a phone.  Pattern and place tell the
parts apart, never colour, and every picture has its table or list beside it.
"""

from .acids import acid_picture
from .composition import composition_picture
from .deviations import off_picture
from .lineage import lineage_pictures
from .share import share_bar

__all__ = ["acid_picture", "composition_picture", "lineage_pictures", "off_picture", "share_bar"]
