"""Links from the page to the files that lie beside it in the folder of a study."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from pathlib import PurePosixPath
from urllib.parse import quote

from markupsafe import Markup

from fitcheck.report.workshop.made import Made

_WHAT = {
    "cutting": "cut file",
    "drawings": "drawing",
    "solids": "solid",
    "gauges": "gauge",
    "dummy_module": "dummy module",
}
"""What the files of a folder are called, one of them."""

_LISTS = ("what_to_make.txt", "cut_list.csv")


def links_of(made: Sequence[Made], files: Collection[str]) -> dict[str, Markup]:
    """For the name that the files of each thing share, a link to each of them; none for files that are not there.

    `files` are paths inside the folder, with "/".
    """
    of_stem: dict[str, list[str]] = {}
    for path in sorted(files):
        one = PurePosixPath(path)
        if one.parent.name in _WHAT:
            of_stem.setdefault(one.stem, []).append(path)
    return {each.stem: _listed(of_stem[each.stem], each.name) for each in made if each.stem in of_stem}


def lists_of(files: Collection[str]) -> list[tuple[str, str]]:
    """(name, address) of the lists of what is to be made."""
    return [(name, quote(name)) for name in _LISTS if name in files]


def _listed(paths: Sequence[str], name: str) -> Markup:
    links = [
        Markup('<a href="{}" aria-label="{} of {}">{}</a>').format(quote(path), _words(path), name, _words(path))
        for path in paths
    ]
    return Markup('<br><span class="files">{}</span>').format(Markup(" · ").join(links))


def _words(path: str) -> str:
    """ "drawing PDF"."""
    one = PurePosixPath(path)
    return f"{_WHAT[one.parent.name]} {one.suffix.lstrip('.').upper()}"
