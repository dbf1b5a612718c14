"""HTML that a template has finished, read again: the one place that knows how such text is written.

Whoever wants to know what is said (a digest, a figure, a term of the search, an estimate of length) asks the pieces of
the shown records.  Three have to look at what stands there, whatever printed it, as a book's own templates may print
any words and any columns, and no record tells which:

- `typeset` sets every text of a leaf, the words of the template itself too;
- `fitting` asks whether a table as it was printed is wider than its sheet, and whether any word is;
- the preview puts a remark into the page as it is published: a template that prints no notes would lose it.

A page that is handed on stands behind another in one file, and leads nowhere that is not in it: `named_apart` and
`dead_end` see to that.

Texts and tags come apart by signs alone, which is right for HTML in which `<` and `>` of a text are escaped, as all
that templates print is.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from html import unescape

_TAG = re.compile(r"(<[^>]*>)")
_TAG_OR_UNSHOWN = re.compile(r"(<style\b.*?</style>|<title\b.*?</title>|<[^>]*>)", re.DOTALL)
_TABLES = {
    "text": re.compile(r'<table class="text">.*?</table>', re.DOTALL),
    "ingredients": re.compile(r'<table class="ingredients[^"]*">.*?</table>', re.DOTALL),
}
_ROW = re.compile(r"<tr\b.*?</tr>", re.DOTALL)
_LINE = re.compile(r'<tr\b[^>]*class="line">.*?</tr>', re.DOTALL)
_CELL = re.compile(r"<t[hd]\b[^>]*>(.*?)</t[hd]>", re.DOTALL)
_COLUMN = re.compile(r'<t[hd]\b[^>]*class="([^"]*)">(.*?)</t[hd]>', re.DOTALL)
_ROW_ENDS = re.compile(r"</tr>|(?=<tr\b|</?tbody\b|</table>)")
"""Where a row of a page ends, which leaves out the end of a row (`light`)."""
_NOTE = re.compile(rf'\s*<tr class="?note.*?(?:{_ROW_ENDS.pattern})', re.DOTALL)
_HEADING = re.compile(r"<h2[^>]*>(.*?)</h2>", re.DOTALL)


def parts_of(html: str) -> list[str]:
    """Return texts and tags in turn; a tag begins with `<`, a text never does."""
    return _TAG.split(html)


def with_text(html: str, set_: Callable[[str], str]) -> str:
    """Return a document with each text that is shown set otherwise: not its title, not its style."""
    return "".join(part if part.startswith("<") else set_(part) for part in _TAG_OR_UNSHOWN.split(html))


def words_of(html: str) -> str:
    """Return what is read, its signs still written as in HTML."""
    return _TAG.sub("", html)


def with_tables(html: str, kind: str, set_: Callable[[str], str]) -> str:
    """Return HTML with its tables of a text, or of ingredients, set otherwise."""
    return _TABLES[kind].sub(lambda found: set_(found[0]), html)


def crowded(table: str, kind: str) -> str:
    """Return a table marked as crowded."""
    return table.replace(f'class="{kind}', f'class="{kind} crowded', 1)


def rows_of(table: str) -> Iterator[list[str]]:
    """Yield what each row reads, cell by cell."""
    for row in _ROW.findall(table):
        yield [words_of(cell) for cell in _CELL.findall(row)]


def columns_of(table: str) -> Iterator[tuple[str, str]]:
    """Yield column and words of each cell of the lines of ingredients."""
    for line in _LINE.findall(table):
        for kind, cell in _COLUMN.findall(line):
            yield kind, words_of(cell)


def behind_line(html: str, number: int) -> tuple[int, int] | None:
    """Return where the row of an ingredient and its notes end, and its number of cells; None where it has no row."""
    start = html.find(f'<tr id="line-{number}"')
    ends = _ROW_ENDS.search(html, start + 1) if start >= 0 else None
    if ends is None:
        return None
    cells, end = len(re.findall(r"<t[hd][ >]", html[start : ends.end()])), ends.end()
    while note := _NOTE.match(html, end):
        end = note.end()
    return end, cells


def headings_of(html: str) -> list[tuple[str, int]]:
    """Return the headings of the parts of a page, in small letters, and where what they stand above begins."""
    return [
        (" ".join(unescape(words_of(heading[1])).split()).casefold(), heading.end())
        for heading in _HEADING.finditer(html)
    ]


def below_head(html: str) -> int:
    """Return where the head of a page ends: the header that holds its title, else the title."""
    title = html.find("<h1")
    for mark in ("</header>", "</h1>"):
        found = html.find(mark, title) if title >= 0 else -1
        if found >= 0:
            return found + len(mark)
    main = html.find("<main")
    return html.find(">", main) + 1 if main >= 0 else len(html)


def with_head_and_foot(html: str, head: str, foot: str) -> str:
    """Return a page with more at the end of its head and of its body."""
    head, foot = f"{head}\n</head>", f"{foot}\n</body>"
    html = html.replace("</head>", head, 1) if "</head>" in html else f"{head}{html}"
    before, found, after = html.rpartition("</body>")
    return f"{before}{foot}{after}" if found else f"{html}{foot}"


def replaceable(html: str) -> bool:
    """Tell whether a page of the program's own theme may be written over one that stands in a browser.

    Pictures and scripts in files of their own would come from what the browser holds of them; a script that is no
    function of its own may leave names behind that it cannot give twice.

    >>> replaceable("<script>(() => go())()</script>"), replaceable("<script>const a = 1</script>")
    (True, False)
    >>> replaceable("<p><img src=a.png>"), replaceable("<script src=terms.js></script>")
    (False, False)
    """
    return _LOADS_OR_LEAVES.search(html) is None


_LOADS_OR_LEAVES = re.compile(r"<ima?ge?\b|<script(?! type=)[^>]*>(?!\()", re.IGNORECASE)


_NAMES = re.compile(r"\b(id|for|headers|aria-(?:labelledby|describedby|controls))=(\"[^\"]*\"|[^\s>\"]+)")
_JUMP = re.compile(r"\b((?:xlink:)?href=\"?#|url\(#)([^\s>\"')]+)")
_FOLLOWS = re.compile(r"\s+data-(?:hole|notes)=(?:\"[^\"]*\"|[^\s>\"]+)")


def named_apart(html: str, prefix: str) -> str:
    """Return a page to stand behind another: its names and its own jumps with a prefix, and nothing a script follows.

    >>> named_apart('<h2 id="hazards">id="x"</h2><a href="#text">up</a><td data-hole=grams>', "n-")
    '<h2 id="n-hazards">id="x"</h2><a href="#text">up</a><td>'
    """
    own = {name for tag in _TAG.findall(html) for name in _names_in(tag)}

    def apart(tag: str) -> str:
        tag = _FOLLOWS.sub("", tag)
        tag = _JUMP.sub(lambda met: f"{met[1]}{prefix if met[2] in own else ''}{met[2]}", tag)
        return _NAMES.sub(lambda met: f"{met[1]}={_prefixed(met[2], prefix)}", tag)

    return "".join(apart(part) if part.startswith("<") else part for part in parts_of(html))


def _prefixed(value: str, prefix: str) -> str:
    quote = '"' if value.startswith('"') else ""
    return quote + " ".join(prefix + name for name in value.strip('"').split()) + quote


def _names_in(tag: str) -> Iterator[str]:
    yield from (value.strip('"') for kind, value in _NAMES.findall(tag) if kind == "id")


_SCRIPT = re.compile(r"<script\b.*?</script>", re.DOTALL | re.IGNORECASE)
_WAY = re.compile(r"\b(?:xlink:)?(?:href|src|action|data|poster|srcset)=(\"[^\"]*\"|[^\s>\"]+)", re.IGNORECASE)
_LOADED = re.compile(r"url\((?:\"([^\"]*)\"|'([^']*)'|([^)\"']*))\)")
_ABROAD = ("http:", "https:", "mailto:", "data:")


def dead_end(html: str) -> str:
    """Return the first address in a page that leads to nothing in it and to no place in the world; empty for none.

    >>> dead_end('<p id=a><a href="#a">x</a><a href=https://example.org>y</a>'), dead_end("<a href=../b.html>x</a>")
    ('', '../b.html')
    """
    html = _SCRIPT.sub("", html)
    tags = _TAG.findall(html)
    names = {name for tag in tags for name in _names_in(tag)}
    ways = [unescape(value.strip('"')) for tag in tags for value in _WAY.findall(tag)]
    ways += ["".join(met) for met in _LOADED.findall(html)]
    for way in ways:
        if not (way.startswith(_ABROAD) or (way.startswith("#") and way[1:] in names)):
            return way
    return ""
