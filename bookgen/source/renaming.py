"""A formula gets another code, or a material another name, wherever the book calls it so; nothing else is touched.

What follows: the file itself, lines, `amount:` links, and links to the file of a material, which bears the name.  What
stays: a batch number stands on jars, so batch records keep their number and their lines and find the new name by
`formerly`, while a link in their remarks follows as any other; earlier issues keep every byte; the record of the binder
tells what is printed on the paper in it, and that is the old code until the new sheet is filed: by `formerly` it is
compared with the formula under its new one.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping
from functools import partial
from posixpath import dirname

from ..findings import Severity
from ..model import Book, DecimalSign, Formula, Line, Material
from ..wording.saying import Saying, says
from .book import front_alone
from .codes import name_complaint
from .links import path_in_book
from .naming import hint_in
from .writing import FileChange

_LINE = re.compile(r"[^\r\n]*(?:\r\n|\r|\n|\Z)")
_FORMERLY = re.compile(r"^formerly[ \t]*:[ \t]*(\[?)([A-Za-z0-9, \t-]*?)(\]?)[ \t]*(\r\n|\r|\n)", re.MULTILINE)
_OPENED = re.compile(r"\ufeff?(?:[ \t]*(?:\r\n|\r|\n))*---[ \t]*(\r\n|\r|\n)")
_ADDRESS = re.compile(r"(\]\(\s*<?|^ {0,3}\[[^\]\r\n]+\]:[ \t]*<?)([^\s()<>]+)", re.MULTILINE)
_AMOUNT = re.compile(r"(amount:)([^@*\s]*)(.*)", re.IGNORECASE | re.DOTALL)
_FENCED = re.compile(
    r"^(?: {0,3}(?P<fence>`{3,}|~{3,})[^\r\n]*$.*?^ {0,3}(?P=fence)|(?: {4}|\t)[^\r\n]*$)", re.M | re.S
)


class CannotRename(Exception):
    """Nothing was changed; the text is a sentence for the user."""

    def __init__(self, told: Saying) -> None:
        super().__init__(str(told))
        self.says = told


def renamed(book: Book, contents: Mapping[str, bytes], name: str, new: str) -> tuple[FileChange, ...]:
    """Return what each file becomes when what is called `name` is called `new`.

    `contents` maps the path of every Markdown file of the book to its bytes.  Raises CannotRename.
    """
    item = book.find(name)
    if item is None:
        raise CannotRename(says("nothing-to-rename", name=name, hint=hint_in(book, name)))
    old = item.code if isinstance(item, Formula) else item.key
    _must_be_free(book, item, old, new)
    _must_be_whole(book, contents, old)
    target = item.path if isinstance(item, Formula) else f"{dirname(item.path)}/{new}.md"
    if target != item.path and target in contents:
        raise CannotRename(says("new-name-taken", name=new, what=target))
    found: list[FileChange] = []
    for path, content in contents.items():
        text = _text(path, content, old)
        record = next((record for record in _records(book) if record.path == path), None)
        if isinstance(record, Formula):
            own = _as_written(record, path, content, comma=book.workroom.decimal is DecimalSign.COMMA)
            text = _with_lines(text, [line for line in own.lines if _is(line.material, old)], old, new)
            text = _with_bases(text, own, old, new)
        text = _with_addresses(text, partial(_address, path=path, item=item, old=old, new=new))
        if path == item.path:
            text = _own(text, item, old, new, _is_on_record(book, old))
        if path == item.path and target != path:
            found += [FileChange(target, None, text.encode()), FileChange(path, content, None)]
        elif text.encode() != content:
            found.append(FileChange(path, content, text.encode()))
    return tuple(found)


def _text(path: str, content: bytes, old: str) -> str:
    try:
        return content.decode("utf-8")
    except UnicodeDecodeError as reason:
        raise CannotRename(says("name-may-hide", name=old, path=path)) from reason


def _records(book: Book) -> Iterator[Formula | Material]:
    yield from book.formulas.values()
    yield from book.materials.values()


def _is(name: str, other: str) -> bool:
    return name.casefold() == other.casefold()


def _must_be_free(book: Book, item: Formula | Material, old: str, new: str) -> None:
    wrong = name_complaint(new)
    if wrong:
        raise CannotRename(says("new-name-refused", name=new, why=wrong))
    if len(new) == 1:
        raise CannotRename(says("new-name-reserved", name=new))
    if _is(old, new):
        raise CannotRename(says("called-so-already", name=old))
    holder = book.find(new)
    if holder is not None and holder is not item:
        raise CannotRename(says("new-name-taken", name=new, what=holder.path))
    for formula in book.formulas.values():
        for line in formula.lines:
            if _is(line.material, new) and holder is None:
                raise CannotRename(says("new-name-on-line", name=new, path=formula.path, line=line.place.line))


def _must_be_whole(book: Book, contents: Mapping[str, bytes], old: str) -> None:
    """Refuse where a file that may name it could not be read to its end."""
    if book.unread:
        raise CannotRename(says("name-may-hide", name=old, path=book.unread[0]))
    for finding in book.findings:
        path = finding.place.path
        if finding.severity is Severity.ERROR and old.encode().lower() in contents.get(path, b"").lower():
            raise CannotRename(says("name-may-hide", name=old, path=path))


def _with_lines(text: str, lines: list[Line], old: str, new: str) -> str:
    """Return a file with these lines naming the new; a line that does not begin as it was read is refused."""
    rows = _LINE.findall(text)
    for line in lines:
        row, start = rows[line.place.line - 1], line.place.column - 1
        start += line.place.line == 1 and row.startswith("\ufeff")
        start += row[start : start + 1] in ("'", '"')
        if not _is(row[start : start + len(old)], old):
            raise CannotRename(says("name-may-hide", name=old, path=line.place.path))
        rows[line.place.line - 1] = row[:start] + new + row[start + len(old) :]
    return "".join(rows)


def _as_written(formula: Formula, path: str, content: bytes, *, comma: bool) -> Formula:
    """Return a formula with the lines of its own file alone: a trial has others from its base."""
    alone = front_alone(path, content, comma) if formula.based_on else None
    return formula if alone is None else alone.formula


def _with_bases(text: str, own: Formula, old: str, new: str) -> str:
    """Return a trial's file with `based on:` and `instead of` naming the new."""
    places = [own.places["based on"]] if _is(own.based_on.partition("@")[0], old) else []
    places += [line.amount_place for line in own.lines if line.departs and _is(line.departs.instead_of, old)]
    rows = _LINE.findall(text)
    for place in places:
        row, start = rows[place.line - 1], place.column - 1
        named, count = re.subn(
            rf"(^[\"']?|of\s+){re.escape(old)}(?![\w-])", rf"\g<1>{new}", row[start:], count=1, flags=re.IGNORECASE
        )
        if not count:
            raise CannotRename(says("name-may-hide", name=old, path=place.path))
        rows[place.line - 1] = row[:start] + named
    return "".join(rows)


