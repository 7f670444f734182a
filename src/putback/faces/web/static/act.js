// One idea: an act is shown with all that a hand must know for it, and one tap logs it as it is shown.

import { alert, button, filled, number, open, sheet, value } from "./ask.js";
import { entries, h, values } from "./dom.js";
import { fresh, named, pack, records, rows, say, ui, view } from "./here.js";
import { looks, words } from "./reduce.js";

export const itemName = (id) => pack.items[id]?.name ?? id;

// How long a wait still runs: by its end, or where a clock was set since, by the minutes that count (12 s: as old as
// those may be).
export function clock({ clock, energy, facts: { minutes, minute } }) {
  const least = Math.max(0, clock.ends - Date.now(), (minutes - minute - 0.2) * 6e4);
  const left = new Date(least + 999).toISOString().slice(11, 19);
  return h("p.line", pack.energies[energy].called, h("b", left.replace(/^00:/, "")));
}

// What is seen for the last time, with what the record says is wrong there, a fastener of another length included.
function lastLooks(thing) {
  const wrong = {};
  for (const [n, event] of view.done) {
    const { verb, item, thread } = view.ops.get(n), { thread: said } = records.get(event).event.body;
    if (verb === "start" && said && said !== thread) wrong[item] = say("length", { said, thread });
  }
  return looks(view, thing, wrong).map((look) => {
    const { item, short, plugs } = look, ask = pack.asks[item];
    const bad = entries({
      other_fastener: wrong[item],
      covered_while_loose: short && say("short", look),
      guard_covered_in: plugs && say("plugs", look),
    }).filter(([, text]) => text);
    return {
      ...ask, more: [...bad.map(([, text]) => text), ask.more].join(" · "),
      bad: bad.map(([gate, text]) => ({ gate, item, note: `${ask.words}: ${text}` })) };
  });
}

// After a line `ui.only` has, by the numbers of those operations that are meant alone, what was said of each beside its
// sheet; `ui.differs` what it said otherwise than the plan.
export function drawAct(place) {
  const act = pack.acts[place], { thing: item, title, go, zone, logs } = act, { only } = ui;
  const left = view.left[place].filter((n) => !only || only[n]), all = view.shut[place] ?? [];
  const open = ([, { planned }]) => !planned || left.includes(planned);
  const asks = act.asks.filter(({ to }) => !to || to.some((at) => open(logs[at])));
  const looked = act.does === "on" && left.length === view.left[place].length ? lastLooks(item) : [];
  const shut = all.filter((gate) => gate.override !== "asked");
  const last = rows.findLast(({ event: { body } }) => body.energy === item)?.event, read = last?.body;
  const failed = asks.find(({ most, needs }) => last?.kind === "reading taken" && Math.abs(read.value) > most
    || last?.kind === "energy checked" && needs && read.gone !== needs);
  return sheet({
    title, go, zone, then: { act: place }, about: left.length < act.operations.length && say("rest"),
    top: [failed && alert(h("b", failed.most == null ? read.gone : `${read.value} ${read.unit}`), " · ", failed.wrong),
      act.picture && h("figure", { innerHTML: pack.pictures[act.picture] })],
    asks: looked[0] ? [...asks, { how: "head", words: say("last look") }, ...looked] : asks,
    more: [
      ...(ui.differs ?? []).map((note) => ({ gate: "line differs", item, note })),
      ...act.after.flatMap((at) => view.left[at][0] ? { gate: "order", item, note: say("first", pack.acts[at]) } : []),
      ...looked.flatMap(({ bad }) => bad),
      ...all.flatMap((gate) => shut.includes(gate) || asks.some(({ hold }) =>
        hold?.gate === gate.about && hold.item === gate.item) ? [] : {
          gate: gate.about, item: gate.item, note: words(pack, gate).why })],
    shut: shut[0] && h("div.shut", h("h2", say("shut")), shut.map((gate) => drawGate(gate, place, shut)),
      h("small", pack.forms.authority)),
    facts() {
      const names = looked.filter((ask) => value(ask) === ask.want).map((ask) => ask.words).join(", ");
      const note = names && say("looked", { names });
      const bad = asks.some((ask) => Math.abs(number(value(ask))) > ask.most || ask.needs && value(ask) !== ask.needs);
      return [
        ...note ? [["operation done", { verb: "inspect", item, note }]] : [],
        ...logs.flatMap((event, at) => event[1].planned && bad || !open(event) ? []
          : filled([event[0], { ...event[1], ...only?.[event[1].planned] }], asks.filter(({ to }) => to?.includes(at))))];
    },
  });
}

// The next reading of a proof: on the known source, each pair of points, on the known source again; then its act. After
// one that speaks against it all begins anew: the gate is shown, which says so.
function prove(id, goesOn) {
  const gate = values(view.shut).flat().find((one) => one.kind === "proof" && one.energy === id);
  const all = pack.energies[id].readings ?? [], next = all.find((one) => gate?.lacks.includes(one.lack));
  if (!next) lead("prove", id);
  else if (!goesOn || next !== all[0]) open("reading taken", next.given, { ...next, end: () => prove(id, true) });
}

// The act that opens a gate, also if it was done before: then it is done again.
const acts = (does, ...things) => pack.acts.findIndex((act) => act.does === does && things.includes(act.thing));
const lead = (...what) => fresh({ act: acts(...what), again: 1 });

// A gate that is shut: why, what opens it, and the forms by which just that is logged; else the act that opens it.
function drawGate(gate, place, all) {
  const { why, opens } = words(pack, gate), { kind, energy, item, about, override, code, clock: wait } = gate;
  const { kinds, leads, opens: by } = pack.forms, own = pack.energies[energy];
  const amount = rows.findLast(({ event: { body } }) => body.finding === about && body.amount)?.event.body.amount;
  const form = (one) => button(kinds[one].title, () =>
    open(one, { energy, item, finding: about, about, gate: kind }, { about: opens, amount }));
  const to = [leads[code] ?? leads[kind], energy, item, own?.wait?.from], at = acts(...to);
  return h("div.gate",
    h("b", kind, own && ` · ${own.called}`), h("p", named(why)), h("small", named(opens)),
    by[kind]?.map(form),
    kind === "wait" && wait ? clock(gate)
      : kind === "proof" && own.readings ? all[0].kind !== "wait" && button(say("next reading"), () => prove(energy))
        : at !== place && at >= 0 && button(say("go to", pack.acts[at]), () => lead(...to)),
    override === "named" && form("override given"));
}
