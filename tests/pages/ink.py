"""Where a sheet has ink: the extent of everything that its content streams paint, from the drawing operators alone."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal
from math import hypot

import pikepdf

Matrix = tuple[float, float, float, float, float, float]
PAINT = {"S", "s", "f", "F", "f*", "B", "B*", "b", "b*"}


def times(a: Matrix, b: Matrix) -> Matrix:
    """Return the matrix that applies `a`, then `b`."""
    return (
        a[0] * b[0] + a[1] * b[2],
        a[0] * b[1] + a[1] * b[3],
        a[2] * b[0] + a[3] * b[2],
        a[2] * b[1] + a[3] * b[3],
        a[4] * b[0] + a[5] * b[2] + b[4],
        a[4] * b[1] + a[5] * b[3] + b[5],
    )


def widths_of(font: pikepdf.Object) -> dict[int, float]:
    """Return glyph number → advance in thousandths of the type size, of a font with two-byte codes."""
    found: dict[int, float] = {}
    listed = list(font.DescendantFonts[0].W)
    while listed:
        start, following = int(listed.pop(0)), listed.pop(0)
        if isinstance(following, pikepdf.Array):
            found.update((start + at, float(width)) for at, width in enumerate(following))
        else:
            found.update(dict.fromkeys(range(start, int(following) + 1), float(listed.pop(0))))
    return found


def ink(page: pikepdf.Page) -> Iterator[tuple[float, float]]:
    """Yield left and right end, in millimetres from the left edge, of every run of text and every painted path."""
    fonts = {name: widths_of(font) for name, font in page.Resources.get("/Font", {}).items()}
    now: Matrix = (1, 0, 0, 1, 0, 0)
    kept: list[Matrix] = []
    text: Matrix = now
    size, widths = 0.0, {}
    path: list[float] = []
    for operands, operator in pikepdf.parse_content_stream(page):
        numbers = [float(one) for one in operands if isinstance(one, int | Decimal)]
        match str(operator):
            case "q":
                kept.append(now)
            case "Q":
                now = kept.pop()
            case "cm":
                now = times(tuple(numbers), now)
            case "BT":
                text = (1, 0, 0, 1, 0, 0)
            case "Tm":
                text = tuple(numbers)
            case "Td":
                text = times((1, 0, 0, 1, *numbers), text)
            case "Tf":
                size, widths = numbers[-1], fonts[str(operands[0])]
            case "TJ" | "Tj":
                shown = operands[0] if str(operator) == "TJ" else [operands[0]]
                along = 0.0
                for one in shown:
                    if isinstance(one, pikepdf.String):
                        codes = bytes(one)
                        pairs = zip(codes[::2], codes[1::2], strict=True)
                        along += sum(widths.get(high * 256 + low, 1000) for high, low in pairs)
                    else:
                        along -= float(one)
                start = times(text, now)
                text = times((1, 0, 0, 1, along * size / 1000, 0), text)
                yield mm(start[4]), mm(times(text, now)[4])
            case "re":
                x, y, width, height = numbers
                for corner in ((x, y), (x + width, y + height)):
                    path.append(times((1, 0, 0, 1, *corner), now)[4])
            case "m" | "l" | "c" | "v" | "y":
                path += [times((1, 0, 0, 1, *numbers[at : at + 2]), now)[4] for at in range(0, len(numbers), 2)]
            case word if word in PAINT:
                if path:
                    yield mm(min(path)), mm(max(path))
                path = []
            case "n":
                path = []


def rules_of(page: pikepdf.Page) -> Iterator[tuple[float, float, float]]:
    """Yield left and right end and height above the lower edge, mm, of every level rule in black.

    The layout engine paints one edge of a box by clipping to that edge, which is flatter than a millimetre.
    """
    now: Matrix = (1, 0, 0, 1, 0, 0)
    kept: list[tuple[Matrix, list[tuple[float, float]]]] = []
    path: list[tuple[float, float]] = []
    clip: list[tuple[float, float]] = []
    black = True
    for operands, operator in pikepdf.parse_content_stream(page):
        numbers = tuple(float(one) for one in operands if isinstance(one, int | Decimal))
        match str(operator):
            case "q":
                kept.append((now, clip))
            case "Q":
                now, clip = kept.pop()
            case "cm":
                now = times(numbers, now)
            case "rg":
                black = not any(numbers)
            case "m" | "l":
                path.append(times((1, 0, 0, 1, *numbers), now)[4:])
            case "W" | "W*":
                clip = path
            case "n":
                path = []
            case word if word in PAINT:
                up = [mm(y) for _, y in clip]
                if clip and black and max(up) - min(up) < 1:
                    across = [mm(x) for x, _ in clip]
                    yield min(across), max(across), min(up)
                path = []


@dataclass(frozen=True, slots=True)
class Type:
    """A run of text as it is set."""

    points: float
    """Size of the type on the paper."""
    red: float
    green: float
    blue: float


def type_of(page: pikepdf.Page) -> Iterator[Type]:
    """Yield every run of text on a page, also in the groups it is painted from, with its size and colour."""
    yield from _type_in(page, page.Resources, (1, 0, 0, 1, 0, 0))


def _type_in(content: pikepdf.Object | pikepdf.Page, resources: pikepdf.Object, now: Matrix) -> Iterator[Type]:
    colour: tuple[float, ...] = (0, 0, 0)
    kept: list[tuple[Matrix, tuple[float, ...]]] = []
    text: Matrix = (1, 0, 0, 1, 0, 0)
    size = 0.0
    for operands, operator in pikepdf.parse_content_stream(content):
        numbers = tuple(float(one) for one in operands if isinstance(one, int | Decimal))
        match str(operator):
            case "q":
                kept.append((now, colour))
            case "Q":
                now, colour = kept.pop()
            case "cm":
                now = times(numbers, now)
            case "rg" | "g" | "sc" | "scn":
                colour = numbers * 3 if len(numbers) == 1 else numbers
            case "k":
                raise AssertionError("a colour that this reader does not know")
            case "BT":
                text = (1, 0, 0, 1, 0, 0)
            case "Tm":
                text = numbers
            case "Tf":
                size = numbers[-1]
            case "TJ" | "Tj":
                _, _, across, up, _, _ = times(text, now)
                red, green, blue = colour
                yield Type(size * hypot(across, up), red, green, blue)
            case "Do":
                form = resources.XObject[str(operands[0])]
                if form.Subtype == "/Form":
                    own = tuple(float(one) for one in form.get("/Matrix", (1, 0, 0, 1, 0, 0)))
                    yield from _type_in(form, form.get("/Resources", resources), times(own, now))


def mm(points: float) -> float:
    """Return points as millimetres."""
    return points * 25.4 / 72