def _with_addresses(text: str, other: Callable[[str], str]) -> str:
    """Return a file whose links lead where `other` says; code set off as a block is text."""
    blocks = [match.span() for match in _FENCED.finditer(text)]

    def led(match: re.Match[str]) -> str:
        if any(first <= match.start() < last for first, last in blocks):
            return match[0]
        return match[1] + other(match[2])

    return _ADDRESS.sub(led, text)


def _address(address: str, path: str, item: Formula | Material, old: str, new: str) -> str:
    amount = _AMOUNT.fullmatch(address)
    if amount:
        return f"{amount[1]}{new}{amount[3]}" if _is(amount[2], old) else address
    if isinstance(item, Formula) or path_in_book(path, address) != item.path:
        return address
    file = re.match(r"([^#?]*?)[^/#?]*\.md(.*)", address, re.DOTALL)
    return address if file is None else f"{file[1]}{new}.md{file[2]}"


def _is_on_record(book: Book, old: str) -> bool:
    """Tell whether a batch was made under that name, or of it: then it has to stay findable."""
    for record in book.batches.values():
        if record.of is not None and _is(record.of.code, old):
            return True
        if any(_is(line.material, old) for line in (*record.planned, *record.taken)):
            return True
    return False


def _own(text: str, item: Formula | Material, old: str, new: str, on_record: bool) -> str:
    """Return its own file with the new code, and with the old one among its former names.

    On the way back to a former name the one that is left is forgotten, unless a batch record calls it so.
    """
    opened = _OPENED.match(text)
    assert opened is not None, "a file that was read has a front matter"
    at = opened.end()
    if isinstance(item, Formula):
        rows = _LINE.findall(text)
        row = item.places["code"].line - 1
        rows[row], count = re.subn(
            rf"^(\s*code\s*:\s*[\"']?){re.escape(old)}(?![A-Za-z0-9-])", rf"\g<1>{new}", rows[row]
        )
        if not count:
            raise CannotRename(says("name-may-hide", name=old, path=item.path))
        text = "".join(rows)
        at = len("".join(rows[: row + 1]))
    returns = any(_is(name, new) for name in item.formerly)
    names = [name for name in item.formerly if not _is(name, new)]
    if not returns or on_record:
        names.append(old)
    if not item.formerly:
        return f"{text[:at]}formerly: [{old}]{opened[1]}{text[at:]}"
    written = _FORMERLY.search(text)
    if written is None or bool(written[1]) != bool(written[3]):
        raise CannotRename(says("formerly-on-one-line", path=item.path))
    kept = f"{text[written.start() : written.start(2)]}{', '.join(names)}{text[written.end(2) : written.end()]}"
    return text[: written.start()] + (kept if names else "") + text[written.end() :]
