"""At the bench: a batch made by a person with a browser from disk, two countdowns and a reload in the middle."""

from __future__ import annotations

import re
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, BrowserContext, Page, expect

from bookgen.source import book_from

from .conftest import Watched, until
from .test_pages_on_screen import OVERFLOWING

MADE = datetime(2026, 5, 9, 12, 0, tzinfo=UTC)
"""The hour of making, 14:00 in Paris; the page's clock stands there until a test lets it run."""
TARGET = 48
"""CSS pixels that a wet thumb needs, each way."""

BLOCKED = (
    """Object.defineProperty(window, 'localStorage', {get() { throw new DOMException('no', 'SecurityError'); }});"""
)
FULL = """Storage.prototype.setItem = () => { throw new DOMException('full', 'QuotaExceededError'); };"""
BEEPS = """window.beeps = 0;
const play = OscillatorNode.prototype.start;
OscillatorNode.prototype.start = function () { window.beeps += 1; return play.call(this); };"""
SMALL = f"""() => [...document.querySelectorAll('#bench :is(a, button, summary, label, input, textarea)')]
  .filter(one => one.getClientRects().length && !one.matches('label input[type=checkbox]'))
  .map(one => [one.textContent.slice(0, 30), one.getBoundingClientRect()])
  .filter(([, box]) => box.width < {TARGET} || box.height < {TARGET})
  .map(([said, box]) => `${{said}}: ${{box.width}} x ${{box.height}}`)"""
FOCUSED = """() => {
  const one = document.activeElement, style = getComputedStyle(one);
  const said = one === document.body ? 'BODY' : one.textContent || one.id || one.tagName;
  return [said, parseFloat(style.outlineWidth), style.outlineStyle];
}"""

STEP = """words => {
  for (let turn = 0; turn < 60; turn++) {
    const said = document.querySelector('#bench .stage h2').textContent.replace(/\\s+/g, ' ');
    if (new RegExp(words).test(said)) return true;
    document.querySelector('#bench .hand button:last-child').click();
  }
  return false;
}"""
WALK = """tare => {
  const screens = [], next = document.querySelector('#bench .hand button:last-child');
  document.querySelector('#bench .steps button').click();
  for (;;) {
    const vessel = document.querySelector('#bench [id$=".tare"]');
    if (vessel && tare) {
      vessel.value = tare;
      vessel.dispatchEvent(new Event('input'));
    }
    const said = where => [...document.querySelectorAll('#bench .stage ' + where)].map(one => one.innerText)
      .join(' ').replace(/\\s+/g, ' ');
    screens.push({vessel: Boolean(vessel), ...Object.fromEntries(
      ['h2', '.reads', '.reads + .fine', '.hazards', '.takes', '.asks', '.danger'].map(where => [where, said(where)])
    )});
    if (next.disabled) return screens;
    next.click();
  }
}"""
"""Every screen from the first to the last; where a vessel's weight is asked for, that one is typed."""


class Bench:
    """One page at the bench, with the hands of a person."""

    def __init__(self, page: Page) -> None:
        self.page = page
        self.stage = page.locator("#bench .stage")

    def open(self, path, batch: str = "") -> None:
        self.page.goto(path.as_uri() + batch)
        self.page.get_by_role("link", name="At the bench").click()
        expect(self.page.locator("#bench")).to_be_visible()

    def next(self) -> None:
        self.page.get_by_role("button", name="Next", exact=True).click()

    def step(self, heading: str) -> None:
        """Walk on until the step with that heading."""
        assert self.page.evaluate(STEP, heading), f"no step {heading}"

    def heading(self) -> str:
        return plain(self.stage.locator("h2").inner_text())

    def tick(self) -> None:
        """Tick when the page has been turned for a while: a second tap at once is taken for a slip."""
        self.page.clock.run_for(500)
        self.page.locator("#bench .hand label").click()

    def ticked(self) -> bool:
        return self.page.locator("#at-tick").is_checked()

    def jump(self, words: str) -> None:
        self.page.locator("#bench summary").click()
        self.page.locator("#bench .steps").get_by_role("button", name=words).first.click()

    def record(self) -> str:
        self.jump("The record")
        return self.written()

    def written(self) -> str:
        """The record's text, its lines kept and every space a plain one."""
        return re.sub(r"[^\S\n]+", " ", self.page.get_by_label("The record as text").input_value())

    def kept(self) -> dict:
        return self.page.evaluate("JSON.parse(localStorage.getItem(Object.keys(localStorage)[0]))")


@pytest.fixture
def context(browser: Browser) -> Iterator[BrowserContext]:
    """One device: its pages share what is kept.  Its clock stands in a known place."""
    made = browser.new_context(viewport={"width": 360, "height": 800}, timezone_id="Europe/Paris", has_touch=True)
    yield made
    made.close()


@pytest.fixture
def watched(context) -> Watched:
    return Watched(context.new_page())


@pytest.fixture
def bench(watched) -> Bench:
    stand(watched.page, MADE)
    watched.page.add_init_script(BEEPS)
    return Bench(watched.page)


def plain(text: str) -> str:
    """The text with every space a plain one."""
    return re.sub(r"\s+", " ", text)


def cream(sites):
    return sites["demo"] / "formulas" / "H-02.html"


def stand(page: Page, now: datetime) -> None:
    page.clock.install(time=now - timedelta(seconds=1))
    page.clock.pause_at(now)


def pause(page: Page, seconds: int) -> None:
    page.clock.run_for(seconds * 1000)


# ── A whole batch ──


