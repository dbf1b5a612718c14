"""Putting a batch on record: by options, line by line, as text; checked first, nothing written over, whole or not."""

from __future__ import annotations

import os
from concurrent.futures import ThreadPoolExecutor
from datetime import date
from fractions import Fraction
from pathlib import Path
from random import Random
from signal import SIGKILL
from time import monotonic, sleep

import pytest
from click.testing import CliRunner

from bookgen import recording
from bookgen.cli import main
from bookgen.model import Mass
from bookgen.pipeline import check_book
from bookgen.recording import NotRecorded, batch_record, planned_lines, put_on_record, put_text_on_record
from bookgen.source import read_book, writing
from bookgen.source.record_text import WrittenLine, WrittenRecord, record_text
from tests.books_of_text import MATERIALS, ON_THAT_DAY, TODAY, formula, write_book


@pytest.fixture
def book(tmp_path: Path) -> Path:
    """A cream with water in two phases and drops, of which the keeper lists one lot of glycerol."""
    text = formula("C-01", "GLY", "yield: 95 %").replace(
        "  GLY\n", "  A:\n    water: 40 g\n    gly: 4 %\n  B:\n    oil: 6 drops\n    water: to 100 g\n"
    )
    lots = "density: 1.26\nwater: 0 %\nlots:\n  GL-2211: {received: 2026-01-10, amount: 100 g}"
    return write_book(tmp_path / "book", {"cream": text}, {**MATERIALS, "gly": lots})


def run(book: Path, *arguments: str, stdin: str | None = None):
    result = CliRunner(env={**ON_THAT_DAY, "COLUMNS": ""}).invoke(
        main, ["record", *arguments, "--book", str(book)], input=stdin
    )
    assert isinstance(result.exception, SystemExit | None), result.exception
    return result


def records(book: Path) -> list[str]:
    return sorted(path.name for path in (book / "formulas").glob("batches/*"))


LINES = ("gly: 4.01 g, lot GL-2211", "water@A: 40.02 g", "oil: 6 drops (0.15 g)", "water@B: 55.85 g")
WEIGHED = [word for line in LINES for word in ("--weighed", line)]
EXPECTED = """\
---
batch: C-01-2026-03-02
of: C-01, issue 1
made: 2026-03-02
obtain: 95 g
planned:
  A:
    water: 40.00 g
    gly: 4.00 g
  B:
    oil: 6 drops (0.15 g)
    water: 55.85 g
weighed:
  A:
    water: 40.02 g
    gly: 4.01 g, lot GL-2211
  B:
    oil: 6 drops (0.15 g)
    water: 55.85 g
came out: 94 g
filled: 2 x 45 g
outcome: good
next time: "softer: less wax"
---

## Notes

It was warm.
"""


def test_a_batch_is_put_on_record_by_options(book: Path) -> None:
    more = ["--came-out", "94 g", "--filled", "2 x 45 g", "--outcome", "good", "--next-time", "softer: less wax"]
    done = run(book, "C-01", "--obtain", "95 g", *WEIGHED, *more, "--notes", "It was warm.")
    assert (done.exit_code, done.stderr) == (0, "")
    path = book / "formulas" / "batches" / "C-01-2026-03-02.md"
    assert done.stdout == f"Written: {path}\n"
    assert path.read_text(encoding="utf-8") == EXPECTED
    read = read_book(book)
    assert read.findings == ()
    assert read.batches["c-01-2026-03-02"].next_time == "softer: less wax"


def test_a_second_batch_of_the_day_has_a_number_of_its_own(book: Path) -> None:
    for _ in range(3):
        assert run(book, "C-01", "--obtain", "95 g", *WEIGHED).exit_code == 0
    assert records(book) == ["C-01-2026-03-02-b.md", "C-01-2026-03-02-c.md", "C-01-2026-03-02.md"]


