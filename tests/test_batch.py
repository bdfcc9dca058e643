"""Many fasteners at once, and tables of readings to tables of answers."""

import csv
import os
import re
import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from threadwright import (
    batch,
    batch_answers,
    batch_cells,
    batch_csv,
    batch_many,
    batch_sums,
    batch_tables,
    batch_window,
    judgement,
)
from threadwright.batch import BatchReport, identify_many, run_batch
from threadwright.batch_window import take
from threadwright.instruments import comb_leaves
from threadwright.likelihood import (
    CombColumn,
    LengthColumn,
    Observations,
    WireColumn,
    log_likelihood,
    log_none,
)
from threadwright.priors import class_log_weights, log_prior, log_side
from threadwright.ranking import identify, posterior
from threadwright.readings import CONDITIONS, Readings
from threadwright.tables.catalogue import candidates, class_rows
from threadwright.tables.errors import FileFaultError, ReadingError

BOTH = ("inch", "metric")


def table(folder, text, name="in.csv"):
    path = folder / name
    path.write_bytes(text if isinstance(text, bytes) else text.encode())
    return path


def answers(folder, text, **options):
    """The rows of the answers to a table, and the report."""
    out = folder / "out.csv"
    report = run_batch(table(folder, text), out, **options)
    with out.open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file)), report


# --- arrays in, arrays out ----------------------------------------------------------------------------------


def observations(rng, n, kinds, *, side="external", condition="unknown", spread=1.0):
    """Readings of fasteners drawn from the whole catalogue, some of them far off."""
    catalogue = candidates()
    thread = rng.integers(len(catalogue), size=n)
    pitch, noise = catalogue.pitch[thread], lambda: spread * rng.standard_normal(n)

    def length(name, u, width=None):
        value = getattr(catalogue, name)[thread] + noise() * 3 * u
        return LengthColumn(
            np.maximum(value, 0.1), u * rng.uniform(0.3, 2, n), None if width is None else np.full(n, width)
        )

    wire = pitch * rng.uniform(0.47, 1.0, n)
    factor = np.nan_to_num(catalogue.wire_factor[thread], nan=3.0)  # wires are tried on a buttress too
    over = catalogue.pitch_diameter[thread] + wire * factor - 0.9 * pitch
    lengths = {name: length(name, 0.02) for name in ("major", "pitch_diameter", "minor") if name in kinds}
    if "interval" in kinds:
        lengths["minor"] = length("minor", 0.01, 0.2)
    if "middle interval" in kinds:
        lengths["pitch_diameter"] = length("pitch_diameter", 0.01, 0.05)
    leaves = np.array(comb_leaves())[np.argmin(abs(np.array(comb_leaves()) - pitch[:, None]), axis=1)]
    return Observations(
        n=n,
        side=side,
        condition=condition,
        lengths=lengths,
        over_wires=WireColumn(over, np.full(n, 0.008), wire, np.full(n, 0.002))
        if "over_wires" in kinds
        else None,
        comb=CombColumn(
            leaves * (1.01 if "odd leaf" in kinds else 1.0),
            np.where(rng.random(n) < 0.5, 12.0, np.nan) if "visible" in kinds else np.full(n, np.nan),
            BOTH,
        )
        if "comb" in kinds
        else None,
        pitch=LengthColumn(pitch + 0.02 * noise(), np.full(n, 0.02)) if "pitch" in kinds else None,
        flank_angle=LengthColumn(catalogue.flank_angle[thread] + noise(), np.ones(n))
        if "flank_angle" in kinds
        else None,
    )


def dense(seen):
    """Probabilities of every thread for every fastener, nothing left out."""
    every = np.arange(len(candidates()))
    obs, cand = np.repeat(np.arange(seen.n), len(every)), np.tile(every, seen.n)
    probability, none = posterior(seen, obs, cand)
    return probability.reshape(seen.n, -1), none


def assert_equals_dense(seen, top):
    """By sums over near ends of zones, over all ends, and by the logarithmic kernel that few take."""
    probability, none = dense(seen)
    with pytest.MonkeyPatch.context() as patch:
        for summed, celled in ((0, 0), (0, 10**6), (10**6, 10**6)):
            patch.setattr(batch_many, "_SCIPY_PAYS", summed)
            patch.setattr(batch_many, "_CELLS_PAY", celled)
            assert_ranked_like(probability, none, identify_many(seen, top=top), top)


def assert_ranked_like(probability, none, ranked, top):
    order = np.argsort(-probability, axis=1, kind="stable")[:, :top]
    rows = np.arange(len(none))[:, None]
    assert np.abs(probability[rows, order] - ranked.probability).max() < 1e-12
    assert np.abs(none - ranked.none_of_these).max() < 1e-12
    assert np.abs(ranked.probability.sum(axis=1) + ranked.none_of_these + ranked.rest - 1).max() < 1e-12
    # the same threads in the same order, wherever the probability is a number at all and no tie of rounding
    ordered = np.sort(-probability, axis=1)[:, : top + 1]
    clear = np.logical_and.accumulate(np.diff(ordered, axis=1) > -1e-9 * ordered[:, :top], axis=1) & (
        probability[rows, order] > 1e-280
    )
    assert np.array_equal(order[clear], ranked.index[clear])
    assert clear[:, 0].mean() > 0.2


KINDS = [
    ("major",),
    ("minor",),
    ("pitch_diameter",),
    ("comb",),
    ("flank_angle",),
    ("major", "comb"),
    ("major", "pitch"),
    ("major", "comb", "visible"),
    ("major", "comb", "odd leaf"),
    ("interval", "comb"),
    ("major", "pitch_diameter", "minor", "comb", "flank_angle"),
]
WIRED = [
    ("over_wires",),
    ("over_wires", "comb"),
    ("major", "over_wires", "pitch"),
    ("pitch_diameter", "over_wires", "comb"),
    ("middle interval", "over_wires", "flank_angle"),
    ("major", "minor", "pitch_diameter", "over_wires", "comb", "flank_angle"),
]


