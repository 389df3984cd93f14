"""Layouts with toleranced sizes and places of every kind, to be built many times over."""

from __future__ import annotations

BOXES = {
    "centred in a case": """
        parts:
          case:
            {role: enclosure, change: retained, inside_low_corner: [0, 0, 0],
             shape: {tray: {inside: [900 ± 2, 451 ± 2, 160 ± 1], wall: 2 ± 0.2, floor: 2.5 ± 0.3}}}
          m1:
            {role: module, change: new, shape: {box: [410 ± 0.5, 446 ± 0.5, 126 ± 0.5]},
             place: {front: 12 ± 1 clear of case inside front, centre: {y: case inside}, bottom: on case floor}}
    """,
    "a row of modules": """
        parts:
          case:
            {role: enclosure, change: retained, inside_low_corner: [0, 0, 0],
             shape: {tray: {inside: [620 ± 2, 300, 160], wall: 2, floor: 2}}}
          m1:
            {role: module, change: new, shape: {box: [148 ± 0.5, 200, 100]},
             place: {front: 4 ± 0.3 clear of case inside front, left: 20 clear of case inside left,
                     bottom: on case floor}}
          m2: {like: m1, place: {front: 4 ± 0.3 clear of m1 rear}}
          m3: {like: m1, place: {front: 4 ± 0.3 clear of m2 rear}}
          m4: {like: m1, place: {front: against m3 rear}}
    """,
    "one on another, axes elsewhere": """
        axes: {x: left, y: down, z: rearward}
        parts:
          floor: {role: enclosure, change: retained, shape: {box: [400, 5 ± 0.3, 500]}, low_corner: [0, 200, 0]}
          pad:
            {role: spacer, change: new, shape: {box: [100, 8 ± 0.2, 100]},
             place: {right: 20 past floor, bottom: on floor, front: 30 ± 1 short of floor}}
          m1:
            {role: module, change: new, shape: {box: [300, 126 ± 0.5, 200 +1/-0.2]},
             place: {left: flush with pad, bottom: on pad, front: 5 ± 0.5 past pad}}
          lid: {role: lid, change: retained, shape: {box: [400, 2 ± 0.1, 500]}, low_corner: [0, 55 ± 1, 0]}
          side:
            {role: bracket, change: new, shape: {box: [10, 30, 40]},
             place: {right: 3 ± 0.4 clear of m1 left, centre: {y: m1, z: pad}}}
    """,
    "corner to corner": """
        parts:
          a: {role: module, change: new, shape: {box: [100 ± 1, 80 ± 1, 60 ± 1]}, low_corner: [0 ± 0.5, 0, 0]}
          b: {role: module, change: new, shape: {box: [50 ± 1, 40, 30]}, low_corner: [104, 83 +2/-0.5, 61.5 ± 0.4]}
          c:
            {role: module, change: new, shape: {box: [20, 20, 20]},
             place: {rear: 3 ± 0.2 short of a, left: 2 ± 2 clear of a right, bottom: 1 ± 1 clear of a top}}
    """,
    "a tray in a tray": """
        parts:
          outer:
            {role: enclosure, change: retained, inside_low_corner: [0, 0, 0],
             shape: {tray: {inside: [500 ± 1, 300 ± 1, 100 ± 1], wall: 3, floor: 3,
                            lip: {width: 12 ± 1, thickness: 2 ± 0.2}}}}
          inner:
            {role: frame, change: new,
             shape: {tray: {inside: [400, 200 ± 0.5, 60], wall: 2 ± 0.1, floor: 2,
                            flange: {width: 20, thickness: 1.5 ± 0.1}}},
             place: {front: 9 ± 1 clear of outer inside front, centre: {y: outer inside}, bottom: on outer floor}}
          bar:
            {role: bracket, change: new, shape: {box: [10, 230, 4 ± 0.2]},
             place: {front: 4 clear of inner inside front, centre: {y: inner inside}, bottom: on inner rim}}
    """,
    "growing modules": """
        parts:
          case:
            {role: enclosure, change: retained, inside_low_corner: [0, 0, 0],
             shape: {tray: {inside: [460 ± 1, 300, 160], wall: 2, floor: 2}}}
          m1:
            {role: module, change: new, shape: {box: [148 ± 0.5, 200, 100]}, grows: {x: 2 ± 0.5 %, y: 1 %},
             place: {front: against case inside front, left: 20 clear of case inside left, bottom: on case floor}}
          m2: {like: m1, place: {front: against m1 rear}}
          m3: {like: m1, place: {front: 4 ± 0.3 clear of m2 rear}}
    """,
    "groups of boxes": """
        parts:
          g:
            role: frame
            change: new
            low_corner: [0, 0, 0]
            shape:
              group:
                - {shape: {box: [100 ± 0.5, 20, 20 ± 0.2]}, low_corner: [0, 0, 0]}
                - {shape: {box: [20, 80 ± 1, 20]}, low_corner: [0 ± 1, 20, 0], turn: {z: 90}}
                - {shape: {box: [8, 8, 60 ± 0.3]}, low_corner: [60, 30, 0]}
          m1:
            {role: module, change: new, shape: {box: [20 ± 0.2, 12, 10]},
             place: {front: 3 ± 0.5 clear of g rear, left: 20 short of g, bottom: flush with g}}
          top:
            {role: lid, change: new, shape: {box: [120, 120, 2]},
             place: {front: flush with g, left: flush with g, bottom: on g}}
    """,
}
"""Of square boxes alone: exact."""

