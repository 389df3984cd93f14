"""The sections of a layout beside its parts: read, validated and kept, whichever checks use them."""

from __future__ import annotations

from dataclasses import dataclass

from fitcheck.errors import NOWHERE, Mark
from fitcheck.model.quantity import Quantity
from fitcheck.model.shape import Triple


@dataclass(frozen=True, slots=True, kw_only=True)
class Potential:
    """A named voltage in V against the circuit's own zero."""

    name: str
    volts: Quantity
    circuit: str = "main"


@dataclass(frozen=True, slots=True, kw_only=True)
class HouseRule:
    """Distances that the layout itself asks for between live parts of more than `above` V, beside the rule sets."""

    name: str
    because: str
    clearance: Quantity | None
    creepage: Quantity | None
    above: Quantity | None
    at: Mark = NOWHERE


@dataclass(frozen=True, slots=True, kw_only=True)
class Electrical:
    """What the insulation must bear. `chassis` holds selectors as written ("every lid", "case"). `rules` names the rule
    sets that stand beside IEC 60664-1, `also` are the layout's own. `recurring_peak` is the highest voltage in V that
    comes back again and again between any two points."""

    potentials: tuple[Potential, ...]
    chassis: tuple[str, ...]
    system: str
    impulse_kv: Quantity | None
    overvoltage_category: str | None
    supply_v: Quantity | None
    pollution_degree: int
    altitude_m: Quantity
    insulation: str
    cemented: tuple[tuple[str, str], ...] = ()
    rules: tuple[str, ...] = ()
    also: tuple[HouseRule, ...] = ()
    recurring_peak: Quantity | None = None
    at: Mark = NOWHERE


@dataclass(frozen=True, slots=True, kw_only=True)
class FoundHeight:
    """A part whose z size is to be found. `stock` pairs a thickness with the count on hand (None: any number);
    empty for `any`, which needs `step`."""

    part: str
    stock: tuple[tuple[float, int | None], ...]
    step: float | None
    at_most_pieces: int | None
    tolerance: Quantity | None
    piece_tolerance: Quantity | None
    same_for: tuple[str, ...] = ()
    at: Mark = NOWHERE


@dataclass(frozen=True, slots=True, kw_only=True)
class HeightDemand:
    """`kind` is "clear height" (between two parts) or "level" (between two faces, such as "lid top")."""

    kind: str
    between: tuple[str, str]
    at_least: Quantity | None = None
    at_most: Quantity | None = None
    within: Quantity | None = None
    at: Mark = NOWHERE


@dataclass(frozen=True, slots=True, kw_only=True)
class LevelFeet:
    """Feet that one part stands on together: how level their tops must be, and the shims that may go on them, as the
    stock of a FoundHeight."""

    under: str
    feet: tuple[str, ...]
    within: Quantity
    shims: tuple[tuple[float, int | None], ...] = ()
    at: Mark = NOWHERE


@dataclass(frozen=True, slots=True, kw_only=True)
class Heights:
    find: tuple[FoundHeight, ...]
    so_that: tuple[HeightDemand, ...]
    judge_by: str
    prefer: str
    level_feet: tuple[LevelFeet, ...] = ()
    at: Mark = NOWHERE


@dataclass(frozen=True, slots=True, kw_only=True)
class Clamped:
    """One thing under a screw head: a stated thickness, a part, or a washer standard; exactly one is set."""

    thickness: Quantity | None = None
    part: str | None = None
    washer: str | None = None


