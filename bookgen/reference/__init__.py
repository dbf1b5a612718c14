"""Published tables as YAML, each value with document, edition, section and the date it was taken."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import cache, lru_cache
from importlib.resources import files
from typing import Any

import yaml

from ..fraction import Fraction
from ..language.substances import names_read

_NUMBERS = re.compile(r"[ABC]\d?|a\d")
"""Names of the numbers of a published formula."""
_PRINTED = {
    "100 g": "{} g in 100 g of water",
    "100 mL": "{} g in 100 mL of water",
    "1 in": "1 in {} of water",
    "solution": "{} % of the saturated solution",
    "unsaid": "{} %, of what is not said",
}
"""What a solubility counts → how it is printed, hydrates as the form without water."""
_FORMS = (
    *("pellets", "flakes", "beads", "micropearls", "pearls", "prills", "granules"),
    *("bp", "usp", "nf", "jp", "dab", "ph. eur.", "ph. eur", "ph.eur.", "ph.eur", "ph eur"),
)
_FORMS_JOINED = ("plätzchen", "schuppen", "perlen")
_SOLD_AS = re.compile(rf"(?:,? (?:{'|'.join(map(re.escape, _FORMS))})|(?:,? |-)(?:{'|'.join(_FORMS_JOINED)}))+$")
"""Forms in which a substance is sold and the marks of pharmacopoeias, behind a name (common practice, no source).
Crystals and powder are none, as soda crystals and milk powder are names of their own."""
_IN_CAPITALS = {"TEA": "triethanolamine"}
"""Short names that are a word of another meaning in small letters."""
_CONCENTRATED = re.compile(
    r"^(?:concentrated|conc\.?|fuming|konzentrierte[rs]?|konz\.?|rauchende[rs]?) "
    r"|,? (?:concentrated|conc\.?|fuming|konzentriert|konz\.?|rauchend)$"
)
"""What says of an acid or an alkali that it is the strong one of the trade."""
_WHERE = ("contact", "sites", "persons", "products")
"""What says where a figure of an entry holds."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PublishedPeriod:
    """The longest period of one kind of preparation."""

    days: int
    """Whole days."""
    place: str
    """Where it has to be kept for that; empty when the table names none."""
    words: str
    """Which kind of preparation it is for."""
    document: str
    """Document, edition and section."""
    short: str
    """The document as pages name it."""


@cache
def storage_periods() -> Mapping[str, PublishedPeriod]:
    """Return the published periods by kind: `water`, `preserved`, `alcohol`, `no_water`."""
    table = table_in("storage.yaml")
    source = f"{table['document']}, {table['edition']}, {table['section']}"
    return {
        kind: PublishedPeriod(
            days=int(entry["period"].removesuffix(" days")),
            place=entry.get("place", ""),
            words=entry["words"],
            document=source,
            short=table["short"],
        )
        for kind, entry in table["periods"].items()
    }


@dataclass(frozen=True, slots=True, kw_only=True)
class PublishedFormula:
    """The numbers of a published formula for a density by temperature."""

    numbers: Mapping[str, tuple[Fraction, ...]]
    """Name of the series or constant → its numbers, exactly as printed; one number for a constant."""
    lowest_c: Fraction
    """Lowest temperature, in degrees Celsius, for which it is published."""
    highest_c: Fraction
    """Highest temperature, in degrees Celsius, for which it is published."""
    document: str
    """Document, edition and section."""
    short: str
    """The document as pages name it."""


def _published_formula(file: str, names: Iterable[str]) -> PublishedFormula:
    table = table_in(file)
    series = {name: table[name] if isinstance(table[name], list) else [table[name]] for name in names}
    return PublishedFormula(
        numbers={name: tuple(Fraction(number) for number in numbers) for name, numbers in series.items()},
        lowest_c=Fraction(table["lowest_c"]),
        highest_c=Fraction(table["highest_c"]),
        document=f"{table['document']}, {table['edition']}, {table['section']}",
        short=table["short"],
    )


@cache
def ethanol_water_formula() -> PublishedFormula:
    """Return the density formula of ethanol and water: the series A, B and C1 to C5, in kg/m³."""
    return _published_formula("ethanol-water.yaml", ("A", "B", "C1", "C2", "C3", "C4", "C5"))


@cache
def water_formula() -> PublishedFormula:
    """Return the density formula of water: the constants a1 to a5, in kg/m³."""
    return _published_formula("water.yaml", ("a1", "a2", "a3", "a4", "a5"))


