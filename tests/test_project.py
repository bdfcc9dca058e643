"""The project's own shape: what lies at the top, what is packaged, what is pinned."""

import re
import subprocess
import tomllib
from pathlib import Path
from typing import Any

import pytest

from project_files import ROOT

PYPROJECT: dict[str, Any] = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
TOP_LEVEL = {
    "README.md",
    "DEVELOPERS.md",
    "LICENSE",
    "pyproject.toml",
    "identify",
    "tables",
    "tests",
    "samples",
}


def tracked_files() -> list[str]:
    """Files that git tracks; skips the test where the project is not a checkout."""
    if not (ROOT / ".git").exists():
        pytest.skip("the project's folder is not a git checkout")
    listed = subprocess.run(["git", "ls-files", "-z"], cwd=ROOT, capture_output=True, check=True, text=True)
    return [name for name in listed.stdout.split("\0") if name]


def packages_on_disk() -> set[str]:
    """Import names of all folders with an `__init__.py`; links are not followed."""
    found: set[str] = set()
    for prefix, folder in (("threadwright", "identify"), ("threadwright.tables", "tables")):
        for marker in (ROOT / folder).rglob("__init__.py"):
            if not any(parent.is_symlink() for parent in marker.parents if parent.is_relative_to(ROOT)):
                found.add(".".join([prefix, *marker.parent.relative_to(ROOT / folder).parts]))
    return found


def python_files() -> list[Path]:
    """Every Python file of the project."""
    return [path for folder in ("identify", "tables", "tests") for path in (ROOT / folder).rglob("*.py")]


def requirement_name(requirement: str) -> str:
    """Normalised name of the package in a requirement or a pinned version."""
    found = re.match(r"[A-Za-z0-9._-]*[A-Za-z0-9]", requirement)
    assert found, requirement
    return re.sub(r"[-_.]+", "-", found[0]).lower()


def test_nothing_but_the_agreed_names_and_dotfiles_is_tracked_at_the_top() -> None:
    top = {name.split("/")[0] for name in tracked_files()}
    assert set() == {name for name in top if not name.startswith(".")} - TOP_LEVEL


def test_the_packages_listed_are_the_folders_with_an_init_file() -> None:
    listed = PYPROJECT["tool"]["setuptools"]["packages"]
    assert sorted(packages_on_disk()) == sorted(listed)


def test_both_mapped_folders_are_marked_as_typed_and_ship_the_mark() -> None:
    shipped = PYPROJECT["tool"]["setuptools"]["package-data"]
    assert {"threadwright": ["py.typed"], "threadwright.tables": ["py.typed"]} == shipped
    assert (ROOT / "identify" / "py.typed").is_file()
    assert (ROOT / "tables" / "py.typed").is_file()


def test_every_direct_dependency_is_pinned_for_the_check_run() -> None:
    project = PYPROJECT["project"]
    groups = [project["dependencies"], *project["optional-dependencies"].values()]
    direct = {requirement_name(requirement) for group in groups for requirement in group}
    text = (ROOT / ".ci" / "constraints.txt").read_text(encoding="utf-8")
    lines = [line for line in text.splitlines() if line and not line.startswith("#")]
    assert [] == [line for line in lines if not re.fullmatch(r"[A-Za-z0-9._-]+==[A-Za-z0-9.]+", line)]
    assert set() == direct - {requirement_name(line) for line in lines}


def test_no_python_file_holds_a_mark_of_unfinished_or_untested_work() -> None:
    halves = ["TO DO", "FIX ME", "X XX", "NotImplemented Error", "mark.x fail", "prag ma:_no_cover"]
    marks = [half.replace(" ", "", 1).replace("_", " ") for half in halves]
    held = [
        f"{path.relative_to(ROOT)}: {mark}"
        for path in python_files()
        for mark in marks
        if re.search(rf"\b{re.escape(mark)}\b", path.read_text(encoding="utf-8"))
    ]
    assert [] == held
