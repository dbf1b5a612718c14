"""What is asked of a page in the browser, in its own language, and which pages are asked."""

from __future__ import annotations

import re
from pathlib import Path

from playwright.sync_api import Page

SHARED = """
  const channel = part => { part /= 255; return part <= 0.04045 ? part / 12.92 : ((part + 0.055) / 1.055) ** 2.4 };
  const luminance = ([r, g, b]) => 0.2126 * channel(r) + 0.7152 * channel(g) + 0.0722 * channel(b);
  const rgba = text => {
    const found = text.match(/[\\d.]+/g).map(Number);
    return found.length < 4 ? [...found, 1] : found;
  };
  const over = (above, below) => [0, 1, 2].map(at => above[at] * above[3] + below[at] * (1 - above[3]));
  const ground = element => {
    const layers = [];
    for (let one = element; one; one = one.parentElement) layers.unshift(rgba(getComputedStyle(one).backgroundColor));
    return layers.reduce((below, above) => over(above, below), [255, 255, 255]);
  };
  const contrast = (one, other) => {
    const [light, dark] = [luminance(one), luminance(other)].sort((a, b) => b - a);
    return (light + 0.05) / (dark + 0.05);
  };
  const named = one => {
    const classes = typeof one.className === 'string' && one.className ? '.' + one.className.replaceAll(' ', '.') : '';
    return one.tagName.toLowerCase() + (one.id ? '#' + one.id : '') + classes
      + ' "' + (one.textContent || one.value || '').trim().replace(/\\s+/g, ' ').slice(0, 30) + '"';
  };
  const visible = one => one.checkVisibility({visibilityProperty: true}) && one.getClientRects().length > 0;
  /* For ears only: cut to a line of one pixel, as is usual. */
  const heard = one => one.getBoundingClientRect().height <= 2 && getComputedStyle(one).overflow === 'hidden';
  /* What holds of an element if it holds of one around it, asked of each but once. */
  const inherited = rule => {
    const known = new Map([[null, false]]);
    const told = one => {
      if (!known.has(one)) known.set(one, rule(one) || told(one.parentElement));
      return known.get(one);
    };
    return told;
  };
  const unseen = inherited(heard);
"""
"""Colours, contrast by WCAG 2.2 and whether an element is seen, for the probes below."""

WATCH_FOCUS = (
    """() => {"""
    + SHARED
    + """
  const stopping = 'a[href], button, input, select, textarea, summary, [tabindex]:not([tabindex^="-"])';
  const stops = [...document.querySelectorAll(stopping)].filter(one => visible(one) && !one.disabled);
  /* Of a group of radio buttons Tab reaches one: the chosen, else the first. */
  const alone = one => {
    const group = one.type === 'radio' ? [...document.getElementsByName(one.name)] : [one];
    return one === (group.find(other => other.checked) || group[0]);
  };
  const single = stops.filter(alone);
  const reached = [];
  window.walked = { due: single.map(named), reached, faults: [] };
  let last = null;
  /* Reading order, judged where the ways to two stops part: the later part stands below or to the right. */
  const misplaced = (before, after) => {
    let top = before;
    while (!top.contains(after)) top = top.parentElement;
    const style = getComputedStyle(top);
    const branch = one => { while (one.parentElement !== top) one = one.parentElement; return one; };
    if (style.columnCount !== 'auto' || style.columnWidth !== 'auto' || top === before) return false;
    const earlier = branch(before), boxes = [...earlier.getClientRects()], one = boxes.at(-1);
    const other = branch(after).getClientRects()[0];
    /* Notes in the margin are read before what they stand beside; on a phone the ledger's g is at the far right. */
    if (!one || !other || earlier.matches('.margin, th.grams')) return false;
    const level = other.top < one.bottom - 1 && other.bottom > one.top + 1;
    return level ? other.right <= one.left + 1 : other.bottom <= one.top + 1 && other.left < one.right - 1;
  };
  document.addEventListener('focusin', event => {
    const one = event.target, style = getComputedStyle(one), box = one.getBoundingClientRect();
    const fault = what => walked.faults.push(named(one) + ': ' + what);
    /* Past the last stop come the browser's own parts, and then the page again from its start. */
    if (last && one.compareDocumentPosition(last) & Node.DOCUMENT_POSITION_FOLLOWING) last = null;
    reached.push(named(one));
    if (style.outlineStyle === 'none' || style.outlineStyle === 'auto') fault('outline is ' + style.outlineStyle);
    if (parseFloat(style.outlineWidth) < 2) fault('outline of ' + style.outlineWidth);
    for (const below of [ground(one), ground(one.parentElement)]) {
      const ratio = contrast(over(rgba(style.outlineColor), below), below);
      if (ratio < 3) fault('outline at ' + ratio.toFixed(2));
    }
    if (box.width < 1 || box.height < 1) fault('has no size');
    if (last && misplaced(last, one)) fault('stands before ' + named(last));
    last = one;
  });
  return single.length;
}"""
)
"""Notes at each change of focus what shows it and where it stands; returns how many stops there are."""

