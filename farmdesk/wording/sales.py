"""Sentences about orders, deliveries and invoices."""

from collections.abc import Mapping

SENTENCES: Mapping[str, str] = {}
