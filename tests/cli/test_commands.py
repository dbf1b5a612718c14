"""The commands as a keeper types them: help, exit codes, what goes to stdout and what to stderr."""

from __future__ import annotations

import csv
import io
import json
import os
import subprocess
import sys
from pathlib import Path

import pytest
from click.testing import CliRunner

from bookgen.cli import main
from bookgen.machine.text import csv_text
from tests.books_of_text import TODAY, formula, write_book

from .conftest import environment

COMMANDS = (
    "start", "add", "publish", "check", "site", "binder", "filed", "preview", "weigh", "worksheet", "labels",
    "dilute", "mix", "drops", "needs", "record", "shelf", "cost", "trace", "issue", "keep", "compare", "hand-on",
    "rename", "bring", "schema",
)  # fmt: skip

DATED = (
    "publish",
    "site",
    "preview",
    "issue",
    "keep",
    "weigh",
    "filed",
    "worksheet",
    "labels",
    "needs",
    "shelf",
    "cost",
)
"""Commands whose answer depends on the day."""


def run(*arguments: object, **environ: str):
    """Run a command in this process."""
    result = CliRunner(env={"SOURCE_DATE_EPOCH": "", "COLUMNS": "", **environ}).invoke(main, [*map(str, arguments)])
    assert isinstance(result.exception, SystemExit | None), result.exception
    return result


def snapshot(folder: Path) -> dict[str, bytes]:
    return {one.relative_to(folder).as_posix(): one.read_bytes() for one in folder.rglob("*") if one.is_file()}


class TestHelp:
    def test_the_help_lists_every_command_in_the_order_of_work_in_one_line_each(self):
        text = run("--help").output
        listed = text.partition("Commands:\n")[2].partition("\n\n")[0].splitlines()
        assert tuple(line.split()[0] for line in listed) == COMMANDS
        assert "..." not in text.partition("Commands:")[2]

    def test_the_help_teaches_what_a_book_is_and_what_codes_mean(self):
        text = " ".join(run("-h").output.split())
        for words in (
            "A book is a folder with formulas/ in it",
            'bookgen weigh S-02 --obtain "250 g"',
            "Exit codes: 0 done, 1 the book has errors, 2 wrong use, 3 cannot write, 130 interrupted.",
        ):
            assert words in text

    @pytest.mark.parametrize(
        ("command", "sentence"),
        [
            ("publish", "Writes site/index.html and site/binder.pdf and sends nothing anywhere."),
            ("check", "query what a pharmacist would ask before making it"),
            ("site", "A binder made from an earlier state of the book is taken away"),
            ("binder", "Each formula starts on a fresh sheet and is numbered within itself"),
            ("binder", "With --changes it writes site/changes.pdf instead"),
            ("filed", "the record of what is in the binder, by which bookgen binder --changes finds"),
            ("weigh", 'bookgen weigh S-02 --obtain "12 x 50 mL + 5 %" twelve bottles and a little more'),
            ("weigh", 'bookgen weigh S-02 --obtain "40 g of W-01 and 12 g of glycerol-85"'),
            ("weigh", 'bookgen weigh S-02 --drop "rose-oil: 20 drops 0.52 g"'),
            ("worksheet", "An earlier worksheet is written over as long as nobody has written into it"),
            ("labels", "There is no label without a use-by, past it, or with an incomplete list of ingredients."),
            ("drops", 'bookgen drops rose-oil "20 drops 0.52 g" "20 drops 0.48 g" "20 drops 0.50 g"'),
            ("needs", 'bookgen needs "S-02: 250 g" "B-01: 12 x 30 mL" W-01 a day\'s work'),
            ("shelf", "a retest is no expiry"),
            ("cost", 'What has no price is named, and the sum is then "at least".'),
            ("schema", "for an editor that checks while you type"),
        ],
    )
    def test_each_command_explains_itself(self, command, sentence):
        result = run(command, "--help")
        assert result.exit_code == 0
        assert sentence in " ".join(result.output.split())
        if command != "schema":
            assert "--book DIR" in result.output
        assert ("--today DATE" in result.output) is (command in DATED)

    def test_no_argument_is_wrong_use_and_shows_the_help(self):
        result = run()
        assert (result.exit_code, result.stdout) == (2, "")
        assert "Every day:" in result.stderr


