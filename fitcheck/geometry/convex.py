"""Signed distance of two convex pieces, and what their uncertain values can make of it.

`separation` is the nominal answer; `lowest` and `highest` bound it over all values within their bands, and `effects`
says what each value does by itself. See `convex_pieces` for what a piece is.
"""

from fitcheck.geometry.convex_bounds import effects, lowest, lowest_along
from fitcheck.geometry.convex_highest import highest
from fitcheck.geometry.convex_pieces import BoxForm, Hull, Piece, Round, box
from fitcheck.geometry.convex_separation import Separation, separation

__all__ = [
    "BoxForm",
    "Hull",
    "Piece",
    "Round",
    "Separation",
    "box",
    "effects",
    "highest",
    "lowest",
    "lowest_along",
    "separation",
]
