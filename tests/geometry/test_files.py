"""Project files: there and back, every kind of bad input in one sentence, migrations."""

import json
import os
import re
import sys
from pathlib import Path

import pytest
from hypothesis import example, given

from geometry import files
from geometry.errors import ProjectFileError, UnknownVariant
from geometry.files import (
    LARGEST_FILE_BYTES,
    migrate,
    project_from_bytes,
    project_from_json,
    project_to_json,
    project_to_text,
    read_project,
    write_project,
)
from geometry.layup import Plain
from geometry.project import Blank, Cut, Horn, Limits, Project, Saw, Variant
from tests.strategies import projects

SMALL = {
    "format": "cornerwise project",
    "version": 1,
    "variants": [{"name": "A", "blank": {"width": 60, "depth": 60, "length": 420}}],
}


def of_variant(**keys) -> dict:
    return {**SMALL, "variants": [{**SMALL["variants"][0], **keys}]}


def of_front(**keys) -> dict:
    return of_variant(front=keys)


def with_width(literal: str) -> str:
    return json.dumps(SMALL).replace('"width": 60', f'"width": {literal}')


# ---------------------------------------------------------------- there and back


@given(projects())
@example(Project((Variant("[ 1,\t2 ] [  x  ]", Blank(60.0, 60.0, 420.0)),), '"[ ] \\'))
def test_what_is_written_reads_back_the_same(project):
    text = project_to_text(project)
    assert project_from_bytes(text.encode("utf-8")) == project
    assert project_from_json(project_to_json(project)) == project
    assert project_to_text(project_from_bytes(text.encode("utf-8"))) == text


@given(projects())
def test_written_text_is_the_json_object_and_nothing_else(project):
    assert json.loads(project_to_text(project)) == json.loads(json.dumps(project_to_json(project)))


def test_a_file_goes_there_and_back(tmp_path):
    project = Project((Variant("A", Blank(60.0, 50.0, 420.0)),), "Plinth for a globe", "in")
    write_project(project, tmp_path / "plinth.cornerwise.json")
    assert read_project(tmp_path / "plinth.cornerwise.json") == project
    assert [f.name for f in tmp_path.iterdir()] == ["plinth.cornerwise.json"]


def test_what_is_left_out_takes_the_documented_defaults():
    variant = project_from_json(SMALL).variant()
    assert variant == Variant(
        "A",
        Blank(60.0, 60.0, 420.0, None, None),
        Plain("walnut"),
        Saw(150.0),
        Cut(0.9, None, (), ()),
        Cut(0.9, None, (), ()),
        0.0,
        "face down",
        Limits(6.0, 6.0, 18.0, 0.5, 0.1, 0.5),
        Horn(0.0, 0.0),
    )
    assert project_from_json(SMALL).display_units == "mm"
    node = project_from_json(of_front(nodes=[{"at": [0, 0]}, {"at": [0, 1]}])).variant().front.nodes[0]
    assert (node.kind, node.tangent) == ("smooth", False)


def test_the_documented_example_is_read():
    blank = {"width": 60, "depth": 60, "length": 420, "top_width": 60, "top_depth": 60}
    nodes = [
        {"at": [0, 0], "kind": "corner"},
        {"at": [8, 140], "kind": "smooth"},
        {"at": [-6, 280], "kind": "smooth"},
        {"at": [0, 420], "kind": "corner"},
    ]
    front = {"kerf": 0.9, "blade": {"width": 6.35}, "nodes": nodes, "trims": []}
    strips = [[20, "walnut"], [20, "maple"], [20, "walnut"]]
    full = of_variant(
        blank=blank,
        layup={"kind": "stripes", "along": "x", "strips": strips},
        saw={"depth_of_cut": 150},
        front=front,
        side={"kerf": 0.9, "nodes": [], "trims": []},
        sanding=0.0,
        taper_support="face down",
    )
    project = project_from_json({**full, "name": "Plant stand, reading room", "display_units": "mm"})
    assert project.variant("A").front.nodes[1].at == (8.0, 140.0)
    assert not project.variant("A").blank.is_tapered


def test_a_byte_order_mark_is_no_fault():
    assert project_from_bytes(b"\xef\xbb\xbf" + json.dumps(SMALL).encode()) == project_from_json(SMALL)


def test_a_place_is_written_on_one_line():
    project = project_from_json(of_front(nodes=[{"at": [0, 0]}, {"at": [1.5, 420]}]))
    assert '"at": [1.5, 420.0]' in project_to_text(project)


