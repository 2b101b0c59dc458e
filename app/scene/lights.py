"""The lights: a warm key from the front left, a softer fill, a rim from behind, a little from the camera."""

from __future__ import annotations

import numpy as np
from vtkmodules.vtkRenderingCore import vtkLight, vtkRenderer

from app.scene.body import Colour, FloatArray
from app.scene.theme import Theme

KEY: FloatArray = np.array([-0.50, -0.72, 0.78])
"""Towards the key light, in the scene; the ground shadow is thrown from it."""

_FILL = (0.95, -0.45, 0.38)
_RIM = (0.30, 0.85, 0.55)


def _light(towards: tuple[float, float, float], colour: Colour, strength: float) -> vtkLight:
    light = vtkLight()
    light.SetLightTypeToSceneLight()
    light.PositionalOff()
    light.SetFocalPoint(0.0, 0.0, 0.0)
    light.SetPosition(*towards)
    light.SetColor(*colour)
    light.SetIntensity(strength)
    return light


def set_lights(renderer: vtkRenderer, theme: Theme) -> None:
    """Replace the renderer's lights by the theme's."""
    renderer.RemoveAllLights()
    renderer.AutomaticLightCreationOff()
    renderer.AddLight(_light((float(KEY[0]), float(KEY[1]), float(KEY[2])), (1.0, 0.982, 0.955), theme.key))
    renderer.AddLight(_light(_FILL, (1.0, 0.99, 0.975), theme.fill))
    renderer.AddLight(_light(_RIM, (1.0, 0.985, 0.96), theme.rim))
    camera = _light((0.0, 0.0, 1.0), (1.0, 1.0, 1.0), theme.camera)
    camera.SetLightTypeToHeadlight()
    renderer.AddLight(camera)
