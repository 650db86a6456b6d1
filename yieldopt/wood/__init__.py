"""What the shop has and wants, its settings, and the plan as a tree; frozen values. Begin reading in `lumber.py`."""
