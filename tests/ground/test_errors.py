"""The one error: always one printable line, and the same on the other side of a process border."""

import pickle

import pytest
from hypothesis import given
from hypothesis import strategies as st

from filigree.errors import FiligreeError


@given(what=st.text(max_size=50), remedy=st.text(max_size=50), where=st.text(max_size=50))
def test_an_error_is_one_printable_line(what, remedy, where):
    line = str(FiligreeError(what, remedy=remedy, where=where))
    assert line.isprintable()


@pytest.mark.parametrize(
    ("where", "shown"),
    [
        ("two\nlines.svg", "two lines.svg: torn; mend it"),
        ("\x1b[31mred.svg", "\\x1b[31mred.svg: torn; mend it"),
        ("\udcff.svg", "\\udcff.svg: torn; mend it"),
        ("\u202egvs.svg", "\\u202egvs.svg: torn; mend it"),
    ],
)
def test_names_cannot_play_with_the_terminal(where, shown):
    assert str(FiligreeError("torn", remedy="mend it", where=where)) == shown


def test_an_error_travels_between_processes():
    error = pickle.loads(pickle.dumps(FiligreeError("torn", remedy="mend it", where="a.svg")))
    assert (error.what, error.remedy, error.where) == ("torn", "mend it", "a.svg")
