"""What a reading was taken with, and how far to trust it on an old thread."""

from __future__ import annotations

from dataclasses import dataclass
from types import MappingProxyType
from typing import TYPE_CHECKING, Final, Literal, overload

import numpy as np

from threadwright.judgement import FLANK_ANGLE_U_DEG, INSTRUMENT_U_MM
from threadwright.tables.errors import ReadingError
from threadwright.tables.numbers import shorten

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from numpy.typing import NDArray

__all__ = [
    "COMBS",
    "INSTRUMENTS",
    "Instrument",
    "InstrumentKind",
    "check_combs",
    "comb_leaves",
    "find_instrument",
    "one_wire_to_three",
    "wires_uncertainty",
]

InstrumentKind = Literal[
    "caliper", "micrometer", "thread micrometer", "wires", "rule", "comb", "interval", "angle"
]


@dataclass(frozen=True, slots=True)
class Instrument:
    """One kind of instrument.

    Attributes
    ----------
    name : str
        Plain name.
    kind : str
        What it can read: ``caliper``, ``micrometer``, ``thread micrometer``, ``wires``, ``rule``, ``comb``,
        ``interval`` (it enters or it does not) or ``angle``.
    u_mm : float or None
        Standard uncertainty of one length; for an interval, of each end; None for comb and angle. [mm]
    basis : str
        Where the figure comes from.
    u_deg : float or None
        Standard uncertainty of an angle, None for all others. [deg]
    """

    name: str
    kind: InstrumentKind
    u_mm: float | None
    basis: str
    u_deg: float | None = None


_JUDGED = "common practice, no source"
_DIN_862 = "error limit of DIN 862, widened for an old thread: common practice, no source"
_DIN_863 = "error limit of DIN 863, widened for an old thread: common practice, no source"
_LENGTH_INSTRUMENTS: Final[tuple[tuple[str, InstrumentKind, str], ...]] = (
    ("digital caliper", "caliper", _DIN_862),
    ("vernier caliper", "caliper", _DIN_862),
    ("inside jaws", "caliper", _DIN_862),
    ("micrometer", "micrometer", _DIN_863),
    ("thread micrometer", "thread micrometer", _JUDGED),
    ("wires", "wires", _DIN_863),
    ("steel rule", "rule", _JUDGED),
    ("plug gauge", "interval", _JUDGED),
    ("drill shank", "interval", _JUDGED),
)
INSTRUMENTS: Final[Mapping[str, Instrument]] = MappingProxyType(
    {
        **{
            name: Instrument(name, kind, INSTRUMENT_U_MM[name], basis)
            for name, kind, basis in _LENGTH_INSTRUMENTS
        },
        "comb": Instrument("comb", "comb", None, "names one leaf; its doubt is which leaf"),
        "protractor": Instrument("protractor", "angle", None, _JUDGED, FLANK_ANGLE_U_DEG),
        "shadow": Instrument("shadow", "angle", None, _JUDGED, FLANK_ANGLE_U_DEG),
    }
)
_ALIASES: Final[Mapping[str, str]] = MappingProxyType(
    {
        "caliper": "digital caliper",
        "calliper": "digital caliper",
        "calipers": "digital caliper",
        "callipers": "digital caliper",
        "digital calliper": "digital caliper",
        "dial caliper": "digital caliper",
        "vernier": "vernier caliper",
        "vernier calliper": "vernier caliper",
        "inside caliper": "inside jaws",
        "caliper jaws": "inside jaws",
        "mic": "micrometer",
        "mike": "micrometer",
        "thread mic": "thread micrometer",
        "screw thread micrometer": "thread micrometer",
        "three wires": "wires",
        "wire": "wires",
        "rule": "steel rule",
        "ruler": "steel rule",
        "thread comb": "comb",
        "pitch gauge": "comb",
        "thread gauge": "comb",
        "pin gauge": "plug gauge",
        "plug": "plug gauge",
        "drill": "drill shank",
        "drill shanks": "drill shank",
        "scan": "shadow",
        "projector": "shadow",
    }
)

# Leaves of the usual combs, from the coarsest. Basis: common practice, no source.
COMBS: Final = ("inch", "metric")
_INCH_LEAVES_TPI: Final = (
    4.0, 4.5, 5.0, 6.0, 7.0, 8.0, 9.0, 10.0, 11.0, 11.5, 12.0, 13.0, 14.0, 16.0, 18.0, 19.0, 20.0, 22.0,
    24.0, 25.0, 26.0, 27.0, 28.0, 30.0, 32.0, 34.0, 36.0, 38.0, 40.0, 42.0, 44.0, 48.0, 50.0, 52.0, 56.0,
    60.0, 62.0, 64.0, 72.0, 80.0,
)  # fmt: skip
_METRIC_LEAVES_MM: Final = (
    6.0, 5.5, 5.0, 4.5, 4.0, 3.5, 3.0, 2.5, 2.0, 1.75, 1.5, 1.25, 1.0, 0.9, 0.8, 0.75, 0.7, 0.6, 0.5, 0.45,
    0.4, 0.35, 0.3, 0.25,
)  # fmt: skip


def find_instrument(text: str, *, name: str = "instrument") -> Instrument:
    """Find an instrument by its plain name, or by what else it is called.

    Parameters
    ----------
    text : str
        For example ``"vernier"`` or ``"digital caliper"``; capitals do not matter.
    name : str
        What was measured with it, for the message.

    Returns
    -------
    Instrument
        The instrument.

    Raises
    ------
    ReadingError
        If nothing of that name is known; the message says what comes nearest.

    Examples
    --------
    >>> find_instrument("mic").name
    'micrometer'
    """
    word = " ".join(text.split()).lower()
    word = _ALIASES.get(word, word)
    if word in INSTRUMENTS:
        return INSTRUMENTS[word]
    near = _nearest(word, (*INSTRUMENTS, *_ALIASES))
    remedy = f"did you mean {near!r}?" if near else f"write one of {', '.join(INSTRUMENTS)}"
    raise ReadingError(f"{name}: no instrument {shorten(text)}; {remedy}")


