"""PDFs of single leaves into one binder: tags, language, bookmarks, links and fonts kept.

A plain join keeps the pages and loses the rest. Here each leaf's structure elements go under one Document (a part for
each chapter, a section for each leaf), the parent trees are renumbered into one, names of places and of headings
are merged, and links to `sheet:CODE` become jumps to the first page of that leaf, or to what one holds under that code.

One leaf at a time is taken apart and written again, so that a large binder needs little more memory than its file.
Measured (`tests.benchmarks.binder_ways` is to be repeated before this is changed), 400 leaves of two sides: joined by
pikepdf, in groups over files, they held 355 MB and took 10.2 s of processor time, moved as bytes 108 MB and 6.1 s; and
the binder is made anew after each edit. So `objects`, `pdffile`, `moving` and `outline` stay by hand.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from pikepdf import PdfError

from ..leaf import SCHEME
from .about import About
from .attached import attach
from .fonts import Fonts
from .joined import join
from .moving import Moving
from .objects import TRUE, Name, NotOurs, Plain, Ref, entries_of, paired, parse, text_of, words, write
from .outline import Bookmark, outline, top
from .pdffile import PdfSource, Writer, read_pdf, tree
from .piece import PrintedLeaf, Problem
from .setting import PressFailed, another_engine, engine_version

_OUTSIDE = ("http:", "https:", "mailto:")
"""Schemes a link in the binder may lead to; any other is of no use on another machine."""


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
    """Links that lead nowhere: their words stay, the link is gone. Or that it could only be joined plainly."""


def bind(
    pieces: Sequence[PrintedLeaf],
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
    `elsewhere` holds the codes of leaves that exist and are not among these, and of what these hold: links to them are
    taken off and not told.
    `attached` are files by name that travel in the document, see `attached.read_attached`.
    Where the engine lays its PDFs out otherwise than is known here they are joined plainly, and a problem says so.
    Raises ValueError where two pieces have one code, or there is none, and PressFailed where one is no PDF.
    """
    if not pieces:
        raise ValueError("there is nothing to bind")
    called = [(piece.code, piece.title) for piece in pieces]
    called += ((held.code, held.title) for piece in pieces for held in piece.holds)
    titles = dict(called)
    if len(titles) != len(called):
        raise ValueError("two leaves have the same code")
    binding = _Binding(titles, elsewhere, lang)
    about = About(title=title, lang=lang, author=author, date=date, producer=producer)
    piece = pieces[0]
    try:
        for piece in pieces:
            binding.add(piece, duplex)
        pdf = binding.finish(about, attached or {})
    except (NotOurs, AttributeError, KeyError, TypeError, IndexError):
        # What the press itself wrote is read here: only an engine that lays its pages out otherwise can be the cause.
        return _plain(pieces, about, attached or {}, duplex, piece)
    return Binder(
        pdf=pdf,
        first_page={code: number + 1 for code, number in binding.first.items()},
        pages=len(binding.pages),
        problems=tuple(binding.problems),
    )


def _plain(
    pieces: Sequence[PrintedLeaf], about: About, attached: Mapping[str, bytes], duplex: bool, otherwise: PrintedLeaf
) -> Binder:
    """What can be had where a piece is laid out otherwise. Raises PressFailed where it is no PDF at all."""
    try:
        pdf, first = join(pieces, about, attached, duplex=duplex)
    except PdfError as reason:
        raise PressFailed(another_engine(engine_version())) from reason
    said = another_engine(engine_version(), ", which is now without tags and without links within a sheet")
    return Binder(
        pdf=pdf,
        first_page={code: number + 1 for code, number in first.items()},
        pages=first[pieces[-1].code] + pieces[-1].pages,
        problems=(Problem(code=otherwise.code, sentence=said),),
    )


@dataclass(slots=True, kw_only=True)
class _Part:
    """A row of leaves in the structure: those of one chapter, or such as stand by themselves."""

    chapter: str
    """The chapter; empty for none."""
    element: Ref
    """The chapter's structure element, or the Document."""
    sections: list[Ref]
    """The leaves' elements."""


