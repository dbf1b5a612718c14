"""Every printed number names its figure; each is recomputed here from the weighing, by its name."""

from __future__ import annotations

import re
from fractions import Fraction
from math import floor

import pytest

from bookgen import show
from bookgen.findings import Missing
from bookgen.model import Book, Status
from bookgen.reckon.batchline import Aliquot, BatchLine
from bookgen.reckon.densities import density_of, grams_per_ml
from bookgen.reckon.doubt import measuring_error
from bookgen.reckon.enough import weighed_batch
from bookgen.reckon.ethanol import contraction_ml, density
from bookgen.reckon.figures import Figures
from bookgen.reckon.plans import doublings
from bookgen.reckon.standing import substance_of
from bookgen.reckon.strengths import turned_for
from bookgen.reckon.weighing import Weighing

from .conftest import HTML, Published, parse, publish, words

NUMBER = re.compile(r"\d")


def figures_in(tree) -> list[tuple[str, str, str]]:
    """Return name, exact value and digits of every figure of a page."""
    return [
        (one.get("data-figure"), one.get("value"), "".join(one.itertext()))
        for one in tree.iter(f"{HTML}data")
        if one.get("data-figure")
    ]


def expected(name: str, figures: Figures, weighing: Weighing | Missing, book: Book) -> Fraction:
    """Return a figure by its name, from the records of the reckoning alone."""
    amounts, storage, flow = figures.amounts, figures.storage, figures.flow
    fixed = {
        "makes": amounts.makes.amount,
        "makes-about": amounts.makes.about,
        "part": amounts.part_g,
        "yield": flow.yield_ * 100,
        "batch-yield": flow.yield_ * 100,
        "percent-total": Fraction(100),
        "ph.low": figures.formula.ph and figures.formula.ph.low.value,
        "ph.high": figures.formula.ph and figures.formula.ph.high.value,
    }
    if name in fixed:
        return fixed[name]
    if name == "pieces":
        return Fraction(floor(weighing.obtain_g / figures.pieces.grams))
    if (match := re.fullmatch(r"piece-?(\d*)", name)) is not None:
        held = {str(index): grams for index, _, grams in figures.pieces.holds} | {"": figures.pieces.grams}
        return held[match[1]] * (1 if held[match[1]] >= 1 else 1000)
    if name.startswith("capsule."):
        capsule = figures.capsule
        told = {"ml": capsule.size.ml, "takes": capsule.takes_ml, "more": capsule.more_g}[name.removeprefix("capsule.")]
        return told if name != "capsule.more" or told >= 1 else told * 1000
    if (match := re.fullmatch(r"dose-(\d+)", name)) is not None:
        held = next(held.grams for held in figures.dose.holds if held.index == int(match[1]))
        return held * (1 if held >= 1 else 1000)
    if name == "evaporated":
        return flow.evaporated * 100
    if name in ("water", "alcohol"):
        return getattr(storage, name) * 100
    if name == "accepted-error":
        return book.workroom.accepted_error.share * 100
    if (match := re.fullmatch(r"first-(.+)\.enough", name)) is not None:
        return weighing.enough_first[match[1]][0]
    if name in ("smallest-batch", "enough-batch"):
        return weighing.certainty.enough[0]
    if (match := re.fullmatch(r"line-(\d+)\.percent-(low|high)", name)) is not None:
        return weighing.certainty.percents[int(match[1])][match[2] == "high"] * 100
    if (match := re.fullmatch(r"composition-(.+)-(low|high)", name)) is not None:
        return weighing.composition[match[1]][match[2] == "high"] * 100
    if (match := re.fullmatch(r"line-(\d+)\.plan\.direct", name)) is not None:
        return weighed_batch(figures.scale, weighing.evaluation.obtain, int(match[1]))
    if (match := re.fullmatch(r"line-(\d+)\.plan\.([a-z]+)-?(\d*)-?(\d*)", name)) is not None:
        return planned(weighing.evaluation.lines[int(match[1])], match[2], int(match[3] or 1), int(match[4] or 1))
    if name.startswith("composition-"):
        return figures.composition.shares[name.removeprefix("composition-")] * 100
    if (match := re.fullmatch(r"line-(\d+)\.form-(\d+)\.(factor|have|want)", name)) is not None:
        line = amounts.lines[int(match[1])]
        turn = turned_for(line.key, substance_of(line.line), book, {})[int(match[2])]
        return turn.factor if match[3] == "factor" else getattr(turn, match[3]).molar_mass
    if (match := re.fullmatch(r"line-(\d+)\.blend\.(\w+)", name)) is not None:
        blend, taken = amounts.lines[int(match[1])].blend, weighing.evaluation.lines[int(match[1])].blended
        if match[2] in ("strong", "water"):
            return getattr(taken, f"{match[2]}_g")
        shares = {"have": blend.have_volume, "want": blend.want_volume, "mass": blend.want}
        if match[2] in shares:
            return shares[match[2]] * 100
        assert match[2] == "shrinks"
        per_gram = contraction_ml(blend.strong, blend.have, 1 - blend.strong)  # told to nine decimals
        return round(per_gram * 10**9) * Fraction(1, 10**9) * (taken.strong_g + taken.water_g)
    if (match := re.fullmatch(r"line-(\d+)\.within", name)) is not None:
        return measuring_error(weighing.evaluation.lines[int(match[1])]) * 100
    if (match := re.fullmatch(r"link-(\d+)\.within", name)) is not None:
        return measuring_error(weighing.links[int(match[1])].entire) * 100
    if (match := re.fullmatch(r"line-(\d+)\.(few|many)", name)) is not None:
        grams = weighing.evaluation.lines[int(match[1])].grams
        return floor(grams / Fraction(3 if match[2] == "few" else 2, 100) + Fraction(1, 2))
    if name == "left-out":
        return sum(one.grams for one in weighing.evaluation.left_out)
    if (match := re.fullmatch(r"line-(\d+)\.one-ml", name)) is not None:
        return grams_per_ml(book.find(amounts.lines[int(match[1])].line.material).density)
    if name.startswith("density-"):
        return density_of(book.find(name.removeprefix("density-")))
    if (match := re.fullmatch(r"carries-(\d+)\.wv", name)) is not None:
        return figures.contents.carried[int(match[1])].share * grams_per_ml(figures.formula.density) * 100
    if (match := re.fullmatch(r"carries-(\d+)\.vol", name)) is not None:
        per_ml = figures.contents.carried[int(match[1])].share * grams_per_ml(figures.formula.density)
        return round(per_ml / density(Fraction(1)) * 10**9) * Fraction(100, 10**9)
    if (match := re.fullmatch(r"carries-(\d+)\.low", name)) is not None:
        return figures.contents.carried[int(match[1])].low * 100
    if name.startswith("carries-"):
        return figures.contents.carried[int(name.removeprefix("carries-"))].share * 100
    if (match := re.fullmatch(r"line-(\d+)\.(percent|drop|low|high)", name)) is not None:
        line = amounts.lines[int(match[1])]
        mean = "grams" if match[2] == "drop" else match[2]
        return line.percent * 100 if match[2] == "percent" else getattr(line.drop, mean)
    assert isinstance(weighing, Weighing), name
    evaluation = weighing.evaluation
    by_batch = {
        "obtain.g": weighing.obtain_g,
        "obtain.ml": weighing.obtain_ml,
        "start.g": evaluation.start_g,
        "start": evaluation.start,
        "printed-total": evaluation.printed_total,
    }
    if name in by_batch:
        return by_batch[name]
    if (
        match := re.fullmatch(r"line-(\d+)\.(metered|ml|drops|grams|portions|loss|next|error|spared)", name)
    ) is not None:
        line = evaluation.lines[int(match[1])]
        named = {
            "error": lambda: line.metered.off * 100,
            "drops": lambda: line.drops_told,
            "next": lambda: weighing.certainty.ways_out[line.index].batch,
            "metered": lambda: line.printed,
            "spared": lambda: line.spared.grams,
        }
        return Fraction(named.get(match[2], lambda: getattr(line, match[2]))())
    if re.fullmatch(r"(line|link)-\d+\.to", name):
        return evaluation.start
    if (match := re.fullmatch(r"link-(\d+)\.(strong|water)", name)) is not None:
        (row,) = weighing.links[int(match[1])].rows
        return getattr(evaluation.lines[row].blended, f"{match[2]}_g")
    if (match := re.fullmatch(r"link-(\d+)\.(metered|ml|drops)", name)) is not None:
        link = weighing.links[int(match[1])]
        return Fraction({"metered": link.grams, "ml": link.ml, "drops": link.drops_told}[match[2]])
    match = re.fullmatch(r"first-(.+)\.(obtain|obtain_ml|start|start_ml)", name)
    assert match is not None, f"no figure is called {name}"
    first = next(one for one in weighing.make_first if one.key == match[1])
    field = match[2] if match[2].endswith("_ml") else f"{match[2]}_g"
    return getattr(first, field)