# ---------------------------------------------------------------- bad input

NODES = [{"at": [0, 0]}, {"at": [0, 420]}]


def strips(*sizes, **keys):
    return of_variant(layup={"kind": "stripes", "along": "x", "strips": [[s, "ash"] for s in sizes], **keys})


def chevron(**keys):
    usual = {"kind": "chevron", "across": "x", "angle_deg": 45, "pitch": 20, "species": ["ash", "teak"]}
    return of_variant(layup={**usual, **keys})


BAD = {
    # what: (content, the key or place that the sentence names, what it expected)
    "a list": ([1], "format", "an object"),
    "null": (None, "format", "an object"),
    "bare text": ("cornerwise project", "format", "an object"),
    "another format": ({**SMALL, "format": "cornerwise"}, "format", '"cornerwise project"'),
    "no format": ({"version": 1}, "format", '"cornerwise project"'),
    "no version": ({"format": "cornerwise project"}, "version", "a whole number"),
    "a newer version": ({**SMALL, "version": 2}, "version", "at most 1"),
    "version 0": ({**SMALL, "version": 0}, "version", "a whole number"),
    "a broken version": ({**SMALL, "version": 1.0}, "version", "a whole number"),
    "true as version": ({**SMALL, "version": True}, "version", "a whole number"),
    "text as version": ({**SMALL, "version": "1"}, "version", "a whole number"),
    "an endless version": ({**SMALL, "version": 10**50}, "version", "a whole number"),
    "no variants key": ({"format": "cornerwise project", "version": 1}, "variants", "a value"),
    "no variants": ({**SMALL, "variants": []}, "variants", "at least one variant"),
    "variants as object": ({**SMALL, "variants": {}}, "variants", "a list"),
    "a variant of null": ({**SMALL, "variants": [None]}, "variants[0]", "an object"),
    "a repeated name": ({**SMALL, "variants": SMALL["variants"] * 2}, "variants[1].name", "a name of its own"),
    "an empty name": (of_variant(name=""), "variants[0].name", "a name"),
    "a blank name": (of_variant(name=" \t"), "variants[0].name", "a name"),
    "a name of number": (of_variant(name=3), "variants[0].name", "text"),
    "half a character": ({**SMALL, "name": "\ud800"}, "name", "readable text"),
    "half a character in a variant": (of_variant(name="\udfff"), "variants[0].name", "readable text"),
    "half a character as key": ({**SMALL, "\ud800": 1}, "key", "readable text"),
    "half a character as species": (of_variant(layup={"kind": "plain", "species": "\ud800"}), "value", "readable text"),
    "an unknown key": ({**SMALL, "colour": 1}, "colour", "only keys of a project file"),
    "an unknown key within": (of_variant(wood="ash"), "variants[0].wood", "only keys"),
    "a key like a place": ({**SMALL, "a - at `$.b`": 1}, "a - at `$.b`", "only keys"),
    "an unknown unit": ({**SMALL, "display_units": "cm"}, "display_units", "one of mm, in"),
    "no blank": ({**SMALL, "variants": [{"name": "A"}]}, "variants[0].blank", "a value"),
    "a blank of null": (of_variant(blank=None), "variants[0].blank", "an object"),
    "no length": (of_variant(blank={"width": 60, "depth": 60}), "variants[0].blank.length", "a value"),
    "text as size": (of_variant(blank={"width": "60", "depth": 60, "length": 420}), "blank.width", "a number"),
    "true as size": (of_variant(blank={"width": True, "depth": 60, "length": 420}), "blank.width", "a number"),
    "a thin blank": (of_variant(blank={"width": 4.99, "depth": 60, "length": 420}), "blank.width", "5 to 5000 mm"),
    "a long blank": (of_variant(blank={"width": 60, "depth": 60, "length": 5000.1}), "blank.length", "5 to 5000 mm"),
    "a pointed blank": (
        of_variant(blank={"width": 60, "depth": 60, "length": 420, "top_depth": 1}), "blank.top_depth", "5 to 5000 mm",
    ),
    "a negative size": (of_variant(blank={"width": 60, "depth": -60, "length": 420}), "blank.depth", "5 to 5000 mm"),
    "a wide kerf": (of_front(kerf=10.01), "variants[0].front.kerf", "0 to 10 mm"),
    "a negative kerf": (of_front(kerf=-0.1), "variants[0].front.kerf", "0 to 10 mm"),
    "much sanding": (of_variant(sanding=11), "variants[0].sanding", "0 to 10 mm"),
    "one node": (of_front(nodes=[{"at": [0, 0]}]), "variants[0].front.nodes", "at least two"),
    "the same node twice": (of_front(nodes=[*NODES, NODES[1]]), "front.nodes[2].at", "a place other than"),
    "a far node": (of_front(nodes=[*NODES, {"at": [10_001, 0]}]), "front.nodes[2].at[0]", "within 10000 mm"),
    "a far height": (of_front(nodes=[*NODES, {"at": [0, -10_001]}]), "front.nodes[2].at[1]", "within 10000 mm"),
    "three coordinates": (of_front(nodes=[{"at": [0, 0, 0]}, *NODES]), "front.nodes[0].at", "a list of length 2"),
    "one coordinate": (of_front(nodes=[{"at": [0]}, *NODES]), "front.nodes[0].at", "a list of length 2"),
    "a place as object": (of_front(nodes=[{"at": {"u": 0}}, *NODES]), "front.nodes[0].at", "a list"),
    "no place": (of_front(nodes=[{"kind": "smooth"}, *NODES]), "front.nodes[0].at", "a value"),
    "an unknown kind of node": (of_front(nodes=[{"at": [1, 0], "kind": "cusp"}, *NODES]), "nodes[0].kind", "smooth"),
    "tangent by number": (of_front(nodes=[{"at": [1, 0], "tangent": 1}, *NODES]), "nodes[0].tangent", "true or false"),
    "a blade of no width": (of_front(blade={"width": 0}), "front.blade.width", "above 0"),
    "half a measured blade": (of_front(blade={"width": 6, "body": 0.6}), "front.blade.kerf", "both body and kerf"),
    "the other half": (of_front(blade={"width": 6, "kerf": 1.0}), "front.blade.body", "both body and kerf"),
    "a trim without nodes": (of_front(trims=[{"nodes": []}]), "front.trims[0].nodes", "at least two nodes"),
    "a trim of one node": (of_front(trims=[{"nodes": NODES[:1]}]), "front.trims[0].nodes", "at least two"),
    "a saw of no depth": (of_variant(saw={"depth_of_cut": 0}), "saw.depth_of_cut", "above 0"),
    "a negative limit": (of_variant(limits={"wall": -1}), "limits.wall", "not below 0"),
    "a negative horn": (of_variant(horn={"top": -1}), "horn.top", "not below 0"),
    "an unknown support": (of_variant(taper_support="wedge"), "taper_support", "face down, levelled"),
    "an unknown lay-up": (of_variant(layup={"kind": "spiral"}), "layup.kind", "plain, stripes, checker, chevron"),
    "a lay-up of no kind": (of_variant(layup={"species": "ash"}), "layup.kind", "a value"),
    "an unknown species": (of_variant(layup={"kind": "plain", "species": "balsa"}), "layup.species", "walnut"),
    "strips too narrow": (strips(30, 29.98), "layup.strips", "add up to the blank's width of 60 mm"),
    "strips too wide": (strips(30, 30.02), "layup.strips", "add up to the blank's width of 60 mm"),
    "strips the other way": (strips(30, 31, along="y"), "layup.strips", "the blank's depth of 60 mm"),
    "no strips": (strips(), "layup.strips", "at least one"),
    "a strip of no width": (strips(60, 0), "layup.strips[1][0]", "above 0"),
    "a strip of no wood": (strips(60, species="ash"), "layup.species", "only keys"),
    "blocks that miss": (
        of_variant(layup={"kind": "checker", "x": [60], "y": [30, 30], "z": [1], "species": ["ash"]}),
        "layup.z", "the blank's length of 420 mm",
    ),
    "a steep chevron": (chevron(angle_deg=90), "layup.angle_deg", "between -90 and 90"),
    "a chevron of no pitch": (chevron(pitch=0), "layup.pitch", "above 0"),
    "a chevron of no species": (chevron(species=[]), "layup.species", "at least one species"),
}  # fmt: skip

