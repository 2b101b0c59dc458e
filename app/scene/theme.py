"""Day and night: the tones of the backdrop, the shadow and the lights."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from app.scene.body import Colour

ThemeName = Literal["light", "dark"]


@dataclass(frozen=True, slots=True)
class Theme:
    """Tones of one look of the scene; colours are sRGB 0 to 1.

    Attributes
    ----------
    top, bottom : Colour
        The backdrop, from the upper to the lower edge.
    shadow : Colour
        What the shadow tends to; never black.
    shadow_strength : float
        0 to 1, multiplies the shadow's darkness.
    key, fill, rim, camera : float
        Strength of the four lights.
    """

    top: Colour
    bottom: Colour
    shadow: Colour
    shadow_strength: float
    key: float
    fill: float
    rim: float
    camera: float


THEMES: dict[ThemeName, Theme] = {
    "light": Theme(
        top=(0.955, 0.943, 0.922),
        bottom=(0.868, 0.846, 0.812),
        shadow=(0.21, 0.165, 0.13),
        shadow_strength=0.82,
        key=0.71,
        fill=0.33,
        rim=0.24,
        camera=0.16,
    ),
    "dark": Theme(
        top=(0.150, 0.138, 0.128),
        bottom=(0.215, 0.198, 0.183),
        shadow=(0.040, 0.034, 0.030),
        shadow_strength=0.95,
        key=0.69,
        fill=0.28,
        rim=0.34,
        camera=0.14,
    ),
}
