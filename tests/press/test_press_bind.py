"""The binder, read back with pypdf and checked with qpdf; what holds for every page is asked of every page."""

from __future__ import annotations

import io
import re
import subprocess
from collections.abc import Iterable, Iterator
from dataclasses import replace
from html import escape
from typing import Any

import pikepdf
import pytest
from fontTools.ttLib import TTFont

from bookgen.leaf import Leaf, Style
from bookgen.press.attached import read_attached
from bookgen.press.bind import Binder, bind
from bookgen.press.piece import PrintedLeaf
from bookgen.press.render import PressFailed, render, render_all
from tests.press.conftest import sheet
from tests.press.reading import check_structure, elements, entries, reader


def test_qpdf_finds_nothing_wrong(binder, tmp_path):
    path = tmp_path / "binder.pdf"
    path.write_bytes(binder.pdf)
    run = subprocess.run(["qpdf", "--check", str(path)], capture_output=True, text=True)
    assert (run.returncode, run.stderr) == (0, "")
    assert "No syntax or stream encoding errors found" in run.stdout


def test_all_pages_are_there_in_order_and_a_leaf_is_numbered_within_itself(binder, pieces):
    found = reader(binder.pdf)
    assert len(found.pages) == binder.pages == 16
    texts = [page.extract_text() for page in found.pages]
    for number, piece in enumerate(pieces):
        first = binder.first_page[piece.code] - 1
        assert f"Water no. {number}\n" in texts[first]
        assert f"sheet 1 of {2 if number % 3 == 1 else 1}" in texts[first]
        if number % 3 == 1:
            assert "sheet 2 of 2" in texts[first + 1]
    assert {tuple(round(float(edge)) for edge in page.mediabox) for page in found.pages} == {(0, 0, 420, 595)}


def test_title_language_and_view_are_set_and_no_date(binder):
    found = reader(binder.pdf)
    root = found.trailer["/Root"]
    assert root["/Lang"] == "en-GB"
    assert root["/MarkInfo"] == {"/Marked": True}
    assert root["/ViewerPreferences"] == {"/DisplayDocTitle": True}
    assert dict(found.metadata or {}) == {"/Title": "Waters & creams", "/Author": "The keeper", "/Producer": "bookgen"}
    xmp = found.xmp_metadata
    assert xmp is not None
    assert xmp.dc_title == {"x-default": "Waters & creams"}
    assert xmp.dc_language == ["en-GB"]
    assert xmp.dc_creator == ["The keeper"]
    assert xmp.xmp_create_date is None
    assert b"Date" not in root["/Metadata"].get_object().get_data()


def test_a_date_is_the_one_given(pieces):
    found = reader(bind(pieces[:1], title="B", lang="en", date="2026-03-02").pdf)
    assert (found.metadata or {})["/CreationDate"] == "D:20260302"
    assert found.xmp_metadata is not None
    assert found.xmp_metadata.xmp_create_date is not None
    assert found.xmp_metadata.xmp_create_date.isoformat()[:10] == "2026-03-02"


def test_bookmarks_lead_from_chapter_to_leaf(binder):
    found = reader(binder.pdf)

    def read(items: list[Any]) -> list[Any]:
        return [
            read(item) if isinstance(item, list) else (item.title, found.get_destination_page_number(item) + 1)
            for item in items
        ]

    def line(number: int) -> tuple[str, int]:
        return f"Water no. {number}", binder.first_page[f"F-{number:02d}"]

    assert read(found.outline) == [
        line(0),
        ("Waters", binder.first_page["F-01"]),
        [line(number) for number in range(1, 6)],
        ("Creams", binder.first_page["F-06"]),
        [line(number) for number in range(6, 12)],
    ]


