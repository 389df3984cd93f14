"""A small writer of STEP files (AP214 text): plates with corners and round holes, round bars, and assemblies of them.

It knows no library, so that what reads its files is not tested by itself. The layout of the entities follows ISO
10303-21 (the text format) and the public schema of AP214, as every STEP file shows them.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

UNITS = {
    "millimetre": "(LENGTH_UNIT() NAMED_UNIT(*) SI_UNIT(.MILLI.,.METRE.))",
    "metre": "(LENGTH_UNIT() NAMED_UNIT(*) SI_UNIT($,.METRE.))",
    "inch": "",
}
Pair = tuple[float, float]


@dataclass(frozen=True, kw_only=True)
class Solid:
    """An outline (corners, going round to the left) or a round bar (middle, radius), drawn out from `low` to `high`."""

    low: float
    high: float
    outline: Sequence[Pair] = ()
    bar: tuple[float, float, float] | None = None
    holes: Sequence[tuple[float, float, float]] = ()
    """Each (x, y, radius), right through."""


@dataclass(frozen=True, kw_only=True)
class Place:
    """One use of a part: where its zero stands, in the assembly's unit, and where its x and z axes point."""

    at: tuple[float, float, float] = (0.0, 0.0, 0.0)
    x: tuple[float, float, float] = (1.0, 0.0, 0.0)
    z: tuple[float, float, float] = (0.0, 0.0, 1.0)


@dataclass(frozen=True, kw_only=True)
class Part:
    name: str
    solid: Solid
    unit: str = "millimetre"
    colour: tuple[float, float, float] | None = None
    places: Sequence[Place] = ()
    """Where it stands in an assembly, as often as it is used; none: once, at zero."""


def block(size: Sequence[float], low: Sequence[float] = (0.0, 0.0, 0.0)) -> Solid:
    (x, y, z), (a, b, c) = size, low
    return Solid(low=c, high=c + z, outline=[(a, b), (a + x, b), (a + x, b + y), (a, b + y)])


def step(parts: Sequence[Part], *, assembly: str = "", unit: str = "millimetre") -> str:
    """The text of a STEP file: one part, or several under an assembly, which has a unit of its own."""
    text = _Text()
    made = [text.product(part) for part in parts]
    if assembly:
        text.assembly(assembly, unit, list(zip(parts, made, strict=True)))
    colours = [(solid, part.colour, made_in) for part, (_, _, solid, made_in) in zip(parts, made, strict=True)]
    text.colours([each for each in colours if each[1] is not None])
    return text.whole()


