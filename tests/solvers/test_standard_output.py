"""Standard output is silenced for a moment, and given back whoever else asks meanwhile."""

from __future__ import annotations

import threading

from moorledger.optimiser.solvers.standard_output import silenced


def test_overlapping_silences_are_ordered() -> None:
    """Of two threads' the later waits for the earlier to end: else it would keep, and in the end
    give back, the other's silence. (The search has two threads, and each makes solvers.)"""
    order: list[str] = []
    inside, go_on = threading.Event(), threading.Event()

    def first() -> None:
        with silenced():
            inside.set()
            go_on.wait(5)
            order.append("first ends")

    def second() -> None:
        inside.wait(5)
        with silenced():
            order.append("second begins")

    threads = [threading.Thread(target=job) for job in (first, second)]
    for thread in threads:
        thread.start()
    inside.wait(5)
    threads[1].join(0.2)
    go_on.set()
    for thread in threads:
        thread.join(5)
    assert order == ["first ends", "second begins"]
