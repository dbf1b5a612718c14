"""The shelf: what every page of a book shares, looked up once.

Names and addresses of formulas and materials, chapters and neighbours in one order, decimal sign.  `Shelf.way` says how
a page leads to another: by a relative address on the site, by `sheet:CODE` in the binder.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from functools import cache, lru_cache, partial
from typing import TYPE_CHECKING, NamedTuple, TypeVar

from .. import show
from ..language import noted, word
from ..model import Book, Formula, Material, Status
from ..reckon.cost import Cost, costs_of
from ..reckon.figures import Reckoning
from ..reckon.kept import trials_in
from ..reckon.lastdays import last_days_of
from ..reckon.made import BatchResult, result_of
from .accounts.anchors import PAGE
from .matter.held import Holding, held
from .matter.passages import BATCHES, CONTENTS, title_of, ways
from .records import Frame, Link

if TYPE_CHECKING:
    from ..review import Review

LAW = noted(
    "This book reckons and reminds. Whether a preparation may be made, kept, used or handed on, and by whom, "
    "is for local law and licensed practice to decide."
)

LAW_SHORT = noted("Local law and licensed practice decide whether it may be made, used or passed on.")

_RUNS = re.compile(r"(\d+)")
_OUTSIDE = re.compile(r"[^A-Za-z0-9-]+")


class Pair(NamedTuple):
    """Two formulas that are set side by side."""

    first: str
    """Key of the first."""
    issue: int
    """Its issue where it is an earlier one, else 0."""
    second: str
    """Key of the second, in its present issue."""


Name = TypeVar("Name", str, tuple[str, int], Pair)
"""What a page goes by: a key, or a key and an issue."""

Way = Callable[[str], str]
"""The address of a formula or material, by its key; empty when it has no page."""


@lru_cache(maxsize=16384)  # the preview puts all names in order at each edit
def in_natural_order(text: str) -> tuple[tuple[int, str], ...]:
    """Sort key that puts S-2 before S-10 and ignores case; the raised 2 of 10² is a sign like any other.

    Of two whole numbers the longer is the larger: so a run of digits may be of any length.

    >>> sorted(["S-10", "S-2²", "S-2", "s-1"], key=in_natural_order)
    ['s-1', 'S-2', 'S-2²', 'S-10']
    """
    runs = _RUNS.split(text.casefold())
    return tuple(_number(run) if place % 2 else (0, run) for place, run in enumerate(runs))


def _number(run: str) -> tuple[int, str]:
    """Return how long a whole number is, and its digits, which may be those of another script."""
    digits = (run if run.isascii() else "".join(str(int(digit)) for digit in run)).lstrip("0")
    return len(digits), digits


def by_code(keys: Iterable[str], book: Book) -> tuple[str, ...]:
    """Return keys of formulas by code; one without a code goes by its key."""
    return tuple(sorted(keys, key=lambda key: in_natural_order(book.formulas[key].code or key)))


def chapter_title(folder: str) -> str:
    """Return a folder's name as words: `powders-and-paints` is Powders and paints."""
    words = " · ".join(part.replace("-", " ").replace("_", " ") for part in folder.split("/") if part)
    return words[:1].upper() + words[1:] if words else word("Loose formulas")


