"""Stiffness of leaves: which material bends, and how layers add up."""

import math

import pytest

from stillbook.trade.isolation.solids import panel_of, solid_of, together
from stillbook.trade.mass.leaves import Layer, Leaf
from stillbook.trade.mass.materials import material_key, materials


def leaf(*layers):
    return Leaf(tuple(Layer(*layer) for layer in layers))


BOARD = ("Gypsum board 1/2 in", 7.8, 0.0127)
LIMP = ("Heavy limp sheet 1 lb/ft²", 4.88, 0.0028)


@pytest.mark.parametrize(
    ("material", "solid"),
    [
        ("Gypsum board 5/8 in type X", "Gypsum board"),
        ("Glass 6 mm", "Glass"),
        ("Glass fibre batt 3-1/2 in", "Glass fibre"),
        ("Laminated glass 6.76 mm", "Laminated glass"),
        ("Lead sheet 1/16 in", "Lead"),
        ("Hollow concrete masonry 8 in 105 pcf", "Hollow concrete masonry"),
        ("Solid-core door slab 1-3/4 in", "Solid-core door slab"),
        ("Mineral wool batt 3 in", "Mineral wool"),
        ("", None),
        ("2.5 lb/ft²", None),
    ],
)
def test_which_solid_a_material_is(material, solid):
    found = solid_of(material)
    assert (found.name if found else None) == solid


@pytest.mark.parametrize("group", ["Gypsum board", "Glass", "Lead", "Metal sheet", "Concrete and masonry", "Door"])
def test_every_material_of_a_stiff_group_has_its_stiffness(group):
    for material in materials().values():
        if material.group == group:
            assert math.isfinite(solid_of(material.name).critical_product), material.name


def test_every_solid_is_named_for_a_material():
    from stillbook.trade.isolation.solids import solids

    for solid in solids():
        start = material_key(solid.name)
        assert any(key.startswith(start) for key in materials())


def test_a_limp_sheet_adds_mass_only():
    board, loaded = panel_of(leaf(BOARD)), panel_of(leaf(BOARD, LIMP))
    assert loaded.stiffness == board.stiffness
    assert loaded.mass == pytest.approx(board.mass + LIMP[1])
    assert loaded.critical_frequency > board.critical_frequency


def test_a_leaf_without_stiffness_is_limp():
    for layers in ((LIMP,), (("", 10.0, None),), (("Glass fibre batt 3-1/2 in", 0.9, 0.089),)):
        assert panel_of(leaf(*layers)).critical_frequency == math.inf


def test_a_thickness_left_out_leaves_a_stiff_material_limp():
    assert panel_of(leaf(("Steel", 10.0, None))).critical_frequency == math.inf


def test_glued_layers_are_stiffer_than_loose_ones():
    loose = panel_of(leaf((*BOARD, 3)))
    glued = panel_of(leaf((*BOARD, 3)), glued=True)
    assert glued.stiffness == pytest.approx(9 * loose.stiffness)


def test_a_core_between_glued_skins_stiffens_them():
    skins = leaf(("Plywood", 3.5, 0.006), ("Rubber", 1.0, 0.01), ("Plywood", 3.5, 0.006))
    assert panel_of(skins, glued=True).stiffness > 10 * panel_of(skins).stiffness


BLOCK = ("Hollow concrete masonry", 151.4, 0.194)
PLASTER = ("Gypsum plaster with sand", 24.4, 0.0127)


def test_render_of_the_masonry_s_own_stuff_makes_a_thicker_wall():
    """One plate of both thicknesses: the critical frequency is the product over them all (Hopkins Table A2, 20 m/s)."""
    wall = panel_of(leaf(("Floor screed", 30.0, 0.015), ("Solid concrete masonry", 280.0, 0.14)))
    assert wall.critical_frequency == pytest.approx(20.25 / 0.155, rel=0.01)
    assert (wall.thickness, wall.sheets) == (pytest.approx(0.155), 1)


def test_plaster_on_both_faces_stiffens_block_as_skins_do():
    """Thin plate theory of three layers about the middle: B = B1 + 2 (B2 + E2' t2 [(t1 + t2) / 2]²), B2 = E2' t2³ / 12."""
    skins = panel_of(leaf(PLASTER)).stiffness
    expected = panel_of(leaf(BLOCK)).stiffness + 2 * skins * (1 + 3 * (1 + 0.194 / 0.0127) ** 2)
    assert panel_of(leaf(PLASTER, BLOCK, PLASTER)).stiffness == pytest.approx(expected)
    assert panel_of(leaf(PLASTER, BLOCK, PLASTER), glued=True).stiffness == pytest.approx(expected)


@pytest.mark.parametrize("layers", [(PLASTER, BOARD), (BLOCK, BLOCK), (BLOCK, BOARD, PLASTER), (BLOCK, LIMP, PLASTER)])
def test_what_render_is_not_spread_on_stays_loose(layers):
    """Board on block is screwed or on dabs, and two wythes are two walls."""
    apart = sum(panel_of(leaf(layer)).stiffness for layer in layers)
    assert panel_of(leaf(*layers)).stiffness == pytest.approx(apart)


def test_panels_that_move_alike():
    one = panel_of(leaf(BOARD))
    both = together([one, one])
    assert (both.mass, both.stiffness) == pytest.approx((2 * one.mass, 2 * one.stiffness))
    assert both.critical_frequency == pytest.approx(one.critical_frequency)
    assert together([panel_of(leaf(LIMP))]).critical_frequency == math.inf
