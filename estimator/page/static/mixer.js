// The mixer's screens, drawn from the day's batches and from what was entered so far.
import { keepScreens } from "./phone.js";
import { actOf, Queue } from "./queue.js";

const root = document.getElementById("mixer");
const day = JSON.parse(document.getElementById("day").textContent);
day.pours.forEach((pour) => { pour.batches = pour.batches.map(batchOf); });
const SVG = "http://www.w3.org/2000/svg";
const LOOK_EVERY = 10000;
let queue, known = new Map(), newest = day.number, changedJob = false, noRoom = false, typed = {}, spoken = "";

// A batch as a whole: what it has in common with others, and its own figures.
function batchOf({ form, kg, loose, ...batch }) {
  const { steps, ...common } = day.forms[form];
  return { ...common, ...batch, steps: steps.map((step, at) => ({ ...step, mass_kg: kg[at], loose: step.loose && { ...step.loose, amount: loose[at] } })) };
}

const say = (id, values = {}) =>
  Object.entries(values).reduce((text, [name, value]) => text.replaceAll(`%${name}`, value), day.words[`mixer-${id}`]);

function el(tag, options = {}, ...children) {
  const made = document.createElement(tag);
  for (const [name, value] of Object.entries(options)) {
    if (name === "on") made.addEventListener(value[0], value[1]);
    else if (name === "text") made.textContent = value;
    else if (value === true) made.setAttribute(name, "");
    else if (value !== false && value != null) made.setAttribute(name, value);
  }
  made.append(...children.filter((child) => child != null && child !== false));
  return made;
}

// ---- figures

function figure(value, places) {
  const [whole, part] = value.toFixed(places).split(".");
  return whole.replace(/\B(?=(\d{3})+(?!\d))/g, day.group) + (part ? day.decimal + part : "");
}
const shown = (step, kg) => `${figure(kg / step.unit_kg, step.places)}\u00a0${step.unit}`;
const plain = (step, kg) => figure(kg / step.unit_kg, step.places).replaceAll(day.group, "");
const toStep = (step, kg) => Math.max(1, Math.round(kg / step.step_kg)) * step.step_kg;
// A sign that parts thousands on this screen does so in what is typed too; else a comma or a point begins the decimals.
function read(text, step) {
  const typed = text.trim(), group = day.group.trim() || "\u00a0";
  const thousands = new RegExp(`^\\d{1,3}(${group === "." ? "\\." : group}\\d{3})+(?!\\d)`);
  const digits = thousands.test(typed) ? typed.replaceAll(group, "") : typed;
  const number = /^\d*[.,]?\d*$/.test(digits) ? Number(digits.replace(",", ".")) : NaN;
  return typed === "" || !Number.isFinite(number) ? null : number * step.unit_kg;
}
const clock = (at) => new Date(at).toLocaleTimeString(day.language, { hour: "numeric", minute: "2-digit" });
function span(ms) {
  const seconds = Math.max(0, Math.floor(ms / 1000));
  return `${Math.floor(seconds / 60)}:${String(seconds % 60).padStart(2, "0")}`;
}

// ---- what was entered so far

// Kept until the next drawing, as a day has thousands of entries and a hundred batches look at them.
let all = null, pours = [], gone = [];
const own = new Map();

function entries() { return all ?? sorted(); }

function sorted() {
  const by = new Map();
  all = counted();
  all.forEach((entry) => { const key = entry.values.batch; by.has(key) ? by.get(key).push(entry) : by.set(key, [entry]); });
  own.clear();
  const held = (planned) => {
    const older = by.get(planned.was) ?? [], same = fits(planned, older);
    const rows = [...(same ? older : []), ...(by.get(planned.key) ?? [])], batch = asBegun(planned, rows);
    by.delete(planned.key);
    if (same) by.delete(planned.was);
    own.set(batch, rows);
    return batch;
  };
  pours = day.pours.map((pour) => ({ ...pour, batches: pour.batches.map(held) }));
  gone = [...by].map(([key, rows]) => {
    const plan = rows.findLast(isBegun)?.values.plan, batch = plan && { ...plan, key, isLost: true };
    if (batch) own.set(batch, rows);
    return { key, rows, batch };
  });
  return all;
}

// Batches of the plan and those that it lost, each with the amounts that it goes on with.
function batches() { entries(); return [...own.keys()]; }

// A batch keeps the plan that it was begun with, so that a job that changes meanwhile does not mix its amounts.
const isBegun = ({ kind, values }) => kind === "begun" && values.plan.steps?.length > 0 && values.plan.stages?.length > 0;
function asBegun(planned, rows) {
  const plan = rows.slice(rows.findLastIndex(({ kind }) => kind === "thrown") + 1).find(isBegun)?.values.plan;
  const same = !plan || (plan.steps.length === planned.steps.length && plan.steps.every((step, at) =>
    step.material === planned.steps[at].material && Math.abs(step.mass_kg - planned.steps[at].mass_kg) <= step.step_kg / 2));
  return same ? planned : { ...plan, key: planned.key, planned };
}
function planOf({ key, was, planned, isLost, ...plan }) { return plan; }

