# ruff: noqa: E501 - the texts of a book are as long as a keeper writes them
"""A book of any size, written as a keeper would: every file is text that goes through the whole of the tool.

Same count, same bytes.  The materials and figures are made up for measuring time and are no recipes: densities are
round numbers from memory, and nothing here was ever made.
"""

from __future__ import annotations

from pathlib import Path
from random import Random

OILS = (
    "sunflower-oil", "olive-oil", "almond-oil", "castor-oil", "jojoba-oil", "rapeseed-oil", "grapeseed-oil",
    "sesame-oil", "apricot-kernel-oil", "avocado-oil", "hazelnut-oil", "macadamia-oil", "rice-bran-oil", "camellia-oil",
    "medium-chain-triglycerides",
)  # fmt: skip
SOLIDS = (
    "beeswax", "carnauba-wax", "shea-butter", "cocoa-butter", "mango-butter", "lanolin", "cetyl-alcohol",
    "stearic-acid", "candelilla-wax", "coconut-fat",
)  # fmt: skip
AROMAS = (
    "cedarwood-oil", "sweet-orange-oil", "lemon-oil", "rosemary-oil", "peppermint-oil", "geranium-oil",
    "vetiver-oil", "coriander-seed-oil", "juniper-oil", "lime-oil",
)  # fmt: skip
WET = (
    "glycerol-85", "sorbitol-70", "propanediol", "sodium-lactate-60", "urea", "betaine", "xylitol",
    "isomalt", "oat-water", "birch-water",
)  # fmt: skip
POWDERS = ("talc", "kaolin", "zinc-oxide", "corn-starch", "magnesium-carbonate")
EMULSIFIERS = ("glyceryl-stearate-citrate", "lecithin", "sucrose-stearate", "emulsifying-wax")
WATER, GUM, ACID, PRESERVATIVES = (
    "purified-water",
    "xanthan-gum",
    "lactic-acid-80",
    {"potassium-sorbate": "0.4", "benzyl-alcohol": "1"},
)
LATE = ("vitamin-e",)

WORKROOM = """\
title: A large book
keeper: the keeper
decimal: point
balances:
  - {name: fine balance, readability: 0.01 g, capacity: 200 g}
  - {name: bench scale, readability: 0.1 g, capacity: 3000 g}
droppers: [glass pipette]
accepted error: 5 %
"""

_HEAD = """\
---
code: {code}
title: {title}
kind: cosmetic
status: approved
issue: 2
use: {use}
purpose: {purpose}
makes: {makes} g
ingredients:
{lines}
yield: 9{yield_} %
appearance: even, without grains or drops of oil on a glass plate
equipment:
  - two 600 mL beakers
  - water bath with thermometer
  - stick blender
container: 50 mL aluminium tube
cautions:
  - Try it in the crook of the arm a day before the first use.
storage: {storage}
source:
  - our own, trial {number}
changes:
  2, 2026-02-21: less of the heavy oil, it left prints on paper
  1, 2025-04-05: first written down
---

It has to go in before the drive home and leave no prints on a steering wheel. The first issue did neither, the second does both, and a
third is not planned.

"""

_CREAM = """\
## Method

1. Weigh [the water](amount:{water}) with [one half of the humectant](amount:{wet}*1/2)
   and [the other](amount:{other}) into the larger beaker, cover it, and warm it to 75 °C.
2. Melt phase B, [in all](amount:@B), in the second beaker: first [the emulsifier](amount:{emulsifier}) with [the solid](amount:{solid}),
   then [the first oil](amount:{oil}). Bring it to 75 °C as well, and *do not* let it smoke.
3. Rub [the gum](amount:{gum}) into [the rest of the humectant](amount:{wet}*rest) and leave it for [fifteen minutes](time:15min).
4. Pour B into A and blend for [two minutes](time:2min), the blender held down so that it draws no air. Scrape in the gum and blend
   for [one minute](time:1min) more.
5. Stir by hand until it is below 40 °C, then stir in [the acid](amount:{acid}), [the preservative](amount:{preservative}) and
   [the scent](amount:{aroma}).
6. Check under the lamp on a glass plate: white, even, no beads. Fill the tubes when it is cold, the next morning.

## Notes

| what you see | what it was |
| --- | --- |
| grains after a week | a fat that cooled slowly, stir without a pause |
| water standing on top | phase B was poured in below 70 °C |
| thin as milk | the gum met water before the humectant |

The unscented version leaves out the scent and nothing else. The fill takes up the difference by itself. See also what
[the emulsifier](../materials/{emulsifier}.md) asks for.
"""

