"""What makes a PDF fail PDF/UA-1 (ISO 14289-1) as far as a program can tell: one rule a failure condition.

The conditions are those of the Matterhorn Protocol 1.1, by their numbers, in words of our own after a public transcript
of it.  All that a machine can decide have a row: in `RULES` what a binder has in it, in `NEVER` what it has not, such
as form fields; there the rule is that it has not, so that whoever brings it in has to write the rule first.  Rules that
are named by a clause of ISO 32000-1 stand beside them: from memory, as the protocol takes them for granted.

Read with pikepdf and fontTools.  Nothing here was part of making the PDF.
"""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from functools import cached_property
from io import BytesIO
from typing import Any
from xml.etree import ElementTree

import pikepdf
from fontTools.ttLib import TTFont

Rule = Callable[["Document"], Iterator[str]]

PAINTS = frozenset(["Tj", "TJ", "'", '"', "f", "F", "f*", "B", "B*", "b", "b*", "S", "s", "sh", "Do", "INLINE IMAGE"])
HEADINGS = ("H1", "H2", "H3", "H4", "H5", "H6")
STANDARD = frozenset([
    "Document", "Part", "Art", "Sect", "Div", "BlockQuote", "Caption", "TOC", "TOCI", "Index", "NonStruct", "Private",
    "P", "H", *HEADINGS, "L", "LI", "Lbl", "LBody", "Table", "TR", "TH", "TD", "THead", "TBody", "TFoot", "Span",
    "Quote", "Note", "Reference", "BibEntry", "Code", "Link", "Annot", "Ruby", "RB", "RT", "RP", "Warichu", "WT", "WP",
    "Figure", "Formula", "Form",
])  # fmt: skip
"""Structure types of ISO 32000-1, 14.8.4."""
METADATA = {
    "pdfuaid": "http://www.aiim.org/pdfua/ns/id/",
    "dc": "http://purl.org/dc/elements/1.1/",
    "rdf": "http://www.w3.org/1999/02/22-rdf-syntax-ns#",
}


@dataclass(slots=True, kw_only=True, eq=False)
class Element:
    """A structure element."""

    kind: str
    """Its type, by the role map where that has it."""
    given: str
    """Its type as written."""
    held: Any
    """Its dictionary."""
    above: Element | None
    below: list[Element] = field(default_factory=list)
    """Elements right below."""
    contents: list[tuple[int, int]] = field(default_factory=list)
    """Pages, by object number, and numbers of what it holds of them."""
    objects: list[int] = field(default_factory=list)
    """Numbers of the annotations that it holds."""

    @property
    def number(self) -> int:
        """Its object number."""
        return int(self.held.objgen[0])

    def walk(self) -> Iterator[Element]:
        """Yield this and all below, in reading order."""
        waiting = [self]
        while waiting:
            yield (one := waiting.pop())
            waiting.extend(reversed(one.below))

    def attribute(self, name: str) -> Any:
        """An entry of its attributes; None where it has none."""
        found = self.held.get("/A")
        for one in found if isinstance(found, pikepdf.Array) else [] if found is None else [found]:
            if name in one:
                return one[name]
        return None

    def __str__(self) -> str:
        return f"{self.given} {self.number}"


@dataclass(slots=True, kw_only=True)
class Marks:
    """What the content of one page says of itself."""

    numbers: list[int] = field(default_factory=list)
    """Those of its marked contents, as they come."""
    artifact_in_tagged: list[str] = field(default_factory=list)
    tagged_in_artifact: list[str] = field(default_factory=list)
    neither: list[str] = field(default_factory=list)
    """Operators that paint what is neither."""


