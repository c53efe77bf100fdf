"""Ids of acts are version 7 UUIDs: they sort by time and do not repeat."""

from __future__ import annotations

import time
import uuid

from farmdesk.domain.events import new_act_id


def test_an_act_id_is_a_version_7_uuid() -> None:
    """RFC 9562, section 5.7: version 7, variant 10, 48 bits of milliseconds first."""
    before = time.time_ns() // 1_000_000
    read = uuid.UUID(hex=new_act_id())
    assert (read.int >> 76) & 0xF == 7
    assert read.variant == uuid.RFC_4122
    assert before <= read.int >> 80 <= time.time_ns() // 1_000_000


def test_ids_differ_within_a_millisecond() -> None:
    assert len({new_act_id() for _ in range(10_000)}) == 10_000
