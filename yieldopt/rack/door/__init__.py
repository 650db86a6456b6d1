"""`Rack`, the one door to the inventory for the command line and the phone page alike.

Knows all that stores; nothing of how it is shown. Begin reading in `facade.py`.
"""
