"""The one definition of what a book holds: records in the field's own words.

The sentence under each field is the documentation of the key it stands for: the JSON Schemas, the key tables in
`.readme/keys.md`, the remarks in new files and the editor help are made from it.  Records are frozen; sequences are
tuples.  A class derived from `Scalar` is written as one piece of text; `source/` holds its reader.  Nothing here reads
a file or computes.

Numbers are exact (`Fraction`).  Masses are in grams, volumes in millilitres; a share of 1 is the whole, so 5 % is 1/20.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from enum import StrEnum
from itertools import chain
from types import MappingProxyType

from .findings import NOWHERE, Finding, Missing, Place
from .fraction import Fraction
from .swift import swift
from .written import WrittenBlock

Known = Fraction | Missing
"""A figure, or why it is not known."""


class Scalar:
    """Marks a record that is written as one text, such as `5 %` or `12 days`; `source/` has its reader."""

    __slots__ = ()


# ── Closed lists ──────────────────────────────────────────────────────────────────────────────────────────────────


class Kind(StrEnum):
    """What sort of preparation it is."""

    COSMETIC = "cosmetic"
    MEDICINE = "medicine"
    SCENT = "scent"
    HOUSEHOLD = "household"


class Status(StrEnum):
    """How far the formula has come."""

    DRAFT = "draft"
    TRIAL = "trial"
    APPROVED = "approved"
    WITHDRAWN = "withdrawn"


class Removal(StrEnum):
    """How a processing aid is taken out again."""

    FILTERED = "filtered"
    STRAINED = "strained"
    PRESSED_OUT = "pressed out"
    SETTLED = "settled"


class Contact(StrEnum):
    """Whether the product stays or is washed away."""

    LEAVE_ON = "leave-on"
    RINSE_OFF = "rinse-off"


class Site(StrEnum):
    """Where the product is used."""

    FACE = "face"
    EYES = "eyes"
    LIPS = "lips"
    MOUTH = "mouth"
    SCALP = "scalp"
    HAIR = "hair"
    HANDS = "hands"
    NAILS = "nails"
    FEET = "feet"
    BODY = "body"
    BROKEN_SKIN = "broken skin"
    MUCOUS_MEMBRANES = "mucous membranes"
    SWALLOWED = "swallowed"
    RECTAL = "rectal"
    VAGINAL = "vaginal"
    EAR = "ear"
    NOSE = "nose"
    ROOM = "room"
    TEXTILES = "textiles"
    SURFACES = "surfaces"


ROUTES = frozenset({Site.SWALLOWED, Site.RECTAL, Site.VAGINAL, Site.EAR, Site.NOSE})
"""Ways into the body: what takes one is no cosmetic, and a doctor or pharmacist decides on it."""


class Person(StrEnum):
    """Whom the product is for; small children are those under three years, `children` leaves their age open."""

    ADULTS = "adults"
    CHILDREN = "children"
    CHILDREN_OVER_THREE = "children over three"
    SMALL_CHILDREN = "small children"
    PREGNANCY = "pregnancy"


CHILDREN = frozenset({Person.CHILDREN, Person.CHILDREN_OVER_THREE})
"""Children of whom none is said to be under three."""


class PieceForm(StrEnum):
    """What a formula by pieces makes."""

    SUPPOSITORIES = "suppositories"
    CAPSULES = "capsules"
    PASTILLES = "pastilles"
    POWDERS = "powders"
    PIECES = "pieces"

    @property
    def one_piece(self) -> str:
        """Its name for a single one: `suppository`."""
        return _SINGULAR.get(self.value, self.value.removesuffix("s"))

    def of(self, count: int) -> str:
        """Return its name for so many."""
        return self.one_piece if count == 1 else self.value


_SINGULAR = {"suppositories": "suppository"}
FORMS = {form.value: form for form in PieceForm}
"""Name of pieces, of several → what they are."""


class CapsuleSize(StrEnum):
    """Sizes of two-piece hard capsules, the largest first."""

    SIZE_000 = "size 000"
    SIZE_00 = "size 00"
    SIZE_0 = "size 0"
    SIZE_1 = "size 1"
    SIZE_2 = "size 2"
    SIZE_3 = "size 3"
    SIZE_4 = "size 4"
    SIZE_5 = "size 5"


class StoragePlace(StrEnum):
    """Where the finished product is kept."""

    FREEZER = "freezer"
    REFRIGERATOR = "refrigerator"
    COOL = "cool place"
    CUPBOARD = "cupboard"


class Basis(StrEnum):
    """What a percentage relates to."""

    WW = "w/w"
    WV = "w/v"
    VV = "v/v"


class StrengthBasis(StrEnum):
    """What the strength of a solution, a mixture or a stock relates to."""

    WW = "w/w"
    WV = "w/v"
    VV = "v/v"
    VOL = "vol"
    """Ethanol by volume at 20 °C, as its bottle says."""


class Emulsion(StrEnum):
    """Which emulsion is wanted, and that it is to be judged by HLB."""

    OIL_IN_WATER = "o/w by HLB"
    WATER_IN_OIL = "w/o by HLB"


class Judging(StrEnum):
    """Whether the limits of the law for cosmetics are held against cosmetics."""

    COSMETICS = "cosmetics"
    NONE = "none"


class Paper(StrEnum):
    """Format of the binder's sheets."""

    A4 = "A4"
    A5 = "A5"
    LETTER = "Letter"


class Holes(StrEnum):
    """How many holes a sheet is punched with at its inner edge."""

    TWO = "2"
    THREE = "3"
    FOUR = "4"


PAPER_MM: Mapping[Paper, tuple[Fraction, Fraction]] = {
    Paper.A4: (Fraction(210), Fraction(297)),
    Paper.A5: (Fraction(148), Fraction(210)),
    Paper.LETTER: (Fraction(2159, 10), Fraction(2794, 10)),
}
"""Width and height of an upright sheet, mm: A4 and A5 by ISO 216 (T14-07), Letter is 8½ × 11 inches (T14-08)."""

PUNCHED: Mapping[Paper, tuple[Holes, ...]] = {
    Paper.A4: (Holes.TWO, Holes.FOUR),
    Paper.A5: (Holes.TWO,),
    Paper.LETTER: (Holes.THREE, Holes.TWO, Holes.FOUR),
}
"""The holes that fit each paper, the usual number first.

Four stand 80 mm apart and take 240 mm, more than A5 is high (T14-03, T14-04); three are the system of Letter (T14-05).
Which is usual where: common practice, no source.
"""


class DecimalSign(StrEnum):
    """The decimal sign that pages and sheets print; files may use either."""

    POINT = "point"
    COMMA = "comma"


class Solvent(StrEnum):
    """What a material dissolves in."""

    WATER = "water"
    OIL = "oil"
    ETHANOL = "ethanol"


class MaterialKind(StrEnum):
    """How a material looks."""

    LIQUID = "liquid"
    POWDER = "powder"
    CRYSTALS = "crystals"
    WAX = "wax"
    BUTTER = "butter"
    GEL = "gel"
    RESIN = "resin"
    SOLID = "solid"


