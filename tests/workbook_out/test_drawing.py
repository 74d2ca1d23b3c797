"""Drawings: as SVG they are sound and safe, as PNG they are pictures of the right size."""

from __future__ import annotations

import io
from dataclasses import replace
from xml.etree import ElementTree

import pytest
from moorledger.io.drawings.cost_drawing import cost_drawing
from moorledger.io.drawings.drawing import Area, Drawing, Stroke, Words, mark
from moorledger.io.drawings.farm_map import map_box, map_drawing
from moorledger.io.drawings.leg_drawing import drawn_legs
from moorledger.io.words.case import OptionCost
from moorledger.models.answer.plan import Part
from PIL import Image

from tests.farms.plan_fixture import example_plan

SVG = "{http://www.w3.org/2000/svg}"


def test_svg_is_sound_xml_whatever_a_text_holds() -> None:
    """Names with markup in them come back as the names, not as elements."""
    hostile = """</text><script>alert("x")</script>'&"""
    drawing = Drawing(100, 50, (Words((1, 2), hostile),), hostile)
    root = ElementTree.fromstring(drawing.svg())
    assert [element.tag for element in root] == [f"{SVG}text"]
    assert root[0].text == hostile
    assert root.get("aria-label") == hostile


def test_png_has_the_size_of_its_drawing_and_what_is_drawn() -> None:
    """Two pixels a unit; a filled square is dark inside, the paper around it white."""
    square = ((10.0, 10.0), (30.0, 10.0), (30.0, 30.0), (10.0, 30.0))
    png = Drawing(60, 40, (Area(square, "#000000"),), "a square").png()
    picture = Image.open(io.BytesIO(png)).convert("L")
    assert picture.size == (120, 80)
    assert picture.getpixel((40, 40)) == 0
    assert picture.getpixel((100, 40)) == 255


def test_a_dashed_line_is_drawn_in_part() -> None:
    """With dashes of 10 and gaps of 10 half of a line of 100 is black."""
    line = Stroke(((10.0, 10.0), (110.0, 10.0)), 2.0, dash=(10.0, 10.0))
    picture = Image.open(io.BytesIO(Drawing(120, 20, (line,), "").png())).convert("L")
    dark = sum(picture.getpixel((x, 20)) < 128 for x in range(240))
    assert dark == pytest.approx(100, abs=6)


def test_marks_are_told_apart_without_colour() -> None:
    """The first twelve differ in outline or in fill, and every fill is a grey."""
    marks = [mark((0.0, 0.0), number) for number in range(12)]
    assert len({(m.points, m.fill) for m in marks}) == 12
    assert all(m.fill[1:3] == m.fill[3:5] == m.fill[5:7] for m in marks)


def test_legs_built_alike_are_drawn_once() -> None:
    """North and south of the example differ in tension alone: two drawings, four legs and two."""
    drawn = drawn_legs(example_plan())
    assert [leg.title for leg in drawn] == [
        "north: 4 legs, 50 kN at 20 m",
        "south: 2 legs, 45 kN at 20 m",
    ]
    for leg in drawn:
        words = " ".join(ElementTree.fromstring(leg.drawing.svg()).itertext())
        for said in ("20 m chain", "60 m rope", "uplift", "radius"):
            assert said in words


def test_the_map_holds_every_point_at_one_scale() -> None:
    """Points lie within the box, whose sides are as the paper's: a circle stays a circle."""
    points = [(1000.0, 50.0), (1900.0, 120.0), (1500.0, 300.0)]
    (west, east), (south, north) = map_box(points, 1.6)
    assert all(west < x < east and south < y < north for x, y in points)
    assert (east - west) / (north - south) == pytest.approx(1.6, rel=0.15)


def test_legs_with_a_position_are_on_the_map_and_no_others() -> None:
    """Only leg north has a position and a bearing; a farm without any has no map."""
    plan = example_plan()
    north, south = plan.farm.legs
    # A position without a bearing says nothing of the anchors.
    bare = replace(plan.farm, legs=(replace(north, bearing_deg=None), south))
    assert map_drawing(replace(plan, farm=bare)) is None
    drawing = map_drawing(plan)
    assert drawing is not None
    words = set(ElementTree.fromstring(drawing.svg()).itertext())
    assert "north" in words
    assert "south" not in words
    assert f"{plan.assignments[0].make_up.anchor} (4)" in words


def test_bars_are_as_long_as_their_cost() -> None:
    """A bar of twice the cost is drawn twice as long, stacked of its parts."""
    options = [
        OptionCost("one", {Part.ANCHORS: 100.0, Part.ROPE: 50.0}),
        OptionCost("two", {Part.ANCHORS: 100.0, Part.FREIGHT: 50.0, Part.FUEL: 150.0}),
    ]
    areas = [
        part
        for part in cost_drawing(options, "EUR", "Installed cost").parts
        if isinstance(part, Area)
    ]
    ends: dict[float, list[float]] = {}
    for area in areas[4:]:  # after the four that explain the fills
        ends.setdefault(min(y for _, y in area.points), []).extend(x for x, _ in area.points)
    lengths = [max(xs) - min(xs) for xs in ends.values()]
    assert lengths[1] == pytest.approx(2 * lengths[0])
