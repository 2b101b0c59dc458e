"""The piece's part of the window: one piece, or two variants side by side, with one camera and one slider."""

from __future__ import annotations

import gc
from collections.abc import Callable
from typing import Final, Literal

from PySide6.QtCore import QSize, Qt, Signal
from PySide6.QtGui import QAction, QActionGroup, QGuiApplication, QKeySequence, QResizeEvent
from PySide6.QtWidgets import (
    QGridLayout,
    QHBoxLayout,
    QMenu,
    QPushButton,
    QSizePolicy,
    QToolButton,
    QVBoxLayout,
    QWidget,
)

from app.builder import Built
from app.piece_view.piece_view import PieceView
from app.piece_view.player import Player
from app.piece_view.still_picture import GoingRound, StillPicture, on_screen, still_picture
from app.piece_view.turning_slider import TurningSlider
from app.piece_view.viewpoint import Viewpoint
from app.scene.camera import ViewName
from app.scene.theme import ThemeName
from app.scene.wood.table import ShowThrough
from geometry.errors import CornerwiseError, NoSolidError
from geometry.project import Variant

Slot = Literal["A", "B"]
Mode = Literal["one", "side by side"]

SLOTS: Final[tuple[Slot, Slot]] = ("A", "B")

_VIEWS: Final[tuple[tuple[ViewName, str, str], ...]] = (
    ("front", "Front", "Ctrl+1"),
    ("right", "Right", "Ctrl+2"),
    ("back", "Back", "Ctrl+3"),
    ("left", "Left", "Ctrl+4"),
    ("top", "Top", "Ctrl+5"),
    ("three-quarter", "Three-quarter", "Ctrl+6"),
)

_MODES: Final[tuple[tuple[ShowThrough, str, str, str], ...]] = (
    ("wood", "Wood", "F3", "Show the piece in its wood."),
    ("quarters", "Quarters", "F4", "Show each quarter in a colour of its own, with its number."),
    ("pattern", "Pattern", "F5", "Show each wood in one flat colour, with the borders between the strips."),
)

_EDGE, _GAP = 10, 8  # px about and between the buttons