# ── Amounts: what a line may ask for ──────────────────────────────────────────────────────────────────────────────


@dataclass(frozen=True, slots=True, kw_only=True)
class Number(Scalar):
    """An exact number together with the digits its writer wrote."""

    value: Fraction
    """The number."""
    text: str
    """As written, without the unit: `1.10` keeps its three digits."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Quantity(Scalar):
    """A mass or a volume; of what is made in pieces also their number."""

    value: Fraction
    """In `unit`."""
    unit: str
    """`g` for every mass, `mL` for every volume; the name of pieces, `capsules`, even of one."""
    text: str
    """As written, tidied: `250 g`, `0.2 L`, `1 capsule`."""

    @property
    def form(self) -> PieceForm | None:
        """What it counts; None for a mass or a volume."""
        return FORMS.get(self.unit)


@dataclass(frozen=True, slots=True, kw_only=True)
class Percent(Scalar):
    """`5 %`, `0.1 % w/v`, `0.4 % as lactic acid`, `60 % of 70 %vol`, `1 in 2000`, `1 + 39`."""

    share: Fraction
    """1 is the whole."""
    basis: Basis | None = None
    """What it relates to, where that is written; bare means by weight."""
    substance: str | None = None
    """The active substance that the figure counts, after `as`."""
    alcohol: Fraction | None = None
    """Ethanol wanted, share by volume at 20 °C, after `of`: the line is so much diluted ethanol."""
    text: str
    """As written, tidied."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Strength:
    """`96 %vol`, `40 % w/w`, `1 in 2000 w/v`, `1 + 39`, `50 ppm`, `water`: how strong something is, at the bench."""

    share: Fraction
    """1 is the whole, 0 plain water; for w/v the grams in 1 mL."""
    basis: StrengthBasis | None = None
    """What it relates to, where that is written; bare means by weight."""
    text: str
    """As written, tidied: `96 %vol`."""
    figure: str = field(default="", compare=False)
    """The same without what it relates to: `96 %`."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Mass:
    """`5 g`, `200 mg`, `1 g as lactic acid`, `60 g of 70 %vol`, `250 mg each`."""

    grams: Fraction
    """Grams, above 0; for one piece where it says `each`."""
    each: bool = False
    """True where it is the amount for one piece of a formula by pieces."""
    substance: str | None = None
    """The active substance that the figure counts, after `as`."""
    alcohol: Fraction | None = None
    """Ethanol wanted, share by volume at 20 °C, after `of`: the line is so much diluted ethanol."""
    text: str
    """As written, tidied."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Volume:
    """`2 mL`, `100 mL of 70 %vol`."""

    ml: Fraction
    """Millilitres, above 0."""
    alcohol: Fraction | None = None
    """Ethanol wanted, share by volume at 20 °C, after `of`: the line is so much diluted ethanol."""
    text: str
    """As written, tidied."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Drops:
    """`6 drops`, `6 drops of pipette`, `2 drops (0.05 g)`."""

    count: Fraction
    """Whole, above 0."""
    dropper: str | None = None
    """The dropper's name, where written; otherwise the first that the material lists."""
    grams: Fraction | None = None
    """The weight of all of them, where it is fixed in the formula."""
    text: str
    """As written, tidied."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Parts:
    """`3 parts`."""

    parts: Fraction
    """Above 0."""
    text: str
    """As written, tidied."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Fill:
    """`to 100 g`, `to 1000 mL`, `q.s.`, `to 100 %`, `to 100 g of 70 %vol`, `to 300 mg each`: the ingredient made up to
    the total."""

    to: Quantity | None = None
    """What it is made up to; None for a bare q.s. and for `to 100 %`, which mean what the formula makes."""
    each: bool = False
    """True where each piece is made up to it."""
    alcohol: Fraction | None = None
    """Ethanol wanted, share by volume at 20 °C, after `of`: the line is so much diluted ethanol."""
    text: str
    """As written, tidied."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Adjust:
    """`q.s. to pH 4.8 (about 1.6 g)`: as much as a result needs; not a fill."""

    result: str
    """What is to be reached: a pH, a colour, a scent."""
    about: Mass | Volume | Drops | Percent | None = None
    """The amount usually needed; when None, the amount and what depends on it are not known."""
    text: str
    """As written, tidied."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Superfat:
    """`q.s. for 5 % superfat`: so much lye that it turns all fat into soap but for this share; not a fill."""

    share: Fraction
    """Share of what the fats take up that is left to them, above 0 and below 1."""
    text: str
    """As written, tidied."""


Amount = Percent | Mass | Volume | Drops | Parts | Fill | Adjust | Superfat


@dataclass(frozen=True, slots=True, kw_only=True)
class Left(Scalar):
    """What of an ingredient stays in the finished product: `0.05 % v/v`, `at most 0.05 % v/v`."""

    percent: Percent
    """Share of the finished product."""
    at_most: bool = False
    """True for an upper limit; it is judged as that much."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Evaporates(Scalar):
    """What of an ingredient boils or dries away: `20 g`, `25 %`."""

    grams: Fraction | None = None
    """Grams for the amount that the formula makes; None where written as a share."""
    share: Fraction | None = None
    """Share of the line; None where written in grams."""
    text: str
    """As written, tidied."""


# ── A formula ─────────────────────────────────────────────────────────────────────────────────────────────────────


@dataclass(frozen=True, slots=True, kw_only=True)
class Departs:
    """How a line of a trial departs from its base: `out`, or `instead of W-01`."""

    instead_of: str = ""
    """The base's line in whose place it stands; empty for `out`."""
    keeps_amount: bool = False
    """True when it takes that line's amount, as none is written."""


@swift
@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """One ingredient of a formula, in one phase."""

    material: str
    """The material's file name or a formula's code, as written."""
    amount: Amount | Missing
    """How much: `%`, a mass, a volume, drops, parts, `to …`, `q.s.`; of ethanol also `60 g of 70 %vol`, of lye
    `q.s. for 5 % superfat`."""
    function: str = ""
    """What it does in the formula, such as humectant; `preservative` and `filter aid` count, whole between commas."""
    removed: Removal | None = None
    """How it is taken out again: filtered, strained, pressed out or settled; its cautions go with the product all the
    same, unless its function is `filter aid`."""
    left: Left | None = None
    """What stays in the product once the excess is taken off: `at most 0.05 % v/v`."""
    evaporates: Evaporates | None = None
    """What boils or dries away: grams for the amount the formula makes, or % of the line."""
    made_up: bool = False
    """`yes`: what evaporates is replaced, so the weights are as if nothing were lost."""
    added: bool = False
    """`yes`: so much more is weighed that the written amount is left after the loss."""
    error: Percent | None = None
    """The accepted error of this line, when it differs from the workroom's."""
    because: str = ""
    """Why it stands beyond a limit, or with what it may burn or burst, all the same: the error is then a query, and the
    reason is printed."""
    note: str = ""
    """A remark printed below the line."""
    departs: Departs | None = None
    """What it does to a line of the base, as a trial's own file says; None on all lines of a whole formula."""
    place: Place = field(default=NOWHERE, compare=False)
    """Where the line is written (its name)."""
    amount_place: Place = field(default=NOWHERE, compare=False)
    """Where its amount is written."""
    places: Mapping[str, Place] = field(default_factory=lambda: _NO_PLACES, compare=False)
    """Key of the long form → where its value stands; empty in the short form."""


