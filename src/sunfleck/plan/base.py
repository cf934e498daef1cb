"""What every part of a plan has in common."""

from __future__ import annotations

from pydantic import BaseModel, ConfigDict


class Part(BaseModel):
    """A frozen piece of a plan that knows its keys and refuses others."""

    model_config = ConfigDict(
        frozen=True, extra="forbid", coerce_numbers_to_str=True, str_strip_whitespace=True
    )
