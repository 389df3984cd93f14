"""Made-up results and scenes for the report tests; the figures mean nothing."""

from __future__ import annotations

import numpy as np

from fitcheck.findings import Band, Finding, Rule, Sense, Status
from fitcheck.model.quantity import Quantity
from fitcheck.report.scene import DrawnPart, Scene
from fitcheck.result import Balance, Counted, LedgerRow, MassSummary, Result, Room, verdict
from fitcheck.sources import PRACTICE

GAP = Rule(name="every module – every enclosure", text="weld beads and vibration", source=PRACTICE)
OVERLAP = Rule(name="no overlap", text="two parts cannot be in one place", source=PRACTICE)


def gap(parts, low, value, high, required, status, **more) -> Finding:
    middle = (low + high) / 2
    band = Band(value=value, low=low, high=high, rss_low=(low + middle) / 2, rss_high=(high + middle) / 2)
    return Finding(
        check="gap", parts=parts, build="proposed", state=more.pop("state", "beginning of life"), status=status,
        rule=more.pop("rule", GAP), band=band, unit="mm", required=required, **more,
    )  # fmt: skip


NOT_MET = gap(("m1", "case"), 3.7, 4.2, 4.7, 5.0, Status.NOT_MET, points=((10.0, 30.0, 40.0), (5.8, 30.0, 40.0)),
              mend="move m1 rear by 1.3 mm")  # fmt: skip
CANNOT = gap(("m2", "case"), 1.25, 2.5, 3.75, 2.0, Status.CANNOT_TELL, points=((0.0, 2.5, 0.0), (0.0, 0.0, 0.0)),
             settle_by="case.inside.y to ± 0.5 mm")  # fmt: skip
CONCEDED = gap(("m2", "column_2"), 1.3, 1.5, 1.7, 2.0, Status.UNDER_CONCESSION,
               reason="down to 1.20 mm: column is trimmed on site, signed A.B., 2026-03-02")  # fmt: skip
MET = gap(("m1", "m2"), 3.5, 4.0, 4.5, 3.0, Status.MET)
MET_END = gap(("m1", "m2"), 3.1, 3.6, 4.1, 3.0, Status.MET, state="end of life")
UNCHECKED = Finding(check="clearance", parts=(), build="proposed", status=Status.NOT_CHECKED, rule=OVERLAP,
                    reason="the layout states potentials; this version does not measure them")  # fmt: skip
OVERLAPPING = Finding(
    check="overlap", parts=("m3", "duct"), build="proposed", state="beginning of life", status=Status.NOT_MET,
    rule=OVERLAP, band=Band(value=2.0, low=1.5, high=2.5, rss_low=1.7, rss_high=2.3), unit="mm", required=0.0,
    sense=Sense.AT_MOST, volume_mm3=1234.5, points=((1.0, 2.0, 3.0), (1.0, 2.0, 3.0)),
)  # fmt: skip

BALANCE = Balance(
    ledger=(
        LedgerRow(part="case", change="retained", mass=Quantity(name="case.mass", nominal=23.4, unit="kg", below=0.1,
                  above=0.1), centre=(655.0, 410.0, 30.0), centre_band=(1.0, 1.0, 1.0), source="scale"),
        LedgerRow(part="old_1", change="removed", mass=None, centre=(100.0, 100.0, 60.0), centre_band=(0.0, 0.0, 0.0),
                  source="", reason="neither mass nor material is stated"),
    ),
    original=MassSummary(mass_kg=None, missing=("old_1",), known_kg=23.4),
    proposed=MassSummary(
        mass_kg=1188.12345678, mass_worst=0.4, mass_rss=0.2, cg_mm=(650.0, -0.0, 60.25), cg_worst=(2.0, 1.0, 1.0),
        cg_rss=(1.0, 0.5, 0.5), inertia_kg_m2=((1.0, -0.1, 0.0), (-0.1, 2.0, 0.0), (0.0, 0.0, 3.0)), known_kg=1188.12,
    ),
    change=None,
)  # fmt: skip

ROOM = Room(part="m1", limit_mm=25.0, ways=(
    ("front", 1.2, "gap to case"), ("rear", 0.5, "gap to m2"), ("left", None, ""), ("right", 3.25, "gap to m4"),
    ("bottom", 0.0, "overlap with pad_1"), ("top", None, ""),
))  # fmt: skip