_NO_PLACES: Mapping[str, Place] = MappingProxyType({})
"""Where the keys of a line in short form stand; the same for all of them."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Phase:
    """Ingredients prepared together before they are combined."""

    letter: str = ""
    """A, B, C …; empty in a formula without phases."""
    instruction: str = ""
    """What is done with the phase: `warm to 40 °C`."""
    temperature_c: Fraction | None = None
    """The temperature in the instruction, in degrees Celsius."""
    lines: tuple[Line, ...] = ()
    """Its ingredients, in order."""
    place: Place = field(default=NOWHERE, compare=False)
    """Where the phase is written."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Makes(Scalar):
    """What the written amounts make up: `100 g`, `1000 mL`, `about 1000 g`, `12 suppositories`."""

    quantity: Quantity
    """The written figure; of a formula by pieces their number, the unit being their name."""
    form: PieceForm | None = None
    """What the pieces are; None where it makes no pieces."""
    about: bool = False
    """True when the figure is rounded and the sum counts."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Mould(Scalar):
    """`2.04 g of cocoa-butter`: what one mould takes of a base alone."""

    grams: Fraction
    """Grams of the base that fill it."""
    base: str
    """The base, by the name of its file or another of its names."""
    text: str
    """As written, tidied."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Displaces(Scalar):
    """`0.67 g of hard-fat per g`, or `1.5 g per g of hard-fat`: how much of a base it takes the place of."""

    grams: Fraction
    """Grams of the base that 1 g takes the place of."""
    base: str
    """The base, by the name of its file or another of its names."""
    text: str
    """As written, tidied."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Dose(Scalar):
    """`5 mL`, `1 g`, `20 drops (0.52 g)`, `2 capsules`: one dose of the finished product."""

    grams: Fraction | None = None
    """Grams, of drops what all of them weigh; None where neither is written."""
    ml: Fraction | None = None
    """Millilitres; None where it is no volume."""
    drops: int = 0
    """How many drops; 0 where it is not counted in them."""
    pieces: int = 0
    """How many pieces; 0 where it is not counted in them."""
    form: PieceForm | None = None
    """What the pieces are."""
    text: str
    """As written, tidied."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Saponification(Scalar):
    """`188 to 194 mg KOH/g`: how much alkali a fat takes up when it turns into soap."""

    low: Fraction
    """Milligrams of potassium hydroxide for 1 g of the fat, from 0 on; of a range its low end."""
    high: Fraction
    """The same; of a range its high end, else as `low`."""
    text: str
    """As written, tidied."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Density(Scalar):
    """`0.95`, `0.95 g/mL`, `1.26 g/mL at 20 °C`, or a specific gravity: `1.036 at 25/25 °C`."""

    number: Fraction
    """As written, above 0: grams per millilitre, or times the density of water; `reckon.densities` gives g/mL."""
    at_c: Fraction | None = None
    """Degrees Celsius of the liquid, where given."""
    relative_to_c: Fraction | None = None
    """Degrees Celsius of the water that a specific gravity compares with; None for grams per millilitre."""
    text: str
    """As written, tidied."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Use(Scalar):
    """How, where and by whom the product is used: `leave-on, face, adults`, or `intermediate`."""

    contact: Contact | None = None
    """Leave-on or rinse-off."""
    sites: tuple[Site, ...] = ()
    """Where it is used."""
    persons: tuple[Person, ...] = ()
    """Whom it is for."""
    intermediate: bool = False
    """True for a formula that is only an ingredient of others: no label, no limits, not handed out."""
    text: str = ""
    """As written, tidied."""


@dataclass(frozen=True, slots=True, kw_only=True)
class AcidityRange(Scalar):
    """`4.6 to 5.0`, or one value."""

    low: Number
    """Lowest pH, 0 to 14."""
    high: Number
    """Highest pH, 0 to 14."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Period(Scalar):
    """`14 days`, `2 weeks`, `6 months`, `1 year`."""

    days: int = 0
    """Whole days; 0 when written in months or years."""
    months: int = 0
    """Whole calendar months; 0 when written in days or weeks."""
    text: str
    """As written, tidied."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Storage:
    """Where the product is kept, in what, and how long."""

    place: StoragePlace | None = None
    """freezer, refrigerator, cool place or cupboard."""
    container: str = ""
    """Container and closure, such as amber glass."""
    period: Period | None = None
    """The assigned period: how long the author gives it."""
    because: str = ""
    """Why it may be longer than the rule: a test, a source."""
    at: Place = field(default=NOWHERE, compare=False)
    """Where the storage is written."""


class Preserver(StrEnum):
    """What keeps water from spoiling."""

    PRESERVATIVE = "preservative"
    ALCOHOL = "alcohol"
    SUGAR = "sugar"
    GLYCEROL = "glycerol"
    GLYCOL = "glycol"
    SALT = "salt"
    ACID = "acid"
    ALKALI = "alkali"
    LITTLE_WATER = "little water"


@dataclass(frozen=True, slots=True, kw_only=True)
class Preserved:
    """What keeps the product from spoiling, by the word of whoever wrote it."""

    what: tuple[Preserver, ...] = ()
    """preservative, alcohol, sugar, glycerol, glycol, salt, acid, alkali or little water."""
    because: str = ""
    """How that is known: a test, a source.  Without it nothing is changed."""
    at: Place = field(default=NOWHERE, compare=False)
    """Where it is written."""

    @property
    def is_reasoned(self) -> bool:
        """Whether it says what keeps it and how that is known, so that it answers."""
        return bool(self.what and self.because)


@dataclass(frozen=True, slots=True, kw_only=True)
class FormulaIssue(Scalar):
    """`S-02, issue 3`: which formula was followed, and in which state."""

    code: str
    """The formula's code, as written."""
    issue: int
    """The issue, 1 or more."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """One entry of the change log."""

    issue: int
    """The issue that it led to, 1 or more."""
    on: str
    """The date of that issue as written: a day, a month (`2004-05`) or a year; empty where none is written."""
    text: str
    """What changed."""
    place: Place = field(default=NOWHERE, compare=False)
    """Where it is written."""


# ── The body of a file ────────────────────────────────────────────────────────────────────────────────────────────


METHOD = "method"
"""The heading of the method, in any case of letters."""


@swift
@dataclass(frozen=True, slots=True, kw_only=True)
class AmountLink:
    """`[words](amount:…)` in the body: prints a computed quantity beside the words."""

    material: str = ""
    """The line's name as written; empty for the sum of a phase."""
    phase: str = ""
    """The phase after `@`; empty when not written."""
    portion: Fraction | None = None
    """The portion after `*`; None for all of it."""
    rest: bool = False
    """`*rest`: what earlier portions left."""
    words: str = ""
    """The linked words."""
    step: int | None = None
    """Which step of the method it stands in, from 0: an item of a list, or a block outside any; None elsewhere."""
    place: Place = field(default=NOWHERE, compare=False)
    """Where the link is written."""


