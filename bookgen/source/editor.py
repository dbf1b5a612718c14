"""What an editor and a reader are told about the keys: JSON Schemas and key tables, both made from `model.py`.

The sentence under a field is the description of its key.  An editor reads YAML by its own rules, where `3` is a
number and `yes` a boolean, so a value that is written as one text may be a text, a number or a boolean there; what the
text may say is in the description and checked by `bookgen check`.
"""

from __future__ import annotations

import ast
import inspect
from collections.abc import Mapping
from enum import StrEnum
from functools import cache
from itertools import pairwise
from types import NoneType, UnionType
from typing import Any, Union, get_args, get_origin

from .. import model
from ..findings import Missing
from .schema import key_fields

DIALECT = "http://json-schema.org/draft-07/schema#"

_TEXT: dict[str, Any] = {"type": "string"}
_VALUE: dict[str, Any] = {"type": ["string", "number", "boolean"]}
_TEXTS: dict[str, Any] = {"anyOf": [_VALUE, {"type": "array", "items": _VALUE}]}

EXAMPLES: dict[str, list[Any]] = {
    "code": ["S-02"],
    "title": ["Cornflower shaving splash"],
    "purpose": ["after-shave, cooling"],
    "use": ["leave-on, face, adults", "rinse-off, hands, adults, children", "intermediate"],
    "makes": ["100 g", "1000 mL", "about 1000 g"],
    "part": ["6 g"],
    "density": ["1.26 g/mL at 20 °C", "0.95 g/mL", "1.036 at 25/25 °C"],
    "yield": ["95 %"],
    "pH": ["4.6 to 5.0", "4.6"],
    "storage": ["refrigerator, amber glass, 14 days"],
    "amount": ["5 %", "0.4 % as lactic acid", "5 g", "2 mL", "2 drops", "3 parts", "to 100 g", "q.s.",
               "q.s. to pH 4.8 (about 1.6 g)", "1 in 2000"],
    "left": ["at most 0.05 % v/v"],
    "evaporates": ["20 g", "25 %"],
    "error": ["1 %"],
    "period": ["14 days", "2 weeks", "6 months", "1 year"],
    "contains": [{"lactic acid": "80 %"}, {"citric acid": "99.5 % of dried"}, {"linalool": "20 to 35 %"}],
    "pKa": ["4.2", "3.13, 4.76, 6.40"],
    "drops": [{"glass dropper": "0.025 g (0.020 to 0.030 g)"}],
    "water": ["20 %"],
    "drying": ["6.5 %"],
    "dissolves": [{"water": "36 g", "ethanol": "0.1 g"}],
    "readability": ["0.01 g"],
    "capacity": ["200 g"],
    "accepted error": ["5 %"],
    "width": ["63.5 mm"],
    "responsible": ["Weir Yard Pottery, 3 Weir Yard, Millbrook"],
    "language": ["en", "de-CH"],
    "issued": ["2026-03-02"],
    "lots": [{"GL-2211": {"received": "2026-01-10", "amount": "1 kg", "expires": "2028-03"}}],
    "batch": ["S-02-2026-11-29", "S-02-2026-11-29-b"],
    "of": ["S-02, issue 3"],
    "made": ["2026-11-29"],
    "obtain": ["12 x 50 mL + 5 %", "250 g"],
    "planned": [{"glycerol-85": "25.20 g"}],
    "weighed": [{"glycerol-85": "25.2 g, lot GL-2211"}],
    "weighed beforehand": [{"citric-acid": "1.00 g, lot CA-7"}],
    "came out": ["617 g"],
    "filled": ["12 x 50 mL"],
    "kept sample": ["1 x 10 mL"],
    "observed": [{"2026-12-06": "clear, scent softer"}],
    "expires": ["2028-03", "2028-03-15"],
    "content": ["86.1 %"],
    "price": ["7.20 EUR/kg", "12 EUR"],
    "counted": ["640 g on 2026-11-01"],
    "changes": [{"2, 2026-03-02": "glycerol 6 % to 4 %"}, {"1, 2004-05": "from an old notebook"}],
}  # fmt: skip
"""Examples by key."""
_CHANGE = r"^[0-9]+((,\s*|\s+)[0-9]{4}(-[0-9]{2}(-[0-9]{2})?)?)?$"
"""An issue and its date: a day, a month or a year."""


