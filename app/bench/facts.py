"""What follows from what was set: a few names with what they come to, to be read and not changed."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtWidgets import QVBoxLayout, QWidget

from app.bench.rows import Sentence


class Facts(QWidget):
    """A few short sentences below one another; hidden while there are none."""

    def __init__(self, name: str, parent: QWidget | None = None) -> None:
        """Make an empty list with a name for screen readers."""
        super().__init__(parent)
        self._column = QVBoxLayout(self)
        self._column.setContentsMargins(0, 0, 0, 0)
        self._column.setSpacing(3)
        self._lines: list[Sentence] = []
        self.setAccessibleName(name)
        self.hide()

    @property
    def said(self) -> tuple[str, ...]:
        """The sentences on show."""
        return tuple(line.text() for line in self._lines if line.text())

    def say(self, sentences: Sequence[str]) -> None:
        """Show these sentences."""
        while len(self._lines) < len(sentences):
            line = Sentence()
            self._lines.append(line)
            self._column.addWidget(line)
        for i, line in enumerate(self._lines):
            line.say(sentences[i] if i < len(sentences) else "")
        self.setVisible(bool(sentences))
        self.setAccessibleDescription(" ".join(sentences))
