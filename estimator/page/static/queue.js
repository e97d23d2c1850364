// Entries of this phone: kept here until the shop has them, sent in order, sent again until the shop says so.
const DATABASE = "cast-estimator", STORE = "entries";
const FIRST_WAIT = 500, LONGEST_WAIT = 5000, AT_ONCE = 200;

const SKEW = "clock", CLOSE = 30000; // ms between this phone's clock and the shop's that do not matter

const ACT = 24; // letters of an id that entries of one act share; the rest counts them

function newAct() {
  return [...crypto.getRandomValues(new Uint8Array(ACT / 2))].map((byte) => byte.toString(16).padStart(2, "0")).join("");
}
export const actOf = (id) => id.slice(0, ACT);

// Who is signed in on this phone, as far as it knows: kept beside each entry, since somebody else may send it.
function signedIn() {
  const name = /(?:^|; )signed-in-as="?([^;"]*)/.exec(document.cookie)?.[1];
  return name === undefined ? {} : { by: decodeURIComponent(name) };
}

function opened() {
  return new Promise((resolve, reject) => {
    const asked = indexedDB.open(DATABASE, 1);
    asked.onupgradeneeded = () => asked.result.createObjectStore(STORE, { keyPath: "id" });
    asked.onsuccess = () => resolve(asked.result);
    asked.onerror = () => reject(asked.error);
  });
}

export class Queue {
  // address  to which entries are sent; changed  called whenever what waits or the line's state changes
  static async open(address, job, changed) {
    const queue = new Queue();
    Object.assign(queue, { address, job, changed, database: await opened(), wait: FIRST_WAIT, busy: false });
    Object.assign(queue, { online: true, signedOut: false, turnedAway: 0, timer: 0, last: 0, held: [] });
    queue.skew = Number(localStorage.getItem(SKEW)) || 0;
    queue.held = (await queue.all()).filter((entry) => entry.job === job).sort((a, b) => a.order - b.order);
    // what a shop could not read is sent once more with each load: its program may be a newer one by then
    queue.refused.forEach((entry) => { entry.state = "waiting"; });
    queue.last = queue.held.at(-1)?.order ?? 0; // so that a clock set back does not put new entries before old ones
    addEventListener("online", () => queue.soon());
    document.addEventListener("visibilitychange", () => document.visibilityState === "visible" && queue.soon());
    navigator.storage?.persist?.();
    return queue;
  }

  // The time of the shop, as far as this phone has heard from it: its own clock may be wrong by hours.
  now() { return Date.now() + this.skew; }

  setClock(reply) {
    const skew = Date.parse(reply.headers.get("date") ?? "") - Date.now();
    if (!Number.isFinite(skew)) return;
    this.skew = Math.abs(skew) < CLOSE ? 0 : skew;
    localStorage.setItem(SKEW, String(this.skew));
  }

  // What an answer says beside its content. A shop that answers, but takes nothing, is not out of reach.
  heard(reply) {
    this.signedOut = reply.status === 401;
    this.turnedAway = reply.ok || this.signedOut ? 0 : reply.status;
    this.setClock(reply);
  }

  get waiting() { return this.held.filter((entry) => entry.state === "waiting"); }
  get kept() { return this.held.filter((entry) => entry.state === "kept"); }
  get refused() { return this.held.filter((entry) => entry.state === "refused"); }

  all() {
    return new Promise((resolve, reject) => {
      const asked = this.database.transaction(STORE).objectStore(STORE).getAll();
      asked.onsuccess = () => resolve(asked.result);
      asked.onerror = () => reject(asked.error);
    });
  }

  written(change) {
    return new Promise((resolve, reject) => {
      const work = this.database.transaction(STORE, "readwrite", { durability: "strict" });
      change(work.objectStore(STORE));
      work.oncomplete = () => resolve();
      work.onerror = work.onabort = () => reject(work.error);
    });
  }

  // Entries are on the disk of the phone once this resolves.
  async add(...entries) {
    const act = newAct();
    const who = signedIn(), rows = entries.map(({ kind, values }, number) => {
      this.last = Math.max(Date.now(), this.last + 1);
      return { id: act + number.toString(16).padStart(32 - ACT, "0"), job: this.job, kind, values, at: new Date(this.now()).toISOString().replace(/\.\d+Z/, "Z"),
               ...who, order: this.last, state: "waiting" };
    });
    await this.written((store) => rows.forEach((row) => store.put(row)));
    this.held.push(...rows);
    this.soon();
    return rows;
  }

  // What the shop has for certain needs no place on the phone.
  async forget(ids) {
    const gone = this.held.filter((entry) => ids.has(entry.id));
    if (!gone.length) return;
    await this.written((store) => gone.forEach((entry) => store.delete(entry.id)));
    this.held = this.held.filter((entry) => !ids.has(entry.id));
  }

  // What a shop that was restored from a back-up has lost is sent again: it keeps each entry once.
  async again(ids) {
    if (!ids.length) return;
    await this.marked(new Set(ids), "waiting");
    this.soon();
  }

  soon() {
    clearTimeout(this.timer);
    this.wait = FIRST_WAIT;
    this.send();
  }

  async send() {
    if (this.busy) return;
    const rows = this.waiting.slice(0, AT_ONCE);
    if (!rows.length) return;
    this.busy = true;
    try {
      const reply = await fetch(this.address, {
        method: "POST",
        headers: { "content-type": "application/json" },
        body: JSON.stringify(rows.map(({ id, kind, at, values, by }) => ({ id, kind, at, values, by }))),
        redirect: "error",
      });
      this.heard(reply);
      if (!reply.ok) throw new Error(String(reply.status));
      const { kept, refused } = await reply.json();
      await this.marked(new Set(kept), "kept");
      await this.marked(new Set(refused), "refused");
      this.online = true;
      this.wait = FIRST_WAIT;
      if (this.waiting.length && kept.length) this.timer = setTimeout(() => this.send(), 0);
    } catch (error) {
      this.online = /^\d+$/.test(error.message); // an answer that is a refusal
      this.timer = setTimeout(() => this.send(), this.wait);
      this.wait = Math.min(2 * this.wait, LONGEST_WAIT);
    } finally {
      this.busy = false;
      this.changed();
    }
  }

  async marked(ids, state) {
    const rows = this.held.filter((entry) => ids.has(entry.id));
    if (!rows.length) return;
    rows.forEach((row) => { row.state = state; });
    await this.written((store) => rows.forEach((row) => store.put(row)));
  }
}