def rounded_up(name: str, figures: Figures) -> bool:
    """Tell whether a figure is a batch that serves, the high end of a range, or what is there at most."""
    if name.endswith((".next", ".enough", ".direct", "-high", ".high", ".plan.error", ".within", "-batch")):
        return name != "ph.high"
    if (match := re.fullmatch(r"carries-(\d+)(\.wv|\.vol)?", name)) is not None:
        carried = figures.contents.carried[int(match[1])]
        return bool(carried.at_most) or carried.low is not None
    return name.removeprefix("composition-") in figures.composition.at_most


def planned(line: BatchLine, what: str, stage: int, portion: int) -> Fraction:
    """Return a figure of a stock and its aliquot, by the record of the plan."""
    taken = line.metered
    assert isinstance(taken, Aliquot)
    step, (low, high) = taken.plan.stages[stage - 1], line.between
    return {
        "weigh": step.weigh_g,
        "diluent": step.diluent_g,
        "stock": step.weigh_g + step.diluent_g,
        "portion": (*doublings(step.weigh_g, step.diluent_g), *[None] * 20)[portion - 1],
        "aliquot": taken.printed,
        "taken": taken.printed,
        "brings": taken.printed / taken.plan.factor,
        "spared": taken.printed * (1 - Fraction(1, taken.plan.factor)),
        "error": max(high / line.grams - 1, 1 - low / line.grams) * 100,
        "left": taken.plan.stages[-1].stock_g - taken.printed,
    }[what]


