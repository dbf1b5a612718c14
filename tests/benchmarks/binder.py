"""How fast and how small the binder is made; one command, no part of the tests.

    python -m tests.benchmarks.binder [COUNT] [--rounds ROUNDS]

It writes a book of COUNT formulas (300 by default) that take two sides each, and prints three figures with their
targets:

    binder ÷ floor   `bookgen binder`, the whole process with an empty cache, against one WeasyPrint pass over the same
                     leaves as one document (see `binder_floor.py`) in a process of its own; on the clock, on two cores
    the same, reckoned
                     from processor time, as if the cores had nothing else to do: the tool's own, and half of what its
                     two processes took for printing
    after one edit   the whole process after one formula was changed, against the one with an empty cache
    memory           the most the tool's own process held, without those that print for it

Both sides of a ratio are run in turn, and the least of each counts.  On a machine that is busy with other things the
clock measures those too.  Exits with 1 when a target is missed.
"""

from __future__ import annotations

import argparse
import json
import os
import re
import subprocess
import sys
import tempfile
from pathlib import Path

from .__main__ import Run, Table, run
from .large_book import code, write_large_book

NOTES = """
## Trials

{paragraphs}
"""

PARAGRAPH = (
    "Trial {number}: stirred for {minutes} minutes at the lower speed, poured at 42 °C, and kept for a week beside the"
    " window. It was even on the glass plate and a little softer at the rim than the trial before, so the next one is"
    " poured colder and left alone until the morning."
)
TRIALS = 5
CORES = 2
LAST = "That was the last of the trials"

TOOL = """
import sys
told = sys.argv.pop(1)
try:
    from bookgen.cli import main
    main()
finally:
    try:
        held = next(line for line in open("/proc/self/status") if line.startswith("VmHWM:")).split()[1]
    except OSError:
        import resource
        held = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // (1024 if sys.platform == "darwin" else 1)
    import time
    open(told, "w").write(f"{held} {time.process_time()}")
"""
"""The tool's command; it writes down the most memory its own process held, in kB, and its own processor time."""

CAPTURE = """
import json, sys
told = sys.argv.pop(1)
from bookgen.press import render
found = []
prints = render.Press.print
def listening(press, leaves, *more, **named):
    found.append((press._style, [leaf.html for leaf in leaves]))
    return prints(press, leaves, *more, **named)
render.Press.print = listening
try:
    from bookgen.cli import main
    main()
finally:
    style = found[0][0]
    faces = [{"family": one.family, "file": str(one.file), "weight": one.weight, "slope": one.slope}
             for one in style.faces]
    html = [text for _, texts in found for text in texts]
    with open(told, "w", encoding="utf-8") as out:
        json.dump({"css": style.css, "faces": faces, "html": html}, out)
"""
"""The same with a full cache; it writes down what the press is given."""


def write_two_sided_book(folder: Path, count: int) -> Path:
    """Write a book whose formulas go on to the back of their sheet."""
    write_large_book(folder, count)
    for number, path in enumerate(sorted((folder / "formulas").rglob("f-*.md"))):
        told = [PARAGRAPH.format(number=at + 1, minutes=3 + (number + at) % 9) for at in range(TRIALS)]
        with path.open("a", encoding="utf-8") as out:
            out.write(NOTES.format(paragraphs="\n\n".join([*told, f"{LAST}."])))
    return folder


