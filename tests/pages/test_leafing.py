"""Leafing: everything stands in each index it belongs to, once, in order, and as the formulas themselves say."""

from __future__ import annotations

import re
from itertools import pairwise

import pytest

from bookgen.binder.records import LeafKind
from bookgen.findings import Missing
from bookgen.look import load_theme
from bookgen.model import Book, Formula, Line, Status
from bookgen.pages import site_files
from bookgen.pages.site import ROOT_PAGES
from bookgen.reckon.figures import reckon
from bookgen.reckon.functions import items_of
from bookgen.reckon.storage import days_of
from bookgen.review import review
from bookgen.shown.matter.held import MADE_WITH
from bookgen.shown.matter.indexes import purposes_of
from bookgen.shown.matter.order import by_letter, folded, in_index_order, letter_of
from bookgen.shown.matter.passages import MATTER
from bookgen.shown.shelf import in_natural_order
from bookgen.source import book_from
from tests.shared import DAY

from .conftest import HTML, STYLE, KeptPages, Published, parse, words

ROOM = "title: A book\nbalances:\n  - {name: fine, readability: 0.01 g, capacity: 100 g}\n"


def book_of(files: dict[str, str], room: str = ROOM) -> Published:
    """Return a book made of front matter alone, published: formulas in capitals, `folder/NAME` in a chapter."""
    made = {"formulas/workroom.yaml": room.encode()}
    for name, front in files.items():
        place = name if name.rpartition("/")[2].isupper() else f"materials/{name}"
        made[f"formulas/{place}.md"] = f"---\n{front}\n---\n".encode()
    book = book_from(made)
    reckoning = reckon(book)
    reviewed = review(reckoning)
    site = KeptPages(site_files(reckoning, reviewed, load_theme(), named=True, day=DAY))
    return Published(book=book, reckoning=reckoning, review=reviewed, weighings={}, site=site, sheets=())


def page(published: Published, path: str):
    return parse(published.site[path].decode())


def main_of(published: Published, path: str):
    return page(published, path).find(f"{HTML}body/{HTML}main")


def of_class(element, tag: str, name: str):
    return [one for one in element.iter(f"{HTML}{tag}") if name in (one.get("class") or "").split()]


def unstamped(element) -> str:
    """Return the words of an element without the stamps of what it names."""
    for stamp in of_class(element, "strong", "stamp"):
        stamp.text = ""
    return re.sub(r" (?=[,:;])", "", words(element))


def code_of(formula: Formula, key: str) -> str:
    return formula.code or key


def codes(published: Published) -> list[str]:
    return [code_of(one, key) for key, one in published.book.formulas.items()]


def headed(published: Published, path: str) -> list[tuple[str, str, list[str]]]:
    """Return an index of formulas as letter or place, purpose or period, codes."""
    found = []
    for section in main_of(published, path).iter(f"{HTML}section"):
        top = below = ""
        for one in section:
            match one.tag.removeprefix(HTML):
                case "h2":
                    top = words(one)
                case "h3":
                    below = words(one)
                case "ul":
                    found.append((top, below, [words(code) for code in of_class(one, "b", "code")]))
    return found


# ── By code ───────────────────────────────────────────────────────────────────────────────────────────────────────


def test_every_formula_stands_once_under_its_code_in_natural_order(published: Published) -> None:
    listed = headed(published, "by-code.html")
    assert [code for _, _, found in listed for code in found] == sorted(codes(published), key=in_natural_order)
    for letter, _, found in listed:
        assert {code[0].upper() for code in found} == {letter}


def test_contents_list_every_formula_once_with_a_summary_and_its_code(published: Published) -> None:
    rows = [row for one in of_class(main_of(published, "index.html"), "ol", "leaders") for row in one]
    assert sorted(words(of_class(row, "b", "code")[0]) for row in rows) == sorted(codes(published))
    for row in rows:
        formula = published.book.find(words(of_class(row, "b", "code")[0]))
        summary = " ".join(words(one) for one in row.iter(f"{HTML}small"))
        assert bool(summary) == bool(formula.purpose or formula.kind or formula.use), formula.code
        if formula.purpose:
            assert summary.casefold()[:3] == formula.purpose.casefold()[:3]


# ── By material ───────────────────────────────────────────────────────────────────────────────────────────────────


