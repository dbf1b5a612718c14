"""Files handed on and taken in: what goes along, what never does, what clashes, and that it comes back the same."""

from __future__ import annotations

import os
import shutil
from pathlib import Path

import pytest
from click.testing import CliRunner, Result
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from bookgen.cli import main
from bookgen.pipeline import check_book, files_of, handed
from bookgen.source import read_book
from bookgen.source.sharing import CannotShare, shared
from bookgen.taking import InTheWay, plan_taking, take_in
from tests.books_of_text import formula, write_book

from .test_hand_on import DEMO, KEEPERS, OTHER, PICTURE, SECRET
from .test_hand_on import book as book


def run(*words: object) -> Result:
    result = CliRunner().invoke(main, [*map(str, words)])
    assert isinstance(result.exception, SystemExit | None), result.exception
    return result


def held(folder: Path) -> dict[str, bytes]:
    return {path.relative_to(folder).as_posix(): path.read_bytes() for path in folder.rglob("*") if path.is_file()}


@pytest.fixture
def given_folder(book: Path, tmp_path: Path) -> Path:
    """What C-01 of the marked book is handed on as."""
    folder = tmp_path / "given"
    done = run("hand-on", "C-01", "--folder", folder, "--book", book)
    assert done.exit_code == 0, done.stderr
    assert done.stdout == f"Written: {folder}, {len(held(folder))} files\n"
    return folder


@pytest.fixture
def empty(tmp_path: Path) -> Path:
    (tmp_path / "mine" / "formulas").mkdir(parents=True)
    return tmp_path / "mine"


def test_all_that_it_is_made_of_goes_along_and_nothing_else(given_folder: Path) -> None:
    files = held(given_folder)
    assert set(files) == {
        "formulas/workroom.yaml", "formulas/cream.md", "formulas/base.md", "formulas/oil.md", "formulas/jar.png",
        *(f"formulas/materials/{name}.md" for name in ("water", "gly", "oil", "d")),
    }  # fmt: skip
    assert files["formulas/workroom.yaml"] == b"decimal: point\n"
    assert files["formulas/jar.png"] == PICTURE
    for content in files.values():
        for mark in (b"ZWMARK", b"or the keeper", b"secret", b"77.31", SECRET, OTHER):
            assert mark not in content
    assert b"See [the glycerol](materials/gly.md)." in files["formulas/oil.md"]
    assert b"and another, [the base](base.md)." in files["formulas/cream.md"]


def test_what_is_handed_on_is_a_book_that_says_the_same(given_folder: Path) -> None:
    checked = check_book(given_folder)
    assert not checked.has_errors
    again = files_of(handed(checked, "c-01", bases=True))
    assert again == held(given_folder)


@pytest.mark.parametrize("code", ["B-01", "R-03"])
def test_handed_on_taken_in_and_handed_on_is_the_same_bytes(code: str, tmp_path: Path, empty: Path) -> None:
    given, again = tmp_path / "given", tmp_path / "again"
    assert run("hand-on", code, "--folder", given, "--book", DEMO).exit_code == 0
    assert run("bring", given, "--yes", "--book", empty).exit_code == 0
    assert run("hand-on", code, "--folder", again, "--book", empty).exit_code == 0
    assert held(again) == held(given)


def test_what_is_there_stays_and_the_rest_is_written_after_a_yes(given_folder: Path, empty: Path) -> None:
    asked = run("bring", given_folder, "--book", empty)
    assert (asked.exit_code, held(empty)) == (2, {})
    assert "New files:\n  formulas/base.md\n" in asked.stdout
    assert "say --yes" in asked.stderr
    own = empty / "formulas" / "materials" / "gly.md"
    own.parent.mkdir()
    own.write_text(
        "---\n# mine\nname: gly\ndensity: 1.26\nwater: 0 %\nlots:\n  GL-1: {amount: 1 kg}\n---\n", encoding="utf-8"
    )
    before = own.read_bytes()
    done = run("bring", given_folder, "--yes", "--book", empty)
    assert done.exit_code == 0, done.stderr
    assert "There already, with the same content:\n  formulas/materials/gly.md\n" in done.stdout
    assert done.stdout.endswith("Written: 7 files.\n")
    assert own.read_bytes() == before
    assert set(held(empty)) == set(held(given_folder)) - {"formulas/workroom.yaml"}
    assert run("weigh", "C-01", "--book", empty).exit_code == 0
    again = run("bring", given_folder, "--yes", "--book", empty)
    assert (again.exit_code, again.stdout.splitlines()[-1]) == (0, "Nothing to write.")


