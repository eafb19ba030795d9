"""Guides: each topic is a page, every figure in it is filled in, and the widths are those the checks use."""

import re

import pytest

from filigree.cli import main
from filigree.guides import TOPICS, WEIGHTS, guide, widths
from filigree.job import Job, limits_of, with_overrides
from tests.ground.test_docs import ROOT


@pytest.mark.parametrize("topic", TOPICS)
def test_a_guide_is_shown_with_its_figures(topic, capsys):
    assert main(["help", topic]) == 0
    said = capsys.readouterr().out
    assert said.startswith("# ")
    assert not re.search(r"[{}]", said)


def test_every_page_is_a_topic():
    assert {p.stem for p in (ROOT / "filigree" / "guides").glob("*.md")} == set(TOPICS)


def test_without_a_topic_all_are_listed(capsys):
    assert main(["help"]) == 0
    said = capsys.readouterr().out
    head, *rows = said.splitlines()
    assert "filigree help NAME" in head
    assert [line.split()[0] for line in rows] == list(TOPICS)


def test_an_unknown_topic_is_refused_with_the_known_ones(capsys):
    assert main(["help", "sewing"]) == 2
    assert "drawing" in capsys.readouterr().err


def test_widths_of_the_guide_meet_the_limits():
    rows = [line.strip("| ").split(" | ") for line in widths().splitlines()[2:]]
    assert [row[0] for row in rows] == list(WEIGHTS)
    for row in rows:
        for way, cell in (("knife", row[1]), ("laser", row[2])):
            bridge = limits_of(
                with_overrides(Job(), {"face.thickness": row[0], "cut.way": way})
            ).bridge
            good, stop = map(float, cell.split(" / "))
            assert bridge.good <= good + 1e-6 < bridge.good + 0.1
            assert bridge.stop <= stop + 1e-6 < bridge.stop + 0.1


def test_the_widths_of_a_5_6_oz_face_are_those_of_the_handbook():
    # handbook 2.1: t = 6/64 in = 2.38 mm; knife 1.5 t = 3.57 and t = 2.38, laser t and 0.7 t = 1.67
    assert "| 5-6 oz | 3.6 / 2.4 | 2.4 / 1.7 |" in guide("drawing")
