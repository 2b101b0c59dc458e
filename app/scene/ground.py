"""The ground: nothing but the shadow that lies on it; its paper is the backdrop."""

from __future__ import annotations

import numpy as np
from vtkmodules.util.numpy_support import numpy_to_vtk
from vtkmodules.vtkCommonCore import vtkPoints
from vtkmodules.vtkCommonDataModel import vtkCellArray, vtkImageData, vtkPolyData
from vtkmodules.vtkRenderingCore import vtkActor, vtkPolyDataMapper, vtkTexture

from app.scene.shadow import GroundShadow
from app.scene.theme import Theme

_BELOW_MM = 0.05  # clear of the bodies' own undersides

_DITHER = """
  float grain = fract(52.9829189 * fract(dot(gl_FragCoord.xy, vec2(0.06711056, 0.00583715))));
  gl_FragData[0].a += (grain - 0.5) * 0.008 * smoothstep(0.0, 0.02, gl_FragData[0].a);
"""  # interleaved gradient noise, a well-known even spread over neighbouring pixels


class Ground:
    """One transparent rectangle that carries the shadow; from below it is not there.

    Attributes
    ----------
    actor : vtkActor
    """

    def __init__(self) -> None:
        """Begin without a shadow."""
        self._shadow: GroundShadow | None = None
        self._points = vtkPoints()
        self._points.SetNumberOfPoints(4)
        square = vtkPolyData()
        square.SetPoints(self._points)
        faces = vtkCellArray()
        faces.InsertNextCell(4, [0, 1, 2, 3])
        square.SetPolys(faces)
        corners = np.array([[0, 0], [1, 0], [1, 1], [0, 1]], dtype=np.float32)
        where = numpy_to_vtk(corners, deep=True)
        where.SetName("where")
        square.GetPointData().SetTCoords(where)
        self._texture = vtkTexture()
        self._texture.InterpolateOn()
        self._texture.RepeatOff()
        self._texture.SetColorModeToDirectScalars()
        mapper = vtkPolyDataMapper()
        mapper.SetInputData(square)
        self.actor = vtkActor()
        self.actor.SetMapper(mapper)
        self.actor.SetTexture(self._texture)
        self.actor.ForceTranslucentOn()
        self.actor.PickableOff()
        self.actor.VisibilityOff()
        # Eight bits step visibly over so wide and faint a slope; half a step of noise hides that.
        self.actor.GetShaderProperty().AddFragmentShaderReplacement(
            "//VTK::TCoord::Impl", True, "//VTK::TCoord::Impl\n" + _DITHER, False
        )
        look = self.actor.GetProperty()
        look.LightingOff()
        look.BackfaceCullingOn()

    def show(self, shadow: GroundShadow, ground_z: float, theme: Theme) -> None:
        """Lay a shadow on the ground at ``ground_z`` (mm)."""
        self._shadow = shadow
        z = ground_z - _BELOW_MM
        for index, (s, t) in enumerate(((0, 0), (1, 0), (1, 1), (0, 1))):
            x, y = shadow.corner + s * shadow.along + t * shadow.across
            self._points.SetPoint(index, float(x), float(y), z)
        self._points.Modified()
        self.tint(theme)
        self.actor.VisibilityOn()

    def hide(self) -> None:
        """No bodies, no shadow."""
        self._shadow = None
        self.actor.VisibilityOff()

    def tint(self, theme: Theme) -> None:
        """Take on the theme's shadow tone."""
        if self._shadow is None:
            return
        darkness = self._shadow.darkness
        rows, columns = darkness.shape
        pixels = np.empty((rows, columns, 4), dtype=np.uint8)
        pixels[..., :3] = np.round(np.array(theme.shadow) * 255.0)
        pixels[..., 3] = np.round(darkness * (theme.shadow_strength * 255.0))
        image = vtkImageData()
        image.SetDimensions(columns, rows, 1)
        image.GetPointData().SetScalars(numpy_to_vtk(pixels.reshape(-1, 4), deep=True))
        self._texture.SetInputData(image)
