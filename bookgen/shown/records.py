"""Shown records: the plain text that templates receive, and nothing else.

A template never sees a `Formula`, a `Fraction` or a `Weighing`.  Whatever is to stay out of an edition is left out
where these records are made, so that it is absent and not merely hidden.  None of them holds HTML: what is more than
plain text is made of pieces (`phrases.py`), which are printed as they are needed.
"""

from __future__ import annotations

from dataclasses import dataclass

from .judged_records import JudgedShown, LabelShown
from .kept_records import KeptShown, TrialLink
from .made_records import LotRow, MadeShown
from .phrases import Data, Figure, Phrase, Prose


@dataclass(frozen=True, slots=True, kw_only=True)
class Link:
    """Words that lead to another page or sheet."""

    words: str
    """What is read."""
    href: str
    """Where it leads, relative; empty when there is no such page."""
    code: str = ""
    """The code, where a formula is meant."""
    stamp: str = ""
    """`draft`, `trial`, `withdrawn`, `barred`, where a formula is meant that bears it; empty otherwise."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Fact:
    """One row of a list of terms and facts."""

    term: str
    """What it is."""
    text: str | Phrase = ""
    """The words; may be empty when figures say it."""
    figures: tuple[Figure, ...] = ()
    """Numbers, before the words."""
    note: str | Phrase = ""
    """A remark in second ink."""
    general: bool = False
    """True for what holds of every formula of the book; sheets leave it out to stay short."""
    stands_for: str = ""
    """Name of a figure that it speaks of, where it prints none itself: the page leads to how that is found."""
    means: str = ""
    """What the term means, in a few words, on a page where it first stands."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Caution:
    """One entry of the hazards or cautions."""

    text: str
    """Its sentence or sentences."""
    who: str = ""
    """The materials it concerns; empty for the preparation itself."""
    whole: bool = False
    """True for what a phone shows whole at once, however long it is."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Cell:
    """One number in a column that lines up on its decimal sign."""

    figure: Figure | None = None
    """The number; None when it is not known or does not apply."""
    pad: str = ""
    """Spaces behind it."""
    word: str = ""
    """What stands there instead of a number: `not known`, or a dash."""
    basis: str = ""
    """What a percentage relates to, where the column mixes them."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanShown:
    """How a line is measured that no balance weighs: a stock of it and an aliquot of that."""

    summary: Phrase
    """One sentence: what to make and how much of it to take."""
    steps: tuple[Phrase, ...]
    """What to do, in order."""
    error: Phrase
    """How far off it may be."""
    left: Phrase
    """What is left over of the stock."""
    direct: Phrase
    """The batch from which none is needed; empty where there is none."""


@dataclass(frozen=True, slots=True, kw_only=True)
class MeasuredPart:
    """One part of how a line is measured: `8 drops`, `glass pipette`, `2.4 % over`."""

    words: Phrase
    """The part in words."""
    much: bool = False
    """True for what is taken instead of the weight: counted drops, the two weights of diluted ethanol."""
    stands_for: str = ""
    """Name of a figure, where the page leads to how that is found."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LineShown:
    """One line of the table of ingredients."""

    index: int
    """The line's number in the formula, from 0."""
    letter: str
    """The phase's letter, for lines that are listed apart."""
    link: Link
    """The material's name, leading to its page."""
    function: str
    """What it does."""
    written: str
    """The amount as written."""
    percent: Cell
    """Share of what the formula makes."""
    grams: Cell
    """The printed weight."""
    ml: Cell
    """The volume, in formulas that measure some lines so."""
    measured: tuple[MeasuredPart, ...]
    """How it is measured, part by part, a comma between them; empty where no weights are printed."""
    plan: PlanShown | None
    """The stock that it is taken from, where it is too little to weigh."""
    notes: tuple[str | Phrase, ...]
    """Remarks below the row: the way out, what is not known and why, what the keeper noted."""
    following: int
    """How many of them, the first ones, hold for this batch alone."""
    twice: bool = False
    """True where what is written is the percentage that stands in its column."""
    common: bool = False
    """True where it is weighed on the balance that a sentence names for all."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PhaseShown:
    """Lines prepared together."""

    letter: str
    """The phase's letter; empty in a formula without phases."""
    instruction: str
    """What is done with it."""
    rows: tuple[LineShown, ...]
    """Its lines."""


