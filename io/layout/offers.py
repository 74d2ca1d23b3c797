"""The terms of buying: offers, price breaks, suppliers, stock on hand, freight and vessels."""

from __future__ import annotations

from ...models.goods.freight import Basis, FreightService
from ...models.goods.price import PriceBreak, Scheme
from ...models.goods.supplier import LayoutWord, Offer, OnHand, Supplier
from ...models.site.delivery_term import DeliveryTerm
from ...models.site.vessel import Vessel
from . import stand_ins as assumed
from .column import Bounds, InputSheet, above
from .shared_columns import (
    CHARGE,
    COUNT,
    DAYS,
    DUTY,
    FACTOR_OF_PRICES,
    FORCE,
    HOURS,
    MINUTES,
    NO_LIMIT,
    PRICE,
    QUANTITY,
    SIDE,
    SOME,
    TO_FILL_IN,
    VOLUME,
    C,
    K,
    available_column,
    currency_column,
    duty_column,
    exchange_rate_column,
    lead_time_column,
    minimum_order_column,
    order_multiple_column,
)

# fmt: off
OFFERS = InputSheet(
    "Offers", "A row for each further offer of an item: another supplier's, or all of them where "
    "its own sheet leaves supplier and price blank.", Offer, "offers",
    (
        C("Item", "item", "An anchor, chain, rope or fitting", K.NAME, names="item",
          example="plate 250"),
        C("Supplier", "supplier", "Who offers it; a name on Suppliers", K.NAME, names="supplier",
          example="Supplier B"),
        C("Unit price", "unit_price", "In the supplier's currency; chain and rope per m", K.MONEY,
          range=PRICE, example=980),
        minimum_order_column(), order_multiple_column(), available_column(""),
        lead_time_column(), duty_column(),
        C("Valid until", "valid_until", "The last day to order at these terms", K.DATE,
          blank="not stated"),
        C("Quotation", "quotation", "The supplier's reference", K.TEXT, blank="none"),
    ),
    absent="each item has the offer of its own sheet",
)

PRICE_BREAKS = InputSheet(
    "Price breaks", "A row for each quantity from which an item has another price.", PriceBreak,
    "price_breaks",
    (
        C("Item", "item", "An anchor, chain, rope or fitting", K.NAME, names="item",
          example="plate 250"),
        C("Supplier", "supplier", "Whose price it is; a name on Suppliers", K.NAME,
          names="supplier", blank="the item's only one", example="Supplier A"),
        C("From quantity", "from_quantity", "In units as sold: each, or lengths", K.COUNT,
          range=COUNT, example=50),
        C("Unit price", "unit_price", "In the supplier's currency; chain and rope per m", K.MONEY,
          range=PRICE, example=950),
        C("Scheme", "scheme", "Whether the whole order is at this price, or only the units from "
          "this quantity on", K.CHOICE, choices=Scheme),
    ),
    absent="an item has one price",
)

SUPPLIERS = InputSheet(
    "Suppliers", "A row for each supplier.", Supplier, "suppliers",
    (
        C("Supplier", "name", "A name of its own", K.NAME, names="supplier",
          example="Supplier A"),
        C("Origin", "origin", "Where its goods leave from; an origin on Freight", K.NAME,
          names="origin", example="Port A", stand_in=assumed.DELIVERED),
        currency_column(), exchange_rate_column(),
        C("Order charge", "order_charge", "For one order, in its currency", K.MONEY,
          range=CHARGE),
        C("Lead time", "lead_time_days", "From the order until goods leave", K.COUNT, "days",
          range=DAYS, blank="none"),
        C("Duty", "duty_share", "Duty on its prices", K.PERCENT, "%", range=DUTY),
        C("Price factor", "price_factor", "On all its unit prices and price breaks, such as 1.03; "
          "not on order charges or joins", range=FACTOR_OF_PRICES),
        C("Address", "address", "On its purchase order", K.TEXT, blank=TO_FILL_IN),
        C("Contact", "contact", "Who takes the order: a name, a number, an address", K.TEXT,
          blank=TO_FILL_IN),
        C("Payment terms", "payment_terms", "On its purchase order", K.TEXT,
          blank="those of Project"),
        C("Returns", "returns_share", "Of the price paid, what it pays back for goods of an "
          "earlier order (price --after), brought back at its cost", K.PERCENT, "%",
          range=Bounds(0, 1), blank="it takes nothing back"),
        C("Delivery term", "delivery_term", "The Incoterms 2020 rule that its prices are for",
          K.CHOICE, choices=DeliveryTerm, blank="that of Project"),
    ),
    absent="all is bought from the suppliers that the goods name, in the project's currency",
    more_examples=(
        ("Supplier B", "Port A", "EUR", 1, *[None] * 9),
    ),
)

MAP = InputSheet(
    "Map", "A row for each word of a supplier's own quotations: what it stands for.", LayoutWord,
    "layout_words",
    (
        C("Supplier", "supplier", "A name on Suppliers", K.NAME, names="supplier",
          example="Supplier A"),
        C("Their word", "theirs", "A heading or label of theirs, or what they call an item",
          K.TEXT, example="Net price"),
        C("Our word", "ours", "A heading or term of a quotation (Item, Unit price, Minimum order, "
          "Order multiple, Available, Lead time, From quantity, Price from 10, Scheme, Quotation, "
          "Currency, Valid until, Delivery term, Payment terms), an item of the farm, or ignore",
          K.TEXT, example="Unit price"),
        C("Their unit", "unit", "Where theirs is another: ft, per length, weeks", K.TEXT,
          blank="ours"),
        C("File name", "file", "The pattern of their files' names; * stands for any letters",
          K.TEXT, blank="any that holds the supplier's name"),
    ),
    absent="quotations are read in the layout that they were asked for in",
)

