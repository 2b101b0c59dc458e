"""A line as a linear function of its nodes is the line those nodes draw."""

from __future__ import annotations

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from geometry.curvature import curvature
from geometry.fit.fairing import Heights, where_needed
from geometry.lines import line_through
from geometry.nearest import passes_of_height


@given(
    st.lists(st.floats(-15.0, 15.0), min_size=3, max_size=7), st.sampled_from([None, 0.0]),
    st.sampled_from([None, 420.0]),
)  # fmt: skip
def test_the_rows_are_the_drawn_line(across: list[float], foot: float | None, top: float | None):
    heights = Heights(tuple(np.linspace(60.0, 350.0, len(across))), foot, top)
    x = np.array([round(u, 4) for u in across])
    rows = heights.rows(x, 7.0)
    line = line_through(heights.nodes(x))
    ends = (float(line.start[1]), float(line.end[1]))
    for c0, z in zip(rows.c0, rows.z, strict=True):
        if ends[0] < z < ends[1]:
            (piece, t, _), *more = passes_of_height(line, z)
            assert not more
            place = line.at(np.array([piece]), np.array([t]))[0]
            assert abs(place[0] - c0 @ x) < 1e-6
    bends = rows.bends(x) @ x
    n = len(line.pieces)
    exact = np.abs(curvature(line, np.repeat(np.arange(n), 60), np.tile(np.linspace(0.0, 1.0, 60), n)))
    assert np.abs(bends).max() <= exact.max() + 1e-9


def test_nodes_come_where_they_are_needed():
    z = np.linspace(0.0, 400.0, 801)
    u = 10.0 * np.exp(-(((z - 100.0) / 25.0) ** 2))
    ends = Heights((0.0, 200.0, 400.0))
    wide, narrow = where_needed(ends, z, u, (1.0, 0.05), 40)
    assert len(wide.curve) < len(narrow.curve) < 40
    assert sum(h < 200.0 for h in narrow.curve) > 2 * sum(h > 200.0 for h in narrow.curve)
