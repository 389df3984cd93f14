"""Clearance and creepage in a flat section, exact: through air around insulation, and over its surface.

Numbers only: polygons and lines in mm go in, the shortest ways come out with their corners. Rules after IEC 60664-1,
6.2 of 2007 and 6.8 of 2020, as public pages show them; the bought standard decides.
"""

from __future__ import annotations

from fitcheck.geometry.section_paths.section import Insulator, Leg, Metal, Over, Paths, Section, Way
from fitcheck.geometry.section_paths.solve import groove_width, paths

__all__ = ["Insulator", "Leg", "Metal", "Over", "Paths", "Section", "Way", "groove_width", "paths"]
