"""Whether what crosses a glue seam meets on its other side.

The piece shows four seams on its long faces. On the +x and the -x face both sides of the seam are wood from the front
line's sawn face, from the blank's front edge (y = -b) on one side and from its back edge (y = +b) on the other; on the
+y and the -y face from the side line's, from x = -a and x = +a. So each seam is the line itself, looked at twice, and a
place on it has the same parameter on both sides.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, Literal, cast, get_args

import numpy as np
from msgspec.structs import replace

from geometry.layup import Chevron, Layup
from geometry.layup_grid import LayupGrid, layup_grid
from geometry.line_levels import TooManyBorders, border_crossings, stretch_lengths
from geometry.lines import Line
from geometry.lineup_errors import NO_ERRORS, BenchErrors, flush_step_mm, pattern_shift
from geometry.lineup_pairs import Pair, pairs_of
from geometry.piece import Piece
from geometry.project import CutName
from geometry.solids import FloatArray, IntArray
from geometry.species import SpeciesName
from geometry.tolerances import PLACE_MM

SeamName = Literal["+x", "-x", "+y", "-y"]
SEAM_NAMES: Final[tuple[SeamName, ...]] = get_args(SeamName)
CUT_OF: Final[dict[SeamName, CutName]] = {"+x": "front", "-x": "front", "+y": "side", "-y": "side"}

_NONE = np.zeros(0)
_ON_A_BORDER_MM = 1e-10
"""A line this close to a border runs on it, and all of it counts as the strip beyond, whatever its rounding."""


@dataclass(frozen=True, slots=True)
class Band:
    """A stretch of one side of a seam in one species: from and to along the line and up, in millimetres."""

    species: SpeciesName
    from_mm: float
    to_mm: float
    from_z: float
    to_z: float

    @property
    def length_mm(self) -> float:
        """Length along the line."""
        return self.to_mm - self.from_mm


@dataclass(frozen=True, slots=True)
class Crossing:
    """A place where a border of the pattern runs into a seam from one side.

    Attributes
    ----------
    along_mm : along the line from its foot end
    at : (u, z) on the cut's face
    species : below and above it
    on_piece : (x, y, z) on the glued piece
    """

    along_mm: float
    at: tuple[float, float]
    species: tuple[SpeciesName, SpeciesName]
    on_piece: tuple[float, float, float]


@dataclass(frozen=True, slots=True)
class Seam:
    """One seam of the piece.

    Attributes
    ----------
    face : the face of the piece it runs up
    same_species : the share of its length where both sides are the same species; None where the pattern is too fine
        to be followed, and then there are no crossings either
    low, high : the crossings that come from the side towards -y (or -x) and towards +y (or +x), from the foot up
    low_bands, high_bands : what each side is made of, from the foot up
    pairs : numbers of the crossings that belong together
    flush_step_mm : how far the surface steps at the seam, square to the line; 0 for ideal cuts
    """

    face: SeamName
    same_species: float | None
    low: tuple[Crossing, ...]
    high: tuple[Crossing, ...]
    low_bands: tuple[Band, ...]
    high_bands: tuple[Band, ...]
    pairs: tuple[Pair, ...]
    flush_step_mm: float

    @property
    def cut(self) -> CutName:
        """The cut whose sawn face it runs along."""
        return CUT_OF[self.face]

    @property
    def meeting(self) -> int:
        """How many borders of the pattern go on at the other side."""
        return sum(p.meets for p in self.pairs)

    @property
    def crossings(self) -> int:
        """At how many places a border of the pattern runs into the seam; where two meet it is one place."""
        return len(self.low) + len(self.high) - self.meeting

    @property
    def worst(self) -> Pair | None:
        """The pair that is furthest apart, or None where nothing belongs together."""
        return max(self.pairs, key=lambda p: p.step_mm, default=None)

    @property
    def largest_step_mm(self) -> float:
        """The largest offset, in height, between two crossings that belong together; 0 where there is none."""
        return self.worst.step_mm if self.worst else 0.0

    @property
    def stopping(self) -> tuple[Crossing, ...]:
        """The crossings that find nothing on the other side, though an end of the line is further off than any step."""
        lows, highs = {p.low for p in self.pairs}, {p.high for p in self.pairs}
        alone = [c for i, c in enumerate(self.low) if i not in lows]
        alone += [c for i, c in enumerate(self.high) if i not in highs]
        if not alone:
            return ()
        ends = (self.low_bands[0].from_z, self.low_bands[-1].to_z)
        reach = self.largest_step_mm + PLACE_MM
        return tuple(c for c in alone if min(abs(c.at[1] - end) for end in ends) > reach)


def line_up(piece: Piece, errors: BenchErrors = NO_ERRORS, *, on_wood: bool = False) -> tuple[Seam, Seam, Seam, Seam]:
    """Return the seams on the +x, -x, +y and -y face.

    Parameters
    ----------
    piece : the piece
    errors : what goes wrong at the bench
    on_wood : False follows the drawn lines themselves; True the sawn faces beside the slot, to the sampling of the
        piece, which is where the crossings are to be seen when the kerf is not nothing
    """
    variant = piece.variant
    layup = _with_peak_moved(variant.layup, errors.peak_off_mm)
    grid = layup_grid(layup, variant.blank)
    if len(grid.species) == 1:
        grid = LayupGrid(grid.species, (_NONE, _NONE, _NONE), np.zeros((1, 1, 1), dtype=np.int64))
    found: dict[SeamName, Seam] = {}
    for face in SEAM_NAMES:
        opposite: SeamName = "+x" if face == "-x" else "+y"
        if face[0] == "-" and not on_wood:
            found[face] = _on_other_face(found[opposite], face, piece)
        else:
            found[face] = _seam(piece, grid, face, errors, on_wood)
    return found["+x"], found["-x"], found["+y"], found["-y"]


def _with_peak_moved(layup: Layup, by: float) -> Layup:
    return replace(layup, peak=layup.peak + by) if isinstance(layup, Chevron) and by else layup


def _half(piece: Piece, cut: CutName) -> float:
    blank = piece.variant.blank
    return (blank.width if cut == "front" else blank.depth) / 2.0


def _on_piece(piece: Piece, face: SeamName, u: float, z: float) -> tuple[float, float, float]:
    out = u + (1.0 if face[0] == "+" else -1.0) * _half(piece, CUT_OF[face])
    return (out, 0.0, z) if CUT_OF[face] == "front" else (0.0, out, z)


def _on_other_face(seam: Seam, face: SeamName, piece: Piece) -> Seam:
    """Return the same seam where it runs up the opposite face of the piece."""

    def there(crossings: tuple[Crossing, ...]) -> tuple[Crossing, ...]:
        return tuple(Crossing(c.along_mm, c.at, c.species, _on_piece(piece, face, *c.at)) for c in crossings)

    return Seam(face, seam.same_species, there(seam.low), there(seam.high), seam.low_bands, seam.high_bands,
                seam.pairs, seam.flush_step_mm)  # fmt: skip


def _edge_of_slot(piece: Piece, face: SeamName) -> Line:
    """Return the sawn face that shows on a face of the piece, as straight stretches between the cut's samples."""
    sawn = piece.cut(CUT_OF[face]).face
    # what lies left of the line is carried to the + side of the piece
    shift = sawn.half_slot if face[0] == "+" else -sawn.half_slot
    path = sawn.samples.points + shift * sawn.samples.normals
    path = path[np.append(True, np.hypot(*np.diff(path, axis=0).T) > PLACE_MM)]
    a, b = path[:-1], path[1:]
    third = (b - a) / 3.0
    return Line(np.stack([a, a + third, b - third, b], axis=1), np.ones(len(a), dtype=np.bool_), ())


