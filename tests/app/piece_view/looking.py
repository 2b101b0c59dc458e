"""Pieces to look at, and ways to look at pictures of them."""

import tempfile
from pathlib import Path

import numpy as np
from PySide6.QtGui import QImage
from PySide6.QtWidgets import QWidget

from app.builder import Built
from app.cli import main
from app.piece_view import PieceArea
from app.piece_view.piece_view import PieceView
from geometry.files import SUFFIX, write_project
from geometry.piece import build
from geometry.project import Blank, Cut, Node, Variant
from geometry.report import report_on
from geometry.tolerances import EXPORT_CHORD_MM


def variant(front=((0, 0), (0, 420)), side=((0, 0), (0, 420)), name="A", blank=None) -> Variant:
    """A blank of 60 by 60 by 420 with two lines, their ends corners."""
    lines = []
    for places in (front, side):
        ends = (0, len(places) - 1)
        kinds = ["corner" if i in ends else "smooth" for i in range(len(places))]
        lines.append(tuple(Node(at, kind) for at, kind in zip(places, kinds, strict=True)))
    return Variant(name, blank or Blank(60, 60, 420), front=Cut(nodes=lines[0]), side=Cut(nodes=lines[1]))


def built(design: Variant, key="A", chord_mm=EXPORT_CHORD_MM) -> Built:
    """What the worker would answer."""
    return Built(key, design, chord_mm, report_on(build(design, chord_mm)))


RIGHT = ((0, 0), (18, 210), (0, 420))
LEFT = ((0, 0), (-18, 210), (0, 420))
WAVE = ((0, 0), (8, 140), (-6, 280), (0, 420))


def settle(qtbot, area: PieceArea) -> None:
    """Wait until every picture on screen is finished."""
    qtbot.waitUntil(lambda: all(view.is_at_rest for view in area.views.values() if view.isVisible()), timeout=20_000)


def drawn(area: PieceArea, size: tuple[int, int]) -> QImage:
    """The finished picture in that size, drawn by the command line as the other process does."""
    still, images = area.still(size), []
    with tempfile.TemporaryDirectory() as folder:
        file, out = Path(folder, f"project{SUFFIX}"), Path(folder, "out.png")
        for drawing in still.drawings:
            write_project(drawing.project, file)
            assert main(["picture", str(file), str(out), *drawing.words]) == 0
            images.append(QImage(str(out)))
    return still.put_together(images)


def pixels(widget: QWidget | QImage) -> np.ndarray:
    """What is painted, (h, w, 3) int, rows from the top."""
    image = widget if isinstance(widget, QImage) else widget.grab().toImage()
    image = image.convertToFormat(QImage.Format.Format_RGB888)
    rows = np.frombuffer(image.constBits(), np.uint8).reshape(image.height(), image.bytesPerLine())
    return rows[:, : 3 * image.width()].reshape(image.height(), image.width(), 3).astype(int)


def wood(picture: np.ndarray) -> np.ndarray:
    """Where walnut is seen by day, (h, w) bool: brown, and darker than any shadow on the ground."""
    red, blue = picture[..., 0], picture[..., 2]
    return (red - blue > 22) & (red < 170)


def changed(before: np.ndarray, after: np.ndarray) -> int:
    """How many pixels differ clearly."""
    return int((np.abs(before - after).max(axis=2) > 12).sum())


def like(picture: np.ndarray, colour, within=28) -> int:
    """How many pixels are close to a colour (r, g, b)."""
    return int((np.abs(picture - np.array(colour)).max(axis=2) <= within).sum())


def number_places(view: PieceView) -> dict[int, np.ndarray]:
    """Where the middle of each quarter's top end is seen, in the widget's measure, and its depth, by number."""
    ends = view.stage.top_ends()
    places = view._offscreen.project(np.array(list(ends.values())))
    places[:, :2] /= view.devicePixelRatioF()
    return dict(zip(ends, places, strict=True))
