"""A leaf's structure made what PDF/UA-1 asks for (ISO 14289-1), while it is still in WeasyPrint's hands.

The engine gives each box the tag of its HTML element. What is lacking then, is wrong, or depends on more than one box
is put right here: items of lists, levels of headings, what heads a cell, where a picture stands.  Nothing is moved that
is to be seen.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from importlib import import_module
from typing import Any

HEADINGS = ("/H1", "/H2", "/H3", "/H4", "/H5", "/H6")
ALONE = (*HEADINGS, "/P", "/Caption", "/Lbl")
"""Never within one of its own kind: there the inner one is a box that the engine put in."""


class Tree:
    """The structure elements of a leaf, as pydyf holds them: dictionaries, their kids by reference, number or both."""

    def __init__(self, pdf: Any, document: Any) -> None:
        """`document` is the element that all others stand under."""
        self._pdf, self.document = pdf, document
        self._pydyf = import_module("pydyf")

    def at(self, reference: Any) -> Any:
        """What `12 0 R` refers to."""
        return self._pdf.objects[int(reference.split()[0])]

    def below(self, element: Any) -> list[Any]:
        """The elements right below one, in their order."""
        found = (self.at(kid) for kid in element["K"] if isinstance(kid, bytes))
        return [kid for kid in found if kid.get("Type") == "/StructElem"]

    def walk(self, element: Any | None = None) -> Iterator[Any]:
        """Yield an element, the document's where none is named, and all below it, in reading order."""
        waiting = [self.document if element is None else element]
        while waiting:
            yield (element := waiting.pop())
            waiting.extend(reversed(self.below(element)))

    def of_kind(self, *kinds: str) -> list[Any]:
        """Return the elements of these kinds, in reading order."""
        return [element for element in self.walk() if element["S"] in kinds]

    def hang(self, element: Any, kids: list[Any]) -> None:
        """Put these and nothing else below an element, which none of them may hold content of."""
        element["K"] = self._pydyf.Array(kids)
        for kid in self.below(element):
            kid["P"] = element.reference

    def make(self, kind: str, like: Any, kids: list[Any]) -> Any:
        """Return a new element on the page of another, above these."""
        made = self._pydyf.Dictionary({"Type": "/StructElem", "S": kind, "K": [], "Pg": like["Pg"], "P": like["P"]})
        self._pdf.add_object(made)
        self.hang(made, kids)
        return made

    def array(self, items: list[Any]) -> Any:
        """Return an array of these."""
        return self._pydyf.Array(items)

    def dissolve(self, element: Any) -> list[Any]:
        """Take an element out of the tree and return what it held."""
        kids = list(element["K"])
        element.clear()
        return kids

    def first(self, element: Any) -> int:
        """The number of the first content that an element holds, which tells where on its page it is shown."""
        numbers = (kid for held in self.walk(element) for kid in held["K"] if isinstance(kid, int))
        return min(numbers, default=-1)


def mend_lists(tree: Tree) -> None:
    """Leave nothing but items in a list, and in an item nothing but its mark and its body (ISO 32000-1, table 336).

    The engine sets the terms of a `dl` and what is said of them apart, each as an item; where the two stand in a `div`
    they are one here, the term its mark.  It hangs a list within an item beside the item, and gives each column of a
    list a list of its own.  While this is done each run of content has an element of its own.
    """
    for element in tree.of_kind("/L"):
        if element:  # else it was a column of another
            _mend_list(tree, element)


def _mend_list(tree: Tree, element: Any) -> None:
    kids = _plain(tree, element)
    if kids and all(kid["S"] == "/L" for kid in kids):
        columns, kids = kids, []
        for column in columns:
            kids += _plain(tree, column)
            column.clear()
    items: list[Any] = []
    for kid in kids:
        inner = tree.below(kid)
        if kid["S"] == "/LI" or (kid["S"] == "/Caption" and not items):
            items.append(kid)
        elif kid["S"] == "/L" and items and items[-1]["S"] == "/LI":
            _take_in(tree, items[-1], kid)
        elif kid["S"] in ("/Span", "/NonStruct") and items and items[-1]["S"] == "/LI":
            # What is set between items, such as the space between terms that run on in a line.
            _mend_item(tree, items[-1])
            body = tree.below(items[-1])[-1]
            tree.hang(body, [*body["K"], kid.reference])
        elif kid["S"] == "/Div" and any(half["S"] == "/LI" for half in inner):
            kid["S"] = "/LI"
            _pair(tree, kid, inner)
            items.append(kid)
        else:
            items.append(tree.make("/LI", kid, [kid.reference]))
    if not items:
        tree.at(element["P"])["K"].remove(element.reference)
        element.clear()
        return
    tree.hang(element, [item.reference for item in items])
    for item in items:
        if item["S"] == "/LI":
            _mend_item(tree, item)


