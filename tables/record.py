"""Records that are made once and never changed, without the import time of a standard dataclass."""

from __future__ import annotations

from operator import attrgetter
from typing import TYPE_CHECKING, Any, ClassVar, Self, dataclass_transform

if TYPE_CHECKING:
    from collections.abc import Callable
    from dataclasses import Field, dataclass
    from inspect import Signature

__all__ = ["Record", "dataclass"]


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
        if not (self._needed.issubset(values) and self._fields.issuperset(values)):
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


class _Plan:
    """What the methods of one class made by :func:`dataclass` go by."""

    __slots__ = ("compared", "defaults", "factories", "hashed", "names", "positional", "post", "put", "shown")

    def __init__(self, made: type) -> None:
        from dataclasses import MISSING, fields

        held = fields(made)
        self.names = tuple(field.name for field in held)
        self.positional = tuple(field.name for field in held if not field.kw_only)
        self.defaults = {field.name: field.default for field in held if field.default is not MISSING}
        self.factories = {f.name: f.default_factory for f in held if f.default_factory is not MISSING}
        self.compared = _values_of([field.name for field in held if field.compare])
        self.hashed = _values_of([f.name for f in held if (f.compare if f.hash is None else f.hash)])
        self.shown = tuple(field.name for field in held if field.repr)
        self.put = {name: getattr(made, name).__set__ for name in self.names}
        self.post = getattr(made, "__post_init__", None)

    def bound(self, made: type, given: tuple[Any, ...], named: dict[str, Any]) -> dict[str, Any]:
        """A value for each field."""
        if len(given) > len(self.positional):
            raise TypeError(
                f"{made.__name__}() takes {len(self.positional)} values by place, not {len(given)}"
            )
        held = dict(zip(self.positional, given, strict=False))
        twice = held.keys() & named.keys()
        if twice:
            raise TypeError(f"{made.__name__}() got two values for {min(twice)!r}")
        held = self.defaults | held | named
        held |= {name: make() for name, make in self.factories.items() if name not in held}
        wrong = sorted(held.keys() ^ self.put.keys())
        if wrong:
            raise TypeError(f"{made.__name__}(): field {wrong[0]!r} is missing or unknown")
        return held


def _values_of(names: list[str]) -> Callable[[object], object]:
    """Reads some attributes as one tuple."""
    if len(names) > 1:
        return attrgetter(*names)
    return lambda held: tuple(getattr(held, name) for name in names)


class _Signature:
    """The signature of a class for ``help()``, worked out when it is asked for."""

    def __get__(self, held: object, made: type) -> Signature:
        from dataclasses import MISSING, fields
        from inspect import Parameter, Signature

        def parameter(field: Field[Any]) -> Parameter:
            kind = Parameter.KEYWORD_ONLY if field.kw_only else Parameter.POSITIONAL_OR_KEYWORD
            made_by = field.default_factory is not MISSING
            default = ... if made_by else field.default
            bare = Parameter.empty if default is MISSING else default
            return Parameter(field.name, kind, default=bare, annotation=field.type)

        return Signature([parameter(field) for field in fields(made)])


def _init(self: Any, *given: Any, **named: Any) -> None:
    made = type(self)
    plan = made._plan
    held = plan.bound(made, given, named)
    for name, put in plan.put.items():
        put(self, held[name])
    if plan.post is not None:
        plan.post(self)


def _repr(self: Any) -> str:
    made = type(self)
    shown = ", ".join(f"{name}={getattr(self, name)!r}" for name in made._plan.shown)
    return f"{made.__qualname__}({shown})"


def _equal(self: Any, other: Any) -> Any:
    if type(other) is not type(self):
        return NotImplemented
    values = self._plan.compared
    return values(self) == values(other)


def _hash(self: Any) -> int:
    return hash(self._plan.hashed(self))


def _set(self: object, name: str, value: object) -> None:  # noqa: ARG001 - the protocol's own signature
    from dataclasses import FrozenInstanceError

    raise FrozenInstanceError(f"cannot assign to field {name!r}")


def _delete(self: object, name: str) -> None:  # noqa: ARG001
    from dataclasses import FrozenInstanceError

    raise FrozenInstanceError(f"cannot delete field {name!r}")


def _state(self: Any) -> tuple[Any, ...]:
    return tuple(getattr(self, name) for name in self._plan.names)


def _restore(self: Any, state: tuple[Any, ...]) -> None:
    for put, value in zip(self._plan.put.values(), state, strict=True):
        put(self, value)


_METHODS = {
    "__repr__": _repr,
    "__setattr__": _set,
    "__delattr__": _delete,
    "__getstate__": _state,
    "__setstate__": _restore,
    "__signature__": _Signature(),
}

if not TYPE_CHECKING:  # a type checker sees the standard one

    def dataclass(*, frozen: bool, slots: bool, kw_only: bool = False, eq: bool = True, init: bool = True):
        """A frozen dataclass with slots whose methods are shared, not written and compiled for each class.

        It behaves as ``dataclasses.dataclass`` with the same arguments does: ``fields``, ``replace``,
        ``asdict``, ``field(...)``, ``__post_init__``, matching and pickling work. To make one takes a little
        longer; to import its class takes a tenth of the time, which is what one identification waits for.

        Parameters
        ----------
        frozen, slots : bool
            Both must be true; they stand there for the reader and the type checker.
        kw_only, eq, init : bool, optional
            As in the standard library.

        Raises
        ------
        TypeError
            If it is to be changeable or without slots.

        Examples
        --------
        >>> from dataclasses import replace
        >>> @dataclass(frozen=True, slots=True)
        ... class Nut:
        ...     flats: float
        ...     note: str = ""
        >>> replace(Nut(13.0), note="thin")
        Nut(flats=13.0, note='thin')
        """
        if not (frozen and slots):
            raise TypeError("dataclass: use the standard library's for one that changes or has no slots")
        from dataclasses import dataclass as standard

        def make(bare):
            made = standard(init=False, repr=False, eq=False, slots=True, kw_only=kw_only)(bare)
            methods = {**_METHODS, **({"__init__": _init} if init else {})}
            methods |= {"__eq__": _equal, "__hash__": _hash} if eq else {}
            for name, method in methods.items():
                if name not in bare.__dict__:
                    setattr(made, name, method)
            made._plan = _Plan(made)
            return made

        return make
