"""From a spelling to a thread: usual ways of writing, left hand, classes, and refusals."""

from __future__ import annotations

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from threadwright.tables import errors
from threadwright.tables.errors import DesignationError, ThreadwrightError, UnknownThreadError
from threadwright.tables.registry import (
    SYSTEMS,
    designation_key,
    find_thread,
    find_thread_and_class,
    series,
    system,
)
from threadwright.tables.thread import Thread

SYMBOLS = [entry.symbol for entry in SYSTEMS]


def answer(text: str) -> tuple[Thread | None, str]:
    """The thread, or the message of a refusal; any error that is not of this package goes through."""
    try:
        return find_thread(text), ""
    except ThreadwrightError as error:
        return None, str(error)


@pytest.mark.parametrize(
    "text, designation",
    [
        ("m8", "M8x1.25"),
        ("M 8", "M8x1.25"),
        ("M8 x 1", "M8x1"),
        ("M8X1.0", "M8x1"),
        ("m8x1.250", "M8x1.25"),
        ("M8*1", "M8x1"),
        ("M8-1", "M8x1"),
        ("M8 1", "M8x1"),
        ("m8 x 1.25 mm", "M8x1.25"),
        ("M6x1mm", "M6x1"),
        ("M1.6", "M1.6x0.35"),
        ("  M10  ", "M10x1.5"),
        ("M8\u00d71", "M8x1"),  # multiplication sign
        ("M8\u20101", "M8x1"),  # hyphen
        ("M8\u20111", "M8x1"),  # hyphen that does not break
        ("M8\u20131", "M8x1"),  # en dash
        ("M8\u20141", "M8x1"),  # em dash
        ("M8\u22121", "M8x1"),  # minus sign
        ("\uff2d\uff18", "M8x1.25"),  # full width
        ("\uff2d\uff18\u00d7\uff11", "M8x1"),
        ("\uff2d\uff18\uff0d\uff11\uff0e\uff10", "M8x1"),
        ("3/8 BSF", "3/8-20 BSF"),
        ("3/8-20BSF", "3/8-20 BSF"),
        ('3/8" BSF', "3/8-20 BSF"),
        ("3/8\u2033 BSF", "3/8-20 BSF"),  # double prime
        ("3/8\u201d BSF", "3/8-20 BSF"),  # quotation mark
        ("3\u20448 BSF", "3/8-20 BSF"),  # fraction slash
        ("\u215c BSF", "3/8-20 BSF"),  # one character for 3/8
        ("3/8in BSF", "3/8-20 BSF"),
        ("3/8 inch x 20 tpi BSF", "3/8-20 BSF"),
        ("3/8-20tpi BSF", "3/8-20 BSF"),
        ("1/4 Whit", "1/4-20 BSW"),
        ("1/4 Whitworth", "1/4-20 BSW"),
        ("5/16 whitworth fine", "5/16-22 BSF"),
        ("1 1/2 BSW", "1 1/2-6 BSW"),
        ("1\u00a01/2 BSW", "1 1/2-6 BSW"),  # space that does not break
        ("1-1/2 BSW", "1 1/2-6 BSW"),
        ("1\u00bd BSW", "1 1/2-6 BSW"),
        ("2-4 1/2 BSW", "2-4.5 BSW"),
        ("5/16 brass", "5/16-26 BSB"),
        ("2BA", "2 BA"),
        ("BA 2", "2 BA"),
        ("No. 2 BA", "2 BA"),
        ("no 2 british association", "2 BA"),
        ("\u2116 10-32", "No. 10-32 UNF"),  # numero sign
        ("#10-32 unf", "No. 10-32 UNF"),
        ("13/32-26 CEI", "13/32-26 BSC"),
        ("1.37-24 cycle", "1.370-24 BSC"),
        (".266-26 BSC", "17/64-26 BSC"),
        ("1/2 BSPP", "G 1/2"),
        ('BSPP 1/2"', "G 1/2"),
        ("1/2 BSPT", "R 1/2"),
        ("PT 1/2", "R 1/2"),
        ("PS 1/2", "Rp 1/2"),
        ("G1/2", "G 1/2"),
        ("PF 1/2", "G 1/2"),
        ("1/2-14 BSPP", "G 1/2"),
        ("G1\u00bc", "G 1 1/4"),
    ],
)
def test_a_usual_spelling_finds_the_thread(text: str, designation: str) -> None:
    thread = find_thread(text)
    assert (designation, False) == (thread.designation, thread.left_hand)


