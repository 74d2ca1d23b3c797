"""A crew: who works independent prices off, one process, several, or a running cluster.

A task is a function of one record that is sent to whoever works it; its result is sent back. Tasks
know nothing of one another, so the results are the same whoever works them, and in the order of
the tasks. What a lost worker had in hand is worked again; what was done is kept.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any, Protocol, TypeVar

from .failures import SolverFailedError

Task = TypeVar("Task")
Result = TypeVar("Result")

Done = Callable[[int, int], object]
"""Called with (how many are done, of how many) as each task's result comes in."""

TRIALS = 4
"""Times that tasks are handed out, where workers are lost."""


class Crew(Protocol):
    """Whoever works tasks off."""

    @property
    def size(self) -> int:
        """How many are worked at a time."""

    def results(
        self,
        function: Callable[[Task], Result],
        tasks: Sequence[Task],
        told: Done | None = None,
    ) -> list[Result]:
        """Return the result of every task, in their order; told : hears of each."""


@dataclass(frozen=True)
class Alone:
    """This process, one task after the other."""

    size: int = 1

    def results(
        self,
        function: Callable[[Task], Result],
        tasks: Sequence[Task],
        told: Done | None = None,
    ) -> list[Result]:
        """Return the result of every task, in their order; told : hears of each."""
        found: list[Result] = []
        for task in tasks:
            found.append(function(task))
            _tell(told, len(found), len(tasks))
        return found


ONE = Alone()


@dataclass(frozen=True)
class Processes:
    """Processes of this machine, by joblib."""

    size: int

    def results(
        self,
        function: Callable[[Task], Result],
        tasks: Sequence[Task],
        told: Done | None = None,
    ) -> list[Result]:
        """Return the result of every task, in their order; told : hears of each.

        Raises SolverFailedError where workers are lost again and again.
        """
        import joblib  # its import takes a while, and only several processes need it

        done: dict[int, Result] = {}
        for _ in range(TRIALS):
            left = [number for number in range(len(tasks)) if number not in done]
            if not left:
                break
            pool = joblib.Parallel(n_jobs=self.size, batch_size=1, return_as="generator_unordered")
            calls = (joblib.delayed(_numbered)(function, n, tasks[n]) for n in left)
            try:
                for number, result in pool(calls):
                    done[number] = result  # what is done is kept where a worker is then lost
                    _tell(told, len(done), len(tasks))
            except joblib.externals.loky.process_executor.BrokenProcessPool:
                continue
        if len(done) < len(tasks):
            raise SolverFailedError(f"worker processes were lost {TRIALS} times")
        return [done[number] for number in range(len(tasks))]


@dataclass(frozen=True)
class Cluster:
    """A running Dask scheduler and its workers, which must have this package installed."""

    client: Any

    @property
    def size(self) -> int:
        """How many tasks its workers take at a time."""
        return max(sum(int(threads) for threads in self.client.nthreads().values()), 1)

    def results(
        self,
        function: Callable[[Task], Result],
        tasks: Sequence[Task],
        told: Done | None = None,
    ) -> list[Result]:
        """Return the result of every task, in their order; told : hears of each. The scheduler
        hands a lost worker's tasks to another."""
        from distributed import as_completed

        futures = [self.client.submit(function, task, pure=False, retries=TRIALS) for task in tasks]
        for number, _ in enumerate(as_completed(futures), start=1):
            _tell(told, number, len(tasks))
        return list(self.client.gather(futures))


def crew_of(jobs: int, cluster: str) -> Crew:
    """Return the crew for so many processes, or for the scheduler at an address ("": none).

    Raises SolverFailedError where the scheduler cannot be reached, or its library is missing.
    """
    if cluster:
        try:
            from distributed import Client
        except ImportError:
            raise SolverFailedError(
                "--cluster needs the library of Dask: pip install 'moorledger[cluster]'"
            ) from None
        try:
            client: Any = Client
            return Cluster(client(cluster, timeout="10s", set_as_default=False))
        except (OSError, TimeoutError, ValueError) as error:
            raise SolverFailedError(f"no Dask scheduler answers at {cluster}: {error}") from None
    return Processes(jobs) if jobs > 1 else ONE


def _tell(told: Done | None, done: int, of: int) -> None:
    if told is not None:
        told(done, of)


def _numbered(function: Callable[[Task], Result], number: int, task: Task) -> tuple[int, Result]:
    return number, function(task)
