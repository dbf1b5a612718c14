"""The output folder: whole or not at all, with every single file operation failing once in every way."""

from __future__ import annotations

import errno
import os
import subprocess
import sys
import textwrap
import threading
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any, ClassVar

import pytest

from bookgen.press.disk import Disk
from bookgen.press.folder import (
    GITIGNORE_BYTES,
    LIST,
    CannotWrite,
    FolderPart,
    NewStands,
    Written,
    check_folder,
    recover,
    write_folder,
)
from tests.plain_user import without_rights

OLD = {
    "pages": FolderPart(digest="old", files={"index.html": b"old", "f/S-02.html": b"old S-02", "gone.html": b"gone"})
}
NEW = {
    "pages": FolderPart(
        digest="new", files={"index.html": b"new", "f/S-02.html": b"new S-02", "f/deep/er.html": b"new"}
    ),
    "binder": FolderPart(digest="new", files={"binder.pdf": b"new binder"}),
}


class Killed(BaseException):
    """The process is gone: nothing it does afterwards happens."""


def contents(folder: Path) -> dict[str, bytes]:
    """Every file but the list, by its path."""
    return {
        path.relative_to(folder).as_posix(): path.read_bytes()
        for path in sorted(folder.rglob("*"))
        if path.is_file() and path.name != LIST
    }


def expected(parts: dict[str, FolderPart]) -> dict[str, bytes]:
    found = {".gitignore": GITIGNORE_BYTES}
    for part in parts.values():
        found |= part.files
    return dict(sorted(found.items()))


class FailingDisk(Disk):
    """A disk on which the n-th operation fails; with `lasting`, all after it too."""

    def __init__(
        self,
        at: int,
        raised: Callable[[], BaseException],
        *,
        lasting: bool,
        done: bool | Callable[[bytes], bytes] = False,
    ) -> None:
        self.at, self.raised, self.lasting, self.done = at, raised, lasting, done
        self.count = 0

    def __getattribute__(self, name: str) -> Any:
        method = super().__getattribute__(name)
        if name.startswith("_") or not callable(method) or name == "raised":
            return method

        def counted(*arguments: Any) -> Any:
            self.count += 1
            failing = self.count >= self.at if self.lasting else self.count == self.at
            if failing:
                # The call is lost before it takes effect, or just after, or in the middle of what it writes.
                if self.done and self.count == self.at:
                    if name == "write" and callable(self.done):
                        path, body = arguments
                        method(path, self.done(body))
                    else:
                        method(*arguments)
                raise self.raised()
            return method(*arguments)

        return counted


def nothing(body: bytes) -> bytes:
    """The file is made and nothing is in it yet."""
    return b""


def half(body: bytes) -> bytes:
    """Half of it is written."""
    return body[: len(body) // 2]


def broken() -> OSError:
    return OSError(errno.EIO, os.strerror(errno.EIO))


def full() -> OSError:
    return OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))


def writes_of(make: Callable[[Path], None], book: Path) -> list[int]:
    """The numbers of the operations that write a file, when NEW is written over what `make` left."""
    book.mkdir()
    make(book / "site")

    class Noting(FailingDisk):
        found: ClassVar[list[int]] = []

        def __getattribute__(self, name: str) -> Any:
            method = super().__getattribute__(name)
            if name == "write":
                self.found.append(self.count + 1)
            return method

    write_folder(book / "site", NEW, disk=Noting(10_000, full, lasting=False))
    return Noting.found


def every_failure(
    make: Callable[[Path], None], tmp_path: Path, **how: Any
) -> Iterator[tuple[int, Path, BaseException | None]]:
    """Write NEW over what `make` left, failing at operation 1, 2, … until nothing fails; or in the midst of a write."""
    writes = writes_of(make, tmp_path / "sound") if callable(how.get("done")) else None
    for at in writes or range(1, 1000):
        book = tmp_path / f"book-{at}"
        book.mkdir()
        make(book / "site")
        disk = FailingDisk(at, **how)
        raised: BaseException | None = None
        try:
            write_folder(book / "site", NEW, disk=disk)
        except BaseException as reason:
            raised = reason
        yield at, book, raised
        if writes is None and disk.count < at:
            assert raised is None
            assert at > 15
            return
    if writes is not None:
        assert len(writes) > 4
        return
    pytest.fail("the failures never end")


def old_site(site: Path) -> None:
    write_folder(site, OLD)


def bare_site(site: Path) -> None:
    """As a fresh checkout has it."""
    site.mkdir()
    (site / ".gitignore").write_bytes(GITIGNORE_BYTES)


