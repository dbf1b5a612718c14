"""What an error bars, and what is not judged because it rests on one: one mistake, one finding."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from bookgen.findings import Missing
from bookgen.reckon.figures import reckon
from bookgen.review import Review, review
from bookgen.source import naming, read_book

from .test_findings import MATERIALS, WORKROOM, reviewed

BASE = {"workroom.yaml": WORKROOM} | {f"materials/{key}.md": f"---\n{text}---\n" for key, text in MATERIALS.items()}


def formula(code: str, front: str, body: str = "") -> dict[str, str]:
    """Return one formula's file; its title is `T` and the code."""
    return {f"{code.lower()}.md": f"---\ncode: {code}\ntitle: T {code}\n{front}---\n{body}"}


def bars(found: Review) -> dict[str, tuple[str, str]]:
    """Return whose error bars each formula, and the sentence that says so."""
    return {key: (one.root, str(one.says)) for key, one in found.barred.items()}


def rules(found: Review) -> list[tuple[str, str]]:
    """Return what was said: rule and file name."""
    return [(one.rule, one.place.path.rpartition("/")[2]) for one in found.findings]


SHORT = formula("I-1", "ingredients:\n  wax: 60 %\n  tar: 39 %\n")


def test_an_error_bars_its_formula_and_all_that_use_it_without_a_second_finding(tmp_path: Path) -> None:
    files = (
        BASE
        | SHORT
        | formula("I-2", "ingredients:\n  I-1: 50 %\n  tar: to 100 g\n")
        | formula("U-1", "ingredients:\n  I-2: 50 %\n  tar: to 100 g\n")
        | formula("F-1", "ingredients:\n  wax: 50 %\n  tar: to 100 g\n")
    )
    found = reviewed(files, tmp_path)
    assert rules(found) == [("total-misses", "i-1.md")]
    assert bars(found) == {
        "i-1": ("I-1", found.findings[0].message),
        "i-2": ("I-1", "It uses T I-1 (I-1), which has an error."),
        "u-1": ("I-1", "It uses T I-2 (I-2), which rests on T I-1 (I-1), and that has an error."),
    }


def test_a_barred_user_still_hears_of_its_own_mistakes(tmp_path: Path) -> None:
    files = BASE | SHORT | formula("U-1", "ingredients:\n  I-1: 50 %\n  tar: 40 %\n", "\n[butter](amount:butter)\n")
    found = reviewed(files, tmp_path)
    assert rules(found) == [
        ("total-misses", "i-1.md"),
        ("total-misses", "u-1.md"),
        ("amount-link-to-nothing", "u-1.md"),
    ]
    assert found.barred["u-1"].root == "U-1"


def test_what_rests_on_a_barred_ingredient_is_not_judged(tmp_path: Path) -> None:
    files = (
        BASE
        | formula("I-1", "ingredients:\n  lactic-80: 50 %\n  water: 40 %\nstorage: refrigerator, glass, 14 days\n")
        | formula(
            "U-1",
            "use: leave-on, lips\ningredients:\n  I-1: 90 % as lactic acid\n  water: to 100 g\n"
            "storage: cupboard, glass, 30 days\n",
        )
    )
    assert rules(reviewed(files, tmp_path)) == [("total-misses", "i-1.md")]


def test_an_error_of_a_material_bars_its_users(tmp_path: Path) -> None:
    files = BASE | formula("U-1", "ingredients:\n  resin: 50 %\n  tar: to 100 g\n")
    files["materials/resin.md"] = "---\nname: resin\ndensity: heavy\n---\n"
    found = reviewed(files, tmp_path)
    assert [path for _, path in rules(found)] == ["resin.md"]
    assert bars(found) == {"u-1": ("resin", "It uses resin, which has an error.")}


def test_front_matter_that_cannot_be_read_bars_and_is_not_judged(tmp_path: Path) -> None:
    files = BASE | {"u-1.md": "---\ncode: U-1\ntitle: T\ningredients:\n  wax: 5 g\n"}
    found = reviewed(files, tmp_path)
    assert rules(found) == [("unclosed-front-matter", "u-1.md")]
    assert list(found.barred) == ["u-1"]


