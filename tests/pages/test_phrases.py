"""Pieces, and what each printer makes of them; and that no shown record holds HTML."""

from __future__ import annotations

import re
from dataclasses import fields
from importlib import import_module
from pkgutil import walk_packages
from typing import Any, get_args, get_type_hints

import pytest
from jinja2 import DictLoader, Environment, StrictUndefined, Template, UndefinedError
from jinja2.exceptions import SecurityError
from markupsafe import Markup

import bookgen.pages
from bookgen.look.deflated import deflated
from bookgen.look.markup import BARE, PAGE
from bookgen.look.templates import Templates
from bookgen.model import Body, Section
from bookgen.show import NBSP, POINT, THIN
from bookgen.shown.body import pen_for, prose_of
from bookgen.shown.phrases import (
    Amount,
    Data,
    Duration,
    Figure,
    Image,
    LinkTo,
    Paragraph,
    PeriodFigure,
    Phrase,
    Prose,
    Stressed,
    joined,
    phrase,
)
from bookgen.shown.plain import as_text, in_one_line
from bookgen.source.blocks import blocks_of
from bookgen.source.body import _MARKDOWN
from bookgen.written import Code, Divide, LineBreak

FIGURE = Figure(text="2.67", value="8/3", name="line-1.metered", unit="g")

INLINE = {
    "text": ("a < b", "a &lt; b", "a &lt; b", "a < b"),
    "a figure": (
        FIGURE,
        f'<data data-figure="line-1.metered" value="8/3">2.67</data>{THIN}<span class="unit">g</span>',
        f'<data>2.67</data>{THIN}<span class="unit">g</span>',
        f"2.67{THIN}g",
    ),
    "less than shows": (
        Figure(text="0.004", value="1/250", name="line-1.grams", unshown=True),
        '(<data data-figure="line-1.grams" value="1/250">0.004</data>)',
        "(<data>0.004</data>)",
        "(0.004)",
    ),
    "what is usual, in drops": (
        Figure(text="5", value="5", name="f", unit="drops", about=True),
        (f'<span class="about">≈{NBSP}</span><data data-figure="f" value="5">5</data>{NBSP}'
        '<span class="unit">drops</span>'),
        f'<span class="about">≈{NBSP}</span><data>5</data>{NBSP}<span class="unit">drops</span>',
        f"≈{NBSP}5{NBSP}drops",
    ),
    "a period": (
        PeriodFigure("period", "P14D", "14 days"),
        '<time data-figure="period" datetime="P14D">14 days</time>',
        "<time>14 days</time>",
        "14 days",
    ),
    "code": (
        Code('"b" <c>'),
        "<code>&quot;b&quot; &lt;c&gt;</code>", "<code>&quot;b&quot; &lt;c&gt;</code>", '"b" <c>'),
    "a duration": (
        Duration("PT5M", ("a while",), "5 minutes"),
        '<time class="duration" datetime="PT5M">a while</time> <span class="beside">(5 minutes)</span>',
        '<time class="duration">a while</time> <span class="beside">(5 minutes)</span>',
        "a while (5 minutes)",
    ),
    "an amount": (
        Amount(3, ("up to ", FIGURE), known=True),
        f' <b class="amount" data-link="3">up to {PAGE.figure(FIGURE)}</b>',
        f'&nbsp;<b class="amount">up to {BARE.figure(FIGURE)}</b>',
        f"{NBSP}up to 2.67{THIN}g",
    ),
    "no amount": (
        Amount(3, ("why",), known=False),
        ' <span class="amount unknown" data-link="3">why</span>',
        ' <span class="amount unknown">why</span>',
        " why",
    ),
    "a link out of the book": (
        LinkTo("https://example.org/?a&b", (Stressed(("there",), strong=True),), outside=True),
        '<a href="https://example.org/?a&amp;b" rel="noreferrer"><strong>there</strong></a>',
        "<a><strong>there</strong></a>",
        "there",
    ),
    "a picture": (
        Image("p.png", 'a "jar"'),
        '<img src="p.png" alt="a &#34;jar&#34;" loading="lazy">',
        '<img src="p.png" alt="a &#34;jar&#34;">',
        "",
    ),
    "a line that ends": (LineBreak(), "<br />\n", "<br>\n", "\n"),
}  # fmt: skip
"""A piece → as a page prints it, bare of what no paper shows, and as plain text."""