def pages_of(published: Published):
    """Yield every formula with its page, and with both its page and its leaf, parsed; withdrawn ones have no leaf."""
    leaves = {one.code: one.html for one in published.leaves}
    for key, figures in published.reckoning.figures.items():
        code = figures.formula.code
        html = published.site[f"formulas/{code}.html"].decode()
        assert (code in leaves) == (figures.formula.status is not Status.WITHDRAWN), code
        page = parse(html)
        yield key, figures, page, (page, parse(leaves[code])) if code in leaves else (page,)


def test_every_figure_is_the_one_of_the_weighing(published: Published) -> None:
    decimal = "," if published.book.workroom.decimal == "comma" else "."
    checked = 0
    for key, figures, _, trees in pages_of(published):
        for name, value, text in (one for tree in trees for one in figures_in(tree)):
            exact = expected(name, figures, published.weighings[key], published.book)
            assert Fraction(value) == exact, f"{key}: {name}"
            whole, _, places = text.partition(decimal)
            assert whole.isdigit(), f"{key}: {name} is printed as {text}"
            assert places.isdigit() or not places
            printed = Fraction(f"{whole}.{places or 0}")
            half = Fraction(1, 2 * 10 ** len(places))
            if rounded_up(name, figures):
                assert 0 <= printed - exact < 2 * half, f"{key}: {name} is {value}, printed {text}"
                continue
            if name.endswith(("-low", ".low")) and name != "ph.low":
                assert 0 <= exact - printed < 2 * half, f"{key}: {name} is {value}, printed {text}"
                continue
            assert -half <= abs(exact) - printed < half, f"{key}: {name} is {value}, printed {text}"
            checked += 1
    assert checked > 50


