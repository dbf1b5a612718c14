"""A formula's page: everything it shows, in the order it is read, as plain text.

A barred formula carries the stamp and the reason instead of weights; a withdrawn one is not weighed either.
"""

from __future__ import annotations

from collections.abc import Mapping

from .. import show
from ..findings import Missing
from ..language import noted, turned_items, word
from ..model import METHOD, Formula, Material, Status, StoragePlace
from ..reckon.figures import Figures
from ..reckon.kept import base_of
from ..reckon.reasons import kept_by
from ..reckon.weighing import Weighing
from .amounts import amount_said
from .batches import made_shown
from .body import no_dangers, pen_for, prose_of
from .cautions import cautions_of, dangers_of_steps, handled_in_order, hazards_of
from .figures import period_figure
from .head import batch_facts, first_shown
from .judged import judged_of
from .label import label_of
from .made_records import linked
from .matter.among import standing_of
from .phrases import Figure, Phrase, Prose, ToldOfStep, coded, phrase
from .records import BarPicture, ChangeEntry, Fact, FormulaShown, LineagePicture, Link, TextPart
from .shelf import Pair, Shelf, Way
from .table import table_of, up_to
from .wanted import batch_in_words, wishes
from .why import carries_of, composition_of, why_of

CAUTIONS = "cautions"

_STAMPS = {
    Status.DRAFT: noted("A draft: not yet made, figures for trial only."),
    Status.TRIAL: noted("On trial: made, not yet approved."),
    Status.WITHDRAWN: noted("Withdrawn: kept for the record, no longer made; no weights are printed."),
}


def formula_shown(
    figures: Figures, weighing: Weighing | Missing, shelf: Shelf, picture: Way, *, on_paper: bool = False
) -> FormulaShown:
    """Return a formula's page for the batch of the weighing.

    On paper it has neither what a script reads nor what another formula could change: composition and pictures, which
    the site draws, and the formulas that use it, which the indexes list.
    """
    formula, signs = figures.formula, shelf.signs
    stamp, says, root = stamp_of(figures.key, formula, shelf)
    weighed = None if stamp in ("barred", "withdrawn") or isinstance(weighing, Missing) else weighing
    if isinstance(weighing, Missing) and not says:
        says = coded(word("No weights are printed: {why}.", why=weighing.says.words(signs)))
    materials = handled_in_order(figures, shelf)
    known_parts = stamp != "barred" and not on_paper
    composition = composition_of(figures, weighed, shelf) if known_parts else ()
    dangers = dangers_of_steps(figures, shelf, materials, short=on_paper)
    intro, method, cautions, parts = _body(formula, weighed, shelf, picture, dangers)
    return FormulaShown(
        frame=shelf.frame(figures.key),
        code=formula.code or figures.key,
        title=formula.title or formula.code or figures.key,
        issue=str(formula.issue),
        issued=next((change.on for change in formula.changes if change.issue == formula.issue), ""),
        stamp=stamp,
        stamp_says=says,
        stamp_root=root,
        purpose=show.sentence(show.written(formula.purpose, signs)),
        use=use_of(formula),
        intro=intro,
        batch=batch_facts(weighed, signs) if weighed else (),
        hazards=hazards_of(figures, shelf, materials),
        first=tuple(first_shown(first, shelf) for first in reversed(weighed.make_first)) if weighed else (),
        scaled=bool(weighed and weighed.obtain),
        as_written="" if on_paper else _as_written(figures, signs),
        wishes="" if on_paper else wishes(figures, shelf),
        following=None,
        table=table_of(figures, weighed, shelf, strengths=weighed is None or weighed.obtain is None),
        equipment=tuple(show.written(item, signs) for item in formula.equipment),
        method=method,
        checks=_checks(formula, signs),
        keeping=_keeping(figures, shelf.book.materials, signs),
        cautions=cautions_of(figures, shelf, materials),
        cautions_text=cautions,
        parts=parts,
        source=formula.source,
        changes=tuple(
            ChangeEntry(issue=str(change.issue), on=change.on, text=show.written(change.text, signs))
            for change in formula.changes
        ),
        used_in=() if on_paper else _used_in(figures.key, shelf),
        why=why_of(figures, weighed, shelf),
        composition=composition,
        composition_picture=BarPicture(title=formula.title or formula.code or figures.key, shares=composition),
        standing=LineagePicture() if on_paper else standing_of(figures.key, shelf),
        carries=carries_of(figures, shelf) if known_parts else (),
        judged=None if on_paper else judged_of(figures, shelf.book, signs),
        label=None if stamp == "barred" else label_of(figures, signs, on_paper=on_paper),
        made=None if on_paper else made_shown(figures.key, shelf),
        kept=None,
        trials=(),
    )


