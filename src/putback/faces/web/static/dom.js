// One idea: a page is a tree of plain values; only what differs from the page that is there is changed, in place, so a
// field that is typed into stays as it is.

// h("button.go", { onclick }, "Off"): an element, its class, its properties (may be left out), what is in it.
export function h(name, props, ...inner) {
  const [tag, kind] = name.split(".");
  const bare = !props || props.tag || props.constructor !== Object;
  const all = (bare ? [props, ...inner] : inner).flat(9);
  return {
    tag,
    props: { class: kind, ...(bare ? {} : props) },
    inner: all.filter((one) => one != null && one !== false && one !== ""),
  };
}

export function render(trees, parent) {
  trees.forEach((tree, at) => {
    let node = parent.childNodes[at];
    const put = (made) => { node ? node.replaceWith(made) : parent.append(made); node = made; };
    if (!tree.tag) {
      if (node?.nodeType !== 3) put(document.createTextNode(tree));
      else if (node.data !== String(tree)) node.data = tree;
      return;
    }
    if (node?.localName !== tree.tag) put(document.createElement(tree.tag));
    const was = node.was ?? {};
    for (const name in { ...was, ...tree.props }) {
      const to = tree.props[name];
      if (name === "value" || name === "innerHTML") {
        if (was[name] !== to || node.value !== to && name === "value") node[name] = to ?? "";
      } else if (/^on|^dis/.test(name)) node[name] = to ?? null;
      else if (to !== was[name]) to == null ? node.removeAttribute(name) : node.setAttribute(name, to);
    }
    node.was = tree.props;
    if (!tree.props.innerHTML) render(tree.inner, node);
  });
  while (parent.childNodes.length > trees.length) parent.lastChild.remove();
}
