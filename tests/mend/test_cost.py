"""What mending costs, counted and not timed: a second look goes only where something has changed."""

import numpy as np
import shapely
from shapely import Point

from filigree.geometry import necks
from filigree.geometry.shortest import shortest_lines
from filigree.measure.necks import necks_of
from filigree.mend import widen
from filigree.mend.taking import Known, take
from tests.make.shapes import pattern
from tests.mend.test_mend import limits, mended

WANTED = limits().bridge.good


def plate(thin):
    """100 round holes, their bridges wide enough but for those left of the holes named."""
    pitch = 10 + WANTED + 0.5
    holes = []
    for k, (i, j) in enumerate(np.ndindex(10, 10)):
        by = 0.8 if k in thin else 0.0
        holes.append(Point(pitch * i - by, pitch * j).buffer(5, quad_segs=16))
    return pattern(*holes, margin=3 * WANTED)


def test_the_whole_face_is_looked_at_once(monkeypatch):
    """One bridge of 100 holes is too thin: all searches but the first look between a tenth of the runs."""
    shares = []

    def told(rings, runs, *, among=None, **more):
        shares.append(1.0 if among is None else len(among) / len(runs.first))
        return shortest_lines(rings, runs, among=among, **more)

    monkeypatch.setattr(necks, "shortest_lines", told)
    done = mended(plate({55}))
    assert len(done.changes) == 1
    assert shares[0] == 1.0
    assert 1 <= len(shares[1:]) <= 2
    assert max(shares[1:]) < 0.1
    monkeypatch.undo()
    assert min(n.width for n in necks_of(done.pattern, under=2 * WANTED)) >= WANTED - 1e-6


def test_leather_meets_only_the_holes_beside_it_and_once(monkeypatch):
    """Two bridges, four holes: four overlays, and none when the same is asked again."""
    asked = []

    def told(*given, **more):
        asked.append((given, more))
        return take(*given, **more)

    monkeypatch.setattr(widen, "take", told)
    mended(plate({33, 77}))
    given, more = asked[0]
    known = more["known"]
    assert sorted(i for i, _ in known.pieces) == [
        24,
        34,
        68,
        78,
    ]  # numbered from 1, down each column
    fresh = take(*given, **{**more, "known": Known()})
    monkeypatch.setattr(shapely, "intersection", None)
    again = take(*given, **more)
    assert again.lost == fresh.lost
    assert again.by_patch == fresh.by_patch