def _plain(tree: Tree, element: Any) -> list[Any]:
    """The elements right below one, without those that say nothing."""
    found = []
    for kid in tree.below(element):
        if kid["S"] == "/NonStruct" and not any(isinstance(below, int) for below in kid["K"]):
            found += _plain(tree, kid)
            kid.clear()
        else:
            found.append(kid)
    return found


def _pair(tree: Tree, item: Any, inner: list[Any]) -> None:
    """Make of a term and what is said of it one item; what goes on from the page before has no term."""
    halves = [half for half in inner if half["S"] == "/LI"]
    for half in halves:
        half["S"] = "/NonStruct"
        tree.hang(half, [kid for body in tree.below(half) for kid in tree.dissolve(body)])
    marks = halves[:1] if len(halves) > 1 else []
    for mark in marks:
        mark["S"] = "/Lbl"
    body = tree.make("/LBody", item, [half.reference for half in inner if half["S"] != "/Lbl"])
    tree.hang(item, [*(mark.reference for mark in marks), body.reference])


def _take_in(tree: Tree, item: Any, inner: Any) -> None:
    """Hang a list into the item that it belongs to, where it is shown."""
    _mend_item(tree, item)
    body = tree.below(item)[-1]
    kids = list(body["K"])
    first = tree.first(inner)
    at = next((at for at, kid in enumerate(kids) if isinstance(kid, bytes) and _is_later(tree, kid, first)), len(kids))
    tree.hang(body, [*kids[:at], inner.reference, *kids[at:]])


def _is_later(tree: Tree, reference: bytes, first: int) -> bool:
    element = tree.at(reference)
    return element.get("Type") == "/StructElem" and tree.first(element) > first


def _mend_item(tree: Tree, item: Any) -> None:
    """Put what is not the mark of an item into its one body."""
    marks = [kid for kid in item["K"] if tree.at(kid).get("S") == "/Lbl"]
    rest = [kid for kid in item["K"] if tree.at(kid).get("S") != "/Lbl"]
    if len(rest) == 1 and tree.at(rest[0]).get("S") == "/LBody":
        return
    kids: list[Any] = []
    for kid in rest:
        kids += tree.dissolve(tree.at(kid)) if tree.at(kid).get("S") == "/LBody" else [kid]
    tree.hang(item, [*marks, tree.make("/LBody", item, kids).reference])


def name_languages(tree: Tree, own: str) -> None:
    """Leave a language named where another begins, and nowhere else (ISO 14289-1, 7.2); `own` is the document's.

    The language is what the HTML says with `lang`.  The botanical and INCI names of materials carry none: they are
    names, as WCAG has it (3.1.2), and what a voice makes of them in the language around is what the trade says.
    """
    waiting = [(tree.document, own)]
    while waiting:
        element, around = waiting.pop()
        here = element["Lang"].string if "Lang" in element else around
        if here == around:
            element.pop("Lang", None)
        waiting += ((kid, here) for kid in tree.below(element))


def level_headings(tree: Tree) -> None:
    """Let headings begin with the first level and go down one level at a time (ISO 14289-1, 7.4.2).

    What an author wrote with a level left out stands one below the heading that it belongs to, as its neighbours do.
    """
    above: list[int] = []
    for heading in tree.of_kind(*HEADINGS):
        level = HEADINGS.index(heading["S"])
        while above and above[-1] >= level:
            above.pop()
        heading["S"] = HEADINGS[len(above)]
        above.append(level)


@dataclass(frozen=True, slots=True)
class _Cell:
    """A cell of a table in its place."""

    element: Any
    """Its element."""
    row: int
    """Its first row, from 0."""
    column: int
    """Its first column, from 0."""
    wide: int
    """Columns that it covers."""
    high: int
    """Rows that it covers."""
    part: int
    """Which part of the table it stands in."""
    kind: str
    """What it is: `row` and `column` for what heads one, `part` for what heads columns from there on, `cell`."""