BAD_BYTES = {
    "nothing": (b"", "line 1", "JSON"),
    "cut off": (json.dumps(SMALL)[:-9].encode(), "line 1", "JSON"),
    "two in one": (json.dumps(SMALL).encode() * 2, "line 1", "JSON"),
    "a picture": (b"\x89PNG\r\n\x1a\n\0\0", "byte 0", "UTF-8 text"),
    "UTF-16": (json.dumps(SMALL).encode("utf-16"), "byte 0", "UTF-8 text"),
    "UTF-16 without its mark": (json.dumps(SMALL).encode("utf-16-le"), "line 1", "JSON"),
    "Latin-1": ('{"é": 1}'.encode("latin-1"), "byte 2", "UTF-8 text"),
    "zeros": (b"\0" * 100, "line 1", "JSON"),
    "comments": (b"// mine\n{}", "line 1", "JSON"),
    "NaN": (with_width("NaN").encode(), "variants[0].blank.width", "a finite number"),
    "infinity": (with_width("Infinity").encode(), "variants[0].blank.width", "a finite number"),
    "less than nothing": (with_width("-Infinity").encode(), "variants[0].blank.width", "a finite number"),
    "1e300": (with_width("1e300").encode(), "variants[0].blank.width", "5 to 5000 mm"),
    "1e999": (with_width("1e999").encode(), "variants[0].blank.width", "a finite number"),
    "4,000 digits": (with_width("1" * 4000).encode(), "variants[0].blank.width", "a finite number"),
    "5,000 digits": (with_width("1" * 5000).encode(), "variants[0].blank.width", "a finite number"),
    "25 digits": (with_width("1" * 25).encode(), "variants[0].blank.width", "5 to 5000 mm"),
    "a twin key": (with_width('60, "width": 60').encode(), "width", "each key once"),
    "a twin key within": (json.dumps(SMALL).replace('"name"', '"name": 1, "name"').encode(), "name", "each key once"),
    "deep lists": (b"[" * 200_000, "nested", "a project"),
    "deep objects": (b'{"a":' * 200_000, "nested", "a project"),
    "a deep value": (with_width("[" * 50_000 + "]" * 50_000).encode(), "nested", "a project"),
    "a rather deep value": (with_width("[" * 200 + "]" * 200).encode(), "variants[0].blank.width", "a number"),
}  # fmt: skip


