// Finds what a person would find by its words, brings it into view and says where to press.
(what, words, within, which) => {
  const told = (element) => (element?.textContent ?? "").replace(/\s+/g, " ").trim();
  const isThere = (element) => element.checkVisibility({ visibilityProperty: true });
  const has = (text) => (text ?? "").toLowerCase().includes(words.toLowerCase());
  const places = [...document.querySelectorAll(within)];
  const all = (selector) => places.flatMap((place) => [...place.querySelectorAll(selector)]);

  function named(element) {
    if (has(element.getAttribute("aria-label"))) return true;
    return [...(element.labels ?? [])].some((label) => has(told(label)));
  }
  const found = {
    field: () => all("input:not([type=hidden]), select, textarea").filter(named),
    button: () => all("button, summary, [role=button]").filter((each) => isThere(each) && (named(each) || has(told(each)))),
    link: () => all("a[href]").filter((each) => isThere(each) && (has(told(each)) || named(each))),
    css: () => all(words),
  }[what]();
  const exact = found.filter((each) =>
    [told(each), ...[...(each.labels ?? [])].map(told)].some((text) => text.toLowerCase() === words.toLowerCase()));
  const element = (what === "css" ? found : [...exact, ...found])[which];
  if (!element) return null;
  document.querySelector("[data-in-hand]")?.removeAttribute("data-in-hand");
  element.setAttribute("data-in-hand", "");
  // A box or a choice may be drawn by its label.
  const isTick = element.matches("input[type=checkbox], input[type=radio]");
  const shown = isTick && element.labels?.[0] ? element.labels[0] : element;
  shown.scrollIntoView({ block: "center", behavior: "instant" });
  // A text that goes over two lines has its middle where nothing of it is.
  const { left, top, width, height } = shown.getClientRects()[0] ?? shown.getBoundingClientRect();
  const [x, y] = [left + width / 2, top + height / 2];
  const above = document.elementFromPoint(x, y);
  const isFree = above && (shown.contains(above) || above.contains(shown) || above.control === element);
  return { x, y, over: isFree ? "" : `${above?.tagName}.${above?.className}`, words: told(element) };
}
