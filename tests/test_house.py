"""The house stands as drawn: which room may import which, who knows which library, what a command loads."""

from __future__ import annotations

import ast
import re
import subprocess
import sys
from functools import cache
from pathlib import Path

import pytest

CHECKOUT = Path(__file__).parents[1]
PACKAGE = CHECKOUT / "bookgen"

ROOMS = (
    "swift", "fraction", "language", "fine", "show", "wording", "findings", "written", "model", "refused", "cores",
    "units", "reference", "source", "reckon", "review", "leaf", "shown", "look", "pages", "binder", "loose",
    "terminal", "machine", "press", "pipeline", "changes", "bench", "labelling", "beginning", "issuing", "keeping",
    "renaming", "bringing", "taking", "recording", "preview", "cli",
)  # fmt: skip
"""From top to bottom; a room imports only from rooms above it.  Whatever is found or not known is said by the name of a
sentence, so `wording` stands above the records that bear it; `leaf` is what is printed, the one thing that the
binder and the press have in common.  `shown` makes records that no medium has printed; `look` prints them as HTML for
the site in `pages` and for the leaves in `binder` and `loose`; `terminal` and `machine` print them for people and
programs."""

FREE = ("__init__", "__main__")
"""The version alone, and what starts the commands."""

LIBRARIES = {
    "fractions": ("fraction",), "pint": ("units",), "weasyprint": ("press",),
    "pikepdf": ("press",), "click": ("cli",), "jinja2": ("look",),
    "tree_sitter": ("look",), "tree_sitter_javascript": ("look",), "zopfli": ("look",),
    "markupsafe": ("look", "pages", "binder", "loose", "preview"),
}  # fmt: skip
"""Library → the rooms that know it."""


INSIDE = {
    "shown": (
        "sentences", "amounts", "phrases", "plain", "judged_records", "kept_records", "made_records", "records",
        "finding_records", "batch_records", "figures", "matter/records", "matter/held", "accounts/anchors",
        "matter/passages", "shelf", "usual", "cautions", "drops", "plans", "verdict", "blended", "table", "head",
        "held", "wanted", "why", "judged", "label", "spelt", "batches", "cost", "body", "matter/among", "formula",
        "kept", "beside", "from_shelf", "worksheet", "abreast", "jar_label", "material", "batch", "on_shelf",
        "findings",
        "matter/order", "matter/chapters", "matter/indexes", "matter/inherited", "matter/materials", "matter/uses",
        "search/records", "search/possible", "search/terms", "search/page", "accounts/records", "accounts/words",
        "accounts/working", "accounts/examples", "accounts/worked_bench", "accounts/worked_formula",
        "accounts/worked_made", "accounts/worked_strengths", "accounts/paragraphs", "accounts/page",
    ),
    "look": (
        "pictures/lettering", "pictures/acids", "pictures/composition", "pictures/deviations", "pictures/layers",
        "pictures/lineage", "pictures/share", "pictures/issues", "pictures/shift",
        "deflated", "light", "markup", "finished", "leading", "styled",
        "closeness", "typeset", "policy", "said", "scripts", "shortened", "compiling", "templates", "themes",
    ),
    "pages": ("following", "fragments", "packed", "alone", "site"),
    "binder": (
        "records", "paper", "fitting", "style", "front", "digest", "printed", "comparing", "gathered", "leaves",
        "effective", "filing",
    ),
    "loose": ("worksheet", "fields", "labels"),
    "terminal": ("columns", "supplies", "batch", "calibration", "cost", "compared", "judged", "label", "mixture",
                 "needs", "on_shelf", "trace"),
    "machine": ("text", "known", "lots", "label", "soap", "batch", "calibration", "compared", "cost", "judged",
                "mixture", "needs", "on_shelf", "trace"),
}  # fmt: skip
"""Room → its files from top to bottom, by the same rule as the rooms."""


def files() -> list[Path]:
    return sorted(PACKAGE.rglob("*.py"))


def room_of(path: Path) -> str:
    return path.relative_to(PACKAGE).parts[0].removesuffix(".py")


@cache
def imports_of(path: Path) -> list[tuple[int, str]]:
    """Every module a file imports, anywhere in it, as line and absolute name; names taken from a package count."""
    package = ("bookgen", *path.relative_to(PACKAGE).parent.parts)
    found = []
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            found += [(node.lineno, one.name) for one in node.names]
        elif isinstance(node, ast.ImportFrom):
            base = package[: len(package) - node.level + 1] if node.level else ()
            module = ".".join((*base, *([node.module] if node.module else [])))
            found += [(node.lineno, f"{module}.{one.name}") for one in node.names]
        elif isinstance(node, ast.Call) and getattr(node.func, "id", "") in ("import_module", "__import__"):
            first = node.args[0]
            assert isinstance(first, ast.Constant), f"{path}:{node.lineno} imports a module that no test can name"
            found.append((node.lineno, str(first.value)))
    return found


