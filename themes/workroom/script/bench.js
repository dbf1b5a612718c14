/*
 * At the bench: the page, one step a screen, for one hand.
 *
 * All that is shown is taken from the page itself, again after each change of the batch, so the two cannot differ.
 * What is entered is kept on this device under the book's name and the code, for each batch by itself: a tick never
 * passes on to other weights.  Weights are added as whole billionths of a gram, never as floats.
 */
(() => {
  "use strict";
  const bench = document.getElementById("bench");
  if (!bench) return;
  const { book, code, title, issue } = bench.dataset;

  const one = (where, root = document) => root.querySelector(where);
  const all = (where, root = document) => [...root.querySelectorAll(where)];
  const text = (node) => node?.textContent.replace(/[ \n]+/g, " ").trim() || "";
  const make = (tag, traits, ...inside) => {
    const made = Object.assign(document.createElement(tag), traits);
    made.append(...inside.filter(Boolean));
    return made;
  };
  const p = (className, ...inside) => make("p", { className }, ...inside);
  const button = (said, onclick) => make("button", { type: "button", onclick }, said);
  // Words of the page without its links and names: a wet finger must not leave, and no id may stand there twice.
  const inner = (node) => {
    const copy = node.cloneNode(true);
    for (const gone of all(".pad, .phone, .letter, .function", copy)) gone.remove();
    for (const link of all("a, details", copy)) link.replaceWith(...link.childNodes);
    for (const summary of all("summary", copy)) summary.replaceWith(p("", ...summary.childNodes));
    for (const named of all("[data-figure]", copy)) named.removeAttribute("data-figure");
    return [...copy.childNodes];
  };
  const two = (count) => String(count).padStart(2, "0");
  const iso = (at = Date.now()) => {
    const ahead = -new Date(at).getTimezoneOffset(), away = Math.abs(ahead);
    const local = new Date(at + ahead * 60000).toISOString().slice(0, 19);
    return `${local}${ahead < 0 ? "-" : "+"}${two(Math.floor(away / 60))}:${two(away % 60)}`;
  };
  const day = (at) => iso(at).slice(0, 16).replace("T", " ");

  // ── Weights ──
  // The book's decimal sign stands in its figures; where none has one, 1,000 keeps both its readings and is refused.
  const sign = /\d([.,])\d/.exec(all("data.figure").map(text).join(" "))?.[1] || "";
  const weight = (typed, about = "") => {
    const [, whole, mark, part = ""] = /^(0|[1-9]\d{0,8})(?:([.,])(\d{1,9}))?\s*g?$/.exec(typed.trim()) || [];
    const twoWays = mark && mark !== sign && part.length === 3 && whole !== "0" && whole.length < 4;
    return whole && !twoWays ? { nano: BigInt(whole + part.padEnd(9, "0")), places: part.length, about } : null;
  };
  const plus = (sum, next) =>
    sum && next && { nano: sum.nano + next.nano, places: Math.max(sum.places, next.places), about: sum.about || next.about };
  const grams = (sum) => {
    if (!sum) return "not known from here";
    const digits = String(sum.nano).padStart(10, "0"), part = digits.slice(-9).slice(0, sum.places);
    return `${sum.about}${digits.slice(0, -9)}${part && (sign || ".")}${part} g`;
  };
  const actual = (line) => weight(entered(`${line.key}.actual`));
  const tare = (phase) => weight(entered(`${phase.key}.tare`));
  const gross = (phase, count) => phase.lines.slice(0, count).map((line) => actual(line) || line.weight)
    .reduce(plus, tare(phase) || weight("0"));

  // ── What the page says ──
  const unit = (data) => data && `${text(data)} ${text(data.nextElementSibling)}`;
  const lineOf = (row) => {
    const cell = (end) => unit(one(`.measured [data-figure$=".${end}"]`, row));
    const figure = one(".grams data", row), about = one(".grams .about", row) ? "≈ " : "", measured = text(one(".measured", row));
    const printed = figure && `${about}${text(figure)} g`, strong = cell("strong"), to = cell("to"), ml = one(".ml data", row);
    const amount = cell("drops") || printed || (to && `to ${to}`) || (ml && `${text(ml)} mL`) || text(one(".written", row));
    const notes = [], letter = text(one(".letter", row));
    for (let next = row.nextElementSibling; next?.matches(".note"); next = next.nextElementSibling) notes.push(next.cells[0]);
    const thinned = notes.some((note) => one(".plan", note)) ? `${measured.split(",")[0]} of ` : "";
    const name = thinned + make("i", {}, ...inner(one(".name", row))).textContent.trim();
    return { key: row.id, index: Number(row.id.slice(5)), name, amount, printed, measured, notes, letter, strong, ledger: row.parentNode,
      weight: figure && weight(text(figure), about), job: text(one(".function", row)), aid: row.matches(".aids > *"),
      parts: strong ? [[strong, name], [cell("water"), "water"]] : [[amount, name]] };
  };
  // Processing aids stand apart in the ledger, but go into the vessel in their turn.
  const phasesOf = () => {
    const found = new Map();
    for (const line of all("tr.line").map(lineOf).sort((a, b) => a.index - b.index)) {
      const head = !line.aid && one(".phase", line.ledger), letter = head ? text(one(".letter", head)) : line.letter;
      if (!found.has(letter)) found.set(letter, { key: `phase-${letter}`, letter, asks: "", lines: [] });
      const phase = found.get(letter);
      if (head) phase.asks = text(one("i", head));
      line.order = phase.lines.push(line);
    }
    return [...found.values()];
  };
  const seconds = (period) => {
    const found = /^P(?:(\d+)D)?(?:T(?:(\d+)H)?(?:(\d+)M)?(?:(\d+)S)?)?$/.exec(period) || [];
    return [86400, 3600, 60, 1].reduce((sum, each, at) => sum + each * (found[at + 1] || 0), 0);
  };
  const methodOf = () => all(".method > :not(h2)").flatMap((part) =>
    (part.matches("ol, ul") ? [...part.children] : [part]).map((item, at) => [item, part.matches("ol") ? `Step ${part.start + at}` : "Method"]))
    .map(([item, head], at) => {
      const timers = all(".duration", item).map((time, nth) =>
        ({ id: `method-${at}-${nth}`, said: `${text(time)}, ${head.toLowerCase()}`, seconds: seconds(time.dateTime) }));
      return { key: `method-${at}`, name: `${head}: ${text(item)}`, tick: "Done", timers,
        draw: () => [heading(head), make("div", { className: "bench-text" }, ...inner(item)), ...timers.map(drawTimer)] };
    });
  const listed = (key, name, tick, items, className = "") => items.length
    ? [{ key, name, tick, draw: () => [heading(name), make("ul", { className }, ...items.map((item) => make("li", {}, ...inner(item))))] }] : [];
  const facts = (key, name, tick, where) => {
    const found = all(`${where} .facts > div`).map((row, at) => ({ key: `${key}-${at}`, term: text(one("dt", row)), says: one("dd", row) }));
    const drawn = (fact) => [make("h3", {}, fact.term), p("", ...inner(fact.says)), key === "check" && field(fact.key, `${fact.term} found`)];
    return found.length ? [{ key, name, tick, facts: found, draw: () => [heading(name), ...found.flatMap(drawn)] }] : [];
  };
  let phases, steps, sought, stamp, batch, place = 0;
  const gather = () => {
    phases = phasesOf();
    sought = text(one(".batch dd"));
    stamp = text(one(".head .stamp"));
    steps = [
      ...listed("hazards", "Hazards", "Read", all(".hazard li"), "bench-danger"),
      ...listed("needed", "What is needed", "All is ready", all("main > .margin > .plain li, main > .spread:not(.spread ~ .spread) > .margin > .plain li")),
      ...all(".first > li").flatMap((item, at) => listed(`first-${at}`, `Make first: ${text(one("a", item))}`, "Made", [item])),
      ...phases.flatMap((phase) => [
        { key: phase.key, name: phase.letter ? `Phase ${phase.letter}` : "The vessel", tick: "Vessel is ready", draw: () => drawVessel(phase) },
        ...phase.lines.map((line) => ({ key: line.key, name: `${line.amount} ${line.name}`, tick: "It is in", draw: () => drawLine(line, phase) })),
      ]),
      ...methodOf(),
      ...facts("check", "When it is right", "Checked", ".margin"),
      ...facts("keeping", "Fill, label, keep", "Filled and labelled", ".keeping"),
      { key: "record", name: "The record", tick: "The batch is finished", draw: drawRecord },
    ];
    let sum = 0;
    for (const letter of text(one(".ingredients")) + all(".method, .hazard, .first").map(text)) sum = (Math.imul(sum, 31) + letter.codePointAt(0)) | 0;
    batch = `${issue}, ${sought}, ${sum >>> 0}`;
  };

  // ── What was entered ──
  const shelf = `bookgen ${book} ${code}`;
  let kept, blocked = false;
  const load = () => {
    let was = null;
    try { was = localStorage.getItem(shelf); } catch { blocked = true; }
    try { was = JSON.parse(was); } catch { was = null; }
    kept = was?.batches && was.clocks ? was : { batches: {}, clocks: {} };
  };
  const save = () => {
    blocked = false;
    try { localStorage.setItem(shelf, JSON.stringify(kept)); } catch { blocked = true; }
    refresh();
  };
  const entered = (name) => kept.batches[batch]?.entered[name] || "";
  const put = (name, typed) => {
    const mine = (kept.batches[batch] ||= { said: `${sought}, issue ${issue}`, started: iso(), entered: {} });
    mine.entered[name] = typed;
    mine.text = record();
    save();
  };
  const forget = (mark) => {
    delete kept.batches[mark];
    for (const [id, clock] of Object.entries(kept.clocks)) if (clock.batch === mark) delete kept.clocks[id];
    save();
    draw();
  };
  const record = () => {
    const typed = (name) => entered(name).trim() || "not entered", ticked = (name) => entered(name) ? `ticked ${entered(name)}` : "not ticked";
    const lineSaid = (line) => [`- ${line.name}: planned ${line.parts.map((part) => part.join(" ")).join(" and ")}`,
      `actual ${typed(`${line.key}.actual`)}${actual(line) ? " (grams)" : ""}`, `lot ${typed(`${line.key}.lot`)}`, ticked(line.key)].join(", ");
    const clockSaid = (clock) => `- ${clock.said}: started ${clock.started}, ${clock.stopped ? `stopped ${clock.stopped}` : `end ${iso(clock.end)}`}`;
    const inLedger = new Set(phases.flatMap((phase) => [phase.key, ...phase.lines.map((line) => line.key)]));
    return [`Batch record: ${book}`, `${code} ${title}, issue ${issue}${stamp && `, ${stamp}`}`, `To obtain: ${sought}`,
      `Started: ${kept.batches[batch]?.started || "not yet"}`, `Finished: ${entered("record") || "not yet"}`,
      ...phases.flatMap((phase) => ["", `Phase ${phase.letter} ${phase.asks}, empty vessel ${typed(`${phase.key}.tare`)}`, ...phase.lines.map(lineSaid)]),
      "", "Steps", ...steps.slice(0, -1).filter((step) => !inLedger.has(step.key)).map((step) => `- ${step.name}: ${ticked(step.key)}`),
      "", "Countdowns", ...Object.values(kept.clocks).filter((clock) => clock.batch === batch).map(clockSaid),
      "", "Checks", ...steps.flatMap((step) => step.key === "check" ? step.facts : []).map((fact) => `- ${fact.term}, ${text(fact.says)}: ${typed(fact.key)}`),
      "", `Notes: ${typed("notes")}`].join("\n");
  };

  // ── Countdowns: the instant of the end is kept, so a reload or a sleep takes nothing from them ──
  const stateOf = (clock) => !clock || clock.stopped ? "idle" : clock.heard ? "over" : Date.now() < clock.end ? "runs" : "rings";
  const left = (clock) => {
    const rest = Math.max(0, Math.ceil((clock.end - Date.now()) / 1000));
    return clock.long ? `ends ${day(clock.end)}` : `${Math.floor(rest / 3600)}:${two(Math.floor(rest / 60) % 60)}:${two(rest % 60)}`.replace(/^0:0?/, "");
  };
  const start = (timer) => {
    const end = new Date();
    // Whole days keep the hour of the day, also over the night when the clocks are changed.
    end.setDate(end.getDate() + Math.floor(timer.seconds / 86400));
    kept.clocks[`${batch} ${timer.id}`] = { said: timer.said, step: steps[place].key, batch, started: iso(),
      end: end.getTime() + (timer.seconds % 86400) * 1000, long: timer.seconds >= 86400 };
    put("clocks", "used");
    draw();
  };
  const mark = (clock, what) => {
    clock[what] = iso();
    put("clocks", "used");
    draw();
  };
  let sound, shown = "";
  // A browser gives sound only after a touch: the start of a countdown is one, after a reload the next touch is.
  const listen = () => {
    if (!Object.keys(kept.clocks).length) return;
    try { (sound ||= new AudioContext()).resume(); } catch { sound = null; }
  };
  const beep = () => {
    if (sound?.state !== "running") return;
    const tone = sound.createOscillator();
    tone.frequency.value = 880;
    tone.connect(sound.destination);
    tone.start();
    tone.stop(sound.currentTime + 0.2);
  };
  const beat = () => {
    const now = Object.values(kept.clocks).map(stateOf).join();
    if (now !== shown) draw();
    else refresh();
    if (now.includes("rings")) beep();
  };

  // ── The screen ──
  // `live` holds what must follow without a new drawing, which would take the field from under a finger.
  let live = [];
  const refresh = () => live.forEach((again) => again());
  const follow = (node, say, trait = "textContent") => {
    const again = () => { if (node[trait] !== say()) node[trait] = say(); };
    live.push(again);
    again();
    return node;
  };
  const heading = (...inside) => make("h2", { tabIndex: -1 }, ...inside);
  const field = (name, label, tag = "input") => {
    const typed = make(tag, { id: `bench-${name}`, value: entered(name), autocomplete: "off", oninput: () => put(name, typed.value) });
    return make("label", { className: "bench-field" }, label, typed);
  };
  const weighed = (name, label, then) => {
    const box = field(name, label), typed = box.lastChild;
    const wrong = () => entered(name).trim() && !weight(entered(name)) ? `Not read: this is not one weight in grams. ${then}` : "";
    typed.inputMode = "decimal";
    typed.setAttribute("aria-describedby", `${typed.id}-says`);
    follow(typed, () => String(Boolean(wrong())), "ariaInvalid");
    return make("div", {}, box, follow(make("p", { id: `${typed.id}-says`, className: "bench-unread" }), wrong));
  };
  const asked = (said, question, yes, no, act) => {
    const box = make("div", { className: "bench-asked" });
    const rest = () => box.replaceChildren(button(said, () => {
      box.replaceChildren(p("", question), button(yes, act), button(no, () => { rest(); box.firstChild.focus(); }));
      box.lastChild.focus();
    }));
    rest();
    return box;
  };
  const asks = (phase) => (phase.letter || phase.asks) && p("bench-phase", make("b", {}, phase.letter), ` ${phase.asks}`);
  const large = ([amount, name]) => {
    const [, digits, rest] = /^(\D*[\d.,]+)(.*)$/.exec(amount) || [0, amount, ""];
    const made = make("span", { className: "bench-large" }, digits, make("small", {}, rest));
    made.style.setProperty("--signs", Math.max(5, amount.length));
    return [made, ` ${name}`];
  };
  const drawVessel = (phase) => [
    heading(phase.letter ? `Vessel for phase ${phase.letter}` : "The vessel"), asks(phase),
    weighed(`${phase.key}.tare`, "Weight of the empty vessel, g", "The gross weight leaves the vessel out."),
    p("bench-small", "Leave it empty where the balance is set to zero with the vessel on it."),
    follow(p(""), () => `Gross weight in the end: ${grams(gross(phase, phase.lines.length))}.`),
  ];
  const drawLine = (line, phase) => {
    const running = () => {
      const before = gross(phase, line.order - 1);
      const first = line.strong && !actual(line) ? `${grams(plus(before, weight(line.strong.replace(/[^\d.,]/g, ""))))} after the first, ` : "";
      return `Gross weight: ${first}${grams(gross(phase, line.order))} after this, ${grams(before)} before${tare(phase) ? "" : "; no vessel counted"}.`;
    };
    const also = line.printed && line.printed !== line.amount && !line.strong ? `${line.printed}, ` : "";
    return [
      heading(...line.parts.flatMap(large)), asks(phase), p("", also + line.measured, make("small", {}, ` ${line.job}`)),
      line.aid && p("bench-note", "A processing aid, taken out again."),
      ...line.notes.map((note) => make("div", { className: "bench-note" }, ...inner(note))),
      follow(p("bench-small"), running),
      weighed(`${line.key}.actual`, "Actual weight, g", "It is kept as text; the gross weight goes by the plan."), field(`${line.key}.lot`, "Lot"),
    ];
  };
  const drawTimer = (timer) => {
    const clock = kept.clocks[`${batch} ${timer.id}`], state = stateOf(clock), end = Date.now() + timer.seconds * 1000;
    const whole = timer.seconds < 86400 ? left({ end }) : timer.said.split(",")[0];
    const large = state === "runs" ? follow(p("bench-left"), () => left(clock)) : p("bench-left", state === "rings" ? "Time is up" : whole);
    const past = clock?.stopped ? `Stopped ${day(Date.parse(clock.stopped))}.` : state === "over" && `Time was up ${day(clock.end)}.`;
    return make("div", { className: "bench-timer" }, p("", timer.said), large, past && p("bench-small", past),
      state === "rings" ? button("I have heard it", () => mark(clock, "heard"))
        : state === "runs" ? asked("Stop it", "It still runs. Stop it and set it back?", "Stop it", "Let it run", () => mark(clock, "stopped"))
          : button(`Start ${whole}`, () => start(timer)));
  };
  const drawRecord = () => {
    const whole = follow(make("textarea", { id: "bench-text", readOnly: true, rows: 12 }), record, "value"), says = make("p", { role: "status" });
    const byHand = () => {
      whole.focus();
      whole.select();
      says.textContent = "This browser does not copy by itself: the text is selected, copy it by hand.";
    };
    const copy = async () => {
      try {
        await navigator.clipboard.writeText(whole.value);
        says.textContent = "The record is copied.";
      } catch { byHand(); }
    };
    const rest = steps.slice(0, -1).filter((step) => !entered(step.key)).length;
    return [
      heading("The record"), p("", rest ? `Not ticked: ${rest} of ${steps.length - 1}. “All steps” shows which.` : "Every step is ticked."),
      field("notes", "Notes", "textarea"), make("label", { className: "bench-field" }, "The record as text", whole), button("Copy the record", copy), says,
      asked("Clear what was entered", "All that was entered for this batch will be gone, its countdowns too.", "Clear it", "Keep it", () => forget(batch)),
      ...others().map(([mark, was]) => make("details", {}, make("summary", {}, `Entered for ${was.said}`), make("textarea", { readOnly: true, rows: 8, value: was.text, ariaLabel: `Entered for ${was.said}` }),
        asked("Clear this record", "This record will be gone.", "Clear it", "Keep it", () => forget(mark)))),
    ];
  };
  const others = () => Object.entries(kept.batches).filter(([mark]) => mark !== batch);
  const says = () => [
    blocked && "What is entered is not kept: this browser lets the page store nothing. Leave the page open, and copy the record out.",
    kept.batches[batch] ? "" : others().map(([, was]) => `Something was entered for ${was.said}. This page is ${sought}, issue ${issue}${was.said === `${sought}, issue ${issue}` ? ", with other figures or words" : ""}: nothing of it is ticked here; it is kept with the record.`).join(" "),
    entered("record") && `This batch was finished ${day(Date.parse(entered("record")))}. Clear what was entered before the next.`,
  ].filter(Boolean).join(" ");

  const head = make("header", {}, button("Back to the page", () => address(false)), make("h1", {}, `${code} ${title}`), follow(p("bench-small"), () => `${sought}, issue ${issue}${stamp && `, ${stamp}`}`));
  const told = p("bench-told"), up = make("p", { className: "bench-up", role: "alert" }), clocks = make("ul", { className: "bench-clocks" });
  const stage = make("div", { className: "bench-stage" }), spoken = make("p", { className: "bench-spoken", role: "status" });
  const list = make("ol", {}), summary = make("summary", {}), steplist = make("details", { className: "bench-list" }, summary, list);
  const tick = make("input", { type: "checkbox", id: "bench-tick", onchange: () => { put(steps[place].key, tick.checked ? iso() : ""); draw(); } });
  const tickSaid = make("span", {}), before = button("Back", () => go(place - 1)), next = button("Next", () => go(place + 1));
  bench.append(head, told, up, clocks, spoken, steplist, stage,
    make("div", { className: "bench-hand" }, make("label", { className: "bench-tick" }, tick, tickSaid), before, next));

  const drawClocks = () => {
    const found = Object.values(kept.clocks).filter((clock) => /^r/.test(stateOf(clock)));
    const ringing = found.filter((clock) => stateOf(clock) === "rings").map((clock) => clock.said).join("; ");
    const said = ringing && `Time is up: ${ringing}.${sound?.state === "running" ? "" : " Touch the page to hear it."}`;
    if (up.textContent !== said) up.textContent = said;
    clocks.replaceChildren(...found.map((clock) => {
      const goal = steps.findIndex((step) => clock.batch === batch && step.key === clock.step);
      if (stateOf(clock) === "rings") return make("li", {}, button(`I have heard it: ${clock.said}`, () => mark(clock, "heard")));
      const said = () => `${clock.said}: ${left(clock)}`;
      return make("li", {}, follow(goal < 0 ? p("", "") : button("", () => go(goal)), said));
    }));
    way.textContent = ringing ? "At the bench: time is up" : found.length ? "At the bench: a countdown runs" : "At the bench";
  };
  const draw = () => {
    const focused = document.activeElement, step = steps[place], done = entered(step.key);
    shown = Object.values(kept.clocks).map(stateOf).join();
    live = [];
    follow(told, says);
    drawClocks();
    stage.replaceChildren(...step.draw().filter(Boolean));
    tick.checked = Boolean(done);
    tickSaid.textContent = done ? `${step.tick}, ${day(Date.parse(done)).slice(11)}` : step.tick;
    before.disabled = !place;
    next.disabled = place === steps.length - 1;
    summary.textContent = `Step ${place + 1} of ${steps.length}. All steps`;
    list.replaceChildren(...steps.map((each, at) => {
      const made = button(each.name, () => { steplist.open = false; go(at); one("h2", stage).focus(); });
      if (at === place) made.setAttribute("aria-current", "step");
      return make("li", {}, made, entered(each.key) && make("small", {}, `done ${day(Date.parse(entered(each.key))).slice(11)}`));
    }));
    // A field drawn anew gets its caret back.
    const again = focused.id && !focused.isConnected && document.getElementById(focused.id);
    if (again) {
      again.focus();
      if (focused.selectionEnd != null) again.setSelectionRange(focused.selectionStart, focused.selectionEnd);
    }
  };
  const go = (to) => {
    place = Math.min(Math.max(to, 0), steps.length - 1);
    if (kept.batches[batch]) { kept.batches[batch].at = steps[place].key; save(); }
    draw();
    if (document.activeElement === document.body) (next.disabled ? before : next).focus();
    spoken.textContent = `Step ${place + 1} of ${steps.length}: ${steps[place].name}`;
    scrollTo(0, 0);
  };

  // ── Open and closed, as the address says ──
  const keys = () => new URLSearchParams(location.hash.slice(1));
  const address = (open) => {
    const now = keys();
    if (open) now.set("bench", "");
    else now.delete("bench");
    location.hash = now;
  };
  const way = one(".to-bench a");
  way.parentNode.hidden = false;
  all("main > .batch, main > .obtain").at(-1)?.after(way.parentNode);
  way.addEventListener("click", (event) => { event.preventDefault(); address(true); });
  let lock = null;
  const stayAwake = async () => {
    try {
      await lock?.release();
      lock = null;
      if (!bench.hidden && !document.hidden) lock = await navigator.wakeLock.request("screen");
    } catch { lock = null; }
  };
  const open = () => {
    const was = !bench.hidden, now = keys().has("bench");
    if (was === now) return;
    bench.hidden = !now;
    document.body.classList.toggle("at-bench", now);
    scrollTo(0, 0);
    (now ? one("h2", stage) : way).focus();
    stayAwake();
  };
  const renew = () => {
    const was = batch;
    gather();
    if (was !== batch) place = Math.max(0, steps.findIndex((step) => step.key === kept.batches[batch]?.at));
    draw();
  };

  load();
  renew();
  open();
  addEventListener("hashchange", open);
  document.addEventListener("batch", renew);
  addEventListener("storage", (event) => {
    if (event.key !== shelf && event.key !== null) return;
    load();
    draw();
  });
  document.addEventListener("visibilitychange", () => { beat(); stayAwake(); });
  for (const touch of ["pointerdown", "keydown"]) document.addEventListener(touch, listen);
  document.addEventListener("keydown", (event) => {
    const way = { ArrowLeft: -1, ArrowRight: 1 }[event.key];
    if (!way || bench.hidden || event.altKey || event.ctrlKey || event.metaKey || event.target.matches("textarea, label > input:not(#bench-tick)")) return;
    event.preventDefault();
    go(place + way);
  });
  setInterval(beat, 500);
})();
