"""The preview as a server: who it answers, what with, what it survives, how it ends; and that nothing stale stays."""

from __future__ import annotations

import gc
import http.client
import os
import random
import re
import shutil
import signal
import socket
import subprocess
import sys
import threading
import time
import tracemalloc
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from html import unescape
from pathlib import Path
from unittest.mock import Mock

import pytest

from bookgen.look.themes import load_theme
from bookgen.pages.site import site_files
from bookgen.pipeline import Unreadable, check_again, check_book
from bookgen.preview import Preview, current
from bookgen.preview.remarks import dressed
from bookgen.reckon import reuse
from bookgen.source import Memory
from tests.books_of_text import MATERIALS, ONE_BALANCE, formula, write_book

from .conftest import CHECKOUT, environment
from .conftest import LOTION as LOTION_TEXT

LOTION = "formulas/L-01.html"
LONG_S = 60.0


@pytest.fixture(scope="module", autouse=True)
def what_others_keep_is_not_walked() -> None:
    """A preview collects what its answers left behind before it reads anew; other tests keep far more than that."""
    gc.collect()
    gc.freeze()


@contextmanager
def served(book: Path) -> Iterator[Preview]:
    """A preview of a book in this process, its files watched as the command watches them."""
    preview = Preview(book)
    stop = threading.Event()
    watcher = threading.Thread(target=preview.watch, args=(stop,))
    preview.start()
    watcher.start()
    try:
        yield preview
    finally:
        stop.set()
        watcher.join()
        preview.close()


@pytest.fixture
def preview(book, monkeypatch) -> Iterator[Preview]:
    """A preview of the small book that looks over its files at every request, so that no test has to wait."""
    monkeypatch.setattr(current, "FRESH_S", 0.0)
    with served(book) as running:
        yield running


@pytest.fixture(scope="module")
def standing(tmp_path_factory) -> Iterator[Preview]:
    """A preview of a book that nobody changes; beside it and in its folder lies what is not to be shown."""
    book = tmp_path_factory.mktemp("standing") / "book"
    stock = formula("S-01", "water: 9 parts; gly: 1 part", "status: approved")
    write_book(book, {"lotion": LOTION_TEXT, "stock": stock}, MATERIALS, ONE_BALANCE)
    for folder in (book, book.parent):
        (folder / "secret.html").write_text("do not show", encoding="utf-8")
    with served(book) as running:
        yield running


def port_of(preview: Preview) -> int:
    return int(preview.address.rstrip("/").rpartition(":")[2])


def ask(preview: Preview, path: str, method: str = "GET", **headers: str) -> tuple[int, dict[str, str], str]:
    """Status, headers and text of one request; the path goes out as it is."""
    connection = http.client.HTTPConnection("127.0.0.1", port_of(preview), timeout=LONG_S)
    connection.putrequest(method, path, skip_host="Host" in headers, skip_accept_encoding=True)
    for name, value in headers.items():
        connection.putheader(name, value)
    connection.endheaders()
    answer = connection.getresponse()
    content = answer.read()
    connection.close()
    return answer.status, dict(answer.getheaders()), content.decode("utf-8", "replace")


def page(preview: Preview, path: str) -> str:
    """A page as it is now, looked over anew, with plain spaces."""
    return plain(ask(preview, f"/{path}")[2])


def plain(html: str) -> str:
    return html.replace("\u202f", " ").replace("\u00a0", " ")


def eventually(holds: Callable[[], bool]) -> None:
    end = time.monotonic() + LONG_S
    while not holds():
        assert time.monotonic() < end, "it did not come about"
        time.sleep(0.02)


def remarks_of(html: str) -> list[tuple[str, str]]:
    return re.findall(r'<p class="remark (\w+)" role="note"><b>\w+</b> (.*?)</p>', html)


# ── Who is answered, and what with ────────────────────────────────────────────────────────────────────────────────


def test_pages_are_those_that_are_published_and_what_reloads_them(preview, book):
    checked = check_book(book)
    files = site_files(checked.reckoning, checked.review, load_theme(book))
    pages = [path for path in files if path.endswith(".html")]
    assert len(pages) > 8
    for path in pages:
        shown = page(preview, path)
        assert "new EventSource" in shown
        assert "EventSource" not in files[path].decode()
        published = plain(files[path].decode())
        bare = re.sub(r'<link rel="icon".*?</style>\n(?=</head>)', "", shown, flags=re.DOTALL)
        bare = re.sub(r"<script data-page=.*?</script>\n(?=</body>)", "", bare, flags=re.DOTALL)
        # The page may listen, and the one script that does may run; what else was allowed is as it was.
        bare = re.sub(r"connect-src 'self'; script-src 'sha256-[^']*'", "script-src", bare, count=1)
        bare = bare.replace("script-src;", "script-src 'none';", 1)
        bare = re.sub(r'\n(?:<tr class="remarks">.*?</tr>|(?:<p class="remark .*?</p>)+)', "", bare, flags=re.DOTALL)
        assert bare == published, path


