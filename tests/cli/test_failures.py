"""What goes wrong from outside: no room, no right to write, Ctrl-C.  The earlier pages stay whole."""

from __future__ import annotations

import errno
import os
import resource
import signal
import subprocess
import sys
import time
from itertools import pairwise
from pathlib import Path

import pytest
from click.testing import CliRunner

from bookgen.cli import main, start
from bookgen.press.disk import Disk
from tests.books_of_text import formula, write_book

from .conftest import environment


def run(*arguments: object):
    result = CliRunner(env={"SOURCE_DATE_EPOCH": ""}).invoke(main, [*map(str, arguments)])
    assert isinstance(result.exception, SystemExit | None), result.exception
    return result


def contents(folder: Path) -> dict[str, bytes]:
    return {one.relative_to(folder).as_posix(): one.read_bytes() for one in folder.rglob("*") if one.is_file()}


@pytest.fixture
def published(sound):
    """A book with its pages, changed since."""
    assert run("site", "--book", sound).exit_code == 0
    path = sound / "formulas" / "lotion.md"
    path.write_text(path.read_text(encoding="utf-8").replace("gly: 5 %", "gly: 6 %"), encoding="utf-8")
    return sound


@pytest.mark.parametrize(
    ("number", "words"), [(errno.ENOSPC, "the disk is full"), (errno.EROFS, "the disk is read-only")]
)
@pytest.mark.parametrize("operation", ["make_folder", "write", "rename"])
def test_a_disk_that_refuses(published, monkeypatch, number, words, operation):
    before = contents(published / "site")

    def refuse(*_: object) -> None:
        raise OSError(number, os.strerror(number))

    with monkeypatch.context() as patch:
        patch.setattr(Disk, operation, refuse)
        result = run("site", "--book", published)
    assert (result.exit_code, result.stdout) == (3, "")
    told = "it could not be replaced." if operation == "rename" else f"{words}; what was there stays as it was."
    assert f"Cannot write {published / 'site'}: {told}" in " ".join(result.stderr.split())
    assert contents(published / "site") == before
    assert run("site", "--book", published).exit_code == 0
    assert contents(published / "site") != before
    assert {one.name for one in published.iterdir()} == {"formulas", "site"}


def test_no_more_room_for_a_file_in_a_real_process(published):
    """The system itself refuses files above 2,000 bytes, as it refuses when a quota is reached."""
    before = contents(published / "site")
    done = subprocess.run(
        [sys.executable, "-m", "bookgen", "site", "--book", published],
        env=environment(PYTHONDONTWRITEBYTECODE="1"), capture_output=True, encoding="utf-8", timeout=60,
        preexec_fn=lambda: resource.setrlimit(resource.RLIMIT_FSIZE, (2000, 2000)),
    )  # fmt: skip
    assert (done.returncode, done.stdout) == (3, "")
    assert "what was there stays as it was." in done.stderr
    assert "Traceback" not in done.stderr
    assert contents(published / "site") == before


@pytest.mark.parametrize("command", ["publish", "site", "binder"])
@pytest.mark.parametrize("out", ["/proc/bookgen/site", "/dev/null/site", "formulas/lotion.md/site"])
def test_a_place_where_nothing_can_be_written(sound, command, out):
    before = contents(sound)
    result = run(command, "--book", sound, "--out", sound / out)
    assert (result.exit_code, result.stdout) == (3, "")
    assert result.stderr.splitlines()[-1].startswith("Cannot write ")
    assert "File exists" not in result.stderr
    assert contents(sound) == before


def test_a_folder_that_holds_other_things(sound):
    (sound / "site").mkdir()
    (sound / "site" / "letters.txt").write_text("mine", encoding="utf-8")
    result = run("site", "--book", sound)
    assert (result.exit_code, result.stdout) == (3, "")
    assert "site" in result.stderr
    assert contents(sound / "site") == {"letters.txt": b"mine"}