class TestWrongUse:
    @pytest.mark.parametrize(
        ("arguments", "told"),
        [
            (["chek"], "No such command"),
            (["check", "--fast"], "--fast"),
            (["weigh"], "CODE"),
            (["weigh", "L-1"], "L-1 is not a formula of this book. Did you mean L-01?"),
            (["weigh", "water"], "water is a material, not a formula."),
            (["weigh", "L-01", "--dropper", "dropar"], "No dropper is called dropar. Did you mean dropper?"),
            (["weigh", "L-01", "--json", "--csv"], "Give --json or --csv, not both."),
            (["weigh", "L-01", "--today", "02/03/2026"], "'02/03/2026' is not a date; write year-month-day"),
            (["check", "--today", "2026-03-02"], "No such option"),
            (["schema", "recipe"], "'recipe' is not one of"),
        ],
    )
    def test_usage_goes_to_stderr_with_code_2(self, book, arguments, told):
        place = ["--book", book] if arguments[0] in ("check", "weigh") else []
        result = run(*arguments, *place)
        assert (result.exit_code, result.stdout) == (2, "")
        assert result.stderr.startswith("Usage: bookgen")
        assert told in result.stderr

    @pytest.mark.parametrize(
        "command", ["publish", "check", "site", "binder", "weigh", "worksheet", "labels", "add", "filed"]
    )
    def test_a_folder_without_formulas_is_no_book(self, tmp_path, command):
        result = run(
            command, *(["A-1"] if command in ("weigh", "worksheet", "labels", "add") else []), "--book", tmp_path
        )
        assert (result.exit_code, result.stdout) == (2, "")
        told = f"{tmp_path} is not a book, as it has no folder formulas/: name one with --book DIR, or begin one"
        assert result.stderr.splitlines()[-1] == f"Error: {told} with bookgen start."
        assert not list(tmp_path.iterdir())

    @pytest.mark.parametrize("inside", ["formulas", "formulas/waters", "site"])
    def test_inside_a_book_the_book_is_named(self, tmp_path, inside):
        (tmp_path / "formulas").mkdir()
        (tmp_path / inside).mkdir(parents=True, exist_ok=True)
        result = run("check", "--book", tmp_path / inside)
        told = f"as it has no folder formulas/: the book is {tmp_path}, so go there or name it with --book DIR."
        assert (result.exit_code, result.stdout) == (2, "")
        assert result.stderr.splitlines()[-1] == f"Error: {tmp_path / inside} is not a book, {told}"

    def test_a_folder_that_is_not_there(self, tmp_path):
        result = run("check", "--book", tmp_path / "none")
        assert result.exit_code == 2
        assert "does not exist" in result.stderr

    @pytest.mark.parametrize("epoch", ["soon", "-1", "1e9", "99999999999999999999"])
    def test_a_source_date_epoch_that_is_no_count_of_seconds(self, book, epoch):
        result = run("weigh", "L-01", "--book", book, SOURCE_DATE_EPOCH=epoch)
        assert result.exit_code == 2
        assert "it has to be a count of seconds since 1970" in result.stderr


ROOT = Path(__file__).parents[2]
LAW = "Local law and licensed practice decide whether it may be made, used or passed on."
ANSWERS = {
    "check": ("check",),
    "check --explain": ("check", "--explain", "B-01"),
    "weigh": ("weigh", "B-01", "--today", "2026-03-02"),
    "needs": ("needs", "W-02: 250 g"),
    "drops": ("drops", "neroli-oil", "20 drops 0.50 g", "20 drops 0.52 g", "--dropper", "bottle insert"),
    "dilute": ("dilute", "96%vol", "to", "70%vol", "--obtain", "500 g"),
    "mix": ("mix", "2.5%", "240 g of 0.25%", "to", "1%"),
    "shelf": ("shelf", "--today", "2026-03-02"),
    "cost": ("cost", "B-01"),
    "trace": ("trace", "GL-2211"),
    "compare": ("compare", "B-01", "B-02"),
}
"""One call of each command that answers for machines too, in the demo book."""


def test_each_command_that_answers_for_machines_is_among_them():
    answering = {
        name for name, command in main.commands.items() if any("--json" in option.opts for option in command.params)
    }
    assert answering == {name.partition(" ")[0] for name in ANSWERS}


@pytest.mark.parametrize("name", ANSWERS)
def test_every_answer_has_the_line_on_law_and_licensed_practice(name):
    words, answer = run(*ANSWERS[name], "--book", ROOT), run(*ANSWERS[name], "--json", "--book", ROOT)
    assert (words.exit_code, answer.exit_code) == (0, 0)
    assert " ".join(words.stdout.split()).endswith(LAW)
    assert json.loads(answer.stdout)["note"] == LAW


