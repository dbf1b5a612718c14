"""HLB where a formula asks: what the oils require and the emulsifiers offer, what is lacking; silence elsewhere."""

from __future__ import annotations

import json
from collections.abc import Mapping
from fractions import Fraction
from pathlib import Path

import pytest
from click.testing import CliRunner
from hypothesis import given
from hypothesis import strategies as some

from bookgen.cli import main
from bookgen.model import Emulsion
from bookgen.pipeline import check_book, publish
from bookgen.reckon.figures import reckon
from bookgen.reckon.hlb import Emulsified, as_printed, share_of_higher, together
from bookgen.reference import spelt
from bookgen.reference.hlb import hlb_table
from bookgen.review import review
from bookgen.source import book_from

from ..books_of_text import write_book

FRONTS = {
    "water": "water: 100 %",
    "castor oil": "soluble: [oil, ethanol]\nwater: 0 %",
    "olive oil": "soluble: oil\nwater: 0 %",
    "strange oil": "soluble: oil\nwater: 0 %",
    "strange wax": "kind: wax\nwater: 0 %",
    "ethanol": "soluble: [water, oil]\nwater: 0 %",
    "neroli oil": "soluble: oil\nfunction: aroma\nwater: 0 %",
    "vitamin E": "soluble: oil\nfunction: antioxidant\nwater: 0 %",
    "emulsifying wax": "contains:\n  cetostearyl alcohol: 90 %\n  sodium lauryl sulfate: 10 %\nwater: 0 %",
    "ready mixture": "contains:\n  glyceryl stearate: 50 %\n  PEG-100 stearate: 50 %\nwater: 0 %",
    "twice named": "also: [polysorbate 20, polysorbate 80]\nwater: 0 %",
    "sticky seed": "required HLB: {w/o: 4}\nwater: 0 %",
    "benzalkonium chloride": "function: preservative\nwater: 0 %",
}
OIL_IN_WATER = "emulsion: o/w by HLB\n"
WATER_IN_OIL = "emulsion: w/o by HLB\n"


def book_of(lines: str, head: str, fronts: Mapping[str, str], inner: Mapping[str, str]) -> dict[str, bytes]:
    """Return the files of a book: X, asked for its HLB, and each name in it as a material."""
    texts = {"X": f"{head}ingredients:"} | dict.fromkeys(inner, "use: intermediate\ningredients:")
    known, files = {**FRONTS, **fronts}, {"formulas/workroom.yaml": b"title: B\n"}
    names: set[str] = set()
    for code, keys in texts.items():
        parts = [line.strip().partition(": ") for line in (lines if code == "X" else inner[code]).split(";")]
        names |= {name for name, _, _ in parts} - inner.keys()
        body = "\n".join(f"  {json.dumps(name)}: {rest}" for name, _, rest in parts)
        files[f"formulas/{code}.md"] = f"---\ncode: {code}\ntitle: {code}\n{keys}\n{body}\n---\n".encode()
    for name in names:
        text = f"---\nname: {json.dumps(name)}\n{known.get(name, 'water: 0 %')}\n---\n"
        files[f"formulas/materials/{name.replace(' ', '-').replace('/', '-')}.md"] = text.encode()
    return files


def found(
    lines: str, head: str = OIL_IN_WATER, fronts: Mapping[str, str] = {}, **inner: str
) -> tuple[Emulsified | None, list[str]]:
    """Return the figure and what the rules of HLB say."""
    reckoning = reckon(book_from(book_of(lines, head, fronts, inner)))
    said = [one.message for one in review(reckoning).findings if one.rule.startswith("hlb-")]
    return reckoning.figures["x"].emulsified, said


BLEND = "castor oil: 14 g; polysorbate 80: {0} g; sorbitan oleate: {1} g; water: 76 g"


def test_what_suits_is_silent_and_reckoned():
    figure, said = found(
        "castor oil: 20 g; polysorbate 20: 5 g; water: 75 g", fronts={"castor oil": "required HLB: 16"}
    )
    assert said == []
    assert figure is not None
    assert (figure.required, figure.offered, figure.apart) == (Fraction(16), Fraction("16.7"), Fraction("0.7"))
    assert (figure.suits, figure.blend, figure.lacking) == (True, None, ())


