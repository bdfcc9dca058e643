"""Register, spigot, thread zones and driving: what locates a bush, and what cannot be."""

import math

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from threadwright import judgement
from threadwright.repair.bush import recommend_bush
from threadwright.repair.drawer import Drawer
from threadwright.repair.driving import DRIVING_KINDS, drive, read_driving
from threadwright.repair.locating import Locating, locate, major_limits
from threadwright.repair.plan import BushPlan
from threadwright.repair.register import (
    collar_register,
    no_register,
    pilot_register,
    stop_collar,
)
from threadwright.repair.spigot import SPIGOT_FITS, clearance_bores, fit_to_measured, spigot
from threadwright.repair.wish import Locate, Wish
from threadwright.repair.zones import by_standard, net_section_kN, thread_zones
from threadwright.tables.errors import JobError
from threadwright.tables.fits import fit
from threadwright.tables.registry import find_thread

BORE = (16.02, 16.03, 16.02, 16.025)


def plan(screw: str = "M8", *, depth: float = 25.0, collar: float | None = 2.0, **more: object) -> BushPlan:
    hole = {"parent": "cast iron", "depth_mm": depth, "collar_mm": collar, **more}
    return recommend_bush(screw, **hole)  # type: ignore[arg-type]


def placed(screw: str = "M8", *, depth: float = 25.0, wish: Wish) -> Locating:
    one = plan(screw, depth=depth, collar=wish.length_mm or None)
    outer = find_thread(one.bush.outer_thread.designation)
    return locate(one, outer=outer, inner=find_thread(screw), wish=wish)


# --- register ---------------------------------------------------------------------------------------


@given(
    major=st.floats(6.0, 40.0),
    fitted=st.sampled_from(["h6", "k6"]),
    spigot_mm=st.one_of(st.none(), st.floats(8.0, 60.0)),
)
def test_a_collar_is_larger_than_the_thread_and_no_smaller_than_the_spigot(
    major: float, fitted: str, spigot_mm: float | None
) -> None:
    one = collar_register(outer_major_mm=major, length_mm=2.0, fitted=fitted, spigot_mm=spigot_mm)  # type: ignore[arg-type]
    assert one.hole is not None
    assert one.bush is not None
    nominal = one.hole[0]
    assert nominal > major + judgement.COLLAR_OVER_THREAD_MM
    assert nominal >= (spigot_mm or 0.0) - 1e-9
    assert tuple(fit("H7", nominal)) == one.hole
    assert tuple(fit(fitted, nominal)) == one.bush
    assert one.locates


def test_a_collar_h6_always_enters_its_counterbore_and_k6_may_need_pressing() -> None:
    free = collar_register(outer_major_mm=12.0, length_mm=2.0)
    tight = collar_register(outer_major_mm=12.0, length_mm=2.0, fitted="k6")
    assert free.clearance is not None
    assert tight.clearance is not None
    assert free.clearance[0] == 0.0
    assert tight.clearance[0] < 0.0 < tight.clearance[1]


def test_a_surviving_seat_is_kept_and_the_collar_is_turned_to_what_was_measured() -> None:
    one = collar_register(outer_major_mm=12.0, length_mm=2.0, seat_mm=(15.98, 16.0), datum="spigot seat")
    assert one.kept
    assert ((15.98, 16.0), 15.98) == (one.hole, one.bush and one.bush[1])
    assert any("The surviving counterbore is kept" in line for line in one.says)


def test_the_counterbore_is_never_bored_from_the_stripped_thread() -> None:
    for datum, words in (("mating part", "the mating part"), (None, "the original location")):
        one = collar_register(outer_major_mm=12.0, length_mm=2.0, datum=datum)  # type: ignore[arg-type]
        text = " ".join(one.says)
        assert words in text
        assert (
            "square to the face, in one setting with the tapping hole; never from the stripped thread" in text
        )


