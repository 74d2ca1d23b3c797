"""The terms of delivery."""

from __future__ import annotations

from moorledger.models.site.delivery_term import DeliveryTerm


def test_the_terms_are_the_eleven_rules_of_incoterms_2020() -> None:
    """Letters and names as the chart of the International Chamber of Commerce has them."""
    chart = (
        "EXW Ex Works; FCA Free Carrier; CPT Carriage Paid To; CIP Carriage and Insurance Paid To; "
        "DAP Delivered at Place; DPU Delivered at Place Unloaded; DDP Delivered Duty Paid; "
        "FAS Free Alongside Ship; FOB Free on Board; CFR Cost and Freight; "
        "CIF Cost, Insurance and Freight"
    )
    assert "; ".join(f"{term} {term.in_words}" for term in DeliveryTerm) == chart


def test_the_buyer_carries_under_the_e_and_f_terms_alone() -> None:
    """E and F: the main carriage is the buyer's; C and D: the seller's (the same chart)."""
    assert {term for term in DeliveryTerm if term.buyer_carries} == {
        term for term in DeliveryTerm if term[0] in "EF"
    }
