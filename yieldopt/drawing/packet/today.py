"""The date that is printed on sheets."""

from __future__ import annotations

import datetime
import os


def printed_date() -> str:
    """Today's date, or the one that SOURCE_DATE_EPOCH sets (seconds since 1970, UTC), as 2025-03-14."""
    epoch = os.environ.get("SOURCE_DATE_EPOCH", "")
    if epoch.isdigit() and len(epoch) < 12:
        return datetime.datetime.fromtimestamp(int(epoch), datetime.UTC).date().isoformat()
    return datetime.date.today().isoformat()