@dataclass(frozen=True, slots=True, kw_only=True)
class Chapter:
    """One folder of formulas."""

    folder: str
    """The folder."""
    title: str
    """Its name in words."""
    anchor: str
    """Its name in an address."""
    keys: tuple[str, ...]
    """Its formulas, by code."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Shelf:
    """What every page shares."""

    book: Book
    """The book."""
    reckoning: Reckoning
    """Its figures."""
    review: Review
    """What the review found."""
    signs: show.Signs
    """How it prints numbers."""
    chapters: tuple[Chapter, ...]
    """In the order of the contents."""
    anchors: Mapping[str, str]
    """Folder of formulas → its name in an address."""
    stems: Mapping[str, str]
    """Key → name of its page's file without ending, safe in an address."""
    batch_stems: Mapping[str, str]
    """Key of a batch → name of its page's file without ending, safe in an address."""
    issue_stems: Mapping[tuple[str, int], str]
    """Key of a formula and an earlier issue that is kept → name of its page's file without ending."""
    beside_stems: Mapping[Pair, str]
    """Two that are set side by side → name of their page's file without ending."""
    neighbours: Mapping[str, tuple[str, str]]
    """Key → keys before and after it, in the order of the contents; empty at the ends."""
    codes: tuple[str, ...]
    """Formula keys, by code."""
    materials: tuple[str, ...]
    """Material keys, by name."""
    holding: Callable[[], Holding]
    """Which formulas hold each material; worked out when first asked for."""
    result: Callable[[str], BatchResult]
    """What a batch came to, by its key; worked out when first asked for."""
    cost: Callable[[str], Cost]
    """What a batch cost, by its key; worked out for all when first asked for."""
    made_of: Callable[[str], tuple[str, ...]]
    """The batches of a formula, by its key."""
    way: Way
    """How pages below the root lead to formulas and materials."""
    root: str
    """What leads from those pages to the root."""
    pages: tuple[str, ...] = ()
    """The pages at the root that the site has, by their files; none in the binder."""
    day: date | None = None
    """The day that the page of the shelf is made for; no other page depends on it."""
    here: str = ""
    """The page at the root that is being made, by its file; empty below the root."""
    _links: dict[tuple[str, str], Link] = field(init=False, repr=False, compare=False, default_factory=dict)
    """Key and words → the link, each made once; a shelf whose ways lead otherwise has its own."""

    def by_code(self, keys: Iterable[str]) -> tuple[str, ...]:
        """Those keys of formulas by code."""
        return by_code(keys, self.book)

    def name(self, key: str) -> str:
        """The title of a formula or the name of a material."""
        item = self.book.find(key)
        return item.title or item.code if isinstance(item, Formula) else item.name if item else self.book.name_of(key)

    def link(self, key: str, words: str = "") -> Link:
        """A link to a formula or material; without an address where it has no page."""
        found = self._links.get((key, words))
        if found is None:
            found = self._links[key, words] = self._link(key, words)
        return found

    def _link(self, key: str, words: str) -> Link:
        item = self.book.find(key)
        if isinstance(item, Formula):
            return Link(
                words=words or item.title or item.code,
                href=self.way(key),
                code=item.code or key,
                stamp=self.stamp(self.book.key_of(key)),
            )
        return Link(words=words or (item.name if item else self.book.name_of(key)), href=self.way(key) if item else "")

    def stamp(self, key: str) -> str:
        """The stamp that a formula bears: `barred`, else what its status says; empty for one that is approved."""
        status = self.book.formulas[key].status
        return "barred" if key in self.review.barred else "" if status is Status.APPROVED else str(status)

    def batch_way(self, number: str) -> str:
        """The address of a batch's page; empty in the binder, which has none."""
        return f"{self.root}batches/{self.batch_stems[number]}.html" if self.pages else ""

    def issue_way(self, key: str, issue: int) -> str:
        """The address of the page of an earlier issue; empty where it is not kept, and in the binder."""
        stem = self.issue_stems.get((key, issue))
        return f"{self.root}formulas/{stem}.html" if stem and self.pages else ""

    def beside_way(self, pair: Pair) -> str:
        """The address of the page that sets two side by side; empty where there is none, and in the binder."""
        stem = self.beside_stems.get(pair)
        return f"{self.root}formulas/{stem}.html" if stem and self.pages else ""

    def batch_frame(self) -> Frame:
        """The frame of the page of a batch, which stands below the root."""
        return replace(
            self.frame(),
            root=self.root,
            chapter=title_of(BATCHES),
            chapter_href=self.root + BATCHES,
            ways=ways(self.pages, self.root),
        )

    def frame(self, key: str = "") -> Frame:
        """The frame of the page of a formula or material; of a page at the root without a key."""
        item = self.book.find(key) if key else None
        chapter, anchor, beside = title_of("" if key else self.here), "", ""
        if isinstance(item, Formula):
            chapter, anchor, beside = (
                chapter_title(item.chapter),
                self.anchors[item.chapter],
                word("Neighbours in the contents"),
            )
        elif isinstance(item, Material):
            chapter, anchor, beside = word("Materials"), "materials", word("Neighbours by name")
        before, after = self.neighbours.get(key, ("", ""))
        workroom = self.book.workroom
        root = self.root if key else ""
        return Frame(
            language=workroom.language,
            book=workroom.title,
            root=root,
            chapter=chapter,
            chapter_href=f"{root}{CONTENTS}#{anchor}" if anchor else "",
            before=self.link(before) if before else None,
            after=self.link(after) if after else None,
            beside=beside,
            ways=ways(self.pages, root, "" if key else self.here),
            law=word(LAW),
            law_short=word(LAW_SHORT),
            found=PAGE,
        )


