"""Options: what a row of the sheet restricts, and what is said of a senseless one."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import numpy as np
import pytest
from moorledger.io.reading.workbook import read_farm
from moorledger.models.farm import Farm
from moorledger.models.fault import FarmError
from moorledger.models.option import FREE, Option, Restriction, Rule, What, one_rule
from moorledger.models.option_menu import left_out, single_models
from moorledger.optimiser.choices.admitted import admitted, offers_left
from moorledger.optimiser.choices.choices import Choices
from moorledger.optimiser.price import moorable_choices

from tests.farms.random_farms import random_farm
from tests.farms.typed_workbook import save, typed

FARM = random_farm(3, "middling")


@pytest.fixture(scope="module")
def choices() -> Choices:
    """Every choice of a farm of several families, chains, ropes and vessels."""
    return moorable_choices(FARM)


def left(choices: Choices, *restrictions: Restriction) -> Choices:
    """Return the choices that an option of these rows leaves."""
    option = Option("tried", restrictions)
    return choices.take(admitted(offers_left(FARM, option), choices, option))


def names(choices: Choices, what: What) -> set[str]:
    """Return what of a kind some choices use."""
    by_kind: dict[What, list[str]] = {
        What.ANCHORS: [FARM.anchors[n].name for n in choices.make_ups.anchor],
        What.FAMILIES: [FARM.anchors[n].family for n in choices.make_ups.anchor],
        What.CHAINS: [FARM.chains[n].name for n in choices.make_ups.chain],
        What.VESSELS: [FARM.vessels[n].name for n in choices.vessel],
    }
    return set(by_kind[what])


@pytest.mark.parametrize("what", [What.ANCHORS, What.FAMILIES, What.CHAINS, What.VESSELS])
def test_allow_and_forbid_are_opposites(choices: Choices, what: What) -> None:
    """What is allowed alone is all that is left; what is forbidden is all that is gone."""
    every = sorted(names(choices, what))
    one, rest = every[0], set(every[1:])
    assert rest
    assert names(left(choices, Restriction("o", Rule.ALLOW, what, (one,))), what) == {one}
    assert names(left(choices, Restriction("o", Rule.FORBID, what, (one,))), what) == rest


def test_rows_of_one_kind_that_allow_are_joined(choices: Choices) -> None:
    """Two rows that allow a family each allow both, as one row with both names does."""
    first, second, *_ = sorted(names(choices, What.FAMILIES))
    rows = [Restriction("o", Rule.ALLOW, What.FAMILIES, (name,)) for name in (first, second)]
    both = Restriction("o", Rule.ALLOW, What.FAMILIES, (first, second))
    assert names(left(choices, *rows), What.FAMILIES) == {first, second}
    assert len(left(choices, *rows)) == len(left(choices, both))


def test_a_row_may_hold_for_some_legs_alone(choices: Choices) -> None:
    """A fixed choice on one leg group leaves the other groups as they were."""
    leg = FARM.legs[0].name
    mine = choices.make_ups.leg == 0
    anchor = FARM.anchors[int(choices.make_ups.anchor[mine][0])].name
    fixed = left(choices, Restriction("o", Rule.ALLOW, What.ANCHORS, (anchor,), (leg,)))
    assert {FARM.anchors[n].name for n in fixed.make_ups.anchor[fixed.make_ups.leg == 0]} == {
        anchor
    }
    assert (fixed.make_ups.leg != 0).sum() == (~mine).sum()


def test_prefer_leaves_free_only_the_legs_that_it_cannot_moor(choices: Choices) -> None:
    """Each leg has either nothing but the preferred family, or, with none of it, all it had."""
    seen = set()
    for family in FARM.families:
        preferred = left(choices, Restriction("o", Rule.PREFER, What.FAMILIES, (family,)))
        for leg in range(len(FARM.legs)):
            before = choices.make_ups.anchor[choices.make_ups.leg == leg]
            after = preferred.make_ups.anchor[preferred.make_ups.leg == leg]
            of_family = [n for n in before if FARM.anchors[n].family == family]
            assert after.tolist() == (of_family or before.tolist())
            seen.add(bool(of_family))
    assert seen == {True, False}


def test_a_supplier_left_out_sells_nothing_but_stock_stays(choices: Choices) -> None:
    """Of a supplier left out only items on hand are still used."""
    for supplier in FARM.suppliers:
        option = one_rule("o", Rule.FORBID, What.SUPPLIERS, supplier.name)
        kept = left(choices, *option.restrictions)
        used = names(kept, What.ANCHORS) | names(kept, What.CHAINS) if len(kept) else set()
        items = [FARM.item_by_name[name] for name in used]
        assert all(
            i.on_hand_total > 0 or any(o.supplier != supplier.name for o in i.offers) for i in items
        )


def test_options_of_every_farm_have_names_of_their_own() -> None:
    """No two options that are compared unasked share a name."""
    options = [FREE, *left_out(FARM), *single_models(FARM)]
    assert len({option.name for option in options}) == len(options) > 5


SHEET_FAULTS: list[tuple[str, Any, str]] = [
    ("A2", None, "Options!A2 Name: blank; needs a name"),
    ("B2", "perhaps", "Options!B2 Allow / Forbid: found 'perhaps'"),
    ("C2", "boats", "Options!C2 What: found 'boats'"),
    ("D2", "plate 25", "'plate 25' is not one of the anchors in Anchors; did you mean 'plate 250'"),
    ("D3", "Supplier C", "Options!D3 Which: 'Supplier C' is not one of the suppliers in Suppliers"),
    ("D4", "flat", "Options!D4 Which: 'flat' is no transport form; needs folding or solid"),
    ("E2", "cornr", "Options!E2 Legs: 'cornr' is not in Legs; did you mean 'corner'?"),
    ("E3", "corner", "Options!E3 Legs: suppliers serve the whole farm; leave it blank"),
    ("B3", "prefer", "Options!B3 Allow / Forbid: 'prefer' is for what a leg can choose"),
    ("A4", "Free Choice", "Options!A4 Name: 'Free Choice' is compared without being asked for"),
]


@pytest.mark.parametrize(("cell", "value", "said"), SHEET_FAULTS)
def test_faults_of_the_sheet_name_their_cell(
    cell: str, value: Any, said: str, tmp_path: Path
) -> None:
    """One spoilt cell gives one fault, that says where it is and what would do."""
    with pytest.raises(FarmError) as refused:
        read_farm(save(typed(("Options", cell, value)), tmp_path / "typed.xlsx"))
    (fault,) = refused.value.faults
    assert said in str(fault)


def test_rows_of_one_name_are_one_option(tmp_path: Path) -> None:
    """Options are read in the order of their first rows, whatever the capitals."""
    farm: Farm = read_farm(save(typed(("Options", "A3", "AS LAST YEAR")), tmp_path / "typed.xlsx"))
    assert [(o.name, len(o.restrictions)) for o in farm.options] == [
        ("as last year", 2),
        ("flat packs", 1),
    ]


def test_admitted_never_adds(choices: Choices) -> None:
    """The free choice leaves everything; no option leaves what the free choice does not."""
    everything = admitted(FARM, choices, FREE)
    assert everything.all()
    for option in (*left_out(FARM), *single_models(FARM)):
        assert np.count_nonzero(admitted(offers_left(FARM, option), choices, option)) < len(choices)
