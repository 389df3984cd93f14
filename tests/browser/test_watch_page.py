"""The page of `fitcheck watch` in a real browser: it follows the news, and never leaves this machine."""

from __future__ import annotations

import pytest

from fitcheck.cli.live_board import Board
from fitcheck.cli.live_server import serving

HOSTILE = "bay.yaml:7:14: unknown word '<img src=x onerror=alert(1)>'\n    mend: <script>alert(2)</script>"


def report(title: str) -> str:
    return f"<!doctype html><html lang=en><title>{title}</title><h1>{title}</h1><div style='height:4000px'></div>"


@pytest.fixture
def watched(contexts):
    """(board, page, its troubles, its requests) of a served report."""
    board, troubles, requests = Board(), [], []
    page = contexts(390, 700, "light", False).new_page()
    page.on("pageerror", lambda error: troubles.append(str(error)))
    page.on("console", lambda said: troubles.append(said.text) if said.type == "error" else None)
    page.on("dialog", lambda dialog: (troubles.append(dialog.message), dialog.dismiss()))
    page.on("request", lambda request: requests.append(request.url))
    with serving(board, 0) as server:
        page.goto(server.address)
        yield board, page, troubles, requests, server.address
    page.close()


def told(page, words):
    page.wait_for_selector(f'#now:has-text("{words}")')


def scrolled_to(page, place) -> bool:
    """Whether the report comes to stand there; it is scrolled once it has loaded."""
    for _ in range(200):
        if page.frames[1].locator("body").evaluate("body => body.ownerDocument.defaultView.scrollY") == place:
            return True
        page.wait_for_timeout(50)
    return False


def test_it_follows_the_file(watched):
    board, page, troubles, requests, address = watched
    told(page, "up to date")
    board.doing("checking the layout")
    told(page, "working: checking the layout")
    board.good(report("First"))
    told(page, "up to date")
    assert page.frame_locator("#report").locator("h1").inner_text() == "First"
    page.frames[1].locator("body").evaluate("body => body.ownerDocument.defaultView.scrollTo(0, 700)")

    board.wrong([HOSTILE, "bay.yaml:9:1: another"])
    told(page, "waiting for the layout to be mended")
    assert page.locator("#heading").inner_text() == (
        "The layout as saved now cannot be used: 2 things are to be mended"
    )
    assert page.locator("#problems pre").all_inner_texts() == [HOSTILE, "bay.yaml:9:1: another"]
    assert "OLD REPORT BELOW" in page.locator("#below").inner_text()
    assert page.frame_locator("#report").locator("h1").inner_text() == "First"
    wide = page.locator("body").evaluate("body => body.ownerDocument.documentElement.scrollWidth")
    assert wide <= 390

    board.good(report("Second"))
    page.frame_locator("#report").locator('h1:has-text("Second")').wait_for()
    assert page.locator("#wrong").is_hidden()
    assert scrolled_to(page, 700)

    board.end()
    told(page, "has ended")
    assert troubles == []
    assert {url.split("?")[0] for url in requests} == {address, f"{address}news", f"{address}report"}