def no_site(site: Path) -> None:
    """Nothing yet."""


BEFORE = {old_site: expected(OLD), bare_site: {".gitignore": GITIGNORE_BYTES}, no_site: None}


@pytest.mark.parametrize("make", BEFORE)
@pytest.mark.parametrize("lasting", [False, True])
@pytest.mark.parametrize("done", [False, True, nothing, half])
def test_an_error_at_any_operation_leaves_one_site_whole(tmp_path, make, lasting, done):
    error = broken if done is nothing else full
    for _, book, raised in every_failure(make, tmp_path, raised=error, lasting=lasting, done=done):
        assert raised is None or isinstance(raised, CannotWrite)
        site = book / "site"
        before = book / ".site-before"
        if site.exists():
            assert contents(site) in (BEFORE[make], expected(NEW))
        elif BEFORE[make] is not None:
            # Only where putting it back failed as well; and then the message says where it is.
            assert lasting
            assert contents(before) == BEFORE[make]
            assert ".site-before" in str(raised) or done
        if raised is None:
            assert contents(site) == expected(NEW)
        recover(site)
        assert {path.name for path in book.iterdir()} <= {"site"}
        assert (contents(site) if site.exists() else None) in (BEFORE[make], expected(NEW))
        assert write_folder(site, NEW).kept == ()
        assert contents(site) == expected(NEW)
        assert [path.name for path in book.iterdir()] == ["site"]


@pytest.mark.parametrize("make", BEFORE)
@pytest.mark.parametrize("done", [False, True, nothing, half])
def test_a_kill_at_any_operation_leaves_one_site_whole(tmp_path, make, done):
    aside = 0
    for _, book, raised in every_failure(make, tmp_path, raised=Killed, lasting=True, done=done):
        assert raised is None or isinstance(raised, Killed)
        site, before = book / "site", book / ".site-before"
        if site.exists():
            assert contents(site) in (BEFORE[make], expected(NEW))
        elif BEFORE[make] is not None:
            aside += 1
            assert contents(before) == BEFORE[make]
        recover(site)
        assert {path.name for path in book.iterdir()} <= {"site"}
        assert (contents(site) if site.exists() else None) in (BEFORE[make], expected(NEW))
        write_folder(site, NEW)
        assert contents(site) == expected(NEW)
        assert [path.name for path in book.iterdir()] == ["site"]
    # The one instant without a site under its name is met, so that recovery from it is tested.
    assert (aside > 0) is (make is not no_site and not callable(done))


@pytest.mark.parametrize("make", BEFORE)
@pytest.mark.parametrize("done", [False, True, half])
def test_ctrl_c_at_any_operation_puts_the_site_back_at_once(tmp_path, make, done):
    for _, book, raised in every_failure(make, tmp_path, raised=KeyboardInterrupt, lasting=False, done=done):
        assert raised is None or isinstance(raised, KeyboardInterrupt)
        site = book / "site"
        found = contents(site) if site.exists() else None
        assert found == (expected(NEW) if raised is None or isinstance(raised, NewStands) else BEFORE[make])
        write_folder(site, NEW)
        assert contents(site) == expected(NEW)
        assert [path.name for path in book.iterdir()] == ["site"]


@pytest.mark.parametrize("done", [False, True])
def test_a_kill_during_recovery_is_recovered_too(tmp_path, done):
    def after_a_kill(site: Path, at: int) -> bool:
        old_site(site)
        disk = FailingDisk(at, Killed, lasting=True, done=True)
        try:
            write_folder(site, NEW, disk=disk)
        except Killed:
            return True
        return False

    at = 1
    met = set()
    while True:
        for second in range(1, 200):
            book = tmp_path / f"{at}-{second}"
            book.mkdir()
            if not after_a_kill(book / "site", at):
                assert met == {"next", "before"}
                return
            met |= {name for name in ("next", "before") if (book / f".site-{name}").exists()}
            disk = FailingDisk(second, Killed, lasting=True, done=done)
            try:
                recover(book / "site", disk=disk)
            except Killed:
                recover(book / "site")
            else:
                second = 0
            assert [path.name for path in book.iterdir()] == ["site"]
            assert contents(book / "site") in (expected(OLD), expected(NEW))
            if not second:
                break
        at += 1


