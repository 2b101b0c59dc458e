"""Where the two sides of a seam come from: a line on a sawn face, the wood along it, and its place on the piece.

The low side of a seam is wood from the blank's front face (y = -b, seams on ±x) or left face (x = -a, seams on ±y), the
high side from the face across.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, Literal, cast, get_args

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from geometry.layup_grid import LayupGrid
from geometry.lines import Line
from geometry.lineup_errors import BenchErrors, pattern_shift
from geometry.piece import Piece
from geometry.project import CutName
from geometry.slots import SawnFace, saw_face
from geometry.solids import FloatArray, IntArray
from geometry.tapering import lean_of_blade, slopes
from geometry.tolerances import PLACE_MM
from geometry.trims import trimmed

SeamName = Literal["+x", "-x", "+y", "-y"]
SEAM_NAMES: Final[tuple[SeamName, ...]] = get_args(SeamName)
CUT_OF: Final[dict[SeamName, CutName]] = {"+x": "front", "-x": "front", "+y": "side", "-y": "side"}
_QUARTERS: Final[dict[SeamName, tuple[int, int]]] = {"+x": (1, 4), "-x": (2, 3), "+y": (1, 2), "-y": (4, 3)}
"""The quarters on the low and the high side of each seam."""

ON_A_BORDER_MM: Final = 1e-10
"""A line this close to a border runs on it, and all of it counts as the strip beyond, whatever its rounding."""

Border = tuple[float, float, FloatArray]
"""Borders in a plane (u, z): where across · u + up · z takes any of the sorted values."""


@dataclass(frozen=True, slots=True, eq=False)
class SeamSide:
    """One side of a seam.

    Attributes
    ----------
    grid : what the blank is made of
    line : the line the sawn face follows on this side, in its own (u, z)
    origin, across, up : (3,) the place (u, z) of the line is the place origin + u · across + z · up in the blank
    shift : (3,) how far the wood there is off from that, by what went wrong at the bench
    move : (4, 4) the quarter's move to where it is glued
    drawn : (2,) z as drawn on the cut's face is drawn[0] + drawn[1] · z
    """

    grid: LayupGrid
    line: Line
    origin: FloatArray
    across: FloatArray
    up: FloatArray
    shift: FloatArray
    move: FloatArray
    drawn: tuple[float, float]

    @property
    def rise(self) -> tuple[float, float, float]:
        """(r, s, t): the height on the piece, along the corner edge, of a place (u, z) is r + s · u + t · z."""
        turn = self.move[2, :3]
        start = float(turn @ self.origin + self.move[2, 3] + self.shift[2])
        return start, float(turn @ self.across), float(turn @ self.up)

    def heights(self, at: FloatArray) -> FloatArray:
        """Return the heights (n,) on the piece of places (n, 2) of the line."""
        r, s, t = self.rise
        return cast(FloatArray, r + s * at[:, 0] + t * at[:, 1])

    def drawn_at(self, at: FloatArray) -> FloatArray:
        """Return where places (n, 2) of the line are on the cut's face as it is drawn, slipped as the halves are."""
        start, stretch = self.drawn
        return np.stack([at[:, 0], start + stretch * at[:, 1] + self.shift[2]], axis=1)

    def on_piece(self, at: FloatArray) -> FloatArray:
        """Return the places (n, 3) on the glued piece of places (n, 2) of the line."""
        places = self._places(at) @ self.move[:3, :3].T + self.move[:3, 3]
        return cast(FloatArray, places + np.array([0.0, 0.0, self.shift[2]]))

    def _places(self, at: FloatArray) -> FloatArray:
        return cast(FloatArray, self.origin + at[:, :1] * self.across + at[:, 1:] * self.up)

    def borders(self) -> list[Border]:
        """Return the borders at which the line may pass from one cell of the lay-up to another."""
        shear, start = self.grid.shear, self.origin + self.shift
        found: list[Border] = []
        for axis in range(3):
            edges = self.grid.edges[axis] - start[axis]
            if axis < 2 or shear is None:
                found.append((float(self.across[axis]), float(self.up[axis]), edges))
                continue
            over = 0 if shear.across == "x" else 1
            away = float(start[over]) - shear.peak
            run = self.across[over], self.up[over]
            # a face square to the V shows only one of its arms
            arms = (-1.0, 1.0) if any(run) else (1.0 if away >= 0.0 else -1.0,)
            for slope in (arm * shear.slope for arm in arms):
                across, up = self.across[2] + slope * run[0], self.up[2] + slope * run[1]
                found.append((float(across), float(up), edges - slope * away))
        return [(across, up, edges) for across, up, edges in found if across != 0.0 or up != 0.0]

    def species_on(self, piece: IntArray, lo: FloatArray, hi: FloatArray) -> IntArray:
        """Return the index of the species on each stretch lo..hi (k,) of the pieces numbered ``piece``."""
        wood = self._places(self.line.at(piece, (lo + hi) / 2.0)) + self.shift
        runs = (self.across != 0.0) | (self.up != 0.0)
        return self.grid.species_at(wood + ON_A_BORDER_MM * runs)


