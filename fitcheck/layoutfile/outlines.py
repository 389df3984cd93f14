"""Whether the outline of a prism is one that can be drawn."""

from __future__ import annotations

from fitcheck.model.shape import Ring

MOST_POINTS = 20_000
"""An outline with more points is a scan, not a drawing."""


def outline_problem(outline: Ring, holes: tuple[Ring, ...]) -> tuple[str, str] | None:
    """What is wrong with an outline and its holes, and how to mend it; None when nothing is."""
    if len(outline) + sum(len(hole) for hole in holes) > MOST_POINTS:
        return f"an outline of more than {MOST_POINTS:,} points", "draw it with fewer"
    # shapely costs 0.1 s to load; layouts without a prism need none of it.
    from shapely import Polygon
    from shapely.validation import explain_validity

    plain = Polygon(outline)
    if plain.area == 0:
        return "the outline has no area", "write its corners in order, going round once"
    if not plain.is_valid:
        return f"the outline crosses itself ({explain_validity(plain)})", "write its corners in order, going round once"
    drawn = Polygon(outline, holes)
    if not drawn.is_valid:
        why = explain_validity(drawn)
        return f"a hole leaves the outline, or meets another hole ({why})", "keep every hole inside and apart"
    return None
