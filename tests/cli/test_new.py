"""The first hour: `start` begins a book, `add` a formula or a material in it; nothing that stands is touched."""

from __future__ import annotations

import errno
import io
import json
import os
import shutil
from pathlib import Path

import pytest
from click.testing import CliRunner, Result
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from bookgen.cli import main
from bookgen.pipeline import check_book
from bookgen.source import json_schemas, key_tables
from bookgen.source.blank import formula_text, material_text, stem_of
from bookgen.source.book import book_from
from tests.books_of_text import check, formula, weigh, write_book


def run(*arguments: object) -> Result:
    done = CliRunner(env={"COLUMNS": ""}).invoke(main, [*map(str, arguments)])
    assert isinstance(done.exception, SystemExit | None), done.exception
    return done


def files_of(root: Path) -> dict[str, bytes]:
    """Every file below a folder, hidden ones too, and every folder that is empty."""
    return {
        path.relative_to(root).as_posix(): path.read_bytes() if path.is_file() else b"folder"
        for path in sorted(root.rglob("*"))
        if path.is_file() or not any(path.iterdir())
    }


class TestStart:
    def test_in_a_pipe_it_asks_nothing_and_says_what_it_took(self, tmp_path):
        book = tmp_path / "my" / "book"
        done = run("start", book)
        assert (done.exit_code, done.stderr) == (0, "")
        assert sorted(files_of(book)) == [
            "formulas/materials/beeswax.md", "formulas/waxes/strained-beeswax.md", "formulas/workroom.yaml",
        ]  # fmt: skip
        said = " ".join(done.stdout.split())
        assert "Not said, so taken: the title My formula book, a kitchen scale that shows 1 g and holds 5000 g" in said
        assert f"cd {book} bookgen check" in said
        assert "bookgen weigh N-01" in said

    def test_none_is_no_dropper_as_an_option_too(self, tmp_path):
        run("start", tmp_path, "--dropper", "none")
        assert "droppers" not in (tmp_path / "formulas" / "workroom.yaml").read_text()

    def test_what_it_writes_has_nothing_to_be_said_about_and_shows_a_first_weighing(self, tmp_path):
        run("start", tmp_path)
        assert check(tmp_path) == []
        answer = weigh(tmp_path, "N-01")
        assert (answer["obtain"]["g"], answer["start_g"], answer["printed_total_g"]) == ("95", "100", "100")
        assert [(line["with"], line["shown"]) for line in answer["lines"]] == [("kitchen scale", "100 g")]
        assert weigh(tmp_path, "N-01", "190 g")["printed_total_g"] == "200"

    def test_the_formula_is_explained_in_it(self, tmp_path):
        run("start", tmp_path)
        text = (tmp_path / "formulas" / "waxes" / "strained-beeswax.md").read_text(encoding="utf-8")
        assert text == (Path(__file__).parent / "first-formula.md").read_text(encoding="utf-8")

    def test_the_options(self, tmp_path):
        done = run(
            "start", tmp_path, "--title", "Waxes: of the kiln", "--balance", "fine balance, 0.001 g, 20 g",
            "--balance", "0.1 g, 2 kg", "--dropper", "pipette", "--dropper", "bottle insert", "--paper", "A5",
        )  # fmt: skip
        assert done.exit_code == 0
        assert "Not said" not in done.stdout
        room = check_book(tmp_path).book.workroom
        assert (room.title, room.paper, room.droppers) == ("Waxes: of the kiln", "A5", ("pipette", "bottle insert"))
        assert [(one.name, float(one.readability_g), one.capacity_g) for one in room.balances] == [
            ("fine balance", 0.001, 20), ("balance", 0.1, 2000),
        ]  # fmt: skip
        assert check(tmp_path) == []

    @pytest.mark.parametrize(
        ("options", "says"),
        [
            (["--paper", "A3"], "Paper: `A3` is not one of the choices. Write A4, A5 or Letter."),
            (["--balance", "fine"], "Balance: `fine` is not understood: write its name, its smallest step"),
            (["--balance", "fine, 1 mL"], "Balance: 1 mL is a volume: write a weight, such as 0.01 g."),
            (["--balance", "fine, 0 g"], "Balance: 0 g is nothing: write a figure above zero."),
            (["--balance", "a, 1 g", "--balance", "A, 2 g"], "Balances: A is written twice: give one another name."),
            (
                ["--balance", "0.1 g, 2 kg", "--balance", "0.01 g, 200 g"],
                "Balance: a second one needs a name: write fine balance, 0.01 g, 200 g.",
            ),
            (["--balance", "1 g", "--balance", "balance, 1 g"], "needs a name: write second balance, 1 g."),
            (
                ["--balance", "1 g", "--balance", "Coarse balance, 5 g", "--balance", "2 g, 9 kg"],
                "needs a name: write balance 3, 2 g, 9 kg.",
            ),
            (["--title", " "], "The title is empty: write what the book is called."),
            (
                ["--balance", "a, 5 kg, 1 g"],
                "Balance: the smallest step, 5 kg, is not below the most that a holds, 1 g: write",
            ),
        ],
    )
    def test_a_slip_is_a_sentence_and_nothing_is_written(self, tmp_path, options, says):
        done = run("start", tmp_path / "book", *options)
        assert (done.exit_code, done.stdout) == (2, "")
        assert says in done.stderr
        assert files_of(tmp_path) == {}

    @pytest.mark.parametrize("there", ["formulas/workroom.yaml", "formulas/waters/rose.md", "formulas"])
    def test_a_folder_that_holds_a_book_is_left_as_it_is(self, tmp_path, there):
        (tmp_path / there).parent.mkdir(parents=True, exist_ok=True)
        (tmp_path / there).write_text("mine", encoding="utf-8")
        before = files_of(tmp_path)
        done = run("start", tmp_path)
        assert (done.exit_code, done.stdout) == (2, "")
        assert f"Error: {tmp_path} holds a book already, which is left as it is." in done.stderr
        assert files_of(tmp_path) == before

    def test_other_files_stay_and_an_empty_folder_is_filled(self, tmp_path):
        (tmp_path / "formulas").mkdir()
        (tmp_path / "notes.txt").write_text("mine", encoding="utf-8")
        assert run("start", tmp_path).exit_code == 0
        assert (tmp_path / "notes.txt").read_text(encoding="utf-8") == "mine"
        assert check(tmp_path) == []

    def test_at_a_terminal_it_asks_and_asks_again(self, tmp_path, monkeypatch):
        typed = io.StringIO("Kiln book\nfine\nfine, 0.01 g, 200 g\nkitchen, 1 g\n\nnone\nA3\nletter\n")
        typed.isatty = lambda: True  # type: ignore[method-assign]
        monkeypatch.setattr("bookgen.cli.new.sys.stdin", typed)
        with pytest.raises(SystemExit) as ended:
            main(["start", str(tmp_path / "book")])
        assert ended.value.code == 0
        room = check_book(tmp_path / "book").book.workroom
        assert (room.title, [one.name for one in room.balances]) == ("Kiln book", ["fine", "kitchen"])
        assert (room.droppers, room.paper) == ((), "Letter")

    def test_ctrl_c_while_it_asks_says_that_nothing_was_written(self, tmp_path, monkeypatch, capsys):
        class Typing(io.StringIO):
            def isatty(self) -> bool:
                return True

            def readline(self, size: int = -1, /) -> str:
                line = super().readline()
                if not line:
                    raise KeyboardInterrupt
                return line

        monkeypatch.setattr("bookgen.cli.new.sys.stdin", Typing("Kiln book\nfine, 0.01 g, 200 g\n"))
        with pytest.raises(SystemExit) as ended:
            main(["start", str(tmp_path / "book")])
        assert ended.value.code == 130
        assert capsys.readouterr().err.endswith("Interrupted; nothing was written.\n")
        assert files_of(tmp_path) == {}

    def test_at_a_terminal_a_book_that_is_there_is_told_before_anything_is_asked(self, tmp_path, monkeypatch, capsys):
        run("start", tmp_path)
        typed = io.StringIO("never read\n")
        typed.isatty = lambda: True  # type: ignore[method-assign]
        monkeypatch.setattr("bookgen.cli.new.sys.stdin", typed)
        with pytest.raises(SystemExit) as ended:
            main(["start", str(tmp_path)])
        assert ended.value.code == 2
        assert "Title" not in capsys.readouterr().err
        assert typed.read() == "never read\n"