def test_a_name_of_a_class_stands_for_one_thing():
    standing: dict[str, list[str]] = {}
    for path in files():
        for node in ast.parse(path.read_text(encoding="utf-8")).body:
            if isinstance(node, ast.ClassDef) and not node.name.startswith("_"):
                standing.setdefault(node.name, []).append(str(path.relative_to(CHECKOUT)))
    assert not {name: where for name, where in standing.items() if len(where) > 1}


BESIDE_ONE = {"other", "others", "many"}
"""What a name `one` stands beside where it means one of two, or the singular."""


def test_what_is_walked_is_called_by_its_name():
    nameless = []
    for path in files():
        for binding in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            match binding:
                case ast.For(target=target) | ast.comprehension(target=target) | ast.NamedExpr(target=target):
                    names = {node.id for node in ast.walk(target) if isinstance(node, ast.Name)}
                case ast.Assign(targets=targets):
                    stored = (node for target in targets for node in ast.walk(target) if isinstance(node, ast.Name))
                    names = {node.id for node in stored if isinstance(node.ctx, ast.Store)}
                case ast.FunctionDef(args=args) | ast.Lambda(args=args):
                    names = {argument.arg for argument in args.args}
                case _:
                    continue
            if "one" in names and not names & BESIDE_ONE:
                line = getattr(binding, "lineno", 0) or target.lineno
                nameless.append(f"{path.relative_to(CHECKOUT)}:{line}")
    assert not nameless, "\n".join(nameless)


def test_people_read_a_reason_in_the_signs_of_their_book():
    """`Missing.reason` has a decimal point, for machines; the worked lines raise it where they are wrong themselves."""
    read = []
    for path in files():
        if room_of(path) in ("shown", "look", "pages", "binder", "terminal") and path.parent.name != "accounts":
            for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
                if isinstance(node, ast.Attribute) and node.attr == "reason":
                    read.append(f"{path.relative_to(CHECKOUT)}:{node.lineno}")
    assert not read, "\n".join(read)


READERS = {"look/finished", "look/typeset", "look/policy", "look/light", "binder/fitting"}
"""Files that may look for a tag in what a template has finished, or in what it says itself."""
TAG = re.compile(r"(?<![?P])<(?=/?\(?/?\??\)?[a-z]|\[\^>)")


def test_finished_html_is_read_in_one_place():
    looking = []
    for path in files():
        name = path.relative_to(PACKAGE).with_suffix("").as_posix()
        if name in READERS or room_of(path) not in ("shown", "look", "pages", "binder", "terminal", "preview"):
            continue
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            match node:
                case ast.Call(func=ast.Attribute(attr=attr), args=[*args]) if attr in LOOKS:
                    texts = [part.value for arg in args[:1] for part in ast.walk(arg) if isinstance(part, ast.Constant)]
                    if any(isinstance(text, str) and TAG.search(text) for text in texts):
                        looking.append(f"{path.relative_to(CHECKOUT)}:{node.lineno}")
    assert not looking, "\n".join(looking)


LOOKS = {
    "compile",
    "find",
    "findall",
    "finditer",
    "index",
    "match",
    "partition",
    "rfind",
    "rpartition",
    "search",
    "split",
}
"""Calls by which a text is looked for in another."""


def test_how_many_digits_are_shown_is_a_named_choice():
    """The worked lines alone say themselves how exactly they reckon."""
    unnamed = []
    for path in files():
        if path.parent.name == "accounts":
            continue
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Call):
                name = getattr(node.func, "attr", getattr(node.func, "id", ""))
                given = (*node.args[1:], *(keyword.value for keyword in node.keywords if keyword.arg == "figures"))
                if name in PRINTS and any(isinstance(digits, ast.Constant) and digits.value for digits in given):
                    unnamed.append(f"{path.relative_to(CHECKOUT)}:{node.lineno}")
    assert not unnamed, "\n".join(unnamed)


PRINTS = {"significant", "fixed", "plain", "apart", "against"}
"""Calls that print a number with so many digits."""


def test_every_file_belongs_to_a_room():
    assert {room_of(path) for path in files()} - set(FREE) == set(ROOMS)


def test_a_room_imports_only_from_rooms_above_it():
    below = []
    for path in files():
        room = room_of(path)
        if room in FREE:
            continue
        for line, name in imports_of(path):
            parts = name.split(".")
            if parts[0] != "bookgen" or parts[1] in ("__version__", room):
                continue
            if ROOMS.index(parts[1]) > ROOMS.index(room):
                below.append(f"{path.relative_to(CHECKOUT)}:{line} imports {name}")
    assert not below, "\n".join(below)


def file_of(room: str, name: str) -> str:
    """The file of a room that an imported name stands in, without its ending; empty where it is the room itself."""
    parts = name.split(".")[2:]
    while parts and not (PACKAGE / room / "/".join(parts)).with_suffix(".py").is_file():
        parts.pop()
    return "/".join(parts)


@pytest.mark.parametrize("room", INSIDE)
def test_inside_a_room_a_file_imports_only_from_files_above_it(room):
    order, below = INSIDE[room], []
    paths = [path for path in files() if room_of(path) == room and path.name != "__init__.py"]
    stems = {path.relative_to(PACKAGE / room).with_suffix("").as_posix(): path for path in paths}
    assert sorted(stems) == sorted(order)
    for stem, path in stems.items():
        for line, name in imports_of(path):
            above = file_of(room, name) if name.startswith(f"bookgen.{room}.") else ""
            if above and order.index(above) >= order.index(stem):
                below.append(f"{path.relative_to(CHECKOUT)}:{line} imports {name}")
    assert not below, "\n".join(below)


