"""The review: every rule over every formula, and what the errors bar.

Enters: the reckoning of a book.  Leaves: `Review`: all findings in order, and which formulas are barred by whose error.
One mistake has one finding: where reading or an earlier rule has found an error, no rule judges what rests on it.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field

from ..findings import Finding, Missing, Severity, in_order
from ..model import Book, Drops, FiledLeaf, Formula, Line, Mass, Percent, Status, Volume
from ..reckon.amounts import LineFigure
from ..reckon.figures import Figures, Reckoning
from ..reckon.graph import Graph
from ..reckon.links import rows_of_each
from ..show import Signs, signs_of
from ..wording.saying import Saying, says, shortened
from .rule import AMOUNTS, PRODUCT, SOUND, Case, Printed, Rule, Said, gaps_of
from .table import BOOK_RULES, FORMULA_RULES

NOTHING: frozenset[str] = frozenset()


@dataclass(frozen=True, slots=True, kw_only=True)
class Barred:
    """Why a formula has no weights, no worksheet and no label."""

    root: str
    """Code of the formula or key of the material whose error it is."""
    says: Saying
    """One sentence: the error, or which ingredient has one."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Review:
    """What the check has to say about a book."""

    findings: tuple[Finding, ...]
    """Those of reading and of the rules, by place."""
    barred: Mapping[str, Barred]
    """By the formula's key in the book."""
    judged: Mapping[str, Judged] = field(default_factory=dict, compare=False, repr=False)
    """What was said of each formula and what it rests on, for a later review; by the formula's key."""
    ground: Ground | None = field(default=None, compare=False, repr=False)
    """What all of it rests on, for a later review."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Judged:
    """What the rules said of one formula."""

    figures: Figures
    """Its figures."""
    shaky: frozenset[str]
    """What no rule could rest on."""
    doubtful: frozenset[str]
    """Its ingredients that were barred by an error."""
    lost: bool
    """True when a line leads to nothing."""
    findings: tuple[Finding, ...]
    """What was said."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Ground:
    """What the findings of every formula rest on."""

    signs: Signs
    """How numbers are printed."""
    names: Mapping[str, str]
    """Every name that a line or link may use → the key that it stands for."""
    filed: Mapping[str, FiledLeaf]
    """Code of today → its leaf as it was filed last."""
    since: str
    """The day on which it was filed."""
    unread: bool
    """True when something of the book could not be read."""


def review(reckoning: Reckoning, earlier: Review | None = None, printed: Printed | None = None) -> Review:
    """Return all findings and what they bar.

    `printed` tells which figures a formula's sheet prints; without it they are not compared with those that were filed.

    With an `earlier` review, what it said of a formula stands where nothing that it rests on has changed.
    """
    book = reckoning.book
    owners = _owners(book)
    found: list[Finding] = list(book.findings)
    bars = _bars(found, book, owners)
    for key in _unreadable(book):
        bars.setdefault(key, Barred(root=_code(book, key), says=says("item-unread", item=_called(book, key))))
    signs, names = signs_of(book.workroom), _names(book)
    filed = book.on_record() if printed else {}
    ground = Ground(signs=signs, names=names, filed=filed, since=book.filed.on, unread=bool(book.unread))
    kept = _still_judged(earlier, ground)
    judged: dict[str, Judged] = {}
    for rule in BOOK_RULES:
        new = [_finding(rule, said, signs) for said in rule.judge(reckoning)]
        found.extend(new)
        for owner, bar in _bars(new, book, owners).items():
            bars.setdefault(owner, bar)
    _bar_circles(reckoning, bars)
    unsound = _unsound_keys(book)
    for key in reckoning.graph.order:
        figures = reckoning.figures.get(key)
        inherited = _inherited(reckoning, key, bars) if bars else None
        if figures is not None and figures.formula.readable:
            doubtful = frozenset(line.key for line in figures.amounts.lines if line.key in bars) if bars else NOTHING
            shaky = _shaky(figures, unsound.get(key, NOTHING), doubtful, reckoning.graph)
            if key in bars or inherited is not None:
                shaky |= {SOUND}
            known = kept.get(key)
            if key in reckoning.behind and earlier is not None and key in earlier.judged:
                known = earlier.judged[key]  # what is said of figures that are behind is behind with them
            elif known is None or known.figures is not figures or known.shaky != shaky or known.doubtful != doubtful:
                said = tuple(_judged(reckoning, figures, shaky, doubtful, ground, printed))
                lost = not all(line.key for line in figures.amounts.lines)
                known = Judged(figures=figures, shaky=shaky, doubtful=doubtful, lost=lost, findings=said)
            judged[key] = known
            new = list(known.findings)
            found.extend(new)
            for owner, bar in _bars(new, book, owners).items():
                bars.setdefault(owner, bar)
        if inherited is not None:
            bars.setdefault(key, inherited)
    found = _without_base_findings(book, found, bars)
    barred = _with_users(reckoning, bars)
    return Review(findings=in_order(found), barred=barred, judged=judged, ground=ground)


