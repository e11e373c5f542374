"""Frozen records that are read from tables: what ports and records of parts have in common.

In: a table as a TOML or CSV reader yields it. Out: a frozen record, or ``Unreadable`` with everything that is wrong
with it. A subclass lists its fields as annotations with a default; what reads a field follows from the annotation when
the first table is read, so that the hundred and more classes of a bicycle cost next to nothing at a start: checked
models made at import took longer than all the judging.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from functools import cache
from inspect import get_annotations
from typing import Any, ClassVar, NoReturn, Self

from catalog_schema.lean import dataclass
from catalog_schema.quantity import shown

Reads = Callable[[Any], Any]


@dataclass(frozen=True, slots=True)
class Problem:
    """One thing wrong with a table: the path to it, and what was expected; an unknown key has no message."""

    path: tuple[str, ...]
    message: str = ""

    @property
    def unknown_key(self) -> bool:
        """Whether the last step of the path is a key that does not belong there."""
        return not self.message


class Unreadable(ValueError):
    """Raised once a table is read through, with every problem in it."""

    def __init__(self, problems: list[Problem]) -> None:
        self.problems = problems
        super().__init__("; ".join(f"{'.'.join(p.path)}: {p.message or 'unknown key'}" for p in problems))


class Frozen:
    """A record whose fields are its annotations. A field that is left out has the default of its class.

    The constructor takes fields as they are; ``read`` takes a table and checks it.
    """

    kind: ClassVar[str] = ""

    def __init__(self, **fields: Any) -> None:
        self.__dict__.update(fields)

    def __init_subclass__(cls) -> None:
        """Name the kind: ``HubAxle`` is ``hub_axle``."""
        cls.kind = re.sub(r"(?<!^)(?=[A-Z])", "_", cls.__name__).lower()

    def __setattr__(self, name: str, value: object) -> NoReturn:
        raise AttributeError(f"{type(self).__name__} is frozen")

    def __delattr__(self, name: str) -> NoReturn:
        raise AttributeError(f"{type(self).__name__} is frozen")

    def __repr__(self) -> str:
        return f"{type(self).__name__}({', '.join(f'{k}={v!r}' for k, v in self.__dict__.items())})"

    @property
    def given(self) -> Mapping[str, Any]:
        """The fields that were given, with their values."""
        return self.__dict__

    def with_fields(self, **changes: Any) -> Self:
        """Return the record with some fields changed, unchecked."""
        return type(self)(**{**self.__dict__, **changes})

    @classmethod
    @cache
    def readers(cls) -> Mapping[str, Reads]:
        """Return field -> what reads it, in the order of their definition."""
        found: dict[str, Reads] = {}
        for base in reversed(cls.__mro__):
            for name, annotation in get_annotations(base).items():
                if not annotation.startswith("ClassVar"):
                    found[name] = cls.reader_of(annotation)
        return found

    @classmethod
    def reader_of(cls, annotation: str) -> Reads:
        """Return what reads a field with this annotation."""
        raise NotImplementedError

    @classmethod
    def field_names(cls) -> tuple[str, ...]:
        """Return the names of all fields, in the order of their definition."""
        return tuple(cls.readers())

    @classmethod
    def table_of(cls, raw: Any) -> Any:
        """Return the table that a short form stands for."""
        return raw

    @classmethod
    def read(cls, raw: Any) -> Self:
        """Return the record that a table, or a short form of one, describes.

        Raises:
            Unreadable: with every problem of the table.
        """
        if isinstance(raw, cls):
            return raw
        table = cls.table_of(raw)
        if not isinstance(table, Mapping):
            raise Unreadable([Problem((), f"expected a table or words, found {shown(raw)}")])
        readers = cls.readers()
        fields: dict[str, Any] = {}
        problems: list[Problem] = []
        for name, value in table.items():
            if name not in readers:
                problems.append(Problem((str(name),)))
                continue
            try:
                fields[name] = readers[name](value)
            except Unreadable as error:
                problems.extend(Problem((name, *p.path), p.message) for p in error.problems)
            except ValueError as error:
                problems.append(Problem((name,), str(error)))
        if problems:
            raise Unreadable(problems)
        return cls(**fields)
