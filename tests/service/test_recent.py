"""The list of recent errors: newest first, alike ones together, short, and the same from every worker."""

from __future__ import annotations

import multiprocessing
import threading

import pytest

from service.asking import call
from stillbook.service.recent import KEPT, Failure, RecentErrors


def failure(number: int) -> Failure:
    return Failure("STILL_FLOORLOAD", "#NUM!", f"reason {number}", f"Floor!A{number}")


def told(recent: RecentErrors) -> list[tuple[str, int]]:
    return [(note["cell"].partition("!")[2], note["count"]) for note in recent.newest_first()]


@pytest.mark.parametrize(
    ("added", "expected"),
    [
        ([], []),
        ([1], [("A1", 1)]),
        ([1, 2, 3], [("A3", 1), ("A2", 1), ("A1", 1)]),
        ([1, 2, 1], [("A1", 2), ("A2", 1)]),
        (range(1, KEPT + 51), [(f"A{n}", 1) for n in range(KEPT + 50, 50, -1)]),
    ],
)
def test_the_newest_come_first_and_alike_ones_once(added, expected):
    recent = RecentErrors()
    for number in added:
        recent.add([failure(number)])
    assert told(recent) == expected


def test_many_at_once_are_noted_as_they_come():
    recent = RecentErrors()
    recent.add(failure(number) for number in range(KEPT * 3))
    assert told(recent) == [(f"A{n}", 1) for n in range(KEPT * 3 - 1, KEPT * 2 - 1, -1)]


@pytest.mark.parametrize("text", ["x", '"', "\\", "\x00", "\x1f", "é", "²", "\U0001f600", "\ud800", "\u2028"])
def test_long_texts_are_cut_to_fit(text):
    recent = RecentErrors()
    recent.add([failure(1), Failure(*[text * 1000] * 4), failure(2)])
    notes = recent.newest_first()
    assert [len(notes[1][name]) for name in Failure._fields] == [40, 10, 400, 100]
    assert (notes[0]["reason"], notes[2]["reason"]) == ("reason 2", "reason 1")


def test_threads_write_without_loss():
    recent = RecentErrors()
    threads = [
        threading.Thread(target=lambda n=n: [recent.add([failure(n)]) for _ in range(KEPT // 4)]) for n in range(4)
    ]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert dict(told(recent)) == {f"A{n}": KEPT // 4 for n in range(4)}


def test_processes_write_to_the_same_list():
    recent = RecentErrors(shared=True)
    context = multiprocessing.get_context("spawn")
    workers = [context.Process(target=recent.add, args=([failure(n)],)) for n in (1, 2)]
    for worker in workers:
        worker.start()
    for worker in workers:
        worker.join(60)
    assert sorted(told(recent)) == [("A1", 1), ("A2", 1)]


def test_a_lock_that_a_killed_worker_holds_stops_nobody():
    recent = RecentErrors()
    recent._lock.acquire()
    recent.add([failure(1)])
    assert recent.newest_first() == []


def test_why_a_cell_failed(application):
    application.calls(
        call("QUANTITY", "1 in", "in"),
        call("SURFACEMASS", "88 lb", cell="Shell!C7"),
        call("still.floorload", [[1000], [-1]], 10, 10, cell="Floor!B2"),
        call("SURFACEMASS", "88 lb", cell="Shell!C7"),
        call("SURFACEMASS", {"error": "#REF!"}),
        call("NOSUCH", listed=False),
    )
    notes = application.ask("GET", "/recent-errors").json()["errors"]
    assert [(note["formula"], note["code"], note["cell"]) for note in notes] == [
        ("STILL_SURFACEMASS", "#REF!", ""),
        ("STILL_FLOORLOAD", "#NUM!", "Floor!B2"),
        ("STILL_SURFACEMASS", "#VALUE!", "Shell!C7"),
    ]
    assert all(note["reason"] and note["time"].endswith("+00:00") for note in notes)