def test_an_amount_that_cannot_be_read_leaves_no_total_to_judge(tmp_path: Path) -> None:
    files = BASE | formula("U-1", "ingredients:\n  wax: 1,000 g\n  tar: 50 %\n")
    assert rules(reviewed(files, tmp_path)) == [("ambiguous-number", "u-1.md")]


def test_makes_that_cannot_be_read_leaves_no_total_to_judge(tmp_path: Path) -> None:
    files = BASE | formula("U-1", "makes: plenty\ningredients:\n  wax: 5 g\n  tar: 50 %\n")
    assert [path for _, path in rules(reviewed(files, tmp_path))] == ["u-1.md"]


def test_an_ingredient_without_a_file_leaves_the_rest_of_its_line_alone(tmp_path: Path) -> None:
    files = BASE | formula("U-1", "ingredients:\n  clay: 5 mL\n  tar: 50 %\n")
    assert rules(reviewed(files, tmp_path)) == [("no-file-yet", "u-1.md")]


def test_an_ingredient_without_a_file_or_misspelt_hides_no_total(tmp_path: Path) -> None:
    for name, rule in (("clay", "no-file-yet"), ("tarr", "missing-reference")):
        files = BASE | formula("U-1", f"ingredients:\n  {name}: 5 %\n  tar: 50 %\n")
        found = rules(reviewed(files, tmp_path / name))
        assert sorted(found) == sorted([(rule, "u-1.md"), ("total-misses", "u-1.md")])


def test_a_name_misspelt_in_its_line_is_no_second_error_at_its_link(tmp_path: Path) -> None:
    files = BASE | formula("U-1", "ingredients:\n  tarr: 5 %\n  wax: to 100 g\n", "Melt [it](amount:tar).\n")
    assert rules(reviewed(files, tmp_path)) == [("missing-reference", "u-1.md")]


def test_water_that_cannot_be_read_is_no_error_of_what_it_would_dilute(tmp_path: Path) -> None:
    """The water is the only one of the book, and its figure is misspelt: one error, and the formula is not weighed."""
    files = formula("U-1", "ingredients:\n  spirit: to 100 g of 70 %vol\n") | {
        "workroom.yaml": WORKROOM,
        "materials/spirit.md": "---\nname: spirit\ncontains: {ethanol: 96 %vol}\nwater: 6.16 %\nkind: liquid\n---\n",
        "materials/water.md": "---\nname: water\nwater: 100 oz\n---\n",
    }
    found = reviewed(files, tmp_path)
    assert [path for _, path in rules(found)] == ["water.md"]
    assert bars(found) == {"u-1": ("water", "It uses water, which has an error.")}


