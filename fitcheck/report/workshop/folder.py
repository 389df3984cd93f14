"""Which file of the workshop folder holds what."""

from __future__ import annotations

from collections.abc import Iterator

from fitcheck.makeable.piece import Joined, Piece
from fitcheck.makeable.solid import triangles
from fitcheck.makeable.worklist import Worklist
from fitcheck.report.workshop import cut_file, joined_drawing, listing, solid_files, step_files, tiles
from fitcheck.report.workshop.drawing import Origin, draw
from fitcheck.report.workshop.names import Names, safe, stem_of
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
    names = Names()
    stems = {index: names.give(stem_of(piece)) for index, piece in enumerate(work.pieces)}
    without = () if step_files.is_available() else (step_files.MISSING,)
    yield LIST, listing.render(work, stems, origin, without).encode()
    for index, piece in enumerate(work.pieces):
        yield from _piece_files(piece, stems[index], origin)
    for part in work.joined:
        yield from _joined_files(part, names.give(safe(part.part)), origin)
    for template in work.templates:
        stem = names.give(safe(template.name))
        for paper in PAPERS:
            yield f"templates/{stem}__{paper}.pdf", tiles.render(template, paper, origin)


def _piece_files(piece: Piece, stem: str, origin: Origin) -> Iterator[tuple[str, bytes]]:
    folder = CUT_FOLDER[piece.kind]
    if piece.is_flat:
        yield f"{folder}/{stem}.dxf", cut_file.render(piece, layout_file=origin.layout_file, sha256=origin.sha256)
    if piece.kind != "dummy":
        paper = Paper(f"{piece.name}: drawing")
        draw(paper, piece, origin)
        yield f"{'drawings' if piece.kind == 'part' else folder}/{stem}.pdf", paper.finished()
    if piece.kind == "part":
        vertices, faces = triangles(piece)
        yield f"solids/{stem}.stl", solid_files.stl(vertices, faces)
        yield f"solids/{stem}.3mf", solid_files.threemf(vertices, faces, piece.name)
        if step_files.is_available():
            yield f"solids/{stem}.step", step_files.render(piece, stem, origin.made_on)


def _joined_files(part: Joined, stem: str, origin: Origin) -> Iterator[tuple[str, bytes]]:
    paper = Paper(f"{part.part}: drawing")
    joined_drawing.draw(paper, part, origin)
    yield f"drawings/{stem}.pdf", paper.finished()
    if not part.has_file:
        yield f"solids/{stem}.stl", solid_files.stl(part.vertices, part.faces)
        yield f"solids/{stem}.3mf", solid_files.threemf(part.vertices, part.faces, part.part)
