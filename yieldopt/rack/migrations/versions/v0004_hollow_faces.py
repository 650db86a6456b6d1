"""Which way bow, cup and crook lie: the hollow face or edge of each board, empty where nobody has looked.

Revision ID: 0004
"""

import sqlalchemy as sa
from alembic import op

revision = "0004"
down_revision = "0003"


def upgrade() -> None:
    for name in ("bow_hollow", "cup_hollow", "crook_hollow"):
        op.add_column("boards", sa.Column(name, sa.Text, nullable=False, server_default=""))