def test_an_output_that_is_a_file(sound):
    (sound / "site").write_text("mine", encoding="utf-8")
    result = run("site", "--book", sound)
    assert result.exit_code in (2, 3)
    assert (sound / "site").read_text(encoding="utf-8") == "mine"


@pytest.mark.parametrize("out", ["", ".", "..", "/", "formulas/..", "here/../.", "../sound"])
@pytest.mark.parametrize("command", ["site", "binder"])
def test_a_folder_that_must_not_be_replaced_as_a_whole_is_wrong_use(sound, monkeypatch, command, out):
    monkeypatch.chdir(sound)
    before = contents(sound.parent)
    result = run(command, "--out", out)
    assert (result.exit_code, result.stdout) == (2, "")
    assert " holds the book and would be replaced as a whole; name a folder " in " ".join(result.stderr.split())
    assert contents(sound.parent) == before
    empty = sound.parent / "empty"
    empty.mkdir()
    monkeypatch.chdir(empty)
    if out in ("", "."):
        assert run(command, "--book", sound, "--out", out).exit_code == 2, "the folder one is in would be gone"


def test_a_way_there_and_back_leads_to_the_same_folder(published, monkeypatch):
    monkeypatch.chdir(published)
    before = contents(published / "site")
    result = run("site", "--out", "site/../site")
    assert (result.exit_code, result.stdout) == (0, f"{published / 'site' / 'index.html'}\n")
    assert contents(published / "site") != before
    assert {one.name for one in published.iterdir()} == {"formulas", "site"}


@pytest.mark.parametrize("operation", ["remove_folder", "delete"])
def test_interrupted_after_the_new_pages_have_their_place(published, monkeypatch, operation):
    before = contents(published / "site")

    def interrupt(*_: object) -> None:
        raise KeyboardInterrupt

    with monkeypatch.context() as patch:
        patch.setattr(Disk, operation, interrupt)
        result = run("site", "--book", published)
    assert (result.exit_code, result.stdout) == (130, "")
    assert result.stderr.splitlines()[-1] == "Interrupted; what was made is in its place."
    assert contents(published / "site") != before
    assert run("site", "--book", published).exit_code == 0
    assert {one.name for one in published.iterdir()} == {"formulas", "site"}


