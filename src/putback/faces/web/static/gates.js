// One idea: what stands before an operation is worked out here as the core does it, by the tables of the pack: the
// same events open, end and void the same gates, with the server gone too. A test holds both against each other.

// Whether a value has the shape that a table gives: a pattern, words, a list, an object, a number.
export function fits(shape, value) {
  if (typeof shape === "string") return typeof value === "string" && (patterns[shape] ??= RegExp(`^(?:${shape})$`)).test(value);
  if (Array.isArray(shape)) return shape.includes(value);
  if (shape === null) return value === null;
  if (shape.any) return shape.any.some((one) => fits(one, value));
  if (shape.of) return Array.isArray(value) && value.every((one) => fits(shape.of, one));
  if (!shape.must) return typeof value === "number" && (shape.above < value || shape.least <= value) && (!shape.whole || Number.isSafeInteger(value));
  return value !== null && typeof value === "object" && Object.keys(shape.must).every((name) => fits(shape.must[name], value[name]))
    && Object.keys(value).every((name) => shape.must[name] ? true : shape.may[name] && fits(shape.may[name], value[name]));
}
const patterns = {};

// The gates of a job at a moment {at, person, device, steady, east}, times in milliseconds; `facts` as `fold` makes
// them. Gives what says for an operation which gates stand before it.
export function gates(pack, { facts, state, byId }, moment) {
  const t = pack.tables, g = pack.gates, { energies, slack } = g, memo = new Map();
  const day = (time, east) => new Date(time + east).toISOString().slice(0, 10);
  const plainly = (words) => String(words).toLowerCase().split(/\s+/).filter(Boolean).join(" ");
  const whole = (value) => typeof value === "number" ? value : 0;
  const union = (all) => [...new Set(all)];
  const once = (key, make) => { if (!memo.has(key)) memo.set(key, make()); return memo.get(key); };
  const goes = (op, way) => t.keys[op?.verb]?.[0] === way;
  const upto = (m) => facts.slice(0, m.upto);
  const kinds = {};
  for (const fact of facts) (kinds[fact.kind] ??= []).push(fact);
  const of = (kind, m) => (kinds[kind] ?? []).filter((one) => !(one.place > m.upto));
  const standingOf = (kind, m) => of(kind, m).filter((one) => one.stands);

  // --- what came after what ---
  const prompt = (fact) => Math.abs(fact.got - fact.at) <= slack;
  const latest = ({ at, got }) => Math.max(at, got ?? at);
  const earliest = ({ at, got }) => Math.min(at, got ?? at);
  const rivals = (fact) => fact.rivals ??= prompt(fact) ? [] : facts.slice(0, fact.place - 1).filter((other) =>
    other.device !== fact.device && (fact.at > fact.got + slack || !(other.got < fact.at - slack)));
  const since = (fact, to) => [...rivals(fact), ...facts.slice(fact.place, to)];
  const meant = (fact) => fact.kind === "operation taken back" ? byId.get(fact.body.mends)?.op : fact.op;
  const hands = new Map();
  function items(op) {
    if (!op) return [];
    if (!hands.has(op)) hands.set(op, g.touching.includes(op.verb) ? union([op.item, g.home[op.joint]]).filter(Boolean) : []);
    return hands.get(op);
  }
  const handSince = (fact, on, to) => since(fact, to).some((one) => items(meant(one)).some((item) => on.includes(item)));
  const done = facts.filter((fact) => fact.op);
  const offAt = (item, to) => once(`off ${item} ${to}`, () => done.findLast(({ op, stands, place }) => op.item === item
    && stands && !(place > to) && goes(op, "off")
    && !since(facts[place - 1], to).some((one) => one.op?.item === item && goes(one.op, "on"))));
  const newest = Math.max(...facts.map(({ got }) => got ?? 0));
  const lately = (m) => m.upto === undefined ? Math.max(m.at, newest) : m.at;

  // --- clocks ---
  const highest = {}, ticked = {};
  for (const fact of facts) {
    const { at, got, device, steady } = fact, jumped = /^clock j|^device r/.test(fact.kind);
    fact.doubted = jumped ? [device, fact.body.device] : [];
    for (const one of fact.doubted) delete ticked[one];
    const back = at < highest[device] - slack, ran = steady - ticked[device]?.steady;
    if (back || at > got + slack || ran < 0 || ran > at - ticked[device]?.at + slack) fact.doubted.push(device);
    highest[device] = back ? at : Math.max(at, highest[device] ?? at);
    if (steady !== undefined) ticked[device] = fact;
  }
  const doubts = (device, after, to) => facts.slice(after, to).some((one) => one.doubted.includes(device));
  const behind = (m) => once(`behind ${m.upto} ${m.device}`, () => {
    const from = facts.findLast((one) => one.doubted.includes(m.device))?.place ?? 0;
    return upto(m).some((one) => one.device === m.device && one.place >= from && m.at < one.at - slack);
  });
  function steadyOf(fact) {
    for (const one of facts.slice(fact.place - 1)) {
      if (one.device !== fact.device) continue;
      if (one !== fact && one.doubted.includes(one.device)) return;
      if (one.steady !== undefined) return one.steady;
    }
  }
  const ran = (first, then, to) => first.device === then.device && !doubts(first.device, first.place, to)
    ? then.steady - steadyOf(first) : NaN;
  const begins = (fact) => prompt(fact) ? latest(fact) : fact.at;
  function waited(start, then) {
    const steady = ran(start, then, then.place);
    if (prompt(then) && (isNaN(steady) || prompt(start))) return earliest(then) - latest(start);
    return isNaN(steady) ? 0 : Math.min(steady, (prompt(then) ? earliest(then) : then.at) - begins(start));
  }
  function waitedNow(start) {
    const steady = ran(start, moment);
    if (!isNaN(steady)) return Math.min(steady, moment.at - begins(start));
    for (const fact of [...facts].reverse()) {
      if (fact.doubted.includes(moment.device)) break;
      const known = fact.device === moment.device && prompt(fact) ? fact.got + moment.steady - fact.steady : NaN;
      if (!isNaN(known)) return Math.min(moment.at, known) - latest(start);
    }
    return 0;
  }
  function took(first, then) {
    const device = then.at - first.at;
    return Math.max(device, prompt(first) && prompt(then) ? then.got - first.got : ran(first, then, then.place));
  }

  // --- a sitting and its end ---
  function doubt(fact, energy) {
    const { kind, body, op } = fact, about = body.energy, unheard = !Object.hasOwn(energies, about);
    return (fact.unknown || kind === "doubt raised" && (about === energy || unheard)
      || unheard && (/^(reading|energy) /.test(kind) || op?.verb === "restore")
      || kind === "operation taken back" && !byId.has(body.mends)) && "doubt";
  }
  const went = ({ kind, body }, people) => g.ends.includes(kind) && (typeof body.who !== "string" || !body.who
    || people.includes(body.who)) && kind;
  const otherDay = (fact, m) => (facts.slice(fact.place, m.upto).some((one) => one.device === fact.device
    && one.day !== fact.day) || [m.at, lately(m)].some((one) => day(one, fact.east) !== fact.day)) && "another day";
  const ended = (fact, people, m) => {
    for (const one of since(fact, m.upto)) { const why = doubt(one) || went(one, people); if (why) return why; }
    return otherDay(fact, m);
  };
  function gap(fact, person, m) {
    const times = facts.slice(fact.place - 1, m.upto).filter((one) => one === fact || one.person === person);
    return [...times.map(earliest).sort((a, b) => a - b), m.at].some((one, at, all) => one - all[at - 1] > g.gap) && "gap";
  }

  // --- people ---
  const gate = (kind, energy, wrong, more) => ({ kind, energy: energy?.id ?? null, item: null, about: null, lacks: [],
    open: !wrong, code: wrong || "open", facts: {}, clock: null, ...more });
  const none = (all, wrong, code) => {
    for (const one of all) { code = wrong(one); if (!code) return; }
    return code;
  };
  function who({ grade, accepted }, m) {
    if (!m.person) return "nobody";
    const today = day(lately(m), m.east), shown = of("grade shown", m).filter((one) => one.body.who === m.person);
    return grade && none(shown, ({ stands, body }) => !stands || !accepted.includes(plainly(body.grade)) ? "other grade"
      : body.expires < today && "grade over", "no grade");
  }
  function gloves({ classes }, m) {
    const today = day(lately(m), m.east);
    return none(of("gloves checked", m).filter((one) => one.body.who === (m.person ?? "")), (one) => {
      const { body } = one, { tested } = body, air = Date.parse(body.air_test_at);
      if (!one.stands) return "taken back";
      if (!classes.includes(body.class)) return "class";
      if (tested > one.day || tested > today || today >= months(tested)) return "old test";
      if (body.air_test !== "held" || air > one.at + slack || day(air, one.east) !== one.day) return "air";
      if (since(one, m.upto).some(({ kind, body: { serial, who, air_test } }) => kind === "gloves checked"
        && (serial === body.serial || who === body.who) && air_test !== "held")) return "air";
      return ended(one, [body.who], m);
    }, "no gloves");
  }
  function months(date) {
    const [year, month, of] = date.split("-"), end = new Date(Date.UTC(year, +month + g.months, 0));
    return day(Math.min(+end, Date.UTC(year, month - 1 + g.months, of)), 0);
  }
  const badCount = ({ in_box, of, charge_lead, remote_starts, memory_savers }, most) =>
    !whole(in_box) || in_box !== of || of < most || charge_lead !== "out" || remote_starts !== 0 || memory_savers !== 0;
  const disturbed = ({ kind, body }, most = 0) =>
    /^key m|^charge/.test(kind) ? kind : kind === "keys counted" && badCount(body, most) && "key count";
  const mostKeys = (all) => Math.max(0, ...all.map((one) => whole(one.body.of)));
  const keys = (m) => none(of("keys counted", m), (one) => {
    if (!one.stands) return "taken back";
    const most = mostKeys(of("keys counted", m).filter((other) => !(other.mended < one.place)));
    if (badCount(one.body, most)) return "key count";
    for (const fact of since(one, m.upto)) { const why = disturbed(fact, most); if (why) return why; }
    return ended(one, [one.body.holder], m);
  }, "no keys");
  const named = (kind, m, not) => none(of(kind, m), (one) => !one.stands ? "taken back"
    : one.body.who === not ? "same person" : ended(one, [one.body.who], m), "nobody");
  const people = (energy, m) => once(`people ${energy.id} ${m.upto} ${m.person}`, () => [
    energy.asks.who && gate("who", energy, who(energy, m)),
    energy.asks.gloves && gate("gloves", energy, gloves(energy, m)),
    energy.asks.keys && gate("keys", energy, keys(m)),
    energy.asks.second && gate("second person", energy, named("second person named", m, m.person)),
    energy.asks.boundary && gate("boundary", energy, named("boundary set", m))].filter(Boolean));

  // --- readings, waits and proofs ---
  const says = ({ op }, verb, energy) => op?.verb === verb && op.energy === energy.id;
  function readingOf({ kind, body, op }, energy) {
    if (kind === "reading taken" && body.energy === energy.id) return { ...body, proving: /^prove /.test(body.phase) };
    return op?.verb === "prove dead" && op.energy === energy.id && body.reading;
  }
  function bad({ proof }, { value, unit, proving }) {
    if (proof.limit === undefined) return false;
    const by = typeof value === "number" && (proof.signed !== "no" || value >= 0) ? proof.units[unit] : NaN;
    const size = (proof.signed === "size" ? Math.abs(value) : value) * by;
    return !(proving ? size > proof.limit : size <= proof.limit) && "reading";
  }
  function against(energy, fact) {
    const reading = readingOf(fact, energy);
    if (reading) return energy.proof && bad(energy, reading);
    return fact.kind === "energy checked" && fact.body.energy === energy.id && fact.body.gone !== "yes" && "reading";
  }
  const isOff = ({ item }, to) => !item || offAt(item, to);
  const onItem = (energy, op) => energy.item && items(op).includes(energy.item);
  const givesBack = (energy, fact) => says(fact, "restore", energy)
    || (goes(fact.op, "on") || /^start|^tight/.test(fact.op?.verb)) && onItem(energy, fact.op);
  const isolated = (energy, to) => once(`isolated ${energy.id} ${to}`, () => isOff(energy, to)
    && done.find((fact) => says(fact, "isolate", energy) && fact.stands && !(fact.place > to)
      && !since(fact, to).some((one) => givesBack(energy, one)) && isOff(energy, fact.place))?.place);

  const moved = (fact, from) => fact?.op?.item === from && (goes(fact.op, "off") || goes(fact.op, "on"));
  function starts({ id, wait }, to) {
    const off = offAt(wait.from, to);
    let found = off ? [off] : [];
    for (const fact of off ? since(off, to) : []) {
      const undone = fact.kind === "operation taken back" ? byId.get(fact.body.mends) : null;
      if (fact.doubted.includes(off.device)) found = [fact];
      else if (moved(fact, wait.from) || moved(undone, wait.from) && !(undone.place > to) || doubt(fact, id)
        || undone?.op?.energy === id && /^(isolate|restore|wait)$/.test(undone.op.verb)) found.push(fact);
    }
    return found;
  }
  function passedBefore(energy, fact) {
    if (!energy.wait) return true;
    const begun = starts(energy, fact.place), { minutes } = energy.wait;
    return minutes !== null && begun.length > 0 && begun.every((one) => waited(one, fact) >= minutes * 6e4);
  }
  function wait(energy) {
    const { minutes } = energy.wait, begun = starts(energy);
    if (minutes === null) return gate("value needed", energy, "value", { lacks: ["wait"] });
    if (!begun.length) return gate("wait", energy, "not begun", { facts: { minutes } });
    const started = Math.max(...begun.map(latest)), run = Math.min(...begun.map(waitedNow));
    const clock = { started, ends: started + minutes * 6e4 };
    const minute = Math.max(0, Math.floor(run / 6e3) / 10);
    return gate("wait", energy, !proof(energy).open && (behind(moment) ? "behind" : run < minutes * 6e4 && "runs"),
      { clock, facts: { minute, minutes } });
  }

  const demanded = (item) => once(`needs ${item}`, () => (g.needs[item] ?? []).map(([id]) => id));
  function voidedBy(energy, made, fact) {
    const { op, person, body, kind } = fact;
    const why = fact.doubted.includes(made.first.device) && "clock" || doubt(fact, energy.id)
      || went(fact, [made.person]) || against(energy, fact);
    if (why) return why;
    if (energy.personal) {
      const known = kind === "keys counted" && mostKeys(of(kind, { upto: made.first.place }));
      const key = disturbed(fact) || known && whole(body.of) > known && "key count";
      if (key || op?.verb === "switch on") return key || "switched on";
      if (person !== made.person && items(op).some((item) => demanded(item).includes(energy.id))) return "other person";
    }
    const undone = kind === "operation taken back" ? byId.get(body.mends) : null;
    const on = undone && (undone.op ? undone.op.energy === energy.id || onItem(energy, undone.op)
      : undone.body.energy === energy.id);
    return (on || givesBack(energy, fact) || onItem(energy, op) && t.moves[op.verb] && /item|joint/.test(t.moves[op.verb])
      || energy.rests.some((id) => givesBack(energies[id], fact))) && "touched";
  }
  function voided(energy, made, m) {
    if (made.first.doubted.includes(made.first.device)) return "clock";
    for (const fact of since(made.first, m.upto)) { const why = voidedBy(energy, made, fact); if (why) return why; }
    return otherDay(made.first, m) || behind(m) && "behind" || gap(made.last, made.person, m);
  }
  const then = ({ at, device, east, place, steady }, person) => ({ at, device, east, steady, person, upto: place });
  const unready = (energy, first, person) => !isolated(energy, first.place) && "not isolated"
    || !energy.rests.every((id) => isolated(energies[id], first.place)) && "not isolated"
    || !energy.proof.reach.every((item) => offAt(item, first.place)) && "covered"
    || !passedBefore(energy, first) && "too early"
    || people(energy, then(first, person)).find((one) => !one.open && one.kind !== "boundary")?.code;
  const byHand = (energy, person, to, device) => facts.slice(0, to).filter(({ kind, stands, body, ...one }) =>
    /^(reading|energy) /.test(kind) && stands && body.energy === energy.id && person && body.who === person
    && one.person === person && one.device === device);
  const good = (energy, fact) => { const reading = readingOf(fact, energy); return reading && !bad(energy, reading); };
  const readings = (energy, ...whose) => byHand(energy, ...whose).filter((one) => one.kind === "reading taken"
    && good(energy, one) && (one.body.phase === "test" || one.body.known_source));
  const sameHand = (one, other) => one.body.instrument === other.body.instrument;
  const phase = (all, name) => all.filter((one) => one.body.phase === name).reverse();
  const tested = (all, first, to) => phase(all, "test").filter((one) => first.place < one.place && one.place < to
    && sameHand(first, one)).map((one) => one.body.points);
  const sets = (energy, all) => phase(all, "prove after").flatMap((end) => phase(all, "prove before").filter((first) => {
    const pairs = tested(all, first, end.place), time = took(first, end);
    return first.place <= end.place && sameHand(first, end) && energy.proof.points.every((one) => pairs.includes(one))
      && time >= 0 && time <= energy.proof.within;
  }).map((first) => [first, end]));
  function evidence(energy, said) {
    const { proof } = energy, whose = [said.person, said.place, said.device];
    if (proof.points) return sets(energy, readings(energy, ...whose));
    const all = byHand(energy, ...whose).reverse().filter((one) => proof.check && one.body.gone === "yes"
      || proof.measure && one.body.phase === "test" && good(energy, one));
    return [...proof.measure && good(energy, said) ? [said] : [], ...all].map((one) => [one, one]);
  }
  const proved = (energy) => once(`proofs ${energy.id}`, () => energy.proof ? facts.filter((fact) => fact.stands
    && fact.person && says(fact, "prove dead", energy)).reverse().flatMap((said) => evidence(energy, said)
      .map(([first, end]) => ({ person: said.person, first, last: end, said }))
      .filter((made) => !unready(energy, made.first, made.person) && !voided(energy, made, then(said, said.person)))) : []);
  const standing = (energy) => once(`standing ${energy.id}`, () => {
    const found = proved(energy).filter((made) => !voided(energy, made, moment));
    return found.find((made) => made.person === moment.person) ?? found[0];
  });
  const provedOnce = (energy) => once(`once ${energy.id}`, () => {
    const place = isolated(energy);
    return place && proved(energy).some((made) => made.first.place > place);
  });
  const counts = (energy, first, end) => !unready(energy, first, moment.person)
    && !voided(energy, { person: moment.person, first, last: end }, moment);
  function begun(energy) {
    const all = readings(energy, moment.person, undefined, moment.device);
    const whole = sets(energy, all).find(([first, end]) => counts(energy, first, end));
    return whole ?? phase(all, "prove before").filter((first) => moment.at - earliest(first) <= energy.proof.within
      && counts(energy, first, first)).slice(0, 1);
  }
  function missing(energy) {
    const { points, within } = energy.proof;
    if (!points) return { lacks: ["say so"] };
    const [first, end] = begun(energy);
    const pairs = end ? points : first ? tested(readings(energy, moment.person, undefined, moment.device), first, Infinity) : [];
    return { lacks: [...first ? [] : ["prove before"], ...points.filter((one) => !pairs.includes(one)),
      ...end ? [] : ["prove after"], "say so"], clock: first ? window(first, within) : null };
  }
  const window = (first, within) => ({ started: earliest(first), ends: earliest(first) + within });
  const proof = (energy) => once(`proof ${energy.id}`, () => {
    if (!energy.proof) return gate("value needed", energy, "value", { lacks: ["proof"] });
    const made = standing(energy);
    if (made && (made.person === moment.person || !energy.personal))
      return gate("proof", energy, "", { clock: energy.proof.within ? window(made.first, energy.proof.within) : null });
    const had = proved(energy)[0], said = facts.findLast((fact) => against(energy, fact));
    const reading = said && !(had?.said.place > said.place) && (readingOf(said, energy) || {});
    return gate("proof", energy, made ? "other proof" : reading ? "reading" : had ? voided(energy, had, moment) : "no proof",
      { facts: reading || {}, ...missing(energy) });
  });

  // --- giving back ---
  const touched = union(done.flatMap((fact) => items(fact.op)));
  const needing = (energy) => touched.filter((item) => demanded(item).includes(energy.id));
  const looseOf = (fluid) => g.fluids[fluid];
  const covers = (all) => {
    const found = new Set(), left = [...all];
    while (left.length) for (const item of g.off[left.pop()] ?? []) if (!found.has(item)) left.push(item), found.add(item);
    return [...found];
  };
  const seat = (kind, thing) => state[kind][thing] ?? t.rest[kind];
  const pieces = (wanted) => Object.entries(state.guard).some(([at, count]) => wanted(...at.split("|"), count));
  const atRest = (item) => seat("item", item) === t.rest.item
    && (g.joints[item] ?? []).every((joint) => seat("joint", joint) === t.rest.joint)
    && !pieces((guard, port, count) => count && port === item && g.guards[guard]?.plug !== false);
  const low = ({ value, unit }) => typeof value === "number" && value >= 0 && value * g.ohms[unit] < g.bonding;
  function bonded(item) {
    const all = of("bonding checked", {}).filter((one) => one.body.item === item && !handSince(one, [item]));
    return all.some((one) => one.stands) && all.every((one) => low(one.body));
  }
  function clear(energy) {
    const on = [...needing(energy), energy.item];
    const mended = facts.findLast((fact) => {
      const op = fact.kind === "operation taken back" && meant(fact);
      return op && (op.guard || looseOf(op.fluid) === energy.id || op.energy === energy.id
        || items(op).some((item) => on.includes(item)));
    })?.place ?? 0;
    const others = energy.personal ? touched.filter((item) => !energy.own.includes(item)) : [];
    return !mended && !energy.personal || standingOf("people seen clear", {}).some((fact) => fact.place > mended
      && [undefined, null, energy.id].includes(fact.body.energy) && !handSince(fact, others)
      && !ended(fact, [fact.body.who], moment));
  }
  function givenBack(energy) {
    let taken;
    for (const fact of done) {
      if (energy.item && goes(fact.op, "off") && fact.op.item === energy.item || says(fact, "isolate", energy)) taken = 1;
      else if (says(fact, "restore", energy) && fact.stands) taken = 0;
    }
    return !taken && (!energy.item || seat("item", energy.item) === t.rest.item);
  }
  const restoring = (energy) => once(`restoring ${energy.id}`, () => {
    const need = needing(energy);
    const lacks = [
      ...need.filter((item) => g.joints[item] && !atRest(item)).map((item) => `back ${item}`),
      ...Object.keys(state.fluid).filter((id) => looseOf(id) === energy.id && state.fluid[id] !== t.rest.fluid)
        .map((id) => `fill ${id}`),
      ...Object.entries(state.guard).filter(([at, count]) => {
        const [guard, port] = at.split("|"), known = g.guards[guard];
        return count > 0 && (!known || [port, ...known.at].some((one) => one && [...need, energy.item].includes(one))
          || known.near.includes(energy.id));
      }).map(([at]) => `out ${at}`),
      ...need.filter((item) => g.bonds.includes(item) && !bonded(item)).map((item) => `bond ${item}`),
      ...clear(energy) ? [] : ["clear"]];
    return [gate("restore", energy, lacks.length && "restore", { lacks }),
      ...energy.back.filter((id) => all().includes(id)).map((id) =>
        gate("restore", energy, !givenBack(energies[id]) && "not given back", { about: id }))];
  });

  // --- what stands before an operation ---
  const operates = (item) => g.operates[item] ?? [];
  const joined = (ids) => union(ids.flatMap((id) => energies[id]?.joined ?? []));
  const all = () => once("all", () => joined([...g.planned, ...touched.flatMap((item) => [...demanded(item), ...operates(item)]),
    ...done.flatMap(({ op }) => [op.verb === "isolate" && op.energy, op.verb === "drain" && looseOf(op.fluid)])]));
  const order = (energy, item, wrong, more) => gate("order", energy, wrong, { item: item || null, ...more });
  const off = (energy, item) => order(energy, item, !offAt(item) && "on");
  const isolation = (energy, item) => order(energy, item, !isolated(energy) && "not isolated");
  const waits = (energy) => energy.wait ? once(`wait ${energy.id}`, () => [wait(energy)]) : [];
  const ticks = (energy) => once(`ticks ${energy.id}`, () => {
    const seen = standingOf("list ticked", {}).filter((one) => one.body.energy === energy.id
      && !since(one).some((later) => says(later, "restore", energy))).flatMap((one) => one.body.ticked);
    const lacks = energy.list.filter((line) => !seen.includes(line));
    return energy.list.length ? [gate("before it", energy, lacks.length && "list", { lacks })] : [];
  });
  function proving(energy) {
    const made = proof(energy), ready = made.open || made.lacks.join() === "say so";
    return [isolation(energy), ...waits(energy), ...(energy.reach ?? []).map((item) => off(energy, item)),
      ...made.kind !== "proof" ? [made] : energy.proof.points ? [{ ...made, open: ready }] : []];
  }
  function operating(energy, { verb }) {
    if (verb === "wait") return waits(energy);
    const known = [...all(), ...energy.joined];
    return [...people(energy, moment),
      ...goes({ verb }, "off") || /^(undo|isolate)$/.test(verb) ? [...ticks(energy), ...energy.firsts
        .filter((id) => known.includes(id)).map((id) => order(energies[id], energy.item, !standing(energies[id]) && "first",
          { about: energy.id }))]
        : goes({ verb }, "on") || /^(start|tighten|restore)$/.test(verb) ? restoring(energy)
          : verb === "prove dead" ? proving(energy) : [],
      ...verb === "isolate" && energy.item ? [off(energy, energy.item)] : []];
  }
  const needed = (energy, item, proven) => [...people(energy, moment),
    ...proven ? [...waits(energy), proof(energy)] : [isolation(energy, item)]];

  function before(op) {
    const hand = items(op), named = g.of_energy.includes(op.verb) && energies[op.energy] ? [op.energy] : [];
    const operated = union([...hand.flatMap(operates), ...named]), wanted = new Map();
    for (const item of hand) for (const [id, proven] of g.needs[item] ?? [])
      wanted.set(id, { proven: proven || wanted.get(id)?.proven, item: wanted.get(id)?.item ?? item });
    if (op.verb === "drain" && energies[looseOf(op.fluid)]) wanted.set(looseOf(op.fluid), { proven: true, item: op.item });
    const known = union([...all(), ...joined([...wanted.keys()])]), early = (item) => known.some((id) => energies[id].early.includes(item));
    const takes = goes(op, "off") || /^(undo|drain)$/.test(op.verb);
    const others = known.length ? hand.filter((item) => !g.off[item] || takes && !operates(item).length && !early(item)) : [];
    return [
      ...operated.flatMap((id) => operating(energies[id], op)),
      ...[...wanted].filter(([id]) => !operated.includes(id)).flatMap(([id, { item, proven }]) => needed(energies[id], item, proven)),
      ...others.flatMap((item) => known.filter((id) => !operated.includes(id) && !wanted.has(id)).map((id) =>
        order(energies[id], item, !provedOnce(energies[id]) && "not proved"))),
      ...consent(op)].map(passed);
  }

  // --- consent, and what was passed ---
  const money = (text) => fits(g.money, text) ? Math.round(text * 1e4) : undefined;
  function answered(matter, id) {
    const { body } = matter, deciders = (to) => standingOf("owner named", { upto: to - 1 }).map((one) => one.body.who);
    return of("answer given", {}).some((one) => {
      const { stands, place, at } = one, said = one.body, given = Date.parse(said.at);
      const price = money(body.amount), sum = money(said.amount);
      return stands && place > matter.place && String(said.finding ?? "None") === id && said.channel.trim()
        && deciders(place).includes(said.who) && given >= matter.at - slack && given <= at + slack
        && (said.answer !== "yes" || (price === undefined && sum === undefined
          ? !(matter.kind === "work added" || g.costs.includes(id) || body.minutes || body.parts?.length)
          : price === undefined || sum === undefined
            || sum >= price && (!said.currency || !body.currency || said.currency === body.currency)));
    });
  }
  const matters = new Map();
  for (const fact of facts) {
    const { kind, body } = fact, extra = kind === "work added";
    if (extra || kind === "finding seen") matters.set(`${extra} ${(extra ? body.extra : body.finding) ?? "None"}`, fact);
  }
  const asked = [...matters.values()].map((fact) => {
    const { kind, body } = fact, extra = kind === "work added", about = String((extra ? body.extra : body.finding) ?? "None");
    const at = extra ? (fits(g.texts, body.items) ? body.items : []) : [...g.findings[about] ?? [],
      ...of("finding seen", {}).filter((one) => one.body.finding === about).map((one) => one.body.item)];
    const named = at.filter((item) => g.off[item]);
    return { extra, about, named, held: [...named, ...covers(named)], wrong: !answered(fact, about) && "no answer" };
  });
  const consent = (op) => asked.filter(({ extra, named, held }) => held.length ? items(op).some((item) => held.includes(item)
      && (goes(op, "on") || /^(start|tighten)$/.test(op.verb)) || extra && named.includes(item))
    : /^(read codes after|road test)$/.test(op.verb))
    .map(({ about, wrong }) => gate("consent", null, wrong, { about, item: op.item || null }));
  function passed(one) {
    const override = g.overrides[one.kind], energy = energies[one.energy];
    const fits = ({ body, stands, ...fact }) => stands && body.gate === one.kind && (body.energy ?? null) === one.energy
      && (body.item ?? null) === one.item && body.reason.trim()
      && !(one.kind === "restore" && handSince(facts[fact.place - 1], touched.filter((item) => !energy.own.includes(item))))
      && !ended(facts[fact.place - 1], [body.who], moment);
    const through = one.open || override === "named" && of("override given", {}).some(fits);
    return { ...one, override, through };
  }
  return before;
}