def _names(book: Book) -> dict[str, str]:
    return {**book.naming.former, **book.naming.names, **{key: key for key in (*book.materials, *book.formulas)}}


def _still_judged(earlier: Review | None, ground: Ground) -> Mapping[str, Judged]:
    """Return what an earlier review said of formulas, without those to which a change elsewhere in the book may matter.

    Signs matter to all.  Names that came, went or mean another thing matter where a line leads to
    nothing, as a rule then looks for what was meant, and where a link or a typed quantity uses one of them.
    """
    if earlier is None or earlier.ground is None:
        return {}
    then = earlier.ground
    if (then.signs, then.since) != (ground.signs, ground.since) or then.filed != ground.filed:
        return {}
    if then.unread is not ground.unread:
        return {}
    moved = {name for name in then.names.keys() | ground.names.keys() if then.names.get(name) != ground.names.get(name)}

    def stands(judged: Judged) -> bool:
        body = judged.figures.formula.body
        used = [link.material for link in body.amounts] + [typed.material for typed in body.typed] if moved else []
        return not judged.lost and moved.isdisjoint(map(str.casefold, used))

    return {key: judged for key, judged in earlier.judged.items() if stands(judged)}


# ── Judging one formula ───────────────────────────────────────────────────────────────────────────────────────────


def _shaky(figures: Figures, unsound: frozenset[str], doubtful: frozenset[str], graph: Graph) -> frozenset[str]:
    """Return what no rule can rest on: unsound keys, and what barred ingredients leave in doubt."""
    lines = figures.amounts.lines
    if figures.composition.unfiled or not all(line.key for line in lines):
        unsound |= {"composition"}
    if not doubtful and figures.key not in graph.bound:
        return unsound
    rests = any(line.key in doubtful and _rests_on_ingredient(line.line) for line in lines)
    return unsound | {"composition", "figures"} if rests else unsound | {"composition"}


def _judged(
    reckoning: Reckoning,
    figures: Figures,
    unsound: frozenset[str],
    doubtful: frozenset[str],
    ground: Ground,
    printed: Printed | None,
) -> Iterator[Finding]:
    """Yield the findings of every rule whose ground is sound."""
    formula, lines = figures.formula, figures.amounts.lines
    shaky = set(unsound)
    case = Case(
        reckoning=reckoning,
        figures=figures,
        formula=formula,
        fills=tuple(line for line in lines if line.is_fill and line.counts),
        gaps=tuple(gaps_of(lines, doubtful)),
        linked=rows_of_each(formula.body.amounts, lines, reckoning.book),
        evaluation=figures.written,
        doubtful=doubtful,
        filed=ground.filed.get(formula.code),
        printed=printed,
    )
    withdrawn = formula.status is Status.WITHDRAWN
    for rule in FORMULA_RULES:
        if (withdrawn and not rule.withdrawn) or (shaky and not shaky.isdisjoint(rule.rests_on)):
            continue
        for said in rule.judge(case):
            finding = _finding(rule, said, ground.signs, formula)
            if finding.severity is Severity.ERROR:
                shaky.update({SOUND, "figures"} if rule.spoils else {SOUND})
            yield finding


