"""`Figures`: everything about a formula that no batch changes, one field a topic; `Reckoning`: a whole book's."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass, field
from functools import cached_property

from ..findings import Missing, Place
from ..model import Book, Formula, Judging, Known, Material
from ..reference.dangers import dangers
from ..reference.dissolving import dissolving
from ..reference.heat import heat_limits
from ..reference.incompatible import incompatible
from ..wording.saying import says
from .allergens import AllergenHeld, Allergens, allergens_of, held_by
from .amounts import Amounts, amounts
from .called import Called, called
from .capsules import CapsuleFill, capsule_fill
from .carrying import Carrying, Nature, carriers_of, carrying_of, natures
from .composites import Composites, composites
from .composition import Composition, composition
from .contents import Contents, Listings, contents, listings
from .dangers import Dangers, dangers_of
from .diluents import Diluent, Thins, diluents, thins
from .dissolving import Dissolving, dissolving_of
from .doses import DoseFigure, dose_of
from .flow import Flow, flow
from .graph import Graph, graph_of
from .heat import Bears, Heat, bears_of, heat_of
from .hlb import Emulsified, emulsified
from .incompatible import Clash, Declared, clashes_of, declared
from .label import LabelList, label_list
from .lightest import at_lightest
from .limits import Limits, Recognitions, limits_of
from .lots import Lots, lots_of
from .metering import Evaluation, evaluate
from .pieces import Pieces, pieces_of
from .recognised import names_of_tables, recognised_among
from .reuse import graph_again, not_wanted_first, stale
from .scale import ScaleTable, scale_table
from .soap import Soap, finely, soap_of, taking_up
from .storage import StorageFigure, storage
from .strengths import strength


@dataclass(frozen=True, kw_only=True)
class Figures:
    """One formula, reckoned."""

    key: str
    """Key of the formula in the book."""
    formula: Formula
    """The formula."""
    amounts: Amounts
    """What it makes, and its lines."""
    flow: Flow
    """Yield and evaporation."""
    composition: Composition
    """What the product is made of."""
    soap: Soap
    """What lye and fats make of each other."""
    pieces: Pieces | None
    """What one piece weighs and holds; None where none are made."""
    capsule: CapsuleFill | None
    """What goes into one capsule; None where no size is written."""
    dose: DoseFigure | None
    """What one dose holds; None where none is written."""
    contents: Contents
    """Which substances it carries, as far as its materials list them."""
    limits: Limits
    """How it stands to the limits of the law for cosmetics."""
    called: Called
    """What its materials are called by their function."""
    allergens: Allergens
    """Which fragrance allergens a label of it names."""
    composites: Composites
    """Which preparations in it a label names by words of their own."""
    materials: Mapping[str, Material] = field(repr=False, compare=False)
    """The materials of its book, of which label names are told."""
    dangers: Dangers
    """What in it burns, must never meet, or is strong on skin."""
    heat: Heat
    """How hot its lines become, and what they bear."""
    clashes: tuple[Clash, ...]
    """What in it does not go together."""
    emulsified: Emulsified | None
    """What its oils require and its emulsifiers offer; None where it does not ask."""
    dissolving: Dissolving
    """Whether all that is to dissolve does."""
    carrying: Carrying
    """Whether oil and water hold together."""
    storage: StorageFigure
    """Where and how long it keeps."""
    thinners: Mapping[int, Diluent]
    """Which line can thin which, where one is too little to weigh."""
    scale: ScaleTable
    """What follows the batch."""
    written: Evaluation | Missing
    """The table at the batch that is written."""

    @cached_property
    def label(self) -> LabelList:
        """The list of ingredients for a label of it.  Made when it is asked for: no other figure rests on it."""
        return label_list(
            self.formula,
            self.composition,
            self.materials,
            self.called,
            self.allergens,
            self.composites,
            self.storage.period,
            makes_soap=self.soap.made is not None and not self.formula.label,
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Reckoning:
    """A book, reckoned."""

    book: Book
    """The book."""
    graph: Graph
    """What uses what."""
    figures: Mapping[str, Figures]
    """By the formula's key, in the graph's order: intermediates before what uses them."""
    lots: Lots
    """What was there of each lot, and what every batch took."""
    kept: dict[tuple[str, int], Figures] = field(default_factory=dict, repr=False, compare=False)
    """Key of a formula and number → an earlier issue, reckoned when it was first asked for (`kept.py`)."""
    behind: frozenset[str] = frozenset()
    """Formulas whose figures are still those of the earlier reckoning, though something they rest on has changed."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Common:
    """What the figures of all formulas of a book rest on, looked up once; each by the material's key."""

    book: Book
    """The book."""
    graph: Graph
    """What uses what."""
    listed: Listings
    """What the materials list."""
    limited: Recognitions
    """What they were recognised as by the tables of the law."""
    perilous: Recognitions
    """… by the table of dangers."""
    paired: Recognitions
    """… by the table of what does not go together."""
    soluble: Recognitions
    """… by the table of what dissolves."""
    declared: Declared
    """What their files declare not to go together."""
    bearing: Mapping[str, tuple[Bears, ...]]
    """The heat that they bear."""
    natures: Mapping[str, Nature]
    """Whether they are oily or watery."""
    scents: Mapping[str, tuple[AllergenHeld, ...]]
    """The fragrance allergens in them."""
    thinning: Thins
    """For what they can be the diluent."""


