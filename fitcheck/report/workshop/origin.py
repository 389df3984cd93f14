"""Where the files of one study come from."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Origin:
    """What every drawing of one study shares."""

    title: str
    layout_file: str
    sha256: str
    made_on: str
    general: str

    @property
    def tolerance(self) -> str:
        """In words; a workshop drawing without one is not finished."""
        return self.general or "none is stated, see SETTLE FIRST"
