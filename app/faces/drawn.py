"""What is drawn of a line beside the line itself: its slot, the walls too thin, the bends too tight. Kept per cut."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import Literal

import numpy as np
import shapely
from PySide6.QtCore import QPointF
from PySide6.QtGui import QPainterPath, QPolygonF
from shapely.geometry.base import BaseGeometry

from geometry.blades import STOCK_BLADES, reach
from geometry.copying import half_across
from geometry.curvature import TightestBend, curvature, tightest_bend
from geometry.lines import Line, line_of, line_through
from geometry.measures import Section, section_at
from geometry.piece import face_sizes
from geometry.project import CUT_NAMES, Blank, Cut, CutName, Trim, Variant
from geometry.sampling import Samples, sample
from geometry.slots import SawnFace, Widths, profile, saw_face, widths
from geometry.solids import BoolArray, FloatArray, IntArray
from geometry.tolerances import LIVE_CHORD_MM, PLACE_MM
from geometry.trim_editing import as_cut
from geometry.trims import saw_trims, trimmed

_PER_PIECE = 24
"""Places per piece at which walls and bends are looked at for their marks; the findings hold the exact figures."""


@dataclass(frozen=True, slots=True, eq=False)
class ThinWall:
    """A stretch of wall thinner than the limit: its area on the face, and where and how thin it is at the least."""

    edge: Literal["left", "right"]
    area: QPolygonF
    least_mm: float
    at: tuple[float, float]


@dataclass(frozen=True, slots=True, eq=False)
class TightBend:
    """A stretch that bends tighter than the blade follows: points (k, 2), and the radius the blade wants."""

    points: FloatArray
    wanted_mm: float | None


@dataclass(frozen=True, slots=True, eq=False)
class DrawnLine:
    """A line with all that is marked along it; paths are in millimetres (u, z).

    Attributes
    ----------
    line : its exact pieces
    path : the same as a path
    slot : what the blade removes
    sanded : what blade and sanding remove; empty without sanding
    bend : the tightest bend, or None
    toward_centre : unit vector from the tightest place to the middle of its circle
    stations : (n, 2) places spread over the line
    thin_walls, tight_bends : what is marked
    """

    line: Line
    path: QPainterPath
    slot: QPainterPath
    sanded: QPainterPath
    bend: TightestBend | None
    toward_centre: tuple[float, float]
    stations: FloatArray
    thin_walls: tuple[ThinWall, ...]
    tight_bends: tuple[TightBend, ...]


def drawn_line(variant: Variant, name: CutName) -> DrawnLine:
    """Return what is drawn of a variant's front or side line."""
    return _drawn(variant.cut(name), name, variant.blank, variant.sanding, variant.limits.wall)


@lru_cache(maxsize=16)
def _drawn(cut: Cut, name: CutName, blank: Blank, sanding: float, wall: float) -> DrawnLine:
    line = line_of(cut, blank.length)
    bend = tightest_bend(line)
    piece, t = _stations(line)
    places = line.at(piece, t)
    bends = np.abs(curvature(line, piece, t))
    half = cut.kerf / 2.0 + sanding
    samples = sample(line, LIVE_CHORD_MM, half)
    return DrawnLine(
        line=line,
        path=line_path(line),
        slot=_band(line, samples, cut.kerf / 2.0, blank.length),
        sanded=_band(line, samples, half, blank.length) if sanding else QPainterPath(),
        bend=bend,
        toward_centre=_toward_centre(line, bend, places, piece, t),
        stations=places,
        thin_walls=_thin_walls(line, cut.kerf, name, blank, wall),
        tight_bends=_tight_bends(cut, places, bends),
    )


@lru_cache(maxsize=64)
def drawn_trim(trim: Trim) -> DrawnLine:
    """Return what is drawn along a trim; its kerf lies beside it, in the waste, and is drawn with that."""
    line = line_through(trim.nodes)
    bend = tightest_bend(line)
    piece, t = _stations(line)
    places = line.at(piece, t)
    bends = np.abs(curvature(line, piece, t))
    nothing = QPainterPath()
    toward = _toward_centre(line, bend, places, piece, t)
    tight = _tight_bends(as_cut(trim), places, bends)
    return DrawnLine(line, line_path(line), nothing, nothing, bend, toward, places, (), tight)


def _stations(line: Line) -> tuple[IntArray, FloatArray]:
    """Return (piece, t) of places spread over the line."""
    n = len(line.pieces)
    piece = np.repeat(np.arange(n, dtype=np.int64), _PER_PIECE + 1)
    return piece, np.tile(np.linspace(0.0, 1.0, _PER_PIECE + 1), n)


def line_path(line: Line) -> QPainterPath:
    """Return a line's exact cubic pieces as a path in millimetres."""
    path = QPainterPath(QPointF(*line.start))
    for _, b, c, d in line.pieces:
        path.cubicTo(QPointF(*b), QPointF(*c), QPointF(*d))
    return path


def _band(line: Line, samples: Samples, half: float, length: float) -> QPainterPath:
    """Return all within ``half`` of the line, with round joins; run on past an end that reaches the end of the face."""
    path = QPainterPath()
    path.setFillRule(path.fillRule().WindingFill)
    if half <= 0.0:
        return path
    points, normals = samples.points, samples.normals
    on = 4.0 * half + 1.0
    if points[0, 1] <= PLACE_MM:
        points = np.vstack([points[0] - on * line.start_direction, points])
        normals = np.vstack([normals[:1], normals])
    if points[-1, 1] >= length - PLACE_MM:
        points = np.vstack([points, points[-1] + on * line.end_direction])
        normals = np.vstack([normals, normals[-1:]])
    ring = np.vstack([points + half * normals, (points - half * normals)[::-1]])
    path.addPolygon(_polygon(ring))
    path.closeSubpath()
    turn = np.linspace(0.0, -2.0 * np.pi, 25)  # the same way round as the ring, so that both add up to one area
    for k in line.kinks:
        path.addPolygon(_polygon(line.pieces[k, 0] + half * np.stack([np.cos(turn), np.sin(turn)], axis=1)))
    return path


