"""`binder --changes` prints exactly the leaves that differ, and its instructions bring the binder to where the book is.

The judge is an oracle that knows no digest: it rasterises the whole binder before and after an edit and compares pixels
leaf by leaf, the foot masked.
"""

from __future__ import annotations

import re
import shutil
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bookgen.binder.comparing import State, compare, other_paper
from bookgen.binder.filing import MOST_MOVES, Step, steps_of
from bookgen.leaf import Leaf
from bookgen.model import Filed, FiledLeaf
from bookgen.pipeline import Progress
from bookgen.press.piece import PrintedLeaf
from bookgen.press.render import Press

from .small_binder import FILES, Sides, codes_of, differ, leaves_of, listed, run, words_of, write

THEMES = Path(__file__).parents[2] / "themes" / "workroom"
DAY = "2026-11-25"
FRONT = ["title", "effective-sheets", "contents", "by-material", "by-purpose"]
ALL = [
    *FRONT, "divider-waters", "W-01", "divider-creams", "C-01", "C-02", "divider-materials", "materials-a",
]  # fmt: skip
"""The leaves of the book as it is written, in the order of the binder."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Before:
    """The book whose binder was printed and filed."""

    folder: Path
    leaves: dict[str, Sides]


@pytest.fixture(scope="module")
def before(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Before]:
    folder = tmp_path_factory.mktemp("before")
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("XDG_CACHE_HOME", str(folder / "cache"))
        book = write(folder / "book")
        assert run("binder", "--book", book).exit_code == 0
        assert run("filed", "--book", book, "--today", DAY).exit_code == 0
        pdf = (book / "site" / "binder.pdf").read_bytes()
        yield Before(folder=book, leaves=leaves_of(pdf, folder / "sides"))


Edit = Callable[[Path], None]


def put(name: str, old: str, new: str) -> Edit:
    """Return an edit that replaces a text in a file below formulas/."""

    def edit(book: Path) -> None:
        path = book / "formulas" / name
        text = path.read_text(encoding="utf-8")
        assert old in text
        path.write_text(text.replace(old, new), encoding="utf-8")

    return edit


def gone(name: str) -> Edit:
    return lambda book: (book / "formulas" / name).unlink()


def added(name: str, text: str) -> Edit:
    def edit(book: Path) -> None:
        (book / "formulas" / name).write_text(text, encoding="utf-8")

    return edit


def both(*edits: Edit) -> Edit:
    def edit(book: Path) -> None:
        for one in edits:
            one(book)

    return edit


def renamed(book: Path) -> None:
    (book / "formulas" / "creams").rename(book / "formulas" / "salves")
    put("workroom.yaml", "creams", "salves")(book)


def themed(name: str, old: str, new: str) -> Edit:
    """Return an edit that gives the book a file of its own in place of one of the theme's."""

    def edit(book: Path) -> None:
        own = book / "themes" / "workroom" / "sheets" / name
        own.parent.mkdir(parents=True)
        text = (THEMES / "sheets" / name).read_text(encoding="utf-8")
        assert old in text
        own.write_text(text.replace(old, new) if old else text + new, encoding="utf-8")

    return edit


GEL = "creams/gel.md"
LIST = {"effective-sheets"}
MATERIALS = "materials-a"
DIVIDER = "divider-creams"
"""Its back lists the formulas behind it."""
INDEXED = {"contents", "by-material", "by-purpose"}
NEW = FILES[GEL].replace("C-02", "C-03").replace("Hand gel", "Foot gel")


@dataclass(frozen=True, slots=True, kw_only=True)
class Case:
    """One edit and what a person expects of it."""

    edit: Edit
    prints: set[str] | None
    """Leaves that differ; None where the oracle alone says."""
    says: tuple[str, ...] = ()
    """What the filing instructions say, among other things."""
    looks: set[str] | None = None
    """Leaves that differ in their look alone: printed only when they are asked for; None where there are none."""


def nothing(book: Path) -> None:
    """Leave the book as it is."""


