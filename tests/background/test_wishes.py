"""Picks outweigh marks, marks outweigh the guess (common practice, no source)."""

import math
from dataclasses import replace

import pytest
import shapely
from shapely import Point, box

from filigree.drawing.model import Mark
from filigree.errors import FiligreeError
from filigree.regions.background import choose
from filigree.regions.divide import divide
from tests.make.families import FAMILIES, marked
from tests.make.families.scene import no_curves
from tests.regions.draw import drawing


@pytest.fixture(scope="module")
def plait():
    made = FAMILIES["plait"](1000)
    return made, divide(made.drawing)


def kinds(choices):
    return {c.region: c.kind for c in choices}


def ground(made):
    return made.background[0].representative_point()


def test_a_pick_turns_one_region(plait):
    made, regions = plait
    guessed = choose(regions, made.drawing)
    first = next(r for r in regions.regions if kinds(guessed)[r.id] == "background")
    kept = choose(regions, made.drawing, picks_keep=[first.at])
    choice = kept[first.id - 1]
    assert (choice.kind, choice.how, choice.sure) == ("motif", "picked", 1.0)


def test_a_picked_opening_shuts_its_neighbours(plait):
    made, regions = plait
    motif = next(c.region for c in choose(regions, made.drawing) if c.kind == "motif")
    choices = kinds(choose(regions, made.drawing, picks_open=[regions.regions[motif - 1].at]))
    near = regions.pairs[(regions.pairs == motif).any(axis=1)].ravel()
    assert choices[motif] == "background"
    assert all(choices[int(n)] != "background" for n in near if n != motif)


def test_picked_neighbours_both_open(plait):
    made, regions = plait
    a, b = regions.pairs[0].tolist()
    both = [regions.regions[a - 1].at, regions.regions[b - 1].at]
    choices = kinds(choose(regions, made.drawing, picks_open=both))
    assert choices[a] == choices[b] == "background"


def test_a_pick_outweighs_a_mark(plait):
    made, regions = plait
    drawing = marked(made).drawing
    at = ground(made)
    choices = choose(regions, drawing, picks_keep=[(at.x, at.y)])
    row = next(r.id for r in regions.regions if r.shape.contains(at))
    assert (choices[row - 1].kind, choices[row - 1].how) == ("motif", "picked")


def test_a_point_mark_and_a_dab_open_the_region_round_them(plait):
    made, regions = plait
    at = ground(made)
    row = next(r.id for r in regions.regions if r.shape.contains(at))
    for shape in (Point(at), at.buffer(0.3)):
        mark = Mark(shape=shape, says="open", how="X")
        choices = kinds(choose(regions, replace(made.drawing, marks=(mark,))))
        assert [k for k, v in choices.items() if v == "background"] == [row]


def test_a_hairline_of_a_fill_says_nothing(plait):
    made, regions = plait
    region = next(r for r in regions.regions if r.area_mm2 > 5)
    x, y = region.at
    hairline = Mark(shape=box(x, y, x + 0.5, y + 0.06), says="open", how="filled #808080")
    real = Mark(shape=made.background[0], says="open", how="filled #808080")
    choices = choose(regions, replace(made.drawing, marks=(real,)))
    assert choose(regions, replace(made.drawing, marks=(real, hairline))) == choices


def test_a_keep_mark_leaves_the_rest_to_the_guess(plait):
    made, regions = plait
    at = ground(made)
    mark = Mark(shape=Point(at), says="keep", how="group 'keep'", group="keep")
    before = kinds(choose(regions, made.drawing))
    after = kinds(choose(regions, replace(made.drawing, marks=(mark,))))
    row = next(r.id for r in regions.regions if r.shape.contains(at))
    assert after[row] == "motif"
    assert sum(v == "background" for v in after.values()) == (
        sum(v == "background" for v in before.values()) - 1
    )


@pytest.mark.parametrize(
    ("colours", "wanted"),
    [
        (["#c02020"], {""}),
        (["#c02020", "#2040c0"], {"#c02020", "#2040c0"}),
        (["#808080", "#c02020"], {""}),
    ],
    ids=["one colour", "two colours", "grey and one colour"],
)
def test_colours_of_marks_become_inlays_when_there_are_two(plait, colours, wanted):
    made, regions = plait
    marks = tuple(
        Mark(shape=p, says="open", how="filled", colour=colours[k % len(colours)])
        for k, p in enumerate(made.background)
    )
    choices = choose(regions, replace(made.drawing, marks=marks))
    assert {c.inlay for c in choices if c.kind == "background"} == wanted
    assert {c.inlay for c in choices if c.kind != "background"} == {""}


BAD = [
    pytest.param({"picks_open": [(-5.0, 3.0)]}, "-5, 3 mm lies in no region", id="outside"),
    pytest.param({"picks_keep": [(float("nan"), 3.0)]}, "nan, 3 mm is no place", id="not finite"),
]


@pytest.mark.parametrize(("picks", "says"), BAD)
def test_bad_picks_are_named(plait, picks, says):
    made, regions = plait
    with pytest.raises(FiligreeError, match=says):
        choose(regions, made.drawing, **picks)


def test_contradictory_picks_are_named(plait):
    made, regions = plait
    x, y = regions.regions[2].at
    with pytest.raises(FiligreeError, match=r"region 3 is picked to open and to keep.*" + f"{x:g}"):
        choose(regions, made.drawing, picks_open=[(x, y)], picks_keep=[(x, y)])


def test_sure_outside_its_range_is_a_callers_mistake(plait):
    made, regions = plait
    with pytest.raises(ValueError, match="within 0 and 1"):
        choose(regions, made.drawing, sure=1.5)


@pytest.mark.parametrize(("dark", "wanted"), [("cut", "background"), ("leather", "motif")])
def test_dark_ink_is_cut_or_leather_as_the_reader_says(plait, dark, wanted):
    made, regions = plait
    solid = tuple(replace(r, solid=r.id % 7 == 3) for r in regions.regions)
    drawing = replace(made.drawing, dark=dark, dark_sure=0.7, solids=box(0, 0, 1, 1))
    choices = choose(replace(regions, regions=solid), drawing)
    assert {c.kind for c, r in zip(choices, solid, strict=True) if r.solid} == {wanted}
    assert {c.sure for c, r in zip(choices, solid, strict=True) if r.solid} == {0.7}
    light = [c for c, r in zip(choices, solid, strict=True) if not r.solid]
    assert any(c.kind == "background" for c in light) == (dark == "leather")


def test_nothing_enclosed_gives_no_choices():
    made = FAMILIES["plait"](1000)
    empty = replace(made.drawing, lines=(), curves=no_curves())
    assert choose(divide(empty), empty) == ()


def test_a_plate_whose_ground_is_kept_gets_its_holes_opened():
    """A drawing for this work has openings: doubtful fields come out before nothing does."""
    places = [(80 + 38 * math.cos(a), 80 + 38 * math.sin(a)) for a in range(6)]
    rings = [Point(80, 80).buffer(70), *(Point(at).buffer(13) for at in places)]
    art = drawing([shapely.get_coordinates(ring.exterior) for ring in rings])
    found = divide(art)
    plate = max(found.regions, key=lambda r: r.area_mm2)
    choices = kinds(choose(found, art, picks_keep=[plate.at]))
    assert choices.pop(plate.id) != "background"
    assert set(choices.values()) == {"background"}
