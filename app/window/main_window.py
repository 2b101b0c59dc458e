"""The main window: faces, piece and bench side by side, wired to the document.

Data runs one way round: a panel says what the maker did, the document takes it, says ``changed``, and every panel
shows the new state. The piece is worked out in another process and arrives when it is done.
"""

from __future__ import annotations

from pathlib import Path

import msgspec
from PySide6.QtCore import Qt, QTimer
from PySide6.QtGui import QCloseEvent, QDragEnterEvent, QDropEvent, QKeyEvent
from PySide6.QtWidgets import QApplication, QMainWindow, QSplitter, QStackedWidget, QVBoxLayout, QWidget

from app.bench import BenchPanel
from app.compare_table import CompareTable
from app.document import Document, State
from app.export_dialog import ExportDialog
from app.faces import FacesView, NodeNumbers
from app.faces.shape_dialog import ShapeDialog
from app.findings_list import FindingsList
from app.numbers_row import NumbersRow
from app.picture_dialog import PictureDialog
from app.piece_view.piece_area import PieceArea
from app.remembered import Remembered
from app.samples import Sample
from app.start_page import StartPage
from app.window.application import LookChoice, wear
from app.window.files import WindowFiles
from app.window.menus import Menus
from app.window.pieces import Pieces
from geometry.findings import Finding
from geometry.project import CutName, Variant
from geometry.units import format_length