CASES = {
    "nothing": Case(edit=nothing, prints=set()),
    "amount": Case(
        edit=both(put(GEL, "gly: 5.5 %", "gly: 6.5 %"), put(GEL, "issue: 3", "issue: 4")),
        prints={"C-02"} | LIST,
        says=("Hand gel Take out C-02 issue 3, sheet 1 (check ", "Put in C-02 issue 4, sheet 1 (check "),
    ),
    "amount without an issue": Case(
        edit=put(GEL, "gly: 5.5 %", "gly: 6.5 %"),
        prints={"C-02", DIVIDER} | INDEXED | LIST,
        says=("Put in C-02 issue 3, barred, sheet 1 (check ", "C-02 has an error: its sheets say why"),
    ),
    "word": Case(edit=put(GEL, "slowly", "gently"), prints={"C-02"} | LIST),
    "italic": Case(edit=put(GEL, "**the water**", "*the water*"), prints={"C-02"} | LIST),
    "density": Case(
        edit=both(put("materials/oil.md", "0.92", "0.95"), put("creams/cold.md", "issue: 1", "issue: 2")),
        prints={"C-01", MATERIALS} | LIST,
    ),
    "hazard": Case(
        edit=put("materials/gly.md", "kind: liquid", "kind: liquid\nhazards: Slippery where it is spilt."),
        prints={"C-01", "C-02", "W-01", MATERIALS} | LIST,
    ),
    "name": Case(
        edit=put("materials/oil.md", "almond oil", "sweet almond oil"),
        prints={"C-01", "C-02", MATERIALS, "divider-materials", "by-material"} | LIST,
    ),
    "unused": Case(edit=put("materials/spare.md", "2.6", "2.7"), prints={MATERIALS} | LIST),
    "unprinted": Case(edit=put("workroom.yaml", "2000 g", "2500 g"), prints=set()),
    "remark": Case(edit=put(GEL, "makes: 100 g", "makes: 100 g  # one jar"), prints=set()),
    "new": Case(
        edit=added("creams/foot.md", NEW),
        prints={"C-03", DIVIDER} | INDEXED | LIST,
        says=("Foot gel New: put in C-03 issue 3, sheet 1 (check ", "), after C-02.", "1 new"),
    ),
    "deleted": Case(
        edit=gone(GEL),
        prints={DIVIDER} | INDEXED | LIST,
        says=("Hand gel Withdraw: take out C-02 issue 3, sheet 1 (check ",),
    ),
    "withdrawn": Case(
        edit=put(GEL, "status: approved", "status: withdrawn"),
        prints={DIVIDER} | INDEXED | LIST,
        says=("Hand gel Withdraw: take out C-02 issue 3, sheet 1 (check ", "1 withdrawn"),
    ),
    "withdrawn ingredient": Case(
        edit=put("waters/rose.md", "status: approved", "status: withdrawn"),
        prints=None,
        says=("Rose water Withdraw: take out W-01 issue 2, sheet 1 (check ", "Take out C-01 issue 1"),
    ),
    "draft": Case(edit=put(GEL, "status: approved", "status: draft"), prints=None),
    "barred": Case(edit=put(GEL, "gly: 5.5 %", "gly: 105.5 %"), prints=None),
    "chapter": Case(
        edit=renamed,
        prints=None,
        says=("New: put in divider-salves, sheet 1", "Withdraw: take out divider-creams, sheet 1"),
    ),
    "order": Case(
        edit=put("workroom.yaml", "[waters, creams]", "[creams, waters]"),
        prints=None,
        says=("Rose water Move W-01, as it is, after divider-waters.",),
    ),
    "title": Case(edit=put("workroom.yaml", "The quick book", "The slow book"), prints=set(FRONT)),
    "keeper": Case(edit=put("workroom.yaml", "nobody", "somebody"), prints={"title"} | LIST),
    "decimal": Case(edit=put("workroom.yaml", "decimal: point", "decimal: comma"), prints=None),
    "style": Case(edit=themed("own.css", "", "\nh1 { letter-spacing: 2pt; }\n"), prints=set(), looks=set(ALL)),
    "template": Case(
        edit=themed("materials.html", "<header", "<p>Kept by the window.</p>\n<header"),
        prints=set(),
        looks={MATERIALS},
    ),
}  # fmt: skip


def printed_codes(book: Path, *arguments: str) -> tuple[list[str], bytes, str]:
    """Print the changes; return the codes of what they put in, the PDF and what was said."""
    path = book / "site" / "changes.pdf"
    result = run("binder", "--changes", *arguments, "--book", book)
    assert result.exit_code in (0, 1), result.output
    if not path.exists():
        assert "Nothing to print: the binder holds the book as it is (filed 2026-11-25)." in result.stdout
        return [], b"", result.stdout
    pdf = path.read_bytes()
    codes = list(dict.fromkeys(codes_of(pdf)))
    assert codes[0] == "filing"
    assert "leads to sheet" not in result.output  # what a link leads to may be in the binder already
    return codes[1:], pdf, result.stdout


