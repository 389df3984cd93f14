"""What all entries of the result file are made of."""

from __future__ import annotations

from typing import Annotated

from pydantic import BaseModel, BeforeValidator, ConfigDict

_DECIMALS = 6


def _rounded(value: float) -> float:
    """Six decimals are a nanometre: beyond, only the processor speaks. Adding zero turns -0.0 into 0.0."""
    return round(float(value), _DECIMALS) + 0.0


Number = Annotated[float, BeforeValidator(_rounded)]
Triple = tuple[Number, Number, Number]
Matrix = tuple[Triple, Triple, Triple]


class Model(BaseModel):
    """An entry: nothing beside its fields, and nothing changes."""

    model_config = ConfigDict(extra="forbid", frozen=True)
