"""Sentences about walks, defects and stages."""

from collections.abc import Mapping

SENTENCES: Mapping[str, str] = {}