def _seam(piece: Piece, grid: LayupGrid, face: SeamName, errors: BenchErrors, on_wood: bool) -> Seam:
    cut = CUT_OF[face]
    line = _edge_of_slot(piece, face) if on_wood else piece.cut(cut).line
    blank = piece.variant.blank
    flush = flush_step_mm(piece, cut, errors)
    far = (blank.depth if cut == "front" else blank.width) / 2.0
    shifts = pattern_shift(blank, cut, errors)
    sides = [_Side(grid, cut, where, *shift) for where, shift in zip((-far, far), shifts, strict=True)]
    try:
        piece_no, lo, hi, lengths = _stretches(line, sides)
    except TooManyBorders:
        return Seam(face, None, (), (), (), (), (), flush)
    below, above = (side.species_on(line, piece_no, lo, hi) for side in sides)
    total = float(lengths.sum())
    same = float(lengths[below == above].sum()) / total if total > 0.0 else 1.0
    starts = np.cumsum(lengths) - lengths
    low = _changes(line, piece_no, lo, starts, below, sides[0])
    high = _changes(line, piece_no, lo, starts, above, sides[1])
    pairs = pairs_of(low.keyed, high.keyed, piece.variant.limits.pattern_step)
    last_z = float(line.end[1])
    return Seam(
        face, same, low.crossings(piece, face), high.crossings(piece, face), low.bands(total, last_z),
        high.bands(total, last_z), pairs, flush,
    )  # fmt: skip


