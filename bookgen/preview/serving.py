"""The server: the pages of one book over HTTP, to this machine and nobody else.

It listens on 127.0.0.1 alone and answers only who calls it by that name or by localhost, so that no page of another
site can reach it by giving its own name this address.  Only GET and HEAD; an address is looked up among the book's
pages and never on the disk.
"""

from __future__ import annotations

import errno
import json
import os
import select
import socket
import sys
from datetime import date
from http import HTTPStatus
from http.server import BaseHTTPRequestHandler
from pathlib import Path
from socketserver import TCPServer, ThreadingMixIn
from threading import Event, Lock, Thread
from typing import Any
from urllib.parse import parse_qs, unquote, urlsplit

from .. import __version__
from .current import Current

ADDRESS = "127.0.0.1"
CHANGES = "/changes"
"""Where a page listens for its changes."""
GLANCE_S = 0.01
"""Seconds between two glances at the files."""
ALIVE_S = 1.0
"""Seconds after which a listener is looked after, whether it is still there."""
REQUEST_S = 10.0
"""Seconds that a request may take to arrive."""


class CannotServe(Exception):
    """The port cannot be had; the text is a sentence for the user."""


class Preview:
    """A book, served while it is written."""

    def __init__(self, root: Path, port: int | None = None, today: date | None = None) -> None:
        """Take the port and read the book.  Raises CannotServe, and NoBook when the folder holds none."""
        try:
            self._server = _Server(port or 0)
        except OSError as reason:
            why = "another program uses it" if reason.errno == errno.EADDRINUSE else (reason.strerror or str(reason))
            raise CannotServe(f"Cannot serve on port {port}: {why}.") from reason
        try:
            self.current = self._server.current = Current(root, today)
        except BaseException:
            self._server.server_close()
            raise
        self._thread = Thread(target=self._server.serve_forever, kwargs={"poll_interval": 0.1}, name="preview")

    @property
    def address(self) -> str:
        """Where the book can be seen."""
        return f"http://{ADDRESS}:{self._server.port}/"

    def start(self) -> None:
        """Begin to answer."""
        self._thread.start()

    def watch(self, stop: Event) -> None:
        """Watch the files until told to stop."""
        while not stop.wait(GLANCE_S):
            self.current.glance()

    def close(self) -> None:
        """Answer no more; close every connection, end every thread, free the port."""
        self.current.close()
        if self._thread.is_alive():
            self._server.shutdown()
            self._thread.join()
        self._server.server_close()


class _Server(ThreadingMixIn, TCPServer):
    """A thread for each request."""

    current: Current
    allow_reuse_address = os.name == "posix"  # a port that was just left may be taken again at once
    daemon_threads = False
    block_on_close = True
    request_queue_size = 64

    def __init__(self, port: int) -> None:
        self._open: set[socket.socket] = set()
        self._guard = Lock()
        super().__init__((ADDRESS, port), _Handler)
        self.port: int = self.server_address[1]

    def get_request(self) -> tuple[socket.socket, object]:
        connection, address = super().get_request()
        with self._guard:
            self._open.add(connection)
        return connection, address

    def shutdown_request(self, request: Any) -> None:
        with self._guard:
            self._open.discard(request)
        super().shutdown_request(request)

    def server_close(self) -> None:
        # A connection on which nothing was asked yet would keep its thread waiting.
        with self._guard:
            for connection in self._open:
                try:
                    connection.shutdown(socket.SHUT_RDWR)
                except OSError:
                    continue
        super().server_close()

    def handle_error(self, request: Any, client_address: Any) -> None:
        """A browser that closes in the middle of an answer is nothing to tell of; whatever else went wrong is."""
        if not isinstance(sys.exc_info()[1], OSError):
            super().handle_error(request, client_address)


