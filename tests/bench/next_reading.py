"""What following the advice costs, against the best policy of all and the best fixed order.

Run: python tests/bench/next_reading.py [N [CERTAINTY]]. Prints one JSON line and a sentence.

Each case is a simulated stud (no hexagon, no nut to try) whose major diameter has been read. Left to take are
a comb, a pitch counted over ten threads, the crests under a loupe, the minor diameter, a size over wires and
the flank angle. A case ends when one thread has 99 %. Cases that no set of these readings brings there are
counted and left out: whatever the order, all readings would be taken.

"Best" is the policy of the least expected minutes over every adaptive order of the readings, found by
exhaustive recursion over all that may have been read, in the program's own model: what a reading may show is
gathered in a few intervals so that the least information is lost. It is worked out anew after every reading
from the probabilities that the reading really left.
"""

from __future__ import annotations

import json
import sys
import time
from dataclasses import dataclass, field
from functools import lru_cache
from itertools import permutations

import numpy as np
import simulator
from accuracy import metal_of_candidates

from threadwright import judgement
from threadwright.clues import crest_looks
from threadwright.doubt import Leaders
from threadwright.evidence import CRESTS
from threadwright.likelihood import (
    CombColumn,
    LengthColumn,
    Observations,
    WireColumn,
    comb_leaf_probabilities,
)
from threadwright.next_reading import next_reading
from threadwright.priors import UNKNOWN
from threadwright.ranking import identify, posterior
from threadwright.reading import Pitch
from threadwright.readings import Readings
from threadwright.tables.catalogue import candidates
from threadwright.tables.errors import ReadingError
from threadwright.tables.wires import size_over_wires

CERTAINTY = 0.99
NOT_AT_HAND = ("across_flats", "pitch_diameter", "taper", "tried")
KINDS = ("comb", "counted", "crest", "minor", "over_wires", "flank_angle")
AXES = ("pitch", "crest", "minor", "over_wires", "flank_angle")
BINS = {"comb": 14, "counted": 14, "crest": 3, "minor": 7, "over_wires": 10, "flank_angle": 7}
MINUTES = {kind: judgement.EFFORT_MINUTES["external", "pitch" if kind == "comb" else kind] for kind in KINDS}
COMBS = ("inch", "metric")
RULE_U = judgement.INSTRUMENT_U_MM["steel rule"] / judgement.COUNTED_PITCHES
U = {
    "minor": simulator.CALIPER_U,
    "over_wires": simulator.WIRES_U,
    "flank_angle": judgement.FLANK_ANGLE_U_DEG,
}
SLIGHT = 1e-6  # candidates less likely than this after the major diameter are let go
FEW = 5e-4  # and in the exhaustive recursion those less likely than this

Taken = frozenset[str]


def column(value: float, u: float) -> LengthColumn:
    return LengthColumn(np.array([value]), np.array([u]))


