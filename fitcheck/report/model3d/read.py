"""From scenes and findings to what the 3D view draws."""

from __future__ import annotations

import hashlib
from collections import Counter
from collections.abc import Collection, Iterable, Mapping, Sequence

import numpy as np

from fitcheck.findings import Finding, Point, Status
from fitcheck.model.part import State
from fitcheck.report.model3d.body import STEPS, body, welded
from fitcheck.report.model3d.model import Body, Build, Model, Place, Shown, Stretch, Told
from fitcheck.report.model3d.thin import most_each, thinned
from fitcheck.report.path_legs import ELECTRICAL, Leg, Over, Path, path_of, words
from fitcheck.report.path_plane import path_plane
from fitcheck.report.scene import DrawnPart, Scene, Scenes
from fitcheck.report.section_view import plane_of
from fitcheck.report.sheet import SEE_THROUGH, fill
from fitcheck.report.views import direction
from fitcheck.report.wording import (
    as_found,
    counted,
    plain,
    requirement,
    straight_across,
    subject,
    value_text,
    with_unit,
)

SIGN = {
    Status.NOT_MET: "✕",
    Status.CANNOT_TELL: "?",
    Status.UNDER_CONCESSION: "C",
    Status.NOT_CHECKED: "–",
    Status.MET: "✓",
}

_FACES = {
    "rearward": ("front", "rear"),
    "forward": ("rear", "front"),
    "right": ("left", "right"),
    "left": ("right", "left"),
    "up": ("bottom", "top"),
    "down": ("top", "bottom"),
}

_LINE = {Over.SURFACE: "surface", Over.BRIDGED: "bridged", Over.METAL: "through"}
"""How legs are drawn; all others run through air."""

_MOST_FULL = 10
"""With more legs than this the picture bears their letters alone; the list under it has the lengths."""

_TITLE = {"original": "original", "proposed": "proposed", "solved": "heights found"}


def model_of(
    scenes: Scenes,
    findings: Sequence[Finding],
    *,
    steps: Sequence[str] = (),
    of_solved: Collection[int] = (),
    of_both: Collection[int] = (),
    most_triangles: int = 300_000,
) -> Model:
    """What the view shows of a study.

    `findings` in the order in which the page numbers them; those with a number in `of_solved` speak of the build with
    the heights found, those in `of_both` of this one as well as of the layout as written. `steps` is the order of
    assembly by part name; without it new parts come in layout order. Builds with more than `most_triangles` triangles
    are thinned for display, and `says` tells so.
    """
    drawn = {"original": scenes.original, "proposed": scenes.proposed}
    if scenes.solved is not None:
        drawn["solved"] = scenes.solved
    # What stays and comes is listed before what goes; a part is told as the last build shows it.
    last = {part.name: part for scene in drawn.values() for part in scene.parts}
    by_name = {part.name: last[part.name] for key in reversed(drawn) for part in drawn[key].parts}
    parts = {name: number for number, name in enumerate(by_name)}
    forms = _Forms(most_triangles)
    for scene in drawn.values():
        for shown in (scene, scene.aged):
            forms.add(() if shown is None else shown.parts)
    forms.make()
    builds = tuple(_build(key, scene, parts, forms) for key, scene in drawn.items())
    order, says = _order(drawn.get("solved", scenes.proposed), steps)
    return Model(
        bodies=tuple(forms.bodies),
        parts=tuple(_shown(part) for part in by_name.values()),
        builds=builds,
        told=tuple(
            _told(number, finding, parts, *_spoken_of(finding, drawn, number in of_solved, number in of_both))
            for number, finding in enumerate(findings)
            if any(name in parts for name in finding.parts)
        ),
        steps=tuple(parts[name] for name in order),
        directions=tuple((word, _point(direction(scenes.proposed.axes, word))) for word in ("rearward", "right", "up")),
        faces=tuple(_FACES[word] for word in scenes.proposed.axes),
        says=(
            "Drawn as stated, without tolerances, for the eye only: nothing is measured on it.",
            *forms.says,
            *says,
        ),
    )


class _Forms:
    """The forms of all parts, each kept once, however often and wherever it stands."""

    def __init__(self, most_triangles: int) -> None:
        self._most = most_triangles
        self._known: dict[bytes, int] = {}
        self._samples: list[DrawnPart] = []
        self._uses: Counter[int] = Counter()
        self._of: dict[int, int] = {}
        self.bodies: list[Body] = []
        self.says: tuple[str, ...] = ()

    def add(self, parts: Iterable[DrawnPart]) -> None:
        """The parts of one build."""
        here: Counter[int] = Counter()
        for part in parts:
            number = self._known.setdefault(_fingerprint(part), len(self._samples))
            if number == len(self._samples):
                self._samples.append(part)
            self._of[id(part)] = number
            here[number] += 1
        self._uses |= here

    def make(self) -> None:
        counts = [len(part.faces) for part in self._samples]
        uses = [self._uses[number] for number in range(len(self._samples))]
        most = most_each(counts, uses, self._most)
        self.bodies = [_body(part, most) for part in self._samples]
        coarser = sum(
            use for form, use in zip(self.bodies, uses, strict=True) if most is not None and form.triangles > most
        )
        if coarser:
            before = sum(count * use for count, use in zip(counts, uses, strict=True))
            after = sum(len(form.faces) * use for form, use in zip(self.bodies, uses, strict=True))
            drawn = f"For display, {counted(coarser, 'part')} drawn with fewer triangles ({plain(after, 0)} in all"
            self.says = (f"{drawn} instead of {plain(before, 0)}). The findings are from the full shapes.",)
        if not all(form.closed for form in self.bodies):
            self.says += ("A shape that is not closed shows hollow where it is cut.",)

    def of(self, part: DrawnPart) -> int:
        return self._of[id(part)]