class TestAdd:
    @pytest.fixture
    def book(self, tmp_path) -> Path:
        book = write_book(tmp_path, {"loose": formula("L-01", "water: to 100 g")})
        (book / "formulas" / "waters").mkdir()
        (book / "formulas" / "waters" / "rose.md").write_text(formula("W-01", "water: to 100 g"), encoding="utf-8")
        return book

    def test_a_formula_goes_where_codes_with_its_letters_are(self, book):
        before = files_of(book)
        done = run("add", "W-02", "Orange-flower water", "--book", book)
        assert (done.exit_code, done.stderr) == (0, "")
        path = "formulas/waters/orange-flower-water.md"
        assert f"Written: {book / path}" in done.stdout
        after = files_of(book)
        assert after.pop(path).decode() == formula_text("W-02", "Orange-flower water")
        assert after == before

    def test_it_waits_for_its_ingredients(self, book):
        run("add", "W-02", "Orange-flower water", "--book", book)
        (told,) = [one for one in check(book) if one["path"].endswith("orange-flower-water.md")]
        assert told["message"].endswith(
            "it has no ingredient, so it makes nothing; write what goes in, a line for each."
        )

    @pytest.mark.parametrize(
        ("code", "options", "path"),
        [
            ("S-01", [], "formulas/new-one.md"),
            ("S-01", ["--chapter", "splashes"], "formulas/splashes/new-one.md"),
            ("W-09", ["--chapter", "formulas/face/day/"], "formulas/face/day/new-one.md"),
        ],
    )
    def test_the_chapter(self, book, code, options, path):
        assert run("add", code, "New one", *options, "--book", book).exit_code == 0
        assert (book / path).is_file()
        assert code in {one.code for one in check_book(book).book.formulas.values()}

    def test_a_material(self, book):
        done = run("add", "glycerol 85 %", "--book", book)
        assert (done.exit_code, done.stderr) == (0, "")
        found = check_book(book).book.materials["glycerol-85"]
        assert (found.name, found.path) == ("glycerol 85 %", "formulas/materials/glycerol-85.md")
        asked = [one["rule"] for one in check(book) if "glycerol" in one["path"]]
        assert asked == ["strength-in-name"], "85 % of what, no program can know"

    @pytest.mark.parametrize(
        ("arguments", "says"),
        [
            (["W-01", "Again"], "W-01 is already the code of Formula W-01: formulas/waters/rose.md."),
            (["w-01", "Again"], "W-01 is already the code of Formula W-01"),
            (["gly", "Again"], "gly is already the material gly: formulas/materials/gly.md."),
            (["S-03"], 'S-03 looks like the code of a formula: write bookgen add S-03 "TITLE"; for a material write'),
            (["s03 "], 's03 looks like the code of a formula: write bookgen add s03 "TITLE"; for a material write'),
            (["Gly"], "gly is already the material gly"),
            (["w 01"], "W-01 is already the code of Formula W-01"),
            (["W-02", "Rose"], "formulas/waters/rose.md is there already and is left as it is"),
            (["W 02", "Rose"], "The code `W 02` may hold only the letters a to z, digits and hyphens."),
            (["W-02", " "], "Give W-02 a title"),
            ([" "], 'Give the material a name: bookgen add "NAME".'),
            (["Ωμέγα"], "`Ωμέγα` has no letter from a to z for a file name"),
            (["W-02", "Rose", "--chapter", "../out"], "`../out` is not a chapter"),
            (["W-02", "Rose", "--chapter", "/etc/x/.."], "is not a chapter"),
            (["W-02", "Rose", "--chapter", "materials"], "formulas/materials/ holds no formulas"),
            (["oil", "--chapter", "waters"], "A material has no chapter"),
            ([], "Name what to add"),
        ],
    )
    def test_what_is_refused_is_a_sentence_and_nothing_is_written(self, book, arguments, says):
        before = files_of(book)
        done = run("add", *arguments, "--book", book)
        assert (done.exit_code, done.stdout) == (2, "")
        assert says in done.stderr
        assert files_of(book) == before

    @pytest.mark.parametrize("arguments", [["W-02", "Elder water"], ["elder"], ["--missing"]])
    def test_nothing_is_added_to_a_book_that_cannot_be_read_whole(self, book, arguments):
        (book / "formulas" / "materials" / "rose.md").write_text("too long" * 20_000, encoding="utf-8")
        before = files_of(book)
        done = run("add", *arguments, "--book", book)
        assert (done.exit_code, done.stdout) == (2, "")
        assert "formulas/materials/rose.md cannot be read and may hold what is to be added" in done.stderr
        assert files_of(book) == before

    def test_another_name_of_a_material_is_told(self, book):
        (book / "formulas" / "materials" / "oil.md").write_text(
            "---\nname: sweet oil\nalso: [salad oil]\n---\n", encoding="utf-8"
        )
        for name in ("Sweet oil", "salad oil"):
            assert f"{name} is a name of oil already" in run("add", name, "--book", book).stderr

    def test_a_file_that_is_no_formula_is_not_written_over(self, book):
        path = book / "formulas" / "waters" / "elder-water.md"
        path.write_bytes(b"\xff")
        assert run("add", "W-02", "Elder water", "--book", book).exit_code == 2
        assert path.read_bytes() == b"\xff"