@dataclass(frozen=True, slots=True, kw_only=True)
class TimeLink:
    """`[words](time:5min)` in the body: a duration."""

    seconds: int
    """The duration, above 0."""
    words: str = ""
    """The linked words."""
    place: Place = field(default=NOWHERE, compare=False)
    """Where the link is written."""


@dataclass(frozen=True, slots=True, kw_only=True)
class TypedQuantity:
    """A mass, volume, percentage or drop count typed as words beside an ingredient's name."""

    quantity: Quantity | Percent | Drops
    """What was typed."""
    material: str
    """The ingredient line's name that stands beside it, as the line writes it."""
    place: Place = field(default=NOWHERE, compare=False)
    """Where it is typed."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Section:
    """One part of the body under a heading of level 2 (or the text before the first)."""

    title: str = ""
    """The heading's words; empty before the first heading."""
    blocks: tuple[WrittenBlock, ...] = ()
    """Its content; links are checked, images relative."""
    place: Place = field(default=NOWHERE, compare=False)
    """Where the section starts."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Body:
    """The Markdown below the front matter."""

    sections: tuple[Section, ...] = ()
    """In order."""
    amounts: tuple[AmountLink, ...] = ()
    """Every amount link, in the order of reading."""
    times: tuple[TimeLink, ...] = ()
    """Every time link, in the order of reading."""
    typed: tuple[TypedQuantity, ...] = ()
    """Every quantity typed beside an ingredient's name."""
    page_links: Mapping[str, str] = field(default_factory=dict)
    """Relative link as written → key of the formula or material it leads to (see `Book.find`)."""
    images: Mapping[str, str] = field(default_factory=dict)
    """Relative image address as written → file's path relative to the book's folder."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Formula:
    """One preparation: a Markdown file with a code.

    Fields up to `changes` are keys of the front matter; the rest is where it comes from.
    """

    code: str
    """Short unique code: ASCII letters, digits and hyphens, at most 40, such as S-02."""
    title: str
    """The name of the preparation."""
    kind: Kind | None = None
    """cosmetic, medicine, scent or household."""
    status: Status = Status.DRAFT
    """draft, trial, approved or withdrawn; draft when not written."""
    issue: int = 1
    """Number of this state of the formula, raised when what is printed changes."""
    based_on: str = ""
    """Of a trial, the code of the formula it tries a change of, `S-02`, or an issue of it, `S-02@3`: only the lines
    that differ are written, and all else is that formula's."""
    kept_as: FormulaIssue | None = None
    """Of a trial that was kept, the issue it became, `S-02, issue 4`; `bookgen keep` writes it."""
    use: Use | None = None
    """How, where and by whom it is used: `leave-on, face, adults`; or `intermediate`."""
    purpose: str = ""
    """What it is for, such as after-shave, cooling."""
    makes: Makes | None = None
    """What the written amounts make up: `100 g`, `1000 mL`, `about 1000 g`, `12 suppositories` (also capsules,
    pastilles, powders, pieces)."""
    mould: Mould | None = None
    """What one mould takes of the base alone, `2.04 g of cocoa-butter`; the base's line is then `q.s.`, and what else
    goes in takes its place by `displaces:` of its material."""
    capsule: CapsuleSize | None = None
    """Size of the hard capsules, `size 000` to `size 5`: what each holds has to fit by the `tapped density:` of the
    materials, and a line `q.s.` fills it up."""
    dose: Dose | None = None
    """What one dose is, `5 mL`, `1 g`, `20 drops (0.52 g)`, `2 capsules`: pages, sheets and labels tell what it holds
    of each active, and never how much to take."""
    part: Quantity | None = None
    """The weight of one part, when parts are weights: `6 g`."""
    density: Density | None = None
    """Density of the finished product, `0.95 g/mL at 20 °C`."""
    tapped_density: Density | None = None
    """Of a powder that goes into capsules of another formula, tapped down until it sinks no more: `0.8 g/mL`."""
    ingredients: tuple[Phase, ...] = ()
    """The lines, by phase."""
    yield_: Percent | None = None
    """Weight that comes out ÷ weight that went in, `95 %`: what stays in the vessel or the filter is lost."""
    ph: AcidityRange | None = None
    """Expected pH: a range or one value."""
    appearance: str = ""
    """What the finished product looks like."""
    equipment: tuple[str, ...] = ()
    """What is needed to make it."""
    container: str = ""
    """What it is filled into."""
    container_price: Price | None = None
    """What one container costs, `0.85 EUR`: part of what `bookgen cost` tells."""
    hazards: tuple[str, ...] = ()
    """Dangers in making it, one sentence each."""
    cautions: tuple[str, ...] = ()
    """Cautions for use, one sentence each."""
    storage: Storage | None = None
    """`place, container, period` in short, or these keys and `because`."""
    preserved_by: Preserved | None = None
    """What keeps it from spoiling where that cannot be reckoned, `{what: sugar, because: …}`: the error is then a query
    and the reason is printed."""
    emulsion: Emulsion | None = None
    """`o/w by HLB` or `w/o by HLB`: asks what the oils require and what the nonionic emulsifiers offer, as a starting
    point."""
    water_enters_in_use: bool = False
    """`yes`: wet fingers or a wet brush go in, so that too little water does not keep it."""
    label: tuple[LabelName, ...] = ()
    """Names on a label in place of those of its materials: one, or several with shares, `Sodium Olivate: 70 %`."""
    source: tuple[str, ...] = ()
    """Where the formula comes from."""
    formerly: tuple[str, ...] = ()
    """Codes that it had before: what still calls it so finds it."""
    changes: tuple[Change, ...] = ()
    """The change log: `issue, date: what changed`, newest first; of an old date the month or the year will do."""

    chapter: str = ""
    """The folder it lies in, relative to `formulas/`; empty at the top."""
    path: str = ""
    """The file, relative to the book's folder."""
    body: Body = Body()
    """The Markdown below the front matter."""
    places: Mapping[str, Place] = field(default_factory=dict, compare=False)
    """Key of the front matter as written → where its value stands."""
    readable: bool = True
    """False when the front matter could not be read to its end; the formula is then barred and nothing is judged."""
    unread: tuple[str, ...] = ()
    """Keys whose value could not be read and is reported; the field has its default, and what rests on it is not
    judged."""

    @property
    def in_pieces(self) -> bool:
        """True when it makes so many pieces."""
        return self.makes is not None and self.makes.form is not None

    @property
    def sites(self) -> frozenset[Site]:
        """Where it is used; empty where that is not written."""
        return frozenset() if self.use is None else frozenset(self.use.sites)

    @property
    def lines(self) -> tuple[Line, ...]:
        """All lines, in order."""
        return tuple(chain.from_iterable(phase.lines for phase in self.ingredients))


# ── A material ────────────────────────────────────────────────────────────────────────────────────────────────────