@pytest.mark.parametrize(
    "changed, text",
    [
        ({"asked_mm": 12.1}, "collar: 12.1 mm across does not clear the outer thread of 12.00 mm"),
        ({"asked_mm": 15.0, "spigot_mm": 16.0}, "smaller than the spigot of 16.00 mm"),
        ({"edge_mm": 7.0}, "leaves 0.2 mm to the edge, 1.5 mm wanted; at most 11 mm across fits there"),
    ],
)
def test_a_collar_that_cannot_be_is_refused_with_what_would_relieve_it(
    changed: dict[str, float], text: str
) -> None:
    with pytest.raises(JobError) as caught:
        collar_register(outer_major_mm=12.0, length_mm=2.0, **changed)  # type: ignore[arg-type]
    assert text in str(caught.value)


def test_a_collar_no_larger_than_the_thread_locates_nothing_and_says_so() -> None:
    limits = major_limits(find_thread("M12x1.5"))
    one = stop_collar(major=limits, length_mm=2.0)
    assert one.bush == limits
    assert one.clearance is not None
    assert one.clearance[0] > 0
    assert not one.locates
    assert any("Nothing is located here" in line for line in one.says)
    with pytest.raises(JobError, match="a spigot stands on a collar, not on 'stop collar'"):
        Wish(register="stop collar", mating_bore_mm=BORE)


def test_every_bush_says_that_the_screw_pulls_it_out_against_its_thread_alone() -> None:
    kinds = [
        collar_register(outer_major_mm=12.0, length_mm=2.0),
        stop_collar(major=(11.7, 12.0), length_mm=2.0),
        pilot_register(hole_minor_mm=10.376, least_root_mm=9.93, core_mm=6.8, length_mm=3.0),
        no_register(),
    ]
    assert ["collar", "stop collar", "pilot", "none"] == [one.kind for one in kinds]
    for one in kinds:
        text = " ".join(one.says)
        assert "against its outer thread alone" in text
        assert "The thread does not locate" in text


def test_a_thread_without_limits_is_taken_at_its_basic_size() -> None:
    thread = find_thread("R 1/8 DIN 259")
    assert major_limits(thread) == (thread.major_basic * thread.to_mm,) * 2


def test_a_pilot_passes_the_tapped_hole_and_keeps_its_wall() -> None:
    one = pilot_register(hole_minor_mm=10.376, least_root_mm=9.93, core_mm=6.8, length_mm=3.0)
    assert one.bush is not None
    assert one.bush[1] < 9.93
    with pytest.raises(
        JobError, match=r"pilot: 10.2 mm does not pass the tapped hole freely; make it 9.8 mm"
    ):
        pilot_register(hole_minor_mm=10.376, least_root_mm=9.93, core_mm=6.8, length_mm=3.0, asked_mm=10.2)
    with pytest.raises(JobError, match="leaves a wall of 0.35 mm, 0.8 mm wanted"):
        pilot_register(hole_minor_mm=10.376, least_root_mm=9.93, core_mm=9.1, length_mm=3.0)


@pytest.mark.parametrize(
    "reamers, across, words",
    [
        ((6.0, 9.0, 9.525, 10.0), 9.525, "Ream the pilot's bore with the drawer's reamer of 9.53 mm below"),
        ((6.0, 8.0, 10.0), 9.8, "Bore the pilot's bore to size (no reamer of the drawer serves: 9.83 mm at"),
        ((), 9.8, "Ream the pilot's bore below"),
    ],
)
def test_the_largest_reamer_of_the_drawer_that_serves_sets_the_pilot(
    reamers: tuple[float, ...], across: float, words: str
) -> None:
    one = pilot_register(
        hole_minor_mm=10.376, least_root_mm=9.93, core_mm=6.8, length_mm=3.0, reamers_mm=reamers
    )
    assert one.bush is not None
    assert across == pytest.approx(one.bush[1])
    assert one.says[1].startswith(words)


# --- spigot -----------------------------------------------------------------------------------------