def _rests_on_ingredient(line: Line) -> bool:
    """Tell whether a line's weight needs a figure of its ingredient: density, drop mass or content."""
    amount = line.amount
    if isinstance(amount, (Percent, Mass)):
        return amount.substance is not None or (isinstance(amount, Percent) and amount.basis is not None)
    return isinstance(amount, (Volume, Drops))


def _finding(rule: Rule, said: Said, signs: Signs, formula: Formula | None = None) -> Finding:
    """Return what a rule said as a finding: "title, line n: …"."""
    title = said.title or (formula.title or formula.code if formula is not None else "")
    return Finding(
        severity=said.severity or rule.severity,
        rule=rule.name,
        says=said.says,
        title=shortened(title),
        signs=signs,
        place=said.place,
        concerns=said.concerns or (formula.code if formula is not None else ""),
    )


# ── What is unsound after reading ─────────────────────────────────────────────────────────────────────────────────

_ALL = PRODUCT | {"use", "kind", "storage", "changes", "issue", "status"}
_KEY_IN_DOUBT = frozenset({"unknown-key", "repeated-key", "missing-space", "wrong-file-name"})
"""Rules of reading after which it is not known which value was meant."""
_LINE_LOST = frozenset({"material-twice", "line-without-phase", "wrong-phase", "missing-key", "empty-value"})
"""Rules of reading after which a line of the ingredients may be missing."""


def _unsound_keys(book: Book) -> dict[str, frozenset[str]]:
    """Return for each formula the keys of the front matter that nothing can be judged on.

    These are the keys that reading could not read, and what an error leaves in doubt.  A line whose amount could not
    be read is no matter here: it is Missing, and so is what rests on it.
    """
    found: dict[str, set[str]] = {key: set(formula.unread) for key, formula in book.formulas.items() if formula.unread}
    for finding in book.findings:
        key = book.key_of(finding.concerns) if finding.concerns else ""
        if key not in book.formulas or finding.severity is not Severity.ERROR:
            continue
        if finding.rule in _KEY_IN_DOUBT:
            found.setdefault(key, set()).update(_ALL)
        elif finding.rule in _LINE_LOST:
            found.setdefault(key, set()).update(AMOUNTS)
    for trial, base in _bases(book).items():
        if base in found:
            found.setdefault(trial, set()).update(found[base])
    return {key: frozenset(keys) for key, keys in found.items()}


# ── What errors bar ───────────────────────────────────────────────────────────────────────────────────────────────


def _owners(book: Book) -> dict[str, str]:
    """Return for each file of the book the key of its formula or material."""
    owners = {formula.path: key for key, formula in book.formulas.items()}
    owners.update((material.path, key) for key, material in book.materials.items())
    return owners


def _bars(findings: Iterable[Finding], book: Book, owners: Mapping[str, str]) -> dict[str, Barred]:
    """Return the formulas and materials that errors bar by themselves, by key: the first error of each."""
    bars: dict[str, Barred] = {}
    for finding in findings:
        if finding.severity is not Severity.ERROR:
            continue
        key = book.key_of(finding.concerns) if finding.concerns else ""
        key = key or owners.get(finding.place.path, "")
        if key:
            bars.setdefault(key, Barred(root=_code(book, key), says=finding.told))
    return bars


def _unreadable(book: Book) -> Iterator[str]:
    """Yield the keys of formulas and materials whose front matter could not be read at all."""
    yield from (key for key, formula in book.formulas.items() if not formula.readable)
    yield from (key for key, material in book.materials.items() if not material.readable)


