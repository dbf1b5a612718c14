"""What the press takes hold of in WeasyPrint that its documentation does not promise.

Each has a row here, and says in a sentence which version broke it.
"""

from __future__ import annotations

import inspect
import re
from collections.abc import Callable
from importlib import import_module
from pathlib import Path
from typing import Any

import pytest
import weasyprint

import bookgen.press
from bookgen.press.noticed import noticing
from bookgen.press.setting import Setting
from tests.press.test_press_setting import leaf

SENTENCES = {
    "_page_box": "a page has no more the box it was laid out in",
    "boxes": "boxes of margins, words and pictures are not told apart any more by their kind",
    "position": "boxes do not say where they stand and what they hold",
    "fonts": "a document's fonts do not say which characters they are used for",
    "finisher": "the PDF is not handed over before it is written, with a structure that pydyf holds",
    "tags": "lists, headings, tables and pictures are not tagged as the press knows them before it puts them right",
    "_build_box_tree": "the structure is not built box by box, each with the element that it comes from",
    "links": "a page does not say which of its boxes are links, or these do not hold what was made of them",
    "__del__": "type is not taken out of the temporary folder on demand",
}
"""What the press reads → what to say where a version of WeasyPrint has it no more."""


@pytest.fixture(scope="module")
def document() -> Any:
    """A document as the press has it: two words, a picture, a foot."""
    css = "@page { @bottom-left { content: 'foot' } }"
    html = (
        '<html lang="en"><body><p>words <svg width="9" height="9"><rect width="9" height="9"/></svg></p></body></html>'
    )
    return weasyprint.HTML(string=html).render(stylesheets=[weasyprint.CSS(string=css)], pdf_tags=True)


def within(document: Any) -> list[Any]:
    """All boxes of the first page."""
    found = [document.pages[0]._page_box]
    for box in found:
        found.extend(getattr(box, "children", ()))
    return found


def kinds(document: Any) -> bool:
    boxes = import_module("weasyprint.formatting_structure.boxes")
    named = (boxes.MarginBox, boxes.TextBox, boxes.ReplacedBox)
    return all(any(isinstance(box, kind) for box in within(document)) for kind in named)


def places(document: Any) -> bool:
    boxes = import_module("weasyprint.formatting_structure.boxes")
    words = [box for box in within(document) if isinstance(box, boxes.TextBox)]
    asked = ("position_x", "position_y", "width", "height", "text")
    return {box.text for box in words} == {"words ", "foot"} and all(
        all(hasattr(box, name) for name in asked)
        and [box.style[name] for name in ("transform", "visibility", "overflow")] == [(), "visible", "visible"]
        for box in words
    )


def fonts(document: Any) -> bool:
    document.write_pdf()
    return all({*font.to_unicode.values()} and font.family and font.missing == {} for font in document.fonts.values())


def finished(document: Any) -> bool:
    told: list[Any] = []
    document.write_pdf(pdf_tags=True, finisher=lambda _, pdf: told.append(pdf))
    [pdf] = told
    root = pdf.objects[int(pdf.catalog["StructTreeRoot"].split()[0])]
    files = [one for one in pdf.objects if "Length1" in getattr(one, "extra", ())]
    return {"K", "ParentTree"} <= root.keys() and bool(files) and all(isinstance(one.stream[0], bytes) for one in files)


