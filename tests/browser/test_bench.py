"""At the bench: a batch made by a person with a browser from disk, two countdowns and a reload in the middle."""

from __future__ import annotations

import re
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from decimal import Decimal

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, BrowserContext, Page, expect

from .conftest import Watched
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
LINES = """() => [...document.querySelectorAll('tr.line')].map(row => [
  row.id,
  row.closest('tbody').querySelector('.phase .letter')?.textContent ?? row.querySelector('.letter')?.textContent,
  row.querySelector('.grams data')?.textContent ?? '', row.querySelector('.name a').textContent])"""


class Bench:
    """One page at the bench, with the hands of a person."""

    def __init__(self, page: Page) -> None:
        self.page = page
        self.stage = page.locator("#bench .stage")

    def open(self, path, batch: str = "") -> None:
        self.page.goto(path.as_uri() + batch)
        self.page.get_by_role("link", name="At the bench").click()

    def next(self) -> None:
        self.page.get_by_role("button", name="Next", exact=True).click()

    def step(self, heading: str | re.Pattern[str]) -> None:
        """Walk on until the step with that heading."""
        for _ in range(60):
            if re.search(heading, self.heading()):
                return
            self.next()
        raise AssertionError(f"no step {heading}")

    def heading(self) -> str:
        return plain(self.stage.locator("h2").inner_text())

    def tick(self) -> None:
        self.page.locator("#bench .hand label").click()

    def ticked(self) -> bool:
        return self.page.locator("#at-tick").is_checked()

    def jump(self, words: str) -> None:
        self.page.locator("#bench summary").click()
        self.page.locator("#bench .steps").get_by_role("button", name=words).first.click()

    def record(self) -> str:
        self.jump("The record")
        return self.page.get_by_label("The record as text").input_value()

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
    lines = page.evaluate(LINES)
    total = page.get_by_text("Step 1 of").inner_text()
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
        assert bench.ticked()
        bench.next()
        walked.append(bench.heading())
    assert walked[0] == "Hazards"
    assert walked[1] == "What is needed"
    assert walked[-1] == "The record"
    weighings = [one for one in walked if re.match(r"≈? ?[\d.]+ g", one)]
    assert len(weighings) == len(lines) > 10
    for heading, (_, _, grams, name) in zip(weighings, lines, strict=True):
        assert grams in heading
        assert heading.endswith(name)
    assert bench.stage.get_by_text("Every step is ticked.").is_visible()
    bench.tick()
    text = bench.record()
    assert "Started: 2026-05-09T14:00:0" in text
    assert re.search(r"Finished: 2026-05-09T14:0\d:\d\d\+02:00", text)
    assert "not ticked" not in text
    assert len(re.findall(r"^- .*: actual not entered, lot not entered, ticked 2026-", text, re.M)) == len(lines)
    assert re.search(r"^- two minutes, Step 5: started 2026-.*, stopped or heard 2026-", text, re.M)
    assert re.search(r"^- fifteen minutes, Step 4: started [^,]*, end 2026-05-09T14:15:\d\d\+02:00$", text, re.M)
    assert watched.complaints == []
    assert [one for one in watched.requests if not one.startswith(("file:", "data:"))] == []


def test_the_record_holds_what_was_typed(sites, bench):
    bench.open(cream(sites))
    bench.step("The vessel")
    bench.page.get_by_label("Weight of the empty vessel, g").fill("123.40")
    bench.step("purified water")
    bench.page.get_by_label("Actual weight, g").fill("173.30")
    bench.page.get_by_label("Lot").fill("w 05/26")
    bench.tick()
    bench.step("When it is right")
    bench.page.get_by_label("pH, as found").fill("5.2")
    bench.step("The record")
    bench.page.get_by_label("Notes").fill("a little grainy\nat first")
    text = bench.page.get_by_label("The record as text").input_value()
    assert "H-02 After-throwing cream, issue 4 of 2026-" in text
    assert "Phase A warm to 75 °C, empty vessel 123.40" in text
    assert re.search(
        r"^- 173\.27 g purified water: actual 173\.30 \(g\), lot w 05/26, ticked 2026-05-09T14:00", text, re.M
    )
    assert re.search(r"^- pH, .*: 5\.2$", text, re.M)
    assert "Notes\na little grainy\nat first" in text
    assert "Finished: not yet" in text
    bench.page.context.grant_permissions(["clipboard-read", "clipboard-write"])
    bench.page.get_by_role("button", name="Copy the record").click()
    expect(bench.stage.get_by_role("status")).to_have_text(re.compile("copied|by hand"))