MAKERS_WORD = ("data sheet", "supplier file")
"""A torque or an engagement known by one of these is the part maker's own and was given for the thread that he made."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Screw:
    """One kind of screw and where it sits. `into_nut` is the nut's standard, else material and usable depth are set.
    `engagement` is a length, or a multiple of the thread diameter with unit "d"."""

    name: str
    thread: str
    head: str | None
    property_class: str | None
    torque_nm: Quantity | None
    direction: str
    clamps: tuple[Clamped, ...]
    into_material: str | None
    usable_depth: Quantity | None
    into_nut: str | None
    engagement: Quantity | None
    spare: Quantity | None
    length: Quantity | None = None
    places: tuple[Triple, ...] = ()
    at: Mark = NOWHERE


@dataclass(frozen=True, slots=True, kw_only=True)
class Payload:
    """A further mass carried; `place` in vehicle axes."""

    mass: Quantity
    place: Triple


@dataclass(frozen=True, slots=True, kw_only=True)
class RaisedAxle:
    """A weighing with one axle lifted: which axle, by how much, and what the other axle then weighs."""

    raised: str
    lift: Quantity
    other_axle: Quantity
    wheel_radius: Quantity


@dataclass(frozen=True, slots=True, kw_only=True)
class Vehicle:
    """The vehicle the case goes under. Vehicle axes: x rearward of the front axle, y right of the centre line, z above
    ground. `weighed` and `weighed_after` map "front", "rear" (and "left", "right" beside them), or "front left" ...,
    to kg; `limits` maps "front", "rear", "gross". `case_low` is the case datum in vehicle axes. `springs` maps
    "front"/"rear" to N/mm per axle. `steered` is the steered axle, None where not stated. `inertia` is about the
    vehicle's own centre of gravity, in kg m2; `inertia_half` is how far each entry may be off, None where none states
    it.
    Places and inertia are as written: in the axes that `frame` names, "rearward-right-up" being the vehicle's own."""

    wheelbase: Quantity
    track: Quantity | None
    weighed: tuple[tuple[str, Quantity], ...]
    cg_height: Quantity | None
    limits: tuple[tuple[str, Quantity], ...]
    case_low: Triple | None
    weighed_after: tuple[tuple[str, Quantity], ...] = ()
    weighed_as: str | None = None
    payload: tuple[Payload, ...] = ()
    springs: tuple[tuple[str, Quantity], ...] = ()
    ground_clearance: Quantity | None = None
    ground_clearance_least: Quantity | None = None
    raised_axle: RaisedAxle | None = None
    pack_weighed: tuple[tuple[str, Quantity], ...] = ()
    category: str | None = None
    inertia: tuple[tuple[float, float, float], ...] | None = None
    inertia_half: tuple[tuple[float, float, float], ...] | None = None
    rule_cards: tuple[str, ...] = ()
    held_by: tuple[tuple[str, int], ...] = ()
    steered: str | None = None
    frame: str = "rearward-right-up"
    at: Mark = NOWHERE


@dataclass(frozen=True, slots=True, kw_only=True)
class Move:
    """How one part comes in: from which side, tilted by how much (deg)."""

    part: str
    comes_from: str
    tilt: Quantity | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Assembly:
    """`sequence` empty means: find one."""

    sequence: tuple[str, ...]
    moves: tuple[Move, ...] = ()
    at: Mark = NOWHERE


@dataclass(frozen=True, slots=True, kw_only=True)
class Cable:
    """`bend` is a radius in mm, or a multiple of the diameter with unit "x"."""

    name: str
    diameter: Quantity
    bend: Quantity
    ends: tuple[str, str]
    lug: Quantity | None
    route: tuple[Triple, ...]
    slack: Quantity | None
    at: Mark = NOWHERE


@dataclass(frozen=True, slots=True, kw_only=True)
class Duct:
    """`section` is the clear section, `keep` the least share of it that must stay."""

    part: str
    section: tuple[Quantity, Quantity]
    keep: Quantity
    at: Mark = NOWHERE


@dataclass(frozen=True, slots=True, kw_only=True)
class Tool:
    """A hand tool: its name and sizes as the layout gives them."""

    name: str
    sizes: tuple[tuple[str, Quantity], ...] = ()
    across_flats: Quantity | None = None
    at: Mark = NOWHERE


@dataclass(frozen=True, slots=True, kw_only=True)
class Reading:
    """One line of the as-built record. `kind` is "size" (of a part, or a named value), "gap", "mass" or
    "isolation resistance"; `of` names what was read: ("m1", "z"), ("m1", "case"), ("plus",). `bus` says what an
    isolation resistance is of: "dc", "dc and ac" or "dc and protected ac"; empty where it is not stated."""

    kind: str
    of: tuple[str, ...]
    readings: tuple[Quantity, ...]
    known_by: str = ""
    at_volts: Quantity | None = None
    bus: str = ""
    at: Mark = NOWHERE


@dataclass(frozen=True, slots=True, kw_only=True)
class Sections:
    """None or empty where the layout has no such section."""

    electrical: Electrical | None = None
    heights: Heights | None = None
    screws: tuple[Screw, ...] = ()
    vehicle: Vehicle | None = None
    assembly: Assembly | None = None
    cables: tuple[Cable, ...] = ()
    ducts: tuple[Duct, ...] = ()
    tools: tuple[Tool, ...] = ()
    measured: tuple[Reading, ...] = ()
