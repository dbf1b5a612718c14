"""How fast the tool is against what its libraries need by themselves; one command, no part of the tests.

    python -m tests.benchmarks [COUNT] [--rounds ROUNDS] [--no-growth]

It writes a book of COUNT formulas (1,000 by default) and one five times as large into a folder of its own, and prints
its ratios with their targets, then where the time goes:

    site ÷ floor          `bookgen site` of COUNT formulas against the floor (see `floor.py`), both whole processes with
                          an empty cache and a new output folder
    growth                the book five times as large against the smaller one, and the largest memory it takes
    reckoning ÷ Markdown  figures, batches as written and review, against parsing and rendering all bodies
    --help ÷ click        `bookgen --help` against `python -c "import click"`

Only ratios are judged.  Both sides of each are run in turn, several times, and the least processor time of each side
counts (user and system, children included), as a machine that is busy with other things only ever adds; for the last,
which is short, the median.  Seconds on the clock stand beside it.  Exits with 1 when a target is missed.
"""

from __future__ import annotations

import argparse
import json
import os
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from statistics import median
from time import perf_counter

from bookgen.cores import cores

from .large_book import write_chain, write_large_book

HOME = Path(__file__).resolve().parents[2]
TIMES_LARGER = 5
CHAIN = 1200


@dataclass(frozen=True, slots=True, kw_only=True)
class Run:
    """One process, run to its end."""

    cpu: float
    """Seconds of processor time, user and system."""
    clock: float
    """Seconds on the clock."""
    megabytes: float
    """Most memory it held at once."""
    output: str
    """What it printed."""


@cache
def _compile() -> None:
    subprocess.run([sys.executable, "-m", "compileall", "-q", "bookgen", "tests/benchmarks"], cwd=HOME, check=True)


def run(*command: str, cache: Path, keep: bool = False) -> Run:
    """Run a command, with an empty cache unless it is kept; a command that fails ends the benchmark.

    The tool is compiled beforehand, as an installer leaves it and every library of the floor.
    """
    _compile()
    if not keep:
        shutil.rmtree(cache, ignore_errors=True)
    cache.mkdir(exist_ok=True)
    environment = {
        **os.environ,
        "XDG_CACHE_HOME": str(cache),
        "PYTHONHASHSEED": "0",
        "PYTHONDONTWRITEBYTECODE": "",
    }
    start = perf_counter()
    with tempfile.TemporaryFile("w+", encoding="utf-8") as output:
        process = subprocess.Popen(command, stdout=output, cwd=HOME, env=environment)
        _, status, used = os.wait4(process.pid, 0)
        process.returncode = os.waitstatus_to_exitcode(status)
        clock = perf_counter() - start
        if process.returncode:
            raise SystemExit(f"{' '.join(command)} ended with {process.returncode}")
        output.seek(0)
        # Linux gives the most memory in kB, the BSDs and macOS in bytes.
        unit = 1024 if sys.platform.startswith("linux") else 1024 * 1024
        return Run(
            cpu=used.ru_utime + used.ru_stime,
            clock=clock,
            megabytes=used.ru_maxrss / unit,
            output=output.read(),
        )


def least(runs: Sequence[Run]) -> Run:
    """Return the run that took the least processor time."""
    return min(runs, key=lambda one: one.cpu)


class Table:
    """The ratios as they are printed, and whether each is within its target."""

    def __init__(self) -> None:
        self.missed: list[str] = []

    def row(self, name: str, value: float, target: float, words: str, unit: str = "") -> None:
        """Print one ratio."""
        missed = value > target
        if missed:
            self.missed.append(name)
        verdict = "MISSED" if missed else "met"
        print(f"{name:24}{value:8.2f}{unit:3}  target {target:g}{unit:3} {verdict:7} {words}", flush=True)


