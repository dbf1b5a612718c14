"""What the layout engine knows while it builds a leaf's structure and does not write down.

Which language the HTML names for a part, and in which margin of the page a running head or foot stands: ISO 14289-1
wants both (7.2, 7.8), and the finished structure tells neither.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from importlib import import_module
from typing import Any

EDGES = {"@top-": "/Header", "@bottom-": "/Footer"}
"""How the CSS names of the margins above and below begin → the kind of artifact (ISO 32000-1, table 330: Subtype)."""


@contextmanager
def noticing() -> Iterator[dict[int, str]]:
    """Yield what becomes, while a document is written, the numbers of the objects in margins → kind of artifact.

    Meanwhile each element whose HTML has an attribute `lang` gets that as its `Lang`.
    """
    tags: Any = import_module("weasyprint.pdf.tags")
    boxes, pydyf = import_module("weasyprint.formatting_structure.boxes"), import_module("pydyf")
    build = tags._build_box_tree
    margins: dict[int, str] = {}

    def built(box: Any, parent: Any, pdf: Any, *rest: Any) -> Iterator[Any]:
        before = len(pdf.objects)
        for element in build(box, parent, pdf, *rest):
            language = "" if box.element is None else box.element.get("lang", "")
            if language:
                element.setdefault("Lang", pydyf.String(language))
            yield element
        if isinstance(box, boxes.MarginBox):
            kind = next((kind for edge, kind in EDGES.items() if box.at_keyword.startswith(edge)), "")
            margins.update((number, kind) for number in range(before, len(pdf.objects)) if kind)

    tags._build_box_tree = built
    try:
        yield margins
    finally:
        tags._build_box_tree = build
