"""Bench figures of a plate, against sums worked by hand."""

import pytest

from tests.plies.test_papers import bench_of

LASER = {"way": "laser"}
TANNED = [  # tannage as written of face and inlay, as reported, sentences of handbook 10.2 that must stand
    pytest.param("chrome", "veg", ("chrome", "veg"), {2}, id="chrome face: chromium"),
    pytest.param("veg", "veg", ("veg", "veg"), set(), id="all veg: no more than a laser asks"),
    pytest.param("veg", "other", ("veg", "unknown"), {3, 4}, id="not known: as PVC"),
    pytest.param("", "", ("veg", "unknown"), {3, 4}, id="as the table says"),
]


@pytest.mark.parametrize(("face", "inlay", "told", "more"), TANNED)
def test_the_tannage_that_a_ply_names_chooses_the_cautions(tmp_path, face, inlay, told, more):
    worked = bench_of(
        tmp_path,
        140,
        90,
        cut=LASER,
        face={"tannage": face},
        inlay={"leather": "pigskin lining", "tannage": inlay},
    )
    bench = worked.bench
    assert tuple(sheet.kind.tannage for sheet in bench.sheets[:2]) == told
    assert {2, 3, 4} & set(bench.cautions) == more