@pytest.mark.parametrize("kinds", [*KINDS, *WIRED], ids="+".join)
def test_leaving_threads_out_changes_no_probability(kinds):
    assert_equals_dense(observations(np.random.default_rng(1), 60, kinds), 3)


@pytest.mark.parametrize("condition", ["unknown", *CONDITIONS])
@pytest.mark.parametrize("side", ["external", "internal"])
def test_leaving_threads_out_changes_no_probability_in_any_condition(side, condition):
    kinds = ("major", "minor", "comb")
    seen = observations(np.random.default_rng(2), 40, kinds, side=side, condition=condition)
    assert_equals_dense(seen, 2)


@pytest.mark.parametrize("kinds", [("major", "comb"), ("major", "minor", "flank_angle"), WIRED[-1]])
def test_readings_far_from_every_thread_have_the_same_leaders_as_one_by_one(kinds):
    assert_equals_dense(observations(np.random.default_rng(3), 60, kinds, spread=4.0), 3)


@pytest.mark.parametrize("u", [0.001, 0.02, 0.3])
@pytest.mark.parametrize("kinds", [*KINDS[:3], KINDS[5], KINDS[-2], KINDS[-1], WIRED[2]], ids="+".join)
def test_leaving_ends_out_changes_no_probability(kinds, u):
    seen = observations(np.random.default_rng(11), 30, kinds, condition="unknown")
    lengths = {name: replace(column, u=np.full(30, u)) for name, column in seen.lengths.items()}
    assert_equals_dense(replace(seen, lengths=lengths), 3)


def usual_rows(side):
    """The likeliest class row of every thread, found one by one."""
    owner, weights = class_rows(side).candidate, class_log_weights(side)
    usual = np.full(len(owner), -np.inf)
    for thread in range(len(candidates())):
        rows = np.flatnonzero(owner == thread)
        usual[rows[np.argmax(weights[rows])]] = 0.0
    return usual


@pytest.mark.parametrize("side", ["external", "internal"])
@pytest.mark.parametrize("kinds", [("major", "comb"), ("major", "minor")])
def test_with_usual_classes_every_thread_is_of_its_likeliest_class(side, kinds):
    seen = observations(np.random.default_rng(8), 40, kinds, side=side, condition="good")
    every = np.arange(len(candidates()))
    obs, cand = np.repeat(np.arange(seen.n), len(every)), np.tile(every, seen.n)
    joint = (log_prior(side=side) + log_side(side))[cand] + log_likelihood(seen, obs, cand, usual_rows(side))
    joint, none = joint.reshape(seen.n, -1), np.log(judgement.NONE_OF_THESE) + log_none(seen)
    total = np.logaddexp(np.logaddexp.reduce(joint, axis=1), none)
    ranked = identify_many(seen, top=2, classes="usual")
    assert_ranked_like(np.exp(joint - total[:, None]), np.exp(none - total), ranked, 2)
    assert not np.allclose(ranked.probability, identify_many(seen, top=2).probability, atol=1e-3)


@pytest.mark.parametrize("kinds", [("pitch_diameter", "comb"), ("pitch_diameter", "over_wires", "comb")])
def test_a_micrometer_with_the_wrong_anvils_leaves_no_thread_out_that_counts(kinds):
    seen = observations(np.random.default_rng(9), 30, kinds)
    assert_equals_dense(replace(seen, anvil=55.0), 3)


@pytest.mark.parametrize("u", [1e-5, 30.0])
def test_readings_as_fine_or_as_coarse_as_none_are_the_same_as_one_by_one(u):
    seen = observations(np.random.default_rng(10), 20, ("major", "comb"))
    major = LengthColumn(seen.lengths["major"].value, np.full(20, u))
    assert_equals_dense(replace(seen, lengths={"major": major}), 3)


def test_many_different_comb_leaves_are_ranked_like_few(monkeypatch):
    seen = observations(np.random.default_rng(4), 30, ("major", "comb"))
    expected = identify_many(seen)
    monkeypatch.setattr(batch_window, "_LEAVES", 1)
    monkeypatch.setattr(batch_window, "_owned", lambda _: (np.zeros(1), np.zeros((1, len(candidates())))))
    actual = identify_many(seen)
    assert np.array_equal(expected.index, actual.index)
    assert np.allclose(expected.probability, actual.probability, rtol=0, atol=1e-13)


def test_pieces_of_any_size_are_ranked_alike(monkeypatch):
    seen = observations(np.random.default_rng(5), 150, ("minor", "comb"))
    expected = identify_many(seen)
    monkeypatch.setattr(batch_many, "_ROWS", 40)
    monkeypatch.setattr(batch_many, "_PAIRS", 700)
    actual = identify_many(seen)
    assert np.array_equal(expected.index, actual.index)
    assert np.allclose(expected.probability, actual.probability, rtol=0, atol=1e-13)


def test_all_threads_may_be_asked_for():
    seen = observations(np.random.default_rng(6), 3, ("major",))
    ranked = identify_many(seen, top=len(candidates()))
    assert [sorted(row) for row in ranked.index.tolist()] == 3 * [list(range(len(candidates())))]
    assert np.all(np.abs(ranked.rest) < 1e-12)


def test_no_fasteners_give_no_answers():
    nothing = Observations(n=0, lengths={"major": LengthColumn(np.empty(0), np.empty(0))})
    ranked = identify_many(nothing)
    assert ranked.index.shape == (0, 3)
    assert ranked.rest.shape == (0,)


