"""Cut files read back by a reader of our own (group codes only), by trimesh, and by ezdxf's audit."""

from __future__ import annotations

import io
import math
from dataclasses import dataclass, field

import pytest
from workshop_layouts import HOSTILE, piece_of, work_of

from fitcheck.makeable.contour import polygon_of
from fitcheck.report.workshop import cut_file

WORK = work_of()
FLAT = [piece for piece in WORK.pieces if piece.is_flat]


def rendered(piece) -> bytes:
    return cut_file.render(piece, layout_file="bench.yaml", sha256="ab" * 32)


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
        text = " ".join(e.all(1)[0] for e in entities_of(rendered(piece)) if e.layer == "TEXT")
        assert f"QUANTITY {piece.quantity} " in text
        assert f"MATERIAL {piece.material} " in text
        assert f"THICKNESS {piece.thickness.nominal:g} mm" in text

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


def test_a_circle_is_cut_as_a_circle():
    kinds = [entity.kind for entity in cuts_of(rendered(piece_of(WORK, "washer")))]
    assert kinds == ["CIRCLE", "CIRCLE"]


def test_corners_are_where_the_layout_has_them():
    (outline, *_) = cuts_of(rendered(piece_of(WORK, HOSTILE)))
    assert outline.corners == [(0, 0), (120, 0), (120, 20), (40, 20), (40, 80), (0, 80)]
    assert polygon_of(piece_of(WORK, HOSTILE).outline).area == outline.area
