"""The terms of delivery that a purchase order can name.

Source: Incoterms 2020 of the International Chamber of Commerce, names and order as its chart of
the eleven rules has them.
"""

from __future__ import annotations

from enum import StrEnum


class DeliveryTerm(StrEnum):
    """A rule of Incoterms 2020, by its three letters."""

    EXW = "EXW"
    FCA = "FCA"
    CPT = "CPT"
    CIP = "CIP"
    DAP = "DAP"
    DPU = "DPU"
    DDP = "DDP"
    FAS = "FAS"
    FOB = "FOB"
    CFR = "CFR"
    CIF = "CIF"

    @property
    def in_words(self) -> str:
        """The rule's name: "Free Carrier"."""
        return _WORDS[self]

    @property
    def buyer_carries(self) -> bool:
        """Whether the buyer pays the main carriage, as the freight of a plan takes for granted."""
        return self in (DeliveryTerm.EXW, DeliveryTerm.FCA, DeliveryTerm.FAS, DeliveryTerm.FOB)


_WORDS = {
    DeliveryTerm.EXW: "Ex Works",
    DeliveryTerm.FCA: "Free Carrier",
    DeliveryTerm.CPT: "Carriage Paid To",
    DeliveryTerm.CIP: "Carriage and Insurance Paid To",
    DeliveryTerm.DAP: "Delivered at Place",
    DeliveryTerm.DPU: "Delivered at Place Unloaded",
    DeliveryTerm.DDP: "Delivered Duty Paid",
    DeliveryTerm.FAS: "Free Alongside Ship",
    DeliveryTerm.FOB: "Free on Board",
    DeliveryTerm.CFR: "Cost and Freight",
    DeliveryTerm.CIF: "Cost, Insurance and Freight",
}