def material_entries(published: Published) -> list[tuple[str, dict[tuple[str, str], list[str]], list[str]]]:
    """Return the index of materials: name, (how, through) → codes, the names it sends to."""
    found = []
    for row in of_class(main_of(published, "by-material.html"), "div", "entries")[0].iter(f"{HTML}div"):
        name = row.find(f"{HTML}dt")
        if name is None:
            continue
        cited, see = {}, []
        for one in row.iter(f"{HTML}dd"):
            if "see" in (one.get("class") or ""):
                see += [words(link) for link in one.iter(f"{HTML}a")]
                continue
            if next(one.iter(f"{HTML}a")).get("class") != "code":
                continue  # a substance, with the material that contains it
            before, _, after = unstamped(one).rstrip(";").rpartition(": ")
            how = before or re.sub(r"[A-Za-z0-9-]+(, [A-Za-z0-9-]+)*$", "", after).strip()
            links = [words(link) for link in one.iter(f"{HTML}a")]
            way, _, codes = before.rpartition("through ")
            inner = codes.split(", ") if codes else []
            cited[f"{way}through" if inner else how, ", ".join(inner)] = links[len(inner) :]
        found.append((words(name).rstrip(","), cited, see))
    return found


def lines_of(book: Book, name: str, keys: set[str]) -> list[Line]:
    return [line for line in book.formulas[name].lines if book.key_of(line.material) in keys]


def stays(line: Line) -> bool:
    """Return whether something of a line is in the finished product: it is not taken out and does not boil away."""
    gone = line.evaporates
    boiled = gone is not None and (gone.share == 1 or gone.grams == getattr(line.amount, "grams", None))
    return line.removed is None and not boiled


def by_walking(published: Published, key: str) -> tuple[set[str], set[str], set[str], set[str]]:
    """Return what keeps a material, what takes it out again, what holds it through another, what is made with it.

    By the lines alone.
    """
    book = published.book
    keeps, takes = set(), set()
    for name in book.formulas:
        lines = lines_of(book, name, {key})
        if lines:
            (keeps if any(line.removed is None for line in lines) else takes).add(name)
    holders = {name for name in keeps if any(stays(line) for line in lines_of(book, name, {key}))}
    while True:
        more = {name for name in book.formulas if any(stays(line) for line in lines_of(book, name, holders))}
        if more <= holders:
            break
        holders |= more
    made = keeps | takes
    while more := {name for name in book.formulas if lines_of(book, name, made)} - made:
        made |= more
    return keeps, takes - holders, holders - keeps, made - keeps - takes - holders


def test_every_material_cites_the_formulas_that_hold_it_as_their_lines_say(published: Published) -> None:
    book = published.book
    entries = {name: cited for name, cited, _ in material_entries(published) if book_has(published, name)}
    assert len(entries) == len(book.materials)
    for key, material in book.materials.items():
        cited = entries[" ".join(material.name.split())]
        keeps, takes, through, made = by_walking(published, key)
        assert cited.get(("", ""), []) == in_order(keeps, book)
        assert cited.get(("taken out again in", ""), []) == in_order(takes, book)
        brought = {code: inner for (how, inner), found in cited.items() if how == "through" for code in found}
        assert sorted(brought) == sorted(in_order(through, book)), material.name
        gave = {code: inner for (how, inner), found in cited.items() if how == MADE_WITH for code in found}
        assert sorted(gave) == sorted(in_order(made, book)), material.name
        for code, inner in (brought | gave).items():
            used = {book.key_of(line.material) for line in book.find(code).lines}
            assert {book.key_of(one) for one in inner.split(", ")} <= used
        everywhere = [code for found in cited.values() for code in found]
        assert len(everywhere) == len(set(everywhere)), f"{material.name} cites a formula twice"
        diluted = cited.get(("to dilute another in", ""), [])
        assert set(everywhere) - set(diluted) == set(in_order(keeps | takes | through | made, book))
        for code in diluted:
            assert key in published.reckoning.figures[code.casefold()].composition.materials


def book_has(published: Published, name: str) -> bool:
    return name in {" ".join(one.name.split()) for one in published.book.materials.values()}


def in_order(keys: set[str], book) -> list[str]:
    return sorted((code_of(book.formulas[key], key) for key in keys), key=in_natural_order)