// Entries of before batches were known by what they fill name a place in the plan: whether they are of the batch there.
function fits(batch, older) {
  const scaled = older.some(({ kind }) => kind === "rescale");
  return older.every(({ kind, values }) => {
    if (kind === "batch" || kind === "bucket") return values.mix === batch.mix && (scaled || kind === "bucket" || isSize(batch.volume_m3, values.designed_m3));
    if (kind !== "weighing") return true;
    const step = batch.steps.find((each) => each.step === values.step);
    if (step?.material !== values.material) return false;
    return scaled || step.water || values.target_kg === undefined || Math.abs(values.target_kg - step.mass_kg) <= step.step_kg / 2;
  });
}
const isSize = (m3, other) => Math.abs(m3 - other) <= 0.01 * m3;

function counted() {
  const all = new Map(known);
  queue.held.forEach((entry) => entry.state !== "refused" && all.set(entry.id, entry));
  const undone = new Set([...all.values()].filter(({ kind }) => kind === "undo").map(({ values }) => values.entry));
  return [...all.values()].filter(({ id, kind }) => kind !== "undo" && !undone.has(id));
}

const of = (batch) => { entries(); return own.get(batch); };

// The last act of a batch, and what it was: a weighing, a stage in the mixer, a smaller batch, a density check.
function lastAct(batch) {
  const last = of(batch).at(-1);
  if (!last) return null;
  const act = of(batch).filter(({ id }) => actOf(id) === actOf(last.id));
  const one = (kind) => act.find((entry) => entry.kind === kind);
  const stage = one("loaded") && batch.stages.find((each) => each.stage === one("loaded").values.stage);
  const step = one("weighing") && batch.steps.find((each) => each.step === one("weighing").values.step);
  const name = one("thrown") ? say("throw") : one("bucket") ? say("density") : one("rescale") || one("sack") ? say("sack") : stage ? stage.name : step ? `${step.name}, ${shown(step, one("weighing").values.mass_kg)}` : "";
  return { ids: act.map(({ id }) => id), name };
}

function undoButton(batch) {
  const last = lastAct(batch);
  if (!last) return null;
  return el("button", { class: "btn plain undo", type: "button", text: say("undo", { name: last.name }), on: ["click", once(() =>
    enter(...last.ids.map((entry) => ({ kind: "undo", values: { batch: batch.key, entry } }))).then(() => { typed = {}; location.hash = link(batch); draw(true); }))] });
}

function stateOf(batch) {
  const fresh = () => ({ weighed: new Map(), sacks: new Map(), loaded: new Map(), factor: 1, done: null, made_m3: 0, bucket: null, water: null, begun: false });
  const state = fresh();
  for (const { kind, values, at } of of(batch)) {
    if (kind === "weighing") state.weighed.set(values.step, { kg: values.mass_kg, lot: values.lot || "", at, material: values.material, target: values.target_kg });
    if (kind === "begun") state.begun = true;
    if (kind === "sack") state.sacks.set(values.step, [...(state.sacks.get(values.step) ?? []), { kg: values.mass_kg, lot: values.lot || "" }]);
    if (kind === "loaded") state.loaded.set(values.stage, at);
    if (kind === "thrown") Object.assign(state, fresh());
    if (kind === "rescale") state.factor = values.factor;
    if (kind === "batch") Object.assign(state, { done: at, made_m3: values.designed_m3 });
    if (kind === "bucket") state.bucket = { kg: values.gross_kg, at };
  }
  const first = batch.stages.find((stage) => stage.first_water);
  if (first) state.water = state.loaded.get(first.stage) || null;
  state.next = batch.steps.find((step) => !state.weighed.has(step.step));
  state.stage = batch.stages.find((stage) => !state.loaded.has(stage.stage));
  state.isOther = isOther(batch, state);
  state.isOtherSize = Boolean(state.done) && !batch.isLost && !isSize(asked_m3(batch, state), state.made_m3);
  return state;
}

// Whether a batch was begun before the job changed: what was weighed then does not go with what this screen still asks
// for. One that was weighed to its end is whole.
function isOther(batch, state) {
  return Boolean(state.next) && !state.done && [...state.weighed].some(([number, weighed]) => {
    const step = batch.steps.find((each) => each.step === number);
    if (!step || step.material !== weighed.material) return true;
    return weighed.target !== undefined && Math.abs(weighed.target - target(step, state)) > step.step_kg / 2;
  });
}

