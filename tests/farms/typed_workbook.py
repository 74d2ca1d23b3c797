"""A whole workbook typed out cell by cell (invented goods and prices), and the farm that it is."""

from __future__ import annotations

import copy
import csv
import re
import zipfile
from datetime import date, datetime
from pathlib import Path
from typing import Any

from moorledger.models.farm import Farm
from moorledger.models.goods.anchor import Anchor, HoldsBy, TransportForm, UpliftLoss
from moorledger.models.goods.chain import Chain
from moorledger.models.goods.fitting import Fitting, UsedPer
from moorledger.models.goods.freight import Basis, FreightService
from moorledger.models.goods.price import PriceBreak, Scheme
from moorledger.models.goods.rope import Rope
from moorledger.models.goods.supplier import LayoutWord, Offer, OnHand, Supplier
from moorledger.models.option import Restriction, Rule, What
from moorledger.models.site.declared_holding import DeclaredHolding, HoldingLaw
from moorledger.models.site.delivery_term import DeliveryTerm
from moorledger.models.site.lease import LeaseCorner
from moorledger.models.site.leg import Leg
from moorledger.models.site.load_case import CaseTension, LoadCase
from moorledger.models.site.project import Project
from moorledger.models.site.pull_test import Event, Reading
from moorledger.models.site.seabed import Seabed
from moorledger.models.site.uncertainty import Uncertain, Uncertainty
from moorledger.models.site.vessel import Vessel
from openpyxl import Workbook
from openpyxl.utils import get_column_letter

Cells = dict[str, list[list[Any]]]