def test_without_a_clipboard_the_text_stands_selected(sites, bench):
    bench.page.add_init_script("Object.defineProperty(navigator, 'clipboard', {value: undefined});")
    bench.open(cream(sites))
    bench.step("The record")
    bench.page.get_by_role("button", name="Copy the record").click()
    expect(bench.stage.get_by_role("status")).to_contain_text("copy it by hand")
    picked = bench.page.evaluate("getSelection().toString() || document.activeElement.value")
    assert picked.startswith("Batch record: ")


# ── Weights ──


@pytest.mark.parametrize("code", ["H-02", "W-01", "P-02", "R-03"])
def test_the_running_gross_is_the_sum_of_the_printed_weights(code, sites, bench):
    bench.open(sites["demo"] / "formulas" / f"{code}.html")
    lines = sorted(bench.page.evaluate(LINES), key=lambda line: int(line[0].removeprefix("line-")))
    gross: dict[str, Decimal] = {}
    for _, letter, grams, name in lines:
        if letter not in gross:
            bench.step("The vessel")
            tare = Decimal("81.3") + len(gross)
            bench.page.get_by_label("Weight of the empty vessel, g").fill(str(tare))
            gross[letter] = tare
            bench.next()
        assert name in bench.heading()
        before, gross[letter] = gross[letter], gross[letter] + Decimal(grams)
        said = bench.stage.get_by_text("Gross weight before").inner_text()
        found = [Decimal(one) for one in re.findall(r"[\d.]*\d(?= g)", said)]
        assert found[0] == before
        assert found[-1] == gross[letter]
        bench.next()
    assert len(lines) > 1


def test_a_readable_actual_weight_counts_and_an_unreadable_one_is_told(sites, bench):
    bench.open(cream(sites))
    bench.step("purified water")
    typed, said = bench.page.get_by_label("Actual weight, g"), bench.stage.get_by_text("Gross weight before")
    for text, gross in (("173.5", "173.5"), ("173,45 g", "173.45"), ("0.125", "0.125")):
        typed.fill(text)
        assert f"after this {gross} g" in said.inner_text(), text
        assert typed.get_attribute("aria-invalid") == "false"
    for text in ("1,000", "about 173", "-3", "1e3", "½", "1.2.3", "012", "173.27 173.27"):
        typed.fill(text)
        assert "after this 173.27 g" in said.inner_text(), text
        assert "Not read" in bench.stage.locator(".unread").first.inner_text()
        assert typed.get_attribute("aria-invalid") == "true"
        assert typed.input_value() == text
    text = bench.record()
    assert "actual 173.27 173.27, lot" in text


def test_what_has_no_known_weight_makes_the_gross_unknown(sites, bench):
    bench.open(sites["official"] / "formulas" / "CAL-BP.html")
    bench.step("liquefied phenol")
    assert bench.heading().startswith("5 mL")
    assert "after this not known from here" in bench.stage.inner_text()
    bench.next()
    assert "before not known from here" in bench.stage.inner_text()
    bench.page.get_by_role("button", name="Previous").click()
    bench.page.get_by_label("Actual weight, g").fill("5.320")
    assert "after this 10.320 g" in bench.stage.inner_text()
    bench.step("purified water")
    assert bench.heading().startswith("to 1000 mL")


def test_diluted_ethanol_a_stock_and_an_aid_say_what_they_are(sites, bench):
    bench.open(sites["demo"] / "formulas" / "R-03.html")
    bench.step("ethanol")
    assert bench.heading() == "166 g ethanol 96 % 83 g water"
    assert "after the first 166 g, after this 249 g" in bench.stage.inner_text()
    bench.page.locator("#bench summary").click()
    assert bench.page.get_by_role("button", name="166 g ethanol 96 % and 83 g water").count() == 1
    bench.open(sites["demo"] / "formulas" / "P-02.html")
    bench.step("red iron oxide")
    assert bench.heading() == "1.00 g trituration 1 in 20 of red iron oxide"
    assert "Rub 0.50 g of red iron oxide with kaolin" in plain(bench.stage.inner_text())
    bench.open(sites["demo"] / "formulas" / "W-01.html")
    bench.step("talc")
    assert "taken out again" in bench.stage.inner_text()
    assert bench.stage.locator(".asks").inner_text().startswith("A")


