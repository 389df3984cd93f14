"""Screws in words: grip, window, length, and what a torque does."""

from __future__ import annotations

from collections.abc import Sequence

from fitcheck.report.look import Look
from fitcheck.report.wording import floored, plain, raised
from fitcheck.result_heights import ScrewRow

PRACTICE = (
    "The part maker's torque comes first; a figure here only says whether a torque makes sense.",
    "Tighten by hand with a torque wrench, in a star pattern, never with an impact driver.",
    "No grease on a thread unless its torque was given for greased screws.",
    "Mark each tight screw with a paint line over head and part, and look at the lines again after the first drive.",
)


def section(screws: Sequence[ScrewRow], look: Look) -> list[str]:
    """The table of windows, then each screw's particulars, then how to tighten."""
    if not screws:
        return []
    lines = look.heading("Screws [mm]: which lengths hold enough thread and do not bottom out")
    head = ("screw", "thread", "places", "grip", "window", "at worst", "length")
    rows = [
        (
            row.screw,
            row.thread,
            str(row.places) if row.places else "-",
            "unknown" if row.grip_mm is None else plain(row.grip_mm, 1),
            _window(row.window_mm),
            _window(row.worst_window_mm, inward=True),
            _length(row),
        )
        for row in screws
    ]
    lines += look.table(head, rows, left=2)
    for row in screws:
        lines += _particulars(row, look)
    return lines + [line for said in PRACTICE for line in look.paragraph(f"- {said}", indent="  ", hang="    ")]


def _window(window: tuple[float, float | None] | None, *, inward: bool = False) -> str:
    """A window; `inward` rounds its ends toward its inside, so that none looks wider than it is."""
    if window is None:
        return "unknown"
    low, high = window
    first = raised(low, 1) if inward else plain(low, 1)
    if high is None:
        return f"{first} and up"
    if inward and high < low:
        return "none"
    return f"{first} to {floored(high, 1) if inward else plain(high, 1)}"


def _length(row: ScrewRow) -> str:
    if row.length_mm is None:
        return "none fits" if row.window_mm is not None else "-"
    return f"{row.length_mm:g} ± {plain(row.length_pm_mm, 2)}"


def _particulars(row: ScrewRow, look: Look) -> list[str]:
    said = []
    if row.grip_of:
        said.append("clamps " + ", ".join(f"{what} {thickness:g}" for what, thickness in row.grip_of))
    if row.opened_by:
        added, length = row.choices[0]
        said.append(f"opened by {added}: then {length:g} fits")
    rest = row.choices[1:] if row.opened_by else row.choices
    said += [f"would also do: {what}, with a screw of {length:g}" for what, length in rest]
    if row.preload_kn is not None and row.proof_kn is not None:
        low, high = row.preload_kn
        said.append(
            f"{row.torque_nm:g} N·m gives {floored(low, 1)} to {raised(high, 1)} kN, the less the more it rubs; proof "
            f"load {floored(row.proof_kn, 1)} kN"
        )
    said += row.notes
    return [line for text in said for line in look.paragraph(f"- {row.screw}: {text}", indent="  ", hang="    ")]
