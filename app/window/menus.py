"""The menus and the short tool row: names and keys for what the panels and the document can do."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import TYPE_CHECKING

from PySide6.QtCore import Qt
from PySide6.QtGui import QAction, QActionGroup, QKeySequence
from PySide6.QtWidgets import QInputDialog, QLineEdit, QMenu, QToolBar, QToolButton, QWidget

from app.samples import samples
from app.window.about import show_about, show_keys
from app.window.application import LookChoice
from geometry.project import CutName

if TYPE_CHECKING:
    from app.window.main_window import MainWindow

TOOL_ROW = {"shape": "Shapes", "pen": "Pen", "mirror": "Mirror", "together": "Copy together", "apart": "Copy apart"}
"""Of the actions of the faces, those wanted often enough to stand in the tool row, and their short words there."""

Standard = QKeySequence.StandardKey


class Menus:
    """Everything in the menu bar and the tool row of a window."""

    def __init__(self, window: MainWindow) -> None:
        """Fill the menu bar and the tool row."""
        self._window = window
        bar = window.menuBar()
        self.file = bar.addMenu("&File")
        self.edit = bar.addMenu("&Edit")
        self.line = bar.addMenu("&Line")
        self.variants = bar.addMenu("&Variants")
        self.view = bar.addMenu("Vie&w")
        self.help = bar.addMenu("&Help")
        self._fill_file()
        self._fill_edit()
        self._fill_line()
        self._fill_variants()
        self._fill_view()
        self._fill_help()
        self._fill_tool_row()
        self.refresh()

    # ---------------------------------------------------------------- making

    def _action(
        self,
        menu: QMenu,
        text: str,
        run: Callable[[], object],
        key: Standard | str | None = None,
        tip: str = "",
    ) -> QAction:
        action = QAction(text, self._window)
        action.triggered.connect(lambda _=False: run())
        if key is not None:
            action.setShortcuts(QKeySequence.keyBindings(key) if isinstance(key, Standard) else [QKeySequence(key)])
        if tip:
            action.setToolTip(tip)
            action.setStatusTip(tip)
        menu.addAction(action)
        return action

    def _fill_file(self) -> None:
        files, menu = self._window.files, self.file
        self._action(menu, "&New", files.new, Standard.New)
        self._action(menu, "&Open…", files.open, Standard.Open)
        self.recent = menu.addMenu("Open &recent")
        self.recent.aboutToShow.connect(self._fill_recent)
        sample_menu = menu.addMenu("Open a sa&mple")
        for sample in samples():
            self._action(sample_menu, sample.title, partial(files.open_sample, sample))
        self.start_page = self._action(menu, "S&tart page", self._toggle_start_page)
        self.start_page.setCheckable(True)
        menu.addSeparator()
        self.save = self._action(menu, "&Save", files.save, Standard.Save)
        self._action(menu, "Save &as…", files.save_as, "Ctrl+Shift+S")
        self._action(menu, "Project na&me…", self._rename_project)
        menu.addSeparator()
        self.export = self._action(menu, "&Export…", self._window.export, "Ctrl+E", "Write a mesh for a 3D printer")
        self.picture = self._action(menu, "Save &picture…", self._window.save_picture)
        menu.addAction(self._window.piece.copy_action)
        menu.addSeparator()
        self._action(menu, "&Quit", self._window.close, Standard.Quit)

    def _toggle_start_page(self) -> None:
        if self._window.is_on_start_page:
            self._window.show_work()
        else:
            self._window.show_start_page()

    def _fill_recent(self) -> None:
        self.recent.clear()
        paths = self._window.files.remembered.recent_files
        for i, path in enumerate(paths, start=1):
            action = self._action(self.recent, f"&{i} {path.name}", partial(self._window.files.open_path, path))
            action.setToolTip(str(path))
        if paths:
            self.recent.addSeparator()
            self._action(self.recent, "Forget these", self._window.files.remembered.clear_recent)
        else:
            self.recent.addAction("None yet").setEnabled(False)

    def _fill_edit(self) -> None:
        document, stack = self._window.document, self._window.document.undo_stack
        self.undo = self._action(self.edit, "&Undo", document.undo, Standard.Undo)
        self.redo = self._action(self.edit, "&Redo", document.redo, Standard.Redo)
        stack.undoTextChanged.connect(lambda name: self._name_step(self.undo, "&Undo", name))
        stack.redoTextChanged.connect(lambda name: self._name_step(self.redo, "&Redo", name))
        stack.canUndoChanged.connect(self.undo.setEnabled)
        stack.canRedoChanged.connect(self.redo.setEnabled)
        self.undo.setEnabled(stack.canUndo())
        self.redo.setEnabled(stack.canRedo())

    @staticmethod
    def _name_step(action: QAction, verb: str, name: str) -> None:
        action.setText(f"{verb} {name[:1].lower()}{name[1:]}" if name else verb)
        action.setIconText(verb.replace("&", ""))

    def _fill_line(self) -> None:
        for group in self._window.faces.action_groups:
            self.line.addActions(group)
            self.line.addSeparator()

    def _fill_variants(self) -> None:
        menu = self.variants
        self.variant_group = QActionGroup(self._window)
        self.side_by_side = self._action(menu, "&Side by side", self._toggle_side_by_side, "F6")
        self.side_by_side.setCheckable(True)
        self.side_by_side.setIconText("Side by side")
        menu.addSeparator()
        self._action(menu, "&Duplicate", self._window.document.duplicate_variant, "Ctrl+D")
        self._action(menu, "&Rename…", self._rename_variant, "F2")
        self.delete_variant = self._action(menu, "De&lete", self._delete_variant)
        menu.addSeparator()
        self.copy_menu = menu.addMenu("&Copy from another variant")
        self.copy_menu.aboutToShow.connect(self._fill_copy)
        menu.addSeparator()
        self._variants_end: list[QAction] = []
        self._variants_shown: tuple[tuple[str, ...], str] | None = None

    def _toggle_side_by_side(self) -> None:
        self._window.show_side_by_side(not self._window.is_side_by_side)

    def _fill_copy(self) -> None:
        document, menu = self._window.document, self.copy_menu
        menu.clear()
        others = [v.name for v in document.project.variants if v.name != document.state.variant_name]
        faces: tuple[tuple[str, CutName], ...] = (("Front line", "front"), ("Side line", "side"))
        for other in others:
            for text, face in faces:
                self._action(menu, f"{text} from {other}", partial(document.copy_line_from, other, face))
            self._action(menu, f"Blank from {other}", partial(document.copy_blank_from, other))
        if not others:
            menu.addAction("There is no other variant").setEnabled(False)

    def _fill_view(self) -> None:
        window = self._window
        self.view.addSection("Piece")
        self.view.addActions(window.piece.actions())
        self.view.addSection("Panels")
        for text, widget, key in (
            ("&Faces", window.faces, "F7"),
            ("&Piece", window.piece, "F8"),
            ("&Bench and findings", window.side, "F9"),
        ):
            self._panel_switch(text, widget, key)
        self.view.addSection("Look")
        group = QActionGroup(window)
        chosen = window.remembered.choice("look", "system")
        looks: tuple[tuple[str, LookChoice], ...] = (("As the system", "system"), ("Light", "light"), ("Dark", "dark"))
        for text, choice in looks:
            action = self._action(self.view, text, partial(window.wear_look, choice))
            action.setCheckable(True)
            action.setChecked(choice == chosen)
            group.addAction(action)

    def _panel_switch(self, text: str, widget: QWidget, key: str) -> None:
        action = QAction(text, self._window)
        action.setCheckable(True)
        action.setChecked(True)
        action.setShortcut(QKeySequence(key))
        action.toggled.connect(widget.setVisible)
        self.view.addAction(action)

    def _fill_help(self) -> None:
        self._action(self.help, "&Keys", lambda: show_keys(self._window), Standard.HelpContents)
        self._action(self.help, "&About Cornerwise", lambda: show_about(self._window))

    def _fill_tool_row(self) -> None:
        row = QToolBar("Tools", self._window)
        row.setObjectName("tools")
        row.setMovable(False)
        row.setToolButtonStyle(Qt.ToolButtonStyle.ToolButtonTextOnly)
        self._window.addToolBar(row)
        self.undo.setIconText("Undo")
        self.redo.setIconText("Redo")
        row.addActions([self.undo, self.redo])
        row.addSeparator()
        known = self._window.faces.actions_by_key
        for key, short in TOOL_ROW.items():
            known[key].setIconText(short)
            row.addAction(known[key])
        row.addSeparator()
        self.variant_buttons = QToolButton()
        self.variant_buttons.setPopupMode(QToolButton.ToolButtonPopupMode.InstantPopup)
        self.variant_buttons.setMenu(self.variants)
        self.variant_buttons.setAccessibleName("Variants")
        row.addWidget(self.variant_buttons)
        row.addAction(self.side_by_side)
        row.addSeparator()
        row.addAction(self.export)
        self.tool_row = row

    # ---------------------------------------------------------------- following the document

    def refresh(self) -> None:
        """Show the variants there are and what can be done now."""
        window = self._window
        state = window.document.state
        self.side_by_side.setChecked(window.is_side_by_side)
        self.start_page.setChecked(window.is_on_start_page)
        shown = (tuple(v.name for v in state.project.variants), state.variant_name)
        if shown == self._variants_shown:
            return  # a drag tells of a change for every step of the mouse
        self._variants_shown = shown
        for action in self._variants_end:
            self.variants.removeAction(action)
            self.variant_group.removeAction(action)
            action.deleteLater()
        self._variants_end = []
        for i, variant in enumerate(state.project.variants, start=1):
            action = QAction(f"Variant {variant.name}", window)
            action.setCheckable(True)
            action.setChecked(variant.name == state.variant_name)
            if i < 10:
                action.setShortcut(QKeySequence(f"Alt+{i}"))
            action.triggered.connect(lambda _=False, n=variant.name: window.document.show_variant(n))
            self.variant_group.addAction(action)
            self.variants.addAction(action)
            self._variants_end.append(action)
        self.variant_buttons.setText(f"Variant {state.variant_name}")
        self.delete_variant.setEnabled(len(state.project.variants) > 1)

    # ---------------------------------------------------------------- small questions

    def _ask_name(self, title: str, label: str, old: str) -> str | None:
        new, ok = QInputDialog.getText(self._window, title, label, QLineEdit.EchoMode.Normal, old)
        return new if ok else None

    def _rename_variant(self) -> None:
        old = self._window.document.state.variant_name
        new = self._ask_name("Rename variant", "Name of the variant", old)
        if new is not None and not self._window.document.rename_variant(old, new):
            self._window.say("A variant needs a name that no other has.")

    def _delete_variant(self) -> None:
        self._window.document.delete_variant(self._window.document.state.variant_name)

    def _rename_project(self) -> None:
        new = self._ask_name("Project name", "Name of the project", self._window.document.project.name)
        if new is not None and new.strip():
            self._window.rename_project(new.strip())
