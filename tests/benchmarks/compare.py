"""Print how a build compares with the plain way and with the least: ``python3 -m tests.benchmarks.compare``.

The ways take turns, so that a busy moment hits them all; the least of many rounds counts. "both new" is our way when
the other line has changed as well, so that nothing is remembered.
"""

from __future__ import annotations

import time

from tests.benchmarks.test_build_speed import DESIGNS, changed, floor_way, new, our_way, plain_way

ROUNDS = 40
WAYS = {
    "ours": (our_way, changed),
    "both new": (our_way, new),
    "plain": (plain_way, changed),
    "floor": (floor_way, changed),
}


def main() -> None:
    """Measure and print."""
    print(f"{'':16}" + "".join(f"{way:>11}" for way in WAYS) + "   plain/ours   ours/floor   points ours, plain")
    for name, variant in DESIGNS.items():
        best = dict.fromkeys(WAYS, float("inf"))
        points = {}
        for step in range(ROUNDS):
            for way, (run, altered) in WAYS.items():
                # no two ways see the same lines, so that none profits from what another left behind
                design = altered(variant, step + ROUNDS * list(WAYS).index(way))
                start = time.perf_counter()
                meshes = run(design)
                best[way] = min(best[way], (time.perf_counter() - start) * 1e3)
                points[way] = sum(len(getattr(m, "vertices", m)) for m in meshes)
        times = "".join(f"{ms:9.1f}ms" for ms in best.values())
        ratios = f"{best['plain'] / best['ours']:13.2f}{best['ours'] / best['floor']:13.1f}"
        print(f"{name:16}{times}{ratios}        {points['ours']}, {points['plain']}")


if __name__ == "__main__":
    main()