class _Binding:
    """A binder while it grows."""

    def __init__(self, titles: Mapping[str, str], elsewhere: Collection[str], lang: str) -> None:
        self.problems: list[Problem] = []
        self.first: dict[str, int] = {}
        self.pages: list[Ref] = []
        self._titles, self._elsewhere, self._lang = titles, elsewhere, words(lang)
        self._writer = Writer()
        self._fonts = Fonts(self._writer)
        self._once: dict[bytes, int] = {}
        self._boxes: dict[str, Any] = {}
        self._tops: dict[str, Any] = {}
        self._marks: list[Bookmark] = []
        self._jumps: list[tuple[int, bytes, str]] = []
        self._parts: list[_Part] = []
        self._parents: list[tuple[int, Any]] = []
        self._next_parent = 0
        self._places: dict[bytes, Any] = {}
        self._headings: dict[bytes, Any] = {}
        self._page_root, self._root, self._document = (Ref(self._writer.number()) for _ in range(3))

    def add(self, piece: PrintedLeaf, duplex: bool) -> None:
        """Append a piece's pages and its part of the structure."""
        if duplex and len(self.pages) % 2:
            self.pages.append(self._blank())
        self.first[piece.code] = len(self.pages)
        self._fonts.bring(piece.cuts)
        source = read_pdf(piece.pdf)
        catalog = source.read(source.root)
        pages: list[Ref] = source.read(catalog["Pages"])["Kids"]
        part = self._part_of(piece.chapter)
        numbers = {catalog["Pages"].number: self._page_root.number}
        sections, names, parents = [], [], {}
        if "StructTreeRoot" in catalog:
            root = source.read(catalog["StructTreeRoot"])
            # What was right below the root hangs on the chapter now.
            numbers[catalog["StructTreeRoot"].number] = part.element.number
            parents = entries_of(source.objects[root["ParentTree"].number])
            names = source.read(root.get("IDTree", {})).get("Names", [])
            sections = [root["K"][0]]
            said = {"S": Name("Sect"), "T": words(piece.title)}
            if catalog["Lang"] not in (b"", self._lang):
                said["Lang"] = catalog["Lang"]
            source.change(sections[0], {**source.read(sections[0]), **said})
        jumps = self._link(piece.code, source, pages, parents)
        moving = Moving(source, self._writer, self._fonts, self._once, numbers)
        for number, new, raw in moving.moved([*pages, *sections]):
            if number in jumps:
                self._jumps.append((new, raw, jumps[number]))
            else:
                self._writer.put(new, raw)
        part.sections += (Ref(moving.number(section)) for section in sections)
        self._parents += ((key + self._next_parent, Plain(moving.led(value))) for key, value in parents.items())
        self._next_parent += 1 + max(parents, default=-1)
        self._headings.update((name, Plain(moving.led(write(value)))) for name, value in paired(names))
        places = catalog.get("Names", {}).get("Dests", {}).get("Names", [])
        here = {name: Plain(moving.led(write(value))) for name, value in paired(places)}
        self._places.update(here)
        first = source.read(pages[0])
        self._boxes = {name: first[name] for name in ("MediaBox", "TrimBox", "BleedBox") if name in first}
        self._tops[piece.code] = goal = top(Ref(moving.number(pages[0])), first["MediaBox"])
        for held in piece.holds:
            self._tops[held.code] = here.get(f"{piece.code}#{held.code}".encode(), goal)
        below = tuple((held.title, self._tops[held.code]) for held in piece.holds)
        self._marks.append(
            Bookmark(title=piece.title, chapter=piece.chapter, divides=piece.divides, goal=goal, below=below)
        )
        self.pages += (Ref(moving.number(page)) for page in pages)

    def _blank(self) -> Ref:
        """An empty page of the size of the last; with no content there is nothing to tag."""
        return self._writer.add(
            {"Type": Name("Page"), "Parent": self._page_root, "Resources": {}, "Tabs": Name("S"), **self._boxes}
        )

    def _part_of(self, chapter: str) -> _Part:
        """The chapter's part: the one before where the chapter goes on."""
        if not self._parts or self._parts[-1].chapter != chapter:
            element = Ref(self._writer.number()) if chapter else self._document
            self._parts.append(_Part(chapter=chapter, element=element, sections=[]))
        return self._parts[-1]

    def _link(self, code: str, source: PdfSource, pages: Sequence[Ref], parents: dict[int, bytes]) -> dict[int, str]:
        """Renumber what pages and links say of the parent tree, and take off links that lead nowhere.

        Those are told once for each address; those to a leaf that is elsewhere are not: it is on the shelf, and not in
        this document. Returns the leaves that `sheet:` links jump to, by the numbers of the links.
        """
        jumps: dict[int, str] = {}
        lost: dict[str, None] = {}
        for place in pages:
            page = source.read(place)
            kept = []
            for link in page.pop("Annots", []):
                annotation = source.read(link)
                address = text_of(annotation["A"]["URI"]) if "URI" in annotation.get("A", {}) else ""
                target = address.removeprefix(SCHEME)
                within = target != address
                if address and not address.startswith(_OUTSIDE) and not (within and target in self._titles):
                    if "StructParent" in annotation:
                        _unlink(source, link, parse(parents.pop(annotation["StructParent"])))
                    if not (within and target in self._elsewhere):
                        lost[address] = None
                    continue
                kept.append(link)
                if within:
                    jumps[link.number] = target
                    # Where it leads and what it is called is written when all leaves have their places.
                    annotation = {name: of for name, of in annotation.items() if name not in ("A", "Contents")}
                if "StructParent" in annotation:
                    annotation["StructParent"] += self._next_parent
                source.change(link, annotation)
            if kept:
                page["Annots"] = kept
            if "StructParents" in page:
                page["StructParents"] += self._next_parent
            source.change(place, page)
        for address in lost:
            target = address.removeprefix(SCHEME)
            what = f"sheet {target}, which is not in the binder" if target != address else "a file outside the binder"
            self.problems.append(Problem(code=code, sentence=f"A link leads to {what}; its words stay."))
        return jumps

    def finish(self, about: About, attached: Mapping[str, bytes]) -> bytes:
        """Write jumps, fonts, trees and catalogue; return the document."""
        writer = self._writer
        for number, raw, target in self._jumps:
            goal = {"Dest": self._tops[target], "Contents": words(self._titles[target])}
            writer.put(number, raw.rstrip()[:-2] + write(goal)[2:])
        self._fonts.finish()
        writer.put(self._page_root.number, write({"Type": Name("Pages"), "Kids": self.pages, "Count": len(self.pages)}))
        self._write_structure()
        names = {}
        if self._places:
            names["Dests"] = tree(writer, "Names", sorted(self._places.items()))
        if attached:
            names["EmbeddedFiles"] = attach(writer, attached)
        catalog = {
            "Type": Name("Catalog"),
            "Pages": self._page_root,
            "Lang": words(about.lang),
            "MarkInfo": {"Marked": TRUE},
            "StructTreeRoot": self._root,
            "Outlines": outline(writer, self._marks),
            "PageMode": Name("UseOutlines"),
            "ViewerPreferences": {"DisplayDocTitle": TRUE},
            "Metadata": writer.add_stream(
                {"Type": Name("Metadata"), "Subtype": Name("XML")}, about.xmp(tagged=True).encode(), pack=False
            ),
            **({"Names": names} if names else {}),
        }
        return writer.finish(writer.add(catalog), writer.add(about.entries()))

    def _write_structure(self) -> None:
        """Write the upper part of the structure, and the trees that lead into it."""
        writer = self._writer
        below: list[Ref] = []
        for part in self._parts:
            if not part.chapter:
                below += part.sections
                continue
            below.append(part.element)
            chapter = {"Type": Name("StructElem"), "S": Name("Part"), "T": words(part.chapter)}
            writer.put(part.element.number, write({**chapter, "P": self._document, "K": part.sections}))
        document = {"Type": Name("StructElem"), "S": Name("Document"), "P": self._root, "K": below}
        writer.put(self._document.number, write(document))
        root: dict[str, Any] = {"Type": Name("StructTreeRoot"), "K": [self._document]}
        if self._parents:
            root["ParentTree"] = tree(writer, "Nums", self._parents)
            root["ParentTreeNextKey"] = self._next_parent
        if self._headings:
            root["IDTree"] = tree(writer, "Names", sorted(self._headings.items()))
        writer.put(self._root.number, write(root))


def _unlink(source: PdfSource, link: Ref, place: Ref) -> None:
    """Take a link out of the structure; what it was on becomes a span."""
    element = source.read(place)
    kids = [kid for kid in element["K"] if not (isinstance(kid, Ref) and source.read(kid).get("Obj") == link)]
    source.change(place, {**element, "S": Name("Span"), "K": kids})
