"""The text of new files: a formula or a material with its keys as remarks, and the files that a book begins with.

What a key means is the sentence under its field in `model.py`; nothing is worded twice.  Everything written here reads
back as what was asked for.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Sequence

from .. import model
from ..language import ENGLISH, UMLAUTS, spoken_of
from ..wording.saying import Saying
from .amounts import tidy
from .book import WORKROOM
from .desk import Desk
from .editor import key_tables, sentences
from .quotes import quoted
from .records import read_workroom
from .tree import read_tree

LONGEST_STEM = 40
"""Characters of the longest file name, without its ending."""

_PLAIN = re.compile(r"[^\W\d_]([\w ()%&'’.+/–-]|,(?= ))*")
"""Text that YAML reads as it stands, wherever it stands: a letter first, and nothing that begins something else."""
_WORDS = {"null", "true", "false", "yes", "no", "on", "off"}
"""Words that an editor may take for something else than text."""

TAKE_AWAY = "# Take the # away before a key that you need, and write its value in place of the sentence."


_SPELT_OUT = str.maketrans({"ß": "ss", "æ": "ae", "œ": "oe", "ø": "o", "ł": "l", "đ": "d", "þ": "th", "ı": "i"})
"""Letters that come apart into no plain letter and a mark, and how they are usually spelt in plain ones."""


def stem_of(name: str, language: str = ENGLISH) -> str:
    """Return the file name for a name or title, without its ending; empty where no letter or digit is left.

    Source: spelling out ß and, in a book of German `language`, the umlauts is common practice, no source.

    >>> stem_of("Cornflower shaving splash"), stem_of("glycerol 85 %"), stem_of("Crème, très fine"), stem_of("Ωμέγα")
    ('cornflower-shaving-splash', 'glycerol-85', 'creme-tres-fine', '')
    >>> stem_of("Weißes Öl"), stem_of("Weißes Öl", "de-CH")
    ('weisses-ol', 'weisses-oel')
    """
    lower = unicodedata.normalize("NFKC", name).lower().translate(_SPELT_OUT)
    if spoken_of(language) == "de":
        lower = lower.translate(UMLAUTS)
    plain = unicodedata.normalize("NFKD", lower).encode("ascii", "ignore").decode()
    words = re.findall(r"[a-z0-9]+", plain.replace("'", ""))
    stem = ""
    for word in words:
        longer = f"{stem}-{word}" if stem else word[:LONGEST_STEM]
        if len(longer) > LONGEST_STEM:
            break
        stem = longer
    return stem


def written(text: str) -> str:
    """Return a text as a value of YAML: as it stands where that is safe, else in quotes."""
    text = tidy(text)
    safe = _PLAIN.fullmatch(text) and text.lower() not in _WORDS and not text.endswith(",")
    return text if safe else quoted(text)


# ── One new file ──────────────────────────────────────────────────────────────────────────────────────────────────


def formula_text(code: str, title: str) -> str:
    """Return a formula that has its code and title, no ingredient yet, and its other keys as remarks."""
    line = sentences(model.Line)
    known = {
        "code": code,
        "title": written(title),
        "status": model.Status.DRAFT.value,
        "ingredients": f"\n  # material: amount, function\n  # {line['amount']}",
    }
    return _file("formula", known) + "\n## Method\n"


def material_text(name: str) -> str:
    """Return a material of which only the name is known, with its other keys as remarks."""
    return _file("material", {"name": written(name)})


def _file(kind: str, known: dict[str, str]) -> str:
    """Return a front matter: the keys that are known with their values, the others as remarks below them."""
    rows = key_tables()[kind]
    lines = [f"{key}: {known[key]}".replace(": \n", ":\n") for key, _ in rows if key in known]
    remarks = [f"# {key}: {meaning}" for key, meaning in rows if key not in known]
    return "\n".join(["---", *lines, TAKE_AWAY, *remarks, "---", ""])


# ── A new book ────────────────────────────────────────────────────────────────────────────────────────────────────


BALANCE = ("kitchen scale", "1 g", "5000 g")
"""The balance of a workroom that names none: the coarsest that is usual, so that nothing is promised too finely."""
DROPPER = "glass pipette"
TITLE = "My formula book"

FIRST_CODE = "N-01"


def first_files(workroom: str) -> dict[str, str]:
    """Return path → text of the files a book begins with: the workroom, one material, one formula made of it."""
    return {
        WORKROOM: workroom,
        "formulas/materials/beeswax.md": _BEESWAX,
        "formulas/waxes/strained-beeswax.md": _STRAINED,
    }


def workroom_text(
    title: str = TITLE,
    balances: Sequence[tuple[str, ...]] = (BALANCE,),
    droppers: Sequence[str] = (DROPPER,),
    paper: str = model.Paper.A4,
) -> str:
    """Return the workroom file; a balance is its name, its smallest step and, where stated, the most it holds."""
    lines = [f"title: {written(title)}", "balances:"]
    for name, step, *most in balances:
        lines += [f"  - name: {written(name)}", f"    readability: {quoted(step) if ',' in step else step}"]
        lines += [f"    capacity: {quoted(capacity) if ',' in capacity else capacity}" for capacity in most]
    lines += ["droppers:", *(f"  - {written(dropper)}" for dropper in droppers)] if droppers else []
    return "\n".join([*lines, f"paper: {paper}", ""])


def complaint_about(workroom: str) -> Saying | None:
    """Return the first thing that is wrong with the text of a workroom file; None when nothing is."""
    desk = Desk(WORKROOM)
    branch, whole = read_tree(workroom, 1, desk)
    if whole:
        read_workroom(branch, WORKROOM, desk)
    return desk.findings[0].says if desk.findings else None


_BEESWAX = """\
---
name: beeswax
function: consistency
kind: wax
soluble: oil
water: 0 %
source:
  - common practice, no source
---
"""

_STRAINED = f"""\
---
# A line that begins with # is a remark for you and printed nowhere.
code: {FIRST_CODE}
title: Strained beeswax
kind: household
# draft, then trial, then approved.
status: draft
# An ingredient of other formulas, which call it {FIRST_CODE}.
use: intermediate
# What the amounts below make up, and how much of it comes out: the rest stays in the pot and the cloth.
makes: 100 g
yield: 95 %
ingredients:
  # material: amount, function. Other amounts are 5 %, 4 g, 2 mL, 6 drops, 3 parts; "to 100 g" is the rest.
  beeswax: to 100 g, consistency
hazards:
  - Hot wax clings to the skin, so melt it over water and pour it on the bench, never in the hand.
storage: cupboard, closed tin, 2 years
---

Wax without crumbs, in bars, for whatever is made of it.

## Method

1. Melt [the beeswax](amount:beeswax) over hot water and let it stand warm for [fifteen minutes](time:15min).
2. Strain it through a cloth into the moulds and let it set.
"""