def test_periods_are_the_shortest_limit(published: Published) -> None:
    for key, figures, page, _ in pages_of(published):
        periods = {one.get("data-figure"): one for one in page.iter(f"{HTML}time") if one.get("data-figure")}
        limits = figures.storage.limits
        assert len(periods) == len(limits) + bool(limits), key
        for name, one in periods.items():
            period = limits[int(name.removeprefix("limit-"))].period if name != "period" else figures.storage.period
            assert words(one) == (
                show.counted(period.months, "month") if period.months else show.counted(period.days, "day")
            ).replace(show.NBSP, " ")
            assert one.get("datetime") == (f"P{period.months}M" if period.months else f"P{period.days}D")


def test_metered_weights_show_the_digits_of_their_balance(published: Published) -> None:
    for key, _, page, _ in pages_of(published):
        weighing = published.weighings[key]
        for name, _, text in figures_in(page):
            match = re.fullmatch(r"line-(\d+)\.metered", name)
            if match is None:
                continue
            step = weighing.evaluation.lines[int(match[1])].step
            places = len(re.split("[.,]", text)[1]) if re.search("[.,]", text) else 0
            assert Fraction(1, 10**places) <= step
            assert (step * 10**places).denominator == 1


def test_figures_of_a_page_have_one_name_each(published: Published) -> None:
    for key, _, _, trees in pages_of(published):
        for tree in trees:
            names = [name for name, _, _ in figures_in(tree)]
            assert len(names) == len(set(names)), key


def test_no_number_of_the_table_stands_outside_a_figure(published: Published) -> None:
    for key, _, page, _ in pages_of(published):
        for cell in page.iter(f"{HTML}td"):
            if (cell.get("class") or "").startswith("num "):
                bare = "".join(
                    [cell.text or ""]
                    + [one.tail or "" for one in cell]
                    + [words(one) for one in cell if not one.get("data-figure")]
                )
                assert not NUMBER.search(bare), f"{key}: {words(cell)}"
            if cell.get("class") == "written":
                assert all("written" in (one.get("data-figure") or "") for one in cell)


def test_printed_weights_add_up_to_the_printed_total(published: Published) -> None:
    added = 0
    for key, figures, page, _ in pages_of(published):
        values = {name: Fraction(value) for name, value, _ in figures_in(page)}
        counting = [values.get(f"line-{one.index}.metered") for one in figures.amounts.lines if one.counts]
        if "printed-total" in values:
            assert sum(counting) == values["printed-total"], key
            added += 1
    assert added


def test_what_is_carried_stands_by_volume_too_where_the_density_is_written() -> None:
    told = {}
    for _, figures, page, _ in pages_of(publish("demo")):
        shown = {name: digits for name, _, digits in figures_in(page) if re.fullmatch(r"carries-\d+\.wv", name)}
        carried = () if isinstance(figures.contents.carried, Missing) else figures.contents.carried
        sure = [each for each in carried if not isinstance(each.exactly, Missing)]  # a range has none
        assert len(shown) == (0 if figures.formula.density is None else len(sure)), figures.key
        told |= {f"{figures.formula.code} {name}": digits for name, digits in shown.items()}
    assert told["R-01 carries-0.wv"] == "53.0"  # 59.36 % w/w of ethanol × 0.893 g/mL


