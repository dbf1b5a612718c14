"""A page carries the rules that may apply to it: a browser finds as much for them as for all rules of the theme."""

from __future__ import annotations

import pytest

from bookgen.look import load_theme
from bookgen.look.themes import Theme
from bookgen.pages import site, site_files

from ..shared import DAY, checked
from .conftest import until

MATCHING = r"""() => {
  const found = [], walk = (rules, around) => {
    for (const rule of rules) {
      if (rule.selectorText === undefined) {
        const head = around + rule.cssText.split("{")[0];
        if (rule.cssRules) walk(rule.cssRules, head);
        else found.push(rule.cssText);
        continue;
      }
      const matches = rule.selectorText.split(/,(?![^(]*\))/).map(selector => selector.trim()).filter(selector =>
        document.querySelector(selector
          .replace(/::?(before|after|marker|first-letter|hover|focus-visible|focus|target|empty|disabled)\b/g, "")
          .replace(/:(is|not)\(\s*,?\s*\)/g, "").replace(/(^|[ >+~])(?=[ >+~]|$)/g, "$1*")));
      if (matches.length) found.push(`${around} ${matches.join()} {${rule.style.cssText}}`);
    }
  };
  for (const sheet of document.styleSheets) walk(sheet.cssRules, "");
  return found;
}"""
"""Every rule with those of its selectors that match something; in which state an element is does not matter."""
BATCH = """() => {
  const field = document.getElementById("obtain");
  field.value = "3 g";
  field.dispatchEvent(new Event("change", {bubbles: true}));
}"""
BENCH = '() => { location.hash = "obtain=3 g&bench"; }'


@pytest.mark.parametrize(
    "path",
    [
        "formulas/H-02.html", "formulas/N-05.html", "formulas/W-01.html", "formulas/H-02-issue-2.html",
        "formulas/B-03-beside-T-01.html", "materials/lactic-acid-80.html", "index.html", "search.html", "possible.html",
        "by-material.html", "figures.html", "uses.html", "batches.html", "shelf.html", "findings.html",
    ],
)  # fmt: skip
def test_no_rule_is_left_out_that_would_apply(path, measuring, monkeypatch, tmp_path):
    book, theme = checked("demo"), load_theme()
    published = site_files(book.reckoning, book.review, theme, day=DAY)[path]
    monkeypatch.setattr(site, "styled", lambda html, made: html)
    whole = site_files(book.reckoning, book.review, theme, day=DAY)[path]
    assert len(published) < len(whole)
    context, seen = measuring.new_context(), []
    for name, content in (("published", published), ("whole", whole)):
        file = tmp_path / name / path
        file.parent.mkdir(parents=True)
        file.write_bytes(content)
        page = context.new_page()
        page.goto(file.as_uri())
        follows = b"obtain-told" in content
        if follows:
            until(page, '!document.querySelector("form.obtain").hidden')
        found = [page.evaluate(MATCHING)]
        if follows:
            for act, done in (
                (BATCH, 'document.getElementById("obtain-told").textContent'),
                (BENCH, '!document.getElementById("bench").hidden'),
            ):
                page.evaluate(act)
                until(page, done)
                found.append(page.evaluate(MATCHING))
        seen.append(found)
        page.close()
    context.close()
    assert seen[0] == seen[1]
    assert len(seen[0][0]) > 30


def test_a_book_with_a_look_of_its_own_has_all_rules(tmp_path):
    own = tmp_path / "themes" / "workroom" / "style"
    own.mkdir(parents=True)
    (own / "kept.css").write_text(".step-3 { color: var(--accent) }", encoding="utf-8")
    theme: Theme = load_theme(tmp_path)
    book = checked("demo")
    page = site_files(book.reckoning, book.review, theme, day=DAY)["formulas/H-02.html"].decode()
    assert ".step-3{color:var(--accent)}" in page  # a script of its own may make it
    assert "--accent:#8C4A0B" in page
