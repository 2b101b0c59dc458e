"""Least squares within limits, against what must hold of any optimum."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import minimize

from geometry.fit.within import least_squares_giving, least_squares_within


@given(st.integers(0, 10_000), st.integers(2, 6), st.integers(1, 20))
def test_it_is_the_best_of_all_that_keep_the_limits(seed: int, n: int, k: int):
    rng = np.random.default_rng(seed)
    a, b, g = rng.normal(size=(3 * n, n)), rng.normal(size=3 * n), rng.normal(size=(k, n))
    h = g @ rng.normal(size=n) + rng.uniform(0.0, 1.0, k)  # some point keeps them all
    x = least_squares_within(a, b, g, h)
    assert x is not None
    assert (g @ x - h).max() < 1e-6
    other = minimize(
        lambda y: float(((a @ y - b) ** 2).sum()), x, jac=lambda y: 2.0 * a.T @ (a @ y - b), method="SLSQP",
        constraints={"type": "ineq", "fun": lambda y: h - g @ y, "jac": lambda y: -g}, options={"ftol": 1e-12},
    )  # fmt: skip
    assert ((a @ x - b) ** 2).sum() <= other.fun * (1.0 + 1e-6) + 1e-8


def test_limits_that_exclude_each_other_have_no_answer():
    g, h = np.array([[1.0, 0.0], [-1.0, 0.0]]), np.array([0.0, -1.0])
    assert least_squares_within(np.eye(2), np.zeros(2), g, h) is None


def test_limits_that_may_give_do_so_by_as_little_as_can_be():
    g, h = np.array([[1.0], [-1.0]]), np.array([0.0, -1.0])  # x <= 0 and x >= 1
    found = least_squares_giving(np.eye(1), np.array([0.5]), g, h, np.ones(2))
    assert found is not None
    assert found[1] == pytest.approx(0.5, abs=1e-5)
    assert found[0][0] == pytest.approx(0.5, abs=1e-5)


def test_only_the_limits_that_may_give_do():
    g, h = np.array([[1.0], [-1.0]]), np.array([0.0, -1.0])
    found = least_squares_giving(np.eye(1), np.array([0.5]), g, h, np.array([1.0, 0.0]))
    assert found is not None
    assert (found[0][0], found[1]) == pytest.approx((1.0, 1.0), abs=1e-5)
