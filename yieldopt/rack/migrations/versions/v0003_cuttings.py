"""What was cut for which job: the boards' volumes and money, and the pieces taken from them.

Revision ID: 0003
"""

import sqlalchemy as sa
from alembic import op

revision = "0003"
down_revision = "0002"

_number = sa.BigInteger().with_variant(sa.Integer, "sqlite")


def upgrade() -> None:
    op.create_table(
        "cuttings",
        sa.Column("seq", _number, sa.ForeignKey("changes.seq"), primary_key=True),
        sa.Column("board", sa.String(36), sa.ForeignKey("boards.id"), primary_key=True),
        sa.Column("job", sa.Text, nullable=False),
        *(sa.Column(n, sa.Text, nullable=False) for n in ("bought", "kept", "parts", "cost", "credit")),
    )
    op.create_table(
        "taken",
        sa.Column("seq", _number, primary_key=True),
        sa.Column("board", sa.String(36), primary_key=True),
        sa.Column("no", sa.Integer, primary_key=True, autoincrement=False),
        sa.Column("piece", sa.Text, nullable=False),
        sa.Column("part", sa.Text, nullable=False),
        sa.Column("kind", sa.Text, nullable=False),
        *(sa.Column(n, sa.Text, nullable=False) for n in ("x", "y", "length", "width", "thickness")),
        sa.Column("layer", sa.Integer, nullable=False),
    )
