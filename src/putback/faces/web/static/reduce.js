// One idea: a job's state is its record, folded by the tables of the pack. The server folds the same; a test holds
// both against each other. Nothing here reads a clock, a store or a page.

import { entries, fromEntries, gaps, hasOwn, keys } from "./dom.js";
import { fits, gates, listed, seat } from "./gates.js";

const factOf = new WeakMap();

// What follows from an event alone: its times in milliseconds, what was done (a field of the wrong shape is left out),
// whether it is well formed, whether it can be read at all.
function fact(t, event) {
  const { kind, body, at } = event, shapes = hasOwn(t.shapes, kind) && t.shapes[kind], time = Date.parse(at);
  const wrong = keys(shapes).filter((name) => !fits(shapes[name], body[name])), steady = body.steady_s;
  const op = kind === "operation done" && !wrong.includes("verb")
    && fromEntries(t.op.map((name) => [name, wrong.includes(name) ? null : body[name] ?? null]));
  const odd = !shapes || keys(event).some((name) => !t.fields.includes(name))
    || keys(body).some((name) => !hasOwn(shapes, name)) || kind === "operation done" && !op;
  return {
    ...event, event, op, odd, at: time, day: at.slice(0, 10),
    east: Date.parse(at.replace(/(Z|[+-]..:..)$/, "Z")) - time,
    steady: typeof steady === "number" && steady >= 0 && steady <= 1e9 ? steady * 1e3 : NaN,
    formed: !odd && !wrong[0], misshapen: wrong.some((name) => t.says_what[kind]?.includes(name)),
  };
}

// Whether two events say the same: an id that comes again with other content is no second event, it is a doubt.
function alike(...two) {
  const names = [];
  JSON.stringify(two, (name, value) => (names.push(name), value));
  const [one, other] = two.map((event) => JSON.stringify(event, names));
  return one === other;
}

// Records ({event, received_at}) in the server's order, then what this device holds beyond it.
export function fold(t, records) {
  const byId = new Map(), facts = [], fallen = new Set(), mended = {};
  for (const { event, received_at } of records) {
    const { id, job } = event, first = byId.get(id);
    if (job !== records[0].event.job) continue;
    if (first && facts.some((one) => one.id === id && alike(one.event, event))) continue;
    if (!factOf.has(event)) factOf.set(event, fact(t, event));
    const one = { ...factOf.get(event), place: facts.length + 1, got: Date.parse(received_at) };
    if (one.kind === "operation taken back") mended[one.body.mends] ??= one.place;
    if (first) one.op = null;
    else byId.set(id, one);
    one.again = first;
    facts.push(one);
  }
  for (const one of facts) {
    const undone = one.kind === "operation taken back" ? byId.get(one.body.mends) : undefined, op = undone?.op;
    one.undone = undone;
    if (!op || one.again) continue;
    if (op.verb !== "restore") fallen.add(undone.id);
    for (const other of facts.slice(0, one.place)) if (other.op && other !== undone && other.op.energy === op.energy
      && t.voids[op.verb]?.includes(other.op.verb)) fallen.add(other.id);
  }
  for (const one of facts) {
    one.mended = mended[one.id];
    one.stands = one.formed && !one.mended && !fallen.has(one.id) && !one.again;
    one.unknown = one.odd || one.misshapen || one.again;
  }
  const state = fromEntries([...keys(t.rest), "guard", "litres"].map((kind) => [kind, { __proto__: null }]));
  const standing = facts.filter((one) => one.op && !fallen.has(one.id));
  state.waited = new Set();
  state.renewed = new Set();
  for (const one of standing) step(t, state, one.op);
  const unknown = facts.filter((one) => one.odd && !one.again).map((one) => one.id);
  return { state, standing, fallen, facts, unknown };
}

function step(t, state, op) {
  const { verb, item, joint, energy, count, litres } = op;
  const kind = t.moves[verb], thing = op[kind], sign = t.signs[verb];
  const add = (sums, at, many) => { sums[at] = (sums[at] ?? 0) + sign * many; };
  if (kind === "wait" && energy) state.waited.add(energy);
  if (kind === "renew") for (const id of [item, joint]) if (id) state.renewed.add(id);
  if (!thing) return;
  if (kind === "guard") return add(state.guard, `${thing}|${item ?? ""}`, count ?? 1);
  state[kind][thing] = t.steps[seat(t, state, kind, thing)]?.[verb] ?? t.results[verb];
  if (kind === "fluid") add(state.litres, thing, litres);
  if (verb === "undo") state.renewed.delete(thing);
  if (verb === "restore") state.waited.delete(thing);
}