@pytest.mark.parametrize(
    "text, designation, tolerance_class",
    [
        ("m8-6g", "M8x1.25", "6g"),
        ("M8x1.25-6H", "M8x1.25", "6H"),
        ("M8x1.25 6h", "M8x1.25", "6h"),
        ("M8x1\u20136g", "M8x1", "6g"),
        ("3/8 bsf Medium", "3/8-20 BSF", "medium"),
        ("3/8-20 BSF-close", "3/8-20 BSF", "close"),
        ("1/4-20 UNC 2a", "1/4-20 UNC", "2A"),
        ("1/4-20UNC-2B", "1/4-20 UNC", "2B"),
        ("G 1/2 a", "G 1/2", "A"),
        ("2 BA normal", "2 BA", "normal"),
        ("M8", "M8x1.25", None),
    ],
)
def test_a_class_after_the_thread_is_read_too(
    text: str, designation: str, tolerance_class: str | None
) -> None:
    thread, found = find_thread_and_class(text)
    assert (designation, tolerance_class) == (thread.designation, found)


@pytest.mark.parametrize("name", ["8G", "4H", "7h", "6E", "5h", "2A", "4g6g"])
def test_a_class_that_the_tables_do_not_hold_is_refused_with_those_they_hold(name: str) -> None:
    # small letters are for screws, capitals for nuts: 8g is in the tables, 8G is another class
    with pytest.raises(UnknownThreadError) as caught:
        find_thread_and_class(f"m8 x 1-{name}")
    held = "4h, 6g, 6h, 6e, 8g, 5H, 6H, 6G, 7H"
    assert f"thread: M8x1 has no class {name!r} in the tables; they hold {held}" == str(caught.value)


def test_a_thread_without_classes_says_so() -> None:
    with pytest.raises(
        UnknownThreadError, match="thread: 17 BA has no class '6g' in the tables; they hold none"
    ):
        find_thread_and_class("17 BA 6g")


@pytest.mark.parametrize(
    "text, designation, tolerance_class",
    [
        ("M8 LH", "M8x1.25", None),
        ("M8-LH", "M8x1.25", None),
        ("m8x1lh", "M8x1", None),
        ("M8x1-6g-LH", "M8x1", "6g"),
        ("3/8-20 BSF LH medium", "3/8-20 BSF", "medium"),
        ("1 1/2 - 6 UNC - 2B - LH", "1 1/2-6 UNC", "2B"),
        ("2 BA LH", "2 BA", None),
        ("\uff2d\uff18 \uff2c\uff28", "M8x1.25", None),
    ],
)
def test_lh_at_the_end_is_left_hand(text: str, designation: str, tolerance_class: str | None) -> None:
    thread, found = find_thread_and_class(text)
    assert (designation, tolerance_class, True) == (thread.designation, found, thread.left_hand)


@pytest.mark.parametrize(
    "text, names",
    [
        ("2 UNC", ["No. 2-56 UNC", "2-4.5 UNC"]),
        ("4 unc LH", ["No. 4-40 UNC", "4-4 UNC"]),
        ("1 UNF", ["No. 1-72 UNF", "1-12 UNF"]),
        ("1/2 BSC", ["1/2-26 BSC", "1/2-24 BSC", "1/2-20 BSC"]),
    ],
)
def test_a_spelling_of_several_threads_is_refused_with_all_their_names(text: str, names: list[str]) -> None:
    with pytest.raises(DesignationError) as caught:
        find_thread(text)
    assert f"thread: {text!r} fits several threads; write {' or '.join(map(repr, names))}" == str(
        caught.value
    )
    assert names == [find_thread(name).designation for name in names]


