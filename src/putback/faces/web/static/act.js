// One idea: an act is shown with all that a hand must know for it, and one tap logs it as it is shown.

import { button, empty, fill, number, open, sheet, value } from "./ask.js";
import { h } from "./dom.js";
import { fresh, named, pack, records, say, view } from "./here.js";
import { looks, words } from "./reduce.js";

export const itemName = (id) => pack.items[id]?.name ?? id;
export const thing = (op) => pack.guards[op.guard] ?? pack.energies[op.energy]?.called ?? op.fluid ?? itemName(op.item ?? "");

// How long a wait still runs.
export function clock({ clock, energy }) {
  const left = new Date(Math.max(0, new Date(clock.ends) - Date.now()) + 999).toISOString().slice(11, 19);
  return h("p.line", pack.energies[energy].called, h("b", left.replace(/^00:/, "")));
}

// What is seen for the last time, with what the record says is wrong there, a fastener of another length included.
function lastLooks({ does, thing }) {
  const found = does === "on" ? looks(view, thing) : [];
  for (const [n, event] of view.done) {
    const { verb, item, thread } = view.ops.get(n), said = records.get(event).event.body.thread;
    if (does !== "on" || verb !== "start" || !said || said === thread || !pack.hides[thing]?.includes(item)) continue;
    let look = found.find((one) => one.item === item);
    if (!look) found.push(look = { item, minutes: 0 });
    look.wrong = say("length", { said, thread });
  }
  return found.map((look) => ({ ...look, bad: [
    look.wrong && ["other_fastener", look.wrong],
    look.short && ["covered_while_loose", say("short", look)],
    look.plugs && ["guard_covered_in", say("plugs", look)]].filter(Boolean) }));
}

const asLine = ({ item, minutes, bad }) => ({
  key: `look ${item}`, how: "tick", usual: 0, want: minutes < pack.looks.twice_from ? 1 : 2, words: itemName(item),
  more: [...bad.map(([, text]) => text), pack.asks[item], say("minutes", { minutes })].join(" · "),
  hold: { gate: "last_look_missing", item } });

// An operation as it is shown now. What the plan says of its tightness is no evidence, so it is left out.
function done(n, asks) {
  const body = { planned: n };
  for (const name of pack.tables.kinds["operation done"]) if (!/torq|note/.test(name)) body[name] ??= view.ops.get(n)[name];
  return ["operation done", { ...body, ...fill(asks.filter((ask) => ask.n?.includes(n))) }];
}

export function drawAct(place) {
  const act = pack.acts[place], { thing: item, also = [] } = act;
  const left = view.left[place][0] ? view.left[place] : act.operations;
  const asks = act.asks.filter(({ n }) => !n || n.some((one) => left.includes(one)));
  const seen = lastLooks(act), looked = seen.map(asLine);
  const gates = [...new Map((view.shut[place] ?? []).map((gate) => [gate.kind + gate.about + words(pack, gate).why, gate])).values()];
  const held = gates.filter((gate) => gate.override === "asked"), shut = gates.filter((gate) => !held.includes(gate));
  return sheet({
    title: act.title, go: act.go, then: { act: place },
    top: act.picture && h("figure", { innerHTML: pack.pictures[act.picture] }),
    zone: [pack.zones[pack.items[item]?.zone], act.people && say("people", act)].filter(Boolean).join(" · "),
    asks: looked[0] ? [...asks, { how: "head", words: say("last look") }, ...looked] : asks,
    more: [
      ...act.after.flatMap((at) => view.left[at][0] ? { gate: "order", item, note: say("first", pack.acts[at]) } : []),
      ...seen.flatMap(({ item, bad }) => bad.map(([gate, note]) => ({ gate, item, note: `${itemName(item)}: ${note}` }))),
      ...held.map((gate) => ({ gate: gate.about, item: gate.item, note: words(pack, gate).why }))],
    shut: shut[0] && h("div.shut", h("h2", say("shut")), shut.map((gate) => drawGate(gate, place, shut)), h("small", pack.forms.authority)),
    facts() {
      const names = looked.filter((ask) => value(ask) === ask.want).map((ask) => ask.words).join(", ");
      const there = asks.some((ask) => Math.abs(number(value(ask))) > ask.most || ask.needs && value(ask) !== ask.needs);
      const others = (after) => also.flatMap(([kind, given, last], at) => {
        const own = asks.filter((ask) => ask.also === at);
        return last == after && own.every((ask) => ask.may || !empty(ask)) ? [[kind, { ...given, ...fill(own) }]] : [];
      });
      const skipped = asks.flatMap((ask) => ask.skip && !value(ask) ? ask.n : []);
      return [
        ...names ? [["operation done", { verb: "inspect", item, note: say("looked", { names }) }]] : [],
        ...others(), ...there ? [] : left.filter((n) => !skipped.includes(n)).map((n) => done(n, asks)), ...others(true)];
    },
  });
}

// The next reading of a proof: on the known source, each pair of points, on the known source again; then all anew.
function prove(id) {
  const gate = Object.values(view.shut).flat().find((one) => one.kind === "proof" && one.energy === id);
  const next = pack.energies[id].readings.find((one) => gate?.lacks?.includes(one.lack));
  if (next) open("reading taken", next.given, { about: next.about, end: () => prove(id) });
}

// A gate that is shut: why, what opens it, and the forms by which just that is logged; else the act that opens it.
function drawGate(gate, place, all) {
  const { why, opens } = words(pack, gate), { kind, energy, item, about, override } = gate, own = pack.energies[energy];
  const says = { energy, item, finding: about, gate: kind };
  const form = ([one, fields]) => button(pack.forms.kinds[one].title, () =>
    open(one, Object.fromEntries(fields.map((field) => [field, says[field]])), { about: opens }));
  const at = pack.acts.findIndex((act, at) => at !== place && [item, energy].includes(act.thing) && /^(off|tick|isol|prove)/.test(act.does) && view.left[at][0]);
  return h("div.gate", h("b", [kind, own?.called].filter(Boolean).join(" · ")), h("p", named(why)), h("small", named(opens)),
    kind === "wait" && gate.clock?.ends && clock(gate),
    (pack.forms.opens[kind] ?? []).map(form),
    kind === "proof" && own.readings ? all[0].kind !== "wait" && button(say("next reading"), () => prove(energy))
      : /order|wait|proof|before/.test(kind) && pack.acts[at] && button(say("go to", pack.acts[at]), () => fresh({ act: at })),
    override === "named" && form(["override given", ["gate", "energy", "item"]]));
}