def test_a_whole_batch_with_two_countdowns_and_a_reload(sites, bench, watched):
    page, path = bench.page, cream(sites)
    bench.open(path)
    total = page.get_by_text("Screen 1 of").inner_text()
    steps = int(re.search(r"of (\d+)", total)[1])
    walked, swelling = [bench.heading()], None
    for _ in range(steps - 1):
        if bench.heading() == "Step 4":  # the gum swells for a quarter of an hour while the rest goes on
            page.get_by_role("button", name="Start 15:00").click()
            swelling = page.locator("#bench .clocks")
            expect(swelling).to_contain_text("fifteen minutes, Step 4: 15:00")
        if bench.heading() == "Step 5":
            page.get_by_role("button", name="Start 2:00").click()
            pause(page, 30)
            expect(page.locator("#bench .timer .left").first).to_have_text("1:30")
            expect(swelling).to_contain_text("14:30")
            page.reload()
            pause(page, 1)
            assert bench.heading() == "Step 5"
            expect(page.locator("#bench .clocks")).to_contain_text("14:29")
            expect(page.locator("#bench .clocks")).to_contain_text("two minutes, Step 5: 1:29")
            pause(page, 90)
            expect(page.get_by_role("alert")).to_contain_text("Time is up: two minutes, Step 5.")
            page.get_by_role("button", name="I have heard it: two minutes, Step 5").click()
            expect(page.get_by_role("alert")).to_be_empty()
            expect(page.locator("#bench .clocks li")).to_have_count(1)
        bench.tick()
        walked.append(bench.heading())
    assert walked[0] == "Hazards"
    assert walked[1] == "What is needed"
    assert walked[-1] == "The record"
    weighings = [one for one in walked if re.match(r"≈? ?[\d.]+ g", one)]
    assert len(weighings) == 13  # twelve lines, one of them in two portions
    assert bench.stage.get_by_text("Every screen is ticked.").is_visible()
    bench.tick()
    text = bench.record()
    assert "Started: 2026-05-09T14:00:0" in text
    assert re.search(r"Finished: 2026-05-09T14:0\d:\d\d\+02:00", text)
    assert "not ticked" not in text
    assert len(re.findall(r"^- .*, actual not entered, lot not entered, ticked 2026-", text, re.M)) == 13
    assert re.search(r"^- two minutes, Step 5: started 2026-.*, end 2026-.*, heard 2026-", text, re.M)
    assert re.search(r"^- fifteen minutes, Step 4: started [^,]*, end 2026-05-09T14:15:\d\d\+02:00$", text, re.M)
    assert watched.complaints == []
    assert [one for one in watched.requests if not one.startswith(("file:", "data:"))] == []


def test_the_record_holds_what_was_typed(sites, bench):
    bench.open(cream(sites), "#obtain=5+x+50+g+%2B+5+%25")
    text = bench.record()
    assert "To obtain: 262.5 g, asked for as 5 x 50 g + 5 %" in text
    assert "Countdowns" not in text
    assert "Not ticked" not in text
    bench.jump("Make first: Marigold oil")
    bench.page.get_by_label("Lot").fill("m 7")
    bench.step("purified water")
    bench.page.get_by_label("Vessel before, g").fill("123.40")
    bench.page.get_by_label("Actual weight, g").fill("161.30")
    bench.page.get_by_label("Lot").fill("w 05/26")
    bench.tick()
    bench.step("When it is right")
    bench.page.get_by_label("pH, as found").fill("5.2")
    bench.step("Fill, label, keep")
    expect(bench.stage).to_contain_text("Use by: up to and including 2026-06-13, made 2026-05-09.")
    bench.step("The record")
    bench.page.get_by_label("Notes").fill("a little grainy\nat first")
    bench.page.get_by_label("Batch number").fill("26-014")
    bench.page.get_by_label("Made by").fill("the second hand")
    text = bench.written()
    assert "H-02 After-throwing cream, issue 4 of 2026-" in text
    assert "Batch number: 26-014\nMade by: the second hand\n" in text
    assert re.search(r"^Step 2\n- vessel: 123\.40\n- 161\.29 g purified water, phase A, ", text, re.M)
    line = r"^- 161\.29 g purified water, phase A, fine balance, actual 161\.30 \(g\), lot w 05/26, ticked 2026-05-09"
    assert re.search(line, text, re.M)
    assert "\nBeforehand\n- Hazards: not ticked\n" in text
    assert "- Make first: Marigold oil: lot m 7, not ticked" in text
    heads = re.findall(r"^(Step \d|Beforehand|Afterwards)$", text, re.M)
    assert heads == ["Beforehand", *(f"Step {number}" for number in range(1, 10)), "Afterwards"]
    step = text[text.index("\nStep 4\n") : text.index("\nStep 5\n")]
    assert re.findall(r"^- (.*?)(?:, phase|: In the bowl)", step, re.M) == [
        "0.84 g xanthan gum", "6.98 g glycerol 85 %", "27.93 g purified water", "1.05 g lactic acid 80 %", "Step 4",
    ]  # fmt: skip
    assert "- 6.98 g glycerol 85 %, phase A, portion of 13.96 g, fine balance, actual not entered" in step
    assert re.search(r"^- pH, .*: 5\.2$", text, re.M)
    assert "\n## Notes\n\na little grainy\nat first\n\n## At the bench\n" in text
    assert "Finished: not yet" in text
    assert "Use by: up to and including 2026-06-13, made 2026-05-09." in text
    bench.tick()
    text = bench.written()
    assert re.search(r"^Not ticked: Hazards; What is needed; .*; Fill, label, keep; Cautions for use$", text, re.M)
    kept = re.search(r"^Cautions for use\n((?:- .*\n)+)\n(.*)$", text, re.M)
    assert kept, text
    cautions, law = kept.groups()
    assert "- Not on open cracks until they have closed.\n" in cautions
    assert law.endswith("is for local law and licensed practice to decide.")
    assert law in bench.stage.inner_text()
    bench.page.context.grant_permissions(["clipboard-read", "clipboard-write"])
    bench.page.get_by_role("button", name="Copy the record").click()
    expect(bench.stage.get_by_role("status")).to_have_text(re.compile("copied|by hand"))
    bench.page.evaluate("Object.defineProperty(navigator, 'clipboard', {value: undefined})")
    bench.page.get_by_role("button", name="Copy the record").click()
    expect(bench.stage.get_by_role("status")).to_contain_text("copy it by hand")
    picked = bench.page.evaluate("getSelection().toString() || document.activeElement.value")
    assert picked.startswith("---\nbatch: H-02-2026-05-09\n")


