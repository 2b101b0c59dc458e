"""Help in two small windows: the keys, and what this program is."""

from __future__ import annotations

from importlib.metadata import PackageNotFoundError, version

from PySide6.QtWidgets import QMessageBox, QWidget

KEYS = """
<table cellpadding=4>
<tr><td><b>Click the line</b></td><td>add a node; beyond its end, make it longer</td></tr>
<tr><td><b>Drag a node</b></td><td>move it; Alt lets go of the grid; Esc puts it back</td></tr>
<tr><td><b>Arrow keys</b></td><td>move the selected node by a step, with Shift by a tenth of it</td></tr>
<tr><td><b>Tab</b></td><td>the next node; at the end the other face</td></tr>
<tr><td><b>Double click</b></td><td>smooth or corner</td></tr>
<tr><td><b>Delete</b></td><td>take the selected nodes out</td></tr>
<tr><td><b>T</b></td><td>true proportion, or stretched across to fill the space</td></tr>
<tr><td><b>Drag the piece</b></td><td>look from another side; wheel: nearer; right button: shift</td></tr>
<tr><td><b>F3, F4, F5</b></td><td>the piece in its wood, its quarters by colour, the pattern alone</td></tr>
<tr><td><b>F6</b></td><td>two variants side by side</td></tr>
<tr><td><b>Alt+1, Alt+2</b></td><td>variant A, variant B</td></tr>
</table>
"""

CAUTION = (
    "A bandsaw can maim: learn it from someone qualified and follow the rules that hold where you work. "
    "What this program says of blades, thickness and strength is indicative; try it in scrap first."
)


def show_keys(parent: QWidget) -> None:
    """Show what the mouse and the keys do."""
    _show(parent, "Keys", KEYS)


def show_about(parent: QWidget) -> None:
    """Show what the program is, its licence and its caution."""
    try:
        number = version("cornerwise")
    except PackageNotFoundError:
        number = ""
    libraries = "Qt for Python (LGPL), VTK, manifold3d, NumPy, SciPy, Shapely, msgspec, trimesh"
    _show(
        parent,
        "About Cornerwise",
        f"<h3>Cornerwise {number}</h3><p>Two lines sawn through two adjacent faces of a blank: see the piece that "
        f"comes of it.</p><p>{CAUTION}</p><p>MIT licence. Built with {libraries}.</p>",
    )


def _show(parent: QWidget, title: str, text: str) -> None:
    box = QMessageBox(parent)
    box.setWindowTitle(title)
    box.setText(text)
    box.exec()