def _fingerprint(part: DrawnPart) -> bytes:
    local = np.rint((part.vertices - part.vertices.min(axis=0)) * 1e3).astype(np.int64)
    faces = np.ascontiguousarray(part.faces, np.int64)
    return hashlib.blake2b(local.tobytes() + faces.tobytes(), digest_size=16).digest()


def _body(part: DrawnPart, most: int | None) -> Body:
    corners, faces, size = welded(part.vertices - part.vertices.min(axis=0), part.faces)
    if most is not None and len(part.faces) > most:
        points, faces = thinned(corners * (size / STEPS), faces, most)
        corners, faces, size = welded(np.maximum(points, 0.0), faces)
    return body(corners, faces, size, len(part.faces))


def _build(key: str, scene: Scene, parts: Mapping[str, int], forms: _Forms) -> Build:
    def places(shown: Scene | None) -> tuple[Place, ...]:
        return tuple(
            Place(part=parts[part.name], body=forms.of(part), low=_point(part.vertices.min(axis=0)))
            for part in (() if shown is None else shown.parts)
        )

    return Build(key=key, title=_TITLE[key], places=places(scene), aged=places(scene.aged))


def _shown(part: DrawnPart) -> Shown:
    return Shown(
        name=part.name,
        role=part.role,
        change=part.change,
        fill=fill(part.role),
        see_through=part.role in SEE_THROUGH,
        sign=SIGN[part.status] if part.status else "",
        word=part.status.value if part.status else "",
    )


def _spoken_of(
    finding: Finding, drawn: Mapping[str, Scene], only_solved: bool, both: bool
) -> tuple[tuple[str, ...], Scene]:
    """(keys of the builds that a finding speaks of, the first of them at its age)."""
    keys = ("solved",) if only_solved else (finding.build, "solved") if both else (finding.build,)
    scene = drawn.get(keys[0], drawn["proposed"])
    return keys, scene.aged if finding.state == State.END and scene.aged is not None else scene


def _path(finding: Finding, scene: Scene) -> Path | None:
    """The way of an electrical finding, None where it is seen as a gap is: of all others, and straight through air."""
    if finding.points is None or finding.check not in ELECTRICAL:
        return None
    return path_of(finding, scene) if finding.way or finding.check == "creepage" else None


def _eye(finding: Finding, scene: Scene, path: Path | None) -> Point | None:
    """From where the section through a finding is seen."""
    if finding.points is None or not all(name in scene.by_name for name in finding.parts) or not finding.parts:
        return None
    plane = plane_of(scene, finding) if path is None else path_plane(scene, finding, path).plane
    return _point(plane.normal)


def _stretch(leg: Leg, path: Path, parts: Mapping[str, int]) -> Stretch:
    length = plain(leg.length, 2)
    figure = f"{leg.mark} {length if leg.counts else '0'}" if len(path.legs) <= _MOST_FULL else leg.mark
    return Stretch(
        ends=(_point(leg.start), _point(leg.end)),
        part=parts.get(leg.part),
        line=_LINE.get(leg.over, "air"),
        figure=figure,
        words=f"{leg.mark} {length} mm {words(leg, path.bridged_mm)}",
    )


def _told(number: int, finding: Finding, parts: Mapping[str, int], builds: tuple[str, ...], scene: Scene) -> Told:
    band, value, text = finding.band, "", subject(finding)
    if band is not None:
        value = value_text(finding, band.value)
        asked = requirement(finding)
        text += f": {with_unit(finding, band.low, band.high)}" + (f", asked for {asked}" if asked else "")
    across = straight_across(finding)
    if value and across:
        value += " through air" if finding.check == "clearance" else " over surfaces"
    if value:
        value += f" {as_found(finding)}"
    if finding.state:
        text += f" ({finding.state})"
    if band is None and finding.reason:
        text += f": {finding.reason}"
    path = _path(finding, scene)
    legs = () if path is None else path.legs
    further = dict.fromkeys(leg.part for leg in legs if leg.part and leg.part not in finding.parts)
    return Told(
        number=number,
        parts=tuple(parts[name] for name in finding.parts if name in parts),
        over=tuple(parts[name] for name in further),
        builds=builds,
        aged=finding.state == State.END,
        sign=SIGN[finding.status],
        word=finding.status.value,
        text=text,
        value=value,
        straight=across,
        points=finding.points,
        way=finding.way,
        legs=() if path is None or len(legs) < 2 else tuple(_stretch(leg, path, parts) for leg in legs),
        eye=_eye(finding, scene, path),
    )


def _order(scene: Scene, steps: Sequence[str]) -> tuple[list[str], tuple[str, ...]]:
    """The parts that go in, one after the other, and what to say about the order."""
    new = [part.name for part in scene.parts if part.change == "new"]
    if not steps:
        return new, (
            "Steps: the new parts in the order of the layout, which states no assembly sequence.",
        ) if new else ()
    stated = [name for name in dict.fromkeys(steps) if name in scene.by_name]
    after = [name for name in new if name not in stated]
    words = "Steps: the assembly sequence of the layout"
    return stated + after, (f"{words}, then the new parts that it does not name." if after else f"{words}.",)


def _point(values: Iterable[float]) -> tuple[float, float, float]:
    x, y, z = (round(float(value), 4) + 0.0 for value in values)
    return (x, y, z)
