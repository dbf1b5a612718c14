"""Random plans for the oracle, and how each is written in a file.

Drawn from one seed: generation is quick, and a failing seed alone repeats a case.  Every plan is sound, so no error is
expected of the check.
"""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction
from random import Random

from .oracle import Entry, Oracle, Plan, Raw

RAWS: Mapping[str, Raw] = {
    "ash": Raw(),
    "bark": Raw(),
    "clay": Raw(),
    "aqua": Raw(density=Fraction(1), front="density: 1\nwater: 100 %"),
    "oil": Raw(density=Fraction("0.9"), drop=Fraction("0.025"), front="density: 0.9\ndrops:\n  dropper: 0.025 g"),
    "syrup": Raw(density=Fraction("1.26"), front="density: 1.26\nwater: 15 %"),
    "sour": Raw(acid=Fraction("0.8"), front="contains:\n  acid: 80 %\nwater: 20 %"),
    "scent": Raw(
        drop=Fraction("0.0245"),
        range=(Fraction("0.023"), Fraction("0.026")),
        front="drops:\n  dropper: 0.0245 g (0.023 to 0.026 g)",
    ),
}
BENCHES: tuple[list[tuple[str, Fraction, Fraction | None]], ...] = (
    [("bench", Fraction("0.01"), Fraction(2000))],
    [("fine", Fraction("0.001"), Fraction(20)), ("coarse", Fraction("0.1"), Fraction(2000))],
    [("kitchen", Fraction(1), None)],
    [("fine", Fraction("0.001"), Fraction(1)), ("kitchen", Fraction(1), Fraction(300))],
)


def decimal(value: Fraction) -> str:
    """Write a number that has at most six decimals."""
    millionths = value * 10**6
    assert millionths.denominator == 1, value
    whole, rest = divmod(int(millionths), 10**6)
    return f"{whole}.{rest:06}".rstrip("0").rstrip(".")


def workroom(bench: list[tuple[str, Fraction, Fraction | None]]) -> str:
    """Write the balances."""
    rows = [
        f"  - {{name: {name}, readability: {decimal(step)} g" + (f", capacity: {decimal(most)} g}}" if most else "}")
        for name, step, most in bench
    ]
    return "\n".join(["balances:", *rows, ""])


def draw_plans(random: Random, count: int) -> tuple[list[Plan], Oracle]:
    """Draw formulas of which later ones may use earlier ones, and an oracle that knows them."""
    bench = random.choice(BENCHES)
    plans: list[Plan] = []
    for number in range(count):
        known = Oracle(RAWS, plans, bench)
        plan = Drawing(random, f"F-{number}", plans, known).plan()
        plans.append(plan)
    return plans, Oracle(RAWS, plans, bench)


