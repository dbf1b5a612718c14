"""Labels: what each sort says, why none is printed, and the PDF read back: places to 0.2 mm, letters, words."""

from __future__ import annotations

from datetime import date
from fractions import Fraction
from io import BytesIO

import numpy as np
import pikepdf
import pytest
from click.testing import CliRunner
from fontTools.ttLib import TTFont
from hypothesis import given, settings
from hypothesis import strategies as st

from bookgen.bench import Refused, Unknown, weigh_batch
from bookgen.cli import main
from bookgen.labelling import NoLabel, batch_for_label, full_of_plan, may_have_label
from bookgen.machine.batch import weighing_json
from bookgen.model import Period
from bookgen.pipeline import Checked, check_book
from bookgen.reckon.labelled import LabelWish
from bookgen.shown.jar_label import JarLabel, jar_label, on_leaflet
from bookgen.shown.shelf import shelf_of
from tests.books_of_text import ON_THAT_DAY, write_book
from tests.pages.ink import type_of
from tests.pages.raster import PER_MM, Word, sides_of, words_of
from tests.press.matterhorn import failures

from .conftest import DAY, FORMULAS, formula


def label(book: Checked, code: str, obtain: str | None, wish: LabelWish) -> JarLabel:
    weighing = weigh_batch(book, code, obtain, wish.made)
    may_have_label(book, weighing, wish)
    return jar_label(weighing, wish, shelf_of(book.reckoning, book.review))


def lines_of(label: JarLabel) -> list[str]:
    """The words of a label from top to bottom, every kind of space made plain."""
    brief = "  ".join(f"{part.term}: {part.text}" if part.term else part.text for part in label.brief)
    rest = [f"{part.term}: {part.text}" if part.term else part.text for part in label.pieces]
    return [" ".join(line.split()) for line in (label.name, label.use_by, *label.marks, brief, *rest)]


WISH = LabelWish(made=DAY, today=DAY)
OWN = LabelWish(made=DAY, today=DAY, handed_on=False)
WATERY = (
    "Water without a preservative: it can spoil without a sign. Clean hands, keep it cold, and throw it away on the "
    "use-by date even if it still looks good."
)
ARM = "Before first use try a little on the inside of the arm and wait a day."
KEPT = " ".join(
    (
        "Keep it out of the eyes and off broken skin.",
        "Not meant for children or use in pregnancy without professional advice.",
    )
)
SAYS = {
    ("C-01", "4 x 50 g + 5 %", WISH): [
        "Thing C-01", "Use by 2026-03-07", "50 g Keep in the refrigerator Batch: C-01-2026-03-02", "Hand care.",
        f"Cautions: Not on open cracks. {WATERY} {ARM} {KEPT}", "Ingredients: Aqua, Glycerin",
        "Weir Yard Pottery, Millbrook",
    ],
    ("N-01", "300 g", WISH): [
        "N-01 Thing N-01", "Use by 2026-05-02", "Made: 2026-03-02 Keep in a cool place Batch: N-01-2026-03-02",
        "Hazards: Hot. Gly: It makes the floor slippery.",
    ],
    ("H-01", "1 x 99.996 g", WISH): [
        "Thing H-01", "Use by 2026-04-02", "Batch: H-01-2026-03-02",
        "Hazards: Slippery. Gly: It makes the floor slippery.",
    ],
    ("M-01", "60 g", WISH): [
        "Thing M-01", "Use by 2026-03-12", "60 g Keep in the refrigerator Batch: M-01-2026-03-02",
        "Contains: a 10 %", "Paste.", "Use: leave-on, hands, adults", "Compounded preparation.",
        f"Cautions: A medicine: for dose and use ask a pharmacist or doctor. {KEPT}", "Weir Yard Pottery, Millbrook",
    ],
    ("M-03", "12 + 2", WISH): [
        "Thing M-03", "Use by 2026-04-02", "12 pastilles Batch: M-03-2026-03-02",
        "Contains: a 250 mg in one pastille",
        "One dose: 2 pastilles with 500 mg of a; no advice on how much to take", "Balm.",
        "Use: leave-on, hands, adults", "Compounded preparation.",
        f"Cautions: A medicine: for dose and use ask a pharmacist or doctor. {KEPT}", "Weir Yard Pottery, Millbrook",
    ],
    ("T-01", None, OWN): [
        "Thing T-01", "Use by 2026-04-02", "TRIAL", "Not for handing on", "Batch: T-01-2026-03-02",
        "Hazards: Gly: It makes the floor slippery.",
    ],
    ("C-04", None, OWN): [
        "Thing C-04", "Use by 2026-04-02", "Not for handing on", "Batch: C-04-2026-03-02",
        f"Cautions: {ARM} {KEPT}",
        "Ingredients (INCOMPLETE): [a]", "Weir Yard Pottery, Millbrook",
    ],
}  # fmt: skip