def test_a_material_page_prints_its_share_of_each_formula_as_that_prints_it(published: Published) -> None:
    seen = 0
    shares = {
        (key, name.removeprefix("composition-")): (value, digits)
        for key, _, page, _ in pages_of(published)
        for name, value, digits in figures_in(page)
        if name.startswith("composition-") and name.removeprefix("composition-") in published.book.materials
    }
    for key in published.book.materials:
        path = next(one for one in published.site if one.casefold() == f"materials/{key}.html")
        for item in parse(published.site[path].decode()).iter(f"{HTML}li"):
            code = next((words(one) for one in item.iter(f"{HTML}b") if one.get("class") == "code"), "")
            told = [(value, digits) for name, value, digits in figures_in(item) if name.startswith("share-")]
            bars = list(item.iter("{http://www.w3.org/2000/svg}rect"))
            if not code:
                continue
            wanted = shares.pop((code.casefold(), key), None)
            assert [(value, re.sub(r"[^0-9.,]", "", digits)) for value, digits in told] == [wanted] * bool(wanted), path
            if wanted:
                width = Fraction(bars[0].get("width").removesuffix("%"))
                assert abs(width - Fraction(wanted[0])) <= Fraction(1, 20)
                limit = key in published.reckoning.figures[code.casefold()].composition.at_most
                assert ("at most" in words(item)) == limit
                seen += 1
    assert shares == {}
    assert seen > 4


def test_columns_line_up_on_the_decimal_sign(published: Published) -> None:
    for key, _, page, _ in pages_of(published):
        table = next(one for one in page.iter(f"{HTML}table") if "ingredients" in one.get("class"))
        for kind in ("num percent", "num grams", "num ml"):
            widths = set()
            for cell in table.iter(f"{HTML}td"):
                parts = {one.tag.removeprefix(HTML): "".join(one.itertext()) for one in cell}
                if cell.get("class") == kind and "data" in parts:
                    places, pad = re.split("[.,]", parts["data"])[1:], parts.get("i", "")
                    widths.add(len(places[0]) + 1 + len(pad) if places else len(pad))
            assert len(widths) <= 1, f"{key}: {kind}"


def test_barred_and_withdrawn_formulas_print_no_weight(small: Published) -> None:
    for code in ("C-11", "C-12", "C-1"):
        page = parse(small.site[f"formulas/{code}.html"].decode())
        names = [name for name, _, _ in figures_in(page)]
        assert not [name for name in names if re.match(r"line-\d+\.(metered|drops|ml)|link|first|start|obtain", name)]


@pytest.mark.parametrize(
    ("code", "stamp", "says"),
    [
        ("C-11", "barred", "the total is 90 g, 10 g short of 100 g"),
        ("C-12", "barred", "To be put right first: Wrong cream"),
        ("C-1", "withdrawn", "no weights are printed"),
        ("C-10", "draft", "not yet made"),
    ],
)
def test_stamp_and_reason(small: Published, code: str, stamp: str, says: str) -> None:
    page = parse(small.site[f"formulas/{code}.html"].decode())
    assert own_stamps(page) == [stamp]
    assert says in words(page)
    approved = parse(small.site["formulas/C-2.html"].decode())
    assert own_stamps(approved) == []


def own_stamps(page) -> list[str]:
    """The stamps of the head; those of other formulas stand where they are named."""
    (issue,) = (one for one in page.iter(f"{HTML}p") if one.get("class") == "issue")
    return [words(one) for one in issue.iter(f"{HTML}strong")]


def test_a_line_that_is_measured_coarsely_has_its_way_out(small: Published) -> None:
    page = words(parse(small.site["formulas/C-10.html"].decode()))
    assert "fine balance, to within 50 %" in page.replace("\u202f", " ")
    assert "cannot be measured" not in page
    assert "Until then it is about 1 drop, at 0,02 to 0,03 g a drop" in page.replace("\u202f", " ").replace(
        "\u00a0", " "
    )
    assert "Way out: a batch" not in page  # 100 g would do, which is ten times as much
    assert small.book.formulas["c-10"].status is Status.DRAFT


def test_a_fill_without_weight_is_made_up_to_its_volume() -> None:
    page = words(parse(publish("official").site["formulas/PW.html"].decode()))
    assert "make up to 1000 mL" in page
    assert "Pass water up to 1000 mL through the filter" in page
    assert "no amount" not in page