def test_the_record_is_saved_as_a_file_that_the_book_reads(sites, bench):
    bench.open(cream(sites), "#obtain=5+x+50+g+%2B+5+%25")
    bench.step("purified water")
    bench.page.get_by_label("Actual weight, g").fill("161.30")
    bench.step("lactic acid")
    bench.page.get_by_label("Actual weight, g").fill("1.05")
    bench.page.get_by_label("Lot").fill("A: 5")
    bench.step("When it is right")
    bench.page.get_by_label("pH, as found").fill("5.2")
    bench.step("The record")
    bench.page.get_by_label("Came out").fill("251 g")
    bench.page.get_by_label("Filled").fill("5 x 50 g")
    bench.page.get_by_label("Notes").fill("a little grainy")
    with bench.page.expect_download() as saved:
        bench.page.get_by_role("button", name="Save the record").click()
    assert saved.value.suggested_filename == "H-02-2026-05-09.md"
    content = saved.value.path().read_bytes()
    read = book_from({"formulas/batches/H-02-2026-05-09.md": content})
    assert [str(finding) for finding in read.findings] == []
    record = read.batches["h-02-2026-05-09"]
    assert (record.of.code, record.of.issue, record.made.text) == ("H-02", 4, "2026-05-09")
    assert (record.obtain.containers, record.came_out.value, record.filled[0].count) == (5, 251, 5)
    assert record.ph.value == Fraction("5.2")
    weighed = [(line.phase, line.material, line.amount.grams, line.lot) for line in record.weighed]
    assert weighed == [
        ("A", "purified-water", Fraction("161.3"), ""), ("C", "lactic-acid-80", Fraction("1.05"), "A: 5"),
    ]  # fmt: skip
    planned = {(line.phase, line.material): line.amount.grams for line in record.planned}
    assert planned["A", "glycerol-85"] == Fraction("13.96")
    assert "a little grainy" in content.decode()
    assert "## At the bench" in content.decode()


def test_what_a_stock_and_diluted_ethanol_took_goes_into_the_record(sites, bench):
    """The materials with their lots, so that a lot is found again in the jar that a stock brought it into."""
    bench.open(sites["demo"] / "formulas" / "P-02.html")
    bench.step("red iron oxide")
    for label, typed in {
        "Actual weight, g": "1.00",
        "red iron oxide for the trituration 1 in 20, g": "0.50",
        "Lot of the red iron oxide": "IO-7",
        "kaolin for the trituration 1 in 20, g": "9.50",
        "Lot of the kaolin": "K: 2",
    }.items():
        bench.page.get_by_label(label, exact=True).fill(typed)
    assert "red iron oxide for the trituration 1 in 20 0.50 (g), lot IO-7" in bench.record()
    record = read_back(bench)
    beforehand = [(line.phase, line.material, line.amount.grams, line.lot) for line in record.weighed_beforehand]
    assert beforehand == [
        ("A", "iron-oxide-red", Fraction("0.5"), "IO-7"), ("A", "kaolin", Fraction("9.5"), "K: 2"),
    ]  # fmt: skip
    brought = [(line.material, line.amount.grams, line.stock_of) for line in record.weighed]
    assert brought == [
        ("iron-oxide-red", Fraction("0.05"), "iron-oxide-red"), ("kaolin", Fraction("0.95"), "iron-oxide-red"),
    ]  # fmt: skip
    assert record.taken == record.weighed_beforehand, "what the stock brings was taken when it was made"
    planned = {(line.material, line.stock_of): line.amount.grams for line in record.planned}
    assert (planned["iron-oxide-red", "iron-oxide-red"], planned["kaolin", ""]) == (
        Fraction("0.05"), Fraction("29.05"),
    )  # fmt: skip
    bench.open(sites["demo"] / "formulas" / "R-03.html")
    bench.step("ethanol")
    for label, typed in {"ethanol 96 %, g": "166", "Lot of the ethanol 96 %": "E-1", "water, g": "83.5"}.items():
        bench.page.get_by_label(label, exact=True).fill(typed)
    assert "Balance reads 250 g after this" in plain(bench.stage.inner_text())
    assert "ethanol 96 % 166 (g), lot E-1, water 83.5 (g), lot not entered" in bench.record()
    record = read_back(bench)
    planned = {line.material: line.amount.grams for line in record.planned}
    assert (planned["ethanol-96"], planned["purified-water"]) == (166, 83)
    assert [(line.material, line.amount.grams, line.lot) for line in record.weighed] == [
        ("ethanol-96", 166, "E-1"), ("purified-water", Fraction("83.5"), ""),
    ]  # fmt: skip
    assert record.weighed_beforehand == ()


def read_back(bench):
    """The record's text, read as a file of the book."""
    text = bench.page.get_by_label("The record as text").input_value()
    number = re.search(r"^batch: (\S+)$", text, re.M)[1]
    read = book_from({f"formulas/batches/{number}.md": text.encode()})
    assert [str(finding) for finding in read.findings] == []
    return read.batches[number.casefold()]


