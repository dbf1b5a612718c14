"""The objects and the outer form of a PDF, by cases and by laws."""

from __future__ import annotations

import io

import pikepdf
import pytest
from hypothesis import given
from hypothesis import strategies as some

from bookgen.press.objects import (
    NULL,
    Name,
    NotOurs,
    Plain,
    Ref,
    entries_of,
    paired,
    parse,
    renumbered,
    text_of,
    words,
    write,
)  # fmt: skip
from bookgen.press.pdffile import Writer, read_pdf, tree, unpacked

NAMES = some.text(some.sampled_from("ABCDEFabcdef019+-._"), min_size=1).map(Name)


def holding(simple: some.SearchStrategy[object]) -> some.SearchStrategy[object]:
    """Simple values, and arrays and dictionaries of them."""
    names = NAMES.map(lambda name: name.text)
    return some.recursive(simple, lambda inner: some.lists(inner) | some.dictionaries(names, inner), max_leaves=20)


VALUES = holding(
    some.integers(0, 10**9)
    | NAMES
    | some.integers(1, 10**6).map(Ref)
    | some.binary()
    | some.sampled_from([NULL, Plain(b"true"), Plain(b"-12.5"), Plain(b".5")])
)


@given(VALUES)
def test_what_is_written_is_read(value):
    assert parse(write(value)) == value


@given(holding(some.integers(0, 10**9) | NAMES | some.binary()))
def test_another_reader_reads_the_same(value):
    def plainly(found: object) -> object:
        if isinstance(found, pikepdf.Array):
            return [plainly(one) for one in found]
        if isinstance(found, pikepdf.Dictionary):
            return {name[1:]: plainly(one) for name, one in found.items()}
        if isinstance(found, pikepdf.Name):
            return Name(str(found)[1:])
        return bytes(found) if isinstance(found, pikepdf.String) else found

    assert plainly(pikepdf.Object.parse(b"[" + write(value) + b"]")) == [value]


def numbers_in(value: object) -> list[int]:
    """The numbers that are referred to."""
    if isinstance(value, Ref):
        return [value.number]
    held = value.values() if isinstance(value, dict) else value if isinstance(value, list) else ()
    return [number for one in held for number in numbers_in(one)]


@given(VALUES)
def test_references_are_led_elsewhere_and_nothing_else_changes(value):
    def moved(one: object) -> object:
        if isinstance(one, list):
            return [moved(inner) for inner in one]
        if isinstance(one, dict):
            return {name: moved(inner) for name, inner in one.items()}
        return Ref(one.number + 7) if isinstance(one, Ref) else one

    numbers = {b"%d" % number: b"%d" % (number + 7) for number in numbers_in(value)}
    assert parse(renumbered(write(value), numbers)) == moved(value)


def test_words_that_look_like_a_reference_stay():
    raw = rb"<</T (see 12 0 R \) 3 0 R)/K [1 0 5 0 R 6 0 R]/P 7 0 R/N /R0>>"
    assert (
        renumbered(raw, {b"5": b"50", b"6": b"60", b"7": b"70"})
        == rb"<</T (see 12 0 R \) 3 0 R)/K [1 0 50 0 R 60 0 R]/P 70 0 R/N /R0>>"
    )


def test_strings_in_every_form():
    assert parse(rb"(a\(b\)\\ \101\n\q)") == b"a(b)\\ A\nq"
    assert parse(b"<48 65 6>") == b"He`"
    assert parse(b"(over\\\nthe line)") == b"overthe line"
    for text in ("", "plain (x)", "Wässer", "水 ½", "a\nb"):
        assert text_of(parse(write(words(text)))) == text


@pytest.mark.parametrize("raw", [b"", b"[1", b"<<1 2>>", b"1 2", b"[1>>", b"]", b"<</A>>", b"(open", b"\x00{"])
def test_what_is_no_object_is_refused(raw):
    with pytest.raises(NotOurs):
        parse(raw)


def test_a_flat_number_tree_is_taken_apart_unread():
    assert entries_of(b"<</Nums [0 [3 0 R null 4 0 R] 1 [] 2 5 0 R]>>") == {
        0: b"[3 0 R null 4 0 R]", 1: b"[]", 2: b"5 0 R",
    }  # fmt: skip
    with pytest.raises(NotOurs):
        entries_of(b"<</Kids [1 0 R]>>")


def small() -> bytes:
    writer = Writer()
    pages, page = Ref(writer.number()), Ref(writer.number())
    content = writer.add_stream({}, b"0 0 m 9 9 l S")
    writer.put(pages.number, write({"Type": Name("Pages"), "Kids": [page], "Count": 1}))
    entries = {"Type": Name("Page"), "Parent": pages, "MediaBox": [0, 0, 99, 99], "Contents": content, "Resources": {}}
    writer.put(page.number, write(entries))
    names = tree(writer, "Names", [(b"%03d" % at, at) for at in range(500)])
    many = [writer.add({"N": at}) for at in range(700)]
    root = writer.add({"Type": Name("Catalog"), "Pages": pages, "X": names, "Y": many})
    return writer.finish(root, writer.add({"Title": words("Ω")}))


def test_a_document_is_read_by_another_reader_and_by_ours():
    pdf = small()
    with pikepdf.open(io.BytesIO(pdf), attempt_recovery=False) as found:
        assert found.check_pdf_syntax() == []
        assert [int(one.N) for one in found.Root.Y] == list(range(700))
        assert found.pages[0].Contents.read_bytes() == b"0 0 m 9 9 l S"
        assert str(found.docinfo["/Title"]) == "Ω"
        assert len(found.Root.X.Kids) == 8
    source = read_pdf(pdf)
    catalog = source.read(source.root)
    assert [source.read(one)["N"] for one in catalog["Y"]] == list(range(700))
    [page] = source.read(catalog["Pages"])["Kids"]
    assert unpacked(source.streams[source.read(page)["Contents"].number]) == b"0 0 m 9 9 l S"
    assert small() == pdf


def test_a_piece_of_another_kind_or_in_part_is_refused():
    pdf = small()
    out = io.BytesIO()
    with pikepdf.open(io.BytesIO(pdf)) as found:
        found.save(out, object_stream_mode=pikepdf.ObjectStreamMode.disable)
    for other in (out.getvalue(), pdf[:-9], pdf[: len(pdf) // 2], b"", pdf[200:]):
        with pytest.raises(NotOurs):
            read_pdf(other)


def test_pairs_have_to_be_whole():
    assert dict(paired([1, 2, 3, 4])) == {1: 2, 3: 4}
    with pytest.raises(ValueError, match="shorter"):
        dict(paired([1, 2, 3]))