_BALM = """\
## Method

1. Melt [the wax](amount:{solid}) in [the first oil](amount:{oil}) at 70 °C. It takes about [a quarter of an hour](time:15min).
2. Melt phase A, [in all](amount:@A), until the last flake is gone, and *never* leave it alone on the plate.
3. Take it off. When the wall of the jug begins to cloud, stir in phase B, [in all](amount:@B): [the scent](amount:{aroma})
   and [the tocopherols](amount:vitamin-e).
4. Leave it alone for [four hours](time:4h). Moved too early, it sets with a crater.
5. Check: a smooth top, no grains between the fingers. Grains mean a fat that cooled too slowly, so melt and pour again.

## Notes

| what you see | what it was |
| --- | --- |
| a crater | it was moved too early |
| grains | it cooled slowly |

Rub it in at home. A pea is enough for both hands. If the oil was old, the balm is old; see
[what the wax asks for](../materials/{solid}.md).
"""


def code(number: int) -> str:
    """Return the code of the formula of that number, from 0."""
    return f"F-{number:04}"


def write_large_book(folder: Path, count: int) -> Path:
    """Write a book of `count` formulas of twelve lines each; one in four uses another, some over three levels."""
    _write_materials(folder)
    for number in range(count):
        _write(folder / "formulas" / f"chapter-{number % 10}" / f"f-{number:04}.md", _formula(number))
    return folder


def write_chain(folder: Path, count: int) -> Path:
    """Write a book of `count` formulas, each of which uses the one before it."""
    _write_materials(folder)
    for number in range(count):
        first = code(number - 1) if number else "olive-oil"
        below = f"{first}: 50 %, {'base' if number else 'emollient'}"
        text = (
            f"---\ncode: {code(number)}\ntitle: Link {number}\nkind: cosmetic\nstatus: approved\nissue: 1\n"
            f"use: intermediate\nmakes: 100 g\ningredients:\n  {below}\n  castor-oil: 1 %, emollient\n"
            f"  jojoba-oil: to 100 g, emollient\nstorage: cupboard, glass, 90 days\n---\n\n## Method\n\n"
            f"1. Stir [the first](amount:{first}), [the second](amount:castor-oil) and [the third](amount:jojoba-oil) together.\n"
        )
        _write(folder / "formulas" / f"f-{number:04}.md", text)
    return folder


def _write(path: Path, text: str) -> None:
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(text, encoding="utf-8")


def _write_materials(folder: Path) -> None:
    _write(folder / "formulas" / "workroom.yaml", WORKROOM)
    for keys, names in _MATERIALS:
        for name in names:
            words = name.replace("-", " ")
            text = (
                f"---\nname: {words}\nlabel: {words.title()}\n{keys}\nsource:\n  - made up for measuring time\n---\n\n"
                "Keep it closed and out of the light. What is left over at the end of the year is thrown away.\n"
            )
            _write(folder / "formulas" / "materials" / f"{name}.md", text)


_MATERIALS = (
    ("function: emollient\nkind: liquid\ndensity: 0.92 g/mL at 20 °C\nwater: 0 %\nsoluble: [oil]", OILS),
    ("function: consistency\nkind: solid\nwater: 0 %\nhazards:\n  - Hot fat clings to skin.", SOLIDS),
    (
        (
            "function: aroma\nkind: liquid\ndensity: 0.89 g/mL at 20 °C\nwater: 0 %\ndrops:\n"
            "  glass pipette: 0.024 g (0.019 to 0.029 g)\nsoluble: [oil, ethanol]\n"
            "hazards:\n  - Undiluted it irritates skin and eyes.\ncautions:\n  - Leave it out for small children."
        ),
        AROMAS,
    ),
    ("function: humectant\nkind: liquid\ndensity: 1.2 g/mL at 20 °C\nwater: 15 %\nsoluble: [water]", WET),
    ("function: powder\nkind: powder\nwater: 0 %\nhazards:\n  - Its dust is not to be breathed in.", POWDERS),
    ("function: emulsifier\nkind: solid\nwater: 0 %", EMULSIFIERS),
    ("function: solvent\nkind: liquid\ndensity: 0.998 g/mL at 20 °C\nwater: 100 %", (WATER,)),
    ("function: thickener\nkind: powder\nwater: 0 %\nhazards:\n  - Its dust is slippery on a wet floor.", (GUM,)),
    ("function: buffer\nkind: liquid\ncontains:\n  lactic acid: 80 %\nwater: 20 %", (ACID,)),
    ("function: preservative\nkind: solid\nwater: 0 %\nsoluble: [water]", PRESERVATIVES),
    (
        "function: antioxidant\nkind: liquid\ndensity: 0.95 g/mL at 20 °C\nwater: 0 %\ndrops:\n  glass pipette: 0.03 g",
        LATE,
    ),
)


