"""Alembic's steps from the first version of the tables to today's. Each step stays as it was once a release has run it."""
