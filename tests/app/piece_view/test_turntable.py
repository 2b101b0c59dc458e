"""The camera's arithmetic."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.piece_view.turntable import (
    MARGINS,
    STANDARD,
    Extent,
    Pose,
    axes,
    camera_pose,
    common,
    fit,
    orbited,
    panned,
    zoomed,
)
from app.scene.camera import standard_view

poses = st.builds(
    Pose,
    st.floats(0, 360),
    st.floats(-90, 90),
    st.tuples(*[st.floats(-500, 500)] * 3),
    st.floats(5, 2000),
    st.booleans(),
)
extents = st.builds(
    lambda r, low, high: Extent(r, low, low + high), st.floats(5, 400), st.floats(-50, 50), st.floats(5, 3000)
)


def seen(pose: Pose, points) -> np.ndarray:
    """Where points lie, in half heights of the picture from its middle, by the textbook pinhole."""
    camera = camera_pose(pose)
    right, up, backward = axes(pose)
    relative = np.atleast_2d(points) - camera.position
    depth = -(relative @ backward)
    flat = np.stack([relative @ right, relative @ up], axis=1)
    if pose.parallel:
        return flat / pose.half_height
    return flat / (depth[:, None] * np.tan(np.radians(camera.view_angle_deg) / 2.0))


@given(poses)
def test_the_axes_are_a_right_handed_frame_and_the_horizon_is_level(pose):
    frame = axes(pose)
    assert frame @ frame.T == pytest.approx(np.eye(3), abs=1e-12)
    assert np.linalg.det(frame) == pytest.approx(1.0)
    assert frame[0, 2] == 0.0
    assert frame[1, 2] >= -1e-12  # never upside down


@given(poses, st.floats(0.2, 5.0), st.floats(-1, 1), st.floats(-1, 1))
def test_zooming_holds_the_place_under_the_pointer(pose, factor, x, y):
    right, up, _ = axes(pose)
    place = np.array(pose.target) + pose.half_height * (x * right + y * up)
    after = zoomed(pose, factor, x * pose.half_height, y * pose.half_height)
    assert seen(after, place)[0] == pytest.approx(seen(pose, place)[0], abs=1e-6)


@given(poses, st.floats(-1, 1), st.floats(-1, 1))
def test_panning_carries_the_middle_along(pose, x, y):
    after = panned(pose, x * pose.half_height, y * pose.half_height)
    assert seen(after, pose.target)[0] == pytest.approx([x, y], abs=1e-6)


@given(poses, st.floats(-400, 400), st.floats(-400, 400))
def test_going_round_keeps_what_is_in_the_middle_there(pose, azimuth, elevation):
    after = orbited(pose, azimuth, elevation)
    assert seen(after, pose.target)[0] == pytest.approx([0.0, 0.0], abs=1e-6)
    assert -90.0 <= after.elevation_deg <= 90.0


@given(poses, extents, st.floats(0.3, 3.0))
def test_a_fit_shows_the_whole_extent_and_no_more_than_needed(pose, extent, aspect):
    after = fit(pose, extent, aspect)
    angle = np.radians(after.azimuth_deg) + np.linspace(0, 2 * np.pi, 48, endpoint=False)
    ring = np.stack([extent.radius * np.cos(angle), extent.radius * np.sin(angle)], axis=1)
    points = np.concatenate([np.column_stack([ring, np.full(48, z)]) for z in (extent.low, extent.high)])
    x, y = seen(after, points).T
    room = np.array([
        (1 - 2 * MARGINS.sides) * aspect - np.abs(x).max(),
        1 - 2 * MARGINS.top - y.max(),
        1 - 2 * MARGINS.bottom + y.min(),
    ])  # fmt: skip
    assert room.min() >= -1e-6
    assert room.min() <= 1e-6 or after.half_height <= 2.0  # one edge decides
    assert (after.azimuth_deg, after.elevation_deg, after.parallel) == (
        pose.azimuth_deg, pose.elevation_deg, pose.parallel,
    )  # fmt: skip


@given(extents, st.floats(0, 360), st.floats(0, 360), st.floats(-90, 90), st.booleans())
def test_going_round_a_fitted_piece_changes_no_distance(extent, first, second, elevation, parallel):
    fits = [fit(Pose(az, elevation, (0, 0, 0), 1.0, parallel), extent, 0.8) for az in (first, second)]
    assert fits[0].half_height == pytest.approx(fits[1].half_height)
    assert fits[0].target[2] == pytest.approx(fits[1].target[2], abs=1e-6)


@pytest.mark.parametrize("name", STANDARD)
def test_the_standard_views_are_those_of_the_saved_pictures(name):
    box = np.array([[x, y, z] for x in (-30, 30) for y in (-30, 30) for z in (0, 420)], float)
    theirs = standard_view(name, box, 0.8)
    azimuth, elevation = STANDARD[name]
    _, up, backward = axes(Pose(azimuth, elevation, (0, 0, 0), 100.0))
    looking = np.array(theirs.target) - np.array(theirs.position)
    assert -backward == pytest.approx(looking / np.linalg.norm(looking), abs=1e-9)
    assert up == pytest.approx(np.array(theirs.up), abs=1e-9)


def test_the_common_extent_holds_them_all():
    assert common([]) is None
    assert common([Extent(30, 0, 420), Extent(50, -5, 300)]) == Extent(50, -5, 420)
