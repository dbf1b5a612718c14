"""Words in templates and scripts: they stand there in English, and are turned before anything is made of the text.

Enters: the text of a template or a script.  Leaves: the same in the language that is being spoken, as if it had been
written so.  Words alone are `word("…")`, in a template also within braces of its own, and `word("…", "…")` where one
word means different things.  A sentence with something in it is `{% say %}…{% endsay %}` in a template and spoken`…`
in a script, whose holes `{{ … }}` and `${…}` stand as `{…}` in the tables.  Tags in a sentence are markup of the
template, and stay markup.
"""

from __future__ import annotations

import re

from ..language import key_of, word

_CALL = r'word\("([^"]+)"(?:, "([^"]+)")?\)'
_WORD = re.compile(rf"\{{\{{ {_CALL} \}}\}}|\b{_CALL}")
_SENTENCE = re.compile(r"\{% say %\}(.*?)\{% endsay %\}", re.DOTALL)
_HOLE = re.compile(r"\{\{ (.*?) \}\}")
_SCRIPT_SENTENCE = re.compile(r"\bspoken`([^`]*)`")
_SCRIPT_HOLE = re.compile(r"\$\{([^{}`]*)\}")
_KEPT = re.compile(r"\{([^{}]+)\}")


def template_said(text: str) -> str:
    """Return a template with its words turned; every line stays where it is.

    >>> template_said('<h2>{{ word("Hazards") }}</h2>{% say %}Issue {{ one.issue }}{% endsay %}{{ word("Off")|found }}')
    '<h2>Hazards</h2>Issue {{ one.issue }}{{ "Off"|found }}'
    """

    def sentence(found: re.Match[str]) -> str:
        said = word(key_of_template(found[1]))
        return _KEPT.sub(r"{{ \1 }}", said)

    return _WORD.sub(_word, _SENTENCE.sub(sentence, text))


def script_said(text: str) -> str:
    """Return a script with its words turned.

    >>> script_said('a = word("Start"); b = spoken`${count} of ${all}`;')
    'a = "Start"; b = `${count} of ${all}`;'
    """

    def sentence(found: re.Match[str]) -> str:
        said = word(key_of_script(found[1]))
        return "`" + _KEPT.sub(r"${\1}", said) + "`"

    return _WORD.sub(_word, _SCRIPT_SENTENCE.sub(sentence, text))


def _word(found: re.Match[str]) -> str:
    return word(found[1], found[2] or "") if found[1] else f'"{word(found[3], found[4] or "")}"'


def key_of_template(sentence: str) -> str:
    """Return a sentence of a template as the tables have it."""
    return _HOLE.sub(r"{\1}", sentence)


def key_of_script(sentence: str) -> str:
    """Return a sentence of a script as the tables have it."""
    return _SCRIPT_HOLE.sub(r"{\1}", sentence)


def words_in(text: str, *, script: bool = False) -> list[str]:
    """Return what a template or a script says, as the tables have it, in order.

    >>> words_in('{{ word("Off")|found }} {% say %}Issue {{ one.issue }}{% endsay %}')
    ['Off', 'Issue {one.issue}']
    """
    sentences = _SCRIPT_SENTENCE if script else _SENTENCE
    key = key_of_script if script else key_of_template
    found = [(met.start(), key_of(met[1] or met[3], met[2] or met[4] or "")) for met in _WORD.finditer(text)]
    found += [(met.start(), key(met[1])) for met in sentences.finditer(text)]
    return [words for _, words in sorted(found)]
