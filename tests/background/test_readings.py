"""Readings behind the guess against closed forms: turning of walls, what hangs by a region, trees, twins."""

import numpy as np
import pytest
import shapely
from shapely import LineString, Point, affinity, box

from filigree.regions.background.alike import groups
from filigree.regions.background.bends import bends
from filigree.regions.background.hold import hold
from filigree.regions.background.junctions import far_turns, turns
from filigree.regions.background.lines import outlines
from filigree.regions.background.trees import Tree, Trees, odds
from filigree.regions.background.walls import walls


def read(shape, thick):
    return bends(walls(np.array([shape])), np.array([thick]))


def test_a_disc_turns_once_and_is_full():
    found = read(Point(0, 0).buffer(8, quad_segs=64), 8.0)
    assert found.curve_out[0] == pytest.approx(1, abs=0.02)  # closed form: one full turn
    assert found.fullness[0] == pytest.approx(1, abs=0.02)  # bend 1 / r times thickness r
    assert found.corner_out[0] == found.curve_in[0] == 0


def test_the_wall_of_a_hole_bends_in():
    ring = Point(0, 0).buffer(20, quad_segs=64) - Point(0, 0).buffer(10, quad_segs=64)
    found = read(ring, 5.0)
    assert found.curve_in[0] == pytest.approx(1, abs=0.02)
    assert found.long_in[0] == pytest.approx(1 / 3, abs=0.02)  # of 20 pi + 40 pi


def test_corners_are_corners_sharp_or_rounded():
    """Four quarter turns; what is read at the brink of a corner counts as curve, the same for both."""
    square = box(0, 0, 20, 20)
    sharp = read(square, 10.0)
    assert sharp.corner_out[0] + sharp.curve_out[0] == pytest.approx(1, abs=0.02)
    assert sharp.corner_out[0] > 0.75
    for radius in (0.3, 0.55):
        round_pen = read(square.buffer(-radius).buffer(radius, quad_segs=12), 10.0)
        assert round_pen.corner_out == pytest.approx(sharp.corner_out, abs=0.1)
        assert round_pen.long_straight == pytest.approx(sharp.long_straight, abs=0.1)


def test_flattening_shows_in_no_reading():
    coarse = read(Point(0, 0).buffer(8, quad_segs=24), 8.0)
    fine = read(Point(0, 0).buffer(8, quad_segs=200), 8.0)
    assert coarse.curve_out == pytest.approx(fine.curve_out, abs=0.02)
    assert coarse.long_out == pytest.approx(fine.long_out, abs=0.02)


def test_what_hangs_by_a_region():
    """Edge - 0 - 1 - {2, 3}; 4 touches 0 and the edge, so it hangs by nothing."""
    pairs = np.array([[0, 1], [1, 2], [1, 3], [2, 3], [0, 4]])
    edge = np.array([True, False, False, False, True])
    found = hold(pairs, edge, np.array([1.0, 2.0, 4.0, 8.0, 16.0]))
    assert found.loose.tolist() == [3, 2, 0, 0, 0]
    assert found.parts.tolist() == [1, 1, 0, 0, 0]
    assert found.loose_area.tolist() == [14, 12, 0, 0, 0]
    assert found.depth.tolist() == [1, 2, 3, 3, 1]


def divided(*lines):
    faces = shapely.get_parts(shapely.polygonize([shapely.union_all(lines)]))
    return faces[np.lexsort(shapely.get_coordinates(shapely.centroid(faces)).T[::-1])]


def fillet(corner, into, radius):
    """A quarter round in a square corner, on the side that `into` points to."""
    a = np.linspace(0, np.pi / 2, 12)
    x = corner[0] + into[0] * radius * (1 - np.cos(a))
    y = corner[1] + into[1] * radius * (1 - np.sin(a))
    return LineString(np.column_stack([x, y]))


