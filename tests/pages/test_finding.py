"""What can be found, and what can be made of what is at hand: complete, as read, harmless, the same each time."""

from __future__ import annotations

import json
import re
import zlib
from dataclasses import replace
from functools import cache

import pytest

from bookgen.look import load_theme
from bookgen.model import Formula, Status
from bookgen.pages import site_files
from bookgen.reckon.figures import reckon
from bookgen.review import review
from bookgen.shown.cautions import cautions_of, handled_in_order, hazards_of
from bookgen.shown.matter.inherited import Stays
from bookgen.shown.search.page import CONSTANT, PAGE, TERMS, search_shown, search_terms, terms_file
from bookgen.shown.search.possible import MADE_HERE, possible_shown, taken_by
from bookgen.shown.search.records import SearchEntry
from bookgen.shown.search.terms import FACETS, entries_of
from bookgen.shown.shelf import Shelf, in_natural_order, shelf_of
from bookgen.source import book_from, read_book

from .conftest import BOOKS

WORD = re.compile(r"[A-Za-z]{3,}")


@cache
def shelf_at(name: str) -> Shelf:
    reckoning = reckon(read_book(BOOKS[name]))
    return shelf_of(reckoning, review(reckoning))


def shelf_from(**files: str) -> Shelf:
    """The shelf of a book of these files; a name's double underline is a folder."""
    written = {
        f"formulas/{name.replace('__', '/').replace('_', '-')}.md": text.encode() for name, text in files.items()
    }
    reckoning = reckon(book_from(written))
    return shelf_of(reckoning, review(reckoning))


@pytest.fixture(params=sorted(BOOKS))
def shelf(request) -> Shelf:
    """Each book in turn."""
    return shelf_at(request.param)


def terms(content: bytes) -> dict:
    """What the file holds, as the browser reads it."""
    start, end = f"const {CONSTANT}=", ";\n"
    text = content.decode()
    assert text.startswith(start)
    assert text.endswith(end)
    return json.loads(text.removeprefix(start).removesuffix(end))


def found_by(found: dict) -> dict[str, dict]:
    """Code or name of each entry with all that it is found by, its numbers followed."""
    values = [(facet, value) for facet, values in found["facets"] for value in values]
    entries = {}
    for title, code, stem, facets, functions, holds, also, contains, hazards, cautions, text in found["entries"]:
        entries[code or title] = {
            "title": title,
            "stem": stem or code,
            "facets": [values[number] for number in facets],
            "functions": [found["functions"][number] for number in functions],
            "uses": [found["entries"][number if isinstance(number, int) else number[0]] for number in holds],
            "holds": {
                named(found["entries"][number]): (Stays(stays), [named(found["entries"][way]) for way in ways])
                for number, stays, *ways in ([item, 0] if isinstance(item, int) else item for item in holds)
            },
            "also": also,
            "contains": contains,
            "hazards": hazards,
            "cautions": cautions,
            "text": text,
        }
    return entries


def named(entry: list) -> str:
    """Code or name of an entry."""
    return entry[1] or entry[0]


def test_every_formula_is_found_by_all_that_names_it(shelf):
    found = found_by(terms(search_terms(shelf)))
    for key, formula in shelf.book.formulas.items():
        entry = found[formula.code or key]
        assert entry["title"] == (formula.title or formula.code)
        names = {name.casefold() for used in entry["uses"] for name in (used[0], used[1], *used[6])}
        for line in formula.lines:
            used = shelf.book.find(line.material)
            if used is None:
                continue
            if isinstance(used, Formula):
                own = (used.title, used.code)
            else:
                own = (used.name, *used.also, *(one.name for one in used.label))
            assert {name.casefold() for name in own} <= names
            assert not line.function or line.function in entry["functions"]
        said = ", ".join(value for facet, value in entry["facets"] if facet == "purpose").casefold()
        assert set(WORD.findall(formula.purpose.casefold())) <= set(WORD.findall(said))