const asked_m3 = (batch, state) => (batch.planned ?? batch).volume_m3 * state.factor;
const target = (step, state) => (state.factor === 1 ? step.mass_kg : toStep(step, step.mass_kg * state.factor));
const lotOf = (step) => {
  const used = entries().filter(({ kind, values }) => kind === "weighing" && values.material === step.material && values.lot);
  return used.length ? used[used.length - 1].values.lot : step.lot;
};
// What stands on the scale from sacks that ran out, and the lots of a material with the weight of each.
const soFar = (step, state) => state.sacks.get(step.step)?.at(-1).kg ?? 0;
function lotsOf(step, state) {
  const weighed = state.weighed.get(step.step), sacks = state.sacks.get(step.step) ?? [];
  const most = weighed?.kg ?? soFar(step, state), parts = [];
  [...sacks, ...(weighed ? [weighed] : [])].reduce((before, { kg, lot }) => { const to = Math.min(kg, most); parts.push({ lot, kg: to - before }); return to; }, 0);
  if (parts.length === 1 && weighed) return parts[0].lot;
  return parts.filter(({ kg }) => kg > 0).map(({ lot, kg }) => [shown(step, kg), lot && `(${lot})`].filter(Boolean).join(" ")).join(" + ");
}
const lotNow = (batch, step, state) => (typed[`w-${batch.key}-${step.step}-lot`] ?? (state.sacks.has(step.step) ? "" : lotOf(step))).trim();
const withLot = (lot) => (lot ? { lot } : {});
const link = (batch, ...more) => `#${[batch.key, ...more].map(encodeURIComponent).join("/")}`;
const volume = (m3) => `${figure(m3 * day.volume.per_m3, 2)}\u00a0${day.volume.unit}`;
const loose = (step, kg) => `${figure((step.loose.amount * kg) / step.mass_kg, 1)}\u00a0${step.loose.unit}`;

// ---- parts of a screen

function top(left, right, href) {
  return el("div", { class: "top" }, href ? el("a", { href, text: `‹ ${left}` }) : el("h1", { class: "top-title", text: left }),
    el("span", { class: "r", text: right }));
}

// Clocks on the screen, each with what it says of the time left, told anew as that passes.
let clocks = [];
const STILL_MEANT = 12 * 3600 * 1000; // ms after which a batch that was never ended is no longer waited for
function timed(node, batch, state, parts) {
  const by = new Date(new Date(state.water).getTime() + 1000 * batch.within_s);
  clocks.push({ node, by, parts, said: null });
  return node;
}

// Other batches that are still to be placed: their clocks stay on every screen.
function running(shownBatch) {
  return batches().filter((batch) => batch.key !== shownBatch?.key).map((batch) => [batch, stateOf(batch)])
    .filter(([batch, state]) => state.water && queue.now() - new Date(state.water) < (state.done ? 1000 * batch.within_s : STILL_MEANT))
    .map(([batch, state]) => {
      const told = el("span");
      timed(told, batch, state, (_, text) => [text]);
      return el("a", { class: "clock-line", href: link(batch) }, el("span", { "data-since": state.water, role: "timer" }), ` ${batch.role}, ${batch.pieces}. `, told);
    });
}

function line(shownBatch) {
  const parts = [];
  if (noRoom) parts.push(el("p", { class: "why", role: "alert", text: say("no-room") }));
  if (queue.refused.length) parts.push(el("p", { class: "why", role: "alert", text: `${say("refused")} ${queue.refused.length}` }));
  if (changedJob) parts.push(el("p", { class: "bar-danger", role: "alert", text: say("changed") }));
  if (queue.signedOut) parts.push(el("p", { class: "why" }, el("a", { href: `/sign-in?to=${encodeURIComponent(location.pathname)}`, text: say("sign-in") })));
  if (queue.turnedAway) parts.push(el("p", { class: "why", role: "alert", text: say(queue.turnedAway === 404 ? "no-job" : "turned-away", { number: queue.turnedAway }) }));
  const waiting = queue.waiting.filter(({ kind }) => kind !== "begun").length; // what somebody has tapped
  if (!queue.online || waiting > 3) parts.push(el("p", { class: "off", role: "status", text: `${say("offline")} ${waiting}` }));
  return [...parts, ...running(shownBatch)];
}

function go(text, act) { return el("button", { class: "btn go big", type: "button", text, on: ["click", once(act)] }); }
function small(text, href) { return el("a", { class: "btn mid-b", href, text }); }
function once(act) {
  let done = false;
  return () => { if (!done) { done = true; Promise.resolve(act()).then(() => {}, () => { done = false; }); } };
}

// A field for a weight. What only a scale knows begins empty (kg null): no thumb confirms a figure that nobody has read.
function amount(id, step, kg, name) {
  const put = (text) => { typed[id] = input.value = text; drawChanged(id); free(); };
  const input = el("input", { class: "in", id, inputmode: "decimal", autocomplete: "off", "aria-label": name,
    value: typed[id] ?? (kg === null ? "" : plain(step, kg)), on: ["input", () => put(input.value)] });
  const moved = (text, sign, word) => el("button", { class: "btn", type: "button", text, "aria-label": `${say(word)} ${shown(step, step.step_kg)}`,
    on: ["click", () => put(plain(step, Math.max(0, read(input.value, step) + sign * step.step_kg)))] });
  const less = moved("−", -1, "less"), more = moved("+", 1, "more");
  const free = () => { less.disabled = more.disabled = read(input.value, step) === null; };
  free();
  return [el("div", { class: "pm" }, less, input, more), () => read(input.value, step), () => input.value.trim() === ""];
}

