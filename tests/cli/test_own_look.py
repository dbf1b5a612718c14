"""A look of the book's own with a mistake in it: one sentence with file and line, exit 1; the earlier pages stay."""

from __future__ import annotations

from pathlib import Path
from shutil import copytree

import pytest
from click.testing import CliRunner

from bookgen.cli import main
from bookgen.look import ThemeFault, load_theme
from bookgen.look.themes import built_in
from tests.plain_user import without_rights

OWN = "themes/workroom"
SECRET = "nothing for a page"


def run(*arguments: object):
    result = CliRunner(env={"SOURCE_DATE_EPOCH": ""}).invoke(main, [*map(str, arguments)])
    assert isinstance(result.exception, SystemExit | None), result.exception
    return result


def own(book: Path, path: str, content: str | bytes) -> None:
    file = book / OWN / path
    file.parent.mkdir(parents=True, exist_ok=True)
    file.write_bytes(content.encode() if isinstance(content, str) else content)


PAGE = '{% extends "pages/base.html" %}{% block main %}\n'
SHEET = '{% extends "sheets/base.html" %}{% block main %}\n'
CUT = "- {family: Workroom Sans, weight: 400, file: sans, package: fontpkg_source_sans_3}\n"

FAULTS = {
    # The style.
    "page style in Latin-1": (
        "site", "style/page.css", "p { color: red }\n/* Größe */".encode("latin-1"),
        "style/page.css, line 2: the byte F6 is not UTF-8; save the file as UTF-8.",
    ),
    "sheet style in Latin-1": (
        "binder", "sheets/own.css", b"/* Gr\xf6\xdfe */",
        "sheets/own.css, line 1: the byte F6 is not UTF-8; save the file as UTF-8.",
    ),
    "template in Latin-1": (
        "site", "pages/contents.html", "<p>\n\nGröße".encode("latin-1"),
        "pages/contents.html, line 3: the byte F6 is not UTF-8; save the file as UTF-8.",
    ),
    # A page.
    "unclosed if": (
        "site", "pages/material.html", PAGE + "<p>\n{% if page.name %}\n{% for a in page.facts %}{% endfor %}\n",
        "pages/material.html, line 3: `{% if %}` is not closed; write `{% endif %}` where it ends.",
    ),
    "unclosed set": (
        "site", "pages/material.html", "{% set a = 1 %}\n{% set b %}\nwords",
        "pages/material.html, line 2: `{% set %}` is not closed; write `{% endset %}` where it ends.",
    ),
    "unclosed print": (
        "site", "pages/search.html", "<p>\n{{ page.terms",
        ("pages/search.html, line 2: the template cannot be read: unexpected end of template, expected 'end of print "
        "statement'."),
    ),
    "unknown field": (
        "site", "pages/formula.html", PAGE + "{{ page.titel }}{% endblock %}",
        "pages/formula.html, line 2: nothing here is called `titel`; perhaps title is meant.",
    ),
    "unknown name": (
        "site", "pages/formula.html", PAGE + "{{ pagee.title }}{% endblock %}",
        "pages/formula.html, line 2: nothing here is called `pagee`.",
    ),
    "unknown filter": (
        "site", "pages/formula.html", PAGE + "{{ page.title|loud }}{% endblock %}",
        "pages/formula.html, line 2: the template cannot be read: no filter named 'loud'.",
    ),
    "a part that a page of the theme needs": (
        "site", "pages/parts.html", "{% macro stamp(stamp) %}{% endmacro %}",
        ("pages/parts.html: there is no macro `cell` here, with which the page prints another batch; take it over "
         "from the theme."),
    ),
    "template that is not there": (
        "site", "pages/formula.html", '\n{% extends "pages/bass.html" %}',
        "pages/formula.html, line 2: there is no template pages/bass.html.",
    ),
    "template beside the theme": (
        "site", "pages/formula.html", '{% include "../../formulas/lotion.md" %}',
        "pages/formula.html, line 1: there is no template ../../formulas/lotion.md.",
    ),
    "template that stops": (
        "site", "pages/formula.html", "{{ 1 / 0 }}",
        "pages/formula.html, line 1: the template stops here (ZeroDivisionError: division by zero).",
    ),
    "template that takes in itself": (
        "site", "pages/formula.html", '{% include "pages/formula.html" %}',
        "pages/formula.html, line 1: the template stops here (RecursionError: maximum recursion depth exceeded",
    ),
    # A sheet.
    "unknown field on a sheet": (
        "binder", "sheets/materials.html", SHEET + "\n{{ page.nothing }}{% endblock %}",
        "sheets/materials.html, line 3: nothing here is called `nothing`.",
    ),
    "unclosed if on a sheet": (
        "binder", "sheets/title.html", SHEET + "{% if page %}",
        "sheets/title.html, line 2: `{% if %}` is not closed; write `{% endif %}` where it ends.",
    ),
    "template of a name that no sheet has": (
        "binder", "sheets/material.html", SHEET + "{% endblock %}",
        "sheets/material.html: nothing is made with a template of this name; perhaps materials.html is meant.",
    ),
    "template of a name that no page has": (
        "site", "pages/herbarium.html", PAGE + "{% endblock %}",
        "pages/herbarium.html: nothing is made with a template of this name.",
    ),
    # Type.
    "cuts of type that are no YAML": (
        "binder", "fonts/faces.yaml", CUT + "- {family: Workroom Sans, weight: 700\n",
        "the list cannot be read; one cut a line, as in `- {family: Workroom Sans, weight: 400, file: sans}`.",
    ),
    "cuts of type that are no list": (
        "binder", "fonts/faces.yaml", "family: Workroom Sans",
        "fonts/faces.yaml, line 1: this is not a list; begin each cut of type with `- `.",
    ),
    "cut of type that is no mapping": (
        "binder", "fonts/faces.yaml", CUT + "- Workroom Sans\n",
        "fonts/faces.yaml, line 2: a cut of type lacks its `family`.",
    ),
    "cut of type without a file": (
        "binder", "fonts/faces.yaml", CUT + "- {family: Workroom Sans}\n",
        "fonts/faces.yaml, line 2: a cut of type lacks its `file`.",
    ),
    "cut of type with another key": (
        "binder", "fonts/faces.yaml", "- {famly: Workroom Sans, file: sans}\n",
        "fonts/faces.yaml, line 1: a cut of type has no key `famly`; perhaps family is meant.",
    ),
    "weight in words": (
        "binder", "fonts/faces.yaml", "- {family: Workroom Sans, file: sans, weight: bold}\n",
        "fonts/faces.yaml, line 1: a weight of `bold`; write a whole number from 1 to 1000, such as 400.",
    ),
    "slope in words": (
        "binder", "fonts/faces.yaml", "- {family: Workroom Sans, file: sans, slope: left}\n",
        "fonts/faces.yaml, line 1: a slope of `left`; write normal or italic.",
    ),
    "list below a key": (
        "binder", "fonts/faces.yaml", "- {family: [a, b], file: sans}\n",
        "fonts/faces.yaml, line 1: a cut of type has words after each key and nothing below it.",
    ),
    "font from elsewhere": (
        "binder", "fonts/faces.yaml", "- {family: Workroom Sans, file: ../../../elsewhere}\n",
        "fonts/faces.yaml, line 1: the `file` holds signs other than letters, digits, spaces and hyphens.",
    ),
    # Scripts.
    "prose for a script": (
        "site", "script/search.js", "// what is found\nthis is no script at all\n",
        "script/search.js, line 2: this is not JavaScript.",
    ),
    "bracket left open": (
        "site", "script/field.js", "const a = (b) => {\n  return b?.c ?? `${a}`;\n",
        "script/field.js, line 2: this is not JavaScript: `}` is missing.",
    ),
    "style for a script": (
        "site", "script/bench.js", "p { color: red; margin: 0 auto }",
        "script/bench.js, line 1: this is not JavaScript.",
    ),
    "element for a script": (
        "site", "script/bench.js", "\n<p>words</p>",
        "script/bench.js, line 2: this is not JavaScript: an element stands among the words.",
    ),
    "module for a script": (
        "site", "script/bench.js", "import { a } from './a.js';",
        "script/bench.js, line 1: a script of a page imports and exports nothing; put all of it into one file.",
    ),
    # What the policy of a page would stop without a word.
    "script in the text": (
        "site", "pages/formula.html", PAGE + "<script>go()</script>{% endblock %}",
        "pages/formula.html: the browser runs no script that stands outside the block `script`; put it there.",
    ),
    "handler in a tag": (
        "site", "pages/formula.html", PAGE + "<p class='a' title=\"on = off\" onclick=\"go()\">go</p>{% endblock %}",
        "pages/formula.html: the browser runs no `onclick`; let a script listen for it.",
    ),
    # What a theme may not do.
    "reaching for the program": (
        "site", "pages/formula.html", '\n{{ lipsum.__globals__["os"].popen("id").read() }}',
        "pages/formula.html, line 2: a template may not reach `__globals__`.",
    ),
    "reaching by another way": (
        "site", "pages/formula.html", '{{ ""|attr("__class__") }}{{ "{0.__class__}".format(page) }}',
        "pages/formula.html, line 1: a template may not reach `__class__`.",
    ),
    "reaching from a sheet": (
        "binder", "sheets/materials.html", '{{ page.__init__.__globals__ }}',
        "sheets/materials.html, line 1: a template may not reach `__init__`.",
    ),
    "changing what is shown": (
        "site", "pages/formula.html", "{% set a = [] %}{{ a.append(1) }}",
        "pages/formula.html, line 1: a template may not reach `append`.",
    ),
}  # fmt: skip


