"""One headless Chromium for all browser tests, and pages that notice what must not happen."""

from __future__ import annotations

import os
import shutil
from dataclasses import dataclass, field
from pathlib import Path

import pytest

CHROMIUM = next(filter(None, map(shutil.which, ("chromium", "chromium-browser", "google-chrome"))), None)

ARGUMENTS = (
    "--headless", "--no-sandbox", "--disable-quic", "--no-first-run", "--disable-background-networking",
    "--disable-component-update", "--disable-sync", "--use-gl=angle", "--use-angle=swiftshader",
    "--enable-unsafe-swiftshader",
)  # fmt: skip

# Without a browser there is nothing to drive; the machine that guards the main line must have one.
collect_ignore_glob = [] if CHROMIUM or os.environ.get("CI") else ["test_*.py"]


def pytest_terminal_summary(terminalreporter):
    if collect_ignore_glob:
        terminalreporter.write_line("tests/browser was left out: no Chromium here (apt-get install chromium)")


@dataclass
class Opened:
    """A page from the file system and all that it did: errors of any kind, requests beyond its own file."""

    page: object
    troubles: list[str] = field(default_factory=list)
    requests: list[str] = field(default_factory=list)


@pytest.fixture(scope="session")
def chromium():
    from playwright.sync_api import sync_playwright

    assert CHROMIUM, "the browser tests need Chromium: apt-get install chromium"
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=CHROMIUM, args=list(ARGUMENTS))
        yield browser
        browser.close()


@pytest.fixture(scope="session")
def contexts(chromium):
    """One browser context for each kind of screen, so that shaders are compiled once and not for every page."""
    known = {}

    def context(width, height, scheme, touch):
        kind = (width, height, scheme, touch)
        if kind not in known:
            known[kind] = chromium.new_context(
                viewport={"width": width, "height": height},
                color_scheme=scheme,
                reduced_motion="reduce",
                has_touch=touch,
            )
        return known[kind]

    yield context
    for each in known.values():
        each.close()


@pytest.fixture
def open_page(contexts):
    """Opens an HTML file: `open_page(path, width=840, height=640, scheme="light", touch=False)`."""
    pages = []

    def opened(path: Path, *, width=840, height=640, scheme="light", touch=False) -> Opened:
        page = contexts(width, height, scheme, touch).new_page()
        pages.append(page)
        result = Opened(page=page)
        page.on("console", lambda said: result.troubles.append(said.text) if said.type == "error" else None)
        page.on("pageerror", lambda error: result.troubles.append(str(error)))
        page.on("dialog", lambda dialog: (result.troubles.append(dialog.message), dialog.dismiss()))
        page.on("request", lambda request: result.requests.append(request.url))
        page.goto(path.as_uri())
        result.requests.remove(path.as_uri())
        return result

    yield opened
    for page in pages:
        page.close()
