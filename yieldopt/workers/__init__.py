"""Work shared out among threads and processes: executors, copies of this process, tasks with a time of their own.
Knows nothing of what the work is, but that a fresh process warms the planner up.
Begin with `runner.py`.
"""