def test_a_t_is_seen_behind_a_rounded_corner():
    """A bar across the top and a stem below it, whose corner with the bar is rounded as a pen does."""
    frame = box(0, 0, 40, 40).exterior
    bar = LineString([(0, 20), (40, 20)])
    stem = LineString([(20, 20), (20, 40)])
    for lines in ([stem], [LineString([(20, 20.55), (20, 40)]), fillet((20, 20), (1, 1), 0.55)]):
        shapes = divided(frame, bar, *lines)
        assert len(shapes) == 3
        top = int(np.argmin(shapely.bounds(shapes)[:, 1]))
        found = far_turns(walls(shapes), 3)
        assert found.top[top] == 1
        assert np.delete(found.top, top).tolist() == [0, 0]


def test_a_strand_goes_on_beneath_another_by_both_edges():
    over = [LineString([(15, 0), (15, 40)]), LineString([(25, 0), (25, 40)])]
    under = [LineString([(a, y), (b, y)]) for y in (18, 22) for a, b in ((0, 15), (25, 40))]
    shapes = divided(box(0, 0, 40, 40).exterior, *over, *under)
    wall = walls(shapes)
    _, met = turns(wall, len(shapes), np.empty(0, dtype=np.int64))
    found = outlines(wall, met, len(shapes), np.empty(0, dtype=np.int64)).beneath
    twice = found.pairs[found.lines == 2]
    heights = shapely.get_coordinates(shapely.centroid(shapes))[:, 1]
    assert len(twice) == 1
    assert heights[twice[0]] == pytest.approx([20, 20])  # the two ends of the strand
    assert len(found.pairs[found.lines == 1]) == 2  # the fields beside it, above and below


def test_trees_add_up():
    trees = Trees(
        note="",
        cues=("a", "b"),
        trees=(
            Tree(
                feature=(0, 1, 0),
                cut=(0.5, 0.0, 2.0),
                below=(1, -1, -3),
                above=(2, -2, -4),
                value=(1.0, 2.0, 4.0, 8.0),
            ),
            Tree(feature=(1,), cut=(0.0,), below=(-1,), above=(-2,), value=(0.25, 0.75)),
            Tree(feature=(), cut=(), below=(), above=(), value=(10.0,)),
        ),
    )
    cues = np.array([[0.0, -1.0], [0.0, 1.0], [1.0, 0.0], [3.0, 1.0]])
    assert odds(trees, cues).tolist() == [11.25, 12.75, 14.25, 18.75]  # worked by hand
    assert [odds(trees, cues[k : k + 1])[0] for k in range(4)] == [11.25, 12.75, 14.25, 18.75]
    assert odds(trees, cues[:0]).shape == (0,)
    many = np.repeat(cues, 20_000, axis=0)  # more than are followed at once
    assert odds(trees, many).tolist() == np.repeat(odds(trees, cues), 20_000).tolist()


def test_a_tree_of_one_leaf_and_no_tree_at_all():
    leaf, split = Tree((), (), (), (), (0.5,)), Tree((0,), (0.0,), (-1,), (-2,), (1.0, 2.0))
    cues = np.array([[-1.0], [0.0], [1.0]])  # a cue at the cut goes below
    both = Trees(note="", cues=("a",), trees=(leaf, split))
    assert odds(both, cues).tolist() == [1.5, 1.5, 2.5]
    assert odds(Trees(note="", cues=("a",), trees=()), cues).tolist() == [0.0, 0.0, 0.0]


def test_most_of_a_drawing_mirrored_ties_its_halves():
    """Eight pairs of discs and one disc too many: the pairs are twins, the odd one is by itself."""
    left = [Point(x, y).buffer(1 + 0.1 * y + 0.01 * x) for x in (-8, -3) for y in (0, 3, 6, 9)]
    right = [affinity.scale(p, -1, 1, origin=(0, 0)) for p in left]
    shapes = np.array([*left, *right, Point(0.5, 4.5).buffer(0.8)])
    thick = np.sqrt(shapely.area(shapes) / np.pi)
    twin = groups(shapes, thick).twin
    assert (twin[:8] == twin[8:16]).all()
    assert (twin[16] != twin[:16]).all()
    assert len(np.unique(twin)) == 9
