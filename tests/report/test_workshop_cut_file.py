"""Cut files read back by a reader of our own (group codes only), by trimesh, and by ezdxf's audit."""

from __future__ import annotations

import io
import itertools
import math
import re
from dataclasses import dataclass, field, replace

import pytest
from workshop_layouts import HOSTILE, piece_of, work_of

from fitcheck.makeable.contour import Loop, Round, area, polygon_of, rectangle
from fitcheck.makeable.laser import remarks_of
from fitcheck.makeable.piece import Label, Opening, Piece
from fitcheck.model.quantity import exact
from fitcheck.report.workshop import cut_file
from fitcheck.report.workshop.origin import Origin

WORK = work_of()
FLAT = [piece for piece in WORK.pieces if piece.is_flat]


TOLERANCE = {"part": "ISO 2768-m", "gauge": "±0.5", "dummy": "±0.2"}
EDGES = {
    "mild steel": "Deburr all edges", "PA66-GF30": "Scrape burrs off", "POM": "Scrape burrs off",
    "birch plywood, dry": "abrasive paper",
}  # fmt: skip
ORIGIN = Origin(title="Bench", layout_file="bench.yaml", sha256="ab" * 32, made_on="2026-03-02", general="ISO 2768-m")


def rendered(piece) -> bytes:
    return cut_file.render(piece, ORIGIN, drawing="drawings/piece.pdf")


def said_in(content: bytes) -> str:
    return " ".join(entity.all(1)[0] for entity in entities_of(content) if entity.layer == "TEXT")


@dataclass
class Entity:
    kind: str
    groups: list[tuple[int, str]] = field(default_factory=list)

    def all(self, code: int) -> list[str]:
        return [value for number, value in self.groups if number == code]

    @property
    def layer(self) -> str:
        return self.all(8)[0]

    @property
    def corners(self) -> list[tuple[float, float]]:
        return list(zip(map(float, self.all(10)), map(float, self.all(20)), strict=True))

    @property
    def area(self) -> float:
        if self.kind == "CIRCLE":
            return math.pi * float(self.all(40)[0]) ** 2
        after = [*self.corners[1:], self.corners[0]]
        chords = sum(x * b - a * y for (x, y), (a, b) in zip(self.corners, after, strict=True)) / 2.0
        bows = sum(
            _bow(math.dist(one, other), bulge)
            for one, other, bulge in zip(self.corners, after, self.bulges, strict=True)
        )
        return abs(chords + bows)

    @property
    def bulges(self) -> list[float]:
        """Of each corner; the group stands behind its corner, and only where it is not 0."""
        found: list[float] = []
        for code, value in self.groups:
            if code == 10:
                found.append(0.0)
            elif code == 42:
                found[-1] = float(value)
        return found


def _bow(chord: float, bulge: float) -> float:
    """The area between an arc and its chord, positive to the right of the chord."""
    if not bulge:
        return 0.0
    angle = 4.0 * math.atan(bulge)
    radius = chord / (2.0 * math.sin(angle / 2.0))
    return radius**2 * (angle - math.sin(angle)) / 2.0


def groups_of(content: bytes) -> list[tuple[int, str]]:
    lines = content.decode("utf-8").splitlines()
    return [(int(code), value) for code, value in zip(lines[::2], lines[1::2], strict=True)]


def header_of(content: bytes) -> dict[str, str]:
    groups = groups_of(content)
    return {value: groups[index + 1][1] for index, (code, value) in enumerate(groups) if code == 9}


def entities_of(content: bytes) -> list[Entity]:
    groups = groups_of(content)
    start = next(i for i, pair in enumerate(groups) if pair == (2, "ENTITIES"))
    found: list[Entity] = []
    for code, value in groups[start + 1 :]:
        if (code, value) == (0, "ENDSEC"):
            break
        if code == 0:
            found.append(Entity(value))
        elif found:
            found[-1].groups.append((code, value))
    return found


def cuts_of(content: bytes) -> list[Entity]:
    return [entity for entity in entities_of(content) if entity.layer == "CUT"]


