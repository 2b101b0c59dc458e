"""The blank's faces as flat pictures of their wood, for drawing lines on: numpy only."""

from __future__ import annotations

from typing import Literal

import numpy as np
from numpy.typing import NDArray

from app.scene.wood.table import WoodTable, table_of
from app.scene.wood.twin import evaluate, evaluate_afar
from geometry.project import Blank, Variant
from geometry.tapering import half_depth, half_width

Pixels = NDArray[np.uint8]
FloatArray = NDArray[np.float64]

FaceName = Literal["front", "side", "top"]

_INSET_MM = 0.02
_QUICK = (2, 5)
"""A quick picture asks for the grain at every second pixel across and every fifth along it."""


def face_texture(variant: Variant, face: FaceName, width_px: int, height_px: int, quick: bool = False) -> Pixels:
    """Return a picture (h, w, 3) of one face of the blank, first row uppermost, sRGB.

    Parameters
    ----------
    variant : whose blank
    face : "front" (x to the right), "side" (the right face, y to the right), both with z up; "top" (the top end seen
        from above, x to the right and y up)
    width_px, height_px : the picture covers the face exactly, whatever its proportion; of a tapered blank's face the
        rectangle about it, as wide as the face is where it is widest and as high as the blank is long
    quick : the borders of strips as fine as ever, the grain coarser, in a fraction of the time
    """
    return texture_of(table_of(variant), variant.blank, face, width_px, height_px, quick)


def texture_of(
    table: WoodTable, blank: Blank, face: FaceName, width_px: int, height_px: int, quick: bool = False
) -> Pixels:
    """Return what ``face_texture`` does, from a table that is at hand already."""
    corner, right, up = _face(blank, face)
    if not quick:
        colours = evaluate(table, *_lattice(corner, right, up, width_px, height_px))
        return _picture(colours.reshape(height_px, width_px, 3))
    across, along = (_QUICK[0], _QUICK[1]) if face != "top" else (2, 2)
    columns, rows = -(-width_px // across), -(-height_px // along)
    coarse = _lattice(corner, right, up, columns, rows)
    grain = (evaluate(table, *coarse) / evaluate_afar(table, *coarse)).reshape(rows, columns, 3)
    flat = evaluate_afar(table, *_lattice(corner, right, up, width_px, height_px)).reshape(height_px, width_px, 3)
    return _picture(flat * _enlarged(grain, width_px, height_px))


def _face(blank: Blank, face: FaceName) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Return a face's lower left corner as seen, its lower side and its left side, (3,) each, mm."""
    ends = np.array([0.0, blank.length])
    (a, top_a), (b, top_b) = half_width(blank, ends), half_depth(blank, ends)
    widest_a, widest_b, length = max(a, top_a), max(b, top_b), blank.length
    corner, right, up = {
        "front": ((-widest_a, -b + _INSET_MM, 0.0), (2 * widest_a, 0.0, 0.0), (0.0, b - top_b, length)),
        "side": ((a - _INSET_MM, -widest_b, 0.0), (0.0, 2 * widest_b, 0.0), (top_a - a, 0.0, length)),
        "top": ((-top_a, -top_b, length - _INSET_MM), (2 * top_a, 0.0, 0.0), (0.0, 2 * top_b, 0.0)),
    }[face]
    return np.array(corner), np.array(right), np.array(up)


def _lattice(
    corner: FloatArray, right: FloatArray, up: FloatArray, width_px: int, height_px: int
) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Return the pixels' middles (h w, 3) from the upper left on, and the steps to the right and up."""
    across = (np.arange(width_px) + 0.5) / width_px
    upward = (np.arange(height_px)[::-1] + 0.5) / height_px
    points = corner + across[None, :, None] * right + upward[:, None, None] * up
    return points.reshape(-1, 3), right / width_px, up / height_px


def _enlarged(coarse: NDArray, width_px: int, height_px: int) -> NDArray:
    """Return (h, w, 3) from (rows, columns, 3): columns as they are, rows run into one another."""
    rows, columns, _ = coarse.shape
    place = np.clip((np.arange(height_px) + 0.5) * rows / height_px - 0.5, 0.0, rows - 1.0)
    first = np.minimum(place.astype(np.int64), max(rows - 2, 0))
    share = (place - first).astype(np.float32)[:, None, None]
    wide = np.minimum(np.arange(width_px) * columns // width_px, columns - 1)
    following = np.minimum(first + 1, rows - 1)
    tall = coarse[first] * (np.float32(1.0) - share) + coarse[following] * share
    return np.asarray(tall[:, wide])


def _picture(colours: NDArray) -> Pixels:
    return np.asarray(np.clip(colours * 255.0 + 0.5, 0.0, 255.0), dtype=np.uint8)
