"""Reading from a disk: what belongs to a book, and what does not get in."""

from __future__ import annotations

import os
import time
from pathlib import Path

import pytest

from bookgen.model import Book
from bookgen.source import Memory, read_book
from bookgen.source.front import LARGEST
from bookgen.source.memory import SETTLED_NS
from bookgen.written import Picture, lines_of
from tests.books_of_text import dot

FORMULA = "---\ncode: A-1\ntitle: One\ningredients:\n  x: to 1 g\n---\n"


def book(folder: Path, **files: str) -> Path:
    (folder / "formulas" / "materials").mkdir(parents=True)
    (folder / "formulas" / "a.md").write_text(FORMULA, encoding="utf-8")
    return folder


def found(read: Book) -> list[tuple[str, str]]:
    return [(one.rule, str(one.place)) for one in read.findings]


def test_a_folder_without_formulas_is_no_book(tmp_path: Path) -> None:
    assert found(read_book(tmp_path)) == [("no-book", "formulas")]


def test_chapters_are_folders_and_other_files_are_passed_over(tmp_path: Path) -> None:
    top = book(tmp_path) / "formulas"
    (top / "waters" / "old").mkdir(parents=True)
    (top / "waters" / "old" / "b.md").write_text(FORMULA.replace("A-1", "B-1"), encoding="utf-8")
    (top / ".hidden.md").write_text("x", encoding="utf-8")
    (top / ".git").mkdir()
    (top / ".git" / "c.md").write_text("x", encoding="utf-8")
    (top / "list.ods").write_bytes(b"\0")
    (tmp_path / "README.md").write_text("x", encoding="utf-8")
    read = read_book(tmp_path)
    assert found(read) == []
    assert {key: formula.chapter for key, formula in read.formulas.items()} == {"a-1": "", "b-1": "waters/old"}


def test_a_wrong_ending_is_told(tmp_path: Path) -> None:
    top = book(tmp_path) / "formulas"
    (top / "workroom.yml").write_text("title: x", encoding="utf-8")
    (top / "b.MD").write_text(FORMULA, encoding="utf-8")
    read = read_book(tmp_path)
    assert found(read) == [("wrong-file-name", "formulas/b.MD"), ("wrong-file-name", "formulas/workroom.yml")]
    assert [one.severity for one in read.findings] == ["error", "error"]
    assert read.unread == ("formulas/b.MD", "formulas/workroom.yml")


def test_a_file_name_of_a_material_is_its_name(tmp_path: Path) -> None:
    top = book(tmp_path) / "formulas"
    (top / "materials" / "bee wax.md").write_text("---\nname: wax\n---\n", encoding="utf-8")
    assert found(read_book(tmp_path)) == [("bad-name", "formulas/materials/bee wax.md")]


def test_a_file_name_that_is_not_utf_8(tmp_path: Path) -> None:
    top = book(tmp_path) / "formulas"
    try:
        with open(os.fsencode(top) + b"/\xff.md", "wb") as file:
            file.write(FORMULA.encode())
    except OSError:
        return  # a disk that allows no such name cannot have the trouble
    ((rule, place),) = found(read_book(tmp_path))
    assert (rule, place.encode("utf-8").decode()) == ("bad-name", place)


def test_a_link_out_of_the_book_is_not_followed(tmp_path: Path) -> None:
    (tmp_path / "secret.md").write_text(FORMULA.replace("A-1", "SECRET"), encoding="utf-8")
    (tmp_path / "elsewhere").mkdir()
    (tmp_path / "elsewhere" / "d.md").write_text(FORMULA.replace("A-1", "SECRET-2"), encoding="utf-8")
    root = book(tmp_path / "book")
    (root / "formulas" / "b.md").symlink_to(tmp_path / "secret.md")
    (root / "formulas" / "c.md").symlink_to(tmp_path / "nowhere.md")
    (root / "formulas" / "folder").symlink_to(tmp_path / "elsewhere")
    (root / "formulas" / "loop.md").symlink_to(root / "formulas" / "loop.md")
    read = read_book(root)
    assert found(read) == [
        ("link-out-of-book", "formulas/b.md"),
        ("link-out-of-book", "formulas/c.md"),
        ("link-out-of-book", "formulas/folder"),
        ("link-out-of-book", "formulas/loop.md"),
    ]
    assert list(read.formulas) == ["a-1"]
    assert read.unread == ("formulas/b.md", "formulas/c.md", "formulas/folder", "formulas/loop.md")


def test_a_link_inside_the_book_is_read(tmp_path: Path) -> None:
    root = book(tmp_path)
    (root / "kept").mkdir()
    (root / "kept" / "b.md").write_text(FORMULA.replace("A-1", "B-1"), encoding="utf-8")
    (root / "formulas" / "b.md").symlink_to(root / "kept" / "b.md")
    assert list(read_book(root).formulas) == ["a-1", "b-1"]