def common_of(book: Book, graph: Graph) -> Common:
    """Return what the figures of all formulas of a book rest on."""
    limited = recognised_among(book.materials, names_of_tables())
    perilous = recognised_among(book.materials, dangers().names)
    paired = recognised_among(book.materials, incompatible().names)
    soluble = recognised_among(book.materials, dissolving().names)
    tempered = recognised_among(book.materials, heat_limits().names)
    return Common(
        book=book,
        graph=graph,
        listed=listings(book),
        limited=limited,
        perilous=perilous,
        paired=paired,
        soluble=soluble,
        declared=declared(
            book, ((names_of_tables(), limited), (dangers().names, perilous), (incompatible().names, paired))
        ),
        bearing={
            key: bears_of(material, tempered.get(key, ()))
            for key, material in book.materials.items()
            if key in tempered or material.bears_c is not None
        },
        natures=natures(book, soluble),
        scents={key: scents for key, material in book.materials.items() if (scents := held_by(material))},
        thinning=thins(book),
    )


class Done:
    """The figures reckoned so far, by the formula's key; what users of a formula ask of it, topic by topic."""

    def __init__(self) -> None:
        self.figures: dict[str, Figures] = {}
        self.compositions: dict[str, Composition] = {}
        self.storages: dict[str, StorageFigure] = {}
        self.called: dict[str, Called] = {}
        self.dangers: dict[str, Dangers] = {}
        self.heats: dict[str, Heat] = {}
        self.composites: dict[str, Composites] = {}
        self.soaps: dict[str, Soap] = {}
        self.clashes: dict[str, tuple[Clash, ...]] = {}
        self.dissolving: dict[str, Dissolving] = {}
        self.carrying: dict[str, Carrying] = {}

    def keep(self, key: str, figures: Figures) -> None:
        """Take in a formula's figures."""
        self.figures[key] = figures
        self.compositions[key] = figures.composition
        self.storages[key] = figures.storage
        self.called[key] = figures.called
        self.dangers[key] = figures.dangers
        self.heats[key] = figures.heat
        self.composites[key] = figures.composites
        self.soaps[key] = figures.soap
        self.clashes[key] = figures.clashes
        self.dissolving[key] = figures.dissolving
        self.carrying[key] = figures.carrying