def head_cells(tree: Tree) -> None:
    """Say of each head of a table whether it heads a row or a column, and of each cell what heads it.

    A head with cells beside it heads its row, any other, and each in the table's head, the columns that it stands over;
    within the body those down to the next like it, in its part (ISO 32000-1, tables 348 and 349: Headers, Scope).  A
    cell over several columns is headed by its row alone; one that has a row for itself, such as a note, by the row that
    it follows.
    """
    for table in tree.of_kind("/Table"):
        cells = _cells(tree, table)
        columns: defaultdict[int, list[Any]] = defaultdict(list)
        rows: defaultdict[int, list[Any]] = defaultdict(list)
        for cell in cells:
            if cell.kind != "cell":
                cell.element["A"]["Scope"] = "/Row" if cell.kind == "row" else "/Column"
            for at in range(cell.high if cell.kind == "row" else cell.wide):
                if cell.kind == "row":
                    rows[cell.row + at].append(cell.element["ID"])
                elif cell.kind == "column":
                    columns[cell.column + at].append(cell.element["ID"])
        part, group_row = -1, -1
        group: list[Any] = []
        before: list[Any] = []
        for cell in cells:
            if cell.part != part:
                part, group, before = cell.part, [], []
            own = rows.get(cell.row, [])
            before = own or before
            if cell.kind == "part":
                group = [*(group if group_row == cell.row else []), cell.element["ID"]]
                group_row, before = cell.row, []
            elif cell.kind == "cell":
                cell.element["A"].pop("Headers", None)
                heads = before if cell.wide > 1 else [*own, *group, *columns.get(cell.column, [])]
                if heads:
                    cell.element["A"]["Headers"] = tree.array(heads)


def _cells(tree: Tree, table: Any) -> list[_Cell]:
    """The cells of a table row by row, each in its place in the grid."""
    found: list[_Cell] = []
    taken: set[tuple[int, int]] = set()
    headed = False
    row = 0
    for part, (kind, elements) in enumerate(_parts(tree, table)):
        for element in elements:
            cells = [cell for cell in tree.below(element) if cell["S"] in ("/TH", "/TD")]
            over = kind == "/THead" or all(cell["S"] == "/TH" for cell in cells)
            column = 0
            for cell in cells:
                while (row, column) in taken:
                    column += 1
                wide, high = (int(cell["A"].get(name, 1)) for name in ("ColSpan", "RowSpan"))
                taken.update((row + down, column + on) for down in range(high) for on in range(wide))
                head = "row" if not over else "part" if headed and kind != "/THead" else "column"
                found.append(_Cell(cell, row, column, wide, high, part, head if cell["S"] == "/TH" else "cell"))
                column += wide
            headed = headed or over
            row += 1
    return found


def _parts(tree: Tree, table: Any) -> Iterator[tuple[str, list[Any]]]:
    """Yield the parts of a table with their rows; rows outside of parts are one."""
    loose: list[Any] = []
    for kid in tree.below(table):
        if kid["S"] in ("/THead", "/TBody", "/TFoot"):
            yield kid["S"], [row for row in tree.below(kid) if row["S"] == "/TR"]
        elif kid["S"] == "/TR":
            loose.append(kid)
    yield "", loose


def plain_links(tree: Tree) -> None:
    """Let what is no link be none: words that lead nowhere, and boxes that the engine put into one."""
    for link in tree.of_kind("/Link"):
        if not any(isinstance(kid, bytes) and tree.at(kid).get("Type") == "/OBJR" for kid in link["K"]):
            link["S"] = "/Span"


def word_links(document: Any) -> None:
    """Let a link within the leaf say its own words where the engine has the name of a place (ISO 14289-1, 7.18.5).

    `document` is WeasyPrint's, whose links hold their annotations by now.
    """
    pydyf, boxes = import_module("pydyf"), import_module("weasyprint.formatting_structure.boxes")
    for page in document.pages:
        for kind, _, _, box in page.links:
            if kind == "internal" and box.link_annotation:  # else it leads nowhere
                words = "".join(part.text for part in box.descendants() if isinstance(part, boxes.TextBox))
                said = box.link_annotation
                said["Contents"] = pydyf.String(" ".join(words.split()) or said["Dest"].string)


def place_pictures(tree: Tree) -> None:
    """Say where a picture stands in the page's own space (ISO 32000-1, table 344: BBox).

    The engine counts in pixels from the page's upper edge.
    """
    for figure in tree.of_kind("/Figure"):
        box = figure["A"].get("BBox")
        if box:
            high = tree.at(figure["Pg"])["MediaBox"][3]
            left, upper, right, lower = (float(edge) * POINTS for edge in box)
            figure["A"]["BBox"] = tree.array([round(edge, 2) for edge in (left, high - lower, right, high - upper)])


POINTS = 0.75
"""Points in a pixel of CSS."""
