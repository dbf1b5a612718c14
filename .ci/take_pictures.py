"""Take the pictures of the README anew, from the demo as it is now: `python .ci/take_pictures.py`.

Needs Chromium and poppler, as the tests do.  Look at the pictures before committing them.
"""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from io import BytesIO
from pathlib import Path

from PIL import Image, ImageOps
from playwright.sync_api import Browser, Page, sync_playwright

ROOT = Path(__file__).resolve().parent.parent
PICTURES = ROOT / ".readme"
FRAME = "#999999"
GAP = 24
LABEL_PASTE = """---
code: R-04
title: Label paste
kind: household
status: trial
use: surfaces, adults
makes: 100 g
ingredients:
  corn-starch: 8 %, thickener
  sodium-benzoate: 0.4 %, preservative
  citric-acid-10: 3 %, buffer
  purified-water: to 100 g, solvent
storage: refrigerator, jar, 14 days
---

## Method

1. Boil [the starch](amount:corn-starch) in [the water](amount:purified-water).
"""


@contextmanager
def opened(browser: Browser, path: Path, width: int, height: int, after: str = "", **kept: str) -> Iterator[Page]:
    """Open a page of the site at a size, its type loaded."""
    context = browser.new_context(viewport={"width": width, "height": height}, **kept)  # type: ignore[arg-type]
    page = context.new_page()
    page.goto(path.as_uri() + after)
    page.evaluate("document.fonts.ready")
    yield page
    context.close()


def on_screen(site: Path) -> None:
    """Take the pages as a browser shows them, and one as it prints it."""
    three_tins = "#obtain=3+x+30+g+%2B+5+%25"
    shots: list[tuple[str, Path, int, int, str, dict[str, str]]] = [
        ("contents", site / "index.html", 1440, 1300, "", {}),
        ("formula-1440", site / "formulas/W-02.html", 1440, 1900, "", {}),
        ("formula-360", site / "formulas/B-01.html", 360, 1500, "", {}),
        ("formula-360-dark", site / "formulas/B-01.html", 360, 1500, "", {"color_scheme": "dark"}),
        ("formula-820-dark", site / "formulas/B-01.html", 820, 1700, three_tins, {"color_scheme": "dark"}),
    ]
    with sync_playwright() as playwright:
        # The sandbox needs rights that a container's root does not have; only pages of our own are opened.
        browser = playwright.chromium.launch(
            executable_path=os.environ.get("CHROMIUM", "/usr/bin/chromium-headless-shell"), args=["--no-sandbox"]
        )
        for name, path, width, height, after, kept in shots:
            with opened(browser, path, width, height, after, **kept) as page:
                page.screenshot(path=PICTURES / f"{name}.png")
        with opened(browser, site / "formulas/H-02.html", 360, 740, "#obtain=250+g") as page:
            page.get_by_role("link", name="At the bench").click()
            water = page.locator("#bench .stage h2", has_text="purified water")
            while not water.count():
                page.get_by_role("button", name="Next", exact=True).click()
            page.screenshot(path=PICTURES / "bench.png")
        with opened(browser, site / "formulas/W-02.html", 1024, 1000) as page:
            page.pdf(path=site.parent / "printed.pdf", format="A4", prefer_css_page_size=True)
        browser.close()
    strip("printed", [(site.parent / "printed.pdf", 1)], 80, border=1, mode="RGB")


def strip(name: str, sides: list[tuple[Path, int]], dpi: int, *, border: int = 2, mode: str = "L") -> None:
    """Set sides of PDFs beside each other, each in a thin frame."""
    drawn = []
    for pdf, side in sides:
        one_side = ["-f", str(side), "-l", str(side), "-singlefile"]
        made = subprocess.run(["pdftoppm", "-r", str(dpi), *one_side, "-png", pdf], capture_output=True, check=True)
        drawn.append(ImageOps.expand(Image.open(BytesIO(made.stdout)).convert("RGB"), border, FRAME))
    width = sum(one.width for one in drawn) + GAP * (len(drawn) - 1)
    whole = Image.new("RGB", (width, max(one.height for one in drawn)), "white")
    at = 0
    for one in drawn:
        whole.paste(one, (at, 0))
        at += one.width + GAP
    whole.convert(mode).save(PICTURES / f"{name}.png", optimize=True)


