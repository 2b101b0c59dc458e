"""A piece going round once on a turntable: pictures under one light, as an animated GIF or one by one."""

from __future__ import annotations

import io
from collections.abc import Iterator, Sequence
from functools import partial

import numpy as np
from numpy.typing import NDArray

from app.portrait import bodies_of_piece
from app.scene.body import placed
from app.scene.camera import Margins, standard_view
from app.scene.png import write_png
from app.scene.still import new_scene, render_series
from app.scene.theme import ThemeName
from app.scene.wood.table import ShowThrough
from geometry.piece import Piece, require_wood
from geometry.solids import FloatArray
from geometry.turning import GLUED

FEWEST, MOST = 2, 360
ROUND_MS = 6000
"""How long one turn takes."""

_MARGINS = Margins(top=0.07, bottom=0.08, sides=0.07)
_COLOURS = 256


def turntable(
    piece: Piece,
    size: tuple[int, int],
    count: int,
    turn: float = GLUED,
    theme: ThemeName = "light",
    show: ShowThrough = "wood",
) -> Iterator[NDArray[np.uint8]]:
    """Return pictures (h, w, 3) of a piece in its wood, each turned on by an equal part of once round.

    Raises
    ------
    NoSolidError
        no wood is left
    OutputError
        this machine cannot draw
    """
    bodies = bodies_of_piece(piece, turn)
    if not bodies:
        require_wood(piece.quarters[0], "the piece")
    scene = new_scene(theme)
    from app.scene.wood.finish import wood_finish  # VTK, which has loaded by now

    finish = wood_finish(piece.variant)
    finish.show(show)
    scene.set_finish(finish)
    scene.set_bodies(bodies)
    scene.rest()
    turns = [_about_z(2.0 * np.pi * step / count) for step in range(count)]
    everywhere = np.concatenate([placed(scene.points(), move) for move in turns])
    scene.stand(standard_view("three-quarter", everywhere, size[0] / size[1], _MARGINS))

    def stand(move: FloatArray) -> None:
        scene.set_matrices([move @ body.matrix for body in bodies])
        scene.rest()

    return render_series(scene, size, [partial(stand, move) for move in turns])


def _about_z(angle: float) -> FloatArray:
    c, s = np.cos(angle), np.sin(angle)
    move = np.eye(4)
    move[:2, :2] = [[c, -s], [s, c]]
    return move


def gif(pictures: Sequence[NDArray[np.uint8]], round_ms: int = ROUND_MS) -> bytes:
    """Return an animated GIF that goes round and round, with one palette for all pictures."""
    from PIL import Image

    frames = [Image.fromarray(picture) for picture in pictures]
    # one palette, drawn from pictures all round, keeps backdrop and wood from flickering
    sample = [np.asarray(frame)[::2, ::2] for frame in frames[:: max(1, len(frames) // 8)]]
    palette = Image.fromarray(np.concatenate(sample)).quantize(_COLOURS, method=Image.Quantize.MEDIANCUT)
    indexed = [frame.quantize(palette=palette, dither=Image.Dither.FLOYDSTEINBERG) for frame in frames]
    out = io.BytesIO()
    step = max(20, round(round_ms / len(frames)))
    indexed[0].save(out, "GIF", save_all=True, append_images=indexed[1:], duration=step, loop=0, optimize=False)
    return out.getvalue()


def numbered(name: str, pictures: Iterator[NDArray[np.uint8]]) -> Iterator[tuple[str, bytes]]:
    """Return names and contents of PNG files: leg.png becomes leg_001.png, leg_002.png and so on."""
    stem = name[: -len(".png")]
    for number, picture in enumerate(pictures, start=1):
        yield f"{stem}_{number:03d}.png", write_png(picture)
