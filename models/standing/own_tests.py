"""An anchor's own pull tests on one seabed: what they support, and what they stand against."""

from __future__ import annotations

import math
from dataclasses import dataclass

from ..farm import Farm
from ..site.pull_test import PullTest
from .characteristic import Characteristic, characteristic


@dataclass(frozen=True)
class OwnTests:
    """The tests of one anchor on one seabed, within one allowed drag."""

    allowed_drag_m: float
    tests: tuple[PullTest, ...]
    usable_kn: tuple[float, ...]
    """Of each test: the load that it lets one rely on within the drag."""
    stopped: tuple[bool, ...]
    """Of each test: whether it was stopped within the drag, so that its load is a lower bound."""
    characteristic: Characteristic | None
    """Of them all; None where they are too few for one, or one of them holds nothing."""
    decide: bool
    """Whether those that were not stopped are enough to be relied on, or to refuse, by
    themselves: nothing else than a lower declared value, or an override, then counts."""

    @property
    def held_kn(self) -> tuple[float, ...]:
        """The usable loads of those that were not stopped within the drag."""
        pairs = zip(self.usable_kn, self.stopped, strict=True)
        return tuple(load for load, stopped in pairs if not stopped)

    @property
    def value_kn(self) -> float:
        """Their characteristic value; zero where there is none."""
        return 0.0 if self.characteristic is None else self.characteristic.value_kn

    @property
    def ceiling_kn(self) -> float:
        """The most that weaker evidence counts for beside them.

        Their value where they decide; else the lowest usable load of those that were not stopped;
        infinite without such a test, since a stopped one says nothing against.
        """
        return self.value_kn if self.decide else min(self.held_kn, default=math.inf)

    @property
    def supported_kn(self) -> float:
        """The largest declared holding that does not contradict them."""
        return max(self.value_kn, self.ceiling_kn)

    @property
    def failed(self) -> PullTest | None:
        """The first test that holds nothing within the drag; None: each holds something."""
        for test, load, stopped in zip(self.tests, self.usable_kn, self.stopped, strict=True):
            if load <= 0 and not stopped:
                return test
        return None

    @property
    def counted(self) -> str:
        """How many there are, in words."""
        count = len(self.tests)
        return f"{count} pull test{'' if count == 1 else 's'}"


def own_tests(farm: Farm, anchor: str, seabed: str, allowed_drag_m: float) -> OwnTests:
    """Return the pull tests of an anchor on a seabed, within an allowed drag."""
    tests = tuple(t for t in farm.tests_of(anchor, seabed) if t.speaks_within(allowed_drag_m))
    usable = tuple(test.usable_load_kn(allowed_drag_m) for test in tests)
    stopped = tuple(test.stopped_within(allowed_drag_m) for test in tests)
    held = [load for load, ended in zip(usable, stopped, strict=True) if not ended]
    bounds = [load for load, ended in zip(usable, stopped, strict=True) if ended]
    stated = farm.project.pull_test_scatter
    least = farm.project.least_pull_test_scatter
    more = farm.supposed_of(anchor, seabed)
    decide = len(held) > 0 and (len(held) + more >= 3 or stated is not None)
    value = characteristic(held, bounds, stated, least, more)
    return OwnTests(allowed_drag_m, tests, usable, stopped, value, decide)