def test_a_step_shows_the_hazards_of_what_it_lets_in_and_is_listed_without_them(sites, bench):
    bench.open(cream(sites))
    screens = bench.page.evaluate(WALK, [])
    told = {one["h2"]: one[".danger"] for one in screens if one["h2"].startswith("Step ")}
    assert told["Step 8"] == (
        "sodium hydroxide solution 10 %: Caustic, burns skin and blinds eyes, so goggles and gloves before the cap "
        "comes off and water running beside you."
    )
    assert [step for step, danger in told.items() if danger] == ["Step 4", "Step 7", "Step 8"]
    assert "lactic acid 80 %: Burns skin and eyes" in told["Step 4"]
    record = bench.written()
    assert re.search(r"Step 8: Goggles\. Let in the sodium hydroxide solution", record)
    assert "water running beside you" not in record


def test_the_use_by_date_clips_the_end_of_a_month(sites, bench):
    stand(bench.page, datetime(2026, 8, 31, 12, 0, tzinfo=UTC))
    bench.open(cream(sites))
    for machine, day in (("P6M", "2027-02-28"), ("P14D", "2026-09-14"), ("P1M", "2026-09-30"), ("P18M", "2028-02-29")):
        period = "document.querySelector('.keeping [data-figure=period]').dateTime = " + repr(machine)
        bench.page.evaluate(period + "; document.dispatchEvent(new CustomEvent('batch'))")
        bench.step("Fill, label, keep")
        expect(bench.stage).to_contain_text(f"up to and including {day}, made 2026-08-31.")


# ── Weights ──


def test_the_running_gross_is_the_sum_of_the_printed_weights_in_each_vessel(sites, bench):
    usual = 0
    for code, vessels in (("H-02", 7), ("W-01", 3), ("W-03", 4), ("P-02", 2), ("R-03", 2)):
        bench.open(sites["demo"] / "formulas" / f"{code}.html")
        screens = bench.page.evaluate(WALK, "81.3")
        weighings = [one for one in screens if re.match(r"≈? ?[\d.]+ g", one["h2"])]
        assert len(weighings) > 1
        assert sum(one["vessel"] for one in screens) == vessels, code
        gross = Decimal(0)
        for screen in weighings:
            before = gross = Decimal("81.3") if screen["vessel"] else gross
            gross += sum(Decimal(grams) for grams in re.findall(r"[\d.]*\d(?= g )", screen["h2"]))
            for told, weight in ((".reads + .fine", before), (".reads", gross)):
                shown = Decimal(re.findall(r"[\d.]*\d(?= g)", screen[told])[0])
                assert shown == weight.quantize(shown, ROUND_HALF_UP), code  # in the digits of the balance that is read
            if screen["h2"].startswith("≈"):
                assert screen["vessel"]
                assert "into a small vessel of its own" in screen[".takes"]
                usual += 1
    assert usual == 2


def test_each_weighing_shows_its_hazards_and_screen_one_keeps_them_all(sites, bench):
    bench.open(cream(sites))
    screens = bench.page.evaluate(WALK, [])
    weighings = [one for one in screens if re.match(r"≈? ?[\d.]+ g", one["h2"])]
    assert screens[0][".hazards"].count(": ") > 6
    told = {re.sub(r"^≈? ?[\d.]+ g ", "", one["h2"]): one[".hazards"] for one in weighings}
    assert told["lactic acid 80 %"].startswith("HAZARDS lactic acid 80 %: Burns skin and eyes")
    assert told["sodium hydroxide solution 10 %"].startswith("HAZARDS sodium hydroxide solution 10 %: Caustic")
    for oil in ("cedarwood oil, Virginian (in", "vetiver oil (in", "sweet orange oil (in"):
        assert oil in told["Bench scent"]
    assert told["glycerol 85 %"] == told["purified water"] == ""
    bench.page.set_viewport_size({"width": 360, "height": 740})
    bench.jump("lactic acid")
    box, bar = bench.stage.locator(".hazards").bounding_box(), bench.page.locator("#bench .hand").bounding_box()
    assert box["y"] + box["height"] < bar["y"]


def test_what_the_balance_cannot_hold_is_weighed_apart(sites, bench):
    bench.open(sites["demo"] / "formulas" / "R-03.html")
    bench.step("glycerol")
    assert plain(bench.stage.locator(".reads").inner_text()) == "Balance reads 1.25 g after this"
    bench.stage.get_by_role("button", name="The last vessel: 249 g").click()
    assert bench.page.get_by_label("Vessel before, g").input_value() == "249"
    assert plain(bench.stage.locator(".reads").inner_text()) == "In the vessel 250.25 g after this"
    takes = "More than the fine balance holds (200 g): weigh it apart and tip it in."
    assert plain(bench.stage.inner_text()).count(takes) == 1
    bench.jump("166 g ethanol")
    bench.page.get_by_label(re.compile("^ethanol.*, g$")).fill("166")
    bench.page.get_by_label("water, g", exact=True).fill("32.75")
    bench.step("glycerol")
    bench.stage.get_by_role("button", name="The last vessel: 198.75 g").click()
    assert plain(bench.stage.locator(".reads").inner_text()) == "Balance reads 200.00 g after this"
    assert takes not in plain(bench.stage.inner_text())


def test_a_weight_far_off_is_told_and_goes_into_the_record(sites, bench):
    bench.open(cream(sites))
    bench.step("lactic acid")
    typed, told = bench.page.get_by_label("Actual weight, g"), bench.stage.locator("[id$='actual-says']")
    for text, says in (
        ("1.13", ""), ("1.18", ""), ("1.19", "0.06 g over, 5.3 %"), ("1.08", ""), ("1.07", "0.06 g short, 5.3 %"),
        ("2,26", "1.13 g over, 100 %"), ("0", "1.13 g short, 100 %"),
    ):  # fmt: skip
        typed.fill(text)
        assert told.inner_text() == says, text
        assert typed.get_attribute("aria-invalid") == "false"
    bench.jump("7.50 g glycerol")
    bench.page.get_by_label("Actual weight, g").fill("51")
    assert told.inner_text() == "43.50 g over, 580 %"
    bench.jump("sodium hydroxide")
    bench.page.get_by_label("Actual weight, g").fill("1")
    assert told.inner_text() == ""
    text = bench.record()
    assert "portion of 15.00 g, fine balance, actual 51 (g), 43.50 g over, 580 %, lot" in text
    assert "actual 1 (g), lot" in text