@given(
    bores=st.lists(st.floats(14.0, 60.0), min_size=1, max_size=4),
    depth=st.floats(2.0, 30.0),
    fitted=st.sampled_from(sorted(SPIGOT_FITS)),
    width=st.floats(0.02, 0.2),
)
def test_a_spigot_never_bottoms_and_a_sliding_or_snug_one_always_enters(
    bores: list[float], depth: float, fitted: str, width: float
) -> None:
    assume(depth - judgement.SPIGOT_SHORT_MM - width >= judgement.LEAST_SPIGOT_MM)
    one, clear = spigot(
        find_thread("M8"),
        measured=bores,
        mating_depth=depth,
        fitted=fitted,  # type: ignore[arg-type]
        chain_width=width,
    )
    assert one.projection is not None
    assert one.projection[1] <= depth - judgement.SPIGOT_SHORT_MM + 1e-9
    assert one.projection[0] >= judgement.LEAST_SPIGOT_MM - 1e-9
    assert math.isclose(width, one.projection[1] - one.projection[0], abs_tol=1e-9)
    assert one.clearance is not None
    assert (one.clearance[0] >= 0) == (fitted != "press")
    assert one.wall >= judgement.LEAST_SPIGOT_WALL_MM - 1e-9
    assert one.diameter[0] - clear[0].high >= 2 * judgement.LEAST_SPIGOT_WALL_MM - 1e-9


def test_the_spigot_is_laid_from_the_least_bore_that_was_measured() -> None:
    limits, clearance = fit_to_measured("h6", BORE)
    assert limits == tuple(fit("h6", 16.02))
    assert (0.0, 0.021) == (clearance[0], clearance[1])


@pytest.mark.parametrize(
    "changed, text",
    [
        (
            {"measured": (7.9,)},
            "spigot: 7.89 mm across is no larger than the screw M8x1.25 of 8.00 mm that goes through it",
        ),
        (
            {"measured": (9.5,)},
            "leaves a wall of 0.49 mm, 0.8 mm wanted; bore the mating part to 10.1 mm or more",
        ),
        ({"mating_depth": 1.2}, "mating depth: 1.2 mm leaves a spigot of 0.80 mm when it stops 0.3 mm short"),
        ({"projection": 8.0}, "projection: 8 mm may come out at 8.05 mm and the mating bore is 8 mm deep"),
        ({"projection": 0.5}, "projection: a spigot of 0.5 mm locates nothing; make it 1 mm or more"),
    ],
)
def test_a_spigot_that_cannot_be_is_refused_with_what_binds(changed: dict[str, object], text: str) -> None:
    usual: dict[str, object] = {"measured": BORE, "mating_depth": 8.0, "chain_width": 0.1}
    with pytest.raises(JobError) as caught:
        spigot(find_thread("M8"), **{**usual, **changed})  # type: ignore[arg-type]
    assert text in str(caught.value)


def test_a_projection_that_was_asked_for_lies_in_the_middle_of_its_limits() -> None:
    one, _ = spigot(find_thread("M8"), measured=BORE, mating_depth=8.0, projection=5.0, chain_width=0.1)
    assert one.projection is not None
    assert (4.95, 5.05) == tuple(round(value, 6) for value in one.projection)


def test_without_a_measured_bore_the_spigot_says_that_it_must_be_measured() -> None:
    one, _ = spigot(find_thread("M8"), old_mm=15.9, chain_width=0.1)
    assert (None, None, None) == (one.measured, one.clearance, one.projection)
    assert "Measure the mating bore before the spigot is turned" in one.notes[0]
    assert any("Measure the depth of the mating bore" in note for note in one.notes)
    known, _ = spigot(find_thread("M8"), old_mm=15.9, projection=4.0, chain_width=0.1)
    assert known.projection is not None
    with pytest.raises(JobError, match="mating bore: not measured"):
        spigot(find_thread("M8"), chain_width=0.1)


def test_a_worn_bore_one_reading_and_a_press_fit_are_remarked() -> None:
    worn, _ = spigot(
        find_thread("M8"), measured=(16.0, 16.1), mating_depth=12.0, fitted="press", chain_width=0.1
    )
    text = " ".join(worn.notes)
    assert "read 2 times" in text
    assert "worn or oval by 0.100 mm" in text
    assert "A press fit stays in the mating part" in text
    long, _ = spigot(find_thread("M8"), measured=(16.0,), mating_depth=12.0, chain_width=0.1)
    assert "read 1 time:" in long.notes[0]
    assert not any("shorter than half" in note for note in long.notes)