def test_what_cannot_be_measured_says_so_in_place_of_an_amount(sites, bench):
    bench.open(sites["demo"] / "formulas" / "W-01.html", "#obtain=47+g")
    bench.step("geranium oil")
    assert bench.heading() == "cannot be measured geranium oil"


# ── Ticks, places, batches ──


def test_a_mistaken_tick_is_undone_and_the_list_shows_what_is_done(sites, bench):
    bench.open(cream(sites))
    bench.step("glycerol")
    bench.tick()
    bench.next()
    done = bench.page.locator("#bench .steps li small")
    assert done.count() == 1
    bench.jump("glycerol 85 %")
    assert "glycerol" in bench.heading()
    assert bench.page.evaluate("document.activeElement.tagName") == "H2"
    bench.tick()
    assert not bench.ticked()
    assert done.count() == 0
    assert not bench.kept()["batches"].popitem()[1]["entered"]["line-1"]


def test_it_goes_by_keyboard_alone_and_tells_each_step(sites, bench):
    bench.page.goto(cream(sites).as_uri())
    bench.page.get_by_role("link", name="At the bench").focus()
    bench.page.keyboard.press("Enter")
    expect(bench.page.locator("#bench")).to_be_visible()
    bench.page.keyboard.press("ArrowRight")
    assert bench.heading() == "What is needed"
    expect(bench.page.locator("#bench .spoken")).to_have_text(re.compile("^Step 2 of .*What is needed$"))
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
    assert bench.ticked()


def test_arrows_in_a_field_stay_in_the_field(sites, bench):
    bench.open(cream(sites))
    bench.step("glycerol")
    bench.page.get_by_label("Lot").fill("77")
    bench.page.keyboard.press("ArrowLeft")
    assert "glycerol" in bench.heading()


def test_back_to_the_page_leaves_everything_as_it_was(sites, bench):
    bench.open(cream(sites))
    assert not bench.page.locator("h1").first.is_visible()
    assert bench.page.locator("h1:visible").count() == 1
    bench.page.get_by_role("button", name="Back to the page").click()
    assert not bench.page.locator("#bench").is_visible()
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
    assert "282 g, issue 4" in said
    assert "141 g, issue 4" in said
    bench.step("purified water")
    assert bench.heading().startswith("90.00 g")
    assert not bench.ticked()
    assert bench.page.get_by_label("Lot").input_value() == ""
    bench.record()
    other = bench.stage.locator("textarea").last.input_value()
    assert "lot of the first batch, ticked 2026-" in other
    bench.page.reload()
    assert "Entered here before" not in bench.page.locator("#bench .says").inner_text()
    bench.step("purified water")
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
    assert bench.kept() == {"batches": {}, "clocks": {}}
    assert bench.heading() == "Hazards"
    assert not bench.ticked()


# ── What is kept ──


@pytest.mark.parametrize("wrong", [BLOCKED, FULL], ids=["blocked", "full"])
def test_where_nothing_can_be_kept_the_page_works_and_says_so(wrong, sites, bench, watched):
    bench.page.add_init_script(wrong)
    bench.open(cream(sites))
    bench.tick()
    bench.next()
    assert bench.page.locator("#bench .says").inner_text().startswith("What is entered is not kept:")
    bench.page.get_by_role("button", name="Previous").click()
    assert bench.ticked()
    assert "Hazards: ticked 2026-" in bench.record()
    assert watched.complaints == []


@pytest.mark.parametrize("text", ["{", "null", "[1]", '{"batches": 3}'])
def test_what_cannot_be_read_back_does_no_harm(text, sites, bench, watched):
    bench.open(cream(sites))
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
        if 'datetime="P3D"' in path.read_text():
            found = path
    bench.open(found)
    for _ in range(60):
        if bench.stage.get_by_role("button", name="Start three days").count():
            break
        bench.next()
    bench.page.get_by_role("button", name="Start three days").click()
    expect(bench.page.locator("#bench .timer .left", has_text="ends")).to_have_text("ends 2026-05-12 14:00")
    expect(bench.page.locator("#bench .clocks")).to_contain_text("ends 2026-05-12 14:0")


