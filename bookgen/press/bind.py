"""PDFs of single leaves into one binder: tags, language, bookmarks, links and fonts kept.

A plain join keeps the pages and loses the rest. Here each leaf's structure elements go under one Document (a part for
each chapter, a section for each leaf), the parent trees are renumbered into one, names of places and of headings
are merged, and links to `sheet:CODE` become jumps to the first page of that leaf.
"""

from __future__ import annotations

import io
from collections.abc import Collection, Mapping, Sequence
from contextlib import ExitStack
from dataclasses import dataclass
from typing import Any, TypeVar
from xml.sax.saxutils import escape

import pikepdf
from pikepdf import Array, Dictionary, Name, Object, Pdf, String

from ..leaf import SCHEME
from .attached import attach
from .fontmerge import merge_fonts
from .piece import Piece, Problem

_OUTSIDE = ("http:", "https:", "mailto:")
"""Schemes a link in the binder may lead to; any other is of no use on another machine."""

_K = TypeVar("_K", int, bytes)

_KIDS = 64
"""Entries in one node of a number or name tree."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Binder:
    """The joined document."""

    pdf: bytes
    """The PDF."""
    first_page: dict[str, int]
    """Each leaf's first page by code, counted from 1."""
    pages: int
    """Pages in all, blank ones included."""
    problems: tuple[Problem, ...]
    """Links that lead nowhere; their words stay, the link is gone."""


def bind(
    pieces: Sequence[Piece],
    *,
    title: str,
    lang: str,
    author: str = "",
    date: str = "",
    duplex: bool = False,
    producer: str = "bookgen",
    elsewhere: Collection[str] = frozenset(),
    attached: Mapping[str, bytes] | None = None,
) -> Binder:
    """Join the pieces in their order.

    `lang` is a BCP 47 tag. `date` (ISO 8601, a day) is the only date the document carries, none where it is empty.
    With `duplex` every leaf begins on a right-hand page, after a blank one where the leaf before ends on such a page.
    `elsewhere` holds the codes of leaves that exist and are not among these: links to them are taken off and not told.
    `attached` are files by name that travel in the document, see `attached.read_attached`.
    Raises ValueError where two pieces have one code, or there is none.
    """
    if not pieces:
        raise ValueError("there is nothing to bind")
    if len({piece.code for piece in pieces}) != len(pieces):
        raise ValueError("two leaves have the same code")
    with ExitStack() as rest:
        binding = _Binding(rest.enter_context(Pdf.new()))
        for piece in pieces:
            # Each source stays open to the end: qpdf copies its streams when the binder is written.
            binding.add(piece, rest.enter_context(Pdf.open(io.BytesIO(piece.pdf))), duplex)
        binding.link(elsewhere)
        binding.outline()
        binding.finish(title, lang, author, date, producer)
        attach(binding.pdf, attached or {})
        merge_fonts(binding.pdf)
        out = io.BytesIO()
        binding.pdf.save(
            out,
            min_version="1.7",
            deterministic_id=True,
            object_stream_mode=pikepdf.ObjectStreamMode.generate,
            compress_streams=True,
        )
        return Binder(
            pdf=out.getvalue(),
            first_page={code: number + 1 for code, number in binding.first.items()},
            pages=len(binding.pdf.pages),
            problems=tuple(binding.problems),
        )


