"""A render window that no one sees, or one sentence on why this machine cannot draw.

Nothing here imports VTK until a window is asked for, so that its absence can be told in that sentence.
"""

from __future__ import annotations

import os
import sys
from typing import Any

from geometry.errors import OutputError

CANNOT_DRAW = (
    "The picture cannot be drawn because this system has no OpenGL to draw with;"
    " on Debian and its relatives, install the packages libgl1 and libegl1, then try again."
)

LARGEST_SIDE_PX = 16_384
LARGEST_AREA_PX = 36_000_000
"""Some two gigabytes of samples at four a pixel."""


def choose_window_kind() -> None:
    """Without a display, let VTK draw straight through EGL; must come before its first render window."""
    if sys.platform.startswith("linux") and not os.environ.get("DISPLAY"):
        os.environ.setdefault("VTK_DEFAULT_OPENGL_WINDOW", "vtkEGLRenderWindow")


def offscreen_window(width: int, height: int, samples: int = 4) -> Any:
    """A ``vtkRenderWindow`` of that many pixels that draws into memory.

    Raises
    ------
    OutputError
        This machine cannot draw, or nothing that large.
    """
    if max(width, height) > LARGEST_SIDE_PX or width * height > LARGEST_AREA_PX:
        raise OutputError(f"A picture of {width} by {height} pixels is too large to draw; ask for a smaller one.")
    choose_window_kind()
    try:
        import vtkmodules.vtkRenderingOpenGL2  # noqa: F401  (registers the drawing classes)
        from vtkmodules.vtkRenderingCore import vtkRenderWindow

        from app.scene.quiet import hush
    except ImportError as reason:
        raise OutputError(CANNOT_DRAW) from reason
    hush()
    window = vtkRenderWindow()
    # VTK's last resort when neither a display nor EGL answers; where that is missing too, rendering would crash.
    if window.IsA("vtkOSOpenGLRenderWindow"):
        raise OutputError(CANNOT_DRAW)
    window.SetOffScreenRendering(True)
    window.SetMultiSamples(samples)
    window.SetSize(width, height)
    return window