def test_an_image_through_a_link_out_of_the_book_stays_out(tmp_path: Path) -> None:
    (tmp_path / "secret.png").write_bytes(b"secret")
    root = book(tmp_path / "book")
    (root / "formulas" / "jar.png").symlink_to(tmp_path / "secret.png")
    (root / "formulas" / "ok.png").write_bytes(dot(1))
    body = "\n![a](jar.png) ![b](ok.png) ![c](../../secret.png) ![d](/etc/x.png)\n"
    (root / "formulas" / "a.md").write_text(FORMULA + body, encoding="utf-8")
    read = read_book(root)
    assert [one.rule for one in read.findings] == ["refused-image"] * 3
    assert dict(read.files) == {"formulas/ok.png": dot(1)}
    (section,) = read.formulas["a-1"].body.sections
    (line,) = lines_of(section.blocks)
    assert [piece.address for piece in line if isinstance(piece, Picture)] == ["ok.png"]


def test_an_image_is_read_again_only_when_its_file_is_another(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    root = book(tmp_path / "book")
    jar = root / "formulas" / "jar.png"
    jar.write_bytes(dot(1))
    (root / "formulas" / "a.md").write_text(f"{FORMULA}\n![a](jar.png)\n", encoding="utf-8")
    for file in (root / "formulas").rglob("*.*"):
        os.utime(file, ns=(0, 0))
    asked: list[str] = []
    whole = Path.read_bytes
    monkeypatch.setattr(Path, "read_bytes", lambda path: asked.append(path.name) or whole(path))
    monkeypatch.setattr("bookgen.source.memory.time_ns", lambda: time.time_ns() + 10 * SETTLED_NS)
    memory = Memory()
    for _ in range(3):
        assert dict(read_book(root, memory).files) == {"formulas/jar.png": dot(1)}
    assert asked == ["jar.png"]
    jar.write_bytes(dot(2))  # of the same size
    assert dict(read_book(root, memory).files) == {"formulas/jar.png": dot(2)}
    jar.unlink()
    assert [one.rule for one in read_book(root, memory).findings] == ["refused-image"]
    (root / "formulas" / "a.md").write_text(FORMULA, encoding="utf-8")
    read_book(root, memory)
    assert "formulas/jar.png" not in memory.contents


def test_a_book_that_is_read_once_does_not_hold_its_files(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    root = book(tmp_path / "book")
    (root / "formulas" / "jar.png").write_bytes(dot(1))
    (root / "formulas" / "a.md").write_text(f"{FORMULA}\nOf 7 g x. ![a](jar.png)\n", encoding="utf-8")
    (root / "formulas" / "workroom.yaml").write_text("title: Ours\n", encoding="utf-8")
    monkeypatch.setattr("bookgen.source.memory.time_ns", lambda: time.time_ns() + 10 * SETTLED_NS)
    once, lasting = Memory(lasting=False), Memory()
    assert read_book(root, once) == read_book(root, lasting) == read_book(root)
    assert (once.contents, once.fronts, once.bodies) == ({}, {}, {})
    assert set(lasting.contents) == {"formulas/a.md", "formulas/jar.png", "formulas/workroom.yaml"}
    assert set(lasting.fronts) == set(lasting.bodies) == {"formulas/a.md"}


def test_a_file_of_ten_megabytes_is_a_finding_and_no_wait(tmp_path: Path) -> None:
    root = book(tmp_path)
    (root / "formulas" / "big.md").write_text(FORMULA + "x [" * 3_500_000, encoding="utf-8")
    start = time.monotonic()
    read = read_book(root)
    assert found(read) == [("file-too-large", "formulas/big.md")]
    assert time.monotonic() - start < 2
    assert (read.findings[0].place.line, read.findings[0].place.column) == (0, 0)  # the file, no place in it
    assert "is 10253 kB long; more than 128 kB is not read." in read.findings[0].message  # rounded down


@pytest.mark.parametrize(
    "sign", ["[", "![", "*", "_a_", "`", "<", "> ", "- ", "\\", "&", "](", "|a", "\t", "[a](", "1. "]
)
def test_the_largest_file_is_read_in_seconds(tmp_path: Path, sign: str) -> None:
    root = book(tmp_path)
    text = FORMULA + sign * ((LARGEST - len(FORMULA)) // len(sign))
    (root / "formulas" / "a.md").write_text(text, encoding="utf-8")
    start = time.monotonic()
    read_book(root)
    assert time.monotonic() - start < 20


def test_a_missing_permission_is_a_finding(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    root = book(tmp_path)
    real = open

    def refuse(path: object, *rest: object, **more: object) -> object:
        if str(path).endswith("a.md"):
            raise PermissionError(13, "Permission denied")
        return real(path, *rest, **more)  # type: ignore[call-overload]

    monkeypatch.setattr("builtins.open", refuse)
    assert found(read_book(root)) == [("unreadable-file", "formulas/a.md")]