class Document:
    """A PDF that is looked at."""

    def __init__(self, pdf: pikepdf.Pdf) -> None:
        self.pdf, self.root = pdf, pdf.Root
        self.tree = pdf.Root.get("/StructTreeRoot")
        self.roles = {str(name)[1:]: str(to)[1:] for name, to in self._entries(self.tree, "/RoleMap").items()}
        self.used: dict[int, set[int]] = defaultdict(set)
        self.fonts: dict[int, Any] = {}
        self.forms: dict[int, int] = defaultdict(int)
        self.marked_forms: set[int] = set()
        self.pages = {page.obj.objgen[0]: page.obj for page in pdf.pages}
        self.marks = {number: self._marks(page) for number, page in self.pages.items()}

    @staticmethod
    def _entries(holder: Any, name: str) -> Any:
        found = holder.get(name) if holder is not None else None
        return {} if found is None else found

    @cached_property
    def elements(self) -> list[Element]:
        """All structure elements, in reading order."""
        kids = self._entries(self.tree, "/K")
        tops = list(kids) if isinstance(kids, pikepdf.Array) else [kids] if kids else []
        return [one for top in tops for one in self._element(top, None).walk()]

    def _element(self, top: Any, above: Element | None) -> Element:
        first = Element(kind=self.kind(top), given=str(top.S)[1:], held=top, above=above)
        waiting = [first]
        while waiting:
            one = waiting.pop()
            page = one.held.get("/Pg")
            kids = one.held.get("/K", [])
            for kid in kids if isinstance(kids, pikepdf.Array) else [kids]:
                if isinstance(kid, int):
                    one.contents.append((page.objgen[0], int(kid)))
                elif kid.get("/Type") == "/OBJR":
                    one.objects.append(kid.Obj.objgen[0])
                elif kid.get("/Type") == "/MCR":
                    one.contents.append((kid.get("/Pg", page).objgen[0], int(kid.MCID)))
                else:
                    one.below.append(Element(kind=self.kind(kid), given=str(kid.S)[1:], held=kid, above=one))
            waiting += one.below
        return first

    def kind(self, held: Any) -> str:
        """The standard type of an element, as far as the role map leads."""
        name, seen = str(held.S)[1:], set()
        while name in self.roles and name not in seen:
            seen.add(name)
            name = self.roles[name]
        return name

    def of_kind(self, *kinds: str) -> Iterator[Element]:
        """Yield the elements of these kinds."""
        return (element for element in self.elements if element.kind in kinds)

    @cached_property
    def annotations(self) -> list[tuple[Any, Any]]:
        """Each annotation with its page."""
        return [(one, page) for page in self.pages.values() for one in page.get("/Annots", [])]

    @cached_property
    def parents(self) -> dict[int, Any]:
        """The parent tree: key → element or array of elements."""
        waiting, found = [self._entries(self.tree, "/ParentTree")], {}
        while waiting:
            node = waiting.pop()
            waiting += list(node.get("/Kids", []))
            listed = list(node.get("/Nums", []))
            found.update(zip(map(int, listed[::2]), listed[1::2], strict=True))
        return found

    @cached_property
    def owners(self) -> dict[int, list[Element]]:
        """Number of an annotation → the elements that hold it."""
        found: dict[int, list[Element]] = defaultdict(list)
        for element in self.elements:
            for number in element.objects:
                found[number].append(element)
        return found

    @cached_property
    def metadata(self) -> ElementTree.Element | None:
        """What the document says of itself as XMP; None where it says nothing."""
        found = self.root.get("/Metadata")
        return None if found is None else ElementTree.fromstring(found.read_bytes())

    def _marks(self, page: Any) -> Marks:
        found = Marks()
        if "/Contents" in page:
            self._read(page, page.Resources, [], found)
        return found

    def _read(self, source: Any, resources: Any, open_: list[Any], found: Marks) -> None:
        font = 0
        for operands, operator in pikepdf.parse_content_stream(source):
            name = str(operator)
            if name in ("BDC", "BMC"):
                open_.append(self._open(operands, resources, open_, found))
            elif name == "EMC":
                open_.pop()
            elif name == "Tf":
                held = resources.Font[str(operands[0])]
                font = held.objgen[0]
                self.fonts.setdefault(font, held)
            elif name in PAINTS:
                if not any(one is not None for one in open_):
                    found.neither.append(name)
                if name in ("Tj", "TJ", "'", '"'):
                    shown = operands[-1]
                    for one in shown if isinstance(shown, pikepdf.Array) else [shown]:
                        if isinstance(one, pikepdf.String):
                            codes = bytes(one)
                            self.used[font].update(codes[at] << 8 | codes[at + 1] for at in range(0, len(codes) - 1, 2))
                elif name == "Do":
                    self._draw(resources.XObject[str(operands[0])], resources, open_, found)

    def _open(self, operands: Any, resources: Any, open_: list[Any], found: Marks) -> Any:
        """What opens: `artifact`, the number of a marked content, or None for what says nothing."""
        if operands[0] == "/Artifact":
            if any(isinstance(one, int) for one in open_):
                found.artifact_in_tagged.append(str(open_))
            return "artifact"
        given = operands[1] if len(operands) > 1 else {}
        given = resources.Properties[str(given)] if isinstance(given, pikepdf.Name) else given
        number = given.get("/MCID")
        if number is None:
            return None
        if "artifact" in open_:
            found.tagged_in_artifact.append(str(int(number)))
        found.numbers.append(int(number))
        return int(number)

    def _draw(self, drawn: Any, resources: Any, open_: list[Any], found: Marks) -> None:
        if drawn.Subtype == "/Form":
            before = len(found.numbers)
            self._read(drawn, drawn.get("/Resources", resources), open_, found)
            self.forms[drawn.objgen[0]] += 1
            if len(found.numbers) > before:
                self.marked_forms.add(drawn.objgen[0])

    # ── Type ────────────────────────────────────────────────────────────────────────────────────────────────────

    @cached_property
    def composed(self) -> list[Composed]:
        """The fonts of two bytes a code that text is set in."""
        return [
            Composed(held, self.used[number], self._programs)
            for number, held in self.fonts.items() if held.Subtype == "/Type0"
        ]  # fmt: skip

    @cached_property
    def _programs(self) -> dict[int, TTFont]:
        return {}


