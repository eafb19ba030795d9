"""Straight stretches: one line where the hand drew one, bows and wobble as drawn, ends that still meet."""

import numpy as np
import pytest

from filigree.drawing.scan.fitted import fit_lines
from filigree.drawing.scan.ruled import with_straights
from tests.make.scan_art import border

STEP = 25.4 / 300  # mm: a pixel at 300 dpi
GRAIN = 0.006  # mm, standard deviation of a pencil line's middle (measured on made scans)
NONE = np.zeros((0, 2))


def trembling(line, seed, grain=GRAIN):
    """A polyline as read from pencil: a point a pixel, off to the side by noise evened over 0.6 mm."""
    rng = np.random.default_rng(seed)
    line = np.asarray(line, float)
    walked = np.append(0.0, np.cumsum(np.hypot(*np.diff(line, axis=0).T)))
    at = np.linspace(0, walked[-1], max(2, round(walked[-1] / STEP)))
    points = np.column_stack([np.interp(at, walked, line[:, c]) for c in (0, 1)])
    noise = np.convolve(rng.normal(0, 1, len(at) + 14), np.hanning(15), "valid")
    ahead = np.gradient(points, axis=0)
    across = np.column_stack([-ahead[:, 1], ahead[:, 0]]) / np.hypot(*ahead.T)[:, None]
    points = points + across * (noise / noise.std() * grain)[:, None]
    if (line[0] == line[-1]).all():
        points[-1] = points[0]
    return points


def bowed(length, sagitta):
    """A parabola along x with this sagitta over its length."""
    x = np.linspace(0, length, 400)
    return np.column_stack([x, sagitta * (1 - (2 * x / length - 1) ** 2)])


def straight_length(paths):
    """mm of the paths written as straight pieces."""
    ends = np.concatenate([p.cubics[p.straight][:, [0, 3]] for p in paths])
    return float(np.hypot(*(ends[:, 1] - ends[:, 0]).T).sum())


def sampled(path):
    """Many points of a path."""
    t = np.linspace(0, 1, 41)[:, None, None]
    c = path.cubics.swapaxes(0, 1)
    u = 1 - t
    return (u**3 * c[0] + 3 * u * u * t * c[1] + 3 * u * t * t * c[2] + t**3 * c[3]).reshape(-1, 2)


@pytest.mark.parametrize("seed", range(6))
def test_a_trembling_line_is_one_straight_line_nearer_to_what_was_drawn(seed):
    a = np.radians(37 * seed)
    way = np.array([np.cos(a), np.sin(a)])
    line = trembling([way * 0, way * 40], seed)
    ruled = with_straights([line], [NONE])
    assert ruled.edges[0].tolist() == [0]
    assert len(ruled.lines[0]) == 2
    off = np.abs(ruled.lines[0] @ np.array([-way[1], way[0]]))
    assert off.max() < 0.005  # the mean of some sixty tufts of grain, at the line's very ends
    assert np.abs(line @ np.array([-way[1], way[0]])).max() > 2 * off.max()


@pytest.mark.parametrize("length", [8.0, 12.0, 25.0, 60.0])
@pytest.mark.parametrize("seed", range(4))
def test_a_drawn_bow_over_a_twentieth_of_a_mm_stays_a_curve(length, seed):
    line = trembling(bowed(length + 2, 0.052 * ((length + 2) / length) ** 2), seed)
    (path,) = fit_lines([line], [NONE], tolerance=0.035)
    assert straight_length([path]) < 0.5 * length
    x, y = sampled(path).T
    assert y[np.abs(x - length / 2 - 1) < 1].mean() > 0.04


@pytest.mark.parametrize("wave", [5.0, 12.0])
def test_wobble_of_a_free_hand_stays_as_drawn(wave):
    x = np.linspace(0, 40, 800)
    y = 0.06 * np.sin(2 * np.pi * x / wave)
    (path,) = fit_lines([trembling(np.column_stack([x, y]), 1)], [NONE], tolerance=0.035)
    seen = sampled(path)
    assert np.abs(seen[:, 1] - 0.06 * np.sin(2 * np.pi * seen[:, 0] / wave)).max() < 0.05
    assert np.ptp(seen[:, 1]) > 0.09
    assert straight_length([path]) == 0


def test_a_border_with_round_corners_has_straight_sides_and_true_extent():
    ring = border((80.0, 60.0))
    for seed in range(4):
        line = np.roll(trembling(ring, seed)[:-1], 40 * seed, axis=0)  # the seam anywhere
        line = np.vstack([line, line[:1]])
        (path,) = fit_lines([line], [line[[0, -1]]], tolerance=0.035)
        assert path.closed
        assert straight_length([path]) > 0.85 * (2 * 62 + 2 * 42)
        assert np.ptp(sampled(path), axis=0) == pytest.approx([72, 52], rel=5e-4)
        middle = np.abs(sampled(path) - (40, 30)) - (31, 21)
        corner = middle[(middle > 0).all(1)]
        assert np.abs(np.hypot(*corner.T) - 5).max() < 0.04


def drawn_aside(line, by, over=1.0):
    """A line whose last mm is drawn aside, as ink near a corner pulls it."""
    left = np.hypot(*(line - line[-1]).T)
    return line + np.clip(1 - left / over, 0, 1)[:, None] * np.asarray(by)


