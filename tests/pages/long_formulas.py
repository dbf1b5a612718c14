"""A book of formulas that strain a sheet, written by program: many ingredients, long titles, words without a break."""

from __future__ import annotations

import struct
import zlib
from pathlib import Path

WORKROOM = """title: Hard on paper
keeper: a keeper
language: {language}
decimal: {decimal}
paper: {paper}
balances:
  - {{name: fine balance, readability: 0.01 g, capacity: 200 g}}
  - {{name: bench scale, readability: 1 g, capacity: 5000 g}}
accepted error: 5 %
chapters: [hands]
"""
UNBROKEN = "Q" * 180
PROSE = {
    "en": "Throughout the preparation the temperature is measured continuously, because crystallisation begins"
    " immediately after homogenisation and a considerable proportion of moisture evaporates meanwhile. ",
    "de": "Die Temperatur wird ununterbrochen gemessen, weil die Auskristallisierung unmittelbar nach der"
    " Homogenisierung beginnt und Feuchtigkeitsverluste ausgeglichen werden müssen. ",
}


def picture(width: int, height: int) -> bytes:
    """Return a black picture as PNG."""

    def chunk(kind: bytes, body: bytes) -> bytes:
        return struct.pack(">I", len(body)) + kind + body + struct.pack(">I", zlib.crc32(kind + body))

    rows = zlib.compress((b"\0" + b"\0" * width) * height)
    head = struct.pack(">2I5B", width, height, 8, 0, 0, 0, 0)
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", rows) + chunk(b"IEND", b"")


def write(root: Path, *, language: str = "en", paper: str = "A5", decimal: str = "point") -> Path:
    """Write the book into a folder and return it."""
    for folder in ("hands", "materials"):
        (root / "formulas" / folder).mkdir(parents=True, exist_ok=True)
    book = root / "formulas"
    book.joinpath("workroom.yaml").write_text(WORKROOM.format(language=language, paper=paper, decimal=decimal))
    for number in range(80):
        body = "\nhazards:\n" + "".join(
            f"  - Dust of sample {number} irritates the eyes in manner {one}, so wear goggles and wipe up wet.\n"
            for one in range(1 + number % 2)
        )
        book.joinpath(f"materials/sample-{number}.md").write_text(
            f"---\nname: sample {number}\nfunction: filler\nkind: powder{body}---\n"
        )
    book.joinpath("materials/water.md").write_text("---\nname: water\nkind: liquid\n---\n")
    lines = []
    for phase in range(6):
        lines.append(f"  {chr(65 + phase)}, warm to {40 + phase} °C:\n")
        last = 80 if phase == 5 else 13 * (phase + 1)
        for number in range(13 * phase, last):
            amount = ("0.5", "1.25", "1", "0.125")[number % 4]
            lines.append(f"    sample-{number}: {amount} %, filler {'in small lumps' if number % 5 == 0 else ''}\n")
    steps = "".join(
        f"{one}. Take [sample {one}](amount:sample-{one}) at 40-45 °C, stir 1/2 turn for 5 min and wait until it has"
        " gone clear, in the way that step 1 says, and then once more.\n"
        for one in range(1, 25)
    )
    _formula(book, "X-80", "Eighty", "    water: to 1 kg\n", "".join(lines), f"## Method\n\n{steps}")
    simple = "  A:\n    sample-1: 10 g\n    water: to 100 g\n"
    prose = PROSE[language] * 12
    _formula(book, "X-01", "Word " * 60, "", simple, f"## Method\n\n1. Mix.\n\n## Notes\n\n{prose}\n\n{prose}\n")
    unbroken = f"## Method\n\n1. Mix {UNBROKEN} well, *{UNBROKEN}*.\n\n## Notes\n\n{UNBROKEN}\n"
    _formula(book, "X-02", UNBROKEN, "", simple, unbroken)
    book.joinpath("hands/large.png").write_bytes(picture(1200, 4000))
    _formula(book, "X-03", "Picture", "", simple, "## Method\n\n1. Mix.\n\n![A tall strip](large.png)\n\n2. Fill.\n")
    return root


def _formula(book: Path, code: str, title: str, last: str, lines: str, body: str) -> None:
    makes = "1 kg" if last else "100 g"
    head = f"code: {code}\ntitle: {title.strip()}\nkind: household\nstatus: approved\nissue: 1\nuse: room, adults\n"
    text = f"---\n{head}makes: {makes}\ningredients:\n{lines}{last}changes:\n  1, 2026-01-02: first\n---\n\n{body}"
    book.joinpath(f"hands/{code.lower()}.md").write_text(text)
