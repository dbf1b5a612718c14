"""Codes and file names that some systems keep for a device: told, with another that is taken."""

from __future__ import annotations

import re

import pytest

from bookgen.source.codes import name_complaint, read_code
from bookgen.units import Complaint

DEVICES = ["CON", "con", "Prn", "AUX", "NUL", "COM1", "com0", "LPT9"]


@pytest.mark.parametrize("code", DEVICES)
def test_a_device_is_no_code_and_what_is_advised_is_one(code):
    told = read_code(code, False)
    assert isinstance(told, Complaint)
    assert (told.rule, str(told.says).startswith(f"`{code}` is kept for a device")) == ("bad-name", True)
    advised = re.search(r"such as (\S+)\.$", str(told.says))
    assert advised is not None
    assert read_code(advised[1], False) == advised[1]


@pytest.mark.parametrize("code", ["CON-1", "COM10", "COMA", "NULL", "N-01", "AUXILIARY"])
def test_what_only_begins_like_one_is_a_code(code):
    assert name_complaint(code) is None
