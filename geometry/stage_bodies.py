"""The bodies of the work at the bench in the blank's coordinates: blank, halves, quarters before and after each
direction of trims, and the offcuts.

On straight stock each is a region of the front face carried through the depth and cut by a region of the right face.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, Literal

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from geometry.offcuts import offcuts_of, trimmed_directions
from geometry.piece import Piece, SawnLine
from geometry.prisms import STRAIGHT, prism
from geometry.project import CutName
from geometry.sawing import QUARTER_SIGNS, checked
from geometry.slots import SawnFace, areas_of, soundly
from geometry.solids import Solid
from geometry.tapered_sawing import part_tapered
from geometry.tapering import frustum
from geometry.tolerances import CUTTER_OVERSHOOT_MM, LOOSE_BODY_MM3
from geometry.trims import SawnTrim

BodyKind = Literal["blank", "half", "quarter", "offcut"]
OTHER: Final[dict[CutName, CutName]] = {"front": "side", "side": "front"}


@dataclass(frozen=True, slots=True, eq=False)
class Body:
    """One body.

    Attributes
    ----------
    name : its own, the same for as long as it is the same piece of wood
    kind : what it is
    number : of the quarter, of the half by its lower quarter, or of the offcut; 0 for the blank
    quarter : the quarter it belongs to, from 1; 0 for the blank and the halves
    cut : for an offcut the direction it was trimmed in
    side : for an offcut +1 or -1, where it lay in that direction's view
    is_needed : for an offcut whether it has to be taped back
    solid : in the blank's coordinates
    """

    name: str
    kind: BodyKind
    number: int
    quarter: int
    solid: Solid
    cut: CutName | None = None
    side: int = 0
    is_needed: bool = False


def blank_body(piece: Piece) -> Body:
    """Return the blank before any cut."""
    return Body("blank", "blank", 0, 0, frustum(piece.variant.blank))


def half_bodies(piece: Piece) -> tuple[Body, ...]:
    """Return the two halves after the front line alone is sawn: 1 stands for quarters 1 and 4, 2 for 2 and 3.

    Parameters
    ----------
    piece : a piece without trims
    """
    variant, face = piece.variant, piece.front.face
    if variant.blank.is_tapered:
        gone = variant.front.kerf + 2.0 * variant.sanding
        low, high = part_tapered(variant.blank, variant.taper_support, "front", piece.front.line, gone, piece.chord_mm)
    else:
        b = variant.blank.depth / 2.0
        low, high = (checked(prism(region, STRAIGHT["front"], -b, b)) for region in (face.left, face.right))
    halves = (Body("half 1", "half", 1, 0, low), Body("half 2", "half", 2, 0, high))
    return tuple(half for half in halves if not half.solid.is_empty)


def quarter_bodies(piece: Piece, name: str = "quarter") -> tuple[Body, ...]:
    """Return the quarters of a piece; any without wood are left out."""
    return tuple(
        Body(f"{name} {number}", "quarter", number, number, solid)
        for number, solid in enumerate(piece.quarters, start=1)
        if not solid.is_empty
    )


def trimmed_bodies(before: Piece, sawn: Piece, up_to: CutName) -> tuple[Body, ...]:
    """Return quarters and offcuts once the trims of a direction are sawn.

    An offcut falls into its quarters' parts; what the second direction saws off a first offcut is a chip of its own,
    under the second one's number. Offcuts of the first direction that are not needed are gone by the second.

    Parameters
    ----------
    before, sawn : the piece without and with its trims, of straight stock
    up_to : the direction last sawn
    """
    order = trimmed_directions(sawn)
    is_second = len(order) > 1 and up_to == order[-1]
    done: tuple[CutName, ...] = order if is_second else (up_to,)
    needed = {(o.cut, o.number): o.is_needed for o in offcuts_of(sawn)}
    out: list[Body] = []
    for number, (sx, sy) in enumerate(QUARTER_SIGNS, start=1):
        fronts = _regions(before.front, sawn.front if "front" in done else None, -sx)
        sides = _regions(before.side, sawn.side if "side" in done else None, -sy)
        for i, front in fronts.items():
            for j, side in sides.items():
                which = _which(order[0], i, j)
                if which is not None and is_second and which[0] == order[0] and not needed[which]:
                    continue
                if i and j and not needed[(order[0], i if order[0] == "front" else j)]:
                    continue
                solid = _crossed(front, side, before)
                if solid is None:
                    continue
                out.append(_body(number, which, i, j, needed, solid, sx, sy))
    return tuple(out)


def _which(first: CutName, i: int, j: int) -> tuple[CutName, int] | None:
    """Return the direction and number of the offcut that a part is; of two the one sawn last; None of a quarter."""
    if i and j:
        return ("side", j) if first == "front" else ("front", i)
    return ("front", i) if i else ("side", j) if j else None


def _body(
    quarter: int, which: tuple[CutName, int] | None, i: int, j: int, needed: dict[tuple[CutName, int], bool],
    solid: Solid, sx: int, sy: int,
) -> Body:  # fmt: skip
    if which is None:
        return Body(f"quarter {quarter}", "quarter", quarter, quarter, solid)
    cut, number = which
    chip = f" through {OTHER[cut]} {i if cut == 'side' else j}" if i and j else ""
    name = f"{cut} offcut {number}{chip} of quarter {quarter}"
    side = -sx if cut == "front" else -sy
    return Body(name, "offcut", number, quarter, solid, cut, side, needed[which])


def _regions(before: SawnLine, sawn: SawnLine | None, side: int) -> dict[int, BaseGeometry]:
    """Return what a half of a face is parted into: what is kept under 0, offcuts under their numbers."""
    face = before.face
    whole = face.left if side > 0 else face.right
    if sawn is None:
        return {0: whole}
    found = {0: sawn.face.left if side > 0 else sawn.face.right}
    for trim in sawn.trims:
        if trim.fault is None and trim.side == side and not trim.offcut.is_empty:
            found[trim.number] = areas_of(soundly(shapely.intersection, _in_blank(trim, face), whole))
    return {number: region for number, region in found.items() if not region.is_empty}


def _in_blank(trim: SawnTrim, face: SawnFace) -> BaseGeometry:
    """Return an offcut in the blank's (u, z)."""
    by = np.array([-trim.side * face.half, 0.0])
    return shapely.transform(trim.offcut, lambda points: points + by)


def _crossed(front: BaseGeometry, side: BaseGeometry, piece: Piece) -> Solid | None:
    """Return a region of the front face carried through and cut by one of the right face, or None where they miss."""
    blank = piece.variant.blank
    reach = blank.width / 2.0 + CUTTER_OVERSHOOT_MM
    body = prism(front, STRAIGHT["front"], -blank.depth / 2.0, blank.depth / 2.0) ^ prism(
        side, STRAIGHT["side"], -reach, reach
    )
    return checked(body) if abs(body.volume()) > LOOSE_BODY_MM3 else None