@pytest.mark.parametrize(("code", "obtain", "wish"), SAYS)
def test_a_label_says_what_its_sort_has_to_say(book, code, obtain, wish):
    assert lines_of(label(book, code, obtain, wish)) == SAYS[code, obtain, wish]


def test_its_figures_are_those_of_weigh(book):
    weighing = weigh_batch(book, "C-01", "4 x 50 g + 5 %", DAY)
    told = weighing_json(weighing, shelf_of(book.reckoning, book.review), ())
    lines = lines_of(jar_label(weighing, WISH, shelf_of(book.reckoning, book.review)))
    assert told["containers"]["full"] == 4
    assert lines[1] == f"Use by {told['use_by']}"
    assert told["label"]["text"] in lines
    for caution in told["cautions"]:
        assert caution["text"] in lines[4]


def test_what_a_batch_comes_to_is_rounded_down(book):
    """10 g of water make 10.526 g of it."""
    assert lines_of(label(book, "C-01", "10 g of water", WISH))[2].startswith("10.52 g ")


@settings(max_examples=40, deadline=None)
@given(st.fractions(min_value=1, max_value=1500, max_denominator=700))
def test_a_label_never_says_more_than_the_printed_weights_come_to(book, grams):
    """Nor more than was asked for; and it says less by no more than the weighings' steps and its own."""
    typed = format(float(grams), ".6f")
    weighing = weigh_batch(book, "C-01", f"{typed} g", DAY)
    told = lines_of(jar_label(weighing, WISH, shelf_of(book.reckoning, book.review)))[2].partition(" g ")[0]
    comes_to = weighing.evaluation.printed_total
    assert Fraction(told) <= min(Fraction(typed), comes_to)
    assert Fraction(told) > min(Fraction(typed), comes_to) - Fraction(1, 50) - Fraction(typed) / 1000


def test_what_is_weighed_on_a_coarse_scale_is_labelled_in_its_steps(tmp_path):
    """For 33.3 g, 17 + 8 + 8 = 33 g are weighed; of 49.9 g a scale of 1 g shows 49."""
    room = "balances:\n  - {name: kitchen, readability: 1 g, capacity: 5000 g}\nresponsible: A, B\n"
    lines = "a: 50 g; b: 25 g; water: to 100 g"
    cream = formula("C-01", "kind: cosmetic\nuse: leave-on, hands, adults", lines, "storage: refrigerator, 5 days")
    kitchen = check_book(write_book(tmp_path, {"cream": cream}, workroom=room))
    for obtain, says in (("33.3 g", "33 g"), ("49.9 g", "49 g"), ("3 x 4.5 g", "4.5 g")):
        shown = jar_label(weigh_batch(kitchen, "C-01", obtain, DAY), WISH, shelf_of(kitchen.reckoning, kitchen.review))
        assert lines_of(shown)[2].startswith(f"{says} "), obtain


def test_a_cosmetic_that_keeps_beyond_thirty_months_tells_how_long_it_keeps_once_open(book):
    wish = LabelWish(made=DAY, today=DAY, after_opening=Period(months=12, text="12 months"))
    assert lines_of(label(book, "C-03", "50 g", wish))[1] == "Use within 12 months of opening"


def test_cautions_and_ingredients_may_stand_on_a_leaflet(book):
    short, leaflet = on_leaflet(label(book, "C-01", "50 g", WISH))
    assert [part.text for part in short.pieces] == ["Hand care.", "Weir Yard Pottery, Millbrook", "see the leaflet"]
    assert short.pieces[-1].term == "Cautions and ingredients"
    assert [part.term for part in leaflet.pieces] == ["Cautions", "Ingredients"]
    assert (leaflet.name, leaflet.use_by) == ("Thing C-01", "Use by 2026-03-07")


