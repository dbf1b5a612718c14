"""A leaf's PDF made fit for joining, while it is still in WeasyPrint's hands and cheap to change.

What does not matter in a PDF by itself but does in a binder: running heads and feet become artifacts (they are tagged
under elements that hang on nothing), elements that say nothing are taken out, the identifiers of table headings get the
leaf's code and an IDTree, and so do the names of places within the leaf. Font files name the cut they are part of.
"""

from __future__ import annotations

from collections.abc import Mapping
from importlib import import_module
from typing import Any

from ..leaf import END
from .cuts import mark_of
from .tagged import (
    ALONE,
    Tree,
    head_cells,
    level_headings,
    mend_lists,
    name_languages,
    place_pictures,
    plain_links,
    word_links,
)  # fmt: skip

PART = "XXPart"
"""Key of a font file: in hexadecimal the mark of its cut and the glyphs the leaf uses of it, two bytes each.

A name that begins so is private (ISO 32000-1, annex E)."""


def only_ends(page: Any) -> bool:
    """Whether a page of a WeasyPrint document holds the end of the leaf and nothing to see but head and foot."""
    if set(page.anchors) != {END} or page.links:
        return False
    boxes = import_module("weasyprint.formatting_structure.boxes")
    waiting = [box for box in page._page_box.children if not isinstance(box, boxes.MarginBox)]
    while waiting:
        box = waiting.pop()
        if isinstance(box, boxes.TextBox | boxes.ReplacedBox):
            return False
        waiting.extend(getattr(box, "children", ()))
    return True


def tidy(pdf: Any, document: Any, code: str, margins: Mapping[int, str]) -> None:
    """Change a `pydyf.PDF` in place, made of a WeasyPrint document; `code` is the leaf's.

    `margins` are the numbers of the objects that stand in the margins → the kind of artifact.
    """
    pydyf = import_module("pydyf")
    root = _object(pdf, pdf.catalog["StructTreeRoot"])
    tree = Tree(pdf, _object(pdf, root["K"][0]))
    elements = [o for o in pdf.objects if isinstance(o, pydyf.Dictionary) and o.get("Type") == "/StructElem"]
    _retire(pydyf, pdf, root, tree, elements, margins)
    plain_links(tree)
    mend_lists(tree)
    name_languages(tree, pdf.catalog["Lang"].string)
    _flatten(pydyf, pdf, root, tree)
    level_headings(tree)
    head_cells(tree)
    place_pictures(tree)
    word_links(document)
    _name_headings(pydyf, root, elements, code)
    _name_places(pydyf, pdf, code)
    _read_plainly(pydyf, pdf)
    _name_cuts(pydyf, pdf)


def _object(pdf: Any, reference: bytes) -> Any:
    """What `12 0 R` refers to."""
    return pdf.objects[int(reference.split()[0])]


def _name_cuts(pydyf: Any, pdf: Any) -> None:
    """Write to each font file which cut it is part of, and the glyphs that have a width (ISO 32000-1, 9.7.4.3: W)."""
    for font in pdf.objects:
        if isinstance(font, pydyf.Dictionary) and font.get("Subtype") == "/CIDFontType2":
            file = _object(pdf, _object(pdf, font["FontDescriptor"])["FontFile2"])
            said = file.extra.get(PART) or pydyf.String(mark_of(file.stream[0]))
            for first, widths in zip(font["W"][::2], font["W"][1::2], strict=True):
                said.string += "".join(f"{glyph:04x}" for glyph in range(first, first + len(widths)))
            file.extra[PART] = said


_PLAIN = {b"<00a0>": b"<0020>", b"<2010>": b"<002d>", b"<2011>": b"<002d>"}
"""A character that shares its glyph with one on the keyboard → that one, in the UTF-16 of a text map."""


def _read_plainly(pydyf: Any, pdf: Any) -> None:
    """Let the glyphs of space and hyphen read as the keyboard's, so that a code is found and copied as it is typed.

    The engine notes for each glyph the character that it first stood for, which may be a space or hyphen that holds
    words together (ISO 32000-1, 9.10.3: ToUnicode).
    """
    for held in pdf.objects:
        if isinstance(held, pydyf.Stream) and b"begincmap" in held.stream:
            for at, line in enumerate(held.stream):
                glyph, _, text = line.partition(b" ")
                if text in _PLAIN and glyph.startswith(b"<"):
                    held.stream[at] = b"%b %b" % (glyph, _PLAIN[text])


def _retire(pydyf: Any, pdf: Any, root: Any, tree: Tree, elements: list[Any], margins: Mapping[int, str]) -> None:
    """Make marked content an artifact where its element hangs on nothing, and drop such elements.

    ISO 32000-1, 14.8.2.2: content that is not part of the author's original, such as running heads and page numbers,
    which are classified as header or footer (ISO 14289-1, 7.8).
    A picture that no words stand for is there for its looks, as in HTML.
    """
    looks = [figure for figure in tree.of_kind("/Figure") if "Alt" not in figure]
    for figure in looks:
        tree.at(figure["P"])["K"].remove(figure.reference)
    reached = {element.number for element in tree.walk()}
    shown = {figure.number for figure in looks}
    nums = _object(pdf, root["ParentTree"])["Nums"]
    pages = [pdf.objects[number] for number in pdf.pages["Kids"][::3]]
    kept = pydyf.Array()
    for key, value in zip(nums[::2], nums[1::2], strict=True):
        if isinstance(value, list):
            owners = [_object(pdf, element).number for element in value]
            lost = {
                mcid: {"Type": "/Layout"} if owner in shown else _in_margin(margins.get(owner))
                for mcid, owner in enumerate(owners)
                if owner not in reached
            }
            if lost:
                _mark_artifacts(pydyf, _object(pdf, pages[key]["Contents"]).stream, lost)
                value = pydyf.Array("null" if mcid in lost else element for mcid, element in enumerate(value))
                while value and value[-1] == "null":
                    value.pop()
        elif _object(pdf, value).number not in reached or _is_within_link(tree, _object(pdf, value)):
            # A link has to stand in the tree: of one in a running head the words stay.  And what is set otherwise
            # within a link has one of its own beside it.
            _take_off(pdf, pages, key, _object(pdf, value))
            continue
        kept.extend((key, value))
    nums[:] = kept
    for element in elements:
        if element.number not in reached:
            # Emptied, not freed: WeasyPrint's compressed cross-reference has no place for a free object.
            element.clear()