def test_synonyms_and_label_names_send_to_their_materials(published: Published) -> None:
    entries = material_entries(published)
    sends = {name.casefold(): see for name, _, see in entries}
    for material in published.book.materials.values():
        for name in (*material.also, *(one.name for one in material.label)):
            if name.casefold() != material.name.casefold():
                assert " ".join(material.name.split()) in sends[" ".join(name.split()).casefold()]
    names = [name for name, _, _ in entries]
    assert names == sorted(names, key=in_index_order)


def test_a_name_that_is_a_material_and_a_synonym_is_told_once() -> None:
    made = book_of(
        {
            "glycerol": "name: glycerol\nwater: 0 %",
            "glycerol-85": "name: glycerol 85 %\nalso: [Glycerol, glycerin]\nwater: 15 %",
            "glycerol-99": "name: glycerol 99 %\nalso: [glycerin]\nlabel: Glycerin\nwater: 1 %",
            "A": "code: A\ntitle: One\nmakes: 100 g\ningredients:\n  glycerol: 1 g\n  glycerol-85: to 100 g",
        }
    )
    assert material_entries(made) == [
        ("glycerin", {}, ["glycerol 85 %", "glycerol 99 %"]),
        ("glycerol", {("", ""): ["A"]}, ["glycerol 85 %"]),
        ("glycerol 85 %", {("", ""): ["A"]}, []),
        ("glycerol 99 %", {}, []),
    ]
    text = unstamped(main_of(made, "by-material.html"))
    assert "glycerin see glycerol 85 %; glycerol 99 %" in text
    assert "glycerol, A; see also glycerol 85 %" in text
    assert "glycerol 99 % in no formula" in text


def test_what_comes_on_two_ways_is_said_once_with_both() -> None:
    made = book_of(
        {
            "oil": "name: oil\nwater: 0 %",
            "clay": "name: clay\nwater: 0 %",
            "A": "code: A-1\ntitle: One\ningredients:\n  oil: 9 g\n  clay: {amount: 1 g, removed: filtered}",
            "B-1": "code: B-1\ntitle: Two\ningredients:\n  oil: 5 g\n  A-1: 5 g",
            "C-1": "code: C-1\ntitle: Three\ningredients:\n  A-1: 5 g\n  B-1: 5 g",
            "D-1": "code: D-1\ntitle: Four\ningredients:\n  C-1: 5 g\n  A-1: {amount: 1 g, removed: settled}",
        }
    )
    found = {name: cited for name, cited, _ in material_entries(made)}
    assert found["oil"] == {("", ""): ["A-1", "B-1"], ("through", "A-1, B-1"): ["C-1"], ("through", "C-1"): ["D-1"]}
    assert found["clay"] == {
        ("taken out again in", ""): ["A-1"],
        (MADE_WITH, "A-1"): ["B-1"],
        (MADE_WITH, "A-1, B-1"): ["C-1"],
        (MADE_WITH, "C-1, A-1"): ["D-1"],
    }
    text = unstamped(main_of(made, "materials/oil.html"))
    assert "A-1 One 9 g 100 % B-1 Two 5 g 100 % C-1 Three through A-1 and B-1 100 % D-1 Four through C-1 100 %" in text


def test_a_substance_stands_in_the_index_with_what_carries_it_and_through_what() -> None:
    made = book_of(
        {
            "orange": "name: orange oil\nfunction: aroma\ncontains:\n  limonene: 94 %",
            "mint": "name: mint oil\nalso: [Menthol]\nfunction: aroma\ncontains:\n  limonene: 2 %\n  menthol: 40 %",
            "cedar": "name: cedar oil\nfunction: aroma",
            "peel": "name: peel\ncontains:\n  limonene: 1 %",
            "clay": "name: clay\ncontains:\n  quartz: 1 %",
            "A": "code: A\ntitle: One\nuse: skin, leave-on\ningredients:\n  orange: 9 g\n"
            "  clay: {amount: 1 g, removed: filtered, function: filter aid}\n  peel: {amount: 1 g, removed: strained}",
            "B": "code: B\ntitle: Two\ningredients:\n  A: 9 g\n  mint: 1 g",
            "C": "code: C\ntitle: Three\ningredients:\n  B: 9 g\n  cedar: 1 g",
        }
    )
    text = unstamped(main_of(made, "by-material.html"))
    assert (
        "limonene in mint oil: B in mint oil, through B: C in orange oil: A in orange oil, through A: B "
        "in orange oil, through B: C made with peel: A made with peel, through A: B made with peel, through B: C "
    ) in text
    assert "INCOMPLETE: cedar oil does not say what it contains." in text
    assert "quartz" not in text  # none of the filter aid stays
    assert text.count("enthol") == 1  # a synonym of its own, which leads to it