def test_every_material_is_found_by_all_its_names(shelf):
    found = found_by(terms(search_terms(shelf)))
    for material in shelf.book.materials.values():
        entry = found[material.name]
        for name in (*material.also, *(one.name for one in material.label)):
            assert name.casefold() in [one.casefold() for one in (entry["title"], *entry["also"])]
        assert entry["functions"] == [material.function] if material.function else not entry["functions"]
        assert ("chapter", "Materials") in entry["facets"]


def test_the_text_is_what_is_read_and_all_of_it():
    """The words of every file below its front matter, addresses of links aside, and no mark of Markdown."""
    shelf = shelf_at("demo")
    found = found_by(terms(search_terms(shelf)))
    walked = 0
    for item in (*shelf.book.formulas.values(), *shelf.book.materials.values()):
        written = (BOOKS["demo"] / item.path).read_text(encoding="utf-8").split("\n---\n", 1)[1]
        headings = {"method", "cautions", "notes"}
        seen = set(WORD.findall(re.sub(r"\]\([^)]*\)", "]", written))) - {one.title() for one in headings}
        entry = found[getattr(item, "code", "") or item.name]
        text = "\n".join((entry["text"], entry["hazards"], entry["cautions"]))
        assert seen <= set(WORD.findall(text)), item.path
        assert not re.search(r"amount:|time:|\]\(|\*\*|^#|\| --", text, re.MULTILINE), item.path
        walked += len(seen)
    assert walked > 2000


def test_what_stands_outside_the_body_is_found_too():
    shelf = shelf_at("demo")
    entry = found_by(terms(search_terms(shelf)))["H-03"]
    text = "\n".join((entry["text"], entry["hazards"], entry["cautions"]))
    for words in ("draws a short thread", "Not on open cracks.", "boiled for this batch", "it dragged at the clay",
                  "weighed before boiling", "small pan with lid", "four pairs of hands"):  # fmt: skip
        assert words in text
    lines = text.split("\n")
    assert len(lines) == len(set(lines))


def test_no_text_of_a_keeper_ends_the_script():
    title = 'Water </script><script>alert("1")</script> & <!-- more'
    body = "<script>body\u2028</script>"
    shelf = shelf_from(
        waters__one=f"---\ncode: W-1\ntitle: {title}\ningredients:\n  oil: 5 g, </script>\n---\n\n{body}\n",
        materials__oil="---\nname: oil </script>\nalso: [fat </SCRIPT>]\n---\n",
    )
    content = search_terms(shelf)
    assert b"<" not in content
    found = found_by(terms(content))
    assert found["W-1"]["title"] == title
    assert found["W-1"]["functions"] == ["</script>"]
    assert "<script>body" in found["W-1"]["text"]
    assert found["oil </script>"]["also"] == ["fat </SCRIPT>"]


def test_what_narrows_a_search():
    found = found_by(terms(search_terms(shelf_at("demo"))))
    gel = dict.fromkeys(facet.name for facet in FACETS)
    for name in gel:
        gel[name] = [value for facet, value in found["H-03"]["facets"] if facet == name]
    assert gel == {
        "purpose": ["care at the wheel", "thin film for wet hands"],
        "chapter": ["Hands"],
        "kind": ["cosmetic"],
        "use": ["leave-on", "hands", "adults"],
        "kept": ["refrigerator"],
        "status": ["trial"],
    }
    assert ("use", "intermediate") in found["N-03"]["facets"]
    assert ("kind", "liquid") in found["glycerol 85 %"]["facets"]


def test_a_barred_formula_is_found_as_barred():
    shelf = shelf_at("small")
    barred = {shelf.book.formulas[key].code for key in shelf.review.barred}
    found = found_by(terms(search_terms(shelf)))
    assert {code for code, one in found.items() if ("status", "barred") in one["facets"]} == barred
    assert barred


