"""Tightening and cutting torques and the holes of wire inserts against print."""

from __future__ import annotations

import pytest

from threadwright.repair.torque import clamp_torque, cutting_torque, jaw_grip, torque_factor
from threadwright.tables.cutting_forces import CUTTING_FORCES
from threadwright.tables.materials import MATERIALS, find_material
from threadwright.tables.registry import find_thread

STEEL = find_material("free-cutting steel")


def test_a_quarter_inch_grade_2_screw_has_the_printed_clamp_load_and_very_nearly_the_printed_torque() -> None:
    """Torque table, 75 % of 55 ksi proof, K = 0.2, dry: 1312 lbf and 5.4 lbf ft.

    The torque of 1312 lbf is 5.47 lbf ft: the table cut the second digit off; rounded it is 5.5.
    """
    clamp = 0.75 * 55_000 * 0.0318
    assert abs(clamp - 1312) <= 0.5
    torque = clamp_torque(clamp * 4.4482216 / 1000, diameter_mm=6.35).dry_Nm
    foot_pounds = torque / 1.3558179
    assert 5.5 == round(foot_pounds, 1)
    assert 5.4 == int(10 * foot_pounds) / 10


def test_the_torque_factor_of_m10_at_a_friction_of_0_15() -> None:
    """NASA TM-106943, equation 2: 0.197; the VDI 2230 form with a 13 mm friction circle: 0.199."""
    m10 = find_thread("M10")
    assert abs(torque_factor(m10, friction=0.15) - 0.197) <= 0.0005
    vdi = (0.159 * 1.5 + 0.577 * 0.15 * m10.pitch_diameter_basic + 0.15 * 13.0 / 2) / 10
    assert abs(vdi - 0.199) <= 0.0005


def test_oil_takes_a_quarter_off_the_torque() -> None:
    one = clamp_torque(6.0, diameter_mm=8.0)
    assert one.oiled_Nm == pytest.approx(0.75 * one.dry_Nm)
    assert {"clamp_kN": 6.0, "dry_Nm": 9.6, "oiled_Nm": 7.2, "scatter_percent": 25} == {
        key: value for key, value in one.to_dict().items() if key != "basis"
    }


@pytest.mark.parametrize("tpi, torque", [(12, 16.4), (16, 9.2), (20, 5.9), (26, 3.5)])
def test_half_an_inch_in_steel_takes_these_torques(tpi: int, torque: float) -> None:
    found = cutting_torque(pitch_mm=25.4 / tpi, diameter_mm=12.7, metal=STEEL)
    assert abs(found.sharp_Nm - torque) <= 0.05
    assert found.worn_Nm > found.sharp_Nm


def test_m8_in_steel_takes_3_6_newton_metres() -> None:
    assert 3.6 == round(cutting_torque(pitch_mm=1.25, diameter_mm=8.0, metal=STEEL).sharp_Nm, 1)


def test_the_grip_grows_with_the_square_of_the_pitch() -> None:
    coarse, fine = (
        jaw_grip(
            cutting_torque(pitch_mm=25.4 / tpi, diameter_mm=12.7, metal=STEEL).worn_Nm, held_diameter_mm=12.7
        )
        for tpi in (12, 26)
    )
    assert coarse / fine == pytest.approx((26 / 12) ** 2)


@pytest.mark.parametrize(
    "metal, force",
    [
        ("free-cutting steel", 2300),
        ("stainless steel", 3200),
        ("grey iron", 1250),
        ("LM6", 680),
        ("brass", 720),
    ],
)
def test_cutting_forces_are_the_printed_ones(metal: str, force: int) -> None:
    entry = CUTTING_FORCES[find_material(metal).kind]
    assert (force, "") == (entry.newtons_per_mm2, entry.estimated)


def test_every_metal_has_a_cutting_force_and_says_where_it_was_taken_over() -> None:
    assert {metal.kind for metal in MATERIALS} <= set(CUTTING_FORCES)
    assert {"SG iron", "magnesium", "zinc die casting"} == {
        kind for kind, entry in CUTTING_FORCES.items() if entry.estimated
    }
