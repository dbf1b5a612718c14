"""How long an edit takes from the editor to the browser; one command, no part of the tests.

    python -m tests.benchmarks.preview [COUNT] [--edits EDITS]

It writes a book of COUNT formulas (1,000 by default), shows it by `bookgen preview`'s server in this process, opens a
formula in Chromium and saves edits: of that formula, of a material that several hundred formulas use, and of an
intermediate that 300 use.  Each edit is measured from the moment the write returns until the DOM of the open page holds
the new text, and taken apart:

    notice    until the change is noticed and the file has been left alone for a moment
    parse     reading the book again: what changed
    reckon    its figures and those that rest on them
    review    the findings
    render    the page that is open
    browser   telling the page, putting it in place, and all that waits for a processor

Median and worst over the edits, after a few that warm it up, whether the median meets its target, and beside it when
the page has been drawn.  Exits with 1
when one is missed.  The machine's load stands beside it, as the figures are of the clock.
"""

from __future__ import annotations

import argparse
import os
import re
import sys
import tempfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from statistics import median
from threading import Event, Thread
from time import perf_counter, sleep, time
from typing import Any

from playwright.sync_api import Page, sync_playwright

from bookgen.pipeline import checking
from bookgen.preview import Preview
from bookgen.preview.current import Current
from bookgen.preview.watching import Watch

from .large_book import code, write_large_book

OWN_MS = 100.0
"""Target for the formula itself."""
SHARED_MS = 300.0
"""Target for what several hundred formulas use."""
WARM_UP = 4
STAGES = ("notice", "parse", "reckon", "review", "render", "browser")
SHARED, USERS = 0, 300
"""Number of the intermediate that is made an ingredient of so many formulas."""
REPORT = """
(() => {
  let told = "";
  const tell = () => {
    const table = document.querySelector("table.ingredients"), heading = document.querySelector("h1");
    if (document.readyState === "loading" || heading === null) return;
    const text = heading.textContent + (table ? table.textContent : "");
    if (text === told) return;
    told = text;
    const at = performance.now(), channel = new MessageChannel();
    channel.port1.onmessage = () =>
      arrived(text, performance.timeOrigin + at, performance.timeOrigin + performance.now());
    requestAnimationFrame(() => channel.port2.postMessage(null));
  };
  document.addEventListener("DOMContentLoaded", tell);
  new MutationObserver(tell).observe(document, { childList: true, subtree: true });
})();
"""
"""Tells when a page has come, loaded or written over another, and when its first picture has been drawn."""


class Stopwatch:
    """When what was done, on the clock: stage → seconds, and when the last change was noticed."""

    def __init__(self) -> None:
        self.spent: dict[str, float] = {}
        self.noticed = 0.0

    def timed(self, holder: Any, name: str, stage: str) -> None:
        """Let a function or method count for a stage from now on."""
        work = getattr(holder, name)

        def measured(*given: Any, **more: Any) -> Any:
            start = perf_counter()
            try:
                return work(*given, **more)
            finally:
                self.spent[stage] = self.spent.get(stage, 0.0) + perf_counter() - start

        setattr(holder, name, measured)

    def notes_changes(self) -> None:
        """Note when a change has been noticed and has settled."""
        settled = Watch.settled

        def noted(watch: Watch, changed: set[str]) -> set[str]:
            found = settled(watch, changed)
            self.noticed = time()
            return found

        Watch.settled = noted  # type: ignore[method-assign]


def share_an_intermediate(book: Path, users: int) -> None:
    """Put one formula into the second emollient line of so many others."""
    left = users
    for path in sorted((book / "formulas").glob("chapter-*/*.md")):
        lines = path.read_text(encoding="utf-8").split("\n")
        those = [at for at, line in enumerate(lines) if re.fullmatch(r"    [a-z-]+: \d+ %, emollient", line)]
        if len(those) < 2 or "title: Cream" not in lines[2]:
            continue
        lines[those[1]] = re.sub(r"[a-z-]+(?=:)", code(SHARED), lines[those[1]], count=1)
        path.write_text("\n".join(lines), encoding="utf-8")
        left -= 1
        if not left:
            return
    raise SystemExit(f"the book has too few creams for {users} users")


class Edits:
    """Edits of one kind, seen by one open page."""

    def __init__(self, page: Page, arrived: list[tuple[str, float, float]], watch: Stopwatch) -> None:
        self.page, self.arrived, self.watch = page, arrived, watch

    def measure(
        self, address: str, path: Path, change: Callable[[str, int], tuple[str, str]], count: int
    ) -> list[dict[str, float]]:
        """Return the milliseconds of each edit, by stage and in all."""
        self.page.goto(address)
        self.page.wait_for_timeout(500)
        text = path.read_text(encoding="utf-8")
        found = []
        for number in range(count + WARM_UP):
            new, shown = change(text, number)
            self.arrived.clear()
            self.watch.spent.clear()
            path.write_text(new, encoding="utf-8")
            written = time()
            self._wait_for(shown)
            seen = self.arrived[-1][1] / 1000
            took = {stage: self.watch.spent.get(stage, 0.0) * 1000 for stage in STAGES}
            took["notice"] = (self.watch.noticed - written) * 1000
            took["all"] = (seen - written) * 1000
            took["drawn"] = (self.arrived[-1][2] / 1000 - written) * 1000
            took["browser"] = took["all"] - sum(took[one] for one in STAGES[:-1])
            if number >= WARM_UP:
                found.append(took)
            self.page.wait_for_timeout(150 + 37 * (number % 5))  # edits fall anywhere between two glances
        self.page.goto("about:blank")
        path.write_text(text, encoding="utf-8")
        return found

    def _wait_for(self, shown: str) -> None:
        for _ in range(600):
            if self.arrived and shown in self.arrived[-1][0].replace("\u202f", " "):
                return
            self.page.wait_for_timeout(50)  # the page itself notes when it came; asking often would slow it
        raise SystemExit(f"{shown!r} did not come")