def test_values_are_offered_in_the_order_of_the_trade_and_once_whatever_their_case():
    def of(number: int, purpose: str, kept: str) -> SearchEntry:
        return SearchEntry(
            key=str(number), title=f"T{number}", code=f"C-{number}", stem=f"C-{number}", also=(), holds=(), contains=(),
            hazards=(), cautions=(), functions=(),
            facets=((purpose,), (), (), (), (kept,), ()), text="",
        )  # fmt: skip

    found = terms(terms_file([of(1, "Washing", "cupboard"), of(2, "washing", "freezer"), of(3, "airing", "cupboard")]))
    assert found["facets"][0] == ["purpose", ["airing", "Washing"]]
    assert found["facets"][4] == ["kept", ["freezer", "cupboard"]]
    assert [one[3] for one in found["entries"]] == [[1, 3], [1, 2], [0, 3]]


def test_nothing_is_written_twice():
    content = search_terms(shelf_at("demo"))
    found = terms(content)
    assert len(found["functions"]) == len(set(found["functions"]))
    needed = {text for one in found["entries"] for text in (one[0], one[1], *one[6], *one[7], *one[8:])}
    needed |= set(found["allergens"])
    needed |= set(found["functions"]) | {value for _, values in found["facets"] for value in values}
    assert len(content) < 1.25 * sum(len(text.encode()) for text in needed)


def test_the_same_book_gives_the_same_bytes_in_any_order_of_reading(shelf):
    again = search_terms(shelf)
    assert search_terms(shelf) == again
    entries = entries_of(shelf)
    turned = [replace(one, functions=tuple(reversed(one.functions))) for one in entries]
    assert terms(terms_file(turned))["functions"] == terms(again)["functions"]
    assert [one.code for one in entries if one.code] == [
        one.code for one in sorted(shelf.book.formulas.values(), key=lambda one: in_natural_order(one.code))
    ]


def test_pages_lead_to_the_pages_of_what_is_found(shelf):
    for one in found_by(terms(search_terms(shelf))).values():
        assert re.fullmatch(r"[A-Za-z0-9-]+", one["stem"])
    stems = set(shelf.stems.values())
    assert {one["stem"] for one in found_by(terms(search_terms(shelf))).values()} == stems
    shown = search_shown(shelf)
    assert (PAGE, shown.terms) == ("search.html", TERMS)


# ── What a formula inherits ──────────────────────────────────────────────────────────────────────────────────────

SCENTED = {
    "materials__orange": "---\nname: orange oil\nfunction: aroma\ncontains:\n  limonene: 94 %\ncautions:\n"
    "  - Some react to it.\nhazards:\n  - Burns.\n---\n",
    "materials__cedar": "---\nname: cedar oil\nfunction: aroma\nhazards:\n  - Irritates.\n---\n",
    "materials__flowers": "---\nname: flowers\ncontains:\n  linalool: 1 %\ncautions:\n  - Daisies are like it.\n"
    "hazards:\n  - Dusty.\n---\n",
    "materials__clay": "---\nname: clay\ncontains:\n  eugenol: 1 %\ncautions:\n  - Not in eyes.\n"
    "hazards:\n  - Dust.\n---\n",
    "materials__spirit": "---\nname: spirit\ncautions:\n  - It stings.\nhazards:\n  - Flames.\n---\n",
    "materials__oil": "---\nname: oil\nsource:\n  - own\n---\n",
    "stock__scent": "---\ncode: S-1\ntitle: Scent\ncautions:\n  - Never undiluted.\ningredients:\n  orange: 9 g\n"
    "  clay: {amount: 1 g, removed: filtered, function: filter aid}\n---\n",
    "stock__drawn": "---\ncode: S-2\ntitle: Drawn\ncautions:\n  - In the dark.\ningredients:\n"
    "  flowers: {amount: 9 g, removed: pressed out, function: steeped}\n  oil: 90 g\n"
    "  spirit: {amount: 1 g, evaporates: 1 g}\n---\n",
    "balms__one": "---\ncode: B-1\ntitle: Balm\ningredients:\n  S-1: 1 g\n  S-2: 9 g\n  cedar: 1 g\n  oil: 5 g\n---\n",
    "balms__two": "---\ncode: B-2\ntitle: Plain\ningredients:\n  oil: 5 g\n"
    "  S-1: {amount: 1 g, removed: settled, function: filter aid}\n---\n",
}  # fmt: skip


