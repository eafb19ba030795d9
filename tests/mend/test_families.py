"""Mending of generated drawings: what cannot be mended is told, place by place, and halves stay alike."""

import math
from pathlib import Path

import pytest
import shapely
from shapely import affinity

from filigree import pipeline
from filigree.checks import judge
from filigree.job import CutLoss, Face, Job, limits_of, load_job, loss_of
from filigree.measure import measure
from filigree.mend.mend import mend
from filigree.pattern import pattern_of
from filigree.regions.background.choose import choose
from filigree.regions.divide import divide
from tests.make.families import FAMILIES, marked, symmetric

NOTHING = CutLoss(kerf=0, char=0, bevel=0)
NEAR = 0.5  # mm from a place that is told
SEEDS = [(f, s, t) for f, t in [("vine", "4-5 oz"), ("leaves", "7-8 oz")] for s in (0, 1)] + [
    (f, s, t) for f, t in [("knot", "2-3 oz"), ("rosette", "4-5 oz")] for s in (0, 1)
]

MIRRORED = [(f, 0) for f in ("vine", "leaves", "foliage", "panels", "fish", "acanthus", "lilies")]
MIRRORED += [("letters", 0), ("mandala", 0), ("scroll", 1)]


def wkb(done):
    return [o.shape.wkb for o in done.pattern.openings]


def pattern_made(made):
    regions = divide(made.drawing)
    pattern = pattern_of(regions, choose(regions, made.drawing), drawing=made.drawing, inlay="red")
    return pattern, len(regions.regions) + 1


@pytest.mark.parametrize(("family", "seed", "thickness"), SEEDS)
def test_every_stop_and_thin_bridge_that_is_left_is_told(family, seed, thickness):
    pattern, free = pattern_made(marked(FAMILIES[family](seed)))
    limits = limits_of(Job(face=Face(thickness=thickness)))
    done = mend(pattern, limits, loss=NOTHING, first_free=free)
    told = [u.at for u in done.unmended]
    found = measure(done.pattern, wanted=limits.bridge.good)
    left = [n.middle for n in found.necks if n.width < limits.bridge.good - 0.01]
    left += [f.at for f in judge(found, limits) if f.severity == "stop"]
    assert [at for at in left if all(math.dist(at, t) > NEAR for t in told)] == []
    assert all(u.why for u in done.unmended)
    gone = {i for c in done.changes if c.how == "fill" for i, _ in c.lost}
    assert set(done.filled) >= gone
    again = mend(pattern, limits, loss=NOTHING, first_free=free, listed=done.entries)
    if done.entries:
        assert wkb(again) == wkb(done)


@pytest.mark.parametrize(("family", "seed"), MIRRORED)
def test_a_design_that_is_its_own_mirror_image_stays_so(family, seed):
    """Also where openings give one-sidedly, and where loose parts are tied."""
    made = marked(symmetric(FAMILIES[family](seed)))
    pattern, free = pattern_made(made)
    limits = limits_of(Job(face=Face(thickness="4-5 oz")))
    before = shapely.union_all([o.shape for o in pattern.openings])
    done = mend(pattern, limits, loss=NOTHING, first_free=free)
    after = shapely.union_all([o.shape for o in done.pattern.openings])
    own = before.symmetric_difference(affinity.scale(before, -1, 1, origin=(made.mirror, 0))).area
    now = after.symmetric_difference(affinity.scale(after, -1, 1, origin=(made.mirror, 0))).area
    assert done.changes
    assert now <= own + 0.001 * sum(c.added.area for c in done.changes)
    again = mend(pattern, limits, loss=NOTHING, first_free=free, listed=done.entries)
    assert wkb(again) == wkb(done)


def test_the_list_of_the_mask_gives_the_same_bytes():
    """Some of its changes are mirror images of leather that took nothing on its own side."""
    folder = Path(__file__).parents[2] / "gallery" / "mask"
    job = load_job(folder / "job.toml")
    read_in = pipeline.plan(folder / "mask.svg", job).worked
    known = {
        "loss": loss_of(job),
        "first_free": len(read_in.regions.regions) + 1,
        "veins": read_in.regions.loose,
    }
    done = mend(read_in.pattern, limits_of(job), **known)
    again = mend(read_in.pattern, limits_of(job), **known, listed=done.entries)
    assert len(done.changes) > 20
    assert wkb(again) == wkb(done)
    assert again.entries == done.entries


@pytest.mark.parametrize("family", ["letters", "vine", "lilies", "frieze"])
def test_mending_takes_no_leather_away(family):
    """Rounding a corner where two edges nearly meet once cut a letter out of the face."""
    pattern, free = pattern_made(marked(FAMILIES[family](0)))
    limits = limits_of(Job(face=Face(thickness="4-5 oz")))
    done = mend(pattern, limits, loss=NOTHING, first_free=free)
    assert pattern.land.difference(done.pattern.land).area < 1e-6
    lost = sum(a for c in done.changes for _, a in c.lost)
    taken = sum(o.area_mm2 for o in pattern.openings) - sum(
        o.area_mm2 for o in done.pattern.openings
    )
    assert lost == pytest.approx(taken, abs=0.2)


@pytest.mark.parametrize("family", ["vine", "foliage", "lilies", "fish", "serpents"])
def test_thicker_leather_never_loses_less_where_both_can_be_mended(family):
    pattern, free = pattern_made(marked(FAMILIES[family](0)))
    lost = []
    for thickness in ("1-2 oz", "2-3 oz", "4-5 oz", "6-7 oz"):
        limits = limits_of(Job(face=Face(thickness=thickness)))
        done = mend(pattern, limits, loss=NOTHING, first_free=free)
        if not done.unmended:
            lost.append(done.pattern.land.area - pattern.land.area)
    assert len(lost) > 2
    assert lost == sorted(lost)
    assert lost[-1] > lost[0]
