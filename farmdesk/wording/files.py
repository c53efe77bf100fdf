"""Sentences about farm files, imports, exports and backups."""

from collections.abc import Mapping

SENTENCES: Mapping[str, str] = {}
