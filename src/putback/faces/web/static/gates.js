// One idea: what stands before an operation is worked out here as the core does it, by the tables of the pack. The
// same events open, end and void the same gates, with the server gone too; a test holds both against each other.

import { entries, hasOwn, keys } from "./dom.js";

// The first thing that is said of any of them; nothing where none has anything said of it.
const first = (all, says) => {
  for (const one of all) {
    const said = says(one);
    if (said) return said;
  }
};

// Worked out once for what it is asked about.
const recalled = (make, memo = { __proto__: null }) => (...asked) =>
  memo[asked[1] == null ? asked[0]?.id ?? asked[0] : asked.map((one) => one?.id ?? one)] ??= make(...asked);

// What a table lists under a name; a name like "constructor" is no other than those.
export const listed = (table, name) => hasOwn(table, name) ? table[name] : [];

export const seat = (t, state, kind, thing) => state[kind][thing] ?? t.rest[kind];

const union = (...all) => [...new Set(all.flat(2))].filter(Boolean);
const day = (time, east) => new Date(time + east).toISOString().slice(0, 10);
const plainly = (words) => String(words).toLowerCase().split(/\s+/).filter(Boolean).join(" ");
const wholeOf = (value) => typeof value === "number" ? value : 0;

// Whether a value has the shape that a table gives: a pattern of the value as JSON.
export const fits = (shape, value) => RegExp(shape).test(JSON.stringify(value));

