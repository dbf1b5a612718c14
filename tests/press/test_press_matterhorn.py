"""That each rule of `matterhorn` notices what it is there for: a good PDF, damaged in one way after the other."""

from __future__ import annotations

import io
import re
from collections.abc import Callable, Iterator
from typing import Any

import pikepdf
import pytest
from pikepdf import Array, Dictionary, Name, String

from bookgen.leaf import Leaf
from bookgen.press.bind import bind
from bookgen.press.render import render_all
from tests.press.conftest import sheet
from tests.press.matterhorn import NEVER, RULES, WITH, failures

MORE = (
    "<svg width=9 height=9><title>a square</title><rect width=9 height=9 /></svg>"
    "<svg width=9 height=9><rect width=9 height=9 /></svg>"
)


@pytest.fixture(scope="module")
def good(style) -> bytes:
    """Two leaves with lists, a table, links, a picture with words and one without, and a file beside them."""
    leaves = [sheet(0, turn=True, more=MORE), sheet(1, more=MORE)]
    return bind(render_all(leaves, style, workers=1), title="B", lang="en", attached={"a.yaml": b"a: b\n"}).pdf


@pytest.fixture
def pdf(good: bytes) -> Iterator[pikepdf.Pdf]:
    with pikepdf.open(io.BytesIO(good)) as opened:
        yield opened


def elements(pdf: pikepdf.Pdf, kind: str) -> list[Any]:
    """The structure elements of a kind, in the order of the file."""
    return [
        one for one in pdf.objects
        if isinstance(one, Dictionary) and one.get("/Type") == "/StructElem" and one.get("/S") == f"/{kind}"
    ]  # fmt: skip


def first(pdf: pikepdf.Pdf, kind: str) -> Any:
    return elements(pdf, kind)[0]


def content(pdf: pikepdf.Pdf, change: Callable[[bytes], bytes]) -> None:
    """Change what the first page paints."""
    page = pdf.pages[0].obj
    before = page.Contents.read_bytes()
    after = change(before)
    assert after != before
    page.Contents = pdf.make_stream(after)


def replaced(pattern: bytes, by: bytes) -> Callable[[bytes], bytes]:
    return lambda text: re.sub(pattern, by, text, count=1)


def metadata(pdf: pikepdf.Pdf, pattern: bytes, by: bytes) -> None:
    said = pdf.Root.Metadata.read_bytes()
    changed = re.sub(pattern, by, said, flags=re.DOTALL)
    assert changed != said
    pdf.Root.Metadata = pdf.make_stream(changed)


def below(pdf: pikepdf.Pdf, above: Any, kind: str, **entries: Any) -> Any:
    """Hang a new element below another."""
    made = pdf.make_indirect(Dictionary(Type=Name.StructElem, S=Name(f"/{kind}"), P=above, K=Array(), **entries))
    above.K.append(made)
    return made


def font(pdf: pikepdf.Pdf) -> Any:
    """A font that the first page is set in."""
    return next(iter(pdf.pages[0].obj.Resources.Font.values()))


def set_map(pdf: pikepdf.Pdf, by: bytes) -> None:
    """Let the first code of a font lead to another character."""
    held = font(pdf)
    text = re.sub(rb"(beginbfchar\s*<\w{4}>) <\w{4}>", rb"\1 <" + by + b">", held.ToUnicode.read_bytes(), count=1)
    held.ToUnicode = pdf.make_stream(text)


def widen(pdf: pikepdf.Pdf) -> None:
    for row in font(pdf).DescendantFonts[0].W:
        if isinstance(row, Array):
            for at, width in enumerate(row):
                row[at] = float(width) + 2


def empty_font(pdf: pikepdf.Pdf) -> None:
    """Put type in place of a page's that has other letters."""
    fonts = list(pdf.pages[0].obj.Resources.Font.values())
    used = {one.DescendantFonts[0].FontDescriptor.FontFile2.objgen[0] for one in fonts}
    assert len(used) > 1
    files = [one.DescendantFonts[0].FontDescriptor for one in fonts]
    files[0].FontFile2 = next(one.FontFile2 for one in files if one.FontFile2.objgen != files[0].FontFile2.objgen)


def annotation(pdf: pikepdf.Pdf, kind: str) -> None:
    page = pdf.pages[0].obj
    made = Dictionary(Type=Name.Annot, Subtype=Name(f"/{kind}"), Rect=[0, 0, 1, 1], Contents=String("words"))
    page.Annots.append(pdf.make_indirect(made))