class TestAddMissing:
    @pytest.fixture
    def book(self, tmp_path) -> Path:
        lines = "water: to 100 g; cornflower-extract: 3 %; W-07: 5 %; sea salt: 2 g; gly-90: 1 %; Ωμέγα: 1 %"
        return write_book(tmp_path, {"one": formula("F-01", lines), "two": formula("F-02", "Sea Salt: to 100 g")})

    def test_each_ingredient_without_a_file_gets_one(self, book):
        before = files_of(book)
        done = run("add", "--missing", "--book", book)
        assert done.exit_code == 0
        written = ["formulas/materials/cornflower-extract.md", "formulas/materials/sea-salt.md"]
        assert [line for line in done.stdout.splitlines() if "Written" in line] == [
            f"Written: {book / path}" for path in written
        ]
        after = files_of(book)
        assert {path: after.pop(path) for path in written} == {
            written[0]: material_text("cornflower extract").encode(),
            written[1]: material_text("sea salt").encode(),
        }
        assert after == before
        assert set(check_book(book).book.naming.unfiled.values()) == {"W-07", "Ωμέγα"}

    @pytest.mark.parametrize(
        ("language", "files"), [("en", ["schalol", "weisses-wachs"]), ("de-CH", ["schaeloel", "weisses-wachs"])]
    )
    def test_no_letter_is_lost_in_the_name_of_a_file(self, tmp_path, language, files):
        lines = "Schälöl: 40 %; Weißes Wachs: to 100 g"
        book = write_book(tmp_path, {"one": formula("F-01", lines)}, {}, f"title: Buch\nlanguage: {language}\n")
        run("add", "--missing", "--book", book)
        assert sorted(path.stem for path in (book / "formulas/materials").iterdir()) == files

    def test_a_slip_and_a_code_are_told_and_get_none(self, book):
        told = run("add", "--missing", "--book", book).stderr.splitlines()
        assert sorted(told) == [
            'No file for W-07, which looks like a code: bookgen add W-07 "TITLE" makes its formula.',
            "No file for gly-90, which may be a slip. Did you mean gly?",
            "No file for Ωμέγα. `Ωμέγα` has no letter from a to z for a file name: write it in such letters.",
        ]

    def test_the_second_time_there_is_nothing_to_do(self, book):
        run("add", "--missing", "--book", book)
        before = files_of(book)
        done = run("add", "--missing", "--book", book)
        assert (done.exit_code, done.stdout) == (0, "")
        assert files_of(book) == before

    def test_a_book_in_which_all_have_theirs(self, tmp_path):
        run("start", tmp_path)
        assert run("add", "--missing", "--book", tmp_path).stdout == "Every ingredient has its file.\n"

    def test_two_names_for_one_file(self, tmp_path):
        book = write_book(tmp_path, {"one": formula("F-01", "sea_moss: 5 g; sea moss: 5 g; elder: to 100 g")})
        done = run("add", "--missing", "--book", book)
        assert "it would be formulas/materials/sea-moss.md as well" in done.stderr
        assert "elder.md" in done.stdout

    def test_all_or_none(self, book, monkeypatch):
        before, link, calls = files_of(book), os.link, []

        def second(fresh: Path, target: Path) -> None:
            calls.append(target)
            if len(calls) == 2:
                target.write_text("mine", encoding="utf-8")
            link(fresh, target)

        monkeypatch.setattr(os, "link", second)
        assert run("add", "--missing", "--book", book).exit_code == 2
        calls[1].unlink()
        assert files_of(book) == before

    @pytest.mark.parametrize("more", [["S-01"], ["--chapter", "waters"]])
    def test_it_goes_alone(self, book, more):
        assert "--missing goes alone" in run("add", "--missing", *more, "--book", book).stderr


