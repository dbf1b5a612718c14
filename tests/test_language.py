"""The words of the program in another language: none stands bare, none is missing there, none is there in vain."""

from __future__ import annotations

import re
from collections.abc import Iterable
from functools import cache
from pathlib import Path

import pytest

import bookgen.language
from bookgen.binder import bindery_for, leaves_of, sheet_style
from bookgen.findings import Severity
from bookgen.fraction import Fraction
from bookgen.language import TABLES, noted, speaking, spoken, word
from bookgen.language import table as table_of
from bookgen.look import load_theme
from bookgen.look.markup import PAGE
from bookgen.look.said import script_said, template_said
from bookgen.pages.site import site_files
from bookgen.pipeline import Checked
from bookgen.press.render import render
from bookgen.show import COMMA, drops, listing, period
from bookgen.shown.amounts import amount_said
from bookgen.wording.saying import says
from bookgen.wording.table import SENTENCES
from tests.shared import DAY, checked
from tests.words_said import said

CHECKOUT = Path(__file__).parents[1]
THEME = CHECKOUT / "themes" / "workroom"
TEMPLATES = sorted(THEME.glob("*/*.html"))

_COMMENT = re.compile(r"\{#.*?#\}", re.DOTALL)
_STYLE = re.compile(r"<style>.*?</style>", re.DOTALL)
_SAID = re.compile(r"\{% say %\}.*?\{% endsay %\}", re.DOTALL)
_KIND = re.compile(r"\{% block (?:kind|set) %\}.*?\{% endblock %\}", re.DOTALL)
_CODE = re.compile(r"\{\{.*?\}\}|\{%.*?%\}", re.DOTALL)
_TAG = re.compile(r"<[^>]*>")
_TOLD = re.compile(r"\b(?:aria-label|alt|title|placeholder)=\"([^\"]*)\"")
_LETTERS = re.compile(r"[^\W\d_]+")
BARE = frozenset({
    "g", "mL", "pH", "w", "nbsp", "wbr",  # units, signs
    "DOCTYPE", "html", "X", "KQ", "M",  # the code and the check code of the specimen on the title
})  # fmt: skip
"""What a template may say without being asked for it in another language."""


ENGLISH_ALONE = {"found.html": frozenset(["What", "the", "words", "mean", "Published", "tables", "Values"])}
"""Template → words in the part of it that is English in every book, and marked so: how figures are found."""


def bare_words(template: str) -> list[str]:
    """Return what a template prints in letters of its own outside of `word(…)` and `{% say %}`."""
    text = template
    for what in (_COMMENT, _STYLE, _SAID, _KIND):
        text = what.sub("", text)
    text = _CODE.sub("\0", text)
    told = " ".join(_TOLD.findall(text))
    return [found for found in _LETTERS.findall(f"{_TAG.sub(' ', text)} {told}") if found not in BARE]


@pytest.mark.parametrize("path", TEMPLATES, ids=lambda path: f"{path.parent.name}/{path.name}")
def test_no_template_says_a_word_that_is_not_turned(path: Path) -> None:
    allowed = ENGLISH_ALONE.get(path.name, frozenset())
    assert [found for found in bare_words(path.read_text(encoding="utf-8")) if found not in allowed] == []


def test_a_bare_word_of_a_template_is_noticed() -> None:
    assert bare_words('<h2 aria-label="Steps">{{ word("Hazards") }}</h2><p>Made {{ page.made }}</p>') == [
        "Made",
        "Steps",
    ]


@pytest.fixture
def table(monkeypatch: pytest.MonkeyPatch) -> dict[str, str]:
    """A table of a few words, in place of the German one."""
    few = {
        "Hazards": "Gefahren",
        "Check [code]": "Prüfcode",
        "Issue {page.issue} of {page.issued}": "vom {page.issued}: Ausgabe {page.issue}",
        "{count} of {all}": "von {all} {count}",
        "drops": "Tropfen",
        "days": "Tage",
        "and": "und",
        "{count} others": "{count} weitere",
        "{text:typed} lacks a unit: write it as in {wanted:such}.": "{text:typed} ohne Einheit, etwa {wanted:such}.",
    }
    monkeypatch.setattr("bookgen.language.table", lambda language: few)
    return few


