"""Limits of a law for cosmetics, read from `limits.yaml`: which entry, how much, and where on whom.

Leaves: `LimitTable`.  The law binds what is put on the market; for the keeper's own use it is a guide.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from typing import Any

from ..fraction import Fraction
from ..model import Contact, Person, Site
from . import spelt, substance_forms, table_in


@dataclass(frozen=True, slots=True, kw_only=True)
class Where:
    """Where, on whom and in which product something holds; what is empty is not asked."""

    contact: Contact | None = None
    """Leave-on or rinse-off."""
    sites: frozenset[Site] = frozenset()
    """One of these places."""
    persons: frozenset[Person] = frozenset()
    """One of these persons."""
    products: frozenset[str] = frozenset()
    """One of these products, as the formula's purpose has it as a whole item."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Ceiling:
    """The most that an entry has for one use."""

    share: Fraction | None
    """Share by weight of the ready product; None where the entry has a pH alone."""
    ph: Fraction | None
    """The highest pH; None where the entry has none."""
    counted_as: str
    """The form that is counted, in lower case; empty where each substance counts as it is."""
    where: Where
    """Where it holds."""
    but: Where | None
    """Where it does not."""
    each: bool
    """True when every substance counts for itself, not their sum."""
    group: str
    """Other entries with this word count in; empty where none do."""
    below: bool
    """True when the figure itself is too much already."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Never:
    """Where an entry has none of its substances at all."""

    where: Where
    """Where."""
    but: Where | None
    """Except there."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LabelWords:
    """Words that an entry asks for on a label."""

    words: tuple[str, ...]
    """The words, as the law has them."""
    where: Where
    """For which use."""
    above: Ceiling | None
    """Only beyond this figure; None for any amount."""
    when: str
    """A condition that no key of a formula tells; empty for none."""
    entry: str
    """Annex and number."""
    edition: str
    """The edition as sentences name it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LimitRow:
    """One entry of an annex."""

    key: str
    """Its name in the table."""
    entry: str
    """Annex and number, such as V/29."""
    edition: str
    """The edition as sentences name it."""
    document: str
    """The edition in full."""
    secondary: bool
    """True when summaries of the law alone were read, not the Commission's table."""
    substances: tuple[str, ...]
    """Its substances, by the first of their names."""
    most: tuple[Ceiling, ...]
    """What it has, use by use."""
    never: tuple[Never, ...]
    """Where it has none."""
    prohibited: bool
    """True when it may not be in a cosmetic at all."""
    with_preserving: bool
    """True when its figures count what preserves as well, beside what does not."""
    natural: bool
    """True when natural oils may bring it with them."""
    only: bool
    """True when it may be in the named uses alone."""
    sums: frozenset[str]
    """Words of the sums over several entries that its substances count in."""
    instead: tuple[str, ...]
    """Entries that hold for what does not preserve, where they have its use."""
    told: tuple[str, ...]
    """Conditions that no key of a formula tells."""
    label: tuple[LabelWords, ...]
    """What the entry asks for on a label."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LimitTable:
    """All entries."""

    rows: tuple[LimitRow, ...]
    """In the order of the table."""
    by_substance: Mapping[str, tuple[LimitRow, ...]]
    """First name of a substance → its entries."""
    names: Mapping[str, str]
    """Any name, as `spelt` has it → the first name of its substance."""
    counts: Mapping[tuple[str, str], Fraction]
    """(form, what it is counted as), as `spelt` has them → grams counted in 1 g of the form."""
    products: frozenset[str]
    """Every product that an entry names."""


@cache
def limits() -> LimitTable:
    """Return the table of limits.

    Raises ValueError, which stops the build and no user, where a row cannot be read.
    """
    table = table_in("limits.yaml")
    names: dict[str, str] = {}
    by_substance: dict[str, list[LimitRow]] = {}
    rows = tuple(_row(row, table["editions"]) for row in table["rows"])
    for row, record in zip(table["rows"], rows, strict=True):
        for first, *others in row["names"]:
            for name in (first, *others):
                if names.setdefault(spelt(name), first) != first:
                    raise ValueError(f"{row['id']}: {name} is {names[spelt(name)]} in another row")
            by_substance.setdefault(first, []).append(record)
    known = {row.key for row in rows}
    for record in rows:
        if not known.issuperset(record.instead):
            raise ValueError(f"{record.key}: no entry {record.instead}")
    return LimitTable(
        rows=rows,
        by_substance={name: tuple(found) for name, found in by_substance.items()},
        names=names,
        counts=_counts(table["turns"]),
        products=frozenset(product for row in rows for where in _wheres(row) for product in where.products),
    )


def _wheres(row: LimitRow) -> Iterator[Where]:
    """Yield every use that an entry speaks of, those that it excepts among them."""
    for most in row.most:
        yield from (where for where in (most.where, most.but) if where is not None)
    for never in row.never:
        yield from (where for where in (never.where, never.but) if where is not None)
    yield from (words.where for words in row.label)


def _row(row: Mapping[str, Any], editions: Mapping[str, Any]) -> LimitRow:
    edition = editions[row["edition"]]
    if row["seen"] not in {"seen", "secondary"}:
        raise ValueError(f"{row['id']}: {row['seen']} is no way of seeing")
    most = tuple(_ceiling(entry) for entry in row.get("most", ()))
    found = LimitRow(
        key=row["id"],
        entry=row["entry"],
        edition=edition["short"],
        document=edition["document"],
        secondary=row["seen"] == "secondary",
        substances=tuple(first for first, *_ in row["names"]),
        most=most,
        never=tuple(Never(where=_where(never), but=_but(never, "except ")) for never in row.get("never", ())),
        prohibited="prohibited" in row,
        with_preserving="with preserving" in row,
        natural="natural" in row,
        only="only" in row,
        sums=frozenset({ceiling.group for ceiling in most if ceiling.group} | set(row.get("counts in", ()))),
        instead=tuple(row.get("other purpose", ())),
        told=tuple(row.get("told", ())),
        label=tuple(_words(item, row, editions) for item in row.get("label", ())),
    )
    if not (found.most or found.never or found.prohibited or found.label):
        raise ValueError(f"{found.key}: it says nothing")
    return found


def _words(item: Mapping[str, Any], row: Mapping[str, Any], editions: Mapping[str, Any]) -> LabelWords:
    return LabelWords(
        words=tuple(item["words"]),
        where=_where(item),
        above=_ceiling({**item, "most": item["above"]}) if "above" in item else None,
        when=item.get("when", ""),
        entry=item.get("entry", row["entry"]),
        edition=editions[item.get("edition", row["edition"])]["short"],
    )


def _ceiling(entry: Mapping[str, Any]) -> Ceiling:
    share, acidity = entry.get("most"), entry.get("pH most")
    if (share is None) == (acidity is None):
        raise ValueError(f"{entry}: either a percentage or a pH")
    return Ceiling(
        share=None if share is None else Fraction(share) / 100,
        ph=None if acidity is None else Fraction(acidity),
        counted_as=spelt(entry.get("as", "")),
        where=_where(entry),
        but=_where(entry["except"]) if "except" in entry else None,
        each="each" in entry,
        group=entry.get("sum", ""),
        below="below" in entry,
    )


def _where(entry: Mapping[str, Any]) -> Where:
    return Where(
        contact=Contact(entry["contact"]) if "contact" in entry else None,
        sites=frozenset(Site(site) for site in entry.get("sites", ())),
        persons=frozenset(Person(person) for person in entry.get("persons", ())),
        products=frozenset(entry.get("products", ())),
    )


def _but(entry: Mapping[str, Any], before: str) -> Where | None:
    """Return the exception that a row has beside where it holds: `except products: […]`."""
    found = {key.removeprefix(before): value for key, value in entry.items() if key.startswith(before)}
    return _where(found) if found else None


def _counts(turns: Sequence[Mapping[str, str]]) -> Mapping[tuple[str, str], Fraction]:
    """Return the factors of the table and, for what they do not have, those of the forms of substances.

    Source: own arithmetic on standard atomic weights, as for the forms of substances.
    """
    forms = substance_forms().forms
    found = {
        (spelt(name), spelt(form.base)): form.carries_of(base)
        for form in forms
        for base in forms
        if base.name == form.base
        for name in (form.name, *form.also)
    }
    for turn in turns:
        factor = Fraction(turn["weighs"]) * int(turn["times"]) / Fraction(turn["molar mass"])
        found[spelt(turn["form"]), spelt(turn["counts as"])] = factor
    return found