def anchors_of(folders: Iterable[str]) -> dict[str, str]:
    """Return each chapter's name in an address, each used once: `shelf-2²` and `shelf-2` differ in no letter of one.

    >>> anchors_of(["shelf-2²", "", "shelf-2"])
    {'': 'chapter-loose', 'shelf-2': 'chapter-shelf-2', 'shelf-2²': 'chapter-shelf-2-2'}
    """
    found: dict[str, str] = {}
    taken = {"chapter-materials"}  # the materials' own
    for folder in sorted(set(folders), key=lambda folder: (in_natural_order(folder), folder)):
        plain = _OUTSIDE.sub("-", folder).strip("-").lower() or "loose"
        anchor, number = f"chapter-{plain}", 2
        while anchor in taken:
            anchor, number = f"chapter-{plain}-{number}", number + 1
        taken.add(anchor)
        found[folder] = anchor
    return found


def chapters_of(book: Book, codes: Iterable[str], anchors: Mapping[str, str]) -> tuple[Chapter, ...]:
    """Return the chapters that hold these formulas: in the workroom's order, the others by name, formulas by code."""
    found: dict[str, list[str]] = {}
    for key in codes:
        found.setdefault(book.formulas[key].chapter, []).append(key)
    stated = {name.strip("/").casefold(): rank for rank, name in enumerate(book.workroom.chapters)}
    ordered = sorted(found, key=lambda name: (stated.get(name.casefold(), len(stated)), in_natural_order(name)))
    return tuple(
        Chapter(
            folder=folder,
            title=chapter_title(folder),
            anchor=anchors[folder],
            keys=by_code(found[folder], book),
        )
        for folder in ordered
    )


def stems_of(book: Book) -> dict[str, str]:
    """Return file names for pages: the code or key itself where it is safe in an address, each used once."""
    items = ((key, book.formulas.get(key)) for key in (*book.formulas, *book.materials))
    return _safe((key, (item.code if item else "") or key) for key, item in items)


def _issue_stems(book: Book, others: Iterable[str]) -> dict[tuple[str, int], str]:
    """Return file names for pages of earlier issues: `S-02-issue-3`, none of them another page's."""
    issues = sorted(book.earlier.values(), key=lambda formula: (formula.code.casefold(), formula.issue))
    named = {(book.key_of(formula.code), formula.issue): formula.code for formula in issues}
    return _safe(((name, f"{code}-issue-{name[1]}") for name, code in named.items() if name[0]), others)


def _beside_stems(book: Book, issues: Mapping[tuple[str, int], str], stems: Mapping[str, str]) -> dict[Pair, str]:
    """Return file names for pages of two side by side: each earlier issue and the present one, each trial and its base.

    `S-02-issue-2-beside-S-02`; none of them is another page's.
    """
    pairs = [Pair(key, issue, key) for key, issue in issues]
    pairs += [Pair(base, issue, trial) for trial, base, issue in trials_in(book)]
    named = (
        (pair, f"{issues[pair.first, pair.issue] if pair.issue else stems[pair.first]}-beside-{stems[pair.second]}")
        for pair in pairs
    )
    return _safe(named, (*issues.values(), *stems.values()))


