"""One body in the scene: its surface and its edge lines as VTK actors, in block coordinates."""

from __future__ import annotations

import numpy as np
from vtkmodules.util.numpy_support import numpy_to_vtk, numpy_to_vtkIdTypeArray
from vtkmodules.vtkCommonCore import vtkPoints
from vtkmodules.vtkCommonDataModel import vtkCellArray, vtkPolyData
from vtkmodules.vtkCommonMath import vtkMatrix4x4
from vtkmodules.vtkRenderingCore import vtkActor, vtkPolyDataMapper, vtkRenderer

from app.scene.body import Body, FloatArray, placed
from app.scene.edge_lines import ARRIS, HIDDEN, SEAM, SLOT, EdgeKinds
from app.scene.finish import Dressed, Finish
from app.scene.mesh import IntArray, display_mesh

_SHADES = np.zeros(4)
_SHADES[[ARRIS, SEAM, SLOT]] = 1.0, 0.62, 0.45
"""How light a line is against the wood beside it: a fine joint takes a little less light, a slot much less."""


class PlacedBody:
    """The actors of one ``Body``. Moving it changes one matrix; nothing is uploaded again.

    Attributes
    ----------
    body : Body
        As last set.
    dressed : Dressed
    """

    def __init__(self, body: Body, finish: Finish) -> None:
        """Make the actors and place them."""
        self.body = body
        self._matrix = vtkMatrix4x4()
        mesh = display_mesh(body.solid)
        data = vtkPolyData()
        data.SetPoints(_points(mesh.points))
        data.GetPointData().SetNormals(numpy_to_vtk(mesh.normals.astype(np.float32), deep=True))
        data.SetPolys(_cells(mesh.triangles))
        surface_mapper = _mapper(data)
        self._line_data = vtkPolyData()
        self._line_data.SetPoints(_points(mesh.arrises.reshape(-1, 3)))
        line_mapper = _mapper(self._line_data)
        line_mapper.SetColorModeToDirectScalars()
        line_mapper.ScalarVisibilityOn()
        self.dressed = Dressed(mesh, vtkActor(), surface_mapper, data, vtkActor())
        count = len(mesh.arrises)
        self._edges = EdgeKinds(np.full(count, ARRIS), np.zeros((count, 3)), np.full(count, -1))
        self._neighbours: FloatArray = np.zeros((0, 3))
        self.dressed.surface.SetMapper(surface_mapper)
        self.dressed.lines.SetMapper(line_mapper)
        self.dressed.lines.PickableOff()
        for actor in self._actors():
            actor.SetUserMatrix(self._matrix)
        self.move(body.matrix)
        finish.shade(self.dressed, body)
        self._draw_lines()

    def _actors(self) -> tuple[vtkActor, vtkActor]:
        return (self.dressed.surface, self.dressed.lines)

    def add_to(self, renderer: vtkRenderer) -> None:
        """Show it."""
        for actor in self._actors():
            renderer.AddActor(actor)

    def remove_from(self, renderer: vtkRenderer) -> None:
        """Take it away again."""
        for actor in self._actors():
            renderer.RemoveActor(actor)

    @property
    def matrix(self) -> FloatArray:
        """Where it stands now, (4, 4)."""
        return np.array([[self._matrix.GetElement(r, c) for c in range(4)] for r in range(4)])

    def move(self, matrix: FloatArray) -> None:
        """Place it anew."""
        self._matrix.DeepCopy([float(value) for value in np.asarray(matrix, dtype=np.float64).ravel()])

    def wear(self, body: Body, finish: Finish) -> None:
        """Take another colour (the body's solid must be the same)."""
        self.body = body
        finish.shade(self.dressed, body)
        self._draw_lines()

    def arrises(self) -> tuple[FloatArray, FloatArray]:
        """The outside edges where they stand now: ends (s, 2, 3) mm and their normals (s, 2, 3)."""
        matrix, mesh = self.matrix, self.dressed.mesh
        ends = placed(mesh.arrises.reshape(-1, 3), matrix).reshape(-1, 2, 3)
        return ends, mesh.arris_normals @ matrix[:3, :3].T

    def set_edges(self, edges: EdgeKinds, colours: FloatArray) -> None:
        """Say what the edges are, facing as in the scene, and the colours (bodies, 3) of all bodies."""
        self._edges = EdgeKinds(edges.kind, edges.facing @ self.matrix[:3, :3], edges.other)
        self._neighbours = colours
        self._draw_lines()

    def _draw_lines(self) -> None:
        edges, mesh = self._edges, self.dressed.mesh
        meeting = edges.other >= 0
        normals = mesh.arris_normals.copy()
        normals[meeting] = edges.facing[meeting][:, None]
        colours = np.tile(np.array(self.body.colour), (len(edges.kind), 1))
        if len(self._neighbours):
            colours[meeting] = (colours[meeting] + self._neighbours[edges.other[meeting]]) / 2.0
        colours *= _SHADES[edges.kind][:, None]
        pixels = np.repeat(np.round(np.clip(colours, 0.0, 1.0) * 255.0).astype(np.uint8), 2, axis=0)
        data = self._line_data.GetPointData()
        data.SetNormals(numpy_to_vtk(normals.reshape(-1, 3).astype(np.float32), deep=True))
        data.SetScalars(numpy_to_vtk(pixels, deep=True))
        drawn = np.arange(2 * len(edges.kind)).reshape(-1, 2)[edges.kind != HIDDEN]
        self._line_data.SetLines(_cells(drawn))
        self._line_data.Modified()


def _points(points: FloatArray) -> vtkPoints:
    held = vtkPoints()
    held.SetData(numpy_to_vtk(points.astype(np.float32), deep=True))
    return held


def _cells(corners: IntArray) -> vtkCellArray:
    cells = vtkCellArray()
    size = corners.shape[1]
    offsets = np.arange(len(corners) + 1, dtype=np.int64) * size
    cells.SetData(
        numpy_to_vtkIdTypeArray(offsets, deep=True),
        numpy_to_vtkIdTypeArray(corners.astype(np.int64).ravel(), deep=True),
    )
    return cells


def _mapper(data: vtkPolyData) -> vtkPolyDataMapper:
    mapper = vtkPolyDataMapper()
    mapper.SetInputData(data)
    mapper.SetVBOShiftScaleMethod(0)  # a shader must find block coordinates, not shifted ones
    return mapper