@pytest.mark.parametrize("name", CASES)
def test_exactly_the_leaves_that_differ_are_printed(name: str, before: Before, tmp_path: Path) -> None:
    case, book = CASES[name], tmp_path / "book"
    shutil.copytree(before.folder, book)
    case.edit(book)
    asked = ("--appearance",) if case.looks is not None else ()
    run("binder", "--book", book, "--out", tmp_path / "whole")
    whole = (tmp_path / "whole" / "binder.pdf").read_bytes()
    after = leaves_of(whole, tmp_path / "sides")

    plain, pdf, said = printed_codes(book)
    if case.looks is None:
        oracle = {code for code in after if code not in before.leaves or differ(before.leaves[code], after[code])}
        assert set(plain) == oracle
        assert "earlier look" not in said
    else:
        word = "leaf is" if len(case.looks) == 1 else "leaves are"
        assert f"{len(case.looks)} {word} printed in an earlier look (" in said
        assert "bookgen binder --changes --appearance prints" in said
    if case.prints is not None:
        assert set(plain) == case.prints

    codes, pdf, said = printed_codes(book, *asked) if asked else (plain, pdf, said)
    if case.looks is not None:
        assert "earlier look" not in said
        looks_otherwise = {code for code in after if differ(before.leaves[code], after[code])}
        assert looks_otherwise <= set(codes) == case.looks | (case.prints or set())
        assert len(looks_otherwise) > len(codes) // 2
    if not codes:
        return
    assert codes == [code for code in after if code in codes], "in the order of the binder"
    instructions = words_of(pdf, "filing")
    for words in case.says:
        assert words in instructions
    assert "When all is filed, run bookgen filed." in instructions

    # What is put in looks as in the binder printed whole, foot and all, where nothing is left in an earlier look.
    pieces = leaves_of(pdf, tmp_path / "pieces")
    for code in codes:
        assert not differ(pieces[code], after[code], foot=True), code

    assert run("filed", book / "site" / "changes.pdf", "--book", book, "--today", "2026-12-01").exit_code == 0
    assert listed(pdf)["leaves"] == listed(whole)["leaves"]
    again = run("binder", "--changes", "--book", book)
    assert "Nothing to print: the binder holds the book as it is (filed 2026-12-01)." in again.stdout
    assert "earlier look" not in again.stdout
    assert not (book / "site" / "changes.pdf").exists()


MADE = (
    "---\nbatch: W-01-2026-{0}\nof: W-01, issue 2\nmade: 2026-{0}\nobtain: 100 g\n"
    "planned: {{gly: 2.50 g, water: 97.50 g}}\n"
    "weighed: {{gly: 2.51 g, water: 97.49 g}}\ncame out: 99 g\n---\n\n## Notes\n\nThe bottle was warm.\n"
)


def test_batches_are_leaves_where_they_are_asked_for_and_then_kept_up(before: Before, tmp_path: Path) -> None:
    book = tmp_path / "book"
    shutil.copytree(before.folder, book)
    (book / "formulas" / "batches").mkdir()
    added("batches/W-01-2026-11-20.md", MADE.format("11-20"))(book)
    assert printed_codes(book)[0] == [], "they are no leaves unless they are asked for"
    codes, pdf, _ = printed_codes(book, "--batches", "w-01")
    assert codes == ["effective-sheets", "W-01-2026-11-20"]
    words = words_of(pdf, "W-01-2026-11-20").replace("\u202f", " ")
    for said in ("W-01 Rose water", "Issue 2", "glycerol 2.5 2.51 0.40 % over", "The bottle was warm."):
        assert said in words, words
    assert run("filed", "--book", book, "--today", DAY).exit_code == 0
    assert printed_codes(book)[0] == []
    added("batches/W-01-2026-11-24.md", MADE.format("11-24"))(book)
    assert printed_codes(book)[0] == ["effective-sheets", "W-01-2026-11-24"], "once one is filed, the others follow"
    told = run("binder", "--batches", "W-09", "--book", book)
    assert (told.exit_code, "W-09" in told.stderr) == (2, True)


def test_another_language_is_another_look(before: Before, tmp_path: Path) -> None:
    """Words are divided otherwise: of all leaves, and none is printed for that alone."""
    book = tmp_path / "book"
    shutil.copytree(before.folder, book)
    put("workroom.yaml", "paper: A5", "paper: A5\nlanguage: fr")(book)
    codes, _, said = printed_codes(book)
    assert codes == []
    assert f"{len(ALL)} leaves are printed in an earlier look (" in said