@dataclass
class Case:
    """One stud, all that its readings would show, and what is believed after any of them."""

    true: int
    shows: dict[str, float]
    wire: float
    near: np.ndarray
    certainty: float = CERTAINTY
    beliefs: dict[Taken, np.ndarray] = field(default_factory=dict)

    def observations(self, taken: Taken) -> Observations:
        """A counted pitch takes the place of the comb's, as on the command line."""
        lengths = {"major": column(self.shows["major"], simulator.CALIPER_U)}
        if "minor" in taken:
            lengths["minor"] = column(self.shows["minor"], U["minor"])
        comb = pitch = wires = flank = None
        if "counted" in taken:
            pitch = column(self.shows["counted"], RULE_U)
        elif "comb" in taken:
            comb = CombColumn(np.array([self.shows["comb"]]), np.array([np.nan]), COMBS)
        if "over_wires" in taken:
            over = column(self.shows["over_wires"], U["over_wires"])
            wire = np.array([self.wire]), np.array([simulator.WIRE_SIZE_U])
            wires = WireColumn(over.value, over.u, *wire)
        if "flank_angle" in taken:
            flank = column(self.shows["flank_angle"], U["flank_angle"])
        return Observations(n=1, lengths=lengths, comb=comb, pitch=pitch, over_wires=wires, flank_angle=flank)

    def belief(self, taken: Taken) -> np.ndarray:
        """Probabilities of the candidates near."""
        taken = taken - {"comb"} if "counted" in taken else taken
        if taken not in self.beliefs:
            crest = np.log(crest_looks()[:, int(self.shows["crest"])]) if "crest" in taken else None
            seen = self.observations(taken)
            pairs = np.zeros_like(self.near), self.near
            self.beliefs[taken] = posterior(seen, *pairs, beside=crest)[0]
        return self.beliefs[taken]

    def settled(self, taken: Taken) -> bool:
        return float(self.belief(taken).max()) >= self.certainty

    def right(self, taken: Taken) -> bool:
        return int(self.near[self.belief(taken).argmax()]) == self.true

    def readings(self, taken: Taken) -> Readings:
        given: dict[str, object] = {"major": f"{self.shows['major']:.3f} mm"}
        if "counted" in taken:
            value = self.shows["counted"]
            given["pitch"] = Pitch(kind="measured", value_mm=value, text=f"{value:.4f} mm", u_mm=RULE_U)
        elif "comb" in taken:
            value = self.shows["comb"]
            given["pitch"] = Pitch(kind="comb", value_mm=value, text=f"{value:.4f} mm")
        if "over_wires" in taken:
            given |= {"over_wires": f"{self.shows['over_wires']:.4f} mm", "wire": f"{self.wire:.2f} mm"}
        if "minor" in taken:
            given["minor"] = f"{self.shows['minor']:.3f} mm"
        if "flank_angle" in taken:
            given["flank_angle"] = f"{self.shows['flank_angle']:.2f} deg"
        if "crest" in taken:
            given["crest"] = CRESTS[int(self.shows["crest"])]
        return Readings(**given)  # type: ignore[arg-type]


def left(taken: Taken) -> list[str]:
    """Readings that may still be taken; a comb tells nothing beside a counted pitch."""
    return [kind for kind in KINDS if kind not in taken and not (kind == "comb" and "counted" in taken)]


def subsets(taken: Taken = frozenset()) -> set[Taken]:
    found = {taken}
    for kind in left(taken):
        if not taken or KINDS.index(kind) > max(KINDS.index(one) for one in taken):
            found |= subsets(taken | {kind})
    return found


def readable(case: Case) -> bool:
    """Whether the program takes the readings together: it refuses wires that do not stand proud."""
    try:
        case.readings(frozenset(KINDS))
    except ReadingError:
        return False
    return True


def draw(n: int, seed: int, certainty: float = CERTAINTY) -> list[Case]:
    """Studs whose major diameter leaves doubt."""
    world = simulator.PLAIN
    threads = simulator.load(world)
    sample, rng = simulator.draw(threads, n, world, seed=seed), np.random.default_rng(seed + 1)
    of_metal = {metal: place for place, metal in enumerate(metal_of_candidates(threads)) if metal >= 0}
    minors = simulator._true_size(threads, sample.row, world, "minor", rng)
    every, cases = np.arange(len(candidates())), []
    for k, row in enumerate(sample.row):
        true = of_metal[threads.metal[row]]
        pitch, flank = threads.columns["pitch"][row], threads.columns["flank"][row]
        shows = {
            "major": float(sample.major[k]),
            "comb": float(sample.leaf[k]),
            "counted": float(
                pitch * (1 + rng.normal(0, judgement.PITCH_ERROR_SHARE)) + rng.normal(0, RULE_U)
            ),
            "crest": float(rng.choice(len(CRESTS), p=crest_looks()[true])),
            "minor": float(minors[k] + rng.normal(0, U["minor"])),
            "over_wires": float(sample.over_wires[k]),
            "flank_angle": float(
                flank + rng.normal(0, np.hypot(U["flank_angle"], judgement.FLANK_ERROR_DEG))
            ),
        }
        case = Case(true, shows, float(sample.wire[k]), every)
        belief = case.belief(frozenset())
        near = every[belief > SLIGHT]
        if belief.max() < certainty and readable(case):
            cases.append(Case(true, shows, case.wire, near, certainty))
    return cases


