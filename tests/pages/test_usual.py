"""What the trade knows and a file leaves out: hazards by name, cautions by use, each once."""

from __future__ import annotations

from fractions import Fraction

import pytest

from bookgen.bench import Refused
from bookgen.look import load_theme
from bookgen.model import Content, LabelName, Material, MaterialKind
from bookgen.pages import site_files
from bookgen.reckon.figures import reckon
from bookgen.reckon.weighing import weigh
from bookgen.review import review
from bookgen.show import POINT
from bookgen.shown.formula import formula_shown
from bookgen.shown.shelf import shelf_of
from bookgen.shown.usual import burns, usual_hazards
from bookgen.source import book_from
from bookgen.terminal.batch import refusal_text, weighing_text
from bookgen.wording.saying import says
from tests.shared import checked

from .conftest import HTML, Published, leaves, parse, words

ROOM = "title: A book\nbalances:\n  - {name: fine, readability: 0.01 g, capacity: 100 g}\n"
WATER = "name: water\nkind: liquid\nwater: 100 %\n"
OIL = "name: oil\nkind: liquid\nwater: 0 %\n"


def _peroxide(percent: int | str) -> Content:
    return Content(substance="hydrogen peroxide", share=Fraction(percent) / 100, text=f"{percent} %")


def files_of(**records: str) -> dict[str, bytes]:
    """Return a book's files: formulas named in capitals, materials in lower case, each by its front matter alone."""
    shelf = {"water": WATER, "oil": OIL, **records}
    return {"formulas/workroom.yaml": ROOM.encode()} | {
        f"formulas/{name}.md" if name.isupper() else f"formulas/materials/{name}.md": (
            text if text.startswith("---") else f"---\n{text}---\n"
        ).encode()
        for name, text in shelf.items()
    }


def formula(code: str, lines: str, *more: str) -> str:
    """Return the front matter of an approved formula of 100 g."""
    head = f"code: {code}\ntitle: Formula {code}\nstatus: approved\nissue: 1\nmakes: 100 g\n"
    rest = "".join(f"{one}\n" for one in more)
    return head + rest + "ingredients:\n" + "".join(f"  {line}\n" for line in lines.split("\n"))


def pages_of(**records: str) -> dict[str, str]:
    """Return the pages of a book by path, as plain words, and its sheets by code."""
    reckoning = reckon(book_from(files_of(**records)))
    reviewed = review(reckoning)
    site = site_files(reckoning, reviewed, load_theme(), named=True)
    pages = {path: words(parse(content.decode())) for path, content in site.items() if path.endswith(".html")}
    return pages | {one.code: words(parse(one.html)) for one in leaves(reckoning, reviewed, load_theme())}


# ── Hazards ───────────────────────────────────────────────────────────────────────────────────────────────────────


@pytest.mark.parametrize(
    ("material", "word"),
    [
        (Material(name="sodium hydroxide", kind=MaterialKind.SOLID), "Caustic"),
        (Material(name="pearls", also=("Potassium Hydroxide",)), "Caustic"),
        (Material(name="pearls", key="caustic-soda"), "Caustic"),
        (Material(name="pearls", label=(LabelName(name="Sodium Hydroxide"),)), "Caustic"),
        (Material(name="ammonia 25 %"), "Ammonia burns"),
        (Material(name="sulphuric acid"), "Strong acid"),
        (Material(name="glacial acetic acid"), "Strong acid"),
        (Material(name="vinegar essence 25 %"), "Strong acid"),
        (Material(name="Essigessenz"), "Strong acid"),
        (Material(name="phenol"), "Burns the skin"),
        (Material(name="isopropanol"), "no flame"),
        (Material(name="ethanol 70 %"), "no flame"),
        (Material(name="tea tree essential oil"), "Undiluted aromatic"),
        (Material(name="a blend", function="aroma"), "Undiluted aromatic"),
        (Material(name="fine sand", kind=MaterialKind.POWDER), "Raises dust"),
        (Material(name="white clay"), "Raises dust"),
        (Material(name="Natriumhydroxid, Perlen", kind=MaterialKind.SOLID), "Caustic"),
        (Material(name="Ammoniak 25 %"), "Ammonia burns"),
        (Material(name="Salzsäure 10 %"), "Strong acid"),
        (Material(name="Wasserstoffperoxid-Lösung 30 %"), "Bleaches and burns"),
        (Material(name="Weingeist"), "no flame"),
        (Material(name="Chlorbleichlauge"), "Never with acid"),
        (Material(name="Zinkoxid"), "Raises dust"),
        (Material(name="Ätherisches Öl vom Thymian"), "Undiluted aromatic"),
    ],
    ids=lambda one: one.name if isinstance(one, Material) else "",
)
def test_a_hazard_is_known_by_any_name(material: Material, word: str) -> None:
    found = list(usual_hazards(material))
    assert len(found) == 1
    assert word in found[0]