@pytest.mark.parametrize(
    ("path", "text", "told"),
    [
        ("materials/gly.md", "---\nname: gly\ndensity: 1.25\n---\n",
         "gly is formulas/materials/gly.md here and formulas/materials/gly.md there, and the two differ."),
        ("mine.md", formula("N-01", "x: 100 g"), "N-01 is formulas/mine.md here and formulas/base.md there"),
        ("materials/x.md", "---\nname: gly\n---\n", "gly of formulas/materials/gly.md is another thing here"),
        ("cream.md", formula("S-01", "x: 100 g"), "formulas/cream.md is there already and holds something else."),
        ("jar.png", "no picture", "formulas/jar.png is there already and holds something else."),
        ("materials/x.md", "---\nname: x\nformerly: [N-02]\n---\n", "N-02 of formulas/oil.md is another thing here"),
    ],
)  # fmt: skip
def test_what_clashes_is_named_with_both_places_and_nothing_is_written(
    given_folder: Path, empty: Path, path: str, text: str, told: str
) -> None:
    file = empty / "formulas" / path
    file.parent.mkdir(exist_ok=True)
    file.write_text(text, encoding="utf-8")
    before = held(empty)
    done = run("bring", given_folder, "--yes", "--book", empty)
    assert (done.exit_code, told in done.stderr) == (2, True), done.stderr
    assert done.stderr.endswith(
        "Nothing was brought in: rename what is here (bookgen rename), or make the two alike.\n"
    )
    assert held(empty) == before


def test_a_name_that_would_mean_something_else_is_a_clash(tmp_path: Path, empty: Path) -> None:
    """`almond` is the name of one material there, and would be that of two here."""
    theirs = write_book(
        tmp_path / "theirs", {"x": formula("X-1", "almond: 5 g; a: to 100 g")}, {"oil-1": "also: [almond]", "a": ""}
    )
    (empty / "formulas" / "materials").mkdir()
    (empty / "formulas" / "materials" / "nut.md").write_text("---\nname: almond\n---\n", encoding="utf-8")
    with pytest.raises(InTheWay, match=r"almond on a line of formulas/x\.md would mean something else here\."):
        plan_taking(empty, theirs)


def test_a_whole_book_of_somebody_else_brings_no_records_of_theirs(book: Path, tmp_path: Path, empty: Path) -> None:
    theirs = Path(shutil.copytree(book, tmp_path / "theirs"))
    (theirs / "formulas" / "barred.md").unlink()
    (theirs / "formulas" / "user.md").unlink()
    planned = plan_taking(empty, theirs)
    take_in(empty, planned)
    files = held(empty)
    assert not [path for path in files if "batches" in path or "secret" in path]
    assert not [path for path, content in files.items() if b"ZWMARKLOT" in content or b"ZWMARKKEEPER" in content]


def spoilt(given: Path, how: str) -> None:
    cream = given / "formulas" / "cream.md"
    if how == "no formulas":
        os.rename(given / "formulas", given / "recipes")
    elif how == "a link out":
        outside = given.parent / "outside.md"
        shutil.move(cream, outside)
        cream.symlink_to(outside)
    elif how == "too large":
        cream.write_bytes(cream.read_bytes() + b" " * 200_000)
    elif how == "broken":
        cream.write_text("---\ncode: C-01\n  x: [\n---\n", encoding="utf-8")
    elif how == "empty":
        shutil.rmtree(given / "formulas")
        (given / "formulas").mkdir()
    elif how == "sign":
        (given / "formulas" / "workroom.yaml").write_text("decimal: comma\n", encoding="utf-8")
        line = "0,5 % as salt 1,5 fold"
        cream.write_text(cream.read_text(encoding="utf-8").replace("0.02 g", line), encoding="utf-8")
    elif how == "many":
        for number in range(501):
            (given / "formulas" / "materials" / f"m{number}.md").write_text(f"---\nname: m{number}\n---\n")