def edit(book: Path, count: int) -> None:
    """Change one amount of one formula that no other uses."""
    number = next(at for at in range(count // 2, count) if at % 4)
    [path] = (book / "formulas").rglob(f"f-{number:04}.md")
    text = path.read_text(encoding="utf-8")
    changed = re.sub(r"\d+ %, emulsifier", "8 %, emulsifier", text)
    if changed == text:
        raise SystemExit(f"{code(number)} has no amount to change")
    path.write_text(changed, encoding="utf-8")


def two_sided(pdf: Path) -> int:
    """Return how many leaves end on the back of a sheet."""
    done = subprocess.run(["pdftotext", "-layout", str(pdf), "-"], capture_output=True, check=True, encoding="utf-8")
    pages = done.stdout.split("\f")
    return sum(LAST in page for page in pages[1::2])


class Bench:
    """The commands that are measured, in one folder of their own."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.cache = folder / "cache"
        self.told = folder / "told"
        self.pdf = folder / "site" / "binder.pdf"

    def binder(self, book: Path, *, keep: bool, command: str = TOOL) -> Run:
        """Make the binder of a book; `keep` the cache of the run before."""
        arguments = (str(self.told), "binder", "--book", str(book), "--out", str(self.pdf.parent))
        return run(sys.executable, "-c", command, *arguments, cache=self.cache, keep=keep)

    def own(self) -> tuple[float, float]:
        """Return the most memory in MB, and the processor time, of the tool's own process in the last run."""
        held, spent = self.told.read_text().split()
        return int(held) / 1024, float(spent)

    def kept(self) -> set[Path]:
        """Return the leaves in the cache."""
        return {path for path in self.cache.rglob("*") if path.is_file()}

    def capture(self, book: Path, leaves: Path) -> None:
        """Write down what the press is given for the binder that was made last."""
        self.binder(book, keep=True, command=CAPTURE)
        self.told.rename(leaves)

    def floor(self, leaves: Path) -> Run:
        """Run the floor."""
        target = str(self.folder / "floor.pdf")
        return run(
            sys.executable, "-m", "tests.benchmarks.binder_floor", str(leaves), target, cache=self.cache, keep=True
        )


def main() -> int:
    """Run all of it."""
    parser = argparse.ArgumentParser(prog="python -m tests.benchmarks.binder", description="Measure the binder.")
    parser.add_argument("count", type=int, nargs="?", default=300, help="formulas in the book (300)")
    parser.add_argument("--rounds", type=int, default=1, help="runs of each side (1)")
    asked = parser.parse_args()
    table = Table()
    with tempfile.TemporaryDirectory(prefix="bench-") as place:
        bench = Bench(Path(place))
        book = write_two_sided_book(bench.folder / "book", asked.count)
        leaves = bench.folder / "leaves.json"
        colds, floors, held, apart = [], [], [], []
        for _ in range(asked.rounds):
            colds.append(bench.binder(book, keep=False))
            megabytes, own = bench.own()
            held.append(megabytes)
            apart.append(own + (colds[-1].cpu - own) / CORES)
            if not leaves.exists():
                bench.capture(book, leaves)
                found, size = two_sided(bench.pdf), bench.pdf.stat().st_size / 1e6
                print(
                    f"A binder of {asked.count} formulas, {found} of them on both sides of their sheet; {size:.1f} MB."
                )
            floors.append(bench.floor(leaves))
        before = bench.kept()
        edit(book, asked.count)
        after = bench.binder(book, keep=True)
        printed = len(bench.kept() - before)
        held.append(bench.own()[0])
    cold, floor = min(one.clock for one in colds), min(one.clock for one in floors)
    least = min(one.cpu for one in floors)
    table.row("binder ÷ floor", cold / floor, 0.7, f"{cold:.1f} s ÷ {floor:.1f} s on the clock")
    table.row("the same, reckoned", min(apart) / least, 0.7,
              f"processor time {min(apart):.1f} s ÷ {least:.1f} s, what prints shared by {CORES} cores")  # fmt: skip
    table.row("after one edit", after.clock / cold, 0.1,
              f"{after.clock:.1f} s ÷ {cold:.1f} s; processor {after.cpu:.1f} s; {printed} leaves printed")  # fmt: skip
    table.row(
        "memory", max(held), 300, f"with an empty cache {held[0]:.0f} MB, after one edit {held[-1]:.0f} MB", " MB"
    )
    steps = json.loads(floors[0].output)
    words = ", ".join(f"{name} {value:.1f} s" for name, value in steps.items() if name != "pages")
    print(f"\nThe floor: {words}; {steps['pages']:.0f} pages.  This machine has {os.cpu_count()} cores.")
    if table.missed:
        print(f"\nMissed: {', '.join(table.missed)}.")
    return 1 if table.missed else 0


if __name__ == "__main__":
    sys.exit(main())
