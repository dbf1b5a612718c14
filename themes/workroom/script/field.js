/* The field "to obtain": what is typed there, or stands in the address, is the batch that the page shows. */

const form = document.querySelector("form.obtain");
const field = form.querySelector("input"), told = form.querySelector("output"), back = form.querySelector("[type=reset]");
let waiting = 0, shown = page.text;

const address = () => new URLSearchParams(location.hash.includes("=") || /^#bench$/.test(location.hash) ? location.hash.slice(1) : "");

const tell = (text, wrong) => {
  clearTimeout(waiting);
  told.textContent = text + (wrong ? spoken` The page still shows ${shown}.` : "");
  told.classList.toggle("wrong", wrong);
  field.setAttribute("aria-invalid", wrong);
};

const show = (batch, ready, text, says = spoken`Shown for ${text}.`) => {
  const written = text === null;
  shown = written ? page.text : text;
  print(evaluate(own, batch), ready, written);
  tell(written ? "" : says, false);
  back.hidden = written;
  document.dispatchEvent(new CustomEvent("batch", {detail: {text: written ? page.text : text, written}}));
};

/* The words of a record are English in every book. */
Object.assign(form, {inEnglish, inRecord});
/* An exact batch that no one can type, as 25000/39: the test that compares every batch with Python asks so. */
form.follow = exact => show(exactly(exact), [], exact);

const keep = text => {
  const kept = address();
  if (text === null) kept.delete("obtain");
  else kept.set("obtain", text);
  const hash = kept.toString().replace(/=(?=&|$)/g, "");
  try {
    history.replaceState(null, "", hash ? "#" + hash : location.pathname + location.search);
  } catch {
    location.hash = hash; // where the address of a file may not be changed
  }
};

const take = (patient, kept = true) => {
  const text = field.value.trim().replace(/\.$/, "");
  try {
    const asked = read(field.value);
    show(asked.batch, asked.ready, text, asked.says);
    if (kept) keep(text);
  } catch (reason) {
    if (!(reason instanceof Refusal)) throw reason;
    clearTimeout(waiting);
    if (patient) waiting = setTimeout(tell, 900, reason.message, true); // it may only be half typed
    else tell(reason.message, true);
  }
};

const written = () => {
  field.value = page.text;
  show(page.written, [], null);
};

const arrive = () => {
  const asked = address().get("obtain");
  if (asked === null) return written();
  written();
  field.value = asked;
  take(false, false);
};

if (followed) {
  form.hidden = false;
  field.addEventListener("input", () => take(true));
  form.addEventListener("submit", event => { event.preventDefault(); take(false); });
  field.addEventListener("change", () => take(false));
  form.addEventListener("reset", event => { event.preventDefault(); written(); keep(null); field.focus(); });
  addEventListener("hashchange", () => {
    const kept = address(), asked = kept.get("obtain");
    if (location.hash && !kept.size) return back.hidden || keep(shown); // a place of the page was gone to
    if ((asked === null ? page.text : asked) !== shown) arrive(); // the bench shares the address
  });
  arrive();
}
