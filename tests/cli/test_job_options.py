"""Options of a job: each lands on the setting it stands for."""

import pytest

from filigree.cli import job_options
from filigree.cli.job_options import job_of, numbers_in
from filigree.job import Job, as_settings, with_overrides

NOTHING = {
    name: () if name in {"inlay", "backing", "opened", "kept"} else None
    for name in job_options._names()
}
SETTINGS = [
    ({"face": "4-5 oz"}, {"face.thickness": "4-5 oz"}),
    ({"face_colour": "#8b4513"}, {"face.colour": "#8b4513"}),
    ({"inlay": ("2-3 oz", "green")}, {"inlay.thickness": "2-3 oz", "inlay.colour": "green"}),
    ({"inlay": ("#b22222",)}, {"inlay.colour": "#b22222"}),
    ({"backing": ("3 oz",)}, {"backing.thickness": "3 oz"}),
    ({"cut": "laser"}, {"cut.way": "laser"}),
    ({"width": "21 cm"}, {"sheet.width": 210.0}),
    ({"height": "10 in"}, {"sheet.height": 254.0}),
    ({"art_width": "99"}, {"sheet.art_width": 99.0}),
    ({"art_height": "99"}, {"sheet.art_height": 99.0}),
    ({"opened": ("3,7", "9")}, {"choose.open_numbers": (3, 7, 9)}),
    ({"kept": ("12",)}, {"choose.keep_numbers": (12,)}),
    ({"dark": "cut"}, {"choose.dark": "cut"}),
    ({"rim": "8 mm", "rim_shape": "rectangle"}, {"sheet.rim": 8.0, "sheet.rim_shape": "rectangle"}),
    ({"gap": "3"}, {"limits.gap": 3.0}),
    ({"gap": "0"}, {"limits.gap": 0.0}),
    ({"marks": "180x250"}, {"scan.marks": (180.0, 250.0)}),
    ({"marks": "18cm X 10in"}, {"scan.marks": (180.0, 254.0)}),
    ({"load": "x"}, {"use.pull": "x", "use.work": "always"}),
    ({"load": "-30"}, {"use.pull": "-30", "use.work": "always"}),
]


@pytest.mark.parametrize(("options", "settings"), SETTINGS)
def test_each_option_is_a_setting(tmp_path, options, settings):
    job = job_of(tmp_path / "vine.svg", **{**NOTHING, **options})
    assert job == with_overrides(Job(), settings)
    assert as_settings(job) != {}


def test_every_option_is_tried_above():
    assert {name for options, _ in SETTINGS for name in options} == set(NOTHING) - {"job_file"}


def test_no_options_are_the_defaults(tmp_path):
    assert job_of(tmp_path / "vine.svg", **NOTHING) == Job()


def test_a_named_job_goes_before_the_one_beside_the_drawing(tmp_path):
    (tmp_path / "job.toml").write_text('[cut]\nway = "laser"\n', encoding="utf-8")
    (tmp_path / "other.toml").write_text("[cut]\nbevel = 1.0\n", encoding="utf-8")
    art = tmp_path / "vine.svg"
    assert job_of(art, **NOTHING).cut.way == "laser"
    named = job_of(art, **{**NOTHING, "job_file": tmp_path / "other.toml"})
    assert (named.cut.way, named.cut.bevel) == ("knife", 1.0)


def test_numbers():
    assert numbers_in(("3,7", " 12 ,, 4"), where="--open") == (3, 7, 12, 4)
    assert numbers_in((), where="--open") == ()
