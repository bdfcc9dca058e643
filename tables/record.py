"""Records that are made once, by keyword, and never changed."""

from __future__ import annotations

from typing import Any, ClassVar, Self, dataclass_transform

__all__ = ["Record"]


@dataclass_transform(kw_only_default=True, frozen_default=True, eq_default=False)
class Record:
    """Base of a record whose fields are the annotations of its class, as in a frozen dataclass.

    A dataclass writes and compiles its methods while the module is imported, which for the records of the
    tables takes longer than to import their facts. Two records are equal only if they are the same one.

    Raises
    ------
    TypeError
        If a field is missing or unknown.

    Examples
    --------
    >>> class Nut(Record):
    ...     flats: float
    ...     note: str = ""
    >>> nut = Nut(flats=13.0)
    >>> nut.note, nut.but(note="thin").note
    ('', 'thin')
    """

    _fields: ClassVar[frozenset[str]]
    _needed: ClassVar[frozenset[str]]

    def __init_subclass__(cls) -> None:
        cls._fields = frozenset(cls.__annotations__)
        cls._needed = frozenset(name for name in cls._fields if name not in cls.__dict__)

    def __init__(self, **values: Any) -> None:
        if not (self._needed <= values.keys() <= self._fields):
            wrong = sorted((self._needed - values.keys()) | (values.keys() - self._fields))
            raise TypeError(f"{type(self).__name__}: field {wrong[0]!r} is missing or unknown")
        self.__dict__.update(values)
        self._check()

    def _check(self) -> None:
        """Refuse values that contradict each other."""

    def __setattr__(self, name: str, value: object) -> None:
        raise AttributeError(f"{type(self).__name__} is never changed; make another with but({name}=...)")

    def but(self, **changes: Any) -> Self:
        """The same record with some fields changed."""
        held = {name: value for name, value in self.__dict__.items() if name in self._fields}
        return type(self)(**(held | changes))
