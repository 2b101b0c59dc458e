"""The bench: everything of a variant that is not drawn. Blank, wood, blades, sanding, saw, limits, horn and unit."""

from app.bench.panel import BenchPanel

__all__ = ["BenchPanel"]
