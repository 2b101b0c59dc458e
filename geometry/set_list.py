"""How many pieces a set takes, of which hand: found from the design, not assumed.

Legs that stand in a ring, each a quarter turn on from the last, are all alike to look at from their own corner. Where
a table is to be the same on the left as on the right, a leg must also be its own mirror image, or there are two hands.
"""

from __future__ import annotations

import csv
import io
from dataclasses import dataclass
from typing import Literal

import numpy as np
import shapely
from msgspec.structs import replace
from shapely import affinity
from shapely.geometry.base import BaseGeometry

from geometry.glue_up_parts import Trade
from geometry.layup import Checker, Chevron, Layup, Stripes
from geometry.layup_grid import grid_of
from geometry.piece import Piece
from geometry.project import DisplayUnits, Node, Variant
from geometry.solids import FloatArray
from geometry.species import SPECIES
from geometry.units import MM_PER_INCH
from geometry.wood_list import BOARD_FOOT_MM3, wood_list

Mirror = Literal["diagonal", "centre"]
Hand = Literal["any", "left", "right"]

_SAME_PROFILE_MM = 0.05
"""Profiles that differ by less are the same leg: less than a saw can tell."""


@dataclass(frozen=True, slots=True)
class Kind:
    """Pieces of one kind: of which hand, and how many with the spares."""

    hand: Hand
    count: int
    spares: int


@dataclass(frozen=True, slots=True)
class SetList:
    """What a set takes.

    Attributes
    ----------
    mirror : what makes the piece its own mirror image: "diagonal" where it is the same on both sides of a diagonal of
        the blank, "centre" where it is on both sides of a centre plane; None where left and right hand differ
    kinds : the pieces to make; the left hand is the piece as drawn
    """

    mirror: Mirror | None
    kinds: tuple[Kind, ...]

    @property
    def count(self) -> int:
        """All pieces, spares included."""
        return sum(kind.count + kind.spares for kind in self.kinds)


def set_list(piece: Piece, count: int = 4, spares: int = 0) -> SetList:
    """Return how many pieces of which hand a set of ``count`` takes, with ``spares`` more of every kind."""
    mirror = mirror_of(piece)
    if mirror is not None or count == 1:
        return SetList(mirror, (Kind("any", count, spares),))
    left = (count + 1) // 2
    return SetList(None, (Kind("left", left, spares), Kind("right", count - left, spares)))


def mirror_of(piece: Piece) -> Mirror | None:
    """Return what makes a piece its own mirror image: lines, trims and lay-up alike on both sides of a plane.

    A leg that is the same on both sides of a diagonal serves every corner of a table, turned by a quarter from one to
    the next; for that its blank must be square as well.
    """
    p, q = piece.front.profile, piece.side.profile
    blank = piece.variant.blank
    if blank.width == blank.depth and blank.width_at_top == blank.depth_at_top:
        for sign in (1.0, -1.0):
            flip = np.array([[0.0, sign], [sign, 0.0]])
            if _same(p, _flipped(q, sign)) and _wood_is_same(piece.variant, flip):
                return "diagonal"
    for shape, flip in ((p, np.diag([-1.0, 1.0])), (q, np.diag([1.0, -1.0]))):
        if _same(shape, _flipped(shape, -1.0)) and _wood_is_same(piece.variant, flip):
            return "centre"
    return None


def _flipped(profile: BaseGeometry, sign: float) -> BaseGeometry:
    return profile if sign > 0.0 else affinity.scale(profile, -1.0, 1.0, origin=(0.0, 0.0))


def _same(a: BaseGeometry, b: BaseGeometry) -> bool:
    if a.is_empty or b.is_empty:
        return bool(a.is_empty and b.is_empty)
    if np.abs(np.subtract(a.bounds, b.bounds)).max() > _SAME_PROFILE_MM:
        return False
    return bool(shapely.hausdorff_distance(a, b) <= _SAME_PROFILE_MM)


def _wood_is_same(variant: Variant, flip: FloatArray) -> bool:
    """Return True when the blank's wood is the same at mirrored places, ``flip`` mirroring (x, y).

    Looked at in the middle of every cell that the pattern and its mirror image make together.
    """
    grid = grid_of(variant)
    if len(grid.species) == 1:
        return True
    blank = variant.blank
    halves = (blank.width / 2.0, blank.depth / 2.0)
    x, y = (_middles(np.concatenate([-half + np.zeros(1), e, -e, g, -g, [half]]), half)
            for half, e, g in zip(halves, grid.edges[:2], grid.edges[1::-1], strict=True))  # fmt: skip
    z = _middles(np.concatenate([[0.0], grid.edges[2], [blank.length]]), None, blank.length)
    if grid.shear is not None:
        # bands slant: as close as shows
        x, y = np.linspace(-halves[0], halves[0], 41)[1:-1:2], np.linspace(-halves[1], halves[1], 41)[1:-1:2]
        z = np.linspace(0.0, blank.length, 403)[1:-1:2]
    points = np.stack(np.meshgrid(x, y, z, indexing="ij"), axis=-1).reshape(-1, 3)
    mirrored = points.copy()
    mirrored[:, :2] = points[:, :2] @ flip.T
    return bool((grid.species_at(points) == grid.species_at(mirrored)).all())


