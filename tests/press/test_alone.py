"""A file that stands alone: whole or not at all, and over nothing but its like."""

from __future__ import annotations

import errno
import os
from pathlib import Path

import pytest

from bookgen.press.alone import signed, write_alone
from bookgen.press.made import CannotWrite

BODY, OTHER = b"%PDF-1.7\none\n%%EOF\n", b"%PDF-1.7\ntwo\n%%EOF"


def test_an_earlier_one_of_its_sort_is_written_over(tmp_path):
    target = tmp_path / "sheet.pdf"
    write_alone(target, BODY, "worksheet")
    assert target.read_bytes() == signed(BODY, "worksheet")
    assert target.stat().st_mode & 0o777 == 0o666 & ~_umask()
    write_alone(target, OTHER, "worksheet")
    assert target.read_bytes().startswith(OTHER)
    assert os.listdir(tmp_path) == ["sheet.pdf"]


@pytest.mark.parametrize(
    "there",
    [
        b"%PDF-1.7 of somebody else\n%%EOF\n",
        signed(BODY, "label"),
        signed(BODY, "worksheet").replace(b"one", b"0ne"),
        signed(BODY, "worksheet") + b"what a form adds when it is saved\n",
        b"",
    ],
)
def test_anything_else_stays(tmp_path, there):
    target = tmp_path / "sheet.pdf"
    target.write_bytes(there)
    with pytest.raises(CannotWrite) as told:
        write_alone(target, BODY, "worksheet")
    assert told.value.reason == "it is no worksheet as bookgen wrote it, and stays; name another file."
    assert target.read_bytes() == there
    assert os.listdir(tmp_path) == ["sheet.pdf"]


def test_no_link_is_followed_and_no_folder_made(tmp_path):
    (tmp_path / "real.pdf").write_bytes(signed(BODY, "worksheet"))
    (tmp_path / "link.pdf").symlink_to("real.pdf")
    for name, says in (
        ("link.pdf", "something else stands there; name another file."),
        ("no/sheet.pdf", f"there is no folder {tmp_path / 'no'}."),
    ):
        with pytest.raises(CannotWrite) as told:
            write_alone(tmp_path / name, OTHER, "worksheet")
        assert told.value.reason == says
    assert (tmp_path / "real.pdf").read_bytes() == signed(BODY, "worksheet")


@pytest.mark.parametrize("call", ["fsync", "link", "replace"])
@pytest.mark.parametrize("ends", [OSError(errno.ENOSPC, "No space left on device"), KeyboardInterrupt()])
def test_a_full_disk_and_ctrl_c_leave_what_was_there(tmp_path, monkeypatch, call, ends):
    target = tmp_path / "sheet.pdf"
    if call == "replace":
        write_alone(target, BODY, "worksheet")
    before = {path.name: path.read_bytes() for path in tmp_path.iterdir()}

    def fail(*_: object) -> None:
        raise ends

    monkeypatch.setattr(os, call, fail)
    if call == "link" and isinstance(ends, OSError):
        monkeypatch.setattr(os, "rename", fail)
    with pytest.raises((CannotWrite, KeyboardInterrupt)) as told:
        write_alone(target, OTHER, "worksheet")
    if isinstance(told.value, CannotWrite):
        assert told.value.reason == "the disk is full; nothing was written."
    assert {path.name: path.read_bytes() for path in tmp_path.iterdir()} == before


def test_of_two_at_once_none_is_lost(tmp_path, monkeypatch):
    """Another file takes the name while the sheet is made."""
    target = tmp_path / "sheet.pdf"
    sync = os.fsync

    def meanwhile(handle: int) -> None:
        sync(handle)
        target.write_bytes(b"somebody else's")

    monkeypatch.setattr(os, "fsync", meanwhile)
    with pytest.raises(CannotWrite):
        write_alone(target, BODY, "worksheet")
    assert [(path.name, path.read_bytes()) for path in tmp_path.iterdir()] == [("sheet.pdf", b"somebody else's")]


def _umask() -> int:
    held = os.umask(0)
    os.umask(held)
    return held


def test_the_line_behind_the_end_hinders_no_reader(tmp_path):
    import pikepdf
    from pypdf import PdfReader

    with pikepdf.new() as made:
        made.add_blank_page()
        made.save(tmp_path / "plain.pdf")
    target = Path(tmp_path / "sheet.pdf")
    write_alone(target, (tmp_path / "plain.pdf").read_bytes(), "worksheet")
    assert len(PdfReader(target, strict=True).pages) == 1
    with pikepdf.open(target) as read:
        assert len(read.pages) == 1