# ── By purpose ────────────────────────────────────────────────────────────────────────────────────────────────────


def test_every_formula_stands_once_below_each_of_its_purposes(published: Published) -> None:
    listed = headed(published, "by-purpose.html")
    found: dict[str, set[str]] = {}
    for _, below, several in listed:
        assert several == sorted(set(several), key=in_natural_order)
        if below:
            found.setdefault(below.casefold(), set()).update(several)
    for top, _, several in listed:
        for code in several if top not in ("No purpose is written", "Use not written") else ():
            use = published.book.find(code).use
            assert top == (
                "Ingredients of others" if use.intermediate
                else {"leave-on": "What stays on", "rinse-off": "What is rinsed off"}.get(
                    str(use.contact), "What is used otherwise"
                )
            )  # fmt: skip
    wanted: dict[str, set[str]] = {}
    without = []
    for key, formula in published.book.formulas.items():
        parts = [one.strip(" .").casefold() for one in formula.purpose.split(",") if one.strip(" .")]
        for one in parts:
            wanted.setdefault(" ".join(one.split()), set()).add(code_of(formula, key))
        if not parts:
            without.append(code_of(formula, key))
    assert found == wanted
    rest = [several for top, _, several in listed if top == "No purpose is written"]
    assert rest == ([sorted(without, key=in_natural_order)] if without else [])


def test_a_decimal_comma_divides_no_purpose_and_case_makes_no_second_one() -> None:
    assert purposes_of("with 2,5 % urea, feet,, dry skin.") == ("with 2,5 % urea", "feet", "dry skin")
    assert purposes_of(" , ") == ()
    made = book_of(
        {
            "oil": "name: oil\nwater: 0 %",
            "B": "code: B\ntitle: Two\npurpose: Cooling, cooling\ningredients:\n  oil: 5 g",
            "A": "code: A\ntitle: One\npurpose: cooling, élan\nuse: leave-on, hands\ningredients:\n  oil: 5 g",
            "D": "code: D\ntitle: Four\npurpose: bases\nuse: intermediate\ningredients:\n  oil: 5 g",
            "C": "code: C\ntitle: Three\ningredients:\n  oil: 5 g",
        }
    )
    assert headed(made, "by-purpose.html") == [
        ("What stays on", "cooling", ["A"]),
        ("What stays on", "élan", ["A"]),
        ("Ingredients of others", "bases", ["D"]),
        ("Use not written", "cooling", ["B"]),
        ("No purpose is written", "", ["C"]),
    ]


# ── By function ───────────────────────────────────────────────────────────────────────────────────────────────────


def test_every_function_leads_to_the_materials_and_the_lines_that_have_it(published: Published) -> None:
    book = published.book
    wanted: dict[str, set[str]] = {}
    for material in book.materials.values():
        for item in items_of(material.function):
            wanted.setdefault(item, set()).add(" ".join(material.name.split()))
    for key, formula in book.formulas.items():
        for line in formula.lines:
            for item in items_of(line.function):
                wanted.setdefault(item, set()).add(code_of(formula, key))
                wanted[item].add("line " + " ".join(book.name_of(line.material).split()))
    found: dict[str, set[str]] = {}
    for section in main_of(published, "by-function.html").iter(f"{HTML}section"):
        item = ""
        for one in section:
            if one.tag == f"{HTML}h3":
                item = words(one)
            for row in one.iter(f"{HTML}li"):
                code = [words(each) for each in of_class(row, "b", "code")]
                note = words(next(row.iter(f"{HTML}small")))
                found.setdefault(item, set()).add(code[0] if code else words(next(row.iter(f"{HTML}a"))))
                assert code or note == "material"
                if code:
                    found[item] |= {name for name in wanted[item] if name.startswith("line ") and name[5:] in note}
    assert found == wanted