@cache
def sentences(record: type) -> dict[str, str]:
    """Return field → the sentence under it, read from the source of the record."""
    tree = ast.parse(inspect.getsource(record))
    found: dict[str, str] = {}
    statements = tree.body[0].body if isinstance(tree.body[0], ast.ClassDef) else []
    for field, after in pairwise(statements):
        if isinstance(field, ast.AnnAssign) and isinstance(field.target, ast.Name) and isinstance(after, ast.Expr):
            text = ast.literal_eval(after.value)
            found[field.target.id] = " ".join(str(text).split())
    return found


def _lines(properties: Mapping[str, Any]) -> dict[str, Any]:
    """Return the schema of a mapping `material: line`, short or long."""
    return {
        "type": "object",
        "minProperties": 1,
        "additionalProperties": {"anyOf": [_AMOUNT, _closed(properties, ["amount"])]},
    }


def _closed(properties: Mapping[str, Any], compulsory: list[str]) -> dict[str, Any]:
    schema: dict[str, Any] = {"type": "object", "additionalProperties": False, "properties": dict(properties)}
    if compulsory:
        schema["required"] = compulsory
    return schema


_AMOUNT: dict[str, Any] = {**_VALUE, "description": "amount, function", "examples": ["5 %, humectant", "to 100 g"]}
_NAMED_SHARES: dict[str, Any] = {"type": "object", "additionalProperties": _VALUE}


def _ingredients() -> dict[str, Any]:
    properties = {key: held for key, held in _properties(model.Line).items() if key != "material"}
    lines = _lines(properties)
    phases = {
        "type": "object",
        "minProperties": 1,
        "patternProperties": {"^[A-Z](,.*)?$": lines},
        "additionalProperties": False,
    }
    return {"anyOf": [phases, lines]}


def _special(record: type, field: str) -> dict[str, Any] | None:
    """Return the schema of a field whose written form its type does not tell."""
    if (record, field) == (model.Formula, "ingredients"):
        return _ingredients()
    if (record, field) == (model.Formula, "changes"):
        return {"type": "object", "propertyNames": {"pattern": _CHANGE}, "additionalProperties": _TEXTS}
    if (record, field) == (model.Formula, "storage"):
        return {"anyOf": [_VALUE, _record(model.Storage)]}
    if (record, field) == (model.Formula, "preserved_by"):
        return {"anyOf": [_of_type(tuple[model.Preserver, ...]), _record(model.Preserved)]}
    if (record, field) == (model.Material, "contains"):
        return _NAMED_SHARES
    if (record, field) in ((model.Material, "label"), (model.Formula, "label")):
        return {"anyOf": [_VALUE, {"type": "object", "additionalProperties": {"type": ["string", "number", "null"]}}]}
    if (record, field) == (model.Material, "required_hlb"):
        return {"anyOf": [_VALUE, _record(model.RequiredHlb)]}
    if (record, field) == (model.Material, "incompatible_with"):
        reasons = {"type": "object", "additionalProperties": {"type": ["string", "null"]}}
        return {"anyOf": [_VALUE, reasons, {"type": "array", "items": {"anyOf": [_VALUE, reasons]}}]}
    if (record, field) == (model.Material, "drops"):
        return {"type": "object", "additionalProperties": _TEXTS}
    if (record, field) == (model.Material, "lots"):
        return {"type": "object", "additionalProperties": {"anyOf": [_record(model.Lot), {"type": "null"}]}}
    if (record, field) == (model.Lot, "content"):
        return {"anyOf": [_VALUE, _NAMED_SHARES]}
    if record is model.BatchRecord and field in ("planned", "weighed"):
        lines = {"type": "object", "additionalProperties": _TEXTS}
        return {"type": "object", "additionalProperties": {"anyOf": [*_TEXTS["anyOf"], lines]}}
    if (record, field) == (model.BatchRecord, "observed"):
        return {"type": "object", "additionalProperties": _TEXTS}
    if (record, field) == (model.Workroom, "balances"):
        return {"type": "array", "items": _record(model.Balance)}
    if (record, field) == (model.Workroom, "holes"):  # an editor reads the figure as a number
        return {"enum": [form for holes in model.Holes for form in (int(holes), str(holes))]}
    return None


