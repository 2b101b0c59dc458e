"""The wood of a face, as the blank is built up: each strip where it lies, and soon after its rings and pores."""

from __future__ import annotations

from collections.abc import Hashable
from dataclasses import dataclass
from functools import lru_cache
from typing import Final

import numpy as np
from PySide6.QtCore import QObject, QTimer, Signal
from PySide6.QtGui import QColor, QImage, QPainter, QTransform

from app.faces.arrangement import FaceMap, face_width
from app.look import Look, faded, mixed, wood_colour
from app.scene.wood.table import WoodTable, table_of
from app.scene.wood.twin import CHUNK, evaluate
from geometry.blank_wood import dominant_species
from geometry.layup import Layup
from geometry.layup_grid import grid_of
from geometry.layup_making import species_in
from geometry.project import Blank, CutName, Variant
from geometry.solids import FloatArray
from geometry.species import SpeciesName
from geometry.tapering import half_depth, half_width

_INSET_MM: Final = 0.02
"""So far below the face is its wood looked at, so that no border of a strip lies in it."""

_MOST_PX: Final = 400_000
_REST_MS: Final = 60
_KEPT: Final = 8


def ground_colour(variant: Variant, look: Look) -> QColor:
    """Return the colour that a face is drawn in: the wood there is most of, a little quieter than the piece."""
    return mixed(wood_colour(_most(variant.layup, variant.blank)), look.paper, _quiet(look))


@lru_cache(maxsize=16)
def _most(layup: Layup, blank: Blank) -> SpeciesName:
    return dominant_species(Variant("A", blank, layup))


def is_many_woods(variant: Variant) -> bool:
    """Return True where a pencil line runs over light and dark wood and needs a rim to be seen on both."""
    return len(species_in(variant.layup)) > 1


def _quiet(look: Look) -> float:
    return 0.10 if look.is_dark else 0.16


@dataclass(frozen=True, slots=True)
class _Wish:
    """A picture that is wanted: of which face, and how large."""

    variant: Variant
    cut: CutName
    width_px: int
    height_px: int

    @property
    def wood(self) -> Hashable:
        """What the picture is of, whatever its size."""
        return self.variant.layup, self.variant.blank, self.cut

    @property
    def key(self) -> Hashable:
        return self.wood, self.width_px, self.height_px


class WoodPictures(QObject):
    """Pictures of the two faces.

    A picture with its grain takes longer than a frame may: it is worked out a band at a time between events, and told
    of when it is there. Until then the strips stand in their plain colours, exactly where they lie.
    """

    ready = Signal()

    def __init__(self, parent: QObject | None = None) -> None:
        """Make a store without pictures."""
        super().__init__(parent)
        self._done: dict[Hashable, QImage] = {}
        self._flat: dict[Hashable, QImage] = {}
        self._latest: dict[Hashable, QImage] = {}
        self._waiting: dict[CutName, _Wish] = {}
        self._work: _Work | None = None
        self.serial = 0
        """Changes whenever a picture has become better."""
        self._rest = QTimer(self, singleShot=True, interval=_REST_MS)
        self._rest.timeout.connect(self._go_on)

    @property
    def is_busy(self) -> bool:
        """True while a better picture is on its way."""
        return self._work is not None or bool(self._waiting)

    def picture(self, variant: Variant, cut: CutName, face: FaceMap, ratio: float) -> QImage:
        """Return the best picture of a face that there is now, over its whole length and greatest width."""
        wide = face_width(variant.blank, cut) * face.across * ratio
        tall = variant.blank.length * face.up * ratio
        scale = min(1.0, (_MOST_PX / max(wide * tall, 1.0)) ** 0.5)
        wish = _Wish(variant, cut, max(1, round(wide * scale)), max(1, round(tall * scale)))
        done = self._done.get(wish.key)
        if done is not None:
            self._waiting.pop(cut, None)
            return done
        if self._work is None or self._work.wish.key != wish.key:
            self._waiting[cut] = wish
            self._rest.start()
        # the same wood in another size is stretched meanwhile
        return self._latest.get(wish.wood) or self._flat_picture(wish)

    def _flat_picture(self, wish: _Wish) -> QImage:
        flat = self._flat.get(wish.key)
        if flat is None:
            flat = _flat_picture(wish)
            _keep(self._flat, wish.key, flat)
        return flat

    def _go_on(self) -> None:
        """Work out one more band, and come back after whatever else there is to do."""
        if self._work is None or self._work.wish.cut in self._waiting:
            if not self._waiting:
                self._work = None
                return
            self._work = _Work(self._waiting.pop(next(iter(self._waiting))))
        if self._work.is_finished_after_next_band():
            wish, picture = self._work.wish, self._work.picture()
            self._work = None
            _keep(self._done, wish.key, picture)
            _keep(self._latest, wish.wood, picture)
            self.serial += 1
            self.ready.emit()
            if not self._waiting:
                return
        QTimer.singleShot(0, self, self._go_on)