def titled(text: str, number: int) -> tuple[str, str]:
    """Give a formula another title and another amount."""
    mark = f"writing {number}"
    lines = text.split("\n")
    at = next(at for at, line in enumerate(lines) if re.fullmatch(r"    [a-z-]+: \d+ %, \w+", line))
    lines[at] = re.sub(r"\d+(?= %)", str(2 + number % 4), lines[at], count=1)
    return re.sub(r"^title: .*", rf"\g<0>, {mark}", "\n".join(lines), count=1, flags=re.MULTILINE), mark


def named(text: str, number: int) -> tuple[str, str]:
    """Give a material another name."""
    mark = f"lot {number}"
    return re.sub(r"^name: .*", rf"\g<0>, {mark}", text, count=1, flags=re.MULTILINE), mark


def told(words: str, found: list[dict[str, float]], target: float) -> bool:
    """Print one kind of edit; return whether its median meets the target."""
    whole = [one["all"] for one in found]
    split = "  ".join(f"{stage} {median(one[stage] for one in found):.0f}" for stage in STAGES)
    met = median(whole) <= target
    against = f"target {target:.0f} {'met' if met else 'MISSED'}"
    drawn = median(edit["drawn"] for edit in found)
    times = f"median {median(whole):4.0f} ms, {against}, worst {max(whole):4.0f} ms, drawn {drawn:4.0f} ms"
    print(f"{words:42} {times}  ({split})", flush=True)
    return met


@contextmanager
def served(book: Path) -> Iterator[Preview]:
    """Serve a book as the command does."""
    preview, stop = Preview(book), Event()
    watcher = Thread(target=preview.watch, args=(stop,))
    preview.start()
    watcher.start()
    try:
        yield preview
    finally:
        stop.set()
        watcher.join()
        preview.close()


def main() -> int:
    """Run all of it."""
    parser = argparse.ArgumentParser(prog="python -m tests.benchmarks.preview", description="Measure the preview.")
    parser.add_argument("count", type=int, nargs="?", default=1000, help="formulas in the book (1000)")
    parser.add_argument("--edits", type=int, default=20, help="edits of each kind (20)")
    asked = parser.parse_args()
    watch = Stopwatch()
    for name, stage in (("read_book", "parse"), ("reckon", "reckon"), ("review", "review")):
        watch.timed(checking, name, stage)
    watch.timed(Current, "_make", "render")
    watch.notes_changes()
    with tempfile.TemporaryDirectory(prefix="bench-") as folder, sync_playwright() as playwright:
        book = write_large_book(Path(folder) / "book", asked.count)
        share_an_intermediate(book, min(USERS, asked.count // 3))
        sleep(2.5)  # files just written are read again until their times can be relied on
        chromium = playwright.chromium.launch(
            executable_path=os.environ.get("CHROMIUM", "/usr/bin/chromium-headless-shell"), args=["--no-sandbox"]
        )
        with served(book) as preview:
            page = chromium.new_page()
            arrived: list[tuple[str, float, float]] = []
            page.expose_binding("arrived", lambda _, *told: arrived.append(told))
            page.add_init_script(REPORT)
            edits = Edits(page, arrived, watch)
            current = preview.current.checked
            assert current is not None
            used_by = current.reckoning.graph.used_by
            user = used_by[code(SHARED).casefold()][0]
            material = max(
                (one for one in current.reckoning.figures[user].amounts.lines if not one.is_formula),
                key=lambda one: (len(used_by[one.key]) < asked.count // 2, len(used_by[one.key])),
            ).key
            address = f"{preview.address}formulas/{current.book.formulas[user].code}.html"
            formulas, materials = current.book.formulas, current.book.materials
            load = f"load {os.getloadavg()[0]:.1f} on {os.cpu_count()} processors"
            print(f"A book of {asked.count} formulas; {asked.edits} edits of each kind; {load}.")
            own = edits.measure(address, book / formulas[user].path, titled, asked.edits)
            met = [told("the formula itself", own, OWN_MS)]
            words = f"a material that {len(used_by[material])} formulas use"
            met.append(
                told(words, edits.measure(address, book / materials[material].path, named, asked.edits), SHARED_MS)
            )
            shared = code(SHARED).casefold()
            words = f"an intermediate that {len(used_by[shared])} formulas use"
            met.append(
                told(words, edits.measure(address, book / formulas[shared].path, titled, asked.edits), SHARED_MS)
            )
        chromium.close()
    return 0 if all(met) else 1


if __name__ == "__main__":
    sys.exit(main())
