"""Words of the published tables on a German page: what a label carries, why two do not go together, what is freed."""

from __future__ import annotations

from bookgen.language import speaking
from bookgen.look import load_theme
from bookgen.pages.site import site_files
from bookgen.reckon.figures import reckon
from bookgen.review import review
from bookgen.source import book_from

from ..test_language import ENGLISH_PART

ROOM = "language: de\nbalances:\n  - {name: Feinwaage, readability: 0.01 g, capacity: 100 g}\n"
MATERIALS = {
    "wasser": "name: Wasser\nlabel: Aqua\nkind: liquid\nwater: 100 %\n",
    "oel": "name: Traubenkernöl\nlabel: Vitis Vinifera Seed Oil\nkind: liquid\nwater: 0 %\nfunction: preservative\n",
    "vitamin": "name: Tocopherol\nlabel: Tocopherol\nkind: liquid\nwater: 0 %\nfunction: preservative\n",
    "bleiche": "name: Chlorbleichlauge\nkind: liquid\ncontains: {Natriumhypochlorit: 5 %}\nwater: 95 %\n",
    "saeure": "name: Salzsäure\nkind: liquid\ncontains: {Salzsäure: 10 %}\nwater: 90 %\n",
    "selen": "name: Selendisulfid\nlabel: Selenium Sulfide\nkind: powder\nwater: 0 %\n",
    "eisen": "name: Eisenvitriol\nkind: powder\nwater: 0 %\n",
    "benzoat": "name: Natriumbenzoat\nkind: powder\nwater: 0 %\ncontains: {Natriumbenzoat: 99 %}\n",
    "tannin": "name: Gerbsäure\nkind: powder\nwater: 0 %\n",
}
LINES = "".join(f"  {key}: 1 %\n" for key in MATERIALS if key != "wasser")
HARMLESS = (
    "---\ncode: B\ntitle: Probe ohne\nkind: cosmetic\nstatus: trial\nissue: 1\nmakes: 100 g\n"
    "ingredients:\n  wasser: to 100 g\n  benzoat: 1 %\n---\n"
)
FORMULA = (
    "---\ncode: A\ntitle: Probe\nkind: cosmetic\nstatus: trial\nissue: 1\nuse: rinse-off, hair, adults\n"
    f"purpose: shampoo\nmakes: 100 g\npH: 5.0\ningredients:\n  wasser: to 100 g\n{LINES}---\n"
)


def test_words_of_the_tables_are_german_on_a_german_page() -> None:
    files = {f"formulas/materials/{key}.md": f"---\n{text}---\n".encode() for key, text in MATERIALS.items()}
    formulas = {"formulas/A.md": FORMULA.encode(), "formulas/B.md": HARMLESS.encode()}
    book = book_from({"formulas/workroom.yaml": ROOM.encode(), **formulas, **files})
    reckoning = reckon(book)
    site = site_files(reckoning, review(reckoning), load_theme(), named=True)
    with speaking("de"):
        page, harmless, index = (
            ENGLISH_PART.sub("", site[path].decode()).replace("\u00ad", "").replace("<wbr>", "")
            for path in ("formulas/A.html", "formulas/B.html", "by-material.html")
        )
    for said in (
        "Natriumhypochlorit und Salzsäure setzen Chlor frei, ein Gift: nie zusammen",
        "„Enthält Selendisulfid“",
        "sie werden schwarz wie Tinte (",
        "es schützt Öle vor dem Ranzigwerden und wirkt nicht gegen Keime (",
    ):
        assert said in page, said
    for english in (
        "Contains ",
        "set free",
        "black as ink",
        "against germs",
        "Sodium hypochlorite",
        "Hydrochloric",
        "benzoic",
    ):
        assert english not in page
    for told in (harmless, index):
        assert "Benzoesäure" in told
        assert "benzoic" not in told