class TestWhatIsWritten:
    """The new files say what `model.py` says, and read back as what was asked for."""

    @pytest.mark.parametrize(
        ("kind", "text"), [("formula", formula_text("S-02", "Rose")), ("material", material_text("rose oil"))]
    )
    def test_every_key_stands_there_with_its_meaning(self, kind, text):
        for key, meaning in key_tables()[kind]:
            assert f"\n# {key}: {meaning}\n" in text or f"\n{key}:" in text, key
        assert set(json_schemas()[kind]["required"]) == {
            line.partition(":")[0]
            for line in text.splitlines()
            if line.partition(":")[0] in json_schemas()[kind]["required"]
        }

    @settings(max_examples=200)
    @given(title=st.text(st.characters(codec="utf-8", exclude_categories=("C", "Zl", "Zp")), min_size=1, max_size=60))
    def test_a_name_reads_back_as_it_was_given(self, title):
        wanted = " ".join(title.split())
        assume(wanted)
        book = book_from({
            "formulas/x.md": formula_text("X-01", title).encode(),
            "formulas/materials/y.md": material_text(title).encode(),
        })  # fmt: skip
        assert book.formulas["x-01"].title == wanted
        assert book.materials["y"].name == wanted
        assert {one.rule for one in book.findings} <= {"control-character"}

    @given(title=st.text(max_size=80), language=st.sampled_from(["en", "de"]))
    def test_a_stem_is_a_file_name_of_the_book(self, title, language):
        stem = stem_of(title, language)
        assert len(stem) <= 40
        assert set(stem) <= set("abcdefghijklmnopqrstuvwxyz0123456789-")