def test_a_chapters_bookmark_leads_to_its_divider_which_is_none_of_its_leaves(pieces):
    waters = replace(pieces[3], code="waters", title="Waters", divides=True)
    empty = replace(pieces[6], code="pastes", title="Pastes", chapter="Pastes", divides=True)
    found = reader(bind([pieces[0], waters, pieces[1], pieces[2], empty, pieces[7]], title="B", lang="en").pdf)

    def read(items: list[Any]) -> list[Any]:
        return [read(one) if isinstance(one, list) else one.title for one in items]

    assert read(found.outline) == [
        "Water no. 0",
        "Waters",
        ["Water no. 1", "Water no. 2"],
        "Pastes",
        "Creams",
        ["Water no. 7"],
    ]
    assert found.get_destination_page_number(found.outline[1]) == 1
    titles = [(len(above), element.get("/T")) for _, element, above in elements(found) if 2 <= len(above) <= 3]
    assert titles.count((2, "Waters")) == 1
    assert titles.count((3, "Waters")) == 1


def test_a_link_to_a_leaf_that_stays_on_the_shelf_is_taken_off_without_a_word(pieces):
    some = bind(pieces[1:3], title="B", lang="en", elsewhere=frozenset({"F-03"}))
    assert some.problems == ()
    found = reader(some.pdf)
    assert [len(page["/Annots"]) for page in found.pages if "/Annots" in page] == [3, 2]
    assert "First make the next" in found.pages[some.first_page["F-02"] - 1].extract_text()
    check_structure(some.pdf)
    [told] = bind(pieces[1:3], title="B", lang="en", elsewhere=frozenset({"F-04"})).problems
    assert "sheet F-03, which is not in the binder" in told.sentence


def test_links_land(binder):
    found = reader(binder.pdf)
    names = found.named_destinations
    for number in range(12):
        code = f"F-{number:02d}"
        first = binder.first_page[code] - 1
        next_one, method, table = (link.get_object() for link in found.pages[first]["/Annots"])
        goal = f"F-{(number + 1) % 12:02d}"
        assert next_one["/Dest"][0].get_object() == found.pages[binder.first_page[goal] - 1]
        assert next_one["/Contents"] == f"Water no. {int(goal[2:])}"
        assert method["/Contents"] == "the method"
        assert "/A" not in next_one
        place = names[method["/Dest"]]
        assert method["/Dest"] == f"{code}#method"
        assert found.get_destination_page_number(place) == first + (number % 3 == 1)
        assert table["/A"]["/URI"] == "https://example.org/table"
    assert binder.problems == ()


def test_every_page_is_reached_by_the_structure(binder):
    assert check_structure(binder.pdf) > 16 * 10


def test_the_structure_is_document_part_section(binder):
    found = reader(binder.pdf)
    kinds = [(len(above), element["/S"], element.get("/T")) for _, element, above in elements(found) if len(above) <= 3]
    assert [kind for kind in kinds if kind[0] == 1] == [(1, "/Document", None)]
    assert {kind for kind in kinds if kind[0] == 2} == {
        (2, "/Sect", "Water no. 0"),
        (2, "/Part", "Waters"),
        (2, "/Part", "Creams"),
    }
    assert sum(kind[1] == "/Sect" for kind in kinds if kind[0] == 3) == 11


def test_headings_of_tables_have_one_name_in_the_binder(binder):
    found = reader(binder.pdf)
    names = dict(entries(found.trailer["/Root"]["/StructTreeRoot"]["/IDTree"], "/Names"))
    assert list(names) == sorted(names)
    own: dict[str, Any] = {}
    asked = 0
    for reference, element, _ in elements(found):
        if "/ID" in element:
            assert element["/ID"] not in own
            own[element["/ID"]] = reference
    for _, element, _ in elements(found):
        for header in element.get("/A", {}).get("/Headers", []):
            assert own[header].get_object()["/S"] == "/TH"
            asked += 1
    assert own == names
    assert asked == 12 * 4 * 2 * 2


def test_the_same_pieces_make_the_same_bytes(binder, pieces, leaves, style):
    assert bind(pieces, title="Waters & creams", lang="en-GB", author="The keeper") == binder
    other = render_all(leaves, style, workers=1)
    assert bind(other, title="Waters & creams", lang="en-GB", author="The keeper").pdf == binder.pdf
    assert reader(binder.pdf).trailer["/ID"] != reader(bind(pieces, title="Other", lang="en-GB").pdf).trailer["/ID"]


