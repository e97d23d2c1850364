// The desk in the browser: a changed field is sent, and every place that shows a figure is filled anew.
const SVG = "http://www.w3.org/2000/svg";
const sheet = document.getElementById("sheet");
if (sheet) { // two points of a drawing on paper; the nearest corner is taken
  const corners = sheet.querySelector("path").getAttribute("d").match(/-?[\d.]+ -?[\d.]+/g).map((at) => at.split(" ").map(Number));
  const inputs = ["first", "second"].map((name) => document.querySelector(`[name="${name}"]`));
  const mark = () => document.getElementById("points").replaceChildren(...inputs.flatMap(({ value }) => {
    const [x, y] = value.split(",").map(Number);
    if (!Number.isFinite(x) || !Number.isFinite(y)) return [];
    const dot = document.createElementNS(SVG, "circle");
    for (const [key, of] of Object.entries({ cx: x, cy: y, r: sheet.viewBox.baseVal.width / 100, class: "solid" })) dot.setAttribute(key, of);
    return [dot];
  }));
  let next = 0;
  sheet.addEventListener("click", (event) => {
    const at = new DOMPoint(event.clientX, event.clientY).matrixTransform(sheet.getScreenCTM().inverse());
    const far = ([x, y]) => Math.hypot(x - at.x, y - at.y);
    const [x, y] = corners.reduce((best, corner) => (far(corner) < far(best) ? corner : best));
    inputs[next].value = `${x}, ${y}`;
    next = 1 - next;
    mark();
  });
  inputs.forEach((input) => input.addEventListener("input", mark));
  mark();
}

const desk = document.getElementById("desk"), drop = document.getElementById("drop");

const keys = document.getElementById("keys"), letters = document.getElementById("letters");
if (keys) { // letters act outside fields alone, and can be switched off
  letters.checked = localStorage.getItem("letters") !== "off";
  letters.addEventListener("change", () => localStorage.setItem("letters", letters.checked ? "on" : "off"));
  document.addEventListener("keydown", (event) => {
    const typing = event.target.closest("input, textarea, select, canvas, dialog");
    if (typing || event.ctrlKey || event.metaKey || event.altKey || event.defaultPrevented) return;
    const step = { ArrowDown: 1, ArrowUp: -1 }[event.key];
    const pieces = [...document.querySelectorAll(".list .pc")];
    if (step && pieces.length && event.target.closest(".list, body > :not(main)") !== null) {
      const at = pieces.findIndex((piece) => piece === document.activeElement || piece.ariaCurrent);
      event.preventDefault();
      sessionStorage.setItem("walk", "on");
      pieces[Math.min(Math.max(at + step, 0), pieces.length - 1)].click();
      return;
    }
    if (!letters.checked) return;
    if (event.key === "?") { event.preventDefault(); keys.showModal(); return; }
    const named = document.querySelector(`[data-key="${CSS.escape(event.key.toLowerCase())}"]`);
    if (!named) return;
    event.preventDefault();
    if (named.matches("input")) named.focus();
    else named.click();
  });
}

if (sessionStorage.getItem("walk")) { // from piece to piece by ↑ and ↓
  sessionStorage.removeItem("walk");
  document.querySelector(".list .pc[aria-current]")?.focus();
}

// A screen that replaces itself has the focus where it was, at the field or the button that sent it. What is wrong comes first.
const nameOf = (part) => part.dataset.at ?? (part.matches("button") ? part.ariaLabel ?? part.textContent.trim()
  : part.matches("[type=radio], [type=checkbox]") ? `${part.name}=${part.value}` : part.name);