HIDDEN_BY = (
    """() => {"""
    + SHARED
    + """
  return [...document.querySelectorAll('body *')]
    .filter(one => /fixed|sticky/.test(getComputedStyle(one).position) && visible(one) && !heard(one)).map(named);
}"""
)
"""What stays in place while the page moves, and so could lie over what has the focus."""

UNCOVERED = (
    """() => {"""
    + SHARED
    + """
  const one = document.activeElement;
  if (one === document.body) return '';
  one.scrollIntoView({block: 'nearest', behavior: 'instant'});
  const shown = [...(one.labels || []), one].flatMap(each => [...each.getClientRects()]);
  return shown.some(box => {
    const top = document.elementFromPoint(box.left + box.width / 2, box.top + box.height / 2);
    return top && (one.contains(top) || top.contains(one) || top.closest('label')?.control === one);
  }) ? '' : named(one);
}"""
)
"""The element with the focus if something lies over it."""

LAID_OUT = (
    """() => {"""
    + SHARED
    + """
  for (const one of document.querySelectorAll('details')) one.open = true;
  /* What the browser leaves for when it is rolled to has a guessed height till then; here each has its own. */
  const whole = document.createElement('style');
  whole.textContent = '* { content-visibility: visible !important }';
  document.head.append(whole);
  const wrong = [], root = document.documentElement;
  if (root.scrollWidth > root.clientWidth) wrong.push('rolls sideways by ' + (root.scrollWidth - root.clientWidth));
  const rolling = inherited(one => one !== root && /auto|scroll/.test(getComputedStyle(one).overflowX));
  /* What lies over the whole page is looked at alone. */
  const leaf = [...document.querySelectorAll('body *')].find(one => getComputedStyle(one).position === 'fixed'
    && visible(one) && one.clientWidth >= 0.9 * innerWidth && one.clientHeight >= 0.9 * innerHeight);
  const part = leaf || document.body;
  for (const one of part.querySelectorAll('*')) {
    if (one.closest('svg') && one.tagName !== 'svg' || !visible(one) || unseen(one)) continue;
    const style = getComputedStyle(one), box = one.getBoundingClientRect();
    const flow = style.overflowX + style.overflowY, field = /INPUT|svg|SELECT/.test(one.tagName);
    const wider = one.scrollWidth > one.clientWidth + 1, higher = one.scrollHeight > one.clientHeight + 1;
    if (/hidden|clip/.test(flow) && !field && (wider || higher)) wrong.push('cut off: ' + named(one));
    if (/auto|scroll/.test(flow) && wider && one.tabIndex < 0) wrong.push('rolls, but not by keyboard: ' + named(one));
    const beyond = box.right > root.clientWidth + 0.5 || box.left < -0.5;
    if (beyond && !rolling(one)) wrong.push('beyond the edge: ' + named(one));
  }
  /* Text over text: the boxes of two runs of text share more than an overhang of ascenders. */
  /* A bar that stays in sight lies over what is rolled below it; it is not on that text for good. */
  const held = new Map([[null, null], [leaf, null]]);
  const staying = one => {
    if (!held.has(one))
      held.set(one, /sticky|fixed/.test(getComputedStyle(one).position) ? one : staying(one.parentElement));
    return held.get(one);
  };
  const walker = document.createTreeWalker(part, NodeFilter.SHOW_TEXT), runs = [];
  for (let node = walker.nextNode(); node; node = walker.nextNode()) {
    const element = node.parentElement;
    if (!node.data.trim() || element.closest('style, script, svg, select, textarea')) continue;
    if (!visible(element) || unseen(element)) continue;
    const range = document.createRange();
    range.selectNodeContents(node);
    const size = parseFloat(getComputedStyle(element).fontSize), stays = staying(element);
    for (const box of range.getClientRects()) {
      const spare = Math.max(0, (box.height - size) / 2);
      const { left, right, top, bottom } = box;
      if (box.width > 1) runs.push({ node, stays, left, right, top: top + spare, bottom: bottom - spare });
    }
  }
  runs.sort((one, other) => one.top - other.top);
  for (let at = 0; at < runs.length; at++)
    for (let next = at + 1; next < runs.length && runs[next].top < runs[at].bottom - 1; next++) {
      const one = runs[at], other = runs[next];
      const wide = Math.min(one.right, other.right) - Math.max(one.left, other.left);
      const high = Math.min(one.bottom, other.bottom) - Math.max(one.top, other.top);
      const least = Math.min(one.bottom - one.top, other.bottom - other.top);
      if (one.node !== other.node && one.stays === other.stays && wide > 2 && high > 0.3 * least)
        wrong.push('on each other: ' + [one, other].map(run => run.node.data.trim().slice(0, 25)).join(' / '));
    }
  whole.remove();
  return wrong.slice(0, 5);
}"""
)
"""What of the page is cut off, beyond its edge or lies on other text."""