def test_text_that_is_handed_over_is_written_byte_for_byte(book: Path) -> None:
    text = EXPECTED.replace("It was warm.", "It was wärm.\n\n## For the keeper\n")
    assert run(book, stdin=text).exit_code == 0
    assert (book / "formulas/batches/C-01-2026-03-02.md").read_text(encoding="utf-8") == text
    again = run(book, stdin=text)
    assert again.exit_code == 2
    assert "This batch is on record already: C-01-2026-03-02." in again.stderr
    other = run(book, stdin=text.replace("4.01 g", "3.99 g"))
    assert "C-01-2026-03-02 is the number of another batch, so this is C-01-2026-03-02-b." in other.stdout
    written = (book / "formulas/batches/C-01-2026-03-02-b.md").read_text(encoding="utf-8")
    assert written == text.replace("batch: C-01-2026-03-02", "batch: C-01-2026-03-02-b").replace("4.01 g", "3.99 g")


def test_text_from_a_file(book: Path, tmp_path: Path) -> None:
    (tmp_path / "typed.md").write_text(EXPECTED, encoding="utf-8")
    assert run(book, "--from", str(tmp_path / "typed.md")).exit_code == 0
    assert records(book) == ["C-01-2026-03-02.md"]


@pytest.mark.parametrize(
    ("broken", "told"),
    [
        (("lot GL-2211", "lot GL-2219"), "gly has no lot GL-2219"),
        (("4.01 g, lot", "401 g, lot"), "401 g of the lot GL-2211 are used up to here"),
        (("came out: 94 g", "came out: 94 pinches"), "came out: "),
        (("made: 2026-03-02", "made: 2026-03-03"), "was made on 2026-03-03; correct one of the two."),
        (("issue 1", "issue 9"), "issue 9 cannot have been followed"),
    ],
)
def test_a_record_with_an_error_is_refused_whole(book: Path, broken: tuple[str, str], told: str) -> None:
    done = run(book, stdin=EXPECTED.replace(*broken))
    assert done.exit_code == 1
    assert told in " ".join(done.stderr.split())
    assert "C-01-2026-03-02 is not put on record." in done.stderr
    assert records(book) == []


def test_what_is_asked_of_a_record_is_told_and_it_is_written(book: Path) -> None:
    done = run(book, stdin=EXPECTED.replace("4.01 g, lot GL-2211", "4.41 g, lot GL-2211").replace("It was warm.\n", ""))
    assert done.exit_code == 0
    assert "4.41 g of gly were weighed and 4 g planned, 10.25 % more" in " ".join(done.stderr.split())
    assert records(book) == ["C-01-2026-03-02.md"]


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (["C-01", "--obtain", "95 g"], "Say what was weighed: --weighed"),
        (
            ["C-01", "--weighed", "water: 40 g"],
            "water stands in the phases A and B: write which one, as in water@A: 25.2 g.",
        ),
        (["C-01", "--weighed", "gly"], "`gly` does not say what was weighed"),
        (["C-02", "--weighed", "gly: 4 g"], "C-02 is not a formula of this book."),
        (["C-01", "--from", "-"], "goes alone"),
    ],
)
def test_wrong_use_is_told(book: Path, words: list[str], told: str) -> None:
    done = run(book, *words)
    assert done.exit_code == 2
    assert told in done.stderr.replace("\n", " ")
    assert records(book) == []


@pytest.mark.parametrize("text", ["", "no record", "---\nbatch: soon\n---\n"])
def test_text_that_is_no_record_is_told(book: Path, text: str) -> None:
    done = run(book, stdin=text)
    assert done.exit_code in (1, 2)
    assert "This is no batch record, or its batch number cannot be read." in done.stderr
    assert records(book) == []


class Terminal:
    """What is typed at a terminal, line by line."""

    def __init__(self, *lines: str) -> None:
        self.lines = [f"{line}\n" for line in lines]

    def isatty(self) -> bool:
        return True

    def readline(self) -> str:
        return self.lines.pop(0) if self.lines else ""


