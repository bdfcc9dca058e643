"""Change wheels: published ratios and charts, the exact 127 cases, and laws of every train."""

import math
from collections import Counter
from dataclasses import replace
from fractions import Fraction
from itertools import permutations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from published_values import FormulaRow, formula_rows
from threadwright.repair.change_wheels import (
    Train,
    best_trains,
    exact_lead,
    half_nuts,
    permitted_error,
    trains_for,
)
from threadwright.repair.lathe import Lathe, read_leadscrew
from threadwright.tables.errors import JobError
from threadwright.tables.registry import find_thread
from threadwright.tables.thread import Thread

INCH = Fraction("25.4")
ROWS = formula_rows("machining/change_wheels")


def topic(name: str) -> list[FormulaRow]:
    return [row for row in ROWS if row.topic == name]


def chart() -> dict[Fraction, dict[str, str]]:
    """Lead in mm of each line of the chart, and its wheels."""
    lines: dict[Fraction, dict[str, str]] = {}
    for row in topic("chart 80/63"):
        assert "8" == row.given["tpi"]
        lines.setdefault(Fraction(row.given["lead"].removesuffix(" mm")), {})[row.quantity] = row.value
    return lines


# --- in print ---------------------------------------------------------------------------------------


def test_every_published_row_is_compared() -> None:
    assert {"chart 80/63", "ratio in use", "translating ratio"} == {row.topic for row in ROWS}
    assert 10 == len(chart())
    assert all(row.gates for row in ROWS)


@pytest.mark.parametrize("lead", chart(), ids=str)
def test_the_printed_chart_of_63_driving_80_is_125_parts_in_a_million_long(lead: Fraction) -> None:
    line = chart()[lead]
    extra = 1 / Fraction(line["extra pair"]) if "extra pair" in line else Fraction(1)
    turns = Fraction(63, 80) * int(line["driver"]) / int(line["leadscrew wheel"]) * extra
    train = Train(drivers=(turns.numerator,), driven=(turns.denominator,), lead=turns * INCH / 8, wanted=lead)
    assert 125.0 == round(train.error_ppm)


@pytest.mark.parametrize("lead", chart(), ids=str)
def test_the_wheels_of_the_chart_give_nothing_worse_than_the_chart(lead: Fraction) -> None:
    line = chart()[lead]
    extra = tuple(map(int, line["extra pair"].split("/"))) if "extra pair" in line else ()
    ratio = Fraction(extra[1], extra[0]) if extra else Fraction(1)
    wheels = (63, 80, int(line["driver"]), int(line["leadscrew wheel"]))
    best = best_trains(lead, leadscrew=INCH / 8, wheels=wheels, spindle_ratio=ratio, top=1)
    assert 125 == round(best[0].error_ppm)


ERRORS = {"80/63": -125, "47/37": 213, "127/100": 0}


@pytest.mark.parametrize("row", topic("ratio in use"), ids=lambda row: row.value)
def test_a_ratio_in_use_is_found_from_its_own_two_wheels_with_its_error(row: FormulaRow) -> None:
    ratio = Fraction(row.value)
    lead, leadscrew = (Fraction(3), INCH / 8) if ratio < 1 else (INCH / 20, Fraction(1))
    wheels = tuple(map(int, row.value.split("/")))
    best = best_trains(lead, leadscrew=leadscrew, wheels=wheels, top=1)[0]
    assert ((wheels[0],), (wheels[1],)) == (best.drivers, best.driven)
    assert ERRORS.get(row.value, 0) == round(best.error_ppm)


@pytest.mark.parametrize(
    "ratio, ppm", [("113/89", -265), ("108/85", 463), ("33/26", -606), ("61/48", 656), ("126/100", -7874)]
)
def test_other_stand_ins_for_127_miss_it_by_what_they_are_known_to(ratio: str, ppm: int) -> None:
    pair = Fraction(ratio)
    train = Train(drivers=(pair.numerator,), driven=(pair.denominator,), lead=pair, wanted=Fraction("1.27"))
    assert ppm == round(train.error_ppm)


@pytest.mark.parametrize("row", topic("translating ratio"), ids=lambda row: row.value)
def test_the_127_wheel_cuts_a_metric_lead_exactly_as_printed(row: FormulaRow) -> None:
    lead = Fraction(row.given["lead"].removesuffix(" mm"))
    best = best_trains(
        lead, leadscrew=INCH / int(row.given["tpi"]), wheels=tuple(map(int, row.value.split("/"))), top=1
    )[0]
    assert (row.value, 0.0) == (str(best), best.error_ppm)