# fmt: off
TYPED: Cells = {
    "Project": [
        ["Setting", "Value", "Note"],
        ["Project name", "North reach", None],
        ["Anchor safety factor", 1.8, "engineer's letter"],
        ["Pull test scatter", 0.2, None],
        ["Rope lengths tried (× depth)", "1.5; 2,5 3", None],
        ["Longest chain (m)", 55, None],
        ["Rope strength kept at splices (%)", 85, None],
        ["Setting pull (% of design tension)", "60 %", None],
        ["Setting pull held (min)", 15, "engineer's letter"],
        ["Most suppliers", 3, None],
        ["Order date", datetime(2027, 1, 10), None],
        ["Required on site", "2027-06-01", None],
        ["Delivery margin (days)", 4, None],
        ["Buyer", "North reach shellfish, invented", None],
        ["Delivery term", "fca", None],
        ["Contingency (%)", None, None],
    ],
    "Legs": [
        ["Leg", "Group", "Count", "Design tension (kN)", "Line-lost tension (kN)",
         "Depth (m)", "Seabed", "Allowed drag (m)", "Longest radius (m)", "Allowed families",
         "Fixed anchor", "Fixed chain", "Easting (m)", "Northing (m)", "Bearing (deg)",
         "Spacing (m)", "Row bearing (deg)", "Note"],
        ["corner", "outer", 4, 80, 110, 30, "sand", 5, 150, "folding plate; block", None, None,
         10.5, -20, 225, 12, 90, "check in spring"],
        ["side", None, None, 40, None, 25.5, "MUD", 0, None, None, "Plate 250", "chain 26", 40,
         0, 90, None, None, None],
    ],
    "Load cases": [
        ["Case", "Tension", "Load factor", "Anchor factor", "Chain factor", "Rope factor",
         "Extra depth (m)", "Legs"],
        ["intact", "design", 1.4, 1, 2, 2, None, None],
        ["one lost", "Line lost", 1.1, 1.05, 1.5, 1.6, 0.5, "OUTER"],
    ],
    "Lease": [
        ["Easting (m)", "Northing (m)"],
        [-500, -500],
        [500, -500],
        [500, 500],
        [-500, 500],
    ],
    "Seabeds": [
        ["Seabed", "Chain friction", "Deadweight friction", "Source"],
        ["sand", 0.7, 0.5, "site survey"],
        ["mud", 0.6, 0.3, None],
    ],
    "Anchors": [
        ["Anchor", "Supplier", "Family", "Transport form", "Mass (kg)", "Unit price",
         "Largest uplift (deg)", "Structural limit (kN)", "Safety factor", "Submerged volume (m³)",
         "Density (kg/m³)", "Holds by", "Pack quantity", "Pack length (mm)", "Pack width (mm)",
         "Pack height (mm)",
         "Pack mass (kg)", "Deck area (m²)", "Assembly (min)", "Lowering (min)", "Setting (min)",
         "Minimum order", "Order multiple", "Available", "Lead time (days)", "Duty (%)",
         "HS heading", "This side up", "May be stacked", "Most kg on top", "Bare length (mm)",
         "Bare width (mm)", "Bare height (mm)"],
        ["plate 250", "Supplier A", "folding plate", "folding", 250, 1000, 10, 300, None, None,
         7800, None, 10, 2000, 1000, 1200, 2600, 2, 25, 30, 45, 10, 5, 200, 40, 5, 7316, "yes",
         None, 5200, 1900, 1400, 1100],
        ["block 4", "Supplier B", "block", "solid", 4000, 900, None, None, None, 1.65, None,
         "weight", None, 1500, 1500, 1000, None, 2.5, None, 40, 0, None, None, None, None, None,
         None, None, "no", None, None, None, None],
    ],
    "Uplift loss": [
        ["Anchor or family", "Uplift (deg)", "Holding kept (%)"],
        ["folding plate", 5, 90],
        ["PLATE 250", 10, 75],
    ],
    "Holding": [
        ["Anchor", "Seabed", "Holding (kN)", "Source", "Overrides tests"],
        ["plate 250", "mud", 60, "engineer's letter", "yes"],
    ],
    "Holding laws": [
        ["Family", "Seabed", "Reference mass (kg)", "Reference holding (kN)", "Exponent",
         "Scatter (%)", "Source"],
        ["folding plate", "sand", 4536, 311, 0.8, 25, "handbook"],
    ],
    "Pull tests": [
        ["Test", "Anchor", "Seabed", "Drag (m)", "Load (kN)", "Event", "Penetration (mm)",
         "Soil disturbance note"],
        ["T1", "plate 250", "sand", 0, 0, None, None, None],
        ["T1", "plate 250", "sand", 1.5, 90, None, 640, None],
        ["T1", "plate 250", "sand", 3, 70, "Rolled out", None, "heaved 200 mm"],
    ],
    "Chain": [
        ["Chain", "Supplier", "Diameter (mm)", "Mass (kg/m)", "Breaking load (kN)", "Price per m",
         "Length sold (m)", "Joinable", "Join cost", "Connector breaking load (kN)",
         "Packed volume (m³ per length)",
         "Packed mass (kg per length)", "Handling (min per 10 m)", "Available (lengths)",
         "Minimum order", "Lead time (days)", "Duty (%)", "HS heading"],
        ["chain 26", "Supplier A", 26, 14.6, 540, 40, 27.5, "no", 15, 500, 0.3, 410, 6, 30, 2, 21,
         0, "7315.82"],
    ],
    "Rope": [
        ["Rope", "Supplier", "Diameter (mm)", "Mass (kg/m)", "Density (kg/m³)",
         "Breaking load (kN)", "Strength kept wet (%)", "Price per m", "Length sold (m)",
         "Packed volume (m³ per length)", "Available (lengths)", "Minimum order",
         "Lead time (days)", "Duty (%)", "HS heading"],
        ["rope 48", "Supplier B", 48, 1.1, 1140, 400, 85, 8, 220, 1.2, 12, 1, 7, 3.7, None],
    ],
    "Fittings": [
        ["Fitting", "Supplier", "Used per", "Quantity", "For chain", "Breaking load (kN)",
         "Wears with the chain", "Unit price", "Mass (kg)", "Packed volume (m³)", "Duty (%)",
         "HS heading", "Available", "Box quantity"],
        ["shackle 32", "Supplier A", "leg", 2, "Chain 26", 600, "yes", 25, 5, 0.01, 2, None, 900,
         4],
    ],
    "Offers": [
        ["Item", "Supplier", "Unit price", "Minimum order", "Order multiple", "Available",
         "Lead time (days)", "Duty (%)", "Valid until", "Quotation"],
        ["shackle 32", "supplier b", 23, 10, 5, 100, 12, 4, date(2027, 5, 1), "Q-7"],
    ],
    "Price breaks": [
        ["Item", "Supplier", "From quantity", "Unit price", "Scheme"],
        ["plate 250", None, 50, 950, None],
        ["chain 26", "Supplier A", 10, 38, "incremental"],
    ],
    "Suppliers": [
        ["Supplier", "Origin", "Currency", "Project currency per unit", "Order charge",
         "Lead time (days)", "Duty (%)", "Price factor", "Address", "Contact", "Payment terms",
         "Returns (%)", "Delivery term"],
        ["Supplier A", "port a", "USD", 0.9, 100, 30, 5, 1.03, "Quay 1, Port A", "desk A",
         "60 days", None, None],
        ["Supplier B", "Port B", "EUR", 1, *[None] * 9],
    ],
    "Map": [
        ["Supplier", "Their word", "Our word", "Their unit", "File name"],
        ["supplier b", "Net price", "Unit price", "ft", "offer*.xlsx"],
    ],
    "On hand": [
        ["Item", "Quantity", "Ordered from", "There from", "Connectors"],
        ["chain 26", 12.5, None, None],
        ["shackle 32", 6, None, None],
    ],
    "Laid": [
        ["Leg", "Line", "Anchor", "Anchors", "Chain", "Chain length (m)", "Rope", "Rope length (m)",
         "Easting (m)", "Northing (m)", "Pull (kN)", "Held (min)", "Drag (m)", "Date",
         "Chain measured (mm)", "Measured on", "Accepted by", "Note"],
    ],
    "Freight": [
        ["Service", "Origin", "Basis", "Rate", "Currency", "Project currency per unit",
         "Volume (m³)", "Payload (t)", "Inside length (mm)", "Inside width (mm)",
         "Inside height (mm)", "Door width (mm)", "Door height (mm)", "Cubic metres per tonne",
         "Minimum charge", "Fixed charge", "Available (containers)", "Transit (days)",
         "Forwarder"],
        ["box", "Port A", "container", 4000, "usd", 0.9, 67, 26, 12000, 2340, 2380, 2330, 2270,
         None, None, 150, 6, 35, "Forwarder A"],
        ["truck", "Port B", "measure", 90, "EUR", 1, None, None, None, None, None, None, None, 3,
         200, None, None, 2, None],
    ],
    "Vessels": [
        ["Vessel", "Day rate", "Mobilisation", "Working hours per day", "Workable days (%)",
         "Home every day", "Crane limit (t)", "Bollard pull (kN)", "Deck load (t)",
         "Deck area (m²)", "Round trip (h)", "Shifting per leg (min)", "Fuel per trip",
         "Most days"],
        ["workboat", 5000, 2500, 12, 70, "yes", 8, 150, 40, 60, 6, 20, 300, 45],
    ],
    "Options": [
        ["Name", "Allow / Forbid", "What", "Which", "Legs"],
        ["as last year", "Allow", "anchors", "PLATE 250", "corner"],
        ["as last year", "forbid", "suppliers", "supplier b", None],
        ["flat packs", "prefer", "transport form", "Folding; solid", None],
    ],
    "Uncertainty": [
        ["What", "Which", "P10 (%)", "P90 (%)"],
        ["Freight rates", None, 85, 130],
        ["currency", "usd", 95, 106],
    ],
}
# fmt: on