def set_as(kind: str) -> Callable[[pikepdf.Pdf], None]:
    def damage(pdf: pikepdf.Pdf) -> None:
        pdf.pages[0].obj.Resources.Font["/Other"] = pdf.make_indirect(
            Dictionary(Type=Name.Font, Subtype=Name(f"/{kind}"), BaseFont=Name.Helvetica)
        )
        content(pdf, lambda text: text + b"\n/Artifact BMC BT /Other 9 Tf (x) Tj ET EMC")

    return damage


def refer(pdf: pikepdf.Pdf) -> None:
    form = pdf.make_stream(b"", Type=Name.XObject, Subtype=Name.Form, BBox=[0, 0, 1, 1], Ref=Dictionary(Page=0))
    pdf.pages[0].obj.Resources.XObject = Dictionary(Other=form)


def draw_twice(pdf: pikepdf.Pdf) -> None:
    form = pdf.make_stream(
        b"/P <</MCID 999>> BDC EMC", Type=Name.XObject, Subtype=Name.Form, BBox=[0, 0, 1, 1], Resources=Dictionary()
    )
    pdf.pages[0].obj.Resources.XObject = Dictionary(Twice=form)
    content(pdf, lambda text: text + b"\n/Artifact BMC /Twice Do /Twice Do EMC")


def heading(pdf: pikepdf.Pdf, kind: str) -> None:
    first(pdf, "H2").S = Name(f"/{kind}")


def own_type(pdf: pikepdf.Pdf, name: str, **roles: Name) -> None:
    first(pdf, "P").S = Name(f"/{name}")
    pdf.Root.StructTreeRoot.RoleMap = Dictionary({f"/{key}": to for key, to in roles.items()})


def take_words(pdf: pikepdf.Pdf) -> None:
    for page in pdf.pages:
        for one in page.obj.get("/Annots", []):
            one.Contents = String(" ")


def note(pdf: pikepdf.Pdf, **entries: Any) -> None:
    below(pdf, first(pdf, "Sect"), "Note", **entries)


def twice(pdf: pikepdf.Pdf) -> None:
    one, other = elements(pdf, "TH")[:2]
    other.ID = one.ID


def misled(pdf: pikepdf.Pdf) -> None:
    """Let two contents of a page lead to each other's elements."""
    key = int(pdf.pages[0].obj.StructParents)
    node = pdf.Root.StructTreeRoot.ParentTree.Kids[0]
    listed = dict(zip(map(int, list(node.Nums)[::2]), list(node.Nums)[1::2], strict=True))[key]
    at = next(at for at in range(len(listed)) if listed[at].objgen != listed[at + 1].objgen)
    listed[at], listed[at + 1] = listed[at + 1], listed[at]


def widow(pdf: pikepdf.Pdf) -> None:
    """Take a link out of the structure and leave it on its page."""
    link = next(one for one in elements(pdf, "Link"))
    link.S = Name.Span


def no_descriptor(pdf: pikepdf.Pdf, name: str) -> None:
    del font(pdf).DescendantFonts[0].FontDescriptor[name]


