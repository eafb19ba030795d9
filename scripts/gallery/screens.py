"""Screens: the page, the proof and the colourways as a browser shows them, for the gallery.

    python -m scripts.gallery.screens

Needs Chromium and the packages of the tests. Look at what it writes before it is committed.
"""

import shutil
import sys
import tempfile
import threading
import time
from collections.abc import Callable
from pathlib import Path
from typing import Literal

import uvicorn
from PIL import Image
from playwright.sync_api import Browser, Page, sync_playwright

from filigree import pipeline
from filigree.job import Job, load_job, with_overrides
from filigree.page.desk import Desk
from filigree.page.server import app_of, listening

Scheme = Literal["light", "dark"]
GALLERY = Path(__file__).resolve().parents[2] / "gallery"
SCREENS = GALLERY / "screens"
SIZES = {"1024": (1024, 768), "1600": (1600, 1000)}
COLOURS = {
    "colours.faces": ["natural", "dark brown"],
    "colours.inlays": ["red", "turquoise", "navy", "moss"],
}
TOKEN = "screens"
WIDE = 1400  # pixels across of the colourways
SHADES = 128  # keeps the file small


def main() -> int:
    """Write every screen; 0."""
    with tempfile.TemporaryDirectory() as between, sync_playwright() as driver:
        browser = driver.chromium.launch(
            executable_path=shutil.which("chromium"), args=["--headless", "--no-sandbox"]
        )
        work = Path(between)
        for name, does in (("page", the_page), ("proof", the_proof)):
            does(browser, work / name)
        art, job = piece("bracer", work)
        pipeline.colours(art, work / "colours", with_overrides(job, COLOURS))
        with Image.open(work / "colours" / "colours.png") as whole:
            small = whole.convert("RGB").resize((WIDE, round(WIDE * whole.height / whole.width)))
            small.quantize(SHADES).save(SCREENS / "colours.png", optimize=True)
        browser.close()
    return 0


def piece(name: str, work: Path) -> tuple[Path, Job]:
    """Copy a gallery drawing and load its job."""
    work.mkdir(exist_ok=True)
    art = work / f"{name}.svg"
    shutil.copyfile(GALLERY / name / f"{name}.svg", art)
    return art, load_job(GALLERY / name / "job.toml")


def the_page(browser: Browser, work: Path) -> None:
    """Show the page at both sizes: weak places of the mask, colours of the bracer in the dark."""
    for size, name, scheme, does in (
        ("1024", "mask", "light", weak_place),
        ("1600", "bracer", "dark", colouring),
    ):
        art, job = piece(name, work)
        desk = Desk(folder=work)
        desk.open(art, job, anew=True)
        served(desk, lambda at, s=size, d=scheme, f=does: shoot(browser, at, f"page{s}", s, d, f))


def the_proof(browser: Browser, work: Path) -> None:
    """Show the proof at both sizes."""
    for size, name, scheme, does in (
        ("1024", "bracer", "light", lambda _: None),
        ("1600", "mask", "dark", weak_place),
    ):
        art, job = piece(name, work)
        pipeline.make(art, work / name, job)
        shoot(browser, (work / name / "proof.html").as_uri(), f"proof{size}", size, scheme, does)


def weak_place(page: Page) -> None:
    """Go to the first stop."""
    page.locator("details.stop li button").first.click()


def colouring(page: Page) -> None:
    """Brush a colour over two openings."""
    page.check("#hand [value=colour]", force=True)
    page.check("#swatches [value=gold]")
    page.fill("#numbers", "27, 30")
    page.keyboard.press("Enter")
    page.wait_for_selector("[data-field][fill='#c29b3f']")


def served(desk: Desk, does: Callable[[str], None]) -> None:
    """Serve a desk while something is done with its address."""
    taken = listening()
    host = f"127.0.0.1:{taken.getsockname()[1]}"
    app = app_of(desk, host=host, token=TOKEN)
    server = uvicorn.Server(uvicorn.Config(app, log_level="error", ws="none", lifespan="off"))
    thread = threading.Thread(target=server.run, kwargs={"sockets": [taken]})
    thread.start()
    while not server.started:
        time.sleep(0.01)
    does(f"http://{host}/{TOKEN}/")
    server.should_exit = True
    thread.join()
    taken.close()


def shoot(
    browser: Browser,
    address: str,
    name: str,
    size: str,
    scheme: Scheme,
    does: Callable[[Page], None],
) -> None:
    """Open an address, do something there, and keep what is seen."""
    width, height = SIZES[size]
    tab = browser.new_context(viewport={"width": width, "height": height}, color_scheme=scheme)
    page = tab.new_page()
    page.goto(address)
    page.wait_for_selector("details:visible")
    does(page)
    page.wait_for_timeout(500)
    page.screenshot(path=SCREENS / f"{name}.png")
    tab.close()


if __name__ == "__main__":
    sys.exit(main())
