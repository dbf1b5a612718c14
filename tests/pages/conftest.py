"""Books that the tests of the pages share, read and published once."""

from __future__ import annotations

import pickle
import re
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path
from typing import ClassVar

import html5lib
import pytest

from bookgen.binder import Sheet, bindery_for, leaves_of
from bookgen.leaf import Leaf, Style
from bookgen.look import Theme, load_theme
from bookgen.model import Book
from bookgen.pages import site_files
from bookgen.press import render
from bookgen.press.cache import Cache
from bookgen.press.piece import digest_leaf
from bookgen.press.render import Press
from bookgen.press.setting import FreshLeaf, Setting
from bookgen.reckon.figures import Reckoning, reckon
from bookgen.reckon.weighing import weigh
from bookgen.review import Review, review
from bookgen.source import read_book

from ..shared import DAY, shared_by_all

HERE = Path(__file__).parent
ROOT = HERE.parent.parent
BOOKS = {"small": HERE / "book", "demo": ROOT, "official": ROOT / "tests" / "books" / "official"}
STYLE = re.compile(r"<style>[^<]*</style>")
HTML = "{http://www.w3.org/1999/xhtml}"


@contextmanager
def leaves_set_once(shared: Path) -> Iterator[None]:
    """A leaf that one test had set is not set again for another, in whichever worker: it would be the same to the byte.

    This lies below the press's own cache, which a test may begin empty.
    """
    true, kept = Press._print_all, Cache(folder=shared / "leaves")
    if render.Setting is OneOfEach:  # within another
        yield
        return

    def print_the_rest(press: Press, leaves: Sequence[Leaf]) -> Iterator[FreshLeaf]:
        keys = [digest_leaf(leaf, press.look) for leaf in leaves]
        found = {key: kept.find("set", key) for key in keys}
        fresh = true(press, [leaf for leaf, key in zip(leaves, keys, strict=True) if not found[key]])
        for key in keys:
            if not found[key]:
                found[key] = pickle.dumps(next(fresh))
                kept.keep("set", key, found[key])
            yield pickle.loads(found[key])

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(Press, "_print_all", print_the_rest)
        patch.setattr(render, "Setting", OneOfEach)
        yield
        OneOfEach.close_all()


@pytest.fixture(scope="package", autouse=True)
def each_leaf_set_once(tmp_path_factory: pytest.TempPathFactory) -> Iterator[None]:
    """All tests of the pages set each leaf once."""
    with leaves_set_once(shared_by_all(tmp_path_factory)):
        yield


class OneOfEach:
    """A setting that is made once for each style and left open: what it printed before changes nothing it prints.

    Its style sheets are parsed and its type is loaded in as much time as two leaves take, and not all of that memory
    comes back.
    """

    MOST = 4
    kept: ClassVar[dict[tuple[Style, tuple[bytes, ...]], Setting]] = {}

    def __init__(self, style: Style, cuts: tuple[bytes, ...]) -> None:
        key = (style, cuts)
        found = self.kept.pop(key, None) or Setting(style, cuts)
        while len(self.kept) >= self.MOST:
            self.kept.pop(next(iter(self.kept))).close()
        self.kept[key] = found
        self.print = found.print

    def close(self) -> None:
        """Leave it open for the next."""

    @classmethod
    def close_all(cls) -> None:
        while cls.kept:
            cls.kept.popitem()[1].close()


class KeptPages(Mapping[str, bytes]):
    """The files of a site, each made when it is first asked for; many tests read the same pages."""

    def __init__(self, files: Mapping[str, bytes]) -> None:
        self._files = files
        self._made: dict[str, bytes] = {}

    def __getitem__(self, path: str) -> bytes:
        if path not in self._made:
            self._made[path] = self._files[path]
        return self._made[path]

    def __contains__(self, path: object) -> bool:
        return path in self._files

    def __iter__(self) -> Iterator[str]:
        return iter(self._files)

    def __len__(self) -> int:
        return len(self._files)


@dataclass(frozen=True, slots=True, kw_only=True)
class Published:
    """A book with everything that pages make of it."""

    book: Book
    reckoning: Reckoning
    review: Review
    weighings: dict
    site: Mapping[str, bytes]
    """Its pages, in which every figure has its name."""
    sheets: tuple[Sheet, ...]
    light: Mapping[str, bytes] = field(default_factory=dict)
    """Its pages as they are published."""

    @property
    def leaves(self) -> tuple[Leaf, ...]:
        """What is printed, all but the list of effective sheets, which needs the others printed."""
        return tuple(one.leaf for one in self.sheets)


def leaves(reckoning: Reckoning, reviewed: Review, theme: Theme) -> tuple[Leaf, ...]:
    """Return the leaves of a book in the order of its binder, all but the list of effective sheets."""
    return tuple(one.leaf for one in leaves_of(bindery_for(reckoning, reviewed, theme)))


@cache
def publish(name: str) -> Published:
    """Return a book of that name, published."""
    book = read_book(BOOKS[name])
    reckoning = reckon(book)
    reviewed = review(reckoning)
    theme = load_theme()
    return Published(
        book=book,
        reckoning=reckoning,
        review=reviewed,
        weighings={key: weigh(reckoning, key) for key in reckoning.figures},
        site=KeptPages(site_files(reckoning, reviewed, theme, named=True, day=DAY)),
        light=KeptPages(site_files(reckoning, reviewed, theme, day=DAY)),
        sheets=leaves_of(bindery_for(reckoning, reviewed, theme)),
    )


@cache
def parse(html: str):
    """Parse a page, its style left out, with a parser that stops at the first error of the HTML standard."""
    return html5lib.HTMLParser(strict=True).parse(STYLE.sub("<style></style>", html))


def words(element) -> str:
    """Return an element's text with every kind of space made plain."""
    return " ".join("".join(element.itertext()).split())


@pytest.fixture(params=sorted(BOOKS))
def published(request: pytest.FixtureRequest) -> Published:
    """Each book in turn."""
    return publish(request.param)


@pytest.fixture
def small() -> Published:
    """The small book that has one of everything."""
    return publish("small")
