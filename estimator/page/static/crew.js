// The crew's screens: they say when the network is gone and when the job has a newer revision than the sheet in hand.
import { keepScreens } from "./phone.js";

const LOOK_EVERY = 10000;
const sheet = document.querySelector("[data-sheet]");
const { job, digest, revision } = sheet.dataset;
const lines = [...document.querySelectorAll(".off")];
const made = new Date(sheet.dataset.sheet).toLocaleTimeString(document.documentElement.lang, { hour: "numeric", minute: "2-digit" });
lines.forEach((line) => { line.textContent = line.dataset.text.replace("%time", made); });

// A label of another revision: said here too, since a page kept on the phone was made for another label.
const asked = new URLSearchParams(location.search).get("rev");
if (asked && asked !== revision) document.querySelectorAll("[data-old]").forEach((bar) => { bar.hidden = false; });

async function look() {
  if (document.visibilityState !== "visible") return;
  try {
    const reply = await fetch(`/crew-state/${encodeURIComponent(job)}`, { redirect: "error" });
    lines.forEach((line) => { line.hidden = true; });
    if (reply.ok && (await reply.json()).digest !== digest && !document.activeElement?.matches("input")) anew();
  } catch {
    lines.forEach((line) => { line.hidden = false; });
  }
}

// The figures of now, under the revision of the sheet that was open: where it has a newer one, the black bar says so.
function anew() {
  const address = new URL(location);
  if (revision && !address.searchParams.has("rev")) address.searchParams.set("rev", revision);
  location.replace(address);
  if (address.hash) location.reload(); // an address that differs in its end alone loads nothing
}

// Every piece of the list is kept on the phone, one after the other, so that a label can be read without a network.
async function keepAll() {
  if (!(await keepScreens()) || !navigator.serviceWorker.controller) return;
  for (const link of document.querySelectorAll(".tiles a")) {
    try { await fetch(link.href); } catch { return; }
  }
}

look();
setInterval(look, LOOK_EVERY);
document.addEventListener("visibilitychange", look);
addEventListener("offline", look);
addEventListener("online", look);
keepAll();