def _of_type(hint: Any) -> dict[str, Any]:
    """Return the schema of a value by the type of its field."""
    if get_origin(hint) in {Union, UnionType}:
        hint = next(part for part in get_args(hint) if part not in {NoneType, Missing})
    if get_origin(hint) is tuple:
        inner = get_args(hint)[0]
        if isinstance(inner, type) and issubclass(inner, StrEnum):
            member = _of_type(inner)
            return {"anyOf": [member, _TEXT, {"type": "array", "items": member}]}
        return _TEXTS
    if isinstance(hint, type) and issubclass(hint, StrEnum):
        return {"enum": [word.value for word in hint]}
    if hint is bool:
        return {"enum": ["yes", "no", True, False]}
    if hint is int:
        return {"anyOf": [{"type": "integer", "minimum": 1}, {"type": "string", "pattern": "^[1-9][0-9]*$"}]}
    if hint in (model.KeeperPeriods, model.Dissolves, model.LabelSheet):
        return _record(hint)
    return _VALUE


def _properties(record: type) -> dict[str, Any]:
    """Return key → schema with its description and examples."""
    described = sentences(record)
    found: dict[str, Any] = {}
    for key, (field, hint, compulsory) in key_fields(record).items():
        schema = dict(_special(record, field) or _of_type(hint))
        if not compulsory:
            schema = _or_empty(schema)
        found[key] = {"description": described.get(field, ""), **schema}
        if key in EXAMPLES:
            found[key]["examples"] = EXAMPLES[key]
    return found


def _or_empty(schema: dict[str, Any]) -> dict[str, Any]:
    """Return the schema that also takes a key without a value, which counts as not written."""
    if isinstance(schema.get("type"), list):
        return {**schema, "type": [*schema["type"], "null"]}
    if "enum" in schema:
        return {**schema, "enum": [*schema["enum"], None]}
    if "anyOf" in schema:
        return {**schema, "anyOf": [*schema["anyOf"], {"type": "null"}]}
    return {"anyOf": [schema, {"type": "null"}]}


def _record(record: type) -> dict[str, Any]:
    compulsory = [key for key, (_, _, needed) in key_fields(record).items() if needed]
    return _closed(_properties(record), compulsory)


_RECORDS: dict[str, type] = {
    "formula": model.Formula,
    "material": model.Material,
    "batch": model.BatchRecord,
    "workroom": model.Workroom,
}


def json_schemas() -> dict[str, Any]:
    """Return the JSON Schemas of the front matter of a formula, of a material, of a batch, and of the workroom file."""
    return {
        name: {"$schema": DIALECT, "title": name, "description": _first_sentence(record), **_record(record)}
        for name, record in _RECORDS.items()
    }


def _first_sentence(record: type) -> str:
    return (inspect.getdoc(record) or "").split("\n\n")[0].replace("\n", " ")


def key_tables() -> dict[str, tuple[tuple[str, str], ...]]:
    """Return the rows for "formula", "line", "storage", "preserved by", "material", "lot", "batch", "workroom",
    "balance" and "label sheet"."""
    records = {**_RECORDS, "line": model.Line, "storage": model.Storage, "preserved by": model.Preserved,
               "lot": model.Lot, "balance": model.Balance, "label sheet": model.LabelSheet}  # fmt: skip
    order = (
        "formula", "line", "storage", "preserved by", "material", "lot", "batch", "workroom", "balance", "label sheet",
    )  # fmt: skip
    return {
        name: tuple(
            (key, sentences(records[name])[field])
            for key, (field, _, _) in key_fields(records[name]).items()
            if (name, key) != ("line", "material")
        )
        for name in order
    }