@dataclass(frozen=True, slots=True, kw_only=True)
class LabelName(Scalar):
    """A name on the list of ingredients, with its share of the material where several make it up."""

    name: str
    """The label name."""
    share: Fraction | None = None
    """Share of the material or of the formula; None when it is the only one."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Content(Scalar):
    """How much of one substance a material carries: `80 %`, `20 to 35 %`, `98.4 % of dried`, for ethanol also `96
    %vol`."""

    substance: str
    """The substance's name."""
    share: Fraction
    """Share by weight, of a range its high end; by volume at 20 °C where `by_volume` says so."""
    low: Fraction | None = None
    """The low end of a range, from 0 on; None for one figure."""
    by_volume: bool = False
    """True for ethanol given by volume; `reckon.strengths` gives its share by weight."""
    of_dried: bool = False
    """True when the share is of the dried material; `drying:` then gives the loss."""
    text: str
    """As written, tidied."""


ETHANOL = frozenset({"ethanol", "alcohol", "ethyl alcohol", "alkohol", "ethylalkohol", "weingeist"})
"""Names under which `contains:` lists ethanol, the one substance whose strength by volume is a legal measure."""


@dataclass(frozen=True, slots=True, kw_only=True)
class RequiredHlb:
    """The HLB that an oil requires of its emulsifiers."""

    oil_in_water: Fraction | None = None
    """For an emulsion of oil in water, from above 0 to 20."""
    water_in_oil: Fraction | None = None
    """For an emulsion of water in oil, from above 0 to 20."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Incompatible(Scalar):
    """What a material does not go together with."""

    name: str
    """A material, a substance, or a group of the table of incompatible pairs, as written."""
    because: str = ""
    """What happens: `thickens to lumps`."""


@dataclass(frozen=True, slots=True, kw_only=True)
class DropperWeighing(Scalar):
    """`20 drops 0.52 g`: one weighing of counted drops."""

    drops: int
    """How many drops, above 0."""
    grams: Fraction
    """What they weighed together, above 0."""
    digit_g: Fraction = field(default=Fraction(0), compare=False)
    """Grams that one unit of the last digit written stands for; 0 where nothing is written."""


@dataclass(frozen=True, slots=True, kw_only=True)
class DropperLine:
    """What one drop of the material weighs from one dropper."""

    dropper: str
    """The dropper's name."""
    stated_g: Fraction | None = None
    """Grams per drop, stated."""
    low_g: Fraction | None = None
    """Lowest grams per drop, where a range is stated."""
    high_g: Fraction | None = None
    """Highest grams per drop, where a range is stated."""
    weighings: tuple[DropperWeighing, ...] = ()
    """Weighings it is calibrated from; empty when stated."""
    text: str = ""
    """As written, tidied."""
    place: Place = field(default=NOWHERE, compare=False)
    """Where it is written."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Solubility(Scalar):
    """`36 g`, `36 g at 25 °C`, `30 to 36 g`: grams of a material that 100 g of a solvent dissolve."""

    low: Fraction
    """Grams, 0 or more; of a range its low end."""
    high: Fraction
    """Grams; of a range its high end, else as `low`."""
    at_c: Fraction | None = None
    """Degrees Celsius, where given; without them room temperature."""
    text: str
    """As written, tidied."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Dissolves:
    """How much of a material dissolves in 100 g of each solvent."""

    water: Solubility | None = None
    """Grams that 100 g of water dissolve: `36 g`, `36 g at 25 °C`, `30 to 36 g`; `0 g` for nothing to speak of."""
    oil: Solubility | None = None
    """Grams that 100 g of oil dissolve."""
    ethanol: Solubility | None = None
    """Grams that 100 g of ethanol dissolve."""

    def in_100_g(self, solvent: Solvent) -> Solubility | None:
        """Return how much 100 g of a solvent dissolve; None where that is not written."""
        return {Solvent.WATER: self.water, Solvent.OIL: self.oil, Solvent.ETHANOL: self.ethanol}[solvent]


