"""The study page: one HTML file that needs no network, for the technician, the inspector and the owner."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from importlib import resources
from types import MappingProxyType

from jinja2 import DictLoader, Environment, StrictUndefined

from fitcheck.report.files_read import FileRead
from fitcheck.report.scene import Scenes
from fitcheck.report.study_page.contents import contents, safe
from fitcheck.report.workshop.made import Made
from fitcheck.result_study import StudyResult

__all__ = ["study_page"]

_TEMPLATES = ("macros.html", "page.html", "top.html", "findings.html", "basis.html")


def study_page(
    study: StudyResult,
    scenes: Scenes,
    *,
    made_on: str,
    version: str,
    steps: Sequence[str] = (),
    pages: Mapping[str, str] = MappingProxyType({}),
    made: Sequence[Made] | None = None,
    read: Sequence[FileRead] = (),
    files: Collection[str] = (),
) -> str:
    """The whole file; equal input gives equal text. Every text of the layout is escaped.

    `made_on` is a date in words for people, `steps` the assembly order by part name where one is stated, `pages` the
    page of each check by its name, `made` what the workshop makes, None where nobody
    has worked it out, `read` the files that the layout names, `files` the paths of those that lie
    beside the page, to which it links.

    At most twelve places are drawn as plates, the worst first; the page says so.
    """
    own = resources.files(__package__)
    sources = {name: (own / name).read_text(encoding="utf-8") for name in _TEMPLATES}
    environment = Environment(
        loader=DictLoader(sources), autoescape=True, undefined=StrictUndefined, trim_blocks=True, lstrip_blocks=True
    )
    return environment.get_template("page.html").render(
        **contents(
            study, scenes, made_on=made_on, version=version, steps=steps, pages=pages, made=made, read=read, files=files
        ),
        style=safe((own / "page.css").read_text(encoding="utf-8")),
        script=safe((own / "page.js").read_text(encoding="utf-8")),
        safe=safe,
    )
