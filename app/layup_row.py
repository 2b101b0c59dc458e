"""The same lines in several lay-ups, side by side under one camera and one light.

Run as a program it draws a project's variant in a walnut board, strips, layers, blocks and a chevron:
``python -m app.layup_row FILE OUT.png``.
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Sequence
from typing import TYPE_CHECKING

import msgspec
import numpy as np

from app.portrait import bodies_of_piece
from app.scene.body import Body, placed
from app.scene.camera import Margins, fitted
from app.scene.png import write_png
from app.scene.still import new_scene, render_still
from app.scene.theme import ThemeName
from geometry.errors import CornerwiseError
from geometry.files import read_project, write_whole
from geometry.layup import Checker, Chevron, Layup, Plain, Stripes
from geometry.piece import build
from geometry.project import Blank, Variant

if TYPE_CHECKING:
    from app.scene.finish import Dressed, Finish

_MARGINS = Margins(top=0.06, bottom=0.07, sides=0.035)
_DIRECTION = np.array([-0.50, 0.82, -0.24])
_APART = 0.75
"""Room between neighbours, in widths of a piece."""


class FinishByName:
    """Each body's finish by its name."""

    def __init__(self, finishes: dict[str, Finish]) -> None:
        """Take the finishes."""
        self._finishes = finishes

    def shade(self, dressed: Dressed, body: Body) -> None:
        """Give one body its own finish."""
        self._finishes[body.name].shade(dressed, body)


def row_of_layups(
    variant: Variant, layups: Sequence[Layup], size: tuple[int, int], theme: ThemeName = "light"
) -> bytes:  # fmt: skip
    """Return a PNG picture of a variant's piece, once for each lay-up, from left to right.

    Raises
    ------
    OutputError
        this machine cannot draw
    """
    scene = new_scene(theme)
    from app.scene.wood.finish import wood_finish  # VTK, which has loaded by now

    bodies: list[Body] = []
    finishes: dict[str, Finish] = {}
    for number, layup in enumerate(layups):
        one = msgspec.structs.replace(variant, layup=layup)
        standing = bodies_of_piece(build(one))
        span = np.concatenate([placed(body.solid.vertices, body.matrix) for body in standing])
        step = (1.0 + _APART) * float(np.ptp(span[:, :2], axis=0).max())
        right = np.cross(_DIRECTION, [0.0, 0.0, 1.0])
        shift = np.eye(4)
        shift[:3, 3] = number * step * right / np.linalg.norm(right)
        finish = wood_finish(one)
        for body in standing:
            name = f"{number} {body.name}"
            bodies.append(Body(body.solid, body.colour, shift @ body.matrix, name, body.number))
            finishes[name] = finish
    scene.set_finish(FinishByName(finishes))
    scene.set_bodies(bodies)
    scene.rest()
    scene.stand(fitted(scene.points(), _DIRECTION, np.array([0.0, 0.0, 1.0]), size[0] / size[1], _MARGINS))
    return write_png(render_still(scene, size))


def usual_layups(blank: Blank) -> tuple[Layup, ...]:
    """Return six lay-ups that fit a blank, each of another kind."""
    w, d, length = blank.width, blank.depth, blank.length
    blocks = max(2, round(length / (w / 3.0)))
    return (
        Plain(species="walnut"),
        Stripes(along="x", strips=tuple((w / 5.0, "maple" if i % 2 else "walnut") for i in range(5))),
        Stripes(along="y", strips=tuple((d / 3.0, name) for name in ("cherry", "maple", "cherry"))),
        Checker(x=(w / 4.0,) * 4, y=(d / 4.0,) * 4, species=("mahogany", "ash")),
        Checker(x=(w / 3.0,) * 3, y=(d / 3.0,) * 3, z=(length / blocks,) * blocks, species=("walnut", "birch")),
        Chevron(across="x", angle_deg=45.0, pitch=w * 0.3, species=("maple", "walnut", "maple", "cherry")),
    )


def main(argv: Sequence[str] | None = None) -> int:
    """Draw the row; give the exit code."""
    parser = argparse.ArgumentParser(description="Draw the lines of a project in six lay-ups, side by side.")
    parser.add_argument("file", metavar="FILE")
    parser.add_argument("out", metavar="OUT.png")
    parser.add_argument("--variant", metavar="NAME")
    parser.add_argument("--height", type=int, default=900, metavar="PX")
    options = parser.parse_args(argv)
    try:
        variant = read_project(options.file).variant(options.variant)
        size = (round(1.9 * options.height), options.height)
        write_whole(options.out, row_of_layups(variant, usual_layups(variant.blank), size))
    except CornerwiseError as error:
        print(error, file=sys.stderr)
        return 2
    return 0


if __name__ == "__main__":
    sys.exit(main())
