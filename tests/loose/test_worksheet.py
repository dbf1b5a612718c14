"""Worksheets: the figures of `weigh`, blanks for what happens, and what a trainee's sheet does not say."""

from __future__ import annotations

import subprocess
from datetime import date
from fractions import Fraction

import pikepdf
import pytest

from bookgen.bench import weigh_batch
from bookgen.look import load_theme
from bookgen.loose.worksheet import worksheet_leaves
from bookgen.machine.batch import weighing_json
from bookgen.model import Paper
from bookgen.pipeline import Checked, print_worksheet
from bookgen.reckon.tried import tried
from bookgen.shown.phrases import Amount, Figure, pieces_of
from bookgen.shown.plain import in_one_line
from bookgen.shown.shelf import shelf_of
from bookgen.shown.worksheet import WorksheetShown, for_trainee, worksheet_shown
from tests.pages.readback import bare
from tests.press.matterhorn import failures
from tests.shared import checked

DAY = date(2026, 11, 29)
NEXT = "Next time: Half of it. (N-01-2026-02-21)"
BATCHES = [("H-02", "5 x 50 g + 5 %"), ("N-04", "12 g"), ("B-03", None), ("P-02", "twice"), ("B-02", None)]


def batch(code: str, obtain: str | None):
    book = checked("demo")
    return weigh_batch(book, code, obtain, DAY), shelf_of(book.reckoning, book.review)


def sheet(code: str, obtain: str | None) -> WorksheetShown:
    return worksheet_shown(*batch(code, obtain), lambda path: "", DAY)


def exact(figures: list[Figure]) -> list[Fraction]:
    return [Fraction(figure.value) for figure in figures]


def figures_in(shown: object) -> list[Figure]:
    """Every figure of a record, in its order."""
    if isinstance(shown, Figure):
        return [shown]
    if isinstance(shown, tuple):
        return [figure for part in shown for figure in figures_in(part)]
    if hasattr(shown, "__dataclass_fields__") and not type(shown).__module__.endswith("phrases"):
        return [figure for name in shown.__dataclass_fields__ for figure in figures_in(getattr(shown, name))]
    return [piece for piece in pieces_of(shown) if isinstance(piece, Figure)] if shown is not None else []


@pytest.mark.parametrize(("code", "obtain"), BATCHES)
def test_what_is_weighed_is_what_weigh_says(code, obtain):
    """Each line is there once or in portions that make it up; the vessel holds what has been weighed into it."""
    weighing, shelf = batch(code, obtain)
    told = weighing_json(weighing, shelf, ())
    shown = worksheet_shown(weighing, shelf, lambda path: "", DAY)
    taken: dict[str, Fraction] = {}
    for vessel in shown.vessels:
        held = Fraction(0)
        for row in vessel.rows:
            figure = next(piece for piece in pieces_of(row.take) if isinstance(piece, Figure))
            line = next(line for line in told["lines"] if row.link.words == shelf.name(line["material"])
                        and (line["phase"] or "") == vessel.letter)  # fmt: skip
            if line["measure"] == "drops":
                assert (figure.text, figure.unit) == (str(line["drops"]), "drops")
                grams = Fraction(line["metered_g"])
            else:
                assert figure.unit == "g"
                grams = Fraction(figure.value)
            taken[f"{line['phase']} {line['material']}"] = (
                taken.get(f"{line['phase']} {line['material']}", Fraction(0)) + grams
            )
            held += grams
            assert row.so_far is not None
            assert Fraction(row.so_far.value) == held
            assert not row.portion or figure.value != line["metered_g"]
    assert taken == {
        f"{line['phase']} {line['material']}": Fraction(line["metered_g"] or line["grams"]) for line in told["lines"]
    }
    assert shown.total is not None
    assert Fraction(shown.total.value) == Fraction(told["printed_total_g"])
    assert [fact.text for fact in shown.keeping if fact.term == "Use by"] == [f"up to and including {told['use_by']}"]
    made = [exact([figure for fact in first.amounts for figure in fact.figures]) for first in shown.first]
    assert made == [[Fraction(one["obtain_g"]), Fraction(one["start_g"])] for one in reversed(told["make_first"])]


def test_the_demo_has_what_these_batches_are_to_show():
    rows = [row for code, obtain in BATCHES for vessel in sheet(code, obtain).vessels for row in vessel.rows]
    assert any(row.portion == "1/2 of it" for row in rows)
    assert any(row.portion == "the rest" for row in rows)
    assert any(row.plan for row in rows)
    assert any("drops" in [getattr(piece, "unit", "") for piece in pieces_of(row.take)] for row in rows)


def spaced(words: str) -> str:
    return words.replace("\u202f", " ").replace("\u00a0", " ")


