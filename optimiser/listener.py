"""A listener: the function that a caller gives to hear of a search under way, and to stop it."""

from __future__ import annotations

from collections.abc import Callable


class Listener:
    """A caller's function, asked from whatever thread or native code the search is in.

    There an error of the caller's would be lost, or leave threads at work: it is kept, the search
    is told to stop, and `raise_error` gives it back once the search has ended.
    """

    def __init__(self, progress: Callable[[float, float], bool] | None) -> None:
        self._progress = progress
        self._error: BaseException | None = None

    def __call__(self, cost: float, bound: float) -> bool:
        """Tell of the cost of the best plan and of the bound; return whether to stop."""
        if self._error is not None:
            return True
        try:
            return self._progress is not None and self._progress(cost, bound)
        except BaseException as error:
            self._error = error
            return True

    def raise_error(self) -> None:
        """Raise what the caller's function raised, if it did."""
        if self._error is not None:
            raise self._error
