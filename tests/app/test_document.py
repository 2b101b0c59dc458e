"""The document: one signal, undo to the start and redo to the end, a drag as one step, variants."""

import gc
import weakref

import pytest
from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace

from app.document import Document, State, new_project
from geometry.editing import with_node_added, with_nodes_moved
from geometry.files import read_project, write_project
from geometry.project import Blank, Cut, Project, Variant
from tests.strategies import projects

pytestmark = pytest.mark.usefixtures("qapp")


class Told:
    """Everything a document has said, checked as it is said."""

    def __init__(self, document: Document) -> None:
        self.document = document
        self.said: list[tuple[State, State]] = []
        self.last = document.state
        document.changed.connect(self.hear)

    def hear(self, before: State, after: State) -> None:
        assert before == self.last
        assert after == self.document.state
        self.last = after
        self.said.append((before, after))

    def __len__(self) -> int:
        return len(self.said)


def swayed(variant: Variant, across: float = 5.0) -> Variant:
    cut, number = with_node_added(variant.front, variant.blank.length, (0.0, 200.0))
    return replace(variant, front=with_nodes_moved(cut, variant.blank.length, (number,), across, 0.0))


# ---------------------------------------------------------------- steps


def test_a_new_document_has_two_variants_and_nothing_to_undo():
    document = Document()
    assert [v.name for v in document.project.variants] == ["A", "B"]
    assert document.variant.name == "A"
    assert not document.is_modified
    assert not document.undo_stack.canUndo()


def test_a_step_is_told_once_with_its_name_and_can_be_taken_back():
    document = Document()
    told = Told(document)
    before = document.state
    document.edit("Add node", swayed(document.variant))
    assert told.said == [(before, document.state)]
    assert document.undo_stack.undoText() == "Add node"
    assert document.is_modified
    document.undo()
    assert document.state == before
    assert not document.is_modified
    assert document.undo_stack.redoText() == "Add node"
    document.redo()
    assert document.variant == swayed(before.variant)
    assert len(told) == 3


def test_what_changes_nothing_is_no_step():
    document = Document()
    told = Told(document)
    document.apply("Nothing", document.project)
    document.edit("Nothing", document.variant)
    assert len(told) == 0
    assert not document.undo_stack.canUndo()


def test_who_listens_can_ask_what_can_be_undone_and_whether_it_is_saved():
    document = Document()
    seen = []
    document.changed.connect(
        lambda *_: seen.append((document.is_modified, document.undo_stack.canUndo(), document.undo_stack.canRedo()))
    )
    document.edit("Add node", swayed(document.variant))
    document.undo()
    document.redo()
    assert seen == [(True, True, False), (False, False, True), (True, True, False)]


def test_a_listener_may_change_the_document_itself():
    document = Document()
    told = []

    def straighten(before, after):
        told.append((before, after))
        if after.variant.front.nodes:
            document.edit("Straighten", replace(after.variant, front=Cut()))

    document.changed.connect(straighten)
    document.edit("Add node", swayed(document.variant))
    assert [len(after.variant.front.nodes) for _, after in told] == [3, 0]
    assert document.undo_stack.count() == 2


def test_the_actions_of_the_history_go_through_the_document_too():
    document = Document()
    told = Told(document)
    undo = document.undo_stack.createUndoAction(document, "Undo")
    assert not undo.isEnabled()
    document.edit("Add node", swayed(document.variant))
    assert undo.text() == "Undo Add node"
    undo.trigger()
    assert document.variant.front == Cut()
    assert len(told) == 2
    document.edit("Add node", swayed(document.variant))
    document.replace(new_project())
    assert not undo.isEnabled()


# ---------------------------------------------------------------- gestures


def test_a_drag_is_one_step_and_is_seen_all_along():
    document = Document()
    told = Told(document)
    start = document.state
    document.begin("Move node")
    for across in range(1, 6):
        document.update_variant(swayed(start.variant, float(across)))
    assert len(told) == 5
    assert document.is_modified
    assert not document.undo_stack.canUndo()
    document.commit()
    assert (document.undo_stack.count(), document.undo_stack.undoText()) == (1, "Move node")
    assert len(told) == 5  # the end of the drag shows nothing new
    document.undo()
    assert document.state == start