@pytest.mark.parametrize(
    ("how", "told"),
    [
        ("no formulas", "has no folder formulas in it"),
        ("a link out", "The file is a link that leads out of the book"),
        ("too large", "more than 128 kB is not read"),
        ("broken", "formulas/cream.md:"),
        ("empty", "holds no formula and no material."),
        ("sign", "would say something else with a decimal point: write its figures so there"),
        ("many", "more than 500 are not brought in at once."),
    ],
)
def test_a_folder_that_is_not_in_order_is_refused(given_folder: Path, empty: Path, how: str, told: str) -> None:
    spoilt(given_folder, how)
    done = run("bring", given_folder, "--yes", "--book", empty)
    assert (done.exit_code, told in done.stderr) == (2, True), done.stderr
    assert held(empty) == {}


SIGNS = {
    "cream": formula("C-01", "salt: 0.5 % as 1.2-salt, 0.3 of it; water: to 100 g", "pH: 5.0 to 5.5\nyield: 97.5 %")
    + "\n\n## Method\n\n1. Stir [it](amount:salt) for [1.5 hours][wait], or [half of that](time:0.75h), to 2.5 g.\n\n"
    + "[wait]: time:1.5h\n",
}
SALT = {"salt": "contains: {1.2-salt: 99.5 %}\ndensity: 1.25 at 20.5 °C\nhazards: [Burns from 0.5 % on.]"}
TURNED = (
    "0,5 % as 1.2-salt, 0.3 of it",
    "5,0 to 5,5",
    "97,5 %",
    "time:1,5h",
    "time:0,75h",
    "99,5 %",
    "1,25 at 20,5 °C",
)
KEPT = ("to 2.5 g.", "[1.5 hours]", "Burns from 0.5 % on.", "1.2-salt:")


def test_figures_get_the_sign_of_the_book_and_words_stay(tmp_path: Path, empty: Path) -> None:
    theirs = write_book(tmp_path / "theirs", SIGNS, {**SALT, "water": "water: 100 %"})
    (empty / "formulas" / "workroom.yaml").write_text("decimal: comma\n", encoding="utf-8")
    done = run("bring", theirs, "--yes", "--book", empty)
    assert done.exit_code == 0, done.stderr
    assert "Figures are written with a decimal comma, as in this book; words stay as they are." in done.stdout
    text = b"".join(content for path, content in held(empty).items() if path.endswith(".md")).decode()
    assert [said for said in (*TURNED, *KEPT) if said not in text] == []
    mine, other = read_book(empty), read_book(theirs)
    assert [line.amount.value for line in mine.formulas["c-01"].lines if hasattr(line.amount, "value")] == [
        line.amount.value for line in other.formulas["c-01"].lines if hasattr(line.amount, "value")
    ]
    assert [link.seconds for link in mine.formulas["c-01"].body.times] == [5400, 2700]
    again = run("bring", theirs, "--yes", "--book", empty)
    assert (again.exit_code, again.stdout.splitlines()[-1]) == (0, "Nothing to write.")


def test_turned_and_turned_back_is_the_same_bytes(tmp_path: Path) -> None:
    theirs, own, other = DEMO / "tests" / "books" / "german", "comma", "point"
    held_by = []
    for folder, sign, source in (
        ("straight", own, theirs),
        ("there", other, theirs),
        ("back", own, tmp_path / "there"),
    ):
        home = tmp_path / folder / "formulas"
        home.mkdir(parents=True)
        (home / "workroom.yaml").write_text(f"decimal: {sign}\n", encoding="utf-8")
        take_in(tmp_path / folder, plan_taking(tmp_path / folder, source))
        held_by.append(held(tmp_path / folder))
    straight, there, back = held_by
    assert straight == back != there