def test_the_lots_of_weigh_stand_on_it_and_never_in_a_blank():
    """A lot that is proposed stands above the table; what it holds otherwise below its line, on no trainee's sheet."""
    shown = sheet("H-02", "5 x 50 g + 5 %")
    told = {lots.name: spaced(lots.words) for lots in shown.lots}
    assert told["glycerol 85 %"] == "GL-2211 until 2027-02-01"
    assert told["lactic acid 80 %"] == "LC-885 until 2028-04-30"
    assert [spaced(words) for words in shown.instead] == [
        "or take 33.51 g from N-01-2026-09-05 (129 g left, until 2027-03-04)",
        "or take 0.84 g from N-04-2026-07-11 (2.34 g left, until 2026-12-31)",
    ]
    rows = [row for vessel in shown.vessels for row in vessel.rows]
    assert [spaced(words) for row in rows for words in row.instead] == [
        "LC-885: lactic acid 88.5 %, planned 80 %: weigh 0.95 g instead of 1.05 g"
    ]
    empty = for_trainee(shown)
    assert (empty.lots, set(empty.instead)) == ((), {""})
    assert not any(row.instead for vessel in empty.vessels for row in vessel.rows)


def test_a_trainee_is_told_what_was_asked_and_nothing_that_is_reckoned_from_it():
    whole = sheet("H-02", "5 x 50 g + 5 %")
    empty = for_trainee(whole)
    given = {"obtain.g", "batch-yield", "ph.low", "ph.high", "tried.least"}  # asked, expected, or made before
    assert {figure.name for figure in figures_in(empty)} == given
    assert len(figures_in(whole)) > 40
    amounts = [[piece for part in one.method for piece in pieces_of(part.text) if isinstance(piece, Amount)]
               for one in (whole, empty)]  # fmt: skip
    assert len(amounts[0]) == len(amounts[1]) > 10
    assert {"".join(map(str, amount.parts)).strip() for amount in amounts[1]} == {""}
    assert empty.hazards == whole.hazards
    assert [row.written for vessel in empty.vessels for row in vessel.rows][:3] == [
        "to 300\u202fg",
        "5\u202f%",
        "4\u202f%",
    ]
    told = [[piece for part in one.method for piece in pieces_of(part.text) if isinstance(piece, str)]
            for one in (whole, empty)]  # fmt: skip
    assert [word for word in told[1] if "Hazards above" in word] == [
        word for word in told[0] if "Hazards above" in word
    ]


def tried_of(book: Checked, code: str, obtain: str | None) -> list[str]:
    weighing = weigh_batch(book, code, obtain, DAY)
    shelf = shelf_of(book.reckoning, book.review)
    return [
        " ".join(in_one_line(words).split()) for words in worksheet_shown(weighing, shelf, lambda path: "", DAY).tried
    ]


TWICE = "Made twice so far, 280 g to 300 g"
BEYOND = ", and heating and cooling do not scale with it."


@pytest.mark.parametrize(
    ("code", "obtain", "says"),
    [
        ("N-01", "290 g", [f"{TWICE}.", NEXT]),
        ("N-01", "300.01 g", [f"{TWICE}; today’s batch is larger than any of these{BEYOND}", NEXT]),
        ("N-01", "20 g", [f"{TWICE}; today’s batch is smaller than any of these{BEYOND}", NEXT]),
        ("C-01", "300 g", [f"Made once so far, 200 g; today’s batch is larger than that{BEYOND}"]),
        ("C-02", "300 g", []),
    ],
)
def test_what_was_made_so_far_and_what_to_do_next_time(book, code, obtain, says):
    """What was thrown away was not made, and still says what to do next time; what came out goes before the plan."""
    assert tried_of(book, code, obtain) == says


def test_the_same_plan_again_is_no_larger_batch():
    """Of 384 g that were to come out 379 g did."""
    demo = checked("demo")
    assert tried_of(demo, "R-02", None) == ["Made once so far, 379 g."]
    assert tried_of(demo, "R-02", "385 g") == [f"Made once so far, 379 g; today’s batch is larger than that{BEYOND}"]


def test_what_came_out_is_how_large_a_batch_was(book):
    assert tried(book.reckoning, "h-01").least == Fraction("98.5")


def test_the_answers_stand_on_a_leaf_of_their_own_and_nowhere_else():
    book = checked("demo")
    room = book.book.workroom
    first, answers = worksheet_leaves(load_theme(), room, Paper.A5, sheet("H-02", "5 x 50 g + 5 %"), trainee=True)
    for reckoned in ("161.29", "279.26", "33.51", "≈", "fine\u00a0balance"):
        assert reckoned in answers.html
        assert reckoned not in first.html
    assert "Answers to the worksheet" in answers.html


@pytest.fixture(scope="module")
def printed(tmp_path_factory):
    """The worksheet of H-02 on A4: words in the order of reading."""
    target = tmp_path_factory.mktemp("worksheet") / "a.pdf"
    weighing, _ = batch("H-02", "5 x 50 g + 5 %")
    done = print_worksheet(checked("demo"), weighing, target, paper=Paper.A4, today=DAY)
    assert (done.written, done.problems) == (str(target), ())
    return target