let onTyped = null;
function drawChanged(id) {
  const said = document.getElementById("wrong");
  if (said) said.hidden = true; // until it is tried again
  onTyped?.(id);
}

function wrong(text = say("number")) {
  const said = document.getElementById("wrong");
  said.textContent = text;
  said.hidden = false;
  return Promise.reject(new Error("number"));
}
const wrongLine = () => el("p", { class: "why", id: "wrong", role: "alert", hidden: true });

// ---- screens

function today(pour) {
  const done = pour.batches.filter((batch) => stateOf(batch).done).length;
  const next = pour.batches.find((batch) => !stateOf(batch).done);
  const list = el("ol", { class: "batches" });
  pour.batches.forEach((batch, at) => {
    const state = stateOf(batch), begun = state.weighed.size > 0;
    const right = state.done ? el("small", { text: clock(state.done) })
      : state.water ? el("b", { text: say("mixing") })
      : begun ? el("span", {}, el("b", { text: say("weighing") }), el("br"), el("small", { text: say("of", { count: state.weighed.size, total: batch.steps.length }) }))
      : el("b", { text: batch.mass });
    list.append(el("li", {}, el("a", { class: "bt", href: link(batch), "aria-current": batch === next ? "step" : null },
      el("span", { class: state.done ? "box y" : "box", "aria-hidden": "true", text: state.done ? "✓" : String(at + 1) }),
      el("span", {}, el("b", { class: "role", text: batch.role }), state.done ? el("span", { class: "sr", text: ` ${say("done")}` }) : null,
        el("br"), el("small", { text: [batch.mix_name, batch.pieces, batch.part].filter(Boolean).join(", ") })),
      el("span", { class: "n" }, right)),
      state.isOtherSize ? el("p", { class: "bar-danger", text: otherSize(batch, state) }) : null));
  });
  const nav = pours.length < 2 ? null : el("nav", { class: "pours", "aria-label": say("batches") },
    ...pours.map((each) => el("a", { class: "btn", href: `#pour/${encodeURIComponent(each.name)}`, text: each.label,
      "aria-current": each.name === pour.name ? "page" : null })));
  return [top([pour.label, pour.day].filter(Boolean).join(", "), say("of", { count: done, total: pour.batches.length })), ...line(),
    el("div", { class: "body" }, nav, list, ...lost(), el("div", { class: "foot" }, next
      ? el("a", { class: "btn go big", href: link(next), text: say(stateOf(next).weighed.size ? "continue" : "start") })
      : el("p", { class: "mat", text: say("all-done") })))];
}

const otherSize = (batch, state) => say("other-size", { was: volume(state.made_m3), now: volume(asked_m3(batch, state)) });

// What was weighed for batches that a change took out of the plan.
function lost() {
  if (!gone.length) return [];
  const steps = batches().flatMap((batch) => batch.steps);
  const mass = ({ material, mass_kg }) => {
    const step = steps.find((each) => each.material === material);
    return step ? `${step.name}, ${shown(step, mass_kg)}` : `${material}, ${figure(mass_kg, 3)} kg`;
  };
  const row = ({ key, rows, batch }) => {
    const weighed = new Map(rows.filter(({ kind }) => kind === "weighing").map(({ values }) => [values.step, values]));
    const is = (...kinds) => kinds.includes(rows.findLast(({ kind }) => ["thrown", "batch", "loaded"].includes(kind))?.kind);
    const right = is("thrown") ? `${say("throw")} ` : is("batch") ? `${say("done")} ` : is("loaded") ? `${say("mixing")} ` : "";
    return el("li", {}, el("p", {}, batch ? el("a", { class: "strong", href: link(batch), text: key }) : el("b", { text: key })), ...[...weighed.values()].map((each) => el("p", {}, el("small", { text: mass(each) }))),
      el("p", {}, el("small", { text: right + clock(rows.at(-1).at) })));
  };
  return [el("section", { class: "gone" }, el("h2", { text: say("gone") }), el("p", { class: "why", text: say("gone-why") }),
    el("ul", { class: "batches" }, ...gone.map(row)))];
}

function head(batch, state) {
  const since = state.water ? el("span", { class: "since", "data-since": state.water, role: "timer" }) : null;
  const parts = [top(say("batches"), say("for", { pieces: batch.pieces }), `#pour/${encodeURIComponent(batch.pour)}`), ...line(batch)];
  if (batch.isLost && (state.done || !state.begun)) parts.push(el("p", { class: "bar-danger", role: "alert", text: say("gone") }));
  if (state.isOther) parts.push(el("p", { class: "bar-danger", role: "alert", text: say("other") }));
  else if (state.begun && !state.done && (batch.isLost || batch.planned)) parts.push(el("p", { class: "bar-danger", role: "alert", text: say("begun") }));
  if (state.isOtherSize) parts.push(el("p", { class: "bar-danger", role: "alert", text: otherSize(batch, state) }));
  if (since && !state.done) parts.push(el("p", { class: "clock-line" }, `${say("since-water")} `, since));
  return parts;
}

