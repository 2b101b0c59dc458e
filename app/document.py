"""The open project: one frozen value, one signal when another takes its place, and undo for everything.

Views never keep a design of their own. They read ``document.state``, ask for a change with ``apply`` or ``edit``, and
redraw what differs when ``changed(before, after)`` arrives.
"""

from __future__ import annotations

import weakref
from dataclasses import dataclass, replace
from pathlib import Path

import msgspec
from PySide6.QtCore import QObject, Signal
from PySide6.QtGui import QUndoCommand, QUndoStack

from geometry.copying import with_blank_from, with_line_from
from geometry.project import Blank, CutName, Project, Variant


@dataclass(frozen=True, slots=True)
class State:
    """What the views show: the project, and which of its variants is in hand."""

    project: Project
    variant_name: str

    @property
    def variant(self) -> Variant:
        """The variant in hand."""
        return self.project.variant(self.variant_name)

    def with_project(self, project: Project) -> State:
        """Return the state with another project; its first variant where the one in hand is no longer there."""
        names = [v.name for v in project.variants]
        return State(project, self.variant_name if self.variant_name in names else names[0])


def new_project() -> Project:
    """Return what a new document begins with: a plain blank in two variants, A and B, to be compared."""
    blank = Blank(width=60.0, depth=60.0, length=420.0)
    return Project(variants=(Variant("A", blank), Variant("B", blank)))


class _Change(QUndoCommand):
    """The one kind of step there is: from one state to another."""

    def __init__(self, name: str, before: State, after: State, document: Document) -> None:
        super().__init__(name)
        self._before, self._after = before, after
        # weak: the document holds the history, and Python cannot see the way back through it
        self._document = weakref.ref(document)

    def undo(self) -> None:
        self._show(self._before)

    def redo(self) -> None:
        self._show(self._after)

    def _show(self, state: State) -> None:
        document = self._document()
        if document is not None:
            document._show(state)