@pytest.mark.parametrize(
    ("path", "kind"),
    [
        ("/", "text/html; charset=utf-8"),
        ("/index.html?x=1", "text/html; charset=utf-8"),
        ("/findings.html", "text/html; charset=utf-8"),
        (f"/{LOTION}", "text/html; charset=utf-8"),
        ("/fonts/sans.woff2", "font/woff2"),
        ("/fonts/OFL-sans.txt", "text/plain; charset=utf-8"),
    ],
)
def test_every_file_says_what_it_is_and_is_kept_nowhere(standing, path, kind):
    status, headers, _ = ask(standing, path)
    assert (status, headers["Content-Type"], headers["Cache-Control"]) == (200, kind, "no-store")
    assert headers["X-Content-Type-Options"] == "nosniff"
    assert headers["Cross-Origin-Resource-Policy"] == "same-origin"
    assert "Access-Control-Allow-Origin" not in headers


def test_head_is_get_without_a_body(standing):
    _, of_get, text = ask(standing, f"/{LOTION}")
    status, of_head, nothing = ask(standing, f"/{LOTION}", "HEAD")
    assert (status, nothing, of_head["Content-Length"]) == (200, "", of_get["Content-Length"])
    assert len(text.encode()) == int(of_get["Content-Length"])


@pytest.mark.parametrize("method", ["POST", "PUT", "DELETE", "OPTIONS", "PATCH", "TRACE", "CONNECT", "MAKE"])
def test_other_methods_are_refused(standing, method):
    status, headers, text = ask(standing, "/", method)
    assert (status, headers["Allow"], text) == (405, "GET, HEAD", "A preview is read only with GET or HEAD.\n")


@pytest.mark.parametrize(
    "host", ["evil.example", "evil.example:{port}", "127.0.0.1", "127.0.0.1:1", "0.0.0.0:{port}", ""]
)
def test_who_calls_it_by_another_name_is_refused(standing, host):
    status, _, text = ask(standing, f"/{LOTION}", Host=host.format(port=port_of(standing)))
    assert (status, "Plain lotion" in text) == (421, False)


def test_it_answers_to_localhost_in_any_case(standing):
    assert ask(standing, "/", Host=f"LOCALHOST:{port_of(standing)}")[0] == 200


def test_other_sites_get_nothing_in_the_background(standing):
    foreign = {"Sec-Fetch-Site": "cross-site", "Sec-Fetch-Mode": "no-cors"}
    assert ask(standing, f"/{LOTION}", **foreign)[0] == 403
    assert ask(standing, f"/{LOTION}", **{**foreign, "Sec-Fetch-Mode": "navigate"})[0] == 200


@pytest.mark.parametrize(
    "path",
    ["/formulas/", "/formulas", "/fonts/", "/../formulas/workroom.yaml", "/%2e%2e/formulas/workroom.yaml",
     "//etc/passwd",
     "/formulas/workroom.yaml", "/formulas/lotion.md", "/formulas/../../secret.html", "/..%2fsecret.html", "/%00",
     "/%ff%fe.html", "/formulas%2f..%2f..%2fsecret.html", "/fonts/..%2f..%2f..%2fformulas%2flotion.md"],
)  # fmt: skip
def test_nothing_but_pages_of_the_book_is_served(standing, path):
    status, headers, text = ask(standing, path)
    assert (status, headers["Content-Type"]) == (404, "text/html; charset=utf-8")
    assert "There is no such page" in text
    assert "do not show" not in text
    assert "code:" not in text


def test_addresses_that_are_none_are_not_kept(preview):
    ask(preview, f"/{LOTION}")
    assert preview.current.answer("formulas/none.html").status == 404
    gc.collect()
    tracemalloc.start()
    for number in range(300):
        answer = preview.current.answer(f"formulas/{'x' * 3000}{number}.html")
        assert answer.status == 404
    del answer
    gc.collect()  # what nobody holds any more is not kept
    kept, _ = tracemalloc.get_traced_memory()
    tracemalloc.stop()
    assert kept < 300_000  # one such page alone has several thousand bytes
    assert preview.current.answer(LOTION) is preview.current.answer(LOTION)


