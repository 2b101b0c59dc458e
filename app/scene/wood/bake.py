"""Bake wood into pictures with the graphics card: flat grids of block coordinates, drawn by the very same shader."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import vtkmodules.vtkRenderingOpenGL2  # noqa: F401  (its import registers the drawing classes)
from numpy.typing import NDArray
from vtkmodules.util.numpy_support import numpy_to_vtk, numpy_to_vtkIdTypeArray, vtk_to_numpy
from vtkmodules.vtkCommonCore import vtkPoints, vtkUnsignedCharArray
from vtkmodules.vtkCommonDataModel import vtkCellArray, vtkPolyData
from vtkmodules.vtkRenderingCore import vtkActor, vtkPolyDataMapper, vtkRenderer

from app.scene.window import offscreen_window
from app.scene.wood.finish import UNLIT, TableTexture, bind_wood
from app.scene.wood.table import WoodTable

FloatArray = NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False)
class Strip:
    """A rectangle of texels and the surface seen in it, ruled from its lower to its upper side.

    Attributes
    ----------
    x, y, width, height : texels, from the picture's lower left corner
    across : (m,) where the columns of ``points`` lie, 0 at the left side to 1 at the right
    points : (2, m, 3) block coordinates, mm, along the lower and the upper side
    """

    x: int
    y: int
    width: int
    height: int
    across: FloatArray
    points: FloatArray


def bake(table: WoodTable, strips: Sequence[Strip], width: int, height: int) -> NDArray[np.uint8]:
    """Return the picture (h, w, 3) uint8, first row lowermost; black where no strip lies.

    Raises
    ------
    OutputError
        This machine cannot draw.
    """
    window = offscreen_window(width, height, samples=0)
    renderer = vtkRenderer()
    renderer.SetBackground(0.0, 0.0, 0.0)
    renderer.AutomaticLightCreationOff()
    actor = vtkActor()
    mapper = vtkPolyDataMapper()
    mapper.SetInputData(_sheet(strips))
    mapper.SetVBOShiftScaleMethod(0)
    mapper.MapDataArrayToVertexAttribute("blockMC", "block", 0, -1)
    actor.SetMapper(mapper)
    look = actor.GetProperty()
    look.SetAmbient(1.0)
    look.SetDiffuse(0.0)
    look.SetSpecular(0.0)
    look.SetInterpolationToFlat()
    bind_wood(actor, TableTexture(table).texture, UNLIT, attribute="blockMC")
    renderer.AddActor(actor)
    camera = renderer.GetActiveCamera()
    camera.ParallelProjectionOn()
    camera.SetPosition(width / 2, height / 2, 10.0)
    camera.SetFocalPoint(width / 2, height / 2, 0.0)
    camera.SetViewUp(0.0, 1.0, 0.0)
    camera.SetParallelScale(height / 2)
    camera.SetClippingRange(1.0, 20.0)
    window.AddRenderer(renderer)
    try:
        window.Render()
        pixels = vtkUnsignedCharArray()
        window.GetPixelData(0, 0, width - 1, height - 1, 0, pixels, 0)
    finally:
        window.RemoveRenderer(renderer)
        window.Finalize()
    return vtk_to_numpy(pixels).reshape(height, width, 3).copy()


def _sheet(strips: Sequence[Strip]) -> vtkPolyData:
    """All strips as quads in the plane of the picture, with their block coordinates."""
    places, blocks, quads = [], [], []
    first = 0
    for strip in strips:
        m = len(strip.across)
        x = strip.x + strip.width * np.concatenate([strip.across, strip.across])
        y = np.repeat([float(strip.y), float(strip.y + strip.height)], m)
        places.append(np.stack([x, y, 0.0 * x], axis=1))
        blocks.append(strip.points.reshape(-1, 3))
        corner = first + np.arange(m - 1)
        quads.append(np.stack([corner, corner + 1, corner + 1 + m, corner + m], axis=1))
        first += 2 * m
    data = vtkPolyData()
    points = vtkPoints()
    points.SetData(numpy_to_vtk(np.concatenate(places).astype(np.float32), deep=True))
    data.SetPoints(points)
    corners = np.concatenate(quads).astype(np.int64)
    cells = vtkCellArray()
    cells.SetData(
        numpy_to_vtkIdTypeArray(np.arange(len(corners) + 1, dtype=np.int64) * 4, deep=True),
        numpy_to_vtkIdTypeArray(corners.ravel(), deep=True),
    )
    data.SetPolys(cells)
    block = numpy_to_vtk(np.concatenate(blocks).astype(np.float32), deep=True)
    block.SetName("block")
    data.GetPointData().AddArray(block)
    return data
