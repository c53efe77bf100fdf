"""The lanes: order, threads, errors, waiting, and a clean end."""

from __future__ import annotations

import logging
import threading

import pytest
from PySide6.QtWidgets import QLabel

from farmdesk.desk.acting import perform
from farmdesk.desk.workplace import Workplace
from farmdesk.errors import Asked, Refused, problem
from farmdesk.store.stopping import sign_here


def test_writes_run_one_at_a_time_in_the_order_asked(workplace, settled) -> None:
    order: list[int] = []
    threads: set[str] = set()

    def write(number: int) -> int:
        threads.add(threading.current_thread().name)
        order.append(number)
        return number

    answers: list[int] = []
    for number in range(50):
        workplace.do(write, number, then=answers.append)
    settled()
    assert order == answers == list(range(50))
    assert len(threads) == 1
    assert threads != {threading.current_thread().name}


def test_answers_come_back_in_the_thread_of_the_window(workplace, settled) -> None:
    seen: list[str] = []
    workplace.read(lambda: 7, then=lambda _: seen.append(threading.current_thread().name))
    settled()
    assert seen == [threading.current_thread().name]


class Shown:
    """A page that shows what it is answered."""

    def __init__(self) -> None:
        self.texts: list[str] = []

    def show(self, text: str) -> None:
        self.texts.append(text)


def test_an_older_answer_never_takes_the_place_of_a_newer_one(workplace, settled) -> None:
    page, other, gate = Shown(), Shown(), threading.Event()

    def slow() -> str:
        assert gate.wait(10)
        return "old"

    workplace.read_newest(slow, then=page.show)
    workplace.read_newest(lambda: "of another page", then=other.show)
    newer = workplace.read_newest(lambda: "new", then=page.show)
    assert newer.wait(10)
    gate.set()
    settled()
    workplace.read_newest(lambda: "newest", then=page.show)
    settled()
    assert page.texts == ["new", "newest"]
    assert other.texts == ["of another page"]


def test_settled_waits_for_work_started_by_an_answer(workplace, settled) -> None:
    seen: list[str] = []

    def more(_: object) -> None:
        workplace.do(lambda: "second", then=seen.append)

    workplace.read(lambda: "first", then=more)
    settled()
    assert seen == ["second"]
    assert workplace.is_idle()


def test_settled_says_when_work_does_not_end(workplace, settled) -> None:
    gate = threading.Event()
    workplace.read(gate.wait)
    with pytest.raises(TimeoutError):
        workplace.settled(limit_ms=5)
    gate.set()
    settled()


def test_own_errors_go_to_failed_or_to_the_calm_message(workplace, settled, qtbot) -> None:
    def refuse() -> None:
        raise Refused(problem("tare_above_gross"))

    failures: list[object] = []
    workplace.do(refuse, failed=failures.append)
    settled()
    assert isinstance(failures[0], Refused)
    calm: list[object] = []
    workplace.refused.connect(calm.append)
    workplace.do(refuse)
    settled()
    assert isinstance(calm[0], Refused)


def test_a_fault_is_logged_and_reported_with_details(workplace, settled, farm_log) -> None:
    reports: list[tuple[str, str]] = []
    workplace.crashed.connect(lambda line, details: reports.append((line, details)))
    workplace.do(lambda: 1 / 0)
    settled()
    assert reports[0][0] == "ZeroDivisionError: division by zero"
    assert "Traceback" in reports[0][1]
    assert [record.levelno for record in farm_log] == [logging.ERROR]
    farm_log.clear()


def test_a_fault_in_an_answer_does_not_stop_the_lane(workplace, settled, farm_log) -> None:
    workplace.do(lambda: 1, then=lambda _: {}["missing"])
    seen: list[int] = []
    workplace.do(lambda: 2, then=seen.append)
    settled()
    assert seen == [2]
    assert len(farm_log) == 1
    farm_log.clear()


def test_a_page_that_is_gone_is_not_called_back(workplace, settled, qtbot) -> None:
    gate = threading.Event()

    def slow() -> str:
        gate.wait()
        return "late"

    label = QLabel("early")
    workplace.read(slow, then=label.setText)
    label.deleteLater()
    import shiboken6

    shiboken6.delete(label)
    gate.set()
    settled()
    assert workplace.is_idle()


def test_closing_finishes_the_writes_and_leaves_no_thread(qapp) -> None:
    place = Workplace()
    done: list[int] = []
    for number in range(20):
        place.do(done.append, number)
    place.close()
    assert done == list(range(20))
    assert not [one for one in threading.enumerate() if one.name.startswith("farm-")]


def test_a_question_is_read_back_and_done_again_with_its_codes(workplace, settled) -> None:
    tried: list[frozenset[str]] = []

    def act(confirmed: frozenset[str]) -> str:
        tried.append(confirmed)
        for code in ("young_bag", "room_full"):
            if code not in confirmed:
                raise Asked(problem(code))
        return "moved"

    asked: list[str] = []
    results: list[str] = []

    def say_yes(sentence, yes, no) -> None:
        asked.append(sentence)
        yes()

    perform(workplace, act, say_yes, then=results.append)
    settled()
    assert results == ["moved"]
    assert tried == [frozenset(), {"young_bag"}, {"young_bag", "room_full"}]
    assert len(asked) == 2


def test_no_means_nothing_is_done(workplace, settled) -> None:
    calls: list[str] = []

    def act(confirmed: frozenset[str]) -> None:
        raise Asked(problem("young_bag"))

    perform(
        workplace,
        act,
        lambda _sentence, _yes, no: no(),
        then=lambda _: calls.append("then"),
        no=lambda: calls.append("no"),
    )
    settled()
    assert calls == ["no"]


def test_a_read_that_is_dropped_ends_where_it_stands(workplace, settled) -> None:
    began, ended = threading.Event(), list[bool]()

    def work() -> None:
        began.set()
        sign = sign_here()
        assert sign is not None
        while not sign.is_stopped:
            began.wait(0.01)
        ended.append(True)

    errands = [workplace.read(work, then=ended.append) for _ in range(6)]
    assert began.wait(10)
    for one in reversed(errands):
        one.drop()
    settled()
    # Two were under way, one in each lane; those that waited never began.
    assert 1 <= len(ended) <= 2
