"""A stock dilution or a trituration in words and figures: what to weigh, in which order, how far off it may be.

Enters: a metered line with its plan.  Leaves: `PlanShown`.
"""

from __future__ import annotations

from .. import show
from ..findings import Missing
from ..fraction import Fraction
from ..reckon.batchline import Aliquot, BatchLine
from ..reckon.doubt import measuring_error
from ..reckon.enough import weighed_batch
from ..reckon.metering import Evaluation
from ..reckon.scale import Measure, ScaleTable
from .figures import weight
from .phrases import NOTHING, Figure, Inline, Phrase, joined, phrase
from .records import PlanShown
from .sentences import SENTENCES, said


def plan_of(line: BatchLine, evaluation: Evaluation, table: ScaleTable, signs: show.Signs) -> PlanShown | None:
    """Return the plan of a line that is diluted or triturated; None for any other line."""
    taken = line.metered
    if not isinstance(taken, Aliquot) or isinstance(line.grams, Missing):
        return None
    pen = _Pen(line, taken, evaluation.lines[taken.diluent].figure.name, signs)
    return PlanShown(
        summary=pen.said(
            "plan",
            aliquot=pen.weighed("aliquot", taken.printed),
        ),
        steps=(*pen.stages(), pen.taking()),
        error=pen.error(),
        direct=pen.direct(weighed_batch(table, evaluation.obtain, line.index), table.unit),
        left=pen.left(),
    )


def stock_word(measure: Measure) -> str:
    """Return what the thinned material is called, by the way of thinning."""
    return said("triturate" if measure is Measure.TRITURATE else "dilute")


def ratio(factor: int) -> str:
    """Return how thin a stock is, in the trade's words.

    >>> ratio(10).replace(show.NBSP, " ")
    '1 in 10'
    """
    return said("ratio", factor=factor)


class _Pen:
    """Writes the sentences of one line's plan."""

    def __init__(self, line: BatchLine, taken: Aliquot, diluent: str, signs: show.Signs) -> None:
        self.line, self.taken, self.diluent = line, taken, diluent
        self.index, self.name = line.index, line.figure.name
        self.measure, self.plan, self.signs = taken.thinned, taken.plan, signs

    def said(self, sentence: str, **parts: Inline | Phrase) -> Phrase:
        return phrase(
            SENTENCES[sentence],
            **{
                "name": self.name,
                "diluent": self.diluent,
                "stock": stock_word(self.measure),
                "ratio": ratio(self.plan.factor),
                **parts,
            },
        )

    def weighed(self, name: str, value: Fraction) -> Figure:
        """Return a weight with the digits its balance reads."""
        return self.grams(name, value, self.plan.step)

    def grams(self, name: str, value: Fraction, step: Fraction | None) -> Figure:
        return weight(f"line-{self.index}.plan.{name}", value, step, self.signs)

    def stages(self) -> tuple[Phrase, ...]:
        """Return one sentence for each stage."""
        told, what, factor = [], self.name, 1
        for number, stage in enumerate(self.plan.stages, 1):
            factor *= stage.factor
            parts: dict[str, Inline | Phrase] = {
                "what": what,
                "weigh": self.weighed(f"weigh-{number}", stage.weigh_g),
                "more": self.weighed(f"diluent-{number}", stage.diluent_g),
                "makes": self.weighed(f"stock-{number}", stage.stock_g),
                "thin": ratio(factor),
            }
            if self.measure is Measure.TRITURATE:
                portions = [
                    self.weighed(f"portion-{number}-{at}", portion) for at, portion in enumerate(stage.portions, 1)
                ]
                parts["listed"] = joined(", ", portions)
            told.append(self.said(f"stage-{self.measure}", **parts))
            what = said("that", stock=stock_word(self.measure))
        return tuple(told)

    def taking(self) -> Phrase:
        aliquot, exact = self.taken.printed, self.taken.brings
        return self.said(
            "taking",
            aliquot=self.weighed("taken", aliquot),
            brings=self.grams("brings", exact, None),
            comes=self.grams("spared", aliquot - exact, None),
        )

    def error(self) -> Phrase:
        """Return how far off the line may be, at the worst."""
        off = measuring_error(self.line)
        if off is None:
            return NOTHING
        worst = off * 100
        figure = Figure(
            text=show.significant(worst, show.Fine.ERROR, self.signs, show.UP),
            value=show.exact(worst),
            name=f"line-{self.index}.plan.error",
            unit="%",
        )
        return self.said(f"off-{self.measure}", figure=figure)

    def direct(self, batch: Fraction | None, unit: str) -> Phrase:
        """Return the batch that needs no stock; empty where there is none."""
        if batch is None:
            return NOTHING
        figure = Figure(
            text=show.plain(batch, self.signs),
            value=show.exact(batch),
            name=f"line-{self.index}.plan.direct",
            unit=unit,
        )
        return self.said("direct", figure=figure)

    def left(self) -> Phrase:
        rest = self.plan.stages[-1].stock_g - self.taken.printed
        return self.said(
            "left",
            rest=self.weighed("left", rest),
        )
