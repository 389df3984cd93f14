"""Mass properties of single solids, and of trays as boxes."""

from __future__ import annotations

import math

import numpy as np
import pytest
from mesh_writers import brick

from fitcheck.geometry import solids


def test_box_cylinder_and_tube_stand_with_their_low_corner_at_zero():
    assert solids.box((10.0, 20.0, 30.0)).centroid == pytest.approx([5.0, 10.0, 15.0])
    assert solids.cylinder(8.0, 30.0, 0).centroid == pytest.approx([15.0, 4.0, 4.0])
    assert solids.tube(8.0, 6.0, 30.0, 1).centroid == pytest.approx([4.0, 15.0, 4.0])


@pytest.mark.parametrize("along", [0, 1, 2])
def test_tube_is_the_bar_less_its_hole(along):
    bar, hole = solids.cylinder(20.0, 50.0, along), solids.cylinder(12.0, 50.0, along)
    tube = solids.tube(20.0, 12.0, 50.0, along)
    assert tube.volume == pytest.approx(bar.volume - hole.volume, rel=1e-14)
    assert tube.second_moment == pytest.approx(bar.second_moment - hole.second_moment, rel=1e-13)
    assert tube.volume == pytest.approx(math.pi * (100.0 - 36.0) * 50.0, rel=1e-14)


@pytest.mark.parametrize("along", [0, 1, 2])
@pytest.mark.parametrize("way_round", [1, -1])
def test_rectangular_prism_is_a_box_where_its_outline_says(along, way_round):
    outline = [(-3.0, 5.0), (9.0, 5.0), (9.0, 13.0), (-3.0, 13.0)][::way_round]
    prism = solids.prism(outline, [], 20.0, along)
    size, low = np.zeros(3), np.zeros(3)
    size[list(solids.ACROSS[along])], low[list(solids.ACROSS[along])] = (12.0, 8.0), (-3.0, 5.0)
    size[along] = 20.0
    box = solids.box(size).moved(np.eye(3), low)
    assert prism.volume == pytest.approx(box.volume, rel=1e-14)
    assert prism.centroid == pytest.approx(box.centroid, rel=1e-14)
    assert prism.second_moment == pytest.approx(box.second_moment, rel=1e-12, abs=1e-9)


def test_prism_less_its_hole_either_way_round():
    outline, hole = [(0, 0), (40, 0), (40, 30), (0, 30)], [(5, 5), (15, 5), (15, 10), (5, 10)]
    plate = solids.prism(outline, [hole], 2.0, 2)
    again = solids.prism(outline, [hole[::-1]], 2.0, 2)
    window = solids.box((10, 5, 2)).moved(np.eye(3), np.array([5.0, 5.0, 0.0]))
    whole = solids.union([plate, window])
    assert plate.second_moment == pytest.approx(again.second_moment, rel=1e-14)
    assert whole.volume == pytest.approx(2400.0, rel=1e-14)
    assert whole.centroid == pytest.approx([20.0, 15.0, 1.0], rel=1e-14)
    assert whole.second_moment == pytest.approx(solids.box((40, 30, 2)).second_moment, rel=1e-13, abs=1e-9)


def test_prism_all_hole_is_refused():
    square = [(0, 0), (1, 0), (1, 1), (0, 1)]
    with pytest.raises(ValueError, match="no area"):
        solids.prism(square, [square], 1.0, 2)


def test_tray_without_rims_is_the_block_less_its_hollow():
    tray = solids.tray((100.0, 60.0, 40.0), 2.0, 3.0)
    hollow = solids.box((100.0, 60.0, 40.0)).moved(np.eye(3), np.array([2.0, 2.0, 3.0]))
    block = solids.union([tray, hollow])
    full = solids.box((104.0, 64.0, 43.0))
    assert block.volume == pytest.approx(full.volume, rel=1e-14)
    assert block.centroid == pytest.approx(full.centroid, rel=1e-13)
    assert block.second_moment == pytest.approx(full.second_moment, rel=1e-12, abs=1e-6)


def test_tray_with_lip_and_flange_volume_and_place():
    tray = solids.tray((100.0, 60.0, 40.0), 2.0, 3.0, lip=(10.0, 1.5), flange=(8.0, 2.5))
    shell = 104 * 64 * 43 - 100 * 60 * 40
    lip = (100 * 60 - 80 * 40) * 1.5
    flange = (120 * 80 - 104 * 64) * 2.5
    assert tray.volume == pytest.approx(shell + lip + flange, rel=1e-14)
    assert tray.centroid[:2] == pytest.approx([60.0, 40.0], rel=1e-14)
    height = (104 * 64 * 43 * 21.5 - 100 * 60 * 40 * 23 + lip * 42.25 + flange * 41.75) / tray.volume
    assert tray.centroid[2] == pytest.approx(height, rel=1e-13)


def test_tray_boxes_touch_and_never_overlap():
    boxes = solids.tray_boxes((100.0, 60.0, 40.0), 2.0, 3.0, lip=(10.0, 1.5), flange=(8.0, 2.5))
    assert len(boxes) == 13
    for number, (low, high) in enumerate(boxes):
        assert (high > low).all()
        for other_low, other_high in boxes[:number]:
            assert (np.minimum(high, other_high) - np.maximum(low, other_low)).min() <= 0.0
    assert np.min([low for low, _ in boxes], axis=0) == pytest.approx([0, 0, 0])
    assert np.max([high for _, high in boxes], axis=0) == pytest.approx([120, 80, 43])


@pytest.mark.parametrize("lip", [(31.0, 1.0), (5.0, 41.0)])
def test_lip_larger_than_the_hollow_is_refused(lip):
    with pytest.raises(ValueError, match="lip is larger"):
        solids.tray((100.0, 60.0, 40.0), 2.0, 3.0, lip=lip)


def test_mesh_keeps_its_digits_far_from_the_origin():
    vertices, faces = brick((0.5, 0.25, 2.0), (1e6, -1e6, 1e6))
    far = solids.mesh(vertices, faces)
    assert far.second_moment == pytest.approx(solids.box((0.5, 0.25, 2.0)).second_moment, rel=1e-9, abs=1e-12)
    assert far.centroid == pytest.approx([1e6 + 0.25, -1e6 + 0.125, 1e6 + 1.0], abs=1e-9)


def test_mesh_inside_out_is_refused():
    vertices, faces = brick((1.0, 1.0, 1.0))
    with pytest.raises(ValueError, match="inside out"):
        solids.mesh(vertices, faces[:, ::-1])


def test_nothing_to_unite():
    with pytest.raises(ValueError, match="no solids"):
        solids.union([])
