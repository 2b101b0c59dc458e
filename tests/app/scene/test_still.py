from __future__ import annotations

import io
import os
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from app.scene.body import Body
from app.scene.still import picture_of, reduced, render_still
from app.scene.window import offscreen_window
from geometry.errors import NoSolidError, OutputError
from geometry.solids import Solid
from tests.app.scene.conftest import RED, box

ROOT = Path(__file__).resolve().parents[3]

SLENDER = Body(box((-30, -30, 0), (30, 30, 420)), RED)
SQUAT = Body(box((-60, -60, 0), (60, 60, 200)), RED)
COLUMN = Body(box((-75, -75, 0), (75, 75, 1200)), RED)


def opened(data: bytes) -> np.ndarray:
    with Image.open(io.BytesIO(data)) as read:
        return np.asarray(read).astype(int)


@pytest.mark.parametrize("size", [(150, 200), (320, 180)])
@pytest.mark.parametrize("body", [SLENDER, SQUAT, COLUMN])
def test_a_picture_has_its_size_and_holds_the_whole_piece(body, size):
    pixels = opened(picture_of([body], size=size))
    assert pixels.shape == (size[1], size[0], 3)
    wood = pixels[..., 0] > pixels[..., 1] + 60
    rows, columns = np.flatnonzero(wood.any(axis=1)), np.flatnonzero(wood.any(axis=0))
    # Air all round, yet the piece fills the height or the width.
    assert rows[0] >= 0.06 * size[1] and rows[-1] < 0.94 * size[1]
    assert columns[0] >= 0.06 * size[0] and columns[-1] < 0.94 * size[0]
    assert max(np.ptp(rows) / size[1], np.ptp(columns) / size[0]) > 0.68


def test_the_same_picture_twice_is_the_same_bytes():
    assert picture_of([SLENDER], size=(90, 120)) == picture_of([SLENDER], size=(90, 120))


def test_day_and_night_differ():
    day = opened(picture_of([SLENDER], size=(90, 120)))
    night = opened(picture_of([SLENDER], size=(90, 120), theme="dark"))
    assert day[0, 0].min() > 200 and night[0, 0].max() < 70


def test_edges_are_smoothed():
    # From the front the post's side is one upright edge that falls between pixels or not; turned, it is a slope.
    pixels = opened(picture_of([SLENDER], size=(90, 120)))
    redness = pixels[..., 0] - pixels[..., 2]
    between = (redness > 30) & (redness < 80)
    assert between.sum() > 40


def test_no_wood_is_said_in_a_sentence():
    nothing = Solid(np.zeros((0, 3)), np.zeros((0, 3), dtype=np.int64))
    with pytest.raises(NoSolidError, match="no wood"):
        picture_of([Body(nothing, RED)], size=(90, 120))
    with pytest.raises(NoSolidError):
        picture_of([], size=(90, 120))


def test_too_large_is_said_in_a_sentence():
    with pytest.raises(OutputError, match="too large"):
        offscreen_window(20_000, 100)


def test_reducing_averages_light_not_code_values():
    # Half black and half white reflects half the light: sRGB 188, not 128.
    checker = np.indices((4, 6)).sum(axis=0) % 2 * 255
    picture = np.repeat(checker[..., None], 3, axis=2).astype(np.uint8)
    assert np.array_equal(reduced(picture, 2), np.full((2, 3, 3), 188))


def test_reducing_keeps_every_even_tone():
    for factor in (2, 3):
        tones = np.repeat(np.arange(256, dtype=np.uint8), 3).reshape(256, 1, 3)
        large = tones.repeat(factor, axis=0).repeat(factor, axis=1)
        assert np.array_equal(reduced(large, factor), tones)


def test_a_scene_can_be_rendered_twice():
    from app.scene.still import new_scene

    scene = new_scene()
    scene.set_bodies([SLENDER])
    scene.look("three-quarter", 0.75)
    first = render_still(scene, (90, 120), 1)
    assert np.array_equal(first, render_still(scene, (90, 120), 1))


SCRIPT = """
from app.scene.body import Body
from app.scene.still import picture_of
from geometry.errors import OutputError
from tests.app.scene.conftest import box
try:
    data = picture_of([Body(box((-30, -30, 0), (30, 30, 420)), (0.5, 0.4, 0.3))], size=(60, 80))
    print(data[:4])
except OutputError as problem:
    print("refused:", problem)
"""


def run_without_display(**extra: str) -> subprocess.CompletedProcess[str]:
    blocked = ("DISPLAY", "WAYLAND_DISPLAY", "VTK_DEFAULT_OPENGL_WINDOW")
    environment = {key: value for key, value in os.environ.items() if key not in blocked}
    return subprocess.run(
        [sys.executable, "-c", SCRIPT],
        cwd=ROOT,
        env={**environment, **extra},
        capture_output=True,
        text=True,
        timeout=120,
        check=False,
    )


@pytest.mark.skipif(sys.platform != "linux", reason="only Linux runs without a display")
def test_without_a_display_it_draws_and_says_nothing():
    done = run_without_display()
    assert (done.returncode, done.stderr) == (0, "")
    assert done.stdout.strip() == r"b'\x89PNG'"


@pytest.mark.skipif(sys.platform != "linux", reason="only Linux runs without a display")
def test_without_a_driver_it_names_what_to_install():
    # The loader behind libEGL looks for drivers in this folder; none there is as good as none installed.
    done = run_without_display(__EGL_VENDOR_LIBRARY_DIRS="/nowhere")
    assert (done.returncode, done.stderr) == (0, "")
    assert done.stdout.startswith("refused:")
    assert "libgl1" in done.stdout and "libegl1" in done.stdout
