"""The road of a drawing, step by step, as in a notebook: python scripts/example.py [DRAWING [FOLDER]].

Each part below begins with `# %%`, which editors with notebooks run by itself. Every step is a function from one noun to
the next; nothing is written before the last part. Lengths are mm, y down from the page's top left.
"""

# %% A job: the settings of one piece. What is not said here is a default of `filigree/job/defaults.py`.
import sys
from pathlib import Path

from filigree.job import Job, limits_of, loss_of, with_overrides

GALLERY = Path(__file__).resolve().parents[1] / "gallery"
art = Path(sys.argv[1]) if len(sys.argv) > 1 else GALLERY / "bracer" / "bracer.svg"
out = Path(sys.argv[2]) if len(sys.argv) > 2 else Path("example-cut")
job = with_overrides(Job(), {"face.thickness": "5-6 oz", "inlay.colour": "navy"})
limits = limits_of(job)
print(f"bridges: wanted {limits.bridge.good:.2f} mm, stop under {limits.bridge.stop:.2f} mm")

# %% Read: art of any kind to lines, areas and marks in mm, as the eye sees them.
from filigree.drawing.read import read

drawing = read(art, job)
print(f"{drawing.name}: {drawing.width:g} x {drawing.height:g} mm, {len(drawing.lines)} lines")

# %% Divide: lines to the fields they enclose, numbered in reading order.
from filigree.regions.divide import divide
from filigree.regions.rim import with_true_outline

regions = with_true_outline(divide(drawing, gap=job.limits.gap))
smallest = min(regions.regions, key=lambda region: region.area_mm2)
print(
    f"{len(regions.regions)} fields, the smallest number {smallest.id} with {smallest.area_mm2:.1f} mm2"
)

# %% Choose: which fields are background and come out. A pick is a point inside the field meant.
from filigree.regions.background.choose import choose

choices = choose(regions, drawing, picks_open=job.choose.open, picks_keep=job.choose.keep)
unsure = [choice.region for choice in choices if choice.sure < job.limits.sure]
print(f"{sum(choice.kind == 'background' for choice in choices)} come out; to look at: {unsure}")

# %% Pattern: outline, openings with the inlay behind each, and the land that stays.
from filigree.pattern import pattern_of

pattern = pattern_of(regions, choices, drawing=drawing, inlay=job.inlay.colour)
if pattern is None:
    sys.exit("no outline: draw the edge of the piece round everything")
print(f"{len(pattern.openings)} openings, {pattern.land.area / 100:.0f} cm2 of face stay")

# %% Measure, then judge: measuring knows no limits, judging no geometry. So another leather is judged at once.
from filigree.checks import judge
from filigree.measure import measure
from filigree.measure.finished import finished

measures = measure(finished(pattern, loss_of(job)), wanted=limits.bridge.good)
for weight in ("3-4 oz", "5-6 oz", "10-11 oz"):
    other = limits_of(with_overrides(job, {"face.thickness": weight}))
    stops = [finding for finding in judge(measures, other) if finding.severity == "stop"]
    print(f"{weight}: {'holds' if not stops else stops[0].say}")

# %% Build: the plies, each a set of cut lines with the side it is cut from.
from filigree.plies.build import build

plies = build(pattern, job)
for ply in plies:
    print(f"{ply.file}: {ply.area_mm2 / 100:.0f} cm2, cut from the {ply.cut_from} side")

# %% Write: bytes by file name. The files of `filigree make` come from one call that walks the whole road.
from filigree.output.svg import ply_svg
from filigree.pipeline import make

face = ply_svg(plies[0])
piece = make(art, out, job, files="cuts")
print(f"{'meets' if piece.holds else 'does not meet'} the limits; the files are in {out.name}")
print(f"face.svg is the same either way: {face == (out / 'face.svg').read_bytes()}")