def test_the_walk_sees_an_import_however_it_is_written(tmp_path, monkeypatch):
    monkeypatch.setattr(sys.modules[__name__], "PACKAGE", tmp_path)
    path = tmp_path / "reckon" / "some.py"
    path.parent.mkdir()
    path.write_text(
        "from ..shown import table\nfrom .. import show\nimport bookgen.press.bind\n"
        "def f():\n    from .known import ONE\n    from ..review.rule import Rule\n    import_module('pint.errors')\n",
        encoding="utf-8",
    )
    assert [name for _, name in imports_of(path)] == [
        "bookgen.shown.table", "bookgen.show", "bookgen.press.bind",
        "bookgen.reckon.known.ONE", "bookgen.review.rule.Rule", "pint.errors",
    ]  # fmt: skip


@pytest.mark.parametrize("library", LIBRARIES)
def test_a_library_is_known_in_one_room(library):
    knowing = {room_of(path) for path in files() for _, name in imports_of(path) if name.split(".")[0] == library}
    assert knowing == set(LIBRARIES[library])


def test_the_press_knows_no_trade():
    trade = {"model", "reckon", "review", "source", "units", "reference", "pages", "show"} | {
        "shown",
        "look",
        "binder",
        "loose",
        "terminal",
        "machine",
    }
    for path in files():
        if room_of(path) == "press":
            rooms = {name.split(".")[1] for _, name in imports_of(path) if name.startswith("bookgen.")}
            assert not rooms & trade, path


def test_the_package_itself_holds_the_version_alone():
    tree = ast.parse((PACKAGE / "__init__.py").read_text(encoding="utf-8"))
    docstring, version = tree.body
    assert isinstance(docstring, ast.Expr)
    assert isinstance(version, ast.Assign)
    assert [target.id for target in version.targets if isinstance(target, ast.Name)] == ["__version__"]


def test_the_commands_import_click_alone():
    modules = set()
    for path in sorted((PACKAGE / "cli").glob("*.py")):
        for node in ast.parse(path.read_text(encoding="utf-8")).body:
            if isinstance(node, ast.Import):
                modules |= {one.name.split(".")[0] for one in node.names}
            elif isinstance(node, ast.ImportFrom):
                modules.add(f"{'.' * node.level}{node.module or ''}" if node.level else str(node.module).split(".")[0])
    assert modules - sys.stdlib_module_names == {"click", "..", ".start"}


def test_a_command_loads_its_own_file_alone():
    line = (
        "import sys; from bookgen.cli import main\n"
        "def loaded(): return {name for name in sys.modules if name.startswith('bookgen.cli.')}\n"
        "assert loaded() == {'bookgen.cli.start'}, loaded()\n"
        "try: main(['--help'])\n"
        "except SystemExit: assert loaded() == {'bookgen.cli.start'}, loaded()\n"
        "from bookgen.cli.start import COMMANDS\n"
        "for name, (file, words) in COMMANDS.items():\n"
        "    command = main.commands[name]\n"
        "    assert (command.name, command.callback.__module__) == (name, f'bookgen.cli.{file}'), name\n"
        "assert len(loaded()) == 1 + len({file for file, _ in COMMANDS.values()})"
    )
    done = subprocess.run([sys.executable, "-c", line], cwd=CHECKOUT, capture_output=True, encoding="utf-8", timeout=60)
    assert (done.returncode, done.stderr) == (0, "")


def test_starting_loads_nothing_heavy():
    heavy = ("pint", "yaml", "pydantic", "jinja2", "markdown_it", "weasyprint", "pikepdf", "fontTools", "bookgen.model")
    line = f"import bookgen.cli, sys; print(*[one for one in {heavy} if one in sys.modules])"
    done = subprocess.run(
        [sys.executable, "-c", line], cwd=CHECKOUT, capture_output=True, encoding="utf-8", check=True, timeout=60
    )
    assert done.stdout.strip() == ""


def test_a_batch_is_reckoned_without_the_press():
    line = (
        "import sys; from bookgen.cli import main\n"
        "try: main(['weigh', 'W-01', '--json', '--book', '.'])\n"
        "except SystemExit as end: assert not end.code, end.code\n"
        "loaded = [one for one in ('weasyprint', 'pikepdf', 'fontTools') if one in sys.modules]\n"
        "assert not loaded, loaded"
    )
    done = subprocess.run([sys.executable, "-c", line], cwd=CHECKOUT, capture_output=True, encoding="utf-8", timeout=60)
    assert (done.returncode, done.stderr) == (0, "")


def test_every_file_says_what_it_is_for():
    silent = [path for path in files() if not ast.get_docstring(ast.parse(path.read_text(encoding="utf-8")))]
    assert [path.relative_to(PACKAGE).as_posix() for path in silent] == []
