"""The base error of the package and its children."""

from __future__ import annotations

__all__ = [
    "DesignationError",
    "FileFaultError",
    "JobError",
    "MaterialError",
    "NumberError",
    "ReadingError",
    "RecordError",
    "SheetError",
    "TableError",
    "ThreadwrightError",
    "UnknownThreadError",
]


class ThreadwrightError(Exception):
    """Anything this package refuses; the message names the reading, the value and the remedy."""


class NumberError(ThreadwrightError, ValueError):
    """Text that is not a number of the workshop grammar."""


class TableError(ThreadwrightError, ValueError):
    """A thread table or thread form that contradicts itself."""


class DesignationError(ThreadwrightError, ValueError):
    """Text that cannot be read as a thread designation at all."""


class UnknownThreadError(ThreadwrightError, LookupError):
    """A readable designation, class or series that no table holds."""


class ReadingError(ThreadwrightError, ValueError):
    """A reading that cannot be read, or that no thread could show."""


class MaterialError(ThreadwrightError, LookupError):
    """A material or screw grade that no table holds."""


class JobError(ThreadwrightError, ValueError):
    """A job file or a repair that contradicts itself."""


class RecordError(ThreadwrightError, ValueError):
    """A machine record that contradicts itself, or an entry that it cannot take."""


class SheetError(ThreadwrightError, ValueError):
    """A drawing that cannot be drawn."""


class FileFaultError(ThreadwrightError, OSError):
    """A file that is missing, unreadable, unwritable or not of the form that was asked for."""
