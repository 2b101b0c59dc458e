"""The one point of view that linked pictures share."""

from __future__ import annotations

from dataclasses import replace
from typing import Protocol

from PySide6.QtCore import QObject, Signal

from app.piece_view.turntable import STANDARD, Extent, Pose, common, fit, orbited, panned, zoomed
from app.scene.camera import ViewName


class Subject(Protocol):
    """A picture that is taken from the viewpoint."""

    def extent(self) -> Extent | None:
        """Room its piece takes at this stage of the turning; None while there is no piece or it is hidden."""

    def aspect(self) -> float:
        """Width over height of the picture."""


class Viewpoint(QObject):
    """Where the eye stands for every picture that is linked to it.

    As long as the maker has neither zoomed nor panned, the pieces are kept filling their pictures: when the
    quarters open, when the window grows. Going round does not end that; it changes no distance.

    Signals
    -------
    changed
    """

    changed = Signal()

    def __init__(self, parent: QObject | None = None) -> None:
        """Stand three-quarter, before anything is there to see."""
        super().__init__(parent)
        azimuth, elevation = STANDARD["three-quarter"]
        self._pose = Pose(azimuth, elevation, (0.0, 0.0, 0.0), 100.0)
        self._subjects: list[Subject] = []
        self._is_fitted = True

    @property
    def pose(self) -> Pose:
        """Where the eye stands now."""
        return self._pose

    @property
    def is_fitted(self) -> bool:
        """True until the maker zooms or pans."""
        return self._is_fitted

    def link(self, subject: Subject) -> None:
        """Keep this picture's piece in view too."""
        self._subjects.append(subject)

    def unlink(self, subject: Subject) -> None:
        """Forget the picture."""
        if subject in self._subjects:
            self._subjects.remove(subject)

    # ---- moves of the maker's

    def orbit(self, azimuth_deg: float, elevation_deg: float) -> None:
        """Go round and up."""
        self._take(orbited(self._pose, azimuth_deg, elevation_deg))
        self.keep_fitted()

    def pan(self, right_mm: float, up_mm: float) -> None:
        """Move what is seen."""
        self._is_fitted = False
        self._take(panned(self._pose, right_mm, up_mm))

    def zoom(self, factor: float, right_mm: float = 0.0, up_mm: float = 0.0) -> None:
        """Show ``factor`` times as much, holding what is at that place of the picture."""
        self._is_fitted = False
        self._take(zoomed(self._pose, factor, right_mm, up_mm))

    def stand(self, view: ViewName) -> None:
        """Take a standard view."""
        azimuth, elevation = STANDARD[view]
        self._take(replace(self._pose, azimuth_deg=azimuth, elevation_deg=elevation))
        self.fit()

    def set_parallel(self, parallel: bool) -> None:
        """Parallel projection or perspective; what is in the middle keeps its size."""
        self._take(replace(self._pose, parallel=parallel))
        self.keep_fitted()

    def fit(self) -> None:
        """Bring every piece wholly into view, and keep it so."""
        self._is_fitted = True
        seen = [(extent, each.aspect()) for each in self._subjects if (extent := each.extent()) is not None]
        room = common([extent for extent, _ in seen])
        if room is None:
            self.changed.emit()
        else:
            self._take(fit(self._pose, room, min(aspect for _, aspect in seen)))

    def keep_fitted(self) -> None:
        """Fit again unless the maker has chosen a distance."""
        if self._is_fitted:
            self.fit()

    def _take(self, pose: Pose) -> None:
        if pose != self._pose:
            self._pose = pose
            self.changed.emit()
