"""What `filigree mend` says it has done."""

import pytest

from filigree.cli import main


@pytest.mark.parametrize(
    ("gap", "told"),
    [
        (9.0, "\nNothing needs mending.\nThe piece as drawn is in two-mended.\n"),
        (2.0, "\n1 change.\nThe mended piece is in two-mended; look at two-mended/mend.svg.\n"),
    ],
)
def test_mending_says_how_much_it_did(gap, told, tmp_path, monkeypatch, capsys):
    """Two openings of 20 x 20 mm; a face of 5-6 oz wants 3.6 mm between them."""
    monkeypatch.chdir(tmp_path)
    (tmp_path / "two.svg").write_text(
        '<svg xmlns="http://www.w3.org/2000/svg" width="80mm" height="40mm" viewBox="0 0 80 40">'
        '<path d="M1 1H79V39H1Z" fill="none" stroke="#000" stroke-width=".1"/>'
        f'<path d="M10 10h20v20h-20z M{30 + gap} 10h20v20h-20z" fill="#999" stroke="#000" stroke-width=".1"/>'
        "</svg>",
        encoding="utf-8",
    )
    assert main(["mend", "two.svg"]) == 0
    assert capsys.readouterr().out.endswith(told)
    said = (tmp_path / "two-mended" / "mend.svg").read_text(encoding="utf-8")
    assert ("1 change: 1 widened." if gap == 2.0 else "0 changes.") in said
