from __future__ import annotations

import io

import numpy as np
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays
from PIL import Image

from app.scene.png import write_png


@given(arrays(np.uint8, st.tuples(st.integers(1, 9), st.integers(1, 9), st.just(3))))
def test_every_pixel_comes_back(picture):
    with Image.open(io.BytesIO(write_png(picture))) as read:
        assert read.format == "PNG" and read.mode == "RGB"
        assert np.array_equal(np.asarray(read), picture)


def test_same_picture_same_bytes():
    picture = np.arange(300, dtype=np.uint16).astype(np.uint8).reshape(10, 10, 3)
    assert write_png(picture) == write_png(picture.copy())
