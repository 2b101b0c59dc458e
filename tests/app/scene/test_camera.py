from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.scene.camera import VIEW_NAMES, Margins, axes_of, camera_of, camera_text, fitted, seen_at, standard_view

CORNERS = np.array([[x, y, z] for x in (-30, 30) for y in (-20, 20) for z in (0, 420)], dtype=float)


def on_screen(pose, points, aspect):
    """Where points fall in the picture: x and y from -1 (left, lower edge) to 1, by plain projection."""
    position, target = np.array(pose.position), np.array(pose.target)
    axes = axes_of(target - position, np.array(pose.up))
    seen = (points - position) @ axes.T
    assert np.all(seen[:, 2] < 0), "in front of the camera"
    half = pose.half_height if pose.parallel else -seen[:, 2] * np.tan(np.radians(pose.view_angle_deg) / 2)
    return np.column_stack([seen[:, 0] / (half * aspect), seen[:, 1] / half])


@pytest.mark.parametrize("parallel", [False, True])
@pytest.mark.parametrize("aspect", [0.75, 16 / 9])
@pytest.mark.parametrize("view", VIEW_NAMES)
def test_every_view_fills_the_frame_inside_its_margins(view, aspect, parallel):
    margins = Margins(top=0.1, bottom=0.05, sides=0.08)
    seen = on_screen(standard_view(view, CORNERS, aspect, margins, parallel), CORNERS, aspect)
    limits = np.array([0.84, 0.84, 0.8, 0.9])
    extent = np.array([-seen[:, 0].min(), seen[:, 0].max(), seen[:, 1].max(), -seen[:, 1].min()])
    assert np.all(extent <= limits + 1e-9)
    across = np.allclose(extent[:2], limits[:2])
    upright = np.allclose(extent[2:], limits[2:])
    assert across or upright


@pytest.mark.parametrize(
    "view, rightward, upward",
    [
        ("front", (1, 0, 0), (0, 0, 1)),
        ("right", (0, 1, 0), (0, 0, 1)),
        ("back", (-1, 0, 0), (0, 0, 1)),
        ("left", (0, -1, 0), (0, 0, 1)),
        ("top", (1, 0, 0), (0, 1, 0)),
    ],
)
def test_which_way_is_right_and_up(view, rightward, upward):
    pose = standard_view(view, CORNERS, 1.0)
    axes = axes_of(np.array(pose.target) - pose.position, np.array(pose.up))
    assert np.allclose(axes[0], rightward)
    assert np.allclose(axes[1], upward)


def test_three_quarter_shows_front_right_and_top():
    pose = standard_view("three-quarter", CORNERS, 0.75)
    x, y, z = pose.position
    assert x > 30 and y < -20 and z > 420


@given(
    points=st.lists(st.tuples(*[st.floats(-500, 500)] * 3), min_size=1, max_size=12),
    direction=st.tuples(st.floats(-1, 1), st.floats(0.2, 1), st.floats(-1, 1)),
    aspect=st.floats(0.3, 3),
    parallel=st.booleans(),
)
def test_nothing_is_ever_cut_off(points, direction, aspect, parallel):
    points = np.array(points, dtype=float)
    pose = fitted(points, np.array(direction), np.array([0.0, 0.0, 1.0]), aspect, Margins(0, 0, 0), parallel)
    assert np.all(np.abs(on_screen(pose, points, aspect)) <= 1 + 1e-6)


def test_a_camera_as_text_is_read_back_as_it_was():
    for parallel in (False, True):
        pose = standard_view("three-quarter", CORNERS, 0.75, parallel=parallel)
        assert camera_of(camera_text(pose)) == pose


@pytest.mark.parametrize("text", ["", "1,2", "a" * 5, ",".join(["0"] * 11), ",".join(["1"] * 12)])
def test_what_is_no_camera_is_refused(text):
    with pytest.raises(ValueError, match=r"eleven|eye"):
        camera_of(text)


@pytest.mark.parametrize("parallel", [False, True])
def test_points_lie_in_the_picture_where_the_fit_put_them(parallel):
    pose = standard_view("front", CORNERS, 0.75, Margins(0.1, 0.2, 0.0), parallel)
    seen = seen_at(pose, 0.75, CORNERS)
    assert seen[:, 1].min() == pytest.approx(0.1)
    assert seen[:, 1].max() == pytest.approx(0.8)
    assert seen[:, 0].mean() == pytest.approx(0.5)
    lowest, highest = seen[CORNERS[:, 2].argmin()], seen[CORNERS[:, 2].argmax()]
    assert lowest[1] > highest[1]  # rows count from the top
    assert seen[CORNERS[:, 1].argmin(), 2] < seen[CORNERS[:, 1].argmax(), 2]  # the front is nearer
