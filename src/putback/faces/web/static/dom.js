// One idea: a page is a tree of plain values; only what differs from the page that is there is changed, in place, so a
// field that is typed into stays as it is.

export const { assign, entries, fromEntries, hasOwn, keys, values } = Object;

// A text with facts in its gaps.
export const gaps = (text, facts) => text.replace(/\{(\w+)\}/g, (_, name) => facts[name] ?? "");

// h("button.go", { onclick }, "Off"): an element, its class, its properties (may be left out), what is in it.
export function h(name, props, ...inner) {
  const [tag, kind] = name.split("."), bare = props?.constructor !== Object || props.tag;
  const all = [bare && props, ...inner].flat(9).filter((one) => one || one === 0);
  return { tag, props: { class: kind, ...!bare && props }, inner: all };
}

export function render(trees, parent) {
  trees.forEach((tree, at) => {
    const { tag, props, inner } = tree;
    let node = parent.childNodes[at];
    if (!node || node.localName !== tag) {
      const made = tag ? document.createElement(tag) : new Text();
      if (node) node.replaceWith(made);
      else parent.append(made);
      node = made;
    }
    if (!tag) {
      if (node.data !== String(tree)) node.data = tree;
      return;
    }
    const was = node.was ?? {};
    for (const name in { ...was, ...props }) {
      const to = props[name];
      if (to === was[name] && name !== "disabled") continue;
      if (name in node) node[name] = to ?? "";
      else if (to == null) node.removeAttribute(name);
      else node.setAttribute(name, to);
    }
    node.was = props;
    if (!props.innerHTML) render(inner, node);
  });
  while (parent.childNodes[trees.length]) parent.lastChild.remove();
}