class Document(QObject):
    """The project being worked on, where it is kept, and its history.

    ``changed(before, after)`` is the only signal, with two `State`. It also says that the file's name or the mark of
    unsaved work changed: then nothing differs between the two. Which variant is in hand is a matter of looking and no
    step of the history; undoing a step goes back to the variant that it was done on, so that it is seen.

    A gesture (a drag) is one step: ``begin``, any number of ``update``, then ``commit`` or ``cancel``.
    """

    changed = Signal(object, object)

    def __init__(self, project: Project | None = None, parent: QObject | None = None) -> None:
        """Begin with a project, or with a new one."""
        super().__init__(parent)
        first = project or new_project()
        self._state = self._told = State(first, first.variants[0].name)
        self._told_title: tuple[Path | None, bool] = (None, False)
        self._path: Path | None = None
        self.serial = 0
        """How many projects took the place of the first: another number is another document, not another step."""
        self._gesture: tuple[str, State] | None = None
        self._is_quiet = False
        self._stack = QUndoStack(self)
        # told when the step is done and not within it: whoever listens may ask what can be undone now
        self._stack.indexChanged.connect(self._tell)
        self._stack.cleanChanged.connect(self._tell)

    # ---------------------------------------------------------------- what there is

    @property
    def state(self) -> State:
        """The project and the variant in hand."""
        return self._state

    @property
    def project(self) -> Project:
        """The project."""
        return self._state.project

    @property
    def variant(self) -> Variant:
        """The variant in hand."""
        return self._state.variant

    @property
    def path(self) -> Path | None:
        """The file it was read from or last written to."""
        return self._path

    @property
    def undo_stack(self) -> QUndoStack:
        """The history, for its actions and its names; steps are added by `apply` alone."""
        return self._stack

    @property
    def is_modified(self) -> bool:
        """True when there is something that the file does not hold."""
        in_gesture = self._gesture is not None and self._gesture[1].project != self.project
        return in_gesture or not self._stack.isClean()

    @property
    def in_gesture(self) -> bool:
        """True between `begin` and `commit` or `cancel`."""
        return self._gesture is not None

    # ---------------------------------------------------------------- changing it

    def apply(self, name: str, project: Project, variant_name: str | None = None) -> None:
        """Put another project in its place, as one step of the history; nothing happens if it is the same.

        Parameters
        ----------
        name : what the step is called in the menu, as "Move node"
        project : the project
        variant_name : which variant is in hand afterwards; the same as before if left out
        """
        self.commit()
        after = self._state.with_project(project)
        self._push(name, self._state, after if variant_name is None else replace(after, variant_name=variant_name))

    def edit(self, name: str, variant: Variant) -> None:
        """Put another variant in the place of the one in hand, as one step of the history."""
        self.apply(name, self.project.with_variant(variant, self._state.variant_name), variant.name)

    def begin(self, name: str) -> None:
        """Begin a gesture: what `update` shows from now on becomes one step, when it is committed."""
        self.commit()
        self._gesture = (name, self._state)

    def update(self, project: Project) -> None:
        """Show a project while a gesture lasts; without one it is a step named "Change"."""
        if self._gesture is None:
            self.apply("Change", project)
            return
        self._show(self._state.with_project(project))
        self._tell()

    def update_variant(self, variant: Variant) -> None:
        """Show another variant in the place of the one in hand while a gesture lasts."""
        self.update(self.project.with_variant(variant, self._state.variant_name))

    def commit(self) -> None:
        """End a gesture: one step from where it began to where it is, or none if that is the same."""
        if self._gesture is None:
            return
        (name, before), self._gesture = self._gesture, None
        self._push(name, before, self._state)

    def cancel(self) -> None:
        """End a gesture and go back to where it began."""
        if self._gesture is None:
            return
        (_, before), self._gesture = self._gesture, None
        self._show(before)
        self._tell()

    def undo(self) -> None:
        """Take the last step back; while a gesture lasts, the gesture."""
        if self._gesture is not None:
            self.cancel()
        else:
            self._stack.undo()

    def redo(self) -> None:
        """Do the step again that was taken back last."""
        self.cancel()
        self._stack.redo()

    def replace(self, project: Project, path: Path | None = None, *, is_saved: bool = True) -> None:
        """Begin anew with another project: no history, and saved unless said otherwise (a sample, a recovered one)."""
        self._gesture = None
        self._state, self._path = State(project, project.variants[0].name), path
        self.serial += 1
        self._is_quiet = True  # clearing tells of the old history's end: the new document is told of once
        self._stack.clear()
        if not is_saved:
            self._stack.resetClean()
        self._is_quiet = False
        self._tell(always=True)

    def mark_saved(self, path: Path) -> None:
        """Note that the project as it is now is what a file holds."""
        self.commit()
        self._path = path
        self._stack.setClean()
        self._tell()

    # ---------------------------------------------------------------- variants

    def show_variant(self, name: str) -> None:
        """Take a variant in hand; no step of the history. A name there is no variant of changes nothing."""
        if name in self._names() and name != self._state.variant_name:
            self.commit()
            self._show(replace(self._state, variant_name=name))
            self._tell()

    def duplicate_variant(self, name: str | None = None) -> str:
        """Add a copy of the variant in hand after it and take that in hand; return its name.

        Without a name it gets the first letter that is free; a name that is taken gets a number.
        """
        here = self._state.variant_name
        new = self._free_name(name)
        copy = msgspec.structs.replace(self.variant, name=new)
        at = self._names().index(here) + 1
        variants = (*self.project.variants[:at], copy, *self.project.variants[at:])
        self.apply(f"Duplicate variant {here}", msgspec.structs.replace(self.project, variants=variants), new)
        return new

    def rename_variant(self, old: str, new: str) -> bool:
        """Give a variant another name; return False for an empty one or one that is taken."""
        name = new.strip()
        if old not in self._names() or not name or (name != old and name in self._names()):
            return False
        renamed = msgspec.structs.replace(self.project.variant(old), name=name)
        in_hand = name if self._state.variant_name == old else self._state.variant_name
        self.apply(f"Rename variant {old}", self.project.with_variant(renamed, old), in_hand)
        return True

    def delete_variant(self, name: str) -> bool:
        """Take a variant out, and its neighbour in hand if it was; return False for the last one there is."""
        names = self._names()
        if name not in names or len(names) == 1:
            return False
        at = names.index(name)
        left = tuple(v for v in self.project.variants if v.name != name)
        in_hand = self._state.variant_name if self._state.variant_name != name else left[min(at, len(left) - 1)].name
        self.apply(f"Delete variant {name}", msgspec.structs.replace(self.project, variants=left), in_hand)
        return True

    def copy_line_from(self, other: str, face: CutName) -> None:
        """Copy the line of one face from another variant to the one in hand."""
        named = "front line" if face == "front" else "side line"
        self.edit(f"Copy {named} from {other}", with_line_from(self.variant, self.project.variant(other), face))

    def copy_blank_from(self, other: str) -> None:
        """Copy the blank, and what it is made of, from another variant to the one in hand."""
        self.edit(f"Copy blank from {other}", with_blank_from(self.variant, self.project.variant(other)))

    # ---------------------------------------------------------------- inside

    def _names(self) -> list[str]:
        return [v.name for v in self.project.variants]

    def _free_name(self, wanted: str | None) -> str:
        taken = set(self._names())
        if wanted is not None and wanted.strip():
            candidates = [wanted.strip(), *(f"{wanted.strip()} {n}" for n in range(2, len(taken) + 3))]
        else:
            letters = [chr(c) for c in range(ord("A"), ord("Z") + 1)]
            candidates = [*letters, *(f"Variant {n}" for n in range(1, len(taken) + 2))]
        return next(c for c in candidates if c not in taken)

    def _push(self, name: str, before: State, after: State) -> None:
        if before.project == after.project:
            self._show(after)
        else:
            self._stack.push(_Change(name, before, after, self))
        self._tell()

    def _show(self, state: State) -> None:
        self._state = state

    def _tell(self, *_: object, always: bool = False) -> None:
        """Say once what changed since it was last said."""
        if self._is_quiet:
            return
        title = (self._path, self.is_modified)
        if not always and self._told == self._state and self._told_title == title:
            return
        before, self._told, self._told_title = self._told, self._state, title
        self.changed.emit(before, self._state)
