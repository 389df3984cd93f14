"""`fitcheck watch`: what it serves, to whom, and how it follows the file."""

from __future__ import annotations

import argparse
import http.client
import json
import os
import signal
import subprocess
import sys
import time
from contextlib import contextmanager
from functools import partial
from threading import Event, Thread

import pytest

from fitcheck.__main__ import main
from fitcheck.cli.live_board import Board
from fitcheck.cli.live_files import Files
from fitcheck.cli.live_server import serving
from fitcheck.cli.watch import keep_fresh
from fitcheck.errors import UsageError

PATIENCE_S = 120.0

BAY = """\
fitcheck: 1
title: TITLE
axes: {x: rearward, y: right, z: up}
datum: corner
parts:
  case:
    role: enclosure
    change: retained
    shape: {tray: {inside: [100, 80, 60], wall: 2, floor: 2}}
    mass: 3
    inside_low_corner: [0, 0, 0]
  m1: {role: module, change: new, shape: {box: [60, 40, 30]}, mass: 2, low_corner: [20, 20, 0]}
"""


def get(server, path="/", **headers):
    """(status, headers, text) of one request."""
    asked = http.client.HTTPConnection("127.0.0.1", server.server_port, timeout=PATIENCE_S)
    try:
        asked.request("GET", path, headers=headers)
        answer = asked.getresponse()
        return answer.status, answer.headers, answer.read().decode()
    finally:
        asked.close()


@pytest.fixture
def shown():
    """A server with one good report."""
    board = Board()
    with serving(board, 0) as server:
        board.good("<!doctype html><title>first</title>")
        yield board, server


def test_it_listens_to_this_machine_only(shown):
    assert shown[1].server_address[0] == "127.0.0.1"


def test_the_shell_the_report_and_nothing_else(shown):
    _, server = shown
    status, headers, text = get(server)
    assert (status, headers["Content-Type"]) == (200, "text/html; charset=utf-8")
    assert "EventSource" in text
    assert "http" not in text.replace("http-equiv", "")
    assert get(server, "/report?edition=1")[2] == "<!doctype html><title>first</title>"
    for path in ("/etc/passwd", "/../bay.yaml", "/report/../x", "//127.0.0.1/", "/favicon.ico", "/live_shell.html"):
        assert get(server, path)[0] == 404, path


def test_a_foreign_name_that_points_here_is_turned_away(shown):
    _, server = shown
    port = server.server_port
    for name in (f"workshop.example:{port}", "127.0.0.1", f"127.0.0.1:{port + 1}", f"localhost.example:{port}", ""):
        for path in ("/", "/report", "/news"):
            status, _, text = get(server, path, Host=name)
            assert (status, "first" in text) == (421, False), name
    assert get(server, "/report", Host=f"LOCALHOST:{port}")[0] == 200


def test_only_reading_is_answered(shown):
    asked = http.client.HTTPConnection("127.0.0.1", shown[1].server_port, timeout=PATIENCE_S)
    asked.request("POST", "/", body="x")
    assert asked.getresponse().status == 501
    asked.close()


def test_every_answer_keeps_the_page_to_itself(shown):
    for path in ("/", "/report", "/nowhere"):
        headers = get(shown[1], path)[1]
        assert headers["Cache-Control"] == "no-store"
        assert "default-src 'none'" in headers["Content-Security-Policy"]
        assert "connect-src 'self'" in headers["Content-Security-Policy"]
        assert headers["X-Content-Type-Options"] == "nosniff"


def news_of(server):
    """The news as they come."""
    asked = http.client.HTTPConnection("127.0.0.1", server.server_port, timeout=PATIENCE_S)
    asked.request("GET", "/news")
    answer = asked.getresponse()
    assert answer.headers["Content-Type"] == "text/event-stream"
    while line := answer.readline():
        if line.startswith(b"data: "):
            yield json.loads(line[6:])


def test_news_come_as_they_happen_and_stop_at_the_end():
    board = Board()
    with serving(board, 0) as server:
        news = news_of(server)
        assert next(news) == {"edition": 0, "problems": [], "doing": "", "ended": False}
        board.good("<p>")
        assert next(one for one in news if one["edition"])["edition"] == 1
        board.wrong(["bay.yaml:1:1: <script>"])
        told = next(one for one in news if one["problems"])
        assert (told["edition"], told["problems"]) == (1, ["bay.yaml:1:1: <script>"])
        assert board.look()[1].page == "<p>"
    assert next(one for one in news if one["ended"])["problems"] == ["bay.yaml:1:1: <script>"]
    assert list(news) == []


def test_a_port_that_is_taken_is_refused_in_words(shown):
    with pytest.raises(UsageError, match=r"cannot be had.*\n.*--port"), serving(Board(), shown[1].server_port):
        pass