class Composed:
    """A Type 0 font with what is set in it."""

    def __init__(self, held: Any, codes: set[int], programs: dict[int, TTFont]) -> None:
        self.held, self.codes, self.below = held, codes, held.DescendantFonts[0]
        self.descriptor = self.below.FontDescriptor
        self._programs = programs

    def __str__(self) -> str:
        return str(self.held.BaseFont)

    @cached_property
    def texts(self) -> dict[int, str]:
        """Code → text, by the font's own map."""
        found: dict[int, str] = {}
        said = self.held.ToUnicode.read_bytes().decode("latin-1") if "/ToUnicode" in self.held else ""
        for part in re.findall(r"beginbfchar(.*?)endbfchar", said, re.DOTALL):
            for code, text in re.findall(r"<(\w+)>\s*<(\w*)>", part):
                found[int(code, 16)] = bytes.fromhex(text).decode("utf-16-be", "surrogatepass")
        return found

    @cached_property
    def program(self) -> TTFont | None:
        """The font program; None where it is not embedded as TrueType."""
        file = self.descriptor.get("/FontFile2")
        if file is None:
            return None
        number = file.objgen[0]
        if number not in self._programs:
            self._programs[number] = TTFont(BytesIO(file.read_bytes()), lazy=True)
        return self._programs[number]

    @cached_property
    def widths(self) -> dict[int, float]:
        """Code → width in thousandths, by the font's own table."""
        found: dict[int, float] = {}
        listed = list(self.below.get("/W", []))
        for first, widths in zip(listed[::2], listed[1::2], strict=True):
            found.update((int(first) + at, float(width)) for at, width in enumerate(widths))
        return found


# ── 01: real content ──────────────────────────────────────────────────────────────────────────────────────────────


def artifact_in_tagged(document: Document) -> Iterator[str]:
    """01-003: an artifact lies within tagged content."""
    return (one for marks in document.marks.values() for one in marks.artifact_in_tagged)


def tagged_in_artifact(document: Document) -> Iterator[str]:
    """01-004: tagged content lies within an artifact."""
    return (one for marks in document.marks.values() for one in marks.tagged_in_artifact)


def neither(document: Document) -> Iterator[str]:
    """01-005: content is neither an artifact nor tagged; content whose number no element holds is not tagged."""
    held = {content for element in document.elements for content in element.contents}
    for page, marks in document.marks.items():
        yield from (f"{name} on page {page}" for name in marks.neither)
        yield from (f"content {one} on page {page}" for one in marks.numbers if (page, one) not in held)


def suspect(document: Document) -> Iterator[str]:
    """01-007: the document says that its tags are suspect; or it does not say that it is tagged (ISO 14289-1, 7.1)."""
    said = document.root.get("/MarkInfo", {})
    if said.get("/Suspects", False) or not said.get("/Marked", False):
        yield str(said)


