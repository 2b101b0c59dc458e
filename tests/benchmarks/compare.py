"""Print how a build compares with the plain way and with the least: ``python3 -m tests.benchmarks.compare``.

The ways take turns, so that a busy moment hits them all; the least of many rounds counts.
"""

from __future__ import annotations

import time

from tests.benchmarks.test_build_speed import DESIGNS, changed, floor_way, our_way, plain_way

ROUNDS = 40


def main() -> None:
    """Measure and print."""
    print(f"{'':16}{'ours':>9}{'plain':>9}{'floor':>9}   plain/ours   ours/floor   points ours, plain")
    for name, variant in DESIGNS.items():
        ways = {"ours": our_way, "plain": plain_way, "floor": floor_way}
        best = dict.fromkeys(ways, float("inf"))
        points = {}
        for step in range(ROUNDS):
            design = changed(variant, step)
            for way, run in ways.items():
                start = time.perf_counter()
                meshes = run(design)
                best[way] = min(best[way], (time.perf_counter() - start) * 1e3)
                points[way] = sum(len(getattr(m, "vertices", m)) for m in meshes)
        ours, plain, floor = best.values()
        print(
            f"{name:16}{ours:7.1f}ms{plain:7.1f}ms{floor:7.1f}ms{plain / ours:11.2f} {ours / floor:12.1f}"
            f"        {points['ours']}, {points['plain']}"
        )


if __name__ == "__main__":
    main()
