"""A PNG picture as bytes, written with nothing but zlib."""

from __future__ import annotations

import struct
import zlib

import numpy as np
from numpy.typing import NDArray

_SIGNATURE = b"\x89PNG\r\n\x1a\n"
_UP = 2  # the filter that stores each row as its difference from the one above
_PERCEPTUAL = 0


def write_png(picture: NDArray[np.uint8]) -> bytes:
    """Encode an sRGB picture.

    Parameters
    ----------
    picture : (h, w, 3) uint8, first row uppermost

    Notes
    -----
    PNG specification (ISO/IEC 15948): chunks IHDR, sRGB, IDAT and IEND; the same picture gives the same bytes.
    """
    height, width, _ = picture.shape
    rows = np.empty((height, 1 + 3 * width), dtype=np.uint8)
    rows[:, 0] = _UP
    flat = picture.reshape(height, 3 * width)
    rows[0, 1:] = flat[0]
    np.subtract(flat[1:], flat[:-1], out=rows[1:, 1:])  # uint8 wraps round, as the filter asks
    header = struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)
    return b"".join(
        [
            _SIGNATURE,
            _chunk(b"IHDR", header),
            _chunk(b"sRGB", bytes([_PERCEPTUAL])),
            _chunk(b"IDAT", zlib.compress(rows.tobytes(), 6)),
            _chunk(b"IEND", b""),
        ]
    )


def _chunk(kind: bytes, content: bytes) -> bytes:
    return struct.pack(">I", len(content)) + kind + content + struct.pack(">I", zlib.crc32(kind + content))
