// One idea: a job's state is its record, folded by the tables of the pack. The server folds the same; a test holds
// both against each other. Nothing here reads a clock, a store or a page.

import { fits, gates } from "./gates.js";

const FIELDS = ["id", "job", "device", "at", "person", "kind", "body"];
const factOf = new WeakMap();

// What an event says was done; null for other events. A field of the wrong shape is left out.
function operation(t, { kind, body }) {
  const shapes = t.shapes["operation done"];
  if (kind !== "operation done" || !fits(shapes.must.verb, body.verb)) return null;
  const op = { verb: body.verb };
  for (const name of ["item", "joint", "guard", "energy", "fluid"]) op[name] = fits(shapes.may[name], body[name]) ? body[name] : "";
  if (fits(shapes.may.count, body.count)) op.count = body.count;
  op.litres = fits(shapes.may.litres, body.litres) ? body.litres : 0;
  return op;
}

// What follows from an event alone: its times in milliseconds, what it did, whether it is well formed, whether it
// can be read at all.
function fact(t, event) {
  const { kind, body, at } = event, shapes = Object.hasOwn(t.shapes, kind) && t.shapes[kind];
  const all = shapes ? { ...shapes.may, ...shapes.must } : {}, has = (name) => Object.hasOwn(all, name);
  const wrong = Object.keys(all).filter((name) => body[name] == null ? shapes.must[name] : !fits(all[name], body[name]));
  const odd = !shapes || Object.keys(event).some((name) => !FIELDS.includes(name)) || Object.keys(body).some((name) => !has(name));
  const op = operation(t, event), time = Date.parse(at), steady = body.steady_s;
  return {
    ...event, event, op, at: time, day: at.slice(0, 10), east: Date.parse(at.replace(/(Z|[+-]..:..)$/, "Z")) - time,
    steady: typeof steady === "number" && steady >= 0 && steady <= 1e9 ? steady * 1e3 : undefined,
    formed: !odd && !wrong.length, odd: odd || kind === "operation done" && !op,
    misshapen: t.must_be_read.includes(kind) && wrong.some((name) => t.says_what.includes(name)),
  };
}

// One spelling of an event: an id that comes again with other content is no second event, it is a doubt.
const spelt = (event) => JSON.stringify(event, (_, value) => value === null || typeof value !== "object" || Array.isArray(value)
  ? value : Object.fromEntries(Object.keys(value).sort().map((name) => [name, value[name]])));

// Records ({event, received_at}) in the server's order, then what this device holds beyond it.
export function fold(t, records) {
  const byId = new Map(), facts = [], fallen = new Set(), mended = Object.create(null);
  for (const { event, received_at } of records) {
    const first = byId.get(event.id), same = (one) => one.id === event.id && spelt(one.event) === spelt(event);
    if (event.job !== records[0].event.job || first && facts.some(same)) continue;
    if (!factOf.has(event)) factOf.set(event, fact(t, event));
    const one = { ...factOf.get(event), place: facts.length + 1, got: received_at ? Date.parse(received_at) : undefined };
    if (one.kind === "operation taken back") mended[one.body.mends] ??= one.place;
    if (first) Object.assign(one, { op: null, again: true });
    else byId.set(event.id, one);
    facts.push(one);
  }
  for (const one of byId.values()) {
    const taken = one.kind === "operation taken back" && byId.get(one.body.mends);
    if (!taken?.op) continue;
    if (taken.op.verb !== "restore") fallen.add(taken.id);
    for (const other of facts) {
      const voided = other.op && (t.voids[taken.op.verb] ?? []).includes(other.op.verb);
      if (voided && other !== taken && other.place < one.place && other.op.energy === taken.op.energy)
        fallen.add(other.id);
    }
  }
  for (const one of facts) {
    one.mended = mended[one.id];
    one.stands = one.formed && !one.mended && !fallen.has(one.id) && !one.again;
    one.unknown = one.odd || one.misshapen || one.again;
  }
  const standing = facts.filter((one) => one.op && !fallen.has(one.id));
  const state = { item: {}, joint: {}, energy: {}, fluid: {}, guard: {}, litres: {}, waited: new Set(), renewed: new Set() };
  for (const one of standing) step(t, state, one.op);
  return { state, standing, fallen, facts, byId, unknown: facts.filter((one) => one.odd && !one.again).map((one) => one.id) };
}

function step(t, state, op) {
  const kind = t.moves[op.verb];
  const thing = op[kind];
  if (kind === "wait" && op.energy) state.waited.add(op.energy);
  if (kind === "renew") for (const id of [op.item, op.joint]) if (id) state.renewed.add(id);
  if (!thing) return;
  if (kind === "guard") {
    const place = `${thing}|${op.item}`;
    state.guard[place] = (state.guard[place] ?? 0) + (op.verb === "guard" ? 1 : -1) * (op.count ?? 1);
    return;
  }
  state[kind][thing] = t.steps[seat(t, state, kind, thing)]?.[op.verb] ?? t.results[op.verb];
  if (op.verb === "undo") state.renewed.delete(thing);
  if (op.verb === "restore") state.waited.delete(thing);
  if (kind === "fluid") state.litres[thing] = (state.litres[thing] ?? 0) + (op.verb === "drain" ? 1 : -1) * op.litres;
}