@pytest.mark.parametrize("name", INLINE)
def test_each_piece_in_each_medium(name: str) -> None:
    piece, page, bare, plain = INLINE[name]
    shown = Phrase((piece,))
    assert (PAGE.text(shown), BARE.text(shown), as_text(shown)) == (page, bare, plain)


def test_a_template_takes_pieces_and_never_reads_what_it_is_given() -> None:
    said = phrase("Use `bookgen x` of {what}, {number} times.", what=Phrase(("{number} <", FIGURE)), number=2)
    assert in_one_line(said) == "Use bookgen x of {number} <2.67 g, 2 times."
    assert said.parts[1] == Code("bookgen x")
    assert joined(" and ", ["a", FIGURE]).parts == ("a", " and ", FIGURE)


# ── Blocks ────────────────────────────────────────────────────────────────────────────────────────────────────────

TEXTS = {
    "1. a\n2. b\n   - c\n   - d": "<ol>\n<li>a</li>\n<li>b\n<ul>\n<li>c</li>\n<li>d</li>\n</ul>\n</li>\n</ol>",
    "3) a\n\n4) b": '<ol start="3">\n<li>\n<p>a</p>\n</li>\n<li>\n<p>b</p>\n</li>\n</ol>',
    "-\n- a\n  ***\n- # b\n  c": "<ul>\n<li></li>\n<li>a\n<hr />\n</li>\n<li>\n<h3>b</h3>\nc</li>\n</ul>",
    "- a\n  > b": "<ul>\n<li>a\n<blockquote>\n<p>b</p>\n</blockquote>\n</li>\n</ul>",
    "- a\n  ```x y\n  <\n  ```": '<ul>\n<li>a<pre><code class="language-x">&lt;\n</code></pre>\n</li>\n</ul>',
    ">": "<blockquote></blockquote>",
    "    a": "<pre><code>a\n</code></pre>",
    "#### a *b* <i>": "<h4>a <em>b</em> &lt;i&gt;</h4>",
    "|a|b|\n|-|-:|\n|c|": '<div class="wide" role="group" aria-label="Table" tabindex="0">'
    '<table class="text">\n<thead>\n'
    '<tr>\n<th>a</th>\n<th style="text-align:right">b</th>\n</tr>\n</thead>\n<tbody>\n'
    '<tr>\n<td>c</td>\n<td style="text-align:right"></td>\n</tr>\n</tbody>\n</table></div>',
    "|a|\n|-|": '<div class="wide" role="group" aria-label="Table" tabindex="0"><table class="text">\n<thead>\n'
    "<tr>\n<th>a</th>\n</tr>\n</thead>\n</table></div>",
}  # fmt: skip
"""Markdown → as a page prints it, by the rules of CommonMark."""


@pytest.mark.parametrize("text", TEXTS)
def test_blocks_are_printed_as_commonmark_has_them(text: str) -> None:
    section = Section(blocks=blocks_of(_MARKDOWN.parse(text)))
    prose = prose_of(section, pen_for(Body(), (), str, str, POINT))
    assert PAGE.text(prose) == TEXTS[text]


# ── No HTML in a record ───────────────────────────────────────────────────────────────────────────────────────────


def kinds_in(hint: Any) -> set[Any]:
    """Return every type that stands in an annotation."""
    inner = [kind for one in get_args(hint) for kind in kinds_in(one)]
    return {hint, *inner}


def test_no_shown_record_holds_html() -> None:
    held = set()
    for module in walk_packages(bookgen.pages.__path__, "bookgen.pages."):
        if module.name.rpartition(".")[2] in ("shown", "phrases"):
            for name, record in vars(import_module(module.name)).items():
                if isinstance(record, type) and hasattr(record, "__dataclass_fields__"):
                    hints = get_type_hints(record)
                    held |= {f"{name}.{one.name}" for one in fields(record) if Markup in kinds_in(hints[one.name])}
    assert not held