@dataclass(frozen=True, slots=True, kw_only=True)
class Day(Scalar):
    """`2026-11-29`; of an expiry also the month, `2028-03`, which runs to its last day."""

    on: date
    """The day; of a month its last one."""
    text: str
    """As written."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Price(Scalar):
    """`7.20 EUR/kg`, `3.10 EUR per 100 mL`; `12 EUR` for all of a lot."""

    number: Fraction
    """How much money, above 0."""
    currency: str
    """As written: `EUR`, `€`."""
    per: Quantity | None = None
    """What it is paid for; None where it is paid for all of the lot."""
    text: str
    """As written, tidied."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LotCount(Scalar):
    """`640 g on 2026-11-01`: what was there when it was weighed or counted again."""

    quantity: Quantity | None
    """Mass or volume; None for nothing, `0 g`."""
    day: Day
    """The day, at whose end so much was there."""
    place: Place = field(default=NOWHERE, compare=False)
    """Where it is written."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Lot:
    """What came of one material in one delivery, as its jar says."""

    received: Day | None = None
    """The day it came."""
    amount: Quantity | None = None
    """How much came: `1 kg`."""
    expires: Day | None = None
    """Its expiry: a day, or a month, `2028-03`, which runs to its last day."""
    retest: Day | None = None
    """When it is to be tested again, which is no expiry: a day or a month."""
    opened: Day | None = None
    """The day it was opened."""
    good_after_opening: Period | None = None
    """How long it is good from that day: `12 months`."""
    content: tuple[Content, ...] = ()
    """What this lot really carries, as its certificate says: `86.1 %`, or `substance: %` where the material lists
    several."""
    price: Price | None = None
    """What it cost: `7.20 EUR/kg`, or `12 EUR` for all of it."""
    supplier: str = ""
    """Who sold it."""
    counted: tuple[LotCount, ...] = ()
    """What was there when it was counted again: `640 g on 2026-11-01`, or a list of these."""
    used_up: Day | None = None
    """The day on which the last of it was used."""
    discarded: Day | None = None
    """The day on which what was left of it was thrown away."""
    note: str = ""
    """A remark on this lot."""

    key: str = ""
    """Its code, as on the jar."""
    at: Place = field(default=NOWHERE, compare=False)
    """Where its code is written."""
    places: Mapping[str, Place] = field(default_factory=dict, compare=False)
    """Key as written → where its value stands."""
    unread: tuple[str, ...] = ()
    """Keys whose value could not be read and is reported; what rests on it is not judged."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Material:
    """One raw material: a Markdown file.  What is unknown stays unknown.

    Fields up to `lots` are keys of the front matter; the rest is where it comes from.
    """

    name: str
    """The material's name."""
    also: tuple[str, ...] = ()
    """Synonyms, for searching and for "did you mean"."""
    formerly: tuple[str, ...] = ()
    """Names that its file had before: what still calls it so finds it."""
    label: tuple[LabelName, ...] = ()
    """Label name, or `name: share` for each when several make it up."""
    known_as: tuple[str, ...] = ()
    """The substance that it is, by a name of the tables of limits, dangers and solubilities, where its other names
    do not tell;
    `nothing listed` ends the question."""
    pka: tuple[Number, ...] = ()
    """pKa of the weak acid that it is or is a salt of, in place of that of the table: `4.2`; of an acid of several
    steps all, as `3.13, 4.76, 6.40`."""
    function: str = ""
    """What it usually does, such as humectant."""
    density: Density | None = None
    """`1.26 g/mL at 20 °C`, or a specific gravity, `1.036 at 25/25 °C`."""
    tapped_density: Density | None = None
    """Of a powder, once it is tapped down until it sinks no more, `0.8 g/mL`: by it capsules are filled."""
    contains: tuple[Content, ...] = ()
    """`substance: %` of what it carries, a range as `20 to 35 %`, ethanol also as `96 %vol`; a material that lists its
    parts holds these and nothing else."""
    drying: Percent | None = None
    """Loss on drying, for contents given of the dried material."""
    water: Percent | None = None
    """Free water it brings, 0 to 100 %."""
    saponification: Saponification | None = None
    """How much alkali it takes up when lye turns it into soap, the range that its kind has: `188 to 194 mg KOH/g`; `0
    mg KOH/g` for what takes up none."""
    displaces: tuple[Displaces, ...] = ()
    """How much of a suppository base it takes the place of: `0.67 g of hard-fat per g`, or the other way round, `1.5 g
    per g of hard-fat`; a list for several bases."""
    drops: tuple[DropperLine, ...] = ()
    """`dropper: 0.025 g`, `dropper: 0.025 g (0.020 to 0.030 g)`, or a list of weighings `20 drops 0.52 g`."""
    soluble: tuple[Solvent, ...] = ()
    """water, oil, ethanol."""
    dissolves: Dissolves | None = None
    """Grams that dissolve in 100 g of water, oil or ethanol at room temperature: `{water: 36 g, ethanol: 0.1 g}`."""
    bears_c: Fraction | None = None
    """The hottest it may become in the making: `40 °C`; judged by the temperature of the phase that it goes into."""
    incompatible_with: tuple[Incompatible, ...] = ()
    """What it does not go together with, by whole names of materials or substances: a list, each with what happens if
    you like: `borax: thickens to lumps`."""
    hlb: Fraction | None = None
    """HLB of a nonionic emulsifier, up to 20."""
    required_hlb: RequiredHlb | None = None
    """The HLB that an oil requires, `7` for oil in water, or `{o/w: 7, w/o: 4}`."""
    kind: MaterialKind | None = None
    """liquid, powder, crystals, wax, butter, gel, resin or solid."""
    hazards: tuple[str, ...] = ()
    """Dangers in handling it, one sentence each, or `none known`; printed before the method of every formula that uses
    it."""
    cautions: tuple[str, ...] = ()
    """Cautions for the user of a product that holds it, one sentence each."""
    disposal: str = ""
    """How what is left of it is thrown away, one sentence: `bookgen shelf` tells it of a lot that is past its date."""
    source: tuple[str, ...] = ()
    """Where its figures come from."""
    issued: str = ""
    """The day since which it stands as it is written, `2026-03-02`; the foot of its sheet prints the newest of those
    on it, once each has one."""
    lots: tuple[Lot, ...] = ()
    """What came of it, one lot each by its code: `GL-2211: {received: 2026-01-10, amount: 1 kg, expires: 2028-03}`; a
    code that looks like a number or a date in quotes."""

    key: str = ""
    """File name without ending: what formulas call it."""
    path: str = ""
    """The file, relative to the book's folder."""
    body: Body = Body()
    """The Markdown below the front matter."""
    places: Mapping[str, Place] = field(default_factory=dict, compare=False)
    """Key of the front matter as written → where its value stands."""
    readable: bool = True
    """False when the front matter could not be read to its end; formulas that use it are then barred."""
    unread: tuple[str, ...] = ()
    """Keys whose value could not be read and is reported; the field has its default, and what rests on it is not
    judged."""

    @property
    def is_bare(self) -> bool:
        """True where its file says nothing of it but its name and synonyms."""
        said = (self.label, self.known_as, self.pka, self.function, self.density, self.contains, self.drying,
                self.water, self.drops, self.soluble, self.dissolves, self.bears_c, self.incompatible_with, self.hlb,
                self.required_hlb, self.kind, self.saponification,
                self.hazards, self.cautions, self.source)  # fmt: skip
        return (
            not any(value not in (None, (), "") for value in said) and not self.unread and "hazards" not in self.places
        )


# ── The workroom ──────────────────────────────────────────────────────────────────────────────────────────────────


@dataclass(frozen=True, slots=True, kw_only=True)
class Balance:
    """One balance."""

    name: str
    """What the keeper calls it."""
    readability_g: Fraction
    """Its smallest step, such as 0.01 g."""
    capacity_g: Fraction | None = None
    """The most it holds, net of the vessel; no limit when not stated."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LabelSheet:
    """A sheet of labels: rows and columns of fields of one size."""

    paper: Paper = Paper.A4
    """Format of the sheet: A4, A5 or Letter; A4 when not written."""
    across: int
    """How many labels stand side by side."""
    down: int
    """How many stand below each other."""
    width_mm: Fraction
    """Width of a label: `63.5 mm`."""
    height_mm: Fraction
    """Height of a label: `33.9 mm`."""
    left_mm: Fraction
    """From the left edge of the paper to the first label."""
    top_mm: Fraction
    """From the upper edge of the paper to the first label."""
    gap_mm: Fraction = Fraction(0)
    """Between two labels side by side; none when not written."""
    gap_down_mm: Fraction = Fraction(0)
    """Between two labels below each other (key `gap down`); none when not written."""


@dataclass(frozen=True, slots=True, kw_only=True)
class KeeperPeriods:
    """The keeper's own longest periods, by kind of preparation."""

    water: Period | None = None
    """Unpreserved water: only shorter than the rule."""
    water_preserved: Period | None = None
    """Preserved water (key `water preserved`)."""
    no_water: Period | None = None
    """Preparations without water (key `no water`)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Workroom:
    """The keeper's balances, droppers and habits: `formulas/workroom.yaml`."""

    title: str = "Formula book"
    """Title of the book."""
    keeper: str = ""
    """Who keeps it."""
    language: str = "en"
    """Language of the book, a code such as en or de-CH: in a German book the program speaks German too."""
    decimal: DecimalSign = DecimalSign.POINT
    """Decimal sign printed: point or comma."""
    balances: tuple[Balance, ...] = ()
    """`{name, readability, capacity}` of each balance."""
    droppers: tuple[str, ...] = ()
    """Names of the droppers."""
    periods: KeeperPeriods = KeeperPeriods()
    """The keeper's own longest periods."""
    accepted_error: Percent = Percent(share=Fraction(1, 20), text="5 %")  # T13-10: accepted for most formulas
    """Accepted error of a measured amount; 5 % when not written."""
    limits: Judging = Judging.COSMETICS
    """Limits of the law that cosmetics are judged by: `cosmetics`, or `none`, and then every page says so."""
    paper: Paper = Paper.A4
    """Format of the binder's sheets: A4, A5 or Letter; A4 when not written."""
    holes: Holes | None = None
    """How many holes the sheets get: 2, 3 (Letter) or 4 (A4, Letter); 2, on Letter 3, when not written."""
    punch_marks: bool = False
    """`yes`: faint crosses on the sheets show where the holes go; no when not written."""
    duplex: bool = True
    """`yes`: sheets are printed on both sides and a formula starts on a right-hand page."""
    chapters: tuple[str, ...] = ()
    """Folder names in the order of the contents; the others follow by name."""
    label_sheet: LabelSheet | None = None
    """The sheet that labels are printed on: `{across, down, width, height, left, top, gap}`, lengths in mm."""
    responsible: str = ""
    """Name and address of who is responsible for what is handed on, for its label."""
    path: str = "formulas/workroom.yaml"
    """The file, relative to the book's folder."""
    places: Mapping[str, Place] = field(default_factory=dict, compare=False)
    """Key as written → where its value stands."""