def _formula(number: int) -> str:
    chance = Random(number)
    return _balm(number, chance) if number % 4 == 0 else _cream(number, chance)


def _inner(number: int, chance: Random) -> str:
    """Return the code of the balm that a formula uses; empty in three of four formulas."""
    if number % 4 == 1:
        return code(4 * chance.randrange(number // 4 + 1))
    # Every sixteenth is a balm that uses a balm; some of those use one too.
    return code(4 * chance.randrange(number // 4)) if number % 32 == 16 else ""


def _balm(number: int, chance: Random) -> str:
    oils, solids = chance.sample(OILS, 6), chance.sample(SOLIDS, 3)
    aroma, inner = chance.choice(AROMAS), _inner(number, chance)
    makes = chance.choice((100, 150, 250, 300))
    lines = [
        "  A, melt at 70 °C:",
        *(f"    {one}: {chance.randrange(4, 9)} %, consistency" for one in solids),
        f"    {inner or oils[5]}: 12.5 %, emollient",
        *(f"    {one}: {chance.randrange(30, 60) / 10} %, emollient" for one in oils[1:4]),
        f"    {oils[4]}: {makes // 20} g, emollient",
        f"    {oils[0]}: to {makes} g, emollient",
        "  B, off the heat:",
        f"    {aroma}: {chance.randrange(3, 20)} drops, aroma",
        f"    {chance.choice([one for one in AROMAS if one != aroma])}: 0.{chance.randrange(3, 9)} mL, aroma",
        "    vitamin-e: 0.5 %, antioxidant",
    ]
    return _text(
        number, f"Balm {number}", makes, lines, "leave-on, hands, adults", "cupboard, tin, 90 days", chance
    ) + (_BALM.format(solid=solids[0], oil=oils[0], aroma=aroma))


def _cream(number: int, chance: Random) -> str:
    oils, wet = chance.sample(OILS, 3), chance.sample(WET, 2)
    aroma, inner, solid = chance.choice(AROMAS), _inner(number, chance), chance.choice(SOLIDS)
    emulsifier, preservative = chance.choice(EMULSIFIERS), chance.choice(list(PRESERVATIVES))
    makes = chance.choice((100, 200, 250, 500))
    lines = [
        "  A, warm to 75 °C:",
        f"    {WATER}: to {makes} g, solvent",
        f"    {wet[0]}: {chance.randrange(2, 7)} %, humectant",
        f"    {wet[1]}: {makes // 50} g, humectant",
        "  B, warm to 75 °C:",
        f"    {emulsifier}: {chance.randrange(4, 7)} %, emulsifier",
        f"    {solid}: {chance.randrange(20, 60) / 10} %, consistency",
        f"    {oils[0]}: {chance.randrange(5, 12)} %, emollient",
        f"    {inner or oils[1]}: {chance.randrange(3, 9)} %, emollient",
        f"    {oils[2]}: {makes // 25} mL, emollient",
        "  C, cold:",
        f"    {GUM}: 0.{chance.randrange(2, 5)} %, thickener",
        f"    {ACID}: 0.{chance.randrange(2, 5)} % as lactic acid, buffer",
        "  D, below 40 °C:",
        f"    {preservative}: {PRESERVATIVES[preservative]} %, preservative",
        f"    {aroma}: {chance.randrange(3, 20)} drops, aroma",
    ]
    use = "leave-on, hands, adults"
    return _text(
        number, f"Cream {number}", makes, lines, use, "cupboard, aluminium tube, 28 days\npH: 4.4 to 4.7", chance
    ) + (
        _CREAM.format(
            water=WATER,
            wet=wet[0],
            other=wet[1],
            acid=ACID,
            emulsifier=emulsifier,
            solid=solid,
            oil=oils[0],
            gum=GUM,
            preservative=preservative,
            aroma=aroma,
        )
    )


def _text(number: int, title: str, makes: int, lines: list[str], use: str, storage: str, chance: Random) -> str:
    return _HEAD.format(
        code=code(number),
        title=title,
        use=use,
        purpose="evening care for hands that were wet all day",
        makes=makes,
        lines="\n".join(lines),
        yield_=chance.randrange(10),
        storage=storage,
        number=number,
    )
