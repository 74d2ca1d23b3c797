"""The plan as a page: the same case as the workbook's, for those who open no spreadsheet."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from ..models.answer.check_line import CheckLine
from ..models.answer.plan import Part, Plan
from ..models.asked.offer_worth import OfferWorths
from ..models.farm import Farm
from .drawings.cost_drawing import cost_drawing
from .drawings.farm_map import left_out_words, map_drawing
from .drawings.leg_drawing import drawn_legs
from .drawings.risk_drawing import risk_bars, risk_curve
from .told.change_text import HEADINGS as CHANGE_HEADINGS
from .told.change_text import HOW, cells_of, held_words, old_total
from .told.change_text import KINDS as CHANGE_KINDS
from .told.change_text import SHEET as CHANGES
from .told.doubt_text import HEADING, doubt_lines
from .told.offer_text import LOST, READ, WON, columns_of, lost_rows, standing, won_rows
from .told.plan_text import counted_words, decision, nearest, plan_cautions, proof_text, verdict
from .told.risk_text import READ_RISK, contingency_label, days_words, risk_words
from .told.rival_text import TITLE as RIVALS
from .told.rival_text import columns_of as rival_columns
from .told.rival_text import how as rivals_read
from .told.rival_text import rows_of as rival_rows
from .web_page import Cell, bullets, document, escaped, figure, paragraph, table
from .words.case import BARS, PLAN_ALONE, SIGNED, Case, OptionCost
from .words.cautions import CAUTIONS
from .words.holding_evidence import evidence_text
from .words.kinds import NumberKind
from .words.orders import Line, duty_of, priced_orders
from .words.unpriced import NO_VESSELS, not_priced, part_name, total_name


def plan_page(plan: Plan, case: Case = PLAN_ALONE, offers: OfferWorths | None = None) -> str:
    """Return the whole page.

    case : the options, reasons and turning points that it shows. offers : what they are worth.
    """
    name = plan.farm.project.name
    blocks = (
        _case(plan, case),
        *_risk(plan),
        *_changes(plan),
        *_orders(plan),
        *(_offers(offers) if offers is not None else _rivals(plan)),
        *_farm(plan),
        *_legs(plan),
        *_freight(plan),
        *_installation(plan),
        *_checks(plan.checks),
    )
    return document(f"{name}: moorings", blocks)


def _case(plan: Plan, case: Case) -> str:
    """Return the decision, the money, the reasons, the cautions and where to sign."""
    project = plan.farm.project
    this = OptionCost("This order", plan.parts)
    options = [this, *(option for option in case.options if option.parts)]
    impossible = [option for option in case.options if not option.parts]
    passed = bool(plan.checks) and all(check.passed for check in plan.checks)
    signed = "".join(
        f"<div>{escaped(label)}: {escaped(by)}</div>"
        for label, by in zip(SIGNED, ("", "", project.approved_by), strict=True)
    )
    return "\n".join(
        (
            f"<h1>{escaped(project.name)}: moorings</h1>",
            paragraph(decision(plan), "alert" if not_priced(plan.farm) else ""),
            paragraph(f"How sure. {proof_text(plan)}", "" if plan.proof.proven else "alert"),
            paragraph(f"{verdict(plan.checks)}{nearest(plan)}", "" if passed else "alert"),
            *([paragraph(money)] if (money := risk_words(plan)) else []),
            "<h2>The money</h2>",
            _parts(plan),
            figure(cost_drawing(options, project.currency, total_name(plan.farm))),
            _options(options, plan.farm),
            *(paragraph(f"{o.name}: cannot be done. {o.note}") for o in impossible),
            "<h2>Why this order</h2>",
            bullets("ol", case.why(plan)),
            "<h2>What would change the answer</h2>",
            bullets("ul", case.what_would_change(plan)),
            *([f"<h2>{HEADING}</h2>", bullets("ul", d)] if (d := doubt_lines(plan.farm)) else []),
            "<h2>Cautions</h2>",
            bullets("ul", (*plan_cautions(plan), *CAUTIONS, *counted_words(plan.farm))),
            f'<div class="signed">{signed}</div>',
            paragraph("Name, signature, date", "note"),
        )
    )


def _parts(plan: Plan) -> str:
    project, cost = plan.farm.project, plan.installed_cost
    rows: list[Sequence[Cell]] = [
        (
            part_name(plan.farm, part),
            plan.parts.get(part, 0.0),
            plan.parts.get(part, 0.0) / cost if cost else 0.0,
        )
        for part in Part
    ]
    rows.append((total_name(plan.farm), cost, 1.0 if cost else 0.0))
    rows.append((f"With {contingency_label(plan)}", cost + plan.contingency, None))
    headings = (
        (total_name(plan.farm), NumberKind.TEXT),
        (project.currency, NumberKind.MONEY),
        ("Share", NumberKind.SHARE),
    )
    return table(headings, rows, totals=2)


def _options(options: Sequence[OptionCost], farm: Farm) -> str:
    headings = [
        (f"Options, {farm.project.currency}", NumberKind.TEXT),
        *((name, NumberKind.MONEY) for name, _ in BARS),
    ]
    headings += [(total_name(farm), NumberKind.MONEY), ("More than this", NumberKind.MONEY)]
    rows: list[Sequence[Cell]] = [
        (
            f"{option.name} ({option.note})" if option.note else option.name,
            *option.grouped(),
            option.cost,
            option.cost - options[0].cost,
        )
        for option in options
    ]
    return table(headings, rows)


def _risk(plan: Plan) -> Iterable[str]:
    """Yield how sure the cost is, drawn, where anything is uncertain."""
    spread, currency = plan.spread, plan.farm.project.currency
    total = total_name(plan.farm)
    if spread is None or not spread.uncertain:
        return
    yield "<h2>How sure the money is</h2>"
    yield figure(risk_bars(spread, currency, total))
    yield figure(risk_curve(spread, currency, total))
    yield bullets("ul", (f"{line}." for line in days_words(plan)))
    yield paragraph(READ_RISK, "note")


def _changes(plan: Plan) -> Iterable[str]:
    """Yield what is otherwise than in the earlier order; nothing without one."""
    if not plan.after:
        return
    currency, before = plan.farm.project.currency, old_total(plan)
    yield f"<h2>{escaped(CHANGES)}</h2>"
    yield paragraph(
        f"{plan.after} came to {currency} {before:,.2f}. Now {currency} {plan.total_cost:,.2f}: "
        f"{sum(plan.before.values()):,.2f} ordered or spent before, the rest still to be paid. The "
        f"difference, {plan.total_cost - before:+,.2f}, is what these changes cost. "
        f"{held_words(plan)} {HOW}"
    )
    headings = tuple(zip(CHANGE_HEADINGS, CHANGE_KINDS, strict=True))
    yield table(headings, [cells_of(change) for change in plan.changes])


def _rivals(plan: Plan) -> Iterable[str]:
    """Yield the offers of items that several suppliers offer; nothing where there are none."""
    if rows := rival_rows(plan):
        yield f"<h2>{escaped(RIVALS)}</h2>"
        yield table(rival_columns(plan.farm.project.currency), rows)
        yield paragraph(rivals_read(plan), "note")


def _orders(plan: Plan) -> Iterable[str]:
    """Yield each supplier's order, with its totals."""
    project = plan.farm.project
    yield '<h2 class="orders">Orders</h2>'
    for supplier, lines in priced_orders(plan):
        charge = supplier.order_charge if supplier.name in plan.order_charges else 0.0
        goods = sum(line.extended for line in lines)
        yield f"<h3>{escaped(supplier.name)}, {escaped(supplier.origin)}</h3>"
        yield table(ORDER_HEADINGS, [_order_row(n, line) for n, line in enumerate(lines, start=1)])
        rate = supplier.exchange_rate
        told = f"Order charge {charge:,.2f}. To pay the supplier: {supplier.currency} "
        told += f"{goods + charge:,.2f}"
        if supplier.currency != project.currency:
            told += f" ({project.currency} {(goods + charge) * rate:,.2f} at {rate:g})"
        duty = sum(duty_of(project, line) for line in lines) * rate
        yield paragraph(f"{told}. Duty, to customs: {project.currency} {duty:,.2f} (estimate).")


