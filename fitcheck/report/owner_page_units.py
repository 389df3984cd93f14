"""Masses and lengths for the owner's page: metric, with pounds and inches beside where they are wanted."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass

from fitcheck.findings import Band
from fitcheck.report.wording import plain

KG_PER_LB = 0.45359237
MM_PER_INCH = 25.4

_THOUSANDS = re.compile(r"(?<=\d) (?=\d{3}(?!\d))")
_BEFORE_UNIT = re.compile(r"(?<=\d) (?=(?:kg|lb|mm|in)\b|%)")


def kept_whole(text: str) -> str:
    """The text with no line break inside a number: "1 452" over two lines would be read as two."""
    return _THOUSANDS.sub("\u00a0", text)


def kept_with_unit(text: str) -> str:
    """The text with no line break inside a number, nor between it and its unit."""
    return _BEFORE_UNIT.sub("\u00a0", kept_whole(text))


@dataclass(frozen=True, slots=True, kw_only=True)
class Units:
    """How figures are spelled. A sign is never printed: words say which way."""

    also_imperial: bool = False

    def mass(self, kg: float, decimals: int | None = None) -> str:
        """ "106 kg", or "106 kg (234 lb)"; one decimal below 10 kg unless told otherwise."""
        places = (1 if abs(kg) < 9.95 else 0) if decimals is None else decimals
        beside = f" ({plain(kg / KG_PER_LB, places)} lb)" if self.also_imperial else ""
        return f"{plain(kg, places)} kg{beside}"

    def mass_down(self, kg: float) -> str:
        """Rounded down to a tenth: what is left is never told as more."""
        return self.mass(math.floor(kg * 10.0 + 1e-6) / 10.0, 1)

    def heavier(self, kg: float) -> str:
        """ "106 kg lighter", "as heavy as before"."""
        if abs(kg) < 0.05:
            return "as heavy as before"
        return f"{self.mass(abs(kg))} {'heavier' if kg > 0.0 else 'lighter'}"

    def length(self, mm: float) -> str:
        places = 1 if abs(mm) < 9.95 else 0
        decimals = 3 if abs(mm) < 2.54 else 2 if abs(mm) < 25.4 else 1
        beside = f" ({plain(mm / MM_PER_INCH, decimals)} in)" if self.also_imperial else ""
        return f"{plain(mm, places)} mm{beside}"

    def moved(self, mm: float, positive: str, negative: str) -> str:
        """ "30 mm toward the front"; empty where nothing moves."""
        return "" if abs(mm) < 0.05 else f"{self.length(abs(mm))} {positive if mm > 0.0 else negative}"

    def between(self, band: Band) -> str:
        """ "1 450 to 1 455 kg", rounded outward."""
        low, high = math.floor(band.low), math.ceil(band.high)
        beside = ""
        if self.also_imperial:
            pounds = (math.floor(band.low / KG_PER_LB), math.ceil(band.high / KG_PER_LB))
            beside = f" ({plain(pounds[0], 0)} to {plain(pounds[1], 0)} lb)"
        return f"{plain(low, 0)} to {plain(high, 0)} kg{beside}"

    def length_between(self, band: Band) -> str:
        """ "119 to 131 mm", rounded outward."""
        low, high = math.floor(band.low), math.ceil(band.high)
        beside = ""
        if self.also_imperial:
            inches = (
                math.floor(band.low / MM_PER_INCH * 10.0) / 10.0,
                math.ceil(band.high / MM_PER_INCH * 10.0) / 10.0,
            )
            beside = f" ({plain(inches[0], 1)} to {plain(inches[1], 1)} in)"
        return f"{plain(low, 0)} to {plain(high, 0)} mm{beside}"