def _keep(store: dict[Hashable, QImage], key: Hashable, picture: QImage) -> None:
    store[key] = picture
    while len(store) > _KEPT:
        store.pop(next(iter(store)))


class _Work:
    """A picture on its way, some rows at a time."""

    def __init__(self, wish: _Wish) -> None:
        self.wish = wish
        self._table: WoodTable = table_of(wish.variant)
        self._pixels = np.zeros((wish.height_px, wish.width_px, 3), dtype=np.uint8)
        self._row = 0

    def is_finished_after_next_band(self) -> bool:
        wish = self.wish
        rows = max(1, CHUNK // wish.width_px)
        stop = min(self._row + rows, wish.height_px)
        points, right, up = _lattice(wish, self._row, stop)
        colours = evaluate(self._table, points, right, up).reshape(stop - self._row, wish.width_px, 3)
        self._pixels[self._row : stop] = np.clip(colours * 255.0 + 0.5, 0.0, 255.0)
        self._row = stop
        return stop >= wish.height_px

    def picture(self) -> QImage:
        return _image(self._pixels)


def _image(pixels: np.ndarray) -> QImage:
    tall, wide, _ = pixels.shape
    return QImage(pixels.tobytes(), wide, tall, 3 * wide, QImage.Format.Format_RGB888).copy()


def _lattice(wish: _Wish, first: int, stop: int) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Return the blank's places (n, 3) under the pixels of some rows, uppermost first, and the steps right and up."""
    blank = wish.variant.blank
    half = face_width(blank, wish.cut) / 2.0
    u = ((np.arange(wish.width_px) + 0.5) / wish.width_px * 2.0 - 1.0) * half
    z = (1.0 - (np.arange(first, stop) + 0.5) / wish.height_px) * blank.length
    uu, zz = np.meshgrid(u, z)
    right, up = 2.0 * half / wish.width_px, blank.length / wish.height_px
    if wish.cut == "front":
        deep = -half_depth(blank, zz) + _INSET_MM
        return _flattened(uu, deep, zz), np.array([right, 0.0, 0.0]), np.array([0.0, 0.0, up])
    wide = half_width(blank, zz) - _INSET_MM
    return _flattened(wide, uu, zz), np.array([0.0, right, 0.0]), np.array([0.0, 0.0, up])


def _flattened(x: FloatArray, y: FloatArray, z: FloatArray) -> FloatArray:
    return np.stack([x.ravel(), y.ravel(), z.ravel()], axis=1)


def _flat_picture(wish: _Wish) -> QImage:
    """Return the face with every strip in its plain colour: quick, and exact to the pixel."""
    grid = grid_of(wish.variant)
    colours = [wood_colour(name) for name in grid.species]
    table = np.array([[c.red(), c.green(), c.blue()] for c in colours], dtype=np.uint8)
    if len(table) == 1:
        return _image(table.reshape(1, 1, 3))
    points, _, _ = _lattice(wish, 0, wish.height_px)
    return _image(table[grid.species_at(points)].reshape(wish.height_px, wish.width_px, 3))


def paint_wood(
    painter: QPainter, variant: Variant, cut: CutName, face: FaceMap, pictures: WoodPictures, look: Look,
    shift_mm: float = 0.0,
) -> None:  # fmt: skip
    """Paint the wood of one face; the painter is clipped to what is to be seen of it.

    Parameters
    ----------
    variant, cut, face : which face, and where it lies on the sheet
    pictures : where its picture comes from
    look : the paper, of which a little shows through
    shift_mm : how far across the face lies from its own place
    """
    image = pictures.picture(variant, cut, face, painter.device().devicePixelRatioF())
    half, length = face_width(variant.blank, cut) / 2.0, variant.blank.length
    to_mm = QTransform(2.0 * half / image.width(), 0.0, 0.0, -length / image.height(), shift_mm - half, length)
    painter.save()
    painter.setTransform(to_mm * face.transform, True)
    painter.setRenderHint(QPainter.RenderHint.SmoothPixmapTransform)
    painter.drawImage(0, 0, image)
    painter.setOpacity(1.0)
    painter.fillRect(0, 0, image.width(), image.height(), faded(look.paper, _quiet(look)))
    painter.restore()