# ── In a template ─────────────────────────────────────────────────────────────────────────────────────────────────


@pytest.mark.parametrize(
    ("shown", "printed"),
    [
        ("a < b", "a &lt; b"),
        (Markup("a <b>b</b>"), "a <b>b</b>"),
        (Phrase(("of ", FIGURE, " <")), f"of {PAGE.figure(FIGURE)} &lt;"),
        (Prose((Paragraph(("a",)), Divide())), "<p>a</p>\n<hr />"),
        (FIGURE, PAGE.figure(FIGURE)),
        (Data('{"a":"</script>"}'), deflated('{"a":"</script>"}')),
        (3, "3"),
        ((), "()"),
    ],
)
def test_a_template_prints_pieces_as_html_and_escapes_plain_text(shown: object, printed: str) -> None:
    """The template library lets one replace how a value is printed only in a method that its own writers of native
    types replace too; should a version call it otherwise, a phrase stands here as the record it is."""
    templates = Templates(lambda name: ("{{ shown }}{% set x %}{{ shown }}{% endset %}{{ x }}", name))
    assert templates.get_template("t").render(shown=shown) == printed * 2
    const = Templates(lambda name: ("{{ 'a < b' }}{{ 3 }}", name))
    assert const.get_template("t").render() == "a &lt; b3"


MACROS = (
    "{% macro m(a, b=1, c='-') %}{{ a }}{{ b }}{{ c }}{% endmacro %}"
    "{% macro v(a) %}{{ a }}{{ varargs[0] }}{{ kwargs.d }}{% endmacro %}"
    "{% macro w(a) %}{{ a }}{{ 'yes' if caller else 'no' }}{% endmacro %}"
)


@pytest.mark.parametrize("imported", [False, True])
@pytest.mark.parametrize(
    ("call", "printed"),
    [
        ("m('<', 2)", "=&lt;2-="),
        ("m('<', c=m(1, 2))", "=&lt;112-="),  # what a macro returns is escaped once
        ("m('<', c=m('<', 2))", "=&lt;1&lt;2-="),
        ("v(1, 2, d=3)", "=123="),
        ("m(b=1)", "parameter 'a' was not provided"),
        ("m(1, a=2)", "takes no keyword argument 'a'"),
        ("m(1, d=2)", "takes no keyword argument 'd'"),
        ("m(1, 2, 3, 4)", "takes not more than 3 argument"),
        ("w(1)", "No caller defined"),
    ],
)
def test_a_macro_is_called_as_the_template_library_calls_it(call: str, printed: str, imported: bool) -> None:
    """The usual call goes to the macro's own lines at once, which the library does not promise."""
    text = f"{MACROS}{{{{ {call} }}}}"
    if imported:
        text = "{% import 'macros' as all %}{{ " + re.sub(r"([mvw])[(]", r"all.\1(", call) + " }}"
    texts = {"macros": MACROS, "t": text}
    theirs = Environment(autoescape=True, undefined=StrictUndefined, loader=DictLoader(texts))
    for templates in (Templates(lambda name: (texts[name], name)), theirs):
        assert printed in _rendered(templates.get_template("t"))


M = "{% macro m(n=1) %}<{{ n }}>{% endmacro %}"