CURVED = {
    "round bars": """
        parts:
          box: {role: module, change: new, shape: {box: [100 ± 0.5, 80 ± 0.5, 60]}, low_corner: [0, 0, 0]}
          up:
            {role: column, change: new, shape: {cylinder: {diameter: 18 ± 0.3, length: 150 ± 1, along: z}},
             place: {front: 2 ± 0.5 clear of box rear, left: 1 ± 1 clear of box right, bottom: 10 short of box}}
          along:
            {role: column, change: new, shape: {cylinder: {diameter: 12 ± 0.2, length: 90 ± 1, along: x}},
             place: {rear: 4 clear of up front, left: 3 ± 0.5 clear of box right, bottom: 12 ± 1 past box}}
          lying:
            {role: column, change: new, turn: [{z: 30}, {x: 20}],
             shape: {cylinder: {diameter: 10 ± 0.2, length: 70 ± 1, along: x}},
             low_corner: [20 ± 0.4, -30, 64 ± 0.5]}
    """,
    "prisms": """
        parts:
          ell:
            {role: bracket, change: new, known_by: tape, low_corner: [0, 0, 0],
             shape: {prism: {outline: [[0, 0], [60, 0], [60, 10], [10, 10], [10, 50], [0, 50]],
                             height: 40 ± 0.5, along: y}}}
          in:
            {role: module, change: new, shape: {box: [20 ± 0.5, 30, 20 ± 0.3]},
             place: {rear: 6 ± 1 short of ell, left: flush with ell, bottom: 14 ± 1 short of ell}}
          by:
            {role: column, change: new, shape: {cylinder: {diameter: 14 ± 0.2, length: 30, along: y}},
             place: {front: 3 ± 0.5 clear of ell rear, left: flush with ell, bottom: 4 short of ell}}
          tri:
            {role: bracket, change: new, turn: {y: 25}, known_by: steel rule,
             shape: {prism: {outline: [[0, 0], [40, 0], [20, 30]], height: 20, along: z}},
             place: {front: 3 ± 0.5 clear of ell rear, left: 2 ± 0.5 clear of by right, bottom: flush with ell}}
    """,
    "a toleranced corner of an outline": """
        parts:
          p:
            {role: bracket, change: new, low_corner: [0, 0, 0],
             shape: {prism: {outline: [[0, 0], [100, 0], [60, 50], [0, 50]], height: 30 ± 0.3, along: z}}}
          m1: {role: module, change: new, shape: {box: [40, 50, 30]}, low_corner: [103 ± 0.5, 10 ± 0.5, 10]}
    """,
    "in and beside a tube": """
        parts:
          pipe:
            {role: duct, change: new, low_corner: [0, 0, 0],
             shape: {tube: {outside: 80 ± 0.5, inside: 70 ± 0.5, length: 200 ± 1, along: x}}}
          in:
            {role: harness, change: new, shape: {box: [300, 30 ± 0.5, 20 ± 0.5]},
             place: {centre: {x: pipe, y: pipe}, bottom: 20 ± 1 short of pipe}}
          by:
            {role: module, change: new, shape: {box: [50, 30, 20 ± 0.5]},
             place: {front: 10 ± 1 clear of pipe rear, left: 5 ± 1 short of pipe, bottom: 25 ± 1 short of pipe}}
    """,
    "meshes": """
        parts:
          duct:
            {role: duct, change: new, shape: {mesh: {file: wedge.stl, unit: mm}}, low_corner: [0 ± 0.3, 0, 0]}
          tilted:
            {role: duct, change: new, turn: {z: 25}, shape: {mesh: {file: wedge.stl, unit: mm}},
             place: {front: 3 ± 0.5 clear of duct rear, left: flush with duct, bottom: 1 ± 1 past duct}}
          m1:
            {role: module, change: new, shape: {box: [60 ± 0.5, 40, 30 ± 0.5]},
             place: {front: 8 ± 1 past duct, left: 4 ± 0.5 clear of duct right, bottom: 3 ± 1 past duct}}
          bar:
            {role: column, change: new, shape: {cylinder: {diameter: 12 ± 0.3, length: 80, along: x}},
             place: {front: flush with duct, right: 0.7 ± 0.5 clear of duct left, bottom: 2 short of duct}}
    """,
}

