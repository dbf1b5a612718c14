"""A binder read back with pypdf, poppler and qpdf: what its sides say in the foot, how it is tagged, what it is set in.

Nothing here was part of making it.  A tool that is missing is an error, never a reason to look the other way.
"""

from __future__ import annotations

import re
import subprocess
from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass, field
from functools import cached_property
from pathlib import Path
from typing import Any

import pikepdf
from pypdf import PdfReader

FOOT = re.compile(
    r"^(?P<code>\S.*?)(?: · issue (?P<issue>\S+))?(?: · (?P<stamp>draft|trial|barred))?"
    r" · sheet (?P<sheet>\d+) of (?P<of>\d+)(?: · (?P<side>front|back))?$",
    re.MULTILINE,
)
MARK = re.compile(r"^(?:(?P<issued>\d{4}(?:-\d\d){0,2}) · )?(?P<check>[0-9A-Z]{3}-[0-9A-Z]{3})$", re.MULTILINE)
PAINTS = frozenset(["Tj", "TJ", "'", '"', "f", "F", "f*", "B", "B*", "b", "b*", "S", "s", "sh", "Do", "INLINE IMAGE"])
PLAIN = str.maketrans("\u00a0\u2010\u2011", " --")
"""One glyph serves two signs, and which of them it reads as depends on the leaf."""
HYPHENS = re.compile(r"[\s\u00ad\u200b\u2060\ufeff‐‑-]")
"""What the layout may put in or take out: space, hyphens, places to break."""


def bare(text: str) -> str:
    """Return the letters and signs of a text alone, as they compare whatever the layout did to space and hyphens."""
    return HYPHENS.sub("", text).casefold()


@dataclass(frozen=True, slots=True, kw_only=True)
class Side:
    """One side of a sheet and what its foot says."""

    number: int
    """Which of the PDF's pages, from 0."""
    text: str
    """All its words."""
    code: str
    issue: str
    stamp: str
    sheet: int
    of: int
    side: str
    issued: str
    check: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """A leaf in the printed list of effective sheets."""

    group: str
    """Its chapter, or what the list calls the front matter."""
    code: str
    title: str
    issue: str
    issued: str
    sheets: int
    check: str


@dataclass(slots=True, kw_only=True)
class Painted:
    """What one page paints, by the marks around it."""

    tagged: dict[int, str] = field(default_factory=lambda: defaultdict(str))
    """Number of a marked content → its text; twice the same number shows as text that no element expects."""
    numbers: list[int] = field(default_factory=list)
    """All numbers in the order of the page."""
    artifacts: str = ""
    """Text of heads and foot."""
    stray: list[str] = field(default_factory=list)
    """Operators that paint neither."""
    glyphs: dict[int, set[int]] = field(default_factory=lambda: defaultdict(set))
    """Object number of a font file → glyphs set from it."""


@dataclass(slots=True, kw_only=True)
class Element:
    """A structure element."""

    kind: str
    title: str
    reference: Any
    above: Element | None
    kids: list[Any]
    """Elements; pairs of page and number of marked content; references to annotations."""

    def walk(self) -> Iterator[Element]:
        """Yield this element and all below it."""
        yield self
        for kid in self.kids:
            if isinstance(kid, Element):
                yield from kid.walk()

    def of_kind(self, *kinds: str) -> list[Element]:
        """Return the elements below of these kinds, in reading order."""
        return [one for one in self.walk() if one.kind in kinds]


def of(one: Any, key: str) -> Any:
    """Return an entry with its reference followed."""
    found = one.get(key)
    return None if found is None else found.get_object()


