"""Plain words for the six ways along the case axes."""

from __future__ import annotations

from fitcheck.model.layout import Layout

OPPOSITE = {
    "rearward": "forward",
    "forward": "rearward",
    "right": "left",
    "left": "right",
    "up": "down",
    "down": "up",
}

WAYS = ("forward", "rearward", "left", "right", "down", "up")
"""The order in which reports name the ways."""


def way(layout: Layout, axis: int, amount: float) -> str:
    """The vehicle word for moving along a case axis by a positive or negative amount."""
    word = layout.axes[axis]
    return word if amount >= 0 else OPPOSITE[word]