@pytest.mark.parametrize("condition", ["unknown", "good", "plated"])
@pytest.mark.parametrize("classes", batch_sums.CLASSES)
@pytest.mark.parametrize(
    "kinds, side",
    [(("major", "comb"), "external"), (("minor",), "internal"), (("pitch_diameter",), "external")],
)
def test_a_table_of_densities_is_right_to_a_millionth(kinds, side, classes, condition):
    seen = observations(np.random.default_rng(12), 400, kinds, side=side, condition=condition)
    lengths = {name: replace(column, u=np.full(400, 0.03)) for name, column in seen.lengths.items()}
    seen = replace(seen, lengths=lengths)
    exact = identify_many(seen, classes=classes)
    tabled = identify_many(seen, classes=classes, tabulate=True)
    apart = np.abs(exact.probability - tabled.probability).max()
    assert 0 < apart < 1e-6
    assert np.abs(exact.none_of_these - tabled.none_of_these).max() < 1e-6
    clear = np.diff(exact.probability, axis=1) < -1e-6
    assert np.array_equal(exact.index[:, :2][clear], tabled.index[:, :2][clear])


@pytest.mark.parametrize(
    "kinds, u",
    [
        (("major",), None),  # not one instrument
        (("major", "minor"), 0.02),
        (("interval",), 0.02),
        (("over_wires", "comb"), 0.02),
        (("comb",), 0.02),
        (("major",), 1e-4),  # the table would be too large
    ],
)
def test_where_no_table_serves_nothing_is_interpolated(kinds, u):
    seen = observations(np.random.default_rng(13), 150, kinds)
    if u is not None:
        lengths = {name: replace(column, u=np.full(150, u)) for name, column in seen.lengths.items()}
        seen = replace(seen, lengths=lengths)
    exact, asked = identify_many(seen), identify_many(seen, tabulate=True)
    assert np.array_equal(exact.index, asked.index)
    assert np.abs(exact.probability - asked.probability).max() < 1e-7


@pytest.mark.parametrize("side", ["external", "internal"])
def test_no_cell_of_a_table_is_further_off_than_a_millionth(side):
    sums = batch_sums.end_sums(side, "minor", "unknown", "all", whole=True)
    table = batch_tables.log_table(side, "minor", "unknown", "all", 0.1)
    rng = np.random.default_rng(14)
    cand = rng.integers(0, len(candidates()), 20_000)
    value = rng.uniform(sums.least[cand] - 1.5, sums.greatest[cand] + 1.5)
    density, lost = batch_sums.sum_density(sums, cand, value, np.full(20_000, 0.1))
    assert lost is None
    logs = batch_tables.look_up(table, cand, value)
    held = ~np.isnan(logs)
    assert held[(value > sums.least[cand]) & (value < sums.greatest[cand])].mean() > 0.99
    assert not held[value > sums.greatest[cand] + 1.2].any()
    assert np.abs(logs[held] - np.log(density[held])).max() < 1e-6


@pytest.mark.parametrize("kinds", [("major", "comb"), ("major", "minor"), ("interval",)])
def test_what_rounding_may_have_spoilt_is_worked_out_by_logarithms(monkeypatch, kinds):
    monkeypatch.setattr(batch_sums, "_LOST", 0.3)
    seen = observations(np.random.default_rng(16), 120, kinds)
    assert_equals_dense(take(seen, slice(0, 40)), 3)
    lengths = {name: replace(column, u=np.full(120, 0.037)) for name, column in seen.lengths.items()}
    seen = replace(seen, lengths=lengths)
    exact, tabled = identify_many(seen), identify_many(seen, tabulate=True)
    assert np.abs(exact.probability - tabled.probability).max() < 1e-6


def test_pieces_on_two_threads_are_ranked_like_one(monkeypatch):
    seen = observations(np.random.default_rng(15), 700, ("major", "comb"))
    expected = identify_many(seen)
    monkeypatch.setattr(batch_many, "_ROWS", 50)
    actual = identify_many(seen)
    assert np.array_equal(expected.index, actual.index)
    assert np.array_equal(expected.probability, actual.probability)


def test_classes_are_all_or_usual():
    with pytest.raises(ReadingError, match="classes: cannot be 'loose'; write one of all, usual"):
        identify_many(Observations(n=1, lengths={"major": ONE}), classes="loose")


def test_equal_threads_come_in_the_order_of_the_catalogue():
    obs, cand = np.array([0, 0, 0, 2, 2]), np.array([4, 7, 9, 1, 3])
    joint = np.array([-5.0, -1.0, -1.0, -2.0, -2.0])
    index, best = batch_many._first_few(obs, cand, joint, shape=(3, 3))
    assert index.tolist() == [[7, 9, 4], [0, 0, 0], [1, 3, 0]]
    assert best.tolist() == [[-1.0, -1.0, -5.0], 3 * [-np.inf], [-2.0, -2.0, -np.inf]]


@settings(max_examples=40)
@given(
    st.floats(1.0, 60.0),
    st.floats(0.0005, 0.2),
    st.sampled_from(sorted(judgement.ZONE_SHARES)),
    st.sampled_from(comb_leaves()),
    st.floats(20.0, 35.0),
)
def test_what_is_left_out_together_is_less_than_nothing_that_counts(major, u, condition, leaf, flank):
    seen = Observations(
        n=1,
        condition=condition,
        lengths={"major": LengthColumn(np.array([major]), np.array([u]))},
        comb=CombColumn(np.array([leaf]), np.array([np.nan]), BOTH),
        flank_angle=LengthColumn(np.array([flank]), np.ones(1)),
    )
    ranked = identify_many(seen)
    probability, none = dense(seen)
    assert abs(none[0] - ranked.none_of_these[0]) < 1e-12
    assert np.abs(-np.sort(-probability[0])[:3] - ranked.probability[0]).max() < 1e-12