@pytest.mark.parametrize("name", ["PAGE", "{}", 'own"', "</script><b>", "\\", "é", "&amp;"])
def test_the_script_takes_any_name_of_a_page(name):
    html = dressed("<body></body>", f"formulas/{name}.html", "digest")
    assert html.count("</script") == 1
    [(page, shown)] = re.findall('<script data-page="([^"]*)" data-shown="([^"]*)">', html)
    assert (unescape(page), shown) == (f"formulas/{name}.html", "digest")


def test_an_error_of_the_server_is_told_and_a_browser_that_went_is_not(preview, monkeypatch, capfd):
    for reason, told in ((BrokenPipeError(), False), (ConnectionResetError(), False), (ZeroDivisionError("own"), True)):
        monkeypatch.setattr(preview.current, "answer", Mock(side_effect=reason))
        with pytest.raises(http.client.RemoteDisconnected):
            ask(preview, f"/{LOTION}")
        eventually(lambda: sum("process_request" in one.name for one in threading.enumerate()) == 0)
        assert ("ZeroDivisionError: own" in capfd.readouterr().err) is told


def test_it_listens_on_the_loopback_address_alone(standing):
    assert standing.address.startswith("http://127.0.0.1:")
    others = {one[4][0] for one in socket.getaddrinfo(socket.gethostname(), None, socket.AF_INET)} - {"127.0.0.1"}
    for address in (*others, "127.0.0.2"):
        with socket.socket() as other:
            other.settimeout(2)
            with pytest.raises(OSError):
                other.connect((address, port_of(standing)))


def test_an_address_that_is_none_is_answered_in_words(standing, capfd):
    with socket.create_connection(("127.0.0.1", port_of(standing)), timeout=LONG_S) as connection:
        connection.sendall(f"GET http://[ HTTP/1.1\r\nHost: 127.0.0.1:{port_of(standing)}\r\n\r\n".encode())
        answer = b""
        while more := connection.recv(65536):
            answer += more
    assert answer.startswith(b"HTTP/1.1 400 Bad Request\r\n")
    assert answer.endswith(b"\r\n\r\nBad Request.\n")
    assert "Traceback" not in capfd.readouterr().err


def test_bytes_that_are_no_request_are_answered_in_words(standing):
    for sent in (b"nonsense\r\n\r\n", b"GET / HTTP/1.0\r\n\r\n", b"GET / HTTP/9.9\r\n\r\n", b"GET " + b"x" * 70000):
        with socket.create_connection(("127.0.0.1", port_of(standing)), timeout=LONG_S) as connection:
            connection.sendall(sent)
            connection.shutdown(socket.SHUT_WR)
            answer = b""
            while more := connection.recv(65536):
                answer += more
        assert b"<html" not in answer.lower()
        assert b"Plain lotion" not in answer
    assert ask(standing, "/")[0] == 200


# ── What changes ──────────────────────────────────────────────────────────────────────────────────────────────────


def edit(path: Path, old: str, new: str) -> None:
    text = path.read_text(encoding="utf-8")
    assert old in text
    path.write_text(text.replace(old, new, 1), encoding="utf-8")


def listen(preview: Preview, path: str) -> http.client.HTTPResponse:
    """Open what a page listens to, for what it shows now."""
    shown = re.search(r'data-shown="(\w+)"', ask(preview, f"/{path}")[2])
    assert shown
    connection = http.client.HTTPConnection("127.0.0.1", port_of(preview), timeout=LONG_S)
    connection.request("GET", f"/changes?page={path}&shown={shown[1]}")
    answer = connection.getresponse()
    assert answer.headers["Content-Type"] == "text/event-stream"
    assert answer.readline() == b"retry: 500\n"
    assert answer.readline() == b"\n"
    return answer


def test_a_page_is_told_when_it_shows_something_else(preview, book):
    events = listen(preview, LOTION)
    edit(book / "formulas" / "lotion.md", "gly: 5 %", "gly: 7 %")
    assert events.readline() == b"event: changed\n"
    assert "7 %" in page(preview, LOTION)


def test_a_page_is_told_at_once_when_it_is_old_already(preview):
    connection = http.client.HTTPConnection("127.0.0.1", port_of(preview), timeout=LONG_S)
    connection.request("GET", f"/changes?page={LOTION}&shown=old")
    assert b"event: changed" in connection.getresponse().read()