def fonts(pdf: bytes) -> dict[str, set[Any]]:
    """The font files by name; one file in several places counts once."""
    files: dict[str, set[Any]] = {}
    for name, font in set_in(pdf):
        file = font["/FontDescriptor"].raw_get("/FontFile2")
        files.setdefault(name, set()).add((file.idnum, file.get_object().get_data()))
    return files


def set_in(pdf: bytes) -> Iterator[tuple[str, Any]]:
    """The fonts each page is set in, with their names."""
    for page in reader(pdf).pages:
        for font in page["/Resources"]["/Font"].values():
            below = font.get_object()["/DescendantFonts"][0].get_object()
            yield below["/FontDescriptor"]["/FontName"], below


def drawn(font: TTFont, number: int) -> tuple[Any, Any]:
    """A letter's outline and its width; an accented one is made of others, whose numbers do not matter."""
    name = font.getGlyphName(number)
    return font["glyf"][name].getCoordinates(font["glyf"])[:2], font["hmtx"][name]


def shares_its_type(pdf: bytes, pieces: Iterable[PrintedLeaf]) -> None:
    """Assert that there is one file a cut, and that each leaf's letters are in it as its own file has them."""
    bound = fonts(pdf)
    assert {len(files) for files in bound.values()} == {1}
    for piece in pieces:
        alone = fonts(piece.pdf)
        for name, font in set_in(piece.pdf):
            one, all_ = (TTFont(io.BytesIO(file)) for files in (alone, bound) for _, file in files[name])
            for first, widths in zip(font["/W"][::2], font["/W"][1::2], strict=True):
                for number in range(first, first + len(widths)):
                    assert drawn(all_, number) == drawn(one, number)


def test_leaves_share_one_font_file_a_cut(binder, pieces):
    shares_its_type(binder.pdf, pieces)
    assert len(fonts(binder.pdf)) == 5
    assert len(binder.pdf) < 0.6 * sum(len(piece.pdf) for piece in pieces)


def test_letters_made_of_others_are_shared_too(style):
    """Each leaf's own file gives the parts other numbers."""
    texts = ("Crème, fi", "Öl und Ånd, naïve", "йод, ёлка", "Йод, ἀήρ, ἢ")
    leaves = [replace(sheet(at, more=f"<p>{text}</p>"), code=f"A-{at}") for at, text in enumerate(texts)]
    pieces = render_all(leaves, style)
    bound = bind(pieces, title="B", lang="en").pdf
    shares_its_type(bound, pieces)
    for page, text in zip(reader(bound).pages, texts, strict=False):
        assert text in page.extract_text()


def test_without_the_cuts_each_leaf_keeps_its_own_letters(pieces):
    plain = bind([replace(piece, cuts=()) for piece in pieces[:3]], title="B", lang="en").pdf
    assert {len(files) for files in fonts(plain).values()} > {1}
    check_structure(plain)


def test_a_shared_font_file_is_sound(binder):
    for [(_, file)] in fonts(binder.pdf).values():
        font = TTFont(io.BytesIO(file), checkChecksums=2)
        assert all(font.reader[tag] for tag in font.reader.keys())  # noqa: SIM118 (it iterates by number)
        assert font["maxp"].numGlyphs == len(font["loca"]) - 1


def test_different_cuts_under_one_name_are_kept_apart(style):
    bold = replace(style.faces[0], weight=400, optical=60)
    other = replace(style, faces=(bold, *style.faces[1:]))
    first, second = render(sheet(2), style), render(replace(sheet(2), code="F-99"), other)
    bound = fonts(bind([first, second], title="B", lang="en").pdf)
    alone = [{name: file for name, [(_, file)] in fonts(piece.pdf).items()} for piece in (first, second)]
    differing = {name for name in bound if alone[0][name] != alone[1][name]}
    assert len(differing) == 1
    assert {name: len(files) for name, files in bound.items()} == {name: 1 + (name in differing) for name in bound}


@pytest.fixture(scope="module")
def astray(style: Style) -> tuple[Binder, PrintedLeaf]:
    """A binder of one leaf whose links lead out of it."""
    more = (
        '<p><a href="sheet:Z-9">lost words</a> <a href="file:///etc/x.html">own file</a>'
        ' <a href="javascript:go()">run</a>'
    )
    piece = render(sheet(1, more=more), style)
    return bind([piece], title="B", lang="en"), piece