function weigh(batch, state, step) {
  const kg = target(step, state), place = batch.steps.indexOf(step);
  const id = `w-${batch.key}-${step.step}`;
  const after = batch.steps.find((other) => other !== step && !state.weighed.has(other.step));
  const [field, value] = amount(id, step, kg, say("weighed-on", { name: step.scale, step: shown(step, step.step_kg) }));
  const lot = el("input", { class: "in l", autocomplete: "off", maxlength: "60", value: lotNow(batch, step, state),
    on: ["input", () => { typed[`${id}-lot`] = lot.value; }] });
  const steps = el("div", { class: "steps", role: "img", "aria-label": say("material", { count: place + 1, total: batch.steps.length }) },
    ...batch.steps.map((other) => el("i", { class: other === step ? "now" : state.weighed.has(other.step) ? "y" : "" })));
  const isOlder = batch.isLost || batch.planned, undo = undoButton(batch);
  const big = step.loose ? loose(step, kg) : shown(step, kg);
  const [, number, unit] = big.match(/^(.*)\s(\S+)$/);
  const huge = el("p", { class: "huge" }, number, el("span", { class: "u", text: unit }));
  huge.style.setProperty("--signs", Math.max(number.length, 3)); // a figure on two lines would be read as another one
  const tick = go(say(step.loose ? "measured" : "weighed"), () => {
    const read = value(), before = soFar(step, state);
    if (read === null) return wrong();
    if (read < before) return wrong(say("whole", { amount: shown(step, before) }));
    const values = { batch: batch.key, step: step.step, material: step.material, mass_kg: read, target_kg: kg };
    if (!step.water) Object.assign(values, withLot(lot.value.trim()));
    delete typed[id];
    delete typed[`${id}-lot`];
    return act(batch, state, { kind: "weighing", values }).then(() => { location.hash = link(batch); });
  });
  return [...head(batch, state), el("div", { class: "body" }, steps,
    el("div", {}, el("h1", { class: "mat", text: step.name }), huge,
      step.loose ? el("p", { class: "lead-or", text: say("or", { amount: shown(step, kg) }) }) : null),
    step.loose ? el("p", { class: "strong", text: say("level") }) : null,
    el("p", { class: "lab", text: say("weighed-on", { name: step.scale, step: shown(step, step.step_kg) }) }), field, wrongLine(),
    state.sacks.has(step.step) ? el("p", { class: "strong", text: say("so-far", { amount: lotsOf(step, state) }) }) : null,
    step.water ? null : el("label", { class: "field lot" }, say(state.sacks.has(step.step) ? "new-lot" : "lot"), lot),
    el("div", { class: "foot" }, after ? el("p", { class: "note" }, `${say("next")} `, el("b", { text: `${after.name}, ${after.loose ? loose(after, target(after, state)) : shown(after, target(after, state))}` })) : null,
      tick, el("div", { class: "pair" }, step.water ? null : small(say("sack"), link(batch, "sack", step.step)), isOlder ? throwAway(batch, state) : undo), isOlder ? undo : null))];
}