def test_a_page_that_shows_the_same_stays(preview, book):
    shown = preview.current.answer("materials/d.html").digest
    with preview.current.listening("materials/d.html"):
        edit(book / "formulas" / "lotion.md", "gly: 5 %", "gly: 7 %")
        eventually(lambda: "7 %" in plain(preview.current.answer(LOTION).content.decode()))
        assert preview.current.other("materials/d.html", shown, 0.2) is None


def test_a_change_of_an_intermediate_reaches_the_page_that_uses_it(preview, book):
    events = listen(preview, "formulas/S-01.html")
    edit(book / "formulas" / "lotion.md", "S-01: 20 %", "S-01: 25 %")
    edit(book / "formulas" / "stock.md", "title: ", "title: The ")
    assert events.readline() == b"event: changed\n"
    assert "The " in page(preview, LOTION)


def test_the_page_that_is_open_comes_before_the_rest_of_the_book(preview, book, monkeypatch):
    monkeypatch.setattr(reuse, "AT_ONCE", 0)
    monkeypatch.setattr(current, "FIRST_S", 1.0)
    events = listen(preview, LOTION)
    other = listen(preview, "materials/gly.html")
    before = preview.current.checked
    edit(book / "formulas" / "materials" / "gly.md", "name: gly", "name: newly")
    assert events.readline() == b"event: changed\n"
    assert preview.current.checked is before
    assert "newly" in page(preview, LOTION)
    assert preview.current.checked is before
    assert other.readline() == b"event: changed\n"
    assert preview.current.checked is not before
    assert "newly" in page(preview, "formulas/S-01.html")


def test_a_page_that_is_asked_for_waits_for_nothing_that_is_left_behind(preview, book, monkeypatch):
    monkeypatch.setattr(reuse, "AT_ONCE", 0)
    monkeypatch.setattr(current, "FIRST_S", LONG_S)
    events = listen(preview, LOTION)
    edit(book / "formulas" / "materials" / "gly.md", "name: gly", "name: newly")
    assert events.readline() == b"event: changed\n"
    assert "newly" in page(preview, "formulas/S-01.html")


def replaced(path: Path, text: str) -> None:
    """Save as editors do that write beside and rename."""
    beside = path.with_name(".#lotion.md.tmp")
    beside.write_text(text, encoding="utf-8")
    beside.replace(path)


def backed_up(path: Path, text: str) -> None:
    """Save as editors do that keep the old file: probe the folder, move the old one away, write anew, tidy up."""
    probe, backup = path.with_name("4913"), path.with_name(f"{path.name}~")
    probe.write_text("", encoding="utf-8")
    probe.unlink()
    path.rename(backup)
    path.write_text(text, encoding="utf-8")
    backup.unlink()


def in_pieces(path: Path, text: str) -> None:
    """Save slowly: cut the file to nothing, then write it bit by bit."""
    with path.open("w", encoding="utf-8") as file:
        for start in range(0, len(text), 40):
            file.write(text[start : start + 40])
            file.flush()
            time.sleep(0.003)


def touched_beside(path: Path, text: str) -> None:
    """Save while the editor's own files come and go beside it."""
    for name in (".lotion.md.swp", ".#lotion.md", "#lotion.md#", "lotion.md.bak"):
        path.with_name(name).write_text("not: a formula", encoding="utf-8")
    path.write_text(text, encoding="utf-8")


@pytest.mark.parametrize("save", [replaced, backed_up, in_pieces, touched_beside])
def test_however_an_editor_saves_the_page_shows_what_was_saved(preview, book, save):
    path = book / "formulas" / "lotion.md"
    events = listen(preview, LOTION)
    save(path, path.read_text(encoding="utf-8").replace("gly: 5 %", "gly: 6.5 %"))
    assert events.readline() == b"event: changed\n"
    eventually(lambda: "6.5 %" in page(preview, LOTION))
    assert remarks_of(page(preview, LOTION)) == []


def test_the_same_size_within_the_same_moment_is_seen(preview, book):
    path = book / "formulas" / "lotion.md"
    text = path.read_text(encoding="utf-8")
    at = time.time_ns()
    for percent in (6, 7, 8, 9):
        path.write_text(text.replace("gly: 5 %", f"gly: {percent} %"), encoding="utf-8")
        os.utime(path, ns=(at, at))
        assert f"{percent} %" in page(preview, LOTION)


# ── Where findings stand ──────────────────────────────────────────────────────────────────────────────────────────


