"""Boards, their defects and edges, and the ledger of every change.

Revision ID: 0001
"""

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None

_number = sa.BigInteger().with_variant(sa.Integer, "sqlite")


def upgrade() -> None:
    texts = [
        sa.Column(n, sa.Text, nullable=False) for n in ("nominal", "length", "width", "thickness", "bow", "cup", "crook", "twist")
    ]
    keys = [sa.Column(n, sa.BigInteger, nullable=False) for n in ("length_um", "width_um", "thickness_um")]
    money = [sa.Column(n, sa.Text) for n in ("cost", "price_bf", "price_m3")]
    shop = [sa.Column(n, sa.Text, nullable=False) for n in ("dealer", "grade", "place", "remarks", "why")]
    op.create_table(
        "boards",
        sa.Column("row", _number, primary_key=True, autoincrement=True),
        sa.Column("id", sa.String(36), nullable=False, unique=True),
        sa.Column("name", sa.Text, nullable=False),
        sa.Column("state", sa.Text, nullable=False),
        sa.Column("species", sa.Text, nullable=False),
        sa.Column("quarters", sa.Text, nullable=False),
        *texts,
        *keys,
        sa.Column("sawn", sa.Text, nullable=False),
        sa.Column("stress", sa.Text, nullable=False),
        *money,
        sa.Column("datum_sound", sa.Boolean, nullable=False),
        sa.Column("far_sound", sa.Boolean, nullable=False),
        sa.Column("notes", sa.Text, nullable=False),
        *shop,
        sa.Column("moisture", sa.Text, nullable=False),
        sa.Column("parent", sa.String(36)),
        sa.Column("parent_x", sa.Text),
        sa.Column("parent_y", sa.Text),
        sa.Column("parent_layer", sa.Integer),
        sa.Column("parent_layers", sa.Integer),
    )
    on_rack = sa.text("state = 'on rack'")
    op.create_index("boards_name_on_rack", "boards", ["name"], unique=True, sqlite_where=on_rack, postgresql_where=on_rack)
    op.create_index("boards_name", "boards", ["name"])
    op.create_index("boards_kind", "boards", ["state", "species", "quarters"])
    op.create_index("boards_parent", "boards", ["parent"])
    _list_of(
        "defects",
        sa.Column("kind", sa.Text, nullable=False),
        sa.Column("face", sa.Text, nullable=False),
        *(sa.Column(n, sa.Text, nullable=False) for n in ("x", "y", "length", "width", "notes")),
    )
    _list_of("edges", *(sa.Column(n, sa.Text, nullable=False) for n in ("x", "near", "far", "notes")))
    _list_of("thickness_points", *(sa.Column(n, sa.Text, nullable=False) for n in ("x", "thickness")))
    op.create_table(
        "changes",
        sa.Column("seq", _number, primary_key=True, autoincrement=True),
        sa.Column("at", sa.Text, nullable=False),
        sa.Column("who", sa.Text, nullable=False),
        sa.Column("what", sa.Text, nullable=False),
        sa.Column("remark", sa.Text, nullable=False),
        sa.Column("key", sa.Text, unique=True),
        sa.Column("key_digest", sa.Text),
        sa.Column("undone_by", _number),
        sa.Column("undoes", _number),
        sqlite_autoincrement=True,
    )
    op.create_table(
        "change_boards",
        sa.Column("seq", _number, sa.ForeignKey("changes.seq"), primary_key=True),
        sa.Column("no", sa.Integer, primary_key=True, autoincrement=False),
        sa.Column("board", sa.String(36), nullable=False),
        sa.Column("before", sa.Text),
        sa.Column("after", sa.Text),
    )
    op.create_index("ix_change_boards_board", "change_boards", ["board"])


def _list_of(name: str, *columns: "sa.Column[str]") -> None:
    op.create_table(
        name,
        sa.Column("board", sa.String(36), sa.ForeignKey("boards.id"), primary_key=True),
        sa.Column("no", sa.Integer, primary_key=True, autoincrement=False),
        *columns,
    )