# ── By storage ────────────────────────────────────────────────────────────────────────────────────────────────────


def test_every_formula_stands_once_by_storage_shortest_first(published: Published) -> None:
    listed = headed(published, "by-storage.html")
    assert sorted(code for _, _, found in listed for code in found) == sorted(codes(published))
    for place, below, found in listed:
        assert found == sorted(found, key=in_natural_order)
        for code in found:
            figures = published.reckoning.figures[code.casefold()]
            stored = figures.formula.storage
            if stored is not None and stored.place is not None:
                assert place in (f"In the {stored.place}", f"In a {stored.place}")
            assert (below == "period not known") == (not figures.storage.limits)
            if figures.storage.limits:
                assert days_of(figures.storage.period) == min(days_of(one.period) for one in figures.storage.limits)
                assert re.fullmatch(r"\d+ (day|month)s?", below)
    lengths = [
        (place, days_of(published.reckoning.figures[found[0].casefold()].storage.period))
        for place, below, found in listed
        if below != "period not known"
    ]
    for (place, before), (following, after) in pairwise(lengths):
        assert place != following or before <= after


def test_what_is_not_known_of_storage_is_said_and_stands_last() -> None:
    oil = "ingredients:\n  oil: 5 g"
    made = book_of(
        {
            "oil": "name: oil",
            "A": f"code: A\ntitle: One\n{oil}",
            "B": f"code: B\ntitle: Two\n{oil}\nstorage: cupboard, jar",
            "C": f"code: C\ntitle: Three\n{oil}\nstorage: cupboard, jar, 2 weeks",
            "D": f"code: D\ntitle: Four\n{oil}\nstorage: cupboard, jar, 14 days",
            "E": f"code: E\ntitle: Five\n{oil}\nstorage: freezer, jar, 3 months",
        }
    )
    assert headed(made, "by-storage.html") == [
        ("In the freezer", "3 months", ["E"]),
        ("In the cupboard", "14 days", ["C", "D"]),
        ("In the cupboard", "period not known", ["B"]),
        ("Place not known", "period not known", ["A"]),
    ]


# ── What uses what ────────────────────────────────────────────────────────────────────────────────────────────────


def test_intermediates_say_what_they_are_made_of_and_what_uses_them(published: Published) -> None:
    book = published.book
    users: dict[str, set[str]] = {}
    for key, formula in book.formulas.items():
        for line in formula.lines:
            target = book.find(line.material)
            if isinstance(target, Formula):
                users.setdefault(target.code.casefold(), set()).add(key)
    wanted = [
        code
        for code in sorted(codes(published), key=in_natural_order)
        if code.casefold() in users or ((use := book.formulas[code.casefold()].use) is not None and use.intermediate)
    ]
    rows = [row for table in main_of(published, "uses.html").iter(f"{HTML}tbody") for row in table]
    assert [words(of_class(row, "b", "code")[0]) for row in rows] == wanted
    for code, row in zip(wanted, rows, strict=True):
        _, made_of, used_in = row
        names = dict.fromkeys(" ".join(book.name_of(one.material).split()) for one in book.find(code).lines)
        assert [words(link) for link in made_of.iter(f"{HTML}a")] == list(names)
        assert [words(one) for one in of_class(used_in, "b", "code")] == in_order(
            users.get(code.casefold(), set()), book
        )


# ── Through the book ──────────────────────────────────────────────────────────────────────────────────────────────


def test_every_page_leads_through_the_book_by_the_one_table(published: Published) -> None:
    listed = [one for one in MATTER if one.way]
    assert {one.path for one in MATTER} == set(ROOT_PAGES)
    for path in published.site:
        if not path.endswith(".html"):
            continue
        root = "../" if "/" in path else ""
        (ways,) = of_class(page(published, path), "nav", "ways")
        links = list(ways.iter(f"{HTML}a"))
        assert [(words(one), one.get("href")) for one in links] == [(one.way, root + one.path) for one in listed]
        here = [one.get("href") for one in links if one.get("aria-current") == "page"]
        assert here == [one.path for one in listed if one.path == path]


def test_contents_list_the_other_pages(small: Published) -> None:
    (matter,) = of_class(page(small, "index.html"), "nav", "matter")
    assert [one.get("href") for one in matter.iter(f"{HTML}a")] == [one.path for one in MATTER[1:]]
    assert re.search(r"for the keeper: 1 error, \d+ quer(y|ies)$", words(matter))


