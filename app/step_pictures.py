"""Pictures of the work at the bench, one to each step, in the wood of this very design."""

from __future__ import annotations

import io
from functools import partial

import numpy as np
from numpy.typing import NDArray

from app.portrait import bodies_of_piece, colour_from_afar
from app.scene.body import Body
from app.scene.camera import CameraPose, Margins, seen_at, standard_view
from app.scene.still import new_scene, render_series
from geometry.bench_steps import Step, bench_steps
from geometry.drawing.items import Point
from geometry.piece import Piece, require_wood
from geometry.sheet.pictures import SheetPictures, StepPicture
from geometry.solids import FloatArray

_MARGINS = Margins(top=0.06, bottom=0.05, sides=0.06)
_JPEG_QUALITY = 90


def sheet_pictures(piece: Piece, height_px: int = 1000) -> SheetPictures:
    """Return the piece's portrait and a picture of each step, all ``height_px`` high or less.

    Raises
    ------
    NoSolidError
        no wood is left
    OutputError
        this machine cannot draw
    """
    if all(quarter.is_empty for quarter in piece.quarters):
        require_wood(piece.quarters[0], "the piece")
    steps = bench_steps(piece.variant)
    aspect = _aspect(piece)
    size = (round(height_px * aspect), height_px)
    scene = new_scene("light")
    from app.scene.wood.finish import wood_finish  # VTK, which has loaded by now

    scene.set_finish(wood_finish(piece.variant))
    colour = colour_from_afar(piece.variant)
    poses: list[CameraPose] = []

    def stand(bodies: list[Body]) -> None:
        scene.set_bodies(bodies)
        scene.rest()
        pose = standard_view("three-quarter", scene.points(), size[0] / size[1], _MARGINS)
        scene.stand(pose)
        poses.append(pose)

    shown = [[Body(solid, colour, move) for solid, move in step.bodies] for step in steps]
    shown.append(bodies_of_piece(piece))
    pictures = list(render_series(scene, size, [partial(stand, bodies) for bodies in shown]))
    made = [
        _with_marks(step, _jpeg(picture), pose, size[0] / size[1])
        for step, picture, pose in zip(steps, pictures[:-1], poses[:-1], strict=True)
    ]
    return SheetPictures(_jpeg(pictures[-1]), size[0] / size[1], tuple(made))


def _aspect(piece: Piece) -> float:
    """Return how wide the pictures are by their height: enough for the quarters when they stand apart."""
    blank = piece.variant.blank
    widest = max(blank.width, blank.depth, blank.width_at_top, blank.depth_at_top)
    return float(np.clip(2.3 * widest / blank.length, 0.36, 1.4))


def _with_marks(step: Step, image: bytes, pose: CameraPose, aspect: float) -> StepPicture:
    def seen(points: FloatArray) -> tuple[Point, ...]:
        at = seen_at(pose, aspect, points)
        return tuple((float(x), 1.0 - float(y)) for x, y in at[:, :2])

    return StepPicture(
        step.name,
        image,
        aspect,
        tuple(seen(line) for line in step.lines),
        tuple(seen(tape) for tape in step.tapes),
        tuple((text, seen(at[None])[0]) for text, at in step.numbers),
    )


def _jpeg(picture: NDArray[np.uint8]) -> bytes:
    from PIL import Image

    out = io.BytesIO()
    Image.fromarray(picture).save(out, "JPEG", quality=_JPEG_QUALITY, subsampling=0, optimize=True)
    return out.getvalue()
