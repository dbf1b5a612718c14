"""JSON Schemas and key tables come from the model and fit the books."""

from __future__ import annotations

import json
from functools import cache
from pathlib import Path
from typing import Any

import jsonschema
import pytest
import yaml

from bookgen.source import json_schemas, key_tables

ROOT = Path(__file__).parents[2]
FILES = sorted(
    path
    for book in (ROOT, ROOT / "tests" / "books" / "official")
    for path in (book / "formulas").rglob("*")
    if path.suffix in {".md", ".yaml"}
)


def as_an_editor_reads(path: Path) -> tuple[str, Any]:
    text = path.read_text("utf-8")
    if path.suffix == ".yaml":
        return "workroom", yaml.safe_load(text)
    kind = {"materials": "material", "batches": "batch"}.get(path.parent.name, "formula")
    return kind, json.loads(json.dumps(with_text_as_keys(yaml.safe_load(text.split("---\n")[1])), default=str))


def with_text_as_keys(value: Any) -> Any:
    """Return a value with each key as text: a day before a colon is a date to YAML, and text to JSON."""
    if isinstance(value, dict):
        return {str(key): with_text_as_keys(inner) for key, inner in value.items()}
    return value


def test_the_schemas_are_schemas() -> None:
    for schema in json_schemas().values():
        jsonschema.Draft7Validator.check_schema(schema)


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.name)
def test_the_books_fit_the_schemas(path: Path) -> None:
    kind, value = as_an_editor_reads(path)
    validator(kind).validate(value)


@cache
def validator(kind: str) -> jsonschema.Draft7Validator:
    return jsonschema.Draft7Validator(json_schemas()[kind])


@pytest.mark.parametrize(
    ("kind", "text"),
    [
        ("formula", "title: x\ningredients: {a: 5 g}"),
        ("formula", "code: x\ntitle: x\ningredients: {a: 5 g}\nmaks: 100 g"),
        ("formula", "code: x\ntitle: x\ningredients: {a: 5 g}\nkind: cosmetics"),
        ("formula", "code: x\ntitle: x\ningredients: {a: {function: x}}"),
        ("formula", "code: x\ntitle: x\ningredients: {A: {a: {amount: 5 g, remove: filtered}}}"),
        ("formula", "code: x\ntitle: x\ningredients: [a]"),
        ("formula", "code: x\ntitle: x\ningredients: {a: 5 g}\nissue: 0"),
        ("formula", "code: x\ntitle: x\ningredients: {a: 5 g}\nchanges: {'1, May 2004': begun}"),
        ("formula", "code: x\ntitle: x\ningredients: {a: 5 g}\nchanges: {'1, 2004-5': begun}"),
        ("formula", "code: x\ntitle: x\ningredients: {a: 5 g}\nstorage: {plce: freezer}"),
        ("material", "also: x"),
        ("material", "name: x\ncontains: 80 %"),
        ("workroom", "balances: {name: x}"),
        ("workroom", "balances: [{name: x}]"),
        ("workroom", "paper: A3"),
        ("workroom", "holes: 5"),
    ],
)
def test_a_mistake_does_not_fit(kind: str, text: str) -> None:
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.validate(yaml.safe_load(text), json_schemas()[kind])


def test_every_key_has_its_sentence() -> None:
    tables = key_tables()
    for name, rows in tables.items():
        for key, meaning in rows:
            assert len(meaning) > 10, (name, key)
    assert ("made up", "`yes`: what evaporates is replaced, so the weights are as if nothing were lost.") in tables[
        "line"
    ]
    assert {"yield", "pH"} <= {key for key, _ in tables["formula"]}
    assert set(json_schemas()["formula"]["properties"]) == {key for key, _ in tables["formula"]}


@pytest.mark.parametrize("issue", ["1", "1, 2004", "1, 2004-05", "1 2004-05-09"])
def test_a_change_has_a_day_a_month_a_year_or_no_date(issue: str) -> None:
    value = {"code": "x", "title": "x", "ingredients": {"a": "5 g"}, "changes": {issue: "begun"}}
    jsonschema.validate(value, json_schemas()["formula"])