def test_127_over_120_on_a_3_mm_leadscrew_cuts_8_threads_per_inch_exactly() -> None:
    best = best_trains(INCH / 8, leadscrew=Fraction(3), wheels=(20, 120, 127), top=1)[0]
    assert ("127/120", 0.0) == (str(best), best.error_ppm)


# --- laws -------------------------------------------------------------------------------------------


def brute_force(wanted: Fraction, wheels: tuple[int, ...]) -> Fraction:
    """Least relative error over every train that can stand, by trying them all."""
    least = min(abs(Fraction(a, b) / wanted - 1) for a, b in permutations(wheels, 2))
    for a, b, c, d in permutations(wheels, 4):
        if a + b >= c + 15 and c + d >= b + 15:
            least = min(least, abs(Fraction(a * c, b * d) / wanted - 1))
    return least


@given(
    wheels=st.lists(st.integers(18, 130), min_size=2, max_size=7),
    lead=st.sampled_from([Fraction(1), Fraction("0.81"), Fraction("1.75"), INCH / 26, INCH / 19]),
    screw=st.sampled_from([INCH / 8, INCH / 4, Fraction(3), Fraction(6)]),
)
def test_the_best_train_is_the_best_of_all_that_can_stand(
    wheels: list[int], lead: Fraction, screw: Fraction
) -> None:
    best = best_trains(lead, leadscrew=screw, wheels=wheels, top=3)
    assert brute_force(lead / screw, tuple(wheels)) == abs(best[0].lead / lead - 1)


@given(wheels=st.lists(st.integers(18, 130), min_size=2, max_size=12), top=st.integers(1, 6))
def test_no_train_uses_a_wheel_that_is_not_held_and_errors_only_grow(wheels: list[int], top: int) -> None:
    found = best_trains(Fraction("1.5"), leadscrew=INCH / 8, wheels=wheels, top=top)
    assert len(found) <= top
    for train in found:
        assert not Counter((*train.drivers, *train.driven)) - Counter(wheels)
        assert train.lead == train.ratio * INCH / 8
    errors = [abs(train.error_ppm) for train in found]
    assert sorted(errors) == errors
    assert len({train.ratio for train in found}) == len(found)


def test_twice_the_same_wheel_must_be_held_twice() -> None:
    lead = INCH / 8
    assert 0.0 != best_trains(lead, leadscrew=lead, wheels=(40, 63), top=1)[0].error_ppm
    assert "40/40" == str(best_trains(lead, leadscrew=lead, wheels=(40, 40, 63), top=1)[0])


def test_one_wheel_alone_makes_no_train() -> None:
    assert () == best_trains(Fraction(1), leadscrew=Fraction(3), wheels=(40,))


@pytest.mark.parametrize("lead", [Fraction(3), Fraction(300)])
def test_where_most_trains_rub_on_a_shaft_the_search_goes_on(lead: Fraction) -> None:
    wheels = (*range(10, 22), *range(150, 170))
    found = best_trains(lead, leadscrew=Fraction(3), wheels=wheels, top=40)
    assert 40 == len(found)
    for train in found:
        if len(train.drivers) == 2:
            (a, c), (b, d) = train.drivers, train.driven
            assert a + b >= c + 15
            assert c + d >= b + 15


def test_as_many_trains_are_given_as_are_asked_for() -> None:
    found = best_trains(Fraction(3), leadscrew=INCH / 8, wheels=tuple(range(20, 105, 5)), top=400)
    assert 400 == len(found)
    assert 400 == len({train.ratio for train in found})


def test_a_lead_of_nothing_is_refused() -> None:
    with pytest.raises(JobError, match="a lead of 0 mm from one of 3 mm cannot be cut"):
        best_trains(Fraction(0), leadscrew=Fraction(3), wheels=(20, 40))


# --- whether the error matters, and the half-nuts ---------------------------------------------------


def test_a_train_is_accepted_as_long_as_its_error_uses_a_quarter_of_the_clearance() -> None:
    thread, length = find_thread("M12x1.5"), 20.0
    permitted = permitted_error(thread, engagement_mm=length)
    assert permitted is not None
    screw, hole = thread.limits("external"), thread.limits("internal")
    middle = (screw.pitch_diameter_max + screw.pitch_diameter_min) / 2
    used = permitted * 1e-6 * length / math.tan(math.radians(30))
    assert math.isclose((hole.pitch_diameter_min - middle) / 4, used)


def test_trains_of_a_lathe_are_accepted_or_not_by_the_permitted_error() -> None:
    lathe = Lathe(leadscrew=read_leadscrew("8 tpi"), wheels=(30, 40, 50, 60, 63, 80, 75, 65))
    found = trains_for(find_thread("M12x1.5"), lathe=lathe, engagement_mm=20.0)
    assert found.permitted_ppm is not None
    for train in found.trains:
        assert (abs(train.error_ppm) <= found.permitted_ppm) == train.fits
    assert {True, False} == {train.fits for train in found.trains}
    told = found.to_dict()
    assert ["drivers", "driven", "lead_mm", "error_ppm", "fits"] == list(told["trains"][0])  # type: ignore[index]


