"""Keep what VTK has to say to itself: collected here, never spilled on the error stream."""

from __future__ import annotations

from vtkmodules.vtkCommonCore import vtkLogger, vtkOutputWindow, vtkStringOutputWindow

_collected: vtkStringOutputWindow | None = None


def hush() -> None:
    """Send VTK's warnings to a string from now on. Calling it again changes nothing."""
    global _collected
    if _collected is None:
        vtkLogger.SetStderrVerbosity(vtkLogger.VERBOSITY_OFF)
        _collected = vtkStringOutputWindow()
        vtkOutputWindow.SetInstance(_collected)


def messages() -> str:
    """Everything VTK has complained of so far; empty when all is well."""
    return "" if _collected is None else str(_collected.GetOutput())