@pytest.mark.parametrize("side", ["external", "internal"])
@pytest.mark.parametrize("dimension", ["major", "pitch_diameter", "minor"])
def test_the_widest_zone_holds_the_limits_of_every_class(side, dimension):
    rows = class_rows(side)
    zones = batch_window.widest(side, dimension, "unknown")
    low, high = (getattr(rows, f"{dimension}_{end}") for end in ("low", "high"))
    counted = np.isfinite(class_log_weights(side))
    known = counted & ~np.isnan(low) & ~np.isnan(high)
    assert np.all(zones.low[rows.candidate[known]] <= low[known])
    assert np.all(high[known] <= zones.high[rows.candidate[known]])


ONE = LengthColumn(np.array([8.0]), np.array([0.02]))


@pytest.mark.parametrize(
    "seen, top, message",
    [
        (Observations(n=1), 3, "no reading given"),
        (Observations(n=1, lengths={"major": ONE}), 0, "top: 0 candidates cannot be given; write 1 to"),
        (Observations(n=1, lengths={"major": ONE}), 10**9, "top: 1000000000 candidates"),
        (
            Observations(n=2, lengths={"major": ONE}),
            3,
            "major: value has shape .1,.; give one number for each",
        ),
    ],
)
def test_what_cannot_be_ranked_is_refused(seen, top, message):
    with pytest.raises(ReadingError, match=message):
        identify_many(seen, top=top)


# --- a table to a table ------------------------------------------------------------------------------------


def random_cells(rng):
    """Cells of one fastener of any kind, now and then in a wrong unit."""
    catalogue = candidates()
    thread = rng.integers(len(catalogue))
    pitch = catalogue.pitch[thread]
    slip = rng.choice([25.4, 1 / 25.4, 2.0]) if rng.random() < 0.05 else 1.0
    internal = rng.random() < 0.35

    def length(value, u=0.02):
        value = abs(value) * slip
        forms = (f"{value:.3f} mm", f"{value / 25.4:.4f} in", f"{value:.3f} +- {u} mm", f"{value:.2f}mm")
        return forms[rng.integers(len(forms))]

    cells = {"side": "internal"} if internal else {}
    if rng.random() < 0.6:
        cells["major"] = length(catalogue.major[thread] - 0.1 * pitch * rng.random())
    if rng.random() < 0.6:
        forms = f"{pitch:.3f} mm", f"{25.4 / pitch:.2f} tpi", f"10 pitches over {10 * pitch:.2f} mm"
        cells["pitch"] = forms[rng.integers(len(forms))]
    if not internal and rng.random() < 0.4:
        wire = 0.577 * pitch
        cells["wire"] = f"{wire:.3f} mm"
        cells["over_wires"] = length(
            catalogue.pitch_diameter[thread] + wire * catalogue.wire_factor[thread] - 0.87 * pitch
        )
    if rng.random() < 0.3:
        cells["pitch_diameter"] = length(catalogue.pitch_diameter[thread])
    if rng.random() < 0.3:
        minor = catalogue.minor[thread]
        cells["minor"] = length(minor) if rng.random() < 0.6 else f"{minor:.2f}..{minor + 0.1:.2f} mm"
    if rng.random() < 0.3:
        cells["flank_angle"] = f"{catalogue.flank_angle[thread] + rng.normal():.1f} deg"
    if rng.random() < 0.5:
        cells["condition"] = str(rng.choice(CONDITIONS))
    return cells


def test_every_row_of_a_mixed_table_is_answered_as_if_it_were_alone(tmp_path):
    rng = np.random.default_rng(7)
    cells = [random_cells(rng) for _ in range(250)]
    with (tmp_path / "in.csv").open("w", newline="") as file:
        writer = csv.DictWriter(file, batch_csv.COLUMNS)
        writer.writeheader()
        writer.writerows({"id": f"f{i}", **row} for i, row in enumerate(cells))
    rows, report = answers(tmp_path, (tmp_path / "in.csv").read_text(), top=4)
    assert [f"f{i}" for i in range(250)] == [row["id"] for row in rows]
    for given_cells, row in zip(cells, rows, strict=True):
        if row["status"] == "error":
            with pytest.raises(ReadingError) as fault:
                identify(Readings(**given_cells))
            assert row["message"] in (str(fault.value), batch_cells.NO_READING)
            continue
        alone = identify(Readings(**given_cells), top=4)
        assert float(row["none_of_these"]) == pytest.approx(alone.none_of_these, abs=1e-11)
        for rank, candidate in enumerate(alone.candidates, 1):
            assert float(row[f"probability_{rank}"]) == pytest.approx(candidate.probability, abs=1e-11)
            if candidate.probability > 1e-300:
                assert row[f"designation_{rank}"] == candidate.designation
                assert row[f"system_{rank}"] == candidate.system
                assert float(row[f"pitch_mm_{rank}"]) == pytest.approx(candidate.pitch_mm, abs=1e-9)
                assert float(row[f"thread_angle_deg_{rank}"]) == candidate.thread_angle_deg
                nominal = candidate.nominal_major_mm
                assert float(row[f"nominal_major_mm_{rank}"]) == pytest.approx(nominal, abs=1e-9)
        if row["status"] == "ok":
            assert alone.settled
            assert row["message"] == ""
        elif row["status"] == "none":
            assert alone.none_of_these > alone.candidates[0].probability
        else:
            assert row["status"] == "unsettled"
            assert not alone.settled
    statuses = {row["status"] for row in rows}
    assert statuses == {"ok", "unsettled", "none", "error"}
    assert report == BatchReport(250, sum(row["status"] == "error" for row in rows))


