"""The stack command: its words are those of the settings, which it does not load for its help."""

from typing import get_args

from filigree.cli import main
from filigree.cli.stack import NEEDS, USES
from filigree.job import Kind, Need


def test_uses_and_needs_are_those_of_the_settings():
    assert set(USES) == set(get_args(Kind)) - {""}
    assert set(NEEDS) == set(get_args(Need))


def test_a_hardened_bracer_is_told_how_large_to_cut(capsys):
    assert (
        main(
            ["stack", "--face", "5-6 oz", "--backing", "10-11 oz", "--use", "bracer", "--hardened"]
        )
        == 0
    )
    said = capsys.readouterr().out
    assert "223 mm" in said  # 200 / 0.9 = 222.2, rounded up (handbook 3.5, 11.1)
