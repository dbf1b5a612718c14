"""Commands whose input, output or messages lead nowhere, as a scheduler or a detached terminal starts them."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

from tests.pages.small_binder import run

from .conftest import environment


def in_shell(line: str, closed: str, cache: Path) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        ["sh", "-c", f"{sys.executable} -m bookgen {line} {closed}"],
        env=environment(XDG_CACHE_HOME=str(cache)), capture_output=True, encoding="utf-8", timeout=120, check=False,
    )  # fmt: skip


@pytest.mark.parametrize(
    ("command", "closed", "code"),
    [("check", "0<&-", 0), ("site", "2>&-", 0), ("weigh nothing", "2>&-", 2), ("filed", "0<&- >&- 2>&-", 2)],
)
def test_a_closed_stream_changes_no_exit_code(sound, cache, command, closed, code):
    done = in_shell(f"{command} --book {sound}", closed, cache)
    assert (done.returncode, done.stderr) == (code, "")
    assert (done.stdout != "") is (code == 0)


def test_nothing_that_is_opened_takes_the_place_of_a_closed_stream(sound, cache):
    """Whatever a library says on the stream of messages must not end up in a page."""
    opened, closed = sound / "open", sound / "closed"
    wanted = run("publish", "--book", sound, "--out", opened, XDG_CACHE_HOME=str(cache))
    done = in_shell(f"publish --book {sound} --out {closed}", "0<&- >&- 2>&-", cache)
    assert (done.returncode, done.stderr, done.stdout) == (wanted.exit_code, "", "")
    assert sorted(one.name for one in opened.iterdir()) == sorted(one.name for one in closed.iterdir())
    assert (opened / "binder.pdf").read_bytes() == (closed / "binder.pdf").read_bytes()
