"""A finished picture without a window: off screen, at twice or three times the size, reduced in linear light.

Nothing here imports VTK until a picture is asked for: a machine that cannot draw gets one sentence.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from app.scene.body import Body
from app.scene.camera import CameraPose, Margins, ViewName
from app.scene.png import write_png
from app.scene.theme import ThemeName
from app.scene.window import CANNOT_DRAW, LARGEST_AREA_PX, LARGEST_SIDE_PX, choose_window_kind, offscreen_window
from geometry.errors import NoSolidError, OutputError

if TYPE_CHECKING:
    from app.scene.finish import Finish
    from app.scene.scene import Scene

FINE_AREA_PX = 16_000_000
"""More rendered pixels than this get no samples of their own: edges are smooth enough once they are reduced."""

_MARGINS = Margins(top=0.085, bottom=0.105, sides=0.15)


def picture_of(
    bodies: Sequence[Body],
    size: tuple[int, int] = (1200, 1600),
    theme: ThemeName = "light",
    view: ViewName = "three-quarter",
    parallel: bool = False,
    supersampling: int = 2,
    finish: Callable[[], Finish] | None = None,
    camera: CameraPose | None = None,
) -> bytes:
    """A PNG picture of the bodies where they stand, filling the frame's height or width.

    Parameters
    ----------
    bodies : sequence of Body
    size : (width, height) in pixels
    theme, view, parallel
        As for the window.
    supersampling : int
        Rendered pixels along each side of a finished pixel.
    finish : callable or None
        Makes the surfaces' look, once it is certain that VTK can be loaded; plain colours when left out.
    camera : CameraPose or None
        Where the eye stands; ``view``, fitted to the frame, when left out.

    Raises
    ------
    NoSolidError
        No body has any wood.
    OutputError
        This machine cannot draw.
    """
    if all(body.solid.is_empty for body in bodies):
        raise NoSolidError("There is no wood left to show.")
    scene = new_scene(theme)
    if finish is not None:
        scene.set_finish(finish())
    scene.set_bodies(bodies)
    scene.rest()
    if camera is None:
        scene.look(view, size[0] / size[1], _MARGINS, parallel)
    else:
        scene.stand(camera)
    return write_png(render_still(scene, size, supersampling))


def new_scene(theme: ThemeName = "light") -> Scene:
    """An empty scene, once it is certain that VTK can be loaded.

    Raises
    ------
    OutputError
        VTK's drawing classes cannot be loaded here.
    """
    choose_window_kind()
    try:
        from app.scene.scene import Scene
    except ImportError as reason:
        raise OutputError(CANNOT_DRAW) from reason
    return Scene(theme)


def render_still(scene: Scene, size: tuple[int, int], supersampling: int = 2) -> NDArray[np.uint8]:
    """Render a scene that belongs to no window yet.

    Parameters
    ----------
    scene : Scene
        Camera, shadow and seams as wanted.
    size : (width, height) in pixels
    supersampling : int, at least 1
        Less is used where the rendered picture would grow too large.

    Returns
    -------
    (h, w, 3) uint8
        sRGB, first row uppermost.

    Raises
    ------
    OutputError
        This machine cannot draw, or not that large.
    """
    (picture,) = render_series(scene, size, [_as_it_is], supersampling)
    return picture


def _as_it_is() -> None:
    pass


def render_series(
    scene: Scene, size: tuple[int, int], steps: Iterable[Callable[[], None]], supersampling: int = 2
) -> Iterator[NDArray[np.uint8]]:
    """Render a scene once after each step, as ``render_still`` does, in one window for all."""
    while supersampling > 1 and (
        max(size) * supersampling > LARGEST_SIDE_PX or size[0] * size[1] * supersampling**2 > LARGEST_AREA_PX
    ):
        supersampling -= 1
    width, height = size[0] * supersampling, size[1] * supersampling
    is_fine = supersampling > 1 and width * height > FINE_AREA_PX
    window = offscreen_window(width, height, samples=0 if is_fine else 4)
    try:
        window.AddRenderer(scene.renderer)
        for step in steps:
            step()
            scene.before_render(height, float(supersampling))
            window.Render()
            yield reduced(_read_back(window, width, height), supersampling)
    finally:
        window.RemoveRenderer(scene.renderer)
        window.Finalize()


def _read_back(window: Any, width: int, height: int) -> NDArray[np.uint8]:
    from vtkmodules.util.numpy_support import vtk_to_numpy
    from vtkmodules.vtkCommonCore import vtkUnsignedCharArray

    pixels = vtkUnsignedCharArray()
    window.GetPixelData(0, 0, width - 1, height - 1, 1, pixels, 0)
    return vtk_to_numpy(pixels).reshape(height, width, 3)[::-1]


def reduced(picture: NDArray[np.uint8], factor: int) -> NDArray[np.uint8]:
    """Average blocks of ``factor`` by ``factor`` sRGB pixels as light adds up, (h, w, 3) uint8.

    Notes
    -----
    The sRGB transfer function of IEC 61966-2-1.
    """
    if factor == 1:
        return np.ascontiguousarray(picture)
    height, width = picture.shape[0] // factor, picture.shape[1] // factor
    code = np.arange(256) / 255.0
    light = np.where(code <= 0.04045, code / 12.92, ((code + 0.055) / 1.055) ** 2.4).astype(np.float32)
    small = np.empty((height, width, 3), dtype=np.uint8)
    strip = 64  # rows at a time keeps the floating copy small
    for top in range(0, height, strip):
        rows = min(strip, height - top)
        block = light[picture[top * factor : (top + rows) * factor, : width * factor]]
        mean = block.reshape(rows, factor, width, factor, 3).mean(axis=(1, 3))
        back = np.where(mean <= 0.0031308, mean * 12.92, 1.055 * mean ** (1 / 2.4) - 0.055)
        small[top : top + rows] = np.round(np.clip(back, 0.0, 1.0) * 255.0)
    return small
