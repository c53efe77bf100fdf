"""Sentences about labels and printing."""

from collections.abc import Mapping

SENTENCES: Mapping[str, str] = {}