class _Binding:
    """A binder while it grows."""

    def __init__(self, pdf: Pdf) -> None:
        self.pdf = pdf
        self.problems: list[Problem] = []
        self.first: dict[str, int] = {}
        self._titles: dict[str, str] = {}
        self._leaves: list[Piece] = []
        self._parents: dict[int, Object] = {}
        self._next_parent = 0
        self._places: dict[bytes, Object] = {}
        self._headings: dict[bytes, Object] = {}
        self._root = pdf.make_indirect(Dictionary(Type=Name.StructTreeRoot))
        self._document = pdf.make_indirect(Dictionary(Type=Name.StructElem, S=Name.Document, P=self._root, K=Array()))
        self._root.K = Array([self._document])
        self._part: tuple[str, Object] = ("", self._document)
        self._annotated: list[tuple[str, Object, Object]] = []

    def add(self, piece: Piece, source: Pdf, duplex: bool) -> None:
        """Append a piece's pages and its part of the structure."""
        pages = self.pdf.pages
        if duplex and len(pages) % 2:
            pages.append(self._blank(pages[-1].obj))
        start = len(pages)
        self.first[piece.code] = start
        self._titles[piece.code] = piece.title
        self._leaves.append(piece)
        for original in source.pages:
            pages.append(original)
        copied = [page.obj for page in pages[start:]]
        if "/StructTreeRoot" in source.Root:
            # The elements name their pages, which are copied already: qpdf then refers to the copies.
            self._graft(piece, self.pdf.copy_foreign(source.Root.StructTreeRoot), copied)
        places = source.Root.get("/Names", Dictionary()).get("/Dests")
        if places is not None:
            copy = self.pdf.copy_foreign(source.make_indirect(places))
            self._places.update(_pairs(copy.Names))
        for page in copied:
            for annotation in page.get("/Annots", Array()):
                self._annotated.append((piece.code, page, annotation))

    def _blank(self, model: Object) -> pikepdf.Page:
        """An empty page of the model's size; with no content there is nothing to tag."""
        blank = Dictionary(Type=Name.Page, Resources=Dictionary(), Tabs=Name.S)
        for box in ("/MediaBox", "/TrimBox", "/BleedBox"):
            if box in model:
                blank[box] = Array(list(model[box]))
        return pikepdf.Page(self.pdf.make_indirect(blank))

    def _graft(self, piece: Piece, tree: Object, pages: Sequence[Object]) -> None:
        """Hang a leaf's structure into the binder's."""
        shift = self._next_parent
        for key, value in _numbered(tree.ParentTree):
            self._parents[key + shift] = value
            self._next_parent = max(self._next_parent, key + shift + 1)
        for page in pages:
            if "/StructParents" in page:
                page.StructParents = int(page.StructParents) + shift
            for annotation in page.get("/Annots", Array()):
                if "/StructParent" in annotation:
                    annotation.StructParent = int(annotation.StructParent) + shift
        section = tree.K[0]
        section.S = Name.Sect
        section.T = String(piece.title)
        section.P = self._part_of(piece.chapter)
        section.P.K.append(section)
        if "/IDTree" in tree:
            self._headings.update(_pairs(tree.IDTree.Names))

    def _part_of(self, chapter: str) -> Object:
        """The chapter's element: the one before where the chapter goes on, the Document where there is none."""
        if not chapter:
            self._part = ("", self._document)
        elif chapter != self._part[0]:
            part = self.pdf.make_indirect(
                Dictionary(Type=Name.StructElem, S=Name.Part, T=String(chapter), P=self._document, K=Array())
            )
            self._document.K.append(part)
            self._part = (chapter, part)
        return self._part[1]

    def link(self, elsewhere: Collection[str]) -> None:
        """Turn `sheet:` links into jumps; drop links that lead nowhere and say so, once for each leaf and address.

        Those to a leaf that is elsewhere are dropped without a word: it is on the shelf, and not in this document.
        """
        lost: dict[tuple[str, str], None] = {}
        for code, page, annotation in self._annotated:
            action = annotation.get("/A")
            if action is None or action.get("/S") != Name.URI:
                continue
            address = str(action.URI)
            target = address.removeprefix(SCHEME)
            if address.startswith(SCHEME) and target in self.first:
                goal = self.pdf.pages[self.first[target]].obj
                del annotation["/A"]
                annotation.Dest = _top(goal)
                annotation.Contents = String(f"{target} {self._titles[target]}")
            elif not address.startswith(_OUTSIDE):
                self._unlink(page, annotation)
                if not (address.startswith(SCHEME) and target in elsewhere):
                    lost[code, address] = None
        for code, address in lost:
            target = address.removeprefix(SCHEME)
            what = f"sheet {target}, which is not in the binder" if target != address else "a file outside the binder"
            self.problems.append(Problem(code=code, sentence=f"A link leads to {what}; its words stay."))

    def _unlink(self, page: Object, annotation: Object) -> None:
        """Take a link off its page and out of the structure; what it was on becomes a span."""
        kept = [other for other in page.Annots if other.objgen != annotation.objgen]
        if kept:
            page.Annots = Array(kept)
        else:
            del page["/Annots"]
        key = annotation.get("/StructParent")
        if key is None:
            return
        element = self._parents.pop(int(key))
        element.K = Array([kid for kid in element.K if not _refers(kid, annotation)])
        element.S = Name.Span

    def outline(self) -> None:
        """One bookmark for each leaf, under its chapter's; that leads to the divider, else to the first leaf."""
        with self.pdf.open_outline() as outline:
            chapter: pikepdf.OutlineItem | None = None
            for piece in self._leaves:
                goal = _top(self.pdf.pages[self.first[piece.code]].obj)
                leaf = pikepdf.OutlineItem(piece.title, goal)
                if piece.divides:
                    chapter = pikepdf.OutlineItem(piece.chapter or piece.title, goal)
                    outline.root.append(chapter)
                    continue
                if not piece.chapter:
                    chapter = None
                    outline.root.append(leaf)
                    continue
                if chapter is None or chapter.title != piece.chapter:
                    chapter = pikepdf.OutlineItem(piece.chapter, goal)
                    outline.root.append(chapter)
                chapter.children.append(leaf)

    def finish(self, title: str, lang: str, author: str, date: str, producer: str) -> None:
        """Trees, catalogue and metadata."""
        pdf, root = self.pdf, self.pdf.Root
        if self._parents:
            self._root.ParentTree = self._tree("/Nums", _sorted(self._parents))
            self._root.ParentTreeNextKey = self._next_parent
        if self._headings:
            self._root.IDTree = self._tree("/Names", _sorted(self._headings))
        if self._places:
            root.Names = Dictionary(Dests=self._tree("/Names", _sorted(self._places)))
        root.StructTreeRoot = self._root
        root.MarkInfo = Dictionary(Marked=True)
        root.Lang = String(lang)
        root.ViewerPreferences = Dictionary(DisplayDocTitle=True)
        root.PageMode = Name.UseOutlines
        for key, text in (("/Title", title), ("/Author", author), ("/Producer", producer)):
            if text:
                pdf.docinfo[key] = String(text)
        if date:
            pdf.docinfo["/CreationDate"] = String("D:" + date.replace("-", ""))
        stream = pdf.make_stream(_xmp(title, lang, author, date, producer).encode())
        stream.Type, stream.Subtype = Name.Metadata, Name.XML
        root.Metadata = stream

    def _tree(self, kind: str, entries: Sequence[tuple[int, Object]] | Sequence[tuple[bytes, Object]]) -> Object:
        """A number or name tree of two levels over sorted entries (ISO 32000-1, 7.9.6 and 7.9.7)."""
        nodes = Array()
        for at in range(0, len(entries), _KIDS):
            some = entries[at : at + _KIDS]
            node = Dictionary(Limits=Array([_key(some[0][0]), _key(some[-1][0])]))
            listed = Array()
            for key, value in some:
                listed.append(_key(key))
                listed.append(value)
            node[kind] = listed
            nodes.append(self.pdf.make_indirect(node))
        return self.pdf.make_indirect(Dictionary(Kids=nodes))