def test_the_header_of_the_answers_is_the_one_agreed(tmp_path):
    answers(tmp_path, "id,major\na,8 mm\n", top=2)
    assert (tmp_path / "out.csv").read_text().split("\n")[0] == (
        "id,status,message,none_of_these,"
        "designation_1,system_1,probability_1,nominal_major_mm_1,pitch_mm_1,thread_angle_deg_1,"
        "designation_2,system_2,probability_2,nominal_major_mm_2,pitch_mm_2,thread_angle_deg_2"
    )


def test_an_unsettled_row_names_the_leaders_and_the_reading_that_parts_them(tmp_path):
    rows, _ = answers(tmp_path, "id,major [in],pitch [tpi]\nfoot,0.372,20\n")
    assert rows[0]["status"] == "unsettled"
    assert rows[0]["message"] == "3/8-20 BSF or 3/8-20 UN; read the flank angle"
    rows, _ = answers(tmp_path, "id,major [in],pitch [tpi]\nfoot,0.372,20\n", top=1)
    assert rows[0]["message"] == "3/8-20 BSF or 3/8-20 UN; read the flank angle"
    rows, _ = answers(tmp_path, "id,minor,side\nhole,6.70 mm,internal\n")
    assert rows[0]["message"].endswith("; read the pitch")


def test_a_single_leader_is_named_beside_another():
    catalogue = candidates()
    names = [catalogue.designation(i) for i in range(len(catalogue))]
    first, second = names.index("M8x1.25"), names.index("M8x1")
    everything = frozenset({"pitch", "flank_angle", "major", "pitch_diameter", "minor"})
    assert batch_answers.doubt((first,), second, "external", everything) == "M8x1.25 or another"
    assert batch_answers.doubt((first,), second, "external", everything - {"pitch"}) == (
        "M8x1.25 or another; read the pitch"
    )
    assert batch_answers.doubt((first, second), second, "internal", everything - {"minor"}) == (
        "M8x1.25 or M8x1; measure the minor diameter"
    )


def test_a_row_that_no_thread_fits_says_so(tmp_path):
    rows, report = answers(tmp_path, "id,major [mm],pitch [mm]\na,5.0,3.3\n")
    assert rows[0]["status"] == "none"
    assert rows[0]["message"] == "no thread on file fits; check the units, or measure again"
    assert report == BatchReport(1, 0)


GOOD = "foot,9.88 mm,1.5 mm,,,,external,good\n"
FAULTS = [
    ("f,nine mm,1.5 mm,,,,,\n", "major diameter: cannot read 'nine mm'"),
    ('f,"8,5 mm",1.5 mm,,,,,\n', "the decimal sign is a point; write '8.5 mm'"),
    ("f,8,5 mm,1.5 mm,,,,,\n", "row: 9 cells where the header has 8"),
    ("f,9.88 mm\n", "row: 2 cells where the header has 8"),
    ("f,-3 mm,1.5 mm,,,,,\n", "is negative"),
    ("f,nan mm,1.5 mm,,,,,\n", "cannot read 'nan mm'"),
    ("f,1e400 mm,1.5 mm,,,,,\n", "cannot read '1e400 mm'"),
    ("f,9**9**9 mm,1.5 mm,,,,,\n", "cannot read '9**9**9 mm'"),
    ("f,0.25,1.5 mm,,,,,\n", "has no unit; write '0.25 mm' or '0.25 in'"),
    ("f,8 Mm,1.5 mm,,,,,\n", "no unit 'Mm'; did you mean '8 mm'?"),
    ("f,9.88 mm,26 tip,,,,,\n", "did you mean '26 tpi'?"),
    ("f,9.88 mm,0 tpi,,,,,\n", "is no thread"),
    ("f,9.88 tpi,1.5 mm,,,,,\n", "is a pitch"),
    ("f,9000 mm,1.5 mm,,,,,\n", "is impossible; write one from 0.01 to 2000 mm"),
    ("f,1.2 mm,1.5 mm,,,,,\n", "is not below the major diameter"),
    ("f,9.88 mm,1.5 mm,10.5 mm,,,,\n", "needs the diameter of the wires"),
    ("f,9.88 mm,1.5 mm,,0.866 mm,,,\n", "alone says nothing"),
    ("f,9.88 mm,1.5 mm,10.5 mm,0.2 mm,,,\n", "is too thin to touch the flanks"),
    ("f,9.88 mm,1.5 mm,10.5 mm,1.9 mm,,,\n", "is too thick to touch the flanks"),
    ("f,9.88 mm,1.5 mm,9.5 mm,0.8 mm,,,\n", "is below the major diameter"),
    ("f,,,0.6 mm,0.55 mm,,,\n", "leaves no screw"),
    ("f,9.88 mm,,10.9 mm,0.2 mm,,,\n", "to touch the flanks of any thread near this size"),
    ("f,9.88 mm,1.5 mm,10.3 mm,0.866 mm,,internal,\n", "wires lie on an external thread only"),
    ("f,9.88 mm,1.5 mm,,,60 deg 3,,\n", "flank angle: cannot read"),
    ("f,9.88 mm,1.5 mm,,,70 deg,,\n", "flank angle is one flank, half the thread angle"),
    ("f,9.88 mm,1.5 mm,,,,outside,\n", "side: cannot be 'outside'; write one of external, internal"),
    ("f,9.88 mm,1.5 mm,,,,,rusty\n", "condition: cannot be 'rusty'; write one of good"),
    ("f,,,,,,,\n", "no reading given; measure the major diameter first"),
    ("foot,9.88 mm,1.5 mm,,,,,\n", "id: 'foot' is there already"),
    (",9.88 mm,1.5 mm,,,,,\n", "id: empty"),
    ("f,9.88\0mm,1.5 mm,,,,,\n", "NUL character"),
    (b"f,9.88\xff mm,1.5 mm,,,,,\n", "bytes that are not UTF-8"),
    (b"f\xe9,9.88 mm,1.5 mm,,,,,\n", "bytes that are not UTF-8"),
    ('f,"9.88 mm,1.5 mm,,,,,\n', "a quote is opened and not closed|cannot be read as CSV"),
    ('f,"9.88" mm,1.5 mm,,,,,\n', "cannot be read as CSV"),
    ("f," + "9" * 200_000 + ' mm",1.5 mm,,,,,\n', "cannot be read as CSV: field larger"),
    ("f," + "9" * 30 + ",1.5 mm,,,,,\n", "cannot read '999999"),
    ("   \n", "row: 1 cells where the header has 8"),
]
HEAD = "id,major,pitch,over_wires,wire,flank_angle,side,condition\n"


