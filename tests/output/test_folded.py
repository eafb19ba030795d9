"""Long lists of findings: what is written out, what is folded, and that nothing is lost."""

from filigree.output.folded import MANY, SHOWN, folded
from filigree.output.report import FindingRow


def row(check: str, severity: str = "caution") -> FindingRow:
    return FindingRow(
        check=check,
        severity=severity,
        at=(1.0, 2.0),
        measured_mm=1.0,
        wanted_mm=2.0,
        say="Say.",
        why="",
        unit="mm",
    )


def test_a_crowd_becomes_a_few_and_their_numbers() -> None:
    rows = [row("bridge"), *(row("guess") for _ in range(4)), row("island"), *[row("guess")] * 3]
    told = folded(rows)
    assert [number for number, _, _ in told] == [1, 2, 3, 4, 6]
    assert told[3][2] == "4 more fields that are guesses: 5, 7 to 9 on the proof"
    assert all(not behind for number, _, behind in told if number != 4)


def test_a_few_of_a_kind_are_all_written() -> None:
    rows = [row("tongue")] * (MANY - 1)
    assert [behind for _, _, behind in folded(rows)] == [""] * (MANY - 1)
    assert len(folded(rows + rows[:1])) == SHOWN


def test_bridges_islands_and_stops_are_never_folded() -> None:
    rows = [row("bridge")] * 20 + [row("island")] * 20 + [row("corner", "stop")] * 20
    assert [number for number, _, _ in folded(rows)] == list(range(1, 61))
