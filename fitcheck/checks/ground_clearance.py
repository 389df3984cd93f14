"""Ground clearance: does enough stay free under the vehicle when the springs have given way?

What it checks
    The ground clearance with the proposed build against the least that the layout asks for (`ground_clearance` with
    `at_least`).

Why it matters
    A pack is the lowest and the dearest thing under the vehicle. Some centimetres less, a kerb, and the case takes the
    blow that its seals and modules were not made for.

How it is measured
    The measured clearance less how far the springs sink: the change of each axle's load times g over the axle's spring
    rate, the largest of both axles and both ends of the case, since the layout does not say where the clearance was
    measured. A payload, where one is given, presses the springs further. What hangs lower than anything that was there
    before comes off too. Tyres are not counted.

    cannot tell: no spring rates, or the axle loads cannot be worked out.

Example
    180 mm measured, 160 asked for, the rear axle 100 kg heavier on springs of 60 N/mm: it sinks 16.3 mm and 163.7 mm
    are left. Met.

How to mend
    Raise the pack, or have springs of the right rate fitted. Never crawl beneath a vehicle that stands on a jack alone:
    stands under it and chocks at the wheels first.

Source
    Hooke's law. The least clearance is the layout's own; public rules come as rule cards, by name.
"""

from __future__ import annotations

from fitcheck.findings import Finding, Rule, Sense, Status, judge
from fitcheck.model.part import Build
from fitcheck.sources import Source
from fitcheck.vehicle.balance import Weighed

NAME = "ground clearance"
RULE = Rule(
    name="least ground clearance",
    text="what stays free under the vehicle with the proposed build",
    source=Source(document="the layout's own rule"),
)


def check(weighed: Weighed) -> list[Finding]:
    """One finding where a least clearance is asked for."""
    least, known = weighed.swap.vehicle.ground_clearance_least, weighed.summary.ground_clearance
    if least is None or known is None:
        return []
    after = known[1]
    guesses = tuple(value.name for value in weighed.summary.guesses)
    status, reason = Status.CANNOT_TELL, "the change of load and the rates of both axles' springs are needed"
    settle = "state the spring rate of both axles"
    if after is not None:
        status, reason, settle = judge(after, least.nominal, Sense.AT_LEAST, weighed.judge_by), _dropped(weighed), ""
        if status is Status.CANNOT_TELL:
            settle = "measure the clearance under the finished vehicle"
        elif status is Status.MET and (weighed.swap.guesses or guesses):
            status, settle = Status.CANNOT_TELL, f"measure {(weighed.swap.guesses or guesses)[0]}"
    return [
        Finding(
            check=NAME,
            parts=(),
            build=Build.PROPOSED,
            status=status,
            rule=RULE,
            band=after,
            unit="mm",
            required=least.nominal,
            sense=Sense.AT_LEAST,
            reason=reason,
            settle_by=settle,
            rests_on_guess=weighed.swap.guesses,
        )
    ]


def _dropped(weighed: Weighed) -> str:
    said = []
    for axle, drop in weighed.loaded_drops.items():
        way = "sinks" if drop.value >= 0.0 else "rises"
        said.append(f"the {axle} axle {way} by {abs(drop.value):.1f} mm")
    if weighed.swap.laden is not None:
        said.append("payload aboard")
    elif weighed.swap.vehicle.weighed_as != "laden":
        said.append("this proves nothing for the laden vehicle")
    return "; ".join(said)
