"""The DXF pen. Coordinates are millimetres and the file says so; curves go out as splines that are the same cubics."""

from __future__ import annotations

import io
import math
from collections.abc import Iterable
from typing import TYPE_CHECKING, Any, Final

from ezdxf import colors, units
from ezdxf.enums import TextEntityAlignment
from ezdxf.filemanagement import new

from geometry.drawing.items import Fill, Ink, Item, Path, Point, Step, Stroke, Text, draw
from geometry.drawing.page import Page
from geometry.drawing.words import CAP_HEIGHT

if TYPE_CHECKING:
    from ezdxf.document import Drawing as DxfDocument

_SMOOTH_SINE: Final = 1e-6
"""Cubics that meet at less than this turn run on into one another; at more there is a corner, and a new spline."""

_STYLES: Final = {False: "WORDS", True: "WORDS BOLD"}
_ALIGN: Final = {
    "start": TextEntityAlignment.LEFT,
    "middle": TextEntityAlignment.CENTER,
    "end": TextEntityAlignment.RIGHT,
}


class DxfPen:
    """Draws into the model space of a DXF document."""

    def __init__(self, document: DxfDocument) -> None:
        """Draw into this document."""
        self._document = document
        self._space = document.modelspace()
        document.styles.add(_STYLES[False], font="arial.ttf")
        document.styles.add(_STYLES[True], font="arialbd.ttf")

    def _attributes(self, layer: str, ink: Ink) -> dict[str, Any]:
        name = layer.upper()
        if name not in self._document.layers:
            self._document.layers.add(name)
        red, green, blue = (round(255 * v) for v in ink)
        # black by its number, so that it shows on a dark screen as white
        return (
            {"layer": name, "color": 7}
            if ink == (0.0, 0.0, 0.0)
            else {"layer": name, "true_color": colors.rgb2int((red, green, blue))}
        )

    def stroke(self, item: Stroke) -> None:
        """Draw along a path: straight runs as polylines, curved ones as cubic splines."""
        attributes = self._attributes(item.layer, item.look.ink)
        if item.look.dash:
            attributes["linetype"] = self._dashes(item.look.dash)
        for start, steps in _runs(item.path):
            if len(steps[0]) == 3:
                self._spline(start, steps, attributes)
                continue
            points = [start, *(step[-1] for step in steps)]
            is_ring = item.path.closed and len(steps) == len(item.path.steps)
            self._space.add_lwpolyline(points, close=is_ring, dxfattribs=attributes)

    def _spline(self, start: Point, steps: list[Step], attributes: dict[str, Any]) -> None:
        """Add one spline of degree 3 whose inner knots stand three times: each span is one of the cubics."""
        spline = self._space.add_spline(dxfattribs=attributes)
        spline.dxf.degree = 3
        spline.control_points = [(x, y, 0.0) for x, y in (start, *(p for step in steps for p in step))]
        knots = [0.0, *(float(i) for i in range(len(steps) + 1) for _ in range(3)), float(len(steps))]
        spline.knots = knots

    def fill(self, item: Fill) -> None:
        """Fill a path in; curves as the fine polygons that a filled area may be."""
        hatch = self._space.add_hatch(dxfattribs=self._attributes(item.layer, item.ink))
        if item.ink != (0.0, 0.0, 0.0):
            hatch.rgb = colors.RGB(*(round(255 * v) for v in item.ink))
        hatch.paths.add_polyline_path(_flat(item.path), is_closed=True)

    def text(self, item: Text) -> None:
        """Write words; DXF measures letters by the height of their capitals."""
        attributes = {
            **self._attributes(item.layer, item.ink),
            "style": _STYLES[item.bold],
            "height": item.size * CAP_HEIGHT,
            "rotation": item.turn,
        }
        words = "".join(c if c.isprintable() else " " for c in item.text)
        self._space.add_text(words, dxfattribs=attributes).set_placement(item.at, align=_ALIGN[item.anchor])

    def _dashes(self, dash: tuple[float, ...]) -> str:
        name = "DASH " + " ".join(f"{d:g}" for d in dash)
        if name not in self._document.linetypes:
            signed = [d if i % 2 == 0 else -d for i, d in enumerate(dash)]
            self._document.linetypes.add(name, [math.fsum(dash), *signed], description=name)
        return name


def _runs(path: Path) -> list[tuple[Point, list[Step]]]:
    """Return a path as runs of straight steps and of cubics without a corner, each with its start."""
    steps = list(path.steps)
    if path.closed and steps and any(len(step) == 3 for step in steps) and steps[-1][-1] != path.start:
        steps.append((path.start,))
    out: list[tuple[Point, list[Step]]] = []
    at = path.start
    for step in steps:
        before = out[-1][1][-1] if out else None
        if before is not None and len(step) == len(before) and not _turns(before, at, step):
            out[-1][1].append(step)
        else:
            out.append((at, [step]))
        at = step[-1]
    return out


def _turns(before: Step, at: Point, after: Step) -> bool:
    """Return True where two cubics meet in a corner."""
    if len(before) != 3 or len(after) != 3:
        return False
    came, goes = _direction(before[1], at), _direction(at, after[0])
    return came[0] * goes[0] + came[1] * goes[1] <= 0.0 or abs(came[0] * goes[1] - came[1] * goes[0]) > _SMOOTH_SINE


def _direction(a: Point, b: Point) -> Point:
    length = math.dist(a, b)
    return ((b[0] - a[0]) / length, (b[1] - a[1]) / length) if length > 0.0 else (0.0, 0.0)


def _flat(path: Path) -> list[Point]:
    points = [path.start]
    for step in path.steps:
        if len(step) == 3:
            (x0, y0), (x1, y1), (x2, y2), (x3, y3) = points[-1], *step
            for i in range(1, 16):
                t = i / 16.0
                a, b, c, d = (1 - t) ** 3, 3 * (1 - t) ** 2 * t, 3 * (1 - t) * t * t, t**3
                points.append((a * x0 + b * x1 + c * x2 + d * x3, a * y0 + b * y1 + c * y2 + d * y3))
        points.append(step[-1])
    return points


def dxf_of(page: Page) -> bytes:
    """Return a DXF of a page at its true size, in millimetres ($INSUNITS 4, $MEASUREMENT 1)."""
    return dxf_of_items(page.items())


def dxf_of_items(items: Iterable[Item]) -> bytes:
    """Return a DXF of items in their own coordinates, in millimetres."""
    document = new("R2010", units=units.MM)
    document.header["$MEASUREMENT"] = 1
    draw(items, DxfPen(document))
    out = io.StringIO()
    document.write(out)
    return out.getvalue().encode("utf-8")