def test_read_back_it_is_one_sheet_of_the_paper_asked_for_in_the_order_of_work(printed):
    info = subprocess.run(["pdfinfo", str(printed)], capture_output=True, check=True, encoding="utf-8").stdout
    assert "Pages:           2" in info
    assert "(A4)" in info
    with pikepdf.open(printed) as read:
        assert failures(read) == {}
    command = ["pdftotext", "-layout", str(printed), "-"]
    text, at = bare(subprocess.run(command, capture_output=True, check=True, encoding="utf-8").stdout), 0
    for words in map(bare, IN_ORDER):
        assert words in text[at:], (words, text[at : at + 400])
        at = text.index(words, at)


def test_the_book_takes_one_line_of_the_head_where_the_title_beside_it_is_short(tmp_path):
    weighing, _ = batch("R-03", None)
    assert not print_worksheet(checked("demo"), weighing, tmp_path / "a.pdf", paper=Paper.A5, today=DAY).problems
    command = ["pdftotext", "-layout", "-l", "1", str(tmp_path / "a.pdf"), "-"]
    head = subprocess.run(command, capture_output=True, check=True, encoding="utf-8").stdout.split("\n")[0]
    assert " ".join(head.split()) == "The wash-house book of Weir Yard Pottery Glaze wipe"


def test_a_worksheet_fails_no_condition_of_pdf_ua(printed):
    with pikepdf.open(printed) as pdf:
        assert failures(pdf) == {}


def test_where_a_vessel_holds_more_than_the_balance_it_says_to_weigh_apart():
    """863 g of water stand in the beaker when the sorbitol is weighed on a balance that holds 200 g."""
    shown = sheet("W-03", None)
    apart = {(row.link.words, row.portion): spaced(row.apart) for vessel in shown.vessels for row in vessel.rows}
    assert {name: words for name, words in apart.items() if words} == {
        ("sorbitol solution 70 %", ""): "More than the fine balance holds (200 g): weigh it apart and tip it in."
    }
    assert {row.so_far.text for vessel in shown.vessels for row in vessel.rows if row.apart and row.so_far} == {
        "899.00"
    }
    assert not any(row.apart for vessel in for_trainee(shown).vessels for row in vessel.rows)


def test_the_balance_that_most_is_weighed_on_is_told_once():
    """A line says what is otherwise: another balance, a count of drops that stands beside its weight."""
    shown = sheet("B-03", None)
    assert spaced(shown.on) == "On the fine balance where a line does not say otherwise."
    rows = {row.link.words: row for vessel in shown.vessels for row in vessel.rows}
    assert {name: row.common for name, row in rows.items()} == dict.fromkeys(rows, True) | {
        "mixed tocopherols 70 %": False
    }
    assert spaced(in_one_line(rows["mixed tocopherols 70 %"].measured)) == "12 drops, fine balance"
    assert for_trainee(shown).on == ""


def test_what_is_there_of_an_intermediate_is_told_where_it_would_be_made():
    shown = sheet("B-03", None)
    assert [lots.name for lots in shown.lots] == [
        "white soft paraffin",
        "medium-chain triglycerides",
        "mixed tocopherols 70 %",
    ]
    assert all("or take" in words for words in shown.instead)


def test_a_step_says_a_count_that_stands_beside_a_weight():
    """Who reads to count drops in is told how many; the balance, which is surer, goes first."""
    amounts = [spaced("".join(getattr(part, "words", "") or str(getattr(part, "text", part)) for part in piece.parts))
               for part in sheet("B-03", None).method for piece in pieces_of(part.text)
               if isinstance(piece, Amount)]  # fmt: skip
    assert amounts[-1] == "0.36 (12)"


def test_on_narrow_paper_it_is_set_closer_where_that_saves_a_sheet(tmp_path):
    target = tmp_path / "a5.pdf"
    done = print_worksheet(checked("demo"), batch("B-03", None)[0], target, paper=Paper.A5, today=DAY)
    assert (done.written, done.problems) == (str(target), ())
    with pikepdf.open(target) as read:
        assert len(read.pages) == 2
        assert failures(read) == {}


IN_ORDER = [
    "To be made",
    "2026-11-29",
    "HAZARDS",
    "Make first",
    "N-01 Marigold oil, obtain 33.51 g, weigh in all 38.97 g; or take 33.51 g from N-01-2026-09-05 (129 g left",
    "Lots to take: purified water PW-26-15; glycerol 85 % GL-2211 until 2027-02-01;",
    "All on the fine balance.",
    "Vessel before",
    "purified water 161.29 g 161.29",
    "glycerol 85 % 1/2 of it 6.98 g 168.27",
    "In all 279.26 g",
    "Method",
    "Weigh the empty beaker",
    "the gum 0.84 g into",
    "What came out",
    "5.0 to 5.5",
    "Came out 262.5 g",
    "came out ÷ weighed in 94 %",
    "Filled, kept as a sample 5 × 50 g",
    "up to and including 2027-01-03",
    "What went differently",
]
"""What stands on it, from the top to the end."""