@pytest.mark.parametrize(
    ("required", "suits"),
    [("14", True), ("13.96", True), ("13.95", True), ("13.94", False), ("16.04", True), ("16.05", False)],
)
def test_what_is_apart_is_judged_as_printed(required, suits):
    """Polysorbate 80 offers 15.0: 13.95 prints as 14.0 and is 1 apart, 13.94 as 13.9; 16.05 prints as 16.1."""
    fronts = {"castor oil": f"required HLB: {required}\nwater: 0 %"}
    figure, said = found("castor oil: 20 g; polysorbate 80: 5 g; water: 75 g", fronts=fronts)
    assert figure is not None
    assert figure.suits is suits
    assert bool(said) is not suits


def test_two_emulsifiers_are_told_how_to_be():
    lines = "olive oil: 20 g; polysorbate 80: 4 g; sorbitan oleate: 1 g; water: 75 g"
    figure, said = found(lines)
    assert figure is not None
    assert figure.blend is not None
    assert figure.blend.share == Fraction(27, 107)
    assert said == [
        (
            "X, line 4: the oils require an HLB of 7.0 (o/w) and the emulsifiers offer 12.9, more than 1 apart: 25.2 % "
            "polysorbate 80 and 74.8 % sorbitan oleate of the two would offer what is required, as a starting point "
            "for a trial."
        )
    ]


@pytest.mark.parametrize(
    ("emulsifiers", "todo"),
    [
        ("polysorbate 80: 5 g", "take more of an emulsifier with a lower HLB"),
        ("sorbitan trioleate: 5 g", "take more of an emulsifier with a higher HLB"),
        ("polysorbate 80: 2 g; polysorbate 20: 3 g", "no mixture of polysorbate 20 and polysorbate 80 offers"),
        ("sorbitan stearate: 2 g; sorbitan isostearate: 3 g", "take more of an emulsifier with a higher HLB"),
        ("polysorbate 80: 2 g; polysorbate 20: 2 g; steareth-2: 1 g", "take more of an emulsifier with a lower HLB"),
    ],
)
def test_what_to_do_about_it(emulsifiers, todo):
    _, said = found(f"olive oil: 20 g; {emulsifiers}; water: 75 g")
    assert len(said) == 1
    assert f"apart: {todo}" in said[0]


@pytest.mark.parametrize(
    ("lines", "why"),
    [
        ("strange oil: 20 g; polysorbate 80: 5 g", "strange oil: no required HLB o/w written or tabled"),
        ("strange wax: 20 g; polysorbate 80: 5 g", "strange wax: no required HLB o/w written or tabled"),
        ("olive oil: 20 g; paste: 5 g, emulsifier", "paste: no HLB written or tabled"),
        ("olive oil: 20 g; ready mixture: 5 g", "ready mixture: no HLB written or tabled"),
        ("olive oil: 20 g; twice named: 5 g", "twice named: no HLB written or tabled"),
        ("sticky seed: 20 g; polysorbate 80: 5 g", "sticky seed: no required HLB o/w written or tabled"),
        ("olive oil: 20 g", "nothing in it is known as an emulsifier"),
        ("polysorbate 80: 5 g", "nothing in it is known as an oil"),
        (
            "olive oil: 20 g; polysorbate 80: 2 g; emulsifying wax: 5 g",
            "emulsifying wax is ionic (Sodium lauryl sulfate), and HLB holds for nonionic emulsifiers alone",
        ),
        (
            "olive oil: 20 g; polysorbate 80: 2 g; behentrimonium chloride: 5 g",
            "behentrimonium chloride is ionic (Behentrimonium chloride), and HLB holds for nonionic emulsifiers alone",
        ),
        (
            "stearic acid: 20 g; polysorbate 80: 5 g; triethanolamine: 1 g",
            (
                "stearic acid and triethanolamine make a soap, which is ionic, and HLB holds for nonionic emulsifiers "
                "alone"
            ),
        ),
        (
            "yellow beeswax: 20 g; polysorbate 80: 5 g; borax: 1 g",
            "yellow beeswax and borax make a soap, which is ionic, and HLB holds for nonionic emulsifiers alone",
        ),
    ],
)
def test_what_is_lacking_is_named_and_nothing_is_judged(lines, why):
    figure, said = found(f"{lines}; water: 75 g")
    assert figure is not None
    assert (figure.required, figure.offered, figure.blend, figure.apart) == (None, None, None, None)
    assert said == [f"X, line 4: HLB is not judged: {why}; write that in the files, or take `emulsion:` out."]


