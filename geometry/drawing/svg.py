"""The SVG pen. One user unit is one millimetre; curves go out as SVG's own cubics."""

from __future__ import annotations

from collections.abc import Iterable
from xml.sax.saxutils import escape, quoteattr

from geometry.drawing.items import Fill, Ink, Item, Path, Point, Stroke, Text, draw
from geometry.drawing.page import Page

_ANCHORS = {"start": "start", "middle": "middle", "end": "end"}


class SvgPen:
    """Collects elements in the order they are drawn; y is turned over, because SVG counts it downwards."""

    def __init__(self, height: float) -> None:
        """Begin a drawing of a height in mm."""
        self._height = height
        self._layers: dict[str, list[str]] = {}

    def _point(self, p: Point) -> str:
        return f"{_number(p[0])} {_number(self._height - p[1])}"

    def _path(self, path: Path) -> str:
        words = [f"M {self._point(path.start)}"]
        words += [f"{'L' if len(step) == 1 else 'C'} {', '.join(map(self._point, step))}" for step in path.steps]
        return " ".join([*words, "Z"] if path.closed else words)

    def _add(self, layer: str, element: str) -> None:
        self._layers.setdefault(layer, []).append(element)

    def stroke(self, item: Stroke) -> None:
        """Draw along a path."""
        look = item.look
        dash = f' stroke-dasharray="{" ".join(map(_number, look.dash))}"' if look.dash else ""
        self._add(
            item.layer,
            f'<path d="{self._path(item.path)}" fill="none" stroke="{_colour(look.ink)}" '
            f'stroke-width="{_number(look.width)}" stroke-linejoin="round"{dash}/>',
        )

    def fill(self, item: Fill) -> None:
        """Fill a path in."""
        self._add(item.layer, f'<path d="{self._path(item.path)}" fill="{_colour(item.ink)}" stroke="none"/>')

    def text(self, item: Text) -> None:
        """Write words."""
        x, y = _number(item.at[0]), _number(self._height - item.at[1])
        turn = f' transform="rotate({_number(-item.turn)} {x} {y})"' if item.turn else ""
        weight = ' font-weight="bold"' if item.bold else ""
        self._add(
            item.layer,
            f'<text x="{x}" y="{y}" font-family="Helvetica, Arial, sans-serif" font-size="{_number(item.size)}"'
            f'{weight} text-anchor="{_ANCHORS[item.anchor]}" fill="{_colour(item.ink)}"{turn}>'
            f"{escape(_sayable(item.text))}</text>",
        )

    def elements(self) -> list[str]:
        """Return a group for each layer, in the order in which layers were first drawn on."""
        return [
            f"<g id={quoteattr(layer.replace(' ', '-'))}>\n" + "\n".join(elements) + "\n</g>"
            for layer, elements in self._layers.items()
        ]


def svg_of(page: Page, title: str) -> bytes:
    """Return an SVG of a page at its true size: width and height in mm, and one user unit to the millimetre."""
    return svg_of_items(page.items(), page.width, page.height, title)


def svg_of_items(items: Iterable[Item], width: float, height: float, title: str) -> bytes:
    """Return an SVG of items on paper of a width and height in mm."""
    pen = SvgPen(height)
    draw(items, pen)
    w, h = _number(width), _number(height)
    head = (
        '<?xml version="1.0" encoding="UTF-8"?>\n'
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{w}mm" height="{h}mm" viewBox="0 0 {w} {h}">\n'
        f"<title>{escape(_sayable(title))}</title>\n"
    )
    return (head + "\n".join(pen.elements()) + "\n</svg>\n").encode("utf-8")


def _sayable(text: str) -> str:
    """Return words without the characters that no XML may hold."""
    return "".join(c if c.isprintable() else " " for c in text)


def _number(value: float) -> str:
    """Return a number to a millionth, without zeros at its end and never in powers of ten."""
    text = f"{value:.6f}".rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text


def _colour(ink: Ink) -> str:
    return "#" + "".join(f"{round(255 * v):02x}" for v in ink)