def _sorted(entries: dict[_K, Object]) -> list[tuple[_K, Object]]:
    """The entries by key: numbers by size, names by their bytes, as the trees want them."""
    return sorted(entries.items(), key=lambda entry: entry[0])


def _key(key: int | bytes) -> Any:
    """A key as it stands in a tree."""
    return key if isinstance(key, int) else String(key)


def _pairs(listed: Any) -> dict[bytes, Object]:
    """The `Names` of a name tree's leaf by the bytes of each name."""
    entries = list(listed)
    return {bytes(name): value for name, value in zip(entries[::2], entries[1::2], strict=True)}


def _numbered(tree: Object) -> list[tuple[int, Object]]:
    """The entries of the flat number tree WeasyPrint writes."""
    entries: list[Any] = list(tree.Nums)
    return [(int(key), value) for key, value in zip(entries[::2], entries[1::2], strict=True)]


def _top(page: Object) -> Array:
    """The destination "top of the page, zoom as it is"."""
    box: list[Any] = list(page.MediaBox)
    return Array([page, Name.XYZ, box[0], box[3], None])


def _refers(kid: Any, annotation: Object) -> bool:
    """Whether a structure element's kid is the reference to this annotation."""
    return isinstance(kid, Dictionary) and "/Obj" in kid and kid.Obj.objgen == annotation.objgen


def _xmp(title: str, lang: str, author: str, date: str, producer: str) -> str:
    """The document's metadata as XMP (ISO 16684-1), with nothing in it that changes from run to run."""
    lines = [
        '<?xpacket begin="\ufeff" id="W5M0MpCehiHzreSzNTczkc9d"?>',
        '<x:xmpmeta xmlns:x="adobe:ns:meta/"><rdf:RDF xmlns:rdf="http://www.w3.org/1999/02/22-rdf-syntax-ns#">',
        '<rdf:Description rdf:about="" xmlns:dc="http://purl.org/dc/elements/1.1/"',
        ' xmlns:pdf="http://ns.adobe.com/pdf/1.3/" xmlns:xmp="http://ns.adobe.com/xap/1.0/">',
        "<dc:format>application/pdf</dc:format>",
        f'<dc:title><rdf:Alt><rdf:li xml:lang="x-default">{escape(title)}</rdf:li></rdf:Alt></dc:title>',
        f"<dc:language><rdf:Bag><rdf:li>{escape(lang)}</rdf:li></rdf:Bag></dc:language>",
        f"<pdf:Producer>{escape(producer)}</pdf:Producer>",
    ]
    if author:
        lines.append(f"<dc:creator><rdf:Seq><rdf:li>{escape(author)}</rdf:li></rdf:Seq></dc:creator>")
    if date:
        lines.append(f"<xmp:CreateDate>{escape(date)}</xmp:CreateDate>")
    lines += ["</rdf:Description>", "</rdf:RDF></x:xmpmeta>", '<?xpacket end="r"?>']
    return "\n".join(lines)