def refused(data: bytes) -> str:
    with pytest.raises(ProjectFileError) as error:
        project_from_bytes(data)
    return str(error.value)


@pytest.mark.parametrize("what", BAD)
def test_bad_content_is_refused_in_one_sentence_that_names_the_key(what):
    content, key, expected = BAD[what]
    check_sentence(refused(json.dumps(content).encode()), key, expected)


@pytest.mark.parametrize("what", BAD_BYTES)
def test_bad_bytes_are_refused_in_one_sentence_that_names_the_place(what):
    data, place, expected = BAD_BYTES[what]
    check_sentence(refused(data), place, expected)


def check_sentence(sentence: str, key: str, expected: str) -> None:
    assert key in sentence
    assert re.search("expected .*" + re.escape(expected), sentence)
    assert "\n" not in sentence
    assert len(sentence) < 400
    # nothing of the machinery shows
    assert not re.search(
        r"Traceback|Error|\bstr\b|\bfloat\b|\bdict\b|msgspec|Object|set_int_max|`\$|\$\.", sentence
    ) or (key == "a - at `$.b`")


def test_there_are_more_than_thirty_kinds():
    assert len(BAD) + len(BAD_BYTES) > 30


@pytest.mark.parametrize("key", ["width", "body", "kerf"])
@pytest.mark.parametrize("literal", ["NaN", "1e999", "-Infinity"])
def test_every_number_of_a_blade_must_be_finite(key, literal):
    blade = json.dumps({"width": 6.35, "body": 0.6, "kerf": 1.0, key: "HERE"}).replace('"HERE"', literal)
    sentence = refused(json.dumps(of_front(blade="BLADE")).replace('"BLADE"', blade).encode())
    assert f"variants[0].front.blade.{key}: expected a finite number" in sentence