class _Handler(BaseHTTPRequestHandler):
    """One request."""

    server: _Server
    protocol_version = "HTTP/1.1"
    timeout = REQUEST_S

    def do_GET(self) -> None:
        self._answer(body=True)

    def do_HEAD(self) -> None:
        self._answer(body=False)

    def parse_request(self) -> bool:
        """Refuse what is not asked of this server by its own name, or not by GET or HEAD."""
        if not super().parse_request():
            return False
        self.close_connection = True
        port = self.server.port
        hosts = self.headers.get_all("Host", [])
        if len(hosts) != 1 or hosts[0].strip().lower() not in (f"{ADDRESS}:{port}", f"localhost:{port}"):
            self._say(HTTPStatus.MISDIRECTED_REQUEST, "This preview answers only to 127.0.0.1 and localhost.")
            return False
        if self.command not in ("GET", "HEAD"):
            self._say(HTTPStatus.METHOD_NOT_ALLOWED, "A preview is read only with GET or HEAD.")
            return False
        foreign = self.headers.get("Sec-Fetch-Site") == "cross-site"
        if foreign and self.headers.get("Sec-Fetch-Mode") != "navigate":
            self._say(HTTPStatus.FORBIDDEN, "The pages of this preview are not for other sites.")
            return False
        return True

    def _answer(self, *, body: bool) -> None:
        try:
            asked = urlsplit(self.path)
        except ValueError:  # `http://[` is the beginning of an address and no more
            self.send_error(HTTPStatus.BAD_REQUEST)
            return
        if asked.path == CHANGES:
            query = parse_qs(asked.query)
            self._changes(query.get("page", [""])[0], query.get("shown", [""])[0], body=body)
            return
        path = unquote(asked.path.removeprefix("/"), errors="replace") or "index.html"
        if path.endswith(".html"):  # what a page shows is as it is now; fonts and pictures come with it
            self.server.current.look()
        found = self.server.current.answer(path)
        self._send(found.status, found.kind, found.content, body=body)

    def _changes(self, page: str, shown: str, *, body: bool) -> None:
        """Tell a page once that it shows something else by now, and what, where that can be put in its place.

        Where it cannot, the page asks for itself.
        """
        self._head(HTTPStatus.OK, "text/event-stream", None)
        current = self.server.current
        with current.listening(page):
            self.wfile.write(b"retry: 500\n\n" if body else b"")
            while body and not current.closed and not self._gone():
                found = current.other(page, shown, ALIVE_S)
                if found is not None:
                    told = json.dumps(found.content.decode() if found.in_place else None, ensure_ascii=False)
                    self.wfile.write(f"event: changed\ndata: {told}\n\n".encode())
                    return

    def _gone(self) -> bool:
        """Tell whether the browser has closed the connection."""
        readable, _, _ = select.select([self.connection], [], [], 0)
        return bool(readable) and not self.connection.recv(1, socket.MSG_PEEK)

    def _send(self, status: int, kind: str, content: bytes, *, body: bool) -> None:
        self._head(status, kind, len(content))
        if body:
            self.wfile.write(content)

    def _head(self, status: int, kind: str, length: int | None) -> None:
        self.send_response(status)
        self.send_header("Content-Type", kind)
        if length is not None:
            self.send_header("Content-Length", str(length))
        if status == HTTPStatus.METHOD_NOT_ALLOWED:
            self.send_header("Allow", "GET, HEAD")
        self.send_header("Cache-Control", "no-store")
        self.send_header("X-Content-Type-Options", "nosniff")
        self.send_header("Cross-Origin-Resource-Policy", "same-origin")
        self.send_header("Content-Security-Policy", "frame-ancestors 'none'")
        self.send_header("Connection", "close")
        self.end_headers()

    def _say(self, status: HTTPStatus, words: str) -> None:
        self._send(status, "text/plain; charset=utf-8", f"{words}\n".encode(), body=self.command != "HEAD")

    def send_error(self, code: int, message: str | None = None, explain: str | None = None) -> None:
        """Answer a request that is none in words."""
        self.close_connection = True
        self._say(HTTPStatus(code), f"{HTTPStatus(code).phrase}.")

    def version_string(self) -> str:
        return f"bookgen/{__version__}"

    def log_message(self, format: str, *arguments: object) -> None:
        """Nothing is logged."""
