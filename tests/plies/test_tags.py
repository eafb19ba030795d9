"""Tags stand side by side, clear of one another and of the numbers of fields, the same way every time."""

import math

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from filigree.plies.drawn import Label
from filigree.plies.tags import number_box, place_tags

SHEET = (0.0, 0.0, 160.0, 110.0)


def clear(one, other):
    return math.dist(one.at, other.at) - one.radius - other.radius


def off_box(tag, box):
    left, top, right, bottom = box
    x = max(left - tag.at[0], tag.at[0] - right, 0)
    y = max(top - tag.at[1], tag.at[1] - bottom, 0)
    return math.hypot(x, y) - tag.radius


def test_a_lone_tag_stands_on_its_place():
    (tag,) = place_tags([(30, 40)], on_line=[False], numbers=[], bounds=SHEET)
    assert (tag.at, tag.end, tag.dotted) == ((30, 40), None, False)


def test_tags_of_one_place_stand_side_by_side_and_point_to_it():
    places = [(80.0, 50.0)] * 6
    tags = place_tags(places, on_line=[False] * 6, numbers=[], bounds=SHEET)
    assert tags[0].at == places[0]  # the first, a stop before any caution, keeps the place
    assert all(clear(tags[i], tags[j]) > 0 for i in range(6) for j in range(i))
    assert all(tag.end == places[0] and tag.dotted for tag in tags[1:])


def test_a_measured_line_is_not_hidden():
    (tag,) = place_tags([(80, 50)], on_line=[True], numbers=[], bounds=SHEET)
    assert math.dist(tag.at, (80, 50)) > tag.radius + 1
    assert tag.end == (80, 50)
    assert not tag.dotted  # the line shows the place


def test_the_number_of_a_field_stays_readable():
    label = Label(id=26, at=(80.0, 50.0), room=8.0, kind="background", sure=0.5)
    box = number_box(label, most=3.0)
    (tag,) = place_tags([label.at], on_line=[False], numbers=[box], bounds=SHEET)
    assert off_box(tag, box) >= 0
    x, y = tag.end  # the leader ends beside the number
    assert max(abs(x - 80) - (box[2] - 80), abs(y - 50) - (box[3] - 50)) >= -1e-9
    assert not tag.dotted


@given(seed=st.integers(0, 500), count=st.integers(1, 25))
def test_a_scatter_of_places_is_told_apart(seed, count):
    rng = np.random.default_rng(seed)
    places = [tuple(p) for p in rng.uniform((10, 10), (150, 100), (count, 2)).tolist()]
    on_line = (rng.random(count) < 0.4).tolist()
    boxes = [
        number_box(
            Label(id=k, at=(x, y), room=6.0, kind="motif", sure=1.0),
            most=3.0,
        )
        for k, (x, y) in enumerate(rng.uniform((10, 10), (150, 100), (12, 2)).tolist(), 1)
    ]
    tags = place_tags(places, on_line=on_line, numbers=boxes, bounds=SHEET)
    assert tags == place_tags(places, on_line=on_line, numbers=boxes, bounds=SHEET)
    assert all(clear(tags[i], tags[j]) > 0 for i in range(count) for j in range(i))
    assert all(off_box(tag, box) > -0.05 for tag in tags for box in boxes)
    assert all(-1.5 <= x <= 161.5 and -1.5 <= y <= 111.5 for x, y in (tag.at for tag in tags))