def test_a_screw_beyond_the_clearance_tables_is_refused() -> None:
    with pytest.raises(JobError, match="there is no clearance hole for M110x2"):
        clearance_bores(find_thread("M110x2"))


# --- thread zones -----------------------------------------------------------------------------------


def zones(**changed: object) -> tuple[object, object]:
    usual: dict[str, object] = {
        "collar_mm": 2.0, "length_mm": 25.0, "outer_pitch_mm": 1.5, "inner_pitch_mm": 1.25,
        "least_root_mm": 9.93, "outer_major_mm": 11.968, "inner_major_mm": 8.34,
        "bores": clearance_bores(find_thread("M8")),
        "by_die": False, "inner_needed_mm": 8.0, "tensile_MPa": 380.0, "required_kN": 8.0,
    }  # fmt: skip
    return thread_zones(**{**usual, **changed})  # type: ignore[arg-type]


@given(collar=st.floats(1.0, 6.0), length=st.floats(15.0, 60.0), die=st.booleans())
def test_the_engaged_screw_lies_inside_the_outer_threaded_length(
    collar: float, length: float, die: bool
) -> None:
    laid, relief = thread_zones(
        collar_mm=collar, length_mm=length, outer_pitch_mm=1.5, inner_pitch_mm=1.25, least_root_mm=9.93,
        outer_major_mm=11.968, inner_major_mm=8.34, bores=clearance_bores(find_thread("M8")), by_die=die,
        inner_needed_mm=0.0, tensile_MPa=380.0, required_kN=8.0,
    )  # fmt: skip
    assert laid.inside
    assert laid.inner[0] >= laid.outer[0] >= collar
    assert laid.inner[1] <= laid.outer[1] == length
    assert (laid.net_section_kN, laid.bore_end) == (None, laid.inner[0])
    assert relief.neck_wall >= judgement.LEAST_NECK_WALL_MM - 1e-9


def test_a_die_gets_a_wider_undercut_than_a_single_point() -> None:
    assert zones(by_die=True)[1].width > zones()[1].width  # type: ignore[attr-defined]


@pytest.mark.parametrize(
    "name, within, words",
    [
        ("M14x1.5", 10.4, "(pitch 1.5) is 11.70 mm across, up to 3.8 mm wide, radius 0.8 mm: 1.55 mm less"),
        ("M14x1.5", 11.0, "its neck of 0.35 mm is too thin here"),
        ("5/8-14 BSF", 9.0, "(pitch 2) is 12.88 mm across"),
        ("M48x5", 20.0, "DIN 76-1 gives no undercut for so coarse a pitch."),
    ],
)
def test_the_undercut_of_the_standard_is_told_beside_the_one_that_is_cut(
    name: str, within: float, words: str
) -> None:
    _, relief = zones()
    assert words in by_standard(find_thread(name), relief, within_mm=within)  # type: ignore[arg-type]


def test_where_the_inner_thread_needs_the_length_the_neck_is_checked_for_tension() -> None:
    laid, relief = zones(inner_needed_mm=19.5, required_kN=7.0)
    assert (False, 2.0) == (laid.inside, laid.inner[0])  # type: ignore[attr-defined]
    neck = net_section_kN(neck_mm=9.78, inner_major_mm=8.34, tensile_MPa=380.0)
    assert math.isclose(neck, laid.net_section_kN)  # type: ignore[attr-defined]
    with pytest.raises(
        JobError, match=r"net section: .* tears at 7.8 kN, 20.0 kN wanted; take a larger outer"
    ):
        zones(inner_needed_mm=19.5, required_kN=20.0)
    assert "undercut" == relief.chosen  # type: ignore[attr-defined]


