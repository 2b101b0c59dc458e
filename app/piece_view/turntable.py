"""Where the eye stands about an upright piece: pure arithmetic, no Qt, no VTK.

The piece stands on a turntable: the eye goes round it and up and down, and up stays up.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from app.scene.camera import VIEW_ANGLE_DEG, CameraPose, Margins, ViewName, fitted
from geometry.solids import FloatArray

STANDARD: Final[dict[ViewName, tuple[float, float]]] = {
    "front": (0.0, 0.0),
    "right": (90.0, 0.0),
    "back": (180.0, 0.0),
    "left": (270.0, 0.0),
    "top": (0.0, 90.0),
    "three-quarter": (33.0, 14.0),
}
"""Azimuth and elevation in degrees: 0 looks at the front face, 90 at the right one."""

MARGINS: Final = Margins(top=0.09, bottom=0.075, sides=0.07)
"""Room for the numbers above and the shadow below."""

CLOSEST_MM, FURTHEST_MM = 2.0, 50_000.0
"""Half of what the picture may be high."""


@dataclass(frozen=True, slots=True)
class Pose:
    """Where the eye stands.

    Attributes
    ----------
    azimuth_deg : round the piece, 0 before the front face, growing towards the right face
    elevation_deg : -90 from below to 90 from above
    target : (3,) what is in the middle of the picture, mm
    half_height : half of what the picture is high at the target, mm
    parallel : parallel projection instead of perspective
    """

    azimuth_deg: float
    elevation_deg: float
    target: tuple[float, float, float]
    half_height: float
    parallel: bool = False


@dataclass(frozen=True, slots=True)
class Extent:
    """The upright cylinder about the axis in which a piece stands: radius, lowest and highest z, mm."""

    radius: float
    low: float
    high: float


def axes(pose: Pose) -> FloatArray:
    """Return rows right, up and towards the eye, (3, 3); up is defined even straight from above."""
    az, el = np.radians(pose.azimuth_deg), np.radians(pose.elevation_deg)
    level = np.array([np.sin(az), -np.cos(az), 0.0])  # towards the eye, seen on the ground
    right = np.array([np.cos(az), np.sin(az), 0.0])
    upright = np.array([0.0, 0.0, 1.0])
    return np.stack([right, np.cos(el) * upright - np.sin(el) * level, np.cos(el) * level + np.sin(el) * upright])


def camera_pose(pose: Pose) -> CameraPose:
    """Return the pose as any renderer takes it."""
    _, up, backward = axes(pose)
    distance = pose.half_height / np.tan(np.radians(VIEW_ANGLE_DEG) / 2.0)
    return CameraPose(
        position=_triple(np.array(pose.target) + distance * backward),
        target=pose.target,
        up=_triple(up),
        parallel=pose.parallel,
        view_angle_deg=VIEW_ANGLE_DEG,
        half_height=pose.half_height,
    )


def orbited(pose: Pose, azimuth_deg: float, elevation_deg: float) -> Pose:
    """Go round and up by so much; no further up or down than straight above or below."""
    elevation = float(np.clip(pose.elevation_deg + elevation_deg, -90.0, 90.0))
    return replace(pose, azimuth_deg=(pose.azimuth_deg + azimuth_deg) % 360.0, elevation_deg=elevation)


def panned(pose: Pose, right_mm: float, up_mm: float) -> Pose:
    """Move the picture's contents right and up by so much at the target."""
    right, up, _ = axes(pose)
    return replace(pose, target=_triple(np.array(pose.target) - right_mm * right - up_mm * up))


def zoomed(pose: Pose, factor: float, right_mm: float = 0.0, up_mm: float = 0.0) -> Pose:
    """Show ``factor`` times as much; what lies at this place of the picture (mm from its middle) stays there."""
    half = float(np.clip(pose.half_height * factor, CLOSEST_MM, FURTHEST_MM))
    kept = half / pose.half_height
    moved = panned(pose, -(1.0 - kept) * right_mm, -(1.0 - kept) * up_mm)
    return replace(moved, half_height=half)


def fit(pose: Pose, extent: Extent, aspect: float, margins: Margins = MARGINS) -> Pose:
    """Come as near as the margins allow for everything in the extent, whichever way it is turned about its axis."""
    _, up, backward = axes(pose)
    # The ring turns with the eye, so that going round changes no distance.
    angle = np.radians(pose.azimuth_deg) + np.linspace(0.0, 2.0 * np.pi, 48, endpoint=False)
    ring = extent.radius * np.stack([np.cos(angle), np.sin(angle)], axis=1)
    points = np.concatenate([np.column_stack([ring, np.full(48, z)]) for z in (extent.low, extent.high)])
    found = fitted(points, -backward, up, aspect, margins, pose.parallel, VIEW_ANGLE_DEG)
    return replace(pose, target=found.target, half_height=max(found.half_height, CLOSEST_MM))


def common(extents: list[Extent]) -> Extent | None:
    """Return the extent that holds them all, or None when there is none."""
    if not extents:
        return None
    return Extent(max(e.radius for e in extents), min(e.low for e in extents), max(e.high for e in extents))


def _triple(vector: FloatArray) -> tuple[float, float, float]:
    return (float(vector[0]), float(vector[1]), float(vector[2]))