@dataclass(frozen=True, slots=True, eq=False)
class _Side:
    """One side of a seam: the wood at distance ``where`` along the sawing direction, off its place by (du, dz)."""

    grid: LayupGrid
    cut: CutName
    where: float
    du: float
    dz: float

    def borders(self) -> list[tuple[float, float, FloatArray]]:
        """Return the borders at which a line may pass from one cell to another, as `border_crossings` takes them."""
        own, up = self.grid.edges[0 if self.cut == "front" else 1], self.grid.edges[2]
        found = [(1.0, 0.0, own - self.du)]
        shear = self.grid.shear
        if shear is None:
            found.append((0.0, 1.0, up - self.dz))
        elif (shear.across == "x") == (self.cut == "front"):
            arms = (-shear.slope, shear.slope)
            found += [(rise, 1.0, up - self.dz + rise * (shear.peak - self.du)) for rise in arms]
        else:
            found.append((0.0, 1.0, up - self.dz - shear.slope * abs(self.where - shear.peak)))
        return found

    def species_on(self, line: Line, piece: IntArray, lo: FloatArray, hi: FloatArray) -> IntArray:
        """Return the index of the species on each stretch."""
        u, z = line.at(piece, (lo + hi) / 2.0).T
        u, z = u + self.du + _ON_A_BORDER_MM, z + self.dz + _ON_A_BORDER_MM
        there = np.full(len(u), self.where)
        return self.grid.species_at(np.stack([u, there, z] if self.cut == "front" else [there, u, z], axis=1))


def _stretches(line: Line, sides: list[_Side]) -> tuple[IntArray, FloatArray, FloatArray, FloatArray]:
    """Return the stretches (piece, from, to, length) of the line within which neither side leaves its cell."""
    count = len(line.pieces)
    # both sides mostly have the same borders
    borders = {(across, up, at.tobytes()): at for side in sides for across, up, at in side.borders()}
    met = [border_crossings(line, across, up, at - _ON_A_BORDER_MM) for (across, up, _), at in borders.items()]
    piece = np.concatenate([np.arange(count), np.arange(count), *(p for p, _ in met)])
    t = np.concatenate([np.zeros(count), np.ones(count), *(t for _, t in met)])
    order = np.lexsort((t, piece))
    piece, t = piece[order], t[order]
    k = np.flatnonzero((piece[1:] == piece[:-1]) & (t[1:] > t[:-1]))
    piece, lo, hi = piece[k], t[k], t[k + 1]
    lengths = stretch_lengths(line, piece, lo, hi)
    # two borders met in the same place are one crossing: what lies between them is rounding
    kept = lengths > PLACE_MM
    return piece[kept], lo[kept], hi[kept], lengths[kept]


@dataclass(frozen=True, slots=True, eq=False)
class _Changes:
    """The places along one side where the species changes, with the species before the first and after each."""

    names: tuple[SpeciesName, ...]
    along: FloatArray
    at: FloatArray
    first_z: float
    species: IntArray

    @property
    def keyed(self) -> tuple[FloatArray, FloatArray, IntArray]:
        """Place along the line, height, and a number for the two species whatever their order."""
        a, b = self.species[:-1], self.species[1:]
        return self.along, self.at[:, 1], cast(IntArray, np.minimum(a, b) * len(self.names) + np.maximum(a, b))

    def crossings(self, piece: Piece, face: SeamName) -> tuple[Crossing, ...]:
        names = [self.names[s] for s in self.species.tolist()]
        rows = zip(self.along.tolist(), self.at.tolist(), names[:-1], names[1:], strict=True)
        return tuple(
            Crossing(along, (u, z), (below, above), _on_piece(piece, face, u, z))
            for along, (u, z), below, above in rows
        )

    def bands(self, total: float, last_z: float) -> tuple[Band, ...]:
        along = [0.0, *self.along.tolist(), total]
        z = [self.first_z, *self.at[:, 1].tolist(), last_z]
        return tuple(Band(self.names[s], *along[i : i + 2], *z[i : i + 2]) for i, s in enumerate(self.species.tolist()))


def _changes(
    line: Line, piece: IntArray, lo: FloatArray, starts: FloatArray, species: IntArray, side: _Side
) -> _Changes:
    k = np.flatnonzero(np.diff(species)) + 1
    kept = np.concatenate([species[:1], species[k]])
    at = line.at(piece[k], lo[k]) + np.array([0.0, side.dz])
    return _Changes(side.grid.species, starts[k], at, float(line.start[1]), kept)