def test_a_drag_given_up_leaves_no_trace():
    document = Document()
    told = Told(document)
    start = document.state
    document.begin("Move node")
    document.update_variant(swayed(start.variant))
    document.cancel()
    assert document.state == start
    assert not document.in_gesture
    assert not document.is_modified
    assert document.undo_stack.count() == 0
    assert len(told) == 2
    document.cancel()
    document.commit()
    assert len(told) == 2


def test_a_drag_back_to_where_it_began_is_no_step():
    document = Document()
    told = Told(document)
    start = document.state
    document.begin("Move node")
    document.update_variant(swayed(start.variant))
    document.update_variant(start.variant)
    document.commit()
    assert document.undo_stack.count() == 0
    assert told.last == start
    assert not document.is_modified


def test_undo_during_a_drag_gives_up_the_drag_only():
    document = Document()
    document.edit("Add node", swayed(document.variant, 3.0))
    document.begin("Move node")
    document.update_variant(swayed(document.variant, 9.0))
    document.undo()
    assert document.variant == swayed(new_project().variants[0], 3.0)
    assert document.undo_stack.undoText() == "Add node"


def test_what_comes_during_a_drag_comes_after_it():
    document = Document()
    document.begin("Move node")
    document.update_variant(swayed(document.variant, 9.0))
    document.edit("Set sanding", replace(document.variant, sanding=0.4))
    assert [document.undo_stack.text(i) for i in range(2)] == ["Move node", "Set sanding"]
    document.begin("Move node")
    document.update_variant(swayed(document.variant, 2.0))
    document.begin("Move node")
    assert document.undo_stack.count() == 3


def test_an_update_without_a_drag_is_a_step():
    document = Document()
    document.update_variant(swayed(document.variant))
    assert document.undo_stack.undoText() == "Change"


# ---------------------------------------------------------------- saved or not


def test_the_mark_of_unsaved_work_follows_the_history(tmp_path):
    document = Document()
    told = Told(document)
    document.edit("Add node", swayed(document.variant))
    document.mark_saved(tmp_path / "leg")
    assert not document.is_modified
    assert told.said[-1] == (document.state, document.state)  # the title is told of by the same signal
    document.undo()
    assert document.is_modified
    document.redo()
    assert not document.is_modified
    document.undo()
    document.edit("Other", swayed(document.variant, 1.0))
    document.undo()
    assert document.is_modified  # what was saved can no longer be reached


def test_another_project_begins_anew(tmp_path):
    document = Document()
    document.edit("Add node", swayed(document.variant))
    told = Told(document)
    other = Project((Variant("Stand", Blank(50, 50, 300)),))
    document.replace(other, tmp_path / "stand")
    assert len(told) == 1
    assert (document.project, document.variant.name, document.path) == (other, "Stand", tmp_path / "stand")
    assert not document.undo_stack.canUndo()
    assert not document.is_modified
    document.replace(other, is_saved=False)
    assert document.is_modified
    assert document.path is None


# ---------------------------------------------------------------- variants


def test_looking_at_another_variant_is_no_step_and_undo_goes_back_to_where_the_step_was_made():
    document = Document()
    told = Told(document)
    document.edit("Add node", swayed(document.variant))
    document.show_variant("B")
    assert document.undo_stack.count() == 1
    assert len(told) == 2
    document.show_variant("none such")
    document.show_variant("B")
    assert len(told) == 2
    document.undo()
    assert document.variant.name == "A"
    document.show_variant("B")
    document.redo()
    assert document.variant.name == "A"


def test_variants_are_duplicated_renamed_and_deleted():
    document = Document()
    document.edit("Add node", swayed(document.variant))
    assert document.duplicate_variant() == "C"
    assert [v.name for v in document.project.variants] == ["A", "C", "B"]
    assert document.variant == replace(swayed(new_project().variants[0]), name="C")
    assert document.duplicate_variant("C") == "C 2"
    assert document.rename_variant("C 2", "  Slimmer ")
    assert document.variant.name == "Slimmer"
    assert not document.rename_variant("Slimmer", "A")
    assert not document.rename_variant("Slimmer", " ")
    assert not document.rename_variant("none such", "D")
    assert document.delete_variant("Slimmer")
    assert document.variant.name == "B"
    assert document.delete_variant("A")
    assert document.variant.name == "B"
    assert not document.delete_variant("none such")
    assert document.delete_variant("B")
    assert document.variant.name == "C"
    assert not document.delete_variant("C")
    texts = [document.undo_stack.text(i) for i in range(document.undo_stack.count())]
    assert texts == [
        "Add node", "Duplicate variant A", "Duplicate variant C", "Rename variant C 2", "Delete variant Slimmer",
        "Delete variant A", "Delete variant B",
    ]  # fmt: skip
    while document.undo_stack.canUndo():
        document.undo()
    assert document.project == new_project()


