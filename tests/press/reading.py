"""A tagged PDF read back with pypdf: trees, elements, and whether the structure reaches all that is to be seen."""

from __future__ import annotations

import io
from collections.abc import Iterator
from typing import Any

from pypdf import PdfReader
from pypdf.generic import ContentStream

_SHOWS = {
    b"S", b"s", b"f", b"F", b"f*", b"B", b"B*", b"b", b"b*",
    b"Tj", b"TJ", b"'", b'"', b"Do", b"sh", b"INLINE IMAGE",
}  # fmt: skip
"""Operators that leave something to be seen (ISO 32000-1, annex A)."""


def reader(pdf: bytes) -> PdfReader:
    return PdfReader(io.BytesIO(pdf), strict=True)


def entries(tree: Any, kind: str) -> Iterator[tuple[Any, Any]]:
    """Key and value of a number or name tree, with its limits checked."""
    tree = tree.get_object()
    for kid in tree.get("/Kids", []):
        found = list(entries(kid, kind))
        keys = [key for key, _ in found]
        assert [keys[0], keys[-1]] == list(kid.get_object()["/Limits"])
        yield from found
    listed = tree.get(kind, [])
    yield from zip(listed[::2], listed[1::2], strict=True)


def marked(found: PdfReader, page: Any) -> list[int]:
    """The MCIDs on a page; asserts that whatever is shown outside of them is an artifact."""
    content = page.get_contents()
    if content is None:
        return []
    open_: list[Any] = []
    mcids = []
    for operands, operator in ContentStream(content, found).operations:
        if operator in (b"BDC", b"BMC"):
            properties = operands[1] if len(operands) > 1 else {}
            inside = "artifact" if operands[0] == "/Artifact" else properties.get("/MCID", "nothing")
            if isinstance(inside, int):
                assert not any(isinstance(one, int) or one == "artifact" for one in open_)
                mcids.append(int(inside))
            open_.append(inside)
        elif operator == b"EMC":
            open_.pop()
        elif operator in _SHOWS:
            assert any(one != "nothing" for one in open_), (operands, operator)
    assert open_ == []
    return mcids


def elements(found: PdfReader) -> Iterator[tuple[Any, Any, list[Any]]]:
    """Each structure element's reference, itself, and the references above it, from the root down."""
    root = found.trailer["/Root"].raw_get("/StructTreeRoot")
    waiting = [(kid, [root]) for kid in root.get_object()["/K"]]
    while waiting:
        reference, above = waiting.pop()
        element = reference.get_object()
        if not isinstance(element, dict) or element.get("/Type") != "/StructElem":
            continue
        assert element.raw_get("/P") == above[-1]
        yield reference, element, above
        kids = element["/K"]
        waiting += [(kid, [*above, reference]) for kid in (kids if isinstance(kids, list) else [kids])]


def check_structure(pdf: bytes) -> int:
    """Assert that the structure tree reaches every marked content and link of every page, each once, and back.

    What is not reached has to be an artifact.  Returns how many marked contents there are.
    """
    found = reader(pdf)
    seen = 0
    tree = found.trailer["/Root"]["/StructTreeRoot"]
    pairs = list(entries(tree["/ParentTree"], "/Nums"))
    keys = [key for key, _ in pairs]
    assert keys == sorted(set(keys))
    assert tree["/ParentTreeNextKey"] > keys[-1]
    parents = dict(pairs)
    reached: dict[Any, list[int]] = {}
    on_page: dict[int, list[int]] = {}
    linked = {}
    numbers = {page.indirect_reference.idnum: number for number, page in enumerate(found.pages)}
    for reference, element, _ in elements(found):
        for kid in element["/K"]:
            kid = kid.get_object()
            if isinstance(kid, int):
                number = numbers[element.raw_get("/Pg").idnum]
                on_page.setdefault(number, []).append(kid)
                reached.setdefault(reference, []).append(kid)
            elif kid.get("/Type") == "/OBJR":
                linked[kid.raw_get("/Obj")] = reference
    used = set()
    for number, page in enumerate(found.pages):
        mcids = marked(found, page)
        if page.get_contents() is None:
            assert "/StructParents" not in page
            continue
        key = page["/StructParents"]
        used.add(key)
        listed = parents[key].get_object()
        assert len(set(mcids)) == len(mcids)
        seen += len(mcids)
        assert sorted(on_page.get(number, [])) == sorted(mcids)
        assert {at for at, owner in enumerate(listed) if owner != None} == set(mcids)  # noqa: E711 (pypdf's null equals None)
        for mcid in mcids:
            assert mcid in reached[listed[mcid] if hasattr(listed[mcid], "idnum") else listed.raw_get(mcid)]
        assert page["/Tabs"] == "/S"
        for link in page.get("/Annots", []):
            key = link.get_object()["/StructParent"]
            used.add(key)
            assert linked[link] == parents[key]
    assert used == set(parents)
    return seen
