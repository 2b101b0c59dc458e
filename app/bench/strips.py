"""Strips side by side: a picture of them to choose one in, one row each with wood and width, and what can be done."""

from __future__ import annotations

from collections.abc import Callable
from typing import Final

from PySide6.QtCore import QEvent, QObject, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QMouseEvent, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import (
    QCheckBox,
    QGridLayout,
    QHBoxLayout,
    QLabel,
    QPushButton,
    QSizePolicy,
    QVBoxLayout,
    QWidget,
)

from app.bench.numbers import CountField
from app.bench.rows import Sentence
from app.bench.wood_choice import WoodChoice
from app.bench.words import size
from app.length_field import SIZES, LengthField, Span
from app.look import look_of, wood_colour
from geometry.layup import Stripes
from geometry.layup_editing import (
    THINNEST_STRIP_MM,
    centred,
    mirrored,
    total_mm,
    with_count,
    with_equal_widths,
    with_half_outer_strips,
    with_strip_moved,
    with_strip_removed,
    with_strip_species,
    with_strip_split,
    with_strip_width,
    with_widths_that_meet,
)
from geometry.project import DisplayUnits
from geometry.species import SpeciesName

_MOST: Final = 60
_WIDTH_PX: Final = 88


class StripsPicture(QWidget):
    """The strips as they lie, one of them chosen."""

    chosen = Signal(int)

    def __init__(self, parent: QWidget | None = None) -> None:
        """Make an empty picture."""
        super().__init__(parent)
        self._strips: tuple[tuple[float, SpeciesName], ...] = ()
        self._at = 0
        self.setFixedHeight(34)
        self.setAccessibleName("The strips as they lie")

    def show_strips(self, strips: tuple[tuple[float, SpeciesName], ...], at: int) -> None:
        """Show strips, one of them chosen."""
        self._strips, self._at = strips, at
        self.update()

    def _boxes(self) -> list[QRectF]:
        total = sum(w for w, _ in self._strips) or 1.0
        room, left, out = self.width() - 2.0, 1.0, []
        for width, _ in self._strips:
            wide = room * width / total
            out.append(QRectF(left, 1.0, wide, self.height() - 8.0))
            left += wide
        return out

    def paintEvent(self, event: QPaintEvent) -> None:
        """Paint the strips in their woods and a mark below the chosen one."""
        look = look_of(self.palette())
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        for i, (box, (_, name)) in enumerate(zip(self._boxes(), self._strips, strict=True)):
            painter.fillRect(box, wood_colour(name))
            painter.setPen(QPen(look.rule, 0.8))
            painter.drawRect(box)
            if i == self._at:
                painter.fillRect(QRectF(box.left(), box.bottom() + 3.0, max(box.width(), 3.0), 3.0), look.accent)
        painter.end()

    def mousePressEvent(self, event: QMouseEvent) -> None:
        """Choose the strip under the mouse."""
        for i, box in enumerate(self._boxes()):
            if box.left() <= event.position().x() <= box.right():
                self.chosen.emit(i)
                return


