"""A swift record is the frozen dataclass that it was: same arguments, same defaults, as frozen."""

from __future__ import annotations

import pickle
from dataclasses import FrozenInstanceError, dataclass, field, replace

import pytest

from bookgen.swift import swift


@dataclass(frozen=True, slots=True)
class Beaker:
    ml: int
    of: str = "glass"
    marks: list[int] = field(default_factory=list, kw_only=True)
    lid: bool = field(default=False, kw_only=True)


@swift
@dataclass(frozen=True, slots=True)
class QuickBeaker:
    ml: int
    of: str = "glass"
    marks: list[int] = field(default_factory=list, kw_only=True)
    lid: bool = field(default=False, kw_only=True)


@pytest.mark.parametrize(
    ("positional", "named"),
    [
        ((250,), {}),
        ((250, "steel"), {"lid": True}),
        ((), {"ml": 5, "marks": [1, 2]}),
        ((250, "steel", [1]), {}),
        ((), {}),
        ((1,), {"size": 3}),
        ((1,), {"ml": 3}),
    ],
)
def test_it_takes_what_it_took(positional, named):
    found = []
    for record in (Beaker, QuickBeaker):
        try:
            made = record(*positional, **named)
            found.append((made.ml, made.of, made.marks, made.lid))
        except TypeError as error:
            found.append(str(error).replace("QuickBeaker", "Beaker"))
    assert found[0] == found[1]


def test_each_has_a_list_of_its_own():
    one, other = QuickBeaker(1), QuickBeaker(1)
    assert one == other
    assert one.marks is not other.marks


def test_it_is_frozen_and_can_be_replaced_and_pickled():
    beaker = QuickBeaker(250, lid=True)
    with pytest.raises(FrozenInstanceError):
        beaker.ml = 3  # type: ignore[misc]
    with pytest.raises(FrozenInstanceError):
        del beaker.of  # type: ignore[misc]
    assert replace(beaker, ml=5) == QuickBeaker(5, lid=True)
    assert pickle.loads(pickle.dumps(beaker)) == beaker


@swift
@dataclass(frozen=True, slots=True)
class TallBeaker(Beaker):
    cm: int = 12


def test_one_that_is_derived_sets_the_fields_of_both():
    tall = TallBeaker(250, "glass", 20)
    assert (tall.ml, tall.of, tall.marks, tall.lid, tall.cm) == (250, "glass", [], False, 20)