@pytest.mark.parametrize(
    "name",
    [
        "phenoxyethanol",
        "2-phenyl-ethanol",
        "benzyl alcohol",
        "stearic acid",
        "aluminium hydroxide",
        "sweet oil",
        "Benzylalkohol",
        "Stearinsäure",
        "ohne Ethanol",
        "Alkohol-frei",
        "Staubtuchfaser",
    ],
)
def test_names_that_only_sound_alike_have_none(name: str) -> None:
    assert list(usual_hazards(Material(name=name))) == []


@pytest.mark.parametrize(("percent", "hazards"), [(19, 0), (20, 1), (96, 1)])
def test_alcohol_burns_from_a_fifth(percent: int, hazards: int) -> None:
    content = Content(substance="ethanol", share=Fraction(percent, 100), text=f"{percent} %")
    assert len(list(usual_hazards(Material(name="tincture", contains=(content,))))) == hazards


def test_what_the_keeper_wrote_is_not_said_again() -> None:
    said = Material(name="sodium hydroxide", hazards=("caustic, so goggles",))
    assert list(usual_hazards(said)) == []
    assert list(usual_hazards(Material(name="sodium hydroxide"), ["Sodium hydroxide is caustic: goggles."])) == []
    assert len(list(usual_hazards(Material(name="sodium hydroxide"), ["The ammonia is caustic."]))) == 1


@pytest.mark.parametrize(
    ("material", "word"),
    [
        (Material(name="kaolin", kind=MaterialKind.POWDER, hazards=("Industrial grades may hold quartz.",)), "dust"),
        (Material(name="kaolin", kind=MaterialKind.POWDER, hazards=("Of this grade, no dust at all.",)), "dust"),
        (Material(name="clay", kind=MaterialKind.POWDER, hazards=("Let it breathe after opening.",)), "dust"),
        (Material(name="ethanol", hazards=("Misfired labels come off in it.",)), "no flame"),
        (Material(name="ethanol", hazards=("Not flammable once it is diluted.",)), "no flame"),
        (Material(name="lye", hazards=("Noncorrosive vessels only.",)), "Caustic"),
        (Material(name="ammonia", hazards=("Keep the vapouriser away.",)), "Ammonia burns"),
    ],
    ids=lambda one: f"{one.name}: {one.hazards[0]}" if isinstance(one, Material) else "",
)
def test_a_word_within_another_or_denied_says_nothing_of_the_danger(material: Material, word: str) -> None:
    found = list(usual_hazards(material))
    assert len(found) == 1
    assert word in found[0]


@pytest.mark.parametrize(
    "material",
    [
        Material(name="kaolin", kind=MaterialKind.POWDER, hazards=("Keep the dust down.",)),
        Material(name="talc", kind=MaterialKind.POWDER, hazards=("It should not be breathed.",)),
        Material(name="ethanol", hazards=("No flame in the room.",)),
        Material(name="lye", hazards=("Corrosive, so goggles.",)),
        Material(name="ammonia", hazards=("Keep out of its vapours.",)),
    ],
    ids=lambda one: one.name,
)
def test_a_whole_word_about_the_danger_says_it(material: Material) -> None:
    assert list(usual_hazards(material)) == []


@pytest.mark.parametrize(
    "material",
    [
        Material(name="ethanol-free perfume"),
        Material(name="perfume without ethanol"),
        Material(name="soap, free of sodium hydroxide"),
        Material(name="talc-free powder", kind=MaterialKind.LIQUID),
        Material(name="non-phenol resin"),
        Material(name="alcohol ester of a wax"),
        Material(name="a carrier", function="carrier for perfume"),
        Material(name="a salt", function="aromatic cooking"),
    ],
    ids=lambda one: one.name,
)
def test_what_says_that_it_is_without_it_has_no_hazard_of_it(material: Material) -> None:
    assert list(usual_hazards(material)) == []


