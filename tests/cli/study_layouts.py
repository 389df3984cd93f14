"""One small layout that states something for every part of a study."""

from __future__ import annotations

WHOLE = """\
fitcheck: 1
title: "=cmd() <b>bay</b>"
units: {length: mm, mass: kg}
axes: {x: rearward, y: right, z: up}
datum: inside corner of the floor
parts:
  case:
    role: enclosure
    change: retained
    shape: {tray: {inside: [300 ± 1, 200 ± 1, 150], wall: 2, floor: 2}}
    inside_low_corner: [0, 0, 0]
    mass: 10
  "+pad <1>":
    role: spacer
    change: new
    material: PA66-GF30
    shape: {box: [180, 120, 8]}
    place: {centre: {x: case inside, y: case inside}, bottom: on case floor}
  m1:
    role: module
    change: new
    shape: {box: [200 ± 0.5, 140 ± 0.5, 100 ± 0.5]}
    mass: 12 ± 0.1
    place: {centre: {x: case inside, y: case inside}, bottom: on "+pad <1>"}
  lid:
    role: lid
    change: retained
    shape: {box: [304, 204, 2]}
    mass: 3
    place: {front: flush with case, left: flush with case, bottom: on case rim}
  old:
    role: module
    change: removed
    shape: {box: [200, 140, 120]}
    mass: 30
    low_corner: [50, 30, 0]
gaps:
  - {between: [every module, every enclosure], at_least: 5, because: weld beads}
heights:
  find:
    "+pad <1>": {stock: [5, 8, 10], at_most_pieces: 4, tolerance: 0.2}
  so_that:
    - {clear_height: [m1, lid], at_most: 22}
screws:
  hold_down:
    thread: M8
    head: ISO 4762
    property_class: 8.8
    torque: 18 N·m
    direction: down
    clamps: [washer ISO 7089, 2.0, 24.4]
    into: {material: aluminium, usable_depth: 20}
    engagement: 2 d
    spare: 2
    at: [[20, 20, 57], [60, 40, 57]]
vehicle:
  wheelbase: 1800
  track: 1250
  weighed: {front: 1460, rear: 1520}
  weighed_as: laden
  cg_height: 640
  case_low: [900, -100, 300]
  limits: {front: 1600, rear: 1750, gross: 3300}
"""