class PieceArea(QWidget):
    """One or two pieces, the turning slider, and what can be done with them.

    Signals
    -------
    level_changed : float or None
        The height on a piece that is pointed at, mm.
    turn_changed : float
    said : str
        A sentence for the status bar: a picture was copied, or why not.
    """

    said = Signal(str)
    level_changed = Signal(object)
    turn_changed = Signal(float)

    def __init__(
        self,
        theme: ThemeName = "light",
        length_words: Callable[[float], str] = lambda mm: f"{mm:.0f} mm",
        parent: QWidget | None = None,
    ) -> None:
        """Begin with one empty view, glued, three-quarter."""
        super().__init__(parent)
        self._mode: Mode = "one"
        self._only: Slot = "A"
        self._captions: dict[Slot, str] = {"A": "A", "B": "B"}
        self._closed = False
        self._numbers_came_along = False
        self.viewpoint = Viewpoint(self)
        self.views: dict[Slot, PieceView] = {
            slot: PieceView(self.viewpoint, theme, length_words, self) for slot in SLOTS
        }
        self.slider = TurningSlider(self)
        self.player = Player(self)
        self._theme: ThemeName = theme
        self._make_actions()
        self._lay_out()
        for view in self.views.values():
            view.level_pointed.connect(self._point)
        self.slider.turn_changed.connect(self._turned)
        self.slider.sliderPressed.connect(self.player.stop)
        self.player.moved.connect(self.slider.set_turn)
        self.player.playing_changed.connect(self._show_playing)
        self.views["B"].hide()

    # ---- what can be done

    def _make_actions(self) -> None:
        self.view_actions: dict[ViewName, QAction] = {}
        for name, words, keys in _VIEWS:
            action = self._action(f"{words} view", keys, f"See the piece from this side: {words.lower()}.")
            action.setText(words)
            action.setData(name)
            action.triggered.connect(self._stand)
            self.view_actions[name] = action
        self.fit_action = self._action("Fit", "Ctrl+9", "Bring the whole piece into view.")
        self.fit_action.triggered.connect(self.fit)
        self.parallel_action = self._action(
            "Parallel", "Ctrl+7", "Draw without perspective, so that sizes can be compared.", checkable=True
        )
        self.parallel_action.toggled.connect(self.viewpoint.set_parallel)
        self.numbers_action = self._action("Numbers", "Ctrl+8", "Write each quarter's number on it.", checkable=True)
        self.numbers_action.toggled.connect(self._set_numbers)
        self.seams_action = self._action(
            "Seam marks", "Ctrl+J", "Mark on the glued piece where its pattern meets at the seams, steps or stops.",
            checkable=True,
        )  # fmt: skip
        self.seams_action.toggled.connect(self._set_seam_marks)
        self.mode_actions: dict[ShowThrough, QAction] = {}
        self._modes = QActionGroup(self)
        for mode, words, keys, tip in _MODES:
            action = self._action(words, keys, tip, checkable=True)
            action.setData(mode)
            action.setChecked(mode == "wood")
            self._modes.addAction(action)
            self.mode_actions[mode] = action
        self._modes.triggered.connect(self._show_through)
        self.play_action = self._action("Play", "Ctrl+T", "Watch the quarters turn from sawn to glued.")
        self.play_action.triggered.connect(self._play_or_stop)
        self.copy_action = self._action("Copy picture", "Ctrl+Shift+C", "Put a picture of the piece on the clipboard.")
        self.copy_action.setEnabled(False)
        self.copy_action.triggered.connect(self._copy)

    def _action(self, words: str, keys: str, tip: str, checkable: bool = False) -> QAction:
        action = QAction(words, self)
        action.setShortcut(QKeySequence(keys))
        action.setShortcutContext(Qt.ShortcutContext.WindowShortcut)
        shown = action.shortcut().toString(QKeySequence.SequenceFormat.NativeText)
        action.setToolTip(f"{tip} ({shown})")
        action.setStatusTip(tip)
        action.setCheckable(checkable)
        self.addAction(action)
        return action

    def _lay_out(self) -> None:
        self.pictures = QHBoxLayout()
        self.pictures.setSpacing(1)
        for view in self.views.values():
            self.pictures.addWidget(view, 1)
        self.play_button = self._button(self.play_action)
        self.play_button.setMinimumWidth(
            max(self.fontMetrics().horizontalAdvance(words) for words in ("Play", "Stop")) + 24
        )
        self.numbers_button = self._button(self.numbers_action)
        self.view_button = QPushButton("View", self)
        self.view_button.setToolTip("Standard views, what the wood shows, fit, perspective")
        self.view_button.setAccessibleName("View")
        self.view_button.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        menu = QMenu(self.view_button)
        menu.addActions(list(self.view_actions.values()))
        menu.addSeparator()
        menu.addActions(list(self.mode_actions.values()))
        menu.addSeparator()
        menu.addActions([self.fit_action, self.parallel_action])
        menu.addSeparator()
        menu.addActions([self.numbers_action, self.seams_action, self.copy_action])
        self.view_button.setMenu(menu)
        self._row = QGridLayout()
        self._row.setContentsMargins(_EDGE, 6, _EDGE, 6)
        self._row.setHorizontalSpacing(_GAP)
        self._row.setVerticalSpacing(4)
        self._row.setColumnStretch(1, 1)
        self._narrow: bool | None = None
        # Where all do not fit in one row, the slider gets a row of its own.
        buttons = (self.play_button, self.numbers_button, self.view_button)
        beside = sum(button.sizeHint().width() for button in buttons) + 2 * _EDGE
        slider = self.slider.minimumSizeHint().width()
        self._one_row_from = beside + slider + 3 * _GAP
        self.setMinimumWidth(max(beside + 2 * _GAP, slider + 2 * _EDGE))
        self._arrange_row()
        whole = QVBoxLayout(self)
        whole.setContentsMargins(0, 0, 0, 0)
        whole.setSpacing(0)
        whole.addLayout(self.pictures, 1)
        whole.addLayout(self._row)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)

    def _arrange_row(self) -> None:
        narrow = self.width() < self._one_row_from
        if narrow == self._narrow:
            return
        self._narrow = narrow
        widgets: tuple[QWidget, ...] = (self.play_button, self.slider, self.numbers_button, self.view_button)
        for widget in widgets:
            self._row.removeWidget(widget)
        for column, widget in enumerate(widgets):
            if widget is self.slider:
                self._row.addWidget(widget, 0, 0 if narrow else 1, 1, 4 if narrow else 1)
            else:
                self._row.addWidget(widget, 1 if narrow else 0, column)

    def resizeEvent(self, event: QResizeEvent) -> None:  # noqa: D102
        self._arrange_row()
        super().resizeEvent(event)

    def _button(self, action: QAction) -> QToolButton:
        button = QToolButton(self)
        button.setDefaultAction(action)
        button.setToolButtonStyle(Qt.ToolButtonStyle.ToolButtonTextOnly)
        button.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        button.setAccessibleName(action.text())
        button.setAccessibleDescription(action.statusTip())
        return button

    def sizeHint(self) -> QSize:  # noqa: D102
        return QSize(720, 640)

    # ---- what is shown

    @property
    def mode(self) -> Mode:
        """One piece, or two side by side."""
        return self._mode

    def set_mode(self, mode: Mode, only: Slot = "A") -> None:
        """Show one piece (the one of slot ``only``), or both with their names."""
        self._mode, self._only = mode, only
        for slot, view in self.views.items():
            view.setVisible(mode == "side by side" or slot == only)
            view.set_caption(self._caption(slot))
        self.viewpoint.keep_fitted()

    def show_built(self, slot: Slot, built: Built, caption: str | None = None) -> None:
        """Show a piece in the place of the one before; the eye stays where it is."""
        if caption is not None:
            self._captions[slot] = caption
        self.views[slot].set_caption(self._caption(slot))
        self.views[slot].show_built(built)
        self.copy_action.setEnabled(self.views[slot].built is not None or self.copy_action.isEnabled())

    def show_wood(self, slot: Slot, variant: Variant) -> None:
        """Show the piece of a slot in the wood of a variant that differs from its own in nothing else, at once."""
        self.views[slot].show_wood(variant)

    def warm_up(self) -> None:
        """Get ready for the first piece while the area is not looked at yet."""
        self.views[self._only].warm_up()

    def clear(self, slot: Slot, caption: str) -> None:
        """Show no piece in a slot that another design takes over, until its own is there."""
        self._captions[slot] = caption
        self.views[slot].set_caption(self._caption(slot))
        self.views[slot].clear()
        self.copy_action.setEnabled(any(view.built is not None for view in self.views.values()))

    def set_impossible(self, slot: Slot, sentence: str | None) -> None:
        """Grey the last good piece and say why, or take that back with None."""
        self.views[slot].set_impossible(sentence)

    def set_building(self, building: bool, slot: Slot | None = None) -> None:
        """Say that newer pieces are on their way; words appear only when that takes long."""
        for each, view in self.views.items():
            if slot in (None, each):
                view.set_building(building)

    def set_level(self, z: float | None) -> None:
        """Show the level line at this height on every piece, or none."""
        for view in self.views.values():
            view.set_level(z)

    def set_theme(self, theme: ThemeName) -> None:
        """Day or night."""
        self._theme = theme
        for view in self.views.values():
            view.set_theme(theme)

    def fit(self) -> None:
        """Bring every piece wholly into view."""
        self.viewpoint.fit()

    def _stand(self) -> None:
        """Take the view of the action that was chosen."""
        action = self.sender()
        if isinstance(action, QAction):
            self.viewpoint.stand(action.data())

    def _caption(self, slot: Slot) -> str:
        return self._captions[slot] if self._mode == "side by side" else ""

    def _shown(self) -> list[tuple[Slot, PieceView]]:
        return [(slot, self.views[slot]) for slot in SLOTS if self._mode == "side by side" or slot == self._only]

    @property
    def show_through(self) -> ShowThrough:
        """What the surfaces show: wood, quarters or pattern."""
        mode: ShowThrough = self._modes.checkedAction().data()
        return mode

    def _show_through(self, action: QAction) -> None:
        mode = action.data()
        for view in self.views.values():
            view.set_mode(mode)
        # a colour says little without its number; the maker may take the numbers away again
        if mode == "quarters" and not self.numbers_action.isChecked():
            self.numbers_action.setChecked(True)
            self._numbers_came_along = True
        elif mode != "quarters" and self._numbers_came_along:
            self.numbers_action.setChecked(False)

    def _set_numbers(self, shown: bool) -> None:
        self._numbers_came_along = False
        for view in self.views.values():
            view.set_numbers(shown)

    def _set_seam_marks(self, shown: bool) -> None:
        for view in self.views.values():
            view.set_seam_marks(shown)

    def _point(self, z: float | None) -> None:
        self.set_level(z)
        self.level_changed.emit(z)

    # ---- turning

    @property
    def turn(self) -> float:
        """The stage of the turning, 0 sawn to 1 glued."""
        return self.slider.turn

    @turn.setter
    def turn(self, turn: float) -> None:
        self.player.stop()
        self.slider.set_turn(turn)

    def _turned(self, turn: float) -> None:
        for view in self.views.values():
            view.set_turn(turn)
        self.viewpoint.keep_fitted()
        self.turn_changed.emit(turn)

    def _play_or_stop(self) -> None:
        if self.player.is_playing:
            self.player.stop()
        else:
            self.player.play(self.turn)

    def _show_playing(self, playing: bool) -> None:
        self.play_action.setText("Stop" if playing else "Play")
        self.play_button.setAccessibleName(self.play_action.text())

    # ---- pictures

    def picture_size(self) -> tuple[int, int]:
        """The pictures' size on screen, in its own pixels: what is copied when no size is chosen."""
        ratio = self.devicePixelRatioF()
        shown = [view for _, view in self._shown()]
        return (
            round(sum(view.width() for view in shown) * ratio),
            round(max(view.height() for view in shown) * ratio),
        )

    def still(self, size: tuple[int, int]) -> StillPicture:
        """Return the picture to be made of what is shown.

        Parameters
        ----------
        size : (width, height) in pixels

        Raises
        ------
        NoSolidError
            There is no piece to show.
        """
        return still_picture(self._with_a_piece(), size, self._theme, self.numbers_action.isChecked())

    def going_round(self, name: str) -> GoingRound:
        """Return the turntable to be made of the variant of that name, or of the first one shown; raises as `still`."""
        stages = [view.stage for _, view in self._with_a_piece() if view.stage is not None]
        stage = next((one for one in stages if one.variant.name == name), stages[0])
        words = ("--turn", repr(stage.turn), "--theme", self._theme, "--show", stage.mode)
        return GoingRound(stage.variant, words)

    def copy_picture(self) -> None:
        """Put a picture of what is shown on the clipboard, as large as on screen; raises as `still` does."""
        views = self._with_a_piece()
        QGuiApplication.clipboard().setImage(on_screen(views, self._theme, self.numbers_action.isChecked()))

    def _copy(self) -> None:
        try:
            self.copy_picture()
        except CornerwiseError as reason:
            self.said.emit(str(reason))
        else:
            self.said.emit("The picture is on the clipboard.")

    def _with_a_piece(self) -> list[tuple[str, PieceView]]:
        views = [(self._caption(slot), view) for slot, view in self._shown() if view.built is not None]
        if not views:
            raise NoSolidError("There is no piece to make a picture of yet.")
        return views

    # ---- end

    def shutdown(self) -> None:
        """Stop everything and give back what the graphics system lent; call it when the window closes."""
        if self._closed:
            return
        self._closed = True
        self.player.stop()
        for view in self.views.values():
            view.shutdown()
        gc.collect()  # VTK's objects and ours point at each other; without this they stay for a long while
