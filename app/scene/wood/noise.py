"""Noise hashed from integers, in single precision, two channels at a time: what ``shader`` does, in numpy."""

from __future__ import annotations

from typing import Any, cast

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[Any]
"""float32 throughout; how numpy types its products depends on its version."""

Words = NDArray[np.uint32]

F = np.float32
U = np.uint32

_AXIS = (U(0x8DA6B343), U(0xD8163841), U(0xCB1AB31F))
_LINE = U(0x9E3779B9)


def words(x: Floats) -> Words:
    """Whole numbers as 32-bit words, negative ones as their two's complement."""
    return x.astype(np.int32).view(np.uint32)


def mixed(x: Words) -> Words:
    """Every bit of the answer depends on every bit of x (multiply and shift, two rounds)."""
    y = x ^ (x >> U(16))
    y *= U(0x21F0AAAD)
    y ^= y >> U(15)
    y *= U(0x735A2D97)
    y ^= y >> U(15)
    return y


def unit(h: Words) -> Floats:
    """In [0, 1)."""
    return (h >> U(8)).astype(F) * F(5.9604645e-8)


def pair(h: Words) -> tuple[Floats, Floats]:
    """Two numbers in [-1, 1]."""
    return _low(h), _high(h)


def _low(h: Words) -> Floats:
    return (h & U(0xFFFF)).astype(F) * F(3.0518044e-5) - F(1.0)


def _high(h: Words) -> Floats:
    return (h >> U(16)).astype(F) * F(3.0518044e-5) - F(1.0)


def step(a: Floats | np.float32, b: Floats | np.float32, x: Floats | np.float32) -> Floats:
    """0 below a, 1 above b, smooth between."""
    t = np.clip((x - a) / (b - a), F(0.0), F(1.0))
    return cast(Floats, t * t * (F(3.0) - F(2.0) * t))


def blend(a: Floats | np.float32, b: Floats | np.float32, t: Floats | np.float32) -> Floats:
    """a where t is 0, b where it is 1."""
    return cast(Floats, a + (b - a) * t)


def _eased(f: Floats) -> Floats:
    return f * f * (F(3.0) - F(2.0) * f)


def noise1(x: Floats, seed: Words) -> tuple[Floats, Floats]:
    """Two channels of noise along a line, one bend to each unit."""
    i = np.floor(x)
    f = _eased(x - i)
    key = words(i) * _LINE + seed
    here, there = mixed(key), mixed(key + _LINE)
    return blend(_low(here), _low(there), f), blend(_high(here), _high(there), f)


def noise3(x: Floats, y: Floats, z: Floats, seed: Words) -> tuple[Floats, Floats]:
    """Two channels of noise in space, one bend to each unit."""
    low, ease = [], []
    for axis, u in enumerate((x, y, z)):
        i = np.floor(u)
        ease.append(_eased(u - i))
        low.append(words(i) * _AXIS[axis])
    low[0] = low[0] + seed
    high = [k + a for k, a in zip(low, _AXIS, strict=True)]
    planes = []
    for kz in (low[2], high[2]):
        rows = []
        for ky in (low[1], high[1]):
            edge = ky + kz
            here, there = mixed(low[0] + edge), mixed(high[0] + edge)
            rows.append((blend(_low(here), _low(there), ease[0]), blend(_high(here), _high(there), ease[0])))
        planes.append(tuple(blend(a, b, ease[1]) for a, b in zip(*rows, strict=True)))
    first, second = (blend(a, b, ease[2]) for a, b in zip(*planes, strict=True))
    return first, second