def as_bytes(line):
    return line if isinstance(line, bytes) else line.encode()


def test_each_row_fault_is_told_in_its_row_and_touches_no_other(tmp_path):
    good = [f"g{i},{9.80 + i / 500:.3f} mm,1.5 mm,,,,external,good\n" for i in range(len(FAULTS))]
    clean, _ = answers(tmp_path, HEAD + GOOD + "".join(good))
    bad = [re.sub(rb"^f(?=,)", b"f%d" % i, as_bytes(fault)) for i, (fault, _) in enumerate(FAULTS)]
    mixed = b"".join(fault + line.encode() for fault, line in zip(bad, good, strict=True))
    rows, report = answers(tmp_path, (HEAD + GOOD).encode() + mixed)
    assert clean[0] == rows[0]
    assert clean[1:] == rows[2::2]
    assert len(FAULTS) == len(rows[1::2])
    assert report == BatchReport(1 + 2 * len(FAULTS), len(FAULTS))
    for (_, message), row in zip(FAULTS, rows[1::2], strict=True):
        assert row["status"] == "error"
        assert any(part in row["message"] for part in message.split("|")), (message, row["message"])
        assert {""} == {value for name, value in row.items() if name not in ("id", "status", "message")}
    assert "\0" not in (tmp_path / "out.csv").read_text()


def test_a_quote_opened_on_the_last_line_spoils_that_line_only(tmp_path):
    rows, _ = answers(tmp_path, 'id,major\na,8 mm\nb,"8 mm\n')
    assert ["a", "b"] == [row["id"] for row in rows]
    assert rows[0]["status"] != "error"
    assert "check its quotes" in rows[1]["message"]


def test_two_quotes_on_lines_apart_do_not_swallow_the_rows_between(tmp_path):
    rows, _ = answers(tmp_path, 'id,major\na,"8 mm\nb,8 mm\nc,8 mm"\nd,8 mm\n')
    assert ["a", "b", "c", "d"] == [row["id"] for row in rows]
    assert "a quote is opened and not closed" not in rows[1]["message"]
    assert [row["status"] == "error" for row in rows] == [True, False, True, False]


def test_quoted_cells_hold_commas_quotes_and_line_ends(tmp_path):
    rows, _ = answers(
        tmp_path,
        'id,major,"pitch [mm]"\n"cover, left","8 mm",1.25\n"the ""big"" one",8 mm,"1.25"\n"a\nb",8 mm,\n',
    )
    assert ["cover, left", 'the "big" one', "a\nb"] == [row["id"] for row in rows]
    assert "error" not in {row["status"] for row in rows}


@pytest.mark.parametrize("end", ["\n", "\r\n", "\r"])
@pytest.mark.parametrize("mark", [b"", b"\xef\xbb\xbf"])
def test_any_line_end_and_a_byte_order_mark_give_the_same_answers(tmp_path, end, mark):
    lines = ["", "id,major [mm],pitch", "a,7.9,1.25 mm", "", 'b,"5,9",1 mm', "c\u00e4,9.9,1.5 mm"]
    plain, _ = answers(tmp_path, "\n".join(lines) + "\n")
    rows, report = answers(tmp_path, mark + end.join(lines).encode())
    assert plain == rows
    assert ["a", "b", "c\u00e4"] == [row["id"] for row in rows]
    assert report.rows == 3
    assert b"\r" not in (tmp_path / "out.csv").read_bytes()


@pytest.mark.parametrize("text", ["id,major [mm]\na,7.9\nb,5.9", "id,major [mm]\na,7.9\n\nb,5.9\n"])
def test_a_last_line_without_its_end_and_an_empty_line_change_nothing(tmp_path, text):
    expected, _ = answers(tmp_path, "id,major [mm]\na,7.9\nb,5.9\n")
    assert expected == answers(tmp_path, text)[0]


def test_a_line_with_as_many_commas_too_few_as_the_next_has_too_many_is_not_cut_across(tmp_path):
    rows, _ = answers(tmp_path, "id,major [mm]\na\nb,5.9,c\nd,7.9\n")
    assert [("a", "error"), ("b", "error"), ("d", "unsettled")] == [(r["id"], r["status"]) for r in rows]


def test_a_table_with_no_rows_gives_a_header_alone(tmp_path):
    rows, report = answers(tmp_path, "id,major\n\n")
    assert (rows, report) == ([], BatchReport(0, 0))


def test_a_table_whose_rows_are_all_faulty_is_answered(tmp_path):
    rows, report = answers(tmp_path, "id,major\na\nb\n")
    assert ["error", "error"] == [row["status"] for row in rows]
    assert report == BatchReport(2, 2)


def only_answers(rows):
    return [
        {
            name: round(float(value), 9) if name.startswith(("none", "probab")) else value
            for name, value in row.items()
        }
        for row in rows
    ]


