"""What is wanted: rows (one a part or group), the items that give them, layers of unlike pieces, figures as whole numbers.
Knows the job and its sizes.
Begin with `rows.py`, then `items.py`.
"""