ORDER_HEADINGS = (
    ("Line", NumberKind.COUNT),
    ("Item", NumberKind.TEXT),
    ("Description", NumberKind.TEXT),
    ("HS heading", NumberKind.TEXT),
    ("Quantity", NumberKind.COUNT),
    ("Unit", NumberKind.TEXT),
    ("Unit price", NumberKind.PRICE),
    ("Extended", NumberKind.MONEY),
    ("Packs", NumberKind.COUNT),
    ("Gross mass (kg)", NumberKind.MASS_KG),
    ("Volume (m³)", NumberKind.VOLUME_M3),
)


def _offers(worths: OfferWorths) -> Iterable[str]:
    yield "<h2>Offers compared</h2>"
    yield paragraph(standing(worths))
    columns = columns_of(worths.plan.farm.project.currency)
    for title, rows in ((LOST, lost_rows(worths)), (WON, won_rows(worths))):
        if rows:
            yield f"<h3>{escaped(title)}</h3>"
            yield table(columns, rows)
    yield paragraph(READ, "note")


def _order_row(number: int, line: Line) -> tuple[Cell, ...]:
    return (
        number,
        line.item,
        line.description,
        line.hs_heading,
        line.quantity,
        line.unit,
        line.price,
        line.extended,
        line.packs,
        line.packed_kg,
        line.packed_m3,
    )


