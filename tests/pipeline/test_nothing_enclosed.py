"""Drawings in which nothing is enclosed are refused with what is in them, and what was left out of them."""

import pytest

from filigree.errors import FiligreeError
from filigree.pipeline import plan

HEAD = '<svg xmlns="http://www.w3.org/2000/svg" width="50mm" height="50mm" viewBox="0 0 50 50">'
TEXT = '<text x="5" y="25" font-size="12">Withyhollow</text>'
OTHER = '<text y="9">river court</text>'
ODD = [  # what is drawn, what the line says
    ("", "no line or fill to be read; name the drawing that is meant"),
    (TEXT, "no line or fill to be read; left out: text 'Withyhollow' (text is neither a line nor"),
    ('<path d="M5 5L40 40" stroke="#000" fill="none"/>', "no line of the drawing closes round"),
    (
        f'<path d="M5 5L40 40" stroke="#000" fill="none"/>{TEXT}{OTHER}',
        "), and 1 more; close the lines",
    ),
]


@pytest.mark.parametrize(("drawn", "said"), ODD)
def test_it_says_what_is_there(tmp_path, drawn, said):
    art = tmp_path / "odd.svg"
    art.write_text(f"{HEAD}{drawn}</svg>")
    with pytest.raises(FiligreeError) as told:
        plan(art)
    assert said in str(told.value)
    assert "\n" not in str(told.value)
