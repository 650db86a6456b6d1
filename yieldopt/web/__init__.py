"""The phone page: the rack's second face, served by the tool itself. `make_app` in `app` puts it together.

Knows the rack, plans and sheets. Begin reading in `app.py`.
"""
