"""The binder's leaves in their order, all but the list of effective sheets, which needs them printed first.

A leaf is one HTML document that the press sets alone, so that sheets are numbered within it.  Links between leaves are
`sheet:CODE`.  Pictures travel inside the leaf, so a leaf needs no folder.  A leaf prints nothing that another formula
could change without concerning it: what uses what stands in the indexes.
"""

from __future__ import annotations

from base64 import b64encode
from collections.abc import Container, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from hashlib import sha256
from mimetypes import guess_type
from typing import TYPE_CHECKING

from markupsafe import Markup

from ..language import noted, word
from ..leaf import Held, Leaf
from ..look.closeness import COLUMNS, material_height
from ..look.themes import Theme
from ..reckon.figures import Reckoning
from ..reckon.weighing import weigh
from ..shown.batch import batch_shown
from ..shown.batches import newest_first
from ..shown.formula import formula_shown
from ..shown.material import material_shown
from ..shown.matter.chapters import contents_shown
from ..shown.matter.indexes import codes_shown, purposes_shown, storage_shown
from ..shown.matter.materials import materials_shown
from ..shown.matter.passages import CODES, CONTENTS, MATERIALS, PURPOSES, STORAGE, title_of
from ..shown.matter.records import ContentsEntry, ContentsShown
from ..shown.records import FormulaShown
from ..shown.shelf import Shelf, Way, chapter_title, shelf_of
from .digest import check_code, content_of
from .fitting import fitting
from .front import DIVIDER, FILING, FRONT, GATHERED, divider_shown, title_shown
from .gathered import gathered, on_one_sheet, points_for
from .printed import figures_code, first_names
from .records import ContentsSheet, DividerShown, HeldMaterial, LeafKind, MaterialsShown, Running, Sheet, TwoIndexes
from .style import MANY_SIDES, SIDES, headline, numbering

if TYPE_CHECKING:
    from ..review import Review

MATERIALS_CHAPTER = noted("Materials")
SETTING = "sheets 7"
"""Raise the number when the program itself sets the same record otherwise: leaves in the binder then look otherwise."""

BOTH_INDEXES = noted("Formulas by purpose and storage")


@dataclass(frozen=True, kw_only=True)
class Bindery:
    """What leaves are made with: the book as the binder sees it, and the theme."""

    shelf: Shelf
    """The shelf, its links leading to leaves."""
    theme: Theme
    """Templates."""
    batches_of: frozenset[str] = frozenset()
    """Keys of the formulas whose batches are leaves too; none unless they are asked for."""

    @cached_property
    def codes(self) -> dict[str, str]:
        """Name of a leaf of the front matter or of a divider → a code that no formula or material has."""
        taken = {stem.casefold() for stem in self.shelf.stems.values()}
        chapters = (chapter.anchor.removeprefix("chapter-") for chapter in self.shelf.chapters)
        names = (*FRONT, FILING, *(DIVIDER + anchor for anchor in chapters), DIVIDER + "materials")
        found: dict[str, str] = {}
        for name in names:
            found[name] = _free(name, taken)
            taken.add(found[name].casefold())
        return found

    def free_code(self, name: str) -> str:
        """Return a code for a sheet of materials, or of a batch, that nothing else has."""
        taken = {code.casefold() for code in (*self.shelf.stems.values(), *self.codes.values())}
        return _free(name, taken)

    def sheet(
        self,
        page: object,
        template: str,
        *,
        kind: LeafKind,
        code: str,
        title: str,
        running: Running,
        chapter: str = "",
        issue: str = "",
        issued: str = "",
        stamp: str = "",
        bookmark: str = "",
        figures: str = "",
        holds: tuple[Held, ...] = (),
    ) -> Sheet:
        """Return a leaf made of a shown record with one of the templates in `sheets/`."""
        content = content_of(running, page)
        duplex = self.shelf.book.workroom.duplex
        words = (code, word("issue {issue}", issue=issue) if issue else "", word(stamp) if stamp else "")
        running = replace(
            running,
            left=headline(running.left),
            right=headline(running.right),
            foot=" · ".join(part for part in words if part),
            mark=" · ".join(part for part in (issued, check_code(content)) if part),
        )
        sides = MANY_SIDES if kind is LeafKind.FRONT else SIDES
        numbers = Markup(numbering(sides)) if duplex else ""
        paper = self.shelf.book.workroom.paper
        html = self.theme.render(
            f"sheets/{template}.html", page=page, running=running, numbering=numbers, paper=str(paper)
        )
        return Sheet(
            leaf=Leaf(
                code=code,
                title=bookmark or title,
                chapter=chapter,
                html=fitting(html, paper),
                divides=kind is LeafKind.DIVIDER,
                holds=holds,
            ),
            kind=kind,
            title=title,
            issue=issue,
            issued=issued,
            content=content,
            template=self._look(template),
            figures=figures,
        )

    @cached_property
    def called(self) -> dict[str, str]:
        """Address of what was called otherwise before → its first address."""
        return first_names(self.shelf)

    @cached_property
    def _looks(self) -> dict[str, str]:
        return {}

    def _look(self, template: str) -> str:
        """Return the digest of a template's text with all it takes in, and of the language, which parts its words."""
        if template not in self._looks:
            language, source = self.shelf.book.workroom.language, self.theme.source(f"sheets/{template}.html")
            self._looks[template] = sha256(f"{SETTING}\n{language}\n{source}".encode()).hexdigest()
        return self._looks[template]

    def front(self, page: object, template: str, name: str, title: str, *, code: str = "") -> Sheet:
        """Return a leaf of the front matter, under the code of its name where no other is given."""
        book = self.shelf.book.workroom.title
        running = Running(left="", right="") if name == "title" else Running(left=title, right=book)
        return self.sheet(
            page, template, kind=LeafKind.FRONT, code=code or self.codes[name], title=title, running=running
        )