DAMAGE: dict[str, Callable[[pikepdf.Pdf], object]] = {
    "01-003": lambda pdf: content(pdf, replaced(rb"(/MCID 3\s*>>\s*BDC)", rb"\1 /Artifact BMC EMC")),
    "01-004": lambda pdf: content(pdf, replaced(rb"(?s)(/Artifact\b.*?\bB[MD]C\b)", rb"\1 /P <</MCID 888>> BDC EMC")),
    "01-005": lambda pdf: content(pdf, lambda text: text + b"\n0 0 1 1 re f"),
    "01-007": lambda pdf: pdf.Root.MarkInfo.update({"/Suspects": True}),
    "02-001": lambda pdf: own_type(pdf, "Words"),
    "02-003": lambda pdf: own_type(pdf, "Words", Words=Name.Text, Text=Name.Words),
    "02-004": lambda pdf: own_type(pdf, "P", P=Name.Span),
    "06-001": lambda pdf: pdf.Root.__delitem__("/Metadata"),
    "06-002": lambda pdf: metadata(pdf, rb">1</pdfuaid", b">2</pdfuaid"),
    "06-003": lambda pdf: metadata(pdf, rb"<dc:title>.*</dc:title>", b""),
    "07-001": lambda pdf: pdf.Root.ViewerPreferences.__delitem__("/DisplayDocTitle"),
    "07-002": lambda pdf: pdf.Root.ViewerPreferences.update({"/DisplayDocTitle": False}),
    "09-004": lambda pdf: setattr(first(pdf, "TR"), "S", Name.Div),
    "09-005": lambda pdf: setattr(first(pdf, "LBody"), "S", Name.Div),
    "09-006": lambda pdf: setattr(first(pdf, "P"), "S", Name.TOCI),
    "10-001": lambda pdf: set_map(pdf, b""),
    "11-001": lambda pdf: pdf.Root.__delitem__("/Lang"),
    "13-004": lambda pdf: first(pdf, "Figure").__delitem__("/Alt"),
    "14-002": lambda pdf: [setattr(one, "S", Name.H2) for one in elements(pdf, "H1")],
    "14-003": lambda pdf: heading(pdf, "H3"),
    "14-006": lambda pdf: [below(pdf, first(pdf, "Sect"), "H") for _ in range(2)],
    "14-007": lambda pdf: heading(pdf, "H"),
    "15-003": lambda pdf: first(pdf, "TH").A.__delitem__("/Scope"),
    "17-002": lambda pdf: heading(pdf, "Formula"),
    "19-003": lambda pdf: note(pdf),
    "19-004": lambda pdf: [note(pdf, ID=String("one")) for _ in range(2)],
    "21-001": lambda pdf: pdf.attachments["a.yaml"].obj.__delitem__("/F"),
    "28-002": lambda pdf: annotation(pdf, "Highlight"),
    "28-004": take_words,
    "28-008": lambda pdf: pdf.pages[0].obj.__delitem__("/Tabs"),
    "28-009": lambda pdf: pdf.pages[0].obj.update({"/Tabs": Name.R}),
    "28-011": widow,
    "28-012": take_words,
    "30-002": draw_twice,
    "31-004": lambda pdf: font(pdf).DescendantFonts[0].update({"/CIDToGIDMap": Name.Other}),
    "31-005": lambda pdf: font(pdf).DescendantFonts[0].__delitem__("/CIDToGIDMap"),
    "31-006": lambda pdf: font(pdf).update({"/Encoding": Name.Other}),
    "31-009": lambda pdf: no_descriptor(pdf, "/FontFile2"),
    "31-011": empty_font,
    "31-014": lambda pdf: font(pdf).DescendantFonts[0].FontDescriptor.update({"/CIDSet": pdf.make_stream(b"\0")}),
    "31-016": widen,
    "31-027": lambda pdf: font(pdf).__delitem__("/ToUnicode"),
    "31-028": lambda pdf: set_map(pdf, b"0000"),
    "31-029": lambda pdf: set_map(pdf, b"fffe"),
    "31-030": lambda pdf: content(pdf, replaced(rb"<[0-9a-f]{4}", b"<0000")),
    "32000-1 14.7.4.4": misled,
    "32000-1 P": lambda pdf: setattr(first(pdf, "P"), "P", first(pdf, "TR")),
    "32000-1 Headers": lambda pdf: setattr(first(pdf, "TH"), "ID", String("another")),
    "32000-1 BBox": lambda pdf: setattr(first(pdf, "Figure").A, "BBox", Array([9, 9, 9, 9])),
    "characters with readings beside them": lambda pdf: heading(pdf, "Ruby"),
    "layers": lambda pdf: pdf.Root.update({"/OCProperties": Dictionary()}),
    "form fields": lambda pdf: pdf.Root.update({"/AcroForm": Dictionary()}),
    "encryption": lambda pdf: pdf.trailer.update({"/Encrypt": Dictionary()}),
    "trapping": lambda pdf: annotation(pdf, "TrapNet"),
    "sound and film": lambda pdf: annotation(pdf, "Screen"),
    "files on a page": lambda pdf: annotation(pdf, "FileAttachment"),
    "printers' marks": lambda pdf: annotation(pdf, "PrinterMark"),
    "forms of other files": refer,
    "type of PostScript": set_as("Type1"),
    "type of one byte a code": set_as("TrueType"),
}
"""Each condition, and each thing that never is → what brings it about."""


def test_the_good_one_fails_no_condition(pdf):
    assert failures(pdf) == {}


