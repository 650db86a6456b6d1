"""What the reader took for granted or found odd, on the terminal: beside the answer, never in its way."""

from __future__ import annotations

import sys
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from yieldopt.wood.lumber import Job

# More than so many would hide each other.
MOST = 12


def say_remarks(job: Job) -> None:
    """Print the job's remarks to standard error, the first `MOST` and how many more there are."""
    for text in job.remarks[:MOST]:
        print(f"note: {text}", file=sys.stderr)
    if len(job.remarks) > MOST:
        print(f"note: and {len(job.remarks) - MOST} more of this kind", file=sys.stderr)