# --- the best policy ------------------------------------------------------------------------------


def coarse(mass: np.ndarray, bins: int) -> np.ndarray:
    """Gather points (g, k) into a few intervals, each time the two neighbours that differ least."""

    def told(x: np.ndarray) -> np.ndarray:
        total = x.sum(axis=-1, keepdims=True)
        with np.errstate(divide="ignore", invalid="ignore"):
            return np.where(x > 0, x * np.log(x / total), 0.0).sum(axis=-1)

    mass = mass[mass.sum(axis=1) > 1e-12]
    alone, joined = told(mass), told(mass[:-1] + mass[1:])
    while len(mass) > bins:
        k = int(np.argmin(alone[:-1] + alone[1:] - joined))
        mass[k] += mass[k + 1]
        mass = np.delete(mass, k + 1, axis=0)
        alone, joined = np.delete(alone, k + 1), np.delete(joined, k)
        alone[k] = told(mass[k])
        for j in (k - 1, k):
            if 0 <= j < len(joined):
                joined[j] = told(mass[j] + mass[j + 1])
    return mass


def shown(case: Case, kind: str, among: Leaders) -> np.ndarray:
    """Chance of each outcome of a reading on each candidate, (b, k)."""
    cand, p = among.cand, among.probabilities
    pitch = candidates().pitch[cand]
    if kind == "crest":
        return crest_looks()[cand].T
    if kind == "comb":
        order = np.argsort(simulator.LEAVES)
        density = comb_leaf_probabilities(COMBS, pitch)
        density = density[order] if len(density) == len(order) else density
    else:
        density = _length_density(case, kind, among)
    density = density / density.sum(axis=0)
    mass = coarse(density * p, BINS[kind])
    return mass / mass.sum(axis=0)