def test_a_unit_in_the_header_or_in_the_cell_is_the_same(tmp_path):
    forms = [
        "id,major [mm],pitch [mm]\na,9.525,1.27\nb,6.35,1.27\n",
        "id,pitch [tpi],major [in]\na,20,0.375\nb,20.0,.25\n",
        "id,major [thou],pitch [in]\na,375,0.05\nb,250,0.050\n",
        "id,major,pitch\na,0.375 in,20 tpi\nb,0.25in,20tpi\n",
        'id,major,pitch\na,3/8 in,0.05"\nb,1/4 in,1.27 mm\n',
        "id,major [mm],pitch [mm]\na,3/8 in,20 tpi\nb,6.35 mm,1.27 \n",
        "id,major [in],pitch [mm]\na,3/8,1.27\nb,1/4,20 tpi\n",
        "id,major [mm],pitch [tpi]\na,9.525 +- 0.02,20\nb,6.35\u00b10.02,20\n",
        "id,major [mm],pitch [tpi]\na,9.525 by vernier caliper +- 0,20\nb,6.35,20\n",
    ]
    expected, _ = answers(tmp_path, forms[0])
    for form in forms[1:-1]:
        assert only_answers(expected) == only_answers(answers(tmp_path, form)[0]), form
    rows, _ = answers(tmp_path, forms[-1])
    assert "no instrument" in rows[0]["message"]
    rows, _ = answers(tmp_path, "id,major [mm]\na,9.525 by micrometer\n")
    alone = identify(Readings(major="9.525 mm by micrometer"))
    assert float(rows[0]["probability_1"]) == pytest.approx(alone.candidates[0].probability, abs=1e-11)


@settings(max_examples=15)
@given(st.permutations(range(8)), st.sampled_from([30, 200, 1 << 19]))
def test_neither_the_order_of_rows_nor_the_pieces_change_an_answer(tmp_path_factory, order, piece):
    folder = tmp_path_factory.mktemp("order")
    lines = [
        "a,7.9,1.25,,\n",
        "b,0.31 in,26 tpi,,\n",
        "c,,1 mm,5 mm,internal\n",
        "d,9.44,20 tpi,,\n",
        "e,junk,1,,\n",
        "f,5.9,1,,\n",
        '"g",5.9,1.0,,\n',
        "h,20..20.1,,,\n",
    ]
    head = "id,major [mm],pitch [mm],minor,side\n"
    expected = {row["id"]: row for row in answers(folder, head + "".join(lines))[0]}
    old = batch_csv._CHUNK_CHARACTERS
    batch_csv._CHUNK_CHARACTERS = piece
    try:
        rows, _ = answers(folder, head + "".join(lines[i] for i in order))
    finally:
        batch_csv._CHUNK_CHARACTERS = old
    assert ["abcdefgh"[i] for i in order] == [row["id"] for row in rows]
    for row in rows:
        other = expected[row["id"]]
        assert other["status"] == row["status"]
        assert other["message"] == row["message"]
        if row["status"] != "error":
            assert only_answers([other]) == only_answers([row])


def test_ids_are_looked_at_for_doubles_up_to_a_number_of_rows(tmp_path, monkeypatch):
    monkeypatch.setattr(batch_csv, "MOST_IDS", 3)
    monkeypatch.setattr(batch_csv, "_CHUNK_CHARACTERS", 20)
    rows, report = answers(tmp_path, "id,major\na,8 mm\nb,8 mm\na,8 mm\na,8 mm\nb,8 mm\nb,8 mm\n")
    assert [False, False, True, False, False, False] == [row["status"] == "error" for row in rows]
    assert report == BatchReport(6, 1, 3)


def test_progress_is_told_in_rows_done(tmp_path, monkeypatch):
    monkeypatch.setattr(batch_csv, "_CHUNK_CHARACTERS", 10)
    done = []
    answers(tmp_path, "id,major\na,8 mm\nb,8 mm\nc,8 mm\nd,8 mm\n", progress=done.append)
    assert done == [2, 4]


# --- file faults: one line, and no file --------------------------------------------------------------------


@pytest.mark.parametrize(
    "text, message",
    [
        ("", "no header; write a first line like 'id,major"),
        ("\n\n  \n", "no header; write a first line like 'id,major"),
        ("foot,9.88 mm,1.5 mm\n", "no column 'foot'"),
        ("1,9.88,1.5\n", "no header, or an unknown column '1'"),
        ("id,major,\n", "no header, or an unknown column ''"),
        ("id;major\n1;8 mm\n", "column 'id;major' is unknown; part the cells with commas"),
        ("major,pitch\n", "no column 'id'; name each row in one"),
        ("id,wire,side\n", "no column of readings; write some of major, pitch"),
        ("id,majro\n", "no column 'majro'; did you mean 'major'?"),
        ("id,Over wires\n", "no column 'Over wires'; did you mean 'over_wires'?"),
        ("id,xyzzy\n", "no column 'xyzzy'; write some of id, major"),
        ("id,major,major [mm]\n", "column 'major' is there twice"),
        ("id,id,major\n", "column 'id' is there twice"),
        ("id,major [mn]\n", "column 'major .mn.': column unit: 'mn' is not a unit; did you mean"),
        ("id,major [mm\n", "the bracket is not closed; write 'major .mm.'"),
        ("id,major [tpi]\n", "major is not given in tpi; write one of mm, in$"),
        ("id,flank_angle [mm]\n", "flank_angle is not given in mm; write one of deg$"),
        ("id,pitch [deg]\n", "pitch is not given in deg; write one of tpi, mm, in$"),
        ("id [mm],major\n", "id is not given in mm; write one of no unit$"),
        ('id,"major\n', "the header cannot be read as CSV"),
        (b"id,major\0\n", "the header is not text"),
        ("id,major\na,8 mm\n".encode("utf-16"), "the header is not text; save the table as CSV in UTF-8"),
    ],
)
def test_a_file_that_is_no_table_is_refused_and_leaves_no_answers(tmp_path, text, message):
    path = table(tmp_path, text)
    with pytest.raises(FileFaultError, match=message) as fault:
        run_batch(path, tmp_path / "out.csv")
    assert "\n" not in str(fault.value)
    assert str(path) in str(fault.value)
    assert ["in.csv"] == os.listdir(tmp_path)


