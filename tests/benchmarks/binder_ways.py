"""Ways to make one binder of many leaves, side by side; run it before the way that is in use is changed.

    python -m tests.benchmarks.binder_ways [COUNT ...]

For binders of COUNT formulas that take two sides each (40, 300 and 400 by default), made of the same leaves:

    moved        as the tool does: each leaf with its own subset of the type, moved as bytes, each cut of type once
    whole faces  each leaf with the whole cuts, as WeasyPrint's `full_fonts` embeds them; moved as bytes, and streams
                 that are equal become one
    pikepdf      leaves as in the first, joined by pikepdf in groups of 20 into files, and those into one: pages,
                 structure, names and the cuts.  Bookmarks, and links from leaf to leaf, would come on top

Printed for each: processor time for printing the leaves and for joining them, the most memory held while joining with
the book in the same process, as it is in the tool's; the file's size; and how many of its sides read, by `pdftotext`,
as those of the first way.
"""

from __future__ import annotations

import argparse
import json
import pickle
import subprocess
import sys
import tempfile
from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from pathlib import Path
from time import process_time
from typing import Any

import pikepdf
from pikepdf import Array, Dictionary, Name, Pdf

from bookgen.binder import leaves_of
from bookgen.leaf import Leaf
from bookgen.look import load_theme
from bookgen.pipeline import Checked, check_book, printing_for
from bookgen.press.bind import bind
from bookgen.press.cuts import part
from bookgen.press.fonts import Fonts
from bookgen.press.pdffile import Writer
from bookgen.press.piece import PrintedLeaf
from bookgen.press.render import Press
from bookgen.press.tidy import PART

from .__main__ import HOME
from .binder import write_two_sided_book

TOGETHER = 20
"""Leaves in one group."""


def formula_leaves(book: Path) -> tuple[Checked, Press, list[Leaf]]:
    """Return the book as the tool holds it, what prints it, and the leaves of its formulas."""
    checked = check_book(book)
    with printing_for(checked, load_theme(checked.root)) as printing:
        leaves = [one.leaf for one in leaves_of(printing.bindery)]
    keys = checked.book.formulas
    codes = {one.code for one in keys.values()}
    return checked, printing.press, [leaf for leaf in leaves if leaf.code in codes]


def print_all(book: Path, target: Path, whole: bool) -> dict[str, float]:
    """Print the leaves in this process and keep their pieces in a folder; return the processor time."""
    import weasyprint

    _, made, leaves = formula_leaves(book)
    weasyprint.DEFAULT_OPTIONS["full_fonts"] = whole
    with Press(made._style, workers=1) as press:
        press.print(leaves[:1])
        start = process_time()
        pieces = press.print(leaves)
        spent = process_time() - start
    target.mkdir()
    for number, piece in enumerate(pieces):
        (target / f"{number:04}").write_bytes(pickle.dumps(replace(piece, cuts=())))
    (target / "cuts").write_bytes(pickle.dumps(pieces[0].cuts))
    return {"printing": spent}


def kept(folder: Path, count: int, cuts: tuple[bytes, ...] = ()) -> list[PrintedLeaf]:
    """Return the first pieces of a folder."""
    return [replace(pickle.loads((folder / f"{number:04}").read_bytes()), cuts=cuts) for number in range(count)]


def moved(folder: Path, count: int, target: Path) -> None:
    """As the tool does."""
    cuts = pickle.loads((folder / "cuts").read_bytes())
    target.write_bytes(bind(kept(folder, count, cuts), title="B", lang="en").pdf)


def whole_faces(folder: Path, count: int, target: Path) -> None:
    """With equal streams as one."""
    target.write_bytes(bind(kept(folder, count), title="B", lang="en").pdf)


def by_pikepdf(folder: Path, count: int, target: Path) -> None:
    """In groups, over files."""
    fonts = Fonts(Writer())
    fonts.bring(pickle.loads((folder / "cuts").read_bytes()))
    groups = []
    for at in range(0, count, TOGETHER):
        leaves = []
        for number in range(at, min(at + TOGETHER, count)):
            leaves.append(target.with_name(f"leaf-{number}"))
            leaves[-1].write_bytes(pickle.loads((folder / f"{number:04}").read_bytes()).pdf)
        groups.append(target.with_name(f"group-{at}"))
        join(leaves, groups[-1], fonts)
    join(groups, target, fonts, last=True)


