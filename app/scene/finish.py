"""The look of a body's surface: the one place where it is set.

A ``Finish`` is given a body's two actors, the surface and its edge lines, each time the body or its colour
changes. Both actors hold block coordinates and are placed by ``SetUserMatrix``; the mappers' buffers are neither
shifted nor scaled. So a finish that computes wood by the pixel finds block coordinates in the vertex shader's
``vertexMC`` and needs no further attribute. ``PlainFinish`` is one colour with darker end grain.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Protocol

import numpy as np
from vtkmodules.util.numpy_support import numpy_to_vtk
from vtkmodules.vtkCommonDataModel import vtkPolyData
from vtkmodules.vtkRenderingCore import vtkActor, vtkCamera, vtkPolyDataMapper

from app.scene.body import Body, FloatArray
from app.scene.mesh import DisplayMesh
from app.scene.wood_colours import END_GRAIN_SHADE


@dataclass(frozen=True, slots=True, eq=False)
class Dressed:
    """What a finish works on: one body's actors, with the mesh they show.

    Attributes
    ----------
    mesh : DisplayMesh
        Its points and normals are the surface's, in the same order.
    surface, lines : vtkActor
    surface_mapper : vtkPolyDataMapper
    surface_data : vtkPolyData
    """

    mesh: DisplayMesh
    surface: vtkActor
    surface_mapper: vtkPolyDataMapper
    surface_data: vtkPolyData
    lines: vtkActor


class Finish(Protocol):
    """Anything that can give a body its look."""

    def shade(self, dressed: Dressed, body: Body) -> None:
        """Set the look of one body. Called again whenever its colour changes."""


class PlainFinish:
    """One oiled colour all over, end grain darker."""

    def shade(self, dressed: Dressed, body: Body) -> None:
        """Colour the surface by vertex, and tell the lines the body's colour."""
        for actor in (dressed.surface, dressed.lines):
            actor.GetShaderProperty().ClearAllShaderReplacements()  # of another finish that it wore before
        look = dressed.surface.GetProperty()
        look.SetInterpolationToPhong()
        look.SetColor(*body.colour)
        look.SetAmbient(0.36)
        look.SetDiffuse(0.80)
        look.SetSpecular(0.07)
        look.SetSpecularPower(22.0)
        colours = np.round(end_grain_shaded(body.colour, dressed.mesh.normals) * 255.0).astype(np.uint8)
        scalars = numpy_to_vtk(colours, deep=True)
        scalars.SetName("colour")
        dressed.surface_data.GetPointData().SetScalars(scalars)
        dressed.surface_mapper.SetColorModeToDirectScalars()
        dressed.surface_mapper.ScalarVisibilityOn()

        line = dressed.lines.GetProperty()
        line.SetAmbient(0.38)
        line.SetDiffuse(0.90)
        line.SetSpecular(0.10)
        line.SetSpecularPower(12.0)
        ease_lines(dressed.lines)


LINE_LIFT_MM = 0.6
"""Edge lines lie on the surface; they are drawn this much nearer to the eye. More, and hidden lines would show
through beside an outline."""

_LIFT = "lineLift"


def ease_lines(lines: vtkActor) -> None:
    """Light edge lines like rounded edges, and let ``lift_lines`` bring them forward.

    At an outline the eye sees that part of the rounding that faces it. Without this an edge whose mean normal
    looks away from the eye would be lit from behind and show black.
    """
    shader = lines.GetShaderProperty()
    shader.AddVertexShaderReplacement(
        "//VTK::Normal::Impl",
        True,
        "//VTK::Normal::Impl\n  normalVCVSOutput.z = max(normalVCVSOutput.z, 0.15);\n",
        False,
    )
    shader.AddVertexShaderReplacement(
        "//VTK::PositionVC::Impl",
        True,
        f"//VTK::PositionVC::Impl\n  gl_Position.zw += {_LIFT};\n",
        False,
    )
    shader.GetVertexCustomUniforms().SetUniform2f(_LIFT, [0.0, 0.0])


def lift_lines(lines: vtkActor, camera: vtkCamera) -> None:
    """Bring the lines forward for this camera, whose near and far planes must be set already.

    Moving a point towards the eye adds the same amount to its clip coordinates z and w wherever it is.
    """
    projection = camera.GetProjectionTransformMatrix(1.0, -1.0, 1.0)
    lift = [LINE_LIFT_MM * projection.GetElement(row, 2) for row in (2, 3)]
    lines.GetShaderProperty().GetVertexCustomUniforms().SetUniform2f(_LIFT, lift)


def end_grain_shaded(colour: tuple[float, float, float], normals: FloatArray) -> FloatArray:
    """Colour (n, 3) for each normal: the wood's own on side grain, darker where the surface cuts the grain.

    Parameters
    ----------
    colour : (3,) sRGB 0 to 1
    normals : (n, 3) unit, block coordinates; the grain runs along z
    """
    endness = np.clip((np.abs(normals[:, 2]) - 0.45) / 0.5, 0.0, 1.0)
    endness = endness * endness * (3.0 - 2.0 * endness)
    return np.array(colour) * (1.0 - (1.0 - END_GRAIN_SHADE) * endness)[:, None]
