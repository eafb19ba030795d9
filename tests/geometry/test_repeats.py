"""Lines drawn more than once; expected by hand."""

import numpy as np

from filigree.geometry.repeats import once_each


def test_lines_drawn_again_or_backwards_go():
    a = np.array([[0.0, 0.0], [1.0, 0.0], [1.0, 2.0]])
    b = np.array([[0.0, 0.0], [1.0, 0.0]])
    kept = once_each([a, b, a.copy(), b[::-1], a[::-1]])
    assert [line is one for line, one in zip(kept, (a, b), strict=True)] == [True, True]


def test_lines_that_differ_a_little_stay():
    a = np.array([[0.0, 0.0], [1.0, 0.0]])
    assert len(once_each([a, a + 1e-12])) == 2
