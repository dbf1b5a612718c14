"""A book's own templates print another batch as they print the one that is written."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import pytest

from bookgen.look.shortened import shortened
from bookgen.look.templates import ThemeFault
from bookgen.look.themes import load_theme
from bookgen.model import Obtain, Quantity
from bookgen.pages.packed import page_scripts
from bookgen.pipeline import check_book, publish
from bookgen.reckon.weighing import weigh
from bookgen.shown.formula import formula_shown
from bookgen.shown.shelf import shelf_of

from ..books_of_text import MATERIALS, formula, write_book
from .conftest import CHECKOUT

PARTS = CHECKOUT / "themes" / "workroom" / "pages" / "parts.html"
OWN = (
    ('<span class="none">{{ one.word }}</span>', '<em class="unsaid"><i>{{ one.word }}</i></em>'),
    ('{{ one.figure|figure }}{% if one.pad %}', '<u class="digits">{{ one.figure|figure }}</u>{% if one.pad %}'),
    (
        '<td colspan="{{ columns(table, fold) }}">{{ words',
        '<td class="blank"></td><td class="remark" colspan="{{ columns(table, fold)|int - 1 }}">{{ words',
    ),
    ("{{ words }}</td>", '<q>{{ words }}</q></td>'),
    ("<li>{{ step }}</li>", '<li><b class="do">{{ step }}</b> <s>done</s></li>'),
    (
        "<p>{{ one.error|found(one.error, root) }} {{ one.left }}",
        "<p>{{ one.left }} <b>{{ one.error|found(one.error, root) }}</b>",
    ),
    (
        ('<td class="measured{% if fold and one.common %} common{% endif %}"'
        '{% if fold %} data-hole=measured{% endif %}>'),
        '<td class="measured"><i class="tool">⚖</i> <span{% if fold %} data-hole=measured{% endif %}>',
    ),
    ("{{ measured(one.measured, root) }}</td>", "{{ measured(one.measured, root) }}</span></td>"),
    ("{% if one.much %}<b>{{ words }}</b>", '{% if one.much %}<mark class="much">{{ words }}</mark>'),
    ("{% else %}{{ words }}{% endif %}{{", '{% else %}<i class="how">{{ words }}</i>{% endif %}{{'),
    ("</b> {{ one.link|link }}{% if fold %}", "</b> {{ one.link|link }}<hr>{% if fold %}"),
)  # fmt: skip
"""What the book's own parts have otherwise: elements around figures, words, remarks, steps and what is made first."""
MORE = {**MATERIALS, "dye": "kind: powder\nsoluble: water\nwater: 0 %", "tint": "water: 0 %\nkind: liquid"}
FORMULAS = {
    "I": formula("I", "a: 10 %; water: to 100 g"),
    "F": formula("F", "I: 20 %; dye: 0.1 g; tint: 0.3 g; oil: 2 drops; water: to 100 g"),
    "V": formula("V", "a: 3 g; gly: 5 mL; b: 2 mL; water: to 100 mL"),
}
SHAPE = """([where, html]) => {
  const page = html ? new DOMParser().parseFromString(html, "text/html") : document;
  const seen = one => !one.closest("[hidden]") && one.textContent;
  return [...page.querySelectorAll(where)].flatMap(root => [...root.querySelectorAll("*")].filter(seen)
    .map(one => `${one.localName}.${one.className} ${one.children.length ? "" : one.textContent.trim()}`));
}"""


def own_book(folder: Path, *changes: tuple[str, str]) -> Path:
    """Return a book with a `parts.html` of its own."""
    root, text = write_book(folder / "book", FORMULAS, MORE), PARTS.read_text(encoding="utf-8")
    for old, new in changes:
        assert text.count(old) == 1, old
        text = text.replace(old, new)
    own = root / "themes" / "workroom" / "pages" / "parts.html"
    own.parent.mkdir(parents=True)
    own.write_text(text, encoding="utf-8")
    return root


@pytest.mark.parametrize("key", ["f", "v"])
def test_a_typed_batch_keeps_the_books_own_template(key: str, opened, tmp_path: Path) -> None:
    root = own_book(tmp_path, *OWN)
    book = check_book(root)
    publish(book, tmp_path / "site", binder=False)
    shelf, theme = shelf_of(book.reckoning, book.review), load_theme(root)
    figures, scripts = book.reckoning.figures[key], page_scripts(theme)
    unit = figures.scale.unit
    page = opened(tmp_path / "site" / "formulas" / f"{shelf.stems[key]}.html")
    for size in ("130", "0.5", "1000", "20"):
        page.fill("#obtain", f"{size} {unit}")
        page.press("#obtain", "Enter")
        assert page.inner_text("#obtain-told") == f"Shown for {size} {unit}."
        wanted = Obtain(quantity=Quantity(value=Fraction(size), unit=unit, text=size), text=f"{size} {unit}")
        shown = formula_shown(figures, weigh(book.reckoning, key, obtain=wanted), shelf, str)
        html = theme.render("pages/formula.html", light=True, page=shown, styles=theme.styles, scripts=scripts)
        for where in (".ledger", ".make-first"):
            assert page.evaluate(SHAPE, [where, ""]) == page.evaluate(SHAPE, [where, html]), (size, where)
        assert page.locator(".tool").count() == len(figures.amounts.lines)
    assert page.locator(".remark q").count()
    page.click("[type=reset]")
    assert page.locator("u.digits").count()


