"""Labels of chosen things printed from a page: on any stock, from any place of a sheet."""

from __future__ import annotations

from collections.abc import Sequence

from farmdesk.desk.context import DeskContext
from farmdesk.desk.print_labels import LabelsDialog
from farmdesk.reports.catalogue import Catalogue
from farmdesk.wording.language import tr, tr_count


class BatchLabelsDialog(LabelsDialog):
    """The labels of what a page's words name, seen before they are printed."""

    def __init__(self, context: DeskContext, catalogue: Catalogue, words: Sequence[str]) -> None:
        del catalogue
        title = tr("Labels of {name}").format(name=words[0] if words else "")
        if len(words) > 1:
            many = tr_count(len(words), "Labels of {n} thing", "Labels of {n} things")
            title = many.format(n=context.formats.number(len(words)))
        super().__init__(context, " ".join(words), title=title)