class TestCheck:
    def test_errors_give_code_1_and_every_finding(self, book):
        result = run("check", "--book", book)
        assert (result.exit_code, result.stderr) == (1, "")
        assert "error  Formula X-01, line " in result.stdout
        assert "formulas/wrong.md:" in result.stdout
        *_, counts, law = result.stdout.splitlines()
        assert counts.startswith("5 formulas, 8 materials: 1 error")
        assert counts.endswith("; 2 of the formulas barred.")
        assert law == "Local law and licensed practice decide whether it may be made, used or passed on."

    def test_a_sound_book_gives_code_0(self, tmp_path):
        place = write_book(tmp_path / "one", {"a": formula("A-1", "water: to 100 g")}, {"water": "water: 100 %"})
        result = run("check", "--book", place)
        assert result.exit_code == 0
        assert " ".join(result.stdout.split()) == (
            "1 formula, 1 material: no findings in amounts, measuring, storage and use, what dissolves in what, the "
            "dangers and incompatible pairs that are tabled, and limits of the law for cosmetics (0 of 1 formula). "
            "Not judged: whether it works, whether it stays stable, and what no file says. Local law and licensed "
            "practice decide whether it may be made, used or passed on."
        )

    def test_a_book_with_nothing_in_it(self, tmp_path):
        (tmp_path / "formulas").mkdir()
        result = run("check", "--book", tmp_path)
        assert result.exit_code == 0
        assert result.stdout.splitlines()[-2].startswith("0 formulas, 0 materials")

    def test_json_holds_each_finding_at_its_place(self, book):
        result = run("check", "--json", "--book", book)
        answer = json.loads(result.stdout)
        assert result.exit_code == 1
        assert list(answer) == ["findings", "judged", "note"]
        assert answer["judged"].startswith("amounts, measuring, ")
        assert answer["note"].startswith("Local law and licensed practice decide")
        for one in answer["findings"]:
            assert list(one) == ["severity", "rule", "path", "line", "column", "message"]
            assert one["severity"] in ("error", "query", "note")
            assert (book / one["path"]).is_file()
            assert isinstance(one["line"], int | None)
            assert isinstance(one["column"], int | None)
            assert one["message"].endswith((".", "?"))

    def test_the_checked_book_is_left_as_it_is(self, book):
        before = snapshot(book)
        run("check", "--book", book)
        run("weigh", "L-01", "--book", book)
        assert snapshot(book) == before


class TestWorkroom:
    @pytest.fixture
    def unreadable(self, book):
        (book / "formulas" / "workroom.yaml").write_text("balances: [\n", encoding="utf-8")
        return book

    def test_it_stops_publishing(self, unreadable):
        result = run("site", "--book", unreadable)
        assert (result.exit_code, result.stdout) == (1, "")
        assert "Nothing is published: put formulas/workroom.yaml right first." in result.stderr
        assert not (unreadable / "site").exists()

    def test_it_stops_weighing(self, unreadable):
        result = run("weigh", "L-01", "--json", "--book", unreadable)
        answer = json.loads(result.stdout)
        assert result.exit_code == 1
        assert answer["lines"] == []
        assert "put formulas/workroom.yaml right first" in answer["why"]["lines"]
        assert {one["path"] for one in answer["findings"]} == {"formulas/workroom.yaml"}

    def test_check_says_where(self, unreadable):
        result = run("check", "--json", "--book", unreadable)
        assert result.exit_code == 1
        assert "formulas/workroom.yaml" in {one["path"] for one in json.loads(result.stdout)["findings"]}