def _free(name: str, taken: Container[str]) -> str:
    """Return the name, or with an ending the first that is not taken."""
    while name.casefold() in taken:
        name += "-leaf"
    return name


def bindery_for(
    reckoning: Reckoning, review: Review, theme: Theme, batches_of: frozenset[str] = frozenset()
) -> Bindery:
    """Return what the leaves of a book are made with; the batches of the formulas in `batches_of` are leaves too."""
    return Bindery(shelf=shelf_of(reckoning, review, sheets=True), theme=theme, batches_of=batches_of)


def leaves_of(bindery: Bindery) -> tuple[Sheet, ...]:
    """Return the leaves in the order of the binder."""
    contents = contents_shown(replace(bindery.shelf, here=CONTENTS), sheets=True)
    return (*_front(bindery, contents), *_chapters(bindery, contents), *_materials(bindery, contents))


def _front(bindery: Bindery, contents: ContentsShown) -> Iterator[Sheet]:
    shelf = bindery.shelf
    room = shelf.book.workroom
    yield bindery.front(title_shown(shelf), "title", "title", room.title)
    codes = codes_shown(replace(shelf, here=CODES))
    behind = bool(_behind_divider(bindery, contents).entries)
    page = ContentsSheet(
        frame=contents.frame,
        contents=replace(contents, materials=()) if behind else contents,
        behind=word("By name, on the back of their divider.") if behind else "",
        by_code=codes.title,
        codes=codes.parts,
    )
    yield bindery.front(page, "contents", "contents", title_of(CONTENTS))
    materials = materials_shown(replace(shelf, here=MATERIALS))
    yield bindery.front(materials, "index-materials", "by-material", title_of(MATERIALS))
    purposes, storage = purposes_shown(replace(shelf, here=PURPOSES)), storage_shown(replace(shelf, here=STORAGE))
    indexes = replace(purposes, title=word("By purpose")), replace(storage, title=word("By storage"))
    both = TwoIndexes(frame=shelf.frame(), title=word(BOTH_INDEXES), indexes=indexes)
    yield bindery.front(both, "indexes", "by-purpose", both.title)


def _behind_divider(bindery: Bindery, contents: ContentsShown) -> DividerShown:
    """Return the divider of the materials, which lists them where all have room on its back."""
    return divider_shown(bindery.shelf, word(MATERIALS_CHAPTER), contents.materials, -1)


def _chapters(bindery: Bindery, contents: ContentsShown) -> Iterator[Sheet]:
    shelf = bindery.shelf
    entries = {chapter.anchor: chapter.entries for chapter in contents.chapters}
    for place, chapter in enumerate(shelf.chapters):
        yield _divider(bindery, chapter.title, chapter.anchor, entries[chapter.anchor], place)
        yield from sheets_of(bindery, chapter.keys)


def sheets_of(bindery: Bindery, keys: Iterable[str]) -> Iterator[Sheet]:
    """Yield the sheets of these formulas."""
    shelf = bindery.shelf
    picture = picture_within(shelf)
    for key in keys:
        figures = shelf.reckoning.figures[key]
        page = formula_shown(figures, weigh(shelf.reckoning, key), shelf, picture, on_paper=True)
        yield _formula(bindery, page, shelf.stems[key], chapter_title(figures.formula.chapter))
        if key in bindery.batches_of:
            yield from _batches(bindery, key, chapter_title(figures.formula.chapter), picture)


