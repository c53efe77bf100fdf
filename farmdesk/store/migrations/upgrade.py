"""Bring a farm up to this version's schema with Alembic."""

from __future__ import annotations

from pathlib import Path

from alembic import command
from alembic.config import Config
from sqlalchemy import Engine

HERE = Path(__file__).parent


def config_for(engine: Engine) -> Config:
    """The Alembic configuration for an engine; no ini file is needed."""
    config = Config()
    config.set_main_option("script_location", str(HERE).replace("%", "%%"))
    config.attributes["engine"] = engine
    return config


def bring_up_to_date(engine: Engine) -> None:
    """Run every migration the farm has not seen, in one transaction."""
    command.upgrade(config_for(engine), "head")