def test_a_sentence_of_the_formula_is_about_a_material_by_its_whole_name() -> None:
    oil = Material(name="lye", key="lye")
    assert len(list(usual_hazards(oil, ["A caustic flyeing knife."]))) == 1
    assert list(usual_hazards(oil, ["The lye is caustic."])) == []


def test_flammable_alcohol_is_known_by_its_own_table() -> None:
    assert burns(Material(name="ethanol", hazards=("Flammable.",)))
    assert not burns(Material(name="acetone-free remover"))
    assert not burns(Material(name="phenol"))


def test_a_material_has_one_entry_with_all_its_hazards() -> None:
    lines = "lye: 1 %\nclay: 5 %\nsand: 5 %\nwater: to 100 g"
    dusty = "kind: powder\nwater: 0 %\n"
    pages = pages_of(
        A=formula("A-1", lines),
        lye="name: potassium hydroxide\nkind: powder\nwater: 0 %\nhazards: [keep it dry]\n",
        clay="name: clay\n" + dusty,
        sand="name: sand\n" + dusty,
    )
    for page in (pages["formulas/A-1.html"], pages["A-1"]):
        assert page.count("potassium hydroxide:") == 1
        assert "potassium hydroxide: Keep it dry. Caustic: goggles and gloves; it goes into the water" in page
        assert "clay, sand, each: Raises dust" in page
    for page in (pages["materials/lye.html"], pages["materials-a"]):
        assert "Keep it dry. Caustic: goggles" in page
        assert "Raises dust" in page


# ── Cautions ──────────────────────────────────────────────────────────────────────────────────────────────────────


def test_cautions_of_intermediates_reach_their_users_once() -> None:
    pages = pages_of(
        A=formula("A-1", "oil: to 100 g", "use: intermediate", "cautions: [not near a fire, keep it dry]"),
        B=formula("B-1", "A-1: 50 %\noil: to 100 g", "use: intermediate", "cautions: [Keep it dry.]"),
        C=formula("C-1", "B-1: 50 %\noil: to 100 g", "kind: household", "use: surfaces"),
    )
    page = pages["formulas/C-1.html"]
    cautions = page[page.index("Cautions for use") : page.index("Why these figures")]
    assert cautions.count(": Not near a fire.") == 1
    assert cautions.count(": Keep it dry.") == 1
    own = pages["formulas/B-1.html"]
    assert own.count("Keep it dry") == 1
    assert ": Not near a fire." in own


PROPOLIS = "name: propolis\nkind: resin\nwater: 0 %\ncautions: [Sets off an allergy in some.]\n"
TALC = "name: talc\nkind: powder\nwater: 0 %\ncautions: [Not in a wound.]\n"


def cautions_on(page: str) -> str:
    """Return what a page says below its cautions."""
    return page[page.index("Cautions for use") : page.index("Why these figures")]


def test_what_was_extracted_has_its_cautions_through_intermediates_too() -> None:
    pages = pages_of(
        A=formula("A-1", "propolis: {amount: 20 g, removed: filtered}\noil: to 100 g"),
        B=formula("B-1", "A-1: 50 %\noil: to 100 g"),
        C=formula("C-1", "B-1: 50 %\noil: to 100 g", "kind: cosmetic", "use: leave-on, face"),
        propolis=PROPOLIS,
    )
    said = "Sets off an allergy in some."
    assert f"made with propolis, filtered off: {said}" in cautions_on(pages["formulas/A-1.html"])
    assert f"made with propolis (for Formula A-1), filtered off: {said}" in cautions_on(pages["formulas/B-1.html"])
    named = f"made with propolis (for Formula B-1), filtered off: {said}"
    assert named in cautions_on(pages["formulas/C-1.html"])
    assert pages["formulas/C-1.html"].count(said) == 1
    assert named in pages["C-1"], "on the sheet as on the page"
    told = "Made withpropolis, filtered off; what it gave the product is not counted."
    assert all(told in pages[f"formulas/{code}.html"] for code in ("A-1", "B-1", "C-1"))


