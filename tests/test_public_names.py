"""The names the package offers."""

from __future__ import annotations

import importlib

import pytest

import threadwright


def test_every_public_name_loads_and_no_other_is_offered() -> None:
    assert dir(threadwright) == sorted(threadwright.__all__)
    assert set(threadwright.__all__) == set(threadwright._HOMES)
    for name in threadwright.__all__:
        home = importlib.import_module(threadwright._HOMES[name])
        assert getattr(threadwright, name) is getattr(home, name)


def test_an_unknown_name_is_an_attribute_error() -> None:
    with pytest.raises(AttributeError, match="no attribute 'colour'"):
        _ = threadwright.colour


def test_the_main_job_from_the_library() -> None:
    answer = threadwright.identify(threadwright.Readings(major="7.9 mm", pitch="1.25 mm"))
    plan = threadwright.recommend_bush(
        answer.candidates[0].thread, parent="cast aluminium", depth_mm=25, boss_mm=40
    )
    assert plan.to_dict()["bush"]["outer_thread"]["designation"] == "M12x1.5"
