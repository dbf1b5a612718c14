"""The wheel and the editable install work outside the checkout, and without Pango the pages are still made."""

from __future__ import annotations

import os
import subprocess
import sys
import sysconfig
import venv
import zipfile
from pathlib import Path

import pytest

from tests.books_of_text import formula, write_book

from .readme_parts import pasted

CHECKOUT = Path(__file__).parents[1]


def run(*command: object, **more) -> subprocess.CompletedProcess[str]:
    return subprocess.run([*map(str, command)], capture_output=True, encoding="utf-8", timeout=300, **more)


def built(kind: str, folder: Path) -> Path:
    """Build by the backend that pyproject.toml names, as an installer does, without network and isolation."""
    done = run(
        sys.executable, "-c", f"import hatchling.build as b; print(b.build_{kind}({str(folder)!r}))", cwd=CHECKOUT
    )
    assert done.returncode == 0, done.stderr
    return folder / done.stdout.split()[-1]


def installed(wheel: Path, place: Path) -> Path:
    """A fresh environment that holds the wheel alone; the libraries are borrowed from the running one."""
    venv.create(place, symlinks=True)
    site = Path(sysconfig.get_path("purelib", "venv", {"base": str(place), "platbase": str(place)}))
    borrowed = {sysconfig.get_path("purelib"), sysconfig.get_path("platlib")}
    (site / "borrowed.pth").write_text("\n".join(sorted(borrowed)), encoding="utf-8")
    python = place / "bin" / "python"
    done = run(sys.executable, "-m", "pip", "--python", python, "install", "--no-deps", "--no-index", wheel)
    assert done.returncode == 0, done.stderr
    return place / "bin"


@pytest.fixture
def tiny(tmp_path) -> Path:
    return write_book(tmp_path / "tiny", {"a": formula("A-1", "water: to 100 g")}, {"water": "water: 100 %"})


@pytest.fixture
def outside(tmp_path) -> dict[str, object]:
    """A folder to stand in and an environment that know nothing of the checkout."""
    here = tmp_path / "elsewhere"
    here.mkdir()
    kept = {name: value for name, value in os.environ.items() if not name.startswith("PYTHON")}
    return {"cwd": here, "env": {**kept, "XDG_CACHE_HOME": str(tmp_path / "cache")}}


@pytest.fixture(scope="module")
def wheel(tmp_path_factory) -> Path:
    return built("wheel", tmp_path_factory.mktemp("wheel"))


@pytest.fixture(scope="module")
def fresh(wheel, tmp_path_factory) -> Path:
    """The folder of the commands of an environment into which the wheel was installed."""
    return installed(wheel, tmp_path_factory.mktemp("fresh") / "fresh")


def test_the_wheel_holds_what_the_program_needs(wheel):
    names = set(zipfile.ZipFile(wheel).namelist())
    expected = {
        path.relative_to(CHECKOUT).as_posix()
        for path in (CHECKOUT / "bookgen").rglob("*")
        if path.is_file() and not {"__pycache__", ".mypy_cache"} & set(path.parts) and path.suffix != ".pyc"
    }
    expected |= {
        f"bookgen/{path.relative_to(CHECKOUT).as_posix()}"
        for path in (CHECKOUT / "themes").rglob("*")
        if path.is_file()
    }
    assert {"bookgen/py.typed", "bookgen/themes/workroom/pages/formula.html"} <= expected
    assert any(name.startswith("bookgen/reference/") and name.endswith(".yaml") for name in expected)
    held = {name for name in names if ".dist-info/" not in name}
    assert held == expected
    about = {name.partition(".dist-info/")[2] for name in names - held}
    assert {"METADATA", "entry_points.txt", "licenses/LICENSE"} <= about


def test_the_same_checkout_gives_the_same_wheel(wheel, tmp_path):
    assert built("wheel", tmp_path).read_bytes() == wheel.read_bytes()


def test_the_installed_command_makes_pages_outside_the_checkout(fresh, tiny, outside):
    where = run(fresh / "python", "-c", "import bookgen; print(bookgen.__file__)", **outside)
    assert where.stdout.startswith(str(fresh.parent))
    done = run(fresh / "bookgen", "site", "--book", tiny, **outside)
    assert done.returncode == 0, done.stderr
    assert done.stdout.splitlines() == [str(tiny / "site" / "index.html")]
    assert "A-1" in (tiny / "site" / "formulas" / "A-1.html").read_text(encoding="utf-8")
    version = run(fresh / "bookgen", "--version", **outside)
    assert version.stdout.startswith("bookgen, version ")


def test_the_first_hour_with_the_installed_command(fresh, outside, tmp_path):
    """The README's three files, pasted into a fresh folder: check, weigh, publish; and the book that start writes."""
    command = fresh / "bookgen"
    book = pasted(tmp_path / "my-book", first=True)
    checked = run(command, "check", "--book", book, **outside)
    assert checked.returncode == 0, checked.stderr
    assert checked.stdout.startswith("1 formula, 1 material: no findings in amounts, measuring, ")
    weighed = run(command, "weigh", "N-01", "--obtain", "250 g", "--book", book, **outside)
    assert "263.2 g" in weighed.stdout, weighed.stderr
    published = run(command, "publish", "--book", book, **outside)
    assert published.stdout.splitlines() == [str(book / "site" / name) for name in ("index.html", "binder.pdf")]
    assert (book / "site" / "binder.pdf").read_bytes().startswith(b"%PDF-")
    started = run(command, "start", tmp_path / "begun", **outside)
    assert started.returncode == 0, started.stderr
    assert run(command, "check", "--book", tmp_path / "begun", **outside).stdout == checked.stdout


def test_the_editable_install_finds_the_themes(tiny, outside, tmp_path):
    bin_folder = installed(built("editable", tmp_path), tmp_path / "fresh")
    where = run(bin_folder / "python", "-c", "import bookgen; print(bookgen.__file__)", **outside)
    assert where.stdout.strip() == str(CHECKOUT / "bookgen" / "__init__.py")
    done = run(bin_folder / "bookgen", "site", "--book", tiny, **outside)
    assert (done.returncode, done.stderr) == (0, "")
    page = (tiny / "site" / "formulas" / "A-1.html").read_text(encoding="utf-8")
    assert "<style" in page


@pytest.mark.parametrize(
    ("stands_in", "told"),
    [
        ("raise OSError(\"cannot load library 'libpango-1.0-0'\")", "apt-get install libpango-1.0-0 libpangoft2-1.0-0"),
        ("raise ModuleNotFoundError('none', name='weasyprint')", "WeasyPrint is not installed"),
    ],
    ids=["the libraries are missing", "the package is missing"],
)
def test_without_pango_the_pages_are_made(tiny, outside, tmp_path, stands_in, told):
    (tmp_path / "without").mkdir()
    (tmp_path / "without" / "weasyprint.py").write_text(stands_in, encoding="utf-8")
    path = os.pathsep.join((str(tmp_path / "without"), str(CHECKOUT)))
    outside["env"] = {**outside["env"], "PYTHONPATH": path}
    done = run(sys.executable, "-m", "bookgen", "publish", "--book", tiny, **outside)
    assert (done.returncode, done.stdout) == (1, f"{tiny / 'site' / 'index.html'}\n")
    assert told in done.stderr
    assert "Traceback" not in done.stderr
    assert not (tiny / "site" / "binder.pdf").exists()
    alone = run(sys.executable, "-m", "bookgen", "binder", "--book", tiny, **outside)
    assert (alone.returncode, alone.stdout) == (1, "")
    assert told in alone.stderr
    assert (tiny / "site" / "index.html").exists()
