"""The Markdown library's flat tokens, judged by then, as blocks and pieces that hold one another."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import lru_cache
from sys import intern
from typing import TypeVar

from markdown_it.common.utils import unescapeAll
from markdown_it.token import Token

from ..written import (
    Code,
    Divide,
    Emphasis,
    LineBreak,
    Linked,
    Picture,
    Verbatim,
    Words,
    WrittenBlock,
    WrittenCell,
    WrittenHeading,
    WrittenList,
    WrittenParagraph,
    WrittenQuote,
    WrittenTable,
)

_BREAKS = ("softbreak", "hardbreak")

_Piece = TypeVar("_Piece", Linked, WrittenCell)


def blocks_of(tokens: Sequence[Token]) -> tuple[WrittenBlock, ...]:
    """Return what the tokens of a section say."""
    return _Reader(tokens).blocks("")


class _Reader:
    """Reads the flat tokens of a section."""

    def __init__(self, tokens: Sequence[Token]) -> None:
        self.tokens, self.at = tokens, 0

    def blocks(self, end: str) -> tuple[WrittenBlock, ...]:
        """Return the blocks up to the token that closes what they stand in."""
        found: list[WrittenBlock] = []
        while self.at < len(self.tokens):
            token = self.tokens[self.at]
            self.at += 1
            match token.type:
                case "paragraph_open":
                    found.append(WrittenParagraph(self.words(), tight=token.hidden))
                case "heading_open":
                    found.append(WrittenHeading(int(token.tag[1:]), self.words()))
                case "bullet_list_open":
                    found.append(WrittenList(None, tuple(self.items())))
                case "ordered_list_open":
                    found.append(WrittenList(int(token.attrGet("start") or 1), tuple(self.items())))
                case "blockquote_open":
                    found.append(WrittenQuote(self.blocks("blockquote_close")))
                case "table_open":
                    found.append(WrittenTable(tuple(map(tuple, self.rows()))))
                case "code_block":
                    found.append(Verbatim(token.content))
                case "fence":
                    info = unescapeAll(token.info).split()
                    found.append(Verbatim(token.content, info[0] if info else ""))
                case "hr":
                    found.append(Divide())
                case kind if kind == end:
                    break
        return tuple(found)

    def words(self) -> tuple[Words, ...]:
        """Return the words of a paragraph, a heading or a cell, and pass what closes it."""
        token = self.tokens[self.at]
        self.at += 2
        return _words(iter(token.children or ()), "")

    def items(self) -> Iterator[tuple[WrittenBlock, ...]]:
        """Yield the items of a list."""
        while self.tokens[self.at].type == "list_item_open":
            self.at += 1
            yield self.blocks("list_item_close")
        self.at += 1

    def rows(self) -> list[list[WrittenCell]]:
        """Return the rows of a table."""
        rows: list[list[WrittenCell]] = []
        while self.tokens[self.at].type != "table_close":
            token = self.tokens[self.at]
            self.at += 1
            if token.type == "tr_open":
                rows.append([])
            elif token.type in ("th_open", "td_open"):
                side = str(token.attrGet("style") or "").removeprefix("text-align:")
                rows[-1].append(_held(WrittenCell(self.words(), side)))
        self.at += 1
        return rows


def _words(tokens: Iterator[Token], end: str) -> tuple[Words, ...]:
    """Return the pieces up to the token that closes what they stand in."""
    found: list[Words] = []
    for token in tokens:
        match token.type:
            case "text":
                found.append(intern(token.content))
            case "softbreak":
                found.append("\n")
            case "hardbreak":
                found.append(LineBreak())
            case "code_inline":
                found.append(Code(token.content))
            case "em_open" | "strong_open":
                close = token.type.replace("open", "close")
                found.append(Emphasis(_words(tokens, close), strong=token.type == "strong_open"))
            case "image":
                found.append(Picture(str(token.attrGet("src") or ""), _said_of(token.children or ())))
            case "link_open":
                found.append(_held(Linked(intern(str(token.attrGet("href") or "")), _words(tokens, "link_close"))))
            case kind if kind == end:
                break
    return tuple(found)


@lru_cache(maxsize=1024)
def _held(piece: _Piece) -> _Piece:
    """Return a piece, the same one for those alike: many methods name the same ingredients in the same words."""
    return piece


def _said_of(tokens: Sequence[Token]) -> str:
    """Return what a picture shows, in plain words."""
    found = []
    for token in tokens:
        if token.type in _BREAKS:
            found.append("\n")
        elif token.type == "image":
            found.append(_said_of(token.children or ()))
        elif token.type in ("text", "code_inline"):
            found.append(token.content)
    return "".join(found)