// The gates of a job as `fold` has read it. Gives what says for a moment {at, person, device, steady, east}, times in
// milliseconds, which gates stand before an operation then. A fact can stand for a moment too: `place` is how much of
// the record counts.
export function gates({ gates: g, tables: t, before: { parts, compare } }, { facts, state, standing }) {
  const { energies, slack, are } = g, back = [...facts].reverse(), done = facts.filter((one) => one.op);
  const is = (what, one) => are[what].includes(one?.verb ?? one);
  const every = recalled((kind) => facts.filter((one) => one.kind === kind));
  const of = (kind, { place } = {}) => every(kind).filter((one) => !(one.place > place));
  const sound = (kind, m) => of(kind, m).filter((one) => one.stands);

  // --- what covers what, by the ways that were logged, else planned ---
  const chosen = { ...g.chosen };
  for (const { op } of done) if (op.verb === "undo" && op.joint && op.way) chosen[op.joint] = op.way;
  const behind = (item) => [listed(g.links, item),
    entries(listed(g.ways, item)).map(([joint, ways]) => listed(ways, chosen[joint]))].flat(2);
  const within = recalled((...all) => {
    const found = new Set(all);
    for (const item of found) for (const one of behind(item)) found.add(one);
    return [...found];
  });
  const covers = (...all) => within(...all.flatMap(behind));
  const operates = (item) => listed(g.operates, item);
  const demanded = recalled((item) => listed(g.asks, item).flatMap(([id, named]) => {
    const { own, reach } = energies[id];
    return named || !covers(...own).includes(item) ? [[id, !within(...reach).includes(item)]] : [];
  }));
  const needs = (item, { id }) => demanded(item).some(([one]) => one === id);
  const early = (item, known) => known.some((id) => within(...energies[id].own, ...energies[id].reach).includes(item));
  const items = (op) => !op ? [] : op.hands ??= is("touching", op) ? union(op.item, listed(g.home, op.joint)) : [];
  const touched = union(done.map(({ op }) => items(op)));
  const joined = (ids) => union(ids.map((id) => listed(energies, id).joined));
  const all = recalled(() => joined([g.planned,
    touched.map((item) => [demanded(item).map(([id]) => id), operates(item)]),
    done.map(({ op }) => [op.verb === "isolate" && op.energy, op.verb === "drain" && g.fluids[op.fluid]])].flat(3)));

  // --- what came after what: a fact itself, what may have come after it, what did ---
  const prompt = (fact) => Math.abs(fact.got - fact.at) <= slack;
  const latest = ({ at, got }) => Math.max(at, got || at);
  const earliest = ({ at, got }) => Math.min(at, got || at);
  const rivals = (fact) => fact.rivals ??= prompt(fact) ? [] : facts.slice(0, fact.place - 1).filter((one) =>
    one.device !== fact.device && (fact.at > fact.got + slack || !(one.got < fact.at - slack)));
  const since = (fact, to, says) => says(fact) || first(rivals(fact), says)
    || first(facts.slice(fact.place, to), says);
  const handSince = (fact, on) => since(fact, undefined, (one) =>
    items((one.undone ?? one).op).some((item) => on.includes(item)));
  const offAt = recalled((item, to) => done.findLast((one) => one.stands && !(one.place > to) && one.op.item === item
    && is("off", one.op) && !since(one, to, ({ op }) => op?.item === item && is("on", op))) ?? 0);
  const newest = Math.max(0, ...facts.map(({ got }) => got || 0));
  const lately = (m) => m.place ? m.at : Math.max(m.at, newest);

  // --- clocks ---
  const highest = {}, ticked = {};
  for (const fact of facts) {
    const { at, got, device, steady, body } = fact, last = ticked[device];
    const doubted = fact.doubted = is("jumps", fact.kind) ? [device, body.device] : [];
    const fell = at < highest[device] - slack, ran = doubted[0] ? 0 : steady - last?.steady;
    if (fell || at > got + slack || ran < 0 || ran > at - last?.at + slack) doubted.push(device);
    if (fell || !(highest[device] > at)) highest[device] = at;
    if (is("jumps", fact.kind)) delete ticked[body.device], delete ticked[device];
    if (steady >= 0) ticked[device] = fact;
  }
  const shaken = (fact, device) => fact.doubted.includes(device);
  const steadyOf = (fact) => first(facts.slice(fact.place - 1), (one) => one.device === fact.device
    && (one !== fact && shaken(one, one.device) ? {} : one.steady >= 0 && one))?.steady;
  const ran = (from, then) => from.device !== then.device
    || facts.slice(from.place, then.place).some((one) => shaken(one, from.device)) ? NaN
    : then.steady - steadyOf(from);
  const begins = (fact) => prompt(fact) ? latest(fact) : fact.at;
  function waited(start, then) {
    const steady = ran(start, then);
    if (prompt(then) && (isNaN(steady) || prompt(start))) return earliest(then) - latest(start);
    return Math.min(steady, (prompt(then) ? earliest(then) : then.at) - begins(start)) || 0;
  }
  const took = (from, then) => Math.max(then.at - from.at,
    prompt(from) && prompt(then) ? then.got - from.got : ran(from, then));

  // --- a sitting and its end ---
  function doubt({ unknown, kind, body, op, undone }, energy) {
    const about = body.energy, unheard = !hasOwn(energies, about);
    return (unknown || kind === "doubt raised" && (about === energy || unheard) || unheard && (is("reads", kind)
      || op?.verb === "restore") || kind === "operation taken back" && !undone) && "doubt";
  }
  const went = ({ kind, body: { who } }, person) =>
    is("ends", kind) && (typeof who !== "string" || !who || who === person) && kind;
  const otherDay = (fact, m) => (facts.slice(fact.place, m.place).some((one) => one.device === fact.device
    && one.day !== fact.day) || [m.at, lately(m)].some((at) => day(at, fact.east) !== fact.day)) && "another day";
  const ended = (fact, person, m) => since(fact, m.place, (one) => doubt(one) || went(one, person))
    || otherDay(fact, m);
  const gap = (fact, person, m) => [...facts.slice(fact.place - 1, m.place).filter((one) => one === fact
    || one.person === person && !is("jumps", one.kind)).map(earliest).sort((a, b) => a - b), m.at]
    .some((at, n, all) => at - all[n - 1] > g.gap) && "gap";

  // --- people: each gate asks for one fact that is as it must be, and that nothing has ended ---
  const gate = (kind, energy, wrong, more) => ({ kind, energy: energy?.id ?? null, item: null, about: null, lacks: [],
    open: !wrong, code: wrong || "open", facts: {}, clock: null, override: g.overrides[kind], ...more });
  const badCount = ({ in_box, of, ...body }, most) => (!wholeOf(in_box) || in_box !== of || of < most
    || entries(g.counted).some(([name, must]) => body[name] !== must)) && "key count";
  const disturbed = ({ kind, body }, most) =>
    is("moves keys", kind) ? kind : kind === "keys counted" && badCount(body, most);
  const most = (counts) => Math.max(0, ...counts.map((one) => wholeOf(one.body.of)));
  const wrong = {
    who({ body }, { accepted }, m) {
      return body.who !== m.person ? "no grade" : !accepted.includes(plainly(body.grade)) ? "other grade"
        : body.expires < day(lately(m), m.east) && "grade over";
    },
    gloves(one, { classes }, m) {
      const { tested, who, serial, ...body } = one.body, today = day(lately(m), m.east);
      const [year, month, date] = tested.split("-"), air = Date.parse(body.air_test_at);
      const over = Math.min(Date.UTC(year, +month + g.months, 0), Date.UTC(year, month - 1 + g.months, date));
      return who !== (m.person ?? "") ? "no gloves" : !classes.includes(body.class) ? "class"
        : tested > one.day || tested > today || today >= day(over, 0) ? "old test"
        : (air > one.at + slack || day(air, one.east) !== one.day || since(one, m.place, ({ kind, body }) =>
          kind === one.kind && (body.serial === serial || body.who === who) && body.air_test !== "held")) && "air";
    },
    keys(one, _, m) {
      const known = most(of(one.kind, m).filter((other) => !(other.mended < one.place)));
      return since(one, m.place, (fact) => disturbed(fact, known));
    },
    "second person": ({ body }, _, { person }) => body.who === person && "same person",
    boundary: () => 0,
  };
  const lacking = (kind, energy, m) => {
    const [asked, whose, none] = g.evidence[kind];
    let code = none;
    return !first(of(asked, m), (one) => !(code = one.stands ? wrong[kind](one, energy, m)
      || whose && ended(one, one.body[whose], m) : "taken back")) && code;
  };
  const people = (energy, m) => energy.asks.map((kind) => gate(kind, energy,
    kind !== "who" ? lacking(kind, energy, m) : !m.person ? "nobody" : energy.grade && lacking(kind, energy, m)));

  // --- readings, isolation, waits ---
  const says = ({ op }, verb, { id }) => op?.verb === verb && op.energy === id;
  const readingOf = (fact, energy) => fact.kind !== "reading taken"
    ? says(fact, "prove dead", energy) && fact.body.reading : fact.body.energy === energy.id && fact.body;
  function good({ proof: { limit, volts, units, least } }, { value, unit, phase }) {
    const size = typeof value === "number" ? (volts ? Math.abs(value) : value) * units?.[unit] : NaN;
    return limit == null || size >= least && (/^prove /.test(phase) ? size > limit : size <= limit);
  }
  function against(energy, fact) {
    const reading = readingOf(fact, energy), { kind, body } = fact;
    return (reading ? energy.proof && !good(energy, reading)
      : kind === "energy checked" && body.energy === energy.id && body.gone !== "yes") && "reading";
  }
  const isOff = ({ item }, to) => !item || offAt(item, to);
  const onItem = ({ item }, op) => item && items(op).includes(item);
  const givesBack = (energy, fact) => says(fact, "restore", energy) || is("back", fact.op) && onItem(energy, fact.op);
  const isolated = recalled((energy, to) => isOff(energy, to) && done.find((fact) => fact.stands && !(fact.place > to)
    && says(fact, "isolate", energy) && !since(fact, to, (one) => givesBack(energy, one))
    && isOff(energy, fact.place))?.place || 0);

  function starts({ id, wait }, to, found = []) {
    const off = offAt(wait.from, to), moves = (op) => op?.item === wait.from && (is("off", op) || is("on", op));
    if (off) since(off, to, (fact) => {
      const { undone, op } = fact;
      if (shaken(fact, off.device)) found = [fact];
      else if (moves(op) || moves(undone?.op) && !(undone.place > to) || doubt(fact, id)
        || undone?.op?.energy === id && is("turns", undone.op)) found.push(fact);
    });
    return found;
  }
  function passedBefore(energy, fact) {
    const { minutes } = energy.wait ?? {}, begun = minutes != null ? starts(energy, fact.place) : [];
    return !energy.wait || begun[0] && begun.every((one) => waited(one, fact) >= minutes * 6e4);
  }

  // --- proofs ---
  function voidedBy(energy, { person, first: begun }, fact) {
    const { op, kind, body, undone } = fact, { id, personal, rests } = energy, hand = items(op);
    return shaken(fact, begun.device) && "clock" || doubt(fact, id) || went(fact, person) || against(energy, fact)
      || personal && (disturbed(fact)
        || kind === "keys counted" && wholeOf(body.of) > (most(of(kind, begun)) || Infinity) && "key count"
        || op?.verb === "switch on" && "switched on"
        || fact.person !== person && hand.some((item) => needs(item, energy)) && "other person")
      || (undone ? undone.op ? undone.op.energy === id || onItem(energy, undone.op) : undone.body.energy === id
        : givesBack(energy, fact) || onItem(energy, op) && is("moves", op)
          || rests.some((one) => givesBack(energies[one], fact))) && "touched";
  }
  const voided = (energy, made, m) => since(made.first, m.place, (fact) => voidedBy(energy, made, fact))
    || otherDay(made.first, m) || m.behind || gap(made.last, made.person, m);
  const unready = recalled((energy, fact) =>
    [energy.id, ...energy.rests].some((id) => !isolated(energies[id], fact.place))
    || energy.reach.some((item) => !offAt(item, fact.place)) || !passedBefore(energy, fact)
    || people(energy, fact).some((one) => !one.open && one.kind !== "boundary"));
  const byHand = ({ id }, { person, device, place }) => facts.slice(0, place).filter((one) => is("reads", one.kind)
    && one.stands && person && one.body.energy === id && one.body.who === person && one.person === person
    && one.device === device);
  const readings = (energy, m) => byHand(energy, m).filter(({ kind, body }) => kind === "reading taken"
    && good(energy, body) && (body.phase === "test" || body.known_source));
  const phase = (all, name) => all.filter((one) => one.body.phase === name).reverse();
  const sameHand = (one, other) => one.body.instrument === other.body.instrument;
  const tested = (all, from, to) => phase(all, "test").filter((one) => from.place < one.place && one.place < to
    && sameHand(from, one)).map((one) => one.body.points);
  const sets = ({ proof }, all) => phase(all, "prove after").flatMap((last) => phase(all, "prove before")
    .filter((from) => {
      const pairs = tested(all, from, last.place), time = took(from, last);
      return from.place <= last.place && sameHand(from, last) && proof.points.every((one) => pairs.includes(one))
        && time >= 0 && time <= proof.within;
    }).map((from) => ({ first: from, last })));
  const evidence = (energy, said) => energy.proof.points ? sets(energy, readings(energy, said))
    : [energy.proof.measure && readingOf(said, energy) && said, ...byHand(energy, said).reverse()].filter((one) => one
      && (energy.proof.check && one.body.gone === "yes" || energy.proof.measure
        && (one === said || one.body.phase === "test") && good(energy, readingOf(one, energy))))
      .map((one) => ({ first: one, last: one }));
  const proved = recalled((energy) => !energy.proof ? [] : back.filter((one) => one.stands && one.person
    && says(one, "prove dead", energy)).flatMap((said) => evidence(energy, said)
    .map((made) => ({ ...made, said, person: said.person }))
    .filter((made) => !unready(energy, made.first) && !voided(energy, made, said))));
  const provedOnce = (energy) => {
    const place = isolated(energy);
    return place && proved(energy).some((made) => made.first.place > place);
  };
  const window = ({ within }, from) => from && within != null
    ? { started: earliest(from), ends: earliest(from) + within } : null;

  // --- giving back ---
  const resting = (kind, thing) => seat(t, state, kind, thing) === t.rest[kind];
  const guards = entries(state.guard).map(([at, count]) => [count, at, ...at.split("|")]);
  const atRest = (item) => resting("item", item) && g.joints[item].every((joint) => resting("joint", joint))
    && !guards.some(([count, , guard, port]) => count && port === item && listed(g.guards, guard).plug !== false);
  const bonded = (item, all = of("bonding checked").filter((one) =>
    one.body.item === item && !handSince(one, [item]))) =>
    all.some((one) => one.stands) && all.every(({ body: { value, unit } }) =>
      typeof value === "number" && value >= 0 && value * g.ohms[unit] < g.bonding);
  const others = (energy) => touched.filter((item) => !within(...energy.own).includes(item));
  const givenBack = (energy) => {
    const last = done.findLast((fact) => says(fact, "isolate", energy) || says(fact, "restore", energy) && fact.stands
      || energy.item && fact.op.item === energy.item && is("off", fact.op));
    return (!last || last.op.verb === "restore") && (!energy.item || resting("item", energy.item));
  };
  const lacksBack = recalled((energy) => {
    const need = touched.filter((item) => needs(item, energy)), on = [...need, energy.item];
    const lines = (word, all) => all.map((one) => `${word} ${one}`);
    return [
      ...lines("back", need.filter((item) => g.joints[item] && !atRest(item))),
      ...lines("fill", keys(state.fluid).filter((id) => g.fluids[id] === energy.id && !resting("fluid", id))),
      ...lines("out", guards.filter(([count, , guard, port]) => count > 0 && (!hasOwn(g.guards, guard)
        || g.guards[guard].near.includes(energy.id)
        || [port, ...g.guards[guard].at].some((one) => one && on.includes(one))))
        .map(([, at]) => at)),
      ...lines("bond", need.filter((item) => g.bonds.includes(item) && !bonded(item)))];
  });
  function clear(energy, m) {
    const on = [energy.item, ...touched.filter((item) => needs(item, energy))];
    const mended = back.find(({ undone: { op } = {} }) => op && (op.guard || g.fluids[op.fluid] === energy.id
      || op.energy === energy.id || items(op).some((item) => on.includes(item))))?.place ?? 0;
    return !mended && !energy.personal || sound("people seen clear").some((fact) => fact.place > mended
      && (fact.body.energy ?? energy.id) === energy.id && !handSince(fact, energy.personal ? others(energy) : [])
      && !ended(fact, fact.body.who, m));
  }

  // --- consent: what was found or proposed, the answers to it, the scope that was signed ---
  const money = (text) => fits(g.money, text) ? Math.round(text * 1e4) : NaN;
  const deciders = (place) => sound("owner named", { place: place - 1 }).map((one) => one.body.who);
  const about = ({ kind, body: { extra, finding } }) => {
    const id = kind === "work added" ? extra : finding;
    return typeof id === "string" ? id : id == null ? "None" : JSON.stringify(id);
  };
  const priced = ({ body: { currency } }, other) => !currency || !other || currency === other;
  const asked = [...new Map(facts.filter((one) => is("asks", one.kind))
    .map((one) => [one.kind + about(one), one])).values()];
  const answerTo = (matter) => of("answer given").findLast((one) => {
    const { stands, place, at, body } = one, { minutes, parts, currency, amount } = matter.body, id = about(matter);
    const given = Date.parse(body.at), price = money(amount), sum = money(body.amount);
    return stands && place > matter.place && about(one) === id && body.channel.trim()
      && deciders(place).includes(body.who) && given >= matter.at - slack && given <= at + slack
      && (body.answer !== "yes" || (isNaN(price) && isNaN(sum)
        ? !(matter.kind === "work added" || g.costs.includes(id) || minutes || parts?.length !== 0 && parts)
        : !(sum < price) && (isNaN(price + sum) || priced(one, currency))));
  });
  const signed = of("scope signed").at(-1);
  const scope = signed?.stands && deciders(signed.place).includes(signed.body.who) && signed;
  let limit = scope && money(scope.body.limit);
  for (const matter of asked) {
    const given = scope && answerTo(matter);
    if (given && given.body.answer === "yes" && given.place > scope.place && priced(given, scope.body.currency)
      && of("answer given").findLast((one) => about(one) === about(matter)) === given)
      limit = Math.max(limit, money(given.body.amount) || limit);
  }
  const matters = asked.map((one) => {
    const { kind, body, stands } = one, extra = kind === "work added", id = about(one);
    const at = !extra ? union(listed(g.findings, id), of(kind).map(({ body }) => body.finding === id && body.item))
      : fits(g.texts, body.items) ? body.items : [];
    const named = at.filter((item) => hasOwn(g.links, item)), held = within(...named);
    const agreed = extra && stands && scope && money(body.amount) <= limit && priced(one, scope.body.currency);
    return { id, held, wrong: !agreed && !answerTo(one) && "no answer",
      more: extra ? named.filter((item) => !scope?.body?.items?.includes(item)) : [] };
  });
  const consent = (op) => matters.filter(({ held, more }) => !held[0] ? is("last", op)
    : items(op).some((item) => is("back", op) && held.includes(item) || more.includes(item)))
    .map(({ id, wrong }) => gate("consent", null, wrong, { about: id, item: op.item ?? null }));

  // --- what is asked once: the scope and the shelf before the car is taken apart, the new part before it goes in ---
  const apart = (op, known) => items(op).filter((item) => !hasOwn(g.links, item)
    || is("takes apart", op) && !operates(item)[0] && !early(item, known));
  const said = (kind) => of(kind).filter((one) => one.formed && !one.mended).map((one) => one.body);
  const takesApart = (op) => is("takes apart", op) && apart(op, all())[0];
  const begun = standing.some((one) => takesApart(one.op));
  const there = [...said("parts shelved").map((body) => body.parts), ...said("asked and waived").map((body) =>
    body.of === "part" && body.reason.trim() && body.what)].flat();
  const held = (op) => [
    ...begun || !takesApart(op) ? [] : [...scope ? [] : [["scope-unsigned", null]],
      ...keys(parts).filter((part) => !there.includes(part)).map((part) => ["part-missing", part])],
    ...is("puts in", op) ? items(op).filter((item) => compare.includes(item)).map((item) => {
      const body = said("parts compared").findLast((one) => one.item === item);
      return [!body ? "not-compared" : entries(g.differs).some(([name, said]) => body[name] === said)
        || body.old_length_mm - body.new_length_mm ? "parts-differ" : 0, item];
    }) : []].flatMap(([code, item]) => !code ? []
    : gate("held", null, code, { about: code, item, lacks: [item ?? code] }));

  return (moment) => {
    const { at, person, device, steady } = moment;
    const why = first(back, (one) => one.device === device && at < one.at - slack ? "behind" : shaken(one, device));
    moment.behind = why === "behind" && why;

    // --- waits and proofs now ---
    function waitedNow(start) {
      const run = ran(start, moment);
      if (!isNaN(run)) return Math.min(run, at - begins(start));
      const sent = first(back, (one) => shaken(one, device) ? {}
        : one.device === device && prompt(one) && one.steady >= 0 && one);
      return Math.min(at, sent?.got + steady - sent?.steady) - latest(start) || 0;
    }
    const waits = recalled((energy) => energy.wait ? [wait(energy)] : []);
    function wait(energy) {
      const { minutes, from } = energy.wait, begun = starts(energy);
      if (minutes === null) return gate("value needed", energy, "value", { lacks: ["wait"] });
      if (!begun[0]) return gate("wait", energy, "not begun", { facts: { minutes } });
      const started = Math.max(...begun.map(latest)), run = Math.min(...begun.map(waitedNow));
      return gate("wait", energy, !proof(energy).open && (moment.behind || run < minutes * 6e4 && "runs"), {
        clock: { started, ends: started + minutes * 6e4 },
        facts: { minutes, minute: Math.max(0, Math.floor(run / 6e3) / 10) },
      });
    }
    const standing = recalled((energy) => {
      const found = proved(energy).filter((made) => !voided(energy, made, moment));
      return found.find((made) => made.person === person) ?? found[0];
    });
    const counts = (energy, made) => !unready(energy, made.first) && !voided(energy, { ...made, person }, moment);
    function missing(energy) {
      const { points, within } = energy.proof, all = points ? readings(energy, moment) : [];
      if (!points) return { lacks: ["say so"] };
      const { first, last } = sets(energy, all).find((made) => counts(energy, made)) ?? { first:
        phase(all, "prove before").find((one) =>
          at - earliest(one) <= within && counts(energy, { first: one, last: one })) };
      const pairs = last ? points : first ? tested(all, first, Infinity) : [];
      return { lacks: [...first ? [] : ["prove before"], ...points.filter((one) => !pairs.includes(one)),
        ...last ? [] : ["prove after"], "say so"], clock: window(energy.proof, first) };
    }
    const proof = recalled((energy) => {
      if (!energy.proof) return gate("value needed", energy, "value", { lacks: ["proof"] });
      const made = standing(energy), had = proved(energy)[0], told = back.find((one) => against(energy, one));
      if (made && (made.person === person || !energy.personal))
        return gate("proof", energy, "", { clock: window(energy.proof, made.first) });
      const reading = told && !(had?.said.place > told.place) && (readingOf(told, energy) || {});
      return gate("proof", energy, made ? "other proof" : reading ? "reading"
        : had ? voided(energy, had, moment) : "no proof", { facts: reading || {}, ...missing(energy) });
    });

    // --- what stands before an operation now ---
    const order = (energy, item, wrong, more) => gate("order", energy, wrong, { item: item ?? null, ...more });
    const off = (energy, item) => order(energy, item, !offAt(item) && "on");
    const isolation = (energy, item) => order(energy, item, !isolated(energy) && "not isolated");
    const those = recalled((energy) => people(energy, moment));
    const ticks = recalled((energy) => {
      const seen = sound("list ticked").filter((one) => one.body.energy === energy.id
        && !since(one, undefined, (later) => says(later, "restore", energy))).flatMap((one) => one.body.ticked);
      const lacks = energy.list.filter((line) => !seen.includes(line));
      return energy.list[0] ? [gate("before it", energy, lacks[0] && "list", { lacks })] : [];
    });
    const restoring = recalled((energy) => {
      const lacks = [...lacksBack(energy), ...clear(energy, moment) ? [] : ["clear"]];
      return [gate("restore", energy, lacks[0] && "restore", { lacks }),
        ...energy.back.filter((id) => all().includes(id)).map((id) =>
          gate("restore", energy, !givenBack(energies[id]) && "not given back", { about: id }))];
    });
    function proving(energy) {
      const made = proof(energy), ready = made.open || made.lacks[0] === "say so";
      return [isolation(energy), ...waits(energy), ...energy.reach.map((item) => off(energy, item)),
        ...made.kind !== "proof" ? [made] : energy.proof.points ? [{ ...made, open: ready }] : []];
    }
    const operating = (energy, op) => op.verb === "wait" ? waits(energy) : [...those(energy),
      ...is("goes off", op) ? [...ticks(energy),
        ...energy.firsts.filter((id) => [...all(), ...energy.joined].includes(id)).map((id) =>
          order(energies[id], energy.item, !standing(energies[id]) && "first", { about: energy.id }))]
        : is("goes back", op) ? restoring(energy) : op.verb === "prove dead" ? proving(energy) : [],
      ...op.verb === "isolate" && energy.item ? [off(energy, energy.item)] : []];

    const passed = (one) => ({ ...one, through: one.open || of(g.passes[one.override]).some((fact) => {
      const { stands, body, place } = fact, fits = (name, want) => (body[name] ?? null) === want;
      return stands && fits("item", one.item) && (one.override === "asked" ? fits("gate", one.about)
        && !facts.slice(place).some(({ op }) => is("comes off", op) && items(op).includes(one.item))
        : fits("gate", one.kind) && fits("energy", one.energy) && fits("about", one.about) && body.reason.trim()
          && !(one.kind === "restore" && handSince(fact, others(energies[one.energy])))
          && !ended(fact, body.who, moment));
    }) });

    return (op) => {
      const hand = items(op), named = is("of energy", op) && hasOwn(energies, op.energy) && op.energy;
      const operated = union(hand.map(operates), named);
      const asks = [...op.verb === "drain" ? [[g.fluids[op.fluid], true]] : [],
        ...hand.flatMap((item) => demanded(item).map(([id, proven]) => [id, proven, item]))];
      const wanted = union(asks.map(([id]) => id)), known = union(all(), joined(wanted));
      return [
        ...operated.flatMap((id) => operating(energies[id], op)),
        ...wanted.filter((id) => !operated.includes(id)).flatMap((id) => {
          const energy = energies[id], mine = asks.filter(([one]) => one === id);
          return [...those(energy), ...mine.some(([, proven]) => proven) ? [...waits(energy), proof(energy)]
            : [isolation(energy, mine[0][2])]];
        }),
        ...known.filter((id) => ![...operated, ...wanted].includes(id)).flatMap((id) => apart(op, known)
          .map((item) => order(energies[id], item, !provedOnce(energies[id]) && "not proved"))),
        ...consent(op), ...held(op)].map(passed);
    };
  };
}