export const seat = (t, state, kind, thing) => state[kind][thing] ?? t.rest[kind];

// The job at a moment (milliseconds) for {person, device, steady_s}: what is done, what is possible, what is shut and
// by which gates, what is owed. `shut` gives by the place of an act its gates: {kind, energy, item, about, open,
// through, code, facts, lacks, clock: {started, ends}, override: nobody, named or asked}.
export function now(pack, records, at, { person, device, steady_s, east = -60_000 * new Date(at).getTimezoneOffset() }) {
  const t = pack.tables, folded = fold(t, records), { state, standing } = folded;
  const ops = new Map(pack.operations.map((op) => [op.n, op]));
  const byKey = new Map([...pack.operations].reverse().map((op) => [op.key, op.n]));
  const done = new Map(), off = {}, back = {}, covered = new Set();
  for (const one of standing) {
    const { verb, item, joint } = one.op;
    const key = t.keys[verb];
    const said = one.body.planned;
    const n = key ? byKey.get([key[0], ...key.slice(1).map((name) => one.op[name])].join("|")) : ops.get(said)?.verb === verb ? said : undefined;
    const count = () => one.op.count ?? pack.operations.find((op) => op.joint === joint)?.count ?? 0;
    if (verb === "undo" && joint) { off[joint] = count(); delete back[joint]; }
    else if (verb === "tighten" && joint) back[joint] = count();
    else if (key?.[0] === "on") for (const id of pack.hides[item] ?? []) covered.add(id);
    else if (key?.[0] === "off") {
      for (const id of pack.hides[item] ?? []) covered.delete(id);
    }
    if (n === undefined) continue;
    for (const felled of ops.get(n).fells ?? []) done.delete(felled);
    done.set(n, one.id);
  }
  const job = { ...folded, pack, ops, done, off, back, covered, shut: {} };
  const before = gates(pack, folded, { at, person, device, east, steady: steady_s == null ? undefined : steady_s * 1e3 });
  job.left = pack.acts.map((act) => act.operations.filter((n) => !done.has(n)));
  job.standing = pack.acts.map((act, place) => {
    if (!job.left[place].length) return "done";
    const shut = new Map();
    for (const gate of job.left[place].flatMap((n) => before(ops.get(n)))) {
      const key = [gate.kind, gate.energy, gate.item, gate.about].join("|");
      if (!gate.through && !shut.has(key)) shut.set(key, gate);
    }
    if (shut.size) job.shut[place] = [...shut.values()];
    return act.after.some((one) => job.left[one].length) ? "later" : shut.size ? "shut" : "possible";
  });
  job.suggested = suggested(job);
  job.owed = pack.operations.filter((op) => done.has(op.n) && op.twin > op.n && !done.has(op.twin)).length;
  return job;
}

function suggested({ pack, standing, left }) {
  for (const wanted of ["possible", "shut"]) {
    const places = standing.flatMap((one, place) => (one === wanted ? [place] : []));
    const begun = places.find((place) => left[place].length < pack.acts[place].operations.length);
    if (places.length) return begun ?? places[0];
  }
  return null;
}

// What is seen for the last time before an item goes back, dearest first; what is cheap and in order is left out.
export function looks({ pack, covered, state, off, back }, item) {
  return (pack.hides[item] ?? []).filter((id) => !covered.has(id)).map((id) => {
    const joints = new Set(pack.operations.filter((op) => op.item === id && op.verb === "undo").map((op) => op.joint));
    const short = [...joints].reduce((sum, joint) => sum + Math.max(0, (off[joint] ?? 0) - (back[joint] ?? 0)), 0);
    const plugs = Object.entries(state.guard).reduce((sum, [at, n]) => sum + (at.endsWith(`|${id}`) ? n : 0), 0);
    return { item: id, minutes: pack.rework[id] ?? 0, short, plugs };
  }).filter((look) => look.short || look.plugs || look.minutes >= pack.looks.asked_from)
    .sort((a, b) => b.minutes - a.minutes || (a.item < b.item ? -1 : 1));
}

// The words of a gate: why it is shut, what opens it.
export function words(pack, { kind, code, energy, item, about, lacks, facts }) {
  const { why, opens, lacks: missing } = pack.gates.words;
  const name = (id) => pack.energies[id]?.called ?? pack.items[id]?.name ?? pack.guards[id] ?? id ?? "";
  const lack = (one) => {
    const [word, thing] = one.split(/ (.*)/);
    return missing[one] ?? missing[word]?.replace("{}", name(thing?.split("|")[0])) ?? one;
  };
  const said = { ...facts, energy: name(energy), item: name(item), about: name(about), lacks: lacks.map(lack).join(", ") };
  const fill = (text) => text.replace(/\{(\w+)\}/g, (_, key) => said[key] ?? "");
  return { why: fill(why[code] ?? code), opens: fill(opens[kind]) };
}
