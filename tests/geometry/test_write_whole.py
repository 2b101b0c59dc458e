"""Outputs are written whole or not at all."""

import os
import stat
from pathlib import Path

import pytest

from geometry.errors import OutputError
from geometry.files import write_whole


def names_in(folder: Path) -> list[str]:
    return sorted(f.name for f in folder.iterdir())


def test_an_old_file_is_replaced_and_keeps_its_rights(tmp_path):
    target = tmp_path / "out.stl"
    target.write_bytes(b"old")
    target.chmod(0o640)
    write_whole(target, b"new")
    assert target.read_bytes() == b"new"
    assert stat.S_IMODE(target.stat().st_mode) == 0o640
    assert names_in(tmp_path) == ["out.stl"]


def test_a_new_file_takes_the_usual_rights(tmp_path):
    mask = os.umask(0o027)
    try:
        write_whole(tmp_path / "out", b"new")
    finally:
        os.umask(mask)
    assert stat.S_IMODE((tmp_path / "out").stat().st_mode) == 0o640


@pytest.mark.parametrize("step", ["fsync", "replace"])
def test_a_failure_leaves_the_old_file_and_nothing_else(tmp_path, monkeypatch, step):
    target = tmp_path / "out.stl"
    target.write_bytes(b"old")

    def fails(*_args):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, step, fails)
    with pytest.raises(OutputError) as error:
        write_whole(target, b"new")
    assert str(error.value) == f"{target}: cannot be written: no space left on device"
    assert target.read_bytes() == b"old"
    assert names_in(tmp_path) == ["out.stl"]


def test_an_interruption_leaves_the_old_file_and_nothing_else(tmp_path, monkeypatch):
    target = tmp_path / "out.stl"
    target.write_bytes(b"old")

    def interrupted(*_args):
        raise KeyboardInterrupt

    monkeypatch.setattr(os, "replace", interrupted)
    with pytest.raises(KeyboardInterrupt):
        write_whole(target, b"new")
    assert target.read_bytes() == b"old"
    assert names_in(tmp_path) == ["out.stl"]


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="no such device here")
def test_a_full_disk_is_an_output_error(tmp_path):
    link = tmp_path / "out.stl"
    link.symlink_to("/dev/full")
    with pytest.raises(OutputError, match="no space left"):
        write_whole(link, b"new")
    assert link.is_symlink()
    assert not stat.S_ISREG(Path("/dev/full").stat().st_mode)
    assert names_in(tmp_path) == ["out.stl"]


def test_a_link_stays_and_what_it_points_to_is_replaced(tmp_path):
    (tmp_path / "far").mkdir()
    real = tmp_path / "far" / "real"
    real.write_bytes(b"old")
    link = tmp_path / "link"
    link.symlink_to(real)
    write_whole(link, b"new")
    assert link.is_symlink()
    assert real.read_bytes() == b"new"
    assert names_in(tmp_path / "far") == ["real"]


def test_a_pipe_is_written_to_directly(tmp_path):
    read_end, write_end = os.pipe()
    write_whole(f"/dev/fd/{write_end}", b"new")
    os.close(write_end)
    assert os.read(read_end, 10) == b"new"
    os.close(read_end)


@pytest.mark.parametrize("place", [".", "none/out", "file/out", "a\0b", "x" * 300])
def test_a_place_that_cannot_be_written_is_an_output_error(tmp_path, place):
    (tmp_path / "file").write_bytes(b"old")
    with pytest.raises(OutputError, match="cannot be written"):
        write_whole(tmp_path / place, b"new")
    assert names_in(tmp_path) == ["file"]
    assert (tmp_path / "file").read_bytes() == b"old"


def test_links_in_a_circle_are_an_output_error(tmp_path):
    (tmp_path / "a").symlink_to(tmp_path / "b")
    (tmp_path / "b").symlink_to(tmp_path / "a")
    with pytest.raises(OutputError, match="cannot be written"):
        write_whole(tmp_path / "a", b"new")
    assert names_in(tmp_path) == ["a", "b"]