def test_a_finding_stands_behind_the_row_of_its_line(preview, book):
    edit(book / "formulas" / "lotion.md", "gly: 5 %", "gly: 5 spoons")
    html = page(preview, LOTION)
    row = re.search(
        r'<tr id="line-1"(?:(?!<tr).)*(?:<tr class="note(?:(?!<tr).)*)*<tr class="remarks"><td colspan="\d+">'
        r'<p class="remark error" role="note"><b>error</b> Line 11: (.*?)</p></td></tr>',
        html,
        re.DOTALL,
    )
    assert row, html
    assert "spoons" in row[1]


def test_a_finding_of_the_text_stands_below_its_heading(preview, book):
    edit(book / "formulas" / "lotion.md", "(amount:gly)", "(amount:glycerine)")
    html = page(preview, LOTION)
    below = re.search(r"<h2[^>]*>(?:<[^>]+>)*Method(?:<[^>]+>)*</h2>\n(<p class=\"remark error\".*?</p>)", html)
    assert below, html
    assert "amount:glycerine leads nowhere" in below[1]


def test_any_other_finding_stands_at_the_head(preview, book):
    edit(book / "formulas" / "lotion.md", "makes: 100 g", "makes: 100 g\ncolour: white")
    html = page(preview, LOTION)
    head = html[html.index("<h1") :]
    assert head.index("</header>") < head.index('<p class="remark error"') < head.index("<section")


def test_a_finding_of_a_material_stands_in_its_page(preview, book):
    edit(book / "formulas" / "materials" / "a.md", "name: ", "density: 12\nname: ")
    html = page(preview, "materials/a.html")
    assert [severity for severity, _ in remarks_of(html)] == ["query"]


def test_what_has_no_page_of_its_own_stands_in_the_contents(preview, book):
    (book / "formulas" / "readme.markdown").write_text("nothing", encoding="utf-8")
    assert any("call it readme.md" in words for _, words in remarks_of(page(preview, "index.html")))


# ── What it survives ──────────────────────────────────────────────────────────────────────────────────────────────


def test_a_file_half_written_shows_what_is_wrong_and_what_is_known(preview, book):
    path = book / "formulas" / "lotion.md"
    whole = path.read_text(encoding="utf-8")
    page(preview, LOTION)
    path.write_text(whole.replace("ingredients:", "ingredients: {"), encoding="utf-8")
    html = page(preview, LOTION)
    assert ("error" in {severity for severity, _ in remarks_of(html)}, "Stir" in html) == (True, True)
    path.write_text(whole[:10], encoding="utf-8")  # not even the code is left: the page goes on at its address
    assert remarks_of(page(preview, LOTION))
    path.write_text(whole, encoding="utf-8")
    html = page(preview, LOTION)
    assert (remarks_of(html), "Plain lotion" in html) == ([], True)


def test_bytes_that_are_no_text(preview, book):
    path = book / "formulas" / "lotion.md"
    whole = path.read_bytes()
    page(preview, LOTION)
    path.write_bytes(b"\xff\xfe\x00" + whole)
    assert [severity for severity, _ in remarks_of(page(preview, LOTION))] == ["error"]
    path.write_bytes(whole)
    assert remarks_of(page(preview, LOTION)) == []


def test_a_formula_that_is_deleted_says_so_and_comes_back(preview, book):
    path = book / "formulas" / "lotion.md"
    whole = path.read_bytes()
    events = listen(preview, LOTION)
    path.unlink()
    assert events.readline() == b"event: changed\n"
    status, _, html = ask(preview, f"/{LOTION}")
    assert (status, "formulas/lotion.md is not there any more" in html, 'href="/index.html"' in html) == (
        404,
        True,
        True,
    )
    path.write_bytes(whole)
    assert "Plain lotion" in page(preview, LOTION)


def test_a_file_that_is_renamed_keeps_the_page_of_its_code(preview, book):
    path = book / "formulas" / "lotion.md"
    before = page(preview, LOTION)
    path.rename(path.with_name("cream.md"))
    assert page(preview, LOTION) == before


def test_a_code_that_is_changed_goes_on_at_the_open_address(preview, book):
    page(preview, LOTION)
    edit(book / "formulas" / "lotion.md", "code: L-01", "code: L-02")
    assert "L-02" in page(preview, LOTION)
    assert "L-02" in page(preview, "formulas/L-02.html")


def test_a_code_that_is_taken_says_whose_it_is(preview, book):
    page(preview, LOTION)
    edit(book / "formulas" / "stock.md", "code: S-01", "code: L-01")
    assert ask(preview, "/formulas/S-01.html")[0] == 404
    html = page(preview, "formulas/S-01.html")
    assert any("L-01 is already the code of" in words for _, words in remarks_of(html))


