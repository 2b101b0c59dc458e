"""A hundred edits at random, by mouse and keys, then all the way back and forth again."""

import random

import pytest
from PySide6.QtCore import QPoint, Qt

from geometry.project import CUT_NAMES
from tests.app.window.working import ALT, CTRL, LEG, SHIFT

Key = Qt.Key


class Maker:
    """Someone who tries everything, the same way each time for the same seed."""

    def __init__(self, work, seed: int) -> None:
        self.work, self.dice = work, random.Random(seed)
        self.done: list[str] = []

    def act(self) -> None:
        deeds = (
            (6, self.drag_a_node),
            (3, self.add_a_node),
            (2, self.nudge),
            (2, self.make_smooth_or_corner),
            (1, self.delete_a_node),
            (2, self.change_a_line),
            (3, self.set_a_length),
            (1, self.take_another_wood),
            (2, self.take_another_variant),
            (1, self.show_two_or_one),
            (3, self.undo),
            (2, self.redo),
            (1, self.call_a_drag_off),
        )
        deed = self.dice.choices([d for _, d in deeds], [n for n, _ in deeds])[0]
        self.done.append(deed.__name__)
        deed()

    # ---- on the faces

    def face(self):
        return self.dice.choice(CUT_NAMES)

    def some_node(self):
        cut = self.face()
        nodes = self.work.document.variant.cut(cut).nodes
        return (cut, self.dice.randrange(len(nodes))) if nodes else None

    def somewhere(self) -> QPoint:
        return QPoint(self.dice.randint(-60, 60), self.dice.randint(-60, 60))

    def drag_a_node(self) -> None:
        if node := self.some_node():
            start = self.work.node(*node)
            self.work.drag(start, start + self.somewhere())

    def call_a_drag_off(self) -> None:
        if node := self.some_node():
            before = self.work.document.state
            start = self.work.node(*node)
            self.work.drag(start, start + self.somewhere(), release=False)
            self.work.press(Key.Key_Escape)
            self.work.let_go(start)
            assert self.work.document.state == before

    def add_a_node(self) -> None:
        length = self.work.document.variant.blank.length
        self.work.click(self.work.at(self.face(), self.dice.uniform(-12, 12), self.dice.uniform(0, length)))

    def choose_a_node(self) -> bool:
        node = self.some_node()
        if node is not None:
            self.work.click(self.work.node(*node))
        return node is not None

    def nudge(self) -> None:
        if self.choose_a_node():
            for _ in range(self.dice.randint(1, 4)):
                key = self.dice.choice((Key.Key_Left, Key.Key_Right, Key.Key_Up, Key.Key_Down))
                self.work.press(key, self.dice.choice((Qt.KeyboardModifier.NoModifier, SHIFT)))

    def make_smooth_or_corner(self) -> None:
        if self.choose_a_node():
            self.work.press(self.dice.choice((Key.Key_S, Key.Key_C)))

    def delete_a_node(self) -> None:
        if self.choose_a_node():
            self.work.press(Key.Key_Delete)

    def change_a_line(self) -> None:
        self.work.press(self.dice.choice((Key.Key_M, Key.Key_E, Key.Key_K)), widget=self.work.sheet())

    # ---- on the bench and in the menus

    def set_a_length(self) -> None:
        bench = self.work.window.bench
        field = self.dice.choice((bench.width_field, bench.depth_field, bench.length_field, bench.sanding))
        most = {bench.length_field: 600, bench.sanding: 2}.get(field, 90)
        self.work.type_in(field, f"{self.dice.uniform(0.4 * most, most):.1f}")

    def take_another_wood(self) -> None:
        wood = self.work.window.bench.wood.wood
        wood.setFocus()
        self.work.press(self.dice.choice((Key.Key_Down, Key.Key_Up)), widget=wood)

    def take_another_variant(self) -> None:
        self.work.press(self.dice.choice((Key.Key_1, Key.Key_2)), ALT)

    def show_two_or_one(self) -> None:
        self.work.press(Key.Key_F6)

    def undo(self) -> None:
        self.work.press(Key.Key_Z, CTRL, widget=self.work.sheet())

    def redo(self) -> None:
        self.work.press(Key.Key_Z, CTRL | SHIFT, widget=self.work.sheet())


@pytest.mark.parametrize("seed", [1, 2])
def test_a_hundred_edits_can_all_be_taken_back_and_done_again(work, seed):
    maker, document, stack = Maker(work, seed), work.document, work.document.undo_stack
    history = {0: LEG}

    def note(step: int) -> None:
        """Hold going back and forth to what was, and note what is new."""
        if maker.done[-1] in ("undo", "redo"):
            assert document.project == history[step], maker.done
        else:
            history[step] = document.project

    stack.indexChanged.connect(note)
    for _ in range(100):
        maker.act()
        assert not document.in_gesture, maker.done
        assert work.faces.variant == document.variant, maker.done
    assert stack.count() > 30

    maker.done.append("redo")
    work.sheet()
    while stack.canRedo():
        work.redo()
    last = document.project
    while stack.canUndo():
        work.undo()
    assert document.project == LEG
    assert not work.window.isWindowModified()
    while stack.canRedo():
        work.redo()
    assert document.project == last
    stack.indexChanged.disconnect(note)
    # and what is on screen in the end is of these very lines
    work.settle()
    assert work.faces.variant == document.variant
    assert [b.variant for b in work.window.pieces._latest.values()].count(document.variant) == 1