def test_what_is_also_held_has_its_caution_by_its_name_alone() -> None:
    lines = "propolis: {amount: 20 g, removed: strained}\nA-1: 5 %\noil: to 100 g"
    pages = pages_of(A=formula("A-1", "propolis: 1 %\noil: to 100 g"), B=formula("B-1", lines), propolis=PROPOLIS)
    cautions = cautions_on(pages["formulas/B-1.html"])
    assert "propolis: Sets off an allergy" in cautions
    assert "made with" not in cautions


@pytest.mark.parametrize(
    ("function", "usual", "said"),
    [
        ("filter aid", "", False),
        ("clears the water, Filter aid", "", False),
        ("", "dispersing agent", False),
        ("extracted", "filter aid", True),
        ("not a filter aid", "", True),
        ("", "", True),
    ],
)
def test_a_filter_aid_has_no_caution_for_the_user_and_its_dust_in_making(function: str, usual: str, said: bool) -> None:
    line = f"talc: {{amount: 5 g, function: '{function}', removed: filtered}}\noil: to 100 g"
    pages = pages_of(
        A=formula("A-1", line),
        B=formula("B-1", "A-1: 50 %\noil: to 100 g", "kind: cosmetic", "use: leave-on, face"),
        talc=TALC + (f"function: {usual}\n" if usual else ""),
    )
    for page, brought in ((pages["formulas/A-1.html"], ""), (pages["formulas/B-1.html"], " (for Formula A-1)")):
        assert (f"made with talc{brought}, filtered off: Not in a wound." in page) is said
        assert ("Not in a wound." in page) is said
        assert f"talc{brought}: Raises dust" in page


def test_an_intermediate_that_is_extracted_has_its_cautions_with_how_it_was_taken_out() -> None:
    """A mixture of drugs is steeped and pressed out; one that was a filter aid has none."""
    for function, said in (("steeped", True), ("filter aid", False)):
        line = f"A-1: {{amount: 5 g, function: {function}, removed: pressed out}}\noil: to 100 g"
        pages = pages_of(
            A=formula("A-1", "propolis: to 100 g", "use: intermediate", "cautions: [not near a fire]"),
            B=formula("B-1", line),
            propolis=PROPOLIS,
        )
        page = pages["formulas/B-1.html"]
        assert ("made with Formula A-1, pressed out: Not near a fire." in page) is said
        assert ("made with propolis (in Formula A-1), pressed out: Sets off an allergy" in page) is said
        assert ("Not near a fire" in page) is said


@pytest.mark.parametrize("use", ["lips", "leave-on, lips", "hands"])
def test_what_does_not_say_that_it_is_rinsed_off_stays_on(use: str) -> None:
    page = pages_of(A=formula("A-1", "oil: to 100 g", "kind: cosmetic", f"use: {use}"))["formulas/A-1.html"]
    assert "Before first use try a little" in page
    assert "Not meant for children or use in pregnancy" in page


def test_what_is_rinsed_off_or_for_a_room_says_less() -> None:
    page = pages_of(A=formula("A-1", "oil: to 100 g", "kind: cosmetic", "use: rinse-off, hands"))["formulas/A-1.html"]
    assert "Before first use" in page
    assert "Not meant for children" not in page
    room = pages_of(A=formula("A-1", "oil: to 100 g", "kind: scent", "use: room"))["formulas/A-1.html"]
    assert "Before first use" not in room


def test_near_the_eyes_it_says_what_is_not_given() -> None:
    page = pages_of(A=formula("A-1", "oil: to 100 g", "kind: cosmetic", "use: eyes, small children"))
    for one in (page["formulas/A-1.html"], page["A-1"]):
        assert "Not tested for the eye area, and sterility is not given." in one
        assert "Keep it out of the eyes" not in one


def test_the_keepers_own_trial_on_the_arm_is_not_doubled() -> None:
    own = "cautions: [Try it on the arm a day before the first use.]"
    page = pages_of(A=formula("A-1", "oil: to 100 g", "kind: cosmetic", "use: leave-on, face", own))
    assert page["formulas/A-1.html"].count("first use") == 1


SORBATE = "name: sorbate\nkind: powder\nwater: 0 %\nfunction: preservative\n"