FARM = Farm(
    project=Project(
        name="North reach",
        anchor_safety_factor=1.8,
        pull_test_scatter=0.2,
        rope_lengths_tried=(1.5, 2.5, 3.0),
        longest_chain_m=55.0,
        rope_splice_share=0.85,
        setting_pull_share=0.6,
        setting_pull_held_min=15.0,
        most_suppliers=3,
        order_date=date(2027, 1, 10),
        required_on_site=date(2027, 6, 1),
        delivery_margin_days=4,
        buyer="North reach shellfish, invented",
        delivery_term=DeliveryTerm.FCA,
        given=frozenset(
            {
                "name",
                "anchor_safety_factor",
                "pull_test_scatter",
                "rope_lengths_tried",
                "longest_chain_m",
                "rope_splice_share",
                "setting_pull_share",
                "setting_pull_held_min",
                "most_suppliers",
                "order_date",
                "required_on_site",
                "delivery_margin_days",
                "buyer",
                "delivery_term",
            }
        ),
    ),
    legs=(
        Leg(
            "corner",
            80.0,
            30.0,
            "sand",
            5.0,
            group="outer",
            count=4,
            longest_radius_m=150.0,
            allowed_families=("folding plate", "block"),
            line_lost_tension_kn=110.0,
            easting_m=10.5,
            northing_m=-20.0,
            bearing_deg=225.0,
            spacing_m=12.0,
            row_bearing_deg=90.0,
            note="check in spring",
        ),
        Leg(
            "side",
            40.0,
            25.5,
            "mud",
            0.0,
            fixed_anchor="plate 250",
            fixed_chain="chain 26",
            easting_m=40.0,
            northing_m=0.0,
            bearing_deg=90.0,
        ),
    ),
    seabeds=(Seabed("sand", 0.7, 0.5, "site survey"), Seabed("mud", 0.6, 0.3)),
    anchors=(
        Anchor(
            name="plate 250",
            supplier="Supplier A",
            family="folding plate",
            transport_form=TransportForm.FOLDING,
            mass_kg=250.0,
            unit_price=1000.0,
            lowering_min=30.0,
            setting_min=45.0,
            deck_area_m2=2.0,
            pack_length_mm=2000.0,
            pack_width_mm=1000.0,
            pack_height_mm=1200.0,
            pack_quantity=10,
            stated_pack_mass_kg=2600.0,
            this_side_up=True,
            most_on_top_kg=5200.0,
            bare_length_mm=1900.0,
            bare_width_mm=1400.0,
            bare_height_mm=1100.0,
            assembly_min=25.0,
            largest_uplift_deg=10.0,
            structural_limit_kn=300.0,
            stated_density_kg_m3=7800.0,
            minimum_order=10,
            order_multiple=5,
            available=200,
            lead_time_days=40,
            duty_share=0.05,
            hs_heading="7316",
        ),
        Anchor(
            name="block 4",
            supplier="Supplier B",
            family="block",
            transport_form=TransportForm.SOLID,
            mass_kg=4000.0,
            unit_price=900.0,
            lowering_min=40.0,
            setting_min=0.0,
            deck_area_m2=2.5,
            pack_length_mm=1500.0,
            pack_width_mm=1500.0,
            pack_height_mm=1000.0,
            stated_volume_m3=1.65,
            stackable=False,
            holds_by=HoldsBy.WEIGHT,
        ),
    ),
    chains=(
        Chain(
            name="chain 26",
            supplier="Supplier A",
            diameter_mm=26.0,
            mass_kg_per_m=14.6,
            breaking_load_kn=540.0,
            price_per_m=40.0,
            length_sold_m=27.5,
            packed_volume_m3=0.3,
            joinable=False,
            join_cost=15.0,
            connector_breaking_load_kn=500.0,
            stated_packed_mass_kg=410.0,
            handling_min_per_10_m=6.0,
            available=30,
            minimum_order=2,
            lead_time_days=21,
            duty_share=0.0,
            hs_heading="7315.82",
        ),
    ),
    suppliers=(
        Supplier(
            "Supplier A",
            "Port A",
            "USD",
            0.9,
            100.0,
            30,
            0.05,
            1.03,
            address="Quay 1, Port A",
            contact="desk A",
            payment_terms="60 days",
        ),
        Supplier("Supplier B", "Port B", "EUR", 1.0),
    ),
    services=(
        FreightService(
            name="box",
            origin="Port A",
            basis=Basis.CONTAINER,
            rate=4000.0,
            currency="USD",
            exchange_rate=0.9,
            volume_m3=67.0,
            payload_t=26.0,
            inside_length_mm=12000.0,
            inside_width_mm=2340.0,
            inside_height_mm=2380.0,
            door_width_mm=2330.0,
            door_height_mm=2270.0,
            fixed_charge=150.0,
            available=6,
            transit_days=35,
            forwarder="Forwarder A",
        ),
        FreightService(
            name="truck",
            origin="Port B",
            basis=Basis.MEASURE,
            rate=90.0,
            currency="EUR",
            exchange_rate=1.0,
            m3_per_tonne=3.0,
            minimum_charge=200.0,
            transit_days=2,
        ),
    ),
    vessels=(
        Vessel(
            name="workboat",
            day_rate=5000.0,
            working_hours_per_day=12.0,
            crane_limit_t=8.0,
            deck_load_t=40.0,
            deck_area_m2=60.0,
            round_trip_h=6.0,
            shifting_min_per_leg=20.0,
            mobilisation=2500.0,
            workable_share=0.7,
            home_every_day=True,
            bollard_pull_kn=150.0,
            fuel_per_trip=300.0,
            most_days=45,
        ),
    ),
    ropes=(
        Rope(
            name="rope 48",
            supplier="Supplier B",
            diameter_mm=48.0,
            mass_kg_per_m=1.1,
            density_kg_m3=1140.0,
            breaking_load_kn=400.0,
            wet_strength_share=0.85,
            price_per_m=8.0,
            length_sold_m=220.0,
            packed_volume_m3=1.2,
            available=12,
            minimum_order=1,
            lead_time_days=7,
            duty_share=0.037,
        ),
    ),
    fittings=(
        Fitting(
            name="shackle 32",
            supplier="Supplier A",
            used_per=UsedPer.LEG,
            quantity=2,
            breaking_load_kn=600.0,
            unit_price=25.0,
            mass_kg=5.0,
            packed_volume_m3=0.01,
            wears_with_chain=True,
            for_chain="chain 26",
            duty_share=0.02,
            available=900,
            box_quantity=4,
        ),
    ),
    uplift_losses=(UpliftLoss("folding plate", 5.0, 0.9), UpliftLoss("plate 250", 10.0, 0.75)),
    declared_holdings=(DeclaredHolding("plate 250", "mud", 60.0, "engineer's letter", True),),
    holding_laws=(HoldingLaw("folding plate", "sand", 4536.0, 311.0, 0.8, "handbook", 0.25),),
    readings=(
        Reading("T1", "plate 250", "sand", 0.0, 0.0),
        Reading("T1", "plate 250", "sand", 1.5, 90.0, penetration_mm=640.0),
        Reading("T1", "plate 250", "sand", 3.0, 70.0, Event.ROLLED_OUT, None, "heaved 200 mm"),
    ),
    offers=(
        Offer("shackle 32", "Supplier B", 23.0, 10, 5, 100, 12, 0.04, date(2027, 5, 1), "Q-7"),
    ),
    price_breaks=(
        PriceBreak("plate 250", 50, 950.0),
        PriceBreak("chain 26", 10, 38.0, Scheme.INCREMENTAL, "Supplier A"),
    ),
    layout_words=(LayoutWord("Supplier B", "Net price", "Unit price", "ft", "offer*.xlsx"),),
    on_hand=(OnHand("chain 26", 12.5), OnHand("shackle 32", 6.0)),
    restrictions=(
        Restriction("as last year", Rule.ALLOW, What.ANCHORS, ("plate 250",), ("corner",)),
        Restriction("as last year", Rule.FORBID, What.SUPPLIERS, ("Supplier B",)),
        Restriction("flat packs", Rule.PREFER, What.TRANSPORT_FORM, ("folding", "solid")),
    ),
    load_cases=(
        LoadCase("intact", CaseTension.DESIGN, 1.4, 1.0, 2.0, 2.0),
        LoadCase("one lost", CaseTension.LINE_LOST, 1.1, 1.05, 1.5, 1.6, 0.5, ("outer",)),
    ),
    lease=(
        LeaseCorner(-500.0, -500.0),
        LeaseCorner(500.0, -500.0),
        LeaseCorner(500.0, 500.0),
        LeaseCorner(-500.0, 500.0),
    ),
    uncertainties=(
        Uncertainty(Uncertain.FREIGHT, 0.85, 1.3),
        Uncertainty(Uncertain.CURRENCY, 0.95, 1.06, "USD"),
    ),
    origin_file="typed.xlsx",
)
"""What the typed workbook means, by its specification."""