def test_formulas_that_vanish_and_come_back(preview, book):
    before = page(preview, LOTION)
    (book / "formulas").rename(book / "away")
    html = page(preview, "index.html")
    assert "is not a book, as it has no folder formulas/" in html
    (book / "away").rename(book / "formulas")
    assert page(preview, LOTION) == before


def test_a_workroom_that_cannot_be_read_makes_all_figures_wait(preview, book):
    workroom = book / "formulas" / "workroom.yaml"
    whole, before = workroom.read_text(encoding="utf-8"), page(preview, LOTION)
    workroom.write_text(f"{whole}\nbalances: [oh\n", encoding="utf-8")
    html = page(preview, LOTION)
    assert "all figures wait until it is put right" in html
    assert [severity for severity, _ in remarks_of(html)][:1] == ["error"]
    assert "<data " not in html
    workroom.write_text(whole, encoding="utf-8")
    assert page(preview, LOTION) == before


def test_a_theme_of_the_book_is_taken_up_and_left_again(preview, book):
    before = page(preview, LOTION)
    own = book / "themes" / "workroom" / "style" / "page.css"
    own.parent.mkdir(parents=True)
    own.write_text(".mine{color:teal}", encoding="utf-8")
    assert ".mine{color:teal}" in page(preview, LOTION)
    broken = book / "themes" / "workroom" / "pages" / "formula.html"
    broken.parent.mkdir()
    broken.write_text("{% if page.code %}\n{{ page.code", encoding="utf-8")
    html = page(preview, LOTION)
    assert "pages/formula.html, line" in html, html[html.index("<h1") :]
    broken.write_text("<body>{{ page.nothing_like_it }}</body>", encoding="utf-8")
    html = page(preview, LOTION)
    assert "This page cannot be made" in html
    assert "new EventSource" in html
    shutil.rmtree(book / "themes")
    assert page(preview, LOTION) == before


def test_files_that_cannot_be_opened_are_told(preview, book):
    path = book / "formulas" / "lotion.md"
    page(preview, LOTION)
    whole = path.read_bytes()
    path.unlink()
    path.symlink_to(book / "nowhere.md")
    assert any("a link that leads nowhere" in words for _, words in remarks_of(page(preview, LOTION)))
    path.unlink()
    path.mkdir()
    assert "The page is gone" in page(preview, LOTION)
    path.rmdir()
    path.write_bytes(whole)
    assert "Plain lotion" in page(preview, LOTION)


def test_browsers_that_close_in_the_middle_leave_nothing_behind(preview, capfd):
    page(preview, LOTION)
    for sent in (f"GET /{LOTION} HTTP/1.1\r\nHost: 127.0.0.1:{port_of(preview)}\r\n\r\n", "GET /fonts", ""):
        for _ in range(5):
            with socket.create_connection(("127.0.0.1", port_of(preview))) as connection:
                connection.setsockopt(socket.SOL_SOCKET, socket.SO_LINGER, b"\1\0\0\0\0\0\0\0")  # ends with a reset
                connection.sendall(sent.encode())
    events = listen(preview, LOTION)
    events.close()
    eventually(lambda: sum("process_request" in one.name for one in threading.enumerate()) == 0)
    assert capfd.readouterr() == ("", "")


def test_nothing_is_written(preview, book):
    def all_of() -> dict[str, bytes]:
        return {str(one): one.read_bytes() for one in sorted(book.rglob("*")) if one.is_file()}

    before = all_of()
    for path in ("index.html", LOTION, "findings.html", "materials/gly.html"):
        page(preview, path)
    assert all_of() == before


# ── As a command ──────────────────────────────────────────────────────────────────────────────────────────────────


@contextmanager
def command(book: Path, *more: str) -> Iterator[tuple[subprocess.Popen[str], str]]:
    """`bookgen preview` as a process, and the address that it printed."""
    process = subprocess.Popen(
        # Ctrl-C is ignored in what a shell starts in its background, and here it is to be heard.
        [sys.executable, "-c", ("import signal; signal.signal(signal.SIGINT, signal.default_int_handler)\n"
         "from bookgen.cli import main; main()"), "preview", "--book", str(book), *more],
        env=environment(), cwd=CHECKOUT, stdout=subprocess.PIPE, stderr=subprocess.PIPE, encoding="utf-8",
    )  # fmt: skip
    try:
        assert process.stdout
        yield process, process.stdout.readline().strip()
    finally:
        process.kill()
        process.communicate()


