"""The pydantic schema of ports and records, put together by hand.

In: a model class whose fields are figures (see ``quantity``), ports, or a few plain types. Out: the schema that
pydantic would derive from the annotations, in a third of the time; a list of a whole bicycle needs some fifty of them
at every start, and nothing else in the program takes as long.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from functools import cache
from typing import Any

from pydantic import BaseModel, PlainValidator
from pydantic.fields import FieldInfo
from pydantic_core import CoreSchema, core_schema


def model(cls: type[BaseModel], before: Callable[[Any], Any], others: Mapping[str, CoreSchema]) -> CoreSchema:
    """Return the schema of a frozen model that takes no other keys.

    Args:
        cls: the model.
        before: turns short forms into a table.
        others: the schemas of the fields that are no figures, defaults included.
    """
    fields = {n: _field(others.get(n) or figure(f)) for n, f in cls.model_fields.items()}
    inner = core_schema.model_fields_schema(fields, model_name=cls.__name__)
    config = core_schema.CoreConfig(title=cls.__name__, extra_fields_behavior="forbid")
    whole = core_schema.model_schema(cls, inner, frozen=True, config=config)
    return core_schema.no_info_before_validator_function(before, whole)


def _field(schema: CoreSchema) -> core_schema.ModelField:
    return {"type": "model-field", "schema": schema}


def figure(field: FieldInfo) -> CoreSchema:
    """Return the schema of a field that one function of ``quantity`` reads; left out, it is None."""
    return _read_by(next(m.func for m in field.metadata if isinstance(m, PlainValidator)))


@cache
def _read_by(read: Any) -> CoreSchema:
    plain = core_schema.no_info_plain_validator_function(read, json_schema_input_schema=core_schema.any_schema())
    return core_schema.with_default_schema(plain, default=None)


def or_none(schema: CoreSchema) -> CoreSchema:
    """Return a schema that takes None as well, and is None if left out."""
    return core_schema.with_default_schema(core_schema.nullable_schema(schema), default=None)


def with_default(schema: CoreSchema, default: Any) -> CoreSchema:
    """Return a schema with a default."""
    return core_schema.with_default_schema(schema, default=default)