@dataclass(frozen=True, slots=True, kw_only=True)
class TableShown:
    """The ingredients."""

    weighed: bool
    """False when no weights are printed: barred or withdrawn."""
    percent_head: str
    """Head of the percent column: `% w/w`."""
    mixed: bool
    """True when the percentages of the column relate to different things."""
    has_ml: bool
    """True when a column for volumes is needed."""
    phases: tuple[PhaseShown, ...]
    """What counts to the total."""
    aids: tuple[LineShown, ...]
    """Processing aids, taken out again."""
    percent_total: Cell
    """100 when the lines make up the whole, else empty."""
    total: Cell
    """The printed total."""
    total_why: str | Phrase
    """Why there is no printed total, or what it leaves out."""
    verdict: Phrase
    """How sure the batch is; empty where nothing can be said."""
    on: str = ""
    """On which balance most lines are weighed, for a phone, whose rows tell it where they differ; empty else."""


@dataclass(frozen=True, slots=True, kw_only=True)
class First:
    """An intermediate to be made first."""

    link: Link
    """Its title."""
    amounts: tuple[Fact, ...]
    """To obtain, weigh in all."""


@dataclass(frozen=True, slots=True, kw_only=True)
class TextPart:
    """A part of the text with its heading."""

    title: str
    """The heading."""
    text: Prose
    """Its content."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ChangeEntry:
    """One entry of the change log."""

    issue: str
    """The issue."""
    on: str
    """Its date."""
    text: str
    """What changed."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Share:
    """One material, or one substance, of the finished product."""

    link: Link
    """Its name."""
    percent: Cell
    """Its share."""
    word: str
    """`at most`, what a sum comes from, or empty."""
    range: Phrase
    """What it may really be, where that is beyond the accepted error."""
    low: Figure | None = None
    """The low end, where a material gives its content as a range; None where it is one figure."""
    by_volume: Figure | None = None
    """The same as % w/v; None where no density of the finished product is written, and for materials."""
    spirit: Figure | None = None
    """Of ethanol the same in %vol; None where it is not known, and for anything else."""


@dataclass(frozen=True, slots=True, kw_only=True)
class BarPicture:
    """A composition to be drawn as one bar."""

    title: str
    """What is made of it."""
    shares: tuple[Share, ...]
    """Its parts."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LineagePicture:
    """Which formula goes into which, to be drawn; false where none does."""

    nodes: tuple[Link, ...] = ()
    """The formulas, in the order in which they are looked for."""
    edges: tuple[tuple[str, str], ...] = ()
    """Code of what goes in, code of what it goes into."""
    here: str = ""
    """The code of the page's own formula."""

    def __bool__(self) -> bool:
        return bool(self.edges)


@dataclass(frozen=True, slots=True, kw_only=True)
class Passage:
    """One way through the book: a page of its front or back matter, in words."""

    words: str
    """What the page is called at the foot of the others."""
    href: str
    """Its address, relative."""
    here: bool
    """True on that page itself."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Frame:
    """What surrounds every page: the book, its language, its way back, its neighbours."""

    language: str
    """Language of the page."""
    book: str
    """Title of the book."""
    root: str
    """Relative way to the site's folder: `../` or empty."""
    chapter: str
    """Name of the chapter; of a page at the root, its own name."""
    chapter_href: str
    """The chapter in the contents; empty for a page at the root."""
    before: Link | None
    """The neighbour before, in the order of the contents."""
    after: Link | None
    """The neighbour after, in the order of the contents."""
    beside: str
    """What the neighbours go by, in words: `Neighbours by name`."""
    ways: tuple[Passage, ...]
    """The pages of the front and back matter that this book has, in their order; none on a sheet."""
    law: str
    """The sentences that defer to law and licensed practice."""
    law_short: str
    """The same in one line, for the foot of a sheet."""
    found: str
    """The file that says how the figures are found, from the site's folder."""


