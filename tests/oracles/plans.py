"""A plan that tests and timings are made of."""

from pathlib import Path


def tall_guarded() -> str:
    """A tall planted box with guarded lamps inside, as text."""
    return (Path(__file__).parent / "tall-guarded.yaml").read_text(encoding="utf-8")