def test_a_neck_too_thin_for_an_undercut_is_relieved_in_the_hole() -> None:
    laid, relief = zones(inner_needed_mm=19.5, inner_major_mm=8.9, required_kN=1.0)
    assert "mouth" == relief.chosen  # type: ignore[attr-defined]
    assert "would leave the neck too thin" in relief.says  # type: ignore[attr-defined]
    assert not laid.inside  # type: ignore[attr-defined]


def test_a_hole_too_shallow_for_collar_and_thread_is_refused() -> None:
    with pytest.raises(JobError, match="depth: below a collar of 2 mm and its relief 2.2 mm of full thread"):
        zones(length_mm=8.0)


def test_no_section_stands_any_load_where_no_metal_is_left() -> None:
    assert 0.0 == net_section_kN(neck_mm=8.0, inner_major_mm=8.34, tensile_MPa=380.0)


# --- the chain from shoulder to face ----------------------------------------------------------------


@given(
    flush=st.floats(0.005, 0.4),
    depth=st.floats(4.0, 12.0),
    collar=st.floats(1.5, 4.0),
    deep=st.floats(0.0, 1.0),
    long=st.floats(0.0, 1.0),
    reach=st.floats(0.0, 1.0),
)
def test_any_bush_and_counterbore_within_limits_end_flush_and_short_of_the_mating_bore(
    flush: float, depth: float, collar: float, deep: float, long: float, reach: float
) -> None:
    wish = Wish(mating_bore_mm=BORE, mating_depth_mm=depth, flush_mm=flush, collar_length_mm=collar)
    chain = placed(wish=wish).chain
    assert chain is not None
    assert chain.shoulder_to_end is not None
    assert chain.projection is not None

    def within(limits: tuple[float, float], share: float) -> float:
        return limits[0] + share * (limits[1] - limits[0])

    counterbore, turned = within(chain.counterbore, deep), within(chain.collar, long)
    proud = turned - counterbore
    if chain.finish_in_place:
        assert flush < judgement.FINISH_IN_PLACE_BELOW_MM
        assert proud > 0
    else:
        assert -flush - 1e-9 <= proud <= 1e-9
    assert -flush - 1e-9 <= chain.flush[0] <= chain.flush[1] <= 0
    stands_out = within(chain.shoulder_to_end, reach) - counterbore
    assert chain.projection[0] - 1e-9 <= stands_out <= chain.projection[1] + 1e-9
    assert stands_out <= depth - judgement.SPIGOT_SHORT_MM + 1e-9


def test_a_flush_limit_below_0_05_mm_is_finished_in_place() -> None:
    for flush, in_place in ((0.03, True), (0.05, False), (None, False)):
        chain = placed(wish=Wish(register="collar", flush_mm=flush)).chain
        assert chain is not None
        assert in_place == chain.finish_in_place


def test_through_spigot_and_collar_the_bore_is_clear_of_the_screw() -> None:
    one = placed(wish=Wish(mating_bore_mm=BORE, mating_depth_mm=8.0))
    assert one.zones.bore is not None
    assert one.zones.bore.low > 8.0
    assert one.zones.inner[0] > one.register.length
    text = " ".join(one.says)
    assert "The inner thread starts below the collar; through spigot and collar the bore is clear" in text
    assert "Runout of the spigot to the register at most 0.02 mm." in text


@pytest.mark.parametrize("depth, inside", [(10.0, False), (12.0, True)])
def test_a_screw_that_engages_above_the_outer_thread_is_told_with_the_load_of_the_neck(
    depth: float, inside: bool
) -> None:
    wish = Wish(register="collar")
    one = recommend_bush(
        "M8",
        parent="mild steel",
        depth_mm=depth,
        collar_mm=2.0,
        drawer=Drawer.from_mapping({"taps": ["M16x1"]}),
    )
    laid = locate(one, outer=find_thread("M16x1"), inner=find_thread("M8"), wish=wish)
    assert inside == laid.zones.inside
    assert inside == (laid.zones.net_section_kN is None)
    assert inside != any("also engages above the outer thread: the neck" in line for line in laid.says)
    if laid.zones.net_section_kN is not None:
        assert laid.zones.net_section_kN >= one.required_strip_kN