def test_what_was_meant_is_looked_for_once_a_name(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Not once a line: a book of thousands with one material missing is checked as quickly as without it."""
    looked: list[str] = []
    whole = naming.meant

    def counted(formulas, materials, known, filed, typed):  # type: ignore[no-untyped-def]
        looked.append(typed)
        return whole(formulas, materials, known, filed, typed)

    monkeypatch.setattr(naming, "meant", counted)
    files = dict(BASE)
    for number in range(30):
        files |= formula(f"U-{number}", "ingredients:\n  clay: 5 %\n  tarr: 5 %\n  tar: to 100 g\n")
    assert len(rules(reviewed(files, tmp_path))) == 60
    assert sorted(looked) == ["clay", "tarr"]


def test_nobody_is_asked_about_the_storage_of_a_withdrawn_formula(tmp_path: Path) -> None:
    front = "use: leave-on, lips\ningredients:\n  gly: 0.01 %\n  water: to 100 g\nstorage: cupboard, glass, 1 year\n"
    (tmp_path / "made").mkdir()
    made = reviewed(BASE | formula("U-1", f"status: trial\n{front}"), tmp_path / "made")
    assert {rule for rule, _ in rules(made)} == {
        "unpreserved-at-risk",
        "unpreserved-in-cupboard",
        "unpreserved-too-long",
        "below-least-weighable",
    }
    (tmp_path / "withdrawn").mkdir()
    assert rules(reviewed(BASE | formula("U-1", f"status: withdrawn\n{front}"), tmp_path / "withdrawn")) == []


def test_one_formula_s_total_and_another_s_small_line_are_both_told(tmp_path: Path) -> None:
    files = BASE | formula("U-1", "ingredients:\n  wax: 0.1 %\n  tar: to 100 g\n") | SHORT
    assert [rule for rule, _ in rules(reviewed(files, tmp_path))] == ["total-misses", "below-least-weighable"]


def test_a_figure_that_is_not_known_for_a_new_reason_is_told_once(tmp_path: Path) -> None:
    reviewed(BASE | formula("U-1", "ingredients:\n  wax: 5 g\n  tar: to 100 g\n"), tmp_path)
    reckoning = reckon(read_book(tmp_path))
    figures = reckoning.figures["u-1"]
    first, fill = figures.amounts.lines
    lost = Missing(says="the moon was full", place=first.line.amount_place, cause="full-moon")
    lines = (replace(first, grams=lost, weighed=lost), replace(fill, grams=lost, weighed=lost))
    makes = replace(figures.amounts.makes, total=lost, short=lost)
    changed = replace(figures, amounts=replace(figures.amounts, lines=lines, makes=makes))
    found = review(replace(reckoning, figures={"u-1": changed}))
    assert [(one.rule, str(one.severity), str(one.place), one.message) for one in found.findings] == [
        (
            "not-known",
            "error",
            "formulas/u-1.md:5:8",
            "T U-1, line 5: how much wax is taken is not known: the moon was full.",
        )
    ]


def test_what_a_circle_holds_is_not_known_and_told_at_the_circle_alone(tmp_path: Path) -> None:
    files = (
        BASE
        | formula("C-1", "ingredients:\n  C-2: 5 % as citric acid\n  tar: to 100 g\n")
        | formula("C-2", "ingredients:\n  C-1: 50 %\n  tar: to 100 g\n")
        | formula("U-1", "ingredients:\n  C-2: 5 % as citric acid\n  tar: to 100 g\n")
    )
    assert rules(reviewed(files, tmp_path)) == [("cycle", "c-1.md")]
    for key, figures in reckon(read_book(tmp_path)).figures.items():
        grams = figures.amounts.lines[0].grams
        if key != "c-2":
            assert isinstance(grams, Missing)
            assert (grams.reason, grams.reported) == ("the intermediates go in a circle", True)


def test_a_long_circle_is_told_in_few_words(tmp_path: Path) -> None:
    files = dict(BASE)
    for number in range(20):
        files |= formula(f"F-{number}", f"ingredients:\n  F-{(number + 1) % 20}: 50 %\n  tar: to 100 g\n")
    (circle,) = reviewed(files, tmp_path).findings
    assert circle.message == (
        "T F-0, line 5: the formulas use each other in a circle (F-0 uses F-1, F-1 uses F-2, F-2 uses F-3, "
        "F-3 uses F-4, F-4 uses F-5, F-5 uses F-6, F-6 uses F-7, and so on through 20 formulas, F-19 uses F-0); "
        "take one of these lines out."
    )


def test_an_old_amount_remembered_in_the_notes_is_left_alone(tmp_path: Path) -> None:
    body = "\n## Method\n\n1. Take 6 g glycerol.\n\n## Notes\n\nOnce it was 7 g glycerol.\n"
    found = reviewed(BASE | formula("U-1", "ingredients:\n  gly: 5 g\n  tar: to 100 g\n", body), tmp_path)
    assert [(one.rule, one.place.line) for one in found.findings] == [("typed-quantity-differs", 11)]


@pytest.mark.parametrize("status", ["status: aproved", "statsu: approved", 'status: approved\nappearance: "white'])
def test_a_status_that_cannot_be_read_is_not_called_a_draft(tmp_path: Path, status: str) -> None:
    files = (
        BASE
        | formula("I-1", f"{status}\ningredients:\n  wax: 100 g\n")
        | formula("U-1", "status: approved\ningredients:\n  I-1: 50 %\n  tar: to 100 g\n")
    )
    assert [path for _, path in rules(reviewed(files, tmp_path))] == ["i-1.md"]


def test_balances_below_what_cannot_be_read_are_not_called_missing(tmp_path: Path) -> None:
    files = BASE | formula("U-1", "ingredients:\n  wax: 100 g\n")
    files["workroom.yaml"] = f'title: "Book\n{WORKROOM}'
    assert [path for _, path in rules(reviewed(files, tmp_path))] == ["workroom.yaml"]


def test_water_that_cannot_be_read_is_not_asked_for(tmp_path: Path) -> None:
    front = "kind: cosmetic\nstatus: trial\nuse: leave-on, hands\nstorage: cupboard, jar, 30 days\n"
    files = BASE | formula("U-1", f"{front}ingredients:\n  resin: 50 %\n  tar: to 100 g\n")
    files["materials/resin.md"] = "---\nname: resin\nkind: liquid\nwater: 100\n---\n"
    assert rules(reviewed(files, tmp_path)) == [("missing-unit", "resin.md")]


def test_long_titles_and_names_are_shortened_in_every_sentence(tmp_path: Path) -> None:
    title, name = "T" * 59 + " balm", "n" * 100
    brief = "T" * 59 + "…"
    files = BASE | {
        "u-1.md": f"---\ncode: U-1\ntitle: {title}\ningredients:\n  resin: 0.01 %\n  tar: to 100 g\n---\n",
        "v-1.md": "---\ncode: V-1\ntitle: V\ningredients:\n  U-1: 5 g\n  wax: to 100 g\n---\n",
        "materials/resin.md": f"---\nname: {name}\nkind: resin\n---\n",
    }
    (found,) = reviewed(files, tmp_path).findings
    assert found.message.startswith(f"{brief}, line 5: measured only coarsely: 0.01 g of {'n' * 59}… to within ")
    files["u-1.md"] = files["u-1.md"].replace("to 100 g", "90 g")
    barred = reviewed(files, tmp_path).barred
    assert str(barred["v-1"].says) == f"It uses {brief} (U-1), which has an error."


def test_a_preserved_intermediate_that_brings_all_the_water_is_not_diluted(tmp_path: Path) -> None:
    stored = "storage: refrigerator, glass, 30 days\n"
    files = (
        BASE
        | formula("I-1", f"ingredients:\n  lactic-80: 1 %, preservative\n  tar: 1 %\n  water: to 100 g\n{stored}")
        | formula("U-1", f"ingredients:\n  I-1: 50 %\n  water: 0.9 %\n  tar: to 100 g\n{stored}")
    )
    assert rules(reviewed(files, tmp_path)) == []
    files |= formula("U-1", f"ingredients:\n  I-1: 50 %\n  water: 1 %\n  tar: to 100 g\n{stored}")
    assert rules(reviewed(files, tmp_path)) == [("preservative-by-intermediate", "u-1.md")]
    files |= formula("U-1", f"ingredients:\n  I-1: 20 g\n  tar: 1 g\n  water: to 100 mL\n{stored}")
    (found,) = reviewed(files, tmp_path).findings
    assert found.message == (
        "T U-1, line 5: its preservative (lactic acid 80 %) is brought in by I-1 alone, how much is not known: is that "
        "enough?"
    )


def test_alcohol_of_unknown_share_is_no_excuse_at_the_lips(tmp_path: Path) -> None:
    files = BASE | formula(
        "U-1",
        "use: leave-on, lips\nmakes: 100 mL\ningredients:\n  spirit: 70 mL\n  water: to 100 mL\n"
        "storage: refrigerator, glass, 14 days\n",
    )
    files["materials/spirit.md"] = (
        "---\nname: spirit\nkind: liquid\ndensity: 0.81\nwater: 6 %\ncontains:\n  ethanol: 94 % w/w\n---\n"
    )
    assert rules(reviewed(files, tmp_path)) == [("unpreserved-at-risk", "u-1.md")]