def test_after_all_letters_come_numbers():
    blank = Blank(60, 60, 400)
    document = Document(Project(tuple(Variant(chr(c), blank) for c in range(ord("A"), ord("Z") + 1))))
    assert document.duplicate_variant() == "Variant 1"
    assert document.duplicate_variant() == "Variant 2"


def test_a_line_and_a_blank_are_copied_from_another_variant():
    document = Document()
    document.edit("Add node", swayed(document.variant))
    line = document.variant.front
    document.show_variant("B")
    document.edit("Set blank", replace(document.variant, blank=Blank(90, 60, 420)))
    document.copy_line_from("A", "front")
    assert document.undo_stack.undoText() == "Copy front line from A"
    assert document.variant.front.nodes[1].at == (7.5, 200.0)
    document.copy_blank_from("A")
    assert document.variant.blank == Blank(60, 60, 420)
    document.copy_line_from("A", "front")
    assert document.variant.front == line
    assert document.project.variant("A").front == line


# ---------------------------------------------------------------- whatever is done

steps = st.lists(
    st.one_of(
        st.tuples(st.just("edit"), st.floats(-20.0, 20.0)),
        st.tuples(st.just("drag"), st.lists(st.floats(-20.0, 20.0), max_size=4), st.booleans()),
        st.tuples(st.just("look"), st.integers(0, 5)),
        st.tuples(st.just("duplicate")),
        st.tuples(st.just("rename"), st.integers(0, 5), st.sampled_from(["A", "B", "Slim", "Stout"])),
        st.tuples(st.just("delete"), st.integers(0, 5)),
        st.tuples(st.just("copy"), st.integers(0, 5)),
        st.tuples(st.just("undo")),
        st.tuples(st.just("redo")),
    ),
    max_size=25,
)


def do(document: Document, step: tuple) -> None:
    variants = document.project.variants

    def chosen(number: int) -> str:
        return variants[number % len(variants)].name

    match step:
        case "edit", across:
            document.edit("Move node", swayed(document.variant, across))
        case "drag", places, kept:
            start = document.variant
            document.begin("Drag node")
            for across in places:
                document.update_variant(swayed(start, across))
            if kept:
                document.commit()
            else:
                document.cancel()
        case "look", number:
            document.show_variant(chosen(number))
        case ("duplicate",):
            document.duplicate_variant()
        case "rename", number, name:
            document.rename_variant(chosen(number), name)
        case "delete", number:
            document.delete_variant(chosen(number))
        case "copy", number:
            document.copy_line_from(chosen(number), "front")
        case ("undo",):
            document.undo()
        case ("redo",):
            document.redo()


@given(steps)
def test_undone_to_the_start_and_redone_to_the_end_the_states_are_the_very_same(done):
    document = Document()
    told = Told(document)
    first = document.project
    for step in done:
        do(document, step)
    while document.undo_stack.canRedo():
        document.redo()
    last = document.project

    back = [document.project]
    while document.undo_stack.canUndo():
        document.undo()
        back.append(document.project)
    assert document.project == first
    assert not document.is_modified
    forth = [document.project]
    while document.undo_stack.canRedo():
        document.redo()
        forth.append(document.project)
    assert forth == back[::-1]
    assert document.project == last
    assert told.last == document.state


@given(projects())
def test_saved_and_opened_again_a_document_is_the_same(tmp_path_factory, project):
    path = tmp_path_factory.mktemp("saved") / "a.cornerwise.json"
    document = Document(project)
    write_project(document.project, path)
    assert Document(read_project(path)).state == document.state


def test_a_document_let_go_is_gone():
    document = Document()
    document.edit("Add node", swayed(document.variant))
    document.begin("Move node")
    gone = weakref.ref(document)
    del document
    gc.collect()
    assert gone() is None


def test_the_states_are_values():
    state = Document().state
    with pytest.raises(AttributeError):
        state.variant_name = "B"
