"""What a tapered blank costs when it is glued, and what it cannot give."""

from __future__ import annotations

import numpy as np

from geometry.findings.finding import FACE, LINE, Finding, Words
from geometry.lines import Line
from geometry.piece import Piece
from geometry.project import CUT_NAMES
from geometry.tapering import is_too_steep, seam_step, taper_cost
from geometry.tolerances import PLACE_MM


def taper_findings(piece: Piece, words: Words) -> list[Finding]:
    """Return what there is to say about a tapered blank; nothing for a straight one."""
    variant = piece.variant
    blank, limits = variant.blank, variant.limits
    if not blank.is_tapered:
        return []
    cost = taper_cost(blank, piece.quarters)
    error = abs(cost.dihedral_error_deg)
    out: list[Finding] = []
    if cost.gap_mm > limits.taper_gap:
        at_axis = cost.dihedral_error_deg > 0.0
        where = "inside, at the axis, where it is hidden" if at_axis else "on the outside, where it shows"
        out.append(
            Finding(
                "taper-misfit", "caution",
                f"Width and depth both change along the blank, so each corner of it is {error:.2f}° "
                f"{'more' if at_axis else 'less'} than square and the glue joints open by {words.length(cost.gap_mm)} "
                f"{where}.",
                f"Plane a bevel of {error / 2.0:.2f}° on each glue face before gluing, off the "
                f"{'sawn edge' if at_axis else 'corner edge'}, or taper the blank one way only.",
            )
        )  # fmt: skip
    if cost.end_trim_mm > limits.end_trim:
        out.append(
            Finding(
                "ends-out-of-square", "caution",
                f"The quarters lean upright when they are glued, so their end faces are out of square by up to "
                f"{words.length(cost.end_trim_mm)}.",
                f"Leave {words.length(cost.end_trim_mm)} more at each end and saw both ends square after gluing.",
            )
        )  # fmt: skip
    for name in CUT_NAMES:
        if variant.taper_support == "face down" and is_too_steep(blank, name):
            out.append(
                Finding(
                    "taper-too-steep", "caution",
                    f"The blank tapers so fast that it cannot lie on the face opposite {FACE[name]} for sawing: the "
                    "blade would run along the drawn face. It is shown as sawn levelled.",
                    "Level the blank on its offcut wedge, or use a longer blank.", name,
                )
            )  # fmt: skip
        line = piece.cut(name).line
        post = _post(line)
        if post is not None:
            out.append(
                Finding(
                    "post-on-taper", "advice",
                    f"There is a straight stretch in {LINE[name]} up to {words.length(post[1])}, but a blank that "
                    "tapers from end to end tapers there too: it leaves no straight post.",
                    "For a post use a straight blank, and let trims make the taper below it.", name, post,
                )
            )  # fmt: skip
        step, at = seam_step(line, blank, name, variant.taper_support)
        if step > limits.pattern_step:
            out.append(
                Finding(
                    "seam-not-flush", "caution",
                    f"Lying face down, the blade meets the far face higher than drawn, so the seams of {LINE[name]} "
                    f"step by about {words.length(step)} at {words.up(at[1])}.",
                    "Level the blank on its offcut wedge while sawing.", name, at,
                )
            )  # fmt: skip
    return out


def _post(line: Line) -> tuple[float, float] | None:
    """Return the upper end of an upright straight stretch of a line that is not upright all along, or None."""
    rise = line.pieces[:, 3] - line.pieces[:, 0]
    upright = line.is_straight & (np.abs(rise[:, 0]) <= PLACE_MM)
    if upright.all() or not upright.any():
        return None
    u, z = line.pieces[np.flatnonzero(upright)[-1], 3]
    return float(u), float(z)
