"""A desk, a server on a free port and one real browser for all tests of the page."""

import shutil
import threading
import time
from dataclasses import dataclass

import pytest
import uvicorn
from playwright.sync_api import sync_playwright

from filigree.job import Job
from filigree.page.desk import Desk
from filigree.page.server import app_of, listening

TOKEN = "a-token-for-tests"
ARGS = ["--headless", "--no-sandbox", "--disable-gpu", "--disable-background-networking"]
ROWS = "".join(
    f'<circle class="open" cx="{20 + 25 * (k % 4)}" cy="{20 + 25 * (k // 4)}" r="9"/>'
    for k in range(8)
)
ART = (  # a 115 x 65 mm face with eight round openings of 18 mm, 7 mm apart
    '<svg xmlns="http://www.w3.org/2000/svg" width="120mm" height="70mm" viewBox="0 0 120 70">'
    '<g fill="none" stroke="#000" stroke-width="0.4"><rect x="2" y="2" width="115" height="62"/>'
    f"{ROWS}</g></svg>"
)


@dataclass(frozen=True)
class Served:
    """A running page."""

    desk: Desk
    host: str

    @property
    def address(self) -> str:
        return f"http://{self.host}/{TOKEN}/"


@pytest.fixture
def art(tmp_path):
    path = tmp_path / "eight.svg"
    path.write_text(ART, encoding="utf-8")
    return path


@pytest.fixture
def served(tmp_path):
    """Give a function that serves a drawing; every server it starts is ended."""
    running = []

    def serve(art=None, job=None) -> Served:
        desk = Desk(folder=tmp_path)
        if art is not None:
            desk.open(art, job or Job())
        taken = listening()
        host = f"127.0.0.1:{taken.getsockname()[1]}"
        config = uvicorn.Config(
            app_of(desk, host=host, token=TOKEN), log_level="error", ws="none", lifespan="off"
        )
        server = uvicorn.Server(config)
        thread = threading.Thread(target=server.run, kwargs={"sockets": [taken]})
        thread.start()
        running.append((server, thread, taken))
        while not server.started:
            time.sleep(0.01)
        return Served(desk=desk, host=host)

    yield serve
    for server, thread, taken in running:
        server.should_exit = True
        thread.join(timeout=20)
        taken.close()


@pytest.fixture(scope="session")
def browser():
    found = shutil.which("chromium") or shutil.which("chromium-browser")
    if found is None:
        pytest.fail("these tests drive Chromium: install it (apt-get install chromium)")
    with sync_playwright() as driver:
        started = driver.chromium.launch(executable_path=found, args=ARGS)
        yield started
        started.close()


@pytest.fixture
def tab(browser):
    """Give a function that opens an address in a tab of its own; faults of the page fail the test."""
    faults, open_tabs = [], []

    def open_tab(address, *, width=1024, height=768, dark=False):
        context = browser.new_context(
            viewport={"width": width, "height": height},
            color_scheme="dark" if dark else "light",
        )
        page = context.new_page()
        page.set_default_timeout(60000)
        page.on("pageerror", lambda error: faults.append(str(error)))
        page.goto(address)
        if address.startswith("http"):
            page.wait_for_selector("body[data-ready]")
        open_tabs.append(context)
        return page

    yield open_tab
    for context in open_tabs:
        context.close()
    assert faults == []
