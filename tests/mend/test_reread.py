"""A mended face, written and read again as new art, needs no more mending."""

import pytest

from filigree.job import Face, Job, limits_of, loss_of
from filigree.mend.mend import mend
from scripts.mend.plates import drilled
from scripts.mend.reread import reread
from scripts.mend.survey import drawn_pattern

DRAWINGS = [  # each fell short by up to 0.011 mm when edges were written within 0.02 mm
    ("lilies", 2001, "2-3 oz"),
    ("nested", 2002, "2-3 oz"),
    ("acanthus", 2002, "7-8 oz"),
]


@pytest.mark.parametrize(("family", "seed", "thickness"), DRAWINGS)
def test_generated_drawings_are_read_as_they_were_mended(family, seed, thickness):
    piece = drawn_pattern(family, seed)
    job = Job(face=Face(thickness=thickness))
    done = mend(
        piece.pattern, limits_of(job), loss=loss_of(job), first_free=piece.free, veins=piece.veins
    )
    assert done.changes
    assert not done.unmended
    again = reread(done.pattern, job, limits_of(job), loss_of(job))
    assert (again.necks, again.area) == (0, 0)


def test_plates_are_read_as_they_were_mended():
    drawn, free, _ = drilled("60-degree plate", 3, "4-5 oz")
    job = Job(face=Face(thickness="4-5 oz"))
    done = mend(drawn, limits_of(job), loss=loss_of(job), first_free=free)
    assert done.changes
    again = reread(done.pattern, job, limits_of(job), loss_of(job))
    assert (again.necks, again.area) == (0, 0)