def test_a_plain_bush_and_a_pilot_begin_at_the_face() -> None:
    for kind in ("none", "pilot"):
        one = plan(collar=None)
        outer = find_thread(one.bush.outer_thread.designation)
        laid = locate(one, outer=outer, inner=find_thread("M8"), wish=Wish(register=kind))  # type: ignore[arg-type]
        assert (kind, 0.0, None, None) == (laid.register.kind, laid.zones.inner[0], laid.chain, laid.relief)
        assert None is laid.to_dict()["spigot"]


# --- driving ----------------------------------------------------------------------------------------


@pytest.mark.parametrize("kind", DRIVING_KINDS)
def test_every_driving_feature_says_how_it_is_hidden_or_removed(kind: str) -> None:
    wish = Wish(mating_bore_mm=BORE, mating_depth_mm=8.0, collar_mm=24.0, driving=kind)  # type: ignore[arg-type]
    driving = placed(wish=wish).driving
    assert kind == driving.kind
    words = ("lies inside", "lie under", "Nothing of it remains", "leaves no mark")
    assert any(word in driving.says for word in words)
    assert (kind == "two holes") == (driving.spacing_mm is not None)


def test_a_slot_across_a_plain_face_is_hidden_or_faced_off() -> None:
    narrow, wide = (
        drive("slot", face_mm=face, within_mm=8.0, deep_mm=1.0, spigot=False, screw_mm=6.0)
        for face in (12.0, 20.0)
    )
    assert (1.6, 2.0, 1.0) == (narrow.width_mm, wide.width_mm, wide.depth_mm)
    assert "face it off" in wide.says


def test_two_holes_need_a_ring() -> None:
    with pytest.raises(
        JobError, match=r"driving: two holes .* 3 mm wide, .* has 1.00 mm; make the collar 18 mm"
    ):
        drive("two holes", face_mm=14.0, within_mm=12.0, deep_mm=1.0, spigot=True, screw_mm=8.0)


def test_a_driving_feature_is_read_in_any_spelling_and_refused_with_the_nearest() -> None:
    assert ["two holes", "jam nut"] == [read_driving("two-holes"), read_driving(" Jam_Nut ")]
    with pytest.raises(JobError, match=r"driving: no bush is driven by 'slots'; did you mean 'slot'\?"):
        read_driving("slots")
    with pytest.raises(JobError, match="write one of slot, two holes, flats, jam nut"):
        read_driving("xyzzy")


# --- what is asked for ------------------------------------------------------------------------------


def test_a_size_of_nothing_is_refused_by_its_name() -> None:
    with pytest.raises(JobError, match="mating depth: 0 is not a size"):
        Wish(mating_depth_mm=0)
    with pytest.raises(JobError, match="mating bore: .* is not a size"):
        Wish(mating_bore_mm=(16.0, -1.0))


def test_what_the_file_says_becomes_a_wish() -> None:
    located = Locate(mating_bore=(16.0, 16.1), mating_thickness=9.0, seat=20.0)
    assert (16.0, (20.0,), 20.0) == (
        located.spigot_mm,
        located.wish().seat_mm,
        located.wish().collar_asked_mm,
    )
    assert ("collar", 9.0) == (located.wish().kind, located.wish().mating_depth_mm)
    assert ["none", "collar", "stop collar"] == [
        Locate().wish().kind,
        Locate().wish(collar=True).kind,
        Locate(register="none").wish(collar=True).kind,
    ]
    assert 4.0 == Locate(spigot=12.0, spigot_length=4.0).wish().projection_mm
    assert None is Locate(spigot=12.0, spigot_length=4.0, mating_depth=6.0).wish().projection_mm
    assert (None, 12.0) == (Locate(register="pilot", collar=9.0).collar_mm, Locate(spigot=12.0).spigot_mm)
    assert None is Locate(register="pilot").wish().collar_asked_mm
    assert (3.0, 2.0, 0.0) == tuple(
        Locate(register=kind).wish().length_mm
        for kind in ("pilot", "collar", "none")  # type: ignore[arg-type]
    )
