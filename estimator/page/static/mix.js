// The mix bench in the browser: the slider moves over shares that were computed once; the price follows alone.
const SVG = "http://www.w3.org/2000/svg";
const bench = document.getElementById("bench");
const byId = (id) => document.getElementById(id);
const base = `/jobs/${encodeURIComponent(bench.dataset.job)}/mix`;
const mix = encodeURIComponent(bench.dataset.mix);
const slider = byId("share");
const STEP = 5, WAIT_MS = 150, FIGURES = ["at-fresh", "at-floats", "at-all", "at-people"];
let rows = [], asked = 0, dragging = false, moved = false;

byId("at-price").textContent = bench.dataset.working;
fetch(`${base}/rows?mix=${mix}`).then((reply) => reply.json()).then((answer) => {
  rows = answer.rows;
  plot();
  show();
});
slider.addEventListener("pointerdown", () => { dragging = true; });
for (const end of ["pointerup", "pointercancel"]) slider.addEventListener(end, () => { dragging = false; });
slider.addEventListener("input", () => { // a finger moves it over the shares that are there; keys find the ones between
  moved = true;
  if (dragging) slider.value = STEP * Math.round(slider.value / STEP);
  show();
});
slider.addEventListener("keydown", (event) => {
  const by = { ArrowLeft: -1, ArrowDown: -1, ArrowRight: 1, ArrowUp: 1 }[event.key];
  if (!by || event.ctrlKey || event.metaKey || event.altKey) return;
  event.preventDefault();
  const at = Number(slider.value), step = by > 0 ? Math.floor(at / STEP) + 1 : Math.ceil(at / STEP) - 1;
  moved = true;
  slider.value = event.shiftKey ? at + by : STEP * step;
  show();
});

async function between(percent) { // a share that lies between two steps is worked out on its own
  await new Promise((resume) => { setTimeout(resume, WAIT_MS); });
  if (Number(slider.value) !== percent || rows.some((each) => each.share === percent)) return;
  const reply = await fetch(`${base}/rows?mix=${mix}&share=${percent}`);
  rows.push(...(await reply.json()).rows);
  rows.sort((one, other) => one.share - other.share);
  if (Number(slider.value) === percent) show();
}

function show() {
  const percent = Number(slider.value), row = rows.find((each) => each.share === percent);
  byId("share-text").textContent = slider.ariaValueText = byId("share-text").dataset.one.replace("1", percent);
  byId("keep").value = percent;
  document.querySelectorAll("[data-cursor]").forEach((line) => ["x1", "x2"].forEach((end) => line.setAttribute(end, percent * 10)));
  FIGURES.forEach((id) => byId(id).classList.toggle("old", !row || Boolean(row.problem)));
  if (!row) {
    if (rows.length) between(percent);
    return;
  }
  byId("problem").hidden = !row.problem;
  byId("problem").textContent = row.problem;
  byId("use").disabled = Boolean(row.problem);
  if (row.problem) { // its figures would be those of another share
    asked += 1;
    byId("at-price").classList.add("old");
    return;
  }
  byId("at-fresh").textContent = row.fresh;
  byId("at-floats").textContent = row.floats;
  byId("at-all").textContent = row.all;
  const most = row.pieces.reduce((worst, piece) => (rank(piece) > rank(worst) ? piece : worst));
  byId("at-people").textContent = most.crew;
  row.pieces.forEach((piece, number) => { byId(`crew-${number}`).textContent = `${piece.weight}, ${piece.crew}`; });
  price(percent);
}

function rank(piece) { return piece.people || 99; }

function price(percent) {
  const number = ++asked;
  byId("at-price").classList.add("old");
  setTimeout(async () => {
    if (number !== asked) return; // the slider has moved on
    const reply = await fetch(`${base}/price?mix=${mix}&share=${percent}`);
    const answer = await reply.json();
    if (number !== asked) return;
    byId("at-price").textContent = answer.price || "–";
    byId("at-price").classList.remove("old");
    if (moved) byId("said").textContent = [...bench.querySelectorAll(".strip > div")].map(({ children: [label, ...figures] }) =>
      `${label.textContent}: ${figures.map((figure) => figure.textContent).join(", ")}`).join(". "); // once all of them are there
  }, WAIT_MS);
}

function plot() {
  const sound = rows.filter((row) => !row.problem);
  if (!sound.length) return;
  const most = Math.max(...sound.map((row) => row.fresh_kg_m3)) * 1.05;
  const curve = `M${sound.map((row) => `${row.share * 10} ${100 - (100 * row.fresh_kg_m3) / most}`).join("L")}`;
  byId("plots").replaceChildren(
    line(document.querySelector("#at-fresh").closest("div").querySelector("dt").textContent, 92, [["path", { d: curve, class: "thin" }]], ""),
    ...sound[0].pieces.map((piece, number) => bar(piece.mark, number, sound)),
  );
}

function bar(mark, number, sound) {
  const parts = [];
  sound.forEach((row, at) => {
    const people = row.pieces[number].people, last = parts.at(-1);
    const end = at + 1 < sound.length ? sound[at + 1].share : 100;
    if (last && last.people === people) last.end = end;
    else parts.push({ people, start: row.share, end });
  });
  const shapes = parts.flatMap(({ people, start, end }) => [
    ["rect", { x: start * 10, y: 4, width: Math.max((end - start) * 10, 4), height: 92, class: people ? "bar" : "bar lift" }],
  ]);
  const row = line(mark, 28, shapes, `crew-${number}`);
  const picture = row.querySelector(".mp");
  parts.forEach(({ people, start, end }) => {
    if (end - start < 8 || !people) return;
    const label = document.createElement("span");
    label.className = "mn";
    label.textContent = people;
    label.style.left = `${start}%`;
    picture.append(label);
  });
  return row;
}

function line(name, high, shapes, id) {
  const row = document.createElement("div"), label = document.createElement("b"), middle = document.createElement("div"), value = document.createElement("span");
  row.className = "mr";
  label.textContent = name;
  middle.className = "mp";
  value.id = id;
  const picture = document.createElementNS(SVG, "svg");
  for (const [key, text] of Object.entries({ viewBox: "0 0 1000 100", preserveAspectRatio: "none", "aria-hidden": "true", height: high }))
    picture.setAttribute(key, text);
  for (const [kind, values] of [...shapes, ["line", { y1: 0, y2: 100, x1: 0, x2: 0, "data-cursor": "", class: "cursor" }]]) {
    const shape = document.createElementNS(SVG, kind);
    for (const [key, text] of Object.entries(values)) shape.setAttribute(key, text);
    picture.append(shape);
  }
  middle.append(picture);
  row.append(label, middle, value);
  return row;
}
