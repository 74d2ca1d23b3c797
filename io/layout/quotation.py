"""A quotation: what a supplier is asked to fill in, a row an item, and the terms above the rows."""

from __future__ import annotations

from enum import StrEnum

from ...models.goods.price import Scheme
from ...models.site.delivery_term import DeliveryTerm
from .shared_columns import COUNT, DAYS, PRICE, QUANTITY, C, K

BREAKS = 3
"""Price breaks that there are columns for."""

PRICE_FROM = "Price from"
"""What a heading begins with that names the quantity of its break: Price from 50."""

IGNORE = "ignore"

# fmt: off
ITEM = C("Item", "item", "As the buyer calls it", K.TEXT)
UNIT_PRICE = C("Unit price", "unit_price", "In the currency above, for one unit of the column "
               "before: each, or a metre. Blank: not quoted", K.MONEY, range=PRICE)
FROM = C("From quantity", "from_quantity", "Where each break has a row of its own: from so many "
         "units as sold", K.COUNT, range=COUNT)
LINES = (
    ITEM, UNIT_PRICE,
    C("Minimum order", "minimum_order", "The least that you sell, in units as sold. Blank: none",
      K.COUNT, range=QUANTITY),
    C("Order multiple", "order_multiple", "The pack: an order is a whole number of these. Blank: "
      "1", K.COUNT, range=COUNT),
    C("Available", "available", "The most that can be had, in units as sold. Blank: no limit",
      K.COUNT, range=QUANTITY),
    C("Lead time", "lead_time_days", "From the order until the goods leave you", K.COUNT, "days",
      range=DAYS),
    *(
        column
        for number in range(1, BREAKS + 1)
        for column in (
            C(f"Break {number} from", f"from_{number}", "From so many units as sold", K.COUNT,
              range=COUNT),
            C(f"Break {number} price", f"price_{number}", "The unit price from there", K.MONEY,
              range=PRICE),
        )
    ),
    C("Scheme", "scheme", "Whether a break's price is for the whole order, or only for the units "
      "from there on. Blank: the whole order", K.CHOICE, choices=Scheme),
)
"""What is filled in for each item."""

TERMS = (
    C("Supplier", "supplier", "Who quotes", K.TEXT),
    C("Quotation", "quotation", "Your reference", K.TEXT),
    C("Currency", "currency", "Of all prices, by its three letters", K.TEXT),
    C("Valid until", "valid_until", "The last day to order at these terms", K.DATE),
    C("Delivery term", "delivery_term", "The Incoterms 2020 rule that the prices are for",
      K.CHOICE, choices=DeliveryTerm),
    C("Payment terms", "payment_terms", "Such as 30 days net", K.TEXT),
)
"""What is filled in once, above the rows."""
# fmt: on


class Told(StrEnum):
    """What the buyer tells in a request, and does not read back."""

    DESCRIPTION = "Description"
    PRICED_PER = "Price per"
    SOLD_AS = "Unit as sold"
    ASKED = "Quantity asked"
    BREAKS = "Breaks would matter at"
    REMARKS = "Remarks"


SHEET = "Quotation"
"""The sheet that a supplier is sent."""
