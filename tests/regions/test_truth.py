"""Faces against independent methods, and what moving, turning and shuffling the drawing must not change."""

import itertools

import networkx as nx
import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import ndimage
from skimage.draw import line as pixels

from filigree.regions.divide import divide
from tests.regions.draw import box, broken, circle, drawing, lattice, line, waved


def scribble(seed, *, lines=12, rings=4):
    """Long lines and rings at random; no field's count is known but to an independent method."""
    rng = np.random.default_rng(seed)
    long = [rng.uniform(0, 100, (rng.integers(2, 5), 2)) for _ in range(lines)]
    round_ = [circle(*rng.uniform(20, 80, 2), rng.uniform(3, 25), 40) for _ in range(rings)]
    return long + round_


def plain(lines):
    """Faces with nothing mended."""
    return divide(drawing(lines), gap=0, sliver=0)


def areas(found):
    return sorted(r.area_mm2 for r in found.regions)


@pytest.mark.parametrize("seed", range(12))
def test_faces_are_those_of_polygonize(seed):
    lines = scribble(seed)
    noded = shapely.union_all([shapely.MultiLineString(lines)])
    faces = shapely.get_parts(shapely.polygonize(shapely.get_parts(noded)))
    found = plain(lines)
    assert areas(found) == pytest.approx(sorted(shapely.area(faces)), abs=1e-9)
    assert all(shapely.is_valid([r.shape for r in found.regions]))


@pytest.mark.parametrize("seed", range(4))
def test_faces_are_as_many_as_euler_counts(seed):
    # faces enclosed = edges - nodes + connected pieces, of a graph built by another library
    lines = scribble(seed, lines=8)
    noded = shapely.get_parts(shapely.union_all([shapely.MultiLineString(lines)]))
    graph = nx.MultiGraph((tuple(p.coords[0]), tuple(p.coords[-1])) for p in noded)
    count = (
        graph.number_of_edges() - graph.number_of_nodes() + nx.number_connected_components(graph)
    )
    assert len(plain(lines).regions) == count


@pytest.mark.parametrize("seed", range(4))
def test_faces_are_those_of_a_picture(seed):
    lines = scribble(seed, lines=6, rings=3)
    scale = 12  # pixels a mm
    ink = np.zeros((101 * scale, 101 * scale), dtype=bool)
    for points in lines:
        at = np.round(points * scale).astype(int)
        for (x0, y0), (x1, y1) in itertools.pairwise(at):
            rows, columns = pixels(y0, x0, y1, x1)
            ink[rows, columns] = True
    seen, count = ndimage.label(~ink)
    outside = {seen[0, 0]}
    y, x = np.mgrid[0 : ink.shape[0], 0 : ink.shape[1]] / scale
    owner = {}
    for region in plain(lines).regions:
        well_inside = region.shape.buffer(-2 / scale)
        shapely.prepare(well_inside)
        labels = set(np.unique(seen[shapely.contains_xy(well_inside, x, y)]).tolist()) - {0}
        assert not labels & outside
        assert not labels & owner.keys()  # a label lies in one region
        owner |= dict.fromkeys(labels, region.id)
    sizes = np.bincount(seen.ravel(), minlength=count + 1)
    fair = {k for k in range(1, count + 1) if sizes[k] > 60 and k not in outside}
    narrow = {
        k for k in fair - owner.keys() if ndimage.binary_erosion(seen == k, np.ones((5, 5))).any()
    }
    assert not narrow  # every field of the picture is a region


@settings(max_examples=15, deadline=None, derandomize=True)
@given(
    seed=st.integers(0, 1000),
    turn=st.floats(0, 6.28),
    mirror=st.booleans(),
    factor=st.floats(0.5, 3),
    shift=st.tuples(st.floats(-50, 50), st.floats(-50, 50)),
)
def test_moving_turning_mirroring_and_scaling_change_no_region(seed, turn, mirror, factor, shift):
    lines = scribble(seed, lines=6, rings=3)
    c, s = np.cos(turn) * factor, np.sin(turn) * factor
    matrix = np.array([[c, s], [-s, c]]) @ np.diag([-1.0 if mirror else 1.0, 1.0])
    moved = [points @ matrix + shift for points in lines]
    one, other = plain(lines), plain(moved)
    assert areas(other) == pytest.approx([a * factor**2 for a in areas(one)], rel=1e-6, abs=1e-6)
    assert sorted(other.shared) == pytest.approx(sorted(one.shared * factor), rel=1e-6, abs=1e-6)
    assert other.outline.area == pytest.approx(one.outline.area * factor**2)