class Drawing:
    """The drawing of one plan."""

    def __init__(self, random: Random, code: str, before: list[Plan], known: Oracle):
        self.random = random
        self.code = code
        self.before = {plan.code: plan for plan in before}
        self.known = known
        self.keys: list[str] = []

    def chance(self, percent: int) -> bool:
        return self.random.randrange(100) < percent

    def thousandths(self, low: int, high: int) -> Fraction:
        return Fraction(self.random.randint(low, high), 1000)

    def plan(self) -> Plan:
        """Draw what it makes, its lines, and how the total closes."""
        by_volume = self.chance(30)
        density = self.random.choice((None, Fraction("0.95"), Fraction("1.02")))
        closes = ["fill", "fill"]
        if not by_volume:
            closes += ["parts", "part", "sum", "about"]
        elif density is not None:
            closes += ["parts", "about"]
        close = self.random.choice(closes)
        total = None if close in ("part", "sum") else Fraction(self.random.choice((100, 100, 250, 1000)))
        unit, about = "mL" if by_volume else "g", close == "about"
        plan = Plan(code=self.code, unit=unit, total=total, about=about, density=density)
        if close == "part":
            plan.part = self.thousandths(500, 9000)
            self.keys.append(f"part: {decimal(plan.part)} g")
        names = [*RAWS, *self.before]
        self.random.shuffle(names)
        for name in names[: self.random.randint(1, 4)]:
            self.line(plan, name)
        rest = [name for name in names if name not in {entry.name for entry in plan.entries}]
        self.close(plan, close, rest)
        if self.chance(30):
            plan.yields = Fraction(self.random.choice((80, 95, 64)), 100)
            self.keys.append(f"yield: {decimal(plan.yields * 100)} %")
        if density is not None:
            self.keys.append(f"density: {decimal(density)}")
        plan.text = self.written(plan)
        return plan

    def close(self, plan: Plan, close: str, rest: list[str]) -> None:
        unit, whole = plan.unit, "" if plan.total is None else decimal(plan.total)
        if close == "fill":
            bare = self.chance(50)
            entry = Entry(name=rest[0], form="fill", text="q.s." if bare else f"to {whole} {unit}")
            if self.chance(15):
                entry.lost, entry.fate = (Fraction(1, 10), "share"), "made up"
            plan.entries.append(entry)
            if bare and (unit == "mL" or plan.total != 100 or self.chance(50)):
                self.keys.append(f"makes: {whole} {unit}")
        elif close in ("parts", "part"):
            for name in rest[: self.random.randint(1, 3)]:
                entry = Entry(name=name, form="parts", value=self.thousandths(100, 9000))
                entry.text = f"{decimal(entry.value)} parts"
                entry.removed = bool(plan.entries) and plan.entries[-1].form == "parts" and self.chance(25)
                plan.entries.append(entry)
            if plan.total is not None and (unit == "mL" or plan.total != 100 or self.chance(50)):
                self.keys.append(f"makes: {whole} {unit}")
        elif close == "about":
            self.keys.append(f"makes: about {whole} {unit}")
        counted = [entry for entry in plan.entries if not entry.removed]
        if not counted or all(entry.left for entry in counted):
            plan.entries.append(Entry(name=rest[-1], form="g", value=Fraction(3), text="3 g"))

    def line(self, plan: Plan, name: str) -> None:
        form = self.random.choice(self.forms(plan, name))
        size = plan.total or Fraction(100)
        entry = Entry(name=name, form=form)
        match form:
            case "g" | "mL":
                entry.value = size * self.thousandths(1, 100)
                entry.text = f"{decimal(entry.value)} {form}"
            case "% as" | "g as":
                strength = self.known.acid_in(name)
                assert strength is not None
                most = int(strength * 100_000)  # millionths: a tenth of the whole
                share = Fraction(self.random.randint(max(most // 50, 1), most), 10**6)
                entry.value = share if form == "% as" else share * size
                number = entry.value * (100 if form == "% as" else 1)
                entry.text = f"{decimal(number)} {form[0]} as acid"
            case "drops":
                entry.value = Fraction(self.random.randint(1, 6))
                entry.text = f"{entry.value} drops"
            case "drops fixed":
                entry.value, entry.weight = Fraction(self.random.randint(1, 6)), self.thousandths(20, 200)
                entry.text = f"{entry.value} drops ({decimal(entry.weight)} g)"
            case _:
                entry.value = self.thousandths(1, 100)
                entry.text = f"{decimal(entry.value * 100)} {form}"
        if self.chance(15):
            entry.removed = True
        elif self.chance(20) and plan.total is not None:
            self.leave(plan, entry, size)
        elif self.chance(30):
            self.lose(plan, entry)
        plan.entries.append(entry)

    def forms(self, plan: Plan, name: str) -> list[str]:
        """Return the forms in which the plan can ask for the material or intermediate."""
        raw = RAWS.get(name)
        density = raw.density if raw else self.before[name].density
        forms = ["g", "drops fixed"]
        shares = plan.total is not None
        by_volume = plan.unit == "mL"
        measurable = density is not None or (by_volume and not plan.about)
        if measurable:
            forms.append("mL")
        if raw is not None and raw.drop is not None:
            forms += ["drops", "drops"]
        if shares and (plan.density is not None or not by_volume):
            forms += ["% w/w"] if by_volume else ["%", "% w/w", "%"]
        if shares and (plan.density is not None or by_volume):
            forms.append("% w/v")
            if measurable:
                forms.append("% v/v")
        strength = self.known.acid_in(name)
        if strength is not None and strength > Fraction(1, 100):
            forms += ["g as", "g as"] + (["% as"] if shares and not by_volume else [])
        return forms

    def leave(self, plan: Plan, entry: Entry, size: Fraction) -> None:
        """Let only a part of what goes in stay in the product."""
        portion = Fraction(self.random.choice((1, 2, 5)), 20)
        raw = RAWS.get(entry.name)
        by_weight = plan.unit == "g"
        if entry.form == "g" and (not by_weight or plan.density is not None) and self.chance(50):
            entry.left = (entry.value / size * portion, "w/v")
        elif entry.form == "g" and by_weight:
            entry.left = (entry.value / size * portion, "")
        elif entry.form in ("%", "% w/w") and by_weight:
            entry.left = (entry.value * portion, "")
        elif entry.form == "mL" and raw is not None and raw.density and plan.density is not None:
            entry.left = (entry.value / size * portion / 2, "v/v")

    def lose(self, plan: Plan, entry: Entry) -> None:
        """Let some of it evaporate."""
        raw = RAWS.get(entry.name)
        if plan.unit == "mL" and (plan.density is None or raw is None or raw.density is None):
            return
        entry.fate = self.random.choice(("", "made up", "added"))
        if entry.form == "g" and self.chance(50):
            entry.lost = (entry.value * self.random.randint(1, 9) / 10, "g")
        else:
            entry.lost = (Fraction(self.random.choice((5, 10, 25)), 100), "share")

    def written(self, plan: Plan) -> str:
        lines = []
        for entry in plan.entries:
            more = []
            if entry.removed:
                more.append("removed: filtered")
            if entry.left is not None:
                share, basis = entry.left
                more.append(f"left: {self.random.choice(('', 'at most '))}{decimal(share * 100)} % {basis}".rstrip())
            if entry.lost is not None:
                value, way = entry.lost
                much = f"{decimal(value)} g" if way == "g" else f"{decimal(value * 100)} %"
                more.append(f"evaporates: {much}")
                more += [f"{entry.fate}: yes"] if entry.fate else []
            amount = entry.text
            lines.append(f"  {entry.name}: " + (f"{{amount: {amount}, {', '.join(more)}}}" if more else amount))
        body = "\n".join([*self.keys, "ingredients:", *lines])
        return f"---\ncode: {plan.code}\ntitle: Plan {plan.code}\nuse: intermediate\n{body}\n---\n"
