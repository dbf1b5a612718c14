"""What of a leaf runs off its paper, while the layout engine still knows where each word stands.

Enters: a document of WeasyPrint.  Leaves: a sentence for each side on which something does.  A printer cuts it off
and says nothing; a word over a margin is not lost, and is left alone.
"""

from __future__ import annotations

from collections.abc import Iterator
from importlib import import_module
from typing import Any

_PX_A_MM = 96 / 25.4
_SLACK = 0.1 * _PX_A_MM
"""Layout is reckoned in floating point; so much is nobody's loss."""
_TOLD = 40
"""Letters of what runs off that are quoted."""


def off_paper(document: Any) -> list[str]:
    """Return what is to be said of each side whose words or pictures end beyond the paper: the worst of them."""
    boxes = import_module("weasyprint.formatting_structure.boxes")
    said = []
    for number, page in enumerate(document.pages, 1):
        worst, where, what = _SLACK, "", ""
        for box in _printed(page._page_box, boxes):
            left, top = box.position_x, box.position_y
            beyond = {
                "left": -left,
                "right": left + box.width - page.width,
                "upper": -top,
                "lower": top + box.height - page.height,
            }
            edge = max(beyond, key=lambda side: beyond[side])
            if beyond[edge] > worst:
                worst, where, what = beyond[edge], edge, _words(box, boxes)
        if where:
            far = f"{worst / _PX_A_MM:.1f}"
            said.append(
                f"Side {number}: {what} runs {far} mm off the {where} edge of the paper and is not printed whole."
            )
    return said


def _printed(page: Any, boxes: Any) -> Iterator[Any]:
    """Yield the boxes of words and pictures of a page; what is turned, or cut off by a box of its own, is left out."""
    waiting = list(page.children)
    while waiting:
        box = waiting.pop()
        if box.style["transform"] or box.style["visibility"] != "visible":
            continue
        if isinstance(box, boxes.ReplacedBox) or (isinstance(box, boxes.TextBox) and box.text.strip()):
            yield box
        elif box.style["overflow"] != "hidden":
            waiting.extend(getattr(box, "children", ()))


def _words(box: Any, boxes: Any) -> str:
    """Return what a box holds, to be read out."""
    if not isinstance(box, boxes.TextBox):
        return "a picture"
    text = " ".join(box.text.split())
    return f"“{text[:_TOLD]}{'…' if len(text) > _TOLD else ''}”"
