"""What is drawn on the bodies of the work at the bench: lines, trims, tape and numbers, in the blank's coordinates."""

from __future__ import annotations

import dataclasses
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final, Literal, cast

import numpy as np
import shapely

from geometry.piece import Piece
from geometry.project import CutName
from geometry.sampling import sample
from geometry.solids import FloatArray
from geometry.stage_bodies import Body
from geometry.tapering import half_depth, half_width
from geometry.tolerances import LIVE_CHORD_MM, PLACE_MM

MarkKind = Literal["line", "trim", "tape", "number"]

_TAPES: Final = (0.12, 0.5, 0.88)
_TAPE_MM: Final = 14.0


@dataclass(frozen=True, slots=True, eq=False)
class Mark:
    """One thing drawn.

    Attributes
    ----------
    kind : a line to saw along, a trim, a strip of tape (four corners of it on one face), or a number
    points : (n, 3) in the blank's coordinates; one place for a number
    body : name of the body it moves with
    cut : whose line or trim it is
    text : the number
    is_low : flats together, whether it lies on the blank's low half
    """

    kind: MarkKind
    points: FloatArray
    body: str
    cut: CutName | None = None
    text: str = ""
    is_low: bool = True

    def riding_on(self, body: str) -> Mark:
        """Return the mark on another body."""
        return dataclasses.replace(self, body=body)


def on_face(piece: Piece, cut: CutName, points: FloatArray) -> FloatArray:
    """Return the places in space (n, 3) of places (n, 2) of a face's drawing."""
    blank, (u, z) = piece.variant.blank, points.T
    if cut == "front":
        return np.stack([u, -half_depth(blank, z), z], axis=1)
    return np.stack([half_width(blank, z), u, z], axis=1)


def line_marks(piece: Piece, cuts: Sequence[CutName]) -> tuple[Mark, ...]:
    """Return the drawn lines on the blank."""
    return tuple(
        Mark("line", on_face(piece, cut, sample(piece.cut(cut).line, LIVE_CHORD_MM).points), "blank", cut)
        for cut in cuts
    )


def trim_marks(piece: Piece, cut: CutName) -> tuple[Mark, ...]:
    """Return the trims of a direction on the face that lies on top, each where there is wood to draw it on."""
    sawn, out = piece.cut(cut), []
    for trim in sawn.trims:
        if trim.fault is not None:
            continue
        drawn = shapely.intersection(shapely.LineString(trim.path), shapely.buffer(sawn.untrimmed, PLACE_MM))
        for part in shapely.get_parts(shapely.line_merge(drawn)):
            points = shapely.get_coordinates(part)
            if len(points) > 1:
                places = on_face(piece, cut, _in_blank(points, trim.side, sawn.face.half))
                out.append(Mark("trim", places, "", cut, str(trim.number), trim.side > 0))
    return tuple(out)


def _in_blank(points: FloatArray, side: int, half: float) -> FloatArray:
    return cast(FloatArray, points - np.array([side * half, 0.0]))


def tape_marks(piece: Piece, flats: CutName | None = None) -> tuple[Mark, ...]:
    """Return strips of tape across the two faces that show, or flats together across the face on top."""
    blank, out = piece.variant.blank, []
    high = min(_TAPE_MM, 0.08 * blank.length)
    faces: tuple[CutName, ...] = ("front", "side") if flats is None else (flats,)
    for share in _TAPES:
        low, top = share * blank.length - high / 2.0, share * blank.length + high / 2.0
        for cut in faces:
            half = half_width if cut == "front" else half_depth
            a, b = float(half(blank, np.array(low))), float(half(blank, np.array(top)))
            if flats is None:
                out.append(Mark("tape", on_face(piece, cut, np.array([(-a, low), (a, low), (b, top), (-b, top)])), ""))
                continue
            # over the seam, a third of the blank to either side of it: the seam is each half's outside edge
            for side in (1, -1):
                ends = np.array([(0.0, low), (side * a / 1.5, low), (side * a / 1.5, top), (0.0, top)])
                out.append(Mark("tape", on_face(piece, cut, _in_blank(ends, side, a)), "", is_low=side > 0))
    return tuple(out)


def quarter_marks(bodies: Sequence[Body]) -> tuple[Mark, ...]:
    """Return the quarters' numbers, each in the middle of its top end."""
    out = []
    for body in bodies:
        if body.kind == "quarter":
            top = body.solid.vertices[body.solid.vertices[:, 2] > body.solid.vertices[:, 2].max() - 1e-3]
            middle = (top.min(axis=0) + top.max(axis=0)) / 2.0
            out.append(Mark("number", middle[None], body.name, text=str(body.number)))
    return tuple(out)


def offcut_marks(bodies: Sequence[Body], piece: Piece, cut: CutName) -> tuple[Mark, ...]:
    """Return the numbers of a direction's offcuts, each on the face that lies on top, on the body that has it."""
    sawn, out = piece.cut(cut), []
    for trim in sawn.trims:
        if trim.fault is not None or trim.offcut.is_empty:
            continue
        spot = shapely.get_coordinates(trim.offcut.representative_point())
        place = on_face(piece, cut, _in_blank(spot, trim.side, sawn.face.half))
        mine = [b for b in bodies if b.kind == "offcut" and (b.cut, b.number) == (cut, trim.number)]
        if mine:
            nearest = min(mine, key=lambda b: float(np.linalg.norm(b.solid.vertices - place, axis=1).min()))
            out.append(Mark("number", place, nearest.name, cut, str(trim.number), trim.side > 0))
    return tuple(out)
