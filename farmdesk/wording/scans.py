"""Sentences about scan answers."""

from collections.abc import Mapping

SENTENCES: Mapping[str, str] = {}
