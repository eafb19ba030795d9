"""The page: from a click to the findings it leads to, and from a change of thickness or cutting way.

    python scripts/bench/page.py [--many]

First for each drawing of the gallery what the server alone needs: openings, fields, least and middle processor
time of a click, least and middle time on the clock with the state kept on disk, the same of thickness, and the
size of the answer. Then in Chromium, with `filigree page` in a process of its own, from the event until the new
findings are painted: middle, 90th percentile, worst; and the mean processor time of server, browser and the
driver of the test together, which no busy machine lengthens. `--many` adds a face with 2,000 openings. Times are ms.
"""

import contextlib
import math
import os
import re
import shutil
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

import msgspec
from playwright.sync_api import Page, sync_playwright

from filigree.job import load_job
from filigree.page import edits
from filigree.page.desk import Desk

GALLERY = Path(__file__).resolve().parents[2] / "gallery"
ROUNDS = 8
WATCHED = (
    "quiver",
    "silhouette",
    "mask",
)  # the most openings, the slowest to measure, the most findings
WAYS = ("laser", "knife")
Change = tuple[
    Callable[[], None] | None, Callable[[], None]
]  # what comes before, and what is timed
SIDE = 7.2  # mm between the openings of the large face

WATCH = """
window.took = null;
window.told = null;
let began = 0;
for (const kind of ["pointerdown", "change", "keydown"])
  window.addEventListener(kind, (event) => { began = event.timeStamp; }, true);
new MutationObserver(() => requestAnimationFrame(() => {
  const { port1, port2 } = new MessageChannel();
  port1.onmessage = () => {
    window.took = performance.now() - began;
    window.told?.(window.took);
  };
  port2.postMessage(0);
})).observe(document.body, { attributes: true, attributeFilter: ["data-turn"] });
"""


def main() -> int:
    """Time every drawing of the gallery; 0."""
    print(
        "piece         openings fields  click: cpu        clock       thickness: cpu        bytes"
    )
    with tempfile.TemporaryDirectory() as between:
        work = Path(between)
        for art in sorted(GALLERY.glob("*/*.svg")):
            copy = work / art.name
            shutil.copyfile(art, copy)
            desk = Desk(folder=work, patience=math.inf)
            desk.open(copy, load_job(art.with_name("job.toml")))
            if desk.look.drawn is not None and desk.look.drawn.openings:
                print(row(desk, art.stem), flush=True)
        print("\nin Chromium, what was done        middle  90th  worst processor")
        for name in WATCHED:
            in_browser(work / f"{name}.svg", "--job", str(GALLERY / name / "job.toml"), rounds=20)
        if "--many" in sys.argv:
            (work / "many.svg").write_text(many(50, 40), encoding="utf-8")
            in_browser(work / "many.svg", rounds=8)
    return 0