def test_a_link_to_a_leaf_that_is_not_there_is_reported_and_its_words_stay(astray, tmp_path):
    binder, _ = astray
    assert [(problem.code, problem.sentence) for problem in binder.problems] == [
        ("F-01", "A link leads to sheet F-02, which is not in the binder; its words stay."),
        ("F-01", "A link leads to sheet Z-9, which is not in the binder; its words stay."),
        ("F-01", "A link leads to a file outside the binder; its words stay."),
        ("F-01", "A link leads to a file outside the binder; its words stay."),
    ]
    found = reader(binder.pdf)
    assert "lost words" in found.pages[0].extract_text()
    assert len(found.pages[0]["/Annots"]) == 2
    path = tmp_path / "b.pdf"
    path.write_bytes(binder.pdf)
    assert subprocess.run(["qpdf", "--check", str(path)], capture_output=True).returncode == 0


def test_a_binder_with_lost_links_is_still_tagged_throughout(astray):
    assert check_structure(astray[0].pdf)


def test_with_duplex_each_leaf_begins_on_a_right_hand_page(pieces):
    binder = bind(pieces, title="B", lang="en", duplex=True)
    found = reader(binder.pdf)
    assert all(page % 2 == 1 for page in binder.first_page.values())
    assert len(found.pages) == binder.pages == 23
    blank = [page for page in found.pages if not page.get("/Contents")]
    assert len(blank) == 7
    for page in blank:
        assert page.mediabox == found.pages[0].mediabox
        assert "/StructParents" not in page
        assert page.extract_text() == ""


def test_a_book_of_a_hundred_leaves_has_a_tree_of_several_nodes(pieces):
    many = [replace(pieces[number % 12], code=f"M-{number}") for number in range(100)]
    found = reader(bind(many, title="B", lang="en").pdf)
    tree = found.trailer["/Root"]["/StructTreeRoot"]["/ParentTree"]
    assert len(tree["/Kids"]) > 4
    keys = [key for key, _ in entries(tree, "/Nums")]
    assert keys == sorted(set(keys))
    assert len(keys) > 300


def test_a_code_in_use_twice_and_an_empty_binder_are_refused(pieces):
    with pytest.raises(ValueError, match="same code"):
        bind([pieces[0], pieces[0]], title="B", lang="en")
    with pytest.raises(ValueError, match="nothing to bind"):
        bind([], title="B", lang="en")


ALTERNATIVES = ["/FontFile2 see", "<< /FontFile2 5 0 R >>", "(/FontFile2", "/FontName /X", "1 0 obj stream endstream"]


@pytest.mark.parametrize("words", ALTERNATIVES)
def test_words_that_a_pdf_knows_too_are_words(style, tmp_path, words):
    """The words for a picture stand in the document as they are."""
    dot = "iVBORw0KGgoAAAANSUhEUgAAAAEAAAABCAAAAAA6fptVAAAACklEQVR4nGNoAAAAggCBd81ytgAAAABJRU5ErkJggg=="
    html = f'<html lang="en"><body><img alt="{escape(words)}" src="data:image/png;base64,{dot}"><p>{escape(words)}</p>'
    piece = render(Leaf(code="X-1", title=words, chapter=words, html=html), style)
    binder = bind([piece, replace(piece, code="X-2")], title=words, lang="en")
    found = [one["/Alt"] for _, one, _ in elements(reader(binder.pdf)) if "/Alt" in one]
    assert found == [words, words]
    path = tmp_path / "binder.pdf"
    path.write_bytes(binder.pdf)
    assert subprocess.run(["qpdf", "--check", str(path)], capture_output=True).returncode == 0


OTHERWISE = r"^WeasyPrint \d+\.\d+ lays out its PDFs otherwise than the binder is made of{}: install .* below 71\.$"


