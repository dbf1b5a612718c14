"""One formula handed on: all of it is in the file, nothing leads out of it, and nothing of the keeper's or of another
formula is in it."""

from __future__ import annotations

import re
from html.parser import HTMLParser
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from bookgen.cli import main
from bookgen.look.themes import load_theme
from bookgen.pages.alone import page_alone
from bookgen.pipeline import check_book, edition_for_others, handed
from bookgen.press.render import Press
from bookgen.reckon.weighing import weigh
from tests.books_of_text import MATERIALS, ON_THAT_DAY, dot, formula, write_book

from .quick_press import print_quickly
from .test_others import holding, read_in

DEMO = Path(__file__).parents[2]
HOT = "hazards: [hot glass stays hot]"
KEEPERS = "\n\n## For the keeper\n\nZWMARKKEEPER [a](materials/gly.md) ![ZWMARKPICTURE](secret.png)\n"
PICTURE, SECRET, OTHER = dot(60), dot(61), dot(62)


@pytest.fixture(scope="module")
def book(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A formula with an intermediate in its intermediate, a mark in every private place, and formulas beside it."""
    folder = write_book(
        tmp_path_factory.mktemp("handed"),
        {
            "oil": formula("N-02", "oil: 40 g; d: to 100 g")
            + "\n\n## Notes\n\nSee [the glycerol](materials/gly.md).\n"
            + KEEPERS,
            "base": formula("N-01", "N-02: 20 g; gly: 40 g; water: to 100 g", HOT) + KEEPERS,
            "cream": formula("C-01", "N-01: 50 g; gly: 0.02 g; water: to 100 g", HOT)
            + "\n![The jar](jar.png) and [another](other.md), [the base](base.md).\n\n## Method\n\n"
            + "1. Stir [it](amount:gly) in, [five minutes](time:5min).\n"
            + KEEPERS,
            "other": formula("ZWMARKOTHER", "N-01: 10 g; b: to 100 g", "purpose: ZWMARKPURPOSE"),
            "old": formula("O-01", "water: to 100 g", "status: withdrawn"),
            "barred": formula("X-01", "water: 90 %; gly: 5 %"),
            "user": formula("X-02", "X-01: 50 %; water: to 100 g"),
        },
        {
            **MATERIALS,
            "gly": "density: 1.26\nwater: 0 %\nlots:\n"
            "  ZWMARKLOT: {received: 2026-01-10, amount: 1 kg, price: 77.31 EUR/kg, supplier: ZWMARKSUPPLIER}",
            "b": "water: 0 %\nhazards: [ZWMARKHAZARD of what is not in it, so stay away]",
        },
    )
    at = folder / "formulas"
    (at / "jar.png").write_bytes(PICTURE)
    (at / "secret.png").write_bytes(SECRET)
    (at / "batches").mkdir()
    (at / "batches" / "C-01-2026-02-03.md").write_text(
        "---\nbatch: C-01-2026-02-03\nof: C-01, issue 1\nmade: 2026-02-03\nobtain: 100 g\nweighed:\n"
        "  N-01: 50 g\n  gly: 5 g, lot ZWMARKLOT\n  water: 45 g\nnext time: ZWMARKNEXTTIME\n---\n",
        encoding="utf-8",
    )
    return folder


def run(book: Path, *words: object) -> Result:
    result = CliRunner(env=ON_THAT_DAY).invoke(main, ["hand-on", *map(str, words), "--book", str(book)])
    assert isinstance(result.exception, SystemExit | None), result.exception
    return result


class Reading(HTMLParser):
    """What a browser would find: names, and where each link and picture leads."""

    def __init__(self, html: str) -> None:
        super().__init__()
        self.names: list[str] = []
        self.ways: list[str] = []
        self.feed(html)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        for name, value in attrs:
            if name == "id":
                self.names.append(value or "")
            elif name in ("href", "src", "xlink:href"):
                self.ways.append(value or "")
            elif name in ("aria-labelledby", "aria-describedby", "for"):
                self.ways += [f"#{one}" for one in (value or "").split()]


@pytest.fixture(scope="module")
def page(book: Path, tmp_path_factory: pytest.TempPathFactory) -> str:
    target = tmp_path_factory.mktemp("out") / "c.html"
    result = run(book, "c-01", "--to", target)
    assert result.exit_code == 0, result.stderr
    assert result.stdout == f"Written: {target}\n"
    return target.read_text(encoding="utf-8")


class TestPage:
    def test_all_of_it_is_in_the_file_and_nothing_leads_out(self, page: str) -> None:
        found = Reading(page)
        assert len(set(found.names)) == len(found.names)
        inside = [way for way in found.ways if way.startswith("#")]
        assert {way.removeprefix("#") for way in inside} <= set(found.names)
        assert "#code-N-01" in inside
        assert all(way.startswith(("#", "data:image/png;base64,")) for way in found.ways)
        assert sum(way.startswith("data:") for way in found.ways) == 1
        loaded = re.findall(r"url\(\"?([^\")]*)", page)
        assert len([way for way in loaded if way.startswith("data:font/woff2;base64,")]) == 3
        assert [way[:20] for way in loaded if not way.startswith(("data:", "#"))] == []

    def test_its_intermediates_stand_behind_it(self, page: str) -> None:
        places = [page.index(f'id="code-{code}"') for code in ("N-01", "N-02")]
        assert page.index("</main>") < places[0] < places[1]
        assert page.count("ot glass stays hot") >= 2

    def test_nothing_of_the_keepers_and_of_no_other_formula_is_in_it(self, page: str) -> None:
        import base64

        for mark in ("ZWMARK", "or the keeper", "77.31", "secret", "index.html"):
            assert mark not in page, mark
        assert "figures.html" not in re.sub(r"<style>.*?</style>", "", page, flags=re.DOTALL)
        for picture in (SECRET, OTHER):
            assert base64.b64encode(picture).decode() not in page
        assert base64.b64encode(PICTURE).decode() in page

    def test_its_policy_lets_nothing_be_fetched(self, page: str) -> None:
        policy = re.search(r'Content-Security-Policy" content="([^"]*)"', page)
        assert policy is not None
        assert "font-src data:; img-src data:; base-uri 'none'; form-action 'none'" in policy[1]
        assert "'self'" not in policy[1]
        assert "file:" not in policy[1]

    def test_the_same_book_makes_the_same_bytes_over_its_like(self, book: Path, page: str, tmp_path: Path) -> None:
        target = tmp_path / "c.html"
        for _ in range(2):
            assert run(book, "C-01", "--to", target).exit_code == 0
            assert target.read_text(encoding="utf-8") == page
        target.write_text(page + " ", encoding="utf-8")
        refused = run(book, "C-01", "--to", target)
        assert (refused.exit_code, "it is no formula as bookgen wrote it, and stays" in refused.stderr) == (3, True)
        assert target.read_text(encoding="utf-8") == page + " "

    def test_without_a_name_it_stands_here_under_its_code(self, book: Path, tmp_path: Path, monkeypatch) -> None:
        monkeypatch.chdir(tmp_path)
        assert run(book, "O-01").stdout == "Written: O-01.html\n"
        assert "Withdrawn: kept for the record, no longer made" in (tmp_path / "O-01.html").read_text(encoding="utf-8")

    def test_an_own_template_that_leads_out_is_told(self, book: Path, tmp_path: Path) -> None:
        given = handed(check_book(book), "c-01")
        own = tmp_path / "themes" / "workroom" / "pages"
        own.mkdir(parents=True)
        shipped = load_theme().text("pages/formula.html")
        (own / "formula.html").write_text(shipped.replace("</h1>", '</h1><a href="../index.html">x</a>', 1))
        with pytest.raises(Exception, match=r"formula\.html: `\.\./index\.html` leads out of the file") as told:
            page_alone(given.checked.reckoning, given.checked.review, load_theme(tmp_path), "c-01", given.behind)
        assert type(told.value).__name__ == "ThemeFault"
        (own / "formula.html").write_text("{% extends 'pages/base.html' %}")
        with pytest.raises(Exception, match="take over from the theme what it extends"):
            page_alone(given.checked.reckoning, given.checked.review, load_theme(tmp_path), "c-01", given.behind)


@pytest.mark.parametrize(
    ("words", "code", "told"),
    [
        (["X-01"], 1, "X-01 is not handed on. "),
        (["X-02"], 1, "X-02 is not handed on. "),
        (["nothing"], 2, "nothing"),
        (["C-01", "--to", "a.html", "--pdf", "b.pdf"], 2, "--to is for a page"),
        (["C-01", "--to", "missing/a.html"], 3, "there is no folder missing"),
    ],
)
def test_what_is_refused(book: Path, tmp_path: Path, monkeypatch, words, code, told) -> None:
    monkeypatch.chdir(tmp_path)
    result = run(book, *words)
    assert (result.exit_code, told in result.stderr) == (code, True), result.stderr
    assert list(tmp_path.iterdir()) == []


def test_text_of_the_keepers_whose_end_cannot_be_told_stops_it_in_an_intermediate_too(tmp_path: Path) -> None:
    book = write_book(
        tmp_path / "book",
        {
            "x": formula("X-01", "N-01: 5 g; water: to 100 g"),
            "n": formula("N-01", "gly: 5 g; water: to 100 g") + "\n### For the keeper\n\nZWMARK\n",
            "free": formula("F-01", "gly: 5 g; water: to 100 g"),
        },
    )
    result = run(book, "X-01", "--to", tmp_path / "x.html")
    assert (result.exit_code, "formulas/n.md: write `## For the keeper`" in result.stderr) == (1, True)
    assert not (tmp_path / "x.html").exists()
    assert run(book, "F-01", "--to", tmp_path / "f.html").exit_code == 0


def test_a_part_of_the_book_comes_to_the_same_weights() -> None:
    """Every formula of the demo alone, with what it is made of, against the whole book for others."""
    checked = check_book(DEMO, filed=False)
    whole = edition_for_others(checked)
    keys = [key for key in checked.book.formulas if key not in checked.review.barred]
    assert len(keys) > 20
    for key in keys:
        part = handed(checked, key)
        for each in (key, *part.behind):
            ours, theirs = weigh(part.checked.reckoning, each), weigh(whole.reckoning, each)
            assert getattr(ours, "evaluation", None) == getattr(theirs, "evaluation", None), (key, each)
            assert part.checked.reckoning.figures[each].limits == whole.reckoning.figures[each].limits


def test_nothing_of_the_keepers_is_in_the_bytes_of_its_pdf(book: Path, tmp_path: Path) -> None:
    target = tmp_path / "pdf" / "c.pdf"
    target.parent.mkdir()
    assert run(book, "C-01", "--pdf", target).exit_code == 0
    found = read_in(target.parent)
    assert b"Formula N-02" in found["c.pdf, words"].replace(b"\xe2\x80\x91", b"-")
    for mark in (b"ZWMARK", b"or the keeper", b"77.31", SECRET, OTHER):
        assert holding(found, mark) == [], mark


def test_its_sheets_and_those_of_its_intermediates_are_one_pdf(book: Path, tmp_path: Path, monkeypatch) -> None:
    printed = []

    def quickly(press, leaves, progress=None):
        printed.extend(leaves)
        return print_quickly(press, leaves)

    monkeypatch.setattr(Press, "print", quickly)
    result = run(book, "C-01", "--pdf", tmp_path / "c.pdf")
    assert result.exit_code == 0, result.stderr
    assert "measured only coarsely" in result.stderr, "what the check asks of it is told"
    assert result.stdout == f"Written: {tmp_path / 'c.pdf'}\n"
    assert [leaf.code for leaf in printed] == ["C-01", "N-01", "N-02"]
    assert not any(mark in leaf.html for leaf in printed for mark in ("ZWMARK", "or the keeper", "secret"))
    assert run(book, "O-01", "--pdf", tmp_path / "o.pdf").exit_code == 0
    assert "O-01 · issue 1 · withdrawn" in printed[-1].html