def test_a_way_past_the_head_comes_first(small: Published) -> None:
    for path in (one for one in small.site if one.endswith(".html")):
        tree = page(small, path)
        first = next(tree.find(f"{HTML}body").iter(f"{HTML}a"))
        assert first.get("href") == f"#{tree.find(f'{HTML}body/{HTML}main').get('id')}"


def test_running_heads_say_where_one_is(small: Published) -> None:
    def head(path: str) -> str:
        return words(of_class(page(small, path), "header", "running")[0])

    title = "Test book <of> pages & sheets"
    assert head("by-storage.html") == f"{title} Formulas by storage"
    assert head("uses.html") == f"{title} What uses what"
    assert head("formulas/C-2.html") == f"{title} Creams"
    assert head("materials/wax.html") == f"{title} Materials"


def test_materials_have_neighbours_by_name(small: Published) -> None:
    def beside(path: str) -> list[tuple[str, str]]:
        (found,) = of_class(page(small, path), "nav", "neighbours")
        assert found.get("aria-label") == (
            "Neighbours by name" if "materials" in path else "Neighbours in the contents"
        )
        return [(one.get("rel"), words(one)) for one in found.iter(f"{HTML}a")]

    assert beside("materials/lye.html") == [("next", "purified water")]
    assert beside("materials/wax.html") == [("prev", "sweet oil"), ("next", "white clay")]
    assert beside("materials/clay.html") == [("prev", "wax")]
    assert beside("formulas/C-2.html") == [("prev", "C-1 Old cream"), ("next", "C-10 Thin cream")]


def test_contents_neighbours_and_binder_go_in_the_same_order(published: Published) -> None:
    """N-05 goes before B-01 where its chapter does; what is withdrawn has no sheet."""
    rows = [row for one in of_class(main_of(published, "index.html"), "ol", "leaders") for row in one]
    contents = [next(row.iter(f"{HTML}a")).get("href").rpartition("/")[2] for row in rows]
    walked, at = [contents[0]], contents[0]
    while True:
        (found,) = of_class(page(published, f"formulas/{at}"), "nav", "neighbours")
        following = [one.get("href") for one in found.iter(f"{HTML}a") if one.get("rel") == "next"]
        if not following:
            break
        walked.append(at := following[0].rpartition("/")[2])
    assert walked == contents
    bound = [sheet.leaf.code for sheet in published.sheets if sheet.kind is LeafKind.FORMULA]
    kept = [published.book.find(words(of_class(row, "b", "code")[0])) for row in rows]
    assert bound == [one.code for one in kept if one.status is not Status.WITHDRAWN]


def test_one_length_of_keeping_is_printed_in_one_unit_everywhere(published: Published) -> None:
    for key, figures in published.reckoning.figures.items():
        period = figures.storage.period
        if isinstance(period, Missing):
            continue
        text = words(main_of(published, f"formulas/{published.book.formulas[key].code}.html"))
        unit, count = ("month", period.months) if period.months else ("day", period.days)
        assert f"up to and including {count} {unit}{'s' * (count != 1)} after the day of making" in text


def test_a_formula_bears_its_stamp_wherever_it_is_named() -> None:
    oil = "status: approved\nissue: 1\nmakes: 100 g"
    made = book_of(
        {
            "oil": "name: oil\nwater: 0 %",
            "A-1": f"code: A-1\ntitle: Stock\nuse: intermediate\n{oil}\ningredients:\n  oil: to 100 g",
            "B-1": "code: B-1\ntitle: Tried\nstatus: trial\nmakes: 100 g\ningredients:\n  A-1: 50 g\n  oil: to 100 g",
            "C-1": "code: C-1\ntitle: Gone\nstatus: withdrawn\nmakes: 100 g\ningredients:\n  B-1: to 100 g",
            "D-1": "code: D-1\ntitle: Barred\nmakes: 100 g\ningredients:\n  C-1: 50 g\n  oil: to 100 g",
            "E-1": "code: E-1\ntitle: Begun\nmakes: 100 g\ningredients:\n  B-1: 50 g\n  oil: to 100 g",
        }
    )
    stamps = {"B-1": "trial", "C-1": "withdrawn", "D-1": "barred", "E-1": "draft"}
    walked = 0
    for path in made.site:
        if not path.endswith(".html"):
            continue
        body = page(made, path).find(f"{HTML}body")
        parent = {child: above for above in body.iter() for child in above}
        for one in body.iter(f"{HTML}a"):
            code = next((code for code in stamps if (one.get("href") or "").endswith(f"/{code}.html")), None)
            if code and "to be put right first" not in words(parent[one]).casefold():
                after = words(parent[one]).partition(words(one))[2].strip()
                assert stamps[code] in words(one) or after.startswith(stamps[code]), (path, words(parent[one]))
                walked += 1
    assert walked > 30