# ---------------------------------------------------------------- both sides of a seam


def sides_of(piece: Piece, grid: LayupGrid, face: SeamName, errors: BenchErrors, on_wood: bool) -> tuple[SeamSide, ...]:
    """Return the low and the high side of a seam.

    Both follow the same line, place for place, but for a tapered blank sawn face down: there the blade reaches the far
    face higher than drawn, and the line on that face runs on to both of its ends.

    Parameters
    ----------
    piece, grid, face : the piece, its lay-up and which seam
    errors : what goes wrong at the bench
    on_wood : False follows the drawn lines and trims, True the sawn faces beside them
    """
    cut, blank = CUT_OF[face], piece.variant.blank
    line = seam_line(piece, face, on_wood)
    slope = slopes(blank)
    half, lean_of_face = (blank.depth / 2.0, slope.m) if cut == "front" else (blank.width / 2.0, slope.k)
    along, square = (0, 1) if cut == "front" else (1, 0)
    across = np.eye(3)[along]
    near = -1.0 if cut == "front" else 1.0  # the drawn face lies at y = -b or x = +a
    lean = lean_of_blade(blank, cut, piece.variant.taper_support)
    moves = piece.glue_moves()
    sides: list[SeamSide] = []
    for sign, number, (du, dz) in zip((-1.0, 1.0), _QUARTERS[face], pattern_shift(blank, cut, errors), strict=True):
        origin, up = np.zeros(3), np.array([0.0, 0.0, 1.0])
        origin[square], up[square] = sign * half, -sign * lean_of_face
        own, drawn = line, (0.0, 1.0)
        if lean != 0.0 and sign != near:
            # on the far face the height is (1 - m²) / (1 + m²) of that drawn, and 2 m b / (1 + m²) more
            root = 1.0 + lean * lean
            raised, stretch = 2.0 * lean * half / root, (1.0 - lean * lean) / root
            if _rises(line, moves[number - 1][2, :3] @ np.stack([across, stretch * up], axis=1)):
                own, drawn = _run_on(_raised(line, raised, stretch), blank.length), (-raised / stretch, 1.0 / stretch)
            else:  # a line that doubles back is compared pass by pass, at the places drawn
                origin, up = origin + raised * up, stretch * up
        shift = du * across + np.array([0.0, 0.0, dz])
        sides.append(SeamSide(grid, own, origin, across, up, shift, moves[number - 1], drawn))
    return tuple(sides)


def _rises(line: Line, slope: FloatArray) -> bool:
    """True where a line goes up all along, as drawn and on the piece, whose height grows with u and z by slope (2,)."""
    legs = np.diff(line.pieces, axis=1)
    return bool((legs[:, :, 1] > 0.0).all() and (legs @ slope > 0.0).all())


def _raised(line: Line, start: float, stretch: float) -> Line:
    pieces = line.pieces.copy()
    pieces[:, :, 1] = start + stretch * pieces[:, :, 1]
    return Line(pieces, line.is_straight, line.kinks)


def _run_on(line: Line, length: float) -> Line:
    """Return the line run straight on past its ends to the foot and to the top, as the blade does."""
    first = _straight_on(line.start, -line.start_direction, 0.0)
    last = _straight_on(line.end, line.end_direction, length)
    pieces = [*([first[:, ::-1]] if first is not None else []), line.pieces, *([last] if last is not None else [])]
    before = len(pieces[0]) if first is not None else 0
    after = len(pieces[-1]) if last is not None else 0
    straight = np.concatenate([np.ones(before, dtype=np.bool_), line.is_straight, np.ones(after, dtype=np.bool_)])
    return Line(np.concatenate(pieces), straight, tuple(k + before for k in line.kinks))