@pytest.mark.parametrize("name", FAULTS)
def test_a_fault_is_told_in_one_sentence(sound, name):
    command, path, content, sentence = FAULTS[name]
    own(sound, path, content)
    result = run(command, "--book", sound)
    assert (result.exit_code, result.stdout) == (1, "")
    told = result.stderr.splitlines()[-1]
    assert sentence in told
    assert told.startswith(f"{OWN}/{path}") or name.startswith("a part")
    assert told.endswith(".")
    assert "Traceback" not in result.stderr
    assert {one.name for one in sound.iterdir()} == {"formulas", "themes"}


def test_what_was_published_stays_while_the_look_is_broken(sound):
    assert run("site", "--book", sound).exit_code == 0
    before = {one: one.read_bytes() for one in (sound / "site").rglob("*") if one.is_file()}
    own(sound, "pages/material.html", PAGE + "{{ page.nothing }}{% endblock %}")
    assert run("site", "--book", sound).exit_code == 1
    assert {one: one.read_bytes() for one in (sound / "site").rglob("*") if one.is_file()} == before
    assert {one.name for one in sound.iterdir()} == {"formulas", "themes", "site"}


LINKS_OUT = {
    "style": ("site", "style/page.css", False),
    "template": ("site", "pages/contents.html", False),
    "font": ("site", "fonts/serif.woff2", False),
    "script": ("site", "script/search.js", False),
    "sheet": ("binder", "sheets/own.css", False),
    "the whole theme": ("site", "", True),
    "a folder of it": ("site", "style", True),
}
"""What is a link that leads out of the book: command, path in the theme, whether it is a folder."""