def test_every_condition_that_a_machine_decides_has_a_row():
    """Their numbers in the protocol, by checkpoint; the other 49 are for people, or ask nothing."""
    decided = {
        1: (3, 4, 5, 7), 2: (1, 3, 4), 6: (1, 2, 3), 7: (1, 2), 9: range(4, 9), 10: (1,), 11: range(1, 7), 13: (4,),
        14: (2, 3, 6, 7), 15: (3,), 17: (2, 3), 19: (3, 4), 20: (1, 2, 3), 21: (1,), 25: (1,), 26: (1, 2),
        28: (2, *range(4, 13), *range(14, 19)), 30: (1, 2), 31: (*range(1, 10), *range(11, 31)),
    }  # fmt: skip
    asked = {f"{point:02d}-{number:03d}" for point, numbers in decided.items() for number in numbers}
    rows = [*WITH, *(number for numbers, _ in NEVER.values() for number in numbers)]
    rows += [number for number in RULES if re.fullmatch(r"\d\d-\d\d\d", number)]
    assert len(asked) == 87
    assert sorted(rows) == sorted(asked)
    assert all(number in (rule.__doc__ or "") for number, rule in RULES.items() if number in asked)
    assert {*WITH.values()} <= {*RULES}


@pytest.mark.parametrize("number", [*RULES, *NEVER])
def test_a_damaged_one_is_noticed(pdf, number):
    DAMAGE[number](pdf)
    assert number in failures(pdf)


# ── What the press puts right ─────────────────────────────────────────────────────────────────────────────────────


def set_alone(body: str, style: Any) -> pikepdf.Pdf:
    leaf = Leaf(code="X-1", title="X", chapter="", html=f'<html lang="en"><body>{body}')
    return pikepdf.open(io.BytesIO(bind(render_all([leaf], style), title="B", lang="en").pdf))


KINDS = ("Document", "Sect", "Div", "P", "L", "LI", "LBody", "NonStruct", "Span")


def kinds(element: Any) -> Any:
    """An element as its kind, with those below it."""
    kids = [kid for kid in element.get("/K", []) if isinstance(kid, Dictionary) and kid.get("/Type") == "/StructElem"]
    return (str(element.S)[1:], *map(kinds, kids))


ITEM = ("LI", ("LBody",))
INLINE = "<style>div, dt, dd { display: inline }</style>"
MARKED = ("LI", ("Lbl",), ("LBody",))


@pytest.mark.parametrize(
    ("body", "made"),
    [
        ("<ul><li>a<li>b</ul>", ("L", MARKED, MARKED)),
        ('<ul style="list-style: none"><li>a <i>b</i></ul>', ("L", ITEM)),
        ("<dl><div><dt>a<dd>b</div><div><dt>c<dd>d<dd>e</div></dl>", ("L", MARKED, MARKED)),
        ("<dl><dt>a<dd>b</dl>", ("L", ITEM, ITEM)),
        ('<ul style="columns: 2"><li>a<li>b<li>c<li>d</ul>', ("L", MARKED, MARKED, MARKED, MARKED)),
        ("<ol><li>a<ul><li>b</ul>c<li>d</ol>", ("L", ("LI", ("Lbl",), ("LBody", ("L", MARKED))), MARKED)),
        (
            "<ol><li><p>a</p><ul><li>b</ul><p>c</p></ol>",
            ("L", ("LI", ("Lbl",), ("LBody", ("P",), ("L", MARKED), ("P",)))),
        ),
        (INLINE + "<dl><div><dt>a</dt> <dd>b</dd></div> <div><dt>c</dt><dd>d</dd></div></dl>", ("L", MARKED, MARKED)),
        ("<ol></ol><p>a", ("P",)),
    ],
    ids=["marks", "no marks", "in pairs", "in a row", "columns", "within", "amid paragraphs", "in a line", "empty"],
)
def test_a_list_is_one_of_items(style, body, made):
    with set_alone(body, style) as pdf:
        [section] = pdf.Root.StructTreeRoot.K[0].K
        assert kinds(section) == ("Sect", made)
        assert failures(pdf) == {}


@pytest.mark.parametrize(
    ("levels", "made"),
    [("1234", "1234"), ("2", "1"), ("1 3 3 2", "1 2 2 2"), ("24 5 3 2", "12 3 2 1"), ("1361", "1231")],
)
def test_headings_go_down_one_level_at_a_time(style, levels, made):
    body = "".join(f'<h{one} style="display: flex">a <b>b</b> c</h{one}>' for one in levels.replace(" ", ""))
    with set_alone(body, style) as pdf:
        [section] = pdf.Root.StructTreeRoot.K[0].K
        assert [str(one.S) for one in section.K] == [f"/H{one}" for one in made.replace(" ", "")]
        assert failures(pdf) == {}


