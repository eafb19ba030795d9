"""Settings and limits. "row n" is row n of the handbook's check table, which holds the source."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from filigree.errors import FiligreeError
from filigree.job import (
    DEFAULTS,
    BridgeLimits,
    Job,
    as_settings,
    default,
    dump_job,
    limits_of,
    load_job,
    loss_of,
    stitch_inset,
    with_overrides,
)
from filigree.job.files import job_from

BRIDGES = [  # upper thickness mm, way, carries, good, stop
    pytest.param(2.4, "knife", False, 3.6, 2.4, id="row 98, not only the floor"),
    pytest.param(0.8, "knife", False, 2.0, 1.2, id="row 99, not only the factor"),
    pytest.param(2.0, "laser", False, 2.0, 1.4, id="handbook 2.1, t 2 by laser"),
    pytest.param(1.0, "laser", False, 1.2, 0.8, id="handbook 2.1, floors by laser"),
    pytest.param(2.0, "knife", True, 6.0, 4.0, id="handbook 2.1, carrying load"),
    pytest.param(0.5, "knife", True, 2.0, 1.2, id="carrying never asks for less"),
]
REFUSED = [  # text, what the one line must say
    ("[limits]\nbridg = 3", "did you mean 'bridge'"),
    ("[limit]\nbridge = 3", "did you mean 'limits'"),
    ("[limits]\nbridge-stop = 3", "did you mean 'bridge_stop'"),
    ("[qqqqqq]", "known here: backing"),
    ('[[use.zones]]\nname = "a"\nbox = [0, 0, 1, 1]\nbrigde = 3', "did you mean 'bridge'"),
    ('[limits]\nbridge = "3"', "wanted a number, got text"),
    ("[limits]\nbridge = -1", "above 0"),
    ("[limits]\nbridge = 5001", "at most 5000"),
    ("[limits]\nbridge = nan", "[limits] bridge"),
    ("[limits]\nbridge = inf", "[limits] bridge"),
    ("[limits]\ngap = 5.1", "at most 5"),
    ("[limits]\nbridge = 2\nbridge_stop = 3", "bridge_stop: 3 is above bridge 2"),
    ("[limits]\nopening_min = 9\nopening_max = 3", "opening_max"),
    ('[cut]\nway = "axe"', "known: 'knife', 'laser'"),
    ("[choose]\nopen = [[1, 2], [3]]", "open no. 2: wanted a list of 2"),
    ("[choose]\nopen = [[nan, 2]]", "not a finite number"),
    ('[choose]\nopen = "3"', "wanted a list"),
    ("[face]\nthickness = 3", '"3.2 mm"'),
    ('[face]\nthickness = "5-4 oz"', "[face] thickness: thickness '5-4 oz' runs backwards"),
    ('[stiffener]\nthickness = "0 mm"', "[stiffener] thickness"),
    ("[face]\ntooled = 1", "true or false"),
    ('[use]\nkind = "kite"', "'belt'"),
    ('[use]\npull = "sideways"', "[use] pull"),
    ('[use]\npull = "nan"', "[use] pull"),
    ('[[use.zones]]\nname = "a"', "'box' is missing"),
    ('[[use.zones]]\nname = "a"\nbox = [5, 0, 1, 1]', "zone 'a' left"),
    ("[paper]\nbar_across = 20", "at least 50"),
    ("[inlay]\nprice = -1", "[inlay] price"),
    ('[inlay]\ncolour = "../red"', "wanted a colour"),
    ('[inlay]\ncolour = "#12345"', "wanted a colour"),
    ('[inlay]\ncolour = "red\\n"', "wanted a colour"),
    ('[colours]\nfaces = ["a/b"]', "wanted a colour"),
    ("face = 3", "wanted a table"),
    ("a =", "not valid TOML"),
    ("[face]\n[face]", "not valid TOML"),
    ("x = " + "[" * 100_000, "nested deeper"),
    ("x = " + "{a=" * 5_000, "nested deeper"),
    ("a." * 30 + "b = 1", "unknown table 'a'"),
    ("[limits]\n" + "a." * 900_000 + "b = 1", "nested deeper"),
    ("x = " + "9" * 5_000, "too many digits"),
    ('[cut]\n"be\\u0000vel\\n" = 1', "did you mean 'bevel'"),
]
SETTINGS = [
    *("", "[stitch]", "[stiffener]", '[face]\nthickness = "4-5 oz"\ncolour = "#8b4513"'),
    "[choose]\nopen = [[1.5, 2.0], [3.0, 4.0]]\nkeep_numbers = [3, 7]",
    '[[use.zones]]\nname = "buckle"\nbox = [0.0, 0.0, 20.0, 40.0]\nbridge = 5.0',
    '[[mend]]\nhow = "bridge"\nat = [1.0, 2.0]\nwidth = 3.5\n[[mend]]\nhow = "tie"\nat = [1.0, 2.0]\nas_drawn = true',
    "# " + "." * 70 + "\n[stitch]",
    "[stitch]\npitch = 3.0\n[scan]\nmarks = [200.0, 150.0]",
]


@pytest.mark.parametrize(("upper", "way", "carries", "good", "stop"), BRIDGES)
def test_bridge_limits(upper, way, carries, good, stop):
    limits = BridgeLimits.for_face(upper, way=way, carries=carries)
    assert (limits.good, limits.stop) == (
        pytest.approx(good, abs=1e-9),
        pytest.approx(stop, abs=1e-9),
    )


def test_the_upper_thickness_counts():
    job = with_overrides(Job(), {"face.thickness": "5-6 oz", "cut.way": "laser"})
    assert limits_of(job).bridge.good == pytest.approx(2.381, abs=0.001)  # row 100


def test_an_unsaid_face_is_assumed_and_said():
    assert Job().face.assumed
    assert Job().face.span.high == pytest.approx(6 * 25.4 / 64)
    assert "assumed" in dump_job(Job())
    assert "assumed" not in dump_job(with_overrides(Job(), {"face.thickness": "4 oz"}))


@pytest.mark.parametrize(
    ("limits", "good", "stop", "why"),
    [
        ({"bridge": 5.0}, 5.0, 2.4, "[limits] bridge"),
        ({"bridge": 2.0}, 2.0, 2.0, "[limits] bridge"),
        ({"bridge_stop": 1.0}, 3.6, 1.0, "1.5 x 2.40 mm, by knife"),
        ({"bridge_stop": 4.0}, 4.0, 4.0, "[limits] bridge_stop"),
        ({"bridge": 3.0, "bridge_stop": 1.0}, 3.0, 1.0, "[limits] bridge"),
    ],
)
def test_the_makers_limits_win(limits, good, stop, why):
    settings = {f"limits.{key}": value for key, value in limits.items()}
    bridge = limits_of(with_overrides(Job(), {"face.thickness": "2.4 mm", **settings})).bridge
    assert (bridge.good, bridge.stop, bridge.why) == (pytest.approx(good), pytest.approx(stop), why)


def test_each_limit_follows_thickness_and_says_why():
    limits = limits_of(job_from('[face]\nthickness = "4 mm"\n[limits]\nrim = 12', where="job.toml"))
    expected = {  # handbook 2.2 and 2.3 for t 4
        "opening_width": 4.0,
        "opening_area_mm2": 4.0,
        "corner": 0.5,
        "corner_better": 2.0,
        "point_deg": 30.0,
        "tongue": 4.0,
        "tongue_glued": 8.0,
        "strand": 10.0,
        "island_area_mm2": 25.0,
        "island_width": 8.0,
        "rim": 12.0,
        "stitch": 3.0,
        "hole": 8.0,
        "buckle": 10.0,
        "open_share": 0.4,
        "change": 0.12,
        "lone": 2.0,  # common practice, no source
    }
    assert {name: getattr(limits, name) for name in expected} == pytest.approx(expected)
    assert set(limits.why) == set(expected)
    assert limits.why["rim"] == "[limits] rim"
    assert limits.why["opening_width"] == "1 x 4.00 mm"


def test_a_zone_has_limits_of_its_own():
    text = '[[use.zones]]\nname = "buckle"\nbox = [0, 0, 9, 9]\nbridge = 6'
    ((zone, bridge),) = limits_of(job_from(text, where="job.toml")).zones
    assert (zone.name, bridge.good, bridge.why) == ("buckle", 6, "zone buckle bridge")


@pytest.mark.parametrize(
    ("text", "kerf", "char", "bevel"),
    [
        ("", 0, 0, 0),
        ('[cut]\nway = "laser"', 0.2, 0.2, 0),
        ('[cut]\nway = "laser"\nkerf = 0.3\nchar = 0', 0.3, 0, 0),
        ('[face]\nthickness = "2 mm"\ntooled = true', 0, 0, 1.5),  # handbook 2.3: 0.75 t
        ('[face]\nthickness = "4 mm"\ntooled = true', 0, 0, 3.0),
        ('[face]\nthickness = "1 mm"\ntooled = true', 0, 0, 1.5),  # and at least 1.5 mm
        ('[face]\nthickness = "2 mm"\ntooled = true\n[cut]\nbevel = 1', 0, 0, 1),
        ('[face]\nthickness = "2 mm"\ntooled = true\n[cut]\nbevel = 0', 0, 0, 0),
    ],
)
def test_what_the_cut_takes(text, kerf, char, bevel):
    loss = loss_of(job_from(text, where="job.toml"))
    assert (loss.kerf, loss.char, loss.bevel) == (kerf, char, bevel)


def test_stitch_inset_follows_the_stack():
    plies = {"face.thickness": "6 oz", "inlay.thickness": "2 oz", "backing.thickness": "3 oz"}
    job = with_overrides(Job(), plies)
    assert stitch_inset(job) == pytest.approx(1.25 * 11 * 25.4 / 64)  # handbook 3.2: 11 oz, 4.37 mm
    thin = with_overrides(job, {f"{p}.thickness": "0.5 mm" for p in ("face", "inlay", "backing")})
    assert stitch_inset(thin) == 3.0
    assert stitch_inset(with_overrides(job, {"stitch.inset": 7.0})) == 7.0


@pytest.mark.parametrize(("text", "says"), REFUSED)
def test_bad_settings_are_refused_in_one_line(text, says):
    with pytest.raises(FiligreeError) as caught:
        job_from(text, where="job.toml")
    line = str(caught.value)
    assert line.startswith("job.toml")
    assert says in line
    assert line.isprintable()
    assert len(line) < 400


@pytest.mark.parametrize("text", SETTINGS)
def test_settings_read_back_as_written(text):
    job = job_from(text, where="job.toml")
    assert job_from(dump_job(job), where="job.toml") == job
    assert with_overrides(job, {"cut.bevel": job.cut.bevel}) == job


@given(
    bridge=st.floats(0.001, 5000),
    points=st.lists(st.tuples(st.floats(-1e4, 1e4), st.floats(-1e4, 1e4)), max_size=4),
    leather=st.text(st.characters(codec="utf-8"), max_size=20),
)
def test_any_settings_read_back_as_written(bridge, points, leather):
    job = with_overrides(
        Job(),
        {"limits.bridge": bridge, "choose.open": points, "face.leather": leather, "stitch": {}},
    )
    again = job_from(dump_job(job), where="job.toml")
    assert again == job
    assert dump_job(again) == dump_job(job)


def test_only_what_differs_is_written():
    assert as_settings(Job()) == {}
    assert as_settings(with_overrides(Job(), {"cut.way": "laser"})) == {"cut": {"way": "laser"}}


def test_an_override_is_checked_too():
    with pytest.raises(FiligreeError, match="did you mean 'bridge'"):
        with_overrides(Job(), {"limits.brigde": 3.0})


@pytest.mark.parametrize(
    ("data", "says"),
    [
        (b"\xff\xfe[\x00", "not UTF-8"),
        (b"#" * 2_000_001, "larger than 2 MB"),
        (b"\xef\xbb\xbf[cut]\nway = 'axe'", "knife"),
    ],
)
def test_bad_files_are_refused(tmp_path, data, says):
    path = tmp_path / "job.toml"
    path.write_bytes(data)
    with pytest.raises(FiligreeError, match=says):
        load_job(path)


@pytest.mark.parametrize("name", ["missing.toml", "", "a" * 300, "with\x00nul"])
def test_files_that_are_not_there(tmp_path, name):
    with pytest.raises(FiligreeError) as caught:
        load_job(tmp_path / name)
    assert "\n" not in str(caught.value)


def test_the_table_holds_each_number_once_with_its_mark():
    keys = [row.key for row in DEFAULTS]
    assert len(keys) == len(set(keys))
    for row in DEFAULTS:
        assert row.mark in {"CP", "M", "measured"} or row.mark.startswith("S: ")
        assert row.source
        assert math.isfinite(row.value)
    assert default("bridge.knife.good") == 1.5
