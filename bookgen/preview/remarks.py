"""Findings in the page, at the place they concern: beside the ingredient's row, below a heading, else at the head.

Enters: a page as it is published, and what was found in its file.  Leaves: the page as the preview shows it.  Why the
finished page is read for it is told in `look/finished.py`.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from markupsafe import Markup

from ..findings import Finding
from ..look.finished import behind_line, below_head, headings_of, with_head_and_foot
from ..look.markup import html_of
from ..look.policy import allowing
from ..model import Formula, Line, Material
from ..shown.phrases import coded
from ..wording.saying import says
from .renewing import SCRIPT

STYLE = """\
.remark{margin:.35rem 0;padding:.1rem 0 .1rem .75rem;border-left:2px solid var(--rule,currentColor);font-size:.9em;\
max-width:46rem;text-align:left}
.remark b{margin-right:.3em;font-style:italic;font-weight:600}
.remark.error{border-left-color:var(--danger,currentColor)}
.remark.error b{color:var(--danger,currentColor)}
tr.remarks>td{text-align:left;white-space:normal;border-top:0}
"""
"""How remarks look; only in the preview."""


def remarked(html: str, item: Formula | Material | None, findings: Iterable[Finding]) -> str:
    """Return a page with what was found in its file."""
    rows = _rows(item) if isinstance(item, Formula) else {}
    at: dict[int, list[str]] = {}
    width: dict[int, int] = {}
    for finding in findings:
        row = rows.get(finding.place.line)
        place = behind_line(html, row) if row is not None else None
        if place is not None:
            width[place[0]] = place[1]
            at.setdefault(place[0], []).append(remark(finding))
            continue
        at.setdefault(_below_heading(html, item, finding.place.line) or below_head(html), []).append(remark(finding))
    parts, done = [], 0
    for position in sorted(at):
        text = "".join(at[position])
        if position in width:
            text = f'<tr class="remarks"><td colspan="{width[position]}">{text}</td></tr>'
        parts += [html[done:position], "\n", text]
        done = position
    return "".join((*parts, html[done:]))


def remark(finding: Finding) -> Markup:
    """Return one finding as a note of its own."""
    line = finding.place.line
    told = says("at-line", line=line, says=finding.says) if line and finding.title else finding.told
    text = html_of(coded(told.words(finding.signs)))
    return Markup('<p class="remark {0}" role="note"><b>{0}</b> {1}</p>').format(str(finding.severity), text)


def dressed(html: str, page: str, shown: str) -> str:
    """Return a page with what the preview alone adds: the look of remarks, and the script that renews the page.

    The script is the same for all pages, so that the policy of a page does not change with what it shows.
    """
    # The empty icon keeps the browser from asking for one.
    head = f'<link rel="icon" href="data:,"><style>{STYLE}</style>'
    foot = Markup('<script data-page="{}" data-shown="{}">{}</script>').format(page, shown, Markup(SCRIPT))
    return with_head_and_foot(allowing(html, SCRIPT), head, foot)


def plain_page(title: str, sentences: Iterable[str], findings: Iterable[Finding], *, language: str, style: str) -> str:
    """Return a page in words, for where no page of the book can stand."""
    said = [Markup("<p>{}</p>").format(html_of(coded(sentence))) for sentence in sentences]
    return Markup(
        '<!DOCTYPE html>\n<html lang="{language}">\n<head>\n<meta charset="utf-8">\n'
        '<meta name="viewport" content="width=device-width, initial-scale=1">\n'
        '<meta name="color-scheme" content="light dark">\n<title>{title}</title>\n<style>{style}</style>\n</head>\n'
        '<body>\n<main>\n<h1>{title}</h1>\n{said}\n{found}\n<p><a href="/index.html">To the contents</a></p>\n'
        "</main>\n</body>\n</html>\n"
    ).format(
        language=language,
        title=title,
        style=Markup(style),
        said=Markup("\n").join(said),
        found=Markup("\n").join(remark(finding) for finding in findings),
    )


# ── Places in the page ────────────────────────────────────────────────────────────────────────────────────────────


def _rows(formula: Formula) -> Mapping[int, int]:
    """Return for each line of the file on which an ingredient stands the number of its row."""
    rows: dict[int, int] = {}
    for number, line in enumerate(formula.lines):
        for place in _lines_of(line):
            rows.setdefault(place, number)
    return rows


def _lines_of(line: Line) -> Iterable[int]:
    """Return the lines of the file that an ingredient takes up: more than one in the long form."""
    places = [line.place, line.amount_place, *line.places.values()]
    last = max(place.line for place in places)
    return range(line.place.line, last + 1) if line.place.line else ()


def _below_heading(html: str, item: Formula | Material | None, line: int) -> int | None:
    """Return where the part of the text that holds a line of the file begins; None for the front matter."""
    above = (
        [section for section in item.body.sections if section.place.line <= line] if item is not None and line else []
    )
    title = above[-1].title.casefold() if above else ""
    if not title:
        return None
    found = headings_of(html)
    exact = next((end for words, end in found if words == title), None)
    return exact if exact is not None else next((end for words, end in found if words.startswith(title)), None)