def join(sources: Sequence[Path], target: Path, fonts: Fonts, last: bool = False) -> None:
    """Join documents with their structure; the cuts' files stand empty until the last time."""
    made = Pdf.new()
    files: dict[str, Any] = {}
    document = made.make_indirect(Dictionary(Type=Name.StructElem, S=Name.Document))
    parents, sections, next_parent = Array(), Array(), 0
    names: dict[str, list[tuple[bytes, Any]]] = {"IDTree": [], "Dests": []}
    for source in map(Pdf.open, sources):
        first = len(made.pages)
        made.pages.extend(source.pages)
        root = made.copy_foreign(source.Root.StructTreeRoot)
        for page in made.pages[first:]:
            page.obj.StructParents = int(page.obj.StructParents) + next_parent
            for link in page.obj.get("/Annots", ()):
                if "/StructParent" in link:
                    link.StructParent = int(link.StructParent) + next_parent
            for font in page.obj.Resources.Font.values():
                share(made, font.DescendantFonts[0].FontDescriptor, files, fonts)
        entries = list(paired(root.ParentTree.Nums))
        for key, value in entries:
            parents.append(int(key) + next_parent)
            parents.append(value)
        next_parent += 1 + max(int(key) for key, _ in entries)
        for section in root.K:
            section.P = document
            sections.append(section)
        names["IDTree"] += paired(root.get("/IDTree", Dictionary(Names=Array())).Names)
        if "/Names" in source.Root:
            names["Dests"] += paired(made.copy_foreign(source.make_indirect(source.Root.Names.Dests)).Names)
    listed = {kind: Dictionary(Names=flat(found)) for kind, found in names.items()}
    root = made.make_indirect(Dictionary(Type=Name.StructTreeRoot, K=Array([document]), IDTree=listed["IDTree"]))
    root.ParentTree = made.make_indirect(Dictionary(Nums=parents))
    document.K, document.P = sections, root
    made.Root.StructTreeRoot = root
    made.Root.Names = made.make_indirect(Dictionary(Dests=listed["Dests"]))
    if last:
        for mark, file in files.items():
            body = part(fonts._cuts[mark], fonts._files[mark][1])
            file.write(body)
            file.Length1 = len(body)
    made.save(target, object_stream_mode=pikepdf.ObjectStreamMode.generate)


def share(made: Pdf, descriptor: Any, files: dict[str, Any], fonts: Fonts) -> None:
    """Let a font have its cut's file."""
    said = str(descriptor.FontFile2[f"/{PART}"])
    fonts.use(f"/{PART} ({said})".encode())
    mark = said[:16]
    if mark not in files:
        files[mark] = made.make_stream(b"", {f"/{PART}": pikepdf.String(mark)})
    descriptor.FontFile2 = files[mark]


def paired(listed: Any) -> Iterator[tuple[Any, Any]]:
    """Yield keys and values of a tree."""
    found = list(listed)
    return zip(found[::2], found[1::2], strict=True)


def flat(found: list[tuple[Any, Any]]) -> Any:
    """Return names and values as they stand in a name tree."""
    listed = Array()
    for name, value in sorted(found, key=lambda one: bytes(one[0])):
        listed.append(name)
        listed.append(value)
    return listed


WAYS: dict[str, tuple[str, Callable[[Path, int, Path], None]]] = {
    "moved": ("subsets", moved),
    "whole faces": ("whole", whole_faces),
    "pikepdf": ("subsets", by_pikepdf),
}


def measure(way: str, book: Path, count: int, target: Path) -> dict[str, float]:
    """Make a binder with the book in this process; return what it took."""
    folder, made = WAYS[way]
    held_with = formula_leaves(book)
    before = held()
    start = process_time()
    made(target.parent / folder, count, target)
    spent = process_time() - start
    del held_with
    return {"joining": spent, "before": before, "held": held(), "size": target.stat().st_size / 1e6}


def held() -> float:
    """Return the most memory this process has held, in MB; Linux alone tells it."""
    return int(next(line for line in open("/proc/self/status") if line.startswith("VmHWM:")).split()[1]) / 1024


def child(*asked: object) -> dict[str, float]:
    """Run a part of this in a process of its own."""
    command = [sys.executable, "-m", __spec__.name, "--child", *map(str, asked)]  # type: ignore[name-defined]
    done = subprocess.run(command, stdout=subprocess.PIPE, check=True, encoding="utf-8", cwd=HOME)
    answer: dict[str, float] = json.loads(done.stdout.splitlines()[-1])
    return answer


def sides(pdf: Path) -> list[list[str]]:
    """Return the words of each side."""
    done = subprocess.run(["pdftotext", "-raw", str(pdf), "-"], capture_output=True, check=True, encoding="utf-8")
    return [side.split() for side in done.stdout.split("\f")[:-1]]


def main() -> None:
    """Run all of it."""
    parser = argparse.ArgumentParser(prog="python -m tests.benchmarks.binder_ways", description="Ways to a binder.")
    parser.add_argument("counts", nargs="*", type=int, help="formulas in the binders (40 300 400)")
    parser.add_argument("--child", nargs="+", help=argparse.SUPPRESS)
    asked = parser.parse_args()
    if asked.child:
        what, book, *more = asked.child
        if what in WAYS:
            print(json.dumps(measure(what, Path(book), int(more[0]), Path(more[1]))))
        else:
            print(json.dumps(print_all(Path(book), Path(more[0]), what == "whole")))
        return
    counts = asked.counts or [40, 300, 400]
    with tempfile.TemporaryDirectory(prefix="bench-") as place:
        folder = Path(place)
        books = {count: write_two_sided_book(folder / f"book-{count}", count) for count in counts}
        largest = max(counts)
        spent = {
            kind: child(kind, books[largest], folder / kind)["printing"] / largest for kind in ("subsets", "whole")
        }
        print(f"{'':24}{'printing':>10}{'joining':>10}{'held, MB':>10}{'size, MB':>10}{'reads the same':>22}")
        for count in counts:
            first: list[list[str]] = []
            for way, (kind, _) in WAYS.items():
                target = folder / "binder.pdf"
                took = child(way, books[count], count, target)
                found = sides(target)
                first = first or found
                same = sum(one == other for one, other in zip(first, found, strict=True))
                print(
                    f"{count:5} {way:18}{spent[kind] * count:8.1f} s{took['joining']:8.1f} s"
                    f"{took['held']:10.0f}{took['size']:10.2f}{same:11} of {len(first)} sides"
                    f"   ({took['before']:.0f} MB before)",
                    flush=True,
                )


if __name__ == "__main__":
    main()