@settings(max_examples=10, deadline=None, derandomize=True)
@given(seed=st.integers(0, 1000), mix=st.randoms(use_true_random=False))
def test_the_order_and_direction_of_the_lines_change_nothing(seed, mix):
    rng = np.random.default_rng(seed)
    lines = broken(lattice(4, 5), rng, step=5, share=0.5, widest=0.8)
    lines = [*waved(lines, step=5), box(7, 7, 3, 3), box(7.02, 7.01, 3, 3)]
    shuffled = [p[::-1] if mix.random() < 0.5 else p for p in mix.sample(lines, len(lines))]
    one, other = divide(drawing(lines)), divide(drawing(shuffled))
    assert [r.id for r in one.regions] == [r.id for r in other.regions]
    assert [r.area_mm2 for r in one.regions] == [r.area_mm2 for r in other.regions]
    assert [r.at for r in one.regions] == [r.at for r in other.regions]
    assert one.pairs.tolist() == other.pairs.tolist()
    assert one.tidied == other.tidied


@pytest.mark.parametrize("seed", range(4))
def test_fields_and_islands_fill_the_outlines(seed):
    found = plain(scribble(seed))
    outlines = [found.outline, *found.outlines]
    assert sum(areas(found)) == pytest.approx(sum(o.area for o in outlines), rel=1e-9)
    assert [o.area for o in outlines] == sorted((o.area for o in outlines), reverse=True)


@pytest.mark.parametrize("seed", range(4))
def test_vertices_that_nothing_moved_keep_their_exact_coordinates(seed):
    # source curves are found again by them
    rng = np.random.default_rng(seed)
    lines = waved(broken(lattice(4, 4), rng, step=5, share=0.4, widest=0.8), step=5, turn=0.3)
    found = divide(drawing(lines))
    kept = {tuple(p) for r in found.regions for p in shapely.get_coordinates(r.shape)}
    kept |= {tuple(p) for p in shapely.get_coordinates(found.loose)}
    drawn = {tuple(p) for points in lines for p in points}
    tips = {tuple(points[k]) for points in lines for k in (0, -1)}
    assert drawn - kept <= tips  # ends that ran a hair over the border
    assert found.regions[15:]


def test_neighbours_share_the_length_of_line_between_them():
    found = divide(drawing([box(0, 0, 30, 10), line((10, 0), (10, 10)), box(20, 3, 4, 4)]))
    sizes = {r.id: r.area_mm2 for r in found.regions}
    assert {
        (sizes[a], sizes[b]): s for (a, b), s in zip(found.pairs, found.shared, strict=True)
    } == {
        (100.0, 184.0): pytest.approx(10),
        (184.0, 16.0): pytest.approx(16),
    }


@pytest.mark.parametrize("seed", range(5))
def test_numbers_stay_when_the_drawing_moves_a_little(seed):
    rng = np.random.default_rng(seed)
    boxes = [(12 * c, 9 * r, 6, 5) for r in range(5) for c in range(6)]
    still = divide(drawing([box(*b) for b in boxes]))
    jittered = [box(*(np.array(b) + rng.uniform(-0.15, 0.15, 4))) for b in boxes]
    moved = divide(drawing(jittered))
    for one, other in zip(still.regions, moved.regions, strict=True):
        assert np.hypot(*np.subtract(one.at, other.at)) < 1.5


def test_numbers_run_along_rows_of_a_half_drop():
    # every other column half a step lower: rows, not a zigzag
    boxes = [(10 * c, 10 * r + 5 * (c % 2), 8, 8) for r in range(3) for c in range(4)]
    found = divide(drawing([box(*b) for b in boxes]))
    tops = [r.shape.bounds[1] for r in found.regions]
    assert tops == [0, 0, 5, 5, 10, 10, 15, 15, 20, 20, 25, 25]