@dataclass(frozen=True, slots=True, kw_only=True)
class SubstanceForm:
    """One form of a substance: the acid or base itself, a salt, a hydrate."""

    name: str
    """Its name."""
    also: tuple[str, ...]
    """Other names of the same form."""
    base: str
    """Name of the substance itself, the first form of its family."""
    formula: str
    """Chemical formula, elements in the order of Hill."""
    molar_mass: Fraction
    """Grams per mole."""
    carries: int
    """How many of the base one of the form holds."""
    counts: tuple[int, str]
    """The element that shows it, and how many of it one base holds."""

    def carries_of(self, other: SubstanceForm) -> Fraction:
        """Return how many grams of another form of the same substance 1 g of this one carries.

        Source: own arithmetic on the molar masses.
        """
        return (other.molar_mass * self.carries) / (other.carries * self.molar_mass)


@dataclass(frozen=True, slots=True, kw_only=True)
class SubstanceForms:
    """The published forms."""

    forms: tuple[SubstanceForm, ...]
    """Family by family, the base first."""
    unclear: Mapping[str, tuple[str, ...]]
    """Name, as `spelt` has it → the forms that it may mean."""
    document: str
    """Document, edition and section."""


@lru_cache(maxsize=16384)
def spelt(name: str) -> str:
    """Return a name as the tables are searched by it.

    British, American, German and Latin writing mean one substance, and an essential oil is an oil.  The form that it is
    sold in, and the pharmacopoeia by which it is tested, may stand behind its name, and that it is concentrated beside.

    >>> spelt("  Zinc  Sulphate "), spelt("Aluminum chloride"), spelt("Zinksulfat"), spelt("Acidum salicylicum")
    ('zinc sulfate', 'aluminium chloride', 'zinc sulfate', 'salicylic acid')
    >>> spelt("Peppermint essential oil"), spelt("Sodium hydroxide pellets"), spelt("Natriumhydroxid, Perlen Ph. Eur.")
    ('peppermint oil', 'sodium hydroxide', 'sodium hydroxide')
    """
    name = _IN_CAPITALS.get(name.strip(), name)
    plain = " ".join(name.split()).casefold()
    if plain.endswith(_FORMS + _FORMS_JOINED):  # asked first, as hardly any name does
        plain = _SOLD_AS.sub("", plain)
    plain = _CONCENTRATED.sub("", plain)
    if plain.endswith(" essential oil"):
        plain = f"{plain.removesuffix(' essential oil')} oil"
    return names_read().get(plain, plain).replace("sulph", "sulf").replace("aluminum", "aluminium")


def table_in(file: str) -> Any:
    """Return a published table.  Every scalar stays text: a figure is an exact decimal."""
    text = files(__package__).joinpath(file).read_text(encoding="utf-8")
    # By the C loader and without its constructor, because each start reads some of the tables.
    return _plain(yaml.compose(text, Loader=yaml.CBaseLoader))


def _plain(node: yaml.Node | None) -> Any:
    """Return what a node of a table holds: keys, lists and texts."""
    if isinstance(node, yaml.ScalarNode):
        return node.value
    if isinstance(node, yaml.MappingNode):
        return {key.value: _plain(value) for key, value in node.value}
    return None if node is None else [_plain(item) for item in node.value]


def enter(names: dict[str, str], called: Iterable[str], first: str) -> None:
    """Enter names of a substance, as `spelt` has them, under its first; ValueError where one is another's."""
    for name in called:
        if names.setdefault(spelt(name), first) != first:
            raise ValueError(f"{name} is {names[spelt(name)]} in another row")


@cache
def substance_forms() -> SubstanceForms:
    """Return the forms of substances with their molar masses."""
    table = table_in("substances.yaml")
    forms: list[SubstanceForm] = []
    unclear: dict[str, tuple[str, ...]] = {}
    for family in table["families"]:
        number, element = family["counts"].split()
        for entry in family["forms"]:
            forms.append(
                SubstanceForm(
                    name=entry["name"],
                    also=tuple(entry.get("also", ())),
                    base=family["forms"][0]["name"],
                    formula=entry["formula"],
                    molar_mass=Fraction(entry["molar mass"]),
                    carries=int(entry.get("carries", "1")),
                    counts=(int(number), element),
                )
            )
        unclear |= {spelt(name): tuple(meant) for name, meant in family.get("unclear", {}).items()}
    source = f"{table['document']}; {table['edition']}; {table['section']}"
    return SubstanceForms(forms=tuple(forms), unclear=unclear, document=source)


@dataclass(frozen=True, slots=True, kw_only=True)
class PublishedTable:
    """Where a published table comes from."""

    holds: str
    """What it holds, in a few words."""
    document: str
    """The document."""
    edition: str
    """Its edition."""
    section: str
    """The section of it."""
    taken: str
    """The day it was taken, by ISO 8601."""
    seen: str
    """How it was seen: the document itself, secondary pages, a library."""
    values: tuple[tuple[str, str], ...]
    """Every value as the table has it: what it is, and the value with its unit."""


