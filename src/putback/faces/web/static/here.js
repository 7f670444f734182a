// One idea: what the page knows now stands in one place; a tap is an event, kept on the disk before it is shown.

import { own, stamp, steady } from "./clock.js";
import { assign, entries, fromEntries, gaps } from "./dom.js";
import { add, call, inOrder, sync } from "./keep.js";
import { now } from "./reduce.js";

export const id = () => crypto.getRandomValues(new Uint32Array(2)).join("");

export const asked = new URLSearchParams(location.search);
export const job = asked.get("job");
export const device = own.device ??= `phone-${id()}`;
export const records = new Map();
export const page = {};

// `ui` is what was touched and is not an event yet; `heard` what hinders the way to the server, in words.
export let pack, view, rows = [], ui = {}, me = own.me, heard, busy, reached, writing;
export let crew = JSON.parse(own.crew ?? "{}");

export const begin = (given) => { pack = given; };
export const put = (more) => { assign(ui, more); page.draw(); };
export const fresh = (more = {}) => { ui = more; refresh(); scrollTo(0, 0); };

// The job now, worked out anew from all that is kept here; while a tap is on its way to the disk that can wait.
export function refresh(more = []) {
  for (const row of more) records.set(row.id, row);
  if (writing) return;
  rows = inOrder([...records.values()]);
  view = now(pack, rows, Date.now(), { person: me, device, steady_s: steady(), again: ui.again && ui.act });
  page.draw();
}

export const say = (key, facts) => gaps(pack.says[key], facts);

// Who works here: names stand outside the record, which has ids alone.
export const named = (text) => text.replace(/[\w-]+/g, (person) => crew[person]?.name ?? person);

export function known(more) {
  assign(crew, more);
  own.crew = JSON.stringify(crew);
}

export const be = (person) => { own.me = me = person; };

// Names go to the server, and those of others come; without it those of this phone serve.
export async function befriend() {
  try {
    for (const [id, { name, unsent }] of entries(crew)) if (unsent) await call("people", JSON.stringify({ id, name }));
    known(fromEntries((await call(`people?job=${job}`)).people.map((one) => [one.id, one])));
  } catch { /* they are offered again at the next start */ }
  refresh();
}

// Keep facts as events. `then` is what stays touched. For a moment no other tap counts: gloves tap twice. What a
// device says of itself is of no person.
export async function log(facts, then = {}, file) {
  busy = true;
  setTimeout(() => { busy = false; page.draw(); }, 350);
  const event = ([kind, body]) => {
    const said = { who: me, steady_s: steady(), ...body }, fields = pack.tables.kinds[kind];
    for (const name in said) if (!fields.includes(name) || !said[name] && said[name] !== 0) delete said[name];
    return { id: `${device}-${id()}`, job, device, at: stamp(), person: body.device ? null : me, kind, body: said };
  };
  let made = [];
  writing = true;
  for (const go of document.getElementsByClassName("go")) go.disabled = true;
  try {
    made = await add(job, facts.map(event), rows.at(-1)?.n ?? 0, file);
    ui = { ...then, pass: false };
  } catch (wrong) {
    ui.wrong = say("not kept", { why: /Quota/.test(wrong.name) ? say("full") : wrong.message });
  }
  writing = false;
  refresh(made);
  offer();
}

export async function offer() {
  const changed = [];
  try {
    await sync(job, changed);
    heard = "";
    reached = 1;
  } catch (wrong) {
    heard = wrong.cause ? wrong.message : say("not reached");
  }
  if (changed[0]) refresh(changed);
  else page.draw();
}

// Whether all is at the server, in words.
export function standing() {
  const { refused } = rows.find((row) => row.refused) ?? {}, open = rows.filter((row) => row.open).length;
  return refused ? say("refused", { refused }) : open ? say("open", { open, heard: heard || say("on the way") })
    : heard ? say("gone", { heard }) : say(reached ? "kept" : "asking", { all: rows.length });
}
