"""The policy that each page carries: its own scripts run, whatever slipped in does not, and nothing is fetched."""

from __future__ import annotations

import re

import pytest

from bookgen.look.policy import allowing, policy, source_of

from .conftest import BOOKS

POLICY = re.compile(r'<meta http-equiv="Content-Security-Policy" content="([^"]*)">')
SLIPPED_IN = (
    "<script>document.title = 'slipped in'</script>"
    "<img src='https://example.org/a.png' onerror=\"document.title = 'slipped in'\">"
    "<p><a id='leads' href=\"javascript:document.title = 'slipped in'\">a link</a></p>"
    "<iframe src='index.html'></iframe>"
)


@pytest.mark.parametrize("name", BOOKS)
def test_every_page_has_a_policy_before_all_that_it_concerns(name, sites):
    pages = sorted(sites[name].rglob("*.html"))
    assert len(pages) > 30
    for page in pages:
        html = page.read_text(encoding="utf-8")
        found = POLICY.findall(html)
        assert len(found) == 1, page
        assert html.index("Content-Security-Policy") < html.index("<title>") < html.index("<style>")
        assert "default-src 'none'; " in found[0]
        assert "unsafe-eval" not in found[0]
        assert "unsafe-inline" not in found[0].partition("style-src")[0]
        assert ("script-src 'none'" in found[0]) == (not re.search(r"<script(?! type=)", html)), page


def formula_of(sites):
    """Return the first page of a formula that is no earlier issue."""
    pages = sorted((sites["demo"] / "formulas").glob("*.html"))
    return next(page for page in pages if "-issue-" not in page.name)


def test_what_slips_into_a_page_is_not_run(sites, watched, tmp_path):
    whole = formula_of(sites)
    text = whole.read_text(encoding="utf-8")
    alone = tmp_path / "alone.html"
    alone.write_text(text.replace("</main>", f"{SLIPPED_IN}</main>", 1), encoding="utf-8")
    found = watched
    found.page.goto(alone.as_uri())
    found.page.click("#leads")
    found.page.wait_for_timeout(300)
    assert found.page.title() != "slipped in"
    assert found.page.locator("form.obtain").is_visible()  # its own scripts run
    blocked = [one for one in found.complaints if "Content Security Policy" in one]
    for kind in ("script", "img-src", "frame"):
        assert any(kind in one for one in blocked), (kind, found.complaints)
    asked = [one for one in found.requests if one.startswith("http")]  # asked for, and stopped by the browser itself
    assert all(f"csp: {one}" in found.complaints for one in asked), found.complaints
    found.complaints.clear()


@pytest.mark.parametrize("path", ["search.html", "possible.html", "formulas/{}", "index.html"])
def test_the_pages_own_scripts_run_from_disk(path, sites, watched):
    formula = next(
        path.name for path in sorted((sites["demo"] / "formulas").glob("*.html")) if "-issue-" not in path.name
    )
    found = watched
    found.page.goto((sites["demo"] / path.format(formula)).as_uri())
    found.page.wait_for_timeout(300)
    assert found.complaints == []
    assert found.unloaded_fonts() == []
    shown = {"search.html": "#search", "possible.html": "#supplies", "formulas/{}": "form.obtain"}.get(path)
    assert shown is None or found.page.locator(shown).is_visible()


def test_the_policy_goes_by_the_part_that_holds_the_scripts() -> None:
    assert "script-src 'none'" in policy("<p>words</p>")
    assert "script-src 'none'" in policy('<script type="application/json">{}</script>')
    both = policy('<script src="terms.js"></script><script>\ngo()\n</script>', "'sha256-x'")
    assert f"script-src 'self' file: {source_of(chr(10) + 'go()' + chr(10))} 'sha256-x';" in both
    page = f'<meta http-equiv="Content-Security-Policy" content="{policy("")}">'
    assert f"connect-src 'self'; script-src {source_of('listen()')};" in allowing(page, "listen()")
    assert source_of("") == "'sha256-47DEQpj8HBSa+/TImW+5JCeuQeRkm5NMpJWZG3hSuFU='"  # the digest of nothing
