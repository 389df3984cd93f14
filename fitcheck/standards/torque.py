"""Torque and preload of a screw, by the closed formula that VDI 2230-1 uses.

    torque = preload x (0.159 pitch + friction x (0.577 pitch diameter + half the friction diameter of the head))

with one friction value for thread and head, and a mean friction diameter under the head of 1.3 thread diameters, the
usual mean of head and medium hole. The preload that uses 90 % of the yield stress counts pull and twist together.

In conflict: makers' tables for class 8.8 differ; M12 is 74 N m (friction 0.125), 85 (0.12), 85 (0.14) and 86 (none
said) against 84 and 93 here. A torque says little without its friction value, so a range of friction is asked for.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from fitcheck.errors import OutsideTable
from fitcheck.sources import Source
from fitcheck.standards.fasteners import Thread
from fitcheck.standards.property_classes import property_class
from fitcheck.standards.verified import MEMORY, ONE_PAGE

USE_OF_YIELD = 0.9

FORMULA = Source(document="VDI 2230-1", clause="closed formula, 90 % of yield", verified=f"formula {MEMORY}")

# Outside this span the formula is right, but no screw that anyone tightens by torque behaves like it.
LEAST_FRICTION, MOST_FRICTION = 0.04, 0.35


@dataclass(frozen=True, slots=True, kw_only=True)
class PublishedTorque:
    """A row for class 8.8 at 90 % of yield: preload in kN, torque in N m at one friction value."""

    thread: str
    friction: float
    preload_kn: float
    torque_nm: float
    source: Source


_TABLE = Source(document="VDI 2230-1", clause="style of table A1", verified=f"{MEMORY}; recomputed within 3 %")
_M12 = Source(
    document="VDI 2230-1",
    clause="style of table A1",
    verified=f"preload {ONE_PAGE}, torque {MEMORY}; recomputed within 3 %",
)

PUBLISHED = tuple(
    PublishedTorque(thread=thread, friction=friction, preload_kn=preload, torque_nm=torque, source=source)
    for thread, friction, preload, torque, source in (
        ("M4", 0.12, 4.4, 3.0, _TABLE),
        ("M4", 0.14, 4.3, 3.3, _TABLE),
        ("M5", 0.12, 7.2, 5.9, _TABLE),
        ("M5", 0.14, 7.0, 6.5, _TABLE),
        ("M6", 0.12, 10.2, 10.1, _TABLE),
        ("M6", 0.14, 9.9, 11.3, _TABLE),
        ("M8", 0.12, 18.6, 24.6, _TABLE),
        ("M8", 0.14, 18.1, 27.3, _TABLE),
        ("M10", 0.12, 29.6, 48.0, _TABLE),
        ("M10", 0.14, 28.8, 54.0, _TABLE),
        ("M12", 0.12, 43.0, 84.0, _TABLE),
        ("M12", 0.14, 41.9, 93.0, _M12),
    )
)


def preload_n(thread: Thread, torque_nm: float, friction: float) -> float:
    """Preload in N that a torque gives at that friction; OutsideTable for friction outside 0.04 to 0.35."""
    return torque_nm * 1000 / _arm_mm(thread, friction)


def torque_nm(thread: Thread, preload: float, friction: float) -> float:
    """Torque in N m that gives that preload in N at that friction; OutsideTable for friction outside 0.04 to 0.35."""
    return preload * _arm_mm(thread, friction) / 1000


def full_preload_n(thread: Thread, class_name: str, friction: float) -> float:
    """Preload in N that with its twist uses 90 % of the class's yield stress."""
    _refuse_odd(friction)
    pitch_diameter, minor_diameter = _flank_diameters(thread)
    stressed_diameter = (pitch_diameter + minor_diameter) / 2
    twist = 1.5 * pitch_diameter / stressed_diameter * (thread.pitch / (math.pi * pitch_diameter) + 1.155 * friction)
    pull = USE_OF_YIELD * property_class(class_name).yields / math.sqrt(1 + 3 * twist**2)
    return pull * thread.stress_area


def full_torque_nm(thread: Thread, class_name: str, friction: float) -> float:
    """Torque in N m that reaches `full_preload_n` at the same friction.

    >>> from fitcheck.standards.fasteners import thread
    >>> round(full_torque_nm(thread("M8"), "8.8", 0.12), 1)
    24.6
    """
    return torque_nm(thread, full_preload_n(thread, class_name, friction), friction)


def _flank_diameters(thread: Thread) -> tuple[float, float]:
    """Pitch and minor diameter of the screw's thread."""
    return thread.diameter - 0.64952 * thread.pitch, thread.diameter - 1.22687 * thread.pitch


def _arm_mm(thread: Thread, friction: float) -> float:
    """Torque for each newton of preload, in mm."""
    _refuse_odd(friction)
    pitch_diameter, _ = _flank_diameters(thread)
    head_diameter = 1.3 * thread.diameter
    return 0.159 * thread.pitch + friction * (0.577 * pitch_diameter + head_diameter / 2)


def _refuse_odd(friction: float) -> None:
    if not LEAST_FRICTION <= friction <= MOST_FRICTION:
        raise OutsideTable(f"friction {friction:g} is outside {LEAST_FRICTION} to {MOST_FRICTION}")
