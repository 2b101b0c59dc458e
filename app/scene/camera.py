"""Where the camera stands: the standard views and the tightest fit, as pure functions. No VTK here."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import chain
from typing import Literal

import numpy as np
from numpy.typing import NDArray

FloatArray = NDArray[np.float64]

ViewName = Literal["front", "right", "back", "left", "top", "three-quarter"]

VIEW_ANGLE_DEG = 20.0  # a long lens: upright things stay upright

_UP = (0.0, 0.0, 1.0)


def _three_quarter(azimuth_deg: float, elevation_deg: float) -> tuple[float, float, float]:
    azimuth, elevation = np.radians(azimuth_deg), np.radians(elevation_deg)
    flat = np.cos(elevation)
    return (-float(flat * np.cos(azimuth)), -float(flat * np.sin(azimuth)), -float(np.sin(elevation)))


# Looking direction and up. Front looks along +y with +x to the right, right along -x with +y to the right.
_VIEWS: dict[ViewName, tuple[tuple[float, float, float], tuple[float, float, float]]] = {
    "front": ((0.0, 1.0, 0.0), _UP),
    "right": ((-1.0, 0.0, 0.0), _UP),
    "back": ((0.0, -1.0, 0.0), _UP),
    "left": ((1.0, 0.0, 0.0), _UP),
    "top": ((0.0, 0.0, -1.0), (0.0, 1.0, 0.0)),
    "three-quarter": (_three_quarter(-57.0, 14.0), _UP),
}

VIEW_NAMES: tuple[ViewName, ...] = tuple(_VIEWS)


@dataclass(frozen=True, slots=True)
class CameraPose:
    """A camera, ready to be given to any renderer.

    Attributes
    ----------
    position, target, up : (3,) floats, mm
    parallel : bool
        Parallel projection; ``half_height`` then sets the scale.
    view_angle_deg : float
        Full angle from the lower to the upper edge.
    half_height : float, mm
        Half of what the picture is high at the target's distance, in either projection.
    """

    position: tuple[float, float, float]
    target: tuple[float, float, float]
    up: tuple[float, float, float]
    parallel: bool
    view_angle_deg: float
    half_height: float


def camera_text(pose: CameraPose) -> str:
    """Return a camera as numbers with commas between, for a command line; `camera_of` reads it back."""
    numbers = chain(pose.position, pose.target, pose.up, (pose.half_height, float(pose.parallel)))
    return ",".join(repr(float(number)) for number in numbers)


def camera_of(text: str) -> CameraPose:
    """Return the camera that a text describes.

    Parameters
    ----------
    text : eleven numbers: x, y, z of the eye, of what is in the middle, and of what is up, mm; half of what the
        picture is high there, mm; 1 for parallel projection, 0 for perspective

    Raises
    ------
    ValueError
        in words that follow "expected"
    """
    try:
        numbers = [float(part) for part in text.split(",")]
    except ValueError:
        numbers = []
    if len(numbers) != 11 or not np.isfinite(numbers).all() or numbers[10] not in (0.0, 1.0):
        raise ValueError("eleven numbers with commas between, the last of them 0 or 1")
    eye, target, up = (np.array(numbers[i : i + 3]) for i in (0, 3, 6))
    if numbers[9] <= 0.0 or np.linalg.norm(np.cross(target - eye, up)) == 0.0:
        raise ValueError("an eye away from what it looks at, up across that direction, and a height above 0")
    return CameraPose(_triple(eye), _triple(target), _triple(up), numbers[10] == 1.0, VIEW_ANGLE_DEG, numbers[9])


@dataclass(frozen=True, slots=True)
class Margins:
    """Empty share of the picture at each edge, 0 to below 0.5."""

    top: float = 0.08
    bottom: float = 0.08
    sides: float = 0.10


def axes_of(direction: FloatArray, up: FloatArray) -> FloatArray:
    """Rows right, up and backward of a camera looking along ``direction``, (3, 3)."""
    backward = -direction / np.linalg.norm(direction)
    right = np.cross(up, backward)
    right /= np.linalg.norm(right)
    return np.stack([right, np.cross(backward, right), backward])


def fitted(
    points: FloatArray,
    direction: FloatArray,
    up: FloatArray,
    aspect: float,
    margins: Margins | None = None,
    parallel: bool = False,
    view_angle_deg: float = VIEW_ANGLE_DEG,
) -> CameraPose:
    """The nearest camera that holds every point inside the margins, centred in the room they leave.

    Parameters
    ----------
    points : (n, 3) float64, mm, n at least 1
    direction, up : (3,) where it looks, and what is up in the picture
    aspect : float
        Width over height of the picture.

    Notes
    -----
    Each edge of the frame is a plane with a fixed slope through the camera, so each asks the camera to keep a
    fixed combination of sideways place and distance; the largest of each decides. No search is needed.
    """
    margins = margins or Margins()
    axes = axes_of(np.asarray(direction, float), np.asarray(up, float))
    seen = points @ axes.T
    high = np.tan(np.radians(view_angle_deg) / 2.0)
    # Signed slopes or half sizes of the four edges, after the margins.
    top, bottom = 1.0 - 2.0 * margins.top, 1.0 - 2.0 * margins.bottom
    side = 1.0 - 2.0 * margins.sides
    if parallel:
        low, up_most = seen.min(axis=0), seen.max(axis=0)
        half = max((up_most[1] - low[1]) / (top + bottom), (up_most[0] - low[0]) / (2.0 * side * aspect), 1e-6)
        centre_y = (up_most[1] + low[1]) / 2.0 - half * (top - bottom) / 2.0
        place = np.array([(up_most[0] + low[0]) / 2.0, centre_y, up_most[2] + half / high])
    else:
        depth = seen[:, 2]
        above = np.max(seen[:, 1] + top * high * depth)
        below = np.max(-seen[:, 1] + bottom * high * depth)
        wide = side * high * aspect
        rightmost = np.max(seen[:, 0] + wide * depth)
        leftmost = np.max(-seen[:, 0] + wide * depth)
        distance = max((above + below) / ((top + bottom) * high), (rightmost + leftmost) / (2.0 * wide))
        distance = max(distance, float(depth.max()) + 1.0)
        # Halfway between the two edges' demands at that distance.
        y = ((above - top * high * distance) + (bottom * high * distance - below)) / 2.0
        place = np.array([(rightmost - leftmost) / 2.0, y, distance])
        half = 0.0
    middle = (seen[:, 2].max() + seen[:, 2].min()) / 2.0
    if not parallel:
        half = (place[2] - middle) * high
    position = place @ axes
    target = np.array([place[0], place[1], middle]) @ axes
    return CameraPose(
        position=_triple(position),
        target=_triple(target),
        up=_triple(axes[1]),
        parallel=parallel,
        view_angle_deg=view_angle_deg,
        half_height=float(half),
    )


def seen_at(pose: CameraPose, aspect: float, points: FloatArray) -> FloatArray:
    """Where points come to lie in a picture.

    Parameters
    ----------
    aspect : float
        Width over height of the picture.
    points : (n, 3) float64, mm, before the eye

    Returns
    -------
    (n, 3) float64
        Shares of the width from the left and of the height from the top, and how far before the eye, mm.
    """
    direction = np.subtract(pose.target, pose.position)
    seen = (points - np.array(pose.position)) @ axes_of(direction, np.array(pose.up)).T
    far = -seen[:, 2]
    half = pose.half_height if pose.parallel else far * np.tan(np.radians(pose.view_angle_deg) / 2.0)
    return np.stack([(seen[:, 0] / (half * aspect) + 1.0) / 2.0, (1.0 - seen[:, 1] / half) / 2.0, far], axis=1)


def standard_view(
    name: ViewName,
    points: FloatArray,
    aspect: float,
    margins: Margins | None = None,
    parallel: bool = False,
) -> CameraPose:
    """One of the named views, fitted to the points."""
    direction, up = _VIEWS[name]
    return fitted(points, np.array(direction), np.array(up), aspect, margins, parallel)


def _triple(vector: FloatArray) -> tuple[float, float, float]:
    return (float(vector[0]), float(vector[1]), float(vector[2]))