class Bench:
    """The commands that are measured, in one folder of their own."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.cache = folder / "cache"

    def python(self, *arguments: str) -> Run:
        """Run Python with these arguments."""
        return run(sys.executable, *arguments, cache=self.cache)

    def tool(self, *arguments: str) -> Run:
        """Run the tool as its command does."""
        return self.python("-c", "from bookgen.cli import main; main()", *arguments)

    def site(self, book: Path) -> Run:
        """Make the pages of a book into a new folder."""
        target = self.folder / "site"
        shutil.rmtree(target, ignore_errors=True)
        return self.tool("site", "--book", str(book), "--out", str(target))

    def floor(self, book: Path, samples: Path) -> Run:
        """Run the floor into a new folder."""
        target = self.folder / "floor"
        shutil.rmtree(target, ignore_errors=True)
        return self.python("-m", "tests.benchmarks.floor", str(book), str(samples), str(target))


def against_floor(bench: Bench, book: Path, rounds: int, table: Table) -> tuple[Run, Run]:
    """Print site ÷ floor; return the least run of each."""
    samples = bench.folder / "samples.pickle"
    bench.python("-m", "tests.benchmarks.capture", str(book), str(samples))
    sites, floors = [], []
    for _ in range(rounds):
        floors.append(bench.floor(book, samples))
        sites.append(bench.site(book))
    site, floor = least(sites), least(floors)
    clocks = min(one.clock for one in sites) / min(one.clock for one in floors)
    table.row("site ÷ floor", site.cpu / floor.cpu, 1.8, f"{site.cpu:.2f} s ÷ {floor.cpu:.2f} s")
    table.row("the same on the clock", clocks, 1.3, f"with {cores()} cores")
    return site, floor


def growth(bench: Bench, small: Path, large: Path, rounds: int, table: Table) -> None:
    """Print how time and memory grow."""
    smalls, larges = [], []
    for _ in range(max(2, rounds // 2)):
        larges.append(bench.site(large))
        smalls.append(bench.site(small))
    one, five = least(smalls), least(larges)
    table.row("growth", five.cpu / one.cpu, 5.5, f"{five.cpu:.2f} s ÷ {one.cpu:.2f} s")
    most = max(one.megabytes for one in larges)
    table.row("memory of the larger", most, 300, f"the smaller {one.megabytes:.0f} MB", " MB")


def stages(bench: Bench, book: Path, rounds: int, table: Table) -> dict[str, float]:
    """Print reckoning ÷ Markdown; return the least seconds of each stage."""
    found = [json.loads(bench.python("-m", "tests.benchmarks.stages", str(book)).output) for _ in range(rounds)]
    least_of = {stage: min(one[stage] for one in found) for stage in found[0]}
    figures = least_of["reckon"] + least_of["weigh"] + least_of["review"]
    table.row("reckoning ÷ Markdown", figures / least_of["markdown"], 1.0,
              f"{figures:.2f} s ÷ {least_of['markdown']:.2f} s")  # fmt: skip
    return least_of


def start_up(bench: Bench, rounds: int, table: Table) -> None:
    """Print --help ÷ import click."""
    helps, clicks = [], []
    for _ in range(rounds):
        helps.append(bench.tool("--help").cpu)
        clicks.append(bench.python("-c", "import click").cpu)
    table.row("--help ÷ click", median(helps) / median(clicks), 1.35,
              f"{median(helps) * 1000:.0f} ms ÷ {median(clicks) * 1000:.0f} ms, medians of {rounds}")  # fmt: skip


def chain(bench: Bench, count: int) -> None:
    """Print what a chain costs in which every formula uses the one before; judged by nothing.

    Its pages list all that is made first, so they grow with the square of the chain: a quarter of it is published.
    """
    done = bench.tool("check", "--book", str(write_chain(bench.folder / "chain", count)))
    print(
        f"\nA chain of {count}, each formula using the one before: checked in {done.cpu:.2f} s, {done.megabytes:.0f} MB"
    )
    done = bench.site(write_chain(bench.folder / "quarter", count // 4))
    print(f"A chain of {count // 4}: its pages made in {done.cpu:.2f} s, {done.megabytes:.0f} MB.")


def main() -> int:
    """Run all of it."""
    parser = argparse.ArgumentParser(prog="python -m tests.benchmarks", description="Measure the tool.")
    parser.add_argument("count", type=int, nargs="?", default=1000, help="formulas in the book (1000)")
    parser.add_argument("--rounds", type=int, default=5, help="runs of each side (5)")
    parser.add_argument("--no-growth", action="store_true", help="leave the larger book and the chain out")
    asked = parser.parse_args()
    table = Table()
    with tempfile.TemporaryDirectory(prefix="bench-") as folder:
        bench = Bench(Path(folder))
        small = write_large_book(bench.folder / "small", asked.count)
        print(f"A book of {asked.count} formulas of twelve lines. Processor time, the least of {asked.rounds}.")
        site, floor = against_floor(bench, small, asked.rounds, table)
        spent = stages(bench, small, asked.rounds, table)
        start_up(bench, 8 * asked.rounds, table)
        if not asked.no_growth:
            large = write_large_book(bench.folder / "large", TIMES_LARGER * asked.count)
            growth(bench, small, large, asked.rounds, table)
        print(f"\nThe floor, {floor.cpu:.2f} s, on the clock:")
        for stage, seconds in json.loads(floor.output).items():
            print(f"  {stage:16}{seconds:7.2f} s")
        print(f"\nThe site, {site.cpu:.2f} s:")
        tool = {stage: seconds for stage, seconds in spent.items() if stage != "markdown"}
        for stage, seconds in tool.items():
            print(f"  {stage:16}{seconds:7.2f} s")
        print(f"  {'start, write …':16}{site.cpu - sum(tool.values()):7.2f} s")
        if not asked.no_growth:
            chain(bench, CHAIN)
    if table.missed:
        print(f"\nMissed: {', '.join(table.missed)}.")
    return 1 if table.missed else 0


if __name__ == "__main__":
    sys.exit(main())