MOVING = (
    """() => {"""
    + SHARED
    + """
  const long = text => text.split(',').some(one => parseFloat(one) > 0.01);
  const found = document.getAnimations().map(one => 'runs: ' + named(one.effect.target));
  for (const one of document.querySelectorAll('*')) {
    const style = getComputedStyle(one);
    if (long(style.transitionDuration)) found.push('transition: ' + named(one));
    if (style.animationName !== 'none' && long(style.animationDuration)) found.push('animation: ' + named(one));
    if (style.scrollBehavior !== 'auto') found.push('scrolls smoothly: ' + named(one));
  }
  return found.slice(0, 5);
}"""
)
"""What moves, or would move at the next change."""

SMALL_TARGETS = (
    """() => {"""
    + SHARED
    + """
  for (const one of document.querySelectorAll('details')) one.open = true;
  return [...document.querySelectorAll('button, input, select, textarea, summary')].filter(visible).map(one => {
    const boxes = [one, ...(one.labels || [])].map(each => each.getBoundingClientRect());
    return [Math.max(...boxes.map(box => box.width)), Math.max(...boxes.map(box => box.height)), named(one)];
  });
}"""
)
"""Width, height and name of every control; a field's label is pressed as well."""

FORCED = (
    """() => {"""
    + SHARED
    + """
  const wrong = [];
  for (const one of document.querySelectorAll('a[href]')) {
    if (!visible(one)) continue;
    const style = getComputedStyle(one), around = getComputedStyle(document.body);
    const ruled = style.textDecorationLine.includes('underline');
    if (style.color === around.color && !ruled) wrong.push('a plain link: ' + named(one));
  }
  for (const one of document.querySelectorAll('.stamp')) {
    const style = getComputedStyle(one);
    const outlined = parseFloat(style.borderTopWidth) >= 1 && style.borderTopStyle !== 'none';
    if (!outlined) wrong.push('a plain stamp: ' + named(one));
    if (contrast(rgba(style.borderTopColor), ground(one)) < 3) wrong.push('a faint stamp: ' + named(one));
  }
  for (const one of document.querySelectorAll('.hazard')) {
    const style = getComputedStyle(one);
    if (parseFloat(style.borderLeftWidth) < 3 || contrast(rgba(style.borderLeftColor), ground(one)) < 3)
      wrong.push('a hazard without its rule: ' + named(one));
  }
  return wrong.slice(0, 5);
}"""
)
"""Links, stamps and hazards that a reader with colours of their own could not tell."""

ON_SCREEN_ONLY = (
    """() => {"""
    + SHARED
    + """
  const found = document.querySelectorAll('button, input:not([type=checkbox]), select, textarea, form, dialog, .skip');
  return [...found].filter(visible).map(named);
}"""
)
"""Parts for a hand on a screen; paper has no use for them."""

CLASSES = re.compile(r'class=(?:"([^"]*)"|([^\s">]+))')


def kind_of(path: Path) -> str:
    """Return a page's kind: its own name at the root of the site, else its folder's."""
    return path.stem if (path.parent / "index.html").is_file() else path.parent.name


def cover(*sites: Path) -> list[Path]:
    """The fewest pages, nearly, on which every class that any page of a kind has is found; all kinds are among them.

    Chosen greedily, so that a new kind of page, stamp, note or table is looked at without being named here.
    """
    has: dict[Path, set[tuple[str, str]]] = {}
    for path in (page for site in sites for page in sorted(site.rglob("*.html"))):
        kind = kind_of(path)
        classes = {name for group in CLASSES.findall(path.read_text()) for name in "".join(group).split()}
        has[path] = {(kind, ""), *((kind, name) for name in classes)}
    wanted = set[tuple[str, str]]().union(*has.values())
    chosen: list[Path] = []
    while wanted:
        best = max(has, key=lambda path: len(has[path] & wanted))
        chosen.append(best)
        wanted -= has[best]
    return chosen


def unfold(page: Page) -> None:
    """Open all that is folded."""
    page.evaluate("() => { for (const one of document.querySelectorAll('details')) one.open = true; }")


def put_to_use(page: Page) -> bool:
    """Do what a page is for: search, tick all that is at hand, go to the bench.  Returns False if it is to be read.

    Also in a browser that paints nothing, where no mouse clicks.
    """
    if page.locator("#words").is_visible():
        page.fill("#words", "oil")
        return True
    if page.locator("#tick").is_visible():
        page.dispatch_event("#tick", "click")
        return True
    bench = page.get_by_role("link", name="At the bench")
    if bench.is_visible():
        page.fill("#obtain", "12 x 30 g + 5 %")
        bench.dispatch_event("click")
        page.get_by_role("button", name="Next", exact=True).dispatch_event("click")
        return True
    return False