ON_HAND = InputSheet(
    "On hand", "Stock that need not be bought; for chain and rope a row for each piece.", OnHand,
    "on_hand",
    (
        C("Item", "item", "An anchor, chain, rope or fitting", K.NAME, names="item",
          example="chain 26"),
        C("Quantity", "quantity", "Anchors and fittings each; chain and rope in m",
          range=QUANTITY, example=12.5),
        C("Ordered from", "ordered_from", "The supplier of an earlier order that it comes from: "
          "price --after writes it", K.TEXT, blank="own stock"),
        C("There from", "there_from", "The day it is on site, where it is on its way", K.DATE,
          blank="it is there"),
        C("Connectors", "connectors", "Yes: not the chain, but so many connectors that join it",
          K.YES_NO),
    ),
    absent="nothing is on hand",
)

FREIGHT = InputSheet(
    "Freight", "A row for each offer of carriage from an origin to the site.", FreightService,
    "services",
    (
        C("Service", "name", "A name of its own", K.NAME, names="service", example="40 ft box"),
        C("Origin", "origin", "Where it carries from", K.NAME, names="origin", example="Port A"),
        C("Basis", "basis", "What it charges for", K.CHOICE, choices=Basis, example="container"),
        C("Rate", "rate", "Per container, or per revenue tonne", K.MONEY, range=CHARGE,
          example=4000),
        currency_column(), exchange_rate_column(),
        C("Volume", "volume_m3", "Inside one container", unit="m³", range=VOLUME, blank=NO_LIMIT,
          example=67),
        C("Payload", "payload_t", "Of one container", unit="t", range=above(0, 1000),
          blank=NO_LIMIT, example=26),
        C("Inside length", "inside_length_mm", "Of a container", unit="mm", range=SIDE,
          blank=NO_LIMIT, example=12_000),
        C("Inside width", "inside_width_mm", "Of a container", unit="mm", range=SIDE,
          blank=NO_LIMIT, example=2340),
        C("Inside height", "inside_height_mm", "Of a container", unit="mm", range=SIDE,
          blank=NO_LIMIT, example=2380),
        C("Door width", "door_width_mm", "Of a container", unit="mm", range=SIDE,
          blank=NO_LIMIT, example=2330),
        C("Door height", "door_height_mm", "Of a container", unit="mm", range=SIDE,
          blank=NO_LIMIT, example=2270),
        C("Cubic metres per tonne", "m3_per_tonne", "That weigh as one tonne on the bill: 1 by "
          "sea, 3 by road, 6 by air (common practice)", range=above(0, 100)),
        C("Minimum charge", "minimum_charge", "For one consignment", K.MONEY, range=CHARGE),
        C("Fixed charge", "fixed_charge", "For one consignment", K.MONEY, range=CHARGE),
        available_column("containers"),
        C("Transit", "transit_days", "From the origin to the site", K.COUNT, "days", range=DAYS,
          blank="none"),
        C("Forwarder", "forwarder", "Who books it, and is sent the packing list", K.TEXT,
          blank="the service's own paper", example="Forwarder A"),
    ),
    absent="goods are taken as delivered: freight is not priced",
)

VESSELS = InputSheet(
    "Vessels", "A row for each vessel that can lay moorings; money in the project's currency.",
    Vessel, "vessels",
    (
        C("Vessel", "name", "A name of its own", K.NAME, names="vessel", example="workboat"),
        C("Day rate", "day_rate", "For one day charged", K.MONEY, range=CHARGE, example=5000),
        C("Mobilisation", "mobilisation", "Once, if it is used", K.MONEY, range=CHARGE),
        C("Working hours per day", "working_hours_per_day", "In good weather",
          range=HOURS, example=12),
        C("Workable days", "workable_share", "Share of days with weather to work in", K.PERCENT,
          "%", range=SOME, example=0.7),
        C("Home every day", "home_every_day", "Whether it makes at least one trip a working day",
          K.YES_NO),
        C("Crane limit", "crane_limit_t", "At the reach that it lays at", unit="t",
          range=above(0, 10_000), example=8),
        C("Bollard pull", "bollard_pull_kn", "Continuous", unit="kN", range=FORCE,
          blank=NO_LIMIT, example=150),
        C("Deck load", "deck_load_t", "Of one trip", unit="t", range=above(0, 100_000),
          example=40),
        C("Deck area", "deck_area_m2", "Free for anchors", unit="m²", range=above(0, 10_000),
          example=60),
        C("Round trip", "round_trip_h", "Quay to site and back, with loading", unit="h",
          range=Bounds(0, 2000), example=6),
        C("Shifting per leg", "shifting_min_per_leg", "From one leg to the next", unit="min",
          range=MINUTES, example=20),
        C("Fuel per trip", "fuel_per_trip", "Of one trip", K.MONEY, range=CHARGE),
        C("Most days", "most_days", "Days that it can be had", K.COUNT, range=DAYS,
          blank=NO_LIMIT),
    ),
    absent="the laying is not priced, and no vessel's limits are looked at",
)
# fmt: on
