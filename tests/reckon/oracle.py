"""A second reckoning by another method: plain, slow, and blind to the code that it judges.

A formula's amounts are unknowns of linear equations, solved by elimination; what the equations do not determine is not
known.  Products are made in a pot, gram by gram; needs are asked from user to used by recursion.  It starts from a
`Plan`, which also says how it is written in a file, and imports nothing of the reckoning.  Own arithmetic on section 3
and 5 of the design: it shares the reading of the words, not a line of code.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from fractions import Fraction

Unknown = None
Figure = Fraction | None
HALF = Fraction(1, 2)


@dataclass(kw_only=True)
class Raw:
    """A raw material."""

    density: Fraction | None = None
    drop: Fraction | None = None
    range: tuple[Fraction, Fraction] | None = None
    acid: Fraction | None = None
    front: str = "water: 0 %"


@dataclass(kw_only=True)
class Entry:
    """One line of a plan."""

    name: str
    form: str
    """`g`, `mL`, `%`, `% w/w`, `% w/v`, `% v/v`, `% as`, `g as`, `drops`, `drops fixed`, `parts`, `fill`."""
    value: Fraction = Fraction(0)
    weight: Fraction = Fraction(0)
    """Grams that fixed drops weigh together."""
    text: str = ""
    removed: bool = False
    left: tuple[Fraction, str] | None = None
    """Share of the finished product and its basis."""
    lost: tuple[Fraction, str] | None = None
    """What evaporates: a value, and `g` or `share`."""
    fate: str = ""
    """`made up`, `added`, or empty."""


@dataclass(kw_only=True)
class Plan:
    """One formula."""

    code: str
    unit: str
    total: Fraction | None
    """Written or assumed amount in `unit`; None where the sum is what it makes."""
    about: bool = False
    density: Fraction | None = None
    part: Fraction | None = None
    yields: Fraction = Fraction(1)
    entries: list[Entry] = field(default_factory=list)
    text: str = ""


# ── Linear equations ──────────────────────────────────────────────────────────────────────────────────────────────


def solved(rows: Iterable[tuple[Mapping[str, Fraction], Fraction]]) -> dict[str, Fraction]:
    """Return the unknowns that the equations Σ coefficient × unknown = constant determine."""
    left = [(dict(row), constant) for row, constant in rows]
    done: list[tuple[str, dict[str, Fraction], Fraction]] = []
    while left:
        row, constant = left.pop()
        for pivot, other, value in done:
            factor = row.pop(pivot, Fraction(0))
            if factor:
                constant -= factor * value
                for key, part in other.items():
                    row[key] = row.get(key, Fraction(0)) - factor * part
        row = {key: part for key, part in row.items() if part}
        if not row:
            assert constant == 0, "the equations contradict each other"
            continue
        pivot = min(row)
        size = row.pop(pivot)
        row = {key: part / size for key, part in row.items()}
        constant /= size
        renewed = []
        for name, other, value in done:
            factor = other.pop(pivot, Fraction(0))
            value -= factor * constant
            for key, part in row.items():
                other[key] = other.get(key, Fraction(0)) - factor * part
            renewed.append((name, {key: part for key, part in other.items() if part}, value))
        done = [*renewed, (pivot, row, constant)]
    return {pivot: value for pivot, row, value in done if not row}


# ── The bench of numbers ──────────────────────────────────────────────────────────────────────────────────────────


@dataclass(kw_only=True)
class Solved:
    """One formula's amounts."""

    grams: list[Figure]
    ml: list[Figure]
    whole_g: Figure
    whole_ml: Figure
    whole: Figure
    """In the formula's unit."""