def tags(_: Any) -> bool:
    """What the engine makes of lists, a table and a picture: the elements as they come, and what is said of each."""
    html = (
        '<html lang="en"><body><ul><li>a<ul><li>b</ul></ul><dl><div><dt>a<dd>b</div></dl><table><tr><th>a'
        '<td colspan=2>b</table><svg width="9" height="9"><title>c</title></svg>'
    )
    told: list[Any] = []
    weasyprint.HTML(string=html).render(pdf_tags=True).write_pdf(
        pdf_tags=True, finisher=lambda _, pdf: told.append(pdf)
    )
    [pdf] = told
    said: dict[str, set[str]] = {}

    def read(reference: Any) -> Any:
        held = pdf.objects[int(reference.split()[0])]
        said[held["S"]] = {*held, *held.get("A", {})} - {"Type", "S", "K", "P", "Pg", "O"}
        return held["S"], *(read(kid) for kid in held["K"] if isinstance(kid, bytes))

    body = ("/LBody", ("/Span",))
    item = ("/LI", ("/Lbl", ("/Span",)), body)
    return read(pdf.objects[int(pdf.catalog["StructTreeRoot"].split()[0])]["K"][0]) == (
        "/Document",
        ("/L", item, ("/L", item)),
        ("/L", ("/Div", ("/LI", body), ("/LI", body))),
        ("/Table", ("/TBody", ("/TR", ("/TH", ("/Span",)), ("/TD", ("/Span",))))),
        ("/NonStruct", ("/Figure",)),
    ) and [said[kind] for kind in ("/TH", "/TD", "/Figure", "/L", "/Div")] == [
        {"ID", "A"}, {"A", "ColSpan", "Headers"}, {"A", "BBox", "Alt"}, set(), set(),
    ]  # fmt: skip


def built(_: Any) -> bool:
    """What is called for each box, with what it gets: the box, the element above, the PDF."""
    calls = import_module("weasyprint.pdf.tags")._build_box_tree
    made = weasyprint.HTML(string='<html lang="en"><body><p lang="fr">a').render(pdf_tags=True)
    with noticing():
        assert import_module("weasyprint.pdf.tags")._build_box_tree is not calls
        told: list[Any] = []
        made.write_pdf(pdf_tags=True, finisher=lambda _, pdf: told.append(pdf))
    [pdf] = told
    said = [held["Lang"].string for held in pdf.objects if isinstance(held, dict) and "Lang" in held]
    return sorted(said) == ["en", "fr"] and import_module("weasyprint.pdf.tags")._build_box_tree is calls


def links(_: Any) -> bool:
    """A link's own words, and that what is set otherwise within it is a link besides."""
    made = weasyprint.HTML(string='<html lang="en"><body><p id="a"><a href="#a">to <b>a</b></a>').render(pdf_tags=True)
    made.write_pdf(pdf_tags=True)
    boxes = import_module("weasyprint.formatting_structure.boxes")
    told = [
        (kind, name, "".join(part.text for part in box.descendants() if isinstance(part, boxes.TextBox)))
        for kind, name, _, box in made.pages[0].links
    ]
    said = made.pages[0].links[0][3].link_annotation
    return told == [("internal", "a", "to a"), ("internal", "a", "a")] and (
        said["Dest"].string == said["Contents"].string == "a"
    )


CHECKS: dict[str, Callable[[Any], bool]] = {
    "_page_box": lambda document: hasattr(document.pages[0], "_page_box"),
    "boxes": kinds,
    "position": places,
    "fonts": fonts,
    "finisher": finished,
    "tags": tags,
    "_build_box_tree": built,
    "links": links,
    "__del__": lambda document: inspect.isfunction(type(document.font_config).__del__),
}


@pytest.mark.parametrize("name", SENTENCES)
def test_what_is_not_promised_is_there(document, name):
    try:
        there = CHECKS[name](document)
    except (AttributeError, KeyError, TypeError, IndexError, ValueError):
        there = False
    assert there, f"WeasyPrint {weasyprint.__version__} broke the press: {SENTENCES[name]}."


def test_every_private_name_of_another_has_its_sentence():
    folder = Path(bookgen.press.__file__).parent
    taken = {
        name
        for path in folder.glob("*.py")
        for name in re.findall(r"(?<!\bself)(?<!\bcls)(?<!\bos)\.(_\w+)\b(?! import)", path.read_text(encoding="utf-8"))
    }
    own = {name for name in dir(Setting) if not name.startswith("__")}
    assert taken - own - {"__name__", "__version__", "__init__"} == {one for one in SENTENCES if one.startswith("_")}


def test_a_leaf_is_printed_by_what_is_promised_and_these(style):
    """The whole way, so that a name that is missing above shows here."""
    assert Setting(style, [face.file.read_bytes() for face in style.faces]).print(leaf("<p>words")).problems == ()