def test_a_formula_inherits_what_is_in_it_and_what_was_drawn_and_says_through_what():
    found = found_by(terms(search_terms(shelf_from(**SCENTED))))
    assert found["B-1"]["holds"] == {
        "S-1": (Stays.WHOLE, []),
        "S-2": (Stays.WHOLE, []),
        "cedar oil": (Stays.WHOLE, []),
        "oil": (Stays.WHOLE, []),
        "clay": (Stays.NOTHING, ["S-1"]),
        "flowers": (Stays.DRAWN, ["S-2"]),
        "orange oil": (Stays.WHOLE, ["S-1"]),
        "spirit": (Stays.NOTHING, ["S-2"]),
    }
    # an intermediate that is taken out again as a processing aid leaves nothing behind
    assert found["B-2"]["holds"] == {
        "oil": (Stays.WHOLE, []),
        "S-1": (Stays.NOTHING, []),
        "clay": (Stays.NOTHING, ["S-1"]),
        "orange oil": (Stays.NOTHING, ["S-1"]),
    }
    assert found["S-1"]["cautions"] == "Never undiluted."
    assert (found["orange oil"]["contains"], found["orange oil"]["cautions"]) == (["limonene"], "Some react to it.")
    assert found["orange oil"]["hazards"].startswith("Burns.")


def test_what_stays_is_told_by_the_composition_of_every_book(shelf):
    found = found_by(terms(search_terms(shelf)))
    for key, figures in shelf.reckoning.figures.items():
        composition, holds = figures.composition, found[figures.formula.code or key]["holds"]
        told = {stays: set() for stays in Stays}
        for name, (stays, _) in holds.items():
            told[stays].add(name)
        names = {name: shelf.book.materials[name].name for name in composition.handled if name in shelf.book.materials}
        formulas = {shelf.book.formulas[name].code for name in shelf.book.formulas}
        assert told[Stays.WHOLE] - formulas == {shelf.book.materials[name].name for name in composition.materials}
        assert told[Stays.DRAWN] - formulas == {shelf.book.materials[name].name for name in composition.extracted}
        assert set(holds) - formulas == {*names.values(), *(told[Stays.WHOLE] - formulas)}


def test_every_caution_and_hazard_that_a_formula_prints_of_others_is_inherited(shelf):
    found = found_by(terms(search_terms(shelf)))
    for key, figures in shelf.reckoning.figures.items():
        entry = found[figures.formula.code or key]
        brought = [found[name] for name, (stays, _) in entry["holds"].items() if stays is not Stays.NOTHING]
        handled = [found[name] for name in entry["holds"]]
        cautions = "\n".join((entry["cautions"], *(one["cautions"] for one in brought)))
        hazards = "\n".join((entry["hazards"], *(one["hazards"] for one in handled), "No file yet", "Only its name"))
        materials = handled_in_order(figures, shelf)
        for printed in cautions_of(figures, shelf, materials):
            assert not printed.who or all(line in cautions for line in re.split(r"(?<=[.]) (?=[A-Z])", printed.text))
        for printed in hazards_of(figures, shelf, materials):
            assert all(line in hazards for line in re.split(r"(?<=[.]) (?=[A-Z])", printed.text)) or any(
                word in printed.text for word in ("No file yet", "Only its name")
            )


def test_a_salt_is_found_by_its_acid_and_an_oil_by_its_name_among_the_allergens():
    found = found_by(terms(search_terms(shelf_at("demo"))))
    assert found["sodium benzoate"]["contains"] == ["benzoic acid"]
    assert {"limonene", "linalool", "Citrus Aurantium Peel Oil"} <= set(found["sweet orange oil"]["contains"])


