"""Bin packing as cutting: each size a piece of rope, each bin a length sold.

A piece that may not be joined needs a length to itself or a share of one, so the fewest lengths
that hold a list of pieces are the fewest bins.
"""

from __future__ import annotations

import math
from collections import Counter

import pytest
from moorledger.optimiser.cutting import cutting_list as cutting_module
from moorledger.optimiser.cutting.cutting_list import fewest_lengths

from tests.published.bin_packing import INSTANCES, BinPacking
from tests.quick_run import mostly_long

LONG_ENOUGH_S = 120.0
"""For the longest search, u120_08's, on a machine busy with other work: 2 s on one that is not."""

every_instance = mostly_long("packing", INSTANCES, quick=INSTANCES[::2], ids=lambda one: one.name)


@every_instance
def test_fewest_lengths_are_the_published_bins(
    packing: BinPacking, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Tests the published number of bins, proven, with every size cut once and no bin too full."""
    monkeypatch.setattr(cutting_module, "FLOW_SECONDS", LONG_ENOUGH_S)
    cutting = fewest_lengths([float(size) for size in packing.sizes], float(packing.capacity))
    assert (cutting.lengths, cutting.bound) == (packing.bins, packing.bins)
    assert len(cutting.stocks) == packing.bins
    for stock in cutting.stocks:
        assert sum(metres for _, metres in stock.cuts) <= packing.capacity + 1e-6
    cut = Counter(round(metres) for stock in cutting.stocks for _, metres in stock.cuts)
    assert cut == Counter(packing.sizes)


@every_instance
def test_sizes_are_as_many_as_the_name_says(packing: BinPacking) -> None:
    """Tests the copied lists themselves: their number, and that no fewer bins could hold them."""
    assert len(packing.sizes) == int(packing.name[1:].split("_")[0])
    assert math.ceil(sum(packing.sizes) / packing.capacity) == packing.bins


def test_triplets_fill_every_bin() -> None:
    """Tests that the triplets leave no waste at all: twenty bins, each cut to its end."""
    triplets = next(one for one in INSTANCES if one.name.startswith("t"))
    assert sum(triplets.sizes) == triplets.bins * triplets.capacity
    cutting = fewest_lengths([float(size) for size in triplets.sizes], float(triplets.capacity))
    assert all(stock.offcut_m == pytest.approx(0.0, abs=1e-9) for stock in cutting.stocks)
    assert all(len(stock.cuts) == 3 for stock in cutting.stocks)
