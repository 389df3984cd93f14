"""What a verdict does not speak of."""

from __future__ import annotations

from fitcheck.checks.potentials import taken_as_metal
from fitcheck.model.layout import Layout
from fitcheck.model.part import Build, Change

NEVER = (
    "strength, vibration, crash loads, sealing, heat, and the electrical and fire safety of the modules themselves",
    "shapes that are not in the layout: cables, brackets, weld beads, dents and labels that nobody drew",
)


def not_covered(layout: Layout, verb: str) -> tuple[str, ...]:
    """Plain statements, most particular first."""
    if verb == "balance":
        return _for_balance(layout)
    sections = layout.sections
    said = []
    if not layout.gap_rules:
        said.append("gaps: the layout asks for none, so only overlap was looked for")
    if sections.electrical is None:
        said.append("clearance and creepage: no potentials are given")
    else:
        said += _electrical(layout)
    if sections.assembly is None:
        said.append("whether it can be put together: no assembly sequence is given")
    if not any(part.grows for part in layout.parts) and any(part.role == "module" for part in layout.parts):
        said.append("swelling of the modules with age: no part grows")
    said += _vehicle(layout)
    said += _play(layout)
    if not any(part.role == "lid" for part in layout.parts):
        said.append("the lid: the layout has none")
    return (*said, *NEVER)


def _electrical(layout: Layout) -> list[str]:
    """What clearance, creepage and touch leave out."""
    said = [
        "live parts and insulation that nobody drew; on clearance and creepage the bought standard decides",
        "touch protection at openings that nobody drew: cable entries, screws left out, vents",
    ]
    metal = sorted({name for build in Build for name in taken_as_metal(layout, build)})
    if metal:
        said.append(f"what these parts are made of (they count as floating metal): {', '.join(metal)}")
    return said


def _vehicle(layout: Layout) -> list[str]:
    """What is left out about the vehicle."""
    vehicle = layout.sections.vehicle
    if vehicle is None:
        return ["axle loads and limits: no vehicle is given"]
    stated = dict(vehicle.limits)
    names = {"front": "the front axle", "rear": "the rear axle", "gross": "the gross mass"}
    lacking = [name for key, name in names.items() if key not in stated]
    said = [f"limits of {', '.join(lacking)}: none is given under the vehicle's limits"] if lacking else []
    if vehicle.weighed_as != "laden" and not vehicle.payload:
        said.append("the laden vehicle: it is not said to be weighed laden, and no payload is given")
    return [*said, "brakes, tyres, steering and handling of the vehicle"]


def _play(layout: Layout) -> list[str]:
    """Parts that can move count where they are drawn, for their mass."""
    moving = [part.name for part in layout.parts if part.play]
    return [f"mass and balance with these parts elsewhere in their play: {', '.join(moving)}"] if moving else []


def _for_balance(layout: Layout) -> tuple[str, ...]:
    said = [
        "whether anything fits",
        "retained parts that move: they count where the new build has them, in both builds",
    ]
    said += _vehicle(layout)
    said += _play(layout)
    if not any(part.change is Change.REMOVED for part in layout.parts):
        said.append("what was taken out: the layout has no removed part, so the original build is what is retained")
    return tuple(said)