_LEVEL = 1e-3
"""An end that climbs less than this for its length is not run on: it would go on for metres."""


def _straight_on(end: FloatArray, direction: FloatArray, height: float) -> FloatArray | None:
    """Return a straight piece (1, 4, 2) from an end of a line on to a height, or None where it does not lie ahead."""
    rise, slope = height - float(end[1]), float(direction[1])
    if abs(slope) < _LEVEL or rise / slope <= PLACE_MM:
        return None
    there = end + direction * rise / slope
    return (end + (there - end) * np.linspace(0.0, 1.0, 4)[:, None])[None]


# ---------------------------------------------------------------- the line a seam runs up


def seam_line(piece: Piece, face: SeamName, on_wood: bool) -> Line:
    """Return the line a seam runs up, in the blank's (u, z).

    That is the drawn line, or with trims on that side the edge they leave; ``on_wood`` it is the sawn face itself,
    beside the slot, as straight stretches between the samples it was made from.
    """
    sawn = piece.cut(CUT_OF[face])
    side = 1 if face[0] == "+" else -1
    if any(t.fault is None and t.side == side for t in sawn.trims):
        return _through(_trimmed_edge(piece, face, on_wood), sawn.line)
    if not on_wood:
        return sawn.line
    return _through(sawn_edge(piece, face), sawn.line)


def sawn_edge(piece: Piece, face: SeamName) -> FloatArray:
    """Return the sawn face that shows on a face of the piece, from foot to top, as (u, z) (n, 2) in the blank."""
    sawn = piece.cut(CUT_OF[face])
    side = 1 if face[0] == "+" else -1
    if any(t.fault is None and t.side == side for t in sawn.trims):
        return _trimmed_edge(piece, face, on_wood=True)
    # what lies left of the line is carried to the + side of the piece
    return cast(FloatArray, sawn.face.samples.points + side * sawn.face.half_slot * sawn.face.samples.normals)


def _trimmed_edge(piece: Piece, face: SeamName, on_wood: bool) -> FloatArray:
    cut = CUT_OF[face]
    sawn = piece.cut(cut)
    own = sawn.face
    if not on_wood:
        blank = piece.variant.blank
        width = blank.width if cut == "front" else blank.depth
        own = trimmed(saw_face(sawn.line, width, blank.length, 0.0, piece.chord_mm), sawn.trims, 0.0)
    edge = _edge_of(own, face[0] == "+")
    return own.samples.points if edge is None else edge


def _edge_of(face: SawnFace, is_left: bool) -> FloatArray | None:
    """Return the outline of what is left of one side of a face, from the foot end up, without its flat and its ends."""
    region: BaseGeometry = face.left if is_left else face.right
    parts = [p for p in shapely.get_parts(region) if p.area > 0.0]
    if not parts:
        return None
    largest = shapely.orient_polygons(max(parts, key=lambda p: p.area))
    ring = shapely.get_coordinates(largest.exterior)[:-1]
    if not is_left:  # walked so that the flat is passed downwards
        ring = ring[::-1]
    flat = np.flatnonzero(np.abs(ring[:, 0] - (-face.half if is_left else face.half)) < PLACE_MM)
    if not len(flat):
        return None
    first, last = flat[np.argmin(ring[flat, 1])], flat[np.argmax(ring[flat, 1])]
    path = np.roll(ring, -first, axis=0)[: (last - first) % len(ring) + 1]
    # the ends of the blank are no part of the face
    while len(path) > 1 and max(path[0, 1], path[1, 1]) < PLACE_MM:
        path = path[1:]
    while len(path) > 1 and min(path[-1, 1], path[-2, 1]) > face.length - PLACE_MM:
        path = path[:-1]
    return path if len(path) > 1 else None


def _through(path: FloatArray, otherwise: Line) -> Line:
    """Return straight stretches through points (n, 2)."""
    path = path[np.append(True, np.hypot(*np.diff(path, axis=0).T) > PLACE_MM)]
    if len(path) < 2:
        return otherwise
    a, b = path[:-1], path[1:]
    third = (b - a) / 3.0
    return Line(np.stack([a, a + third, b - third, b], axis=1), np.ones(len(a), dtype=np.bool_), ())
