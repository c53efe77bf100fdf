"""Sentences about cultures, spawn, recipes, heat runs and inoculation."""

from collections.abc import Mapping

SENTENCES: Mapping[str, str] = {}
