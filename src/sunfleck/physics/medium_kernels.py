"""How much a thin medium lets through at an angle; called by the kernels of lines, of discs and of rays."""

from __future__ import annotations

from math import sqrt

from sunfleck.geometry.kernels import kernel


@kernel
def medium_law(law: int, first: float, second: float, u: float, v: float, n: float) -> float:
    """Transmittance relative to normal incidence; the same formulas as in ``media``."""
    n = abs(n)
    if law == 1:
        if n == 0.0:
            return 0.0
        through = 1.0
        if first > 0.0:
            through *= max(0.0, 1.0 - first * sqrt(u * u + n * n) / n) / (1.0 - first)
        if second > 0.0:
            through *= max(0.0, 1.0 - second * sqrt(v * v + n * n) / n) / (1.0 - second)
        return through
    index = first
    if index == 1.0:
        return 1.0
    n = min(n, 1.0)
    inside = sqrt(1.0 - (1.0 - n * n) / (index * index))
    upright = ((n - index * inside) / (n + index * inside)) ** 2
    parallel = ((inside - index * n) / (inside + index * n)) ** 2
    both = 0.5 * ((1.0 - upright) / (1.0 + upright) + (1.0 - parallel) / (1.0 + parallel))
    return both * (index * index + 1.0) / (2.0 * index)