class TestWeigh:
    def test_the_day_of_making(self, book, monkeypatch):
        given = json.loads(run("weigh", "L-01", "--json", "--book", book, "--today", "2026-03-02").stdout)
        epoch = json.loads(
            run("weigh", "L-01", "--json", "--book", book, SOURCE_DATE_EPOCH="1772409600").stdout  # 2026-03-02 UTC
        )
        assert given["use_by"] == epoch["use_by"] == "2026-03-07"
        stated = run("weigh", "L-01", "--json", "--book", book, "--today", "2027-01-30", SOURCE_DATE_EPOCH="0")
        assert json.loads(stated.stdout)["use_by"] == "2027-02-04"

    def test_a_day_at_the_end_of_the_calendar(self, book):
        result = run("weigh", "L-01", "--json", "--book", book, "--today", "9999-12-31")
        answer = json.loads(result.stdout)
        assert (result.exit_code, answer["use_by"]) == (0, None)
        assert answer["why"]["use_by"] == "the period goes beyond the calendar"

    def test_errors_elsewhere_do_not_matter(self, book):
        result = run("weigh", "L-01", "--json", "--book", book)
        assert result.exit_code == 0
        assert not [one for one in json.loads(result.stdout)["findings"] if one["severity"] == "error"]

    @pytest.mark.parametrize(("code", "root"), [("X-01", "wrong.md"), ("X-02", "wrong.md")])
    def test_a_barred_formula_has_no_lines(self, book, code, root):
        result = run("weigh", code, "--json", "--book", book)
        answer = json.loads(result.stdout)
        assert result.exit_code == 1
        assert (answer["barred"], answer["lines"]) == (True, [])
        assert answer["why"]["lines"].startswith("barred: ")
        assert f"formulas/{root}" in {one["path"] for one in answer["findings"]}

    def test_a_barred_formula_in_words(self, book):
        result = run("weigh", "X-02", "--book", book)
        assert (result.exit_code, result.stdout) == (1, "")
        assert result.stderr.startswith("X-02 Formula X-02 is not weighed: barred: ")
        assert "formulas/wrong.md" in result.stderr

    def test_a_withdrawn_formula_is_not_weighed(self, book):
        result = run("weigh", "O-01", "--json", "--book", book)
        answer = json.loads(result.stdout)
        assert (result.exit_code, answer["barred"], answer["lines"]) == (1, True, [])
        assert answer["why"]["lines"] == "withdrawn, so it is no longer weighed"

    @pytest.mark.parametrize(
        "obtain", ["0 g", "-5 g", "3 spoons", "", "250 mL", "40 g of d", "40 g of nothing", "1e3 g"]
    )
    def test_a_refused_batch_has_the_same_shape(self, book, obtain):
        good = json.loads(run("weigh", "L-01", "--json", "--book", book).stdout)
        result = run("weigh", "L-01", "--json", "--obtain", obtain, "--book", book)
        answer = json.loads(result.stdout)
        assert result.exit_code == 1
        assert (list(answer), answer["lines"], answer["barred"]) == (list(good), [], False)
        assert answer["why"]["lines"]
        assert [one["severity"] for one in answer["findings"]][:1] == ["error"]

    def test_a_refused_batch_is_told_once(self, book):
        result = run("weigh", "L-01", "--obtain", "250 mL", "--book", book)
        assert (result.exit_code, result.stdout) == (1, "")
        assert result.stderr.count("cannot be turned into") == 1

    def test_csv_follows_rfc_4180(self, book):
        path = book / "formulas" / "lotion.md"
        path.write_text(
            path.read_text(encoding="utf-8").replace("gly: 5 %, humectant", 'gly: 5 %, "keeps water, ""they"" say"'),
            encoding="utf-8",
        )
        runner = CliRunner().invoke(main, ["weigh", "L-01", "--csv", "--book", str(book)])
        text = runner.stdout_bytes.decode("utf-8")
        rows = list(csv.reader(io.StringIO(text, newline=""), strict=True))
        assert text.count("\r\n") == text.count("\n") == len(rows) == 5
        assert {len(row) for row in rows} == {len(rows[0])}
        answer = json.loads(run("weigh", "L-01", "--json", "--book", book).stdout)
        for row, line in zip(rows[1:], answer["lines"], strict=True):
            told = dict(zip(rows[0], row, strict=True))
            assert told == {name: "" if line[name] is None else str(line[name]) for name in rows[0]}
        assert '"keeps water' in text

    @pytest.mark.parametrize("function", ["=1+2", "+49 30", "-2 of it", "@SUM(A1)", "=cmd|' /C calc'!A0"])
    def test_words_that_a_spreadsheet_would_reckon_stay_words(self, book, function):
        path = book / "formulas" / "lotion.md"
        text = path.read_text(encoding="utf-8")
        path.write_text(text.replace("gly: 5 %, humectant", f'gly: {{amount: 5 %, function: "{function}"}}'), "utf-8")
        table = CliRunner().invoke(main, ["weigh", "L-01", "--csv", "--book", str(book)]).stdout_bytes.decode()
        rows = list(csv.DictReader(io.StringIO(table, newline=""), strict=True))
        assert [one["function"] for one in rows if one["material"] == "gly"] == [f"'{function}"]
        listed = json.loads(run("weigh", "L-01", "--json", "--book", book).stdout)["lines"]
        assert [one["function"] for one in listed if one["material"] == "gly"] == [function]

    def test_numbers_below_nothing_stay_numbers(self):
        numbers = ["-4.76", "-20/21", "-0", "8/3", "12"]
        table = csv_text(("a",), [{"a": one} for one in [*numbers, -3, None]])
        assert table.split("\r\n") == ["a", *numbers, "-3", '""', ""]

    def test_schemas_are_json_schemas(self):
        every = json.loads(run("schema").stdout)
        assert list(every) == ["formula", "material", "batch", "workroom"]
        for kind, one in every.items():
            assert json.loads(run("schema", kind).stdout) == one
            assert one["type"] == "object"
            assert all(field.get("description") for field in one["properties"].values()), kind