function sack(batch, state, step) {
  const id = `s-${batch.key}-${step.step}`, kg = target(step, state);
  const [field, value, isBlank] = amount(id, step, null, say("on-scale", { name: step.name }));
  const onScale = say("on-scale-now", { amount: shown(step, kg) });
  const result = el("div", { class: "rescale", "aria-live": "polite" });
  const lot = lotNow(batch, step, state), back = () => { delete typed[id]; delete typed[`w-${batch.key}-${step.step}-lot`]; location.hash = link(batch); };
  const entry = (other, values) => ({ batch: batch.key, step: other.step, material: other.material, ...values });
  const left = (other, factor) => Math.min(toStep(other, other.mass_kg * factor), state.weighed.get(other.step)?.kg ?? Infinity);
  const rescale = go(say("rescale"), () => {
    const on = value(), factor = on === null ? null : (on / step.mass_kg);
    if (on === null || on <= 0 || factor >= state.factor) return wrong(onScale);
    if (on < soFar(step, state)) return wrong(say("whole", { amount: shown(step, soFar(step, state)) }));
    const weighed = batch.steps.filter((other) => state.weighed.has(other.step) && other !== step);
    const short = batch.volume_m3 * (1 - factor);
    return act(batch, state, { kind: "rescale", values: { batch: batch.key, factor, short_m3: Math.max(0, short) } },
      ...weighed.map((other) => ({ kind: "weighing", values: entry(other, { mass_kg: left(other, factor), target_kg: toStep(other, other.mass_kg * factor), ...withLot(state.weighed.get(other.step).lot) }) })),
      { kind: "weighing", values: entry(step, { mass_kg: on, target_kg: toStep(step, on), ...withLot(lot) }) },
    ).then(back);
  });
  // The rest comes from another sack, whose lot the next screen asks for.
  const another = el("button", { class: "btn mid-b", type: "button", text: say("another-sack"), on: ["click", once(() => {
    const on = value();
    if (on === null || on <= soFar(step, state) || on >= kg) return wrong(onScale);
    return act(batch, state, { kind: "sack", values: entry(step, { mass_kg: on, ...withLot(lot) }) }).then(back);
  })] });
  const fill = () => {
    const on = value(), factor = on === null ? 0 : on / step.mass_kg;
    const amountOf = (other, kg) => (other.loose ? loose(other, kg) : shown(other, kg));
    const rows = (others) => others.map((other) => el("tr", {}, el("td", { text: other.name }),
      el("td", { class: "n", text: amountOf(other, state.weighed.get(other.step)?.kg ?? target(other, state)) }), el("td", { class: "n" }, el("b", { text: amountOf(other, left(other, factor)) }))));
    result.replaceChildren();
    rescale.disabled = isBlank();
    rescale.textContent = `${say("rescale")} ${on === null ? "…" : shown(step, on)}`;
    if (!(factor > 0 && factor < state.factor)) return;
    const before = batch.steps.filter((other) => other !== step && state.weighed.has(other.step));
    const after = batch.steps.filter((other) => other !== step && !state.weighed.has(other.step));
    const heads = (title) => el("tr", {}, el("th", { text: title }), el("th", { class: "n", text: say("was") }), el("th", { class: "n", text: say("now") }));
    result.append(el("p", { class: "strong", text: say("shrinks", { share: day.percent.replace("1", Math.round((factor / state.factor) * 100)) }) }),
      el("table", { class: "tt" }, ...(before.length ? [heads(say("pour-back")), ...rows(before)] : []), ...(after.length ? [heads(say("still")), ...rows(after)] : [])),
      el("p", { class: "why", text: say("short", { pieces: batch.pieces, amount: volume(batch.volume_m3 * (1 - factor)) }) }));
  };
  onTyped = (changed) => changed === id && fill();
  fill();
  const late = state.loaded.size > 0;
  return [top(step.name, say("for", { pieces: batch.pieces }), link(batch)), ...line(batch),
    el("div", { class: "body" }, el("h1", { class: "mat", text: say("sack") }),
      late ? el("p", { class: "why", text: say("too-late") }) : null,
      el("p", { class: "lab", text: say("on-scale", { name: step.name }) }), el("p", { class: "strong", text: onScale }), field, wrongLine(), late ? null : result,
      el("div", { class: "foot" }, late ? null : rescale, another))];
}

function mixing(batch, state) {
  const stage = state.stage;
  const held = stage.held ? batch.steps.find((step) => step.step === stage.steps[0]) : null;
  const ready = held ? state.weighed.get(held.step).kg : 0;
  const [field, value] = held ? amount(`u-${batch.key}-${stage.stage}`, held, ready, say("used")) : [null, null];
  const last = batch.stages.every((other) => other === stage || state.loaded.has(other.stage));
  const tick = go(say("is-in"), () => {
    const rows = [];
    if (held) {
      const used = value();
      if (used === null || used > ready + held.step_kg / 2) return wrong();
      rows.push({ kind: "weighing", values: { batch: batch.key, step: held.step, material: held.material, mass_kg: used, target_kg: target(held, state) } });
    }
    rows.push({ kind: "loaded", values: { batch: batch.key, stage: stage.stage } });
    if (last) rows.push(finished(batch, state, rows)); // in one transaction with the last tick: both stand or neither
    return enter(...rows);
  });
  return [...head(batch, state), el("div", { class: "body" }, el("h1", { class: "strong", text: say("mixing") }), ...waterClock(batch, state),
    held ? el("div", {}, el("p", { class: "lab", text: say("water-used", { amount: shown(held, ready) }) }), field, wrongLine()) : null,
    el("ol", { class: "stages" }, ...batch.stages.map((other) => {
      const at = state.loaded.get(other.stage), masses = other.alone ? `, ${other.steps.map((s) => shown(batch.steps.find((x) => x.step === s), state.weighed.get(s).kg)).join(" + ")}` : "";
      return el("li", { class: "bt", "aria-current": other === stage ? "step" : null }, el("span", { class: at ? "box y" : "box", "aria-hidden": "true", text: at ? "✓" : String(other.stage) }),
        el("span", {}, other === stage ? el("b", { text: other.name + masses }) : other.name + masses), at ? el("small", { text: clock(at) }) : null);
    })),
    el("div", { class: "foot" }, tick, el("div", { class: "pair" }, throwAway(batch, state), undoButton(batch))))];
}

function waterClock(batch, state) {
  if (!state.water) return [];
  const placing = Math.ceil(batch.placing_s / 60);
  const parts = [el("p", { class: "lab", "aria-hidden": "true", text: say("since-water") }), el("p", { class: "huge clock", "data-since": state.water, role: "timer", "aria-label": say("since-water") }),
    timed(el("div"), batch, state, (left, text) => [el("p", { class: "strong", text }),
      placing > left ? el("p", { class: "why", role: "alert", text: say("late", { minutes: placing, left: Math.max(0, left) }) }) : ""])];
  return parts;
}