# ── 02: role map ──────────────────────────────────────────────────────────────────────────────────────────────────


def no_standard_type(document: Document) -> Iterator[str]:
    """02-001: a type of one's own leads to no standard type."""
    return (str(element) for element in document.elements if element.kind not in STANDARD)


def circular(document: Document) -> Iterator[str]:
    """02-003: the role map leads in a circle."""
    for name in document.roles:
        seen, at = [name], document.roles[name]
        while at in document.roles and at not in seen:
            seen.append(at)
            at = document.roles[at]
        if at in seen:
            yield name


def remapped(document: Document) -> Iterator[str]:
    """02-004: a standard type is mapped to another."""
    return (name for name in document.roles if name in STANDARD)


# ── 06 and 07: what the document says of itself ───────────────────────────────────────────────────────────────────


def no_metadata(document: Document) -> Iterator[str]:
    """06-001: there is no XMP metadata."""
    if document.metadata is None:
        yield "no metadata"


def no_identifier(document: Document) -> Iterator[str]:
    """06-002: the metadata lacks the identifier of PDF/UA, part 1 (clause 5)."""
    found = document.metadata
    parts = [] if found is None else found.findall(".//pdfuaid:part", METADATA)
    if [part.text for part in parts] != ["1"]:
        yield "no identifier"


def no_title(document: Document) -> Iterator[str]:
    """06-003: the metadata lacks a title."""
    found = document.metadata
    if found is None or not any(one.text for one in found.findall(".//dc:title/rdf:Alt/rdf:li", METADATA)):
        yield "no title"


def title_not_asked(document: Document) -> Iterator[str]:
    """07-001: nothing is said of what stands in the window's bar."""
    if "/DisplayDocTitle" not in document.root.get("/ViewerPreferences", {}):
        yield "nothing is said"


def title_not_shown(document: Document) -> Iterator[str]:
    """07-002: the file's name stands there in place of the title."""
    if document.root.get("/ViewerPreferences", {}).get("/DisplayDocTitle", True) is not True:
        yield "not shown"


# ── 09: what may stand in what ────────────────────────────────────────────────────────────────────────────────────


def _misplaced(document: Document, kinds: dict[str, tuple[set[str], set[str] | None]]) -> Iterator[str]:
    """Elements in or above others than may be; `kinds` has for each kind what may be above and what below it."""
    for element in document.elements:
        if element.kind not in kinds:
            continue
        above, below = kinds[element.kind]
        if above and (element.above is None or element.above.kind not in above):
            yield f"{element} in {element.above}"
        if below is not None:
            yield from (f"{kid} in {element}" for kid in element.below if kid.kind not in below)
            if element.contents or element.objects:
                yield f"content right in {element}"


def table_nesting(document: Document) -> Iterator[str]:
    """09-004: parts of a table stand elsewhere than ISO 32000-1 has them (table 337), or a table has no row."""
    parts, cells = {"THead", "TBody", "TFoot"}, {"TH", "TD"}
    yield from _misplaced(
        document,
        {
            "Table": (set(), {"TR", "Caption", *parts}),
            **dict.fromkeys(parts, ({"Table"}, {"TR"})),
            "TR": ({"Table", *parts}, cells),
            **dict.fromkeys(cells, ({"TR"}, None)),
        },
    )
    for table in document.of_kind("Table"):
        kinds = [kid.kind for kid in table.below]
        if not any(one.kind == "TR" for one in table.walk()):
            yield f"no row in {table}"
        if kinds.count("Caption") > 1 or "Caption" in kinds[1:-1]:
            yield f"a caption amid {table}"
        if max(kinds.count("THead"), kinds.count("TFoot")) > 1 or ("TR" in kinds and parts & {*kinds}):
            yield f"{kinds} in {table}"


def list_nesting(document: Document) -> Iterator[str]:
    """09-005: parts of a list stand elsewhere than ISO 32000-1 has them (table 336), or a list has no item."""
    yield from _misplaced(
        document,
        {
            "L": (set(), {"LI", "Caption"}),
            "LI": ({"L"}, {"Lbl", "LBody"}),
            "LBody": ({"LI"}, None),
            "Lbl": ({"LI", "TOCI", "Note", "BibEntry"}, None),
        },
    )
    for element in document.of_kind("L"):
        kinds = [kid.kind for kid in element.below]
        if "LI" not in kinds or "Caption" in kinds[1:]:
            yield f"{kinds} in {element}"


