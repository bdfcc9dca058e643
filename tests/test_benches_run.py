"""Each bench in ``tests/bench`` runs at a tiny size, and prints the JSON and the sentence that it promises.

What it measures is not looked at: so few cases, on a machine that does other things, say nothing.
"""

import json
import os
import re
import subprocess
import sys
from pathlib import Path
from typing import NamedTuple, NoReturn

import pytest

from project_files import ROOT

BENCHES = ROOT / "tests" / "bench"

LEFT_OUT = {
    "simulator": "a world that other benches draw from, and no script",
    "scan_sample": "writes samples/scan-screw.png, and takes no other place",
    "sheets_gallery": "writes samples/sheets.png, and needs a program that turns PDF pages into pictures",
}


class Bench(NamedTuple):
    """How a bench is run small, and what its lines of JSON hold, one for each pair of lines."""

    name: str
    words: tuple[str, ...]
    keys: tuple[str, ...]
    statuses: tuple[int, ...] = (0,)
    listed: int = 0  # lines before the first pair
    whole: bool = True  # or stopped behind the pairs named


CASES = (
    Bench(
        "accuracy",
        ("10",),
        (
            "bench world kit n first first_interval_95 in_three limit_first behind_limit "
            "behind_limit_interval_95 limit_in_three chart nearest_neighbour calibration "
            "limit_calibration rows_per_second",
        ),
        whole=False,  # 15 kits and worlds of the same code, each with a world to build: half a minute
    ),
    Bench(
        "catalogue",
        ("1",),
        (
            "bench rounds candidates names numpy_ms import_beyond_numpy_ms build_beyond_numpy_ms "
            "import_processor_ms build_processor_ms",
        ),
    ),
    Bench("change_wheels", ("1",), ("bench repeats wheels slowest_ms worst_ppm trains",)),
    Bench("mating_pairs", (), ("threads pairs tables_s pairs_s look_alikes_s outcomes",)),
    Bench(
        "next_reading",
        ("2",),
        (
            "bench n certainty cannot_be_settled advice_mean advice_median best_mean best_median above_best "
            "above_best_interval_95 fixed_mean fixed_order saving_over_fixed advice_right best_right seconds",
        ),
    ),
    Bench(
        "open_set",
        ("4",),
        (
            "bench part n threshold inch_flagged inch_flagged_and_named millimetre_flagged "
            "millimetre_flagged_and_named count_flagged count_flagged_and_named all_flagged_and_named "
            "count_limit",
            "bench part n listed found limit behind_limit_interval_95 alike",
        ),
    ),
    Bench("print_published_bushes", (), ("bench pairs same refused_as_standard other",), listed=32),
    Bench("scan_accuracy", ("1",), ("pictures pitch measured forms refused errors",)),
    Bench(
        "sheet_speed",
        ("1",),
        ("bench rounds limit_s slowest_beyond_s jobs",),
        statuses=(0, 1),  # 1: slower than its limit, which a busy machine may be
    ),
    Bench(
        "start_up",
        ("1",),
        (
            "bench rounds installed_script pass_ms click_and_numpy_ms help_ms identify_ms help_over_pass "
            "identify_over_click_and_numpy",
        ),
    ),
    Bench(
        "throughput",
        ("20", "1"),
        (
            "bench n usual_class_good_per_second all_classes_and_wear_per_second csv_top_1_per_second "
            "csv_top_3_per_second frozen_distributions_per_second norm_cdf_loop_per_second dense_per_second "
            "kd_tree_per_second ndtr_per_second seconds_by_rows csv_memory_MB_by_rows",
        ),
    ),
)


def refuse(word: str) -> NoReturn:
    raise AssertionError(f"{word} is not JSON")


def lines_of(bench: Bench) -> list[str]:
    """What the bench prints; if it is not wanted whole, its first lines."""
    path = os.pathsep.join([str(BENCHES), str(ROOT / "tests"), *filter(None, [os.environ.get("PYTHONPATH")])])
    with subprocess.Popen(
        [sys.executable, str(BENCHES / f"{bench.name}.py"), *bench.words],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        env=os.environ | {"PYTHONPATH": path, "PYTHONUNBUFFERED": "1"},
    ) as process:
        assert process.stdout is not None
        if not bench.whole:
            lines = [process.stdout.readline() for _ in range(bench.listed + 2 * len(bench.keys))]
            process.kill()
            return [line.rstrip("\n") for line in lines]
        out, err = process.communicate(timeout=120)
    assert "" == err
    assert process.returncode in bench.statuses
    return out.splitlines()


@pytest.mark.parametrize("bench", CASES, ids=[bench.name for bench in CASES])
def test_a_bench_prints_the_keys_it_promises_and_a_sentence(bench: Bench) -> None:
    lines = lines_of(bench)
    assert bench.listed + 2 * len(bench.keys) == len(lines)
    pairs = lines[bench.listed :]
    for line, sentence, keys in zip(pairs[::2], pairs[1::2], bench.keys, strict=True):
        found = json.loads(line, parse_constant=refuse)
        assert set() == set(keys.split()) - set(found)
        assert bench.name == found.get("bench", bench.name)
        assert re.fullmatch(r"\S.* .*\d.*\.", sentence)
        assert "nan" not in sentence


def test_every_bench_is_run_or_left_out_for_a_reason() -> None:
    there = {Path(name).stem for name in os.listdir(BENCHES) if name.endswith(".py")}
    assert there == {bench.name for bench in CASES} | set(LEFT_OUT)
    assert len(there) == len(CASES) + len(LEFT_OUT)
