"""Names written together, so that a long list stays short: pieces of one part by their numbers, blanks of one board by their
letters."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from yieldopt.wood.plan import Piece

# So many numbers in a row are said as `#1 to #4`.
IN_A_ROW = 3


def pieces_words(pieces: Iterable[Piece]) -> str:
    """`drawer side#1 to #6, kicker#1, #3, top#1/2, #1/3`: parts in the order in which they come first."""
    said: dict[str, list[str]] = {}
    for p in pieces:
        number = p.piece.removeprefix(f"{p.part}#")
        if number == p.piece:
            said[p.piece] = []
        else:
            said.setdefault(p.part, []).append(number)
    return ", ".join(name + ", ".join(_numbers(some)) for name, some in said.items())


def _numbers(some: Sequence[str]) -> list[str]:
    """Whole numbers first, in runs, then those of staves."""
    whole = sorted(int(n) for n in some if n.isdecimal())
    return [*_runs(whole), *(f"#{n}" for n in some if not n.isdecimal())]


def _runs(numbers: Sequence[int]) -> list[str]:
    runs: list[list[int]] = []
    for n in numbers:
        if runs and n == runs[-1][-1] + 1:
            runs[-1].append(n)
        else:
            runs.append([n])
    said: list[str] = []
    for run in runs:
        said += [f"#{run[0]} to #{run[-1]}"] if len(run) >= IN_A_ROW else [f"#{n}" for n in run]
    return said


def blanks_words(names: Iterable[str]) -> str:
    """`W4-a, -b, W14-d layer 1`: the letters of blanks that follow one of their board go without its name."""
    said: list[str] = []
    before = ""
    for name in names:
        board, dash, rest = name.rpartition("-")
        again = dash and board == before and not board.startswith("-")
        said.append(f"-{rest}" if again else name)
        before = board if dash else ""
    return ", ".join(said)
