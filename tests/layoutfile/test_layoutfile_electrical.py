"""What the electrical section and the electrical keys of parts refuse, and how they answer."""

from __future__ import annotations

import pytest
from written import layout_text, only, place_of, read

from fitcheck.model.layout import Layout

POTENTIALS = "potentials: {plus: 400 V, minus: -100 V, lamp: {volts: 12 V, circuit: low}}"


def part(name: str, more: str, role: str = "terminal") -> str:
    return (
        f"  {name}: {{role: {role}, change: new, shape: {{box: [5, 5, 5]}}, mass: 1, low_corner: [9, 9, 9], {more}}}\n"
    )


def text(parts: str, more: str = "") -> str:
    return layout_text(parts, below=f"electrical: {{{POTENTIALS}{more}}}\n")


def refused(written: str, what: str, mend: str, at: str) -> None:
    problem = only(written)
    assert what in problem.what
    assert mend in problem.mend
    line, column = place_of(written, at)
    assert (problem.at.line, problem.at.column) == (line, column)


@pytest.mark.parametrize("role", ["keep-out", "service space"])
def test_space_has_no_potential(role: str) -> None:
    refused(text(part("k", "potential: plus", role)), f"'k' is a {role}", "take the potential away", "plus}\n")


def tracking(more: str) -> Layout:
    return read(text(part("b", more)))


def test_a_tracking_index_stands_alone_or_with_its_group() -> None:
    assert tracking("cti: 250").by_name["b"].cti == 250.0
    assert tracking("cti: 250 V, material_group: IIIa").by_name["b"].cti == 250.0


def test_it_is_taken_over_by_like() -> None:
    layout = read(text(part("b", "cti: 250") + "  c: {like: b, low_corner: [30, 9, 9]}\n"))
    assert layout.by_name["c"].cti == 250.0


@pytest.mark.parametrize(
    ("more", "what", "mend", "at"),
    [
        ("cti: 99", "a CTI of 99 V is in no material group", "no creepage distance is given", "99}"),
        (
            "cti: 250, material_group: I",
            "material_group I, but a tracking index of 250 V is group IIIa",
            "keep",
            "250,",
        ),
        ("cti: 250 mm", "is a length", "", "250 mm"),
        ("cti: 250 ± 5", "a tolerance on a tracking index", "plain number", "250 ±"),
        ("cti: 0", "a tracking index of zero", "above zero", "0}"),
    ],
)
def test_tracking_indices_that_are_refused(more: str, what: str, mend: str, at: str) -> None:
    refused(text(part("b", more)), what, mend, at)


def test_a_recurring_peak_is_no_less_than_what_lasts() -> None:
    found = read(text("", ", recurring_peak: 620 V ± 10")).sections.electrical
    assert found is not None
    assert found.recurring_peak is not None
    assert (found.recurring_peak.nominal, found.recurring_peak.high) == (620.0, 630.0)
    what = "a recurring peak of 499 V, but 500 V lasts between two potentials"
    refused(text("", ", recurring_peak: 499 V"), what, "write 500 V or more", "499 V")
    refused(text("", ", recurring_peak: 620"), "has no unit", "with its unit", "620}")


@pytest.mark.parametrize(("more", "is_what"), [("potential: plus", "live"), ("material: steel", "metal")])
def test_nothing_is_cemented_to_metal(more: str, is_what: str) -> None:
    parts = part("b", "cti: 250") + part("q", more)
    refused(text(parts, ", cemented: [[b, q]]"), f"'q' is cemented, but it is {is_what}", "two insulators", "q]]")


@pytest.mark.parametrize("bus", ["dc", "dc and ac", "dc and protected ac"])
def test_the_bus_of_an_isolation_resistance(bus: str) -> None:
    below = f"measured: [{{isolation_resistance: plus, reading: 1 MΩ, at: 500 V, bus: {bus}}}]\n"
    assert read(text("") + below).sections.measured[0].bus == bus


def test_a_bus_of_nothing_or_of_another_kind_is_refused() -> None:
    above = text("")
    refused(above + "measured: [{mass: case, reading: 3, bus: dc}]\n", "a bus of no isolation", "take it away", "bus")
    reading = "measured: [{isolation_resistance: plus, reading: 1 MΩ, bus: hv}]\n"
    refused(above + reading, "unknown word 'hv'", "dc", "hv")