@dataclass
class _Text:
    """Entities numbered as they are added; each is written once."""

    rows: list[str] = field(default_factory=list)
    known: dict[str, int] = field(default_factory=dict)

    def add(self, entity: str) -> str:
        if entity not in self.known:
            self.rows.append(entity)
            self.known[entity] = len(self.rows)
        return f"#{self.known[entity]}"

    def new(self, entity: str) -> str:
        """Entities that are things, not values: two equal ones stay two."""
        self.rows.append(entity)
        return f"#{len(self.rows)}"

    def whole(self) -> str:
        head = (
            "ISO-10303-21;\nHEADER;\nFILE_DESCRIPTION((''),'2;1');\nFILE_NAME('','',(''),(''),'','','');\n"
            "FILE_SCHEMA(('AUTOMOTIVE_DESIGN { 1 0 10303 214 1 1 1 1 }'));\nENDSEC;\nDATA;\n"
        )
        rows = "".join(f"#{number}={row};\n" for number, row in enumerate(self.rows, 1))
        return f"{head}{rows}ENDSEC;\nEND-ISO-10303-21;\n"

    # --- geometry -----------------------------------------------------------------------------------------------------

    def point(self, place: Sequence[float]) -> str:
        return self.add(f"CARTESIAN_POINT('',({','.join(_number(x) for x in place)}))")

    def direction(self, place: Sequence[float]) -> str:
        return self.add(f"DIRECTION('',({','.join(_number(x) for x in place)}))")

    def axes(self, place: Sequence[float], z: Sequence[float] = (0, 0, 1), x: Sequence[float] = (1, 0, 0)) -> str:
        return self.add(f"AXIS2_PLACEMENT_3D('',{self.point(place)},{self.direction(z)},{self.direction(x)})")

    def corner(self, place: Sequence[float]) -> str:
        return self.add(f"VERTEX_POINT('',{self.point(place)})")

    def line(self, start: Sequence[float], end: Sequence[float]) -> str:
        run = [b - a for a, b in zip(start, end, strict=True)]
        length = sum(x * x for x in run) ** 0.5
        vector = self.add(f"VECTOR('',{self.direction([x / length for x in run])},1.)")
        line = self.add(f"LINE('',{self.point(start)},{vector})")
        return self.add(f"EDGE_CURVE('',{self.corner(start)},{self.corner(end)},{line},.T.)")

    def circle(self, x: float, y: float, z: float, radius: float) -> str:
        circle = self.add(f"CIRCLE('',{self.axes((x, y, z))},{_number(radius)})")
        corner = self.corner((x + radius, y, z))
        return self.add(f"EDGE_CURVE('',{corner},{corner},{circle},.T.)")

    def loop(self, edges: Sequence[tuple[str, bool]]) -> str:
        turned = [self.new(f"ORIENTED_EDGE('',*,*,{edge},{_flag(forward)})") for edge, forward in edges]
        return self.new(f"EDGE_LOOP('',({','.join(turned)}))")

    def face(self, loops: Sequence[str], surface: str, same: bool = True) -> str:
        outer = self.new(f"FACE_OUTER_BOUND('',{loops[0]},.T.)")
        inner = [self.new(f"FACE_BOUND('',{loop},.T.)") for loop in loops[1:]]
        return self.new(f"ADVANCED_FACE('',({','.join([outer, *inner])}),{surface},{_flag(same)})")

    def solid(self, solid: Solid) -> str:
        low, high = solid.low, solid.high
        faces, bottom, top = self.bar(solid) if solid.bar else self.sides(solid)
        under, over = [self.loop(bottom)], [self.loop(top)]
        for x, y, radius in solid.holes:
            ring, lid, seam = self.round_edges(x, y, radius, low, high)
            wall = self.loop([(lid, True), (seam, False), (ring, False), (seam, True)])
            faces.append(self.face([wall], self.cylinder(x, y, low, radius), same=False))
            under.append(self.loop([(ring, True)]))
            over.append(self.loop([(lid, False)]))
        faces.append(self.face(under, self.add(f"PLANE('',{self.axes((0, 0, low), (0, 0, -1))})")))
        faces.append(self.face(over, self.add(f"PLANE('',{self.axes((0, 0, high))})")))
        shell = self.new(f"CLOSED_SHELL('',({','.join(faces)}))")
        return self.new(f"MANIFOLD_SOLID_BREP('',{shell})")

    def round_edges(self, x: float, y: float, radius: float, low: float, high: float) -> tuple[str, str, str]:
        ring, lid = self.circle(x, y, low, radius), self.circle(x, y, high, radius)
        return ring, lid, self.line((x + radius, y, low), (x + radius, y, high))

    def cylinder(self, x: float, y: float, z: float, radius: float) -> str:
        return self.add(f"CYLINDRICAL_SURFACE('',{self.axes((x, y, z))},{_number(radius)})")

    def bar(self, solid: Solid) -> tuple[list[str], list[tuple[str, bool]], list[tuple[str, bool]]]:
        x, y, radius = solid.bar or (0.0, 0.0, 1.0)
        ring, lid, seam = self.round_edges(x, y, radius, solid.low, solid.high)
        wall = self.loop([(ring, True), (seam, True), (lid, False), (seam, False)])
        face = self.face([wall], self.cylinder(x, y, solid.low, radius))
        return [face], [(ring, False)], [(lid, True)]

    def sides(self, solid: Solid) -> tuple[list[str], list[tuple[str, bool]], list[tuple[str, bool]]]:
        corners = list(solid.outline)
        following = [*corners[1:], corners[0]]
        faces, bottom, top = [], [], []
        for a, b in zip(corners, following, strict=True):
            low, high = self.line((*a, solid.low), (*b, solid.low)), self.line((*a, solid.high), (*b, solid.high))
            start, end = (self.line((*each, solid.low), (*each, solid.high)) for each in (a, b))
            length = ((b[0] - a[0]) ** 2 + (b[1] - a[1]) ** 2) ** 0.5
            along = ((b[0] - a[0]) / length, (b[1] - a[1]) / length)
            plane = self.axes((*a, solid.low), (along[1], -along[0], 0), (*along, 0))
            loop = self.loop([(low, True), (end, True), (high, False), (start, False)])
            faces.append(self.face([loop], self.add(f"PLANE('',{plane})")))
            bottom.insert(0, (low, False))
            top.append((high, True))
        return faces, bottom, top

    # --- products -----------------------------------------------------------------------------------------------------

    def context(self, unit: str) -> str:
        length = self.unit(unit)
        angle = self.add("(NAMED_UNIT(*) PLANE_ANGLE_UNIT() SI_UNIT($,.RADIAN.))")
        solid = self.add("(NAMED_UNIT(*) SI_UNIT($,.STERADIAN.) SOLID_ANGLE_UNIT())")
        doubt = self.add(f"UNCERTAINTY_MEASURE_WITH_UNIT(LENGTH_MEASURE(1.E-06),{length},'distance_accuracy_value','')")
        return self.add(
            f"(GEOMETRIC_REPRESENTATION_CONTEXT(3) GLOBAL_UNCERTAINTY_ASSIGNED_CONTEXT(({doubt}))"
            f" GLOBAL_UNIT_ASSIGNED_CONTEXT(({length},{angle},{solid})) REPRESENTATION_CONTEXT('',''))"
        )

    def unit(self, unit: str) -> str:
        if unit != "inch":
            return self.add(UNITS[unit])
        measure = self.add(f"LENGTH_MEASURE_WITH_UNIT(LENGTH_MEASURE(0.0254),{self.add(UNITS['metre'])})")
        sizes = self.add("DIMENSIONAL_EXPONENTS(1.,0.,0.,0.,0.,0.,0.)")
        return self.add(f"(CONVERSION_BASED_UNIT('INCH',{measure}) LENGTH_UNIT() NAMED_UNIT({sizes}))")

    def definition(self, name: str) -> str:
        app = self.add("APPLICATION_CONTEXT('automotive design')")
        kind = self.add(f"PRODUCT_CONTEXT('',{app},'mechanical')")
        product = self.new(f"PRODUCT({_text(name)},{_text(name)},'',({kind}))")
        formed = self.new(f"PRODUCT_DEFINITION_FORMATION('','',{product})")
        view = self.add(f"PRODUCT_DEFINITION_CONTEXT('part definition',{app},'design')")
        return self.new(f"PRODUCT_DEFINITION('','',{formed},{view})")

    def product(self, part: Part) -> tuple[str, str, str, str]:
        """(definition, representation, solid, context) of one part."""
        context, definition = self.context(part.unit), self.definition(part.name)
        # Values of two parts may be equal in different units, so each part writes its own.
        self.known = {row: at for row, at in self.known.items() if not row.startswith(_GEOMETRY)}
        solid = self.solid(part.solid)
        shape = self.new(f"ADVANCED_BREP_SHAPE_REPRESENTATION('',({self.axes((0, 0, 0))},{solid}),{context})")
        self.shown(definition, shape)
        return definition, shape, solid, context

    def shown(self, definition: str, shape: str) -> None:
        whole = self.new(f"PRODUCT_DEFINITION_SHAPE('','',{definition})")
        self.new(f"SHAPE_DEFINITION_REPRESENTATION({whole},{shape})")

    def assembly(self, name: str, unit: str, parts: list[tuple[Part, tuple[str, str, str, str]]]) -> None:
        context, definition = self.context(unit), self.definition(name)
        self.known = {row: at for row, at in self.known.items() if not row.startswith(_GEOMETRY)}
        uses = [(part, made, place) for part, made in parts for place in (part.places or (Place(),))]
        zero, places = self.axes((0, 0, 0)), [self.axes(place.at, place.z, place.x) for _, _, place in uses]
        whole = self.new(f"SHAPE_REPRESENTATION('',({','.join([zero, *places])}),{context})")
        self.shown(definition, whole)
        for number, ((part, (own, shape, _, _), _), place) in enumerate(zip(uses, places, strict=True), 1):
            use = self.new(f"NEXT_ASSEMBLY_USAGE_OCCURRENCE('{number}',{_text(part.name)},'',{definition},{own},$)")
            used = self.new(f"PRODUCT_DEFINITION_SHAPE('','',{use})")
            moved = self.new(f"ITEM_DEFINED_TRANSFORMATION('','',{zero},{place})")
            relation = self.new(
                f"(REPRESENTATION_RELATIONSHIP('','',{shape},{whole})"
                f" REPRESENTATION_RELATIONSHIP_WITH_TRANSFORMATION({moved}) SHAPE_REPRESENTATION_RELATIONSHIP())"
            )
            self.new(f"CONTEXT_DEPENDENT_SHAPE_REPRESENTATION({relation},{used})")

    def colours(self, solids: Sequence[tuple[str, tuple[float, float, float] | None, str]]) -> None:
        for solid, colour, context in solids:
            shade = self.add(f"COLOUR_RGB('',{','.join(_number(x) for x in colour or ())})")
            painted = self.add(f"FILL_AREA_STYLE_COLOUR('',{shade})")
            fill = self.add(f"FILL_AREA_STYLE('',({painted}))")
            side = self.add(f"SURFACE_STYLE_USAGE(.BOTH.,{self.surface_style(fill)})")
            style = self.add(f"PRESENTATION_STYLE_ASSIGNMENT(({side}))")
            item = self.new(f"STYLED_ITEM('',({style}),{solid})")
            self.new(f"MECHANICAL_DESIGN_GEOMETRIC_PRESENTATION_REPRESENTATION('',({item}),{context})")

    def surface_style(self, fill: str) -> str:
        filled = self.add(f"SURFACE_STYLE_FILL_AREA({fill})")
        return self.add(f"SURFACE_SIDE_STYLE('',({filled}))")


_GEOMETRY = (
    "CARTESIAN_POINT", "DIRECTION", "AXIS2", "VERTEX", "VECTOR", "LINE(", "EDGE_CURVE", "CIRCLE", "PLANE(", "CYLIND",
)  # fmt: skip


def _number(value: float) -> str:
    text = repr(float(value) + 0.0)
    return text.replace("e", "E") if "e" in text else text


def _flag(on: bool) -> str:
    return ".T." if on else ".F."


def _text(words: str) -> str:
    """A STEP string: quotes doubled, other than plain ASCII as \\X2\\ hex pairs."""
    plain = "".join(c if 32 <= ord(c) < 127 else f"\\X2\\{ord(c):04X}\\X0\\" for c in words)
    return "'" + plain.replace("'", "''") + "'"