def test_interrupted_while_it_is_told_what_was_made(published, monkeypatch):
    def interrupt(*_: object, **__: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr("bookgen.pipeline.publishing.set_aside", lambda _: ("told",))
    monkeypatch.setattr("bookgen.cli.book.say", interrupt)
    monkeypatch.setattr("bookgen.cli.book.say_findings", lambda _: None)
    result = run("site", "--book", published)
    assert result.exit_code == 130
    assert result.stderr.strip() == "Interrupted; what was made is in its place."


def test_an_unknown_look(sound):
    (sound / "formulas" / "workroom.yaml").write_text("theme: nowhere\n", encoding="utf-8")
    result = run("site", "--book", sound)
    assert result.exit_code in (1, 3)
    assert result.stderr


@pytest.mark.parametrize("everyone", [True, False], ids=["from the keyboard", "to the command alone"])
def test_interrupted_while_the_sheets_are_printed(tmp_path, cache, everyone):
    """Ctrl-C in the middle ends every process, and the earlier pages stay."""
    many = {f"f{number}": formula(f"F-{number}", "water: to 100 g") for number in range(40)}
    place = write_book(tmp_path / "many", many, {"water": "water: 100 %"})
    assert run("site", "--book", place).exit_code == 0
    before = contents(place / "site")
    (place / "formulas" / "f0.md").write_text(formula("F-0", "water: to 200 g"), encoding="utf-8")
    cold = tmp_path / "cold"
    command = subprocess.Popen(
        [sys.executable, "-m", "bookgen", "publish", "--book", place],
        env=environment(XDG_CACHE_HOME=str(cold)), stdout=subprocess.PIPE, stderr=subprocess.PIPE,
        start_new_session=True,
    )  # fmt: skip
    while not any(one.is_file() for one in cold.rglob("*")):  # until the first leaf is printed
        assert command.poll() is None
        time.sleep(0.02)
    if everyone:
        os.killpg(command.pid, signal.SIGINT)
    else:
        os.kill(command.pid, signal.SIGINT)
    out, told = command.communicate(timeout=60)
    assert command.returncode == 130
    assert out == b""
    assert b"Interrupted; the earlier pages are as they were." in told
    assert b"Traceback" not in told
    assert contents(place / "site") == before
    assert {one.name for one in place.iterdir()} == {"formulas", "site"}
    assert _gone(command.pid)


def test_a_terminal_is_told_how_far_the_sheets_are(monkeypatch, capsys):
    monkeypatch.setattr("sys.stderr.isatty", lambda: True)
    tell = start.progress("sheets")
    assert tell is not None
    tell(1, 2)
    tell(2, 2)
    assert capsys.readouterr().err == "\rsheets: 1 of 2\rsheets: 2 of 2\n"


def test_a_terminal_is_told_how_long_it_takes_from_what_was_done_in_this_run(monkeypatch, capsys):
    monkeypatch.setattr("sys.stderr.isatty", lambda: True)
    now = 0.0
    tell = start.progress("sheets", clock=lambda: now)
    assert tell is not None
    tell(200, 300)  # kept from earlier runs: they say nothing of the time
    for done in range(201, 301):
        now += 2
        tell(done, 300)
    lines = capsys.readouterr().err.split("\r")[1:]
    assert [line.rstrip(" ") for line in (lines[0], lines[4], lines[5], lines[60], lines[95], lines[99])] == [
        "sheets: 200 of 300",
        "sheets: 204 of 300",
        "sheets: 205 of 300, about 4 min left",
        "sheets: 260 of 300, about 80 s left",
        "sheets: 295 of 300, about 10 s left",
        "sheets: 299 of 300, about 10 s left",
    ]
    # A shorter line leaves nothing of a longer one, and the last ends the line.
    assert all(len(after) >= len(before.rstrip(" ")) for before, after in pairwise(lines))
    assert lines[100].endswith("\n")
    assert lines[100].rstrip(" \n") == "sheets: 300 of 300"
    now += 1000  # a second go begins anew
    tell(0, 2)
    tell(2, 2)
    assert capsys.readouterr().err == "\rsheets: 0 of 2\rsheets: 2 of 2\n"


def test_a_pipe_is_told_nothing(monkeypatch):
    monkeypatch.setattr("sys.stderr.isatty", lambda: False)
    assert start.progress("sheets") is None


def _gone(group: int) -> bool:
    """True once no process of the command is left."""
    for _ in range(100):
        try:
            os.killpg(group, 0)
        except ProcessLookupError:
            return True
        time.sleep(0.05)
    return False


def test_interrupted_while_the_program_loads(sound):
    line = (
        "import runpy, sys\n"
        "class Interrupts:\n"
        "    def find_spec(self, name, *_):\n"
        "        if name == 'click':\n"
        "            raise KeyboardInterrupt\n"
        "sys.meta_path.insert(0, Interrupts())\n"
        "runpy.run_module('bookgen', run_name='__main__')\n"
    )
    command = [sys.executable, "-c", line, "check", "--book", str(sound)]
    done = subprocess.run(command, capture_output=True, text=True, env=environment(), check=False, timeout=60)
    assert (done.returncode, done.stdout) == (130, "")
    assert done.stderr.strip() == "Interrupted; nothing was begun."


def test_interrupted_while_a_class_is_made(sound, monkeypatch):
    def load(_: object) -> None:
        raise RuntimeError("Error calling __set_name__") from KeyboardInterrupt()

    monkeypatch.setattr("bookgen.cli.book.checked_book", load)
    result = run("site", "--book", sound)
    assert result.exit_code == 130
    assert result.stderr.strip() == "Interrupted; the earlier pages are as they were."
