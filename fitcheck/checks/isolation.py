"""Isolation resistance: does a measured reading reach what the vehicle rule asks for?

What it checks
    Every `isolation_resistance` under `measured`, against ohm per volt of the largest voltage of that circuit.

Why it matters
    A pack that leaks to the body makes the whole vehicle one of the two wires: the next fault, or the next hand on a
    terminal, closes the circuit.

How it is measured
    As read, with the band of the reading; of several readings the lowest counts. A dc bus alone (`bus: dc`) needs 100
    ohm per volt. A dc bus that an inverter or a charger joins to ac without separating the two (`bus: dc and ac`) needs
    500; 100 serve where the ac side has two layers of solid insulation or barriers, or robust enclosures (`bus: dc and
    protected ac`). Where `bus` is not stated, 100 are asked for, and fewer than 500 are not taken to be enough.

    met: the whole band reaches what is asked for, and it was read at no less than the working voltage. not met: none of
    it does. cannot tell: the limit lies inside the band, it is below 500 ohm per volt and nothing says which bus it is,
    or it was read at a lower voltage or at one that is not stated; a plain multimeter drives a few volts and sees
    nothing of what breaks down at pack voltage. not checked: all potentials of the circuit are the same, so its voltage
    is not known.

Example
    0.42 MΩ read at 294 V, where 294 V is the largest voltage: 29 400 ohm are needed for dc, 147 000 with ac. Met.

How to mend
    Find the leak: damp, a chafed cable, a coolant film. Read again with an insulation tester at the working voltage or
    above. Isolate, lock off and prove the absence of voltage first, with a tester proved before and after; insulated
    gloves and tools; never put a tester's voltage across cells or electronics that are not rated for it.

Source
    UN R100, 02 and 03 series, 5.1.3, as quoted on public pages (read on three that agree); the test voltage from
    memory, unverified. The original decides. At or above the cited figure is not an approval.
"""

from __future__ import annotations

from dataclasses import replace

from fitcheck.checks.potentials import STATE_VOLTAGE, no_voltage, whole_voltage
from fitcheck.findings import Band, Finding, Rule, Sense, Status, judge
from fitcheck.model.part import Build
from fitcheck.model.sections import Electrical, Reading
from fitcheck.standards.insulation import BOUGHT_STANDARD, ISOLATION_BY_BUS, ISOLATION_COMBINED, ISOLATION_DC
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
    limit = ISOLATION_BY_BUS[reading.bus] if reading.bus else ISOLATION_DC
    required = limit.ohm_per_volt * volts
    band = _band(reading)
    finding = Finding(
        check=NAME,
        parts=reading.of,
        build=build,
        status=judge(band, required, Sense.AT_LEAST, "worst case"),
        rule=Rule(
            name=f"{limit.ohm_per_volt:g} ohm per volt, {limit.bus}",
            text=f"{volts:g} V is the largest voltage of circuit {circuit}; {BOUGHT_STANDARD}",
            source=limit.source,
        ),
        band=band,
        unit="ohm",
        required=required,
        sense=Sense.AT_LEAST,
        rests_on_guess=tuple(value.name for value in reading.readings if value.is_guess),
    )
    if volts <= 0.0:
        return replace(
            finding, status=Status.NOT_CHECKED, required=None, reason=no_voltage(circuit), mend=STATE_VOLTAGE
        )
    reason, settle = _doubt(reading, volts, band.low, finding.rests_on_guess)
    if finding.status is Status.MET:
        return replace(finding, status=Status.CANNOT_TELL if settle else Status.MET, reason=reason, settle_by=settle)
    if finding.status is Status.CANNOT_TELL:
        settle = settle or "read it again with a better instrument"
        return replace(finding, reason=reason, settle_by=settle)
    return replace(finding, reason=reason)


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
    if not reading.bus and low < joined:
        say = "state bus: dc, or bus: dc and ac, or bus: dc and protected ac"
        return f"below the {joined:g} ohm that are needed where an inverter or charger joins ac to this bus", say
    return "", ""