@given(projects())
def test_every_number_of_a_project_must_be_finite(project):
    """Put NaN in the place of each number of a whole file in turn: never accepted, always refused by key."""
    text = json.dumps(project_to_json(project))
    numbers = list(re.finditer(r"(?<=[\s\[])-?\d[\d.e+-]*(?=[,\]}])", text))
    for number in numbers[:: max(1, len(numbers) // 12)]:
        inside_a_name = text[: number.start()].replace("\\\\", "").replace('\\"', "").count('"') % 2
        if not inside_a_name:
            sentence = refused((text[: number.start()] + "NaN" + text[number.end() :]).encode())
            assert re.match(r"[\w.\[\]]+: expected ", sentence), sentence


def test_the_limits_themselves_are_good():
    good = of_variant(
        blank={"width": 5, "depth": 5000, "length": 5000},
        layup={"kind": "stripes", "along": "x", "strips": [[2.5, "ash"], [2.51, "teak"]]},
        front={"kerf": 10, "nodes": [{"at": [10_000, -10_000]}, {"at": [-10_000, 10_000]}]},
        side={"kerf": 0},
        sanding=10,
        limits={"wall": 0},
    )
    project_from_json(good)


# ---------------------------------------------------------------- places to read from


def refused_file(path) -> str:
    with pytest.raises(ProjectFileError) as error:
        read_project(path)
    assert str(error.value).startswith(f"{path}: ")
    assert "\n" not in str(error.value)
    return str(error.value)


def test_a_folder_is_refused(tmp_path):
    assert "expected a project file, found a folder" in refused_file(tmp_path)


def test_a_missing_file_is_refused(tmp_path):
    assert "cannot be read" in refused_file(tmp_path / "none.json")


@pytest.mark.skipif(hasattr(os, "geteuid") and os.geteuid() == 0, reason="root may read everything")
def test_a_locked_file_is_refused(tmp_path):
    locked = tmp_path / "locked.json"
    locked.write_text(json.dumps(SMALL))
    locked.chmod(0)
    assert "cannot be read" in refused_file(locked)


def test_what_the_system_cannot_read_is_refused(tmp_path, monkeypatch):
    good = tmp_path / "good.json"
    good.write_text(json.dumps(SMALL))

    def fails(*_args, **_keys):
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(Path, "open", fails)
    assert refused_file(good) == f"{good}: cannot be read: permission denied"


@pytest.mark.skipif(sys.platform == "win32", reason="names of that kind are refused elsewhere")
def test_names_that_are_none_are_refused(tmp_path):
    refused_file(tmp_path / "a\0b")
    refused_file(tmp_path / ("x" * 3000))


def test_links_in_a_circle_are_refused(tmp_path):
    (tmp_path / "a").symlink_to(tmp_path / "b")
    (tmp_path / "b").symlink_to(tmp_path / "a")
    refused_file(tmp_path / "a")


def test_a_fault_names_file_key_and_expectation(tmp_path):
    file = tmp_path / "leg.cornerwise.json"
    file.write_text(json.dumps(of_front(kerf="thin")))
    assert refused_file(file) == f"{file}: variants[0].front.kerf: expected a number, found text"


@pytest.mark.skipif(not Path("/dev/zero").exists(), reason="no such device here")
def test_a_file_without_end_is_refused(monkeypatch):
    monkeypatch.setattr(files, "LARGEST_FILE_BYTES", 1 << 20)
    assert LARGEST_FILE_BYTES == 64 << 20
    assert "which none reaches" in refused_file("/dev/zero")


def test_an_unknown_variant_is_told_which_there_are():
    project = project_from_json({**SMALL, "variants": [of_variant(name=n)["variants"][0] for n in ("A", "slim")]})
    assert project.variant().name == "A"
    assert project.variant("slim").name == "slim"
    with pytest.raises(UnknownVariant, match="expected one of 'A', 'slim', found 'B'"):
        project.variant("B")


# ---------------------------------------------------------------- migrations

CHAIN = {
    1: lambda old: {**{k: v for k, v in old.items() if k != "title"}, "name": old["title"]},
    2: lambda old: {**old, "name": old["name"].upper()},
    3: lambda old: {**old, "seen": [*old.get("seen", []), 3]},
}


def test_an_old_file_climbs_the_whole_chain():
    old = {"format": "cornerwise project", "version": 1, "title": "stool"}
    new = migrate(old, CHAIN, 4)
    assert new == {"format": "cornerwise project", "version": 4, "name": "STOOL", "seen": [3]}
    assert old["version"] == 1
    assert "title" in old


def test_a_file_enters_the_chain_at_its_own_version():
    assert migrate({"version": 3, "name": "stool"}, CHAIN, 4) == {"version": 4, "name": "stool", "seen": [3]}
    assert migrate({"version": 4, "name": "stool"}, CHAIN, 4) == {"version": 4, "name": "stool"}


def test_beyond_the_chain_it_is_refused():
    with pytest.raises(ProjectFileError, match=r"version: expected at most 4, found 5"):
        migrate({"version": 5}, CHAIN, 4)


def test_the_chain_has_no_gap():
    assert set(files.MIGRATIONS) == set(range(1, files.VERSION))
