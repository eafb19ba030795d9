"""A broken border is told with its place: common practice, no source."""

from filigree import pipeline
from filigree.job import Choose, Job, LimitSettings

BROKEN = (
    '<svg xmlns="http://www.w3.org/2000/svg" width="120mm" height="80mm" viewBox="0 0 120 80">'
    '<g fill="none" stroke="#000" stroke-width=".4"><path d="M60 5H115V75H5V5H57"/>'
    '<path class="open" d="M20 20H100V60H20Z"/><circle cx="60" cy="40" r="12"/></g></svg>'
)


def test_the_break_in_a_border_is_found_where_it_is(tmp_path):
    art = tmp_path / "broken.svg"
    art.write_text(BROKEN)
    found = [f for f in pipeline.check(art).report.findings if f.check == "gap"]
    assert [(f.at, f.measured_mm) for f in found] == [((58.5, 5.0), 3.0)]
    assert "3.0 mm apart" in found[0].say
    art.write_text(BROKEN.replace("H57", "H60Z"))
    assert not [f for f in pipeline.check(art).report.findings if f.check == "gap"]


HEAD = (
    '<svg xmlns="http://www.w3.org/2000/svg" width="100mm" height="100mm" viewBox="0 0 100 100">'
    '<g fill="none" stroke="#000" stroke-width=".4"><rect x="4" y="4" width="92" height="92"/>'
    '<rect x="16" y="16" width="68" height="68"/>'
)


def gaps(tmp_path, body, job=None):
    """Gap findings of a frame with something drawn in its field."""
    art = tmp_path / "art.svg"
    art.write_text(HEAD + body + "</g></svg>")
    return [f for f in pipeline.check(art, job or Job()).report.findings if f.check == "gap"]


def test_strands_that_stop_short_of_the_frame_are_told_though_all_else_holds(tmp_path):
    found = gaps(tmp_path, '<path d="M46,16 V82.8 M54,16 V82.8"/>')
    assert sorted((f.at, f.measured_mm) for f in found) == [((46, 83.4), 1.2), ((54, 83.4), 1.2)]
    assert all("--gap 2" in f.say and "66.8" not in f.say for f in found)
    assert not gaps(
        tmp_path, '<path d="M46,16 V82.8 M54,16 V82.8"/>', Job(limits=LimitSettings(gap=2.0))
    )


def test_a_ring_that_does_not_close_is_told_at_its_gap(tmp_path):
    ring = '<path d="M62,50.6 A12,12 0 1 1 62,49.4"/>'
    (found,) = gaps(tmp_path, ring)
    assert (found.at, found.measured_mm) == ((62, 50), 1.2)


def test_two_ends_that_face_each_other_are_told_once(tmp_path):
    picks = Job(choose=Choose(open=((30, 50),)))
    found = gaps(tmp_path, '<path d="M46,16 V49 M46,50.5 V84 M54,16 V84"/>', picks)
    assert [(f.at, f.measured_mm) for f in found] == [((46, 49.75), 1.5)]


def test_veins_in_leather_and_short_strokes_in_openings_are_nobodys_gap(tmp_path):
    leaf = '<path d="M50,16 C70,40 70,60 50,84 C30,60 30,40 50,16Z M50,16 V70 M25,25 l1.5,1.5"/>'
    assert not gaps(tmp_path, leaf)