@pytest.mark.parametrize("name", LINKS_OUT)
def test_a_link_out_of_the_book_is_refused(sound, tmp_path, name):
    command, path, folder = LINKS_OUT[name]
    outside = tmp_path / "outside"
    file = outside / ("page.css" if path else "style/page.css") if folder else outside
    file.parent.mkdir(parents=True, exist_ok=True)
    file.write_text(SECRET, encoding="utf-8")
    place = sound / OWN / path
    place.parent.mkdir(parents=True, exist_ok=True)
    place.symlink_to(outside)
    result = run(command, "--book", sound)
    at = f"{OWN}/{path}".rstrip("/")
    # Of a folder that is a link the file within is named, or the folder.
    assert (result.exit_code, result.stdout) == (1, "")
    told = result.stderr.splitlines()[-1]
    assert told.startswith(at if folder else f"{at}: ")
    assert told.endswith(": it is a link that leads out of the book; put the file itself here.")
    assert SECRET not in result.stderr
    assert not (sound / "site").exists()


def test_a_link_within_the_book_is_followed_and_a_dangling_one_told(sound):
    own(sound, "style/mine.css", ".mine { color: teal }")
    (sound / OWN / "style" / "page.css").symlink_to("mine.css")
    assert run("site", "--book", sound).exit_code == 0
    assert ".mine{color:teal}" in (sound / "site" / "index.html").read_text(encoding="utf-8")
    (sound / OWN / "style" / "mine.css").unlink()
    result = run("site", "--book", sound)
    assert result.exit_code == 1
    assert f"{OWN}/style/page.css: it is a link that leads nowhere; put the file itself here." in result.stderr


@pytest.mark.parametrize("path", ["style/page.css", "style"])
def test_what_may_not_be_read_is_named(open_ground, path):
    assert load_theme().styles  # all that reading takes is loaded
    own(open_ground, "style/page.css", "p{}")
    (open_ground / OWN / path).chmod(0)
    with without_rights(open_ground):
        with pytest.raises(ThemeFault) as told:
            assert load_theme(open_ground).styles
        assert str(told.value).startswith(f"{OWN}/style")
        assert str(told.value).endswith("cannot be opened: Permission denied.")


BLOCK = "{% block script %}<script>go()</script>{% endblock %}"
OWN_SCRIPT = "const a = `x ${b ? `y  z` : 1}`, b = (c) => c // at the end"
NEW_SCRIPT = "class A { #x = 1n; static { a ||= b?.c ?? /[/]/v; } }\nfor (const [a] of b) {}\n"

TAKEN = {
    "a script in its block": (
        "pages/formula.html", PAGE + "<p title='turn onclick=1'>{{ page.title }}</p>{% endblock %}" + BLOCK,
        "formulas/L-01.html", "<script>go()</script>",
    ),
    "a script as it was written": ("script/matching.js", OWN_SCRIPT, "search.html", f"{OWN_SCRIPT}\n;\n"),
    "a script of today's language": ("script/search.js", NEW_SCRIPT, "search.html", NEW_SCRIPT),
}  # fmt: skip
"""What a book may have of its own: path in the theme, content, and what then stands on which page."""


@pytest.mark.parametrize("name", TAKEN)
def test_what_is_in_order_is_taken(sound, name):
    path, content, page, stands = TAKEN[name]
    own(sound, path, content)
    assert run("site", "--book", sound).exit_code == 0
    assert stands in (sound / "site" / page).read_text(encoding="utf-8")


def test_a_copy_of_the_whole_theme_changes_nothing(sound):
    assert run("site", "--book", sound).exit_code == 0
    before = {one.name: one.read_bytes() for one in (sound / "site").rglob("*.html")}
    copytree(built_in("workroom"), sound / OWN)
    assert run("site", "--book", sound).exit_code == 0
    assert {one.name: one.read_bytes() for one in (sound / "site").rglob("*.html")} == before