@pytest.mark.parametrize(
    "text",
    [
        M + "{% macro k(m) %}{{ m }}{% endmacro %}{{ k(2) }}{{ m() }}",
        M + "{% for m in [2, 3] %}{{ m }}{% endfor %}{{ m() }}",
        M + "{% with m = 2 %}{{ m }}{% endwith %}{{ m() }}",
        M + "{% macro m() %}2{% endmacro %}{{ m() }}",
        M + "{% if true %}{% macro m() %}2{% endmacro %}{% endif %}{{ m() }}",
        M + "{% if true %}{% set m = 2 %}{% endif %}{{ m }}",
        M + "{% set m %}2{% endset %}{{ m }}",
        M + "{% set k, m = 2, 3 %}{{ m }}",
        M + "{% macro k(n) %}{{ m(n) }}{{ k(n - 1) if n else '' }}{% endmacro %}{{ k(2) }}",
        M + "{% set x = m() %}{{ x }}{{ m()|length }}{{ m() ~ '<' }}",
        M + "{% import 't' as m %}{{ m is string }}",
        M + "{% block b %}{{ m is defined }}{% endblock %}{{ m() }}",
        M + "{% autoescape false %}{{ m() ~ '<' }}{{ '<' }}{% endautoescape %}",
        "{% macro k() %}{{ m(2) }}{% endmacro %}" + M + "{{ k() }}{{ k is defined }}",
        "{{ m is defined }}" + M,
    ],
)
def test_a_name_means_what_it_means_to_the_template_library(text: str) -> None:
    """A macro of the template's own is called as the function that it is; where a name may mean anything else, not."""
    theirs = Environment(autoescape=True, loader=DictLoader({"t": text if "import" not in text else M, "s": text}))
    ours = Templates(lambda name: (theirs.loader.get_source(theirs, name)[0], name))  # type: ignore[union-attr]
    assert _rendered(ours.get_template("s")) == _rendered(theirs.get_template("s"))


def test_a_macro_that_is_not_there_yet_is_told_by_its_name() -> None:
    made = Templates(lambda name: ("{{ m() }}" + M, name)).get_template("t")
    assert _rendered(made) == "nothing here is called `m`"


def test_a_loop_tells_its_place() -> None:
    text = "{% for x in 'ab' %}{{ loop.index }}{{ loop.first }}{{ loop.last }}{{ loop.length }}{% endfor %}"
    assert Templates(lambda name: (text, name)).get_template("t").render() == "1TrueFalse22FalseTrue2"
    inner = Templates(lambda name: ("{% for x in 'ab' %}{{ loop.__class__ }}{% endfor %}", name)).get_template("t")
    assert _rendered(inner) == "a template may not reach `__class__`"


FIELDS = {
    "x.text": "a|a|b|own",  # a record of one kind, the same once more, one of another kind, no record
    "x.class": "nothing here is called `class`",
    "x.text.text": "nothing here is called `text`",
    "x.__class__": "a template may not reach `__class__`",
    "x.text.__class__": "a template may not reach `__class__`",
    "x._replace": "nothing here is called `_replace`",
    "x.texts": "nothing here is called `texts`; perhaps text is meant",
    "(x.text, x.text)[1].upper()": "A|A|B|OWN",
}


@pytest.mark.parametrize("asked", FIELDS)
def test_a_field_is_read_as_the_sandbox_lets_it_whatever_was_read_before(asked: str) -> None:
    """A template reads a field itself once a record of that kind was asked for it; of all else the sandbox is asked."""
    given = [Code("a"), Code("a"), Figure(text="b", value="1", name="n"), {"text": "own"}]
    text = f"{{% for x in given %}}{{{{ x.text and {asked} }}}}|{{% endfor %}}"
    made = Templates(lambda name: (text, name)).get_template("t")
    try:
        printed = made.render(given=given).removesuffix("|")
    except (SecurityError, UndefinedError) as reason:
        printed = str(reason)
    assert printed == FIELDS[asked]


def _rendered(made: Template) -> str:
    """Return what a template prints, or why it does not."""
    try:
        return f"={made.render()}="
    except (TypeError, SecurityError, UndefinedError) as reason:
        return str(reason)


def test_a_template_reaches_the_fields_of_a_record_and_no_more() -> None:
    def rendered(text: str) -> str:
        return Templates(lambda name: (text, name)).get_template("t").render(one=FIGURE)

    assert rendered("{{ one.text }} {{ one.unit }}") == "2.67 g"
    for text, words in (("{{ one.__class__ }}", "may not reach"), ("{{ one.txt }}", "nothing here is called `txt`")):
        with pytest.raises(Exception, match=words):
            rendered(text)
