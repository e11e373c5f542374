"""What every port has in common, and the register of port kinds.

A port is the side of a part that meets another part. It carries figures (see ``quantity``) and may name an
interface of the library by any of its trade names under ``standard``; ``catalog_schema.resolve`` then adds the
figures that the name settles. A port written as one string is its ``standard``; ``"none"`` says that the part
has no such side (a hub without a rotor mount).
"""

from __future__ import annotations

import re
from typing import Annotated, Any, ClassVar, Final

from pydantic import BaseModel, BeforeValidator, ConfigDict, GetCoreSchemaHandler
from pydantic_core import CoreSchema, core_schema

from catalog_schema import quick
from catalog_schema.quantity import NONE, shown


def _standard(raw: object) -> object:
    if isinstance(raw, str):
        return (raw,)
    if isinstance(raw, list | tuple) and all(isinstance(r, str) for r in raw):
        return tuple(raw)
    raise ValueError(f"expected a trade name or a list of them, found {shown(raw)}")


#: Names as printed on the box; each settles figures through the library.
Standard = Annotated[tuple[str, ...], BeforeValidator(_standard)]

PORT_KINDS: Final[dict[str, type[Port]]] = {}


class Port(BaseModel):
    """A side of a part that mates. Every figure may be left out: it is then not stated."""

    model_config = ConfigDict(frozen=True, extra="forbid", defer_build=True, validate_default=False)

    kind: ClassVar[str] = ""

    standard: Standard = ()
    absent: bool = False

    def __init_subclass__(cls, **kwargs: Any) -> None:
        """Give the port kind its name (``HubAxle`` is ``hub_axle``) and register it."""
        super().__init_subclass__(**kwargs)
        cls.kind = re.sub(r"(?<!^)(?=[A-Z])", "_", cls.__name__).lower()
        PORT_KINDS[cls.kind] = cls

    @classmethod
    def _short_forms(cls, raw: Any) -> Any:
        if raw == NONE:
            return {"absent": True}
        if isinstance(raw, str):
            return {"standard": (raw,)}
        return raw

    @classmethod
    def __get_pydantic_core_schema__(cls, source: Any, handler: GetCoreSchemaHandler) -> CoreSchema:
        """Return the schema of this kind; see ``quick``."""
        others = {
            "standard": quick.with_default(core_schema.no_info_plain_validator_function(_standard), ()),
            "absent": quick.with_default(core_schema.bool_schema(), False),
        }
        return quick.model(cls, cls._short_forms, others)

    @classmethod
    def figure_names(cls) -> tuple[str, ...]:
        """Return the names of the figures of this port kind, in the order of their definition."""
        return tuple(n for n in cls.model_fields if n not in ("standard", "absent"))
