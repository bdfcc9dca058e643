"""Slips of the person who measures, and threads that are in no table.

Run: python tests/bench/open_set.py [N]. Prints one JSON line and a sentence for each part.
"""

from __future__ import annotations

import json
import sys
from dataclasses import replace

import numpy as np
import simulator
from accuracy import observations

from threadwright import judgement
from threadwright.batch_many import identify_many
from threadwright.likelihood import LengthColumn, Observations
from threadwright.open_set import SlipScores, slip_scores

FALSE_ALARMS = 0.01
LISTED = 4  # listed screws to one of no table
COUNT = judgement.COUNTED_PITCHES
RULE_U = judgement.INSTRUMENT_U_MM["digital caliper"] / COUNT
INCH = 25.4


def counted(threads: simulator.Threads, sample: simulator.Sample, seed: int) -> Observations:
    """Major diameter and a pitch counted over ten threads with a caliper."""
    n = len(sample.row)
    rng = np.random.default_rng(seed)
    pitch = threads.columns["pitch"][sample.row] * (1 + rng.normal(0, judgement.PITCH_ERROR_SHARE, n))
    pitch = pitch + rng.normal(0, RULE_U, n)
    lengths = {"major": LengthColumn(sample.major, np.full(n, simulator.CALIPER_U))}
    return Observations(n=n, lengths=lengths, pitch=LengthColumn(pitch, np.full(n, RULE_U)))


def with_slip(seen: Observations, kind: str) -> Observations:
    """The readings of people who all make one slip."""
    major = seen.lengths["major"]
    if kind == "inch":  # measured in inches, written as millimetres
        return replace(seen, lengths={"major": LengthColumn(major.value / INCH, major.u / INCH)})
    if kind == "millimetre":
        return replace(seen, lengths={"major": LengthColumn(major.value * INCH, major.u * INCH)})
    assert seen.pitch is not None
    factor = (COUNT - 1) / COUNT  # ten crests are nine spaces
    return replace(seen, pitch=LengthColumn(seen.pitch.value * factor, seen.pitch.u * factor))