@pytest.mark.parametrize(
    "beside",
    [
        "ethanol: 5 g",
        "neroli oil: 1 g",
        "vitamin E: 0.5 g",
        "strange oil: 0.5 g, antioxidant",
        "benzalkonium chloride: 0.01 g",
        "xanthan gum: 0.3 g",
        "triethanolamine: 0.1 g",
        "sodium hydroxide: 0.1 g",
        "zinc oxide: 5 g",
    ],
)
def test_what_is_no_oil_and_no_emulsifier_changes_nothing(beside):
    figure, said = found(f"castor oil: 20 g; polysorbate 80: 5 g; {beside}; water: 69 g")
    assert figure is not None
    assert (said, figure.required, figure.offered) == ([], Fraction(14), Fraction(15))


def test_silence_where_nobody_asks():
    figure, said = found("olive oil: 20 g; polysorbate 80: 5 g; water: 75 g", head="")
    assert (figure, said) == (None, [])


def test_the_keepers_word_stands_before_the_table():
    fronts = {
        "olive oil": "required HLB: {o/w: 11, w/o: 4}\nsoluble: oil",
        "polysorbate 80": "HLB: 10.5\nwater: 0 %",
        "glyceryl stearate": "required HLB: 3.8\nwater: 0 %",
    }
    lines = "olive oil: 10 g; glyceryl stearate: 10 g; polysorbate 80: 5 g; water: 75 g"
    figure, _ = found(lines, fronts=fronts)
    assert figure is not None
    assert (figure.required, figure.offered) == (Fraction("7.4"), Fraction("10.5"))
    other, said = found("olive oil: 20 g; polysorbate 80: 5 g; water: 75 g", WATER_IN_OIL, fronts)
    assert other is not None
    assert (other.asked, other.required) == (Emulsion.WATER_IN_OIL, Fraction(4))
    assert "require an HLB of 4.0 (w/o) and the emulsifiers offer 10.5" in said[0]
    _, said = found("castor oil: 20 g; polysorbate 80: 5 g; water: 75 g", WATER_IN_OIL)
    assert "castor oil: no required HLB w/o written or tabled" in said[0]
    _, said = found("olive oil: 20 g; polysorbate 80: 5 g; water: 75 g", fronts={"olive oil": "required HLB: {w/o: 4}"})
    assert "olive oil: no required HLB o/w written or tabled" in said[0]


def test_oils_and_emulsifiers_come_through_intermediates():
    figure, _ = found(
        "N: 50 g; M: 10 g; water: 40 g",
        N="castor oil: 30 g; olive oil: 20 g",
        M="polysorbate 80: 9 g; sorbitan oleate: 1 g",
    )
    assert figure is not None
    assert (figure.required, figure.offered) == (Fraction("11.2"), Fraction("13.93"))


def test_an_amount_that_is_not_known_leaves_nothing_to_judge():
    figure, said = found("olive oil: 20 g; polysorbate 80: q.s. to a smooth cream; water: 75 g")
    assert figure is not None
    assert figure.required is None
    assert len(said) == 1
    assert said[0].startswith("X, line 4: HLB is not judged: ")


figures = some.fractions(min_value=Fraction(1), max_value=Fraction(20), max_denominator=100)


