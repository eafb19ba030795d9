"""A folder of drawings, as a maker has it."""

import pytest

from tests.batch.art import RING


@pytest.fixture
def drawings(tmp_path):
    """Three drawings, one of them in a folder of its own."""
    folder = tmp_path / "riders"
    (folder / "left").mkdir(parents=True)
    for name, x in (("one", 20), ("two", 30), ("left/three", 40)):
        (folder / f"{name}.svg").write_text(RING.format(x=x))
    return folder
