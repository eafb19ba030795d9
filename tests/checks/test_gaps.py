"""A broken border is told with its place: common practice, no source."""

from filigree import pipeline

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