def _length_density(case: Case, kind: str, among: Leaders) -> np.ndarray:
    cand, catalogue = among.cand, candidates()
    u = RULE_U if kind == "counted" else U[kind]
    if kind == "counted":
        ends, reach = [(p, p) for p in catalogue.pitch[cand]], 0.0
    elif kind == "flank_angle":
        ends, reach = [(a, a) for a in catalogue.flank_angle[cand]], 2.0
    elif kind == "minor":
        ends, reach = among.limits("minor"), 0.3 * catalogue.pitch[cand].max()
    else:
        ends, reach = [], 0.25 * catalogue.pitch[cand].max()
        for index, limits in zip(cand, among.limits("pitch_diameter"), strict=True):
            geometry = {"flank_angle": catalogue.flank_angle[index], "pitch": catalogue.pitch[index]}
            lead = catalogue.pitch[index] * catalogue.starts[index]
            size = size_over_wires(**geometry, lead=lead, pitch_diameter=np.array(limits), wire=case.wire)
            ends.append((float(size[0]), float(size[1])))
        touches = (catalogue.wire_least[cand] <= case.wire) & (case.wire <= catalogue.wire_greatest[cand])
        ends = [pair for pair, touching in zip(ends, touches, strict=True) if touching] or [(1.0, 2.0)]
    low = min(a for a, _ in ends) - reach - 4 * u
    y = np.arange(max(low, 1e-3), max(b for _, b in ends) + reach + 4 * u, u / 2)
    y = y[:: max(1, len(y) // 400)]
    many = LengthColumn(y, np.full(len(y), u))
    if kind == "counted":
        seen = Observations(n=len(y), pitch=many)
    elif kind == "flank_angle":
        seen = Observations(n=len(y), flank_angle=many)
    elif kind == "minor":
        seen = Observations(n=len(y), lengths={"minor": many})
    else:
        wire = np.full(len(y), case.wire), np.full(len(y), simulator.WIRE_SIZE_U)
        seen = Observations(n=len(y), over_wires=WireColumn(y, many.u, *wire))
    density = among.density(seen)
    if kind == "over_wires":  # what the wires cannot touch may show anything
        density[:, ~touches] = 1.0
    return density


def best_next(case: Case, taken: Taken) -> str:
    """The first reading of the policy with the least expected minutes, by exhaustive recursion."""
    belief = case.belief(taken)
    keep = belief > FEW
    among = Leaders(case.observations(taken), case.near[keep], belief[keep], UNKNOWN)
    free = left(taken)
    tables = {kind: shown(case, kind, among) for kind in free}
    return Tree(tables, among.probabilities, case.certainty).first()


class Tree:
    """All that may have been read, as one array with an axis for each thing that is read."""

    def __init__(self, tables: dict[str, np.ndarray], p: np.ndarray, certainty: float) -> None:
        self.tables = tables
        one = np.ones((1, len(p)))
        none = np.zeros((0, len(p)))
        comb, counted = tables.get("comb", none), tables.get("counted", none)
        self.combs, self.counts = len(comb), len(counted)
        axes = [np.vstack([one, comb, counted])]
        axes += [np.vstack([one, tables.get(kind, none)]) for kind in AXES[1:]]
        joint = p
        for axis, table in enumerate(axes):
            shape = [1] * len(axes) + [len(p)]
            shape[axis] = len(table)
            joint = joint * table.reshape(shape)
        self.joint, self.weight = joint, joint.sum(axis=-1)
        self.sure = joint.max(axis=-1) >= certainty * self.weight
        self.cost = np.zeros(self.weight.shape)

    def first(self) -> str:
        """Work back from everything read to nothing read."""
        many = len(AXES) - 1
        masks = sorted(np.ndindex((2,) * many), key=lambda mask: -sum(mask))
        n, c = 1 + self.combs + self.counts, 1 + self.combs
        groups = (slice(c, n), slice(1, c), slice(0, 1))
        choice = ""
        for group in groups:
            for mask in masks:
                if any(m and AXES[k + 1] not in self.tables for k, m in enumerate(mask)):
                    continue
                if group.start == group.stop:
                    continue
                here = (group, *(slice(1, None) if m else slice(0, 1) for m in mask))
                choice = self._settle(here, group, mask)
        return choice

    def _settle(self, here: tuple[slice, ...], group: slice, mask: tuple[int, ...]) -> str:
        weight, offers = self.weight[here], {}
        for k, m in enumerate(mask):
            kind = AXES[k + 1]
            if not m and kind in self.tables:
                ahead = (*here[: k + 1], slice(1, None), *here[k + 2 :])
                offers[kind] = MINUTES[kind] * weight + self.cost[ahead].sum(axis=k + 1, keepdims=True)
        c, n = 1 + self.combs, 1 + self.combs + self.counts
        if group.start == 0:
            for kind, ahead in (("comb", slice(1, c)), ("counted", slice(c, n))):
                if kind in self.tables:
                    after = self.cost[(ahead, *here[1:])].sum(axis=0, keepdims=True)
                    offers[kind] = MINUTES[kind] * weight + after
        elif group.start == 1 and self.counts and self.combs:
            ahead = (slice(c, n), *here[1:])
            chance = np.tensordot(self.joint[here], self.tables["counted"], axes=(-1, 1))
            minutes = self.cost[ahead] / np.maximum(self.weight[ahead], 1e-300)
            after = (chance * np.moveaxis(minutes, 0, -1)[None]).sum(axis=-1)
            offers["counted"] = MINUTES["counted"] * weight + after
        if not offers:
            return ""
        least = np.minimum.reduce(list(offers.values()))
        self.cost[here] = np.where(self.sure[here], 0.0, least)
        return min(offers, key=lambda kind: float(offers[kind].flat[0]))


# --- policies -------------------------------------------------------------------------------------


def advised(case: Case, taken: Taken) -> str | None:
    """What the program says to take next, looking for that certainty; None where it is silent."""
    answer = identify(case.readings(taken))
    hint = next_reading(answer, without=NOT_AT_HAND, certainty=case.certainty)
    if hint is None:
        return None
    if hint.reading != "pitch":
        return hint.reading
    return "comb" if hint.instrument == "comb" else "counted"


def follow(case: Case, choose) -> tuple[float, Taken, int]:
    """Minutes spent, what was taken, and how often the policy was silent."""
    taken, minutes, silent = frozenset(), 0.0, 0
    while not case.settled(taken) and (free := left(taken)):
        kind = choose(case, taken) if len(free) > 1 else free[0]
        if kind is None:
            kind, silent = min(free, key=MINUTES.__getitem__), silent + 1
        taken, minutes = taken | {kind}, minutes + MINUTES[kind]
    return minutes, taken, silent


def in_order(case: Case, order: tuple[str, ...]) -> float:
    def choose(_case: Case, taken: Taken) -> str:
        return next(kind for kind in order if kind in left(taken))

    return follow(case, choose)[0]


@lru_cache(maxsize=1)
def all_subsets() -> tuple[Taken, ...]:
    return tuple(subsets())


def run(n: int, certainty: float = CERTAINTY, seed: int = 61) -> dict[str, object]:
    started = time.perf_counter()
    cases, open_cases = [], 0
    for case in draw(3 * n + 20, seed, certainty):
        if len(cases) == n:
            break
        if any(case.settled(taken) for taken in all_subsets()):
            cases.append(case)
        else:
            open_cases += 1
    mine = [follow(case, advised) for case in cases]
    best = [follow(case, best_next) for case in cases]
    orders = {order: np.mean([in_order(case, order) for case in cases]) for order in permutations(KINDS)}
    fixed = min(orders, key=orders.__getitem__)
    hindsight = [
        min(sum(MINUTES[k] for k in taken) for taken in all_subsets() if case.settled(taken))
        for case in cases
    ]
    minutes, least = np.array([m for m, _, _ in mine]), np.array([m for m, _, _ in best])
    return {
        "bench": "next_reading",
        "n": len(cases),
        "certainty": certainty,
        "cannot_be_settled": open_cases,
        "advice_mean": float(minutes.mean()),
        "advice_median": float(np.median(minutes)),
        "best_mean": float(least.mean()),
        "best_median": float(np.median(least)),
        "above_best": float(minutes.mean() / least.mean() - 1),
        "above_best_interval_95": float(1.96 * (minutes - least).std() / np.sqrt(len(cases)) / least.mean()),
        "fixed_mean": float(orders[fixed]),
        "fixed_order": ", ".join(fixed),
        "saving_over_fixed": float(1 - minutes.mean() / orders[fixed]),
        "hindsight_mean": float(np.mean(hindsight)),
        "advice_silent": float(np.mean([silent > 0 for _, _, silent in mine])),
        "advice_right": float(np.mean([c.right(t) for c, (_, t, _) in zip(cases, mine, strict=True)])),
        "best_right": float(np.mean([c.right(t) for c, (_, t, _) in zip(cases, best, strict=True)])),
        "seconds": time.perf_counter() - started,
    }


def main() -> None:
    n = int(sys.argv[1]) if len(sys.argv) > 1 else 200
    certainty = float(sys.argv[2]) if len(sys.argv) > 2 else CERTAINTY
    result = run(n, certainty)
    print(json.dumps({k: round(v, 4) if isinstance(v, float) else v for k, v in result.items()}))
    print(
        f"To {100 * certainty:.0f} % certainty on {result['n']} studs whose major diameter is read: "
        f"{result['advice_mean']:.2f} min by the advice (median {result['advice_median']:.1f}), "
        f"{result['best_mean']:.2f} min by the best policy ({100 * result['above_best']:+.1f} +- "
        f"{100 * result['above_best_interval_95']:.1f} %, target at most +5 %), "
        f"{result['fixed_mean']:.2f} min by the best fixed order (saved "
        f"{100 * result['saving_over_fixed']:.0f} %); {result['cannot_be_settled']} more that no set of "
        f"readings settles are left out."
    )


if __name__ == "__main__":
    main()
