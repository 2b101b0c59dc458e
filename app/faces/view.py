"""The faces area of the window: the sheet, its few switches, the end view, and which way the piece swings in words."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final, Literal

from PySide6.QtCore import QPoint, Qt, QTimer, Signal
from PySide6.QtGui import QAction, QFontMetrics, QKeySequence, QResizeEvent
from PySide6.QtWidgets import QButtonGroup, QHBoxLayout, QLabel, QMenu, QSizePolicy, QToolButton, QVBoxLayout, QWidget

from app.faces.commands import COMMANDS, Command
from app.faces.end_view import EndView
from app.faces.selection import View
from app.faces.sheet import Sheet, Tool
from app.faces.view_button import ViewButton
from app.faces.words import IMPOSSIBLE, flats_words, unbroken
from app.look import small_font
from geometry.copying import Sense
from geometry.findings import Finding
from geometry.project import CutName, DisplayUnits, Variant
from geometry.swings import copy_words, swing_words
from geometry.units import MM_PER_INCH, format_length

_REST_MS = 180
"""So long after the last change are the sentences found: they take longer than a picture may."""

_GRID_MM = 5.0
_GRID_IN_INCHES_MM = MM_PER_INCH / 4.0

_VIEW_TIPS: Final[dict[View, str]] = {
    "faces": "The two faces of the blank with the lines that are sawn first. (F)",
    "flats": "Both halves taped flat to flat, after the lines are sawn, to be trimmed: tapers, ankles, feet. (F)",
}

_TRIMS: Final = ("trim right", "trim left", "mirror trim", "copy trim", "delete trim")

_LONGEST_SWING = (
    "The piece swings toward its front right corner (between the two faces drawn on), 00.0 mm at 000.0 mm up; "
    "and toward its back left corner, 00.0 mm at 000.0 mm up."
)


class FacesView(QWidget):
    """The two line editors as the unfolded blank, and the end view.

    It holds no document: it shows the design it is given, and tells of the designs the maker makes of it.
    """

    gesture_started = Signal(str)
    """A drag or a nudge began; all changes until it is finished are one step of this name."""
    gesture_changed = Signal(object)
    """The design as the drag has it now."""
    gesture_finished = Signal()
    gesture_cancelled = Signal()
    """The drag was called off: the design is what it was before."""
    edited = Signal(str, object)
    """A step of this name made the design this one."""
    level_changed = Signal(object)
    """The height pointed at, or None."""
    selection_changed = Signal()
    finding_chosen = Signal(object)
    """A finding's mark was clicked."""
    shape_asked = Signal(str)
    """A starting shape is wanted for this face."""
    tool_changed = Signal(str)
    view_changed = Signal(str)
    """"faces", or "flats" together."""

    def __init__(self, parent: QWidget | None = None) -> None:
        """Make the area with a straight blank."""
        super().__init__(parent)
        self._commands: dict[str, tuple[QAction, Command]] = {}
        self._actions: dict[str, QAction] = {}
        self._groups: list[list[QAction]] = []
        self._sheet = Sheet(self)
        self._end = EndView(self)
        self._words = QLabel(self)
        self._rest = QTimer(self)
        self._make_words()
        self._make_actions()
        self._lay_out()
        self._connect()
        self._on_changed()

    # -------------------------------------------------------------- what is shown

    def show_variant(self, variant: Variant, units: DisplayUnits) -> None:
        """Show a design, lengths in a unit."""
        changed = units != self._sheet.units
        self._sheet.show_variant(variant, units)
        if changed and self._sheet.grid_mm is not None:
            self.set_snap(self._usual_grid())
        self._on_changed()

    def show_findings(self, findings: Sequence[Finding]) -> None:
        """Mark the findings that have a place."""
        self._sheet.show_findings(findings)

    def select_finding(self, finding: Finding | None) -> None:
        """Lead to the place of a finding."""
        self._sheet.choose_finding(finding)

    def set_level(self, z: float | None) -> None:
        """Show the level line at a height in millimetres, or none; nothing is emitted."""
        self._sheet.set_level(z)
        self._end.set_level(z)

    def set_impossible(self, impossible: bool) -> None:
        """Say that the lines cannot be sawn as drawn, or that they can."""
        self._sheet.is_impossible = impossible
        self._sheet.update()
        self._say()

    @property
    def variant(self) -> Variant:
        """The design that is shown."""
        return self._sheet.variant

    @property
    def level(self) -> float | None:
        """The height of the level line."""
        return self._sheet.level

    @property
    def sheet(self) -> Sheet:
        """The sheet that is drawn on, for the keyboard focus and for pictures."""
        return self._sheet

    # -------------------------------------------------------------- how it is shown

    def set_stretch(self, stretch: Literal["fill", "true"]) -> None:
        """Stretch the faces across to fill the space, or draw them in true proportion."""
        self._actions["true"].setChecked(stretch == "true")

    def set_lying(self, lying: bool) -> None:
        """Lay the faces down, with up to the right, or stand them up."""
        self._actions["lying"].setChecked(lying)

    def set_snap(self, grid_mm: float | None) -> None:
        """Catch dragged nodes at a grid of this spacing, or at no grid."""
        self._sheet.grid_mm = grid_mm
        action = self._actions["grid"]
        action.blockSignals(True)
        action.setChecked(grid_mm is not None)
        action.blockSignals(False)
        spacing = self._usual_grid() if grid_mm is None else grid_mm
        action.setText(f"Grid {format_length(spacing, self._sheet.units)}")
        self._sheet.update()

    def set_view(self, view: View) -> None:
        """Show the faces with their lines, or both directions flats together with their trims."""
        self._sheet.set_view(view)

    @property
    def view(self) -> View:
        """What is on the sheet."""
        return self._sheet.view

    def set_tool(self, tool: Tool) -> None:
        """Work on nodes, or draw a new line with the pen."""
        self._sheet.set_tool(tool)

    @property
    def stretch(self) -> Literal["fill", "true"]:
        """How the faces are drawn across."""
        return "fill" if self._sheet.fills else "true"

    @property
    def is_lying(self) -> bool:
        """True when up runs to the right."""
        return self._sheet.lying

    @property
    def snap_mm(self) -> float | None:
        """Spacing of the grid, or None."""
        return self._sheet.grid_mm

    # -------------------------------------------------------------- selection and actions

    def selected(self) -> tuple[CutName, tuple[int, ...]]:
        """Return the face that is worked on and the numbers of its selected nodes."""
        return self._sheet.selection.cut, self._sheet.selection.nodes

    @property
    def selected_trim(self) -> int | None:
        """The number, from 0, of the trim the selected nodes belong to; None for the line."""
        return self._sheet.selection.trim

    @property
    def actions_by_key(self) -> dict[str, QAction]:
        """Every action by a name for programs."""
        return dict(self._actions)

    @property
    def action_groups(self) -> list[list[QAction]]:
        """Every action, in groups as they belong in a menu."""
        return [list(group) for group in self._groups]

    def menu(self, parent: QWidget | None = None) -> QMenu:
        """Return a menu of all actions."""
        menu = QMenu("Lines", parent or self)
        menu.setToolTipsVisible(True)
        for group in self._groups:
            menu.addActions(group)
            menu.addSeparator()
        return menu

    # -------------------------------------------------------------- making

    def _make_words(self) -> None:
        self._words.setWordWrap(True)
        self._words.setAlignment(Qt.AlignmentFlag.AlignTop | Qt.AlignmentFlag.AlignHCenter)
        self._words.setContentsMargins(8, 2, 8, 4)
        self._words.setFont(small_font(self.font()))
        self._words.setAccessibleName("Which way the piece swings")
        self._words.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Fixed)
        self._rest.setSingleShot(True)
        self._rest.setInterval(_REST_MS)
        self._rest.timeout.connect(self._say)

    def _make_actions(self) -> None:
        for group in COMMANDS:
            made = [self._made(c.key, c.text, c.shortcut, c.tip) for c in group]
            self._groups.append(made)
            for action, command in zip(made, group, strict=True):
                self._commands[command.key] = (action, command)
                action.triggered.connect(self._on_command)
        tip = "A straight line, an arc, a serpentine or another."
        shape = self._made("shape", "Start from a shape…", "H", tip)
        shape.triggered.connect(self._ask_shape)
        tip = "Click place by place from foot to top; Enter ends the line, Escape calls it off."
        pen = self._made("pen", "Draw with the pen", "D", tip, True)
        pen.toggled.connect(self._on_pen)
        self._groups.insert(0, [shape, pen])
        true = self._made("true", "True proportion", "T", "Draw the faces as wide as they are, without stretch.", True)
        true.toggled.connect(self._on_true)
        tip = "Trims: tapers sawn with the halves taped flat to flat."
        flats = self._made("flats", "Flats together", "F", tip, True)
        flats.toggled.connect(self._on_flats)
        lying = self._made("lying", "Lying", "L", "Lay the faces down, with up to the right.", True)
        lying.toggled.connect(self._on_lying)
        grid = self._made("grid", "Grid", "G", "Catch dragged nodes at a grid. Hold Alt or Ctrl to drag freely.", True)
        grid.toggled.connect(self._on_grid)
        larger = self._made("larger", "Zoom in along the length", "Ctrl++", "Ctrl and the wheel do the same.")
        larger.setShortcuts([QKeySequence("Ctrl++"), QKeySequence("Ctrl+=")])
        larger.triggered.connect(self._zoom_in)
        smaller = self._made("smaller", "Zoom out", "Ctrl+-", "See more of the length.")
        smaller.triggered.connect(self._zoom_out)
        whole = self._made("whole", "Show the whole length", "Ctrl+0", "From foot to top.")
        whole.triggered.connect(self._sheet.show_all)
        self._groups.append([flats, true, lying, grid])
        self._groups.append([larger, smaller, whole])

    def _made(self, key: str, text: str, shortcut: str, tip: str, checkable: bool = False) -> QAction:
        action = QAction(text, self)
        action.setShortcut(QKeySequence(shortcut))
        action.setShortcutContext(Qt.ShortcutContext.WidgetWithChildrenShortcut)
        action.setToolTip(f"{tip} ({QKeySequence(shortcut).toString(QKeySequence.SequenceFormat.NativeText)})")
        action.setStatusTip(tip)
        action.setCheckable(checkable)
        self.addAction(action)
        self._actions[key] = action
        return action

    def _lay_out(self) -> None:
        views = QHBoxLayout()
        views.setContentsMargins(4, 3, 4, 0)
        views.setSpacing(0)
        self._view_buttons: dict[View, ViewButton] = {
            "faces": ViewButton("Faces"),
            "flats": ViewButton("Flats together"),
        }
        group = QButtonGroup(self)
        for view, tab in self._view_buttons.items():
            group.addButton(tab)
            views.addWidget(tab, 1)
            tab.setToolTip(_VIEW_TIPS[view])
        self._view_buttons["faces"].setChecked(True)
        group.buttonClicked.connect(self._on_view_button)
        row = QHBoxLayout()
        row.setContentsMargins(4, 3, 4, 3)
        row.setSpacing(4)
        for key in ("true", "lying", "grid"):
            button = QToolButton(self)
            button.setDefaultAction(self._actions[key])
            button.setAutoRaise(True)
            button.setFocusPolicy(Qt.FocusPolicy.TabFocus)
            row.addWidget(button)
        row.insertStretch(1, 1)
        self._trims_button = QToolButton(self)
        self._trims_button.setText("Trims")
        self._trims_button.setToolTip("Add a trim, mirror it, copy it, take it out")
        self._trims_button.setPopupMode(QToolButton.ToolButtonPopupMode.InstantPopup)
        self._trims_button.setAutoRaise(True)
        self._trims_button.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        trims = QMenu(self._trims_button)
        trims.setToolTipsVisible(True)
        trims.addActions([self._actions[key] for key in _TRIMS])
        self._trims_button.setMenu(trims)
        self._trims_button.hide()
        row.insertWidget(2, self._trims_button)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(0)
        column.addLayout(views)
        column.addLayout(row)
        column.addWidget(self._sheet, 1)
        column.addWidget(self._end)
        column.addWidget(self._words)
        self.setFocusProxy(self._sheet)

    def _connect(self) -> None:
        sheet = self._sheet
        for name in ("gesture_started", "gesture_finished", "gesture_cancelled", "finding_chosen"):
            getattr(sheet, name).connect(getattr(self, name))
        sheet.gesture_changed.connect(self._on_gesture_changed)
        sheet.gesture_cancelled.connect(self._on_changed)
        sheet.edited.connect(self._on_edited)
        sheet.level_changed.connect(self._on_level)
        sheet.selection_changed.connect(self._on_selection)
        sheet.tool_changed.connect(self._on_tool)
        sheet.view_changed.connect(self._on_view)
        sheet.arranged.connect(self._name_stretch)
        sheet.menu_asked.connect(self._show_menu)

    # -------------------------------------------------------------- answering

    def _on_gesture_changed(self, variant: Variant) -> None:
        self._on_changed()
        self.gesture_changed.emit(variant)

    def _on_edited(self, name: str, variant: Variant) -> None:
        self._on_changed()
        self.edited.emit(name, variant)

    def _on_level(self, z: float | None) -> None:
        self._end.set_level(z)
        self.level_changed.emit(z)

    def _on_selection(self) -> None:
        self._enable()
        self.selection_changed.emit()

    def _on_changed(self) -> None:
        """Bring everything beside the sheet to the design it shows."""
        self._end.show_variant(self._sheet.variant, self._sheet.units)
        self._enable()
        self._name_stretch()
        self._rest.start()

    def _enable(self) -> None:
        sheet = self._sheet
        for key, (action, command) in self._commands.items():
            here = sheet.view in command.views
            # flats together nodes are those of a trim, which has to be chosen first
            on_trim = sheet.view == "faces" or len(command.views) == 1 or sheet.selection.trim is not None
            action.setVisible(here)
            action.setEnabled(here and (on_trim or key == "other") and command.can(sheet.variant, sheet.selection))
        self._actions["shape"].setEnabled(sheet.view == "faces")
        self._actions["shape"].setVisible(sheet.view == "faces")
        self._actions["pen"].setEnabled(sheet.view == "faces" or not sheet.variant.blank.is_tapered)

    def _on_command(self) -> None:
        for action, command in self._commands.values():
            if action is self.sender():
                variant, selection = command.run(self._sheet.variant, self._sheet.selection)
                self._sheet.edit(command.step, variant, selection)
                return

    def _on_view_button(self) -> None:
        self._sheet.set_view("flats" if self._view_buttons["flats"].isChecked() else "faces")
        self._sheet.setFocus()

    def _on_flats(self, checked: bool) -> None:
        self._sheet.set_view("flats" if checked else "faces")

    def _on_view(self, view: View) -> None:
        self._actions["flats"].setChecked(view == "flats")
        self._view_buttons[view].setChecked(True)
        self._trims_button.setVisible(view == "flats")
        self._actions["pen"].setText("Draw with the pen" if view == "faces" else "Draw a trim with the pen")
        self._words.setAccessibleName(
            "Which way the piece swings" if view == "faces" else "What is done with the offcuts"
        )
        self._on_changed()
        self._say()
        self.view_changed.emit(view)

    def _on_true(self, checked: bool) -> None:
        self._sheet.lay(fills=not checked)

    def _on_lying(self, checked: bool) -> None:
        self._sheet.lay(lying=checked)

    def _on_grid(self, checked: bool) -> None:
        self.set_snap(self._usual_grid() if checked else None)

    def _usual_grid(self) -> float:
        return _GRID_IN_INCHES_MM if self._sheet.units == "in" else _GRID_MM

    def _on_pen(self, checked: bool) -> None:
        self._sheet.set_tool("pen" if checked else "select")

    def _on_tool(self, tool: str) -> None:
        self._actions["pen"].setChecked(tool == "pen")
        self.tool_changed.emit(tool)

    def _ask_shape(self) -> None:
        self.shape_asked.emit(self._sheet.selection.cut)

    def _zoom_in(self) -> None:
        self._sheet.zoom_by(1.25)

    def _zoom_out(self) -> None:
        self._sheet.zoom_by(0.8)

    def _show_menu(self, at: QPoint) -> None:
        menu = self.menu()
        menu.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        menu.popup(at)

    # -------------------------------------------------------------- words

    def _name_stretch(self) -> None:
        """Say on the button by what factor the faces are drawn across."""
        factor = self._sheet.arrangement.factor
        self._actions["true"].setText(f"Across × {factor:g}" if factor != 1.0 else "True proportion")
        spacing = self._usual_grid() if self._sheet.grid_mm is None else self._sheet.grid_mm
        self._actions["grid"].setText(f"Grid {format_length(spacing, self._sheet.units)}")

    def _say(self) -> None:
        """Find the sentences anew; called a moment after the last change."""
        sheet = self._sheet
        variant, units = sheet.variant, sheet.units
        if sheet.view == "flats":
            self._words.setText(flats_words(variant, sheet.flats))
        else:
            self._words.setText(IMPOSSIBLE if sheet.is_impossible else unbroken(swing_words(variant, units)))
        senses: tuple[Sense, ...] = ("together", "apart")
        for sense in senses:
            action = self._actions[sense]
            action.setToolTip(
                f"{copy_words(variant, sheet.selection.cut, sense, units)} ({action.shortcut().toString()})"
            )

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Keep as much room for the words as the longest need, so that the sheet never moves under the hand."""
        super().resizeEvent(event)
        metrics = QFontMetrics(self._words.font())
        box = metrics.boundingRect(0, 0, max(self.width() - 18, 80), 1000, Qt.TextFlag.TextWordWrap, _LONGEST_SWING)
        self._words.setFixedHeight(box.height() + 8)
        figure = 100 if self.height() >= 560 else 80
        self._end.setFixedHeight(figure + 2 * metrics.height() + 4)
        self._name_stretch()