def contents_nesting(document: Document) -> Iterator[str]:
    """09-006: parts of a table of contents stand elsewhere than ISO 32000-1 has them (table 333)."""
    return _misplaced(
        document,
        {
            "TOC": (set(), {"TOC", "TOCI", "Caption"}),
            "TOCI": ({"TOC"}, {"Lbl", "Reference", "NonStruct", "P", "TOC"}),
        },
    )


# ── 10 and 11: characters and language ────────────────────────────────────────────────────────────────────────────


def no_character(document: Document) -> Iterator[str]:
    """10-001: a code that is set stands for no character; with it 17-003, the same within formulas."""
    for font in document.composed:
        yield from (f"{code} of {font}" for code in sorted(font.codes) if not font.texts.get(code))


def no_language(document: Document) -> Iterator[str]:
    """11-001 to 11-006: the language of text, of words for pictures, bookmarks, links and metadata is not told.

    One for all of the document tells it.
    """
    if not re.fullmatch(r"[A-Za-z]{2,8}(-[A-Za-z0-9]{1,8})*", str(document.root.get("/Lang", ""))):
        yield str(document.root.get("/Lang"))


# ── 13 to 19: pictures, headings, tables, formulas, notes ─────────────────────────────────────────────────────────


def no_words(document: Document) -> Iterator[str]:
    """13-004: a picture has no words in its place."""
    return (str(one) for one in document.of_kind("Figure") if not (_said(one, "/Alt") or _said(one, "/ActualText")))


def _said(element: Element, name: str) -> str:
    return str(element.held.get(name, "")).strip()


def first_heading(document: Document) -> Iterator[str]:
    """14-002: the first heading is not of the first level."""
    first = next(document.of_kind(*HEADINGS), None)
    if first is not None and first.kind != "H1":
        yield str(first)


def level_skipped(document: Document) -> Iterator[str]:
    """14-003: a heading stands more than one level below the one before it."""
    before = 0
    for heading in document.of_kind(*HEADINGS):
        level = int(heading.kind[1])
        if level > before + 1 and before:
            yield f"{heading} after H{before}"
        before = level


def two_headings(document: Document) -> Iterator[str]:
    """14-006: an element holds more than one H."""
    return (str(one) for one in document.elements if [kid.kind for kid in one.below].count("H") > 1)


def both_headings(document: Document) -> Iterator[str]:
    """14-007: H and H1 to H6 stand in one document."""
    kinds = {element.kind for element in document.elements}
    if "H" in kinds and kinds & {*HEADINGS}:
        yield "H beside H1 to H6"


def no_scope(document: Document) -> Iterator[str]:
    """15-003: a head of a table does not say whether it heads a row or a column.

    It may be left out where all cells name their heads; here it never is, as few readers follow the names.
    """
    for head in document.of_kind("TH"):
        if head.attribute("/Scope") not in ("/Row", "/Column", "/Both"):
            yield str(head)


def formula_without_words(document: Document) -> Iterator[str]:
    """17-002: a formula has no words in its place."""
    return (str(one) for one in document.of_kind("Formula") if not _said(one, "/Alt"))


def note_without_name(document: Document) -> Iterator[str]:
    """19-003: a note has no identifier."""
    return (str(one) for one in document.of_kind("Note") if not _said(one, "/ID"))


def one_name_twice(document: Document) -> Iterator[str]:
    """19-004: two notes have one identifier; here no two elements have (ISO 32000-1, table 323: ID)."""
    seen: set[str] = set()
    for element in document.elements:
        name = _said(element, "/ID")
        if name and name in seen:
            yield f"{element} is {name} too"
        seen.add(name)


# ── 21: files that travel with it ─────────────────────────────────────────────────────────────────────────────────


def file_without_name(document: Document) -> Iterator[str]:
    """21-001: what is said of a file that travels with the document lacks one of its two names."""
    for name, said in document.pdf.attachments.items():
        if not {"/F", "/UF"} <= {*said.obj.keys()}:
            yield name


# ── 28: annotations ───────────────────────────────────────────────────────────────────────────────────────────────