@pytest.mark.parametrize(
    ("ending", "code", "said"), [(signal.SIGINT, 130, "The preview is closed.\n"), (signal.SIGTERM, 0, "")]
)
def test_it_ends_cleanly_and_leaves_the_port(book, ending, code, said):
    with command(book) as (process, address):
        assert re.fullmatch(r"http://127\.0\.0\.1:\d+/", address)
        port = int(address.rstrip("/").rpartition(":")[2])
        silent = socket.create_connection(("127.0.0.1", port))  # as a browser opens one in advance
        listening = http.client.HTTPConnection("127.0.0.1", port, timeout=LONG_S)
        shown = re.search(r'data-shown="(\w+)"', read(port, "/index.html"))
        assert shown
        listening.request("GET", f"/changes?page=index.html&shown={shown[1]}")
        listening.getresponse().readline()
        start = time.monotonic()
        process.send_signal(ending)
        rest, errors = process.communicate(timeout=LONG_S)
        assert (process.returncode, rest, errors) == (code, "", said)
        assert time.monotonic() - start < 5
        silent.close()
        with socket.socket() as again:
            again.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
            again.bind(("127.0.0.1", port))
            again.listen()


def read(port: int, path: str) -> str:
    connection = http.client.HTTPConnection("127.0.0.1", port, timeout=LONG_S)
    connection.request("GET", path)
    return connection.getresponse().read().decode()


def test_a_port_in_use_is_told_in_a_sentence(bookgen, book):
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        port = taken.getsockname()[1]
        done = bookgen("preview", "--book", book, "--port", port)
    assert (done.returncode, done.stdout) == (2, "")
    assert done.stderr == f"Cannot serve on port {port}: another program uses it.\n"


@pytest.mark.parametrize("arguments", [("--port", "0"), ("--port", "65536"), ("--port", "x"), ("--book", "/nowhere")])
def test_wrong_use_is_told(bookgen, book, arguments):
    done = bookgen("preview", "--book", book, *arguments)
    assert (done.returncode, done.stdout, "Traceback" in done.stderr) == (2, "", False)


def test_a_folder_without_formulas_is_no_book(bookgen, tmp_path):
    done = bookgen("preview", "--book", tmp_path)
    assert done.returncode == 2
    assert "is not a book, as it has no folder formulas/" in done.stderr


# ── Nothing stale stays ───────────────────────────────────────────────────────────────────────────────────────────


