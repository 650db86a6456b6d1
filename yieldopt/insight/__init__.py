"""What can be read off a checked plan or a job: slack, spare room, second choices, leftovers, the order of work, what resawing
saves, why a size is what it is. Knows jobs, plans and sizes, and nothing of how a plan is found.
Begin with `slack.py`, what each piece has to spare.
"""
