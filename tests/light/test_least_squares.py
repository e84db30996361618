from __future__ import annotations

from itertools import combinations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from kinlight.light.least_squares import nonnegative_least_squares

ELEMENTS = st.integers(-8, 8).map(float)


@st.composite
def problems(draw):
    """Small systems, many of them degenerate, with widely different columns."""
    rows, columns = draw(st.integers(1, 6)), draw(st.integers(1, 5))
    matrix = draw(arrays(np.float64, (rows, columns), elements=ELEMENTS))
    scale = 10.0 ** draw(arrays(np.int64, columns, elements=st.integers(-3, 3)))
    return matrix * scale, draw(arrays(np.float64, rows, elements=ELEMENTS))


def best_by_trying_all(matrix, wanted):
    """Return the least misfit over every choice of unknowns that may be above zero."""
    columns = matrix.shape[1]
    least = np.linalg.norm(wanted)
    for size in range(1, columns + 1):
        for chosen in combinations(range(columns), size):
            part = matrix[:, chosen]
            x = np.linalg.lstsq(part, wanted, rcond=None)[0]
            if (x >= -1e-12 * np.abs(x).max(initial=0)).all():
                least = min(least, np.linalg.norm(part @ np.maximum(x, 0) - wanted))
    return least


@settings(max_examples=200, deadline=None)
@given(problems())
def test_no_choice_of_unknowns_fits_better(problem):
    """Never negative, and as good as the best of all sub-problems."""
    matrix, wanted = problem
    x = nonnegative_least_squares(matrix, wanted)
    assert (x >= 0).all()
    misfit = np.linalg.norm(matrix @ x - wanted)
    assert misfit <= best_by_trying_all(matrix, wanted) + 1e-8


@settings(max_examples=100, deadline=None)
@given(problems())
def test_nothing_pulls_any_more(problem):
    """Optimality: no pull on what is above zero, none upward on what is held at zero."""
    matrix, wanted = problem
    x = nonnegative_least_squares(matrix, wanted)
    length = np.linalg.norm(matrix, axis=0)
    pull = matrix.T @ (wanted - matrix @ x) / np.where(length > 0, length, 1)
    assert pull.max() <= 1e-8
    assert np.abs(pull[x > 0]).max(initial=0) <= 1e-8


def test_a_worked_example():
    """By hand: x + y = 1, x = 2 wants y = -1; held at zero, x is the mean of 1 and 2."""
    x = nonnegative_least_squares([[1, 1], [1, 0]], [1, 2])
    assert x == pytest.approx(np.array([1.5, 0.0]), abs=1e-12)


def test_nothing_wanted_takes_nothing():
    """Zero in, zero out."""
    assert nonnegative_least_squares([[1, 2], [3, 4]], [0, 0]).tolist() == [0, 0]