LATE = LabelWish(made=DAY, today=date(2026, 3, 8))
OPENING = 'it keeps beyond 30 months, so say how long it keeps once it is open, as in --after-opening "12 months".'
LACKING = "its list of ingredients is not complete. INCOMPLETE: a has no label name; write `label:`. Or give"
IDLE = "no line is called active; write `active` as the function of each that works, or give --not-for-handing-on."
PAST = "it was to be used up to and including {}. Do not hand it on or use it."
REFUSED = [
    ("C-01", "50 g", LATE, PAST.format("2026-03-07")),
    ("N-01", "50 g", LabelWish(made=DAY, today=date(2026, 5, 3), handed_on=False), PAST.format("2026-05-02")),
    ("C-01", None, WISH, 'say how much one container holds, as in --into "50 mL", or give --not-for-handing-on.'),
    ("C-03", "50 g", WISH, OPENING),
    ("C-04", "50 g", WISH, f"{LACKING} --not-for-handing-on."),
    ("M-02", "50 g", WISH, IDLE),
    ("K-01", "50 g", WISH, "nobody says what it is for; write its `kind:` or `use:`."),
]


@pytest.mark.parametrize(("code", "obtain", "wish", "says"), REFUSED)
def test_no_label_without_what_it_has_to_say(book, code, obtain, wish, says):
    with pytest.raises(NoLabel) as told:
        label(book, code, obtain, wish)
    assert str(told.value) == f"No label for {code} Thing {code}: {says}"


def test_nor_without_a_use_by_nor_without_who_is_responsible(book, tmp_path):
    with pytest.raises(NoLabel, match="No label for K-02 Thing K-02: its use-by is not known: "):
        label(book, "K-02", "50 g", OWN)
    bare = check_book(write_book(tmp_path / "bare", {"cream": FORMULAS["cream"]}))
    with pytest.raises(NoLabel, match=r"write name and address under `responsible:` in formulas/workroom.yaml"):
        label(bare, "C-01", "50 g", WISH)


# ── A batch that was made ─────────────────────────────────────────────────────────────────────────────────────────────


def of_batch(book: Checked, number: str, wish: LabelWish, into: str | None = None) -> tuple[list[str], int]:
    """The words of the label of a batch, and how many are printed."""
    weighing, wish, count = batch_for_label(book, number, wish, into)
    may_have_label(book, weighing, wish)
    return lines_of(jar_label(weighing, wish, shelf_of(book.reckoning, book.review))), count


def test_a_batch_is_labelled_by_what_its_record_says(book):
    """The lot that went in ends before the period of the formula does."""
    words, count = of_batch(book, "N-01-2026-02-20", WISH)
    assert words[:3] == [
        "N-01 Thing N-01", "Use by 2026-03-31", "Made: 2026-02-20 Keep in a cool place Batch: N-01-2026-02-20",
    ]  # fmt: skip
    assert count == 3


def test_of_two_sizes_one_is_named(book):
    words, count = of_batch(book, "c-01-2026-03-01-B", WISH, "50 g")
    assert words[:3] == [
        "Thing C-01", "Use by 2026-03-06", "50 g Keep in the refrigerator Batch: C-01-2026-03-01-b",
    ]  # fmt: skip
    assert count == 2
    for size, says in (
        (None, "It was filled into 2 × 50 g and 1 × 100 g: name the size with --into."),
        ("60 g", "Nothing of it was filled into 60 g, but 2 × 50 g and 1 × 100 g."),
    ):
        with pytest.raises(Unknown) as told:
            of_batch(book, "C-01-2026-03-01-b", WISH, size)
        assert " ".join(str(told.value).split()) == says


def test_a_batch_says_what_came_out_of_it_and_not_what_was_asked_for(book):
    """188.6 g of 200 g came out and 10 g were kept back, which are 178.6 g: three jars of 50 g."""
    wish = LabelWish(made=DAY, today=DAY, after_opening=Period(months=12, text="12 months"))
    words, count = of_batch(book, "C-03-2026-02-26", wish)
    assert (words[2].split(" Batch")[0], count) == ("178.6 g", 1)
    words, count = of_batch(book, "C-03-2026-02-26", wish, "50 g")
    assert (words[2].split(" Batch")[0], count) == ("50 g", 3)
    with pytest.raises(Unknown) as told:
        of_batch(book, "C-03-2026-02-26", wish, "200 g")
    assert "178.6 g came out of it, which fills no container of 200 g" in " ".join(str(told.value).split())
    with pytest.raises(NoLabel, match="say how much one container holds"):
        of_batch(book, "C-03-2026-02-27", wish)