@pytest.mark.parametrize("text", ["1/2 BSP", 'BSP 1/2"', "1/2-14 bsp"])
def test_a_spelling_of_threads_of_several_systems_is_answered_with_their_titles(text: str) -> None:
    with pytest.raises(DesignationError) as caught:
        find_thread(text)
    assert (
        f"thread: {text!r} fits several threads; write 'G 1/2' (Pipe thread, parallel) or "
        "'R 1/2' (Pipe thread, taper external) or 'Rc 1/2' (Pipe thread, taper internal) or "
        "'Rp 1/2' (Pipe thread, parallel internal, for R)"
    ) == str(caught.value)


@pytest.mark.parametrize(
    "text, nearest",
    [
        ("M8x1.2", "M8x1.25"),
        ("N8x1.25", "M8x1.25"),
        ("8x1.25", "M8x1.25"),
        ("M8x1,25", "M8x1.25"),
        ("3/8-21 BSF", "3/8-20 BSF"),
        ("3/8-20 BFS", "3/8-20 BSF"),
        ("1/4-26", "1/4-26 BSF"),
        ("1/4-20 UNCC", "1/4-20 UNC"),
        ("RR 1/2", "R 1/2"),
        ("2 AB", "2 BA"),
    ],
)
def test_a_near_miss_is_answered_with_the_nearest_designations(text: str, nearest: str) -> None:
    with pytest.raises(UnknownThreadError) as caught:
        find_thread(text)
    head, _, hint = str(caught.value).partition("; did you mean ")
    assert f"thread: no table holds {text!r}" == head
    names = [name.strip("'") for name in hint.removesuffix("?").split(" or ")]
    assert nearest in names
    assert names == [find_thread(name).designation for name in names]


@pytest.mark.parametrize("text", ["\u00e6", "nan", "-LH", "M\u00b2", "M\u0661"])
def test_what_is_like_no_thread_points_to_the_list(text: str) -> None:
    with pytest.raises(UnknownThreadError, match="no table holds .*; see 'threadwright table --list'"):
        find_thread(text)


@pytest.mark.parametrize("text", ["", "  ", "\t\n", "M8x1.25 " * 6])
def test_no_text_and_far_too_much_text_are_refused_with_an_example(text: str) -> None:
    with pytest.raises(
        DesignationError, match="thread: cannot read '.*'; write it like 'M8x1.25' or '3/8-20"
    ):
        find_thread(text)


def test_an_unknown_system_is_answered_with_the_nearest_symbols() -> None:
    with pytest.raises(
        UnknownThreadError, match="no thread system 'BSFF'; there is BSF.*; see 'threadwright table --list'"
    ):
        system("BSFF")
    with pytest.raises(UnknownThreadError, match="no thread system 'm'; there is M"):
        series("m")
    with pytest.raises(UnknownThreadError, match="no thread system '\\?'; there is M, "):
        series("?")


def test_every_system_is_found_by_its_symbol_and_no_symbol_stands_twice() -> None:
    assert len(SYMBOLS) == len(set(SYMBOLS))
    assert list(SYSTEMS) == [system(symbol) for symbol in SYMBOLS]
    for symbol in SYMBOLS:
        assert series(symbol) is series(symbol)
        assert system(symbol) is series(symbol).system


@pytest.mark.parametrize("symbol", SYMBOLS)
def test_every_designation_reads_back_to_itself(symbol: str) -> None:
    for designation in series(symbol).designations:
        assert designation.isascii()
        thread, tolerance_class = find_thread_and_class(designation)
        assert (symbol, designation, None) == (thread.system, thread.designation, tolerance_class)
        assert designation == find_thread(designation.lower()).designation
        left = find_thread(f"{designation} LH")
        assert (designation, True) == (left.designation, left.left_hand)


CLASSED = [symbol for symbol in SYMBOLS if any(row.tolerance_class for row in series(symbol).limits)]