def test_the_stock_of_another_batch_is_told_by_the_books_own_template(opened, tmp_path: Path) -> None:
    publish(check_book(own_book(tmp_path, *OWN)), tmp_path / "site", binder=False)
    page = opened(tmp_path / "site" / "formulas" / "F.html")
    written = page.locator(".plan b.do").all_inner_texts()
    page.fill("#obtain", "90 g")
    page.press("#obtain", "Enter")
    assert len(page.locator(".plan b.do").all_inner_texts()) == len(written) >= 2
    assert page.locator(".plan s").count() == len(written)
    assert page.locator(".plan p b").count() == 1


def test_without_its_holes_a_page_stays_as_it_is_written(browser, tmp_path: Path) -> None:
    """Another batch with a figure of the one that is written beside it would be a wrong weight."""
    publish(
        check_book(own_book(tmp_path, ('hole="grams" if fold else ""', 'hole=""'))), tmp_path / "site", binder=False
    )
    page = browser.new_page()
    page.goto((tmp_path / "site" / "formulas" / "F.html").as_uri() + "#obtain=20%20g")
    page.wait_for_selector("#bench", state="attached")
    page.wait_for_timeout(300)
    assert page.is_hidden("form.obtain")
    assert page.inner_text("[data-figure='obtain.g']") == "100"
    page.close()


def test_parts_without_a_macro_that_the_script_needs_are_a_fault(tmp_path: Path) -> None:
    root = own_book(
        tmp_path,
        ("{% macro note(", "{% macro remark("),
        ("{{ note(plan(", "{{ remark(plan("),
        ("{{ note(words", "{{ remark(words"),
    )
    with pytest.raises(ThemeFault, match=r"themes/workroom/pages/parts\.html: there is no macro `note` here"):
        page_scripts(load_theme(root))


_SAME = (
    "(() => { const name = 3, status = [name]; return status.concat(window.name.length); })()",
    "(() => { const outer = 1; { const outer = 2; void outer; } return outer; })()",
    "(() => { var outer = 1; { var outer = 2; } return outer; })()",
    "(() => { var second = 1; return ((first = second) => { const second = 5; return first + second; })(); })()",
    "(() => (function (given) { var given = given || 7; var other = given; return other; })(0))()",
    "(() => { const take = (given, spare) => { let sum = given; return sum; }; return take(1, 2); })()",
    "(() => { try { throw 1; } catch (spare) { const sum = 2; return sum; } })()",
    "(() => (function again(count) { return count ? count * again(count - 1) : 1; })(5))()",
    "(() => { try { throw new Error('so'); } catch ({message}) { return {message}; } })()",
    "(() => { let sum = 0; for (const [key, {length}] of [[1, 'ab']]) sum += key + length; return sum; })()",
    "(() => { let sum = 0; for (let at = 0; at < 3; at++) { const at = 10; sum += at; } return sum; })()",
    (
        "(() => { const sum = 1, all = {sum, more: {sum: 2}}, {sum: first, more: {sum: second = 4}, ...rest} = all;"
        " return [first, second, rest, all]; })()"
    ),
    "(() => { class Vessel { weight(tare) { return [tare, Vessel.length]; } } return new Vessel().weight(1); })()",
    "(() => { const text = 'b'; switch (text) { case 'a': case 'b': { let text = 3; return `${text}`; } } })()",
    "(() => { found(1); function found(given) { return given; } { function late() { return 8; } } return late(); })()",
    "(() => { 'use strict'; const kept = () => 1; { function kept() { return 2; } void kept; } return kept(); })()",
    "(() => { const hidden = 6; return eval('hidden'); })()",
    "(() => { const late = async(given) => { return given; }; void late; return ((given,) => given)(2); })()",
    "(() => { const all = []; for (const at of [1, 2]) { all.push(() => at); } return(all.map((one) => one())); })()",
    (
        "(() => { let sum = 0; for (;;) { if (sum > 2) { break; } else { sum++; } }"
        " do { sum++; } while (sum < 9); return sum; })()"
    ),
    "(() => { const a = 1, e = (t) => { const n = a + t; return [n].map((a) => a + n + t); }; return e(5); })()",
)


@pytest.mark.parametrize("script", _SAME)
def test_a_script_with_short_names_does_the_same(browser, script: str) -> None:
    page = browser.new_page()
    assert page.evaluate(shortened(script)) == page.evaluate(script)
    page.close()


def test_short_names_are_those_of_the_nearest_scope() -> None:
    assert shortened("(() => { const first = (given) => given; return ((given) => first(given))(1); })()") == (
        "(() => { let e = e => e; return (t => e(t))(1) })()"
    )
    assert shortened("const shown = 1; function told(given) { return given + shown; }") == (
        "let shown = 1; function told(e) { return e + shown }"
    )
    kept = "(() => { const hidden = 6; return eval('hidden'); })()"
    assert shortened(kept) == kept
