"""No string that a person reads uses a word that was given up: see docs/reference/words.md. Strings in the package that are not
docstrings, the phone page's scripts and templates, and the documentation."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from functools import cache
from pathlib import Path

import pytest

TOP = Path(__file__).parent.parent
WORDS = TOP / "docs" / "reference" / "words.md"

# Given up, and what is said instead.
GIVEN_UP = {
    r"necessary tests?": "Is this enough for ...?",
    r"missing for certain": "definitely short",
    r"\bchalk it\b(?! again)": "Save board",
    r"\bin money\b": "a figure with what it is, or cost unknown",
    r"\bparted by (?:;|`;`|commas?|blanks)": "separated by",
    r"· goes on": "continued",
    r"feed over the knives": "planing direction",
    r"\b(?:in|of|on) (?:the |fresh |all |\d+ )?draws\b": "trials",
    r"\b\d+ draws\b": "trials",
    r"\bthe ways\b(?! to)": "the options",
    r"\b(?:another|no|three) ways? on\b": "option; your boards run out",
    r"\bway to buy\b": "option",
    r"\bsuffic(?:e|es|ed)\b": "is enough",
    r"\breckon": "work out",
    r"\banew\b": "again",
    r"pays at no number of minutes": "on cost alone, it never pays",
    r"does resawing turn": "resawing never pays, whatever 8/4 costs",
    r"\bshort cuts\b": "crosscut short first",
    r"no board has a price": "cost unknown",
    r"same outline": "same size",
    r"\bwished\b": "asked for",
    r"dried too fast": "stress that was not relieved",
    r"cut to length.{0,40}\bthen glued\b": "glue, flatten, then cut to length",
    r"(?<!there )\bis no (?:number|file|photo|list|JSON|name|picture|length|answer)\b": "is not a ...",
    r"\bmend it\b": "Correct it",
    r"took back change": "undid change",
}


QUOTED = re.compile(r"\"(?:[^\"\\]|\\.)*\"|'(?:[^'\\]|\\.)*'|`[^`]*`?")


def _python() -> Iterator[tuple[str, str]]:
    for file in sorted((TOP / "yieldopt").rglob("*.py")):
        tree = ast.parse(file.read_text(encoding="utf-8"))
        docstrings = {
            id(n.body[0].value)
            for n in ast.walk(tree)
            if isinstance(n, ast.Module | ast.ClassDef | ast.FunctionDef | ast.AsyncFunctionDef)
            and n.body
            and isinstance(n.body[0], ast.Expr)
        }
        for n in ast.walk(tree):
            if isinstance(n, ast.JoinedStr):
                # As read: what is filled in stands as a number.
                text = "".join(str(v.value) if isinstance(v, ast.Constant) else "7" for v in n.values)
            elif isinstance(n, ast.Constant) and isinstance(n.value, str) and id(n) not in docstrings:
                text = n.value
            else:
                continue
            # A lone word is a key that programs read.
            if " " in text.strip():
                yield f"{file.relative_to(TOP)}:{n.lineno}", text


def _scripts() -> Iterator[tuple[str, str]]:
    for file in sorted((TOP / "yieldopt" / "web").rglob("*")):
        if file.suffix in (".js", ".html"):
            for n, line in enumerate(file.read_text(encoding="utf-8").splitlines(), 1):
                if file.suffix == ".js":
                    # What stands in quotes; comments and names are for programmers.
                    line = " ".join(m[0] for m in QUOTED.finditer(re.sub(r"(^|\s)//.*|^\s*/?\*.*", "", line)))
                yield f"{file.relative_to(TOP)}:{n}", re.sub(r"\$\{[^}]*\}", "7", line)


def _pages() -> Iterator[tuple[str, str]]:
    for file in [TOP / "README.md", *sorted((TOP / "docs").rglob("*.md")), *sorted((TOP / "inventory").rglob("*.md"))]:
        if file != WORDS:
            # A sentence may be broken over two lines; names that programs use stand in backticks.
            text = re.sub(r"`(?!;`)[^`\n]*`", "``", file.read_text(encoding="utf-8"))
            yield str(file.relative_to(TOP)), " ".join(text.split())


@cache
def _read() -> tuple[tuple[str, str], ...]:
    """Everything that a person reads, gone through once for all terms."""
    return (*_python(), *_scripts(), *_pages())


@pytest.mark.parametrize("term", GIVEN_UP)
def test_a_word_that_was_given_up_is_nowhere_to_be_read(term: str) -> None:
    found = [
        f"{where}: …{text[max(0, m.start() - 40) : m.end() + 40]}…"
        for where, text in _read()
        if (m := re.search(term, text, re.IGNORECASE))
    ]
    assert not found, f"say '{GIVEN_UP[term]}':\n" + "\n".join(found)


def test_the_search_sees_what_people_read() -> None:
    """Words that are there are found in each of the places looked at."""
    for texts, words in ((_python(), "Rough crosscuts"), (_scripts(), "datum end"), (_pages(), "Milling order")):
        assert any(words in text for _, text in texts), words
