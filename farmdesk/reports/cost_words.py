"""How tasks and kinds of cost are called."""

from __future__ import annotations

from collections.abc import Mapping

from farmdesk.wording.language import tr
from farmdesk.wording.states import TASKS

TASK_WORDS: Mapping[str, str] = {task: tr(word) for task, word in TASKS.items()}
KIND_WORDS: Mapping[str, str] = {
    "materials": tr("Materials"),
    "spawn": tr("Spawn"),
    "supplies": tr("Bags and labels"),
    "making": tr("Work of making"),
    "growing": tr("Work of growing"),
    "overhead": tr("Overhead"),
}
