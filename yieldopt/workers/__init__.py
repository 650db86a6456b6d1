"""Work shared out among threads and processes: executors, copies of this process, tasks with a time of their own.
Knows nothing of what the work is.
Begin with `runner.py`.
"""
