"""Pictures of the samples: drawn by another process when they are first wanted, kept for the next time."""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from importlib import metadata
from pathlib import Path
from typing import Final

from PySide6.QtCore import QObject, QPointF, QRectF, QSize, QStandardPaths, Qt, Signal
from PySide6.QtGui import QPainter, QPainterPath, QPixmap
from shapely.geometry.base import BaseGeometry

from app.errand import Errand
from app.look import LIGHT, wood_colour
from app.samples import Sample
from geometry.errors import CornerwiseError, OutputError
from geometry.files import read_project, write_whole
from geometry.layup import Layup, Plain, Stripes
from geometry.lines import line_of
from geometry.project import CUT_NAMES, CutName, Variant
from geometry.slots import profile, saw_face
from geometry.species import SpeciesName
from geometry.tolerances import LIVE_CHORD_MM

PICTURE: Final = QSize(400, 500)
"""Pixels of a kept picture: sharp on a screen of twice the usual density at the size of a card."""

_AS: Final = "wood"
"""How pieces are drawn; a picture kept of another look is drawn anew."""


class SamplePictures(QObject):
    """Gives pictures of samples, one after another, as they come.

    Signals
    -------
    ready : sample, pixmap
    """

    ready = Signal(object, object)

    def __init__(self, cache: Path | None = None, parent: QObject | None = None) -> None:
        """Keep the pictures in a folder; in the user's own for such things when left out."""
        super().__init__(parent)
        self._cache = cache or _users_cache()
        self._waiting: list[Sample] = []
        self._now: Sample | None = None
        self._errand = Errand(self)
        self._errand.done.connect(self._on_done)
        self._errand.failed.connect(self._next)

    def want(self, samples: Sequence[Sample]) -> None:
        """Ask for pictures: those that are kept come at once, the others when they are drawn."""
        for sample in samples:
            kept = QPixmap()
            path = self._kept_at(sample)
            if path is not None and path.is_file() and kept.load(str(path)):
                self.ready.emit(sample, kept)
            elif sample != self._now and sample not in self._waiting:
                self._waiting.append(sample)
        if self._now is None:
            self._next()

    def stop(self) -> None:
        """Draw no more; what is under way is dropped."""
        self._waiting.clear()
        self._now = None
        self._errand.cancel()

    def _next(self) -> None:
        self._now = None
        while self._waiting and self._now is None:
            sample = self._waiting.pop(0)
            try:
                project = read_project(sample.path)
            except CornerwiseError:
                continue  # it is said when the sample is opened
            self._now = sample
            self._errand.start(project, "picture", "sample.png", ["--size", f"{PICTURE.width()}x{PICTURE.height()}"])

    def _on_done(self, made: dict[str, bytes]) -> None:
        sample, picture = self._now, QPixmap()
        data = next(iter(made.values()))
        if sample is not None and picture.loadFromData(data):
            self._keep(sample, data)
            self.ready.emit(sample, picture)
        self._next()

    def _keep(self, sample: Sample, data: bytes) -> None:
        path = self._kept_at(sample)
        if path is None:
            return
        try:
            path.parent.mkdir(parents=True, exist_ok=True)
            write_whole(path, data)
        except (OSError, OutputError):
            pass  # it is drawn again next time

    def _kept_at(self, sample: Sample) -> Path | None:
        """Return where a picture is kept: under the sample's content, so that a changed sample is drawn anew."""
        try:
            content = sample.path.read_bytes()
        except OSError:
            return None
        made_by = f"{_version()} {PICTURE.width()}x{PICTURE.height()} {_AS}".encode()
        return (
            self._cache / f"{sample.path.name.split('.')[0]}-{hashlib.sha256(made_by + content).hexdigest()[:16]}.png"
        )


def _users_cache() -> Path:
    folder = QStandardPaths.writableLocation(QStandardPaths.StandardLocation.GenericCacheLocation)
    return Path(folder) / "cornerwise" / "samples"


def _version() -> str:
    try:
        return metadata.version("cornerwise")
    except metadata.PackageNotFoundError:
        return ""


# ---------------------------------------------------------------- until the picture is there


def silhouettes(sample: Sample) -> QPixmap | None:
    """Return the front and the side of a sample's piece as flat shapes of its wood, or None for a bad file."""
    try:
        variant = read_project(sample.path).variant()
        colour = wood_colour(first_species(variant.layup))
    except CornerwiseError:
        return None
    length = variant.blank.length
    shapes = [_path(_profile(variant, name)) for name in CUT_NAMES]
    widths = [shape.boundingRect().width() for shape in shapes]
    gap = 0.5 * max(widths)
    pixmap = QPixmap(PICTURE)
    pixmap.fill(LIGHT.paper)
    room = QRectF(pixmap.rect()).adjusted(0, 0.09 * PICTURE.height(), 0, -0.09 * PICTURE.height())
    scale = min(room.height() / length, 0.8 * room.width() / (sum(widths) + gap))
    painter = QPainter(pixmap)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.setPen(Qt.PenStyle.NoPen)
    painter.translate(room.center().x() - scale * (sum(widths) + gap) / 2, room.center().y() + scale * length / 2)
    painter.scale(scale, -scale)
    for shape, width, shade in zip(shapes, widths, (100, 115), strict=True):
        painter.fillPath(shape.translated(-shape.boundingRect().left(), 0), colour.darker(shade))
        painter.translate(width + gap, 0)
    painter.end()
    return pixmap


def first_species(layup: Layup) -> SpeciesName:
    """Return a wood that a lay-up is made of: the only one, or the first that it names."""
    match layup:
        case Plain():
            return layup.species
        case Stripes():
            return layup.strips[0][1]
        case _:
            return layup.species[0]


def _profile(variant: Variant, name: CutName) -> BaseGeometry:
    blank, cut = variant.blank, variant.cut(name)
    across = blank.width if name == "front" else blank.depth
    gone = cut.kerf + 2.0 * variant.sanding
    return profile(saw_face(line_of(cut, blank.length), across, blank.length, gone, LIVE_CHORD_MM))


def _path(shape: BaseGeometry) -> QPainterPath:
    path = QPainterPath()
    for part in getattr(shape, "geoms", [shape]):
        for ring in (part.exterior, *part.interiors):
            points = [QPointF(x, y) for x, y in ring.coords]
            if points:
                path.moveTo(points[0])
                for point in points[1:]:
                    path.lineTo(point)
                path.closeSubpath()
    return path
