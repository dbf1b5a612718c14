"""The edition for others: nothing of the keeper's is in any of its files, and the keeper's own edition has it."""

from __future__ import annotations

from pathlib import Path

import pikepdf
import pytest
from click.testing import CliRunner, Result
from pypdf import PdfReader

from bookgen.cli import main
from bookgen.pipeline import digest_of
from tests.books_of_text import MATERIALS, ON_THAT_DAY, dot, formula, write_book

SHOWN = (
    "ZWMARKLOT-1", "ZWMARKLOTNOTE", "ZWMARKSUPPLIER", "ZWMARKKEEPERFORMULA", "ZWMARKKEEPERMATERIAL",
    "ZWMARKKEEPERBATCH", "ZWMARKNOTES", "ZWMARKOBSERVED", "ZWMARKNEXTTIME", "C-01-2026-02-03",
    "N-01-2026-02-01", "77.31", "49.77",
)  # fmt: skip
"""What the keeper's own pages say: lots, prices, records, the keeper's own text."""
BROKEN = "ZWMARKPRICE"
"""What a sentence on a mistake repeats, that bars a formula."""
PICTURE = dot(77)
PHOTOGRAPH = dot(78)
"""Of a batch."""
PUBLIC = "The others may read this."


@pytest.fixture(scope="module")
def book(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A book with a mark in every private place."""
    folder = tmp_path_factory.mktemp("marked")
    keepers = (
        "\n\n## For the keeper\n\nZWMARKKEEPER{}, [a little](amount:gly), ![ZWMARKPICTURE](secret.png).\n\n## Notes\n\n"
    )
    write_book(
        folder,
        {
            "base": formula("N-01", "gly: 40 g; water: to 100 g"),
            "cream": formula("C-01", "N-01: 50 g; gly: 5 g; a: to 100 g") + keepers.format("FORMULA") + PUBLIC
            + " [The rest](amount:a).",
            "barred": formula("G-01", "b: 20 g; water: to 100 g"),
        },
        {
            **MATERIALS,
            "gly": "density: 1.26\nwater: 0 %\nlots:\n"
            "  ZWMARKLOT-1: {received: 2026-01-10, amount: 1 kg, price: 77.31 EUR/kg, supplier: ZWMARKSUPPLIER, "
            "note: ZWMARKLOTNOTE}",
            "b": "water: 0 %\nlots:\n  ZWMARKLOT-2: {price: ZWMARKPRICE}",
        },
    )  # fmt: skip
    at = folder / "formulas"
    (at / "secret.png").write_bytes(PICTURE)
    (at / "ZWMARKPHOTOGRAPH.png").write_bytes(PHOTOGRAPH)
    material = at / "materials" / "gly.md"
    material.write_text(
        material.read_text() + "\n## For the keeper: prices\n\nZWMARKKEEPERMATERIAL\n\n## Notes\n\n" + PUBLIC,
        encoding="utf-8",
    )
    (at / "batches").mkdir()
    (at / "batches" / "N-01-2026-02-01.md").write_text(
        "---\nbatch: N-01-2026-02-01\nof: N-01, issue 1\nmade: 2026-02-01\nobtain: 100 g\nweighed:\n"
        "  gly: 40.2 g, lot ZWMARKLOT-1\n  water: 60 g\ncame out: 99 g\n---\n",
        encoding="utf-8",
    )
    (at / "batches" / "C-01-2026-02-03.md").write_text(
        "---\nbatch: C-01-2026-02-03\nof: C-01, issue 1\nmade: 2026-02-03\nobtain: 100 g\nweighed:\n"
        "  N-01: 49.77 g, lot N-01-2026-02-01\n  gly: 5 g, lot ZWMARKLOT-1\n  a: 45 g\nfilled: 2 x 45 g\n"
        "observed:\n  2026-02-10: ZWMARKOBSERVED\nnext time: ZWMARKNEXTTIME\n---\n\n## Notes\n\nZWMARKNOTES\n\n"
        "![The jar after a week](../ZWMARKPHOTOGRAPH.png)\n\n"
        "## For the keeper\n\nZWMARKKEEPERBATCH\n",
        encoding="utf-8",
    )
    return folder


def publish(command: str, book: Path, *options: str) -> Result:
    return CliRunner(env=ON_THAT_DAY).invoke(main, [command, *options, "--book", str(book)])


def read_in(folder: Path) -> dict[str, bytes]:
    """All files by name; of a PDF also its streams unpacked, and its words as they are read."""
    found = {str(path.relative_to(folder)): path.read_bytes() for path in folder.rglob("*") if path.is_file()}
    for name in [name for name in found if name.endswith(".pdf")]:
        with pikepdf.open(folder / name) as pdf:
            for number, thing in enumerate(pdf.objects):
                if isinstance(thing, pikepdf.Stream):
                    found[f"{name}, stream {number}"] = thing.read_bytes()
                else:
                    found[f"{name}, object {number}"] = str(thing).encode()
        words = "".join(page.extract_text() for page in PdfReader(folder / name).pages)
        found[f"{name}, words"] = words.encode()
    return found


@pytest.fixture(scope="module")
def others(book: Path) -> dict[str, bytes]:
    to = book.parent / f"{book.name}-others"
    assert publish("publish", book, "--for", "others", "--to", str(to)).exit_code == 1, "one formula is barred"
    return read_in(to)


def holding(files: dict[str, bytes], mark: bytes) -> list[str]:
    """Which files hold a mark, in their content or as their name."""
    return [name for name, content in files.items() if mark in content or mark.decode("latin-1") in name]


def test_nothing_of_the_keepers_is_in_any_file_for_others(others: dict[str, bytes]) -> None:
    assert {name.partition(",")[0] for name in others} >= {"index.html", "search-terms.js", "binder.pdf"}
    for mark in (*SHOWN, BROKEN, "ZWMARK", "secret.png"):
        assert holding(others, mark.encode()) == [], mark
    assert holding(others, PICTURE) == holding(others, PHOTOGRAPH) == []
    assert not {"findings.html", "batches.html", "shelf.html"} & set(others)
    assert not holding(others, b"or the keeper")


def test_the_rest_is_for_others_as_it_is_for_the_keeper(others: dict[str, bytes]) -> None:
    page = others["formulas/C-01.html"].decode()
    assert PUBLIC in page
    assert "45" in page.partition("The rest")[2][:200], "a link behind the keeper's text has its own amount"
    assert PUBLIC.encode() in others["materials/gly.html"]
    assert b"It has an error, which its keeper has to put right first." in others["formulas/G-01.html"]
    assert PUBLIC in others["binder.pdf, words"].decode().replace("\n", " ")


def test_the_keepers_own_pages_have_it(book: Path) -> None:
    assert publish("site", book).exit_code == 1
    files = read_in(book / "site")
    assert {mark for mark in (*SHOWN, BROKEN) if not holding(files, mark.encode())} == set()
    assert holding(files, PICTURE)
    assert files["pictures/ZWMARKPHOTOGRAPH.png"] == PHOTOGRAPH
    page = files["batches/C-01-2026-02-03.html"].decode()
    assert "../pictures/ZWMARKPHOTOGRAPH.png" in page
    assert "The jar after a week" in page


def test_what_is_the_keepers_is_never_replaced_by_what_is_for_others(book: Path, tmp_path: Path) -> None:
    for options, told in (
        (["--for", "others"], "name a folder with --to DIR"),
        (["--to", str(tmp_path / "x")], "--to goes with --for others"),
        (["--for", "others", "--to", str(tmp_path / "x"), "--out", str(tmp_path / "y")], "--out is for your own pages"),
        (["--for", "others", "--to", str(book / "site")], "holds your own pages"),
        (["--for", "others", "--to", str(book)], "holds the book and would be replaced"),
    ):
        result = publish("site", book, *options)
        assert (result.exit_code, told in result.stderr) == (2, True), result.stderr


def test_pages_for_others_take_the_place_of_all_that_a_folder_held(book: Path, tmp_path: Path) -> None:
    """A binder of the keeper's is made from the same files, and would stay beside them but for whom it is."""
    to = tmp_path / "out"
    assert publish("site", book, "--out", str(to)).exit_code == 1
    assert publish("site", book, "--for", "others", "--to", str(to)).exit_code == 1
    assert not (to / "findings.html").exists()
    assert digest_of(book, others=True) != digest_of(book)


def test_text_whose_end_cannot_be_told_stops_the_edition(tmp_path: Path) -> None:
    book = write_book(
        tmp_path / "book", {"x": formula("X-01", "gly: 5 g; water: to 100 g") + "\n### For the keeper\n\nZWMARK\n"}
    )
    result = publish("site", book, "--for", "others", "--to", str(tmp_path / "out"))
    assert result.exit_code == 1
    assert "formulas/x.md: write `## For the keeper` with two signs" in result.stderr
    assert not (tmp_path / "out").exists()
