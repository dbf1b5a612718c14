"""The script in each page of the preview: it listens for a change, and brings what is new into the browser.

A page that nobody has touched is written over in place (`document.open`), which ends what its scripts listen for and
needs half the time of a reload: no new window is made for it, and the page comes with the news of it.  The browser
reloads the page wherever that might show anything else than a reload:

- the page does not come along: pictures, scripts in files, a book's own theme, a page in words (`replaceable`);
- its policy is another one, as a policy that stands is never loosened;
- a key was pressed, a finger put down, anything typed or filled in, or the address leads to a place, a batch or the
  bench: scripts and browser hold what they know of it;
- scripts are still at work: the page is not complete, what follows the batch has not begun, a countdown may run;
- it was written over so many times that a reload lets go of what a window gathers, such as its policies.

Where it stood, what was unfolded and what had the focus comes back on either way.
"""

SCRIPT = """
(() => {
"use strict";
const own = document.currentScript.dataset, kept = "preview " + own.page, MOST_IN_PLACE = 50;
const folds = () => [...document.querySelectorAll("details")];
const named = (fold) => fold.querySelector("summary")?.textContent ?? "";
const reachable = (like) => [...document.querySelectorAll("a,button,input,summary,textarea,[tabindex]")]
.filter((node) => like === undefined || called(node) === like);
const called = (node) => [node.tagName, node.id, node.getAttribute("href"), node.textContent].join(" ");
const state = sessionStorage.getItem(kept);
let times = 0, touched = false, followed = false;
if (state !== null) {
sessionStorage.removeItem(kept);
const [left, top, open, focus, nth, written] = JSON.parse(state);
times = written;
folds().forEach((fold) => { if (open.includes(named(fold))) fold.open = true; });
history.scrollRestoration = "manual";
const style = document.documentElement.style;
const back = () => {
if (focus !== null && document.activeElement === document.body) reachable(focus)[nth]?.focus({ preventScroll: true });
scrollTo({ left, top, behavior: "instant" });
};
style.overflowAnchor = "none";
back();
const settle = () => { back(); style.overflowAnchor = ""; };
addEventListener("load", () => document.fonts.ready.then(settle), { once: true });
document.addEventListener("batch", () => requestAnimationFrame(settle), { once: true });
}
for (const touch of ["pointerdown", "keydown", "input", "change"])
addEventListener(touch, () => { touched = true; }, { capture: true, once: true });
document.addEventListener("batch", () => { followed = true; }, { once: true });
const policy = () => document.querySelector('meta[http-equiv="Content-Security-Policy"]');
const bench = document.getElementById("bench")?.dataset;
const asWritten = ({ type, value, defaultValue, checked, defaultChecked }) =>
checked === defaultChecked && (type === "checkbox" || value === defaultValue);
const fits = (html) => html !== null && times < MOST_IN_PLACE && policy() !== null && html.includes(policy().outerHTML);
const rests = () => document.readyState === "complete" && location.hash === "" && !touched
&& (followed || document.getElementById("following") === null)
&& (bench === undefined || localStorage.getItem(["bookgen", bench.book, bench.code].join(" ")) === null)
&& [...document.querySelectorAll("input:not([autocomplete=off]),textarea")].every(asWritten);
let source = null;
const renew = ({ data }) => {
source.close();
const open = folds().filter((fold) => fold.open).map(named), html = JSON.parse(data), put = fits(html) && rests();
const active = document.activeElement, focus = active === null || active === document.body ? null : called(active);
const nth = focus === null ? 0 : reachable(focus).indexOf(active);
sessionStorage.setItem(kept, JSON.stringify([scrollX, scrollY, open, focus, nth, put ? times + 1 : 0]));
if (put) {
document.open();
document.write(html);
document.close();
if (sessionStorage.getItem(kept) === null) return; // taken up by the script of the page that was written
}
location.reload();
};
const listen = () => {
if (source !== null || document.hidden) return;
source = new EventSource("/changes?" + new URLSearchParams(own));
source.addEventListener("changed", renew);
};
document.addEventListener("visibilitychange", () => {
if (!document.hidden) return listen();
if (source !== null) source.close();
source = null;
});
listen();
})();
"""