def _used_in(key: str, shelf: Shelf) -> tuple[Link, ...]:
    """Return the formulas that use it, by code."""
    return tuple(shelf.link(user) for user in shelf.by_code(shelf.reckoning.graph.used_by.get(key, ())))


def _as_written(figures: Figures, signs: show.Signs) -> str:
    batch = figures.flow.as_written
    return "" if isinstance(batch, Missing) else show.written(batch_in_words(figures, batch, signs), signs)


def stamp_of(key: str, formula: Formula, shelf: Shelf) -> tuple[str, str | Phrase, Link | None]:
    """Return the stamp, what it means, and what has to be put right first where the formula is barred."""
    barred, stamp = shelf.review.barred.get(key), shelf.stamp(key)
    if barred is not None:
        root = barred.root.casefold()
        link = shelf.link(root) if root and root != key and shelf.book.find(root) else None
        return stamp, coded(barred.says.words(shelf.signs)), link
    return (
        stamp,
        _of_trial(formula, shelf) or (word(_STAMPS[formula.status]) if formula.status in _STAMPS else ""),
        None,
    )


def _of_trial(formula: Formula, shelf: Shelf) -> Phrase | None:
    """Return what a trial is of, or what became of it; None for another formula."""
    if formula.kept_as is not None:
        key = shelf.book.key_of(formula.kept_as.code)
        of = formula.kept_as
        became = linked(word("issue {issue} of {code}", issue=of.issue, code=of.code), shelf.way(key))
        return phrase("Tried and kept: it became {became}. No weights are printed here.", became=became)
    if not formula.based_on or formula.status is not Status.TRIAL:
        return None
    key, issue = base_of(shelf.book, formula)
    code, _, number = formula.based_on.partition("@")
    words = word("issue {issue} of {code}", issue=number, code=code) if number else code
    base = linked(words, shelf.issue_way(key, issue) if issue else shelf.way(key))
    told = phrase("A trial of {base}, not yet approved; what it does not change is as in that formula.", base=base)
    beside = shelf.beside_way(Pair(key, issue, shelf.book.key_of(formula.code)))
    return told + " " + linked(word("Both side by side"), beside) + "." if beside else told


def use_of(formula: Formula) -> str:
    """Return how, where and by whom it is used, after what sort of preparation it is."""
    words = [word(str(formula.kind))] if formula.kind else []
    if formula.use is not None:
        words.append(
            word("intermediate, an ingredient of others")
            if formula.use.intermediate
            else turned_items(formula.use.text)
        )
    return show.sentence("; ".join(words)).rstrip(".")


def _checks(formula: Formula, signs: show.Signs) -> tuple[Fact, ...]:
    facts = []
    if formula.appearance:
        facts.append(Fact(term=word("Appearance"), text=show.written(formula.appearance, signs)))
    if formula.ph is not None:
        low, high = formula.ph.low, formula.ph.high
        ends = [
            Figure(text=show.written(end.text, signs), value=show.exact(end.value), name=f"ph.{name}")
            for name, end in (("low", low), ("high", high))
        ]
        if low.value == high.value:
            facts.append(Fact(term=word("pH"), figures=(ends[0],)))
        else:
            facts.append(Fact(term=word("pH"), figures=(ends[0], ends[1])))
    if formula.density is not None:
        facts.append(Fact(term=word("Density"), text=amount_said(formula.density.text, signs)))
    return tuple(facts)