ANEW = {
    "paper": (put("workroom.yaml", "A5", "A4"), "A5, both sides, 2 holes, type 9 pt; now it is A4, "),
    "duplex": (put("workroom.yaml", "paper: A5", "paper: A5\nduplex: no"), "9 pt; now it is A5, one side, 2 holes, "),
    "size of type": (themed("own.css", "", "\nhtml { font-size: 10.5pt; }\n"), "2 holes, type 10.5 pt."),
}


@pytest.mark.parametrize("asked", [(), ("--appearance",)], ids=["plainly", "with the look"])
@pytest.mark.parametrize("name", ANEW)
def test_sheets_of_another_paper_are_never_mixed_in(
    name: str, asked: tuple[str, ...], before: Before, tmp_path: Path
) -> None:
    """Nothing is printed but the whole binder, which then is on record as it is; what was printed before stays."""
    edit, told = ANEW[name]
    book = tmp_path / "book"
    shutil.copytree(before.folder, book)
    edit(book)
    site = sorted(one.name for one in (book / "site").iterdir())
    result = run("binder", "--changes", *asked, "--book", book)
    assert result.exit_code == 0
    assert result.stdout.startswith("The whole binder is to be printed anew: on record it is A5, both sides, 2 holes")
    assert told in result.stdout
    assert sorted(one.name for one in (book / "site").iterdir()) == site
    if name != "paper":  # of the three the one that a printer would refuse
        return
    assert run("binder", "--book", book).exit_code == 0
    assert run("filed", "--whole", "--book", book, "--today", "2026-12-01").exit_code == 0
    again = run("binder", "--changes", "--book", book)
    assert again.stdout == "Nothing to print: the binder holds the book as it is (filed 2026-12-01).\n"


@pytest.mark.parametrize(
    ("then", "now", "other"),
    [
        ("A4, both sides, 2 holes; en; theme workroom", "A4, both sides, 4 holes, type 9.5 pt; en", True),
        ("A4, both sides, 2 holes, type 9.5 pt, punch marks; en", "A4, both sides, 2 holes, type 9.5 pt; de", False),
        ("A4, both sides, 2 holes, punch marks; en", "A4, both sides, 2 holes, type 9.5 pt; en", False),
        ("A4, both sides, 2 holes, type 9 pt; en", "A4, both sides, 2 holes, type 9.5 pt; en", True),
    ],
)
def test_holes_and_type_are_told_from_marks_and_language(then: str, now: str, other: bool) -> None:
    filed = Filed(looks={"3" * 16: then}, leaves=(leaf("a"),))
    assert bool(other_paper(filed, now)) is other


def test_a_record_without_the_size_of_type_is_understood(before: Before, tmp_path: Path) -> None:
    """As all records were until it was written there."""
    book = tmp_path / "book"
    shutil.copytree(before.folder, book)
    path = book / "formulas" / "filed.yaml"
    text = path.read_text(encoding="utf-8")
    assert ", type 9 pt;" in text
    path.write_text(text.replace(", type 9 pt;", ";"), encoding="utf-8")
    assert "Nothing to print" in run("binder", "--changes", "--book", book).stdout
    put("workroom.yaml", "A5", "A4")(book)
    told = run("binder", "--changes", "--book", book).stdout
    assert "on record it is A5, both sides, 2 holes; now it is A4, both sides, 2 holes. The two" in told


def test_a_record_with_a_sheet_for_each_material_is_understood(before: Before, tmp_path: Path) -> None:
    """Those sheets go out together and the sheets of several go in."""
    book = tmp_path / "book"
    shutil.copytree(before.folder, book)
    path = book / "formulas" / "filed.yaml"
    row = next(line for line in path.read_text(encoding="utf-8").splitlines() if "materials-a" in line)
    names = ["gly", "oil", "water", "spare", "wax", "borax", "talc"]
    rows = [
        row.replace("materials-a", name).replace("Materials A to Z", name).replace("content: ", f"content: {at + 3}44")
        for at, name in zip((0, 1, 3, 4, 6, 0, 1), names, strict=True)
    ]
    rows = [re.sub(r"content: (\d44)\w{3}", r"content: \1", line) for line in rows]
    path.write_text(path.read_text(encoding="utf-8").replace(row, "\n".join(rows)), encoding="utf-8")
    codes, pdf, said = printed_codes(book)
    assert codes == ["materials-a"], "the list says so already"
    sentence = "Materials stand several to a sheet now: take out all sheets of materials behind their divider"
    assert sentence in said
    instructions = words_of(pdf, "filing")
    assert sentence in instructions
    assert "Withdraw: take out all that stands from gly (check 344-" in instructions
    assert "to talc (check 444-" in instructions
    assert "7 leaves, 7 sheets." in instructions
    assert "New: put in materials-a, sheet 1 (check " in instructions
    assert run("filed", "--book", book, "--today", "2026-12-01").exit_code == 0
    assert "Nothing to print" in run("binder", "--changes", "--book", book).stdout


