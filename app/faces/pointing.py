"""The words for what is pointed at."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from PySide6.QtCore import QPointF, Qt

from app.faces.selection import Selection
from app.faces.words import bend_words, finding_words, node_words, offcut_words, trim_of, wall_words
from geometry.findings import Finding
from geometry.project import CUT_NAMES, CutName

if TYPE_CHECKING:
    from app.faces.sheet import Sheet

_NEAR_PX = 8.0


def tip_at(sheet: Sheet, point: QPointF) -> str:
    """Return what there is to say about a place of the sheet, or nothing."""
    for mark in reversed(sheet.marks):
        if mark.box.adjusted(-2.0, -2.0, 2.0, 2.0).contains(point):
            return mark.words
    hit = sheet.hand.hit(point)
    if hit.node is not None:
        return node_words(sheet.variant, Selection(hit.cut, trim=hit.trim), hit.node, sheet.units)
    if sheet.view == "flats":
        words = "" if hit.trim is None else offcut_words(sheet.variant, hit.cut, hit.trim, sheet.flats[hit.cut])
        return "\n\n".join(w for w in (_tight_trim_at(sheet, point), words) if w)
    return "\n\n".join(words for words in (_tight_bend_at(sheet, point), _thin_wall_at(sheet, point)) if words)


def _tight_trim_at(sheet: Sheet, point: QPointF) -> str:
    for cut in CUT_NAMES:
        face = sheet.arrangement.face(cut)
        for t, trim in enumerate(sheet.flats[cut].trims):
            for bend in trim.line.tight_bends:
                places = [face.to_px(u, z) - point for u, z in bend.points.tolist()]
                if float(np.hypot([p.x() for p in places], [p.y() for p in places]).min()) <= _NEAR_PX:
                    found = [
                        f for f in sheet.findings if f.cut == cut and f.code.startswith("radius") and trim_of(f) == t
                    ]
                    return finding_words(found[0]) if found else bend_words(bend, sheet.units)
    return ""


def _tight_bend_at(sheet: Sheet, point: QPointF) -> str:
    for cut in CUT_NAMES:
        face = sheet.arrangement.face(cut)
        for bend in sheet.drawn[cut].tight_bends:
            places = [face.to_px(u, z) - point for u, z in bend.points.tolist()]
            if float(np.hypot([p.x() for p in places], [p.y() for p in places]).min()) <= _NEAR_PX:
                found = _finding(sheet, cut, ("radius-too-tight", "no-stock-blade-follows"))
                return finding_words(found) if found else bend_words(bend, sheet.units)
    return ""


def _thin_wall_at(sheet: Sheet, point: QPointF) -> str:
    for cut in CUT_NAMES:
        for wall in sheet.drawn[cut].thin_walls:
            area = sheet.arrangement.face(cut).transform.map(wall.area)
            if area.containsPoint(point, Qt.FillRule.WindingFill):
                found = _finding(sheet, cut, ("wall-too-thin", "line-leaves-face"), f" {wall.edge} edge")
                return finding_words(found) if found else wall_words(wall, sheet.variant.limits.wall, sheet.units)
    return ""


def _finding(sheet: Sheet, cut: CutName, codes: tuple[str, ...], mentions: str = "") -> Finding | None:
    """Return the finding that speaks of a mark, if the checks have come to it already."""
    return next((f for f in sheet.findings if f.cut == cut and f.code in codes and mentions in f.message), None)
