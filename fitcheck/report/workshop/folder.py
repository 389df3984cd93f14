"""Which file of the workshop folder holds what."""

from __future__ import annotations

from collections.abc import Iterator

from fitcheck.makeable.piece import Joined, Piece
from fitcheck.makeable.solid import triangles
from fitcheck.makeable.worklist import Worklist
from fitcheck.report.workshop import cut_file, joined_drawing, listing, made, solid_files, step_files, tiles
from fitcheck.report.workshop.drawing import draw
from fitcheck.report.workshop.names import stems_of
from fitcheck.report.workshop.origin import Origin
from fitcheck.report.workshop.paper import Paper
from fitcheck.report.workshop.tiles import PAPERS
from fitcheck.result_study import StudyResult

CUT_FOLDER = {"part": "cutting", "gauge": "gauges", "dummy": "dummy_module"}
LIST = "what_to_make.txt"


def files_of(work: Worklist, result: StudyResult, made_on: str) -> Iterator[tuple[str, bytes]]:
    """Nothing at all where there is nothing to make."""
    if not work.pieces and not work.joined:
        return
    origin = Origin(
        title=result.check.title,
        layout_file=result.check.file,
        sha256=result.check.sha256,
        made_on=made_on,
        general=work.general,
    )
    stems = stems_of(work)
    without = () if step_files.is_available() else (step_files.MISSING,)
    yield "what_to_make.json", made.as_json(work, origin).encode()
    yield LIST, listing.render(work, stems, origin, without).encode()
    for piece, stem in zip(work.pieces, stems.pieces, strict=True):
        yield from _piece_files(piece, stem, origin)
    for part, stem in zip(work.joined, stems.joined, strict=True):
        yield from _joined_files(part, stem, origin)
    for template, stem in zip(work.templates, stems.templates, strict=True):
        for paper in PAPERS:
            yield f"templates/{stem}__{paper}.pdf", tiles.render(template, paper, origin)


def _piece_files(piece: Piece, stem: str, origin: Origin) -> Iterator[tuple[str, bytes]]:
    folder = CUT_FOLDER[piece.kind]
    drawing = "" if piece.kind == "dummy" else f"{'drawings' if piece.kind == 'part' else folder}/{stem}.pdf"
    cut = f"{folder}/{stem}.dxf" if piece.is_flat else ""
    if cut:
        yield cut, cut_file.render(piece, origin, drawing=drawing)
    if drawing:
        paper = Paper(f"{piece.name}: drawing")
        draw(paper, piece, origin, number=stem, cut_file=cut)
        yield drawing, paper.finished()
    if piece.kind == "part":
        vertices, faces = triangles(piece)
        yield f"solids/{stem}.stl", solid_files.stl(vertices, faces)
        yield f"solids/{stem}.3mf", solid_files.threemf(vertices, faces, piece.name)
        if step_files.is_available():
            yield f"solids/{stem}.step", step_files.render(piece, stem, origin.made_on)


def _joined_files(part: Joined, stem: str, origin: Origin) -> Iterator[tuple[str, bytes]]:
    paper = Paper(f"{part.part}: drawing")
    joined_drawing.draw(paper, part, origin, number=stem)
    yield f"drawings/{stem}.pdf", paper.finished()
    if not part.has_file:
        yield f"solids/{stem}.stl", solid_files.stl(part.vertices, part.faces)
        yield f"solids/{stem}.3mf", solid_files.threemf(part.vertices, part.faces, part.part)
        if step_files.is_available() and step_files.is_small_enough(part.faces):
            yield f"solids/{stem}.step", step_files.render_body(part.vertices, part.faces, stem, origin.made_on)