def test_only_what_is_due_is_rendered(before: Before, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    book, rendered, true = tmp_path / "book", list[str](), Press.print
    shutil.copytree(before.folder, book)
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "empty"))
    put(GEL, "slowly", "gently")(book)

    def told(press: Press, leaves: Sequence[Leaf], progress: Progress | None = None) -> tuple[PrintedLeaf, ...]:
        rendered.extend(one.code for one in leaves)
        return true(press, leaves, progress)

    monkeypatch.setattr(Press, "print", told)
    assert run("binder", "--changes", "--book", book).exit_code == 0
    assert rendered == ["C-02", "effective-sheets", "filing"]


# ── The instructions, carried out ─────────────────────────────────────────────────────────────────────────────────


def leaf(code: str, content: int = 0, look: int = 0) -> FiledLeaf:
    letters = "34679CDFHJ"
    return FiledLeaf(
        code=code, title=code, sheets=1 + content % 2, content=letters[content] * 16, look=letters[look] * 16
    )


RENAMED = {"F-3": "F-33", "F-11": "F-0b"}
"""Code on the paper → code of today."""


@st.composite
def binders(draw: st.DrawFn) -> tuple[Filed, Filed]:
    """A binder as it was filed, and as it shall be."""
    codes = [f"F-{number}" for number in range(draw(st.integers(1, 24)))]

    def some(called: Mapping[str, str]) -> Filed:
        order = draw(st.permutations(codes)) if draw(st.booleans()) else codes
        kept = [one for one in order if draw(st.integers(0, 5))]
        return Filed(
            leaves=tuple(
                leaf(called.get(one, one), draw(st.sampled_from((0, 0, 0, 1))), draw(st.sampled_from((0, 0, 1))))
                for one in kept
            )
        )

    return some({}), some(RENAMED)


def carried_out(steps: tuple[Step, ...], binder: list[tuple[str, str]], order: list[str]) -> list[tuple[str, str]]:
    """Do what the instructions say, word by word: the binder is a row of codes with their check codes."""
    binder = list(binder)

    def put_in(what: tuple[str, str], where: str) -> None:
        codes = [code for code, _ in binder]
        binder.insert(0 if where == "in front of all others" else codes.index(where.removeprefix("after ")) + 1, what)

    for step in steps:
        at = 0
        if step.out:
            at = binder.index((step.out.code, step.out.check))
            last = binder.index((step.through.code, step.through.check)) if step.through else at
            del binder[at : last + 1]
        if step.into and step.where:
            put_in((step.into.code, step.into.check), step.where)
        elif step.into:
            binder.insert(at, (step.into.code, step.into.check))
        where = step.where
        for code in step.moves:
            moved = next(one for one in binder if one[0] == code)
            binder.remove(moved)
            put_in(moved, where)
            where = f"after {code}"
        if step.sort:
            binder.sort(key=lambda one: order.index(one[0]))
    return binder


@given(binders(), st.booleans())
def test_whoever_does_what_they_say_has_the_binder(both: tuple[Filed, Filed], appearance: bool) -> None:
    filed, after = both
    then = {RENAMED.get(one.code, one.code): one for one in filed.leaves}
    found = compare(then, [State(code=one.code, content=one.content, look=one.look) for one in after.leaves])
    printed = [
        one.code
        for one in after.leaves
        if one.code in {*found.new, *found.changed, *(found.looks if appearance else ())}
    ]
    steps = steps_of(found, printed, then, after)
    check = {one.code: f"{one.content[:3]}-{one.content[3:6]}" for one in after.leaves}
    was = [(one.code, f"{one.content[:3]}-{one.content[3:6]}") for one in filed.leaves]
    assert carried_out(steps, was, list(check)) == list(check.items())
    assert found.nothing == (was == list(check.items()))
    assert len([one for one in steps if one.moves]) <= MOST_MOVES
    if found.nothing and not printed:
        assert steps == ()


def test_the_fewest_leaves_are_moved() -> None:
    codes = ["a", "b", "c", "d", "e", "f"]
    filed = {code: leaf(code) for code in codes}
    now = [State(code=one, content="3" * 16, look="3" * 16) for one in ["e", "f", "a", "b", "c", "d"]]
    assert compare(filed, now).moved == ("e", "f")
