// One idea: what was tapped is on this phone's disk before the page says so, and goes to the server again and again
// until it is acknowledged. Offering twice does no harm, and nothing is deleted here.

export const channel = new BroadcastChannel("putback");
let opened;

const wait = (request) => new Promise((done, failed) => {
  request.onsuccess = request.oncomplete = () => done(request.result);
  request.onerror = request.onabort = () => failed(request.error);
});

// Events by id, those not acknowledged by job under `open`; packs and heads by job.
async function disk() {
  if (!opened) {
    const request = indexedDB.open("putback", 1);
    request.onupgradeneeded = () => {
      const make = (store, keyPath) => request.result.createObjectStore(store, { keyPath });
      const events = make("events", "id");
      for (const name of ["job", "open"]) events.createIndex(name, name);
      make("jobs", "job");
    };
    opened = await wait(request);
    opened.onclose = () => { opened = null; };
  }
  return opened;
}

// Write, and answer only when it is on the disk; what the server has already need not be waited for.
async function write(store, rows, durability = "relaxed") {
  const act = (await disk()).transaction(store, "readwrite", { durability });
  for (const row of rows) act.objectStore(store).put(row);
  await wait(act);
  return rows;
}

const lookUp = async (store, ask) => wait(ask((await disk()).transaction(store).objectStore(store)));

// The server's order, then the order of taps.
export const inOrder = (rows) => rows.sort((a, b) => (a.seq ?? 1e15) - (b.seq ?? 1e15) || a.n - b.n);

export const rowsOf = (job, index = "job") => lookUp("events", (all) => all.index(index).getAll(job));
export const jobs = () => lookUp("jobs", (all) => all.getAll());
const packAndHead = (job) => lookUp("jobs", (all) => all.get(job));

// Keep new events, behind all that is kept already, whatever the clock says. A photo stays with its event.
export async function add(job, events, after, file) {
  const n = Math.max(Date.now() * 1000, after + 1);
  const made = events.map((event, at) => ({ id: event.id, job, n: n + at, open: job, event, file }));
  const rows = await write("events", made, "strict");
  channel.postMessage(job);
  return rows;
}

export async function call(path, body, type = "application/json") {
  const headers = { "content-type": type, "x-putback": "1" };
  const answer = await fetch(`/api/${path}`, body && { method: "POST", body, headers });
  const said = await answer.json();
  if (answer.ok) return said;
  throw Error(`${said.failed.what}; ${said.failed.mend}`, { cause: said });
}

// The pack of a job: this phone's, fetched where it has none yet.
export async function packOf(job) {
  const there = await packAndHead(job), pack = there?.pack ?? await call(`jobs/${job}/pack`);
  if (!there) write("jobs", [{ job, pack, seq: 0, hash: "" }]);
  return pack;
}

export const offerPhoto = (job, file) => call(`jobs/${job}/photos`, file, file.type);

const MOST = 500;
let syncing, anew;
export let drift;

// Offer what the server does not have, take what it has more; rows that changed are added to `changed`. A photo that
// the server will not have stays here with its event, and hinders nothing else.
export async function sync(job, changed) {
  anew = true;
  if (syncing) return;
  const note = async (rows) => changed.push(...await write("events", rows)), path = `jobs/${job}/events`;
  let trouble;
  try {
    for (syncing = true; syncing;) {
      anew = false;
      const open = inOrder(await rowsOf(job, "open")).slice(0, MOST), unsent = [];
      for (const row of open) {
        try {
          if (row.file) await offerPhoto(job, row.file);
          unsent.push(row);
        } catch (wrong) { trouble = wrong; }
      }
      if (unsent[0]) {
        const { answers } = await call(path, JSON.stringify({ events: unsent.map((row) => row.event) }));
        await note(unsent.flatMap((row, at) =>
          answers[at].seq ? [] : { ...row, open: undefined, refused: why(answers[at]) }));
      }
      const mine = await packAndHead(job), got = await call(`${path}?after=${mine.seq}&hash=${mine.hash}`);
      drift = Math.abs(Date.now() - Date.parse(got.at));
      // The server knows another past (an older back-up): what it has counts, and all that is kept here is offered
      // again.
      if (!got.known) await note(inOrder(await rowsOf(job)).map((row, n) =>
        ({ ...row, n, seq: undefined, open: job })));
      await note(got.events.map((row) => ({ ...row, id: row.event.id, job, n: row.seq })));
      await write("jobs", [{ ...mine, ...got.head }]);
      syncing = anew || !got.known || open[MOST - 1];
    }
  } finally {
    syncing = false;
    if (changed[0]) channel.postMessage(job);
  }
  if (trouble) throw trouble;
}

const why = ({ conflict, refused = [conflict] }) => refused.map((one) => one.what).join("; ");