def _safe(names: Iterable[tuple[Name, str]], others: Iterable[str] = ()) -> dict[Name, str]:
    """Return a file name for each key, made of its name; none is one of the others."""
    stems: dict[Name, str] = {}
    taken = {stem.casefold() for stem in others}
    for key, name in names:
        plain = _OUTSIDE.sub("-", name).strip("-") or "page"
        stem, number = plain, 2
        while stem.casefold() in taken:
            stem, number = f"{plain}-{number}", number + 1
        taken.add(stem.casefold())
        stems[key] = stem
    return stems


def at_root(shelf: Shelf) -> Shelf:
    """Return the shelf as pages in the site's folder itself see it."""
    return replace(shelf, way=lambda key: shelf.way(key).removeprefix("../"), root="")


def shelf_of(reckoning: Reckoning, review: Review, *, sheets: bool = False) -> Shelf:
    """Return the shelf of a book, for the site or for the sheets of the binder, where withdrawn formulas have none."""
    book = reckoning.book
    stems = stems_of(book)
    issue_stems = _issue_stems(book, stems.values())
    kept = (key for key, formula in book.formulas.items() if not sheets or formula.status is not Status.WITHDRAWN)
    codes = by_code(kept, book)
    here = {*codes, *book.materials}
    anchors = anchors_of(formula.chapter for formula in book.formulas.values())
    chapters = chapters_of(book, codes, anchors)
    by_name = sorted(book.materials, key=lambda key: in_natural_order(book.materials[key].name))

    def on_site(key: str) -> str:
        stem = stems.get(key.casefold())
        return (
            "" if stem is None else f"../{'formulas' if key.casefold() in book.formulas else 'materials'}/{stem}.html"
        )

    def in_binder(key: str) -> str:
        stem = stems.get(key.casefold()) if key.casefold() in here else None
        return "" if stem is None else f"sheet:{stem}"

    return Shelf(
        book=book,
        reckoning=reckoning,
        review=review,
        signs=show.signs_of(book.workroom),
        chapters=chapters,
        anchors=anchors,
        stems=stems,
        batch_stems=_safe((number, record.key) for number, record in book.batches.items()),
        issue_stems=issue_stems,
        beside_stems=_beside_stems(book, issue_stems, stems),
        neighbours=_neighbours([key for chapter in chapters for key in chapter.keys]) | _neighbours(by_name),
        codes=codes,
        materials=tuple(by_name),
        holding=cache(partial(held, reckoning, codes)),
        result=_results(reckoning),
        cost=_costs(reckoning),
        made_of=_batches(book),
        way=in_binder if sheets else on_site,
        root="../",
    )


def _results(reckoning: Reckoning) -> Callable[[str], BatchResult]:
    """Return what tells what a batch came to, each once; last days are those of all batches together."""
    last_days = cache(partial(last_days_of, reckoning))
    return cache(lambda number: result_of(reckoning, number, last_days()))


def _costs(reckoning: Reckoning) -> Callable[[str], Cost]:
    """Return what tells what a batch cost, reckoned for all together, as one costs its share of another."""
    costs = cache(partial(costs_of, reckoning))
    return lambda number: costs()[number]


def _batches(book: Book) -> Callable[[str], tuple[str, ...]]:
    """Return what tells the batches of a formula."""

    @cache
    def by_formula() -> dict[str, tuple[str, ...]]:
        found: dict[str, tuple[str, ...]] = {}
        for number, record in book.batches.items():
            key = book.key_made(record)
            found[key] = (*found.get(key, ()), number)
        return found

    return lambda key: by_formula().get(key, ())


def _neighbours(keys: Sequence[str]) -> dict[str, tuple[str, str]]:
    """Return each key's neighbours in that order; empty at the ends."""
    return {key: (before, after) for before, key, after in zip(["", *keys], keys, [*keys[1:], ""], strict=False)}