@pytest.mark.parametrize("piece", FLAT, ids=lambda piece: piece.name)
class TestEveryCutFile:
    def test_says_millimetres(self, piece):
        header = header_of(rendered(piece))
        assert header["$ACADVER"] == "AC1024"
        assert header["$INSUNITS"] == "4"
        assert header["$MEASUREMENT"] == "1"

    def test_has_closed_contours_only(self, piece):
        for entity in cuts_of(rendered(piece)):
            assert entity.kind in ("LWPOLYLINE", "CIRCLE")
            assert entity.kind == "CIRCLE" or int(entity.all(70)[0]) & 1

    def test_keeps_the_area_to_a_millionth(self, piece):
        whole, *openings = cuts_of(rendered(piece))
        assert whole.area - sum(opening.area for opening in openings) == pytest.approx(piece.area_mm2, rel=1e-9)
        loops = [entity for entity in (whole, *openings) if entity.kind == "LWPOLYLINE"]
        for entity in loops:
            from shapely import Polygon

            assert Polygon(entity.corners).area == pytest.approx(entity.area, abs=1e-6)

    def test_cuts_nothing_twice(self, piece):
        seen = [(entity.kind, *sorted(entity.corners), *entity.all(40)) for entity in cuts_of(rendered(piece))]
        assert len(set(seen)) == len(seen) == 1 + len(piece.openings)

    def test_has_a_square_of_the_said_side_clear_of_the_part(self, piece):
        (square,) = [e for e in entities_of(rendered(piece)) if e.layer == "SCALE_CHECK" and e.kind == "LWPOLYLINE"]
        side = math.sqrt(square.area)
        assert side == pytest.approx(100.0 if max(piece.size) >= 100.0 else 20.0, abs=1e-9)
        assert min(x for x, _ in square.corners) >= piece.size[0] + 10.0
        texts = [e.all(1)[0] for e in entities_of(rendered(piece)) if e.layer == "SCALE_CHECK" and e.kind == "TEXT"]
        assert texts == [f"{side:g} mm, do not cut"]

    def test_says_quantity_material_and_thickness(self, piece):
        first = next(entity.all(1)[0] for entity in entities_of(rendered(piece)) if entity.layer == "TEXT")
        assert first == (
            f"{piece.name} | QUANTITY {piece.quantity} | MATERIAL {piece.material} | "
            f"THICKNESS {piece.thickness.nominal:g} mm"
        )

    def test_answers_what_a_shop_asks(self, piece):
        text = said_in(rendered(piece))
        for said in ("Millimetres, 1:1. Cut layer CUT only", "SCALE_CHECK and TEXT are to be read, not cut",
                     "no bends", "without allowance for the width of the cut", "whichever way the sheet was rolled",
                     f"tolerance where none is given: {TOLERANCE[piece.kind]}", "Drawing: drawings/piece.pdf.",
                     "From bench.yaml, SHA-256 abababababab, made on 2026-03-02."):  # fmt: skip
            assert said in text, said
        assert ("not tapped, not countersunk" in text) == bool(piece.openings)
        assert ("either side may lie up" in text) != bool(piece.labels)
        assert (EDGES[piece.material] in text) == (piece.kind != "dummy")
        assert text.count("SETTLE FIRST: ") == len(piece.remarks) + (piece.kind == "part")
        assert ("The workshop that ordered it checks the sizes" in text) == (piece.kind == "part")
        assert all(label.text in text for label in piece.labels)
        assert all(said[1:] in text for said in piece.says)

    def test_has_its_text_clear_of_the_cuts(self, piece):
        tops = [float(e.all(20)[0]) + float(e.all(40)[0]) for e in entities_of(rendered(piece)) if e.layer == "TEXT"]
        assert max(tops) < -9.0
        assert all(one - other > 0.0 for one, other in itertools.pairwise(tops))

    def test_has_no_other_layers(self, piece):
        used = {entity.layer for entity in entities_of(rendered(piece))}
        assert used <= {"CUT", "SCALE_CHECK", "TEXT", "MARK"}
        assert ("MARK" in used) == bool(piece.labels)

    def test_passes_the_audit_of_its_library(self, piece):
        import ezdxf

        document = ezdxf.read(io.StringIO(rendered(piece).decode("utf-8")))
        auditor = document.audit()
        assert not auditor.errors
        assert not auditor.fixes

    def test_is_the_same_file_again(self, piece):
        assert rendered(piece) == rendered(piece)

    def test_is_read_alike_by_another_library(self, piece):
        import trimesh

        path = trimesh.load_path(io.BytesIO(rendered(piece)), file_type="dxf")
        assert path.units == "millimeters"
        low, high = path.bounds
        side = 100.0 if max(piece.size) >= 100.0 else 20.0
        assert high[0] - low[0] == pytest.approx(piece.size[0] + 20.0 + side, abs=1e-6)
        cuts = trimesh.path.Path2D(
            entities=[entity for entity in path.entities if entity.layer == "CUT"], vertices=path.vertices
        )
        # It holds circles by chords: their area falls short by less than two thousandths.
        contours = (piece.outline, *(opening.contour for opening in piece.openings))
        rounds = sum(area(each) for each in contours if isinstance(each, Round))
        whole, *openings = sorted((polygon.area for polygon in cuts.polygons_closed), reverse=True)
        assert len(openings) == len(piece.openings)
        assert whole - sum(openings) == pytest.approx(piece.area_mm2, abs=2e-3 * rounds + 1e-6)


