"""Triangles where the library gives up on points in regular rows: they are shaken harder."""

import numpy as np
import pytest
import shapely

from filigree.geometry.mesh import TRIES, triangles


def points():
    x, y = np.meshgrid(np.arange(12.0), np.arange(9.0))
    return np.c_[x.ravel(), y.ravel()]


def failing(monkeypatch, times):
    real, calls = shapely.delaunay_triangles, []

    def delaunay(lines):
        calls.append(lines)
        if len(calls) <= times:
            raise shapely.errors.GEOSException("LocateFailureException: Could not locate vertex.")
        return real(lines)

    monkeypatch.setattr(shapely, "delaunay_triangles", delaunay)
    return calls


@pytest.mark.parametrize("times", [0, 1, TRIES - 1])
def test_a_failure_is_met_with_a_harder_shake(monkeypatch, times):
    calls = failing(monkeypatch, times)
    corner = triangles(points())
    assert len(calls) == times + 1
    at = points()[corner]
    along = at[:, 1:] - at[:, :1]
    area = (along[:, 0, 0] * along[:, 1, 1] - along[:, 0, 1] * along[:, 1, 0]) / 2
    assert (area > 0).all()
    assert area.sum() == pytest.approx(11 * 8)


def test_what_fails_every_time_is_not_hidden(monkeypatch):
    failing(monkeypatch, TRIES)
    with pytest.raises(shapely.errors.GEOSException):
        triangles(points())
