"""Questions of the pages to the farm, each in a reading transaction of its own."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, TypeVar

from farmdesk.store.farm_store import FarmStore

ResultT = TypeVar("ResultT")


def ask_farm(
    store: FarmStore, question: Callable[..., ResultT], *facts: Any, **named: Any
) -> ResultT:
    """The answer of `question(reading, ...)`; for `workplace.read(ask_farm, farm, question)`."""
    with store.reading() as reading:
        return question(reading, *facts, **named)