def test_a_circle_is_cut_as_a_circle():
    kinds = [entity.kind for entity in cuts_of(rendered(piece_of(WORK, "washer")))]
    assert kinds == ["CIRCLE", "CIRCLE"]


def test_corners_are_where_the_layout_has_them():
    (outline, *_) = cuts_of(rendered(piece_of(WORK, HOSTILE)))
    assert outline.corners == [(0, 0), (120, 0), (120, 20), (40, 20), (40, 80), (0, 80)]
    assert polygon_of(piece_of(WORK, HOSTILE).outline).area == outline.area


def test_a_material_that_is_not_stated_is_to_be_settled_and_a_wish_for_a_tolerance_too():
    bare = replace(piece_of(WORK, "pad_1"), material="", is_metal=None)
    text = said_in(cut_file.render(bare, replace(ORIGIN, general="")))
    assert "MATERIAL NOT STATED: settle before cutting" in text
    assert "tolerance where none is given: none is stated, see SETTLE FIRST" in text
    assert "Drawing" not in text


def test_what_must_not_be_cut_by_laser_is_said_in_the_file_itself():
    text = said_in(rendered(piece_of(WORK, "pad_1")))
    assert "SETTLE FIRST: It insulates: a laser chars the edge" in text


def test_sizes_carry_their_bands_and_the_general_one():
    assert "Sizes 60 ±0.3 × 40 ±0.3, thickness 8 ±0.1; tolerance" in said_in(rendered(piece_of(WORK, "pad_1")))
    assert "Sizes %%c40 ±0.3, thickness 5 ±0.1; tolerance" in said_in(rendered(piece_of(WORK, "washer")))


def test_signs_that_line_fonts_lack_are_written_with_theirs():
    marked = replace(piece_of(WORK, "pad_1"), labels=(Label(text="m1 – m2 ⌀5", at=(3.0, 3.0), height=3.0),))
    marks = [e.all(1)[0] for e in entities_of(rendered(marked)) if e.layer == "MARK"]
    assert marks == ["m1 - m2 %%c5"]


def test_text_of_the_layout_cannot_become_a_control_code():
    sly = replace(piece_of(WORK, "pad_1"), name="pad %%d ^J {\\\\fArial;x} \u202e")
    names = [e.all(1)[0] for e in entities_of(rendered(sly)) if e.layer == "TEXT"][:1]
    assert names[0].startswith("pad % %d ^ J ")
    assert "\u202e" not in names[0]


def rounded(around: bool) -> Piece:
    """100 x 60 with corners of R10, their arcs as short sides outside of them or as chords, and a slot of R5."""
    corners = [*bow((90, 10), 10, -90, around), *bow((90, 50), 10, 0, around), *bow((10, 50), 10, 90, around),
               *bow((10, 10), 10, 180, around)]  # fmt: skip
    slot = [*bow((65, 30), 5, -90, False), *bow((65, 30), 5, 0, False)[1:], *bow((45, 30), 5, 90, False),
            *bow((45, 30), 5, 180, False)[1:]]  # fmt: skip
    return Piece(
        name="rounded", outline=Loop(corners=tuple(corners)), openings=(Opening(contour=Loop(corners=tuple(slot))),),
        thickness=exact("t", 3.0), width=exact("w", 100.0), height=exact("h", 60.0), material="S235", is_metal=True,
    )  # fmt: skip


def bow(centre, radius: float, first: float, around: bool, pieces: int = 14):
    """A quarter of a circle in short sides; around it they touch it, else they are chords."""
    step = math.radians(90.0 / pieces)
    start = math.radians(first)
    angles = [(start + step * number, radius) for number in range(pieces + 1)]
    if around:
        inner = [(start + step * (number + 0.5), radius / math.cos(step / 2.0)) for number in range(pieces)]
        angles = [angles[0], *inner, angles[-1]]
    return [(centre[0] + reach * math.cos(angle), centre[1] + reach * math.sin(angle)) for angle, reach in angles]