class Writing:
    """A keeper who changes a copy of a book at random."""

    def __init__(self, book: Path, seed: int) -> None:
        self.folder = book / "formulas"
        self.chance = random.Random(seed)
        self.first = {path: path.read_text(encoding="utf-8") for path in sorted(self.folder.rglob("*.md"))}
        self.workroom = self.folder / "workroom.yaml"
        self.first_workroom = self.workroom.read_text(encoding="utf-8")

    def formula(self) -> Path:
        return self.chance.choice([one for one in self.files() if "materials" not in one.parts] or self.files())

    def material(self) -> Path:
        return self.chance.choice([one for one in self.files() if "materials" in one.parts] or self.files())

    def files(self) -> list[Path]:
        return sorted(self.folder.rglob("*.md")) or [self.mend_all()]

    def mend_all(self) -> Path:
        for path, text in self.first.items():
            path.write_text(text, encoding="utf-8")
        return next(iter(self.first))

    def amount(self) -> None:
        path = self.formula()
        lines = path.read_text(encoding="utf-8").split("\n")
        those = [number for number, line in enumerate(lines) if re.match(r" +[\w-]+: .*\d", line)]
        if those:
            number = self.chance.choice(those)
            lines[number] = re.sub(r"\d+", lambda _: str(self.chance.randrange(1, 9)), lines[number], count=1)
            path.write_text("\n".join(lines), encoding="utf-8")

    def rename(self) -> None:
        path = self.chance.choice(self.files())
        other = path.with_name(f"n{self.chance.randrange(99)}-{path.name[:20].removesuffix('.md')}.md")
        if not other.exists():
            path.rename(other)

    def delete(self) -> None:
        self.chance.choice(self.files()).unlink()

    def add(self) -> None:
        path, text = self.chance.choice(list(self.first.items()))
        (path if self.chance.random() < 0.7 else path.with_name(f"other-{path.name}")).write_text(
            text, encoding="utf-8"
        )

    def cut(self) -> None:
        path = self.chance.choice(self.files())
        text = path.read_text(encoding="utf-8")
        path.write_text(text[: self.chance.randrange(len(text) + 1)], encoding="utf-8")

    def slip(self) -> None:
        path = self.chance.choice(self.files())
        text, sign = (
            path.read_text(encoding="utf-8"),
            self.chance.choice(["\t", "{", ": ", '"', "x", "%", "\n---\n", "["]),
        )
        at = self.chance.randrange(len(text) + 1)
        path.write_text(text[:at] + sign + text[at:], encoding="utf-8")

    def mend(self) -> None:
        for path, text in self.first.items():
            if not path.exists() or path.read_text(encoding="utf-8") != text:
                path.write_text(text, encoding="utf-8")
                return

    def words(self) -> None:
        """Change only what users of a formula or material have no part in, above or below its other lines."""
        path = self.chance.choice(self.files())
        text = path.read_text(encoding="utf-8")
        if self.chance.random() < 0.5:
            path.write_text(f"{text}\nLeave it alone for a while.\n", encoding="utf-8")
        else:
            path.write_text(text.replace("---\n", "---\nsource: [a friend]\n", 1), encoding="utf-8")

    def circle(self) -> None:
        path, stem = self.formula(), self.formula().stem
        text = path.read_text(encoding="utf-8")
        path.write_text(text.replace("ingredients:\n", f"ingredients:\n  {stem}: 1 %\n", 1), encoding="utf-8")

    def change_material(self) -> None:
        path = self.material()
        line = self.chance.choice(
            ["density: 0.9", "water: 3 %", "water: 100 %", "also: [wax of the house]", "drops: x"]
        )
        path.write_text(path.read_text(encoding="utf-8").replace("---\n", f"---\n{line}\n", 1), encoding="utf-8")

    def change_workroom(self) -> None:
        change = self.chance.choice(
            ["", "\nhouse: red\n", "\ndecimal: comma\n", "\naccepted error: 4 %\n", "\n# seen\n"]
        )
        self.workroom.write_text(self.first_workroom + change, encoding="utf-8")

    def step(self) -> None:
        """Change one thing; a workroom that cannot be read is put right first."""
        if "house" in self.workroom.read_text(encoding="utf-8"):
            self.workroom.write_text(self.first_workroom, encoding="utf-8")
        usual = (
            [self.amount] * 4
            + [self.mend] * 4
            + [self.words] * 2
            + [self.add, self.change_workroom, self.change_material]
        )
        self.chance.choice([*usual, self.rename, self.delete, self.cut, self.slip, self.circle])()


BARRED = b' <strong class="stamp barred">barred</strong>'
"""How a link says that what it leads to is barred."""


@pytest.mark.parametrize("seed", range(2))
def test_after_any_change_the_book_is_what_a_fresh_reading_makes_of_it(tmp_path, seed, monkeypatch):
    monkeypatch.setattr(reuse, "AT_ONCE", 0)
    shutil.copytree(CHECKOUT / "formulas", tmp_path / "formulas")
    writing, memory, known = Writing(tmp_path, seed), Memory(), None
    theme = load_theme(tmp_path)
    compared = reused = left = 0
    for _ in range(12):
        writing.step()
        before, first = known, ()
        try:
            if before is not None:
                first = tuple(writing.chance.sample(sorted(before.book.formulas), 2))
                ahead = check_again(tmp_path, memory, known, first)
            known = check_again(tmp_path, memory, known)
        except Unreadable:
            assert check_book(tmp_path).unreadable_workroom
            continue
        fresh = check_book(tmp_path)
        assert not fresh.unreadable_workroom
        assert known.review == fresh.review
        # As text too, as places do not count when records are compared.
        assert repr(known.reckoning) == repr(fresh.reckoning)
        now = site_files(known.reckoning, known.review, theme)
        then = site_files(fresh.reckoning, fresh.review, theme)
        assert list(now) == list(then)
        pages = [one for one in now if one.endswith(".html")]
        for path in writing.chance.sample(pages, 3):
            assert now[path] == then[path], path
        compared += 1
        assert not known.reckoning.behind
        if before is not None:
            left += len(ahead.reckoning.behind)
            early = site_files(ahead.reckoning, ahead.review, theme)
            for key in fresh.book.formulas.keys() & {*first}:
                path = f"formulas/{fresh.book.formulas[key].code}.html"
                # That a neighbour or a user is barred comes with the rest.
                assert early[path].replace(BARRED, b"") == then[path].replace(BARRED, b"")
                assert repr(ahead.reckoning.figures[key]) == repr(fresh.reckoning.figures[key])
            reused += sum(known.reckoning.figures.get(key) is one for key, one in before.reckoning.figures.items())
    assert compared > 7
    assert reused > 10 * compared
    assert left