const screenAt = (address) => new URL(address, location.href).pathname.split("/pieces/")[0];
function keepFocus(part, address = location.href) {
  const name = part?.matches("main :is(input, select, textarea, button)") ? nameOf(part) : "";
  sessionStorage.setItem("focus", JSON.stringify([screenAt(address), name]));
}
document.addEventListener("submit", (event) => {
  if (event.defaultPrevented || event.target.method === "dialog") return; // the screen stays
  const typing = event.target.contains(document.activeElement) && !document.activeElement.matches("button");
  keepFocus(typing ? document.activeElement : event.submitter);
});
const kept = JSON.parse(sessionStorage.getItem("focus"));
sessionStorage.removeItem("focus");
if (kept) {
  const [screen, name] = kept, main = document.getElementById("main");
  const again = [...main.querySelectorAll(":is(input:not([type=hidden]), select, textarea, button)")].find((part) => name && nameOf(part) === name);
  const message = main.querySelector(".why[role]:not([hidden])");
  if (message) message.tabIndex = -1;
  (main.querySelector("[aria-invalid=true]") ?? message ?? (screen === screenAt(location.href) ? again ?? main : null))?.focus();
}

if (drop) { // files may be dropped anywhere
  const carriesFiles = (event) => event.dataTransfer?.types.includes("Files");
  document.addEventListener("dragover", (event) => {
    if (!carriesFiles(event)) return;
    event.preventDefault();
    document.body.classList.add("dropping");
  });
  document.addEventListener("dragleave", (event) => {
    if (!event.relatedTarget) document.body.classList.remove("dropping");
  });
  document.addEventListener("drop", (event) => {
    if (!carriesFiles(event)) return;
    event.preventDefault();
    drop.querySelector("input").files = event.dataTransfer.files;
    drop.requestSubmit();
  });
}

