"""Start from a shape: choose one, set its few parameters, see at once what it gives."""

from __future__ import annotations

from dataclasses import replace
from typing import Final, Literal

from PySide6.QtCore import QSize, Qt, Signal
from PySide6.QtWidgets import (
    QCheckBox,
    QComboBox,
    QDialog,
    QDialogButtonBox,
    QDoubleSpinBox,
    QFormLayout,
    QHBoxLayout,
    QLabel,
    QListWidget,
    QListWidgetItem,
    QVBoxLayout,
    QWidget,
)

from app.faces.shape_preview import ShapePreview, shape_icon
from app.faces.words import FACE, unbroken
from app.length_field import LengthField, Span
from geometry.copying import copied_to_other_face
from geometry.project import CutName, DisplayUnits, Variant
from geometry.shapes import SHAPES, Parameter, Room, Shape, room_of, with_shape
from geometry.swings import swing_words
from geometry.units import format_length

Target = Literal["front", "side", "together", "apart"]

_TARGETS: Final[tuple[tuple[Target, str], ...]] = (
    ("front", FACE["front"]),
    ("side", FACE["side"]),
    ("together", "Both faces, swinging together"),
    ("apart", "Both faces, swinging apart"),
)


def with_shape_on(variant: Variant, target: Target, shape: Shape) -> Variant:
    """Return the variant with a shape on one face, or on the front face and copied to the right one."""
    if target == "front" or target == "side":
        return with_shape(variant, target, shape)
    return copied_to_other_face(with_shape(variant, "front", shape), "front", target)