def test_a_real_kill_leaves_one_site_whole(tmp_path):
    """The same with a process that really dies, at each operation of the swap."""
    script = textwrap.dedent("""
        import os, sys
        from pathlib import Path
        from bookgen.press.disk import Disk
        from bookgen.press.folder import write_folder
        from tests.press.test_press_folder import NEW
        class Dying(Disk):
            left = int(sys.argv[2])
            def rename(self, source, goal):
                if not Dying.left:
                    os._exit(9)
                Dying.left -= 1
                super().rename(source, goal)
        write_folder(Path(sys.argv[1]), NEW, disk=Dying())
    """)
    for left, there in ((0, True), (1, False)):
        book = tmp_path / str(left)
        book.mkdir()
        old_site(book / "site")
        run = subprocess.run([sys.executable, "-c", script, str(book / "site"), str(left)])
        assert run.returncode == 9
        assert (book / "site").exists() is there
        check_folder(book / "site")
        assert contents(book / "site") == expected(OLD)
        assert [path.name for path in book.iterdir()] == ["site"]


def test_a_full_disk_is_said_in_a_sentence(tmp_path):
    old_site(tmp_path / "site")
    with pytest.raises(CannotWrite) as caught:
        write_folder(tmp_path / "site", NEW, disk=FailingDisk(25, full, lasting=True))
    assert caught.value.path == tmp_path / "site"
    assert caught.value.reason == "the disk is full; what was there stays as it was."


def test_a_parent_that_is_missing_is_said_in_a_sentence(tmp_path):
    with pytest.raises(CannotWrite, match="the folder it should stand in does not exist"):
        write_folder(tmp_path / "none" / "site", NEW)


def test_the_folder_holds_what_was_made_and_nothing_of_before(tmp_path):
    site = tmp_path / "site"
    old_site(site)
    assert write_folder(site, NEW) == Written(kept=(), dropped=())
    assert contents(site) == expected(NEW)
    assert (site / ".gitignore").read_bytes() == b"*\n!.gitignore\n"
    before = (site / LIST).read_bytes()
    write_folder(site, NEW)
    assert (site / LIST).read_bytes() == before


@pytest.mark.parametrize(
    ("put", "named"),
    [
        ("letter.txt", "letter.txt"),
        ("f/letter.txt", "f/letter.txt"),
        ("pictures/mine.png", "pictures"),
        (".git/HEAD", ".git"),
    ],
)
def test_a_folder_that_holds_other_things_is_refused_and_untouched(tmp_path, put, named):
    site = tmp_path / "site"
    old_site(site)
    (site / put).parent.mkdir(exist_ok=True)
    (site / put).write_text("mine")
    before = contents(site)
    for act in (lambda: write_folder(site, NEW), lambda: check_folder(site)):
        with pytest.raises(CannotWrite, match=rf"it holds {named}, which bookgen did not make and will not delete"):
            act()
        assert contents(site) == before
        assert [path.name for path in tmp_path.iterdir()] == ["site"]


def test_a_folder_never_written_by_bookgen_is_refused(tmp_path):
    site = tmp_path / "site"
    site.mkdir()
    (site / "index.html").write_text("another's")
    with pytest.raises(CannotWrite, match=r"it holds index\.html"):
        write_folder(site, NEW)
    (site / "index.html").unlink()
    (site / ".gitignore").write_text("*.tmp\n")
    with pytest.raises(CannotWrite, match=r"it holds a \.gitignore of its own"):
        write_folder(site, NEW)
    (site / ".gitignore").unlink()
    (site / ".DS_Store").write_bytes(b"litter")
    write_folder(site, NEW)
    assert contents(site) == expected(NEW)


def test_a_thing_put_there_while_the_new_folder_is_written_survives(tmp_path):
    site = tmp_path / "site"
    old_site(site)

    class Busy(Disk):
        def sync_all(self) -> None:
            (site / "letter.txt").write_text("mine")

    with pytest.raises(CannotWrite, match=r"letter\.txt"):
        write_folder(site, NEW, disk=Busy())
    assert contents(site) == expected(OLD) | {"letter.txt": b"mine"}
    assert [path.name for path in tmp_path.iterdir()] == ["site"]


def test_a_link_a_file_and_a_list_that_cannot_be_read_are_refused(tmp_path):
    real, site = tmp_path / "real", tmp_path / "site"
    old_site(real)
    site.symlink_to(real)
    with pytest.raises(CannotWrite, match="it is a link; give the folder itself"):
        write_folder(site, NEW)
    assert contents(real) == expected(OLD)
    site.unlink()
    site.write_text("a file")
    with pytest.raises(CannotWrite, match="it is not a folder"):
        write_folder(site, NEW)
    for damaged in (b"", b"[]", b'{"pages": 1}', b'{"pages": {"digest": "x"}}', b"\xff"):
        (real / LIST).write_bytes(damaged)
        with pytest.raises(CannotWrite, match="cannot be read; look at what is in it, then delete the folder"):
            write_folder(real, NEW)
    assert contents(real) == expected(OLD)