@pytest.mark.parametrize(
    "otherwise",
    [
        lambda pdf: b"%PDF-1.7\n1 0 obj\n<<>>\nendobj\ntrailer\n<</Root 1 0 R>>\n%%EOF\n",
        lambda pdf: b"words",
        lambda pdf: pdf[: len(pdf) // 2],
    ],
    ids=["of an older kind", "none", "cut short"],
)
def test_a_leaf_that_is_no_pdf_is_told(pieces, otherwise):
    with pytest.raises(PressFailed, match=OTHERWISE.format("")):
        bind([replace(pieces[0], pdf=otherwise(pieces[0].pdf)), *pieces[1:3]], title="B", lang="en")


@pytest.fixture(scope="module")
def plain(pieces: tuple[PrintedLeaf, ...]) -> Binder:
    """Some leaves bound, of which two are laid out as another version of the engine might do it."""
    made = io.BytesIO()
    with pikepdf.open(io.BytesIO(pieces[2].pdf)) as found:
        found.save(made, object_stream_mode=pikepdf.ObjectStreamMode.disable)
    other = replace(pieces[3], pdf=pieces[3].pdf.replace(b"/Type /ObjStm", b"/Type /Others"))
    some = [pieces[0], pieces[1], replace(pieces[2], pdf=made.getvalue()), other, *pieces[4:7]]
    return bind(
        some, title="Waters & Ω", lang="en", author="The keeper", duplex=True, attached={"list.yaml": b"F-01: 1"}
    )


def test_leaves_laid_out_otherwise_are_joined_plainly_and_it_is_told(plain, tmp_path):
    [told] = plain.problems
    assert told.code == "F-02"
    lost = ", which is now without tags and without links within a sheet"
    assert re.match(OTHERWISE.format(lost), told.sentence)
    path = tmp_path / "b.pdf"
    path.write_bytes(plain.pdf)
    assert subprocess.run(["qpdf", "--check", str(path)], capture_output=True).returncode == 0


def test_a_plain_binder_has_its_pages_bookmarks_links_and_files(plain):
    found = reader(plain.pdf)
    assert len(found.pages) == plain.pages == 13
    assert plain.first_page == {f"F-{at:02d}": 1 + 2 * at for at in range(7)}
    for code, page in plain.first_page.items():
        assert f"Water no. {int(code[2:])}\n" in found.pages[page - 1].extract_text()
    titles = [[one.title for one in item] if isinstance(item, list) else item.title for item in found.outline]
    assert titles == ["Water no. 0", "Waters", [f"Water no. {at}" for at in range(1, 6)], "Creams", ["Water no. 6"]]
    jump, web = (link.get_object() for link in found.pages[0]["/Annots"])
    assert jump["/Dest"][0].get_object() == found.pages[plain.first_page["F-01"] - 1]
    assert web["/A"]["/URI"] == "https://example.org/table"
    assert len(found.pages[12]["/Annots"]) == 1, "F-07 is not in it"
    assert read_attached(plain.pdf, "list.yaml") == b"F-01: 1"
    assert dict(found.metadata or {}) == {"/Title": "Waters & Ω", "/Author": "The keeper", "/Producer": "bookgen"}
    assert found.trailer["/Root"]["/Lang"] == "en"
    assert "/StructTreeRoot" not in found.trailer["/Root"]
    assert b"pdfuaid" not in found.trailer["/Root"]["/Metadata"].get_object().get_data(), "it is not what it says"
    assert not any("/StructParents" in page for page in found.pages)


def test_words_of_other_scripts_survive(style):
    leaf = Leaf(
        code="U-1",
        title="Wässer, Ωmega (a\\b)",
        chapter="Crèmes",
        html='<html lang="de"><body><h2 id="grüße">Wässer</h2><a href="#grüße">hin</a><a href="sheet:U-1">oben</a>',
    )
    binder = bind([render(leaf, style)], title="Bücher & Ω", lang="de")
    found = reader(binder.pdf)
    assert found.outline[1][0].title == "Wässer, Ωmega (a\\b)"
    assert found.metadata is not None
    assert found.metadata.title == "Bücher & Ω"
    assert found.pages[0]["/Annots"][0].get_object()["/Dest"] in found.named_destinations
    assert "Wässer" in found.pages[0].extract_text()
