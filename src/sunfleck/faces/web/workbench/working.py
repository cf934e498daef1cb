"""Work that the page asks for: whatever goes wrong is told, and nothing is left waiting."""

from __future__ import annotations

import logging
from collections.abc import Callable
from typing import Any, TypeVar

from nicegui import run, ui

from sunfleck.errors import SunfleckError
from sunfleck.faces.web.workbench.words import say

T = TypeVar("T")
Told = Callable[[str], None]
log = logging.getLogger(__name__)


async def beside(told: Told, call: Callable[..., T], *args: Any) -> T | None:
    """Call something that takes a while in a thread; None, and told, where it cannot be done."""
    try:
        return await run.io_bound(call, *args)
    except SunfleckError as error:
        told(str(error))
    except Exception:  # a fault of ours must not leave the page waiting for ever
        log.exception("the workbench could not work something out")
        told(say("fault"))
    return None


def done(told: Told, call: Callable[[], object]) -> bool:
    """Do something at once; False, and told, where it cannot be done."""
    try:
        call()
    except SunfleckError as error:
        told(str(error))
    except Exception:  # as above
        log.exception("the workbench could not do something")
        told(say("fault"))
    else:
        return True
    return False


def attributes(element: ui.element, **values: str) -> None:
    """Set attributes of an element to any text; underscores stand for dashes."""
    for name, value in values.items():
        element.props[name.replace("_", "-")] = value
    element.update()