def test_pieces_are_labelled_by_their_number_that_came_out(book):
    """11 of 14 came out and one was kept: ten, and not the twelve that were asked for."""
    assert of_batch(book, "M-03-2026-02-26", WISH)[0][2].split(" Batch")[0] == "10 pastilles"
    for size in ("5 pastilles", "5 pieces"):
        words, count = of_batch(book, "M-03-2026-02-26", WISH, size)
        assert (words[2].split(" Batch")[0], count) == ("5 pastilles", 2)
    words, count = of_batch(book, "M-03-2026-02-28", WISH)
    assert (words[2].split(" Batch")[0], count) == ("5 pastilles", 2)
    with pytest.raises(NoLabel, match='say how many are in one container, as in --into "12 pieces"'):
        of_batch(book, "M-03-2026-02-27", WISH)
    with pytest.raises(Unknown) as told:
        of_batch(book, "M-03-2026-02-26", WISH, "12 pastilles")
    assert "10 pastilles came out of it, which fills no container of 12 pastilles" in " ".join(str(told.value).split())


def test_a_planned_batch_is_put_up_in_pieces(book):
    """14 pastilles of 2 g: two boxes of six, and 4 g beside them."""
    for size, each, full, left in (
        ("6 pastilles", "6 pastilles", 2, 4), ("1 piece", "1 pastille", 14, 0), ("10 g", "10 g", 2, 8)
    ):  # fmt: skip
        weighing = weigh_batch(book, "M-03", "12 + 2", DAY, into=size)
        assert (weighing.containers_full, full_of_plan(weighing), weighing.left_over) == (full, full, left)
        shown = lines_of(jar_label(weighing, WISH, shelf_of(book.reckoning, book.review)))
        assert shown[2].split(" Batch")[0] == each
    with pytest.raises(Refused, match="the formula makes pastilles, not capsules"):
        weigh_batch(book, "M-03", "12 + 2", DAY, into="6 capsules")
    with pytest.raises(Refused, match="the formula does not make pieces"):
        weigh_batch(book, "C-01", "100 g", DAY, into="6 pieces")


def test_no_label_says_more_than_a_planned_batch_comes_to(book):
    for code, obtain, into, says in (
        ("M-03", "12", "30 pieces", "24 g are to come out of it, which fills no container of 30 pastilles"),
        ("C-01", "30 g", "50 g", "30 g are to come out of it, which fills no container of 50 g"),
    ):
        with pytest.raises(Unknown) as told:
            full_of_plan(weigh_batch(book, code, obtain, DAY, into=into))
        assert says in " ".join(str(told.value).split())


NOT_KNOWN = "so what is in it is not known from this book; or give --not-for-handing-on."


@pytest.mark.parametrize(
    ("number", "wish", "says"),
    [
        ("N-01-2026-02-21", WISH, "it was thrown away."),
        ("N-01-2026-02-22", WISH, "the last of it was used on 2026-03-01."),
        ("N-01-2026-02-20", LabelWish(made=DAY, today=date(2026, 4, 1)), PAST.format("2026-03-31")),
        ("H-01-2026-02-24", WISH, "put formulas/batches/H-01-2026-02-24.md right first."),
        ("T-01-2026-02-25", WISH, f"it was made by issue 1 and the formula is at issue 2, {NOT_KNOWN}"),
    ],
)  # fmt: skip
def test_no_label_for_what_is_gone_or_not_known(book, number, wish, says):
    with pytest.raises(NoLabel) as told:
        of_batch(book, number, wish)
    assert str(told.value) == f"No label for {number[:4]} Thing {number[:4]}: {says}"


def test_of_an_earlier_issue_there_is_one_for_oneself(book):
    words, count = of_batch(book, "T-01-2026-02-25", OWN)
    assert (words[1:4], count) == (["Use by 2026-03-25", "TRIAL", "Not for handing on"], 1)
    assert of_batch(book, "H-01-2026-02-01", LabelWish(made=DAY, today=date(2026, 2, 2)))[1] == 1, (
        "98.5 g fill one of 50 g"
    )