def result(*findings: Finding, **more) -> Result:
    chosen = findings or (MET, UNCHECKED, CANNOT, CONCEDED, MET_END, OVERLAPPING, NOT_MET)
    fields = {
        "verb": "check", "file": "shuttle.yaml", "title": "Crew shuttle, six-module proposal", "sha256": "ab" * 32,
        "judge_by": "worst case", "verdict": verdict(chosen), "findings": chosen,
        "not_covered": ("clearance and creepage: no potentials are given",),
        "taken_as_exact": (Quantity(name="lid.x", nominal=1314.0, unit="mm"),
                           Quantity(name="lid.y", nominal=824.0, unit="mm")),
        "guesses": (Quantity(name="duct.mass", nominal=0.8, unit="kg", below=0.2, above=0.2, known_by="guess"),),
        "notes": ("the duct's mesh is not closed",),
        "counted": Counted(parts=12, pairs=66, measured=20, far_apart=46), "balance": BALANCE, "room": (ROOM,),
    }  # fmt: skip
    return Result(**(fields | more))


def box(name, role, change, low, high, status=None) -> DrawnPart:
    """A box as twelve outward triangles."""
    low, high = np.asarray(low, float), np.asarray(high, float)
    corners = np.array([[x, y, z] for x in (0, 1) for y in (0, 1) for z in (0, 1)]) * (high - low) + low
    quads = [(0, 1, 3, 2), (4, 6, 7, 5), (0, 4, 5, 1), (2, 3, 7, 6), (0, 2, 6, 4), (1, 5, 7, 3)]
    faces = np.array([face for a, b, c, d in quads for face in ((a, b, c), (a, c, d))])
    return DrawnPart(name=name, role=role, change=change, vertices=corners, faces=faces, status=status)


def joined(first: DrawnPart, *others: DrawnPart) -> DrawnPart:
    """Several pieces as one part."""
    vertices, faces, start = [], [], 0
    for piece in (first, *others):
        vertices.append(piece.vertices)
        faces.append(piece.faces + start)
        start += len(piece.vertices)
    return DrawnPart(name=first.name, role=first.role, change=first.change, vertices=np.vstack(vertices),
                     faces=np.vstack(faces), status=first.status)  # fmt: skip


def tray(name, inside, wall, floor, lip) -> DrawnPart:
    x, y, z = inside

    def piece(low, high):
        return box(name, "enclosure", "retained", low, high)

    return joined(
        piece((-wall, -wall, -floor), (x + wall, y + wall, 0)),
        piece((-wall, -wall, 0), (0, y + wall, z)), piece((x, -wall, 0), (x + wall, y + wall, z)),
        piece((0, -wall, 0), (x, 0, z)), piece((0, y, 0), (x, y + wall, z)),
        piece((0, 0, z - 2), (lip, y, z)), piece((x - lip, 0, z - 2), (x, y, z)),
        piece((lip, 0, z - 2), (x - lip, lip, z)), piece((lip, y - lip, z - 2), (x - lip, y, z)),
    )  # fmt: skip


def scene() -> Scene:
    modules = [
        box(f"m{1 + i + 3 * j}", "module", "new", (12 + i * 414, 10 + j * 172, 8), (422 + i * 414, 178 + j * 172, 134))
        for j in range(2) for i in range(3)
    ]  # fmt: skip
    pads = [
        box(f"pad_{1 + i + 3 * j}", "spacer", "new", (22 + i * 414, 19 + j * 172, 0), (412 + i * 414, 169 + j * 172, 8))
        for j in range(2) for i in range(3)
    ]  # fmt: skip
    return Scene(
        title="Crew shuttle, six-module proposal", build="proposed", axes=("rearward", "right", "up"),
        parts=(
            tray("case", (1310, 820, 160), 2, 2.5, 12),
            box("lid", "lid", "retained", (-2, -2, 160), (1312, 822, 162)),
            *pads, *modules,
            box("column_2", "column", "retained", (1265, 300, 0), (1283, 318, 150)),
            box("junction", "junction box", "retained", (60, 560, 0), (360, 760, 110)),
            box("duct", "duct", "retained", (420, 700, 20), (1060, 738, 140)),
            box("fan", "fan", "retained", (1090, 560, 10), (1250, 760, 130)),
            box("disconnect", "disconnect", "retained", (440, 560, 0), (560, 660, 150)),
        ),
    )  # fmt: skip
