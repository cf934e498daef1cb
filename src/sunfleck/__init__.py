"""Sunfleck: know what light, UV and heat an animal gets before you build.

The public names are those of :data:`__all__`; everything else may move.

>>> import sunfleck
>>> sorted(sunfleck.__all__)
['PlanError', 'check', 'climate', 'light_at', 'meter_round', 'passage', 'read_plan', 'read_surveys']
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

__version__ = "0.1.0"
__all__ = ["PlanError", "check", "climate", "light_at", "meter_round", "passage", "read_plan", "read_surveys"]

if TYPE_CHECKING:
    from sunfleck.document.problem import PlanError
    from sunfleck.plan.read import read_plan
    from sunfleck.service.cases import check, climate, light_at
    from sunfleck.service.meter_round import meter_round
    from sunfleck.service.passage import passage
    from sunfleck.service.surveys import read_surveys

_HOMES = {
    "PlanError": "sunfleck.document.problem",
    "read_plan": "sunfleck.plan.read",
    "check": "sunfleck.service.cases",
    "climate": "sunfleck.service.cases",
    "light_at": "sunfleck.service.cases",
    "meter_round": "sunfleck.service.meter_round",
    "passage": "sunfleck.service.passage",
    "read_surveys": "sunfleck.service.surveys",
}


def __getattr__(name: str) -> Any:
    # Loaded on first use: `sunfleck --help` must not wait for numpy.
    if name in _HOMES:
        from importlib import import_module  # noqa: PLC0415  # lazily, like what it imports

        return getattr(import_module(_HOMES[name]), name)
    msg = f"module {__name__!r} has no attribute {name!r}"
    raise AttributeError(msg)