def _polygon(points: FloatArray) -> QPolygonF:
    return QPolygonF([QPointF(u, z) for u, z in points.tolist()])


def _toward_centre(
    line: Line, bend: TightestBend | None, places: FloatArray, piece: IntArray, t: FloatArray
) -> tuple[float, float]:
    if bend is None:
        return 0.0, 0.0
    k = int(((places - np.array(bend.at)) ** 2).sum(axis=1).argmin())
    velocity = line.velocity(piece[k : k + 1], t[k : k + 1])[0]
    speed = float(np.hypot(*velocity))
    if speed == 0.0:
        return 1.0, 0.0
    sign = 1.0 if float(curvature(line, piece[k : k + 1], t[k : k + 1])[0]) >= 0.0 else -1.0
    return -sign * float(velocity[1]) / speed, sign * float(velocity[0]) / speed


def _thin_walls(line: Line, kerf: float, name: CutName, blank: Blank, limit: float) -> tuple[ThinWall, ...]:
    # straight stretches too are looked at all along, for where the wall becomes too thin
    piece, t = _stations(line)
    places, velocity = line.at(piece, t), line.velocity(piece, t)
    speed = np.hypot(velocity[:, 0], velocity[:, 1])
    across = np.abs(velocity[:, 1]) / np.where(speed > 0.0, speed, 1.0)  # how far the slot's edge lies across
    along = velocity[:, 0] * np.sign(velocity[:, 1]) / np.where(speed > 0.0, speed, 1.0)
    foot, top = half_across(blank, name, 0.0), half_across(blank, name, blank.length)
    out: list[ThinWall] = []
    edges: tuple[tuple[Literal["left", "right"], float], ...] = (("left", -1.0), ("right", 1.0))
    for edge, sign in edges:
        slot = np.stack([places[:, 0] + sign * kerf / 2.0 * across, places[:, 1] - sign * kerf / 2.0 * along], axis=1)
        border = foot + (top - foot) * np.clip(slot[:, 1] / blank.length, 0.0, 1.0)
        room = border - sign * slot[:, 0]
        for run in _runs(room < limit - PLACE_MM):
            i = run.start + int(room[run].argmin())
            rim = np.stack([sign * border[run], slot[run, 1]], axis=1)
            area = _polygon(np.vstack([slot[run], rim[::-1]]))
            out.append(ThinWall(edge, area, float(room[i]), (float(places[i, 0]), float(places[i, 1]))))
    return tuple(out)


def _tight_bends(cut: Cut, places: FloatArray, bends: FloatArray) -> tuple[TightBend, ...]:
    wanted = STOCK_BLADES[0].radius_mm if cut.blade is None else reach(cut.blade).radius_mm
    least = 1e-9 if wanted is None else 1.0 / wanted
    return tuple(TightBend(places[run], wanted) for run in _runs(bends > least))


def _runs(flags: BoolArray) -> list[slice]:
    """Return the stretches of True that hold at least two places."""
    change = np.flatnonzero(np.diff(np.concatenate([[0], flags.astype(np.int8), [0]])))
    return [slice(int(a), int(b)) for a, b in zip(change[::2], change[1::2], strict=True) if b - a > 1]


# ---------------------------------------------------------------- the section at a height


def section_of(variant: Variant, z_mm: float) -> Section | None:
    """Return the section of the piece at a height, its trims taken off; of a tapered blank as its faces are drawn."""
    (_, front), (_, side) = (_profile(variant.cut(c), c, variant.blank, variant.sanding) for c in CUT_NAMES)
    return section_at(front, side, z_mm)


def middle_of_section(variant: Variant, z_mm: float) -> tuple[float, float] | None:
    """Return where the middle of the section lies across (x, y); None where there is no wood at a height."""
    middles = []
    for cut in CUT_NAMES:
        wood, _ = _profile(variant.cut(cut), cut, variant.blank, variant.sanding)
        if wood.is_empty:
            return None
        low, bottom, high, top = wood.bounds
        z = min(max(z_mm, bottom + PLACE_MM), top - PLACE_MM)
        there = shapely.intersection(wood, shapely.LineString([(low - 1.0, z), (high + 1.0, z)]))
        if there.is_empty:
            return None
        middles.append(float(there.bounds[0] + there.bounds[2]) / 2.0)
    return middles[0], middles[1]


@lru_cache(maxsize=8)
def _profile(cut: Cut, name: CutName, blank: Blank, sanding: float) -> tuple[BaseGeometry, Widths]:
    face = sawn_face(cut, name, blank, sanding)
    if cut.trims and not blank.is_tapered:
        face = trimmed(face, saw_trims(cut.trims, profile(face), LIVE_CHORD_MM), sanding)
    shape = profile(face)
    return shape, widths(shape)


def sawn_face(cut: Cut, name: CutName, blank: Blank, sanding: float) -> SawnFace:
    """Return what a line leaves of its face, to be looked at."""
    foot, top = face_sizes(blank, name)
    gone = cut.kerf + 2.0 * sanding
    return saw_face(line_of(cut, blank.length), foot, blank.length, gone, LIVE_CHORD_MM, top)