if (desk) {
  const byId = (id) => document.getElementById(id);
  const live = byId("live"), problem = byId("problem"), conflict = byId("conflict"), order = byId("order"), undo = byId("undo"), said = byId("said");
  const taken = new Map(), waiting = new Map();
  const NEWS_EVERY = 3000;
  const SAID = ["lift", "lift-crew", "total"]; // figures that a reader hears when they have changed
  const LATE_MS = 150; // until then nothing says that figures are of before: two paints for what the eye does not see
  let offline = 0, late = 0, busy = false, digest = desk.dataset.digest, others = null, heard = null;

  const fields = () => [...desk.querySelectorAll(":is(input, select, textarea)[data-at]")];
  const shown = () => [...new Set(fields().map((field) => field.dataset.at))];
  fields().forEach((field) => taken.set(field.dataset.at, field.value));
  let across = 0; // width of the drawing on the screen: to ask for it after each change would lay out the page twice
  new ResizeObserver(([drawing]) => { across = drawing.contentRect.width; place(); }).observe(byId("drawing"));

  desk.addEventListener("change", (event) => {
    const field = event.target.closest(":is(input, select, textarea)[data-at]");
    if (field) send(field);
  });
  desk.addEventListener("keydown", (event) => {
    const field = event.target.closest("input[data-at]");
    if (!field) return;
    if (event.key === "Escape") { field.value = taken.get(field.dataset.at); clear(); }
  });
  undo.addEventListener("click", () => undo.ariaDisabled === "true" || queue("undo", { act: "undo", body: {} }));
  document.addEventListener("keydown", (event) => {
    const typing = event.target.closest("input, textarea, select");
    if (event.key.toLowerCase() === "z" && (event.ctrlKey || event.metaKey) && !typing) {
      event.preventDefault();
      if ("ofOther" in undo.dataset) undo.focus(); // what somebody else has done is read first, then undone
      else undo.click();
    }
  });

  // One change is on its way at a time. What is typed into a field meanwhile waits, and the newest of it alone is sent.
  function send(field) {
    queue(field.dataset.at, { act: "change", body: { at: field.dataset.at, text: field.value }, field });
  }

  function queue(name, change) {
    waiting.set(name, change);
    if (!busy) next();
  }

  async function next() {
    const [name, change] = waiting.entries().next().value ?? [];
    busy = Boolean(change);
    if (!busy) return settle();
    waiting.delete(name);
    const { act, body, field } = change;
    if (field && body.text === taken.get(name)) return next();
    desk.ariaBusy = "true";
    late ||= setTimeout(() => {
      desk.classList.add("stale");
      live.textContent = desk.dataset.working;
    }, LATE_MS);
    let answer, status;
    try {
      const reply = await fetch(`/jobs/${encodeURIComponent(desk.dataset.job)}/${act}`, {
        method: "POST",
        headers: { "content-type": "application/json" },
        body: JSON.stringify({ ...body, was: taken.get(name), digest, mark: desk.dataset.mark, fields: shown() }),
      });
      status = reply.status;
      answer = await reply.json();
    } catch {
      clearTimeout(late);
      desk.classList.add("stale");
      live.textContent = said.textContent = desk.dataset.offline;
      offline ||= setTimeout(() => fields().forEach((each) => { each.readOnly = true; }), 10000);
      retry();
      return;
    }
    if (status === 200 && body["order-number"]) { location.href = `/jobs/${encodeURIComponent(desk.dataset.job)}/orders`; return; }
    if (status === 200 && marksOf(answer) !== marksShown() && !waiting.size) { leave(answer.at); return; } // renamed, or more or fewer pieces
    if (status === 200) { clear(); fill(answer, waiting.size > 0); }
    else if (status === 423) askOrder(field, answer);
    else if (status === 409) ask(field, answer);
    else refuse(field, answer.problem);
    next();
  }

  function leave(address = location.href, part = document.activeElement) {
    keepFocus(part, address);
    if (address === location.href) location.reload();
    else location.href = address;
  }

  const marksOf = ({ pieces }) => pieces.map(({ mark }) => mark).join("\n");
  const marksShown = () => [...desk.querySelectorAll("[data-weight]")].map((place) => place.dataset.weight).join("\n");
  const typing = () => fields().some((field) => field.value !== taken.get(field.dataset.at));

  // What others change is looked for: their figures come in, and what is being typed here stays.
  async function news() {
    if (busy || offline || document.visibilityState !== "visible") return;
    const asked = digest;
    const query = new URLSearchParams([["digest", digest], ["mark", desk.dataset.mark], ...shown().map((at) => ["field", at])]);
    let state = null;
    try {
      const reply = await fetch(`/jobs/${encodeURIComponent(desk.dataset.job)}/news?${query}`, { redirect: "error" });
      const version = reply.headers.get("version"); // after an update of the program this script is an old one
      if (version && version !== document.body.dataset.version && !typing()) { leave(); return; }
      state = reply.status === 200 ? await reply.json() : null;
    } catch { /* the next change tells */ }
    if (!state || busy || asked !== digest) return;
    if (!typing() && marksOf(state) !== marksShown()) { leave(state.at); return; }
    others = { at: Date.now() - 1000 * state.seconds, s: state.ago_s, min: state.ago_min };
    fill(state, false, true);
    ago();
    said.textContent = byId("others").textContent; // told once, however long ago it is by then
  }

  function ago() {
    if (!others) return;
    const seconds = Math.round((Date.now() - others.at) / 1000), minutes = Math.floor(seconds / 60);
    byId("others").textContent = (minutes ? others.min : others.s).replace("%n", minutes || seconds);
  }
  setInterval(news, NEWS_EVERY);
  setInterval(ago, 10000);

  function settle() {
    clearTimeout(late);
    late = 0;
    desk.ariaBusy = "false";
    desk.classList.remove("stale");
    live.textContent = desk.dataset.current;
    if (heard) said.textContent = heard.size ? [...heard].map(([label, texts]) => `${label}: ${texts.join(", ")}`).join(". ") : desk.dataset.current;
    heard = null;
  }

  function retry() {
    setTimeout(async () => {
      try { await fetch(location.href, { method: "HEAD" }); leave(); } catch { retry(); }
    }, 2000);
  }

  function clear() {
    problem.hidden = conflict.hidden = order.hidden = true;
    desk.querySelectorAll("[aria-invalid]").forEach((field) => {
      field.removeAttribute("aria-invalid");
      field.removeAttribute("aria-describedby");
    });
  }

  function refuse(field, text) {
    clear();
    problem.textContent = text;
    problem.hidden = false;
    if (field) {
      field.setAttribute("aria-invalid", "true");
      field.setAttribute("aria-describedby", "problem");
      (field.closest(".field") ?? byId("mark").closest(".head")).after(problem);
    }
  }

  function ask(field, { theirs, who, ...said }) {
    clear();
    conflict.hidden = false;
    const [take, keep] = [byId("take-theirs"), byId("keep-yours")];
    byId("conflict-by").textContent = who;
    take.textContent = said.take;
    keep.textContent = said.keep;
    take.onclick = () => { field.value = theirs; taken.set(field.dataset.at, theirs); clear(); leave(location.href, field); };
    keep.onclick = () => { taken.set(field.dataset.at, theirs); send(field); field.focus(); };
    take.focus();
  }

  // A released job is not changed: what was typed goes into a change order, with its reason, or is put back.
  function askOrder(field, { lines, orders, reason }) {
    clear();
    order.hidden = false;
    byId("order-lines").textContent = lines.join("\n");
    byId("order-numbers").hidden = orders.length < 2;
    byId("order-numbers").replaceChildren(...orders.map(({ number, text }, at) => {
      const label = document.createElement("label"), input = document.createElement("input");
      Object.assign(input, { type: "radio", name: "number", value: number, checked: at === 0 });
      label.className = "check";
      label.append(input, text);
      return label;
    }));
    byId("order-reason").value = reason;
    order.onsubmit = (event) => {
      event.preventDefault();
      const entered = { "order-number": order.elements.number.value, "order-reason": byId("order-reason").value };
      queue(field.dataset.at, { act: "change", body: { at: field.dataset.at, text: field.value, ...entered }, field });
    };
    byId("order-back").onclick = () => { field.value = taken.get(field.dataset.at); clear(); field.focus(); };
    order.onkeydown = (event) => { if (event.key === "Escape") byId("order-back").click(); };
    byId("order-reason").focus();
  }

  const turn = byId("turn"), solid = byId("solid");
  turn?.addEventListener("click", () => {
    solid.hidden = byId("solid-note").hidden = !solid.hidden;
    turn.setAttribute("aria-expanded", String(!solid.hidden));
    showSolid();
  });

  async function showSolid() {
    if (!solid || solid.hidden) return;
    try {
      await (await import("./solid.js")).show(solid, turn.dataset.at);
    } catch {
      solid.hidden = true;
      byId("solid-note").textContent = byId("solid-note").dataset.none;
    }
  }

  function fill(state, overtaken, foreign = false) {
    digest = state.digest;
    const typed = document.activeElement;
    const open = new Set(foreign // what is typed and not taken yet stays, with the value that it was made from
      ? fields().filter((field) => field.value !== taken.get(field.dataset.at)).map((field) => field.dataset.at) : []);
    for (const [at, text] of Object.entries(state.values)) if (!open.has(at)) taken.set(at, text);
    if (overtaken) return; // a newer change is on its way: what this one says is stale already
    if (!foreign) heard ??= new Map();
    desk.querySelectorAll("[data-f]").forEach((place) => {
      const name = place.dataset.f, text = state.figures[name];
      if (text === undefined) return;
      delete place.dataset.was;
      if (place.textContent === text) return;
      if (!foreign && SAID.includes(name)) {
        const label = place.closest("div").querySelector("dt").textContent;
        heard.set(label, [...(heard.get(label) ?? []), text]);
      }
      place.dataset.was = `${desk.dataset.wordWas} ${place.textContent}`;
      place.textContent = text;
    });
    const rows = new Map(state.pieces.map((row) => [row.mark, row]));
    for (const name of ["weight", "crew", "size", "count", "description"])
      desk.querySelectorAll(`[data-${name}]`).forEach((place) => {
        const text = rows.get(place.dataset[name])?.[name];
        if (text !== undefined && place.textContent !== text) place.textContent = text; // the others need no layout
      });
    const pictured = state.pieces.find(({ picture }) => picture);
    if (pictured) thumbnail(desk.querySelector(".pc[aria-current] svg.th"), pictured.picture);
    for (const field of fields()) {
      const at = field.dataset.at, text = state.values[at];
      if (text !== undefined && (foreign ? !open.has(at) : field !== typed)) field.value = text;
    }
    byId("bags").replaceChildren(...state.bags.map((bag) => {
      const row = document.createElement("tr");
      row.append(cell(bag.name), cell(bag.packs, "n"));
      return row;
    }));
    showOpen(state.open);
    byId("none-open").hidden = state.open.length > 0;
    byId("open-head").hidden = state.open.length === 0;
    byId("more-open").textContent = state.more_open;
    undo.ariaDisabled = String(!state.undo); // not disabled, which would take the focus from it
    undo.toggleAttribute("data-of-other", Boolean(state.undo?.of_other));
    byId("undo-what").textContent = state.undo?.text ?? "";
    draw(state.drawing);
    showSolid();
  }

  function showOpen(open) {
    const list = byId("open"), at = [...list.querySelectorAll("a")].indexOf(document.activeElement);
    list.replaceChildren(...open.map(({ text, act, at: there }, number) => {
      const item = document.createElement("li"), mark = document.createElement("span"), said = document.createElement("span");
      const link = document.createElement("a");
      mark.className = "no";
      mark.ariaHidden = "true";
      mark.textContent = number + 1;
      link.href = there;
      link.textContent = act;
      said.append(`${text} `, link);
      item.append(mark, said);
      return item;
    }));
    if (at >= 0) (list.querySelectorAll("a")[at] ?? byId("main")).focus();
  }

  function cell(text, kind = "") {
    const made = document.createElement("td");
    made.className = kind;
    made.textContent = text;
    return made;
  }

  function traced(part) {
    const path = document.createElementNS(SVG, "path");
    path.setAttribute("class", part.kind);
    path.setAttribute("fill-rule", "evenodd");
    path.setAttribute("d", part.d);
    return path;
  }

  function thumbnail(picture, drawn) {
    if (!picture) return;
    picture.setAttribute("width", drawn.wide);
    picture.setAttribute("height", drawn.high);
    picture.setAttribute("viewBox", drawn.box);
    picture.replaceChildren(...drawn.paths.map(traced));
  }

  function draw(drawing) {
    const picture = byId("drawing");
    picture.setAttribute("viewBox", drawing.box);
    picture.setAttribute("aria-label", drawing.name);
    byId("drawing-dimensions").setAttribute("d", drawing.dimensions);
    byId("drawing-center").setAttribute("d", drawing.center);
    byId("drawing-paths").replaceChildren(...drawing.paths.map(traced));
    for (const [name, { x, y, text }] of Object.entries(drawing.places)) {
      const label = byId(`size-${name}`), field = desk.querySelector(`[data-place="${name}"]`);
      if (label) { label.setAttribute("x", x); label.setAttribute("y", y); label.textContent = text; }
      if (field) { field.dataset.x = x; field.dataset.y = y; }
    }
    place();
  }

  function place() {
    const picture = byId("drawing");
    const [, , wide, high] = picture.getAttribute("viewBox").split(" ").map(Number);
    picture.style.setProperty("--px", wide / across); // sizes are as large on every screen
    desk.querySelectorAll("[data-place]").forEach((field) => {
      field.style.left = `${(100 * field.dataset.x) / wide}%`;
      field.style.top = `${(100 * field.dataset.y) / high}%`;
    });
  }
}
