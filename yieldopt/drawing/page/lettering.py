"""Lettering: which characters are set, how wide they are, where lines break.

Everything is measured with the DejaVu Sans Condensed that ships with the package (licence beside it): its 6 and 9, 1, l
and 7 are told apart at arm's length. The same file is embedded in the PDF.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Mapping
from functools import cache, lru_cache
from importlib import resources

from yieldopt.drawing.page.primitives import Text

# No text on any page is smaller than this, in points.
SMALLEST = 9.0
# Height above and below the base line that a line of text is given, in shares of its size (DejaVu capitals reach 0.73,
# marks above them 0.93; descenders 0.24).
ABOVE, BELOW = 0.80, 0.24
LEADING = 1.22
# The same where all of a board or a job is to stand on few sides.
DENSE_LEADING = 1.14

FONT_FILES = {False: "DejaVuSansCondensed.ttf", True: "DejaVuSansCondensed-Bold.ttf"}

# Stands for a character that the font doesn't have (an emoji, say).
NO_GLYPH = "\u25af"


def font_bytes(name: str) -> bytes:
    """The bytes of a file in `fonts/`."""
    return resources.files("yieldopt.drawing").joinpath("fonts", name).read_bytes()


@cache
def _widths(bold: bool) -> Mapping[str, float]:
    from io import BytesIO

    from reportlab.pdfbase.ttfonts import TTFontFile

    font = TTFontFile(BytesIO(font_bytes(FONT_FILES[bold])))
    return {chr(code): font.charWidths[code] for code, glyph in font.charToGlyph.items() if glyph and code in font.charWidths}


# What most texts are made of: nothing in it to drop, to turn round or to replace.
_PLAIN = re.compile("[ -~×·°△]*")


@lru_cache(maxsize=20_000)
def clean(text: str) -> str:
    """`text` as it can be set on paper: one line, only characters the font has, in the order in which they are seen.

    Control and invisible characters go (white space becomes one blank), characters without a glyph become a hollow box,
    and right-to-left words are turned round here, so that no reader's software moves the figures beside them.
    """
    if _PLAIN.fullmatch(text):
        return " ".join(text.split())
    have = _widths(False)
    out: list[str] = []
    for c in unicodedata.normalize("NFC", text):
        if c.isspace():
            out.append(" ")
        elif unicodedata.category(c) in ("Cc", "Cf", "Cs", "Mn", "Me"):
            continue
        else:
            out.append(c if c in have else NO_GLYPH)
    return _in_visual_order(" ".join("".join(out).split()))


def _in_visual_order(text: str) -> str:
    if text.isascii():
        return text
    kinds = [unicodedata.bidirectional(c) in ("R", "AL") for c in text]
    out, i = [], 0
    while i < len(text):
        if not kinds[i]:
            out.append(text[i])
            i += 1
            continue
        last = i
        for j in range(i, len(text)):
            if kinds[j]:
                last = j
            elif not (text[j] == " " and j + 1 < len(text) and kinds[j + 1]):
                break
        out.append(text[i : last + 1][::-1])
        i = last + 1
    return "".join(out)


@lru_cache(maxsize=50_000)
def width_of(text: str, size: float, bold: bool = False) -> float:
    """Set width in points of text that is already clean."""
    widths = _widths(bold)
    box = widths[NO_GLYPH]
    return sum([widths.get(c, box) for c in text]) * size / 1000


def box_of(text: Text) -> tuple[float, float, float, float]:
    """(left, top, right, bottom) of a text on its page."""
    w = width_of(text.text, text.size, text.bold)
    back = {"start": 0.0, "middle": w / 2, "end": w}[text.anchor]
    above, below = ABOVE * text.size, BELOW * text.size
    if text.turned:
        return text.x - above, text.y - (w - back), text.x + below, text.y + back
    return text.x - back, text.y - above, text.x - back + w, text.y + below


def shorten(text: str, room: float, size: float, bold: bool = False) -> str:
    """Clean text, cut with an ellipsis where it is wider than `room` points."""
    text = clean(text)
    if width_of(text, size, bold) <= room:
        return text
    low, high = 0, len(text)
    while low < high:
        middle = (low + high + 1) // 2
        if width_of(text[:middle].rstrip() + "…", size, bold) <= room:
            low = middle
        else:
            high = middle - 1
    return text[:low].rstrip() + "…"


# A fraction stays with its whole number: `20` at the end of one line and `11/16` on the next reads as 20.
# A size goes on after its sign, not before it.
_BREAK = re.compile(r"(?<!\d) (?!×)| (?!\d+/\d|×)")


def words_of(text: str) -> list[str]:
    """Clean text at the blanks where a line may end."""
    return _BREAK.split(text)


@lru_cache(maxsize=20_000)
def widest_word(text: str, size: float, bold: bool = False) -> float:
    """Width of the widest stretch of a text that a line can't break."""
    return max((width_of(word, size, bold) for word in words_of(clean(text))), default=0.0)


@lru_cache(maxsize=20_000)
def wrap(text: str, room: float, size: float, bold: bool = False, most: int | None = None) -> tuple[str, ...]:
    """Clean text in lines no wider than `room` points; words that are too long are broken; at most `most` lines."""
    lines: list[str] = []
    line = ""
    for word in words_of(clean(text)):
        tried = f"{line} {word}" if line else word
        if width_of(tried, size, bold) <= room:
            line = tried
            continue
        if line:
            lines.append(line)
        while width_of(word, size, bold) > room and len(word) > 1:
            cut = len(word)
            while cut > 1 and width_of(word[:cut], size, bold) > room:
                cut -= 1
            lines.append(word[:cut])
            word = word[cut:]
        line = word
    lines.append(line)
    if most is not None and len(lines) > most:
        kept = lines[:most]
        kept[-1] = shorten(kept[-1] + " " + lines[most], room, size, bold)
        if not kept[-1].endswith("…"):
            kept[-1] = shorten(kept[-1] + "…", room, size, bold)
        return tuple(kept)
    return tuple(lines)


def wrap_mixed(head: str, rest: str, room: float, size: float) -> list[tuple[str, str]]:
    """Lines of text of which `head` is bold: (bold, then plain) for each line, either may be empty."""
    lines: list[tuple[str, str]] = [("", "")]
    blank = width_of(" ", size)
    for bold, text in ((True, head), (False, rest)):
        for word in words_of(clean(text)):
            if not word:
                continue
            b, p = lines[-1]
            used = width_of(b, size, True) + width_of(p, size) + (blank if b and p else 0)
            if (b or p) and used + blank + width_of(word, size, bold) > room:
                lines.append(("", ""))
                b, p = "", ""
            # A word that is wider than the room is broken by itself.
            for n, piece in enumerate(wrap(word, room, size, bold)):
                if n:
                    lines.append(("", ""))
                    b, p = "", ""
                lines[-1] = (f"{b} {piece}".strip(), p) if bold else (b, f"{p} {piece}".strip())
    return lines