def test_a_readable_actual_weight_counts_and_an_unreadable_one_is_told(sites, bench):
    bench.open(cream(sites))
    bench.step("purified water")
    typed, said = bench.page.get_by_label("Actual weight, g"), bench.stage.locator(".reads")
    for text, gross in (("173.5", "173.50"), ("173,45 g", "173.45"), ("0.125", "0.13")):  # in steps of 0.01 g
        typed.fill(text)
        assert plain(said.inner_text()) == f"Balance reads {gross} g after this", text
        assert typed.get_attribute("aria-invalid") == "false"
    for text in ("1,000", "about 173", "-3", "1e3", "½", "1.2.3", "012", "173.27 173.27"):
        typed.fill(text)
        assert plain(said.inner_text()) == "Balance reads 173.27 g after this", text
        assert "Not read" in bench.stage.locator("[id$='actual-says']").inner_text()
        assert typed.get_attribute("aria-invalid") == "true"
        assert typed.input_value() == text
    text = bench.record()
    assert "actual 173.27 173.27, lot" in text
    size = "one => parseFloat(getComputedStyle(one).fontSize)"
    bench.jump("purified water")
    sizes = [bench.stage.locator(one).evaluate(size) for one in (".big", ".reads b", "h2", ".asks b")]
    assert sizes[0] > 60
    assert sizes[0] > sizes[1] > max(sizes[2:])
    assert bench.stage.locator(".big").bounding_box()["width"] <= bench.stage.bounding_box()["width"]


def test_what_has_no_known_weight_makes_the_gross_unknown(sites, bench):
    bench.open(sites["official"] / "formulas" / "CAL-BP.html")
    bench.step("liquefied phenol")
    assert bench.heading().startswith("5 mL")
    assert "Balance: not known from here" in bench.stage.inner_text()
    bench.next()
    assert "Before: not known from here" in bench.stage.inner_text()
    bench.page.get_by_role("button", name="Previous").click()
    bench.page.get_by_label("Actual weight, g").fill("5.320")
    assert "Balance reads 5.320 g after this" in plain(bench.stage.inner_text())
    bench.next()
    assert "Balance reads 68.320 g after this Before: 5.320 g" in plain(bench.stage.inner_text())
    bench.step("purified water")
    assert bench.heading().startswith("to 1000 mL")


def test_diluted_ethanol_a_stock_and_an_aid_say_what_they_are(sites, bench):
    bench.open(sites["demo"] / "formulas" / "R-03.html")
    bench.step("ethanol")
    assert bench.heading() == "166 g ethanol 96 % 83 g water"
    assert "Balance reads 249 g after this Before: 0 g, after the first 166 g" in plain(bench.stage.inner_text())
    bench.page.locator("#bench summary").click()
    assert bench.page.get_by_role("button", name="166 g ethanol 96 % and 83 g water").count() == 1
    bench.open(sites["demo"] / "formulas" / "P-02.html")
    bench.step("red iron oxide")
    assert bench.heading() == "1.00 g trituration 1 in 20 of red iron oxide"
    assert "Rub 0.50 g of red iron oxide with kaolin" in plain(bench.stage.inner_text())
    bench.open(sites["demo"] / "formulas" / "W-01.html")
    bench.step("kaolin")
    assert "taken out again" in bench.stage.inner_text()
    assert bench.stage.locator(".asks").inner_text() == "Step 3: B"


def test_what_is_weighed_coarsely_says_how_far_off_it_may_be(sites, bench):
    bench.open(sites["demo"] / "formulas" / "N-06.html", "#obtain=1+g")
    bench.step("neroli oil")
    assert re.fullmatch(r"[\d.]+ g neroli oil|\d+ drops? neroli oil", plain(bench.heading()))
    expect(bench.stage).to_contain_text("to within")
    expect(bench.page.locator("#at-tick")).to_be_enabled()


def test_less_than_the_balance_shows_is_told_and_ticked_only_with_a_weight(sites, bench):
    bench.open(sites["demo"] / "formulas" / "N-06.html", "#obtain=0.1+g")
    expect(bench.stage).to_contain_text("Less than the balance shows in this batch: neroli oil.")
    bench.step("neroli oil")
    assert re.fullmatch(r"0\.00\d+ g neroli oil", bench.heading())
    tick = bench.page.locator("#at-tick")
    expect(tick).to_be_disabled()
    bench.page.get_by_label("Actual weight, g").fill("about none")
    expect(tick).to_be_disabled()
    bench.page.get_by_label("Actual weight, g").fill("0.002")
    expect(tick).to_be_enabled()
    bench.tick()
    expect(tick).to_be_enabled()
    assert not bench.ticked()
    bench.page.get_by_role("button", name="Take it back").click()
    assert bench.heading().endswith("neroli oil")


def test_the_list_of_screens_says_a_step_as_the_method_does(sites, bench):
    bench.open(cream(sites))
    bench.page.locator("#bench summary").click()
    screens = bench.page.locator("#bench .steps li")
    expect(screens.filter(has_text="Weigh the water")).to_have_text(
        re.compile(r"phase A\s173\.27\sg\sinto it with one half of the glycerol\s7\.50\sg, cover")
    )
    expect(screens.filter(has_text="Pour B into A")).to_have_text(re.compile("for two minutes, the blender"))