def typed(*changes: tuple[str, str, Any]) -> Cells:
    """Return a copy of the typed workbook with some cells changed: (sheet, address, value)."""
    cells = copy.deepcopy(TYPED)
    for sheet, address, value in changes:
        found = re.fullmatch("([A-Z]+)([0-9]+)", address)
        assert found is not None
        rows = cells[sheet]
        column = next(n for n in range(1, 99) if get_column_letter(n) == found[1])
        while len(rows) < int(found[2]):
            rows.append([])
        row = rows[int(found[2]) - 1]
        row.extend([None] * (column - len(row)))
        row[column - 1] = value
    return cells


def save(cells: Cells, path: Path) -> Path:
    """Write cells as a workbook without any formats, and return its path."""
    book = Workbook(write_only=True)
    for title, rows in cells.items():
        page = book.create_sheet(title)
        for row in rows:
            page.append(row)
    book.save(path)
    return path


def save_csv(cells: Cells, folder: Path) -> Path:
    """Write cells as a folder of CSV files, and return the folder."""
    folder.mkdir()
    for title, rows in cells.items():
        with (folder / f"{title}.csv").open("w", newline="", encoding="utf-8") as file:
            for row in rows:
                plain = [v.date().isoformat() if isinstance(v, datetime) else v for v in row]
                csv.writer(file).writerow(plain)
    return folder


def rewrite(path: Path, part: str, old: bytes, new: bytes) -> None:
    """Replace bytes in one part of a workbook; with no `old`, the whole part."""
    with zipfile.ZipFile(path) as package:
        parts = {name: package.read(name) for name in package.namelist()}
    parts[part] = parts.get(part, b"").replace(old, new) if old else new
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as package:
        for name, content in parts.items():
            package.writestr(name, content)
