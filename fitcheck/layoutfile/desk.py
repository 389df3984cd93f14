"""What the second pass works with: the tree for places, the problems found, what bare numbers and sizes mean."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass, field
from pathlib import Path as FilePath

from fitcheck.errors import Mark, OutsideTable, Problem
from fitcheck.layoutfile.fields import nearest
from fitcheck.layoutfile.tree import Item, Path, key_mark, value_mark
from fitcheck.model.quantity import Quantity
from fitcheck.standards import general_tolerances, instruments
from fitcheck.units import LENGTH, MASS, Amount, Kind, Written, inside


@dataclass(kw_only=True)
class Desk:
    """One layout while its model is built.

    `units` are the words that bare numbers stand for. `grade` is the ISO 2768-1 grade for drawing sizes, None where the
    layout names none. `part_names` are all parts that the file declares, the broken ones too. `folders` are those that
    mesh files may come from, the layout's own first. `members` counts the group members built so far.
    """

    root: Item
    folders: tuple[FilePath, ...]
    part_names: Collection[str] = ()
    units: Mapping[str, str] = field(default_factory=dict)
    grade: str | None = None
    known_by: str = ""
    problems: list[Problem] = field(default_factory=list)
    taken_out: tuple[Path, ...] = ()
    members: int = 0

    @property
    def is_metric(self) -> bool:
        """Whether bare lengths and masses are mm and kg, so that a bare number made of both cannot be misread."""
        return self.units.get("length", "mm") == "mm" and self.units.get("mass", "kg") == "kg"

    def value_at(self, path: Path) -> Mark:
        return value_mark(self.root, path)

    def key_at(self, path: Path) -> Mark:
        return key_mark(self.root, path)

    def problem(self, at: Mark, what: str, mend: str) -> None:
        self.problems.append(Problem(at, what, mend))

    def is_damaged(self, path: Path) -> bool:
        """Whether something at or below a path was taken out, so that what is missing there is no news."""
        return any(taken[: len(path)] == path for taken in self.taken_out)

    def part(self, name: str, path: Path) -> str:
        """A part's name, once it is one; a name of nothing is a problem."""
        if name not in self.part_names:
            self.problem(self.value_at(path), f"there is no part {name!r}", nearest(name, self.part_names))
        return name

    def part_key(self, name: str, path: Path) -> str:
        """The same where the part's name is a key."""
        if name not in self.part_names:
            self.problem(self.key_at(path), f"there is no part {name!r}", nearest(name, self.part_names))
        return name

    # --- values -------------------------------------------------------------------------------------------------------

    def exact(self, written: Written, kind: Kind, name: str, path: Path) -> Quantity:
        """A number of a rule, a place, a corner or a turn: exact unless it states a tolerance, or says itself how it is
        known."""
        return self._quantity(written, kind, name, path, written.known_by or "", None)

    def maybe(self, written: Written | None, kind: Kind, name: str, path: Path) -> Quantity | None:
        """The same for a value that may be left out."""
        return None if written is None else self.exact(written, kind, name, path)

    def size(self, written: Written, name: str, path: Path, known_by: str) -> Quantity:
        """A size of a shape: drawings without a tolerance have the general one."""
        return self._quantity(written, LENGTH, name, path, written.known_by or known_by, self.grade)

    def measured(self, written: Written, kind: Kind, name: str, path: Path, known_by: str) -> Quantity:
        """A value that an instrument may speak for, such as a mass."""
        return self._quantity(written, kind, name, path, written.known_by or known_by, None)

    def plain_length(self, written: Written) -> float:
        return inside(written, LENGTH, self.units).nominal

    def _quantity(
        self, written: Written, kind: Kind, name: str, path: Path, known_by: str, grade: str | None
    ) -> Quantity:
        amount = inside(written, kind, self.units)
        at = self.value_at(path)
        if amount.widths is not None:
            below, above, basis = *amount.widths, "stated"
        else:
            if known_by == "guess":
                self.problem(at, "a guess without a tolerance", "say how far it may be off, such as 12 ± 3")
            above, basis = self._default(amount, kind, known_by, grade)
            # A default may be wider than a small size; the size itself is still above nothing.
            below = min(above, abs(amount.nominal)) if kind in (LENGTH, MASS) else above
        return Quantity(
            name=name,
            nominal=amount.nominal,
            unit=amount.unit,
            below=below,
            above=above,
            known_by=known_by,
            basis=basis,
            at=at,
        )

    def _default(self, amount: Amount, kind: Kind, known_by: str, grade: str | None) -> tuple[float, str]:
        """Half-width and basis for a value that states no tolerance."""
        if known_by in ("", "guess"):
            return 0.0, "exact"
        # 15.748031496062993 in is 400 mm but for the last digit, and must not fall into the next row of a table.
        size = float(f"{amount.nominal:.12g}")
        if known_by == "drawing":
            if grade is None:
                return 0.0, "exact"
            try:
                return general_tolerances.linear_pm(size, grade), f"ISO 2768-{grade}"
            except OutsideTable:
                return 0.0, "exact"  # reports count and name what is taken as exact
        half_width = instruments.half_width(known_by, kind.dimension, size)
        return (0.0, "exact") if half_width is None else (half_width, f"default for {known_by}")
