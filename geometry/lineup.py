"""Whether what crosses a glue seam meets on its other side.

The piece shows four seams on its long faces. On the +x and the -x face both sides of the seam are wood from the front
line's sawn face, from the blank's front edge (y = -b) on one side and from its back edge (y = +b) on the other; on the
+y and the -y face from the side line's, from x = -a and x = +a. So each seam is the line itself, looked at twice, and a
place on it has the same parameter on both sides.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Sequence
from dataclasses import dataclass
from typing import cast

import numpy as np
from msgspec.structs import replace

from geometry.layup import Chevron, Layup
from geometry.layup_grid import LayupGrid, layup_grid
from geometry.line_levels import TooManyBorders, border_crossings, stretch_lengths
from geometry.lines import Line
from geometry.lineup_errors import NO_ERRORS, BenchErrors, flush_step_mm
from geometry.lineup_pairs import Pair, pairs_of
from geometry.lineup_paths import CUT_OF, ON_A_BORDER_MM, SEAM_NAMES, Border, SeamName, SeamSide, sides_of
from geometry.piece import Piece
from geometry.project import CutName
from geometry.solids import FloatArray, IntArray
from geometry.species import SpeciesName
from geometry.tolerances import PLACE_MM

__all__ = ["CUT_OF", "SEAM_NAMES", "Band", "Crossing", "Seam", "SeamName", "line_up"]

_NONE = np.zeros(0)


@dataclass(frozen=True, slots=True)
class Band:
    """A stretch of one side of a seam in one species: from and to along the line, and up the piece, in millimetres."""

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
    height_mm : up the piece from its foot, along the corner edge; on straight stock the z of both places
    """

    along_mm: float
    at: tuple[float, float]
    species: tuple[SpeciesName, SpeciesName]
    on_piece: tuple[float, float, float]
    height_mm: float


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
        return tuple(c for c in alone if min(abs(c.height_mm - end) for end in ends) > reach)


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
        is_same = not on_wood and not variant.blank.is_tapered and not piece.cut(CUT_OF[face]).trims
        if face[0] == "-" and is_same:
            found[face] = _on_other_face(found[opposite], face, piece)
        else:
            found[face] = _seam(piece, grid, face, errors, on_wood)
    return found["+x"], found["-x"], found["+y"], found["-y"]


def _with_peak_moved(layup: Layup, by: float) -> Layup:
    return replace(layup, peak=layup.peak + by) if isinstance(layup, Chevron) and by else layup


def _on_other_face(seam: Seam, face: SeamName, piece: Piece) -> Seam:
    """Return the same seam where it runs up the opposite face of the piece."""
    blank = piece.variant.blank
    by = (-blank.width, 0.0) if seam.cut == "front" else (0.0, -blank.depth)

    def there(crossings: tuple[Crossing, ...]) -> tuple[Crossing, ...]:
        return tuple(
            dataclasses.replace(c, on_piece=(c.on_piece[0] + by[0], c.on_piece[1] + by[1], c.on_piece[2]))
            for c in crossings
        )

    return dataclasses.replace(seam, face=face, low=there(seam.low), high=there(seam.high))


def _seam(piece: Piece, grid: LayupGrid, face: SeamName, errors: BenchErrors, on_wood: bool) -> Seam:
    flush = flush_step_mm(piece, CUT_OF[face], errors)
    low, high = sides_of(piece, grid, face, errors, on_wood)
    try:
        walks = _apart(low, high, piece.variant.blank.length) if low.line is not high.line else _together(low, high)
    except TooManyBorders:
        return Seam(face, None, (), (), (), (), (), flush)
    one, two, same = walks
    pairs = pairs_of(one.keyed, two.keyed, piece.variant.limits.pattern_step)
    return Seam(face, same, one.crossings(), two.crossings(), one.bands(), two.bands(), pairs, flush)


def _together(low: SeamSide, high: SeamSide) -> tuple[_Changes, _Changes, float]:
    """Walk both sides at once along the line they share; return their changes and the share that is the same."""
    stretches = _stretches(low.line, [*low.borders(), *high.borders()])
    below, above = (side.species_on(*stretches[:3]) for side in (low, high))
    total = float(stretches[3].sum())
    same = float(stretches[3][below == above].sum()) / total if total > 0.0 else 1.0
    return _changes(low, stretches, below), _changes(high, stretches, above), same


