"""Isolation resistance: does a measured reading reach what the vehicle rule asks for?

What it checks
    Every `isolation_resistance` under `measured`, against ohm per volt of the largest voltage of that circuit.

Why it matters
    A pack that leaks to the body makes the whole vehicle one of the two wires: the next fault, or the next hand on a
    terminal, closes the circuit.

How it is measured
    As read, with the band of the reading; of several readings the lowest counts. A dc bus alone needs 100 ohm per volt.
    An ac bus, or a dc bus joined to one by an inverter or charger, needs 500: a reading between the two says so.

    met: the whole band reaches 100 ohm per volt, and it was read at no less than the working voltage. not met: none of
    it does. cannot tell: the limit lies inside the band, or it was read at a lower voltage or at one that is not
    stated; a plain multimeter drives a few volts and sees nothing of what breaks down at pack voltage.

Example
    0.42 MΩ read at 294 V, where 294 V is the largest voltage: 29 400 ohm are needed. Met.

How to mend
    Find the leak: damp, a chafed cable, a coolant film. Read again with an insulation tester at the working voltage or
    above. Isolate, lock off and prove the absence of voltage first, with a tester proved before and after; insulated
    gloves and tools; never put a tester's voltage across cells or electronics that are not rated for it.

Source
    UN R100, 02 and 03 series, 5.1.3, as quoted on public pages (read on three that agree); the test voltage from
    memory, unverified. The original decides. At or above the cited figure is not an approval.
"""

from __future__ import annotations

from fitcheck.checks.potentials import whole_voltage
from fitcheck.findings import Band, Finding, Rule, Sense, Status, judge
from fitcheck.model.part import Build
from fitcheck.model.sections import Electrical, Reading
from fitcheck.standards.insulation import BOUGHT_STANDARD, ISOLATION_COMBINED, ISOLATION_DC
from fitcheck.study import Study

NAME = "isolation resistance"


def check(study: Study, build: Build) -> list[Finding]:
    """One finding for each reading, in file order. The record is of what was built: the proposed build."""
    electrical = study.layout.sections.electrical
    if electrical is None or build is not Build.PROPOSED:
        return []
    return [_finding(electrical, build, reading) for reading in study.layout.sections.measured if reading.kind == NAME]


def _finding(electrical: Electrical, build: Build, reading: Reading) -> Finding:
    circuit = next(found.circuit for found in electrical.potentials if found.name == reading.of[0])
    volts = whole_voltage(electrical, circuit)
    required = ISOLATION_DC.ohm_per_volt * volts
    band = _band(reading)
    status = judge(band, required, Sense.AT_LEAST, "worst case")
    resting = tuple(value.name for value in reading.readings if value.is_guess)
    reason, settle = _doubt(reading, volts, band.low, resting)
    if status is Status.MET and settle:
        status = Status.CANNOT_TELL
    elif status is Status.CANNOT_TELL:
        settle = settle or "read it again with a better instrument"
    return Finding(
        check=NAME,
        parts=reading.of,
        build=build,
        status=status,
        rule=Rule(
            name=f"{ISOLATION_DC.ohm_per_volt:g} ohm per volt, {ISOLATION_DC.bus}",
            text=f"{volts:g} V is the largest voltage of circuit {circuit}; {BOUGHT_STANDARD}",
            source=ISOLATION_DC.source,
        ),
        band=band,
        unit="ohm",
        required=required,
        sense=Sense.AT_LEAST,
        reason=reason,
        settle_by="" if status is Status.NOT_MET else settle,
        rests_on_guess=resting,
    )


def _band(reading: Reading) -> Band:
    """The lowest reading: each bound the lowest of its kind."""
    value, low, high = (min(getattr(one, end) for one in reading.readings) for end in ("nominal", "low", "high"))
    return Band(value=value, low=low, high=high, rss_low=low, rss_high=high)


def _doubt(reading: Reading, volts: float, low: float, resting: tuple[str, ...]) -> tuple[str, str]:
    """(what to say, what would settle it): the second is empty where the reading can be relied on."""
    again = f"read it again with an insulation tester at {volts:g} V or more, and state at: the test voltage"
    if reading.at_volts is None:
        return "the voltage at which it was read is not stated", again
    if reading.at_volts.high < volts:
        return f"read at {reading.at_volts.nominal:g} V, below the working voltage of {volts:g} V", again
    if resting:
        return f"rests on a guess: {', '.join(resting)}", again
    joined = ISOLATION_COMBINED.ohm_per_volt * volts
    if low < joined:
        return f"below the {joined:g} ohm that are needed where an inverter or charger joins ac to this bus", ""
    return "", ""
