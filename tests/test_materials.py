"""Metals: the low end of every strength, its source, and the names people use."""

import pytest

from threadwright.tables.errors import MaterialError, TableError
from threadwright.tables.materials import MATERIALS, Material, find_material, plain_name
from threadwright.tables.thread import Source

PRINT = Source("a sheet")


@pytest.mark.parametrize(
    "name, tensile, shear",
    [
        ("LM4-M", 140.0, 72.8),  # BS 1490: 140 to 170 MPa; ratio of VDI 2230 Table 6
        ("LM4-TF", 230.0, 119.6),  # BS 1490: 230 to 290 MPa
        ("LM6", 160.0, 83.2),  # BS 1490: 160 to 190 MPa
        ("LM25", 130.0, 67.6),  # BS 1490: 130 to 150 MPa
        ("LM25-TE", 150.0, 78.0),  # BS 1490: 150 to 180 MPa
        ("LM25-TB7", 160.0, 140.0),  # BS 1490: shear 140 MPa stated
        ("LM25-TF", 230.0, 180.0),  # BS 1490: shear 180 MPa stated
        ("LM0-M", 80.0, 55.0),  # BS 1490: shear 55 MPa stated
        ("GJL-150", 110.0, 110.0),  # EN 1561, wall 20 to 40 mm
        ("GJL-200", 155.0, 155.0),  # EN 1561, wall 20 to 40 mm
        ("GJL-250", 195.0, 195.0),  # EN 1561, wall 20 to 40 mm
        ("SG iron", 400.0, 360.0),  # EN 1563: GJS-400, shear 360 MPa
        ("GJS-500-7", 500.0, 450.0),  # EN 1563: shear 450 MPa
        ("bronze", 186.0, 120.9),  # BS 1400: LG2 186 to 255 MPa
        ("phosphor bronze", 360.0, 234.0),  # CC481K continuously cast, at least 360 MPa
        ("brass", 380.0, 247.0),  # CuZn39Pb3 rod, 40 to 75 mm
        ("free-cutting steel", 380.0, 228.0),  # EN 10087: 380 to 570 MPa
        ("cold-drawn free-cutting steel", 460.0, 276.0),  # EN 10277-3: 460 to 710 MPa
    ],
)
def test_strength_is_the_low_end_of_the_sheet(name, tensile, shear):
    material = find_material(name)
    assert material.tensile == tensile
    assert material.shear == pytest.approx(shear, abs=0.05)


def test_stated_shear_wins_over_the_ratio_of_cast_aluminium():
    assert find_material("LM25-TF").shear_ratio is None
    assert find_material("cast aluminium").shear_ratio == 0.52


def test_zinc_die_casting_has_no_strength():
    zinc = find_material("pot metal")
    assert (zinc.kind, zinc.tensile, zinc.shear, zinc.from_memory) == ("zinc die casting", None, None, ())


@pytest.mark.parametrize(
    "typed, name",
    [
        ("cast iron", "grey iron"),
        ("Gray  Iron", "grey iron"),
        ("zinc die-casting", "zinc die casting"),
        ("Cast Aluminum", "cast aluminium"),
        ("magnesium", "magnesium"),
        ("mild steel", "mild steel"),
        ("free cutting steel", "free-cutting steel"),
        ("stainless", "stainless steel"),
        ("ductile iron", "SG iron"),
    ],
)
def test_a_metal_is_found_as_people_type_it(typed, name):
    assert find_material(typed).name == name


def test_no_name_finds_two_metals():
    names = [plain_name(name) for entry in MATERIALS for name in {entry.name, *entry.aliases}]
    assert sorted(names) == sorted(set(names))


def test_every_strength_has_its_sources():
    assert [m.name for m in MATERIALS if m.tensile is not None and not (m.source and m.shear_source)] == []


def test_values_from_memory_are_named():
    assert find_material("mild steel").from_memory == ("tensile strength", "shear strength")
    assert find_material("LM25-TF").from_memory == ()


def test_a_near_miss_gets_a_suggestion():
    with pytest.raises(MaterialError, match=r"'cast aluminim'; did you mean cast aluminium"):
        find_material("cast aluminim")


@pytest.mark.parametrize("typed", ["cheese", ""])
def test_an_unknown_metal_lists_what_may_be_written(typed):
    with pytest.raises(MaterialError, match=r"write one of: cast aluminium, grey iron, .*mild steel"):
        find_material(typed)


def test_a_metal_needs_either_shear_or_ratio():
    with pytest.raises(TableError, match="either a shear strength or a shear ratio"):
        Material(name="x", kind="steel", tensile=100.0, source=PRINT, shear_source=PRINT)


def test_a_metal_needs_a_source_for_both_strengths():
    with pytest.raises(TableError, match="a strength needs its source"):
        Material(name="x", kind="steel", tensile=100.0, source=PRINT, shear_ratio=0.6)


def test_the_range_of_a_metal_is_not_upside_down():
    with pytest.raises(TableError, match=r"90.0 MPa is below the low end 100.0 MPa"):
        Material(
            name="x",
            kind="steel",
            tensile=100.0,
            tensile_high=90.0,
            source=PRINT,
            shear_ratio=0.6,
            shear_source=PRINT,
        )