def test_words_are_turned_within_the_block_alone(table: dict[str, str]) -> None:
    with speaking("de-CH"):
        assert (spoken(), word("Hazards"), word("Check", "code"), word("Check")) == (
            "de",
            "Gefahren",
            "Prüfcode",
            "Check",
        )
        with speaking("fr"):
            assert (spoken(), word("Hazards")) == ("en", "Hazards")
        assert noted("Hazards") == "Hazards"
    assert (spoken(), word("Hazards")) == ("en", "Hazards")


def test_templates_and_scripts_are_turned_as_they_stand(table: dict[str, str]) -> None:
    template = (
        '{{ word("Hazards") }}|{{ word("Check", "code")|found }}|'
        "{% say %}Issue {{ page.issue }} of {{ page.issued }}{% endsay %}"
    )
    script = 'a(word("Hazards"), spoken`${count} of ${all}`)'
    assert template_said(template) == 'Hazards|{{ "Check"|found }}|Issue {{ page.issue }} of {{ page.issued }}'
    assert script_said(script) == 'a("Hazards", `${count} of ${all}`)'
    with speaking("de"):
        assert (
            template_said(template) == 'Gefahren|{{ "Prüfcode"|found }}|vom {{ page.issued }}: Ausgabe {{ page.issue }}'
        )
        assert script_said(script) == 'a("Gefahren", `von ${all} ${count}`)'


def test_counts_lists_and_sentences_are_turned(table: dict[str, str]) -> None:
    with speaking("de"):
        told = [drops(3), period(14, 0), listing(["a", "b"]), listing(["a", "b", "c", "d"], 2)]
        assert [text.replace("\N{NO-BREAK SPACE}", " ") for text in told] == [
            "3 Tropfen",
            "14 Tage",
            "a und b",
            "a, b und 2 weitere",
        ]
        assert says("unit-missing", text="5", wanted=("0.5 g",)).words(COMMA) == "5 ohne Einheit, etwa 0,5 g."
    assert drops(3).replace("\N{NO-BREAK SPACE}", " ") == "3 drops"


@pytest.mark.parametrize(
    ("written", "said"),
    [
        ("to 250 g of 70 %vol", "ad 250 g mit 70 %vol"),
        ("0.5 % w/v as lactic acid", "0,5 % w/v als lactic acid"),
        ("1 in 2000", "1 zu 2000"),
        ("q.s. for 5 % superfat", "q.s. für 5 % Überfettung"),
        ("q.s. to pH 5.2 (about 3.8 g)", "q.s. ad pH 5,2 (etwa 3,8 g)"),
        ("12 drops of glass pipette at hand", "12 Tropfen mit glass pipette at hand"),
        ("1.19 g/mL at 20 °C", "1,19 g/mL bei 20 °C"),
    ],
)
def test_the_words_of_an_amount_are_turned_and_names_are_not(written: str, said: str) -> None:
    with speaking("de"):
        assert re.sub(r"\s", " ", amount_said(written, COMMA)) == said


def test_a_sentence_that_no_table_turns_is_english_throughout() -> None:
    burns = says("burns-by-strength", names=("a", "b"), share=Fraction(1, 10), count=2, least=Fraction(1, 50),
                 known="from memory", way=says("burn-thin"))  # fmt: skip
    told = says("danger-burns", name="a", share=Fraction(1, 10), least=Fraction(1, 50), known="from memory")
    with speaking("de"):
        assert burns.words() == "a and b 10 % burn skin (from about 2 %, from memory); use less of it."
        assert told.words() == "a 10 %: verätzt die Haut ab etwa 2 % (aus dem Gedächtnis)"


def test_the_range_in_which_something_works_reads_on() -> None:
    with speaking("de"):
        reaches = says("works-up-to", most=Fraction(5)), says("works-between", least=Fraction(3), most=Fraction(5))
        shaded = [says("acid-shaded", works=works).words() for works in reaches]
    assert shaded == ["; grau: wirksamer Bereich, bis pH 5", "; grau: wirksamer Bereich, pH 3 bis 5"]