// A batch that is not placed is made again from its first material; what went into it is used up.
function throwAway(batch, state) {
  return el("button", { class: "btn mid-b", type: "button", text: say("throw"), on: ["click", once(() =>
    enter({ kind: "thrown", values: { batch: batch.key, mix: batch.mix, masses_kg: massesOf(batch, state) } }))] });
}

function massesOf(batch, state, rows = []) {
  const kg = new Map([...state.weighed].map(([step, weighed]) => [step, weighed.kg])), masses = {};
  rows.forEach(({ kind, values }) => kind === "weighing" && kg.set(values.step, values.mass_kg));
  batch.steps.forEach((step) => { masses[step.material] = (masses[step.material] || 0) + (kg.get(step.step) || 0); });
  return masses;
}

function finished(batch, state, rows) {
  return { kind: "batch", values: { batch: batch.key, mix: batch.mix, pour: batch.pour, designed_m3: batch.volume_m3 * state.factor, masses_kg: massesOf(batch, state, rows) } };
}

function done(batch, state) {
  const next = (pours.find((pour) => pour.name === batch.pour) ?? pours[0]).batches.find((other) => !stateOf(other).done);
  return [...head(batch, state), el("div", { class: "body" }, ...waterClock(batch, state),
    el("h1", { class: "mat", text: `✓ ${batch.role}` }), el("p", { text: [batch.mix_name, batch.pieces, clock(state.done)].join(", ") }),
    el("table", { class: "tt" }, ...batch.steps.map((step) => el("tr", {}, el("td", {}, step.name, lotsOf(step, state) ? el("small", { text: ` ${lotsOf(step, state)}` }) : null),
      el("td", { class: "n", text: shown(step, state.weighed.get(step.step)?.kg || 0) })))),
    el("div", { class: "foot" }, batch.check && !state.bucket ? small(say("density"), link(batch, "density")) : null,
      state.bucket ? el("p", { class: "strong", text: `${say("density")}: ${figure(state.bucket.kg / batch.check.unit_kg, batch.check.places)} ${batch.check.unit}` }) : null,
      next ? el("a", { class: "btn go big", href: link(next), text: say("start") }) : el("p", { class: "strong", text: say("all-done") }),
      el("div", { class: "pair" }, throwAway(batch, state), undoButton(batch))))];
}

function density(batch, state) {
  const check = batch.check, id = `d-${batch.key}`;
  const [field, value, isBlank] = amount(id, check, null, `${say("fill", { measure: check.measure })} (${check.unit})`);
  const said = el("div", { "aria-live": "polite" });
  const keep = go(say("keep"), () => {
    const kg = value();
    if (kg === null || kg <= check.tare_kg) return wrong();
    return enter({ kind: "bucket", values: { batch: batch.key, mix: batch.mix, container_m3: check.container_m3, gross_kg: kg, tare_kg: check.tare_kg } })
      .then(() => { delete typed[id]; location.hash = link(batch); });
  });
  const bar = document.createElementNS(SVG, "svg");
  bar.setAttribute("viewBox", "0 0 340 92");
  bar.setAttribute("role", "img");
  const fill = () => {
    const kg = value();
    bar.replaceChildren();
    said.replaceChildren();
    keep.disabled = isBlank();
    bar.toggleAttribute("hidden", kg === null); // a picture of nothing has no name
    if (kg === null) return;
    const wide = check.high_kg - check.low_kg, from = check.low_kg - wide, x = (at) => 10 + (320 * Math.min(Math.max((at - from) / (3 * wide), 0), 1));
    const put = (tag, options, text) => { const part = document.createElementNS(SVG, tag); Object.entries(options).forEach(([name, v]) => part.setAttribute(name, v)); if (text) part.textContent = text; bar.append(part); };
    put("path", { d: "M10 60H330", class: "tick" });
    put("path", { d: `M${x(check.low_kg)} 50H${x(check.high_kg)}V70H${x(check.low_kg)}z`, class: "solid" });
    put("path", { d: `M${x(kg)} 46l-9 -16h18z`, class: "solid" });
    put("text", { x: x(check.low_kg), y: 90, class: "bar-text" }, figure(check.low_kg / check.unit_kg, check.places));
    put("text", { x: x(check.high_kg), y: 90, class: "bar-text" }, figure(check.high_kg / check.unit_kg, check.places));
    put("text", { x: Math.min(Math.max(x(kg), 30), 310), y: 22, class: "bar-text" }, figure(kg / check.unit_kg, check.places));
    const heavy = kg > check.high_kg, light = kg < check.low_kg;
    bar.setAttribute("aria-label", `${shown(check, kg)}: ${check.low}–${check.high}`);
    said.append(heavy || light ? el("div", { class: "why" }, el("p", { class: "strong", text: say(heavy ? "too-heavy" : "too-light") }), el("p", { text: heavy ? check.heavy : check.light }))
      : el("p", { class: "strong", text: say("in-range") }));
  };
  onTyped = (changed) => changed === id && fill();
  fill();
  return [...head(batch, state), el("div", { class: "body" }, el("h1", { class: "mat", text: say("density") }),
    el("p", { text: say("fill", { measure: check.measure }) }), ...check.notes.map((text) => el("p", { class: "strong", text })), el("p", { class: "lab", text: check.unit }), field, wrongLine(), bar, said,
    el("div", { class: "foot" }, keep, small(say("back"), link(batch))))];
}

