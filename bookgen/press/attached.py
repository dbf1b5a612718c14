"""Files that travel in a binder: put in, and read back from a PDF that may come from anywhere.

The same files make the same bytes: no time is written, and names are in order.
"""

from __future__ import annotations

import hashlib
import io
from collections.abc import Mapping
from typing import Any

import pikepdf
from pikepdf import Dictionary, Object, Pdf

from .objects import Name, Ref, words
from .pdffile import Writer


class DamagedPdf(Exception):
    """A PDF cannot be read, or not all of it; the text is a sentence for the keeper of the book."""


def attach(writer: Writer, files: Mapping[str, bytes]) -> Ref:
    """Embed the files by their names (ISO 32000-1, 7.11.4); return the tree of names, in the order of their bytes."""
    listed: list[bytes | Ref] = []
    for name, body in sorted(files.items(), key=lambda file: words(file[0])):
        said = {"Type": Name("EmbeddedFile"), "Params": {"Size": len(body), "CheckSum": _checksum(body)}}
        stream = writer.add_stream(said, body)
        entry = {
            "Type": Name("Filespec"),
            "F": words(name),
            "UF": words(name),
            "EF": {"F": stream, "UF": stream},
            "AFRelationship": Name("Data"),
        }
        listed += (words(name), writer.add(entry))
    return writer.add({"Names": listed})


def read_attached(pdf: bytes, name: str) -> bytes | None:
    """The attached file of that name, or None where the PDF holds none. Raises DamagedPdf.

    The reader mends nothing: of a document that is cut short or was changed on the way nothing can be relied on.
    """
    try:
        with Pdf.open(io.BytesIO(pdf), attempt_recovery=False, suppress_warnings=True) as found:
            tree = found.Root.get("/Names", Dictionary()).get("/EmbeddedFiles")
            entry = None if tree is None else _find(tree, name, 0)
            if entry is None:
                return None
            stream = entry.EF.F
            body = stream.read_bytes()
            said = stream.get("/Params", Dictionary()).get("/CheckSum")
            if found.get_warnings() or (said is not None and bytes(said) != _checksum(body)):
                raise DamagedPdf(f"The PDF is damaged: {name} in it is not what was put there.")
            return body
    except pikepdf.PasswordError as reason:
        raise DamagedPdf("The PDF is locked with a password; bookgen makes none that is.") from reason
    except (pikepdf.PdfError, AttributeError, KeyError, TypeError, ValueError) as reason:
        raise DamagedPdf("The PDF is damaged or cut short; it cannot be read.") from reason


def _find(tree: Any, name: str, depth: int) -> Object | None:
    """The file's entry in a name tree (7.9.6), which may have nodes below nodes."""
    if depth > 32:
        raise ValueError("a name tree that has no end")
    listed = list(tree.get("/Names", ()))
    for key, entry in zip(listed[::2], listed[1::2], strict=True):
        if str(key) == name:
            found: Object = entry
            return found
    for below in tree.get("/Kids", ()):
        inner = _find(below, name, depth + 1)
        if inner is not None:
            return inner
    return None


def _checksum(body: bytes) -> bytes:
    """MD5, as the format has it (ISO 32000-1, table 46): it finds damage, and guards against nobody."""
    return hashlib.md5(body, usedforsecurity=False).digest()