_HOLE = re.compile(r"\{[^{}]*\}|<[^<>]*>|&\w+;")
"""A hole of a sentence, and what is markup in one of a template."""
_ALIKE = re.compile(r"[^\W\d_]")


def holes_of(text: str) -> list[str]:
    """Return the holes of a sentence without their nouns, which are another's in another language."""
    return sorted(re.sub(r":[~\w ]+/[^}]*", ":/", hole) for hole in _HOLE.findall(text))


def words_apart(text: str) -> bool:
    """Tell whether there is a word outside of the holes: what has none is alike in every language."""
    return _ALIKE.search(_HOLE.sub("", text)) is not None


@pytest.mark.parametrize("language", TABLES)
def test_every_word_stands_in_the_table(language: str) -> None:
    table = table_of(language)
    missing = [f"{where}: {text!r}" for text, where in said().items() if text not in table and words_apart(text)]
    assert not missing, "\n".join(sorted(missing))


@pytest.mark.parametrize("language", TABLES)
def test_every_entry_of_the_table_is_said(language: str) -> None:
    known = said().keys() | SENTENCES.values()
    assert not [text for text in table_of(language) if text not in known]


@pytest.mark.parametrize("language", TABLES)
def test_a_sentence_has_the_same_holes_in_both_languages(language: str) -> None:
    wrong = [
        f"{english!r}: {turned!r}"
        for english, turned in table_of(language).items()
        if holes_of(english.partition(" [")[0] if english.endswith("]") else english) != holes_of(turned)
        or (english[:1] == " ") != (turned[:1] == " ")
        or (english[-1:] == " ") != (turned[-1:] == " ")
    ]
    assert not wrong, "\n".join(wrong)


@pytest.mark.parametrize("language", TABLES)
def test_what_is_put_into_a_template_or_a_script_is_text_there_too(language: str) -> None:
    """Words alone are put in as they are, in quotes or between tags."""
    wrong = [
        turned
        for english, turned in table_of(language).items()
        if "<" not in english and any(sign in _HOLE.sub("", turned).replace("\\u202f", "") for sign in '"<>\\\n')
    ]
    assert not wrong, "\n".join(wrong)


@pytest.mark.parametrize("language", TABLES)
def test_no_two_entries_of_a_table_are_of_the_same_words(language: str) -> None:
    folder = Path(bookgen.language.__file__).parent / TABLES[language]
    found: list[str] = []
    for path in sorted(folder.glob("*.yaml")):
        found += re.findall(r'^("(?:[^"\\]|\\.)*"): "', path.read_text(encoding="utf-8"), re.MULTILINE)
    assert len(found) == len(set(found)) == len(table_of(language))


# ── A German book ─────────────────────────────────────────────────────────────────────────────────────────────────

GERMAN = CHECKOUT / "tests" / "books" / "german"
ENGLISH_PART = re.compile(r'<(\w+)[^<>]*\blang="en"[^<>]*>.*?</\1>', re.DOTALL)
_UNSEEN = re.compile(r"<style>.*?</style>|<script\b.*?</script>", re.DOTALL)
_SAID_OF = re.compile(r'\b(?:aria-label|alt|title)="([^"]*)"')
_WORD = re.compile(r"[A-Za-zÄÖÜäöüß’]+")
KEPT_ENGLISH = frozenset({
    # names of substances and documents, and what is typed
    "acid", "alcohol", "benzyl", "lactic", "dehydroacetic", "search", "name", "code", "index",
    "formulas", "materials",
})  # fmt: skip
"""English words that a page of a German book may print: names, and what is typed into a field or a file."""


@cache
def english_words() -> frozenset[str]:
    """Return the words of the English side of the table that no German sentence has."""
    table = table_of("de")

    def words_of(texts: Iterable[str]) -> set[str]:
        return {word.casefold() for text in texts for word in _WORD.findall(_HOLE.sub(" ", text))}

    return frozenset(words_of(table)) - words_of(table.values())


@cache
def own_words() -> set[str]:
    """Return the words that the keeper wrote."""
    texts = (path.read_text(encoding="utf-8") for path in GERMAN.rglob("*") if path.is_file())
    return {word.casefold() for text in texts for word in _WORD.findall(text)}


