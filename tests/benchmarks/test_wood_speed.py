"""Frames in wood against frames in plain colour, 900 × 700, and what a change of the wood costs before its frame.

``python3 -m tests.benchmarks.test_wood_speed`` prints the ratios: the ways take turns, the least of many rounds counts.
"""

from __future__ import annotations

import time
from itertools import cycle

import pytest
from msgspec.structs import replace

from app.piece_view.offscreen import Offscreen
from app.piece_view.stage import Stage
from app.scene.finish import PlainFinish
from app.scene.quiet import messages
from geometry.layup import Checker, Chevron, Plain, Stripes
from geometry.piece import build
from tests.app.piece_view.looking import WAVE, variant

SIZE = (900, 700)
DESIGN = replace(variant(WAVE, WAVE), layup=Stripes(along="x", strips=((20, "walnut"), (20, "maple"), (20, "ash"))))
LAYUPS = (
    DESIGN.layup,
    Plain(species="white-oak"),
    Checker(x=(20, 20, 20), y=(20, 20, 20), z=(60,) * 7, species=("walnut", "birch")),
    Chevron(across="x", angle_deg=45, pitch=20, species=("maple", "cherry")),
)


class Picture:
    """A piece that fills a picture of its own."""

    def __init__(self, in_wood: bool, moving: bool) -> None:
        self.stage = Stage()
        if not in_wood:
            self.stage.scene.set_finish(PlainFinish())
        self.stage.show(DESIGN, build(DESIGN).quarters)
        self.stage.prepare()
        self.stage.scene.rest()
        self.stage.set_moving(moving)
        self.stage.scene.look("three-quarter", SIZE[0] / SIZE[1])
        self._offscreen, self._still = Offscreen(self.stage.scene), not moving
        self.frame()

    def frame(self):
        """Render one frame."""
        return self._offscreen.render(*SIZE, 1.0, self._still)

    def close(self) -> None:
        """Give everything back."""
        self._offscreen.close()


@pytest.fixture
def picture():
    made = []

    def of(in_wood: bool, moving: bool) -> Picture:
        made.append(Picture(in_wood, moving))
        return made[-1]

    yield of
    for one in made:
        one.close()


@pytest.mark.parametrize("moving", [True, False], ids=["moving", "at rest"])
@pytest.mark.parametrize("in_wood", [False, True], ids=["plain", "wood"])
def test_a_frame(benchmark, picture, in_wood, moving):
    benchmark.group = f"a frame, {'moving' if moving else 'at rest'}"
    one = picture(in_wood, moving)
    image = benchmark.pedantic(one.frame, rounds=20)
    assert (image.width(), image.height()) == SIZE
    assert messages() == ""


def test_another_wood_before_its_frame(benchmark, picture):
    one, layups = picture(in_wood=True, moving=False), cycle(LAYUPS[1:] + LAYUPS[:1])

    def another() -> None:
        assert one.stage.show_wood(replace(DESIGN, layup=next(layups)))

    benchmark.pedantic(another, teardown=lambda: one.frame(), rounds=12)


def main(rounds: int = 30) -> None:
    """Measure and print."""
    print(f"{'':10}{'plain':>10}{'wood':>10}{'wood/plain':>12}")
    for moving in (True, False):
        best = {}
        ways = {in_wood: Picture(in_wood, moving) for in_wood in (False, True)}
        for _ in range(rounds):
            for in_wood, one in ways.items():
                start = time.perf_counter()
                one.frame()
                best[in_wood] = min(best.get(in_wood, float("inf")), (time.perf_counter() - start) * 1e3)
        for one in ways.values():
            one.close()
        name = "moving" if moving else "at rest"
        print(f"{name:10}{best[False]:8.1f}ms{best[True]:8.1f}ms{best[True] / best[False]:12.2f}")
    one, best_ms = Picture(in_wood=True, moving=False), float("inf")
    for _, layup in zip(range(rounds), cycle(LAYUPS[1:] + LAYUPS[:1]), strict=False):
        start = time.perf_counter()
        one.stage.show_wood(replace(DESIGN, layup=layup))
        best_ms = min(best_ms, (time.perf_counter() - start) * 1e3)
        one.frame()
    one.close()
    print(f"another wood, before its frame: {best_ms:.1f} ms")


if __name__ == "__main__":
    main()