def test_it_asks_line_by_line_and_again_after_a_slip(book: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    import sys

    from bookgen.cli import record as command

    gly = "2 g, lot GL-2211; 2.01 g, lot GL-2211"
    typed = Terminal("40.02 g", "4 spoons", gly, "", "55.85 g", "94 g", "", "2 x 45 g", "", "fine", "good", "")
    monkeypatch.setattr(command.sys, "stdin", typed)
    monkeypatch.setenv("SOURCE_DATE_EPOCH", ON_THAT_DAY["SOURCE_DATE_EPOCH"])
    assert command.sys is sys
    with pytest.raises(SystemExit) as ended:
        main(["record", "C-01", "--obtain", "95 g", "--book", str(book)])
    assert ended.value.code == 0
    record = read_book(book).batches["c-01-2026-03-02"]
    assert [(line.phase, line.material, line.lot) for line in record.weighed] == [
        ("A", "water", ""), ("A", "gly", "GL-2211"), ("A", "gly", "GL-2211"), ("B", "water", ""),
    ]  # fmt: skip
    assert (record.came_out and record.came_out.value, str(record.outcome)) == (94, "good")


def test_what_was_typed_is_not_lost_where_it_is_refused(
    book: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    from bookgen.cli import record as command

    typed = Terminal("40.02 g", "2 g, lot GL-9999", "55.85 g", "94 g")
    monkeypatch.setattr(command.sys, "stdin", typed)
    monkeypatch.setenv("SOURCE_DATE_EPOCH", ON_THAT_DAY["SOURCE_DATE_EPOCH"])
    with pytest.raises(SystemExit) as ended:
        main(["record", "C-01", "--obtain", "95 g", "--book", str(book)])
    told = capsys.readouterr()
    assert (ended.value.code, records(book)) == (1, [])
    assert "C-01-2026-03-02 is not put on record." in told.err
    assert "hand it over with bookgen record --from FILE" in " ".join(told.err.split())
    mended = told.out[told.out.index("---") :].replace("GL-9999", "GL-2211")
    assert run(book, stdin=mended).exit_code == 0
    assert "gly: 2 g, lot GL-2211" in (book / "formulas/batches/C-01-2026-03-02.md").read_text(encoding="utf-8")


@pytest.fixture
def thinned(tmp_path: Path) -> Path:
    """A powder whose colour is too little to weigh, so it goes in rubbed down with kaolin."""
    powder = {"kaolin": "kind: powder\nwater: 0 %\nlots:\n  K-1: {received: 2026-01-10, amount: 200 g}"}
    powder["rust"] = "kind: powder\nwater: 0 %\nlots:\n  R-1: {received: 2026-01-10, amount: 5 g}"
    return write_book(tmp_path / "book", {"dust": formula("D-01", "rust: 0.05 g; kaolin: to 100 g")}, powder)


def test_a_stock_is_asked_for_by_what_it_was_made_of_and_what_went_in(
    thinned: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    from bookgen.cli import record as command

    typed = Terminal("0.51 g, lot R-1", "9.49 g, lot K-1", "1.02 g", "98.95 g, lot K-1", "99 g")
    monkeypatch.setattr(command.sys, "stdin", typed)
    monkeypatch.setenv("SOURCE_DATE_EPOCH", ON_THAT_DAY["SOURCE_DATE_EPOCH"])
    with pytest.raises(SystemExit) as ended:
        main(["record", "D-01", "--obtain", "100 g", "--book", str(thinned)])
    asked = capsys.readouterr().err
    assert ended.value.code == 0, asked
    assert asked.startswith(
        "rust, for a stock, 0.50 g planned: kaolin, for a stock, 9.50 g planned: "
        "rust, 1.00 g of 1 in 20 with kaolin planned: kaolin, 99.00 g planned: "
    )
    text = (thinned / "formulas/batches/D-01-2026-03-02.md").read_text(encoding="utf-8")
    assert (
        "planned:\n  rust: 1.00 g of 1 in 20 with kaolin\n  kaolin: 99.00 g\n"
        "weighed:\n  rust: 1.02 g of 1 in 20 with kaolin\n  kaolin: 98.95 g, lot K-1\n"
        "weighed beforehand:\n  rust: 0.51 g, lot R-1\n  kaolin: 9.49 g, lot K-1\n" in text
    )


def test_a_lot_without_its_word_and_the_name_of_ph_are_put_in_plain_words(
    book: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    from bookgen.cli import record as command

    monkeypatch.setattr(command.sys, "stdin", Terminal("", "4 g, GL-2211", "4 g, lot GL-2211"))
    with pytest.raises(SystemExit):
        main(["record", "C-01", "--obtain", "95 g", "--today", TODAY, "--book", str(book)])
    asked = capsys.readouterr().err
    assert "if GL-2211 is the lot, write `4 g, lot GL-2211`;" in asked
    assert "Came out: pH: Filled: Kept sample: Outcome: Next time: " in asked


def test_a_stock_is_told_by_options(thinned: Path) -> None:
    into = ["--weighed", "kaolin: 99 g, lot K-1", "--weighed", "rust: 1.00 g of 1 in 20 with kaolin"]
    stock = ["--weighed-beforehand", "kaolin: 9.5 g, lot K-1", "--weighed-beforehand", "rust: 0.5 g, lot R-1"]
    done = run(thinned, "D-01", "--obtain", "100 g", *into, *stock)
    assert (done.exit_code, done.stderr) == (0, "")
    record = read_book(thinned).batches["d-01-2026-03-02"]
    assert [(line.material, line.amount.grams, line.lot) for line in record.taken] == [
        ("kaolin", 99, "K-1"), ("rust", Fraction("0.5"), "R-1"), ("kaolin", Fraction("9.5"), "K-1"),
    ]  # fmt: skip


def test_twenty_at_once_are_all_there(book: Path) -> None:
    checked = check_book(book, filed=False)
    cream = checked.book.formulas["c-01"]

    def put(number: int) -> str:
        lines = [WrittenLine(material="gly", phase="A", text=f"4.{number:02} g, lot GL-2211")]
        return put_on_record(
            checked, cream, batch_record(cream, date.fromisoformat(TODAY), "95 g", (), lines, {})
        ).number

    with ThreadPoolExecutor(20) as pool:
        numbers = list(pool.map(put, range(20)))
    assert len(set(numbers)) == 20
    read = read_book(book)
    weights = [
        line.amount.grams for one in read.batches.values() for line in one.weighed if isinstance(line.amount, Mass)
    ]
    assert sorted(weights) == [4 + Fraction(number, 100) for number in range(20)]
    assert not [path for path in (book / "formulas" / "batches").iterdir() if path.name.startswith(".")]


def test_of_twenty_at_once_those_are_refused_for_which_the_lot_has_not_enough(book: Path) -> None:
    """100 g are there, 30 g are taken each time: three of them are written, whoever comes first."""
    checked = check_book(book, filed=False)
    cream = checked.book.formulas["c-01"]

    def put() -> str:
        lines = [WrittenLine(material="gly", phase="A", text="30 g, lot GL-2211")]
        try:
            return put_on_record(
                checked, cream, batch_record(cream, date.fromisoformat(TODAY), "95 g", (), lines, {})
            ).number
        except NotRecorded as reason:
            told = " ".join(finding.message for finding in reason.findings)
            return "refused" if "120 g of the lot GL-2211 are used up to here" in told else told

    def child() -> None:
        try:
            (book / f"said-{os.getpid()}").write_text(put(), encoding="utf-8")
        finally:
            os._exit(0)

    children = []
    for _ in range(20):
        pid = os.fork()
        if not pid:
            child()
        children.append(pid)
    for pid in children:
        os.waitpid(pid, 0)
    said = sorted(path.read_text(encoding="utf-8") for path in book.glob("said-*"))
    assert said == ["C-01-2026-03-02", "C-01-2026-03-02-b", "C-01-2026-03-02-c", *["refused"] * 17]
    assert records(book) == ["C-01-2026-03-02-b.md", "C-01-2026-03-02-c.md", "C-01-2026-03-02.md"]


def test_the_same_text_handed_over_at_once_is_one_batch(book: Path) -> None:
    checked = check_book(book, filed=False)

    def hand_over(_: int) -> str:
        try:
            return put_text_on_record(checked, EXPECTED.encode()).number
        except NotRecorded as reason:
            return str(reason)

    with ThreadPoolExecutor(4) as pool:
        said = sorted(pool.map(hand_over, range(4)))
    assert said == ["C-01-2026-03-02", *["This batch is on record already: C-01-2026-03-02."] * 3]
    assert records(book) == ["C-01-2026-03-02.md"]


def test_a_run_that_is_killed_leaves_all_or_nothing_and_blocks_no_other(book: Path) -> None:
    """Killed at moments all over the run: what has a name is whole, and the next run takes the rest away."""
    checked = check_book(book, filed=False)
    cream = checked.book.formulas["c-01"]
    folder = book / "formulas" / "batches"

    def put(grams: str) -> str:
        lines = [WrittenLine(material="gly", phase="A", text=f"{grams} g, lot GL-2211")]
        return put_on_record(
            checked, cream, batch_record(cream, date.fromisoformat(TODAY), "95 g", (), lines, {})
        ).number

    began = monotonic()
    whole = (folder / f"{put('1')}.md").read_bytes()
    takes = monotonic() - began
    seen = {"C-01-2026-03-02.md"}
    draw = Random(11)
    for _ in range(25):
        pid = os.fork()
        if not pid:
            try:
                put("1")
            finally:
                os._exit(0)
        sleep(takes * draw.uniform(0.3, 1.3))
        os.kill(pid, SIGKILL)
        os.waitpid(pid, 0)
        named = {path.name for path in folder.iterdir() if not path.name.startswith(".")}
        assert named >= seen
        assert len(named - seen) <= 1
        for name in named - seen:
            number = name.removesuffix(".md")
            assert (folder / name).read_bytes() == whole.replace(
                b"batch: C-01-2026-03-02\n", f"batch: {number}\n".encode()
            )
        if len(named) > 20:
            for name in named - {"C-01-2026-03-02.md"}:
                (folder / name).unlink()
            named = {"C-01-2026-03-02.md"}
        seen = named
    (folder / ".new-left").write_text("half", encoding="utf-8")
    assert put("1")
    assert not [path for path in folder.iterdir() if path.name.startswith(".")]


def test_a_day_that_is_full_is_told(book: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(recording, "ascii_lowercase", "ab")
    for _ in range(2):
        assert run(book, "C-01", "--obtain", "95 g", *WEIGHED).exit_code == 0
    done = run(book, "C-01", "--obtain", "95 g", *WEIGHED)
    assert done.exit_code == 2
    assert "every number behind it, from -b to -z, is taken." in done.stderr


@pytest.mark.parametrize("where", ["_put", "_name", "_settle"])
def test_a_run_that_is_ended_leaves_no_half_record(book: Path, where: str, monkeypatch: pytest.MonkeyPatch) -> None:
    def ended(*_: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(writing, where, ended)
    done = run(book, "C-01", "--obtain", "95 g", *WEIGHED)
    assert done.exit_code == 130
    assert [name for name in records(book) if not name.startswith(".")] == []


def test_planned_is_what_weigh_prints(book: Path) -> None:
    checked = check_book(book, filed=False)
    weighing = recording.planned_batch(checked, "C-01", "95 g", date.fromisoformat(TODAY))
    assert [(line.phase, line.material, line.text) for line in planned_lines(weighing)] == [
        ("A", "water", "40.00 g"), ("A", "gly", "4.00 g"), ("B", "oil", "6 drops (0.15 g)"), ("B", "water", "55.85 g"),
    ]  # fmt: skip


def test_any_words_come_back_as_they_were_typed(tmp_path: Path) -> None:
    for typed in (
        "a: b",
        "# late",
        "- one",
        'it\'s "so"',
        "10 % more",
        "*bold*",
        "yes",
        "[1, 2]",
        "{x}",
        "a #b",
        "end:",
    ):
        text = record_text("X-2026-01-01", WrittenRecord(of="X, issue 1", made="2026-01-01", obtain="1 g",
                           weighed=(WrittenLine(material=typed, text="1 g"),), more={"next time": typed}))  # fmt: skip
        write_book(tmp_path / typed.encode().hex(), {})
        folder = tmp_path / typed.encode().hex() / "formulas" / "batches"
        folder.mkdir()
        (folder / "X-2026-01-01.md").write_text(text, encoding="utf-8")
        read = read_book(folder.parent.parent).batches["x-2026-01-01"]
        assert (read.next_time, read.weighed[0].material) == (typed, typed), text