@pytest.mark.parametrize(("because", "tested"), [("", False), (", because: a challenge test of May 2026", True)])
def test_not_tested_is_not_said_beside_a_reason(because: str, tested: bool) -> None:
    kept = f"storage: {{place: cupboard, period: 60 days{because}}}"
    pages = pages_of(A=formula("A-1", "sorbate: 1 %\nwater: to 100 g", kept), sorbate=SORBATE)
    page = pages["formulas/A-1.html"]
    assert ("It contains a preservative; its effect was not tested." in page) is not tested
    assert ("contains water and a preservative; effect not tested." in page) is not tested
    assert ("It contains a preservative; what its period rests on stands with how it is kept." in page) is tested
    assert ("BecauseA challenge test of May 2026." in page.replace("Because A", "BecauseA")) is tested


def test_a_medicine_sends_for_its_dose_to_who_may_give_it_and_does_not_deny_the_keepers() -> None:
    own = "cautions: [A pea of it at night.]"
    page = pages_of(A=formula("A-1", "oil: to 100 g", "kind: medicine", "use: hands", own))["formulas/A-1.html"]
    assert "A pea of it at night." in page
    assert "A medicine: for dose and use ask a pharmacist or doctor." in page
    assert "no dose" not in page


def test_a_soap_is_not_said_to_hold_its_lye() -> None:
    """Where nobody knows whether the fat takes all of it up, it may."""
    lye = "name: sodium hydroxide\nkind: solid\nwater: 0 %\ncontains: {sodium hydroxide: 98 %}\n"
    fat = "name: olive oil\nsoluble: oil\nwater: 0 %\nsaponification: 184 to 196 mg KOH/g\n"
    unknown = formula("A-1", "lye: 10.5 %\nwater: 20 %\noil: to 100 g")
    soap = formula("A-2", "lye: 8 %\nwater: 20 %\nfat: to 100 g")
    pages = pages_of(A=unknown, B=soap, lye=lye, fat=fat)
    page = pages["formulas/A-1.html"]
    assert "sodium hydroxide10." not in pages["formulas/A-2.html"]
    assert "Superfat" in pages["formulas/A-2.html"]
    assert "What goes into Formula A-1" in page
    found = pages["figures.html"]
    assert "Lye that turned fat into soap is no longer there" in found


# ── Figures in words ──────────────────────────────────────────────────────────────────────────────────────────────


def test_a_usual_amount_is_marked_and_its_value_is_plain() -> None:
    text = formula("A-1", "lye: q.s. to pH 7 (about 1.2 g)\nwater: to 100 g")
    body = f"---\n{text}---\n\n## Method\n\n1. Add [the lye](amount:lye) to [the water](amount:water).\n"
    records = files_of(A=body, lye="name: weak lye\nkind: liquid\nwater: 90 %\n")
    reckoning = reckon(book_from(records))
    reviewed = review(reckoning)
    site = site_files(reckoning, reviewed, load_theme(), named=True)
    leaf = next(one for one in leaves(reckoning, reviewed, load_theme()) if one.code == "A-1")
    for html in (site["formulas/A-1.html"].decode(), leaf.html):
        tree = parse(html)
        assert words(tree).count("≈ 1.20") == 2  # the table and the step
        assert words(tree).count("≈") == 2
        values = {one.get("data-figure"): one.get("value") for one in tree.iter(f"{HTML}data")}
        assert values["line-0.metered"] == values["link-0.metered"] == "1.2"


def drop_words(weighed: str) -> str:
    """Return how a material's page tells the mass of one drop."""
    page = pages_of(oil=OIL + f"drops:\n  pipette: {weighed}\n")["materials/oil.html"]
    return page[page.index("One drop, pipette") : page.index("Used in")].strip()


@pytest.mark.parametrize(
    ("written", "said"),
    [
        ("0.025 g", "0.025 g, stated; taken as 0.016 to 0.034 g, one third either way."),
        ("0.025 g (0.020 to 0.030 g)", "0.025 g (0.020 to 0.030 g), stated."),
        ("[20 drops 0.52 g]", "0.026 g, from 1 weighing; taken as 0.017 to 0.035 g, as one alone shows no spread."),
        ("[20 drops 0.52 g, 20 drops 0.48 g]", "0.025 g (0.0235 to 0.0265 g), from 2 weighings."),
    ],
)
def test_a_drop_says_where_its_range_comes_from(written: str, said: str) -> None:
    assert drop_words(written) == f"One drop, pipette{said}"