class TestProcess:
    """What only a process of its own can show."""

    def test_publish_writes_what_it_says_and_no_progress_into_a_pipe(self, bookgen, sound):
        done = bookgen("publish", "--book", sound)
        assert (done.returncode, done.stdout.splitlines()) == (
            0, [str(sound / "site" / "index.html"), str(sound / "site" / "binder.pdf")],
        )  # fmt: skip
        assert "\r" not in done.stderr
        assert "sheets" not in done.stderr
        assert (sound / "site" / "binder.pdf").read_bytes().startswith(b"%PDF")
        committed = Path(__file__).parents[2] / "site" / ".gitignore"
        assert (sound / "site" / ".gitignore").read_bytes() == committed.read_bytes()

    def test_nothing_is_written_outside_output_and_cache(self, bookgen, sound, tmp_path):
        home, kept, temporary, here = (tmp_path / name for name in ("home", "cache", "temporary", "here"))
        for folder in (home, temporary, here):
            folder.mkdir()
        before = snapshot(sound)
        done = bookgen(
            "site", "--book", sound, "--out", tmp_path / "out", cwd=here,
            HOME=str(home), XDG_CACHE_HOME=str(kept), TMPDIR=str(temporary), PYTHONDONTWRITEBYTECODE="1",
        )  # fmt: skip
        assert done.returncode == 0, done.stderr
        assert snapshot(sound) == before
        assert not [*home.rglob("*"), *temporary.rglob("*"), *here.rglob("*")]
        assert {one.name for one in tmp_path.iterdir()} <= {"home", "cache", "temporary", "here", "sound", "out"}

    def test_head_ends_it_quietly(self, sound):
        line = f'"{sys.executable}" -m bookgen weigh L-01 --book "{sound}" | head -1; echo "${{PIPESTATUS[0]}}"'
        done = subprocess.run(
            ["bash", "-c", line], env=environment(), capture_output=True, encoding="utf-8", timeout=60
        )
        assert (done.stdout.splitlines()[-1], done.stderr) == ("0", "")

    def test_a_reader_that_is_gone_already(self, sound):
        """A pipe that nobody reads: the very first write fails."""
        reading, writing = os.pipe()
        os.close(reading)
        done = subprocess.run(
            [sys.executable, "-m", "bookgen", "weigh", "L-01", "--book", sound],
            env=environment(), stdout=writing, stderr=subprocess.PIPE, encoding="utf-8", timeout=60,
        )  # fmt: skip
        os.close(writing)
        assert (done.returncode, done.stderr) == (0, "")

    def test_a_full_disk_below_stdout(self, sound):
        with open("/dev/full", "wb") as full:
            done = subprocess.run(
                [sys.executable, "-m", "bookgen", "weigh", "L-01", "--book", sound],
                env=environment(), stdout=full, stderr=subprocess.PIPE, encoding="utf-8", timeout=60,
            )  # fmt: skip
        assert (done.returncode, done.stderr) == (3, "Cannot write: No space left on device.\n")

    @pytest.mark.parametrize("encoding", ["latin-1", "cp437"])
    def test_a_terminal_without_unicode(self, bookgen, sound, encoding):
        arguments = ["weigh", "L-01", "--obtain", "2 x 50 g + 5 %", "--book", sound, "--today", TODAY]
        done = subprocess.run(
            [sys.executable, "-m", "bookgen", *map(str, arguments)],
            env=environment(PYTHONIOENCODING=encoding), capture_output=True, timeout=60,
        )  # fmt: skip
        text = done.stdout.decode(encoding)
        assert (done.returncode, done.stderr) == (0, b"")
        assert "50 g + 5 % = 105 g" in text
        assert "?" not in text

    def test_today_and_zone(self, bookgen, sound):
        early = bookgen("weigh", "L-01", "--json", "--book", sound, TZ="Pacific/Kiritimati", SOURCE_DATE_EPOCH="0")
        late = bookgen("weigh", "L-01", "--json", "--book", sound, TZ="Pacific/Pago_Pago", SOURCE_DATE_EPOCH="0")
        assert json.loads(early.stdout)["use_by"] == json.loads(late.stdout)["use_by"] == "1970-01-06"