def _middles(edges: FloatArray, half: float | None, length: float = 0.0) -> FloatArray:
    """Return the middles between the edges that lie within -half..half, or within 0..length."""
    low, high = (-half, half) if half is not None else (0.0, length)
    inside = np.unique(np.clip(edges, low, high))
    wide = np.diff(inside) > 1e-6
    return ((inside[:-1] + inside[1:]) / 2.0)[wide]


# ---------------------------------------------------------------- the other hand


def mirrored(variant: Variant) -> Variant:
    """Return the design of the other hand: everything mirrored left to right, as seen from the front.

    A block pattern of more than two woods keeps its order: no file can say its mirror image.
    """
    front = replace(
        variant.front,
        nodes=_mirrored_nodes(variant.front.nodes),
        trims=tuple(replace(trim, nodes=_mirrored_nodes(trim.nodes)) for trim in variant.front.trims),
    )
    return replace(variant, name=f"{variant.name}, mirrored", front=front, layup=_mirrored_layup(variant.layup))


def _mirrored_nodes(nodes: tuple[Node, ...]) -> tuple[Node, ...]:
    # + 0.0 so that no centre line stands at minus nothing
    return tuple(replace(node, at=(-node.at[0] + 0.0, node.at[1])) for node in nodes)


def _mirrored_layup(layup: Layup) -> Layup:
    match layup:
        case Stripes(along="x"):
            return replace(layup, strips=layup.strips[::-1])
        case Chevron(across="x"):
            return replace(layup, peak=-layup.peak + 0.0)
        case Checker() if len(layup.species) <= 2:
            swap = len(layup.species) == 2 and len(layup.x) % 2 == 0
            return replace(layup, x=layup.x[::-1], species=layup.species[::-1] if swap else layup.species)
    return layup


# ---------------------------------------------------------------- CSV


def set_csv(piece: Piece, found: SetList, units: DisplayUnits = "mm", trade: Trade | None = None) -> bytes:
    """Return the cut list of a set as CSV for a spreadsheet: the blanks, and the boards they are glued up from.

    Sizes are plain numbers in the maker's unit, to a tenth of a millimetre or a 1/16 inch, under headings that name it.
    """
    trade = trade or Trade()

    def size(mm: float) -> str:
        return f"{mm:.1f}" if units == "mm" else f"{round(mm / MM_PER_INCH * 16.0) / 16.0:g}"

    blank = piece.variant.blank
    out = io.StringIO()
    table = csv.writer(out, lineterminator="\r\n")
    table.writerow(
        ["part", "what", "hand", "count", "wood", f"thick {units}", f"wide {units}", f"long {units}",
         f"rough thick {units}", f"rough wide {units}", f"rough long {units}", "board feet in all", "note"]
    )  # fmt: skip
    for kind in found.kinds:
        sizes = [size(blank.depth), size(blank.width), size(blank.length)]
        spares = f"{kind.spares} of them spare" if kind.spares else ""
        row = ["blank", piece.variant.name, kind.hand, kind.count + kind.spares, "", *sizes, "", "", "", "", spares]
        table.writerow(row)
    for board in wood_list(piece.variant, units, trade).boards:
        count = board.count * found.count
        rough = board.rough(trade)
        feet = count * rough[0] * rough[1] * rough[2] / BOARD_FOOT_MM3
        table.writerow(
            [board.label, "board", "", count, SPECIES[board.species].label, *map(size, board.milled), *map(size, rough),
             f"{feet:.2f}", board.note]
        )  # fmt: skip
    return out.getvalue().encode("utf-8-sig")


def in_words(found: SetList) -> str:
    """Return the set in a sentence or two."""
    total = sum(kind.count for kind in found.kinds)
    spares = found.kinds[0].spares
    more = f" and {spares} spare{'s' if spares > 1 else ''}" if spares else ""
    each = f", and {spares} spare{'s' if spares > 1 else ''} of each" if spares else ""
    if total == 1:
        return f"One piece{more}."
    if found.mirror == "diagonal":
        return (
            f"{total} pieces{more}, all alike: the piece is the same on both sides of its diagonal, so one serves "
            "every corner, turned by a quarter from one to the next."
        )
    if found.mirror == "centre":
        return f"{total} pieces{more}, all alike: the piece is its own mirror image, so left and right are the same."
    left, right = (kind.count for kind in found.kinds)
    return (
        f"{left} left and {right} right{each}: the piece is not its own mirror image. The left hand is as drawn; for "
        "the right hand print the mirrored template."
    )
