"""The dataclass of the program's records: the standard library's, frozen for the type checker and light at run time.

The library freezes a record by setting each of its fields through a call, which takes three times as long, and writes
six functions of text for each class when it is imported.  Nothing in the program sets a field of a record, as the type
checker sees to it; so here only `__init__` is written, and what compares, hashes and prints records is one closure.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Callable
from operator import attrgetter
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from dataclasses import dataclass
else:

    def dataclass(*, frozen: bool = False, order: bool = False, **how: Any) -> Callable[[type], type]:
        """As the library's; a frozen record compares, hashes and prints as there, and can be changed only by force."""
        if not frozen:
            return dataclasses.dataclass(order=order, **how)

        def made(record: type) -> type:
            own = frozenset(record.__dict__)
            light = dataclasses.dataclass(eq=order, order=order, repr=False, **how)(record)
            for name, method in _methods(light).items():
                if name not in own:
                    setattr(light, name, method)
            return light

        return made


def _methods(record: type) -> dict[str, Callable[..., Any]]:
    """Return what compares, hashes and prints a record, by name."""
    fields = dataclasses.fields(record)
    compared = [field.name for field in fields if field.compare]
    printed = [field.name for field in fields if field.repr]
    # Of one field the getter gives the value itself, of several a tuple.
    values = attrgetter(*compared) if compared else lambda self: ()

    def __eq__(self: Any, other: object) -> Any:
        return values(self) == values(other) if other.__class__ is self.__class__ else NotImplemented

    def __hash__(self: Any) -> int:
        return hash(values(self))

    def __repr__(self: Any) -> str:
        return f"{self.__class__.__qualname__}({', '.join(f'{name}={getattr(self, name)!r}' for name in printed)})"

    return {"__eq__": __eq__, "__hash__": __hash__, "__repr__": __repr__}


__all__ = ["dataclass"]