def reckon(book: Book, earlier: Reckoning | None = None, first: Collection[str] = ()) -> Reckoning:
    """Return the figures of every formula of the book, intermediates first.

    With an `earlier` reckoning, figures that no change touches are the very same as there.  Where keys of formulas are
    wanted `first` and many would be reckoned anew, the others are left `behind`.
    """
    graph = graph_again(book, earlier.book, earlier.graph) if earlier else graph_of(book)
    anew = stale(book, graph, earlier.book, earlier.graph) if earlier else frozenset(book.formulas)
    behind = not_wanted_first(anew, first, book, graph, earlier.book) if earlier else frozenset()
    anew -= behind
    common, done = common_of(book, graph), Done()
    for key in graph.order:
        known = earlier.figures[key] if earlier is not None and key not in anew else None
        done.keep(key, known or _figures(key, common, done))
    return Reckoning(book=book, graph=graph, figures=done.figures, lots=lots_of(book), behind=behind)


def _figures(key: str, common: Common, done: Done) -> Figures:
    """Return the figures of one formula; those of its ingredients are done."""
    book, formula = common.book, common.book.formulas[key]

    def strength_here(ingredient: str, substance: str, place: Place) -> Known:
        if ingredient in common.graph.bound:
            return Missing(says=says("in-a-circle"), place=place, reported=True)
        return strength(ingredient, substance, book, done.compositions, place)

    lines = amounts(formula, book, strength_here, taking_up(book, common.perilous, done.compositions, done.soaps))
    its_flow = flow(formula, lines)
    made_of = composition(formula, book, lines, done.compositions)
    lye = soap_of(formula, book, lines, its_flow, made_of, common.perilous, done.compositions, done.soaps)
    lines = finely(lines, lye, done.compositions, done.soaps)
    keeps = storage(formula, book, lines, made_of, done.compositions, done.storages, common.limited)
    names = called(book, lines, done.compositions, done.called)
    light = at_lightest(lines, made_of, done.compositions)
    perils = dangers_of(formula, book, lines, made_of, common.perilous, lye, done.dangers, light)
    carriers = carriers_of(book, lines, common.soluble, done.carrying)
    dissolves = dissolving_of(
        formula,
        book,
        lines,
        made_of,
        common.soluble,
        common.limited,
        common.natures,
        carriers,
        keeps.alcohol,
        done.dissolving,
    )
    pieces = pieces_of(formula, lines, its_flow, made_of, lye)
    thinners = diluents(lines, book, common.thinning)
    room = book.workroom
    table = scale_table(lines, its_flow, room.balances, room.accepted_error.share, thinners=thinners)
    judging = room.limits is not Judging.NONE
    return Figures(
        key=key,
        formula=formula,
        amounts=lines,
        flow=its_flow,
        composition=made_of,
        pieces=pieces,
        capsule=capsule_fill(formula, lines, book),
        dose=dose_of(formula, lines, made_of, pieces, strength_here),
        soap=lye,
        contents=contents(made_of, common.listed, lye.taken_up),
        limits=limits_of(formula, made_of, common.limited, keeps.preservatives, taken_up=lye.taken_up, judging=judging),
        called=names,
        allergens=allergens_of(formula, made_of, book.materials, common.scents, names),
        composites=composites(key, formula, lines, made_of, done.compositions, done.composites),
        materials=book.materials,
        dangers=perils,
        heat=heat_of(formula, book, lines, perils, keeps.alcohol, common.bearing, done.heats),
        clashes=clashes_of(book, lines, made_of, keeps.water, common.paired, common.declared, done.clashes),
        emulsified=emulsified(formula, book, lines, made_of, common.paired),
        dissolving=dissolves,
        carrying=carrying_of(
            formula, book, made_of, common.natures, carriers, keeps.water, keeps.alcohol, dissolves.keys
        ),
        storage=keeps,
        thinners=thinners,
        scale=table,
        written=_as_written(table, its_flow),
    )


def _as_written(table: ScaleTable, its_flow: Flow) -> Evaluation | Missing:
    """Return the table at the batch that is written."""
    batch = its_flow.as_written
    return batch if isinstance(batch, Missing) else evaluate(table, batch)