def annotation_not_in_annot(document: Document) -> Iterator[str]:
    """28-002: an annotation that is no link, field or printer's mark stands under no Annot; with it 28-006."""
    for one, _ in document.annotations:
        if one.Subtype not in ("/Link", "/Widget", "/PrinterMark") and [
            owner.kind for owner in document.owners[one.objgen[0]]
        ] != ["Annot"]:
            yield str(one.Subtype)


def annotation_without_words(document: Document) -> Iterator[str]:
    """28-004: neither an annotation nor its element has words for it."""
    for one, _ in document.annotations:
        owners = document.owners[one.objgen[0]]
        if not str(one.get("/Contents", "")).strip() and not any(_said(owner, "/Alt") for owner in owners):
            yield f"{one.Subtype} {one.objgen[0]}"


def no_order(document: Document) -> Iterator[str]:
    """28-008: a page with an annotation does not say in which order they are gone through."""
    return (str(page.objgen[0]) for _, page in document.annotations if "/Tabs" not in page)


def another_order(document: Document) -> Iterator[str]:
    """28-009: the order is another than that of the structure."""
    return (str(page.objgen[0]) for _, page in document.annotations if page.get("/Tabs", "/S") != "/S")


def link_not_in_link(document: Document) -> Iterator[str]:
    """28-011: a link stands under no Link."""
    for one, _ in document.annotations:
        if one.Subtype == "/Link" and [owner.kind for owner in document.owners[one.objgen[0]]] != ["Link"]:
            yield str(one.objgen[0])


def link_without_words(document: Document) -> Iterator[str]:
    """28-012: a link does not say in words where it leads."""
    for one, _ in document.annotations:
        if one.Subtype == "/Link" and not str(one.get("/Contents", "")).strip():
            yield str(one.objgen[0])


# ── 30 and 31: forms and type ─────────────────────────────────────────────────────────────────────────────────────


def marked_form_twice(document: Document) -> Iterator[str]:
    """30-002: a form with marked content is drawn more than once."""
    return (str(number) for number in document.marked_forms if document.forms[number] > 1)


def glyphs_not_mapped(document: Document) -> Iterator[str]:
    """31-004: what leads from codes to glyphs is neither a stream nor Identity."""
    for font in document.composed:
        way = font.below.get("/CIDToGIDMap", "/Identity")
        if font.below.Subtype == "/CIDFontType2" and not isinstance(way, pikepdf.Stream) and way != "/Identity":
            yield str(font)


def glyphs_not_told(document: Document) -> Iterator[str]:
    """31-005: nothing is said of what leads from codes to glyphs."""
    for font in document.composed:
        if font.below.Subtype == "/CIDFontType2" and "/CIDToGIDMap" not in font.below:
            yield str(font)


def codes_not_mapped(document: Document) -> Iterator[str]:
    """31-006: a map of codes is neither Identity nor embedded; of the predefined ones no other is ever taken.

    With it 31-001 to 31-003, 31-007 and 31-008, which look into other maps.
    """
    return (str(font) for font in document.composed if font.held.get("/Encoding") not in ("/Identity-H", "/Identity-V"))


def not_embedded(document: Document) -> Iterator[str]:
    """31-009: type that text is set in is not embedded."""
    for font in document.composed:
        if not {"/FontFile2", "/FontFile3"} & {*font.descriptor.keys()}:
            yield str(font)


def glyph_missing(document: Document) -> Iterator[str]:
    """31-011: embedded type lacks a glyph that is set; one of a letter without an outline is lacking too."""
    for font in document.composed:
        if font.program is None:
            continue
        order, outlines = font.program.getGlyphOrder(), font.program["glyf"]
        for code in sorted(font.codes):
            seen = font.texts.get(code, "").strip("\u00ad\u200b\u200c\u200d\u2060 \u00a0\u2009\u202f\n\t")
            if code >= len(order) or (seen and outlines[order[code]].numberOfContours == 0):
                yield f"{code} {seen!r} of {font}"


def set_told_wrong(document: Document) -> Iterator[str]:
    """31-014 and 31-015: a list of the glyphs in embedded type is not of them; here there is never one."""
    return (str(font) for font in document.composed if "/CIDSet" in font.descriptor)


