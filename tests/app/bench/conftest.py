"""The bench on a plain variant, and the hands that use it."""

import pytest

from app.bench import BenchPanel
from tests.app.bench.hands import PLAIN


@pytest.fixture
def bench(qtbot):
    """A bench on the plain variant that does what a document would do: show what was edited."""
    bench = BenchPanel()
    qtbot.addWidget(bench)
    bench.show_variant(PLAIN, "mm")
    bench.resize(300, 1100)
    bench.show()
    bench.activateWindow()
    bench.edits = []

    def take(step, variant):
        bench.edits.append((step, variant))
        bench.show_variant(variant, bench.units)

    bench.edited.connect(take)
    return bench