def _batches(bindery: Bindery, key: str, chapter: str, picture: Way) -> Iterator[Sheet]:
    """Yield the batches of a formula, the oldest first, so that the next one goes behind them.

    What is left of a batch, what took of it and what it cost stand on the pages alone: they change with other batches.
    """
    shelf = bindery.shelf
    for number in reversed(newest_first(shelf.made_of(key), shelf)):
        page = batch_shown(number, shelf, picture)
        page = replace(
            page,
            facts=tuple(fact for fact in page.facts if fact.stands_for != "left"),
            taken_by=(),
            cost=(),
            no_price="",
        )
        code = bindery.free_code(page.batch)
        yield bindery.sheet(
            page,
            "batch",
            kind=LeafKind.BATCH,
            code=code,
            title=shelf.name(key),
            bookmark=code,
            running=Running(left=chapter, right=shelf.name(key)),
            chapter=chapter,
        )


def _formula(bindery: Bindery, page: FormulaShown, code: str, chapter: str) -> Sheet:
    page = replace(page, why=tuple(fact for fact in page.why if not fact.general))
    return bindery.sheet(
        page,
        "formula",
        kind=LeafKind.FORMULA,
        code=code,
        title=page.title,
        bookmark=f"{page.code} {page.title}",
        running=Running(left=chapter, right=page.title),
        chapter=chapter,
        issue=page.issue,
        issued=page.issued,
        stamp=page.stamp,
        figures=figures_code(page, bindery.called),
    )


def _materials(bindery: Bindery, contents: ContentsShown) -> Iterator[Sheet]:
    """Yield the sheets of materials: as many together as fit on one, by their first letters."""
    shelf = bindery.shelf
    picture = picture_within(shelf)
    if shelf.materials:
        yield _divider(bindery, word(MATERIALS_CHAPTER), "materials", contents.materials, -1)
    pages = {key: material_shown(key, shelf, picture) for key in shelf.materials}
    room = shelf.book.workroom
    column = COLUMNS[room.paper]
    heights = {key: material_height(page, column) for key, page in pages.items()}
    fits = on_one_sheet(heights, column, 2 if room.duplex else 1)
    for sheet in gathered([(page.name, key) for key, page in pages.items()], fits):
        shown = tuple(HeldMaterial(code=shelf.stems[key], material=pages[key]) for key in sheet.keys)
        title = f"{word(MATERIALS_CHAPTER)} {sheet.words}"
        yield bindery.sheet(
            MaterialsShown(
                frame=shelf.frame(sheet.keys[0]),
                title=title,
                materials=shown,
                points=str(points_for(sheet.keys, fits)),
            ),
            "materials",
            kind=LeafKind.MATERIALS,
            code=bindery.free_code(f"{GATHERED}{sheet.code}"),
            title=title,
            bookmark=sheet.words,
            running=Running(left=word(MATERIALS_CHAPTER), right=sheet.words),
            chapter=word(MATERIALS_CHAPTER),
            issued=_newest([shelf.book.materials[key].issued for key in sheet.keys]),
            holds=tuple(Held(code=held.code, title=held.material.name) for held in shown),
        )


def _newest(days: Sequence[str]) -> str:
    """Return the newest of the days; empty where one of them is not known, which may be newer.

    >>> _newest(["2026-03-02", "2025-11"]), _newest(["2026-03-02", ""])
    ('2026-03-02', '')
    """
    return max(days) if all(days) else ""


def _divider(bindery: Bindery, title: str, anchor: str, entries: tuple[ContentsEntry, ...], place: int) -> Sheet:
    """Return what opens a chapter; of what stands behind it it prints what the contents print, and nothing else."""
    return bindery.sheet(
        divider_shown(bindery.shelf, title, entries, place),
        "divider",
        kind=LeafKind.DIVIDER,
        code=bindery.codes[DIVIDER + anchor.removeprefix("chapter-")],
        title=title,
        running=Running(left="", right=""),
        chapter=title,
    )


def picture_within(shelf: Shelf) -> Way:
    """Return the way to a picture inside the leaf itself."""

    def way(path: str) -> str:
        content = shelf.book.files.get(path)
        if content is None:
            return ""
        return f"data:{guess_type(path)[0] or 'application/octet-stream'};base64,{b64encode(content).decode()}"

    return way
