"""The standard library's ``dataclass``, made in a fraction of the time.

In: what ``dataclasses.dataclass`` takes. Out: a class that behaves the same: positional and named fields, defaults,
equality, hash, ``repr``, ``replace`` and ``fields`` of ``dataclasses``. The standard one (before Python 3.13) compiles
each of its methods from text, nearly two milliseconds a class, and a start makes eighty; this one compiles ``__init__``
alone, and that when the first record is made. What it does not know it leaves to the standard one. Type checkers see
the standard one.
"""

from __future__ import annotations

from collections.abc import Callable
from copy import copy
from dataclasses import MISSING, Field, field, fields, replace
from dataclasses import dataclass as standard
from inspect import get_annotations
from operator import attrgetter
from typing import TYPE_CHECKING, Any

__all__ = ["dataclass", "field", "fields", "replace"]

_METHODS = ("__init__", "__eq__", "__hash__", "__repr__", "__post_init__", "__setattr__", "__delattr__")


@standard
class _Pattern:
    one: int


(_A_FIELD,) = fields(_Pattern)


def _made(cls: type[Any], *, frozen: bool, slots: bool) -> type[Any]:
    """Return the class with the methods of a dataclass."""
    own = {name: _field(cls, name, annotation) for name, annotation in get_annotations(cls).items()}
    inherited: dict[str, Field[Any]] = {}
    for base in reversed(cls.__mro__[1:]):
        inherited |= base.__dict__.get("__dataclass_fields__", {})
    found = inherited | own
    names = tuple(found)
    methods: dict[str, Any] = {
        "__dataclass_fields__": found,
        "__match_args__": names,
        "__init__": _first_init(found, frozen=frozen),
        "__repr__": _shown,
        **_compared(found, hashed=frozen),
    }
    if frozen:
        methods |= {"__setattr__": _refuse, "__delattr__": _refuse}
    if not slots:
        for name, made in own.items():
            if made.default is MISSING and name in cls.__dict__:
                delattr(cls, name)
        for name, method in methods.items():
            setattr(cls, name, method)
        return cls
    space = {k: v for k, v in cls.__dict__.items() if k not in (*own, "__dict__", "__weakref__")}
    state = {"__getstate__": _state, "__setstate__": _restored} if frozen else {}
    whole: type[Any] = type.__call__(
        type(cls), cls.__name__, cls.__bases__, {**space, **methods, **state, "__slots__": tuple(own)}
    )
    whole.__qualname__ = cls.__qualname__
    return whole


def _field(cls: type[Any], name: str, annotation: Any) -> Field[Any]:
    default = cls.__dict__.get(name, MISSING)
    made = copy(default if isinstance(default, Field) else _A_FIELD)
    if not isinstance(default, Field):
        made.default = default
    else:
        made._field_type = _A_FIELD._field_type  # type: ignore[attr-defined]
    made.name, made.type = name, annotation
    return made


def _first_init(found: dict[str, Field[Any]], *, frozen: bool) -> Callable[..., None]:
    """Return an ``__init__`` that puts the compiled one in its place when it is first called."""

    def first(self: Any, *values: Any, **named: Any) -> None:
        cls = next(c for c in type(self).__mro__ if c.__dict__.get("__init__") is first)
        init = _init(cls, found, frozen=frozen)
        type.__setattr__(cls, "__init__", init)
        init(self, *values, **named)

    return first


def _init(cls: type[Any], found: dict[str, Field[Any]], *, frozen: bool) -> Callable[..., None]:
    space: dict[str, Any] = {"_set": object.__setattr__, "_unset": MISSING}
    takes, does = [], []
    for name, made in found.items():
        value = name
        if made.default_factory is not MISSING:
            space[f"_make_{name}"] = made.default_factory
            takes.append(f"{name}=_unset")
            value = f"_make_{name}() if {name} is _unset else {name}"
        elif made.default is not MISSING:
            space[f"_default_{name}"] = made.default
            takes.append(f"{name}=_default_{name}")
        else:
            takes.append(name)
        does.append(f"_set(self, {name!r}, {value})" if frozen else f"self.{name} = {value}")
    exec(f"def __init__(self, {', '.join(takes)}):\n " + "\n ".join(does or ["pass"]), space)
    init: Callable[..., None] = space["__init__"]
    init.__qualname__ = f"{cls.__qualname__}.__init__"
    return init


def _compared(found: dict[str, Field[Any]], *, hashed: bool) -> dict[str, Any]:
    """Return equality, and a hash, over the fields that count."""
    kept = [name for name, made in found.items() if made.compare]
    held = attrgetter(*kept) if kept else lambda _: ()

    def equal(self: Any, other: Any) -> Any:
        return held(self) == held(other) if other.__class__ is self.__class__ else NotImplemented

    def hashed_by_fields(self: Any) -> int:
        return hash(held(self))

    return {"__eq__": equal, "__hash__": hashed_by_fields if hashed else None}


def _shown(self: Any) -> str:
    told = ", ".join(f"{f.name}={getattr(self, f.name)!r}" for f in fields(self) if f.repr)
    return f"{type(self).__qualname__}({told})"


def _refuse(self: Any, name: str, *_: Any) -> None:
    raise AttributeError(f"cannot change {name}: {type(self).__name__} is frozen")


def _state(self: Any) -> list[Any]:
    return [getattr(self, f.name) for f in fields(self)]


def _restored(self: Any, state: list[Any]) -> None:
    for made, value in zip(fields(self), state, strict=True):
        object.__setattr__(self, made.name, value)


def _plain(cls: type[Any]) -> bool:
    """Return whether a class is of the simple kind that is made here."""
    own = any(m in cls.__dict__ for m in _METHODS)
    special = any("Var" in str(a) or "KW_ONLY" in str(a) for a in get_annotations(cls).values())
    given = [v for v in cls.__dict__.values() if isinstance(v, Field)]
    asked = any(not f.init or f.hash is not None or f.kw_only is True for f in given)
    return not (own or special or asked)


if TYPE_CHECKING:
    from dataclasses import dataclass
else:

    def dataclass(cls=None, /, *, frozen=False, slots=False, **options):
        """Return the class as a dataclass; see ``dataclasses.dataclass``."""

        def make(kind):
            if options or not _plain(kind):
                return standard(kind, frozen=frozen, slots=slots, **options)
            return _made(kind, frozen=frozen, slots=slots)

        return make if cls is None else make(cls)
