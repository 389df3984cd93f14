"""Everything that goes into the folder of a study, and a page that says which file is for whom."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass
from fnmatch import fnmatch

from fitcheck.makeable.worklist import worklist
from fitcheck.model.layout import Layout
from fitcheck.report import (
    as_csv,
    as_json_study,
    as_text,
    as_text_study,
    as_xlsx,
    owner_page,
    owner_page_html,
    owner_page_pdf,
    pictures,
    sheet,
    stack_picture,
    study_pdf,
    study_tables,
    views,
)
from fitcheck.report.cautions import NOT_AN_APPROVAL, WORKSHOP
from fitcheck.report.environment import in_words
from fitcheck.report.files_read import FileRead, files_read
from fitcheck.report.look import PLAIN
from fitcheck.report.scene import Scenes
from fitcheck.report.study_page import study_page
from fitcheck.report.table import Table
from fitcheck.report.wording import BASIS
from fitcheck.report.workshop import workshop_files
from fitcheck.report.workshop.made import Made, made_of
from fitcheck.result_study import StudyResult

PICTURES = "pictures/"
INDEX = "START_HERE.txt"
"""Not README: the folder may already hold somebody's own."""
SUMS = "files.txt"
"""The list of the files with their fingerprints, made when all of them are there."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Told:
    """What goes into the report beside what was found: the date and the version, the page of each check by its name,
    and the assembly order where one is stated.

    `solved_layout` is the text of the layout with the heights found, "" where there are none.
    """

    made_on: str
    version: str
    pages: Mapping[str, str]
    steps: tuple[str, ...] = ()
    solved_layout: str = ""
    also_imperial: bool = False


def files(
    study: StudyResult, scenes: Scenes, layout: Layout, told: Told, progress: Callable[[str], None]
) -> dict[str, bytes]:
    """Relative path, with "/", to content of every file of the folder. Equal input gives equal bytes."""
    drawn = _pictures(study, scenes, progress)
    progress("working out what is made in the workshop")
    work = worklist(layout, scenes, study)
    made = made_of(work)
    progress("drawing what is made in the workshop")
    shop = dict(workshop_files(work, study, made_on=told.made_on))
    read = files_read(layout)
    tables = study_tables.tables(study, layout, made)
    csv = _tables(study, tables, told, read)
    progress("writing the study page")
    contents = {"study.html": page(study, scenes, told, made, layout, (*shop, *csv)).encode()}
    progress("writing study.pdf")
    contents["study.pdf"] = study_pdf.render(study, drawn, made_on=told.made_on, version=told.version, read=read)
    contents["study.txt"] = as_text_study.render(study).encode()
    contents["result.json"] = as_json_study.render(study).encode()
    contents |= csv
    contents |= _owner(study, told)
    if told.solved_layout:
        contents["solved_layout.yaml"] = told.solved_layout.encode()
    contents |= shop
    contents |= {f"{PICTURES}{name}": content for name, content in drawn.items()}
    contents[INDEX] = index(study, (*contents, SUMS), told, _lacking(tables, contents)).encode()
    return contents


def page(
    study: StudyResult,
    scenes: Scenes,
    told: Told,
    made: Sequence[Made] | None = None,
    layout: Layout | None = None,
    beside: Collection[str] = (),
) -> str:
    """The study as one HTML page; `made` is what the workshop makes, None where nobody has worked it out. Where the
    `layout` is given, the files that it names are listed with their fingerprints. `beside` are the files that will lie
    beside the page, to which it may link.
    """
    return study_page(
        study,
        scenes,
        made_on=told.made_on,
        version=told.version,
        steps=told.steps,
        pages=told.pages,
        made=made,
        read=() if layout is None else files_read(layout),
        files=beside,
    )


def _pictures(study: StudyResult, scenes: Scenes, progress: Callable[[str], None]) -> dict[str, bytes]:
    drawn = pictures.render(scenes.proposed, study.check, progress)
    if scenes.solved is not None and study.heights is not None:
        solved = pictures.render(scenes.solved, study.heights, progress)
        drawn |= {f"solved_{name}": content for name, content in solved.items()}
    if scenes.original.parts:
        drawn |= {
            f"original_{name}.{kind}": content
            for name, figure in views.sheets(scenes.original)
            for kind, content in sheet.save(figure).items()
        }
    whole = study.as_written
    return drawn if whole.heights is None else drawn | stack_picture.render(whole.heights)


def _tables(study: StudyResult, every: Sequence[Table], told: Told, read: Sequence[FileRead]) -> dict[str, bytes]:
    """Those with rows as CSV, all of them in the workbook."""
    contents = {f"{table.name}.csv": as_csv.render(table) for table in every if table.rows}
    about = list(_about(study, told, read))
    return contents | {"study.xlsx": as_xlsx.render((*every, study_tables.taken_as_exact(study)), about)}


def _about(study: StudyResult, told: Told, read: Sequence[FileRead]) -> Iterator[tuple[str, str]]:
    whole = study.as_written
    yield "title", whole.title or whole.file
    yield "layout file", whole.file
    yield "SHA-256 of it", whole.sha256
    for one in read:
        yield "file that it names", one.words
    yield "verdict", whole.verdict.value
    for result in study.results:
        yield f"  {result.verb}", f"{as_text.verdict_words(result)} ({as_text.tally(result)})"
    yield "judged by", BASIS[whole.judge_by]
    yield "made on", told.made_on
    yield "made by", f"fitcheck {told.version}, with {in_words()}"
    yield "units", "mm, kg and degrees unless a column's head says other; positions in case axes from the case datum"
    yield "low and high", "worst case over all builds within tolerance; rss_low and rss_high are root-sum-square"
    for text in whole.not_covered:
        yield "not covered", text
    yield "caution", NOT_AN_APPROVAL


def _owner(study: StudyResult, told: Told) -> dict[str, bytes]:
    made = owner_page.owner_page(study.balance, also_imperial=told.also_imperial)
    if made is None:
        return {}
    return {"owner.html": owner_page_html.render(made).encode(), "owner.pdf": owner_page_pdf.render(made)}


def _lacking(tables: Sequence[Table], contents: Mapping[str, bytes]) -> list[tuple[str, str]]:
    """(file, why it is not here): what somebody may look for who knows other folders of this kind."""
    lacking = [(f"{table.name}.csv", table.none) for table in tables if not table.rows]
    return lacking if "owner.pdf" in contents else [*lacking, ("owner.pdf", "the layout states no vehicle")]


_FOR_WHOM = (
    ("Look at this first", (("study.html", "the whole study in one page, with the 3D view; opens in any browser"),)),
    (
        "For the technician at the bench",
        (
            ("study.pdf", "the study to print: verdict, what to do, sections, tables, cautions"),
            ("study.txt", "the same as plain text"),
            (
                "solved_layout.yaml",
                "the layout with the heights found, to go on with; mesh files are looked for beside it",
            ),
            ("pictures/*", "every view, section, electrical path and stack, as PNG to look at and SVG to print"),
            ("templates/*", "full-size templates: check the scale bar with a rule before use"),
            ("gauges/*", "go/no-go gauges for the tightest gaps; cut them from a sheet that does not conduct"),
            ("dummy_module/*", "a module of sheet, cut flat and slotted together, for a dry fit"),
        ),
    ),
    (
        "For the inspector",
        (
            ("findings.csv", "each finding with its band, rule and source; the least to spare first"),
            ("ledger.csv", "mass and place of each part, and its moment about the front axle"),
            ("study.xlsx", "all tables as sheets of one workbook, with the values that were taken as exact"),
            ("result.json", "the same for other programs"),
            (SUMS, "the SHA-256 of each file here: tells whether one was changed since; sha256sum --check reads it"),
        ),
    ),
    (
        "For the shop that cuts and for the store",
        (
            ("what_to_make.txt", "what is to be made, and what to settle before it is cut"),
            ("what_to_make.json", "the same for other programs"),
            ("cut_list.csv", "which pieces of which material and thickness, the names of their files, what is open"),
            ("fasteners.csv", "screws, washers and nuts to buy"),
            ("drawings/*", "dimensioned drawings of what is made"),
            ("cutting/*", "outlines to be cut, DXF in mm, 1:1; the name says quantity, material and thickness"),
            ("solids/*", "the same parts as solids, in mm"),
        ),
    ),
    (
        "For the owner of the vehicle",
        (("owner.pdf", "one page in plain sentences, to print"), ("owner.html", "the same")),
    ),
)


def index(study: StudyResult, names: Sequence[str], told: Told, lacking: Sequence[tuple[str, str]] = ()) -> str:
    """The verdict, which file is for whom, and the cautions. Only what is there is named, and all that is there;
    `lacking` are files that are not, each with the reason.
    """
    whole = study.as_written
    lines = [whole.title or whole.file, f"Verdict: {whole.verdict.value.upper()}"]
    lines += [f"Layout: {whole.file}, SHA-256 {whole.sha256}", f"fitcheck {told.version}, {told.made_on}"]
    left = list(names)
    for title, entries in _FOR_WHOM:
        rows = []
        for pattern, what in entries:
            here = [name for name in left if fnmatch(name, pattern)]
            if here:
                left = [name for name in left if name not in here]
                rows.append((pattern.rstrip("*"), what))
        if rows:
            lines += ["", title, *PLAIN.table(("", ""), rows, left=2)[1:]]
    if left:
        lines += ["", "Also here", *(f"  {name}" for name in left)]
    if lacking:
        lines += ["", "Not here", *PLAIN.table(("", ""), lacking, left=2)[1:]]
    lines += ["", "Before anybody picks up a tool"]
    lines += [line for said in WORKSHOP for line in PLAIN.paragraph(f"- {said}", indent="  ", hang="    ")]
    lines += ["", *PLAIN.paragraph(NOT_AN_APPROVAL)]
    return "\n".join(lines) + "\n"
