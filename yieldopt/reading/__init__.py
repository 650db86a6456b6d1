"""Job folders (CSV, .xlsx, TOML) to a `Job`, and back: every mistake at once, or an exact job."""

from yieldopt.reading.job import job_name, read_boards, read_defects, read_job

__all__ = ["job_name", "read_boards", "read_defects", "read_job"]
