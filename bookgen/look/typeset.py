"""Words on paper: signs and spaces as a compositor sets them, in HTML that is otherwise finished.

Enters: HTML of a sheet; `finished.py` tells why it is read.  Leaves: the same HTML; only its text between the tags is
set, never an address, an exact value or code.  The pages of the site stay as they are: there a line may break anywhere,
a sheet is read at arm's length for years.  Every rule leaves a text alone that is set already.

Source: common practice, no source; the narrow space between number and unit as in `show`.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable
from functools import lru_cache

from markupsafe import Markup, escape

from ..show import MINUS, NBSP, THIN
from .finished import parts_of

_UNITS = (
    r"(?:%(?:vol)?|‰|°[CF]?|[µμ]g|mg|kg|g|[µμ][Ll]|m[Ll]|[cd]L|L|nm|[µμ]m|mm|cm|m|mol|mPa·s|Pa|bar|rpm|ppm|min|h|s|d)"
    r"(?![A-Za-z])"
)
_WORDS = (
    r"(?:drops?|parts?|grams?|seconds?|minutes?|hours?|days?|weeks?|months?|years?|litres?|times"
    r"|Tropfen|Teile?|Gramm|Sekunden?|Minuten?|Stunden?|Tage?|Wochen?|Monate?|Jahre?|Liter|Mal)\b"
)
_CITED = r"(?:pH|[Ss]teps?|[Pp]hases?|[Ss]heets?|[Ii]ssues?|Schritt|Ausgabe|Blatt)"
_VERBATIM = re.compile(r"<(/?)(code|pre|table)\b")
_LETTERS = re.compile(r"[^\W\d_]{6,}")
_NUMBER = re.compile(r"([^\W\d_]\.?) (?=\d)")
"""The space before the number in a name, such as that of polysorbate 80."""
_SPACE = "[ \u00a0\u202f]"

_RULES: tuple[tuple[re.Pattern[str], str], ...] = (
    # Signs that a keyboard lacks.
    (re.compile(r"[º˚](?=[CF]\b)"), "°"),
    (re.compile(r"\+/-"), "±"),
    (re.compile(rf"(?<![\w~])~{_SPACE}?(?=\d)"), f"≈{NBSP}"),
    (re.compile(rf"(?<=\d)({_SPACE}?)[xX*]\1(?=\d)(?<!\b0x)"), f"{THIN}×{THIN}"),
    (re.compile(rf"(?<![\w)\]./-])-(?=\d+(?:[.,]\d+)?{_SPACE}?{_UNITS})"), MINUS),
    (re.compile(rf"(?<![\w.,-])(\d+(?:[.,]\d+)?)-(?=\d+(?:[.,]\d+)?{_SPACE}?{_UNITS})"), "\\1–"),
    # What belongs together.
    (re.compile(rf"(?<=\d){_SPACE}(?={_UNITS})"), THIN),
    (re.compile(r"(?<=\d)(?=(?:%|‰|°C|[µm]?g|kg|[µm]L|min|mm|cm)(?![A-Za-z]))"), THIN),  # not the nineties, `90s`
    (re.compile(rf"(?<=\d) (?={_WORDS})"), NBSP),
    (re.compile(rf"\b({_CITED}) (?=(?:\d|[A-Z]\b))"), f"\\1{NBSP}"),
    (re.compile(r"\b(At) (?=most\b)"), f"\\1{NBSP}"),
    (re.compile(r"([≈±÷×<≤≥]) (?=\d)"), f"\\1{NBSP}"),
)
_FRACTION = re.compile(r"(?<![\w/.,-])(\d{1,2})/(\d{1,2})(?![\w/.,-])")
_KEPT = re.compile(
    rf"(?<![\w-])(?:\d{{4}}-\d\d-\d\d|(?=[\d-]*[A-Z])[A-Z0-9]+(?:-[A-Z0-9]+)+|\d+(?:[.,]\d+)?–\d[^\s]*"
    rf"|\d+(?:[.,]\d+)?{THIN}[A-Za-zµμ]+/[A-Za-z0-9]+|[wv]/[wv])(?![\w-])"
)
"""A date, a code, a range, a number with a unit that has a stroke: no line ends within one."""
_AMOUNT = re.compile(r'([\w’\'-]{1,30})?(?: |&nbsp;|\u00a0)(<b class="amount"[^>]*>(?:(?!<b\b).)*?</b>)([,.;:)!?]*)')
_FIGURE = re.compile(r'<data [^>]*>[^<]*</data>[\u00a0\u202f]<span class="unit">[^<]*</span>')


def typeset(html: str, names: Iterable[str] = ()) -> Markup:
    """Return HTML with its text set; what is not marked as HTML is words, and escaped first.

    Words of the names are not hyphenated in prose; a table hyphenates nothing.  A number in one stays with its word.

    >>> typeset(Markup('<p title="5 g">5 g at 40-45 °C</p>')).replace(THIN, "_")
    Markup('<p title="5 g">5_g at <span class="kept">40–45</span>_°C</p>')
    >>> typeset("<i>")
    Markup('&lt;i&gt;')
    """
    html = str(escape(html))  # plain text for the patterns: marked text would be escaped once more
    html = _FIGURE.sub(r'<span class="kept">\g<0></span>', html)
    html = _AMOUNT.sub(_with_its_word, html)
    names = tuple(names)
    named, numbered = _words_of(names), _numbered(names)
    parts, verbatim, table = [], 0, 0
    for part in parts_of(html):
        if part.startswith("<"):
            tag = _VERBATIM.match(part)
            verbatim += (-1 if tag[1] else 1) if tag and tag[2] != "table" else 0
            table += (-1 if tag[1] else 1) if tag and tag[2] == "table" else 0
        elif part and not verbatim:
            part = _text(part)
            if numbered:
                part = _outside(part, numbered, lambda found: f"{found[0][:-1]}{NBSP}")
            if named and not table:
                part = _outside(part, named, lambda found: f'<span class="name-word">{found[0]}</span>')
        parts.append(part)
    return Markup("".join(parts))


def _words_of(names: Iterable[str]) -> re.Pattern[str] | None:
    """Return what finds the words of names that are long enough to be hyphenated."""
    words = {word.casefold() for name in names for word in _LETTERS.findall(name)}
    return re.compile(rf"\b(?:{'|'.join(sorted(words))})\b", re.IGNORECASE) if words else None


def _numbered(names: Iterable[str]) -> re.Pattern[str] | None:
    """Return what finds the words of names that a number follows, with the space between the two."""
    pairs = {pair.casefold() for name in names for pair in _WITH_NUMBER.findall(name)}
    words = (rf"{re.escape(word)} (?={re.escape(number)}(?!\w))" for word, number in map(str.split, sorted(pairs)))
    return re.compile(rf"\b(?:{'|'.join(words)})", re.IGNORECASE) if pairs else None


_WITH_NUMBER = re.compile(r"[^\W\d_]+\.? \d[\d.,]*")


def whole(html: str) -> Markup:
    """Return the HTML of one name, in which no line ends between a word and the number behind it.

    >>> whole(Markup('<a href="a 8">polysorbate 80</a>')).replace(NBSP, "_")
    Markup('<a href="a 8">polysorbate_80</a>')
    """
    return Markup("".join(
        part if part.startswith("<") else _NUMBER.sub(rf"\1{NBSP}", part) for part in parts_of(str(escape(html)))
    ))  # fmt: skip


@lru_cache(maxsize=10_000)
def _text(text: str) -> str:
    """Return a text between two tags, set; most stand on many sheets."""
    for pattern, set_ in _RULES:
        text = pattern.sub(set_, text)
    text = _outside(text, _KEPT, lambda found: f'<span class="kept">{found[0]}</span>')
    return _outside(text, _FRACTION, _fraction)


def _with_its_word(found: re.Match[str]) -> str:
    """Return an amount in one piece with the word before it and the stop behind it: `beeswax 150.00 g,`."""
    return f'<span class="kept">{found[1] or ""}{NBSP}{found[2]}{found[3]}</span>'


def _outside(text: str, pattern: re.Pattern[str], set_: Callable[[re.Match[str]], str]) -> str:
    """Return the text with a pattern set where it stands outside the tags that were put in before."""
    return "".join(part if part.startswith("<") else pattern.sub(set_, part) for part in parts_of(text))


def _fraction(found: re.Match[str]) -> str:
    """Return a proper fraction in the figures that the type has for it; a ratio such as 3/2 stays as typed."""
    return f'<span class="fraction">{found[0]}</span>' if int(found[1]) < int(found[2]) else found[0]