def seen(html: str) -> set[str]:
    """Return the words that a page shows or says, without those that are marked as English."""
    text = ENGLISH_PART.sub(" ", _UNSEEN.sub(" ", html))
    text = f"{_TAG.sub(' ', text)} {' '.join(_SAID_OF.findall(text))}"
    return {word.casefold() for word in _WORD.findall(text) if len(word) > 1}


def english_in(text: str) -> set[str]:
    """Return the English words of ours in a text that a page of the German book shows."""
    found = {word.casefold() for word in _WORD.findall(text) if len(word) > 1}
    return found & english_words() - own_words() - KEPT_ENGLISH


@pytest.fixture(scope="module")
def german_book() -> Checked:
    return checked("german")


def test_the_german_book_is_sound(german_book: Checked) -> None:
    assert not [finding for finding in german_book.review.findings if finding.severity is Severity.ERROR]


def test_pages_of_a_german_book_say_nothing_in_english(german_book: Checked) -> None:
    files = site_files(german_book.reckoning, german_book.review, load_theme(GERMAN), named=True, day=DAY)
    english = english_words() - own_words() - KEPT_ENGLISH
    left = {path: seen(files[path].decode()) & english for path in files if path.endswith(".html")}
    assert not {path: sorted(words) for path, words in left.items() if words}
    handcreme = files["formulas/H-01.html"].decode()
    assert '<html lang="de">' in handcreme
    assert "Einwaage gesamt" in handcreme
    assert "ad 100" in handcreme
    made = "".join(files[path].decode() for path in files if path.startswith("batches"))
    outcomes = [
        *re.findall(r"<strong class=\"?stamp (\w+)\"?>(.*?)</strong>", made),
        *re.findall(r"(in Ordnung|nachgearbeitet|good|reworked)</td>", files["batches.html"].decode()),
    ]
    assert outcomes == [("reworked", "nachgearbeitet"), ("good", "in Ordnung"), "in Ordnung", "nachgearbeitet"]


def test_sheets_of_a_german_book_say_nothing_in_english(german_book: Checked) -> None:
    english = english_words() - own_words() - KEPT_ENGLISH
    with speaking("de"):
        sheets = leaves_of(bindery_for(german_book.reckoning, german_book.review, load_theme(GERMAN)))
    left = {sheet.leaf.code: seen(sheet.leaf.html) & english for sheet in sheets}
    assert not {code: sorted(words) for code, words in left.items() if words}


def test_how_to_use_a_german_binder_stands_on_the_back_of_its_title(german_book: Checked) -> None:
    theme, room = load_theme(GERMAN), german_book.book.workroom
    with speaking("de"):
        sheets = leaves_of(bindery_for(german_book.reckoning, german_book.review, theme))
        (title,) = (sheet.leaf for sheet in sheets if sheet.leaf.code == "title")
        assert render(title, sheet_style(theme, room)).pages == 2


def test_a_long_german_word_is_parted_between_the_words_that_it_is_made_of() -> None:
    names = (
        "Glycerylstearatcitrat", "Polyhydroxystearinsäure", "Natriumstearoylglutamat", "Konservierungsmittel",
        "glycerylstearatcitrat-85",
    )  # fmt: skip
    english = [str(PAGE.breakable(name)) for name in names[:1]]
    with speaking("de"):
        parted = [str(PAGE.breakable(name)).replace("\N{SOFT HYPHEN}", "~") for name in names]
    assert parted == [
        "Glyceryl~stearat~citrat", "Poly~hydroxy~stearin~säure", "Natrium~stearoyl~glutamat", "Konser~vie~rungs~mittel",
        "glycerylstearatcit<wbr>rat-85",
    ]  # fmt: skip
    assert english == ["Glycerylstearatcit<wbr>rat"]


def test_scripts_of_a_german_book_speak_german() -> None:
    with speaking("de"):
        scripts = load_theme(GERMAN).scripts
        assert "Am Arbeitsplatz" in scripts["bench"]
        assert "At the bench" not in scripts["bench"]
    assert "At the bench" in load_theme(GERMAN).scripts["bench"]