def test_a_tick_turns_the_page_and_is_taken_back_by_one_touch(sites, bench):
    bench.open(cream(sites))
    bench.step("glycerol")
    bench.tick()
    assert bench.heading() == "Step 2"
    assert not bench.ticked()
    done = bench.page.locator("#bench .steps li small")
    assert done.count() == 1
    bench.page.locator("#bench .hand label").click()  # the echo of a hasty finger
    assert bench.heading() == "Step 2"
    assert done.count() == 1
    bench.page.get_by_role("button", name="Take it back").click()
    assert "glycerol" in bench.heading()
    assert not bench.ticked()
    assert done.count() == 0
    bench.tick()
    bench.next()
    assert bench.page.get_by_role("button", name="Take it back").count() == 0
    bench.jump("7.50 g glycerol 85 %")
    assert "glycerol" in bench.heading()
    assert bench.page.evaluate("document.activeElement.tagName") == "H2"
    assert bench.ticked()
    bench.tick()
    assert "glycerol" in bench.heading()
    assert not bench.ticked()
    assert done.count() == 0
    assert not bench.kept()["batches"].popitem()[1]["entered"]["line-1-1"]


def test_a_step_says_at_its_head_what_has_to_be_made_before_it(sites, bench):
    bench.open(cream(sites))
    bench.step("cetearyl")
    expect(bench.stage).to_contain_text("Have ready: Marigold oil (not ticked yet).")
    bench.step("glyceryl")
    expect(bench.stage).not_to_contain_text("Have ready")
    bench.step("^Step 3$")
    expect(bench.stage).to_contain_text("Have ready: Marigold oil (not ticked yet).")
    bench.jump("Make first: Marigold oil")
    bench.tick()
    bench.step("^Step 3$")
    expect(bench.stage).to_contain_text("Have ready: Marigold oil.")
    bench.step("^Step 4$")
    expect(bench.stage).not_to_contain_text("Have ready")
    bench.open(sites["demo"] / "formulas" / "P-02.html")
    bench.step("trituration")
    expect(bench.stage).to_contain_text("Have ready: the trituration 1 in 20 of red iron oxide.")


def test_what_was_written_for_another_batch_says_for_which(sites, bench):
    for batch, says in (("#obtain=525+g", 1), ("", 0)):
        bench.open(cream(sites), batch)
        for heading in ("What is needed", "Fill, label, keep"):
            bench.step(heading)
            assert plain(bench.stage.inner_text()).count("As written for 282 g.") == says


def test_a_reload_keeps_the_screen_where_nothing_was_entered_yet(sites, bench):
    bench.open(cream(sites), "#obtain=525+g")
    bench.step("^Step 6$")
    bench.page.reload()
    assert bench.heading() == "Step 6"
    assert "You have entries" not in bench.page.locator("#bench .says").inner_text()
    bench.page.goto(cream(sites).as_uri() + "#bench=&obtain=100+g")
    bench.page.reload()
    assert bench.heading() == "Hazards"


@pytest.mark.parametrize("typed", ["500+g", "500g", "0.5+kg", "282+g"])
def test_the_record_says_asked_for_only_where_something_else_was_asked(typed, sites, bench):
    bench.open(cream(sites), f"#obtain={typed}")
    line = re.search(r"^To obtain: .*", bench.record(), re.M)[0]
    assert line == ("To obtain: 500 g, asked for as 0.5 kg" if "kg" in typed else f"To obtain: {typed[:3]} g")


def test_the_record_tells_a_countdown_that_was_stopped_from_one_that_ended(sites, bench):
    bench.open(cream(sites))
    bench.step("^Step 5$")
    for wait, words in ((10, "I"), (125, "have heard")):
        bench.page.get_by_role("button", name="Start 2:00").click()
        pause(bench.page, wait)
        if words == "I":
            bench.page.get_by_role("button", name="Stop it").click()
            bench.page.get_by_role("button", name="Stop it").click()
            assert re.search(
                r"two minutes, Step 5: started 2026-05-09T14:00:00\S+, stopped 2026-05-09T14:00:1\d\S+, before its end "
                r"2026-05-09T14:02:00\S+$", bench.record(), re.M,
            )  # fmt: skip
            bench.jump("Step 5:")
    bench.page.get_by_role("button", name="I have heard it").last.click()
    assert re.search(r"two minutes, Step 5: started \S+, end \S+, heard 2026-\S+$", bench.record(), re.M)


def test_it_goes_by_keyboard_alone_and_tells_each_step(sites, bench):
    bench.page.goto(cream(sites).as_uri())
    bench.page.get_by_role("link", name="At the bench").focus()
    bench.page.keyboard.press("Enter")
    expect(bench.page.locator("#bench")).to_be_visible()
    bench.page.keyboard.press("ArrowRight")
    assert bench.heading() == "What is needed"
    expect(bench.page.locator("#bench .spoken")).to_have_text(re.compile("^Screen 2 of .*What is needed$"))
    bench.page.keyboard.press("ArrowLeft")
    assert bench.heading() == "Hazards"
    reached = []
    for _ in range(12):
        bench.page.keyboard.press("Tab")
        what = bench.page.evaluate(FOCUSED)
        if what[0] in reached or what[0] == "BODY":
            break
        assert what[1] >= 2, what
        assert what[2] != "none", what
        reached.append(what[0])
        if what[0] == "at-tick":
            bench.page.keyboard.press("Space")
    assert "at-tick" in reached
    assert "Next" in reached
    assert bench.heading() == "What is needed"
    bench.page.keyboard.press("ArrowLeft")
    assert bench.ticked()
    bench.step("glycerol")
    bench.page.get_by_label("Lot").fill("77")
    bench.page.keyboard.press("ArrowLeft")
    assert "glycerol" in bench.heading()