def width_told_wrong(document: Document) -> Iterator[str]:
    """31-016: the width of a glyph that is set is another in the type than beside it, by more than a thousandth."""
    for font in document.composed:
        if font.program is not None:
            order, widths, units = font.program.getGlyphOrder(), font.program["hmtx"], font.program["head"].unitsPerEm
            for code in sorted(font.codes):
                inside = widths[order[code]][0] * 1000 / units if code < len(order) else 0
                if abs(font.widths.get(code, float(font.below.get("/DW", 1000))) - inside) > 1:
                    yield f"{code} of {font}"


def no_map_to_text(document: Document) -> Iterator[str]:
    """31-027: nothing leads from codes to characters."""
    return (str(font) for font in document.composed if "/ToUnicode" not in font.held)


def maps_to_nothing(document: Document) -> Iterator[str]:
    """31-028: a code leads to the character zero."""
    return (str(font) for font in document.composed if any("\0" in text for text in font.texts.values()))


def maps_to_no_character(document: Document) -> Iterator[str]:
    """31-029: a code leads to U+FEFF or U+FFFE."""
    return (
        str(font) for font in document.composed if any({*text} & {"\ufeff", "\ufffe"} for text in font.texts.values())
    )


def sets_nothing(document: Document) -> Iterator[str]:
    """31-030: the glyph for what is missing is set."""
    return (str(font) for font in document.composed if 0 in font.codes)


# ── ISO 32000-1, 14.7: the structure itself ───────────────────────────────────────────────────────────────────────


def parent_tree(document: Document) -> Iterator[str]:
    """ISO 32000-1, 14.7.4.4: the tree leads from each content and annotation to the element that holds it, and nowhere
    else.  From memory."""
    asked: dict[int, Any] = {}
    holds = {content: element.number for element in document.elements for content in element.contents}
    for number, page in document.pages.items():
        numbers = document.marks[number].numbers
        key = page.get("/StructParents")
        if numbers and key is None:
            yield f"page {number}"
        if key is None:
            continue
        listed = document.parents.get(int(key), [])
        asked[int(key)] = listed
        leads = {at: one.objgen[0] for at, one in enumerate(listed) if one is not None}
        if leads != {at: holds.get((number, at)) for at in numbers} or len(numbers) != len({*numbers}):
            yield f"page {number}: {leads}"
    for one, _ in document.annotations:
        key = one.get("/StructParent")
        owner = document.parents.get(int(key)) if key is not None else None
        asked[-1 if key is None else int(key)] = owner
        if owner is None or [owner.objgen[0]] != [found.number for found in document.owners[one.objgen[0]]]:
            yield f"annotation {one.objgen[0]}"
    if {*asked} - {-1} != {*document.parents} or document.tree.get("/ParentTreeNextKey", 0) <= max(asked, default=0):
        yield "keys that nothing asks for"


def told_above(document: Document) -> Iterator[str]:
    """ISO 32000-1, table 323 (P): an element names another as the one above it.  From memory."""
    for element in document.elements:
        above = document.tree if element.above is None else element.above.held
        if element.held.get("/P", element.held).objgen != above.objgen:
            yield str(element)


def heads_unknown(document: Document) -> Iterator[str]:
    """ISO 32000-1, table 348 (Headers): a cell names a head that its table does not have.  From memory."""
    for table in document.of_kind("Table"):
        names = {_said(head, "/ID") for head in table.walk() if head.kind == "TH"}
        for cell in table.walk():
            heads = cell.attribute("/Headers")
            yield from (f"{head} at {cell}" for head in map(str, heads or []) if head not in names)


def picture_astray(document: Document) -> Iterator[str]:
    """ISO 32000-1, table 344 (BBox): a picture says that it stands where its page is not.  From memory."""
    for one in document.of_kind("Figure"):
        left, lower, right, upper = (float(edge) for edge in one.attribute("/BBox") or (0, 0, 0, 0))
        page = document.pages[one.contents[0][0]].MediaBox if one.contents else (0, 0, 0, 0)
        inside = [float(edge) for edge in page]
        if not (left < right and lower < upper and right > inside[0] and upper <= inside[3] and lower < inside[3]):
            yield str(one)