def check_combs(combs: str | Iterable[str] | None) -> tuple[str, ...]:
    """Names of the combs owned, in a fixed order.

    Parameters
    ----------
    combs : str or iterable of str or None
        ``inch`` and ``metric``, in a text parted by commas; None means both.

    Returns
    -------
    tuple of str
        Some of ``("inch", "metric")``, at least one.

    Raises
    ------
    ReadingError
        If a name is neither, or none is given.

    Examples
    --------
    >>> check_combs("metric, inch")
    ('inch', 'metric')
    """
    if combs is None:
        return COMBS
    words = combs.split(",") if isinstance(combs, str) else list(combs)
    names = [str(word).strip() for word in words]
    for name in names:
        if name not in COMBS:
            near = _nearest(name.lower(), COMBS)
            remedy = f"did you mean {near!r}?" if near else "write 'inch', 'metric' or 'inch,metric'"
            raise ReadingError(f"combs: no comb {shorten(name)}; {remedy}")
    if not names:
        raise ReadingError("combs: none is named; write 'inch', 'metric' or 'inch,metric'")
    return tuple(name for name in COMBS if name in names)


def comb_leaves(combs: str | Iterable[str] | None = None) -> tuple[float, ...]:
    """Pitches of all leaves on the combs owned, from the finest.

    Parameters
    ----------
    combs : str or iterable of str or None
        ``inch`` and ``metric``; None means both.

    Returns
    -------
    tuple of float
        Pitches, each once. [mm]

    Raises
    ------
    ReadingError
        If a name is neither.

    References
    ----------
    Common practice, no source.

    Examples
    --------
    >>> comb_leaves("metric")[:3]
    (0.25, 0.3, 0.35)
    >>> 25.4 / 26 in comb_leaves("inch")
    True
    """
    owned = check_combs(combs)
    inch = [25.4 / tpi for tpi in _INCH_LEAVES_TPI] if "inch" in owned else []
    metric = _METRIC_LEAVES_MM if "metric" in owned else ()
    return tuple(sorted({*inch, *metric}))


@overload
def wires_uncertainty(
    *, flank_angle: float, u_over_wires: float, u_wire: float, u_pitch: float = ...
) -> float: ...


@overload
def wires_uncertainty(
    *, flank_angle: NDArray[np.float64], u_over_wires: float, u_wire: float, u_pitch: float = ...
) -> NDArray[np.float64]: ...


def wires_uncertainty(
    *, flank_angle: float | NDArray[np.float64], u_over_wires: float, u_wire: float, u_pitch: float = 0.0
) -> float | NDArray[np.float64]:
    r"""Standard uncertainty of a pitch diameter from a measurement over wires.

    .. math:: u^2(E) = u^2(M) + ((1 + \csc\alpha)\,u(w))^2 + (\tfrac12 \cot\alpha\; u(P))^2

    Parameters
    ----------
    flank_angle : float or array (n,)
        Angle of one flank, alpha. [deg]
    u_over_wires : float
        Standard uncertainty of the measurement over the wires, u(M). [mm]
    u_wire : float
        Standard uncertainty of the wire diameter, the same for all wires, u(w). [mm]
    u_pitch : float
        Standard uncertainty of the pitch, u(P); 0 if the pitch is taken as the candidate's own. [mm]

    Returns
    -------
    float or array (n,)
        Standard uncertainty of the pitch diameter, u(E). [mm]

    References
    ----------
    Propagation of E = M - w (1 + cosec alpha) + (P/2) cot alpha (Machinery's Handbook, 31st ed., wires
    without lead correction). Wires of one set are alike, so their errors add before they are squared.

    Examples
    --------
    >>> round(wires_uncertainty(flank_angle=30.0, u_over_wires=0.006, u_wire=0.002), 5)
    0.00849
    """
    alpha = np.radians(flank_angle)
    from_wire = (1 + 1 / np.sin(alpha)) * u_wire
    from_pitch = 0.5 / np.tan(alpha) * u_pitch
    total = np.sqrt(u_over_wires**2 + from_wire**2 + from_pitch**2)
    return float(total) if np.ndim(flank_angle) == 0 else np.asarray(total, dtype=np.float64)


def one_wire_to_three(
    over_one: float, *, u_over_one: float, crest: float, u_crest: float
) -> tuple[float, float]:
    """Size over three wires, from one wire and the opposite crest: M = 2 M1 - d.

    Parameters
    ----------
    over_one : float
        Measurement over one wire and the opposite crest, M1. [mm]
    u_over_one : float
        Its standard uncertainty. [mm]
    crest : float
        Diameter over the crests of this very screw, d. [mm]
    u_crest : float
        Its standard uncertainty. [mm]

    Returns
    -------
    tuple of float
        Size over three wires, M, and its standard uncertainty. [mm]

    References
    ----------
    Geometry: the wire stands (M - d)/2 above the crest on one side.

    Examples
    --------
    >>> over_three, u = one_wire_to_three(10.1124, u_over_one=0.006, crest=9.9, u_crest=0.006)
    >>> round(over_three, 4), round(u, 4)
    (10.3248, 0.0134)
    """
    return 2 * over_one - crest, float(np.hypot(2 * u_over_one, u_crest))


def _nearest(word: str, choices: Iterable[str]) -> str | None:
    """The choice someone probably meant, if any."""
    import difflib

    near = difflib.get_close_matches(word[:40], list(choices), n=1, cutoff=0.6)
    return near[0] if near else None
