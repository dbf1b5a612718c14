"""A formula handed on, in a browser: it follows the batch and goes to the bench, and what stands behind it stays."""

from __future__ import annotations

from pathlib import Path

from click.testing import CliRunner
from playwright.sync_api import Browser

from bookgen.cli import main

from .conftest import CHECKOUT, Watched, until

BEHIND = "[...document.querySelectorAll('.behind')].map(one => one.innerText)"


def test_it_follows_the_batch_alone_and_asks_for_nothing(browser: Browser, tmp_path: Path) -> None:
    target = tmp_path / "handed.html"
    done = CliRunner().invoke(main, ["hand-on", "B-01", "--to", str(target), "--book", str(CHECKOUT)])
    assert done.exit_code == 0, done.output
    with browser.new_page() as page:
        watched = Watched(page)
        page.goto(target.as_uri())
        before = page.evaluate(BEHIND)
        assert [text.split()[0] for text in before] == ["N-02", "N-04", "N-01"]
        page.fill("#obtain", "250 g")
        until(page, "document.querySelector('#obtain-told').textContent.includes('250')")
        assert "260.42" in page.inner_text("main .batch")
        assert page.evaluate(BEHIND) == before
        for place in (".make-first a", ".skip"):
            page.evaluate(f"document.querySelector('{place}').click()")
            until(page, "location.hash === '#obtain=250+g'")
            assert "260.42" in page.inner_text("main .batch"), "a place in the file is no other batch"
        page.click(".to-bench a")
        assert page.is_visible("#bench")
        assert not page.is_visible(".behind")
        said = page.text_content("#bench")
        assert "Pour with the tins on the bench" in said
        assert "Keep cold water within reach" not in said, "a hazard of what stands behind"
        assert [url for url in watched.requests if not url.startswith("data:")] == [target.as_uri()]
        assert watched.complaints == []
        assert watched.unloaded_fonts() == []