class TestWholeOrNothing:
    @pytest.mark.parametrize(
        ("operation", "command"),
        [
            ("fsync", ("start",)),
            ("rename", ("start",)),
            ("mkdir", ("start",)),
            ("fsync", ("add", "W-02", "Elder water", "--chapter", "new")),
            ("mkdir", ("add", "W-02", "Elder water", "--chapter", "new")),
            ("fsync", ("add", "elder")),
        ],
    )
    def test_a_disk_that_refuses_leaves_nothing(self, tmp_path, monkeypatch, operation, command):
        place = tmp_path / "book"
        where: list[object] = [place] if command == ("start",) else ["--book", place]
        if where[0] == "--book":
            assert run("start", place).exit_code == 0
        before = files_of(tmp_path)

        def full(*_: object, **__: object) -> None:
            raise OSError(errno.ENOSPC, "No space left on device")

        monkeypatch.setattr(os, operation, full)
        done = run(*command, *where)
        monkeypatch.undo()
        assert done.exit_code == 3
        assert done.stderr.startswith("Cannot write ")
        assert done.stderr.endswith("the disk is full; nothing was written.\n")
        assert files_of(tmp_path) == before

    def test_what_was_begun_may_be_gone_already(self, tmp_path, monkeypatch):
        """Then the reason is still that of the disk, not that there is nothing to take away."""

        def full(begun: str, _: Path) -> None:
            shutil.rmtree(begun)
            raise OSError(errno.ENOSPC, "No space left on device")

        monkeypatch.setattr(os, "rename", full)
        done = run("start", tmp_path / "book")
        monkeypatch.undo()
        assert (done.exit_code, done.stderr.endswith("the disk is full; nothing was written.\n")) == (3, True)
        assert files_of(tmp_path) == {}

    def test_a_file_system_without_links(self, tmp_path, monkeypatch):
        run("start", tmp_path)

        def never(*_: object, **__: object) -> None:
            raise OSError(errno.EPERM, "Operation not permitted")

        monkeypatch.setattr(os, "link", never)
        assert run("add", "elder", "--book", tmp_path).exit_code == 0
        assert run("add", "elder", "--book", tmp_path).exit_code == 2
        assert [one for one in files_of(tmp_path) if "/." in one] == []

    def test_something_that_comes_in_between_is_not_written_over(self, tmp_path, monkeypatch):
        run("start", tmp_path)
        target = tmp_path / "formulas" / "materials" / "elder.md"
        link = os.link

        def late(fresh: Path, place: Path) -> None:
            target.write_text("mine", encoding="utf-8")
            link(fresh, place)

        monkeypatch.setattr(os, "link", late)
        done = run("add", "elder", "--book", tmp_path)
        assert (done.exit_code, target.read_text(encoding="utf-8")) == (2, "mine")
        assert [one for one in files_of(tmp_path) if "/." in one] == []


def test_the_findings_of_a_new_book_are_json_too(tmp_path):
    run("start", tmp_path)
    assert json.loads(run("check", "--json", "--book", tmp_path).stdout)["findings"] == []
