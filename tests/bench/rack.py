"""How quick a large rack is: `python tests/bench/rack.py [BOARDS] [--server ADDRESS]` (20,000 boards if not given).

Prints milliseconds for what a person waits for, each the median and the worst of several, inside an open rack and through
the command line (there beside what Python and SQLAlchemy alone take to start); and seconds for a whole dump and load; with
the processor time of each. Figures, not tests: they depend on the machine and its load.
"""

from __future__ import annotations

import argparse
import os
import random
import statistics
import subprocess
import sys
import tempfile
import time
import uuid
from collections.abc import Callable
from dataclasses import replace
from fractions import Fraction
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent.parent))

from bench.families import board
from yieldopt.rack.board.record import RackBoard
from yieldopt.rack.books.search import BoardSearch
from yieldopt.rack.door.facade import Rack
from yieldopt.rack.io.exchange import dump, load

SPECIES = ("white oak", "walnut", "cherry", "ash", "hard maple")


def records(count: int, rng: random.Random) -> list[RackBoard]:
    """Boards as the other benchmarks make them, about three defects each, with bookkeeping. Invented data."""
    made = []
    for n in range(count):
        b = board(rng, f"R{n:05d}", rng.choice(SPECIES), rng.choice((4, 5, 6, 8)))
        dealer, place = rng.choice(("Hill", "Dale", "Brook")), f"bay {rng.randrange(40)}"
        made.append(
            RackBoard(
                str(uuid.UUID(int=rng.getrandbits(128), version=4)), b, dealer=dealer, place=place, moisture=(Fraction(17, 2),)
            )
        )
    return made


def timed(name: str, action: Callable[[int], object], times: int) -> None:
    spent, work = [], []
    for n in range(times):
        start, before = time.perf_counter(), _processor()
        action(n)
        spent.append((time.perf_counter() - start) * 1000)
        work.append((_processor() - before) * 1000)
    print(
        f"  {name:<46} {statistics.median(spent):9.1f} ms  worst {max(spent):9.1f} ms"
        f"  processor {statistics.median(work):7.1f} ms"
    )


def _processor() -> float:
    """Seconds of processor time of this process and of those it has waited for: other programs' load counts less in it."""
    t = os.times()
    return t.user + t.system + t.children_user + t.children_system


def once(name: str, action: Callable[[], object]) -> None:
    start, before = time.perf_counter(), _processor()
    action()
    print(f"  {name:<46} {time.perf_counter() - start:9.2f} s   processor {_processor() - before:7.2f} s")


def run(count: int, where: str, folder: Path, starts: int = 9) -> None:
    rng = random.Random(1)
    boards = records(count, rng)
    with Rack.open(where, create=True) as rack:
        once(f"log {count} boards as one change", lambda: rack.log_all(boards))
        print("in an open rack:")
        timed(
            "filter: species, quarters, least length and width",
            lambda n: rack.boards(BoardSearch("walnut", "8/4", length=Fraction(130 + n % 9), width=Fraction(8), free=True)),
            15,
        )
        timed("filter: words anywhere", lambda n: rack.boards(BoardSearch(text=f"R{n:02d}00")), 15)
        timed(
            "show one board, with its history",
            lambda n: (rack.board(f"R{n * 37 % count:05d}"), rack.history(f"R{n * 37 % count:05d}")),
            15,
        )
        timed("log one board", lambda n: rack.log(replace(records(1, rng)[0], board=board(rng, f"N{n}"))), 15)
        timed("hold ten boards", lambda n: rack.hold("sideboard", [f"R{(n * 10 + k) % count:05d}" for k in range(10)]), 15)
        timed("all boards free for a job", lambda n: rack.available_boards("sideboard"), 3)
        once("dump to CSV", lambda: dump(rack, folder / "csv"))
        once("dump to workbooks", lambda: dump(rack, folder / "xlsx", workbooks=True))
    for kind in ("csv", "xlsx"):
        with Rack.open(folder / f"{kind}.rack", create=True) as copy:
            once(f"load from {kind}", lambda kind=kind, copy=copy: load(copy, folder / kind))  # type: ignore[misc]
    with Rack.open(where) as rack:
        once("check everything", rack.check)
        once("backup", lambda: rack.backup(folder / "backup.rack"))
    timed("open and close", lambda n: Rack.open(where).close(), 5)
    print("through the command line, Python's start included:")
    size = ["--species", "ash", "--quarters", "4/4", "--length", "60", "--width", "6"]
    commands = {
        "list, filtered": lambda n: ["list", "--species", "walnut", "--quarters", "8/4", "--length", "140"],
        "show": lambda n: ["show", f"R{n:05d}"],
        "log": lambda n: ["log", "--board", f"C{n}", *size],
    }
    timed("Python itself", lambda n: start("-c", "pass"), starts)
    timed("import sqlalchemy", lambda n: start("-c", "import sqlalchemy"), starts)
    for name, words in commands.items():
        timed(name, lambda n, words=words: start("-m", "yieldopt", "rack", *words(n), "--rack", where), starts)  # type: ignore[misc]


def start(*words: str) -> None:
    """Run Python once, with compiled modules kept as they are where a package was installed."""
    kept = {k: v for k, v in os.environ.items() if k != "PYTHONDONTWRITEBYTECODE"}
    subprocess.run([sys.executable, *words], check=True, capture_output=True, env=kept)


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("boards", nargs="?", type=int, default=20_000)
    parser.add_argument("--server", default="", help="the postgresql:// address of an empty database, instead of a file")
    args = parser.parse_args()
    with tempfile.TemporaryDirectory() as name:
        run(args.boards, args.server or str(Path(name) / "large.rack"), Path(name))


if __name__ == "__main__":
    main()
