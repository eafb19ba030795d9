"""The page tells the same findings as `check`: stitches over openings, what a bevel closes, places off the piece."""

import pytest

from filigree import pipeline
from filigree.job.files import job_from
from filigree.page.desk import Desk

JOBS = {
    "plain": "",
    "stitched into the openings": "[stitch]\ninset = 22\n[pins]\nmargin = 30\n",
    "bevelled": "[cut]\nbevel = 9.5\n",
    "a hole off the piece": "[[use.holes]]\nat = [-40, -40]\ndiameter = 4\n",
    "burnt": "[cut]\nway = 'laser'\nchar = 2.0\n",
}


@pytest.mark.parametrize("what", JOBS)
def test_page_and_check_say_the_same(what, art, tmp_path):
    job = job_from(JOBS[what], where="test")
    desk = Desk(folder=tmp_path)
    desk.open(art, job)
    told = sorted((f.check, f.severity, f.say) for f in desk.look.findings)
    found = sorted((f.check, f.severity, f.say) for f in pipeline.check(art, job).worked.findings)
    assert told == found
    if what != "plain":
        plain = {f.say for f in pipeline.check(art).worked.findings}
        assert {say for *_, say in found} - plain