def _farm(plan: Plan) -> Iterable[str]:
    drawing = map_drawing(plan)
    if drawing is None:
        return
    yield "<h2>Farm picture</h2>"
    yield paragraph(
        "A mark for each anchor model; a mark stands for a leg group, which may be many legs near "
        "it. Not for navigation or for laying." + left_out_words(plan)
    )
    yield figure(drawing)


def _legs(plan: Plan) -> Iterable[str]:
    """Yield the legs' make-ups and standing, then each make-up drawn."""
    headings = (
        ("Leg", NumberKind.TEXT),
        ("Legs", NumberKind.COUNT),
        ("Make-up", NumberKind.TEXT),
        ("Required (kN)", NumberKind.FORCE_KN),
        ("Available (kN)", NumberKind.FORCE_KN),
        ("Uplift (deg)", NumberKind.ANGLE_DEG),
        ("Nearest limit", NumberKind.TEXT),
        ("Used", NumberKind.SHARE),
        ("Evidence for the holding", NumberKind.TEXT),
    )
    rows = [
        (
            row.leg,
            row.count,
            str(row.make_up),
            row.required_kn,
            row.available_kn,
            row.uplift_deg,
            row.binding.name.value,
            row.binding.utilisation,
            evidence_text(row.evidence),
        )
        for row in plan.assignments
    ]
    yield "<h2>Legs</h2>"
    yield table(headings, rows)
    yield "<h3>How they hang</h3>"
    yield paragraph(
        "At design tension, to scale: the anchor to the left, ground chain thick, rope thin, the "
        "attachment a square."
    )
    drawn = (figure(leg.drawing, f"{leg.title}. {leg.built}.") for leg in drawn_legs(plan))
    yield f'<div class="legs">{"".join(drawn)}</div>'


def _freight(plan: Plan) -> Iterable[str]:
    headings = (
        ("Origin", NumberKind.TEXT),
        ("Service", NumberKind.TEXT),
        ("Containers", NumberKind.COUNT),
        ("Packs", NumberKind.COUNT),
        ("Volume (m³)", NumberKind.VOLUME_M3),
        ("Mass (t)", NumberKind.MASS_T),
        (f"Charge ({plan.farm.project.currency})", NumberKind.MONEY),
    )
    rows = [
        (
            booking.origin,
            booking.service,
            booking.containers or None,
            sum(count for _, _, count in booking.packs),
            booking.volume_m3,
            booking.tonnes,
            booking.money,
        )
        for booking in plan.bookings
    ]
    yield "<h2>Freight</h2>"
    if not plan.farm.freight_priced:
        yield paragraph("Not priced: goods are taken as delivered.", "alert")
        return
    yield table(headings, rows)
    if duty := sum(booking.duty for booking in plan.bookings):
        yield paragraph(f"Duty on freight: {plan.farm.project.currency} {duty:,.2f} (estimate).")


def _installation(plan: Plan) -> Iterable[str]:
    headings = (
        ("Vessel", NumberKind.TEXT),
        ("Legs", NumberKind.COUNT),
        ("Anchors", NumberKind.COUNT),
        ("Carried (t)", NumberKind.MASS_T),
        ("Trips", NumberKind.COUNT),
        ("Hours", NumberKind.HOURS),
        ("Charged days", NumberKind.COUNT),
        (f"Charge ({plan.farm.project.currency})", NumberKind.MONEY),
    )
    rows = [
        (c.vessel, c.legs, c.anchors, c.mass_t, c.trips, c.hours, c.days, c.money)
        for c in plan.campaigns
    ]
    yield "<h2>Installation</h2>"
    if not plan.farm.laying_priced:
        yield paragraph(NO_VESSELS, "alert")
        return
    yield table(headings, rows)


def _checks(checks: Sequence[CheckLine]) -> Iterable[str]:
    kinds: dict[str, list[CheckLine]] = {}
    for check in checks:
        kinds.setdefault(str(check.what), []).append(check)
    headings = (
        ("Check", NumberKind.TEXT),
        ("Made", NumberKind.COUNT),
        ("Failed", NumberKind.COUNT),
        ("Nearest", NumberKind.TEXT),
        ("Used", NumberKind.SHARE_FINE),
    )
    rows: list[Sequence[Cell]] = []
    for what, each in kinds.items():
        nearest_one = max(each, key=lambda check: (not check.passed, check.utilisation))
        failed = sum(not check.passed for check in each)
        rows.append((what, len(each), failed, nearest_one.where, nearest_one.utilisation))
    yield "<h2>Checks</h2>"
    yield table(headings, rows)
    yield paragraph(
        "Cutting lists, every setting, and the evidence for each anchor are in the workbook.",
        "note",
    )
