"""The numbers of trims and of a taper's cure: for programs, and in words for the maker."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from geometry.blades import widest_stock_blade
from geometry.curvature import TightestBend, piece_lengths, tightest_bend
from geometry.offcuts import VIEW_SIDE, offcut_sentence, offcuts_of
from geometry.piece import Piece
from geometry.project import CUT_NAMES, CutName, DisplayUnits
from geometry.tapering import Bevel
from geometry.units import format_length


def trim_objects(piece: Piece, name: CutName) -> list[dict[str, Any]]:
    """Return the trims of one direction as objects for JSON, in the order in which they are drawn."""
    needed = {(o.cut, o.number): o.is_needed for o in offcuts_of(piece)}
    out: list[dict[str, Any]] = []
    for trim in piece.cut(name).trims:
        bend = tightest_bend(trim.line)
        widest = widest_stock_blade(bend.radius_mm if bend else None)
        is_sawn = trim.fault is None
        out.append(
            {
                "number": trim.number,
                "side": VIEW_SIDE[trim.side],
                "length_mm": float(piece_lengths(trim.line).sum()),
                "tightest_radius_mm": bend.radius_mm if bend else None,
                "tightest_at": list(bend.at) if bend else None,
                "widest_blade_mm": widest.width_mm if widest else None,
                "offcut_mm2": trim.offcut.area if is_sawn else None,
                "shim_mm": trim.trim.kerf if is_sawn else None,
                "may_be_left_out": not needed.get((name, trim.number), False) if is_sawn else None,
                "fault": trim.fault,
            }
        )
    return out


def trim_rows(piece: Piece, units: DisplayUnits) -> list[tuple[str, str]]:
    """Return label and sentence for each trim and each offcut, in the maker's unit."""

    def size(mm: float) -> str:
        return format_length(mm, units)

    offcuts = offcuts_of(piece)
    rows: list[tuple[str, str]] = []
    for name in CUT_NAMES:
        for trim in piece.cut(name).trims:
            label = f"{name.capitalize()} trim {trim.number}"
            if trim.fault is not None:
                rows.append((label, "cannot be sawn as drawn"))
                continue
            length = float(piece_lengths(trim.line).sum())
            rows.append((label, f"{VIEW_SIDE[trim.side]} of the seam, {_run(length, tightest_bend(trim.line), size)}"))
    last = offcuts[-1].cut if offcuts else None
    rows += [("Offcut", offcut_sentence(offcut, offcut.cut == last, units)) for offcut in offcuts]
    return rows


def _run(length: float, bend: TightestBend | None, size: Callable[[float], str]) -> str:
    text = f"{size(length)} long"
    if bend is None:
        return f"{text}, straight"
    text += f", tightest radius {size(bend.radius_mm)} at {size(bend.at[1])} up"
    widest = widest_stock_blade(bend.radius_mm)
    return (
        f"{text}; no stock blade follows it"
        if widest is None
        else f"{text}; widest blade {widest.width_mm:g} mm ({widest.inches})"
    )


def bevel_words(bevel: Bevel, units: DisplayUnits) -> str:
    """Return what to plane off the flats of tapered quarters before they are glued."""
    most = format_length(bevel.most_mm, units, decimals=2, denominator=64)
    where = "the sawn edge" if bevel.edge == "sawn" else "the corner edge"
    other = "the corner edge" if bevel.edge == "sawn" else "the sawn edge"
    return f"plane each flat off by {bevel.angle_deg:.2f}°: {most} at {where} of the wide end, nothing at {other}"