@cache
def published_tables() -> tuple[PublishedTable, ...]:
    """Return where every published table comes from, by what it holds."""
    found = []
    for file in files(__package__).iterdir():
        if file.name.endswith(".yaml"):
            table = table_in(file.name)
            found.append(
                PublishedTable(
                    holds=table["holds"],
                    document=table["document"],
                    edition=table["edition"],
                    section=table["section"],
                    taken=table["taken"],
                    seen=table["class"],
                    values=tuple(_values(table)),
                )
            )
    return tuple(sorted(found, key=lambda table: table.holds))


def _values(table: Mapping[str, Any]) -> Iterator[tuple[str, str]]:
    """Yield the values of a table: periods, forms, entries of a law, salts, preservatives, the numbers of a formula."""
    for period in table.get("periods", {}).values():
        yield period["words"], ", ".join(period[key] for key in ("period", "place") if key in period)
    for family in table.get("families", ()):
        for form in family["forms"]:
            yield form["name"], f"{form['formula']}, {form['molar mass']} g/mol"
    for contact, share in table.get("above", {}).items():
        yield contact, f"named above {share} %"
    for allergen in table.get("allergens", ()):
        yield allergen["label"], allergen["entry"]
    for row in table.get("rows", ()):
        found = ["prohibited"] if "prohibited" in row else [_most(most) for most in row.get("most", ())]
        found = found or ["none" if "never" in row else "words for a label"]
        yield ", ".join(names[0] for names in row["names"]), f"{row['entry']}: {'; '.join(found)}"
    for row in table.get("salts", ()):
        for alkali, salt in row["with"].items():
            yield f"{row['acid']} with {alkali}", salt
    for row in table.get("preservatives", ()):
        low, high = row["usual"]
        least, most = row["pH"]
        works = f"pH {least} to {most}" if least else f"up to pH {most}"
        pka = f", pKa {row['pKa']}" if "pKa" in row else ""
        yield ", ".join(names[0] for names in row["names"]), f"{low} to {high} %, {works}{pka}"
    for row in table.get("mistaken", ()):
        yield ", ".join(names[0] for names in row["names"]), row["why"]
    for key, row in table.get("kept", {}).items():
        figures = (f"{name} {value}" for name, value in row.items() if name not in ("names", "source"))
        yield key, ", ".join(figures)
    for row in table.get("capsules", ()):
        less = "" if row["least"] == row["mL"] else f"; makers print {row['least']} mL too"
        yield row["size"], f"{row['mL']} mL{less}"
    for row in table.get("heat", ()):
        yield ", ".join(names[0] for names in row["names"]), f"{row['bears']} °C ({row['known']})"
    for kind, term in (("emulsifiers", "HLB"), ("oils", "o/w")):
        for row in table.get(kind, ()):
            yield row["names"][0], f"{'requires ' if kind == 'oils' else ''}HLB {row[term]} ({row['known']})"
    for row in table.get("pairs", ()):
        least = f", from {row['from']} % of the second on" if "from" in row else ""
        yield f"{row['first']} with {row['second']}", f"{row['reason']}{least} ({row['known']})"
    for row in table.get("figures", ()):
        yield row["name"], f"{row['value']} {row['unit']}".strip() + f" ({row['class']})"
    for row in table.get("substances", ()):
        if danger := _danger(row):
            yield row["names"][0], danger
    for row in table.get("solubilities", ()):
        source = table["sources"][row["source"]]["short"]
        yield row["names"][0], f"{_PRINTED[row['as']].format(row['grams'])}, {row['at']} °C ({source})"
    for name, numbers in table.items():
        if _NUMBERS.fullmatch(name):
            yield name, numbers if isinstance(numbers, str) else ", ".join(numbers)


def _danger(row: Mapping[str, Any]) -> str:
    """Return the shares of a dangerous substance in words, and how they are known; empty where it has none."""
    shares = [f"{key} {row[key]} %" for key in ("burns from", "most") if key in row]
    return f"{', '.join(shares)} ({row.get('class', 'common practice')})" if shares else ""


def _most(entry: Mapping[str, Any]) -> str:
    """Return a figure of an entry in words: `0.5 % as benzoic acid, leave-on`."""
    figure = f"pH {entry['pH most']}" if "pH most" in entry else f"{entry['most']} %"
    where = [entry[key] if key == "contact" else ", ".join(entry[key]) for key in _WHERE if key in entry]
    return ", ".join([f"{figure} as {entry['as']}" if "as" in entry else figure, *where])