def test_a_link_within_the_folder_is_not_followed(tmp_path):
    site, outside = tmp_path / "site", tmp_path / "outside"
    old_site(site)
    outside.mkdir()
    (outside / "S-02.html").write_text("precious")
    for path in (site / "f").iterdir():
        path.unlink()
    (site / "f").rmdir()
    (site / "f").symlink_to(outside)
    with pytest.raises(CannotWrite, match="it holds f,"):
        write_folder(site, NEW)
    assert (outside / "S-02.html").read_text() == "precious"


@pytest.mark.parametrize("name", [".site-next", ".site-before"])
def test_a_thing_in_the_way_beside_the_folder_is_not_deleted(tmp_path, name):
    old_site(tmp_path / "site")
    (tmp_path / name).mkdir()
    (tmp_path / name / "letter.txt").write_text("mine")
    with pytest.raises(CannotWrite, match="it is in the way and holds things bookgen did not make"):
        write_folder(tmp_path / "site", NEW)
    assert (tmp_path / name / "letter.txt").read_text() == "mine"
    assert contents(tmp_path / "site") == expected(OLD)


def test_a_bare_folder_made_again_between_the_renames_gives_way(tmp_path):
    site = tmp_path / "site"
    old_site(site)
    site.rename(tmp_path / ".site-before")
    bare_site(site)
    recover(site)
    assert contents(site) == expected(OLD)


# ── What an end leaves behind that nobody could foresee ───────────────────────────────────────────────────────────


def staged(book: Path) -> Path:
    """The new folder as it stands all written beside the old one, just before the swap."""
    old_site(book / "site")

    class Ended(Disk):
        def rename(self, source: Path, goal: Path) -> None:
            raise Killed

    with pytest.raises(Killed):
        write_folder(book / "site", NEW, disk=Ended())
    return book / ".site-next"


def stepped_aside(book: Path) -> Path:
    """The old folder as it stands beside the new one, just after the swap."""
    old_site(book / "site")

    class Ended(Disk):
        def delete(self, path: Path) -> None:
            raise Killed

        remove_folder = delete

    with pytest.raises(Killed):
        write_folder(book / "site", NEW, disk=Ended())
    return book / ".site-before"


def between(book: Path) -> Path:
    """The old folder, when the new one has not taken its place yet."""
    staged(book)
    (book / "site").rename(book / ".site-before")
    return book / ".site-before"


def emptied(folder: Path) -> None:
    for path in folder.rglob("*"):
        if path.is_file():
            path.write_bytes(b"")


LOST = {
    "list empty": lambda folder: (folder / LIST).write_bytes(b""),
    "list half": lambda folder: (folder / LIST).write_bytes((folder / LIST).read_bytes()[:30]),
    "list missing": lambda folder: (folder / LIST).unlink(),
    "gitignore empty": lambda folder: (folder / ".gitignore").write_bytes(b""),
    "gitignore half": lambda folder: (folder / ".gitignore").write_bytes(GITIGNORE_BYTES[:5]),
    "gitignore empty, list missing": lambda folder: (
        (folder / LIST).unlink(),
        (folder / ".gitignore").write_bytes(b""),
    ),
    "all empty": emptied,
}


def test_an_unfinished_folder_of_another_user_is_set_aside_and_told(open_ground):
    """Needs root, as the README's command has it: nobody else can make files of another user's."""
    left = staged(open_ground)
    with without_rights(open_ground, but=left):
        assert check_folder(open_ground / "site") == (open_ground / ".site-left",)
        assert write_folder(open_ground / "site", NEW) == Written(kept=(), dropped=())
        assert contents(open_ground / "site") == expected(NEW)


@pytest.mark.parametrize("lost", LOST)
@pytest.mark.parametrize("state", [staged, stepped_aside, between])
def test_what_a_power_cut_left_of_a_folder_of_ours_blocks_nothing(tmp_path, state, lost):
    LOST[lost](state(tmp_path))
    check_folder(tmp_path / "site")
    write_folder(tmp_path / "site", NEW)
    assert contents(tmp_path / "site") == expected(NEW)
    assert [path.name for path in tmp_path.iterdir()] == ["site"]


@pytest.mark.parametrize("lost", LOST)
def test_a_new_folder_that_lost_its_list_gives_way_to_the_old_one(tmp_path, lost):
    """The disk kept the names and not the contents."""
    stepped_aside(tmp_path)
    whole = lost.startswith("gitignore") and "missing" not in lost
    LOST[lost](tmp_path / "site")
    recover(tmp_path / "site")
    if not whole:
        assert contents(tmp_path / "site") == expected(OLD)
    write_folder(tmp_path / "site", NEW)
    assert contents(tmp_path / "site") == expected(NEW)


