"""Boards held for jobs, and photos.

Revision ID: 0002
"""

import sqlalchemy as sa
from alembic import op

revision = "0002"
down_revision = "0001"


def upgrade() -> None:
    op.create_table(
        "holds",
        sa.Column("board", sa.String(36), sa.ForeignKey("boards.id"), primary_key=True),
        sa.Column("job", sa.Text, nullable=False),
        sa.Column("token", sa.Text),
        sa.Column("who", sa.Text, nullable=False),
        sa.Column("taken_at", sa.Text, nullable=False),
        sa.Column("until", sa.BigInteger, nullable=False),
    )
    op.create_table(
        "photos",
        sa.Column("digest", sa.String(64), primary_key=True),
        sa.Column("kind", sa.Text, nullable=False),
        sa.Column("width", sa.Integer, nullable=False),
        sa.Column("height", sa.Integer, nullable=False),
        sa.Column("content", sa.LargeBinary, nullable=False),
    )
    op.create_table(
        "board_photos",
        sa.Column("board", sa.String(36), sa.ForeignKey("boards.id"), primary_key=True),
        sa.Column("no", sa.Integer, primary_key=True, autoincrement=False),
        sa.Column("name", sa.Text, nullable=False),
        sa.Column("digest", sa.String(64), sa.ForeignKey("photos.digest"), nullable=False),
    )
