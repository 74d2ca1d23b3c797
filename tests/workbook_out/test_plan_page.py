"""The plan as a page: it says what the workbook says, safely, and asks nothing of the network."""

from __future__ import annotations

import json
import re
import shutil
import subprocess
from dataclasses import replace
from html.parser import HTMLParser
from pathlib import Path

import pytest
from moorledger.io.plan_page import plan_page
from moorledger.io.words.case import Case, OptionCost
from moorledger.models.answer.plan import Part, Plan
from moorledger.models.standing.holding_evidence import EvidenceKind, HoldingEvidence

from tests.farms.plan_fixture import INSTALLED_COST, PARTS, WITH_CONTINGENCY, example_plan

HOSTILE = "</td><script src=//x.test/a.js>&\"'<img src=x onerror=alert(1)>"
VOID = {"meta", "link", "br", "img", "input", "hr"}


class Reading(HTMLParser):
    """What a page holds: its elements, their attributes, its words, and what is left open."""

    def __init__(self, page: str) -> None:
        super().__init__()
        self.elements: list[tuple[str, dict[str, str | None]]] = []
        self.words: list[str] = []
        self.open: list[str] = []
        self.misnested: list[str] = []
        self.feed(page)
        self.close()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.elements.append((tag, dict(attrs)))
        if tag not in VOID:
            self.open.append(tag)

    def handle_endtag(self, tag: str) -> None:
        if not self.open or self.open.pop() != tag:
            self.misnested.append(tag)

    def handle_data(self, data: str) -> None:
        if not self.open or self.open[-1] != "style":
            self.words.append(data)


def hostile_plan() -> Plan:
    """Return the example with markup for every name that it can have."""
    plan = example_plan(project_name=HOSTILE, plate_supplier=HOSTILE + "s", anchor=HOSTILE + "a")
    project = replace(plan.farm.project, approved_by=HOSTILE + "b")
    legs = tuple(replace(leg, seabed="sand") for leg in plan.farm.legs)
    first, *others = plan.assignments
    named = replace(first, evidence=HoldingEvidence(EvidenceKind.DECLARED, HOSTILE))
    farm = replace(plan.farm, project=project, legs=legs)
    return replace(plan, farm=farm, assignments=(named, *others))


def test_the_page_says_the_cost_its_parts_and_the_proof() -> None:
    """Every figure worked by hand is on it, to the cent."""
    words = " ".join(Reading(plan_page(example_plan())).words)
    for money in (*PARTS.values(), INSTALLED_COST, WITH_CONTINGENCY):
        assert f"{money:,.2f}" in words
    for said in (
        "Least cost, proven",
        "holding: all 2 checks",
        "licensed engineer",
        "snaps back",
        "Approved by",
    ):
        assert said in words


@pytest.mark.parametrize("plan", [example_plan(), hostile_plan()], ids=["example", "hostile"])
def test_nothing_on_the_page_points_outside_it(plan: Plan) -> None:
    """No script, no frame, no picture, no address but the empty icon; and a policy forbids them."""
    page = plan_page(plan)
    read = Reading(page)
    assert read.open == read.misnested == []
    tags = {tag for tag, _ in read.elements}
    assert not tags & {"script", "iframe", "img", "object", "embed", "form", "a", "base"}
    attributes = [(name, value) for _, attrs in read.elements for name, value in attrs.items()]
    assert not [name for name, _ in attributes if name.startswith("on") or name == "src"]
    assert [value for name, value in attributes if name == "href"] == ["data:,"]
    policy = [a["content"] for t, a in read.elements if a.get("http-equiv")]
    assert policy
    assert "default-src 'none'" in str(policy[0])
    assert not re.search(r"url\(|@import", page)


def test_names_with_markup_come_back_as_names() -> None:
    """Project, supplier, anchor and approver keep their characters and make no element."""
    words = " ".join(Reading(plan_page(hostile_plan())).words)
    for name in (HOSTILE, HOSTILE + "s", HOSTILE + "a", HOSTILE + "b"):
        assert name in words


def test_options_and_turning_points_given_are_shown() -> None:
    """What another priced is drawn beside the plan; without it the page says what to run."""
    alone = " ".join(Reading(plan_page(example_plan())).words)
    assert 'moorledger compare "six lines.xlsx"' in alone
    case = Case(
        options=(
            OptionCost("solid only", {**PARTS, Part.ANCHORS: 3124.00}, "not proven"),
            OptionCost("one supplier", {}, "none sells both"),
        ),
        reasons=("Because of 17 %.",),
        turning_points=("At 1.8 × today's freight.",),
    )
    words = " ".join(Reading(plan_page(example_plan(), case)).words)
    for said in (
        "solid only (not proven)",
        "12,626.64",
        "1,000.00",
        "one supplier: cannot be done. none sells both",
        "Because of 17 %.",
        "At 1.8 × today's freight.",
    ):
        assert said in words
    assert "moorledger compare" not in words