@given(high=figures, low=figures, wanted=figures)
def test_the_blend_offers_just_what_is_wanted(high, low, wanted):
    if high <= low:
        return
    share = share_of_higher(high, low, wanted)
    assert (share is None) is not (low <= wanted <= high)
    if share is not None:
        assert together([(share, high), (1 - share, low)]) == wanted


@given(some.lists(some.tuples(figures, figures), min_size=1, max_size=6), figures)
def test_a_mean_lies_between_and_no_scale_changes_it(parts, times):
    mean = together(parts)
    assert min(value for _, value in parts) <= mean <= max(value for _, value in parts)
    assert together([(weight * times, value) for weight, value in parts]) == mean
    assert abs(as_printed(mean) - mean) <= Fraction(1, 20)


def test_it_is_told_with_what_was_judged(tmp_path: Path):
    materials = {
        "olive": "also: olive oil\nsoluble: oil\nwater: 0 %\nrequired HLB: {o/w: 7, w/o: 4}",
        "castor": "also: castor oil\nsoluble: oil\nwater: 0 %", "ps": "also: polysorbate 80\nwater: 0 %",
        "so": "also: sorbitan oleate\nHLB: 4.5\nwater: 0 %", "water": "water: 100 %",
        "scent": "function: aroma\nsoluble: oil\nwater: 0 %",
    }  # fmt: skip
    amounts = {"olive": 15, "castor": 5, "ps": 1, "so": 3, "water": 75, "scent": 1}
    lines = "".join(f"  {name}: {grams} g\n" for name, grams in amounts.items())
    root = write_book(
        tmp_path / "book",
        {"X": f"---\ncode: X\ntitle: X\n{OIL_IN_WATER}ingredients:\n{lines}---\n"},
        materials,
    )
    sentences = [
        "Olive, 75 % of the oils: requires HLB 7 (as its file says).",
        "Castor, 25 % of the oils: requires HLB 14 (from memory).",
        "Ps, 25 % of the emulsifiers: HLB 15 (table of a supplier).",
        "So, 75 % of the emulsifiers: HLB 4.5 (as its file says).",
        "Left out as traces: scent.",
        "HLB o/w: required 8.8, offered 7.1, more than 1 apart; a starting point.",
        "40.5 % ps and 59.5 % so of the two would offer what is required.",
    ]
    command = ["check", "--explain", "X", "--book", str(root)]
    said = " ".join(CliRunner().invoke(main, command).stdout.split())
    assert all(line in said for line in sentences), said
    answer = json.loads(CliRunner().invoke(main, [*command, "--json"]).stdout)["judged"]["emulsion"]
    assert {key: answer[key] for key in answer if key not in ("oils", "emulsifiers")} == {
        "asked": "o/w by HLB", "left_out": ["scent"], "not_judged": [], "required": "8.75", "offered": "7.125",
        "suits": False, "higher": "ps", "higher_percent_of_two": "850/21",
    }  # fmt: skip
    assert answer["oils"][0] == {"material": "olive", "percent": "15", "value": "7", "known": "as its file says"}
    publish(check_book(root), tmp_path / "site", binder=False)
    page = (tmp_path / "site" / "formulas" / "X.html").read_text("utf-8").replace("\u202f", " ")
    assert "<h4>Emulsion</h4>" in page
    for line in sentences:
        assert f"<li>{line}<" in page
    own = (tmp_path / "site" / "materials" / "olive.html").read_text("utf-8")
    assert "7 (o/w), 4 (w/o)" in own
    assert "4.5" in (tmp_path / "site" / "materials" / "so.html").read_text("utf-8")


# ── The table ─────────────────────────────────────────────────────────────────────────────────────────────────────────