TURNED = {
    "a module nearly straight": """
        parts:
          wall: {role: bracket, change: retained, shape: {box: [300, 10 ± 0.3, 100]}, low_corner: [0, 0, 0]}
          m1:
            {role: module, change: new, turn: {z: 0 ± 0.5}, shape: {box: [200 ± 0.5, 120 ± 0.5, 80]},
             place: {front: 40 short of wall, left: 3 ± 0.5 clear of wall right, bottom: flush with wall}}
          nub: {role: column, change: new, shape: {box: [4, 4, 40]}, low_corner: [246, 20, 10]}
    """,
    "both turned by a right angle": """
        parts:
          m1:
            {role: module, change: new, turn: {z: 90 ± 0.3}, shape: {box: [200, 120 ± 0.5, 80]},
             low_corner: [0, 0, 0]}
          m2:
            {role: module, change: new, turn: {z: 90 ± 0.3}, shape: {box: [200 ± 0.5, 120, 80]},
             place: {front: 4 ± 0.5 clear of m1 rear, left: flush with m1, bottom: flush with m1}}
    """,
    "an odd angle, and a part placed against it": """
        parts:
          m1:
            {role: module, change: new, turn: {z: 33 ± 1}, shape: {box: [100 ± 0.5, 60, 40]},
             low_corner: [0, 0, 0]}
          stop: {role: bracket, change: new, shape: {box: [20, 20, 40]}, low_corner: [80, -6 ± 0.5, 0]}
          next:
            {role: module, change: new, shape: {box: [30, 30, 30]},
             place: {front: 2 clear of m1 rear, left: 30 past m1, bottom: flush with m1}}
          after:
            {role: module, change: new, shape: {box: [30, 10, 30]},
             place: {front: 12 short of m1, left: against next right, bottom: flush with m1}}
    """,
    "turned twice": """
        parts:
          m1:
            {role: module, change: new, turn: [{z: 40 ± 0.5}, {x: 15 ± 0.5}], shape: {box: [60, 40, 20 ± 0.3]},
             low_corner: [0, 0, 0]}
          stop: {role: bracket, change: new, shape: {box: [20, 40, 10]}, low_corner: [20, 20, 44 ± 0.5]}
    """,
    "a turned bar and its neighbour": """
        parts:
          bar:
            {role: column, change: new, turn: {y: 60 ± 0.5},
             shape: {cylinder: {diameter: 20 ± 0.3, length: 90, along: x}}, low_corner: [0, 0, 0]}
          on: {role: lid, change: new, shape: {box: [40, 30, 4]},
             place: {front: flush with bar, left: flush with bar, bottom: 2 ± 1 clear of bar top}}
    """,
    "a turned mesh": """
        parts:
          duct:
            {role: duct, change: new, turn: {z: 30 ± 0.5}, shape: {mesh: {file: wedge.stl, unit: mm}},
             low_corner: [0, 0, 0]}
          m1:
            {role: module, change: new, shape: {box: [60, 40, 30 ± 0.5]},
             place: {front: 2 clear of duct rear, left: 20 short of duct, bottom: flush with duct}}
    """,
    "a mesh turned about its file's far origin": """
        parts:
          far:
            {role: duct, change: new, turn: {z: 0 ± 0.1}, shape: {mesh: {file: far.stl, unit: mm}},
             file_origin: [0, 0, 0]}
          m1: {role: module, change: new, shape: {box: [60, 40, 30]}, low_corner: [2000, 60, 0]}
    """,
    "a turned growing module": """
        parts:
          m1:
            {role: module, change: new, turn: {z: 90 ± 0.3}, grows: {x: 2 ± 0.5 %}, shape: {box: [200, 120, 80]},
             low_corner: [0, 0, 0]}
          m2:
            {role: module, change: new, shape: {box: [60, 100, 80]},
             place: {front: 30 short of m1, left: 4 ± 0.5 clear of m1 right, bottom: flush with m1}}
    """,
}
"""With uncertain turns: bounded, and the finding says how loosely."""