@pytest.mark.parametrize("on", ["2004", "2004-05", "2004-05-09"])
def test_an_old_date_is_shown_as_it_is_written(on: str) -> None:
    changes = f"changes:\n  1, {on}: from an old notebook"
    pages = pages_of(A=formula("A-1", "oil: to 100 g", changes))
    assert f"Issue 1 of {on} " in pages["formulas/A-1.html"]
    assert f"Issue 1{on}from an old notebook" in pages["formulas/A-1.html"]
    assert f"Issue 1 of {on} " in pages["A-1"]
    reckoning = reckon(book_from(files_of(A=formula("A-1", "oil: to 100 g", changes))))
    leaf = next(one for one in leaves(reckoning, review(reckoning), load_theme()) if one.code == "A-1")
    assert f"{on} · " in leaf.html, "in the foot of the sheet, before its check code"


def test_make_first_shows_the_same_digits_everywhere() -> None:
    records = files_of(
        A=formula("A-1", "oil: to 100 g", "use: intermediate", "yield: 96 %"),
        B=formula("B-1", "A-1: 61.62 g\noil: to 100 g"),
    )
    reckoning = reckon(book_from(records))
    reviewed = review(reckoning)
    shown = "weigh in all 64.19 g"
    site = site_files(reckoning, reviewed, load_theme(), named=True)
    assert shown in words(parse(site["formulas/B-1.html"].decode()))
    leaf = next(one for one in leaves(reckoning, reviewed, load_theme()) if one.code == "B-1")
    assert shown in words(parse(leaf.html))
    terminal = " ".join(weighing_text(weigh(reckoning, "b-1"), reckoning, reviewed, ()).split())
    assert shown in terminal


def test_a_way_out_is_never_below_the_batch_that_serves() -> None:
    records = files_of(A=formula("A-1", "oil: 0.4 g\nwater: to 10 g").replace("makes: 100 g", "makes: 10 g"))
    records["formulas/workroom.yaml"] = (
        b"title: A book\naccepted error: 60 %\nbalances:\n  - {name: coarse, readability: 0.5 g}\n"
    )
    reckoning = reckon(book_from(records))
    reviewed = review(reckoning)
    page = words(parse(site_files(reckoning, reviewed, load_theme(), named=True)["formulas/A-1.html"].decode()))
    assert "Way out: a batch of 23.5 g" in page
    assert "23.4 " not in page
    terminal = weighing_text(weigh(reckoning, "a-1"), reckoning, reviewed, ())
    assert "23.5" in terminal
    assert "23.4 " not in terminal.replace("\u202f", " ")
    assert any("make 23.5 g" in one.message for one in reviewed.findings)


def test_a_refusal_says_each_sentence_once(small: Published) -> None:
    def said(key: str) -> str:
        formula, barred = small.book.formulas[key], small.review.barred[key]
        findings = tuple(one for one in small.review.findings if one.concerns.casefold() == key)
        refused = Refused(formula, says("barred", why=barred.says), findings, signs=POINT, barred=True, ended=True)
        return " ".join(refusal_text(refused.told, refused.findings, POINT).split())

    assert said("c-11").startswith("C-11 Wrong cream is not weighed: barred. error")
    assert said("c-11").count("10 g short of 100 g") == 1
    assert said("c-12").startswith(
        "C-12 User of the wrong cream is not weighed: barred: It uses Wrong cream (C-11), which has an error."
    )


@pytest.mark.parametrize(
    ("material", "begins"),
    [
        (Material(name="sodium hypochlorite 5 %"), "Never with acid, ammonia, alcohol or peroxide"),
        (Material(name="bleach"), "Never with acid, ammonia, alcohol or peroxide"),
        (Material(name="Chlorbleichlauge, 12 %"), "Never with acid, ammonia, alcohol or peroxide"),
        (
            Material(name="cleaner", contains=(Content(substance="Ätznatron", share=Fraction(1, 20), text="5 %"),)),
            "Caustic",
        ),
        (Material(name="Salzsäure 10 % m/m"), "Strong acid: goggles and gloves"),
        (Material(name="troclosene sodium"), "Never with acid, ammonia, alcohol or peroxide"),
        (Material(name="trichloroisocyanuric acid, tablets"), "Never with acid, ammonia, alcohol or peroxide"),
        (Material(name="oxygen water", contains=(_peroxide(6),)), "Bleaches and burns skin"),
    ],
    ids=lambda one: one.name if isinstance(one, Material) else "",
)
def test_hypochlorite_and_peroxide_have_their_hazard(material: Material, begins: str) -> None:
    assert any(hazard.startswith(begins) for hazard in usual_hazards(material))