def counted_density(threads: simulator.Threads, sample: simulator.Sample, pitch: np.ndarray) -> np.ndarray:
    """Density of the major diameters with such counted pitches, rightly counted, in the plain world."""
    columns, density = threads.columns, np.zeros(len(pitch))
    u = np.hypot(simulator.CALIPER_U, simulator.DISPLAY_MM / np.sqrt(12))
    u_pitch = np.hypot(RULE_U, judgement.PITCH_ERROR_SHARE * columns["pitch"])
    for piece in np.array_split(np.argsort(sample.major), max(1, len(pitch) // 20)):
        read = sample.major[piece][:, None]
        major = simulator.size_density(threads, slice(None), "major", read, u, simulator.PLAIN)
        apart = (pitch[piece][:, None] - columns["pitch"]) / u_pitch
        density[piece] = (major * np.exp(-0.5 * apart**2) / u_pitch) @ threads.weight
    return np.maximum(density, 1e-300)


def counting_limit(threads: simulator.Threads, sample: simulator.Sample, seen: Observations) -> float:
    """Share of counting slips found by the likelihood ratio, if no other slip is ever made."""
    assert seen.pitch is not None
    factor = (COUNT - 1) / COUNT

    def ratio(read: np.ndarray) -> np.ndarray:
        slip = np.log(counted_density(threads, sample, read / factor))
        return slip - np.log(counted_density(threads, sample, read))

    threshold = np.quantile(ratio(seen.pitch.value), 1 - FALSE_ALARMS)
    return float((ratio(seen.pitch.value * factor) > threshold).mean())


def suspicion(scores: SlipScores) -> np.ndarray:
    """Share of the best slip against the readings as they stand; a thread of no table is no slip."""
    best = scores.probability.max(axis=1)
    return best / (best + scores.as_read)


def slips(n: int) -> None:
    threads = simulator.load(simulator.PLAIN)
    sample = simulator.draw(threads, n, simulator.PLAIN, seed=31)
    seen = counted(threads, sample, seed=32)
    good = slip_scores(seen)
    threshold = float(np.quantile(suspicion(good), 1 - FALSE_ALARMS))
    result: dict[str, object] = {"bench": "open_set", "part": "slips", "n": n, "threshold": threshold}
    flagged_and_named = []
    for kind in ("inch", "millimetre", "count"):
        scores = slip_scores(with_slip(seen, kind))
        flagged = suspicion(scores) > threshold
        kinds = np.array([name for name, _ in scores.kinds])
        named = kinds[np.argmax(scores.probability, axis=1)] == kind
        result[f"{kind}_flagged"] = float(flagged.mean())
        result[f"{kind}_flagged_and_named"] = float((flagged & named).mean())
        flagged_and_named.append(float((flagged & named).mean()))
    result["all_flagged_and_named"] = float(np.mean(flagged_and_named))
    result["count_limit"] = counting_limit(threads, sample, seen)
    print(json.dumps({k: round(v, 4) if isinstance(v, float) else v for k, v in result.items()}))
    print(
        f"Unit and counting slips flagged and named: inch {100 * flagged_and_named[0]:.1f} %, millimetre "
        f"{100 * flagged_and_named[1]:.1f} %, counting {100 * flagged_and_named[2]:.1f} % at "
        f"{100 * FALSE_ALARMS:.0f} % false alarms (target 95 %); the likelihood-ratio limit for "
        f"counting, if it is the only slip, is {100 * result['count_limit']:.1f} %."
    )


def unlisted_sample(n: int, seed: int) -> simulator.Sample:
    """Threads of nobody's table: any diameter, any pitch in the usual proportion."""
    rng = np.random.default_rng(seed)
    size = np.exp(rng.uniform(np.log(3), np.log(30), n))
    pitch = size * np.exp(rng.uniform(np.log(0.06), np.log(0.25), n))
    major = size - rng.uniform(0, 0.15, n) * pitch + rng.normal(0, simulator.CALIPER_U, n)
    major = np.round(major / simulator.DISPLAY_MM) * simulator.DISPLAY_MM
    leaf = simulator.chosen_leaves(pitch, simulator.PLAIN, rng)
    nothing = np.zeros(n)
    return simulator.Sample(np.zeros(n, dtype=int), major, leaf, nothing, nothing, nothing)


def unlisted_density(sample: simulator.Sample, seed: int = 77, draws: int = 400_000) -> np.ndarray:
    """Density of major diameter and leaf under that generator, by a histogram of its own draws."""
    many = unlisted_sample(draws, seed)
    edges = np.linspace(np.log(2.5), np.log(31), 61)
    order = np.argsort(simulator.LEAVES)
    column = np.searchsorted(simulator.LEAVES[order], many.leaf - 1e-9)
    counts = np.histogram2d(np.log(many.major), column, bins=[edges, np.arange(len(order) + 1) - 0.5])[0]
    density = (counts + 0.02) / draws / (edges[1] - edges[0])
    at = np.clip(np.searchsorted(edges, np.log(sample.major)) - 1, 0, len(edges) - 2)
    leaf = np.searchsorted(simulator.LEAVES[order], sample.leaf - 1e-9)
    return density[at, leaf] / sample.major


def found(listed: np.ndarray, strangers: np.ndarray) -> float:
    """Share of strangers whose score is above that of all but 1 % of the listed."""
    return float((strangers > np.quantile(listed, 1 - FALSE_ALARMS)).mean())


def behind_interval(listed: np.ndarray, strangers: np.ndarray, seed: int = 43, times: int = 400) -> float:
    """95 % interval of how far the first score is behind the second, both columns drawn again. (n, 2)"""
    rng = np.random.default_rng(seed)
    behind = []
    for _ in range(times):
        good = listed[rng.integers(0, len(listed), len(listed))]
        new = strangers[rng.integers(0, len(strangers), len(strangers))]
        behind.append(found(good[:, 1], new[:, 1]) - found(good[:, 0], new[:, 0]))
    return 1.96 * float(np.std(behind))


def unlisted(n: int) -> None:
    threads = simulator.load(simulator.PLAIN)
    # the threshold hangs on the last hundredth of the listed screws: so there are more of them
    listed = simulator.draw(threads, LISTED * n, simulator.PLAIN, seed=41)
    near = (listed.major > 3) & (listed.major < 30)
    strangers = unlisted_sample(n, seed=42)
    kit = ("comb",)

    def scores(sample: simulator.Sample) -> np.ndarray:
        none = identify_many(observations(sample, kit), top=1).none_of_these
        known = simulator.bayes_optimal(threads, sample, simulator.PLAIN, kit)[2]
        limit = np.log(unlisted_density(sample)) - np.log(np.maximum(known, 1e-300))
        return np.stack([none, limit], axis=1)

    good, new = scores(listed)[near], scores(strangers)
    mine, best = (found(good[:, k], new[:, k]) for k in (0, 1))
    interval = behind_interval(good, new)
    alike = float((new[:, 1] < 0).mean())
    result = {"bench": "open_set", "part": "unlisted", "n": n, "listed": int(near.sum()), "found": mine}
    result |= {"limit": best, "behind_limit_interval_95": interval, "alike": alike}
    print(json.dumps({k: round(v, 4) if isinstance(v, float) else v for k, v in result.items()}))
    print(
        f"Threads of no table found: {100 * mine:.1f} % at {100 * FALSE_ALARMS:.0f} % false alarms, the "
        f"likelihood-ratio limit is {100 * best:.1f} % ({100 * (best - mine):.1f} +- {100 * interval:.1f} "
        f"behind, target 3); {100 * alike:.1f} % look more like a listed thread."
    )


def main() -> None:
    n = int(sys.argv[1]) if len(sys.argv) > 1 else 5000
    slips(n)
    unlisted(n)


if __name__ == "__main__":
    main()
