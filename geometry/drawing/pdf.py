"""The PDF pen. PDF's unit is 1/72 inch; curves go out as PDF's own cubics."""

from __future__ import annotations

import io
from collections.abc import Iterable
from typing import Any, Final

from reportlab.lib.utils import ImageReader
from reportlab.pdfgen.canvas import Canvas

from geometry.drawing.items import Fill, Path, Stroke, Text, draw
from geometry.drawing.page import Page
from geometry.drawing.words import BOLD, REGULAR, printable
from geometry.units import MM_PER_INCH

POINTS_PER_MM: Final = 72.0 / MM_PER_INCH
"""ISO 32000-1, 8.3.2.3: the default unit of user space is 1/72 inch."""


class PdfPen:
    """Draws on one page of a canvas; items shifted by (dx, dy) mm."""

    def __init__(self, canvas: Canvas, dx: float = 0.0, dy: float = 0.0) -> None:
        """Keep the canvas and the shift."""
        self._canvas, self._dx, self._dy = canvas, dx, dy

    def _point(self, p: tuple[float, float]) -> tuple[float, float]:
        return ((p[0] + self._dx) * POINTS_PER_MM, (p[1] + self._dy) * POINTS_PER_MM)

    def _path(self, path: Path) -> Any:
        out = self._canvas.beginPath()
        out.moveTo(*self._point(path.start))
        for step in path.steps:
            if len(step) == 1:
                out.lineTo(*self._point(step[0]))
            else:
                out.curveTo(*self._point(step[0]), *self._point(step[1]), *self._point(step[2]))
        if path.closed:
            out.close()
        return out

    def stroke(self, item: Stroke) -> None:
        """Draw along a path."""
        look, canvas = item.look, self._canvas
        canvas.setLineWidth(look.width * POINTS_PER_MM)
        canvas.setStrokeColorRGB(*look.ink)
        canvas.setDash([d * POINTS_PER_MM for d in look.dash] if look.dash else [])
        canvas.drawPath(self._path(item.path), stroke=1, fill=0)

    def fill(self, item: Fill) -> None:
        """Fill a path in."""
        self._canvas.setFillColorRGB(*item.ink)
        self._canvas.drawPath(self._path(item.path), stroke=0, fill=1)

    def text(self, item: Text) -> None:
        """Write words."""
        canvas = self._canvas
        canvas.saveState()
        canvas.translate(*self._point(item.at))
        if item.turn:
            canvas.rotate(item.turn)
        canvas.setFillColorRGB(*item.ink)
        canvas.setFont(BOLD if item.bold else REGULAR, item.size * POINTS_PER_MM)
        write = {"start": canvas.drawString, "middle": canvas.drawCentredString, "end": canvas.drawRightString}
        write[item.anchor](0.0, 0.0, printable(item.text))
        canvas.restoreState()


def draw_page(canvas: Canvas, page: Page) -> None:
    """Draw a page's parts on the page a canvas is at, which it does not end."""
    canvas.setLineJoin(1)
    for picture in page.pictures:
        b = picture.box
        place = [v * POINTS_PER_MM for v in (b.left, b.bottom, b.width, b.height)]
        canvas.drawImage(ImageReader(io.BytesIO(picture.image)), *place)
    for part in page.parts:
        canvas.saveState()
        if part.window is not None:
            w = part.window
            clip = canvas.beginPath()
            clip.rect(*(v * POINTS_PER_MM for v in (w.left, w.bottom, w.width, w.height)))
            canvas.clipPath(clip, stroke=0, fill=0)
        draw(part.items, PdfPen(canvas, part.dx, part.dy))
        canvas.restoreState()


def pdf_of(pages: Iterable[Page], title: str, subject: str = "") -> bytes:
    """Return a PDF of pages, each at its true size.

    Nothing in it depends on when or where it is made, and it asks the viewer to print without scaling (ISO 32000-1,
    table 150: ViewerPreferences, PrintScaling).
    """
    out = io.BytesIO()
    canvas = Canvas(out, invariant=1, pageCompression=1)
    canvas.setTitle(title)
    canvas.setSubject(subject)
    canvas.setAuthor("")
    canvas.setCreator("Cornerwise")
    canvas.setViewerPreference("PrintScaling", "None")
    for page in pages:
        canvas.setPageSize((page.width * POINTS_PER_MM, page.height * POINTS_PER_MM))
        draw_page(canvas, page)
        canvas.showPage()
    canvas.save()
    return out.getvalue()