@pytest.mark.parametrize("around", [True, False])
def test_arcs_are_cut_as_arcs_of_their_radius(around):
    """By our own reader and by the library: eight spans for sixty sides, the area that of true arcs."""
    import ezdxf

    piece = rounded(around)
    outline, slot = cuts_of(rendered(piece))
    assert len(outline.corners) == 8
    assert len(slot.corners) == 4
    assert sorted(outline.bulges) == pytest.approx([0.0] * 4 + [math.tan(math.pi / 8)] * 4, abs=1e-4)
    assert sorted(slot.bulges) == pytest.approx([0.0, 0.0, 1.0, 1.0], abs=1e-9)
    wanted = 100 * 60 - (4 - math.pi) * 10**2
    assert outline.area == pytest.approx(wanted, abs=0.02)
    assert slot.area == pytest.approx(20 * 10 + math.pi * 25, abs=1e-6)
    document = ezdxf.read(io.StringIO(rendered(piece).decode("utf-8")))
    (read, _) = document.modelspace().query('LWPOLYLINE[layer=="CUT"]')
    radii = [ezdxf.math.bulge_radius(a[:2], b[:2], a[2]) for a, b in itertools.pairwise(read.get_points("xyb")) if a[2]]
    assert radii == pytest.approx([10.0] * len(radii), abs=0.005)
    text = said_in(rendered(piece))
    assert "Arcs: 4 × R10, 2 × R5." in text


def test_the_area_that_is_cut_is_that_of_the_short_sides_within_what_is_said():
    piece = rounded(True)
    said = float(re.search(r"within (\d\.\d+) mm", said_in(rendered(piece))).group(1))
    arcs = 2.0 * math.pi * 10.0
    outline, _ = cuts_of(rendered(piece))
    off = abs(outline.area - area(piece.outline))
    assert 0.0 < off <= said * arcs


def test_a_free_curve_stays_as_it_is_drawn_and_its_tolerance_is_said():
    ring = tuple((50 + 50 * math.cos(a), 25 + 25 * math.sin(a)) for a in (math.pi * k / 128 for k in range(256)))
    piece = replace(rounded(False), outline=Loop(corners=ring), openings=())
    (outline,) = cuts_of(rendered(piece))
    assert not any(outline.bulges)
    assert outline.area == pytest.approx(area(piece.outline), rel=1e-12)
    assert "A free curve is cut as 256 straight pieces" in said_in(rendered(piece))


@pytest.mark.parametrize("piece", [*FLAT, rounded(True)], ids=lambda piece: piece.name)
def test_the_extents_hold_all_that_is_drawn(piece):
    content = rendered(piece)
    groups = groups_of(content)
    extents = {}
    for name in ("$EXTMIN", "$EXTMAX"):
        at = groups.index((9, name))
        extents[name] = (float(groups[at + 1][1]), float(groups[at + 2][1]))
    points = [point for entity in entities_of(content) for point in entity.corners]
    low, high = extents["$EXTMIN"], extents["$EXTMAX"]
    assert all(low[0] <= x <= high[0] and low[1] <= y <= high[1] for x, y in points)
    assert high[0] - low[0] < 3.0 * (piece.size[0] + 320.0)


@pytest.mark.parametrize(
    ("material", "is_metal", "said", "never"),
    [("S235", True, "Deburr all edges", "knife"), ("PC", False, "Scrape burrs off", "Deburr"),
     ("FR4", False, "leave no loose fibres", "Deburr"), ("silicone foam", False, "neither stretch it", "Deburr"),
     ("silicone foam", False, "Have it cut with a knife", "milled"), ("EPDM", False, "knife", "swarf"),
     ("birch plywood", None, "abrasive paper", "Deburr"), ("", None, "as suits the material", "Deburr")],
)  # fmt: skip
def test_words_suit_the_material(material, is_metal, said, never):
    whole = replace(rounded(False), material=material, is_metal=is_metal)
    text = said_in(rendered(replace(whole, remarks=remarks_of(whole))))
    assert said in text
    assert never not in text


def test_the_longer_side_is_named_first_everywhere():
    tall = replace(piece_of(WORK, "pad_1"), outline=rectangle(30.0, 284.0), width=exact("w", 30.0),
                   height=exact("h", 284.0))  # fmt: skip
    assert "Sizes 284 × 30, thickness" in said_in(rendered(tall))