def test_thin_peroxide_and_an_unbleached_wax_have_none() -> None:
    assert not list(usual_hazards(Material(name="oxygen water", contains=(_peroxide("5.99"),))))
    assert not list(usual_hazards(Material(name="beeswax, bleach-free", kind=MaterialKind.WAX)))


# ── At the step ───────────────────────────────────────────────────────────────────────────────────────────────────────

LYE = "name: lye\nalso: [sodium hydroxide]\nkind: powder\nwater: 0 %\nhazards:\n  - Burns skin at once.\n"
GUM = "name: gum\nkind: powder\nwater: 0 %\nhazards:\n  - Slippery underfoot.\n"
INNER = formula("I", "gum: 10 g\nlye: 9.9 g\noil: 80.1 g", "use: intermediate")
STEPS = """
First [the lye](amount:lye) is fetched.

## Method

1. Weigh [the water](amount:water).
2. Let in [half of the lye](amount:lye*1/2) and [more of it](amount:lye*1/4).
   - then [the rest](amount:lye*rest)
   - and stir
3. Add [the salve](amount:I).

Pour [all of phase B](amount:@B) into it.

## Notes

[The lye](amount:lye) is kept apart.
"""
WITH_STEPS = (
    "---\n" + formula("M", "A:\n  water: 50 g\n  lye: 4 g\n  I: 20 g\nB:\n  gum: 6 g\n  oil: 20 g")
    + f"---\n{STEPS}"
)  # fmt: skip
RAISES = "Raises dust: weigh out of the draught, scoop low, do not breathe it in."
BURNS, SLIPS = f"Burns skin at once. {RAISES}", f"Slippery underfoot. {RAISES}"


def html_of(**records: str) -> tuple[str, str]:
    """Return the page of M and its sheet."""
    reckoning = reckon(book_from(files_of(**records)))
    reviewed = review(reckoning)
    page = site_files(reckoning, reviewed, load_theme(), named=True)["formulas/M.html"].decode()
    return page, next(leaf.html for leaf in leaves(reckoning, reviewed, load_theme()) if leaf.code == "M")


def dangers_in(html: str) -> list[str]:
    """Return what stands in the steps, in order."""
    return [words(danger) for danger in parse(html).iter() if danger.get("class") == "danger"]


def test_a_step_says_what_is_hazardous_in_it_and_no_other_does():
    page, _ = html_of(lye=LYE, gum=GUM, I=INNER, M=WITH_STEPS)
    found = dangers_in(page)
    assert found == [f"lye: {BURNS}", *[f"gum: {SLIPS}"] * 2]
    steps = [words(item) for item in parse(page).iter(f"{HTML}li") if "Let in" in words(item)]
    assert steps[0].endswith(f"and stir lye: {BURNS}")


def test_on_paper_the_step_names_the_hazards_that_stand_above_it():
    _, sheet = html_of(lye=LYE, gum=GUM, I=INNER, M=WITH_STEPS)
    assert dangers_in(sheet) == [f"Hazards above: {name}." for name in ("lye", "Formula I", "gum")]
    assert words(parse(sheet)).count("Burns skin at once.") == 1


def test_the_formulas_own_sentence_about_it_is_not_said_again():
    own = WITH_STEPS.replace("title:", "hazards:\n  - Burns skin at once.\ntitle:", 1)
    page, _ = html_of(lye=LYE.replace("also: [sodium hydroxide]\n", ""), gum=GUM, I=INNER, M=own)
    assert not any("Burns" in danger for danger in dangers_in(page))


# ── Keeping ───────────────────────────────────────────────────────────────────────────────────────────────────────────


def test_what_preserves_it_ends_without_a_full_stop_like_the_facts_beside_it() -> None:
    demo = checked("demo")
    shelf = shelf_of(demo.reckoning, demo.review)
    for code, preserved in (("h-02", "dehydroacetic acid, at the usual share and pH"), ("n-06", "alcohol")):
        shown = formula_shown(demo.reckoning.figures[code], weigh(demo.reckoning, code), shelf, str)
        told = {fact.term: fact.text for fact in shown.keeping}
        assert told["Preserved by"] == preserved
        assert not str(told["Keep in"]).endswith(".")
