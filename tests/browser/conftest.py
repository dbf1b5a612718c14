"""Both books as sites on disk, and the Chromium that opens them.  Without a browser these tests fail."""

from __future__ import annotations

import os
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, Request, sync_playwright

from ..shared import site_of

CHECKOUT = Path(__file__).parents[2]
BOOKS = {"demo": CHECKOUT, "official": CHECKOUT / "tests" / "books" / "official"}


@pytest.fixture(scope="session")
def sites(tmp_path_factory) -> dict[str, Path]:
    """The two sites, by name of the book; one worker makes them for all."""
    return {name: site_of(name, tmp_path_factory) for name in BOOKS}


@pytest.fixture(scope="session")
def engine() -> Iterator[Callable[..., Browser]]:
    """Starts Chromium: the one that CHROMIUM names, else Debian's without windows: a page costs it a third."""
    found = os.environ.get("CHROMIUM", "/usr/bin/chromium-headless-shell")
    with sync_playwright() as playwright:
        # The sandbox needs rights that a container's root does not have; only pages of our own are opened.
        yield lambda *more: playwright.chromium.launch(executable_path=found, args=["--no-sandbox", *more])


@pytest.fixture(scope="session")
def browser(engine) -> Iterator[Browser]:
    """The browser as a reader has it."""
    running = engine()
    yield running
    running.close()


@pytest.fixture(scope="session")
def measuring(engine) -> Iterator[Browser]:
    """One that lays pages out and paints none, which is a third of the work: for what is asked of many pages.

    Whatever waits for the next picture waits for ever there: a click by the mouse, for one.
    """
    running = engine("--disable-threaded-compositing")
    yield running
    running.close()


class Watched:
    """A page with everything it asked for and complained about."""

    def __init__(self, page: Page) -> None:
        self.page = page
        self.requests: list[str] = []
        self.complaints: list[str] = []
        page.on("request", lambda request: self.requests.append(request.url))
        page.on("console", lambda said: self.complaints.append(said.text))
        page.on("pageerror", lambda reason: self.complaints.append(str(reason)))
        page.on("requestfailed", self._failed)

    def _failed(self, request: Request) -> None:
        # A page that is left, or loaded anew, gives up what it was still asking for: the browser's doing, not a fault.
        # What is not there or not served has another reason, and an answer of 404 stands in the console.
        if request.failure != "net::ERR_ABORTED":
            self.complaints.append(f"{request.failure}: {request.url}")

    def unloaded_fonts(self) -> list[str]:
        """Return the fonts that the page wanted and did not get, once it is at rest."""
        return self.page.evaluate(
            "document.fonts.ready.then(all => [...all].flatMap(one => one.status === 'error' ? one.family : []))"
        )


@pytest.fixture
def watched(browser) -> Iterator[Watched]:
    """A fresh page."""
    context = browser.new_context()
    yield Watched(context.new_page())
    context.close()


@pytest.fixture
def opened(browser) -> Iterator[Callable[..., Page]]:
    """Opens a formula page from disk, with what follows `#`, and waits until its script runs; complaints fail."""
    context, complaints = browser.new_context(), []

    def open_page(path: Path, hash_: str = "") -> Page:
        page = context.new_page()
        page.on("pageerror", lambda reason: complaints.append(str(reason)))
        page.goto(path.as_uri() + (f"#{hash_}" if hash_ else ""))
        page.wait_for_selector("form.obtain:not([hidden])")
        return page

    yield open_page
    context.close()
    assert complaints == []


def until(page: Page, expression: str, within_s: float = 60) -> None:
    """Wait until an expression holds in the page.

    Playwright's own way leaves a text to evaluate behind in the page, which the page's policy forbids; this asks again.
    """
    deadline = time.monotonic() + within_s
    while not page.evaluate(expression):
        assert time.monotonic() < deadline, expression
        page.wait_for_timeout(20)


def some_of_each(site: Path) -> list[Path]:
    """The pages at the root, every third formula's, every twelfth material's."""
    formulas, materials = sorted((site / "formulas").glob("*.html")), sorted((site / "materials").glob("*.html"))
    return [*sorted(site.glob("*.html")), *formulas[::3], *materials[::12]]
