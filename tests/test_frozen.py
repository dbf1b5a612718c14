"""The dataclass of the program's records against the standard library's: the same in all that can be done with it."""

from __future__ import annotations

import dataclasses
import pickle
from types import SimpleNamespace
from typing import Any

import pytest

from bookgen import frozen


def records(dataclass: Any) -> SimpleNamespace:
    """The same classes, made by one dataclass or the other."""

    @dataclass(frozen=True, slots=True, kw_only=True)
    class Jar:
        holds: int
        lid: str = "cork"
        made: str = dataclasses.field(default="", compare=False, repr=False)

    @dataclass(frozen=True, slots=True, kw_only=True)
    class Urn(Jar):
        feet: int = 0

    @dataclass(frozen=True, slots=True)
    class Cup:
        holds: Any

    @dataclass(frozen=True, slots=True, kw_only=True, order=True)
    class Shelf:
        wall: str
        board: int = 0

    @dataclass(frozen=True, slots=True)
    class Empty:
        pass

    @dataclass(frozen=True, kw_only=True)
    class Own:
        holds: int

        def __hash__(self) -> int:
            return 7

        def __repr__(self) -> str:
            return "own"

    return SimpleNamespace(**locals())


MINE, THEIRS = records(frozen.dataclass), records(dataclasses.dataclass)
SAMPLES = {
    "defaults": lambda of: of.Jar(holds=2),
    "all fields": lambda of: of.Jar(holds=2, lid="clay", made="in May"),
    "not compared": lambda of: of.Jar(holds=2, made="in June"),
    "derived": lambda of: of.Urn(holds=2),
    "replaced": lambda of: dataclasses.replace(of.Urn(holds=2), feet=3),
    "one field": lambda of: of.Cup((1,)),
    "in a record": lambda of: of.Cup(of.Cup(1)),
    "ordered": lambda of: of.Shelf(wall="north", board=2),
    "before it": lambda of: of.Shelf(wall="east", board=9),
    "empty": lambda of: of.Empty(),
    "own methods": lambda of: of.Own(holds=3),
}


@pytest.mark.parametrize("name", SAMPLES)
def test_like_the_library(name):
    mine, theirs = SAMPLES[name](MINE), SAMPLES[name](THEIRS)
    assert repr(mine) == repr(theirs)
    assert dataclasses.asdict(mine) == dataclasses.asdict(theirs)
    for other in SAMPLES.values():
        my_other, their_other = other(MINE), other(THEIRS)
        assert (mine == my_other) is (theirs == their_other)
        assert mine != my_other or hash(mine) == hash(my_other)
        assert (len({mine, my_other})) == len({theirs, their_other})
    assert mine != 2


def test_order():
    before, after = SAMPLES["before it"](MINE), SAMPLES["ordered"](MINE)
    assert sorted([after, before]) == [before, after]


def test_hash_of_what_cannot_be_hashed():
    with pytest.raises(TypeError):
        hash(MINE.Cup([]))


def test_not_frozen_is_the_librarys():
    @frozen.dataclass(slots=True)
    class Sieve:
        holds: int

    assert Sieve.__hash__ is None
    assert Sieve(2) == Sieve(2)


def test_no_field_beyond_those_named():
    with pytest.raises(AttributeError):
        MINE.Jar(holds=2).handle = 1


@frozen.dataclass(frozen=True, slots=True, kw_only=True)
class Kept:
    """A record at the top of a file, as pickling wants it."""

    holds: int


def test_goes_to_another_process():
    assert pickle.loads(pickle.dumps(Kept(holds=2))) == Kept(holds=2)