# ── What is in the binder ─────────────────────────────────────────────────────────────────────────────────────────


@dataclass(frozen=True, slots=True, kw_only=True)
class FiledLeaf:
    """One leaf that stands in the binder, as it was printed."""

    code: str
    """Its code."""
    title: str
    """Its title."""
    chapter: str = ""
    """The chapter it stands in; empty for front matter."""
    issue: str = ""
    """Number of the issue; empty for what has none: front matter, dividers, materials."""
    issued: str = ""
    """Date of the issue, where the change log told it."""
    sheets: int
    """Pieces of paper, 1 or more."""
    content: str
    """Digest of what is printed on it, 16 letters; the first six are the check code in its foot."""
    look: str
    """Digest of how it is printed, 16 letters."""
    figures: str = ""
    """Digest of the figures printed on it, 8 letters; empty for what has none to print."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Filed:
    """What is in the binder: `formulas/filed.yaml`, and the list that travels in a printed binder."""

    on: str = ""
    """The day on which it was last filed, year-month-day; empty while nothing is."""
    against: str = ""
    """Digest of the state that a list of changes starts from; empty for a whole binder, and in the book."""
    looks: Mapping[str, str] = field(default_factory=dict)
    """Digest of a look → the look in words."""
    leaves: tuple[FiledLeaf, ...] = ()
    """The leaves, in the order of the binder."""
    readable: bool = True
    """False when the record could not be read, or not all of it: nothing is then compared with it."""
    path: str = "formulas/filed.yaml"
    """The file, relative to the book's folder."""


# ── One batch ─────────────────────────────────────────────────────────────────────────────────────────────────────


@dataclass(frozen=True, slots=True, kw_only=True)
class Supply(Scalar):
    """What there is of one material or intermediate: `40 g of W-01`."""

    material: str
    """Its name as written."""
    quantity: Quantity
    """Mass or volume, above 0."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Obtain(Scalar):
    """What must come out of one batch: `250 g`, `12 x 50 mL + 5 %`, `40 g of W-01 and 12 g of glycerol-85`, `twice`, of
    a formula by pieces `24` or `12 + 2`."""

    quantity: Quantity | None = None
    """Mass or volume; for containers their whole content and the surplus, for supplies the amount of the first; None
    when it is written as so many times the batch."""
    times: Fraction | None = None
    """How many times the batch as written; None when not written so."""
    pieces: int = 0
    """How many pieces, those made in addition among them; 0 when not written so."""
    spare: int = 0
    """How many of the pieces are made in addition."""
    form: PieceForm | None = None
    """What these pieces are."""
    containers: int = 0
    """How many containers; 0 when not written so."""
    container: Quantity | None = None
    """Content of one container."""
    surplus: Fraction = Fraction(0)
    """Share made in addition."""
    supplies: tuple[Supply, ...] = ()
    """Materials and intermediates that there is only so much of; empty when not written so."""
    text: str
    """As typed, tidied."""


# ── What was made ─────────────────────────────────────────────────────────────────────────────────────────────────


class BatchOutcome(StrEnum):
    """What became of a batch."""

    GOOD = "good"
    REWORKED = "reworked"
    DISCARDED = "discarded"


@dataclass(frozen=True, slots=True, kw_only=True)
class BenchLine:
    """`283.62 g, lot W-01-2026-11-20`: what was planned or weighed of one ingredient, and of which lot."""

    material: str
    """The ingredient, as the formula's line calls it."""
    phase: str = ""
    """The letter of its phase; empty when not written."""
    amount: Mass | Volume | Drops | Missing
    """How much: `283.62 g`, `2 mL`, `6 drops (0.15 g)`; of a stock, `1.00 g of 1 in 20 with kaolin`, what that brings.
    """
    stock_of: str = ""
    """Of what a weighed stock brings: the material that it was made of, as written; of what thins it, too."""
    lot: str = ""
    """The code of the lot, or the batch number of an intermediate; empty when not written."""
    place: Place = field(default=NOWHERE, compare=False)
    """Where its name is written."""
    amount_place: Place = field(default=NOWHERE, compare=False)
    """Where its amount is written."""
    lot_place: Place = field(default=NOWHERE, compare=False)
    """Where its lot is written."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Filling(Scalar):
    """`12 x 50 mL`: containers of one size; `10 mL` is one, `11 suppositories` are in one."""

    count: int
    """How many, 1 or more."""
    each: Quantity
    """What is in each."""
    text: str
    """As written, tidied: `12 × 50 mL`."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Observation:
    """What was seen of a batch on one day after it was made."""

    day: Day
    """The day."""
    text: str
    """What was seen."""
    place: Place = field(default=NOWHERE, compare=False)
    """Where it is written."""


@dataclass(frozen=True, slots=True, kw_only=True)
class BatchRecord:
    """What was made on one day: a Markdown file in `formulas/batches/` that bears the batch number as its name.

    Fields up to `discarded` are keys of the front matter; the rest is where it comes from.
    """

    batch: str
    """The batch number: code and day, `S-02-2026-11-29`; a second batch of that day ends in `-b`, a third in `-c`."""
    of: FormulaIssue | None
    """The formula and the issue that was followed: `S-02, issue 3`."""
    made: Day | None
    """The day it was made."""
    obtain: Obtain | None
    """What was to come out, as it was asked for: `12 x 50 mL + 5 %`."""
    planned: tuple[BenchLine, ...] = ()
    """What was to be weighed, as printed that day: `glycerol-85: 25.20 g`, by phase where a material stands twice."""
    weighed: tuple[BenchLine, ...] = ()
    """What really was: `glycerol-85: 25.2 g, lot GL-2211`, by phase if you like; a list where several lots were taken;
    of a stock `iron-oxide-red: 1.00 g of 1 in 20 with kaolin`."""
    weighed_beforehand: tuple[BenchLine, ...] = ()
    """What was weighed for a stock that was made first, and its lot: `citric-acid: 1.00 g, lot CA-7`."""
    came_out: Quantity | None = None
    """What came out, by weight or volume, or counted in pieces: `617 g`, `11 suppositories`."""
    ph: Number | None = None
    """The pH that was measured."""
    filled: tuple[Filling, ...] = ()
    """What was filled: `12 x 50 mL`, `2 x 5 suppositories`; several sizes as a list."""
    kept_sample: tuple[Filling, ...] = ()
    """What was kept back to look at later: `1 x 10 mL`."""
    outcome: BatchOutcome | None = None
    """good, reworked or discarded."""
    observed: tuple[Observation, ...] = ()
    """What was seen later: `2026-12-06: clear, scent softer`, one day a line."""
    next_time: str = ""
    """What to do next time."""
    counted: tuple[LotCount, ...] = ()
    """Of an intermediate: what was there when it was weighed again, `412 g on 2026-12-10`, or a list of these."""
    used_up: Day | None = None
    """Of an intermediate: the day on which the last of it was used."""
    discarded: Day | None = None
    """The day on which what was left of it was thrown away."""

    key: str = ""
    """The batch number, or the file's name where that cannot be read."""
    path: str = ""
    """The file, relative to the book's folder."""
    body: Body = Body()
    """The Markdown below the front matter."""
    places: Mapping[str, Place] = field(default_factory=dict, compare=False)
    """Key of the front matter as written → where its value stands."""
    readable: bool = True
    """False when the front matter could not be read to its end."""
    unread: tuple[str, ...] = ()
    """Keys whose value could not be read and is reported; the field has its default, and what rests on it is not
    judged."""

    @property
    def taken(self) -> tuple[BenchLine, ...]:
        """All that was taken off the shelf: into the batch, and for what was made beforehand.

        What a stock brings was taken when the stock was made, if that is written.
        """
        stocks = {line.material.casefold() for line in self.weighed_beforehand}
        direct = (line for line in self.weighed if line.stock_of.casefold() not in stocks)
        return (*direct, *self.weighed_beforehand)