class MainWindow(QMainWindow):
    """The window on one document."""

    def __init__(self, remembered: Remembered | None = None, cache: Path | None = None) -> None:
        """Make the window; `open_at_start` gives it something to show.

        Parameters
        ----------
        remembered : settings; the user's own when left out
        cache : folder for the pictures of samples; the user's own when left out
        """
        super().__init__()
        self.remembered = remembered or Remembered.on_this_computer()
        self.setObjectName("main")
        self.setAcceptDrops(True)
        self.setMinimumSize(760, 520)

        self.document = Document(parent=self)
        self._serial = self.document.serial
        self._is_shut = False

        self.faces = FacesView()
        self.piece = PieceArea(length_words=self._length_words)
        self.bench = BenchPanel()
        self.findings = FindingsList()
        self.numbers = NumbersRow()
        self.compare = CompareTable()
        self.node_numbers = NodeNumbers()
        self.start_page = StartPage(cache=cache)
        self._lay_out()

        self.pieces = Pieces(self)
        self.files = WindowFiles(self, self.document, self.remembered)
        self.menus = Menus(self)
        self._wire()
        self._restore_layout()
        self._show(self.document.state)

    # ---------------------------------------------------------------- layout

    def _lay_out(self) -> None:
        self.side = QSplitter(Qt.Orientation.Vertical)
        self.side.addWidget(self.bench)
        self.side.addWidget(self.findings)
        self.side.setStretchFactor(0, 3)
        self.side.setStretchFactor(1, 2)
        self.side.setChildrenCollapsible(False)
        self.side.setMinimumWidth(270)

        self.columns = QSplitter(Qt.Orientation.Horizontal)
        for widget, stretch in ((self.faces, 4), (self.piece, 5), (self.side, 0)):
            self.columns.addWidget(widget)
            self.columns.setStretchFactor(self.columns.count() - 1, stretch)
        self.columns.setSizes([430, 520, 320])
        self.faces.setMinimumWidth(240)
        self.piece.setMinimumWidth(260)

        foot = QWidget()
        foot_layout = QVBoxLayout(foot)
        foot_layout.setContentsMargins(8, 2, 8, 2)
        foot_layout.addWidget(self.numbers)
        foot_layout.addWidget(self.compare)
        self.compare.hide()
        self.statusBar().addPermanentWidget(self.node_numbers)
        self.statusBar().setSizeGripEnabled(False)
        self.statusBar().setContentsMargins(8, 0, 10, 2)

        centre = QWidget()
        layout = QVBoxLayout(centre)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.setSpacing(0)
        layout.addWidget(self.columns, 1)
        layout.addWidget(foot)
        self.pages = QStackedWidget()
        self.pages.addWidget(centre)
        self.pages.addWidget(self.start_page)
        self.setCentralWidget(self.pages)

    def _restore_layout(self) -> None:
        window = self.remembered.layout("window")
        if window is None or not self.restoreGeometry(window):
            screen = self.screen().availableGeometry()
            self.resize(min(1320, screen.width() - 20), min(820, screen.height() - 60))
        for part, splitter in (("columns", self.columns), ("side", self.side)):
            state = self.remembered.layout(part)
            if state is not None:
                splitter.restoreState(state)
        folded = self.remembered.choice("folded", "Taper|If something is off|Limits|Horns")
        self.bench.fold_sections(tuple(folded.split("|")))

    def _save_layout(self) -> None:
        self.remembered.keep_layout("window", self.saveGeometry())
        self.remembered.keep_layout("columns", self.columns.saveState())
        self.remembered.keep_layout("side", self.side.saveState())
        self.remembered.keep_choice("folded", "|".join(self.bench.folded_sections()) or "none")

    # ---------------------------------------------------------------- wiring

    def _wire(self) -> None:
        document, faces = self.document, self.faces
        document.changed.connect(self._changed)
        faces.gesture_started.connect(document.begin)
        faces.gesture_changed.connect(document.update_variant)
        faces.gesture_finished.connect(document.commit)
        faces.gesture_cancelled.connect(document.cancel)
        faces.edited.connect(document.edit)
        faces.level_changed.connect(self.piece.set_level)
        faces.selection_changed.connect(self._selection_changed)
        faces.finding_chosen.connect(self._go_to)
        faces.shape_asked.connect(self.start_from_shape)
        self.piece.level_changed.connect(faces.set_level)
        self.piece.said.connect(self.say)
        self.bench.edited.connect(document.edit)
        self.bench.units_changed.connect(self._set_units)
        self.node_numbers.edited.connect(document.edit)
        self.node_numbers.trouble_changed.connect(lambda trouble: self.say(trouble, 0))
        self.findings.finding_chosen.connect(self._go_to)
        self.start_page.open_sample.connect(lambda path: self.files.open_sample(Sample(Path(path))))
        self.start_page.new_blank.connect(lambda: self.files.new())
        self.start_page.open_file.connect(lambda: self.files.open())
        application = QApplication.instance()
        if isinstance(application, QApplication):
            application.styleHints().colorSchemeChanged.connect(self._wear_look)

    def say(self, sentence: str, milliseconds: int = 8000) -> None:
        """Say something that needs no answer, below the panels."""
        self.statusBar().showMessage(sentence, milliseconds)

    def _changed(self, before: State, after: State) -> None:
        if self.document.serial != self._serial:
            self._serial = self.document.serial
            self.pieces.begin_anew()
            self._show(after)
        elif before != after:
            self._show(after)
        self.files.show_title()
        self.menus.refresh()

    def _length_words(self, mm: float) -> str:
        return format_length(mm, self.document.project.display_units)

    # ---------------------------------------------------------------- showing

    @property
    def is_side_by_side(self) -> bool:
        """True while two variants are shown."""
        return self.piece.mode == "side by side"

    def shown_variants(self) -> tuple[Variant, ...]:
        """Return the variants on screen: the one in hand, or it and its partner in the project's order."""
        state = self.document.state
        if not self.is_side_by_side:
            return (state.variant,)
        variants = state.project.variants
        at = [v.name for v in variants].index(state.variant_name)
        first = max(0, min(at, len(variants) - 2))
        return variants[first : first + 2]

    def _show(self, state: State) -> None:
        units = state.project.display_units
        self.faces.show_variant(state.variant, units)
        self.bench.show_variant(state.variant, units)
        self._selection_changed()
        shown = self.shown_variants()
        if self.is_side_by_side and len(shown) < 2:
            self.show_side_by_side(False)
            return
        names = [v.name for v in state.project.variants]
        self.pieces.show(shown, names, units, coarse=self.document.in_gesture)

    def _go_to(self, finding: Finding) -> None:
        self.faces.select_finding(finding)
        if finding.at is not None:
            self.piece.set_level(finding.at[1])

    def _selection_changed(self) -> None:
        state = self.document.state
        cut, indices = self.faces.selected()
        trim = self.faces.selected_trim
        self.node_numbers.show_node(state.variant, state.project.display_units, cut, indices, trim)
        self.bench.choose_trim(cut, trim)

    # ---------------------------------------------------------------- what menus ask for

    def rename_project(self, name: str) -> None:
        """Give the project another name, as one step."""
        self.document.apply("Rename project", msgspec.structs.replace(self.document.project, name=name))

    def _set_units(self, units: str) -> None:
        project = self.document.project
        self.document.apply("Change unit", msgspec.structs.replace(project, display_units=units))

    def show_side_by_side(self, on: bool) -> None:
        """Show two variants under one camera and one slider, or the one in hand."""
        if on and len(self.document.project.variants) < 2:
            self.document.duplicate_variant()
        self.compare.setVisible(on)
        self.numbers.setVisible(not on)
        self.piece.set_mode("side by side" if on else "one")
        self._show(self.document.state)
        self.pieces.show_numbers()
        self.menus.refresh()

    def wear_look(self, choice: LookChoice) -> None:
        """Put on the light or the dark look, or the system's, and remember it."""
        self.remembered.keep_choice("look", choice)
        self._wear_look()

    def _wear_look(self, *_: object) -> None:
        application = QApplication.instance()
        if isinstance(application, QApplication):
            choice = self.remembered.choice("look", "system")
            look = wear(application, choice if choice in ("light", "dark") else "system")  # type: ignore[arg-type]
            self.piece.set_theme("dark" if look.is_dark else "light")

    @property
    def is_on_start_page(self) -> bool:
        """True while the page with the samples is shown."""
        return self.pages.currentWidget() is self.start_page

    def show_start_page(self) -> None:
        """Show where to begin; the document behind it stays as it is, and Escape leads back to it."""
        self.document.commit()
        self.start_page.show_units(self.document.project.display_units)
        self.pages.setCurrentWidget(self.start_page)
        self.piece.warm_up()
        self._show_tools(False)

    def show_work(self) -> None:
        """Show the faces, the piece and the bench."""
        self.pages.setCurrentIndex(0)
        self._show_tools(True)
        self.faces.sheet.setFocus()

    def _show_tools(self, shown: bool) -> None:
        self.menus.tool_row.setVisible(shown)
        self.node_numbers.setVisible(shown)
        self.menus.refresh()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Leave the start page with Escape."""
        if event.key() == Qt.Key.Key_Escape and self.is_on_start_page:
            self.show_work()
        else:
            super().keyPressEvent(event)

    def start_from_shape(self, face: CutName | None = None) -> None:
        """Ask which shape a face's line starts from."""
        document, state = self.document, self.document.state
        dialog = ShapeDialog(state.variant, state.project.display_units, face or self.faces.selected()[0], self)
        # the whole choice is one gesture: the piece shows each shape looked at, and only the one taken is a step
        document.begin("Start from a shape")
        dialog.previewed.connect(document.update_variant)
        dialog.edited.connect(lambda _name, variant: document.update_variant(variant))
        if dialog.exec():
            document.commit()
        else:
            document.cancel()
        dialog.deleteLater()

    def export(self) -> None:
        """Ask what to export of the variant in hand, and where."""
        state = self.document.state
        report = self.pieces.report_on(state.variant)
        units, folder = state.project.display_units, self.remembered.folder
        dialog = ExportDialog(state.variant, units, folder, self._file_name(), report, self)
        dialog.exec()
        dialog.deleteLater()

    def save_picture(self) -> None:
        """Ask for size and place, and write what is shown as a picture."""
        name, folder = self.document.state.variant_name, self.remembered.folder
        dialog = PictureDialog(self.piece, name, folder, self._file_name(), self)
        dialog.exec()
        dialog.deleteLater()

    def _file_name(self) -> str:
        return f"{self.files.name} {self.document.state.variant_name}"

    # ---------------------------------------------------------------- files, and the end

    def open_at_start(self, file: Path | None) -> None:
        """Open a file, or the first sample, with the start page before it at the very first start."""
        self._wear_look()
        self.files.open_at_start(file)
        if file is None and self.remembered.choice("welcomed", "") == "":
            self.show_start_page()
        self.remembered.keep_choice("welcomed", "yes")

    def dragEnterEvent(self, event: QDragEnterEvent) -> None:
        """Take a file that is dragged over the window."""
        if event.mimeData().hasUrls() and event.mimeData().urls()[0].isLocalFile():
            event.acceptProposedAction()

    def dropEvent(self, event: QDropEvent) -> None:
        """Open the file that is dropped, once the drop itself is over: a question may have to be asked."""
        path = Path(event.mimeData().urls()[0].toLocalFile())
        event.acceptProposedAction()
        QTimer.singleShot(0, self, lambda: self.files.open_path(path))

    def closeEvent(self, event: QCloseEvent) -> None:
        """Ask before work is lost, then remember the layout and end what runs beside."""
        if not self.files.may_lose_work():
            event.ignore()
            return
        self._save_layout()
        self.shutdown()
        event.accept()

    def shutdown(self) -> None:
        """End the worker and the viewport; safe to call twice."""
        if not self._is_shut:
            self._is_shut = True
            self.pieces.builder.close()
            self.piece.shutdown()
            self.start_page.shutdown()
            for timer in self.findChildren(QTimer):
                timer.stop()
