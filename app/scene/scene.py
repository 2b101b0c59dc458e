"""The scene: bodies on a ground, lit, seen by a camera. It owns a ``vtkRenderer`` and nothing of a window."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import vtkmodules.vtkRenderingOpenGL2  # noqa: F401  (its import registers the drawing classes)
from vtkmodules.vtkRenderingCore import vtkCellPicker, vtkRenderer

from app.scene.body import Body, FloatArray, placed
from app.scene.camera import CameraPose, Margins, ViewName, standard_view
from app.scene.edge_lines import edge_kinds
from app.scene.finish import Finish, PlainFinish, lift_lines
from app.scene.ground import Ground
from app.scene.lights import KEY, set_lights
from app.scene.placed_body import PlacedBody
from app.scene.quiet import hush
from app.scene.shadow import AT_REST, MOVING, ground_shadow
from app.scene.theme import THEMES, ThemeName

ARRIS_MM = 0.5
"""Edges are shown as if eased by this much; nothing is cut."""


class Scene:
    """Bodies of wood, ready to be rendered.

    Add ``renderer`` to any render window. While something moves, call ``set_matrices`` and render; once it
    rests, call ``rest`` and render again. ``look`` places the camera, ``before_render`` goes before each render.

    Attributes
    ----------
    renderer : vtkRenderer
    """

    def __init__(self, theme: ThemeName = "light", finish: Finish | None = None) -> None:
        """Begin with nothing on the ground."""
        hush()
        self.renderer = vtkRenderer()
        self.renderer.SetBackgroundAlpha(1.0)  # a picture read back must not be see-through
        self._finish: Finish = finish or PlainFinish()
        self._bodies: list[PlacedBody] = []
        self._ground = Ground()
        self._ground_z = 0.0
        self.renderer.AddActor(self._ground.actor)
        self.set_theme(theme)

    # ---- what is shown

    def set_bodies(self, bodies: Sequence[Body]) -> None:
        """Show these bodies and no others; one without wood keeps its place in the order.

        Shadow and seams follow at the next ``rest``.
        """
        for old in self._bodies:
            old.remove_from(self.renderer)
        self._bodies = [PlacedBody(body, self._finish) for body in bodies]
        for new in self._bodies:
            new.add_to(self.renderer)

    def set_matrices(self, matrices: Sequence[FloatArray]) -> None:
        """Place each body anew, in the order given to ``set_bodies``; costs next to nothing."""
        for held, matrix in zip(self._bodies, matrices, strict=True):
            held.move(matrix)

    def set_finish(self, finish: Finish) -> None:
        """Give every body another kind of surface."""
        self._finish = finish
        for held in self._bodies:
            held.wear(held.body, finish)

    def set_theme(self, name: ThemeName) -> None:
        """Day or night."""
        self._theme = THEMES[name]
        self.renderer.GradientBackgroundOn()
        self.renderer.SetBackground(*self._theme.bottom)
        self.renderer.SetBackground2(*self._theme.top)
        set_lights(self.renderer, self._theme)
        self._ground.tint(self._theme)

    # ---- what follows once things rest

    def rest(self) -> None:
        """Bring shadow and seams up to date. Tens of milliseconds: not while something is being dragged."""
        self.update_shadow()
        self.update_seams()

    def update_shadow(self, moving: bool = False) -> None:
        """Throw the bodies' soft shadow on the ground, which lies at their lowest point.

        Parameters
        ----------
        moving : bool
            Coarser and several times faster, for use during an animation.
        """
        standing = self.points()
        if len(standing) == 0:
            self._ground.hide()
            return
        solids = [held.body.solid for held in self._bodies]
        first = np.cumsum([0, *(len(solid.vertices) for solid in solids[:-1])])
        triangles = [solid.triangles + at for solid, at in zip(solids, first, strict=True)]
        ground_z = float(standing[:, 2].min())
        shadow = ground_shadow(standing, np.concatenate(triangles), ground_z, KEY, MOVING if moving else AT_REST)
        self._ground.show(shadow, ground_z, self._theme)

    def update_seams(self) -> None:
        """Find where bodies meet edge to edge, and draw a fine joint there instead of an eased arris."""
        edges = [held.arrises() for held in self._bodies]
        found = edge_kinds([ends for ends, _ in edges], [normals for _, normals in edges])
        colours = np.array([held.body.colour for held in self._bodies])
        for held, kinds in zip(self._bodies, found, strict=True):
            held.set_edges(kinds, colours)

    # ---- how it is seen

    def points(self) -> FloatArray:
        """Every vertex where it stands now, (n, 3) mm."""
        if not self._bodies:
            return np.zeros((0, 3))
        return np.concatenate([placed(held.body.solid.vertices, held.matrix) for held in self._bodies])

    def bounds(self) -> FloatArray:
        """Lowest and highest x, y, z of the bodies, (2, 3) mm; zeros when there are none."""
        points = self.points()
        return np.stack([points.min(axis=0), points.max(axis=0)]) if len(points) else np.zeros((2, 3))

    def look(self, view: ViewName, aspect: float, margins: Margins | None = None, parallel: bool = False) -> None:
        """Take a standard view, as near as the margins allow.

        Parameters
        ----------
        aspect : float
            Width over height of the picture.
        """
        points = self.points()
        if len(points):
            self.stand(standard_view(view, points, aspect, margins, parallel))

    def stand(self, pose: CameraPose) -> None:
        """Put the camera there."""
        camera = self.renderer.GetActiveCamera()
        camera.SetPosition(*pose.position)
        camera.SetFocalPoint(*pose.target)
        camera.SetViewUp(*pose.up)
        camera.SetViewAngle(pose.view_angle_deg)
        camera.SetParallelProjection(pose.parallel)
        camera.SetParallelScale(pose.half_height)
        self.renderer.ResetCameraClippingRange()

    def before_render(self, height_px: int, pixel_ratio: float = 1.0) -> None:
        """Fit clipping and line widths to the camera; call it before each render.

        Parameters
        ----------
        height_px : int
            The picture's height in rendered pixels.
        pixel_ratio : float
            Rendered pixels per pixel that is seen: more than 1 where the picture is reduced afterwards or the
            screen is finer than usual.
        """
        camera = self.renderer.GetActiveCamera()
        if camera.GetParallelProjection():
            half = camera.GetParallelScale()
        else:
            half = camera.GetDistance() * np.tan(np.radians(camera.GetViewAngle()) / 2.0)
        seen = ARRIS_MM * height_px / (2.0 * half) if half > 0.0 else 1.0
        width = float(np.clip(seen, 0.75 * pixel_ratio, 2.0 * pixel_ratio))
        self.renderer.ResetCameraClippingRange()
        for held in self._bodies:
            held.dressed.lines.GetProperty().SetLineWidth(width)
            lift_lines(held.dressed.lines, camera)

    def pick(self, x: float, y: float) -> tuple[int, FloatArray] | None:
        """What lies under a pixel of the render window, counted from its lower left corner.

        Returns
        -------
        (int, (3,) float64) or None
            Which body, in order, and the point on it in block coordinates, mm.
        """
        picker = vtkCellPicker()
        picker.SetTolerance(0.0)
        picker.PickFromListOn()
        for held in self._bodies:
            picker.AddPickList(held.dressed.surface)
        if not picker.Pick(x, y, 0.0, self.renderer):
            return None
        hit = picker.GetActor()
        for index, held in enumerate(self._bodies):
            if held.dressed.surface is hit:
                where = np.array(picker.GetPickPosition())
                return index, placed(where, np.linalg.inv(held.matrix).astype(np.float64))
        return None