# ── As typed, and read back ───────────────────────────────────────────────────────────────────────────────────────────


@pytest.fixture
def run(folder, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)

    def command(*arguments: object):
        environment = {"COLUMNS": "", **ON_THAT_DAY}
        result = CliRunner(env=environment).invoke(main, ["labels", *map(str, arguments), "--book", str(folder)])
        assert isinstance(result.exception, SystemExit | None), result.exception
        return result

    return command


@pytest.mark.parametrize(
    ("asked", "code", "says"),
    [
        (["X-01"], 1, "X-01 Thing X-01 is not weighed: barred.\n"),
        (["N-01", "--from-field", "25"], 2, "Error: --from-field 25: the sheet has 24 fields.\n"),
        (["N-01", "--size", "7 by 4 cm"], 2, "Error: --size 7 by 4 cm: write width and height in millimetres"),
        (["N-01", "--size", "9 x 40 mm"], 2, "Error: --size 9 x 40 mm: a label is 10 to 300 mm wide and high.\n"),
        (["N-01", "--size", "70 x 40 mm", "--from-field", "2"], 2, "Error: --from-field 2: the sheet has 1 field.\n"),
        (["C-03", "--after-opening", "soon"], 2, "Error: --after-opening: "),
        (["N-01-2026-02-20", "--obtain", "50 g"], 2, "is a batch that was made: leave out --obtain and --made.\n"),
        (["N-01", "--made", "2025-12-31"], 1, f"No label for N-01 Thing N-01: {PAST.format('2026-02-28')}\n"),
    ],
)  # fmt: skip
def test_what_cannot_be_printed_is_said_and_nothing_is_written(run, tmp_path, asked, code, says):
    done = run(*asked)
    assert (done.exit_code, done.stdout) == (code, "")
    assert says in done.stderr
    assert list(tmp_path.iterdir()) == []


@pytest.fixture(scope="module")
def sheets(folder, tmp_path_factory) -> bytes:
    """Twenty-two labels from the fifth field on: a sheet without its first four, and two more on the next."""
    target = tmp_path_factory.mktemp("sheets") / "n.pdf"
    asked = ["labels", "N-01", "--count", "22", "--from-field", "5", "--rulers", "--to", target, "--book", folder]
    done = CliRunner(env=ON_THAT_DAY).invoke(main, [*map(str, asked)])
    assert (done.exit_code, done.stdout, done.stderr) == (0, f"Written: {target}\n", "")
    return target.read_bytes()


def test_a_sheet_of_labels_fails_no_condition_of_pdf_ua(sheets):
    with pikepdf.open(BytesIO(sheets)) as pdf:
        assert failures(pdf) == {}


def field_of(number: int) -> tuple[float, float]:
    """Left and upper edge of a field, counted from 0, mm: by the sheet as it is described."""
    return 7.2 + number % 3 * (63.5 + 2.5), 12.9 + number // 3 * 33.9


def within(words: list[Word], number: int) -> list[str]:
    """The words that stand wholly within a field and its free edge."""
    left, top = field_of(number)
    return [
        word.text
        for word in words
        if left + 2 - 0.2 <= word.left and word.right <= left + 61.5 + 0.2
        and top + 2 - 0.8 <= word.top and word.bottom <= top + 31.9 + 0.8
    ]  # fmt: skip


def test_the_labels_stand_in_their_fields(sheets, tmp_path):
    first, second = words_of(sheets, tmp_path)
    told = within(first, 4)
    assert " ".join(told).startswith("N-01 Thing N-01")
    assert {"2026-05-02", "Batch:", "N-01-2026-03-02", "Hot.", "slippery."} <= set(told)
    assert [within(first, number) for number in range(24)] == [[]] * 4 + [told] * 20
    assert [within(second, number) for number in range(24)] == [told] * 2 + [[]] * 22
    assert len(first) == 20 * len(told)
    names = [word for word in first if word.text == "N-01"][::2]
    for number, name in enumerate(names, 4):
        left, top = field_of(number)
        assert abs(name.left - left - (names[0].left - field_of(4)[0])) < 0.2
        assert abs(name.top - top - (names[0].top - field_of(4)[1])) < 0.2