// A batch that was thrown away and that the plan does not ask for again.
function over(batch) {
  return [...head(batch, stateOf(batch)), el("div", { class: "body" }, el("h1", { class: "mat", text: batch.role }), el("div", { class: "foot" }, undoButton(batch)))];
}

// ---- moving between them

// Entries of a batch; its first ones bring the plan that it is begun with.
function act(batch, state, ...rows) {
  return enter(...(state.begun ? [] : [{ kind: "begun", values: { batch: batch.key, plan: planOf(batch) } }]), ...rows);
}

async function enter(...rows) {
  try {
    await queue.add(...rows);
    noRoom = false;
  } catch (error) { // a full phone: what is not on its disk is not ticked
    noRoom = true;
    draw();
    throw error;
  }
  draw(true);
}

const place = () => location.hash.slice(1).split("/").map(decodeURIComponent);

// Where the job has changed, a batch that is not begun is opened with the plan of now, if the shop is in reach.
async function moved() {
  const batch = batches().find((each) => each.key === place()[0]);
  if (changedJob && batch && !of(batch).length) {
    const reply = await fetch(location.pathname, { redirect: "error" }).catch(() => null);
    if (reply?.ok) return location.reload();
  }
  return draw(true);
}

const nameOf = (part) => (part.matches("h1") ? "title" : part.id || part.ariaLabel || part.textContent);

function draw(focus = false) {
  onTyped = all = null;
  clocks = [];
  const [first, second, third] = place(), batch = batches().find((each) => each.key === first);
  let parts;
  if (batch) {
    const state = stateOf(batch), step = batch.steps.find((each) => String(each.step) === third);
    if (second === "sack" && step) parts = sack(batch, state, step);
    else if (batch.isLost && !state.begun) parts = over(batch);
    else if (second === "density" && batch.check && state.done) parts = density(batch, state);
    else if (state.done) parts = done(batch, state);
    else if (state.next) parts = weigh(batch, state, state.next);
    else parts = mixing(batch, state);
  } else {
    const named = first === "pour" ? second : day.pour;
    const open = pours.find((pour) => pour.batches.some((each) => !stateOf(each).done));
    parts = today(pours.find((pour) => pour.name === named) || open || pours[0]);
  }
  const held = root.contains(document.activeElement) ? document.activeElement : null;
  root.replaceChildren(...parts);
  const title = root.querySelector("h1");
  title?.setAttribute("tabindex", "-1");
  const again = held && !focus && [...root.querySelectorAll(held.tagName)].find((part) => nameOf(part) === nameOf(held));
  if (focus || held) (again || title)?.focus({ preventScroll: true });
  if (focus) scrollTo(0, 0);
  ticking();
}

function ticking() {
  root.querySelectorAll("[data-since]").forEach((each) => { each.textContent = span(queue.now() - new Date(each.dataset.since)); });
  clocks.forEach((each) => {
    const left = Math.floor((each.by - queue.now()) / 60000);
    if (left === each.said) return;
    each.said = left;
    each.node.replaceChildren(...each.parts(left, left >= 0 ? say("left", { minutes: left, time: clock(each.by) }) : say("over", { time: clock(each.by) })));
  });
}

// What the shop said that it had, and has not.
const missed = (kept) => kept.filter(({ id }) => !known.has(id)).map(({ id }) => id);

async function look() {
  if (document.visibilityState !== "visible") return;
  const { kept } = queue;
  try {
    const reply = await fetch(`/mixer/${encodeURIComponent(day.job)}/entries?after=${newest}`, { redirect: "error" });
    const told = [queue.signedOut, queue.turnedAway, queue.online].join();
    queue.heard(reply);
    queue.online = true;
    if (told !== [queue.signedOut, queue.turnedAway, queue.online].join()) draw();
    if (!reply.ok) return;
    const { entries: found, number, digest } = await reply.json();
    const before = `${known.size} ${changedJob}`, restored = number < newest;
    if (restored) known.clear();
    found.forEach((entry) => known.set(entry.id, entry));
    newest = number;
    changedJob = digest !== day.digest;
    if (restored || before !== `${known.size} ${changedJob}`) draw();
    await queue.again(missed(kept));
  } catch {
    if (queue.online) { queue.online = false; draw(); }
  }
}

known = new Map(day.entries.map((entry) => [entry.id, entry]));
try {
  queue = await Queue.open(`/mixer/${encodeURIComponent(day.job)}/entries`, day.job, () => draw());
} catch (error) { // a browser that keeps nothing, as some do in a private window
  root.replaceChildren(el("p", { class: "why body", role: "alert", text: say("no-room") }));
  throw error;
}
await queue.forget(new Set(known.keys()));
addEventListener("hashchange", moved);
draw();
queue.soon();
setInterval(ticking, 500);
setInterval(look, LOOK_EVERY);
look();
document.addEventListener("visibilitychange", look);
keepScreens();
