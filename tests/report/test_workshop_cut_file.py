"""Cut files read back by a reader of our own (group codes only), by trimesh, and by ezdxf's audit."""

from __future__ import annotations

import io
import itertools
import math
from dataclasses import dataclass, field, replace

import pytest
from workshop_layouts import HOSTILE, piece_of, work_of

from fitcheck.makeable.contour import Round, area, polygon_of
from fitcheck.makeable.piece import Label
from fitcheck.report.workshop import cut_file
from fitcheck.report.workshop.origin import Origin

WORK = work_of()
FLAT = [piece for piece in WORK.pieces if piece.is_flat]


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
        return abs(sum(x * b - a * y for (x, y), (a, b) in zip(self.corners, after, strict=True))) / 2.0


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
                     "tolerance where none is given: ISO 2768-m", "Drawing: drawings/piece.pdf.",
                     "From bench.yaml, SHA-256 abababababab, made on 2026-03-02."):  # fmt: skip
            assert said in text, said
        assert ("not tapped, not countersunk" in text) == bool(piece.openings)
        assert ("either side may lie up" in text) != bool(piece.labels)
        assert ("Deburr all edges" in text) == (piece.kind != "dummy")
        assert text.count("SETTLE FIRST: ") == len(piece.remarks)
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
    assert "tolerance where none is given: agree a general tolerance with the shop" in text
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