def test_a_longer_engagement_never_permits_a_greater_error() -> None:
    permitted = [
        permitted_error(find_thread("3/8-20 BSF"), engagement_mm=length) for length in (5.0, 10.0, 40.0)
    ]
    assert sorted(permitted, reverse=True) == permitted  # type: ignore[type-var]


def without_limits(name: str) -> tuple[Thread, Thread]:
    """A thread whose standard gives no limits at all, and one whose limits lack the pitch diameter."""
    thread = find_thread(name)
    bare = [
        replace(row, pitch_diameter_min=math.nan, pitch_diameter_max=math.nan) for row in thread.all_limits
    ]
    return replace(thread, all_limits=()), replace(thread, all_limits=tuple(bare))


def test_without_limits_nothing_is_said_of_the_error() -> None:
    lathe = Lathe(leadscrew=read_leadscrew("8 tpi"), wheels=(30, 60))
    for thread in without_limits("1/4-20 BSW"):
        found = trains_for(thread, lathe=lathe, engagement_mm=10.0)
        assert {None} == {train.fits for train in found.trains}
        assert found.to_dict()["permitted_error_ppm"] is None


def test_an_engagement_of_nothing_is_refused() -> None:
    with pytest.raises(JobError, match="engagement: 0 mm is no length"):
        permitted_error(find_thread("M8"), engagement_mm=0)


@pytest.mark.parametrize(
    "thread, leadscrew, words",
    [
        (
            "M8",
            "8 tpi",
            "Keep the half-nuts closed from the first cut to the last: a metric thread on an inch",
        ),
        ("3/8-20 BSF", "3 mm", "Keep the half-nuts closed from the first cut to the last: an inch thread on"),
        ("M6", "3 mm", "The half-nuts may be opened and closed anywhere"),
        ("M8", "3 mm", "Close the half-nuts by the thread dial"),
        ("1/4-20 UNC", "4 tpi", "The half-nuts may be opened and closed anywhere"),
        ("3/8-20 BSF", "8 tpi", "Close the half-nuts by the thread dial"),
    ],
)
def test_the_half_nuts_stay_closed_where_the_leadscrew_is_of_the_other_family(
    thread: str, leadscrew: str, words: str
) -> None:
    assert half_nuts(find_thread(thread), read_leadscrew(leadscrew)).startswith(words)


def test_the_lead_of_a_thread_is_exact() -> None:
    assert (INCH / 26, Fraction("0.81")) == (
        exact_lead(find_thread("1/4-26 BSF")),
        exact_lead(find_thread("2 BA")),
    )


# --- the lathe --------------------------------------------------------------------------------------


@pytest.mark.parametrize("text", ["8", "0 tpi", "8 kg", "", "0.1 mm", "1e3 mm", "31 mm"])
def test_a_leadscrew_is_a_pitch_with_its_unit(text: str) -> None:
    with pytest.raises(JobError, match="write it like '8 tpi' or '3 mm'"):
        read_leadscrew(text)


def test_a_leadscrew_reads_the_same_as_pitch_and_as_threads_per_inch() -> None:
    assert read_leadscrew("4 tpi") == read_leadscrew("1/4 in") == read_leadscrew('0.25"')
    assert ("4 tpi", "6 mm") == (str(read_leadscrew("1/4 in")), str(read_leadscrew("6 mm")))


@pytest.mark.parametrize(
    "wrong, text",
    [
        ({"wheels": (20, 5)}, "a change wheel has no 5 teeth"),
        ({"wheels": (20,) * 61}, "61 are more than the 60"),
        ({"division_mm": 5.0}, "division: 5 mm is no graduation"),
        ({"spindle_ratio": Fraction(20)}, "spindle ratio: cannot use 20"),
    ],
)
def test_a_lathe_that_cannot_be_is_refused(wrong: dict[str, object], text: str) -> None:
    with pytest.raises(JobError, match=text):
        Lathe(**wrong)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    "lathe", [Lathe(), Lathe(wheels=(20, 40)), Lathe(leadscrew=read_leadscrew("8 tpi"), wheels=(20,))]
)
def test_trains_need_a_leadscrew_and_wheels(lathe: Lathe) -> None:
    with pytest.raises(JobError, match="need the leadscrew and at least two wheels"):
        trains_for(find_thread("M8"), lathe=lathe, engagement_mm=10.0)