def test_files_that_cannot_be_opened_are_named(tmp_path):
    path = table(tmp_path, "id,major\na,8 mm\n")
    with pytest.raises(FileFaultError, match="missing.csv: cannot be read: No such file"):
        run_batch(tmp_path / "missing.csv", tmp_path / "out.csv")
    with pytest.raises(FileFaultError, match="cannot be read: Is a directory"):
        run_batch(tmp_path, tmp_path / "out.csv")
    with pytest.raises(FileFaultError, match="cannot be read: embedded null"):
        run_batch("in\0.csv", tmp_path / "out.csv")
    with pytest.raises(FileFaultError, match="out.csv: cannot be written: No such file"):
        run_batch(path, tmp_path / "nowhere" / "out.csv")
    with pytest.raises(FileFaultError, match="is not an ordinary file; name another"):
        run_batch(path, tmp_path)
    with pytest.raises(FileFaultError, match="is not an ordinary file; name another"):
        run_batch(path, "/dev/null")
    assert ["in.csv"] == os.listdir(tmp_path)


def test_a_table_never_takes_its_own_answers(tmp_path):
    path = table(tmp_path, "id,major\na,8 mm\n")
    (tmp_path / "link.csv").symlink_to(path)
    for out in (path, tmp_path / "link.csv", tmp_path / "." / "in.csv"):
        with pytest.raises(FileFaultError, match="is the table itself; name another file"):
            run_batch(path, out)
    assert path.read_text() == "id,major\na,8 mm\n"


def test_no_number_of_threads_below_one_is_taken(tmp_path):
    with pytest.raises(ReadingError, match="top: 0 candidates cannot be given"):
        run_batch(table(tmp_path, "id,major\na,8 mm\n"), tmp_path / "out.csv", top=0)
    assert ["in.csv"] == os.listdir(tmp_path)


# --- whole or not at all -----------------------------------------------------------------------------------


class Stopped(BaseException):
    """What nobody expects."""


def stop(_rows):
    raise Stopped


@pytest.mark.parametrize("before", [None, "old answers\n"])
def test_a_batch_stopped_in_the_middle_leaves_what_was_there(tmp_path, before):
    out = tmp_path / "out.csv"
    if before is not None:
        out.write_text(before)
    left = sorted([*os.listdir(tmp_path), "in.csv"])
    with pytest.raises(Stopped):
        run_batch(table(tmp_path, "id,major\na,8 mm\n"), out, progress=stop)
    assert left == sorted(os.listdir(tmp_path))
    assert before is None or out.read_text() == before


SMALL_DISK = """
import resource, signal, sys
from threadwright.batch import run_batch
from threadwright.tables.errors import FileFaultError
signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
resource.setrlimit(resource.RLIMIT_FSIZE, (4096, 4096))  # files may grow to 4 kB only, as on a full disk
try:
    run_batch(sys.argv[1], sys.argv[2])
except FileFaultError as fault:
    print(fault)
"""


@pytest.mark.parametrize("count", [30, 400])  # the disk is full when the file is finished, or before
def test_a_full_disk_is_a_fault_of_the_file_and_leaves_no_part(tmp_path, count):
    path = table(tmp_path, "id,major\n" + "".join(f"r{i},8 mm\n" for i in range(count)))
    command = [sys.executable, "-c", SMALL_DISK, str(path), str(tmp_path / "out.csv")]
    answer = subprocess.run(command, capture_output=True, text=True, check=True)
    assert "out.csv: cannot be written: File too large" in answer.stdout
    assert ["in.csv"] == os.listdir(tmp_path)


def test_a_disk_that_fails_while_reading_is_a_fault_of_the_file(tmp_path, monkeypatch):
    def broken(*_args, **_options):
        raise OSError(5, "Input/output error")
        yield

    monkeypatch.setattr(batch, "sheets", broken)
    with pytest.raises(FileFaultError, match="in.csv: cannot be read: Input/output error"):
        run_batch(table(tmp_path, "id,major\na,8 mm\n"), tmp_path / "out.csv")
    assert ["in.csv"] == os.listdir(tmp_path)


def test_answers_replace_an_older_file_and_keep_its_mode_and_links(tmp_path):
    real = tmp_path / "real.csv"
    real.write_text("old\n")
    real.chmod(0o640)
    (tmp_path / "out.csv").symlink_to(real)
    answers(tmp_path, "id,major\na,8 mm\n")
    assert (tmp_path / "out.csv").is_symlink()
    assert real.read_text().startswith("id,status")
    assert 0o640 == real.stat().st_mode & 0o777
    assert ["in.csv", "out.csv", "real.csv"] == sorted(os.listdir(tmp_path))


def test_the_same_table_gives_the_same_bytes(tmp_path):
    text = "id,major,pitch\n" + "".join(f"r{i},{5 + i / 10:.2f} mm,{18 + i % 9} tpi\n" for i in range(50))
    answers(tmp_path, text)
    first = Path(tmp_path / "out.csv").read_bytes()
    answers(tmp_path, text)
    assert first == Path(tmp_path / "out.csv").read_bytes()