@pytest.mark.parametrize("mode", [0o555, 0o500, 0o000])
@pytest.mark.parametrize("of", ["", "f"])
def test_rights_that_were_taken_away_from_a_folder_that_stepped_aside(open_ground, mode, of):
    (stepped_aside(open_ground) / of).chmod(mode)
    with without_rights(open_ground):
        write_folder(open_ground / "site", NEW)
        assert contents(open_ground / "site") == expected(NEW)
        assert [path.name for path in open_ground.iterdir()] == ["site"]


@pytest.mark.parametrize("of", ["", "f"])
def test_rights_that_were_taken_away_from_the_folder_itself(open_ground, of):
    old_site(open_ground / "site")
    (open_ground / "site" / of).chmod(0o555)
    with without_rights(open_ground):
        for _ in range(2):
            write_folder(open_ground / "site", NEW)
            assert contents(open_ground / "site") == expected(NEW)
            assert [path.name for path in open_ground.iterdir()] == ["site"]


def test_a_folder_of_another_user_that_cannot_be_removed_is_set_aside_and_told(open_ground):
    """Published once with special rights: it can be renamed and not emptied.  Needs root, like the one above."""
    old_site(open_ground / "site")
    with without_rights(open_ground, but=open_ground / "site"):
        assert write_folder(open_ground / "site", NEW).aside == (open_ground / ".site-left",)
        assert contents(open_ground / "site") == expected(NEW)
        assert check_folder(open_ground / "site") == ()
        assert write_folder(open_ground / "site", OLD).aside == ()
        assert contents(open_ground / "site") == expected(OLD)
        assert contents(open_ground / ".site-left") == expected(OLD)
        assert {path.name for path in open_ground.iterdir()} == {"site", ".site-left"}


PAGES = {"pages": NEW["pages"]}
BINDER = {"binder": NEW["binder"]}


def test_a_binder_is_kept_only_where_it_is_still_right(tmp_path):
    site = tmp_path / "site"
    write_folder(site, NEW)
    assert write_folder(site, PAGES, keep={"binder": "new"}) == Written(kept=("binder",), dropped=())
    assert contents(site) == expected(NEW)
    assert write_folder(site, PAGES, keep={"binder": "newer"}) == Written(kept=(), dropped=("binder",))
    assert contents(site) == expected(PAGES)
    write_folder(site, NEW)
    assert write_folder(site, PAGES) == Written(kept=(), dropped=("binder",))
    assert contents(site) == expected(PAGES)
    assert write_folder(site, BINDER, keep={"pages": None}) == Written(kept=("pages",), dropped=())
    assert contents(site) == expected(NEW)


def test_a_part_is_kept_where_the_disk_cannot_link(tmp_path):
    site = tmp_path / "site"
    write_folder(site, NEW)

    class Plain(Disk):
        def link(self, source: Path, goal: Path) -> None:
            raise OSError(errno.EPERM, "no links here")

    write_folder(site, PAGES, keep={"binder": "new"}, disk=Plain())
    assert contents(site) == expected(NEW)


@pytest.mark.parametrize("path", ["../out.html", "/etc/x", "a//b", "a/../b", ".", "", "a\\b", LIST, ".gitignore"])
def test_a_path_outside_the_folder_is_a_mistake_of_ours(tmp_path, path):
    with pytest.raises(ValueError, match="not a path within the output folder"):
        write_folder(tmp_path / "site", {"pages": FolderPart(digest="x", files={path: b""})})
    assert list(tmp_path.iterdir()) == []


def test_two_at_once_take_turns(tmp_path, monkeypatch):
    monkeypatch.setattr("bookgen.press.folder.PATIENCE", 0.2)
    site = tmp_path / "site"

    class Nested(Disk):
        def sync_all(self) -> None:
            with pytest.raises(CannotWrite, match="another bookgen is writing there"):
                write_folder(site, OLD)

    write_folder(site, NEW, disk=Nested())
    assert contents(site) == expected(NEW)


def test_a_second_run_waits_for_the_first(tmp_path):
    """Books published side by side at once do not refuse each other."""
    both = [threading.Thread(target=write_folder, args=(tmp_path / name, NEW)) for name in ("first", "second")]
    for one in both:
        one.start()
    for one in both:
        one.join()
    assert contents(tmp_path / "first") == contents(tmp_path / "second") == expected(NEW)