class ReadBack:
    """A PDF, read."""

    def __init__(self, path: Path, *, name: str, book: Path) -> None:
        self.path, self.name, self.book = path, name, book
        self.reader = PdfReader(path, strict=True)
        self.root = self.reader.trailer["/Root"]
        self.pages = list(self.reader.pages)
        self.at = {page.indirect_reference.idnum: number for number, page in enumerate(self.pages)}
        self._letters: dict[int, dict[int, str]] = {}

    # ── Words, by poppler ───────────────────────────────────────────────────────────────────────────────────────

    @cached_property
    def texts(self) -> list[str]:
        """The words of each page."""
        done = subprocess.run(
            ["pdftotext", "-enc", "UTF-8", str(self.path), "-"], capture_output=True, check=True, encoding="utf-8"
        )
        return [page.translate(PLAIN) for page in done.stdout.split("\f")[:-1]]

    @cached_property
    def sides(self) -> list[Side]:
        """Every page as its foot tells it."""
        return [self._side(number, text) for number, text in enumerate(self.texts)]

    def _side(self, number: int, text: str) -> Side:
        feet, marks = list(FOOT.finditer(text)), list(MARK.finditer(text))
        assert feet, f"page {number + 1} has no foot: {text}"
        assert marks, f"page {number + 1} has no check code: {text}"
        said = {name: found or "" for name, found in {**feet[-1].groupdict(), **marks[-1].groupdict()}.items()}
        return Side(number=number, text=text, **{**said, "sheet": int(said["sheet"]), "of": int(said["of"])})

    @cached_property
    def leaves(self) -> list[list[Side]]:
        """The sides of each leaf, in their order: a leaf goes on as long as its code stands in the foot."""
        found: list[list[Side]] = []
        for side in self.sides:
            if not found or found[-1][0].code != side.code:
                found.append([])
            found[-1].append(side)
        return found

    # ── What is painted, by qpdf's parser ───────────────────────────────────────────────────────────────────────

    @cached_property
    def painted(self) -> list[Painted]:
        """What each page paints."""
        found = []
        with pikepdf.open(self.path) as pdf:
            for page in pdf.pages:
                one = Painted()
                self._paint(page.obj, page.obj.Resources, [], one)
                found.append(one)
        return found

    def _paint(self, source: pikepdf.Object, resources: pikepdf.Object, marks: list[int | str], into: Painted) -> None:
        depth, font = len(marks), None
        for operands, operator in pikepdf.parse_content_stream(source):
            name = str(operator)
            if name in ("BMC", "BDC"):
                given = operands[1] if name == "BDC" else {}
                given = resources.Properties[str(given)] if isinstance(given, pikepdf.Name) else given
                number = given.get("/MCID")
                marks.append(str(operands[0]) if number is None else int(number))
                if number is not None:
                    into.numbers.append(int(number))
                    into.tagged[int(number)] += ""
            elif name == "EMC":
                marks.pop()
            elif name == "Tf":
                font = resources.Font[str(operands[0])]
            elif name in PAINTS:
                owner = next((one for one in reversed(marks) if isinstance(one, int) or one == "/Artifact"), None)
                if owner is None:
                    into.stray.append(name)
                if name in ("Tj", "TJ", "'", '"'):
                    assert font is not None
                    text = self._text(font, operands[-1], into)
                    if isinstance(owner, int):
                        into.tagged[owner] += text
                    else:
                        into.artifacts += text + "\n"
                form = resources.XObject[str(operands[0])] if name == "Do" else None
                if form is not None and form.Subtype == "/Form":
                    before = len(into.numbers)
                    self._paint(form, form.get("/Resources", resources), marks, into)
                    assert len(into.numbers) == before, "marked content in a form, which no page's tree names"
        assert len(marks) == depth, "marked content is not closed"

    def _text(self, font: pikepdf.Object, shown: Any, into: Painted) -> str:
        assert font.Encoding == "/Identity-H"
        inner = font.DescendantFonts[0]
        assert inner.get("/CIDToGIDMap", "/Identity") == "/Identity"
        file = inner.FontDescriptor.FontFile2.objgen[0]
        letters, found = self._map(font.ToUnicode), []
        for one in shown if isinstance(shown, pikepdf.Array) else [shown]:
            if isinstance(one, pikepdf.String):
                codes = bytes(one)
                for at in range(0, len(codes), 2):
                    number = int.from_bytes(codes[at : at + 2], "big")
                    into.glyphs[file].add(number)
                    found.append(letters[number])
        return "".join(found).translate(PLAIN)

    def _map(self, stream: pikepdf.Object) -> dict[int, str]:
        """Return what each glyph of a font reads as, by its ToUnicode map (ISO 32000-1, 9.10.3)."""
        key = stream.objgen[0]
        if key not in self._letters:
            said = stream.read_bytes().decode("latin-1")
            letters: dict[int, str] = {}
            for part in re.findall(r"beginbfchar(.*?)endbfchar", said, re.DOTALL):
                for code, text in re.findall(r"<(\w+)>\s*<(\w*)>", part):
                    letters[int(code, 16)] = bytes.fromhex(text).decode("utf-16-be")
            for part in re.findall(r"beginbfrange(.*?)endbfrange", said, re.DOTALL):
                for low, high, text in re.findall(r"<(\w+)>\s*<(\w+)>\s*<(\w+)>", part):
                    for step in range(int(high, 16) - int(low, 16) + 1):
                        letters[int(low, 16) + step] = chr(int(text, 16) + step)
            self._letters[key] = letters
        return self._letters[key]

    # ── Structure, by pypdf ─────────────────────────────────────────────────────────────────────────────────────

    @cached_property
    def document(self) -> Element:
        """The one element that all others stand under."""
        tree = self.root.raw_get("/StructTreeRoot")
        kids = of(tree.get_object(), "/K")
        (top,) = kids if isinstance(kids, list) else [kids]
        assert top.get_object().raw_get("/P") == tree
        return self._element(top, None)

    def _element(self, reference: Any, above: Element | None) -> Element:
        one = reference.get_object()
        assert one.get("/Type", "/StructElem") == "/StructElem"
        assert above is None or one.raw_get("/P") == above.reference
        made = Element(
            kind=one["/S"].removeprefix("/"), title=str(one.get("/T", "")), reference=reference, above=above, kids=[]
        )
        kids = of(one, "/K")
        for kid in [] if kids is None else kids if isinstance(kids, list) else [kids]:
            inner = kid.get_object()
            if isinstance(inner, int):
                made.kids.append((self.at[one.raw_get("/Pg").idnum], int(inner)))
            elif inner.get("/Type") == "/OBJR":
                made.kids.append(inner.raw_get("/Obj"))
            elif inner.get("/Type") == "/MCR":
                made.kids.append((self.at[(inner if "/Pg" in inner else one).raw_get("/Pg").idnum], inner["/MCID"]))
            else:
                made.kids.append(self._element(kid, made))
        return made

    def words(self, element: Element) -> str:
        """Return the text of an element in reading order, a space between two runs."""
        found = []
        for kid in element.kids:
            if isinstance(kid, Element):
                found.append(self.words(kid))
            elif isinstance(kid, tuple):
                found.append(self.painted[kid[0]].tagged[kid[1]])
        return " ".join(one for one in found if one)

    @cached_property
    def sections(self) -> list[Element]:
        """The element of each leaf, in the order of the binder."""
        found = []
        for one in self.document.kids:
            found += one.kids if one.kind == "Part" else [one]
        return found

    # ── The printed list of effective sheets ────────────────────────────────────────────────────────────────────

    @cached_property
    def listed(self) -> list[Row]:
        """Its rows, read from the tables of its sheets."""
        sections = [one for one in self.sections if one.title.startswith("List of effective sheets")]
        found = []
        for table in (table for section in sections for table in section.of_kind("Table")):
            head, *rows = [[self.words(cell) for cell in row.of_kind("TH", "TD")] for row in table.of_kind("TR")]
            group, columns = head[0], head[1:]
            for cells in (cells for cells in rows if cells != head):
                match columns, cells:
                    case ["Issue", "of", "Sheets", "Check"], [code, title, issue, issued, *state]:
                        found.append(_row(group, code, title, issue, issued, state))
                    case ["Issue", "of", "Sheets", "Check"], [code, *state]:
                        found.append(_row(group, code, group, "", "", state))
                    case ["Code", "Sheets", "Check"], [title, code, *state]:
                        found.append(_row(group, code, title, "", "", state))
                    case _:
                        raise AssertionError(f"a row of another kind: {columns}, {cells}")
        return found


def _row(group: str, code: str, title: str, issue: str, issued: str, state: list[str]) -> Row:
    """Return a row; of the list itself the number of sheets is 0 and the check code is empty."""
    sheets, check = ("0", "") if state == ["see its foot"] else state
    return Row(
        group=group, code="".join(code.replace("\u200b", "").split()), title=title,
        issue=issue, issued=issued, sheets=int(sheets), check="".join(check.split()),
    )  # fmt: skip