class _StripRow(QWidget):
    """One strip: its number, wood and width."""

    taken = Signal(int)
    species_chosen = Signal(int, str)
    width_set = Signal(int, float)

    def __init__(self, number: int, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._number = number
        self.is_chosen = False
        self.wood = WoodChoice(f"Wood of strip {number + 1}", in_short=True)
        self.width_field = LengthField(f"width of strip {number + 1}", Span(least=THINNEST_STRIP_MM), SIZES)
        self.width_field.setFixedWidth(_WIDTH_PX)
        self.trouble = Sentence(is_trouble=True)
        label = QLabel(str(number + 1))
        label.setFixedWidth(label.fontMetrics().horizontalAdvance("00") + 2)
        label.setAlignment(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter)
        line = QHBoxLayout()
        line.setSpacing(6)
        line.addWidget(label)
        line.addWidget(self.wood, 1)
        line.addWidget(self.width_field)
        column = QVBoxLayout(self)
        column.setContentsMargins(6, 0, 0, 0)
        column.setSpacing(2)
        column.addLayout(line)
        column.addWidget(self.trouble)
        self.width_field.trouble_changed.connect(self.trouble.say)
        self.width_field.committed.connect(self._on_width)
        self.wood.activated.connect(self._on_wood)
        for child in (self.wood, self.width_field):
            child.installEventFilter(self)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Take this strip in hand when one of its fields gets the keyboard."""
        if event.type() == QEvent.Type.FocusIn:
            self.taken.emit(self._number)
        return super().eventFilter(watched, event)

    def paintEvent(self, event: QPaintEvent) -> None:
        """Mark the strip that is in hand."""
        if self.is_chosen:
            painter = QPainter(self)
            painter.fillRect(QRectF(0.0, 1.0, 3.0, self.height() - 2.0), look_of(self.palette()).accent)
            painter.end()

    def _on_width(self, mm: float) -> None:
        self.width_set.emit(self._number, mm)

    def _on_wood(self) -> None:
        self.species_chosen.emit(self._number, self.wood.currentData())


class StripsEditor(QWidget):
    """All that can be done to strips that lie side by side."""

    changed = Signal(str, object)
    """Name of the step and the new `geometry.layup.Stripes`."""

    def __init__(self, parent: QWidget | None = None) -> None:
        """Make an empty editor."""
        super().__init__(parent)
        self._stripes: Stripes | None = None
        self._units: DisplayUnits = "mm"
        self._kerf = 0.9
        self.at = 0
        self.rows: list[_StripRow] = []
        self.order = Sentence()
        self.picture = StripsPicture()
        self.picture.chosen.connect(self._on_picture)
        self.alike = QCheckBox("Keep both sides alike")
        self.alike.setToolTip("What is done to a strip is done to the one as far from the other edge, too.")
        self._list = QVBoxLayout()
        self._list.setSpacing(3)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(6)
        for widget in (self.order, self.picture):
            column.addWidget(widget)
        column.addLayout(self._list)
        column.addWidget(self.alike)
        column.addLayout(self._make_buttons())

    def _make_buttons(self) -> QGridLayout:
        grid = QGridLayout()
        grid.setSpacing(4)
        self.count = CountField("How many strips", 1, _MOST)
        self.count.committed.connect(self._on_count)
        label = QLabel("How many, equal")
        label.setBuddy(self.count)
        self.buttons: dict[str, QPushButton] = {}
        steps: tuple[tuple[str, str, str], ...] = (
            ("add", "Saw in two", "The strip in hand becomes two of half its width."),
            ("remove", "Take out", "The others grow to fill the blank."),
            ("back", "Move left", "Change places with the strip before."),
            ("on", "Move right", "Change places with the strip after."),
            ("equal", "Equal widths", "All strips as wide as one another, in their order."),
            ("turn", "Turn about", "The last strip comes first."),
        )
        for key, words, tip in steps:
            self.buttons[key] = self._button(words, tip)
        wide: tuple[tuple[str, str, str], ...] = (
            ("half", "Outer strips half as wide",
             "The outer strips end up beside the seam, two together: so they look as wide as the others."),
            ("meet", "Widths that meet at the seams",
             "Outer strips half as wide, and the middle one wider by the kerf that is sawn out of it."),
            ("centre", "Centre the pattern", "Both sides alike about the centre, so that the pattern meets."),
        )  # fmt: skip
        for key, words, tip in wide:
            self.buttons[key] = self._button(words, tip)
        for i, key in enumerate(("add", "remove", "back", "on", "equal", "turn")):
            grid.addWidget(self.buttons[key], i // 2, i % 2)
        grid.addWidget(label, 3, 0)
        grid.addWidget(self.count, 3, 1, Qt.AlignmentFlag.AlignRight)
        for i, key in enumerate(("half", "meet", "centre")):
            grid.addWidget(self.buttons[key], 4 + i, 0, 1, 2)
        self._steps: dict[str, tuple[str, Callable[[Stripes], Stripes]]] = {
            "add": ("Saw a strip in two", lambda s: with_strip_split(s, self.at, None, _other(s, self.at))),
            "remove": ("Take out a strip", lambda s: with_strip_removed(s, self.at)),
            "back": ("Move a strip", lambda s: with_strip_moved(s, self.at, self.at - 1) if self.at else s),
            "on": ("Move a strip", lambda s: with_strip_moved(s, self.at, self.at + 1)),
            "equal": ("Make strips equal", with_equal_widths),
            "turn": ("Turn strips about", mirrored),
            "half": ("Halve outer strips", with_half_outer_strips),
            "meet": ("Widths that meet", lambda s: with_widths_that_meet(s, self._kerf)),
            "centre": ("Centre the pattern", _centred),
        }
        for key, button in self.buttons.items():
            button.clicked.connect(lambda _=False, k=key: self._run(k))
        return grid

    def _button(self, words: str, tip: str) -> QPushButton:
        button = QPushButton(words)
        button.setToolTip(tip)
        button.setAccessibleDescription(tip)
        button.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        return button

    def sizeHint(self) -> QSize:
        """Return the width the panel likes."""
        return QSize(236, super().sizeHint().height())

    # -------------------------------------------------------------- showing

    def show_stripes(self, stripes: Stripes, units: DisplayUnits, kerf_mm: float) -> None:
        """Show strips; ``kerf_mm`` is what the saw takes of the middle one."""
        before = self._stripes
        self._stripes, self._units, self._kerf = stripes, units, kerf_mm
        strips = stripes.strips
        if before is None or before.along != stripes.along:
            self.alike.setChecked(_centred(stripes) == stripes)
        self.order.say(
            "From left to right, seen from the front." if stripes.along == "x" else "From the front to the back."
        )
        self.buttons["back"].setText("Move left" if stripes.along == "x" else "Move forward")
        self.buttons["on"].setText("Move right" if stripes.along == "x" else "Move back")
        self.at = min(self.at, len(strips) - 1)
        while len(self.rows) < len(strips):
            self._add_row()
        while len(self.rows) > len(strips):
            gone = self.rows.pop()
            self._list.removeWidget(gone)
            gone.hide()
            gone.deleteLater()
        for row, (width, name) in zip(self.rows, strips, strict=True):
            row.wood.show_species(name)
            row.width_field.show_value(width, units)
        self.count.show_value(len(strips))
        self._show_at()

    def forget_typing(self) -> None:
        """Drop text that could not be read."""
        for row in self.rows:
            row.width_field.restore()

    def _add_row(self) -> None:
        row = _StripRow(len(self.rows))
        row.taken.connect(self._take)
        row.species_chosen.connect(self._on_species)
        row.width_set.connect(self._on_width)
        self._list.addWidget(row)
        self.rows.append(row)

    def _show_at(self) -> None:
        if self._stripes is None:
            return
        for i, row in enumerate(self.rows):
            row.is_chosen = i == self.at
            row.update()
        self.picture.show_strips(self._stripes.strips, self.at)
        for key, (_, change) in self._steps.items():
            self.buttons[key].setEnabled(change(self._stripes) != self._stripes)

    def _take(self, i: int) -> None:
        self.at = i
        self._show_at()

    def _on_picture(self, i: int) -> None:
        self._take(i)
        self.rows[i].width_field.setFocus()
        self.rows[i].width_field.selectAll()

    # -------------------------------------------------------------- changing

    def _tell(self, step: str, stripes: Stripes) -> None:
        if stripes != self._stripes:
            self.changed.emit(step, stripes)

    def _run(self, key: str) -> None:
        if self._stripes is None:
            return
        step, change = self._steps[key]
        changed = change(self._stripes)
        if key in ("back", "on"):
            self.at += 1 if key == "on" else -1
        self._tell(step, changed)

    def _on_count(self, count: int) -> None:
        if self._stripes is not None:
            self._tell("Set count of strips", with_count(self._stripes, count))

    def _on_species(self, i: int, species: SpeciesName) -> None:
        if self._stripes is None:
            return
        changed = with_strip_species(self._stripes, i, species)
        if self.alike.isChecked():
            changed = with_strip_species(changed, len(changed.strips) - 1 - i, species)
        self._tell("Choose wood of a strip", changed)

    def _on_width(self, i: int, mm: float) -> None:
        stripes = self._stripes
        if stripes is None:
            return
        changed = with_strip_width(stripes, i, mm, keep_alike=self.alike.isChecked())
        if changed == stripes and mm != stripes.strips[i][0]:
            total = size(total_mm(stripes), self._units)
            across = "width" if stripes.along == "x" else "depth"
            self.rows[i].width_field.refuse(
                f"The strips fill the blank's {across} of {total}; this leaves too little for the others."
                if len(stripes.strips) > 1
                else f"A single strip is as wide as the blank, {total}. Saw it in two first."
            )
            return
        self._tell("Set width of a strip", changed)


def _other(stripes: Stripes, i: int) -> SpeciesName:
    """Return a species beside that of a strip, so that a new strip is seen."""
    here = stripes.strips[min(i, len(stripes.strips) - 1)][1]
    used = [name for _, name in stripes.strips if name != here]
    return used[0] if used else "maple" if here != "maple" else "walnut"


def _centred(stripes: Stripes) -> Stripes:
    out = centred(stripes)
    return out if isinstance(out, Stripes) else stripes