def sides_of(pdf: Path, wanted: Callable[[str], bool]) -> list[tuple[Path, int]]:
    """Return the sides of a PDF whose text is as wanted."""
    done = subprocess.run(["pdftotext", "-layout", pdf, "-"], capture_output=True, check=True, encoding="utf-8")
    return [(pdf, number) for number, text in enumerate(done.stdout.split("\f"), 1) if wanted(text)]


def foot(code: str, sheet: str = r"sheet 1 of \d+ · front") -> Callable[[str], bool]:
    """Tell the side whose foot says so."""
    return lambda text: re.search(rf"(?m)^\s*{re.escape(code)} · (issue \d+ · )?{sheet}", text) is not None


def bookgen(*arguments: str, book: Path) -> None:
    day = {**os.environ, "SOURCE_DATE_EPOCH": "1795564800"}  # 2026-11-25 UTC
    subprocess.run([sys.executable, "-m", "bookgen", *arguments, "--book", str(book)], check=True, env=day)


def in_the_binder(book: Path) -> None:
    """Take sides of the binder, and the filing instructions after a few changes."""
    binder = Path(shutil.copy(book / "site" / "binder.pdf", book))
    strip(
        "binder-front", [sides_of(binder, foot(one))[0] for one in ("title", "effective-sheets", "divider-waters")], 100
    )
    strip("binder-formula", sides_of(binder, foot("H-02", r"sheet \d of \d")), 100)
    bookgen("filed", book=book)
    formulas = book / "formulas"
    for name, old, new in (
        ("waters/sieve-day-hair-rinse.md", "issue: 2", "issue: 3"),
        ("waters/sieve-day-hair-rinse.md", "changes:\n", "changes:\n  3, 2026-11-25: a little less acid\n"),
        ("waters/sieve-day-hair-rinse.md", "0.8 % as citric acid", "0.7 % as citric acid"),
        ("powders/dry-feet-powder.md", "status: draft", "status: withdrawn"),
    ):
        path = formulas / name
        text = path.read_text(encoding="utf-8")
        assert old in text, (name, old)
        path.write_text(text.replace(old, new), encoding="utf-8")
    (formulas / "studio/label-paste.md").write_text(LABEL_PASTE, encoding="utf-8")
    bookgen("binder", "--changes", book=book)
    others = [sides_of(binder, foot(one))[0] for one in ("materials-s", "by-material")]
    strip("binder-others", [*others, sides_of(book / "site" / "changes.pdf", foot("filing"))[0]], 100)


def to_the_jar(book: Path) -> None:
    """Take what a batch becomes: its worksheet, its record, the shelf, and labels of three kinds."""
    batch = ("--obtain", "12 x 30 g + 5 %")
    sheet = book / "worksheet.pdf"
    bookgen("worksheet", "B-01", *batch, "--to", str(sheet), book=book)
    strip("worksheet", sides_of(sheet, lambda text: bool(text.strip()))[:2], 80)
    labels = []
    for code, more in (
        ("B-01", (*batch, "--after-opening", "6 months")),
        ("N-02", ("--obtain", "240 g", "--count", "1")),
        ("R-02", ("--obtain", "250 g", "--count", "1")),
    ):
        target = book / f"{code}.pdf"
        bookgen("labels", code, *more, "--size", "99 x 67.5 mm", "--to", str(target), book=book)
        labels.append((target, 1))
    strip("labels", labels, 110)
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(
            executable_path=os.environ.get("CHROMIUM", "/usr/bin/chromium-headless-shell"), args=["--no-sandbox"]
        )
        for name, page_of in (("record", "batches/H-02-2026-10-31.html"), ("shelf", "shelf.html")):
            with opened(browser, book / "site" / page_of, 1280, 1240) as page:
                page.screenshot(path=PICTURES / f"{name}.png")
        browser.close()


if __name__ == "__main__":
    with tempfile.TemporaryDirectory() as place:
        shutil.copytree(ROOT / "formulas", Path(place) / "formulas")
        bookgen("publish", book=Path(place))
        on_screen(Path(place) / "site")
        to_the_jar(Path(place))
        in_the_binder(Path(place))