@pytest.mark.parametrize("port", ["-1", "65536", "x"])
def test_a_port_that_is_none_is_wrong_usage(port, capsys):
    assert main(["watch", "bay.yaml", f"--port={port}"]) == 2
    assert "is not a port" in capsys.readouterr().err


@contextmanager
def watching(path):
    """(server, board) of a watch at work in this process."""
    board, stop = Board(), Event()
    args = argparse.Namespace(layout=path, allow=[], quiet=True)
    worker = Thread(target=keep_fresh, args=(args, board, stop))
    with serving(board, 0) as server:
        worker.start()
        try:
            yield server, board
        finally:
            stop.set()
            worker.join()


def until(board, wanted):
    """The state as soon as it is as wanted."""
    end = time.monotonic() + PATIENCE_S
    serial, shown = board.look()
    while not wanted(shown):
        assert time.monotonic() < end, f"still {shown}"
        serial, shown = board.wait(serial, 1.0)
    return shown


def test_a_saved_layout_is_shown_and_a_broken_one_keeps_the_last_report(tmp_path):
    path = tmp_path / "bay.yaml"
    path.write_text(BAY.replace("TITLE", "First bay"), encoding="utf-8")
    with watching(path) as (server, board):
        until(board, lambda shown: shown.edition == 1 and not shown.doing)
        assert "First bay" in get(server, "/report")[2]
        path.write_text(BAY.replace("role: module", "role: modul"), encoding="utf-8")
        told = until(board, lambda shown: shown.problems)
        assert told.edition == 1
        assert told.problems[0].startswith(f"{path}:12:14: unknown word 'modul'\n    mend: ")
        assert "First bay" in get(server, "/report")[2]
        path.write_text(BAY.replace("TITLE", "Second <bay>"), encoding="utf-8")
        told = until(board, lambda shown: shown.edition == 2)
        assert told.problems == ()
        assert "Second &lt;bay&gt;" in get(server, "/report")[2]


def test_a_mesh_file_that_comes_late_and_is_then_changed_is_followed(tmp_path):
    path, mesh = tmp_path / "bay.yaml", tmp_path / "duct.obj"
    path.write_text(
        BAY + "  duct: {role: duct, change: retained, mass: 1, shape: {mesh: {file: duct.obj, unit: mm}}, "
        "low_corner: [2, 2, 0]}\n",
        encoding="utf-8",
    )
    with watching(path) as (_, board):
        told = until(board, lambda shown: shown.problems)
        assert "duct.obj" in told.problems[0]
        mesh.write_text(tetrahedron(10), encoding="utf-8")
        until(board, lambda shown: shown.edition == 1 and not shown.problems)
        mesh.write_text(tetrahedron(12), encoding="utf-8")
        until(board, lambda shown: shown.edition == 2)


def tetrahedron(size):
    corners = f"v 0 0 0\nv {size} 0 0\nv 0 {size} 0\nv 0 0 {size}\n"
    return corners + "f 1 3 2\nf 1 2 4\nf 1 4 3\nf 2 3 4\n"


def test_a_file_still_being_written_waits(tmp_path):
    path = tmp_path / "bay.yaml"
    path.write_text("one", encoding="utf-8")
    files = Files(path, ())
    assert [files.have_changed(), files.have_changed()] == [True, False]
    path.write_text("one two", encoding="utf-8")
    assert not files.have_changed()
    path.write_text("one two three", encoding="utf-8")
    assert not files.have_changed()
    assert [files.have_changed(), files.have_changed()] == [True, False]
    path.unlink()
    assert [files.have_changed(), files.have_changed(), files.have_changed()] == [False, True, False]


def test_an_interrupt_ends_it_in_peace(tmp_path):
    path = tmp_path / "bay.yaml"
    path.write_text(BAY, encoding="utf-8")
    argv = [sys.executable, "-m", "fitcheck", "watch", str(path), "--port", "0"]
    # Started from a shell's background, a program would not be told of the interrupt.
    told = partial(signal.signal, signal.SIGINT, signal.SIG_DFL)
    pipes = {"stdout": subprocess.PIPE, "stderr": subprocess.PIPE, "text": True}
    with subprocess.Popen(argv, **pipes, env=os.environ, preexec_fn=told) as running:
        assert running.stdout is not None
        address = running.stdout.readline().strip()
        assert address.startswith("http://127.0.0.1:")
        running.send_signal(signal.SIGINT)
        try:
            said = running.communicate(timeout=PATIENCE_S)[1]
        finally:
            running.kill()
    assert running.returncode == 0
    assert said.endswith("fitcheck: ended\n")
    assert "Traceback" not in said
