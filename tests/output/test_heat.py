"""The heat picture shows strands that are as hard worked as one another with one number, and says so once."""

import re

import msgspec

from filigree.job import Job
from filigree.pipeline import files_of, plan, with_bench

SVG = (
    '<svg xmlns="http://www.w3.org/2000/svg" width="124mm" height="44mm" viewBox="0 0 124 44">'
    '<path d="M2 2H122V42H2Z" fill="none" stroke="#000" stroke-width=".2"/>'
    '<g fill="#ccc" stroke="#000" stroke-width=".2"><path d="M17 11h25v22h-25z"/><path d="M82 11h25v22h-25z"/></g></svg>'
)


def test_an_even_face_is_numbered_evenly(tmp_path):
    art = tmp_path / "even.svg"
    art.write_text(SVG)
    made = with_bench(plan(art, msgspec.convert({"use": {"pull": "x", "work": "always"}}, Job)))
    strands = made.report.load.hardest
    assert [s.rank for s in strands if s.rank == 1] == [1] * 4
    picture = files_of(made)["load.svg"].decode()
    shown = re.findall(r'font-weight="bold" text-anchor="middle">(\d+)<', picture)
    assert shown == [str(s.rank) for s in strands]
    assert "1, 4 strands alike: each carries" in picture
    first = " and ".join(f"({s.at[0]:.1f}, {s.at[1]:.1f})" for s in strands if s.rank == 1)
    assert f"in this order, at {first}" in made.as_text()