TABLE = """<table><thead><tr><th>N<th>A<th>B</thead>
<tbody><tr><th colspan=3>first<tr><th scope=row>x<td>x1<td>x2<tr><td colspan=3>of x<tr><th scope=row>y<td colspan=2>y12
<tbody><tr><th colspan=3>second<tr><td colspan=3>of none<tr><th scope=row rowspan=2>z<td>z1<td>z2<tr><td>zz1<td>zz2
<tbody><tr><th scope=row>w<td>w1<td>w2</table>"""

HEADS = {
    "x1": "x first A", "x2": "x first B", "of x": "x", "y12": "y", "of none": "", "z1": "z second A",
    "z2": "z second B", "zz1": "z second A", "zz2": "z second B", "w1": "w A", "w2": "w B",
}  # fmt: skip
SCOPES = {
    **dict.fromkeys(("N", "A", "B", "first", "second"), "/Column"), **dict.fromkeys(("x", "y", "z", "w"), "/Row"),
}  # fmt: skip


def test_a_cell_names_its_own_heads_and_a_note_the_row_that_it_follows(style):
    with set_alone(TABLE, style) as pdf:
        [table] = elements(pdf, "Table")
        cells = [cell for part in table.K for row in part.K for cell in row.K]
        said = [*re.findall(r">([^<>\n]+)", TABLE)]
        assert len(cells) == len(said)
        names = {str(cell.ID): text for cell, text in zip(cells, said, strict=True) if "/ID" in cell}
        heads = {
            text: " ".join(names[str(name)] for name in cell.A.get("/Headers", []))
            for cell, text in zip(cells, said, strict=True) if cell.S == "/TD"
        }  # fmt: skip
        assert heads == HEADS
        scopes = {text: str(cell.A.Scope) for cell, text in zip(cells, said, strict=True) if cell.S == "/TH"}
        assert scopes == SCOPES
        assert failures(pdf) == {}


def test_a_picture_says_where_it_is_and_one_without_words_is_for_its_looks(style):
    with set_alone(f'<p style="margin-top: 20mm">{MORE}', style) as pdf:
        [figure] = elements(pdf, "Figure")
        left, lower, right, upper = (float(edge) for edge in figure.A.BBox)
        assert figure.Alt == "a square"
        assert (right - left, upper - lower) == pytest.approx((9 * 0.75, 9 * 0.75))
        assert 420 < lower < 595 - 35 * 72 / 25.4
        assert b"/Artifact" in (painted := pdf.pages[0].obj.Contents.read_bytes())
        assert painted.count(b"/Layout") == 1
        assert failures(pdf) == {}


def test_words_of_a_link_in_a_running_head_stay_and_the_link_goes(style):
    css = "<style>@page { @top-center { content: element(head) } } .head { position: running(head) }</style>"
    with set_alone(f'{css}<p class=head><a href="https://example.org">far</a></p><p>near', style) as pdf:
        assert "/Annots" not in pdf.pages[0].obj or not list(pdf.pages[0].obj.Annots)
        assert failures(pdf) == {}


def test_a_link_says_its_words_and_is_one_whatever_is_set_within_it(style):
    body = '<p>see <a href="#b">the <i>other <b>way</b></i></a> or <a href="#c">none</a></p><p id="b">b'
    with set_alone(body, style) as pdf:
        [link] = pdf.pages[0].obj.Annots
        assert len(elements(pdf, "Link")) == 1
        assert link.Contents == "the other way"
        assert failures(pdf) == {}


def test_a_language_stands_where_another_begins_and_not_again(style):
    body = '<div lang="en"><p>own</p></div><ul lang="fr"><li lang="fr">a<li lang="de">b</ul><p>c <i lang="la">d</i>'
    with set_alone(body, style) as pdf:
        said = [
            (str(kind), str(element.Lang)) for kind in KINDS for element in elements(pdf, kind) if "/Lang" in element
        ]
        assert said == [("L", "fr"), ("LI", "de"), ("NonStruct", "la")]
        assert failures(pdf) == {}


def test_a_leaf_of_another_language_than_the_binder_says_its_own(leaves, pieces):
    for lang, said in (("en", None), ("de", "en")):
        with pikepdf.open(io.BytesIO(bind(pieces[:1], title="B", lang=lang).pdf)) as pdf:
            [section] = elements(pdf, "Sect")
            assert section.get("/Lang") == said