READ = """
    1 Glycol distearate; 1.8 Sorbitan trioleate; 2.5 Propylene glycol isostearate; 2.9 Glycol stearate;
    3.7 Sorbitan sesquioleate; 3.8 Glyceryl stearate; 4 Lecithin; 4.3 Sorbitan oleate; 4.7 Sorbitan stearate;
    4.7 Sorbitan isostearate; 4.9 Steareth-2; 4.9 Oleth-2; 5.2 Glyceryl laurate; 5.3 Ceteth-2;
    5.5 PEG-30 dipolyhydroxystearate; 6 PEG-4 dilaurate; 6.6 Methyl glucose sesquistearate; 8 PEG-8 dioleate;
    11 Polysorbate 85; 11 PEG-7 olivate; 11 Cetearyl glucoside; 11.6 PEG-8 oleate;
    12 Polyglyceryl-3 methylglucose distearate; 12.4 Oleth-10; 12.9 Ceteth-10; 13 PEG-8 laurate; 14.9 Polysorbate 60;
    15 Polysorbate 80; 15 Isosteareth-20; 15 PEG-60 almond glycerides; 15 PEG-20 methyl glucose sesquistearate;
    15.2 Ceteareth-20; 15.3 Steareth-20; 15.3 Oleth-20
"""
"""Source: reference table of a supplier of emulsifiers, the figures as they were copied from it."""
REMEMBERED = """
    6.7 Sorbitan palmitate; 9.7 Laureth-4; 10.5 Polysorbate 65; 14.5 PEG-40 hydrogenated castor oil;
    15.6 Polysorbate 40; 15.7 Ceteth-20; 16.9 Laureth-23; 16.9 PEG-40 stearate; 18.8 PEG-100 stearate
"""
OILS = """
    5 Dimethicone; 5.5 Caprylic/capric triglyceride; 6 Cottonseed oil; 6 Cocoa butter; 6.5 Jojoba oil; 7 Almond oil;
    7 Apricot kernel oil; 7 Avocado oil; 7 Olive oil; 7 Soybean oil; 7 Sunflower oil; 7 Grapeseed oil; 7 Petrolatum;
    7.5 Cyclomethicone; 8 Mango butter; 8 Shea butter; 8 Emu oil; 8 Ceresin; 8.22 Cetearyl ethylhexanoate;
    9 Microcrystalline wax; 10 Lanolin; 10 Paraffin; 11.5 Isopropyl myristate; 11.5 Isopropyl palmitate; 12 Beeswax;
    12 Liquid paraffin; 12 C12-15 alkyl benzoate; 14 Castor oil; 14 Candelilla wax; 14 Stearyl alcohol; 15 Carnauba wax;
    15 Cetyl alcohol; 15 Stearic acid; 15.5 Cetearyl alcohol; 17 Oleic acid
"""
"""Source: OCL 29 (2022) and a lecture's exercise where read, a teaching page as it quotes them, else memory."""


def listed(text: str) -> dict[str, Fraction]:
    pairs = (item.split(maxsplit=1) for item in text.split(";"))
    return {spelt(name): Fraction(value) for value, name in pairs}


def test_the_tables_are_these():
    table = hlb_table()
    read, remembered = listed(READ), listed(REMEMBERED)
    study = listed("8.6 Sorbitan laurate; 16.7 Polysorbate 20")
    assert {name: table.emulsifiers[name].value for name in (*read, *remembered, *study)} == read | remembered | study
    assert {row.known.partition(";")[0] for row in map(table.emulsifiers.get, read) if row} == {"table of a supplier"}
    assert {row.known.partition(";")[0] for row in map(table.emulsifiers.get, remembered) if row} == {"from memory"}
    assert len(set(map(id, table.emulsifiers.values()))) == len(read) + len(remembered) + len(study)
    oils = listed(OILS)
    assert {name: table.oils[name].value for name in oils} == oils
    assert len(set(map(id, table.oils.values()))) == len(oils)
    seen = {name for name in oils if table.oils[name].known.partition(";")[0] in ("OCL, 2022", "a lecture's exercise")}
    assert seen == {
        "isopropyl myristate", "beeswax", "stearic acid", "lanolin", "liquid paraffin", "cetyl alcohol",
    }  # fmt: skip


def test_no_oil_is_an_emulsifier():
    assert not hlb_table().oils.keys() & hlb_table().emulsifiers.keys()