# ── A book ────────────────────────────────────────────────────────────────────────────────────────────────────────


class Likeness(StrEnum):
    """How a name that nothing in the book has resembles one that something has."""

    SPELLING = "spelling"
    """A slip of the pen."""
    RENAMED = "renamed"
    """A code that was filed under the title which another code has now."""
    TITLE = "title"
    """A formula's title; formulas are called by their code alone."""
    FILE = "file"
    """A formula's file; formulas are called by their code alone."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Meant:
    """What was probably meant by a name."""

    how: Likeness
    """How it resembles that."""
    write: tuple[str, ...]
    """What to write: a material's file or a formula's code; several where it may be one or the other."""
    called: str = ""
    """The title or name of that; empty where what to write is itself what was nearly typed."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Naming:
    """What the names on lines stand for, beside files and codes; all names in lower case."""

    names: Mapping[str, str] = field(default_factory=dict)
    """Name or synonym that one material alone has → its key."""
    former: Mapping[str, str] = field(default_factory=dict)
    """Code or file name that one formula or material alone had before, and nothing has now → its key."""
    shared: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    """Name or synonym that several materials have → their files."""
    unfiled: Mapping[str, str] = field(default_factory=dict)
    """Key of an ingredient that has no file yet and resembles nothing → its name as written."""
    meant: Mapping[str, Meant] = field(default_factory=dict)
    """Name on a line that nothing has and that resembles something → what was probably meant."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Book:
    """A folder of formulas and materials, read."""

    workroom: Workroom = Workroom()
    """The workroom file."""
    formulas: Mapping[str, Formula] = field(default_factory=dict)
    """By code in lower case (a formula whose code is missing stands under its file name)."""
    materials: Mapping[str, Material] = field(default_factory=dict)
    """By file name in lower case."""
    batches: Mapping[str, BatchRecord] = field(default_factory=dict)
    """What was made, by batch number in lower case."""
    earlier: Mapping[str, Formula] = field(default_factory=dict)
    """Earlier issues of formulas, as `s-02@3`: code in lower case, issue.  They are shown and compared, never made."""
    naming: Naming = Naming()
    """What the names stand for that are neither."""
    filed: Filed = Filed()
    """What is in the binder; empty while nothing was filed."""
    findings: tuple[Finding, ...] = ()
    """What reading had to say."""
    unread: tuple[str, ...] = ()
    """Paths of files and folders that belong to the book and could not be read: what they hold is not known."""
    files: Mapping[str, bytes] = field(default_factory=dict, compare=False, repr=False)
    """Images used by the bodies: path relative to the book's folder → content."""
    for_others: bool = False
    """True for the edition for others, from which what is the keeper's alone was taken out."""

    def key_made(self, record: BatchRecord) -> str:
        """Return the key of what a batch is of; empty where the record does not say or nothing is called so."""
        return "" if record.of is None else self.key_of(record.of.code)

    def key_of(self, name: str) -> str:
        """Return the key of what is called so, ignoring case; empty if nothing is.

        A formula is called by its code; a material by its file, or by a name or synonym that it alone has; both by
        what they were called formerly, where nothing else is called so.  An ingredient
        without a file has a key as well, under which `at` finds nothing.
        """
        key = name.casefold()
        if key in self.formulas or key in self.materials or key in self.naming.unfiled:
            return key
        return self.naming.names.get(key) or self.naming.former.get(key, "")

    def at(self, key: str) -> Formula | Material | None:
        """Return the formula or material of that key."""
        return self.formulas.get(key) or self.materials.get(key)

    def on_record(self) -> dict[str, FiledLeaf]:
        """Return code → the leaf that is in the binder, in its order.

        A formula that was renamed since stands under its code of today, its leaf saying the one that is on the paper.
        """
        found: dict[str, FiledLeaf] = {}
        printed = {leaf.code for leaf in self.filed.leaves}
        for leaf in self.filed.leaves:
            now = self.formulas.get(self.naming.former.get(leaf.code.casefold(), "")) if leaf.issue else None
            found[leaf.code if now is None or now.code in printed else now.code] = leaf
        return found

    def find(self, name: str) -> Formula | Material | None:
        """Return the formula or material called so, ignoring case."""
        return self.at(self.key_of(name))

    def name_of(self, name: str) -> str:
        """Return the title of the formula or the name of the material called so; what was asked where there is none."""
        key = self.key_of(name)
        item = self.at(key)
        if item is None:
            return self.naming.unfiled.get(key, name)
        return item.title if isinstance(item, Formula) else item.name


# ── Diluting and mixing at the bench ──────────────────────────────────────────────────────────────────────────────


class MixedBy(StrEnum):
    """How the strengths of what is mixed are reckoned with."""

    WEIGHT = "weight"
    """By weight, in grams."""
    ETHANOL = "ethanol"
    """Ethanol and water: by weight, with volumes by the alcohol tables."""
    VOLUME = "volume"
    """w/v or v/v: in millilitres, made up to the mark."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Component:
    """`240 g of 0.25 %`, `2.5 %`, `water`: one of the things that are mixed."""

    strength: Strength
    """How strong it is."""
    quantity: Quantity | None = None
    """How much of it, where that is given."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Mixing:
    """What is to be diluted or mixed: the components, the strength wanted, how much of it."""

    components: tuple[Component, ...]
    """Two or more; in a dilution the stronger one, then the diluent."""
    want: Strength | None = None
    """The strength wanted; None when the amounts are given and the strength is asked."""
    obtain: Obtain | None = None
    """How much must come out; None when amounts of components are given, or nothing."""
    by: MixedBy
    """How it is reckoned."""
    at_c: Fraction = Fraction(20)
    """Temperature of the volumes in degrees Celsius; strengths in %vol are those at 20 °C whatever it is."""
    diluting: bool = False
    """True when one thing is made weaker with a diluent."""
