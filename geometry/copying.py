"""A whole line at once: mirrored, turned upside down, copied to the other face, carried to another blank.

Trims belong to their line and go with it.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Literal

from msgspec.structs import replace

from geometry.editing import Place, tidy, tidy_place
from geometry.layup import Checker, Layup, Plain, Stripes, check_fills
from geometry.project import Blank, Cut, CutName, Node, Trim, Variant

Sense = Literal["together", "apart"]
"""How a copy swings: both lines toward the corner the faces share, or one toward it while the other swings away."""


def half_across(blank: Blank, face: CutName, z_mm: float) -> float:
    """Return half the width of a face at a height, in millimetres; heights beyond the ends count as the ends."""
    foot, top = (blank.width, blank.top_width) if face == "front" else (blank.depth, blank.top_depth)
    share = min(max(z_mm / blank.length, 0.0), 1.0)
    return (foot + share * ((foot if top is None else top) - foot)) / 2.0


def other_face(face: CutName) -> CutName:
    """Return the name of the face beside."""
    return "side" if face == "front" else "front"


def with_cut(variant: Variant, face: CutName, cut: Cut) -> Variant:
    """Return the variant with another cut through one face."""
    return replace(variant, front=cut) if face == "front" else replace(variant, side=cut)


# ---------------------------------------------------------------- on its own face


def mirrored(cut: Cut) -> Cut:
    """Return the cut mirrored across the centre line: what swung right swings left."""
    return _mapped(cut, lambda u, z: (-u, z))


def stood_on_other_end(cut: Cut, length_mm: float) -> Cut:
    """Return the cut turned upside down, without a change of sides; its nodes still run from the foot to the top."""
    turned = _mapped(cut, lambda u, z: (u, length_mm - z))
    return replace(
        turned,
        nodes=turned.nodes[::-1],
        trims=tuple(replace(t, nodes=t.nodes[::-1]) for t in turned.trims),
    )


def with_order_reversed(cut: Cut) -> Cut:
    """Return the cut with its nodes in the other order and where they are: for a line drawn from the top down."""
    return replace(cut, nodes=cut.nodes[::-1])


def _mapped(cut: Cut, move: Callable[[float, float], Place]) -> Cut:
    """Return the cut with every node of its line and its trims moved."""
    return replace(
        cut,
        nodes=_mapped_nodes(cut.nodes, move),
        trims=tuple(_mapped_trim(t, move) for t in cut.trims),
    )


def _mapped_trim(trim: Trim, move: Callable[[float, float], Place]) -> Trim:
    return replace(trim, nodes=_mapped_nodes(trim.nodes, move))


def _mapped_nodes(nodes: Sequence[Node], move: Callable[[float, float], Place]) -> tuple[Node, ...]:
    """Return the nodes moved; of two in a row that fall into one (a blank drawn together) the first stays."""
    kept: list[Node] = []
    for node in nodes:
        moved = replace(node, at=tidy_place(*move(*node.at)))
        if not kept or kept[-1].at != moved.at:
            kept.append(moved)
    return tuple(kept) if len(kept) > 1 else tuple(nodes)


# ---------------------------------------------------------------- to the other face


def copied_to_other_face(variant: Variant, face: CutName, sense: Sense) -> Variant:
    """Return the variant with the line of one face copied to the other, with its kerf, its blade and its trims.

    The corner the faces share is the right edge of the front face and the left edge of the right face. A line that
    swings toward it swings right on the front face and left on the right face: a copy that swings toward the corner
    together with its original is drawn mirrored (``"together"``), one that swings away from it is drawn as it is
    (``"apart"``).

    Where width and depth differ, the swing is drawn in proportion to the face, so that it takes the same share of
    it and the walls keep in proportion too; on tapered stock at each height by the sizes there.
    """
    to, blank = other_face(face), variant.blank
    sign = -1.0 if sense == "together" else 1.0

    def move(u: float, z: float) -> Place:
        return sign * u * half_across(blank, to, z) / half_across(blank, face, z), z

    return with_cut(variant, to, _mapped(variant.cut(face), move))


# ---------------------------------------------------------------- between variants and blanks


def with_line_from(variant: Variant, other: Variant, face: CutName) -> Variant:
    """Return the variant with another variant's cut through one face.

    Heights are drawn out or together to the length of the blank, so that the line goes on running end to end, and the
    swing in proportion to the face. Kerf and blade come with it.
    """
    here, there = variant.blank, other.blank

    def move(u: float, z: float) -> Place:
        height = z if here.length == there.length else z * here.length / there.length
        own, others = half_across(here, face, height), half_across(there, face, z)
        return (u if own == others else u * own / others), height

    return with_cut(variant, face, _mapped(other.cut(face), move))


def with_blank_from(variant: Variant, other: Variant) -> Variant:
    """Return the variant with another variant's blank and what that is made of; the lines as in `with_blank`."""
    return replace(with_blank(replace(variant, layup=Plain()), other.blank), layup=other.layup)


def with_blank(variant: Variant, blank: Blank) -> Variant:
    """Return the variant with another blank.

    Where the length changes the lines are drawn out or together with it, so that they go on running end to end. Across
    they stay as drawn: a wider blank is how a maker gets thicker walls. Strips and blocks keep their shares of the
    blank.
    """
    old, new = variant.blank.length, blank.length

    def move(u: float, z: float) -> Place:
        return u, (z if old == new else z * new / old)

    return replace(
        variant,
        blank=blank,
        layup=_fitted(variant.layup, blank),
        front=_mapped(variant.front, move),
        side=_mapped(variant.side, move),
    )


def _fitted(layup: Layup, blank: Blank) -> Layup:
    """Return the lay-up with its strips or blocks scaled to fill a blank; unchanged where they fill it as they are."""
    try:
        check_fills(layup, blank.width, blank.depth, blank.length)
    except ValueError:
        pass
    else:
        return layup
    if isinstance(layup, Stripes):
        size = blank.width if layup.along == "x" else blank.depth
        widths = _scaled([w for w, _ in layup.strips], size)
        return replace(layup, strips=tuple(zip(widths, (s for _, s in layup.strips), strict=True)))
    if isinstance(layup, Checker):
        return replace(
            layup,
            x=_scaled(layup.x, blank.width),
            y=_scaled(layup.y, blank.depth),
            z=None if layup.z is None else _scaled(layup.z, blank.length),
        )
    return layup


def _scaled(sizes: Sequence[float], total_mm: float) -> tuple[float, ...]:
    factor = total_mm / sum(sizes)
    return tuple(tidy(s * factor) for s in sizes)
