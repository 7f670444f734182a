// One idea: a job's state is its record, folded by the tables of the pack. The server folds the same; a test holds
// both against each other. Nothing here reads a clock, a store or a page.

const text = (v) => typeof v === "string" && v !== "";
const from0 = (v) => typeof v === "number" && v >= 0;
const FIELDS = ["id", "job", "device", "at", "person", "kind", "body"];

// What an event says was done; null for other events. A field of the wrong shape is left out.
function operation(t, { kind, body }) {
  if (kind !== "operation done" || !t.verbs.includes(body.verb)) return null;
  const op = { verb: body.verb };
  for (const name of ["item", "joint", "guard", "energy", "fluid"]) op[name] = text(body[name]) ? body[name] : "";
  if (from0(body.count) && Number.isInteger(body.count)) op.count = body.count;
  op.litres = from0(body.litres) ? body.litres : 0;
  return op;
}

function isUnknown(t, event) {
  const fields = Object.hasOwn(t.kinds, event.kind) && t.kinds[event.kind];
  const odd = event.kind === "operation done" && !t.verbs.includes(event.body.verb);
  return !fields || odd || Object.keys(event).some((name) => !FIELDS.includes(name)) ||
    Object.keys(event.body).some((name) => !fields.includes(name));
}

// Records ({event, received_at}) in the server's order, then what this device holds beyond it.
export function fold(t, records) {
  const known = new Map();
  records.forEach((record, place) => {
    const event = record.event;
    if (event.job === records[0].event.job && !known.has(event.id))
      known.set(event.id, { ...record, place, op: operation(t, event) });
  });
  const all = [...known.values()];
  const fallen = new Set();
  for (const one of all) {
    if (one.event.kind !== "operation taken back") continue;
    const taken = known.get(one.event.body.mends);
    if (!taken?.op) continue;
    if (taken.op.verb !== "restore") fallen.add(taken.event.id);
    for (const other of all) {
      const voided = other.op && (t.voids[taken.op.verb] ?? []).includes(other.op.verb);
      if (voided && other !== taken && other.place < one.place && other.op.energy === taken.op.energy)
        fallen.add(other.event.id);
    }
  }
  const standing = all.filter((one) => one.op && !fallen.has(one.event.id));
  const state = { item: {}, joint: {}, energy: {}, fluid: {}, guard: {}, litres: {}, waited: new Set(), renewed: new Set() };
  for (const one of standing) step(t, state, one.op);
  const unknown = all.filter((one) => isUnknown(t, one.event)).map((one) => one.event.id);
  return { state, standing, fallen, unknown };
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

// The job at a moment (milliseconds): what is done, what is possible, what is shut and why, what is owed.
export function now(pack, records, at) {
  const t = pack.tables;
  const { state, standing, fallen, unknown } = fold(t, records);
  const ops = new Map(pack.operations.map((op) => [op.n, op]));
  const byKey = new Map([...pack.operations].reverse().map((op) => [op.key, op.n]));
  const done = new Map(), off = {}, back = {}, covered = new Set(), offAt = {};
  for (const one of standing) {
    const { verb, item, joint } = one.op;
    const key = t.keys[verb];
    const said = one.event.body.planned;
    const n = key ? byKey.get([key[0], ...key.slice(1).map((name) => one.op[name])].join("|")) : ops.get(said)?.verb === verb ? said : undefined;
    const count = () => one.op.count ?? pack.operations.find((op) => op.joint === joint)?.count ?? 0;
    if (verb === "undo" && joint) { off[joint] = count(); delete back[joint]; }
    else if (verb === "tighten" && joint) back[joint] = count();
    else if (key?.[0] === "on") for (const id of pack.hides[item] ?? []) covered.add(id);
    else if (key?.[0] === "off") {
      for (const id of pack.hides[item] ?? []) covered.delete(id);
      offAt[item] = Math.max(...[one.event.at, one.received_at].filter(Boolean).map(Date.parse));
    }
    if (n === undefined) continue;
    for (const felled of ops.get(n).fells ?? []) done.delete(felled);
    done.set(n, one.event.id);
  }
  const job = { pack, state, ops, done, off, back, covered, offAt, at, fallen, unknown, shut: {}, ends: {} };
  job.left = pack.acts.map((act) => act.operations.filter((n) => !done.has(n)));
  job.standing = pack.acts.map((act, place) => {
    if (!job.left[place].length) return "done";
    const why = shutBy(job, act, place);
    if (why.length) job.shut[place] = why;
    return act.after.some((before) => job.left[before].length) ? "later" : why.length ? "shut" : "possible";
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

function shutBy(job, act, place) {
  const { pack, state } = job;
  const t = pack.tables;
  const why = [];
  const away = (item) => seat(t, state, "item", item) !== t.rest.item;
  for (const [id, proven] of act.needs ?? []) {
    const energy = pack.energies[id];
    const at = seat(t, state, "energy", id);
    if (at === t.rest.energy || (energy.item && !away(energy.item))) why.push(`${energy.name} is not made safe`);
    else if (proven && at !== t.results["prove dead"]) why.push(`${energy.name} is not proven gone`);
  }
  const energy = pack.energies[act.thing];
  if (act.does === "restore")
    for (const one of pack.acts)
      if (one.does === "off" && one.needs.some(([id]) => id === act.thing) && away(one.thing))
        why.push(`${energy.name}: ${pack.items[one.thing].name} is not back`);
  if (act.does !== "prove") return why;
  for (const what of energy.needed ?? []) why.push(`${energy.name}: ${what}: value needed: ask the maker's publication`);
  if (!energy.wait || energy.wait.minutes === null) return why;
  const ends = job.offAt[energy.wait.from] + energy.wait.minutes * 60000;
  if (!ends) why.push(`${energy.name}: the wait has not begun`);
  else if (job.at < ends) { why.push(`${energy.name}: the wait runs`); job.ends[place] = ends; }
  else if (!pack.operations.some((op) => op.key === `isolate|${act.thing}` && job.done.has(op.n)))
    why.push(`${energy.name} is not made safe`);
  return why;
}

// What is seen for the last time before an item goes back, dearest first; what is cheap and in order is left out.
export function looks({ pack, covered, state, off, back }, item) {
  return (pack.hides[item] ?? []).filter((id) => !covered.has(id)).map((id) => {
    const joints = new Set(pack.operations.filter((op) => op.item === id && op.joint).map((op) => op.joint));
    const short = [...joints].reduce((sum, joint) => sum + Math.max(0, (off[joint] ?? 0) - (back[joint] ?? 0)), 0);
    const plugs = Object.entries(state.guard).reduce((sum, [at, n]) => sum + (at.endsWith(`|${id}`) ? n : 0), 0);
    return { item: id, minutes: pack.rework[id] ?? 0, short, plugs };
  }).filter((look) => look.short || look.plugs || look.minutes >= pack.looks.asked_from)
    .sort((a, b) => b.minutes - a.minutes || (a.item < b.item ? -1 : 1));
}

// The words of a gate.
export const words = (pack, gate) => ({ why: gate.why ?? gate, opens: gate.opens ?? "" });