def test_a_plan_with_nothing_in_it_is_still_a_page() -> None:
    """No legs, orders, bookings or campaigns: the page stands, and draws no map."""
    empty = replace(
        example_plan(), assignments=(), orders=(), order_charges={}, cuts=(), bookings=(),
        campaigns=(), parts={}, checks=(),
    )  # fmt: skip
    read = Reading(plan_page(empty))
    assert read.open == read.misnested == []
    words = " ".join(read.words)
    assert "Farm picture" not in words
    assert "has not been checked" in words


@pytest.fixture
def browser() -> str:
    """The command of a headless Chromium; the tests of a real browser skip where there is none."""
    for name in ("chromium", "chromium-browser", "google-chrome"):
        path = shutil.which(name)
        if path is not None:
            return path
    pytest.skip("Chromium is not installed: no browser to show the page")


def browsed(browser: str, folder: Path, *options: str) -> subprocess.CompletedProcess[bytes]:
    """Return what a browser said, run without a screen on a profile of its own."""
    return subprocess.run(
        [
            browser,
            "--headless",
            "--no-sandbox",
            "--disable-gpu",
            "--disable-background-networking",
            "--disable-component-update",
            "--no-first-run",
            f"--user-data-dir={folder / 'profile'}",
            *options,
        ],
        check=True,
        capture_output=True,
        timeout=120,
    )


FRAME = """<!DOCTYPE html>
<iframe id="page" src="page.html" style="width:360px;height:800px;border:0"></iframe>
<pre id="said"></pre><script>
document.getElementById("page").onload = function () {
  const page = this.contentDocument, root = page.documentElement;
  const sizes = [...page.querySelectorAll("p, li, td, th, figcaption")].map(
    (e) => parseFloat(getComputedStyle(e).fontSize));
  const drawn = [...page.querySelectorAll("svg text")].map((e) => e.getBoundingClientRect().height);
  document.getElementById("said").textContent = JSON.stringify({
    wide: root.scrollWidth, room: root.clientWidth,
    least: Math.min(...sizes), drawn: Math.min(...drawn),
  });
};
</script>"""


def test_a_browser_shows_it_on_a_narrow_screen(browser: str, tmp_path: Path) -> None:
    """At 360 px nothing is wider than the screen, and no letter is smaller than 10 px."""
    (tmp_path / "page.html").write_text(plan_page(example_plan()), encoding="utf-8")
    frame = tmp_path / "frame.html"
    frame.write_text(FRAME, encoding="utf-8")
    done = browsed(
        browser, tmp_path, "--allow-file-access-from-files", "--virtual-time-budget=8000",
        "--dump-dom", frame.as_uri(),
    )  # fmt: skip
    (said,) = re.findall(r'<pre id="said">(.*?)</pre>', done.stdout.decode())
    seen = json.loads(said)
    assert seen["wide"] <= seen["room"] <= 360
    assert seen["least"] >= 12
    assert seen["drawn"] >= 10


def test_a_browser_prints_it_on_a4_without_complaint(browser: str, tmp_path: Path) -> None:
    """Its console has nothing to say, and every page printed is of 210 × 297 mm."""
    page, pdf = tmp_path / "page.html", tmp_path / "page.pdf"
    page.write_text(plan_page(hostile_plan()), encoding="utf-8")
    done = browsed(
        browser, tmp_path, "--enable-logging=stderr", "--no-pdf-header-footer",
        f"--print-to-pdf={pdf}", page.as_uri(),
    )  # fmt: skip
    assert b"CONSOLE" not in done.stderr
    boxes = re.findall(rb"/MediaBox ?\[([\d. ]+)\]", pdf.read_bytes())
    assert boxes
    for box in boxes:  # in points of 1/72 inch
        width, height = (float(number) for number in box.split()[2:])
        assert width == pytest.approx(210 / 25.4 * 72, abs=1.0)
        assert height == pytest.approx(297 / 25.4 * 72, abs=1.0)


@pytest.mark.parametrize(("plain", "asks"), [(False, True), (True, False)])
def test_a_browser_asks_for_nothing(browser: str, tmp_path: Path, plain: bool, asks: bool) -> None:
    """The browser's own log of requests has no address of the page; it has that of a picture.

    The picture of another page shows that the log would have it.
    """
    page, log = tmp_path / "page.html", tmp_path / "net.json"
    picture = '<!DOCTYPE html><img src="http://x.test/a.js">'
    page.write_text(plan_page(hostile_plan()) if plain else picture, encoding="utf-8")
    browsed(
        browser, tmp_path, f"--log-net-log={log}", "--host-resolver-rules=MAP * ~NOTFOUND",
        f"--screenshot={tmp_path / 'seen.png'}", page.as_uri(),
    )  # fmt: skip
    assert ("x.test" in log.read_text(encoding="utf-8")) is asks