def place_of(figures: Figures) -> StoragePlace | None:
    """Return where it is kept, as written or else by the rule; None where neither says."""
    stored, rule = figures.formula.storage, figures.storage.rule
    return stored.place if stored and stored.place else None if isinstance(rule, Missing) else rule.place


def keep_in(figures: Figures) -> str:
    """Return where it is kept with its article; empty where nothing says."""
    place = place_of(figures)
    return "" if place is None else with_article(place)


_PLACES: Mapping[StoragePlace, str] = {
    StoragePlace.FREEZER: noted("the freezer"),
    StoragePlace.REFRIGERATOR: noted("the refrigerator"),
    StoragePlace.COOL: noted("a cool place"),
    StoragePlace.CUPBOARD: noted("the cupboard"),
}
"""Place → how it stands behind `in`."""


def with_article(place: StoragePlace) -> str:
    """Return a place as it stands behind `in`."""
    return word(_PLACES[place])


def _keeping(figures: Figures, materials: Mapping[str, Material], signs: show.Signs) -> tuple[Fact, ...]:
    """Return container, place and use-by with its reason; the page knows no day of making."""
    formula, figure = figures.formula, figures.storage
    stored, facts = formula.storage, []
    containers = [formula.container] if formula.container else []
    if stored and stored.container and stored.container.casefold() not in formula.container.casefold():
        containers.append(stored.container)
    if containers:
        facts.append(Fact(term=word("Container"), text=show.written("; ".join(containers), signs)))
    place = keep_in(figures)
    if place:
        facts.append(Fact(term=word("Keep in"), text=place))
    if isinstance(figure.period, Missing):
        facts.append(Fact(term=word("Use by"), text=word("not known: {why}.", why=figure.period.says.words(signs))))
    else:
        facts.append(
            Fact(
                term=word("Use by"),
                text=phrase(
                    "up to and including {period} after the day of making",
                    period=period_figure("period", figure.period),
                ),
                note=show.sentence(show.written(str(figure.whose), signs)),
            )
        )
    kept = kept_by(figure, materials)
    if kept is not None:
        facts.append(Fact(term=word("Preserved by"), text=kept.words(signs)))
    if stored and stored.because:
        facts.append(Fact(term=word("Because"), text=show.sentence(show.written(stored.because, signs))))
    return tuple(facts)


def _up_to(weighing: Weighing, shelf: Shelf) -> dict[int, Figure]:
    """Return the volumes that amount links of a fill without a known weight print, by the link's number."""
    found = {}
    for number, amount in enumerate(weighing.links):
        if len(amount.rows) == 1 and amount.link.portion is None and not amount.link.rest:
            figure = up_to(f"link-{number}.to", amount.rows[0], weighing, shelf.signs)
            if figure is not None:
                found[number] = figure
    return found


def _body(
    formula: Formula, weighing: Weighing | None, shelf: Shelf, picture: Way, dangers: ToldOfStep
) -> tuple[Prose, tuple[TextPart, ...], Prose, tuple[TextPart, ...]]:
    """Return the text in its four places: before the first heading, the method, the cautions, the rest."""
    links = weighing.links if weighing else ()
    up_tos = _up_to(weighing, shelf) if weighing else None
    about = (
        frozenset(line.index for line in weighing.figures.amounts.lines if line.is_about) if weighing else frozenset()
    )
    pen = pen_for(formula.body, links, shelf.way, picture, shelf.signs, up_tos, about)
    intro, method, cautions, parts = Prose(), [], Prose(), []
    for section in formula.body.sections:
        pen.dangers = dangers if section.title.casefold() == METHOD else no_dangers
        text = prose_of(section, pen)
        match section.title.casefold():
            case "":
                intro += text
            case title if title == METHOD:
                method.append(TextPart(title=word(section.title), text=text))
            case title if title == CAUTIONS:
                cautions += text
            case _ if text:
                parts.append(TextPart(title=section.title, text=text))
    return intro, tuple(method), cautions, tuple(parts)