// What of the plan is done, and by which event; what is off, back, covered.
function jobOf(pack, records) {
  const t = pack.tables, folded = fold(t, records);
  const ops = new Map(pack.operations.map((op) => [op.n, op]));
  const byKey = new Map(pack.operations.map((op) => [op.key, op.n]).reverse());
  const done = new Map(), off = {}, back = {}, out = {}, covered = new Set();
  for (const { id, op, body: { planned } } of folded.standing) {
    const { verb, item, joint } = op, key = t.keys[verb], hides = listed(pack.hides, item);
    const n = key ? byKey.get(key.map((name, at) => at ? op[name] : name).join("|"))
      : ops.get(planned)?.verb === verb ? planned : undefined;
    const count = op.count ?? pack.operations.find((op) => op.joint === joint)?.count ?? 0;
    if (verb === "undo" && joint) off[joint] = out[joint] = count, delete back[joint];
    if (/^(start|tight)/.test(verb) && joint) out[joint] = off[joint] - count;
    if (verb === "tighten" && joint) back[joint] = count;
    for (const one of hides) key?.[0] === "on" ? covered.add(one) : key?.[0] === "off" && covered.delete(one);
    if (!n) continue;
    for (const felled of ops.get(n).fells ?? []) done.delete(felled);
    done.set(n, id);
  }
  return { ...folded, pack, ops, done, off, back, out, covered, before: gates(pack, folded) };
}

// What was told last, and of what: the record stays the same while time goes on.
const last = { of: [] };
function readRecords(pack, records) {
  const of = [pack, ...records.flatMap(({ event, received_at }) => [event, received_at])];
  if (of.length !== last.of.length || of.some((one, at) => one !== last.of[at])) last.job = jobOf(pack, records);
  last.of = of;
  return last.job;
}

// The job at a moment (milliseconds) for {person, device, steady_s}: what is done, what is possible, what is shut and
// by which gates, what is owed. `shut` gives by the place of an act its gates: {kind, energy, item, about, open,
// through, code, facts, lacks, clock: {started, ends}, override: nobody, named or asked}. `again`: the place of an act
// that is done over again.
export function now(pack, records, at, { steady_s, again, east = -6e4 * new Date(at).getTimezoneOffset(), ...me }) {
  const job = { ...readRecords(pack, records), shut: {} }, { ops, done } = job;
  const before = job.before({ ...me, at, east, steady: (steady_s ?? NaN) * 1e3 });
  const left = job.left = pack.acts.map((act, place) => act.operations.filter((n) => place === again || !done.has(n)));
  job.standing = pack.acts.map(({ after }, place) => {
    if (!left[place][0]) return "done";
    const shut = new Map();
    for (const gate of left[place].flatMap((n) => before(ops.get(n)))) {
      const key = [gate.kind, gate.energy, gate.item, gate.about].join("|");
      if (!gate.through && !shut.has(key)) shut.set(key, gate);
    }
    const all = [...shut.values()];
    if (all[0]) job.shut[place] = all;
    return after.some((one) => left[one][0]) ? "later"
      : all.some((one) => one.override !== "asked") ? "shut" : "possible";
  });
  // what was begun comes first, then what comes first in the plan; only then what is shut
  const places = (wanted) => keys(left).filter((place) => job.standing[place] === wanted).map(Number);
  const [possible] = ["possible", "shut"].map(places).filter((all) => all[0] != null);
  const begun = possible?.find((place) => left[place].length < pack.acts[place].operations.length);
  job.suggested = begun ?? possible?.[0] ?? null;
  job.owed = pack.operations.filter((op) => done.has(op.n) && op.twin > op.n && !done.has(op.twin)).length;
  return job;
}

// What is seen for the last time before an item goes back, dearest first; what is cheap and in order is left out. What
// is `wrong` with an item beside that is said by its id.
export function looks({ pack, covered, state, off, back }, item, wrong = {}) {
  const sum = (all) => all.reduce((one, other) => one + other, 0);
  return listed(pack.hides, item).filter((id) => !covered.has(id)).map((id) => {
    const joints = new Set(pack.operations.map((op) => op.item === id && op.verb === "undo" && op.joint));
    return {
      item: id, minutes: pack.rework[id] ?? 0,
      short: sum([...joints].map((joint) => Math.max(0, (off[joint] ?? 0) - (back[joint] ?? 0)))),
      plugs: sum(entries(state.guard).map(([at, n]) =>
        at.endsWith(`|${id}`) && !pack.stands?.includes(at.split("|")[0]) ? n : 0)),
    };
  }).filter((look) => wrong[look.item] || look.short || look.plugs || look.minutes >= pack.looks.asked_from)
    .sort((a, b) => b.minutes - a.minutes || (a.item < b.item ? -1 : 1));
}

// The words of a gate: why it is shut, what opens it.
export function words({ gates, energies, items, guards, before }, { kind, code, energy, item, about, lacks, facts }) {
  const { why, opens, lacks: missing } = gates.words;
  const name = (id) => energies[id]?.called ?? items[id]?.name ?? guards[id] ?? before.parts[id] ?? id;
  const lack = (one) => {
    const [word, thing] = one.split(/ (.*)/);
    return missing[one] ?? missing[word]?.replace("{}", name(thing?.split("|")[0])) ?? one;
  };
  const missed = lacks.map(lack).join(", ");
  const { grade } = gates.energies[energy] ?? {};
  const said = { ...facts, grade, energy: name(energy), item: name(item), about: name(about), lacks: missed };
  return { why: gaps(why[code] ?? code, said), opens: gaps(opens[kind], said) };
}