def test_a_corner_is_where_its_two_sides_cross_and_never_beyond():
    aside = (0.09, 0.08)
    for seed in range(4):
        one = drawn_aside(trembling([(0, 20), (30, 20)], seed), aside)
        two = drawn_aside(trembling([(30, -10), (30, 20)], seed + 9), aside)
        two[-1] = one[-1]
        paths = fit_lines([one, two], [one[-1:], two[-1:]], tolerance=0.035)
        assert (paths[0].cubics[-1, 3] == paths[1].cubics[-1, 3]).all()
        assert paths[0].cubics[-1, 3] == pytest.approx([30, 20], abs=0.006)
        seen = np.concatenate([sampled(p) for p in paths])
        assert seen[:, 0].max() < 30.01
        assert seen[:, 1].max() < 20.01


def test_corners_of_short_sides_are_where_the_sides_cross():
    """Four sides of 4 mm, all drawn aside at their ends: nearer than by the points read there."""
    corners = np.array([(0, 0), (4, 0), (4, 4), (0, 4), (0, 0.0)])
    aside = 0.06 * np.array([(-1, -1), (1, -1), (1, 1), (-1, 1), (-1, -1.0)])
    off = []
    for seed in range(4):
        sides = []
        for k in range(4):
            side = trembling(corners[k : k + 2], 10 * seed + k)
            side = drawn_aside(side[::-1], aside[k], 0.4)[::-1]
            sides.append(drawn_aside(side, aside[k + 1], 0.4))
        for k in range(4):
            sides[k][-1] = sides[(k + 1) % 4][0]
        paths = fit_lines(sides, [s[[0, -1]] for s in sides], tolerance=0.035)
        for k in range(4):
            assert (paths[k].cubics[-1, 3] == paths[(k + 1) % 4].cubics[0, 0]).all()
            off.append(np.hypot(*(paths[k].cubics[0, 0] - corners[k])))
    assert np.median(off) < 0.02  # of 0.085 mm as drawn


@pytest.mark.parametrize("seed", range(4))
def test_a_short_bow_stays_a_curve(seed):
    (path,) = fit_lines([trembling(bowed(4.5, 0.06), seed)], [NONE], tolerance=0.035)
    assert not path.straight.any()


def test_a_line_ending_on_a_straight_line_ends_on_it_exactly():
    through = trembling([(0, 0), (40, 0.0)], 3)
    k = len(through) // 2
    ends = drawn_aside(trembling([(20, 25), (20, 0)], 4), (0.05, 0))
    ends[-1] = through[k]
    paths = fit_lines([through, ends], [through[k : k + 1], ends[-1:]], tolerance=0.035)
    assert all(p.straight.all() for p in paths)
    joint = paths[1].cubics[-1, 3]
    assert any((c[3] == joint).all() for c in paths[0].cubics)
    assert joint == pytest.approx([20, 0], abs=0.008)


def test_a_shared_end_off_a_line_does_not_turn_the_whole_line():
    """Where three lines were joined in one point, one of them 0.15 mm aside, it bends only at its end."""
    goal = np.array([30.0, 20.0])
    one, two = trembling([(0, 20), goal], 5), trembling([(30, -10), goal], 6)
    third = trembling([(0, -10.2), (30, 19.8)], 7)
    for line in (one, two, third):
        line[-1] = goal
    paths = fit_lines([one, two, third], [line[-1:] for line in (one, two, third)], tolerance=0.035)
    assert len({tuple(p.cubics[-1, 3]) for p in paths}) == 1
    seen = sampled(paths[2])
    off = np.abs((seen - (0, -10.2)) @ np.array([-1, 1]) / np.sqrt(2))
    assert off[seen[:, 0] < 27].max() < 0.015


def test_a_short_line_between_two_ends_does_not_vanish():
    """Four lines that cross in one point but were joined two by two, with a short line between."""
    joints = np.array([(29.9, 19.9), (30.1, 20.12)])
    starts = [(0, 20), (30, -10), (60, 20), (30, 50)]
    lines = [trembling([start, (30, 20)], k) for k, start in enumerate(starts)]
    for k, line in enumerate(lines):
        line[-1] = joints[k // 2]
    lines.append(np.array([joints[0], joints.mean(0), joints[1]]))
    paths = fit_lines(lines, [line[[0, -1]] for line in lines], tolerance=0.035)
    ends = paths[4].cubics[0, 0], paths[4].cubics[-1, 3]
    assert np.hypot(*(ends[1] - ends[0])) > 0.1
    assert all((paths[k].cubics[-1, 3] == ends[k // 2]).all() for k in range(4))


def test_lines_without_a_straight_stretch_stay_as_they_are():
    turn = np.linspace(0, 5, 300)
    curve = 12 * np.column_stack([np.cos(turn), np.sin(turn)])
    short = np.array([(0.0, 0), (2, 0)])
    ruled = with_straights([curve, short], [curve[:1], NONE])
    assert all((a == b).all() for a, b in zip(ruled.lines, (curve, short), strict=True))
    assert not any(len(e) for e in ruled.edges)
    assert (ruled.ends_on[0] == curve[:1]).all()