@pytest.mark.parametrize("symbol", CLASSED)
def test_every_designation_reads_back_with_each_of_its_classes(symbol: str) -> None:
    names = sorted({limits.tolerance_class for limits in series(symbol).limits} - {""})
    for row, designation in enumerate(series(symbol).designations if names else ()):
        for joint in "- ":
            name = names[row % len(names)]  # the classes in turn
            thread, tolerance_class = find_thread_and_class(f"{designation}{joint}{name}")
            assert (symbol, designation, name) == (thread.system, thread.designation, tolerance_class)
    for name in names:
        first = series(symbol).designations[0]
        assert (first, name) == (
            find_thread(f"{first}-{name}").designation,
            find_thread_and_class(f"{first} {name}")[1],
        )


@pytest.mark.parametrize("symbol", SYMBOLS)
def test_every_alias_finds_its_size_or_names_it_among_others(symbol: str) -> None:
    for row, size in enumerate(system(symbol).sizes):
        designation = series(symbol).designations[row]
        for alias in size.aliases:
            thread, refusal = answer(alias)
            assert designation in (refusal if thread is None else [thread.designation])


def test_no_two_threads_share_a_designation() -> None:
    keys = [designation_key(name) for symbol in SYMBOLS for name in series(symbol).designations]
    assert len(keys) == len(set(keys))


@pytest.mark.parametrize(
    "texts",
    [
        ("M8x1", "m8 X 1.0", "M8 - 1", "M 8 x 1.00"),
        ("1 1/2-6 UNC", "1-1/2-6 unc", "1\u00bd-6 UNC", '1 1/2" - 6 UNC'),
        ("0.5-13 UNC", ".5-13 UNC", ".500-13UNC"),
    ],
)
def test_spellings_of_one_thread_share_a_key(texts: tuple[str, ...]) -> None:
    assert 1 == len({designation_key(text) for text in texts})


@pytest.mark.parametrize(
    "one, other", [("M1.6x0.35", "M16x0.35"), ("M10x1", "M1x1"), ("1 1/16-12 UN", "11/16-12 UN")]
)
def test_different_threads_keep_different_keys(one: str, other: str) -> None:
    assert designation_key(one) != designation_key(other)


pieces = st.lists(
    st.sampled_from(
        [
            "M",
            "8",
            "1/4",
            "-",
            "x",
            " ",
            "1",
            ".",
            "/",
            "0",
            "BSF",
            "UNC",
            "LH",
            "No.",
            "#",
            "6g",
            "G",
            '"',
            "\u00bd",
        ]
    ),
    max_size=9,
).map("".join)


@given(st.text() | pieces)
@example("M8\x00")
@example("\ud7ff")
@example("1/0-3 UNC")
@example("\u0130 8")  # its small letter has two characters
def test_any_text_gives_a_thread_or_an_error_of_ours(text: str) -> None:
    thread, refusal = answer(text)
    if thread is None:
        assert refusal.startswith("thread: ")
        assert refusal == " ".join(refusal.split())
    else:
        assert find_thread(thread.designation).designation == thread.designation
        tolerance_class = find_thread_and_class(text)[1]
        assert tolerance_class in {None, *(limits.tolerance_class for limits in series(thread.system).limits)}


@given(st.text())
def test_any_symbol_gives_a_system_or_an_error_of_ours(symbol: str) -> None:
    if symbol not in SYMBOLS:
        with pytest.raises(UnknownThreadError, match="no thread system"):
            system(symbol)


@given(st.text(max_size=60))
def test_a_key_is_its_own_key(text: str) -> None:
    key = designation_key(text)
    assert " " not in key
    assert key == designation_key(key)


@pytest.mark.parametrize("name", [name for name in errors.__all__ if name != "ThreadwrightError"])
def test_every_error_is_of_the_package_and_of_the_builtin_it_resembles(name: str) -> None:
    kind = getattr(errors, name)
    assert issubclass(kind, ThreadwrightError)
    assert issubclass(kind, (ValueError, LookupError, OSError))
