// The crew's screens: they say when the network is gone and when the job has a newer revision than the sheet in hand.
import { keepScreens } from "./phone.js";

const LOOK_EVERY = 10000;
const sheet = document.querySelector("[data-sheet]");
const { job, digest, revision, says } = sheet.dataset;
const lines = [...document.querySelectorAll(".off")];
const made = new Date(sheet.dataset.sheet).toLocaleTimeString(document.documentElement.lang, { hour: "numeric", minute: "2-digit" });
lines.forEach((line) => { line.textContent = line.dataset.text.replace("%time", made); });

// A label of another revision or weight: said here too, since a page kept on the phone was made for another label.
const label = new URLSearchParams(location.search), differs = (name, now) => Boolean(label.get(name)) && label.get(name) !== now;
const isOld = differs("rev", revision), isStale = Boolean(says) && !isOld && differs("says", says);
document.querySelectorAll("[data-old]").forEach((bar) => { bar.hidden = !isOld; });
document.querySelectorAll("[data-stale]").forEach((bar) => { bar.hidden = !isStale; });

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

// The figures of now, under the revision and weight of the sheet that was open: the black bar says what differs.
function anew() {
  const address = new URL(location);
  for (const [name, now] of Object.entries({ rev: revision, says }))
    if (now && !address.searchParams.has(name)) address.searchParams.set(name, now);
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
