"""The pages of `fitcheck watch`, served to this machine only: the shell, the report in it, and news of both."""

from __future__ import annotations

import json
import time
from collections.abc import Iterator
from contextlib import contextmanager
from http import HTTPStatus
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from importlib.resources import files
from threading import Thread

from fitcheck.cli.live_board import Board, Shown
from fitcheck.errors import UsageError

LOOPBACK = "127.0.0.1"
_NAMES = (LOOPBACK, "localhost")
_BREATH_S = 5.0
"""So often a waiting reader is told that the server is still there."""
_PAUSE_S = 0.1
"""And not more often than this, however fast the progress."""

_EMPTY = (
    '<!doctype html><html lang="en"><meta charset="utf-8"><title>fitcheck</title>'
    '<meta name="color-scheme" content="light dark"><p>There is no report yet.'
)

_POLICY = (
    "default-src 'none'; script-src 'unsafe-inline'; style-src 'unsafe-inline'; img-src data: blob:; "
    "connect-src 'self'; frame-src 'self'; frame-ancestors 'self'; base-uri 'none'; form-action 'none'"
)


class Server(ThreadingHTTPServer):
    """Listens on the loopback address."""

    daemon_threads = True

    def __init__(self, board: Board, port: int) -> None:
        self.board = board
        super().__init__((LOOPBACK, port), _Page)

    @property
    def address(self) -> str:
        return f"http://{LOOPBACK}:{self.server_port}/"


class _Page(BaseHTTPRequestHandler):
    server: Server
    server_version = "fitcheck"
    sys_version = ""

    def do_GET(self) -> None:
        if not self._is_asked_by_own_name():
            self.send_error(HTTPStatus.MISDIRECTED_REQUEST, "this server answers to localhost only")
        elif self.path == "/":
            self._send(files("fitcheck.cli").joinpath("live_shell.html").read_text(encoding="utf-8"))
        elif self.path.partition("?")[0] == "/report":
            self._send(self.server.board.look()[1].page or _EMPTY)
        elif self.path == "/news":
            self._tell_news()
        else:
            self.send_error(HTTPStatus.NOT_FOUND, "only the report is served here")

    def _is_asked_by_own_name(self) -> bool:
        """Whether the request names this machine: a foreign name that was made to point here is turned away."""
        port = self.server.server_port
        own = {f"{name}:{port}" for name in _NAMES} | (set(_NAMES) if port == 80 else set())
        hosts = self.headers.get_all("Host", [])
        return len(hosts) == 1 and hosts[0].lower() in own

    def end_headers(self) -> None:
        self.send_header("Cache-Control", "no-store")
        self.send_header("Content-Security-Policy", _POLICY)
        self.send_header("X-Content-Type-Options", "nosniff")
        self.send_header("Referrer-Policy", "no-referrer")
        self.send_header("Cross-Origin-Resource-Policy", "same-origin")
        super().end_headers()

    def _send(self, text: str) -> None:
        body = text.encode()
        self.send_response(HTTPStatus.OK)
        self.send_header("Content-Type", "text/html; charset=utf-8")
        self.send_header("Content-Length", str(len(body)))
        self.end_headers()
        self._write(body)

    def _tell_news(self) -> None:
        """The state now, and again each time that it changes, until the reader or the server goes."""
        self.send_response(HTTPStatus.OK)
        self.send_header("Content-Type", "text/event-stream")
        self.end_headers()
        serial, shown = self.server.board.look()
        while self._write(event(shown)) and not shown.ended:
            time.sleep(_PAUSE_S)
            serial, shown = self.server.board.wait(serial, _BREATH_S)

    def _write(self, body: bytes) -> bool:
        """Whether the reader is still there; one who has closed the page is no error."""
        try:
            self.wfile.write(body)
        except ConnectionError:
            return False
        return True

    def log_message(self, format: str, *args: object) -> None:  # noqa: A002 (the name is the library's)
        """Nothing: what is read from whom is nobody's business, and standard error is for the layout's problems."""


def event(shown: Shown) -> bytes:
    """The state as one server-sent event."""
    told = {"edition": shown.edition, "problems": shown.problems, "doing": shown.doing, "ended": shown.ended}
    return f"data: {json.dumps(told)}\n\n".encode()


@contextmanager
def serving(board: Board, port: int) -> Iterator[Server]:
    """The server at work in a thread of its own. Raises UsageError where the port cannot be had."""
    try:
        server = Server(board, port)
    except OSError as error:
        raise UsageError(
            f"port {port} cannot be had: {error.strerror or error}\n"
            "    mend: name another with --port; 0 takes any that is free"
        ) from error
    thread = Thread(target=server.serve_forever, kwargs={"poll_interval": 0.1}, daemon=True)
    thread.start()
    try:
        yield server
    finally:
        board.end()
        server.shutdown()
        thread.join()
        server.server_close()
