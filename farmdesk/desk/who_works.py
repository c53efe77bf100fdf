"""Who is working at this station: the day book and the labels carry their initials."""

from __future__ import annotations

from collections.abc import Callable

from farmdesk.desk.dialogs import FormDialog
from farmdesk.desk.fields import ChoiceField
from farmdesk.domain.catalogue import Person
from farmdesk.store.farm_store import FarmStore
from farmdesk.wording.language import tr

NOBODY = 0


def list_people(store: FarmStore) -> list[Person]:
    """The people who work on the farm now."""
    with store.reading() as reading:
        return [one for one in reading.all(Person) if not one.retired]


def guess_person(people: list[Person], initials: str) -> Person | None:
    """Who worked here last, by initials; the only one, where there is but one."""
    known = [one for one in people if one.initials == initials]
    if known:
        return known[0]
    return people[0] if len(people) == 1 else None


class PersonDialog(FormDialog):
    """One choice: who is working here."""

    def __init__(
        self, people: list[Person], now: Person | None, chosen: Callable[[Person | None], object]
    ) -> None:
        sentence = (
            tr("The acts of this station carry this person's initials.")
            if people
            else tr("Nobody is entered yet. Add people in the catalogue (Ctrl+9).")
        )
        super().__init__(tr("Who is working"), sentence=sentence, save_title=tr("That is me"))
        choices = [(NOBODY, tr("Nobody named"))]
        choices += [(one.id, f"{one.name} ({one.initials})") for one in people]
        by_id = {one.id: one for one in people}
        self.form.add(ChoiceField("person", tr("Person"), choices, value=now.id if now else NOBODY))
        self.on_save = lambda values: self._choose(by_id.get(values["person"]), chosen)

    def _choose(self, person: Person | None, chosen: Callable[[Person | None], object]) -> None:
        self.accept()
        chosen(person)
