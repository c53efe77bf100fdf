"""What a bench says about a scan."""

from __future__ import annotations

from dataclasses import dataclass, field

DONE = "done"
ALREADY = "already"
ASK = "ask"
REFUSED = "refused"
UNKNOWN = "unknown"


@dataclass(frozen=True)
class ScanAnswer:
    """One answer to one scan: `message` is a whole sentence, `entry` a day book number.

    `outcome` is done, already, ask, refused or unknown; `questions` are the codes that a yes
    confirms; `count` is how many bags were done under the card in force. `left_open` says that
    a question before this scan was never answered. `done_of_batch` of the
    `batch_bags` that the batch had are done under this card; `typed` is a weight that is being
    typed by cards; `print_wanted` is the thing whose label a card asks for.
    """

    code: str
    outcome: str
    message: str
    subject: str = ""
    stage: str = ""
    room: str = ""
    entry: int | None = None
    count: int = 0
    questions: tuple[str, ...] = ()
    left_open: bool = False
    done_of_batch: int = 0
    batch_bags: int = 0
    typed: str = ""
    print_wanted: int | None = None


@dataclass
class Answering:
    """The answer while it is worked out: filled in step by step, so a refusal can name all."""

    code: str
    outcome: str = DONE
    message: str = ""
    before: list[str] = field(default_factory=list)
    after: list[str] = field(default_factory=list)
    subject: str = ""
    stage: str = ""
    room: str = ""
    bags: int = 0
    is_card: bool = False
    batch: int | None = None
    batch_alive: int = 0
    print_wanted: int | None = None

    def finish(
        self,
        *,
        count: int,
        entry: int | None = None,
        questions: tuple[str, ...] = (),
    ) -> ScanAnswer:
        """The answer as it is given."""
        message = self.message
        if self.before or self.after:
            message = " ".join((*self.before, message, *self.after))
        return ScanAnswer(
            self.code,
            self.outcome,
            message,
            self.subject,
            self.stage,
            self.room,
            entry,
            count,
            questions,
            print_wanted=self.print_wanted,
        )
