"""The edges of the piece in one view, and how far they are from the wish along the height."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final, cast

import numpy as np

from geometry.fit.outlines import Outline, Rising
from geometry.fit.saw import Saw
from geometry.lines import Line, line_of, line_through
from geometry.project import Cut, Trim
from geometry.sampling import sample
from geometry.solids import FloatArray

EDGE_CHORD_MM: Final = 0.004
"""Edges are laid out to a tenth of the closest tolerance or better."""


@dataclass(frozen=True, slots=True, eq=False)
class Difference:
    """How far the piece is from the wish in one view.

    Attributes
    ----------
    z : (n,) heights in millimetres, rising
    left, right : (n,) how far the piece stands outside the wanted outline; less than nothing where it falls short
    wanted_left, wanted_right : (n,) the outline
    """

    z: FloatArray
    left: FloatArray
    right: FloatArray
    wanted_left: FloatArray
    wanted_right: FloatArray

    @property
    def worst_mm(self) -> float:
        """The largest difference, whichever way."""
        return float(max(np.abs(self.left).max(), np.abs(self.right).max()))

    @property
    def worst_at(self) -> tuple[float, float]:
        """Where it is, (u, z) on the wanted outline."""
        i, j = int(np.argmax(np.abs(self.left))), int(np.argmax(np.abs(self.right)))
        if abs(self.left[i]) > abs(self.right[j]):
            return float(self.wanted_left[i]), float(self.z[i])
        return float(self.wanted_right[j]), float(self.z[j])


def band(line: Line, half: float, half_slot: float) -> tuple[Rising, Rising]:
    """Return the left and the right edge of the profile of a line that rises all the way.

    Parameters
    ----------
    line : the line, in the face's (u, z); it runs straight on past its ends
    half : half the face's width
    half_slot : half of what the saw and the sanding take
    """
    samples = sample(line, EDGE_CHORD_MM, half_slot)
    normals = samples.normals
    far = 2.0 * half_slot + 1.0
    points = np.vstack([line.start - far * line.start_direction, samples.points, line.end + far * line.end_direction])
    normals = np.vstack([normals[:1], normals, normals[-1:]])
    right, left = points + half_slot * normals, points - half_slot * normals
    across = np.array([half, 0.0])
    return _rising(left - across), _rising(right + across)


def _rising(points: FloatArray) -> Rising:
    keep = np.append(True, np.diff(np.maximum.accumulate(points[:, 1])) > 1e-9)
    return Rising(points[keep, 1].copy(), points[keep, 0].copy())


def trimmed_face(trim: Trim, side: int, sanding: float) -> Rising:
    """Return the face that a trim leaves on the right (side 1) or the left (-1), sanded."""
    samples = sample(line_through(trim.nodes), EDGE_CHORD_MM, sanding)
    return _rising(samples.points + side * sanding * samples.normals)


def difference(outline: Outline, cut: Cut, half: float, saw: Saw) -> Difference:
    """Return how far the piece of a cut is from an outline, at close heights.

    Parameters
    ----------
    outline : what is wanted
    cut : the line and its trims
    half : half the blank's size in this view
    saw : kerf and sanding
    """
    left, right = band(line_of(cut, outline.length), half, saw.half_slot)
    faces: list[tuple[int, Rising]] = []
    for trim in cut.trims:
        side = 1 if max((n.at[0] for n in trim.nodes), key=abs) > 0.0 else -1
        faces.append((side, trimmed_face(trim, side, saw.sanding)))
    z = np.unique(np.concatenate([outline.heights, *(f.z for _, f in faces)]))
    z = z[(z >= 0.0) & (z <= outline.length)]
    return _against(outline, z, left, right, faces)


def _against(
    outline: Outline, z: FloatArray, left: Rising, right: Rising, faces: Sequence[tuple[int, Rising]]
) -> Difference:
    on_left, on_right = left.at(z), right.at(z)
    for side, face in faces:
        reaches = (z >= face.z[0]) & (z <= face.z[-1])
        if side > 0:
            on_right = np.where(reaches, np.minimum(on_right, face.at(z)), on_right)
        else:
            on_left = np.where(reaches, np.maximum(on_left, face.at(z)), on_left)
    wanted_left, wanted_right = outline.left.at(z), outline.right.at(z)
    return Difference(
        z, cast(FloatArray, wanted_left - on_left), cast(FloatArray, on_right - wanted_right), wanted_left, wanted_right
    )