class Oracle:
    """Every question about a set of plans, answered by brute force."""

    def __init__(self, raws: Mapping[str, Raw], plans: Iterable[Plan], balances: list[tuple[str, Fraction, Figure]]):
        self.raws = raws
        self.plans = {plan.code: plan for plan in plans}
        self.balances = balances
        """Name, step, capacity; finest first."""
        self.known: dict[str, Solved] = {}
        self.pots: dict[str, dict[str, Fraction] | None] = {}

    # What the lines stand for

    def density_of(self, name: str) -> Figure:
        return self.plans[name].density if name in self.plans else self.raws[name].density

    def acid_in(self, name: str) -> Figure:
        """Grams of acid in 1 g."""
        if name in self.raws:
            return self.raws[name].acid
        pot = self.product(name)
        if pot is None:
            return None
        return sum((grams * (self.raws[key].acid or 0) for key, grams in pot.items()), Fraction(0)) or None

    def amounts(self, code: str) -> Solved:
        if code not in self.known:
            self.known[code] = self._amounts(self.plans[code])
        return self.known[code]

    def _amounts(self, plan: Plan) -> Solved:
        """Solve the amounts.

        x0, x1 … grams of the lines, v0 … their mL; M and V what it makes in g and mL; W and U the written figure; p a
        part.
        """
        one = Fraction(1)
        rows: list[tuple[dict[str, Fraction], Fraction]] = []
        counted = {f"x{number}": one for number, entry in enumerate(plan.entries) if not entry.removed}
        if plan.density is not None:
            rows.append(({"M": one, "V": -plan.density}, Fraction(0)))
            rows.append(({"W": one, "U": -plan.density}, Fraction(0)))
        if plan.total is not None:
            rows.append(({"W" if plan.unit == "g" else "U": one}, plan.total))
        if not plan.about and plan.total is not None:
            rows += [({"M": one, "W": -one}, Fraction(0)), ({"V": one, "U": -one}, Fraction(0))]
        rows.append(({**counted, "M": -one}, Fraction(0)))
        if plan.part is not None:
            rows.append(({"p": one}, plan.part))
        ml: list[Figure] = [None] * len(plan.entries)
        for number, entry in enumerate(plan.entries):
            x, density = f"x{number}", self.density_of(entry.name)
            acid = self.acid_in(entry.name) if entry.form.endswith("as") else None
            match entry.form:
                case "g":
                    rows.append(({x: one}, entry.value))
                case "g as":
                    rows += [] if acid is None else [({x: acid}, entry.value)]
                case "%" | "% w/w":
                    rows.append(({x: one, "W": -entry.value}, Fraction(0)))
                case "% as":
                    rows += [] if acid is None else [({x: acid, "W": -entry.value}, Fraction(0))]
                case "% w/v":
                    rows.append(({x: one, "U": -entry.value}, Fraction(0)))
                case "% v/v":
                    rows += [({f"v{number}": one, "U": -entry.value}, Fraction(0))]
                    rows += [] if density is None else [({x: one, f"v{number}": -density}, Fraction(0))]
                case "mL":
                    rows += [({f"v{number}": one}, entry.value)]
                    rows += [] if density is None else [({x: one, f"v{number}": -density}, Fraction(0))]
                case "drops":
                    drop = self.raws[entry.name].drop
                    assert drop is not None
                    rows.append(({x: one}, entry.value * drop))
                case "drops fixed":
                    rows.append(({x: one}, entry.weight))
                case "parts":
                    rows.append(({x: one, "p": -entry.value}, Fraction(0)))
        found = solved(rows)
        ml = [found.get(f"v{number}") for number in range(len(plan.entries))]
        whole = found.get("M" if plan.unit == "g" else "V")
        grams = [found.get(f"x{number}") for number in range(len(plan.entries))]
        return Solved(grams=grams, ml=ml, whole_g=found.get("M"), whole_ml=found.get("V"), whole=whole)

    def lost(self, plan: Plan, number: int) -> Figure:
        """Grams of a line that evaporate, for the amount that the formula makes."""
        entry, grams = plan.entries[number], self.amounts(plan.code).grams[number]
        if entry.lost is None:
            return Fraction(0)
        value, way = entry.lost
        if way == "g":
            return value
        if grams is None:
            return None
        return grams / (1 - value) * value if entry.fate == "added" else grams * value

    # What comes out

    def product(self, code: str) -> dict[str, Fraction] | None:
        """What 1 g of the finished product is made of."""
        if code not in self.pots:
            self.pots[code] = self._product(self.plans[code])
        return self.pots[code]

    def _product(self, plan: Plan) -> dict[str, Fraction] | None:
        pot: dict[str, Fraction] = {}
        stays: list[tuple[Entry, Fraction]] = []
        for number, entry in enumerate(plan.entries):
            if entry.removed:
                continue
            if entry.left is not None:
                share, basis = entry.left
                if basis != "":
                    if plan.density is None:
                        return None
                    share = share / plan.density
                if basis == "v/v":
                    density = self.density_of(entry.name)
                    if density is None:
                        return None
                    share *= density
                stays.append((entry, share))
                continue
            grams, lost = self.amounts(plan.code).grams[number], self.lost(plan, number)
            if grams is None or lost is None:
                return None
            net = grams if entry.fate else grams - lost
            if not self._pour(entry.name, net, pot):
                return None
        finished = sum(pot.values(), Fraction(0)) / (1 - sum((share for _, share in stays), Fraction(0)))
        for entry, share in stays:
            if not self._pour(entry.name, share * finished, pot):
                return None
        return {name: grams / finished for name, grams in pot.items() if grams}

    def _pour(self, name: str, grams: Fraction, pot: dict[str, Fraction]) -> bool:
        inner = {name: Fraction(1)} if name in self.raws else self.product(name)
        if inner is None:
            return False
        for key, part in inner.items():
            pot[key] = pot.get(key, Fraction(0)) + part * grams
        return True

    def times_written(self, code: str, obtain: Fraction) -> Figure:
        """How many times the written amounts are taken for so much (in the formula's unit) to come out."""
        plan, solved_ = self.plans[code], self.amounts(code)
        lost = Fraction(0)
        for number, entry in enumerate(plan.entries):
            if entry.removed or entry.fate or entry.lost is None:
                continue
            grams = self.lost(plan, number)
            if grams is None or solved_.whole_g is None:
                return None
            lost += grams / solved_.whole_g
        return None if solved_.whole is None else obtain / (plan.yields * (1 - lost) * solved_.whole)

    def taken(self, code: str, obtain: Fraction) -> list[tuple[Figure, Figure]]:
        """Grams and millilitres of each line for so much to come out."""
        plan, solved_ = self.plans[code], self.amounts(code)
        times = self.times_written(code, obtain)
        found: list[tuple[Figure, Figure]] = []
        for number, entry in enumerate(plan.entries):
            grams, ml = solved_.grams[number], solved_.ml[number]
            if entry.fate == "added" and entry.lost is not None:
                value, way = entry.lost
                more = 1 / (1 - value) if way == "share" else None if grams is None else (grams + value) / grams
                grams = None if grams is None or more is None else grams * more
                ml = None if ml is None or more is None else ml * more
            found.append(
                (None if times is None or grams is None else grams * times,
                 None if times is None or ml is None else ml * times)
            )  # fmt: skip
        return found

    def needs(self, code: str, obtain: Figure, wanted: str, skip: str = "") -> Figure:
        """Grams of a material or formula that are weighed in anywhere on the way to so much of a formula."""
        if obtain is None:
            return None if self.reaches(code, wanted) else Fraction(0)
        total = Fraction(0)
        for entry, (grams, ml) in zip(self.plans[code].entries, self.taken(code, obtain), strict=True):
            if entry.name == wanted:
                if grams is None:
                    return None
                total += grams
            if entry.name in self.plans and entry.name not in (skip, wanted):
                inner = self.needs(entry.name, self.own_unit(entry.name, grams, ml), wanted, skip)
                if inner is None:
                    return None
                total += inner
        return total

    def reaches(self, code: str, wanted: str) -> bool:
        return any(
            entry.name == wanted or (entry.name in self.plans and self.reaches(entry.name, wanted))
            for entry in self.plans[code].entries
        )

    def own_unit(self, code: str, grams: Figure, ml: Figure) -> Figure:
        """So much of a formula in its own unit."""
        plan = self.plans[code]
        if plan.unit == "g":
            return grams if grams is not None else None if ml is None or plan.density is None else ml * plan.density
        return ml if ml is not None else None if grams is None or plan.density is None else grams / plan.density

    # What instruments give

    def metered(self, code: str, obtain: Fraction) -> list[Figure]:
        """Grams that each line prints, the fill last; None for what is less than the balance shows or is not known."""
        plan = self.plans[code]
        exact = [grams for grams, _ in self.taken(code, obtain)]
        found = [
            None if grams is None or entry.form == "fill" else self.one(entry, grams)
            for entry, grams in zip(plan.entries, exact, strict=True)
        ]
        for number, entry in enumerate(plan.entries):
            grams = exact[number]
            if entry.form != "fill" or grams is None:
                continue
            rest = grams
            for one, met, other in zip(exact, found, plan.entries, strict=True):
                if one is not None and met is not None and other.form != "fill" and not other.removed:
                    rest += one - met
            weight = nearest(rest, self.weighing(grams)[0])
            found[number] = weight if weight > 0 else None
        return found

    def balance(self, grams: Fraction) -> tuple[str, Fraction, Figure]:
        """The balance that holds so much, as what is made first is weighed on."""
        fits = [one for one in self.balances if one[2] is None or grams <= one[2]]
        return fits[0] if fits else max(self.balances, key=lambda one: one[2] or 0)

    def weighing(self, grams: Fraction) -> tuple[Fraction, Fraction]:
        """Step of the balance that weighs so much best, and how many grams a weighing on it may be off."""
        off = {}
        for name, step, most in self.balances:
            portions = 1
            while most is not None and portions * most < grams:
                portions += 1
            off[name] = (portions, portions * step, step, most or 0)
        good = [one for one in off.values() if one[1] * 20 <= grams]  # accepted error 5 %
        at_once = [one for one in good if one[0] == 1]
        split = [one for one in good if one[2] * 20 < one[3]]  # full portions are within it too
        if at_once:
            best = at_once[0]
        elif split:
            best = max(split, key=lambda one: one[3])
        elif all(one[0] > 1 for one in off.values()):
            best = max(off.values(), key=lambda one: one[3])
        else:
            best = min(off.values(), key=lambda one: (one[1], one[0]))
        return best[2], best[1]

    def one(self, entry: Entry, grams: Fraction, *, printed: bool = True) -> Figure:
        """One line by itself: what a trained hand would do with these instruments; None where none shows it.

        Drops are printed to the finest balance's step or to two figures; what really falls is count × drop mass.
        """
        step, off = self.weighing(grams)
        weighed = nearest(grams, step) or None
        if entry.form == "drops fixed":
            drop = entry.weight / entry.value
            light, heavy = drop * 2 / 3, drop * 4 / 3
        else:
            drop, light, heavy = None, Fraction(0), Fraction(0)
        raw = self.raws.get(entry.name)
        if raw is not None and raw.drop is not None:
            drop, (light, heavy) = raw.drop, raw.range or (raw.drop * 2 / 3, raw.drop * 4 / 3)
        count = 0 if drop is None else int(grams / drop + HALF)
        falls = None if drop is None or not count else count * drop
        counted = falls
        if falls is not None and printed:
            counted = nearest(falls, min(self.balances[0][1], two_figures(falls)))
        in_drops = entry.form.startswith("drops")
        if entry.removed:
            return (counted or weighed) if in_drops else (weighed or counted)
        sure_weight = weighed if off * 20 <= grams else None
        sure_count = counted if falls and count <= 30 and abs(falls - grams) * 20 <= grams else None
        if in_drops and drop and sure_weight is not None and sure_count is not None:
            return sure_weight if off * drop < max(heavy - drop, drop - light) * grams else sure_count
        found = [sure_count, sure_weight] if in_drops else [sure_weight, sure_count]
        if any(found):
            return next(one for one in found if one)
        if weighed is None or counted is None or count > 100:
            return weighed or counted
        by_weight, by_count = abs(weighed - grams) + off, max(count * heavy - grams, grams - count * light)
        return weighed if by_weight <= by_count else counted


def two_figures(value: Fraction) -> Fraction:
    """The place of the second figure of a value."""
    place = Fraction(10**6)
    while place > value:
        place /= 10
    return place / 10


def nearest(value: Fraction, step: Fraction) -> Fraction:
    """The nearest multiple of a step; of two equally near the larger; 0 for anything below 0."""
    below = int(max(value, Fraction(0)) / step) * step
    return below + step if value - below >= step * HALF else below
