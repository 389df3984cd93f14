"""Whether anything in a STEP file is curved, by the kinds of surface and curve in it."""

from __future__ import annotations

import re
from collections.abc import Set

STRAIGHT = re.compile(
    rb"(EDGE|SURFACE|SEAM|INTERSECTION|COMPOSITE|TRIMMED|BOUNDED|BOUNDED_SURFACE)_CURVE|(BOUNDED_)?PCURVE"
    rb"|(BOUNDED|CURVE_BOUNDED|RECTANGULAR_TRIMMED|ORIENTED|FACE|ELEMENTARY)_SURFACE|CURVE|SURFACE"
    rb"|CURVE_STYLE\w*|SURFACE_(STYLE|SIDE|RENDERING)\w*|\w*SURFACE_MODEL|\w*SURFACE_SHAPE_REPRESENTATION|PLANE\w*"
    rb"|FILL_AREA\w*|COMPOSITE_CURVE_SEGMENT|GEOMETRIC_CURVE_SET|\w*ANNOTATION\w*|MECHANICAL_DESIGN\w*"
)
"""Words with "curve" or "surface" in them that bend nothing: a parameter curve lies in a surface that is looked at by
itself, and what is bounded or trimmed bends only if what it is cut from does.
"""

BENT = re.compile(
    rb"CURVE|SURFACE|CIRCLE|ELLIPSE|PARABOLA|HYPERBOLA|SPLINE|BEZIER|CLOTHOID|CONIC|SPHERE|TORUS|CYLIND|CONE"
    rb"|REVOLVED|DISK"
)
FACES = re.compile(rb"SURFACE|SPHERE|TORUS|CYLIND|CONIC|CONE|REVOLVED|DISK")


def curved(words: Set[bytes]) -> str:
    """ "faces" where a surface may be other than flat, "edges" where only a curve may be other than straight, else "".

    `words` are the names of the file's entities; one that is not known to be straight counts as bent.
    """
    bent = [word for word in words if BENT.search(word) and not STRAIGHT.fullmatch(word)]
    if any(FACES.search(word) for word in bent):
        return "faces"
    return "edges" if bent else ""