def test_material_page_says_how_much_is_written_and_on_which_way_it_comes(small: Published) -> None:
    assert "C-2 Cold cream 40 mL" in words(main_of(small, "materials/sweet-oil.html"))
    assert "W-1 Clear water" in words(main_of(small, "materials/clay.html"))
    assert "15 g; taken out again" in words(main_of(small, "materials/clay.html"))
    water = words(main_of(small, "materials/purified-water.html"))
    assert "C-2 Cold cream through W-1" in water
    assert "C-2 Cold cream made with it through W-1" in words(main_of(small, "materials/clay.html"))


def test_an_empty_book_can_be_leafed_through() -> None:
    made = book_of({})
    for path in ROOT_PAGES:
        assert list(main_of(made, path).iter(f"{HTML}h1")), path
    assert "This book holds no formula yet." in words(main_of(made, "index.html"))
    assert "No function is written in this book yet." in words(main_of(made, "by-function.html"))
    for path in ("by-code.html", "by-purpose.html", "by-storage.html"):
        assert "This book holds no formula yet." in words(main_of(made, path))
    assert "This book holds no material yet." in words(main_of(made, "by-material.html"))
    assert "No formula of this book is an ingredient of another." in words(main_of(made, "uses.html"))


# ── The order of an index ─────────────────────────────────────────────────────────────────────────────────────────


@pytest.mark.parametrize(
    ("text", "letter"),
    [("zinc", "Z"), ("Écorce", "E"), ("«olive»", "O"), ("70 % sorbitol", "0–9"), ("…", "Signs"), ("ωμέγα", "Ω")],
)
def test_letters_go_without_accents_and_signs(text: str, letter: str) -> None:
    assert letter_of(text) == letter


def test_index_order_is_natural_and_each_letter_comes_once() -> None:
    names = ["ester", "écorce", "Zinc", "E 10", "E 9", "…", "2-phenyl", "10-phenyl", "(éther)", "alcohol"]
    parts = by_letter(names, lambda one: one)
    assert [one for part in parts for one in part.entries] == [
        "2-phenyl", "10-phenyl", "alcohol", "E 9", "E 10", "écorce", "ester", "(éther)", "Zinc", "…",
    ]  # fmt: skip
    assert [part.title for part in parts] == ["0–9", "A", "E", "Z", "Signs"]
    assert folded("Über") == "uber"


# ── Size ──────────────────────────────────────────────────────────────────────────────────────────────────────────


def test_twice_the_formulas_make_an_index_at_most_twice_as_long() -> None:
    def sizes(count: int) -> dict[str, int]:
        files = {f"m{one}": f"name: material {one}\nfunction: use {one % 4}\nwater: 0 %" for one in range(10)}
        files["BASE"] = "code: BASE\ntitle: Base\ningredients:\n  m0: 5 g\n  m1: 5 g\n  m2: 5 g"
        for one in range(count):
            lines = f"  BASE: 5 g\n  m{3 + one % 3}: 5 g, use {one % 5}\n  m{6 + one % 4}: 5 g"
            files[f"F-{one:03}"] = (
                f"code: F-{one:03}\ntitle: Formula {one:03}\npurpose: hands, use {one % 7}\ningredients:\n{lines}"
            )
        made = book_of(files)
        return {path: len(STYLE.sub("", made.site[path].decode())) for path in ROOT_PAGES if path.startswith("by-")}

    small, large = sizes(60), sizes(120)
    assert set(small) == {f"by-{name}.html" for name in ("code", "material", "purpose", "function", "storage")}
    for path, size in small.items():
        assert size < large[path] < 2 * size, path