def _apart(low: SeamSide, high: SeamSide, length: float) -> tuple[_Changes, _Changes, float]:
    """Walk the two sides each along its own line, both rising, and compare them where they stand at one height."""
    walks: list[_Changes] = []
    for side in (low, high):
        stretches = _stretches(side.line, [*side.borders(), (0.0, 1.0, np.array([0.0, length]))])
        middle = side.line.at(stretches[0], (stretches[1] + stretches[2]) / 2.0)[:, 1]
        kept = (middle > 0.0) & (middle < length)
        stretches = cast(_Stretches, tuple(part[kept] for part in stretches))
        changes = _changes(side, stretches, side.species_on(*stretches[:3]))
        walks.append(dataclasses.replace(changes, by_height=True))
    one, two = walks
    if not len(one.species) or not len(two.species):  # a line that passes the wood by
        return one, two, 1.0
    start, across, up = low.rise
    # the heights at which the high side changes are borders for the low one
    ends = np.concatenate([two.ends, two.height])
    stretches = _stretches(low.line, [*low.borders(), (across, up, np.sort(ends) - start)])
    middle = low.line.at(stretches[0], (stretches[1] + stretches[2]) / 2.0)
    heights = low.heights(middle)
    shared = (heights > two.ends[0]) & (heights < two.ends[1])
    below, above = low.species_on(*stretches[:3]), two.species[np.searchsorted(two.height, heights)]
    lengths = np.where(shared, stretches[3], 0.0)
    total = float(lengths.sum())
    return one, two, float(lengths[below == above].sum()) / total if total > 0.0 else 1.0


_Stretches = tuple[IntArray, FloatArray, FloatArray, FloatArray]
"""Stretches (piece, from, to, length) of a line, in order."""


def _stretches(line: Line, borders: Sequence[Border]) -> _Stretches:
    """Return the stretches of the line within which it does not leave its cell."""
    count = len(line.pieces)
    # both sides mostly have the same borders
    unlike = {(across, up, at.tobytes()): at for across, up, at in borders}
    met = [border_crossings(line, across, up, at - ON_A_BORDER_MM) for (across, up, _), at in unlike.items()]
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
    """The places along one side where the species changes, with the species before the first and after each.

    Attributes
    ----------
    names : the species of the lay-up
    along, at, on_piece, height : where each change is: along the line, on the cut's face, on the piece, up the piece
    ends, total : heights of both ends (2,), and the length of the line
    species : index into names, one more than there are changes
    by_height : True where a place is told from its neighbours by its height, not by its place along the line
    """

    names: tuple[SpeciesName, ...]
    along: FloatArray
    at: FloatArray
    on_piece: FloatArray
    height: FloatArray
    ends: FloatArray
    total: float
    species: IntArray
    by_height: bool = False

    @property
    def keyed(self) -> tuple[FloatArray, FloatArray, IntArray]:
        """Place along the line, height, and a number for the two species whatever their order."""
        a, b = self.species[:-1], self.species[1:]
        key = np.minimum(a, b) * len(self.names) + np.maximum(a, b)
        return self.height if self.by_height else self.along, self.height, cast(IntArray, key)

    def crossings(self) -> tuple[Crossing, ...]:
        names = [self.names[s] for s in self.species.tolist()]
        rows = zip(
            self.along.tolist(), self.at.tolist(), names[:-1], names[1:], self.on_piece.tolist(), self.height.tolist(),
            strict=True,
        )  # fmt: skip
        return tuple(
            Crossing(along, (u, z), (below, above), (x, y, up), height)
            for along, (u, z), below, above, (x, y, up), height in rows
        )

    def bands(self) -> tuple[Band, ...]:
        along = [0.0, *self.along.tolist(), self.total]
        z = [float(self.ends[0]), *self.height.tolist(), float(self.ends[1])]
        return tuple(Band(self.names[s], *along[i : i + 2], *z[i : i + 2]) for i, s in enumerate(self.species.tolist()))


def _changes(side: SeamSide, stretches: _Stretches, species: IntArray) -> _Changes:
    piece, lo, hi, lengths = stretches
    k = np.flatnonzero(np.diff(species)) + 1
    kept = np.concatenate([species[:1], species[k]])
    at = side.line.at(piece[k], lo[k])
    starts = np.cumsum(lengths) - lengths
    first, last = side.line.at(piece[:1], lo[:1]), side.line.at(piece[-1:], hi[-1:])
    ends = side.heights(np.concatenate([first, last]) if len(piece) else np.stack([side.line.start, side.line.end]))
    return _Changes(
        side.grid.species, starts[k], side.drawn_at(at), side.on_piece(at), side.heights(at), ends,
        float(lengths.sum()), kept,
    )  # fmt: skip
