"""Sentences about picks, scales and the cold store."""

from collections.abc import Mapping

SENTENCES: Mapping[str, str] = {}