def test_days_keep_the_hour_where_the_clocks_change(browser, sites):
    context = browser.new_context(timezone_id="Europe/Paris")
    page = context.new_page()
    stand(page, datetime(2026, 3, 28, 12, 0, tzinfo=UTC))
    bench = Bench(page)
    bench.open(next(p for p in (sites["demo"] / "formulas").glob("*.html") if 'datetime="P3D"' in p.read_text()))
    while not bench.stage.get_by_role("button", name="Start three days").count():
        bench.next()
    page.get_by_role("button", name="Start three days").click()
    expect(page.locator("#bench .timer .left", has_text="ends")).to_have_text("ends 2026-03-31 13:00")
    context.close()


def test_the_screen_is_kept_awake_only_at_the_bench(sites, bench):
    bench.page.add_init_script("""window.locks = 0;
      Object.defineProperty(navigator, 'wakeLock', {value: {request: async () => {
        window.locks += 1; return {release: async () => { window.locks -= 1; }}; }}});""")
    bench.open(cream(sites))
    bench.page.wait_for_function("locks === 1")
    bench.page.evaluate("document.dispatchEvent(new Event('visibilitychange'))")
    bench.page.wait_for_function("locks === 1")
    bench.page.get_by_role("button", name="Back to the page").click()
    bench.page.wait_for_function("locks === 0")


# ── For everyone ──


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("width", [320, 1440])
def test_every_step_is_accessible_large_enough_and_fits(scheme, width, sites, bench, watched):
    page, axe = bench.page, Axe()
    page.clock.resume()  # axe waits by the page's clock
    page.emulate_media(color_scheme=scheme, reduced_motion="reduce")
    page.set_viewport_size({"width": width, "height": 700})
    bench.open(cream(sites))
    seen, wrong = 0, []
    while True:
        beyond, wide = page.evaluate(OVERFLOWING)
        small = page.evaluate(SMALL)
        if beyond > 0 or wide or small:
            wrong.append(f"{bench.heading()}: {beyond} {wide} {small}")
        if bench.heading() in ("Hazards", "Step 5", "When it is right", "The record") or "glycerol" in bench.heading():
            if bench.heading() == "Step 5":
                page.get_by_role("button", name="Start 1:00").click()
            found = axe.run(page)
            seen += 1
            wrong += [f"{bench.heading()}: {one['id']}" for one in found.response["violations"]]
        if bench.heading() == "The record":
            break
        bench.next()
    page.locator("#bench summary").click()
    wrong += page.evaluate(SMALL)
    wrong += [one["id"] for one in axe.run(page).response["violations"]]
    assert not wrong, "\n".join(wrong)
    assert seen >= 5
    assert watched.complaints == []


def test_enlarged_text_does_not_roll_sideways(sites, bench):
    bench.page.set_viewport_size({"width": 640, "height": 500})
    bench.open(cream(sites))
    bench.page.add_style_tag(content="html { font-size: 212.5% }")
    for _ in range(8):
        beyond, wide = bench.page.evaluate(OVERFLOWING)
        assert beyond <= 0, wide
        bench.next()


def test_the_amount_is_the_largest_on_its_screen(sites, bench):
    bench.open(cream(sites))
    bench.step("purified water")
    box, stage = bench.stage.locator(".big").bounding_box(), bench.stage.bounding_box()
    size = bench.page.evaluate("parseFloat(getComputedStyle(document.querySelector('#bench .big')).fontSize)")
    assert size > 60
    assert box["width"] <= stage["width"]


def test_in_print_it_is_the_page_that_is_printed(sites, bench):
    bench.open(cream(sites))
    bench.page.emulate_media(media="print")
    assert not bench.page.locator("#bench").is_visible()
    assert bench.page.locator(".ingredients").is_visible()


def test_without_javascript_no_way_to_the_bench_is_offered(sites, browser):
    context = browser.new_context(java_script_enabled=False)
    page = context.new_page()
    page.goto(cream(sites).as_uri())
    assert not page.get_by_text("At the bench").is_visible()
    context.close()