def _bar_circles(reckoning: Reckoning, bars: dict[str, Barred]) -> None:
    """Bar every formula of each circle by the error at its first."""
    for path in reckoning.graph.cycles:
        first = bars.get(path[0])
        if first is not None:
            for key in path[1:]:
                bars.setdefault(key, first)


def _inherited(reckoning: Reckoning, key: str, bars: Mapping[str, Barred]) -> Barred | None:
    """Return the bar that an ingredient hands on, or None."""
    figures = reckoning.figures.get(key)
    for line in figures.amounts.lines if figures is not None else ():
        for used in (line.key, _unread_water(reckoning.book, line)) if line.blend is not None else (line.key,):
            root = bars.get(used)
            if root is not None:
                return _handed_on(reckoning.book, used, root)
    return None


def _unread_water(book: Book, line: LineFigure) -> str:
    """Return the key of the material that would dilute a line, were it known to be water; empty where none is asked."""
    blend = line.blend
    if not isinstance(blend, Missing) or not blend.reported:
        return ""
    return next((key for key, material in book.materials.items() if material.path == blend.place.path), "")


def _handed_on(book: Book, ingredient: str, root: Barred) -> Barred:
    """Return the bar of a user: it names the root."""
    key = book.key_of(root.root)
    if key == ingredient or not key:
        return Barred(root=root.root, says=says("uses-wrong", item=_called(book, ingredient)))
    told = says("rests-on-wrong", item=_called(book, ingredient), root=_called(book, key))
    return Barred(root=root.root, says=told)


def _with_users(reckoning: Reckoning, bars: Mapping[str, Barred]) -> dict[str, Barred]:
    """Return every barred formula: the roots, and all that use them directly or through others."""
    book = reckoning.book
    barred = {key: bar for key, bar in bars.items() if key in book.formulas}
    waiting = list(bars)
    for ingredient in waiting:
        root = bars.get(ingredient) or barred[ingredient]
        for user in reckoning.graph.used_by.get(ingredient, ()):
            if user not in barred:
                barred[user] = _handed_on(book, ingredient, root)
                waiting.append(user)
    return barred


def _bases(book: Book) -> dict[str, str]:
    """Return key of a trial → key of the formula that it is based on, of those that are there."""
    found = {key: book.key_of(formula.based_on) for key, formula in book.formulas.items() if formula.based_on}
    return {key: base for key, base in found.items() if base in book.formulas and base != key}


def _without_base_findings(book: Book, found: list[Finding], bars: dict[str, Barred]) -> list[Finding]:
    """Return the findings without what a trial only has from its base, and bar trials by the error of theirs.

    One mistake is one finding: the base's.
    """
    bases = _bases(book)
    if not bases:
        return found
    said: dict[str, list[Finding]] = {}
    for finding in found:
        said.setdefault(book.key_of(finding.concerns) if finding.concerns else "", []).append(finding)

    def is_of_base(finding: Finding) -> bool:
        base = bases.get(book.key_of(finding.concerns)) if finding.concerns else None
        others = said.get(base, []) if base is not None else []
        return any(other.rule == finding.rule and other.says == finding.says for other in others)

    kept = [finding for finding in found if not is_of_base(finding)]
    own = {book.key_of(finding.concerns) for finding in kept if finding.severity is Severity.ERROR}
    waiting = list(bases)
    while waiting:
        due = [key for key in waiting if bases[key] not in waiting] or waiting
        for key in due:
            if key not in own and bases[key] in bars:
                told = says("based-on-wrong", base=_called(book, bases[key]))
                bars[key] = Barred(root=bars[bases[key]].root, says=told)
        waiting = [key for key in waiting if key not in due]
    return kept


def _code(book: Book, key: str) -> str:
    return book.formulas[key].code if key in book.formulas else key


def _called(book: Book, key: str) -> Saying | str:
    """Return what a formula or material is called in a sentence."""
    formula = book.formulas.get(key)
    return book.materials[key].name if formula is None else says("formula", title=formula.title, code=formula.code)