def test_back_to_the_page_leaves_everything_as_it_was(sites, bench):
    bench.open(cream(sites))
    bench.page.emulate_media(media="print")
    assert not bench.page.locator("#bench").is_visible()
    assert bench.page.locator(".ingredients").is_visible()
    bench.page.emulate_media(media="screen")
    assert not bench.page.locator("h1").first.is_visible()
    assert bench.page.locator("h1:visible").count() == 1
    bench.page.get_by_role("button", name="Back to the page").click()
    expect(bench.page.locator("#bench")).to_be_hidden()  # the address comes back before the page does
    assert bench.page.locator(".ingredients").is_visible()
    bench.page.go_back()
    expect(bench.page.locator("#bench")).to_be_visible()


def test_ticks_never_pass_on_to_other_weights(sites, bench):
    bench.open(cream(sites))
    bench.step("purified water")
    bench.page.get_by_label("Lot").fill("of the first batch")
    bench.tick()
    bench.page.evaluate("""() => {
      document.querySelector('#line-0 .grams data').textContent = '90.00';
      document.querySelector('.batch dd').textContent = '141 g';
      document.dispatchEvent(new CustomEvent('batch', {detail: {text: '141 g', written: false}}));
    }""")
    assert bench.heading() == "Hazards"
    said = plain(bench.page.locator("#bench .says").inner_text())
    assert said == (
        "You have entries for another batch (282 g). They are kept under The record; this batch starts empty."
    )
    bench.step("purified water")
    assert bench.heading().startswith("90.00 g")
    assert not bench.ticked()
    assert bench.page.get_by_label("Lot").input_value() == ""
    bench.record()
    other = bench.stage.locator("textarea").last.input_value()
    assert "lot of the first batch, ticked 2026-" in other
    bench.page.reload()
    assert "another batch" not in bench.page.locator("#bench .says").inner_text()
    bench.jump("purified water")
    assert bench.ticked()


def test_clearing_asks_first(sites, bench):
    bench.open(cream(sites))
    bench.tick()
    bench.step("The record")
    clear = bench.page.get_by_role("button", name="Clear what was entered")
    clear.click()
    bench.page.get_by_role("button", name="Keep it").click()
    assert len(bench.kept()["batches"]) == 1
    assert bench.page.evaluate("document.activeElement.textContent") == "Clear what was entered"
    clear.click()
    bench.page.get_by_role("button", name="Clear it").click()
    assert {name: kept for name, kept in bench.kept().items() if name != "at"} == {"batches": {}, "clocks": {}}
    assert bench.heading() == "Hazards"
    assert not bench.ticked()


# ── What is kept ──


@pytest.mark.parametrize("wrong", [BLOCKED, FULL], ids=["blocked", "full"])
def test_where_nothing_can_be_kept_the_page_works_and_says_so(wrong, sites, bench, watched):
    bench.page.add_init_script(wrong)
    bench.open(cream(sites))
    bench.tick()
    assert bench.page.locator("#bench .says").inner_text().startswith("What is entered is not kept:")
    bench.jump("Hazards")
    assert bench.ticked()
    assert "Hazards: ticked 2026-" in bench.record()
    assert watched.complaints == []


def test_what_cannot_be_read_back_does_no_harm(sites, bench, watched):
    bench.open(cream(sites))
    for text in ("{", "null", "[1]", '{"batches": 3}'):
        bench.tick()
        bench.page.evaluate("text => localStorage.setItem(Object.keys(localStorage)[0], text)", text)
        bench.page.reload()
        assert bench.heading() == "Hazards"
        assert not bench.ticked()
    assert watched.complaints == []


def test_two_pages_show_the_same_and_none_is_lost(sites, context, bench):
    bench.open(cream(sites))
    other = Bench(context.new_page())
    other.open(cream(sites))
    other.step("glycerol")
    field = other.page.get_by_label("Lot")
    field.fill("12")
    field.press("3")
    expect(bench.page.locator("#bench .steps li small")).to_have_count(0)
    bench.tick()
    expect(other.page.locator("#bench .steps li small")).to_have_count(1)
    assert "glycerol" in other.heading()
    assert field.input_value() == "123"
    assert other.page.evaluate("document.activeElement.id") == "at-line-1.lot"


# ── Countdowns ──


def test_a_countdown_sounds_until_it_is_heard_and_stops_only_when_asked(sites, bench):
    page = bench.page
    bench.open(cream(sites))
    bench.step("^Step 5$")
    page.get_by_role("button", name="Start 1:00").click()
    pause(page, 10)
    page.get_by_role("button", name="Stop it").click()
    page.get_by_role("button", name="Let it run").click()
    expect(page.locator("#bench .timer .left").last).to_have_text("0:50")
    pause(page, 49)
    assert page.evaluate("beeps") == 0
    pause(page, 3)
    first = page.evaluate("beeps")
    assert first >= 2
    pause(page, 3)
    assert page.evaluate("beeps") > first
    page.get_by_role("button", name="I have heard it").last.click()
    quiet = page.evaluate("beeps")
    pause(page, 5)
    assert page.evaluate("beeps") == quiet
    page.get_by_role("button", name="Start 1:00").click()
    page.get_by_role("button", name="Stop it").click()
    page.get_by_role("button", name="Stop it").click()
    expect(page.locator("#bench .clocks li")).to_have_count(0)


def test_a_page_that_slept_through_the_end_says_so_at_once(sites, bench):
    bench.open(cream(sites))
    bench.step("^Step 5$")
    bench.page.get_by_role("button", name="Start 1:00").click()
    bench.page.clock.fast_forward(3 * 3600 * 1000)
    expect(bench.page.get_by_role("alert")).to_contain_text("Time is up: one minute, Step 5.")
    bench.page.get_by_role("button", name="Back to the page").click()
    expect(bench.page.locator(".to-bench a")).to_have_text("At the bench: time is up")


