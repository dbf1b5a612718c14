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
from .allergens import Allergens, allergens_of, held_by
from .amounts import Amounts, amounts
from .called import Called, called
from .carrying import Carrying, carriers_of, carrying_of, natures
from .composites import Composites, composites
from .composition import Composition, composition
from .contents import Contents, contents, listings
from .dangers import Dangers, dangers_of
from .diluents import Diluent, diluents, thins
from .dissolving import Dissolving, dissolving_of
from .flow import Flow, flow
from .graph import Graph, graph_of
from .heat import Heat, bears_of, heat_of
from .hlb import Emulsified, emulsified
from .incompatible import Clash, clashes_of, declared
from .label import LabelList, label_list
from .limits import Limits, limits_of
from .lots import Lots, lots_of
from .metering import Evaluation, evaluate
from .pieces import Pieces, pieces_of
from .recognised import names_of_tables, recognised_among
from .reuse import graph_again, not_wanted_first, stale
from .scale import ScaleTable, scale_table
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
    pieces: Pieces | None
    """What one piece weighs and holds; None where none are made."""
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


def reckon(book: Book, earlier: Reckoning | None = None, first: Collection[str] = ()) -> Reckoning:
    """Return the figures of every formula of the book, intermediates first.

    With an `earlier` reckoning, figures that no change touches are the very same as there.  Where keys of formulas are
    wanted `first` and many would be reckoned anew, the others are left `behind`.
    """
    graph = graph_again(book, earlier.book, earlier.graph) if earlier else graph_of(book)
    anew = stale(book, graph, earlier.book, earlier.graph) if earlier else frozenset(book.formulas)
    behind = not_wanted_first(anew, first, graph, earlier.graph) if earlier else frozenset()
    anew -= behind
    lists = listings(book)
    known_as = recognised_among(book.materials, names_of_tables())
    perilous = recognised_among(book.materials, dangers().names)
    pairing = recognised_among(book.materials, incompatible().names)
    words = declared(
        book, ((names_of_tables(), known_as), (dangers().names, perilous), (incompatible().names, pairing))
    )
    tempered = recognised_among(book.materials, heat_limits().names)
    bearing = {
        key: bears_of(material, tempered.get(key, ()))
        for key, material in book.materials.items()
        if key in tempered or material.bears_c is not None
    }
    soluble = recognised_among(book.materials, dissolving().names)
    its_natures = natures(book, soluble)
    held = {key: scents for key, material in book.materials.items() if (scents := held_by(material))}
    judging = book.workroom.limits is not Judging.NONE
    done: dict[str, Figures] = {}
    able = thins(book)
    compositions: dict[str, Composition] = {}
    storages: dict[str, StorageFigure] = {}
    callings: dict[str, Called] = {}
    all_dangers: dict[str, Dangers] = {}
    solutions: dict[str, Dissolving] = {}
    mixtures: dict[str, Carrying] = {}
    heats: dict[str, Heat] = {}
    all_composites: dict[str, Composites] = {}
    all_clashes: dict[str, tuple[Clash, ...]] = {}

    def strength_here(key: str, substance: str, place: Place) -> Known:
        if key in graph.bound:
            return Missing(says=says("in-a-circle"), place=place, reported=True)
        return strength(key, substance, book, compositions, place)

    for key in graph.order:
        if earlier is not None and key not in anew:
            done[key] = earlier.figures[key]
            compositions[key], storages[key] = done[key].composition, done[key].storage
            callings[key] = done[key].called
            all_dangers[key], heats[key] = done[key].dangers, done[key].heat
            all_composites[key] = done[key].composites
            all_clashes[key] = done[key].clashes
            solutions[key], mixtures[key] = done[key].dissolving, done[key].carrying
            continue
        formula = book.formulas[key]
        its_amounts = amounts(formula, book, strength_here)
        its_flow = flow(formula, its_amounts)
        its_composition = composition(formula, book, its_amounts, compositions)
        its_storage = storage(formula, book, its_amounts, its_composition, compositions, storages, known_as)
        its_callings = called(book, its_amounts, compositions, callings)
        its_allergens = allergens_of(formula, its_composition, book.materials, held, its_callings)
        its_thinners = diluents(its_amounts, book, able)
        table = scale_table(
            its_amounts,
            its_flow,
            book.workroom.balances,
            book.workroom.accepted_error.share,
            thinners=its_thinners,
        )
        batch = its_flow.as_written
        compositions[key] = its_composition
        storages[key] = its_storage
        callings[key] = its_callings
        all_dangers[key] = dangers_of(formula, book, its_amounts, its_composition, perilous, all_dangers)
        heats[key] = heat_of(formula, book, its_amounts, all_dangers[key], its_storage.alcohol, bearing, heats)
        all_composites[key] = composites(key, book, its_amounts, compositions, all_composites)
        all_clashes[key] = clashes_of(
            book, its_amounts, its_composition, its_storage.water, pairing, words, all_clashes
        )
        alcohol, carriers = its_storage.alcohol, carriers_of(book, its_amounts, soluble, mixtures)
        solutions[key] = dissolving_of(
            formula,
            book,
            its_amounts,
            its_composition,
            soluble,
            known_as,
            its_natures,
            carriers,
            alcohol,
            solutions,
        )
        mixtures[key] = carrying_of(
            formula, book, its_composition, its_natures, carriers, its_storage.water, alcohol, solutions[key].keys
        )
        done[key] = Figures(
            key=key,
            formula=formula,
            amounts=its_amounts,
            flow=its_flow,
            composition=its_composition,
            pieces=pieces_of(formula, its_amounts, its_flow, its_composition),
            contents=contents(its_composition, lists),
            limits=limits_of(formula, its_composition, known_as, its_storage.preservatives, judging=judging),
            called=its_callings,
            allergens=its_allergens,
            composites=all_composites[key],
            materials=book.materials,
            dangers=all_dangers[key],
            heat=heats[key],
            clashes=all_clashes[key],
            emulsified=emulsified(formula, book, its_amounts, its_composition, pairing),
            dissolving=solutions[key],
            carrying=mixtures[key],
            storage=its_storage,
            thinners=its_thinners,
            scale=table,
            written=batch if isinstance(batch, Missing) else evaluate(table, batch),
        )
    return Reckoning(book=book, graph=graph, figures=done, lots=lots_of(book), behind=behind)
