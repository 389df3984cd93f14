"""Mass: is the mass and the centre of gravity of both builds known?

What it checks
    That every part of the original and of the proposed build has a mass, from a scale or from its volume and material,
    and a centre of mass.

Why it matters
    A part without a mass would count as nothing, and the vehicle's owner would be told a change that is not true. Old
    modules are the usual gap: weigh them before they leave the workshop.

How it is measured
    A mass stated in the layout counts first; else the volume of the shape times the density of the material, with the
    range of both. Meshes give a volume only if they are sound closed solids, or if their hull is allowed by name.

Example
    A removed module without a mass: the original build's mass is unknown, and so is the change.

How to mend
    Weigh the part and write `mass: 26.2 ± 0.1`. Lift with rated gear, nobody beneath, and treat swollen or damaged
    modules as what they are: a fire that has not started yet.

Source
    Densities: public materials tables, with the range in which they disagree.
"""

from __future__ import annotations

from fitcheck.findings import Band, Finding, Rule, Status
from fitcheck.model.part import Build, Change
from fitcheck.result import Balance, MassSummary
from fitcheck.sources import PRACTICE

NAME = "mass"
RULE = Rule(name="mass known", text="every part has a mass and a centre of mass", source=PRACTICE)


def check(balance: Balance) -> list[Finding]:
    """One finding for each build."""
    reasons = {row.part: row.reason for row in balance.ledger}
    return [
        _finding(build, summary, reasons, _guessed(balance, build))
        for build, summary in ((Build.ORIGINAL, balance.original), (Build.PROPOSED, balance.proposed))
    ]


def _guessed(balance: Balance, build: Build) -> tuple[str, ...]:
    return tuple(
        row.mass.name
        for row in balance.ledger
        if row.mass is not None and row.mass.is_guess and build.holds(Change(row.change))
    )


def _finding(build: Build, summary: MassSummary, reasons: dict[str, str], guessed: tuple[str, ...]) -> Finding:
    if summary.mass_kg is None:
        missing = "; ".join(f"{name}: {reasons[name]}" for name in summary.missing)
        return Finding(
            check=NAME,
            parts=summary.missing,
            build=build,
            status=Status.CANNOT_TELL,
            rule=RULE,
            unit="kg",
            reason=missing or "the build has no part with a mass",
            settle_by=", ".join(f"weigh {name}" for name in summary.missing),
        )
    mass, worst, rss = summary.mass_kg, summary.mass_worst, summary.mass_rss
    band = Band(value=mass, low=mass - worst, high=mass + worst, rss_low=mass - rss, rss_high=mass + rss)
    return Finding(
        check=NAME,
        parts=(),
        build=build,
        status=Status.CANNOT_TELL if guessed else Status.MET,
        rule=RULE,
        unit="kg",
        band=band,
        reason=f"rests on a guess: {', '.join(guessed)}" if guessed else "",
        settle_by=", ".join(f"weigh {name.removesuffix('.mass')}" for name in guessed),
        rests_on_guess=guessed,
    )
