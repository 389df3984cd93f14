"""Names of the parts of a STEP assembly: that of their use where it is a name, else that of the product used.

Many programs leave the use of a part in an assembly without a name, or write a mark of their own for it.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass

from fitcheck.geometry.step_text import StepText, reference, string

MARK = re.compile(r"=>\[[\d:]*\]|\s*")
"""A place in the writing program's own tree, or nothing at all."""

DEFINED_BY = re.compile(rb"PRODUCT_DEFINITION(_WITH_ASSOCIATED_DOCUMENTS)?")


@dataclass(frozen=True, slots=True)
class _Use:
    """One use of a product in another: the definitions of both, what it is called, and whether that is a name."""

    above: int
    below: int
    called: str
    named: bool


class StepNames:
    """The products of a file and their uses."""

    def __init__(self, text: StepText) -> None:
        self._products: dict[int, str] = {}
        self._uses: list[_Use] = []
        self._met: set[int] = set()
        for number in text.places:
            for kind, parameters in text.entity(number).items():
                if DEFINED_BY.fullmatch(kind) and len(parameters) >= 3:
                    self._products[number] = _product(text, parameters[2])
                elif kind == b"NEXT_ASSEMBLY_USAGE_OCCURRENCE" and len(parameters) >= 5:
                    self._uses += _use(parameters)

    def of(self, called: tuple[str, ...]) -> tuple[str, ...]:
        """The names from the top down, as the cutting library gives them, with products' names where a use has none.

        Where the uses that fit are of several products the name stays as it is.
        """
        if not called:
            return called
        at = {number for number, name in self._products.items() if name == called[0]} or set(self._products)
        names = [called[0]]
        self._met |= at
        for word in called[1:]:
            uses = [use for use in self._uses if use.above in at and self._called(use) == word]
            at = {use.below for use in uses}
            self._met |= at
            products = {self._products.get(each, "") for each in at}
            product = next(iter(products)) if len(products) == 1 else ""
            names.append(product if product and not any(use.named for use in uses) else word)
        return tuple(names)

    def without_solid(self) -> tuple[str, ...]:
        """Names of the products that are made of no others and that none of the names asked for led to."""
        made_of_others = {use.above for use in self._uses}
        return tuple(
            name for number, name in self._products.items() if number not in self._met and number not in made_of_others
        )

    def _called(self, use: _Use) -> str:
        return use.called or self._products.get(use.below, "")


def _use(parameters: list[bytes]) -> Iterable[_Use]:
    above, below = reference(parameters[3]), reference(parameters[4])
    if above is not None and below is not None:
        label = string(parameters[1])
        named = not MARK.fullmatch(label)
        yield _Use(above, below, label or string(parameters[0]), named)


def _product(text: StepText, formation: bytes) -> str:
    """The name of the product that a definition is of: definition, formation, product."""
    for kind, parameters in text.entity(reference(formation)).items():
        if kind.startswith(b"PRODUCT_DEFINITION_FORMATION") and len(parameters) >= 3:
            known_as = text.entity(reference(parameters[2])).get(b"PRODUCT", [])[:2]
            return next((name for name in map(string, reversed(known_as)) if name.strip()), "")
    return ""