RULES: dict[str, Rule] = {
    "01-003": artifact_in_tagged,
    "01-004": tagged_in_artifact,
    "01-005": neither,
    "01-007": suspect,
    "02-001": no_standard_type,
    "02-003": circular,
    "02-004": remapped,
    "06-001": no_metadata,
    "06-002": no_identifier,
    "06-003": no_title,
    "07-001": title_not_asked,
    "07-002": title_not_shown,
    "09-004": table_nesting,
    "09-005": list_nesting,
    "09-006": contents_nesting,
    "10-001": no_character,
    "11-001": no_language,
    "13-004": no_words,
    "14-002": first_heading,
    "14-003": level_skipped,
    "14-006": two_headings,
    "14-007": both_headings,
    "15-003": no_scope,
    "17-002": formula_without_words,
    "19-003": note_without_name,
    "19-004": one_name_twice,
    "21-001": file_without_name,
    "28-002": annotation_not_in_annot,
    "28-004": annotation_without_words,
    "28-008": no_order,
    "28-009": another_order,
    "28-011": link_not_in_link,
    "28-012": link_without_words,
    "30-002": marked_form_twice,
    "31-004": glyphs_not_mapped,
    "31-005": glyphs_not_told,
    "31-006": codes_not_mapped,
    "31-009": not_embedded,
    "31-011": glyph_missing,
    "31-014": set_told_wrong,
    "31-016": width_told_wrong,
    "31-027": no_map_to_text,
    "31-028": maps_to_nothing,
    "31-029": maps_to_no_character,
    "31-030": sets_nothing,
    "32000-1 14.7.4.4": parent_tree,
    "32000-1 P": told_above,
    "32000-1 Headers": heads_unknown,
    "32000-1 BBox": picture_astray,
}
"""Number of a condition → what makes a document fail it."""

WITH: dict[str, str] = {
    **dict.fromkeys(("11-002", "11-003", "11-004", "11-005", "11-006"), "11-001"),
    "17-003": "10-001",
    "28-006": "28-002",
    **dict.fromkeys(("31-001", "31-002", "31-003", "31-007", "31-008"), "31-006"),
    "31-015": "31-014",
}
"""Number of a condition → that of the rule that looks after it too, as its docstring says."""


def _of_subtype(*kinds: str) -> Callable[[Document], bool]:
    return lambda document: any(one.Subtype in kinds for one, _ in document.annotations)


def _of_type(*kinds: str) -> Callable[[Document], bool]:
    return lambda document: any(font.Subtype in kinds for font in document.fonts.values())


def _elements_of(*kinds: str) -> Callable[[Document], bool]:
    return lambda document: any(element.kind in kinds for element in document.elements)


def _reference(document: Document) -> bool:
    return any(
        "/Ref" in drawn for page in document.pages.values()
        for drawn in page.get("/Resources", {}).get("/XObject", {}).values()
    )  # fmt: skip


NEVER: dict[str, tuple[tuple[str, ...], Callable[[Document], bool]]] = {
    "characters with readings beside them": (("09-007", "09-008"), _elements_of("Ruby", "Warichu")),
    "layers": (("20-001", "20-002", "20-003"), lambda document: "/OCProperties" in document.root),
    "form fields": (("25-001", "28-005", "28-010"), lambda document: "/AcroForm" in document.root),
    "encryption": (("26-001", "26-002"), lambda document: "/Encrypt" in document.pdf.trailer),
    "trapping": (("28-007",), _of_subtype("/TrapNet")),
    "sound and film": (("28-014", "28-015"), _of_subtype("/Screen", "/Movie", "/Sound", "/RichMedia")),
    "files on a page": (("28-016",), _of_subtype("/FileAttachment")),
    "printers' marks": (("28-017", "28-018"), _of_subtype("/PrinterMark")),
    "forms of other files": (("30-001",), _reference),
    "type of PostScript": (("31-012", "31-013"), _of_type("/Type1", "/MMType1")),
    "type of one byte a code": (tuple(f"31-0{number}" for number in range(17, 27)), _of_type("/TrueType")),
}
"""What no binder has → the conditions that would ask about it, and how it is seen."""


def failures(pdf: pikepdf.Pdf) -> dict[str, list[str]]:
    """Number of each condition that the PDF fails → where."""
    document = Document(pdf)
    found = {number: list(rule(document)) for number, rule in RULES.items()}
    found.update({what: ["there"] for what, (_, there) in NEVER.items() if there(document)})
    return {number: places for number, places in found.items() if places}