def test_the_rulers_lie_where_the_sheet_has_its_labels(sheets, tmp_path):
    """Each outline to 0.2 mm: dark along the field's edges, at the middle of the other side."""
    side = sides_of(sheets, tmp_path)[0]
    assert np.abs(np.array(side.shape) - (297 * PER_MM, 210 * PER_MM)).max() <= 1
    for number in (0, 1, 2, 3, 23):
        left, top = field_of(number)
        row = np.flatnonzero(side[round((top + 31) * PER_MM)] < 200) / PER_MM
        column = np.flatnonzero(side[:, round((left + 62.6) * PER_MM)] < 200) / PER_MM
        for edge, found in ((left, row), (left + 63.5, row), (top, column), (top + 33.9, column)):
            assert np.abs(found - edge).min() <= 0.2, (number, edge)
    marks = np.flatnonzero(side[round(1 * PER_MM)] < 200) / PER_MM
    assert {round(mark / 5) for mark in marks if mark > 2} == set(range(1, 42))


def x_heights(pdf: bytes) -> set[float]:
    """Millimetres of the letter x in each size of type on the first page, by the fonts that are embedded in it."""
    with pikepdf.open(BytesIO(pdf)) as read:
        page = read.pages[0]
        parts = []
        for font in page.Resources.Font.values():
            data = font.DescendantFonts[0].FontDescriptor.FontFile2.read_bytes()
            found = TTFont(BytesIO(data))
            tops = [found["glyf"][name].yMax for name in found.getGlyphOrder() if is_flat(found, font, name)]
            parts += [top / found["head"].unitsPerEm for top in tops]
        assert parts
        return {run.points * 25.4 / 72 * min(parts) for run in type_of(page)}


FLAT = "vwxz"
"""Letters as high as the x, without a curve that stands over."""


def is_flat(found: TTFont, font: pikepdf.Object, name: str) -> bool:
    code = f"<{found.getGlyphID(name):04x}>"
    lines = font.ToUnicode.read_bytes().decode("latin-1").lower().split("\n")
    return any(line.startswith(f"{code} <{letter:04x}>") for line in lines for letter in map(ord, FLAT))


@pytest.mark.parametrize(("size", "least"), [("60 x 36 mm", 0.9), ("100 x 80 mm", 1.2)])
def test_no_letter_is_below_what_is_legible(run, tmp_path, size, least):
    """Each has more to say than fits in larger type."""
    code = "C-01" if least == 0.9 else "C-02"
    done = run(code, "--obtain", "2 x 50 g", "--size", size, "--to", "a.pdf")
    assert (done.exit_code, done.stderr) == (0, "")
    heights = x_heights((tmp_path / "a.pdf").read_bytes())
    assert min(heights) >= least
    assert min(heights) < 1.9
    with pikepdf.open(tmp_path / "a.pdf") as read:
        assert len(read.pages) == 2
        assert [float(side) for side in read.pages[0].MediaBox][2:] == pytest.approx(
            [float(Fraction(mm)) * 72 / 25.4 for mm in size.removesuffix(" mm").split(" x ")], abs=0.1
        )


def test_what_does_not_fit_is_refused_with_the_height_that_it_takes(run, tmp_path):
    done = run("C-02", "--obtain", "50 g", "--to", "a.pdf")
    assert (done.exit_code, done.stdout) == (1, "")
    assert done.stderr.startswith(
        "No label for C-02 Thing C-02: at 5.25 pt, the smallest legible type, its text takes "
    )
    assert done.stderr.endswith(
        " mm of height at 63.5 mm of width, and the label is 33.9 mm high. Take a larger label, or put cautions and "
        "ingredients on a leaflet with --leaflet.\n"
    )
    needs = int(done.stderr.partition("takes ")[2].split()[0])
    assert list(tmp_path.iterdir()) == []
    assert 34 < needs < 60
    assert run("C-02", "--obtain", "50 g", "--size", f"63.5 x {needs} mm", "--to", "a.pdf").exit_code == 0
    done = run("C-02", "--obtain", "50 g", "--leaflet", "--to", "b.pdf")
    assert done.exit_code == 0
    with pikepdf.open(tmp_path / "b.pdf") as read:
        assert failures(read) == {}
    first, second = words_of((tmp_path / "b.pdf").read_bytes(), tmp_path)
    assert " ".join(word.text for word in first).endswith("Cautions and ingredients: see the leaflet")
    assert " ".join(word.text for word in second).endswith("Ingredients: Aqua, Glycerin")