def test_a_run_that_is_ended_anywhere_leaves_nothing_or_all(given_folder: Path, empty: Path, monkeypatch) -> None:
    planned = plan_taking(empty, given_folder)
    steps = {"fsync": os.fsync, "rename": os.rename, "replace": os.replace}
    seen = set()
    for last in range(0, 80, 6):
        count = 0

        def counted(step, last=last):
            def go(*given, **named):
                nonlocal count
                count += 1
                if count > last:
                    raise KeyboardInterrupt
                return step(*given, **named)

            return go

        with monkeypatch.context() as patch:
            for name, step in steps.items():
                patch.setattr(os, name, counted(step))
            try:
                take_in(empty, planned)
                ended = False
            except KeyboardInterrupt:
                ended = True
        check_book(empty)
        standing = {path: content for path, content in held(empty).items() if "/." not in path}
        assert standing in ({}, dict(planned.files)), last
        seen.add(bool(standing))
        shutil.rmtree(empty / "formulas")
        (empty / "formulas").mkdir()
        if not ended:
            break
    assert not ended
    assert seen == {False, True}


def test_a_full_disk_writes_nothing(given_folder: Path, empty: Path, book: Path, tmp_path: Path, monkeypatch) -> None:
    def full(_: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    done = run("bring", given_folder, "--yes", "--book", empty)
    assert (done.exit_code, "the disk is full; nothing was written" in done.stderr) == (3, True), done.stderr
    assert held(empty) == {}
    monkeypatch.chdir(empty)
    done = run("add", "C-09", "Thin cream")
    assert done.stderr.endswith(f"Cannot write {empty}: the disk is full; nothing was written.\n"), done.stderr
    done = run("hand-on", "C-01", "--folder", tmp_path / "other", "--book", book)
    assert (done.exit_code, "the disk is full" in done.stderr) == (3, True), done.stderr
    assert not (tmp_path / "other").exists()


@pytest.mark.parametrize(
    ("place", "code", "told"), [("{book}/formulas/given", 1, "lies in the book itself"), ("{given}", 3, "holds a book")]
)
def test_where_files_are_not_written(book: Path, given_folder: Path, place: str, code: int, told: str) -> None:
    before = held(given_folder)
    done = run("hand-on", "C-01", "--folder", place.format(book=book, given=given_folder), "--book", book)
    assert (done.exit_code, told in done.stderr) == (code, True), done.stderr
    assert held(given_folder) == before
    assert not (book / "formulas" / "given").exists()


def test_a_trial_takes_its_base_along(tmp_path: Path, empty: Path) -> None:
    theirs = write_book(
        tmp_path / "theirs",
        {
            "base": formula("S-01", "N-01: 5 g; a: to 100 g"),
            "n": formula("N-01", "b: 100 g"),
            "t": "---\ncode: T-01\ntitle: Less\nbased on: S-01\ningredients:\n  N-01: 4 g\n---\n",
        },
    )
    earlier = theirs / "formulas" / "earlier" / "S-01-issue-1.md"
    earlier.parent.mkdir()
    earlier.write_text(formula("S-01", "N-01: 6 g; a: to 100 g", "issue: 1"), encoding="utf-8")
    base = theirs / "formulas" / "base.md"
    base.write_text(base.read_text().replace("title:", "issue: 2\ntitle:"), encoding="utf-8")
    assert run("hand-on", "T-01", "--folder", tmp_path / "t", "--book", theirs).exit_code == 0
    assert run("bring", tmp_path / "t", "--yes", "--book", empty).exit_code == 0
    assert [line.amount.text for line in read_book(empty).formulas["t-01"].lines] == ["4 g", "to 100 g"]


def test_a_trial_of_an_earlier_issue_takes_that_along(tmp_path: Path, empty: Path) -> None:
    """And nothing of the present issue; where its code is another formula here, that is a clash."""
    theirs = write_book(
        tmp_path / "theirs",
        {
            "base": formula("S-01", "b: 5 g; a: to 100 g", "issue: 2"),
            "t": "---\ncode: T-01\ntitle: Less\nbased on: S-01@1\ningredients:\n  d: 4 g\n---\n",
            "u": "---\ncode: T-02\ntitle: Least\nbased on: T-01\ningredients:\n  d: 3 g\n---\n",
        },
    )
    earlier = theirs / "formulas" / "earlier" / "S-01-issue-1.md"
    earlier.parent.mkdir()
    text = formula("S-01", "d: 6 g; a: to 100 g", "issue: 1") + "\n\n## Method\n\n1. Stir [it](amount:d).\n"
    earlier.write_text(text + KEEPERS, encoding="utf-8")
    for code, amount in (("T-01", "4 g"), ("T-02", "3 g")):
        given, mine = tmp_path / code, tmp_path / f"mine-{code}"
        (mine / "formulas").mkdir(parents=True)
        assert run("hand-on", code, "--folder", given, "--book", theirs).exit_code == 0
        assert "formulas/earlier/S-01-issue-1.md" in held(given)
        assert "formulas/base.md" not in held(given)
        assert not [path for path, content in held(given).items() if b"ZWMARK" in content]
        done = run("bring", given, "--yes", "--book", mine)
        assert done.exit_code == 0, done.stderr
        assert [line.amount.text for line in read_book(mine).formulas[code.casefold()].lines] == [amount, "to 100 g"]
        assert run("weigh", code, "--book", mine).exit_code == 0
        again = run("bring", given, "--yes", "--book", mine)
        assert (again.exit_code, again.stdout.splitlines()[-1]) == (0, "Nothing to write.")
    (empty / "formulas" / "s.md").write_text(formula("S-01", "x: 100 g"), encoding="utf-8")
    clash = run("bring", tmp_path / "T-01", "--yes", "--book", empty)
    assert clash.exit_code == 2
    assert "S-01 of formulas/earlier/S-01-issue-1.md is another thing here: formulas/s.md." in clash.stderr


TEXTS = st.text(st.sampled_from("ab1 ,:#\"'\\-%[]{}é\n\t½"), min_size=1, max_size=12).filter(str.strip)


@settings(max_examples=30, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(
    st.dictionaries(
        TEXTS, st.one_of(TEXTS, st.lists(TEXTS, max_size=3), st.dictionaries(TEXTS, TEXTS, max_size=2)), max_size=4
    )
)
def test_any_keys_are_written_so_that_they_read_the_same_and_stay(keys) -> None:
    import json

    import yaml

    content = ("---\n" + json.dumps(keys, ensure_ascii=False) + "\n---\n").encode()
    try:
        once = shared("formulas/x.md", content, set(), comma=False)
    except CannotShare:
        return
    read = yaml.load(once.decode().split("---\n")[1], yaml.BaseLoader)
    assert (read or {}) == {key: value for key, value in keys.items() if key != "lots"}
    assert shared("formulas/x.md", once, set(), comma=False) == once


@pytest.mark.parametrize(
    ("body", "wanted"),
    [
        ("See [this][r] and [that](b.md).\n\n[r]: https://example.org \"T\"\n[gone]: https://hidden.example\n",
         'See [this][r] and that.\n\n[R]: <https://example.org> "T"'),
        (
            "# Intro\ntext\n\n\n* a\n* b\n\n## For the keeper: x\n\nno\n\n## Notes\ny  \n",
            "# Intro\n\ntext\n\n* a\n* b\n\n## Notes\n\ny",
        ),
    ],
)  # fmt: skip
def test_of_a_text_the_blocks_that_are_shown_are_written(body: str, wanted: str) -> None:
    written = shared("formulas/a.md", f"---\ncode: A-1 # mine\n---\n{body}".encode(), {"formulas/a.md"}, comma=False)
    assert written.decode() == f"---\ncode: A-1\n---\n\n{wanted}\n"


@pytest.mark.parametrize(
    ("body", "key"),
    [("See [this][r].\n\n[r]: b.md\n", "share-otherwise"), ("- a\n\n  [x]: https://hidden.example\n", "share-hidden")],
)
def test_what_would_stay_or_leak_is_refused(body: str, key: str) -> None:
    with pytest.raises(CannotShare) as told:
        shared("formulas/a.md", f"---\ncode: A-1\n---\n{body}".encode(), {"formulas/a.md"}, comma=False)
    assert told.value.says.key == key


def test_a_link_that_cannot_be_made_words_is_refused() -> None:
    content = b"---\ncode: A-1\n---\n[a [jar [of mine]]](b.md)\n"
    with pytest.raises(CannotShare) as told:
        shared("formulas/a.md", content, {"formulas/a.md"}, comma=False)
    assert str(told.value) == (
        "formulas/a.md links to b.md, which does not go along: write the link as `[words](address)`, so that its words "
        "can stay."
    )
