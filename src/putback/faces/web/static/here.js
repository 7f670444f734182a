// One idea: what the page knows now stands in one place; a tap is an event, kept on the disk before it is shown.

import { own, stamp, steady } from "./clock.js";
import { add, inOrder, sync } from "./keep.js";
import { now } from "./reduce.js";

export const id = () => Array.from(crypto.getRandomValues(new Uint32Array(3)), (n) => n.toString(36)).join("");

export const job = new URLSearchParams(location.search).get("job");
export const device = own.device ??= `phone-${id()}`;
export const records = new Map();
export const page = {};

// `ui` is what was touched and is not an event yet; `told` what hinders the way to the server, in words.
export let pack, view, rows = [], ui = {}, me = own.me ?? null, told, busy, asked, writing;
export let crew = JSON.parse(own.crew ?? "{}");

export const begin = (given) => { pack = given; };
export const fresh = (more = {}) => { ui = more; page.draw(); scrollTo(0, 0); };
export const put = (more) => { Object.assign(ui, more); page.draw(); };

// The job now, worked out anew from all that is kept here; while a tap is on its way to the disk that can wait.
export function refresh(more = []) {
  for (const row of more) records.set(row.id, row);
  if (writing) return;
  rows = inOrder([...records.values()]);
  view = now(pack, rows, Date.now(), { person: me, device, steady_s: steady() });
  page.draw();
}

// A text of the pack, with facts in its gaps.
export const say = (key, facts) => pack.says[key].replace(/\{(\w+)\}/g, (_, name) => facts[name]);

// Who works here: names stand outside the record, which has ids alone.
export const named = (text) => text.replace(/p-\w+/g, (person) => crew[person]?.name ?? person);

export function known(more) {
  crew = { ...crew, ...more };
  own.crew = JSON.stringify(crew);
}

export const be = (person) => { own.me = me = person; };

// Keep facts as events. `then` is what stays touched. For a moment no other tap counts: gloves tap twice.
export async function log(facts, then = {}, file) {
  busy = true;
  setTimeout(() => { busy = false; page.draw(); }, 350);
  const event = ([kind, body]) => {
    const can = (name) => pack.tables.kinds[kind].includes(name);
    const said = { ...body, who: body.who ?? (can("who") ? me : null), steady_s: can("steady_s") ? steady() : null };
    for (const name in said) if (said[name] == null || said[name] === "") delete said[name];
    return { id: `${device}-${id()}`, job, device, at: stamp(), person: me, kind, body: said };
  };
  let made = [];
  writing = true;
  for (const go of document.getElementsByClassName("go")) go.disabled = true;
  try {
    made = await add(job, facts.map(event), rows.at(-1)?.n ?? 0, file);
    ui = then;
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
    told = "";
    asked = true;
  } catch (wrong) {
    told = wrong.said ? wrong.message : say("not reached");
  }
  if (changed[0]) refresh(changed);
  else page.draw();
}

// Whether all is at the server, in words.
export function standing() {
  const refused = rows.find((row) => row.refused)?.refused, open = rows.filter((row) => row.open).length, all = rows.length;
  return refused ? say("refused", { refused }) : open ? say("open", { open, told: told || say("on the way") })
    : told ? say("gone", { told }) : say(asked ? "kept" : "asking", { all });
}
