"""A sheet to a file, whole or not at all."""

from __future__ import annotations

import contextlib
import os
import secrets
from pathlib import Path
from typing import TYPE_CHECKING, Final

from threadwright.tables.errors import FileFaultError

if TYPE_CHECKING:
    from threadwright.sheet.model import Sheet

__all__ = ["ENDINGS", "check_ending", "render", "write_sheet", "write_whole"]

ENDINGS: Final = (".pdf", ".svg", ".dxf")
"""Kinds of file a sheet can be written to."""


def check_ending(path: str | os.PathLike[str], endings: tuple[str, ...] = ENDINGS) -> str:
    """The ending of a file's name in small letters.

    Parameters
    ----------
    path : path
        Where to write.
    endings : tuple of str
        Which endings will do.

    Raises
    ------
    FileFaultError
        If it has none of them.

    Examples
    --------
    >>> check_ending("bush.PDF")
    '.pdf'
    """
    ending = Path(path).suffix.lower()
    if ending not in endings:
        name = _one_line(path)
        kinds = ", ".join(f"{one}" for one in endings)
        raise FileFaultError(f"sheet {name}: the ending tells what is written; end the name with {kinds}")
    return ending


def render(sheet: Sheet, ending: str) -> bytes:
    """A sheet in the form that an ending names.

    Parameters
    ----------
    sheet : Sheet
        What to draw.
    ending : str
        One of :data:`ENDINGS`.

    Returns
    -------
    bytes
    """
    if ending == ".svg":
        from threadwright.sheet.svg import to_svg

        return to_svg(sheet)
    if ending == ".dxf":
        from threadwright.sheet.dxf import to_dxf

        return to_dxf(sheet)
    from threadwright.sheet.pdf import to_pdf

    return to_pdf(sheet)


def write_sheet(sheet: Sheet, path: str | os.PathLike[str], *, endings: tuple[str, ...] = ENDINGS) -> None:
    """Write a sheet as PDF, SVG or DXF, by the ending of the name.

    Parameters
    ----------
    sheet : Sheet
        What to draw.
    path : path
        Where to; a file that is there is replaced when the new one is complete.
    endings : tuple of str
        Which endings will do.

    Raises
    ------
    FileFaultError
        If the ending is another, or the file cannot be written.

    Examples
    --------
    >>> from tempfile import TemporaryDirectory
    >>> from threadwright.sheet.model import Page, Sheet
    >>> with TemporaryDirectory() as folder:
    ...     write_sheet(Sheet("empty", (Page("A4", "one", ()),)), Path(folder, "empty.svg"))
    ...     Path(folder, "empty.svg").read_text().startswith("<?xml")
    True
    """
    write_whole(path, render(sheet, check_ending(path, endings)))


def write_whole(path: str | os.PathLike[str], content: bytes) -> None:
    """Write a file that appears complete or not at all.

    Parameters
    ----------
    path : path
        Where to.
    content : bytes
        All of it.

    Raises
    ------
    FileFaultError
        If the place is no ordinary file, or cannot be written to.
    """
    name, target = _one_line(path), Path(os.path.realpath(path))
    if target.exists() and not target.is_file():
        raise FileFaultError(f"sheet {name}: is not an ordinary file; name another")
    part = target.with_name(f".{target.name[:100]}.{secrets.token_hex(4)}.part")
    try:
        with open(part, "xb") as file:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
        if target.exists():
            part.chmod(target.stat().st_mode & 0o7777)
        os.replace(part, target)
    except OSError as fault:
        with contextlib.suppress(OSError):
            part.unlink(missing_ok=True)
        raise FileFaultError(f"sheet {name}: cannot be written: {fault.strerror or fault}") from None


def _one_line(path: str | os.PathLike[str]) -> str:
    """A path as a message shows it."""
    return " ".join(os.fsdecode(path).encode(errors="replace").decode().split())