def test_a_day_or_more_shows_when_it_ends(sites, bench):
    found = None
    for path in sorted((sites["demo"] / "formulas").glob("*.html")):
        if "datetime=P3D" in path.read_text():
            found = path
    bench.open(found)
    for _ in range(60):
        if bench.stage.get_by_role("button", name="Start three days").count():
            break
        bench.next()
    timer = bench.page.locator("#bench .timer", has_text="three days")
    assert timer.locator("p").count() == 1, "what the time is stands once"
    bench.page.get_by_role("button", name="Start three days").click()
    ends = timer.locator(".reads", has_text="ends")
    expect(ends).to_have_text("ends 2026-05-12 14:00")
    text = bench.page.evaluate("parseFloat(getComputedStyle(document.documentElement).fontSize)")
    assert ends.evaluate("node => parseFloat(getComputedStyle(node).fontSize)") < 2 * text
    expect(bench.page.locator("#bench .clocks")).to_contain_text("ends 2026-05-12 14:0")


def test_pieces_are_counted_at_the_bench(sites, bench):
    """Whoever makes bars thinks in bars: how many are made stands on every screen, and came out are bars, not grams."""
    bench.open(sites["demo"] / "formulas" / "B-04.html")
    expect(bench.page.locator("#bench header .fine")).to_contain_text("12 pieces, 180 g, issue 1")
    bench.step("^The record$")
    bench.page.get_by_label("Came out, as in 12 pieces").fill("11 pieces")
    bench.page.get_by_label("Filled, as in 3 x 4 pieces").fill("2 x 4 pieces")
    expect(bench.page.get_by_label("The record as text")).to_have_value(re.compile("^came out: 11 pieces$", re.M))


def test_days_keep_the_hour_where_the_clocks_change(browser, sites):
    context = browser.new_context(timezone_id="Europe/Paris")
    page = context.new_page()
    stand(page, datetime(2026, 3, 28, 12, 0, tzinfo=UTC))
    bench = Bench(page)
    bench.open(next(p for p in (sites["demo"] / "formulas").glob("*.html") if "datetime=P3D" in p.read_text()))
    while not bench.stage.get_by_role("button", name="Start three days").count():
        bench.next()
    page.get_by_role("button", name="Start three days").click()
    expect(page.locator("#bench .timer .reads", has_text="ends")).to_have_text("ends 2026-03-31 13:00")
    context.close()


def test_the_screen_is_kept_awake_only_at_the_bench(sites, bench):
    bench.page.add_init_script("""window.locks = 0;
      Object.defineProperty(navigator, 'wakeLock', {value: {request: async () => {
        window.locks += 1; return {release: async () => { window.locks -= 1; }}; }}});""")
    bench.open(cream(sites))
    until(bench.page, "locks === 1")
    bench.page.evaluate("document.dispatchEvent(new Event('visibilitychange'))")
    until(bench.page, "locks === 1")
    bench.page.get_by_role("button", name="Back to the page").click()
    until(bench.page, "locks === 0")


# ── For everyone ──


def test_every_step_is_accessible_large_enough_and_fits(sites, bench, watched):
    page, axe = bench.page, Axe()
    page.clock.resume()  # axe waits by the page's clock
    page.emulate_media(reduced_motion="reduce")
    page.set_viewport_size({"width": 320, "height": 700})
    bench.open(cream(sites))
    seen, wrong = 0, []

    def look(said: str) -> None:
        beyond, wide = page.evaluate(OVERFLOWING)
        small = page.evaluate(SMALL)
        if beyond > 0 or wide or small:
            wrong.append(f"{said}: {beyond} {wide} {small}")

    while True:
        said = bench.heading()
        look(said)
        if said in ("Hazards", "Step 5", "When it is right", "The record") or "lactic" in said:
            if said == "Step 5":
                page.get_by_role("button", name="Start 1:00").click()
            page.set_viewport_size({"width": 1440, "height": 700})
            look(said)
            page.set_viewport_size({"width": 320, "height": 700})
            for scheme in ("light", "dark"):
                page.emulate_media(color_scheme=scheme)
                wrong += [f"{said}: {scheme} {one['id']}" for one in axe.run(page).response["violations"]]
                seen += 1
        if said == "The record":
            break
        bench.next()
    page.locator("#bench summary").click()
    wrong += page.evaluate(SMALL)
    wrong += [one["id"] for one in axe.run(page).response["violations"]]
    assert not wrong, "\n".join(wrong)
    assert seen == 10
    assert watched.complaints == []


def test_every_control_comes_into_view_above_the_bar_and_enlarged_text_does_not_roll(sites, bench):
    page = bench.page
    page.set_viewport_size({"width": 360, "height": 740})
    bench.open(cream(sites))
    bench.step("^Step 5$")
    first = bench.stage.get_by_role("button").first
    bar = page.locator("#bench .hand").bounding_box()
    assert first.bounding_box()["y"] + first.bounding_box()["height"] <= bar["y"]
    under = """() => [...document.querySelectorAll('#bench .stage :is(button, input, textarea)')].filter(one => {
      one.scrollIntoView({block: 'nearest'});
      return one.getBoundingClientRect().bottom > document.querySelector('#bench .hand').getBoundingClientRect().top;
    }).map(one => one.textContent || one.id)"""
    for words in ("Step 5", "Step 4", "lactic acid", "When it is right", "The record"):
        bench.jump(words)
        assert page.evaluate(under) == [], words
    page.set_viewport_size({"width": 640, "height": 500})
    page.add_style_tag(content="html { font-size: 212.5% }")
    for words in ("Hazards", "What is needed", "purified water", "glycerol", "Bench scent", "Step 5"):
        bench.jump(words)
        beyond, wide = page.evaluate(OVERFLOWING)
        assert beyond <= 0, wide


def test_without_javascript_no_way_to_the_bench_is_offered(sites, browser):
    context = browser.new_context(java_script_enabled=False)
    page = context.new_page()
    page.goto(cream(sites).as_uri())
    assert not page.get_by_text("At the bench").is_visible()
    context.close()
