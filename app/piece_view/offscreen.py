"""A picture that no window owns: rendered out of sight and read back for an ordinary widget to paint.

This is the one way that draws the same with a display, without one, and whatever the system's window protocol.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray
from PySide6.QtGui import QImage

from app.scene.window import offscreen_window
from geometry.solids import FloatArray

if TYPE_CHECKING:  # where VTK cannot be loaded, the view says so in a sentence
    from app.scene.scene import Scene

STILL_SAMPLES = 4
"""Samples a pixel at rest; none while something moves, which is several times faster without a graphics card."""

_FEW = 16

_NEARER_MM = 1.0
"""A point counts as seen when nothing stands more than this before it."""


class Offscreen:
    """Renders a scene and knows where its points came to lie in the picture."""

    def __init__(self, scene: Scene) -> None:
        """Make the render window; raise `OutputError` where this machine cannot draw."""
        from vtkmodules.vtkCommonCore import vtkFloatArray, vtkUnsignedCharArray

        self._scene = scene
        self._window: Any = offscreen_window(1, 1, samples=0)
        # Without these two the picture read back is another buffer's, or black.
        self._window.SetSwapBuffers(True)
        self._window.SetFrameBlitModeToNoBlit()
        self._window.AddRenderer(scene.renderer)
        self._pixels = vtkUnsignedCharArray()
        self._depths = vtkFloatArray()
        self._depth: NDArray[np.float32] | None = None
        self._to_clip: FloatArray = np.eye(4)
        self._towards_eye: FloatArray = np.array([0.0, -1.0, 0.0])
        self._eye: FloatArray | None = None
        self._size = (1, 1)

    def render(self, width: int, height: int, ratio: float, still: bool) -> QImage:
        """Render that many pixels, first row uppermost.

        Parameters
        ----------
        ratio : pixels per unit of the widget's own measure
        still : with smooth edges; several times slower without a graphics card
        """
        from vtkmodules.util.numpy_support import vtk_to_numpy

        window, samples = self._window, STILL_SAMPLES if still else 0
        if window.GetMultiSamples() != samples:
            window.SetMultiSamples(samples)
        if self._size != (width, height):
            window.SetSize(width, height)
            self._size = (width, height)
        self._scene.before_render(height, ratio)
        window.Render()
        window.GetRGBACharPixelData(0, 0, width - 1, height - 1, 1, self._pixels)
        self._depth = None
        self._remember_camera(width / height)
        picture = vtk_to_numpy(self._pixels).reshape(height, width, 4)[::-1].copy()
        picture[..., 3] = 255
        return QImage(picture.data, width, height, 4 * width, QImage.Format.Format_RGBX8888).copy()

    def warm_up(self) -> None:
        """Render a few pixels of the scene in both ways, so that later pictures need nothing to be made ready."""
        for still in (False, True):
            self.render(_FEW, _FEW, 1.0, still)

    def _remember_camera(self, aspect: float) -> None:
        camera = self._scene.renderer.GetActiveCamera()
        matrix = camera.GetCompositeProjectionTransformMatrix(aspect, -1.0, 1.0)
        self._to_clip = np.array([[matrix.GetElement(r, c) for c in range(4)] for r in range(4)])
        self._towards_eye = -np.array(camera.GetDirectionOfProjection())
        self._eye = None if camera.GetParallelProjection() else np.array(camera.GetPosition())

    def project(self, points: FloatArray) -> FloatArray:
        """Where points (n, 3) lie in the last picture: (n, 3) pixels from the left, from the top, and depth 0 to 1."""
        clip = points @ self._to_clip[:, :3].T + self._to_clip[:, 3]
        seen = clip[:, :3] / clip[:, 3:]
        width, height = self._size
        return np.column_stack(
            [(seen[:, 0] + 1.0) * width / 2.0, (1.0 - seen[:, 1]) * height / 2.0, (seen[:, 2] + 1.0) / 2.0]
        )

    def can_see(self, points: FloatArray) -> NDArray[np.bool_]:
        """Whether each point (n, 3) on a surface is in the last picture and not behind other wood, (n,)."""
        from vtkmodules.util.numpy_support import vtk_to_numpy

        width, height = self._size
        if self._depth is None:
            self._window.GetZbufferData(0, 0, width - 1, height - 1, self._depths)
            self._depth = vtk_to_numpy(self._depths).reshape(height, width)[::-1]
        towards = self._towards_eye if self._eye is None else self._eye - points
        nearer = points + _NEARER_MM * towards / np.linalg.norm(towards, axis=-1, keepdims=True)
        where = self.project(points)
        column, row = np.floor(where[:, 0]).astype(int), np.floor(where[:, 1]).astype(int)
        inside = (column >= 0) & (column < width) & (row >= 0) & (row < height)
        there = self._depth[np.clip(row, 0, height - 1), np.clip(column, 0, width - 1)]
        seen: NDArray[np.bool_] = inside & (self.project(nearer)[:, 2] <= there)
        return seen

    def close(self) -> None:
        """Give back what the graphics system lent."""
        self._window.RemoveRenderer(self._scene.renderer)
        self._window.Finalize()