def _is_within_link(tree: Tree, element: Any) -> bool:
    """Whether an element that is no link stands in one."""
    if element["S"] == "/Link":
        return False
    while element is not tree.document and element["S"] != "/Link":
        element = tree.at(element["P"])
    return element is not tree.document


def _take_off(pdf: Any, pages: list[Any], key: int, element: Any) -> None:
    """Take the link off its page and its element that the parent tree knows under this key."""
    for page in pages:
        for link in list(page.get("Annots", ())):
            if _object(pdf, link).get("StructParent") == key:
                page["Annots"].remove(link)
                for kid in list(element["K"]):
                    if isinstance(kid, bytes) and _object(pdf, kid).get("Obj") == link:
                        element["K"].remove(kid)


def _in_margin(kind: str | None) -> dict[str, str]:
    """What is said of an artifact in a margin, a header or footer or neither."""
    return {"Type": "/Pagination", **({"Subtype": kind} if kind else {})}


def _mark_artifacts(pydyf: Any, content: list[Any], lost: dict[int, dict[str, str]]) -> None:
    """Rewrite `/Span <</MCID n>> BDC` as an artifact of which that is said, for each n in `lost`."""
    for at, properties in enumerate(content):
        if isinstance(properties, pydyf.Dictionary) and properties.get("MCID") in lost and content[at + 1] == b"BDC":
            content[at - 1] = "/Artifact"
            content[at] = pydyf.Dictionary(lost[properties["MCID"]])


def _flatten(pydyf: Any, pdf: Any, root: Any, tree: Tree) -> None:
    """Put what an element without a meaning holds into the one above it, where both are of one page.

    There is one such for every run of letters: more than half of all, and none says anything (ISO 32000-1, 14.8.4.2,
    NonStruct; 14.8.4.4.1, Span without attributes).  Nor does a heading within itself.
    """
    moved: dict[bytes, bytes] = {}
    for element in reversed(list(tree.walk())):
        kids = pydyf.Array()
        for kid in element["K"]:
            below = _object(pdf, kid) if isinstance(kid, bytes) else {}
            if not _says_nothing(below, element):
                kids.append(kid)
                continue
            kids.extend(below["K"])
            for lower in below["K"]:
                if isinstance(lower, bytes) and _object(pdf, lower).get("Type") == "/StructElem":
                    _object(pdf, lower)["P"] = element.reference
            moved[kid] = element.reference
            below.clear()
        element["K"] = kids

    def last(reference: Any) -> Any:
        while reference in moved:
            reference = moved[reference]
        return reference

    nums = _object(pdf, root["ParentTree"])["Nums"]
    nums[1::2] = [
        pydyf.Array(map(last, numbers)) if isinstance(numbers, list) else last(numbers) for numbers in nums[1::2]
    ]


def _says_nothing(below: Any, element: Any) -> bool:
    """Whether an element could as well not be there, right below another."""
    kind = below.get("S")
    nothing = kind in _MEANINGLESS or (kind in ALONE and kind == element["S"])
    return nothing and below.keys() == _BARE and below["Pg"] == element.get("Pg")


_MEANINGLESS = ("/NonStruct", "/Span")
_BARE = {"Type", "S", "K", "Pg", "P"}


def _name_headings(pydyf: Any, root: Any, elements: list[Any], code: str) -> None:
    """Give each identified element one name in all the binder, and list them (ISO 32000-1, table 322: IDTree)."""
    names: dict[str, Any] = {}
    renamed: dict[str, Any] = {}
    for element in elements:
        if "ID" in element:
            name = f"{code}/{element['ID'].string}"
            renamed[element["ID"].string] = element["ID"] = pydyf.String(name)
            names[name] = element.reference
    for element in elements:
        attributes = element.get("A")
        if attributes and "Headers" in attributes:
            attributes["Headers"] = pydyf.Array(renamed[header.string] for header in attributes["Headers"])
    if names:
        listed = pydyf.Array()
        for name in sorted(names):
            listed.extend((pydyf.String(name), names[name]))
        root["IDTree"] = pydyf.Dictionary({"Names": listed})


def _name_places(pydyf: Any, pdf: Any, code: str) -> None:
    """Put the leaf's code before the name of every place links within the leaf lead to."""
    dests = pdf.catalog.get("Names", {}).get("Dests")
    if dests:
        dests["Names"][::2] = [pydyf.String(f"{code}#{name.string}") for name in dests["Names"][::2]]
    for annotation in pdf.objects:
        if isinstance(annotation, pydyf.Dictionary) and annotation.get("Subtype") == "/Link" and "Dest" in annotation:
            annotation["Dest"] = pydyf.String(f"{code}#{annotation['Dest'].string}")