@dataclass(frozen=True, slots=True, kw_only=True)
class FormulaShown:
    """A formula's page, top to bottom."""

    frame: Frame
    """What surrounds it."""
    code: str
    """Its code."""
    title: str
    """Its title."""
    issue: str
    """Number of the issue."""
    issued: str
    """Date of the issue; empty when the change log does not tell."""
    stamp: str
    """`draft`, `trial`, `withdrawn`, `barred`, or empty."""
    stamp_says: str | Phrase
    """What the stamp means here."""
    stamp_root: Link | None
    """The formula or material that has to be put right first."""
    purpose: str
    """What it is for."""
    use: str
    """How, where and by whom it is used."""
    intro: Prose
    """The text before the first heading."""
    batch: tuple[Fact, ...]
    """To obtain, weigh in all."""
    hazards: tuple[Caution, ...]
    """Dangers in making it."""
    first: tuple[First, ...]
    """What is made first."""
    scaled: bool
    """True when the batch is another than the one written."""
    as_written: str
    """The batch that what does not follow it, such as equipment, is written for."""
    wishes: str
    """Examples of what may be wanted, for the field that takes it."""
    following: Data | None
    """The scale table for the page's script; None where no weights are printed."""
    table: TableShown
    """The ingredients."""
    equipment: tuple[str, ...]
    """What is needed."""
    method: tuple[TextPart, ...]
    """The steps."""
    checks: tuple[Fact, ...]
    """What the finished product should be like."""
    keeping: tuple[Fact, ...]
    """Container, place, use-by."""
    cautions: tuple[Caution, ...]
    """Cautions for use."""
    cautions_text: Prose
    """The keeper's own text on cautions."""
    parts: tuple[TextPart, ...]
    """Other parts of the text."""
    source: tuple[str, ...]
    """Where the formula comes from."""
    changes: tuple[ChangeEntry, ...]
    """The change log."""
    used_in: tuple[Link, ...]
    """Formulas that use it."""
    why: tuple[Fact, ...]
    """How the figures came about."""
    composition: tuple[Share, ...]
    """What the finished product is made of."""
    composition_picture: BarPicture
    """The same as a picture; nothing is drawn where a share is not known."""
    standing: LineagePicture
    """What goes into it and what it goes into, as a picture; false where either is missing."""
    carries: tuple[Share, ...]
    """Which substances it carries."""
    judged: JudgedShown | None
    """What was judged, and by what; None on paper."""
    label: LabelShown | None
    """The list of ingredients for a label; None for what is no cosmetic, and where it is barred."""
    made: MadeShown | None
    """Its batches; None without any, on paper and for others."""
    kept: KeptShown | None
    """Its earlier issues; None without any, on paper and for others."""
    trials: tuple[TrialLink, ...]
    """The trials that are based on it; none on paper."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ShareBar:
    """A share of the finished product, to be drawn as a bar."""

    percent: Figure
    """The percentage."""


@dataclass(frozen=True, slots=True, kw_only=True)
class UsedIn:
    """A formula that a material is used in."""

    link: Link
    """Title and code."""
    note: str
    """The amounts as the formula writes them; else how it comes to the material: `through N-04`."""
    share: Figure | None
    """Its percentage of the finished product by weight, as the formula's page prints it; None where it has none."""
    at_most: bool
    """True when that is an upper limit."""

    @property
    def bar(self) -> ShareBar | str:
        """The same as a bar; empty where there is no share."""
        return ShareBar(percent=self.share) if self.share else ""


@dataclass(frozen=True, slots=True, kw_only=True)
class MaterialShown:
    """A material's page."""

    frame: Frame
    """What surrounds it."""
    key: str
    """What formulas call it."""
    name: str
    """Its name."""
    also: str
    """Synonyms."""
    function: str
    """What it usually does."""
    hazards: tuple[Caution, ...]
    """Dangers in handling it."""
    cautions: tuple[Caution, ...]
    """Cautions for the user of a product that holds it."""
    facts: tuple[Fact, ...]
    """Density, content, water, drops."""
    known: tuple[Fact, ...]
    """As which substances the tables have it or what it contains; nothing on paper."""
    parts: tuple[TextPart, ...]
    """The text."""
    source: tuple[str, ...]
    """Where its figures come from."""
    used_in: tuple[UsedIn, ...]
    """Formulas that list it, then those that hold it otherwise."""
    lots: tuple[LotRow, ...]
    """What came of it, newest first; none on paper and for others."""
