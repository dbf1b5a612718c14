"""A plain binder, for leaves that are laid out otherwise than `bind` knows: what pikepdf joins by itself.

Enters: pieces in their order.  Leaves: their pages with bookmarks, links between leaves and to the web, and the files
that travel with them.  Tags and links within a leaf are lost, and each leaf keeps type of its own.
"""

from __future__ import annotations

import io
from collections.abc import Mapping, Sequence

import pikepdf
from pikepdf import Array, AttachedFileSpec, Dictionary, Name, OutlineItem, Pdf

from ..leaf import SCHEME
from .about import About
from .piece import PrintedLeaf


def join(
    pieces: Sequence[PrintedLeaf], about: About, attached: Mapping[str, bytes], *, duplex: bool
) -> tuple[bytes, dict[str, int]]:
    """Return the document, and each leaf's first page by code, counted from 0.  Raises pikepdf.PdfError."""
    made = Pdf.new()
    first: dict[str, int] = {}
    for piece in pieces:
        if duplex and len(made.pages) % 2:
            blank = Dictionary(Type=Name.Page, MediaBox=made.pages[-1].mediabox, Resources=Dictionary())
            made.pages.append(pikepdf.Page(blank))
        first[piece.code] = len(made.pages)
        with Pdf.open(io.BytesIO(piece.pdf)) as leaf:
            if len(leaf.pages) != piece.pages:
                raise pikepdf.PdfError("not all of it can be read")
            for page in leaf.pages:
                made.pages.append(page)
    within = {held.code: first[piece.code] for piece in pieces for held in piece.holds}
    for page in made.pages:
        _link(made, page, within | first)
    _mark(made, pieces, first)
    for name, body in attached.items():
        made.attachments[name] = AttachedFileSpec(made, body, relationship=Name.Data)
    made.Root.Lang = pikepdf.String(about.lang)
    made.Root.Metadata = made.make_stream(about.xmp(tagged=False).encode(), Type=Name.Metadata, Subtype=Name.XML)
    made.docinfo = made.make_indirect(
        Dictionary({f"/{name}": pikepdf.String(text) for name, text in about.entries().items()})
    )
    out = io.BytesIO()
    made.save(out, deterministic_id=True, object_stream_mode=pikepdf.ObjectStreamMode.generate)
    return out.getvalue(), first


def _link(made: Pdf, page: pikepdf.Page, first: Mapping[str, int]) -> None:
    """Let links to leaves jump, and take off those that lead nowhere now; the rest of a page's structure goes."""
    kept = Array()
    for link in page.obj.get("/Annots", ()):
        address = str(link.get("/A", Dictionary()).get("/URI", ""))
        target = first.get(address.removeprefix(SCHEME))
        if address.startswith(SCHEME) and target is not None:
            del link["/A"]
            link.Dest = Array([made.pages[target].obj, Name.Fit])
        elif not address.startswith(("http:", "https:", "mailto:")):
            continue
        kept.append(link)
    page.obj.Annots = kept
    for name in ("/StructParents", "/Tabs"):
        if name in page.obj:
            del page.obj[name]


def _mark(made: Pdf, pieces: Sequence[PrintedLeaf], first: Mapping[str, int]) -> None:
    """Write the bookmarks: one for each leaf, under its chapter's."""
    with made.open_outline() as outline:
        chapter: OutlineItem | None = None
        for piece in pieces:
            if not piece.chapter:
                outline.root.append(OutlineItem(piece.title, first[piece.code]))
                continue
            if piece.divides or chapter is None or chapter.title != piece.chapter:
                chapter = OutlineItem(piece.chapter, first[piece.code])
                outline.root.append(chapter)
            if not piece.divides:
                chapter.children.append(OutlineItem(piece.title, first[piece.code]))