class ShapeDialog(QDialog):
    """Choose a starting shape for a line."""

    edited = Signal(str, object)
    """A step of this name made the design this one: the shape was taken."""
    previewed = Signal(object)
    """The design as it would be; after a cancelled dialog the design it began with."""

    def __init__(self, variant: Variant, units: DisplayUnits, cut: CutName, parent: QWidget | None = None) -> None:
        """Make the dialog for one face of a design."""
        super().__init__(parent)
        self.setWindowTitle("Start from a shape")
        self._variant, self._units = variant, units
        self._fields: list[QWidget] = []
        self._shapes = [shape.fitted(self._room(cut)) for shape in SHAPES]
        self._target = QComboBox(self)
        for target, words in _TARGETS:
            self._target.addItem(words, target)
        self._target.setCurrentIndex(0 if cut == "front" else 1)
        self._list = self._shape_list(self._room(cut))
        self._hint = QLabel(self)
        self._hint.setWordWrap(True)
        self._form = QFormLayout()
        self._trouble = QLabel(self)
        self._trouble.setWordWrap(True)
        self._preview = ShapePreview(variant, units, self)
        self._words = QLabel(self)
        self._words.setWordWrap(True)
        self._lay_out()
        self._target.currentIndexChanged.connect(self._on_target)
        self._list.currentRowChanged.connect(self._on_shape)
        self._list.setCurrentRow(min(3, len(self._shapes) - 1))
        self._list.setFocus()

    # -------------------------------------------------------------- what it holds

    @property
    def target(self) -> Target:
        """The face or faces the shape is for."""
        chosen: Target = self._target.currentData()
        return chosen

    @property
    def shape(self) -> Shape:
        """The shape as it is set."""
        return self._shapes[self._list.currentRow()]

    @property
    def outcome(self) -> Variant:
        """The design with the shape."""
        return with_shape_on(self._variant, self.target, self.shape)

    def choose(self, label: str) -> None:
        """Choose the shape of that name."""
        self._list.setCurrentRow([s.label for s in self._shapes].index(label))

    def field(self, name: str) -> QWidget:
        """Return the field of a parameter."""
        return next(f for f in self._fields if f.objectName() == name)

    def _room(self, cut: CutName) -> Room:
        return room_of(self._variant, cut)

    def _own_room(self) -> Room:
        return self._room("side" if self.target == "side" else "front")

    # -------------------------------------------------------------- making

    def _shape_list(self, room: Room) -> QListWidget:
        out = QListWidget(self)
        out.setIconSize(QSize(26, 44))
        out.setAccessibleName("Shapes")
        for shape in self._shapes:
            item = QListWidgetItem(shape_icon(shape, room, self.palette()), shape.label)
            item.setToolTip(shape.hint)
            out.addItem(item)
        out.setFixedWidth(out.sizeHintForColumn(0) + 12)
        return out

    def _lay_out(self) -> None:
        buttons = QDialogButtonBox(QDialogButtonBox.StandardButton.Ok | QDialogButtonBox.StandardButton.Cancel, self)
        buttons.button(QDialogButtonBox.StandardButton.Ok).setText("Use this shape")
        buttons.accepted.connect(self.accept)
        buttons.rejected.connect(self.reject)
        row = QHBoxLayout()
        row.addWidget(QLabel("Draw it on", self))
        row.addWidget(self._target, 1)
        middle = QVBoxLayout()
        middle.addLayout(row)
        middle.addWidget(self._hint)
        middle.addLayout(self._form)
        middle.addWidget(self._trouble)
        middle.addStretch(1)
        middle.addWidget(self._words)
        across = QHBoxLayout()
        across.addWidget(self._list)
        across.addLayout(middle, 1)
        across.addWidget(self._preview, 1)
        self._preview.setMinimumWidth(240)
        column = QVBoxLayout(self)
        column.addLayout(across, 1)
        column.addWidget(buttons)
        self.resize(680, 440)

    # -------------------------------------------------------------- parameters

    def _on_shape(self) -> None:
        """Show the parameters of another shape."""
        self._hint.setText(self.shape.hint)
        while self._form.rowCount():
            self._form.removeRow(0)
        self._fields = []
        self._trouble.clear()
        for parameter in self.shape.parameters(self._own_room()):
            field = self._field_for(parameter)
            field.setObjectName(parameter.field)
            field.setToolTip(parameter.hint)
            field.setAccessibleDescription(parameter.hint)
            self._fields.append(field)
            if isinstance(field, QCheckBox):
                self._form.addRow(field)
            else:
                self._form.addRow(parameter.label, field)
        self._show()

    def _field_for(self, parameter: Parameter) -> QWidget:
        value = getattr(self.shape, parameter.field)
        if parameter.kind == "length":
            length = LengthField(parameter.label.lower(), Span(parameter.least, parameter.most), parent=self)
            length.show_value(float(value), self._units)
            length.committed.connect(self._take)
            length.trouble_changed.connect(self._trouble.setText)
            return length
        if parameter.kind == "switch":
            box = QCheckBox(parameter.label, self)
            box.setChecked(bool(value))
            box.toggled.connect(self._take)
            return box
        return self._number_for(parameter, float(value))

    def _number_for(self, parameter: Parameter, value: float) -> QDoubleSpinBox:
        spin = QDoubleSpinBox(self)
        scale = 100.0 if parameter.kind == "share" else 1.0  # a share is shown in hundredths
        spin.setDecimals(1 if parameter.kind == "count" else 0)
        spin.setRange(parameter.least * scale, parameter.most * scale)
        spin.setSingleStep(parameter.step * scale)
        spin.setSuffix({"share": " %", "angle": "°"}.get(parameter.kind, ""))
        spin.setValue(value * scale)
        spin.valueChanged.connect(self._take)
        return spin

    def _take(self, value: float | bool) -> None:
        """Put what a field says into the shape."""
        name, row = self.sender().objectName(), self._list.currentRow()
        kinds = {p.field: p.kind for p in self.shape.parameters(self._own_room())}
        said = value / 100.0 if kinds[name] == "share" else value
        self._shapes[row] = replace(self._shapes[row], **{name: said})  # type: ignore[type-var]
        self._show()

    def _on_target(self) -> None:
        """Fit the shapes anew: the other face may have another room."""
        room = self._own_room()
        self._shapes = [shape.fitted(room) for shape in SHAPES]
        self._on_shape()

    def _show(self) -> None:
        outcome = self.outcome
        self._preview.show_variant(outcome)
        words = (swing_words(outcome, self._units), *self._blade_words(outcome))
        self._words.setText(unbroken(" ".join(words)))
        self.previewed.emit(outcome)

    def _blade_words(self, outcome: Variant) -> list[str]:
        """Return what becomes of the chosen blades."""
        out = []
        for before, after, name in (
            (self._variant.front, outcome.front, "front line"),
            (self._variant.side, outcome.side, "side line"),
        ):
            if before.blade is not None and after.blade is not None and before.blade != after.blade:
                width = format_length(after.blade.width, self._units, decimals=2)
                out.append(f"The chosen blade does not follow it: the {name} would be sawn with one of {width}.")
        return out

    # -------------------------------------------------------------- ending

    def accept(self) -> None:
        """Take the shape, once every field can be read."""
        for field in self._fields:
            if isinstance(field, LengthField) and not field.commit():
                field.setFocus(Qt.FocusReason.OtherFocusReason)
                return
        self.edited.emit(f"Start from a shape: {self.shape.label.lower()}", self.outcome)
        super().accept()

    def reject(self) -> None:
        """Leave the design as it was."""
        self.previewed.emit(self._variant)
        super().reject()