def row(desk: Desk, name: str) -> str:
    """Time one piece without a browser."""
    openings = desk.look.drawn.openings
    fields = [o.regions[0] for o in openings]
    clicks = [(fields[k // 2 % len(fields)], ("keep", "open")[k % 2]) for k in range(2 * ROUNDS)]
    weights = [f"{2 + k / 10:g} mm" for k in range(ROUNDS)]  # none that was measured before
    cpu, clock = timed(
        desk,
        [
            lambda job, on, f=field, k=kind: edits.picked(job, on.piece.regions, [f], k)
            for field, kind in clicks
        ],
    )
    judged, _ = timed(
        desk, [lambda job, _, w=w: edits.with_settings(job, {"face.thickness": w}) for w in weights]
    )
    size = len(msgspec.json.encode(desk.told()))
    return (
        f"{name:<13} {len(openings):>8} {len(desk.piece.regions.regions):>6}  {least(cpu)}   "
        f"{least(clock)}   {least(judged)}   {size:>9}"
    )


def timed(desk: Desk, changes: list[Callable]) -> tuple[list[float], list[float]]:
    """Make changes; processor time and clock time of each, s."""
    cpu, clock = [], []
    for change in changes:
        began, wall = time.process_time(), time.perf_counter()
        desk.change(desk.turn, change)
        msgspec.json.encode(desk.told())
        cpu.append(time.process_time() - began)
        clock.append(time.perf_counter() - wall)
    return cpu, clock


def least(times: list[float]) -> str:
    """Least and middle, ms."""
    return f"{1000 * min(times):>5.0f} / {1000 * statistics.median(times):<5.0f}"


def in_browser(art: Path, *options: str, rounds: int) -> None:
    """Time clicks, thickness and cutting way of one piece on the page itself."""
    command = [sys.executable, "-m", "filigree", "page", art.name, "--no-browser", "--anew"]
    with subprocess.Popen(
        [*command, *options], cwd=art.parent, stdout=subprocess.PIPE, text=True
    ) as server:
        try:
            address = re.search(r"http://\S+", server.stdout.readline()).group()
            with sync_playwright() as driver:
                browser = driver.chromium.launch(
                    executable_path=shutil.which("chromium"), args=["--headless", "--no-sandbox"]
                )
                page = browser.new_page(viewport={"width": 1600, "height": 1000})
                page.set_default_timeout(120_000)
                page.goto(address)
                page.wait_for_selector("body[data-ready]")
                page.evaluate(WATCH)
                said = f"{art.stem}, {page.locator('[aria-checked=true]').count()} openings"
                for does, changes in kinds(page, rounds).items():
                    rows = [one(page, change) for change in changes][1:]  # the first warms up
                    took = [clock for clock, _ in rows]
                    ninth = statistics.quantiles(took, n=10)[-1]
                    print(
                        f"{f'{said}: {does}':<34} {statistics.median(took):>5.0f} {ninth:>5.0f} "
                        f"{max(took):>5.0f} {statistics.mean(used for _, used in rows):>9.0f}",
                        flush=True,
                    )
                browser.close()
        finally:
            server.kill()


def kinds(page: Page, rounds: int) -> dict[str, list[Change]]:
    """Give for each kind of change what is done in turn; each for the first time on its pattern."""
    clicks = [spot for at in places(page, rounds // 2) for spot in (at, at)]
    weights = [f"{tenths / 10:g} mm" for tenths in range(14, 14 + 2 * rounds)]
    return {
        "a click": [(None, lambda at=at: page.mouse.click(*at)) for at in clicks],
        "thickness": [(None, lambda w=w: thick(page, w)) for w in weights[:rounds]],
        "cutting way": [
            (lambda w=w: thick(page, w), lambda k=k: page.select_option("#way", WAYS[k % 2]))
            for k, w in enumerate(weights[rounds:])
        ],
    }


def one(page: Page, change: Change) -> tuple[float, float]:
    """Make one change and wait until what it leads to is painted; ms on the clock, and of processors."""
    prepare, does = change
    if prepare is not None:
        one(page, (None, prepare))
    page.evaluate("took = null")
    before = processor(os.getpid())
    does()
    took = page.evaluate("() => took ?? new Promise((done) => { told = done; })")
    return took, processor(os.getpid()) - before


def processor(pid: int) -> float:
    """Processor time of the children of a process and of theirs, ms."""
    tick = 1000 / os.sysconf("SC_CLK_TCK")
    total = 0.0
    for child in children(pid):
        with contextlib.suppress(OSError):
            words = (
                Path(f"/proc/{child}/stat").read_text(encoding="ascii").rpartition(")")[2].split()
            )
            total += tick * (int(words[11]) + int(words[12]))
    return total


def children(pid: int) -> list[int]:
    """Every process that a process has started, and those that these have."""
    out = []
    for task in Path(f"/proc/{pid}/task").iterdir():
        with contextlib.suppress(OSError):
            out += [int(word) for word in (task / "children").read_text(encoding="ascii").split()]
    return out + [deeper for child in out for deeper in children(child)]


def thick(page: Page, weight: str) -> None:
    """Write a thickness and press Enter."""
    page.fill("#thickness", weight)
    page.press("#thickness", "Enter")


def places(page: Page, count: int) -> list[tuple[float, float]]:
    """Where so many openings, spread over the piece, are on the screen."""
    return page.evaluate(
        """(count) => {
          const open = [...document.querySelectorAll("[data-field][aria-checked=true]")];
          const all = [...document.querySelectorAll("[data-field]")];
          const numbers = document.querySelectorAll("svg .number");
          const step = Math.max(1, Math.floor(open.length / count));
          return open.filter((_, k) => k % step === 0).slice(0, count).map((shape) => {
            const number = numbers[all.indexOf(shape)];
            const [x, y] = [number.getAttribute("x"), shape.getBBox()];
            const at = new DOMPoint(x, y.y + y.height / 2).matrixTransform(shape.getScreenCTM());
            for (const [dx, dy] of [[0, 0], [0, 3], [3, 0], [0, -3], [-3, 0], [0, 8], [0, -8], [8, 0], [-8, 0]])
              if (document.elementFromPoint(at.x + dx, at.y + dy) === shape) return [at.x + dx, at.y + dy];
            return null;
          }).filter(Boolean);
        }""",
        count,
    )


def many(across: int, down: int) -> str:
    """Draw a face with many round openings, 2.2 mm between them."""
    wide, high = (across + 3) * SIDE, (down + 3) * SIDE
    rings = "".join(
        f'<circle cx="{(i + 2) * SIDE:.2f}" cy="{(j + 2) * SIDE:.2f}" r="2.5"/>'
        for i in range(across)
        for j in range(down)
    )
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{wide}mm" height="{high}mm" viewBox="0 0 {wide} {high}">'
        f'<g fill="none" stroke="#000" stroke-width="0.3"><rect x="2" y="2" width="{wide - 4}" height="{high - 4}"/>{rings}</g></svg>'
    )


if __name__ == "__main__":
    sys.exit(main())