def test_what_does_not_say_what_it_contains_is_told_with_the_formulas_that_hold_it():
    shown = search_shown(shelf_from(**SCENTED))
    assert shown.incomplete == "INCOMPLETE: cedar oil does not say what it contains."
    assert [one.code for one in shown.silent_in] == ["B-1"]
    nameless = shelf_from(
        balms__one="---\ncode: B-1\ntitle: Balm\ningredients:\n  wool wax: 5 g\n  oil: 5 g\n---\n",
        balms__two="---\ncode: B-2\ntitle: Other\ningredients:\n  B-1: 5 g\n---\n",
        materials__oil="---\nname: oil\n---\n",
    )
    shown = search_shown(nameless)
    assert shown.incomplete == "INCOMPLETE: oil and wool wax do not say what they contain."
    assert [one.code for one in shown.silent_in] == ["B-1", "B-2"]
    assert "wool wax (no file yet)" in found_by(terms(search_terms(nameless)))["B-2"]["text"]
    whole = shelf_from(**{name: text for name, text in SCENTED.items() if name.startswith(("stock", "materials"))})
    assert (search_shown(whole).incomplete, search_shown(whole).silent_in) == ("", ())
    assert terms(search_terms(whole))["allergens"] == []


def test_what_is_to_be_found_stays_light():
    """Deflated, as it travels; the demo of 25 formulas and 49 materials."""
    content = search_terms(shelf_at("demo"))
    assert len(zlib.compress(content, 9)) < 20_800


# ── What is at hand ───────────────────────────────────────────────────────────────────────────────────────────────


def test_a_formula_takes_what_its_reckoned_lines_take(shelf):
    for key, figures in shelf.reckoning.figures.items():
        taken = taken_by(key, shelf)
        assert len(taken) == len(set(taken))
        for line in figures.amounts.lines:
            assert {one for one, _ in line.takes} - {""} <= set(taken)
    aids = [
        (key, line.key)
        for key, figures in shelf.reckoning.figures.items()
        for line in figures.amounts.lines
        if line.line.removed and line.key
    ]
    assert all(aid in taken_by(key, shelf) for key, aid in aids)


def test_diluted_ethanol_takes_ethanol_and_water():
    shelf = shelf_from(
        tinctures__one="---\ncode: T-1\ntitle: Rub\ningredients:\n  spirit: to 100 g of 70 %vol\n---\n",
        materials__spirit="---\nname: spirit\ncontains:\n  ethanol: 96 %vol\nwater: 6.2 %\n---\n",
        materials__purified_water="---\nname: purified water\nwater: 100 %\n---\n",
    )
    assert not shelf.review.barred
    assert taken_by("t-1", shelf) == ("spirit", "purified-water")


def test_what_cannot_be_made_is_left_out_with_a_count():
    for name in BOOKS:
        shelf = shelf_at(name)
        shown = possible_shown(shelf)
        book = shelf.book
        withdrawn = [key for key, one in book.formulas.items() if one.status is Status.WITHDRAWN]
        barred = [key for key in shelf.review.barred if key in book.formulas and key not in withdrawn]
        assert len(shown.formulas) == len(book.formulas) - len(withdrawn) - len(barred)
        counts = [int(one) for one in re.findall(r"\d+", shown.left_out)]
        assert counts == [len(one) for one in (withdrawn, barred) if one]
    assert "withdrawn" in possible_shown(shelf_at("demo")).left_out


def test_what_can_be_ticked_is_what_the_formulas_take(shelf):
    shown = possible_shown(shelf)
    ticked = [one.href for group in shown.groups for one in group.supplies]
    assert len(ticked) == len(set(ticked))
    assert set(ticked) == {one.href for formula in shown.formulas for one in formula.takes}
    letters = [group.letter for group in shown.groups if group.letter != MADE_HERE]
    assert letters == sorted(letters)
    for group in shown.groups:
        for one in group.supplies:
            assert bool(one.code) == (group.letter == MADE_HERE)


def test_an_empty_book_has_both_pages():
    reckoning = reckon(book_from({}))
    site = site_files(reckoning, review(reckoning), load_theme(), named=True)
    assert b"<h1>Search</h1>" in site["search.html"]
    assert b"<h1>What is at hand</h1>" in site["possible.html"]
    assert terms(site[TERMS])["entries"] == []
